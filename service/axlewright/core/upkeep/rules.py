"""One reason for which something falls due, by date or by distance, and how it stands on a day."""

from datetime import MAXYEAR, date, timedelta
from enum import StrEnum

from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.upkeep.policy import Window
from axlewright.core.upkeep.projection import NotProjected, Odometer, Reached


class RuleName(StrEnum):
    """Which rule; its name is the key of the text that says what it rests on."""

    RETORQUE_DISTANCE = "retorque_distance"
    RETORQUE_DATE = "retorque_date"
    PRESSURE_INTERVAL = "pressure_check_interval"
    PRESSURE_BEFORE_TRIP = "pressure_check_before_trip"
    TIRE_FIRST_INSPECTION = "tire_first_inspection"
    TIRE_NEXT_INSPECTION = "tire_next_inspection"
    TIRE_AGE = "tire_age"
    TIRE_MAKERS_ADVICE = "tire_makers_advice"
    WEIGH_INTERVAL = "weigh_interval"
    WEIGH_DISTANCE = "weigh_distance"
    WEIGH_AFTER_CHANGE = "weigh_after_change"


class NotDated(StrEnum):
    """Why a rule has no date, beside what keeps a distance from being projected."""

    NEVER_RECORDED = "never_recorded"
    NO_TIRE_RECORDED = "no_tire_recorded"
    DATE_CODE_NOT_READ = "date_code_not_read"
    LONG_PAST = "long_past"


Unknown = NotProjected | NotDated


class DueState(StrEnum):
    """How something due stands on a day, worst first."""

    OVERDUE = "overdue"
    DUE = "due"
    UNKNOWN = "unknown"
    LATER = "later"


class Rule(Struct, frozen=True):
    """What one rule says.

    Attributes
    ----------
    due_on, latest_on
        The day from which it is due, and the last one on which it is not overdue.
    due_at_m, latest_at_m
        The same as readings of the present odometer [m], of a rule by distance.
    is_projected
        Whether the days are projected from the rate of driving.
    u_days
        Standard uncertainty of a projected ``due_on`` [days].
    is_estimated
        Whether where the rig stood at the event, or the day on which it passed ``due_at_m``, was not read but taken
        from readings on other days.
    """

    name: RuleName
    state: DueState
    due_on: date | None = None
    latest_on: date | None = None
    due_at_m: float | None = None
    latest_at_m: float | None = None
    is_projected: bool = False
    u_days: float | None = None
    is_estimated: bool = False
    unknown_because: Unknown | None = None


def months_after(start: date, months: int) -> date:
    """Return the day so many months later, or the last of its month where the month is shorter.

    >>> months_after(date(2024, 1, 31), 1), months_after(date(2024, 2, 29), 12)
    (datetime.date(2024, 2, 29), datetime.date(2025, 2, 28))
    """
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    if year >= MAXYEAR:
        raise OutOfRange("date_out_of_range", "months", f"{months} months after {start} lies beyond the calendar.")
    first_of_next = date(year + (month + 1) // 12, (month + 1) % 12 + 1, 1)
    return date(year, month + 1, min(start.day, (first_of_next - timedelta(days=1)).day))


def dated(name: RuleName, due_on: date, as_of: date) -> Rule:
    """Return a rule that falls due on a day, and is overdue from the next one on."""
    state = DueState.LATER if as_of < due_on else DueState.DUE if as_of == due_on else DueState.OVERDUE
    return Rule(name, state, due_on, due_on)


def undated(name: RuleName, because: Unknown) -> Rule:
    """Return a rule of which nobody can say when it falls due."""
    return Rule(name, DueState.UNKNOWN, unknown_because=because)


def driven(name: RuleName, origin_m: float | NotProjected, window: Window, odometer: Odometer, as_of: date) -> Rule:
    """Return a rule that falls due after a distance from where its origin stood [m].

    It is overdue once a reading shows more than the window's end, or that end's day has passed.
    """
    if isinstance(origin_m, NotProjected):
        return undated(name, origin_m)
    due_at_m, latest_at_m = origin_m + window.from_m, origin_m + window.by_m
    due, latest = odometer.reached(due_at_m), odometer.reached(latest_at_m)
    latest_on = latest.on if isinstance(latest, Reached) else None
    if isinstance(due, NotProjected):
        return Rule(name, DueState.UNKNOWN, due_at_m=due_at_m, latest_at_m=latest_at_m, unknown_because=due)
    if odometer.has_passed(latest_at_m) or (latest_on is not None and as_of > latest_on):
        state = DueState.OVERDUE
    else:
        state = DueState.LATER if as_of < due.on else DueState.DUE
    return Rule(
        name, state, due.on, latest_on, due_at_m, latest_at_m, due.is_projected, due.u_days, due.is_interpolated
    )
