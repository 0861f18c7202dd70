"""What contradicts itself in a history of upkeep: every fault, each at the entry that has it."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from axlewright.contract.faults import Fault, given_text
from axlewright.contract.likely_days import unlikely_day
from axlewright.contract.needed_units import unit_faults
from axlewright.contract.units import Unit, Units, spoken, unit_of
from axlewright.contract.upkeep_request import UpkeepEventInput, UpkeepPolicyInput, UpkeepRequest
from axlewright.core.units import exceeds
from axlewright.core.upkeep.events import RIG, History, wheel_end_of
from axlewright.core.upkeep.projection import READING_STEP_M, NotProjected, Odometer

MOST_M_PER_DAY: Final = 3e6
"""Nothing on wheels is driven further in a day: day and night at 125 km/h. Judgement, to catch slips."""
MOST_SUBJECTS_TOLD: Final = 12


class _Seen(Struct, frozen=True):
    """What an odometer showed on a day, by the scale of the present one, and where the request says so."""

    on: date
    shown_m: float
    way_m: float
    pointer: str


def upkeep_faults(request: UpkeepRequest, history: History, units: Units, faults: Sequence[Fault]) -> Iterator[Fault]:
    """Yield everything that contradicts itself in a request, its numbers in SI; `faults` are those of its units."""
    yield from faults
    yield from _tire_faults(request.rig.tires)
    yield from _day_faults(request)
    for place, (event, done) in enumerate(zip(request.events, history.events, strict=True)):
        if not any(done.concerns(tire) for tire in request.rig.tires):
            message = f"`{event.subject}` is no tire of the rig and nothing that has one."
            allowed = _subjects(request.rig.tires)
            yield Fault("inconsistent_reference", f"/events/{place}/subject", message, None, allowed)
        yield from _event_faults(event, f"/events/{place}")
    yield from _interval_faults(request.policy)
    unit = unit_of(units, "distance")
    if unit is not None:
        yield from _odometer_faults(history, unit)
    elif not any(fault.pointer == "/units/distance" for fault in faults):
        yield from unit_faults(units, ("distance",))


def _tire_faults(tires: list[str]) -> Iterator[Fault]:
    known, seen = set(tires), set()
    with_vehicle = Counter(_names_vehicle(tire) for tire in tires)
    for place, tire in enumerate(tires):
        pointer, wheel_end = f"/rig/tires/{place}", wheel_end_of(tire)
        if tire in seen:
            yield Fault("inconsistent_name", pointer, f"`{tire}` is listed twice.", None, "each tire once")
        seen.add(tire)
        if tire != wheel_end:
            mate = f"{wheel_end}.outer" if tire.endswith(".inner") else f"{wheel_end}.inner"
            if wheel_end in known:
                message = f"`{wheel_end}` has a single tire and, by `{tire}`, a dual."
                yield Fault("inconsistent_fitment", pointer, message, None, f"{wheel_end}, or {tire} and {mate}")
            elif mate not in known:
                message = f"`{tire}` is one of a dual, and the other is not listed."
                yield Fault("inconsistent_fitment", pointer, message, None, f"{mate} beside it, or {wheel_end} alone")
        if with_vehicle[True] and not _names_vehicle(tire):
            message = f"`{tire}` does not say of which vehicle it is, and others do."
            yield Fault("inconsistent_naming", pointer, message, None, f"vehicle.{tire}, or no vehicle in any name")


def _names_vehicle(tire: str) -> bool:
    return wheel_end_of(tire).count(".") > 1


def _day_faults(request: UpkeepRequest) -> Iterator[Fault]:
    yield from unlikely_day(request.as_of, "/as_of")
    for place, trip in enumerate(request.trips):
        yield from unlikely_day(trip, f"/trips/{place}")
    for place, reading in enumerate(request.odometer):
        yield from _past_day(reading.read_on, f"/odometer/{place}/read_on", request.as_of)
    for place, event in enumerate(request.events):
        yield from _past_day(event.done_on, f"/events/{place}/done_on", request.as_of)


def _past_day(day: date, pointer: str, as_of: date) -> Iterator[Fault]:
    yield from unlikely_day(day, pointer)
    if day > as_of:
        message = f"{day} lies after `as_of`, {as_of}: send what has happened by then, or a later `as_of`."
        yield Fault("inconsistent_day", pointer, message, given_text(day.isoformat()), f"{as_of} or earlier")


def _event_faults(event: UpkeepEventInput, pointer: str) -> Iterator[Fault]:
    for name in ("tire_made_on", "tire_life_months"):
        if event.kind != "tire_fitted" and getattr(event, name) is not None:
            message = f"`{name}` belongs to `tire_fitted`, and this is `{event.kind}`."
            yield Fault("inconsistent_event", f"{pointer}/{name}", message, None, f"no `{name}`, or kind `tire_fitted`")
    made_on = event.tire_made_on
    if made_on is not None:
        yield from unlikely_day(made_on, f"{pointer}/tire_made_on")
        if made_on > event.done_on:
            message = f"A tire made on {made_on} cannot have been fitted on {event.done_on}: read its date code again."
            given = given_text(made_on.isoformat())
            yield Fault("inconsistent_day", f"{pointer}/tire_made_on", message, given, f"{event.done_on} or earlier")


def _subjects(tires: list[str]) -> str:
    names = dict.fromkeys([RIG, *tires])
    told = list(names)[:MOST_SUBJECTS_TOLD]
    return ", ".join([*told, *(["..."] if len(names) > len(told) else [])]) + ", or an axle or vehicle of these"


def _odometer_faults(history: History, unit: Unit) -> Iterator[Fault]:
    """Yield every reading that goes back behind an earlier day's, or further than a rig is driven.

    A faulty reading is not held against those after it.
    """
    last: _Seen | None = None
    days: dict[date, list[_Seen]] = {}
    for seen in _readings(history):
        days.setdefault(seen.on, []).append(seen)
    for _, readings in sorted(days.items()):
        sound = []
        for seen in readings:
            fault = None if last is None else _odometer_fault(seen, last, unit)
            if fault is None:
                sound.append(seen)
            else:
                yield fault
        last = max([*sound, *([] if last is None else [last])], key=lambda seen: seen.way_m, default=None)


def _odometer_fault(seen: _Seen, last: _Seen, unit: Unit) -> Fault | None:
    driven_m = seen.way_m - last.way_m
    most_m = MOST_M_PER_DAY * ((seen.on - last.on).days + 1)
    since = f"on {seen.on} than on {last.on} ({last.pointer})"
    if -driven_m > READING_STEP_M:
        message = (
            f"The odometer reads {spoken(-driven_m, unit)} less {since}. If another one was put in, or it turned over, "
            "say with its first reading what the old one showed: `old_reading`."
        )
        least = f"{spoken(seen.shown_m - driven_m, unit)} or more, or `old_reading` where the odometer changed"
        return Fault("inconsistent_odometer", seen.pointer, message, None, least)
    if exceeds(driven_m, most_m):
        message = (
            f"The odometer reads {spoken(driven_m, unit)} more {since}: nothing is driven so far in that time. Is a "
            "digit or the unit wrong?"
        )
        most = f"{spoken(seen.shown_m - driven_m + most_m, unit)} or less"
        return Fault("inconsistent_odometer", seen.pointer, message, None, most)
    return None


def _readings(history: History) -> Iterator[_Seen]:
    swaps = tuple(one for one in history.odometer if one.old_odometer_m is not None)
    ways = Odometer((), swaps, NotProjected.TOO_FEW_READINGS)
    for place, event in enumerate(history.events):
        if event.odometer_m is not None:
            way_m = ways.way_m(event.on, event.odometer_m)
            yield _Seen(event.on, event.odometer_m, way_m, f"/events/{place}/odometer")
    for place, one in enumerate(history.odometer):
        yield _Seen(one.on, one.odometer_m, ways.way_m(one.on, one.odometer_m), f"/odometer/{place}/reading")


def _interval_faults(policy: UpkeepPolicyInput) -> Iterator[Fault]:
    """Yield every stretch of retorques that ends before it begins, or begins no later than the one before."""
    least_m = 0.0
    for place, stretch in enumerate(policy.retorque or ()):
        pointer = f"/policy/retorque/{place}"
        if stretch.due_after <= least_m:
            message = "Each retorque begins further after the work than the one before it."
            yield Fault("inconsistent_interval", f"{pointer}/due_after", message, None, "more than the one before")
        if stretch.overdue_after < stretch.due_after:
            message = "A retorque is overdue before it is due."
            yield Fault("inconsistent_interval", f"{pointer}/overdue_after", message, None, "`due_after` or more")
        least_m = stretch.due_after
