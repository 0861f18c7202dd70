"""What falls due, on what, when: events and intervals to due items."""

from collections.abc import Iterable, Iterator, Set
from datetime import date, timedelta
from enum import StrEnum
from typing import Final

from msgspec import Struct, structs

from axlewright.core.units import exceeds
from axlewright.core.upkeep.events import RIG, Event, EventKind, History, wheel_end_of
from axlewright.core.upkeep.policy import UpkeepPolicy, Window
from axlewright.core.upkeep.projection import NotProjected, Odometer, odometer_of
from axlewright.core.upkeep.rules import (
    DueState,
    NotDated,
    Rule,
    RuleName,
    Unknown,
    dated,
    driven,
    months_after,
    undated,
)

WHEEL_OFF = frozenset({EventKind.WHEEL_WORK, EventKind.TIRE_FITTED})
"""What takes a wheel off: fitting a tire does."""

LONG_PAST_TIMES: Final = 10
"""Driven or waited so many times as far or long as a retorque may take, and none recorded: nobody knows whether it was
done. Judgement: a tire that is recorded for its age is no wheel that was never retorqued."""


class DueKind(StrEnum):
    """What is to be done."""

    WHEEL_NUT_RETORQUE = "wheel_nut_retorque"
    PRESSURE_CHECK = "pressure_check"
    TIRE_INSPECTION = "tire_inspection"
    TIRE_REPLACEMENT = "tire_replacement"
    WEIGH = "weigh"


class Due(Struct, frozen=True):
    """One thing to be done.

    Attributes
    ----------
    subject
        Wheel end (retorque), tire (inspection, replacement) or ``rig`` (pressure check, weigh).
    origin
        The event that it counts from; None where none was recorded.
    part
        Of several retorques after one work, which; else 1.
    rules
        Every rule that asks for it.
    """

    kind: DueKind
    subject: str
    origin: Event | None
    rules: tuple[Rule, ...]
    part: int = 1

    @property
    def governing(self) -> Rule | None:
        """The rule that falls due first; None where no date is known."""
        known = [rule for rule in self.rules if rule.due_on is not None]
        return min(known, key=lambda rule: rule.due_on or date.max, default=None)

    @property
    def due_on(self) -> date | None:
        """The earliest day on which a rule falls due."""
        return None if self.governing is None else self.governing.due_on

    @property
    def due_at_m(self) -> float | None:
        """The least reading of the present odometer [m] at which a rule falls due."""
        return min((rule.due_at_m for rule in self.rules if rule.due_at_m is not None), default=None)

    @property
    def state(self) -> DueState:
        """The worst state of its rules; what is not known stands before what is due later."""
        return min((rule.state for rule in self.rules), key=list(DueState).index)

    @property
    def unknown_because(self) -> tuple[Unknown, ...]:
        """Why rules of it have no date."""
        return tuple(rule.unknown_because for rule in self.rules if rule.unknown_because is not None)


def upkeep_due(history: History, policy: UpkeepPolicy, as_of: date) -> tuple[Due, ...]:
    """Return everything that falls due, earliest first, what has no date last.

    Parameters
    ----------
    history : History
        What happened up to ``as_of``, and the trips planned.
    policy : UpkeepPolicy
        The intervals.
    as_of : date
        The day from which it is seen.

    Returns
    -------
    tuple of Due
        A retorque a wheel end and distance that no later one settles; an inspection and a replacement a tire; a
        pressure check and a weigh of the rig.

    Raises
    ------
    CoreError
        If a subject is unknown, something happened after ``as_of``, an odometer goes backwards, a tire was made after
        its fitting, or an interval is impossible.

    Examples
    --------
    >>> weighed = Event(EventKind.WEIGH, date(2026, 5, 14))
    >>> history = History(("front.left", "front.right"), (weighed,))
    >>> items = upkeep_due(history, UpkeepPolicy(), date(2026, 6, 1))
    >>> next(item for item in items if item.kind == "weigh").due_on
    datetime.date(2027, 5, 14)

    """
    policy.require_sound()
    history.require_sound(as_of)
    seen = _Seen(history.tires, history.in_order(), history.trips, odometer_of(history), policy, as_of)
    items = [*_retorques(seen), *_pressure_checks(seen), *_tires(seen), *_weighs(seen)]
    return tuple(sorted(items, key=lambda item: (item.due_on or date.max, item.kind, item.subject, item.part)))


