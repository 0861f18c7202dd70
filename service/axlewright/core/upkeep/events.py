"""What happened to a rig: work, checks, weighs, tires fitted, odometer readings."""

from datetime import date
from enum import StrEnum
from math import inf
from typing import Final

from msgspec import Struct

from axlewright.core.errors import CoreError, OutOfRange

RIG: Final = "rig"
"""The subject that stands for the whole rig."""
CALENDAR: Final = (date(1900, 1, 1), date(2200, 12, 31))
"""Days that a history may name: others are slips, and intervals from these stay within every calendar."""


class EventKind(StrEnum):
    """What was done."""

    WHEEL_WORK = "wheel_work"
    RETORQUE = "retorque"
    PRESSURE_CHECK = "pressure_check"
    TIRE_FITTED = "tire_fitted"
    TIRE_INSPECTION = "tire_inspection"
    WEIGH = "weigh"
    CHANGE = "change"


class Event(Struct, frozen=True):
    """One thing that was done on a day.

    Attributes
    ----------
    subject
        ``rig``, or the name of a vehicle, axle, wheel end or tire; it stands for every tire beneath it.
    odometer_m
        What the odometer showed [m]; None where nobody noted it.
    tire_made_on
        Of a fitted tire, the first day of the week in which it was made; None where the date code was not read.
    tire_life_months
        Of a fitted tire, the age [months] at which its maker or the vehicle's advises to replace it.
    """

    kind: EventKind
    on: date
    subject: str = RIG
    odometer_m: float | None = None
    tire_made_on: date | None = None
    tire_life_months: int | None = None

    def concerns(self, tire: str) -> bool:
        """Return whether the event's subject is this tire, or something that it belongs to."""
        return self.subject in (RIG, tire) or tire.startswith(f"{self.subject}.")


class OdometerReading(Struct, frozen=True):
    """What the odometer showed [m] on a day.

    ``old_odometer_m`` is given with the first reading of another odometer (or after one turned over to zero): what
    the old one showed, or would have shown, at that moment.
    """

    on: date
    odometer_m: float
    old_odometer_m: float | None = None


class History(Struct, frozen=True):
    """What is known of a rig's upkeep.

    Attributes
    ----------
    tires
        Every tire by its name: ``drive.left``, or ``drive.left.inner`` and ``drive.left.outer`` of a dual.
    events
        In any order; those of one day in the order in which they happened.
    odometer
        Readings beside those that events bring, of the one odometer that counts for the whole rig.
    trips
        Days on which trips are planned to start.
    """

    tires: tuple[str, ...]
    events: tuple[Event, ...] = ()
    odometer: tuple[OdometerReading, ...] = ()
    trips: tuple[date, ...] = ()

    def require_sound(self, as_of: date) -> None:
        """Raise CoreError for what cannot be: unknown subjects, what happened after today, impossible odometers."""
        for event in self.events:
            if not any(event.concerns(tire) for tire in self.tires):
                raise CoreError(
                    "subject_unknown",
                    "events.subject",
                    f"{event.subject!r} names none of the rig's tires and nothing above one: they are "
                    f"{', '.join(self.tires) or 'none'}.",
                )
            if event.tire_made_on is not None and event.tire_made_on > event.on:
                raise CoreError(
                    "tire_made_after_fitting",
                    "events.tire_made_on",
                    f"A tire made on {event.tire_made_on} cannot have been fitted on {event.on}: read its date again.",
                )
        happened = (*(event.on for event in self.events), *(reading.on for reading in self.odometer))
        made = (event.tire_made_on for event in self.events if event.tire_made_on is not None)
        for on in (as_of, *happened, *made, *self.trips):
            if not CALENDAR[0] <= on <= CALENDAR[1]:
                raise OutOfRange(
                    "date_out_of_range", "on", f"{on} is no day from {CALENDAR[0]} to {CALENDAR[1]}: read it again."
                )
        for on in happened:
            if on > as_of:
                raise CoreError(
                    "event_after_today",
                    "on",
                    f"{on} lies after {as_of}: send what has happened by then, or a later date to look from.",
                )
        for reading in self.odometer:
            for field, value in (("odometer_m", reading.odometer_m), ("old_odometer_m", reading.old_odometer_m)):
                _require_odometer(field, value)
        for event in self.events:
            _require_odometer("odometer_m", event.odometer_m)

    def in_order(self) -> list[Event]:
        """Return the events by date, those of one day as they were given."""
        return sorted(self.events, key=lambda event: event.on)


def wheel_end_of(tire: str) -> str:
    """Return the wheel end that a tire is on: both tires of a dual are on one.

    >>> wheel_end_of("drive.left.inner"), wheel_end_of("steer.left")
    ('drive.left', 'steer.left')
    """
    return tire.removesuffix(".inner").removesuffix(".outer")


def _require_odometer(field: str, value: float | None) -> None:
    if value is not None and not 0 <= value < inf:
        raise OutOfRange(
            "odometer_out_of_range", field, f"An odometer cannot show {value} m: it must be 0 or more and finite."
        )