class _Seen(Struct, frozen=True):
    """What all rules look at; events in order, so that one's place tells what came after it."""

    tires: tuple[str, ...]
    events: list[Event]
    trips: tuple[date, ...]
    odometer: Odometer
    policy: UpkeepPolicy
    as_of: date

    def latest(self, kinds: Set[EventKind], tires: Iterable[str]) -> int | None:
        """Return the place of the latest event of some kinds that concerns one of some tires."""
        names = tuple(tires)
        places = range(len(self.events) - 1, -1, -1)
        return next((place for place in places if self._is(self.events[place], kinds, names)), None)

    def after(self, place: int | None, kinds: Set[EventKind], tires: Iterable[str]) -> list[Event]:
        """Return the events of some kinds that concern one of some tires, after a place or all."""
        names = tuple(tires)
        return [event for event in self.events[0 if place is None else place + 1 :] if self._is(event, kinds, names)]

    def done_to_all(self, kind: EventKind) -> int | None:
        """Return the place of the oldest of every tire's latest event of a kind; None where a tire has none."""
        places = []
        for tire in self.tires:
            place = self.latest({kind}, [tire])
            if place is None:
                return None
            places.append(place)
        return min(places, default=None)

    def event(self, place: int | None) -> Event | None:
        """Return the event in a place."""
        return None if place is None else self.events[place]

    def way_m(self, origin: Event) -> float | NotProjected:
        """Return where the rig stood at an event [m]: as noted with it, else as the readings tell."""
        if origin.odometer_m is not None:
            return self.odometer.way_m(origin.on, origin.odometer_m)
        return self.odometer.way_on_m(origin.on)

    @staticmethod
    def _is(event: Event, kinds: Set[EventKind], tires: tuple[str, ...]) -> bool:
        return event.kind in kinds and any(event.concerns(tire) for tire in tires)


def _retorques(seen: _Seen) -> Iterator[Due]:
    for wheel_end in dict.fromkeys(wheel_end_of(tire) for tire in seen.tires):
        tires = [tire for tire in seen.tires if wheel_end_of(tire) == wheel_end]
        place = seen.latest(WHEEL_OFF, tires)
        work = seen.event(place)
        if work is None:
            continue
        settled = _settled(work, seen.after(place, {EventKind.RETORQUE}, tires), seen)
        for part, window in enumerate(seen.policy.retorque[settled:], start=settled + 1):
            rules = tuple(_retorque_rules(work, window, seen))
            yield Due(DueKind.WHEEL_NUT_RETORQUE, wheel_end, work, rules, part)


def _retorque_rules(work: Event, window: Window, seen: _Seen) -> Iterator[Rule]:
    if _is_long_past(work, seen):
        yield undated(RuleName.RETORQUE_DISTANCE, NotDated.LONG_PAST)
        return
    yield _driven(RuleName.RETORQUE_DISTANCE, work, window, seen)
    if seen.policy.retorque_days is not None:
        yield dated(RuleName.RETORQUE_DATE, work.on + timedelta(days=seen.policy.retorque_days), seen.as_of)


def _is_long_past(work: Event, seen: _Seen) -> bool:
    """Return whether readings show so much driven, or so much time has passed, that no retorque is awaited any more."""
    days, way_m = seen.policy.retorque_days, seen.way_m(work)
    most_m = LONG_PAST_TIMES * max(window.by_m for window in seen.policy.retorque)
    is_far = not isinstance(way_m, NotProjected) and seen.odometer.has_passed(way_m + most_m)
    return is_far or (days is not None and seen.as_of > work.on + timedelta(days=LONG_PAST_TIMES * max(days, 1)))


def _driven(name: RuleName, origin: Event, window: Window, seen: _Seen) -> Rule:
    rule = driven(name, seen.way_m(origin), window, seen.odometer, seen.as_of)
    was_read = origin.odometer_m is not None or seen.odometer.was_read_on(origin.on)
    return rule if was_read or rule.due_at_m is None else structs.replace(rule, is_estimated=True)


def _settled(work: Event, retorques: Iterable[Event], seen: _Seen) -> int:
    """Return how many of the policy's windows retorques have settled.

    One at a known distance settles every window that had opened by then, and none if none had: nuts tightened too
    early settle nothing. One at an unknown distance settles the next window.
    """
    windows, settled = seen.policy.retorque, 0
    for retorque in retorques:
        if work.odometer_m is None or retorque.odometer_m is None:
            settled = min(settled + 1, len(windows))
            continue
        reached_m = seen.odometer.way_m(retorque.on, retorque.odometer_m)
        from_m = seen.odometer.way_m(work.on, work.odometer_m)
        settled = max(settled, sum(not exceeds(from_m + window.from_m, reached_m) for window in windows))
    return settled


def _pressure_checks(seen: _Seen) -> Iterator[Due]:
    policy, origin = seen.policy, seen.event(seen.done_to_all(EventKind.PRESSURE_CHECK))
    rules = []
    if policy.pressure_check_months is not None:
        rules.append(_interval(RuleName.PRESSURE_INTERVAL, origin, policy.pressure_check_months, seen.as_of))
    if policy.pressure_check_before_trip_days is not None:
        fresh = timedelta(days=policy.pressure_check_before_trip_days)
        ahead = [trip for trip in seen.trips if trip >= seen.as_of and (origin is None or origin.on < trip - fresh)]
        if ahead:
            rules.append(dated(RuleName.PRESSURE_BEFORE_TRIP, min(ahead), seen.as_of))
    if rules:
        yield Due(DueKind.PRESSURE_CHECK, RIG, origin, tuple(rules))


def _tires(seen: _Seen) -> Iterator[Due]:
    for tire in seen.tires:
        place = seen.latest({EventKind.TIRE_FITTED}, [tire])
        fitted = seen.event(place)
        inspections = [] if fitted is None else seen.after(place, {EventKind.TIRE_INSPECTION}, [tire])
        yield _inspection(tire, fitted, inspections[-1] if inspections else None, seen)
        rules = tuple(_age_rules(fitted, seen))
        if rules:
            yield Due(DueKind.TIRE_REPLACEMENT, tire, fitted, rules)


def _inspection(tire: str, fitted: Event | None, inspected: Event | None, seen: _Seen) -> Due:
    """Return a tire's next inspection: at the age from which they start, from then on an interval after the last."""
    policy = seen.policy
    first = _aged(RuleName.TIRE_FIRST_INSPECTION, fitted, policy.tire_inspection_from_months, seen.as_of)
    if inspected is not None:
        again = _interval(RuleName.TIRE_NEXT_INSPECTION, inspected, policy.tire_inspection_every_months, seen.as_of)
        assert again.due_on is not None
        if first.due_on is None or again.due_on > first.due_on:
            return Due(DueKind.TIRE_INSPECTION, tire, inspected, (again,))
    return Due(DueKind.TIRE_INSPECTION, tire, fitted, (first,))


def _age_rules(fitted: Event | None, seen: _Seen) -> Iterator[Rule]:
    if seen.policy.tire_replacement_months is not None:
        yield _aged(RuleName.TIRE_AGE, fitted, seen.policy.tire_replacement_months, seen.as_of)
    if fitted is not None and fitted.tire_life_months is not None:
        yield _aged(RuleName.TIRE_MAKERS_ADVICE, fitted, fitted.tire_life_months, seen.as_of)


def _weighs(seen: _Seen) -> Iterator[Due]:
    policy, place = seen.policy, seen.done_to_all(EventKind.WEIGH)
    origin = seen.event(place)
    rules = []
    if policy.weigh_months is not None:
        rules.append(_interval(RuleName.WEIGH_INTERVAL, origin, policy.weigh_months, seen.as_of))
    if policy.weigh_after_m is not None and origin is not None:
        window = Window(policy.weigh_after_m, policy.weigh_after_m)
        rules.append(_driven(RuleName.WEIGH_DISTANCE, origin, window, seen))
    changes = seen.after(place, {EventKind.CHANGE}, seen.tires)
    if policy.weigh_after_change and changes:
        rules.append(dated(RuleName.WEIGH_AFTER_CHANGE, changes[0].on, seen.as_of))
    if rules:
        yield Due(DueKind.WEIGH, RIG, origin, tuple(rules))


def _interval(name: RuleName, origin: Event | None, months: int, as_of: date) -> Rule:
    if origin is None:
        return undated(name, NotDated.NEVER_RECORDED)
    return dated(name, months_after(origin.on, months), as_of)


def _aged(name: RuleName, fitted: Event | None, months: int, as_of: date) -> Rule:
    """Return a rule by a tire's age.

    A tire whose date code was not read is at least as old as its fitting: what is due even so is due.
    """
    if fitted is None:
        return undated(name, NotDated.NO_TIRE_RECORDED)
    if fitted.tire_made_on is not None:
        return dated(name, months_after(fitted.tire_made_on, months), as_of)
    at_the_latest = months_after(fitted.on, months)
    return dated(name, at_the_latest, as_of) if at_the_latest <= as_of else undated(name, NotDated.DATE_CODE_NOT_READ)
