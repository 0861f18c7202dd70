"""What falls due when: dates by hand, distances projected, and what must hold of every history."""

import ast
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import axlewright.core.upkeep
from axlewright.core.errors import CoreError
from axlewright.core.upkeep.due import Due, DueKind, upkeep_due
from axlewright.core.upkeep.events import Event, EventKind, History, OdometerReading
from axlewright.core.upkeep.policy import UpkeepPolicy, Window
from axlewright.core.upkeep.projection import NotProjected, Rate, Reached, Station, odometer_of, rate_of
from axlewright.core.upkeep.rules import DueState, NotDated, RuleName, months_after

MILE = 1609.344
KM = 1000.0
TIRES = ("steer.left", "steer.right", "drive.left.inner", "drive.left.outer", "drive.right.inner", "drive.right.outer")
NEW_YEAR = date(2026, 1, 1)
MAY = date(2026, 5, 14)


def on(days: int) -> date:
    """Return the day so many days after New Year 2026."""
    return NEW_YEAR + timedelta(days=days)


def reading(day: int, km: float, old_km: float | None = None) -> OdometerReading:
    """Return what the odometer showed [km] on a day after New Year 2026."""
    return OdometerReading(on(day), km * KM, None if old_km is None else old_km * KM)


def due(
    *events: Event,
    as_of: date = MAY,
    policy: UpkeepPolicy | None = None,
    odometer: tuple[OdometerReading, ...] = (),
    trips: tuple[date, ...] = (),
) -> tuple[Due, ...]:
    """Return what falls due of a coach with six tires."""
    return upkeep_due(History(TIRES, events, odometer, trips), policy or UpkeepPolicy(), as_of)


def only(items: tuple[Due, ...], kind: DueKind, subject: str = "rig") -> Due:
    """Return the one item of a kind and subject."""
    (item,) = [item for item in items if (item.kind, item.subject) == (kind, subject)]
    return item


def retorques(items: tuple[Due, ...]) -> list[tuple[str, int]]:
    """Return wheel end and part of every retorque."""
    return [(item.subject, item.part) for item in items if item.kind is DueKind.WHEEL_NUT_RETORQUE]


def work(day: int, subject: str = "drive.left", km: float | None = None) -> Event:
    """Return wheel work on a day after New Year 2026."""
    return Event(EventKind.WHEEL_WORK, on(day), subject, None if km is None else km * KM)


def retorque(day: int, subject: str = "drive.left", km: float | None = None) -> Event:
    """Return a retorque on a day after New Year 2026."""
    return Event(EventKind.RETORQUE, on(day), subject, None if km is None else km * KM)


# Months: by hand, on the calendar.


@pytest.mark.parametrize(
    ("start", "months", "expected"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2026, 12, 5), 1, date(2027, 1, 5)),
        (date(2026, 11, 30), 1, date(2026, 12, 30)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2016, 6, 6), 120, date(2026, 6, 6)),
    ],
)
def test_months_are_counted_on_the_calendar(start: date, months: int, expected: date) -> None:
    assert months_after(start, months) == expected


def test_months_beyond_the_calendar_are_refused() -> None:
    with pytest.raises(CoreError, match="beyond the calendar") as refusal:
        months_after(date(9990, 1, 1), 120)
    assert refusal.value.code == "date_out_of_range"


# Odometer: hand, identity, library.


@given(
    km_per_day=st.floats(0.5, 900),
    days=st.lists(st.integers(1, 50), min_size=1, max_size=6),
    start_km=st.floats(0, 500_000),
    ahead=st.integers(0, 700),
)
def test_a_steady_odometer_is_projected_exactly(
    km_per_day: float, days: list[int], start_km: float, ahead: int
) -> None:
    elapsed = [0, *np.cumsum(days).tolist()]
    odometer = odometer_of(History((), odometer=tuple(reading(day, start_km + km_per_day * day) for day in elapsed)))
    target_m = (start_km + km_per_day * (elapsed[-1] + ahead)) * KM
    reached = odometer.reached(target_m)
    assert isinstance(reached, Reached)
    assert (reached.on, reached.is_projected) == (on(elapsed[-1] + ahead), ahead > 0)
    if reached.is_projected and len(days) > 1:
        assert reached.u_days == pytest.approx(0.0, abs=1e-3)


@given(
    ways_km=st.lists(st.floats(0, 2_000), min_size=2, max_size=6),
    days=st.lists(st.integers(1, 40), min_size=6, max_size=6),
    share=st.floats(0, 1),
)
def test_a_way_between_readings_is_reached_between_them(ways_km: list[float], days: list[int], share: float) -> None:
    elapsed = np.cumsum(days).tolist()
    shown = np.cumsum(ways_km).tolist()
    odometer = odometer_of(History((), odometer=tuple(reading(*pair) for pair in zip(elapsed, shown, strict=False))))
    target_m = (shown[0] + share * (shown[-1] - shown[0])) * KM
    reached = odometer.reached(target_m)
    assert isinstance(reached, Reached)
    assert not reached.is_projected
    before = [one.on for one in odometer.stations if one.way_m < target_m * (1 - 1e-8)] or [odometer.stations[0].on]
    after = [one.on for one in odometer.stations if one.way_m >= target_m] or [odometer.stations[-1].on]
    assert before[-1] <= reached.on <= after[0]


def test_a_way_between_two_readings_is_reached_in_proportion() -> None:
    """Hand: 0 km on day 0, 100 km on day 10: 45 km in the course of day 4."""
    odometer = odometer_of(History((), odometer=(reading(0, 0), reading(10, 100))))
    assert odometer.reached(45 * KM) == Reached(on(4), is_projected=False, is_interpolated=True)
    assert odometer.reached(100 * KM) == Reached(on(10), is_projected=False)


def test_the_doubt_of_a_projection_is_that_of_driving_and_of_the_rate() -> None:
    """Hand: 100 km in 10 days, then 200 in 10: 15 km/day, s2 = (50^2/10 + 50^2/10) / 1 = 500 km2/day.

    150 km on: T = 10 days, D = 20 days: u^2 = 500 (10 + 100/20) / 15^2 = 33.33 days2, u = 5.7735 days.
    """
    odometer = odometer_of(History((), odometer=(reading(0, 0), reading(10, 100), reading(20, 300))))
    assert isinstance(odometer.rate, Rate)
    assert odometer.rate.m_per_day == pytest.approx(15 * KM)
    assert odometer.rate.spread_m2_per_day == pytest.approx(500 * KM**2)
    reached = odometer.reached(450 * KM)
    assert isinstance(reached, Reached)
    assert (reached.on, reached.u_days) == (on(30), pytest.approx(5.773503, abs=1e-6))


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 30), st.floats(1, 3_000)), min_size=2, max_size=8))
def test_rate_and_spread_are_those_of_weighted_least_squares(stretches: list[tuple[int, float]]) -> None:
    """Library: numpy's least squares of the stretches' ways on their times, through zero, both over sqrt(time)."""
    times, ways = np.array(stretches, dtype=float).T
    assume(times.sum() <= 365)
    ends = [(0, 0.0), *zip(np.cumsum(times).astype(int).tolist(), np.cumsum(ways).tolist(), strict=True)]
    rate = rate_of(tuple(Station(on(day), way) for day, way in ends))
    roots = np.sqrt(times)
    (slope,), *_ = np.linalg.lstsq((times / roots)[:, np.newaxis], ways / roots)
    squares = float(np.sum((ways / roots - slope * times / roots) ** 2))
    assert isinstance(rate, Rate)
    assert rate.m_per_day == pytest.approx(slope, rel=1e-9)
    assert rate.spread_m2_per_day == pytest.approx(squares / (len(times) - 1), rel=1e-6, abs=1e-6)


def test_the_rate_forgets_what_was_driven_more_than_a_year_ago() -> None:
    odometer = odometer_of(History((), odometer=(reading(0, 0), reading(400, 40_000), reading(500, 41_000))))
    assert isinstance(odometer.rate, Rate)
    assert (odometer.rate.m_per_day, odometer.rate.days) == (pytest.approx(10 * KM), 100)


def test_readings_more_than_a_year_apart_still_give_the_rate_of_their_stretch() -> None:
    odometer = odometer_of(History((), odometer=(reading(0, 0), reading(500, 10_000))))
    assert isinstance(odometer.rate, Rate)
    assert odometer.rate.m_per_day == pytest.approx(20 * KM)


@pytest.mark.parametrize(
    ("readings", "because"),
    [
        ((), NotProjected.TOO_FEW_READINGS),
        ((reading(0, 100),), NotProjected.TOO_FEW_READINGS),
        ((reading(0, 100), reading(0, 140)), NotProjected.TOO_FEW_READINGS),
        ((reading(0, 100), reading(9, 100)), NotProjected.NOT_DRIVEN),
        ((reading(0, 100), reading(9, 100.001)), NotProjected.BEYOND_HORIZON),
    ],
)
def test_without_a_rate_nothing_is_projected(readings: tuple[OdometerReading, ...], because: NotProjected) -> None:
    assert odometer_of(History((), odometer=readings)).reached(200 * KM) is because


def test_the_rounding_of_long_ways_is_no_way_back() -> None:
    """Hand: 643,737.7 km, then another odometer at 0: the first reading is 0 by the scale of the second, nearly."""
    new = OdometerReading(on(1), 0.0, 400_000.1 * MILE + 1e-7)
    odometer = odometer_of(History((), odometer=(OdometerReading(on(0), 400_000.1 * MILE + 3e-7), new)))
    ways = [station.way_m for station in odometer.stations]
    assert ways == sorted(ways)
    assert ways == pytest.approx([0.0, 0.0], abs=1e-6)
    with pytest.raises(CoreError, match="2 m less on 2026-01-02"):
        odometer_of(History((), odometer=(OdometerReading(on(0), 400_000.1 * MILE + 2.0), new)))


def test_an_odometer_that_goes_backwards_is_refused() -> None:
    with pytest.raises(CoreError, match="5000 m less on 2026-01-10 than on 2026-01-02") as refusal:
        due(odometer=(reading(1, 105), reading(9, 100)))
    assert refusal.value.code == "odometer_goes_backwards"


def test_a_replaced_odometer_counts_on() -> None:
    """Hand: 50 km/day to 1,000 km on day 20, a new one from 0; 300 on day 26 is the same rate; +500 takes 10 days."""
    readings = (reading(0, 0), reading(20, 0, old_km=1_000), reading(26, 300))
    odometer = odometer_of(History((), odometer=readings))
    assert [one.way_m / KM for one in odometer.stations] == [-1_000, 0, 300]
    assert isinstance(odometer.rate, Rate)
    assert odometer.rate.m_per_day == pytest.approx(50 * KM)
    assert odometer.reached(800 * KM) == Reached(on(36), is_projected=True, u_days=0.0)


def test_a_replaced_odometer_does_not_lose_what_is_due_by_the_old_one() -> None:
    """Hand: work at 990 km of the old one, which ended at 1,000: 50 mi (80.467 km) on is 70.467 km of the new one."""
    item = only(
        due(work(19, km=990), odometer=(reading(20, 0, old_km=1_000), reading(22, 40))),
        DueKind.WHEEL_NUT_RETORQUE,
        "drive.left",
    )
    assert item.due_at_m == pytest.approx(50 * MILE - 10 * KM)


# Retorque.


def test_wheel_nuts_are_due_at_50_miles_and_overdue_after_100() -> None:
    """Common practice 50 to 100 miles. Hand: at 40.2336 km (25 mi) a day, two days and four days after the work."""
    events = (work(10, km=1_000),)
    readings = (reading(0, 1_000 - 402.336),)
    for day, state in ((11, DueState.LATER), (12, DueState.DUE), (14, DueState.DUE), (15, DueState.OVERDUE)):
        item = only(due(*events, odometer=readings, as_of=on(day)), DueKind.WHEEL_NUT_RETORQUE, "drive.left")
        assert (item.due_on, item.state) == (on(12), state)
        assert item.rules[0].latest_on == on(14)
        assert item.due_at_m == pytest.approx(1_000 * KM + 50 * MILE)


def test_wheel_nuts_driven_past_100_miles_on_the_day_are_overdue_that_day() -> None:
    item = only(due(work(10, km=0), odometer=(reading(10, 200),), as_of=on(10)), *RETORQUE_LEFT)
    assert (item.state, item.due_on) == (DueState.OVERDUE, on(10))


RETORQUE_LEFT = (DueKind.WHEEL_NUT_RETORQUE, "drive.left")


def test_without_odometer_the_retorque_stays_open_and_says_why_it_has_no_date() -> None:
    item = only(due(work(10)), *RETORQUE_LEFT)
    assert (item.due_on, item.due_at_m, item.state) == (None, None, DueState.UNKNOWN)
    assert item.unknown_because == (NotProjected.ODOMETER_AT_EVENT_UNKNOWN,)


def test_with_one_reading_the_retorque_has_a_distance_and_no_date() -> None:
    item = only(due(work(10, km=100)), *RETORQUE_LEFT)
    assert (item.due_on, item.due_at_m) == (None, pytest.approx(100 * KM + 50 * MILE))
    assert item.unknown_because == (NotProjected.TOO_FEW_READINGS,)


def test_whichever_comes_first_date_or_distance_governs() -> None:
    policy = UpkeepPolicy(retorque_days=7)
    slow = only(due(work(10, km=100), odometer=(reading(0, 99),), policy=policy, as_of=on(20)), *RETORQUE_LEFT)
    fast = only(due(work(10, km=1_000), odometer=(reading(0, 0),), policy=policy, as_of=on(20)), *RETORQUE_LEFT)
    lost = only(due(work(10), policy=policy, as_of=on(20)), *RETORQUE_LEFT)
    for item, due_on, rule in (
        (slow, on(17), RuleName.RETORQUE_DATE),
        (fast, on(10), RuleName.RETORQUE_DISTANCE),
        (lost, on(17), RuleName.RETORQUE_DATE),
    ):
        assert item.governing is not None
        assert (item.due_on, item.governing.name) == (due_on, rule)


def test_where_the_event_has_no_odometer_the_readings_around_it_tell() -> None:
    """Hand: 0 km on day 0, 100 km on day 10: 40 km on day 4."""
    item = only(due(work(4), odometer=(reading(0, 0), reading(10, 100))), *RETORQUE_LEFT)
    assert item.due_at_m == pytest.approx(40 * KM + 50 * MILE)


def test_what_was_not_read_is_marked_as_estimated() -> None:
    """Hand: 0 km on day 0, 400 km on day 10; work on day 1 is at 40 km, due at 120.5 km, in the course of day 3."""
    readings = (reading(0, 0), reading(10, 400))
    expected = {(1, None): (on(3), True), (10, None): (on(12), False), (10, 400.0): (on(12), False)}
    for (day, km), (due_on, is_estimated) in expected.items():
        rule = only(due(work(day, km=km), odometer=readings, as_of=on(10)), *RETORQUE_LEFT).rules[0]
        assert (rule.due_on, rule.is_estimated) == (due_on, is_estimated)
    # The odometer was read at the work: the distance is known, the day on which it was passed is not.
    passed = only(due(work(0, km=0), odometer=readings, as_of=on(10)), *RETORQUE_LEFT).rules[0]
    assert (passed.due_at_m, passed.due_on, passed.is_estimated) == (pytest.approx(50 * MILE), on(2), True)


# Hand: ten times 100 mi are 1,609.344 km; ten times 7 days are 70.
@pytest.mark.parametrize(
    ("km", "as_of", "retorque_days", "state"),
    [
        (1_609, on(60), None, DueState.OVERDUE),
        (1_610, on(60), None, DueState.UNKNOWN),
        (300, on(10 + 70), 7, DueState.OVERDUE),
        (300, on(10 + 71), 7, DueState.UNKNOWN),
        (300, on(10 + 71), None, DueState.OVERDUE),
    ],
)
def test_a_retorque_that_lies_far_back_is_not_known_rather_than_overdue(
    km: float, as_of: date, retorque_days: int | None, state: DueState
) -> None:
    fitted_for_its_age = Event(EventKind.TIRE_FITTED, on(10), "drive.left.inner", 5_000 * KM, date(2025, 12, 1))
    policy = UpkeepPolicy(retorque_days=retorque_days)
    item = only(
        due(fitted_for_its_age, odometer=(reading(50, 5_000 + km),), policy=policy, as_of=as_of), *RETORQUE_LEFT
    )
    assert item.state is state
    assert (NotDated.LONG_PAST in item.unknown_because) == (state is DueState.UNKNOWN)
    assert (item.due_on is None) == (state is DueState.UNKNOWN)
    again = only(due(fitted_for_its_age, work(49, km=5_000 + km), odometer=(), as_of=on(49)), *RETORQUE_LEFT)
    assert again.state is DueState.LATER


def test_work_on_an_axle_asks_for_each_of_its_wheel_ends_and_each_is_settled_alone() -> None:
    assert retorques(due(work(10, "drive"))) == [("drive.left", 1), ("drive.right", 1)]
    assert retorques(due(work(10, "drive"), retorque(11, "drive.right"))) == [("drive.left", 1)]
    assert retorques(due(work(10, "drive"), retorque(11, "rig"))) == []


def test_fitting_a_tire_of_a_dual_asks_for_its_wheel_end() -> None:
    assert retorques(due(Event(EventKind.TIRE_FITTED, on(3), "drive.left.inner"))) == [("drive.left", 1)]


def test_work_after_a_retorque_asks_for_another() -> None:
    assert retorques(due(work(10), retorque(11), work(12))) == [("drive.left", 1)]


def test_of_one_day_what_is_given_last_happened_last() -> None:
    assert retorques(due(work(10), retorque(10))) == []
    assert retorques(due(retorque(10), work(10))) == [("drive.left", 1)]


@pytest.mark.parametrize(("km", "left"), [(20, 1), (80, 1), (80.4672, 0), (300, 0)])
def test_nuts_tightened_before_50_miles_are_not_settled(km: float, left: int) -> None:
    """50 mi are 80.4672 km exactly."""
    assert len(retorques(due(work(10, km=100), retorque(11, km=100 + km)))) == left


THREE = UpkeepPolicy(retorque=tuple(Window(miles * MILE, miles * MILE) for miles in (10, 25, 50)))
"""Common practice for trailers: at 10, 25 and 50 miles."""


def test_a_trailers_three_retorques_are_settled_one_by_one_or_by_the_distance_driven() -> None:
    left = "drive.left"
    assert retorques(due(work(1), policy=THREE)) == [(left, 1), (left, 2), (left, 3)]
    assert retorques(due(work(1), retorque(2), policy=THREE)) == [(left, 2), (left, 3)]
    assert retorques(due(work(1), retorque(2), retorque(3), retorque(4), retorque(5), policy=THREE)) == []
    at_30_miles = retorque(2, km=100 + 30 * MILE / KM)
    assert retorques(due(work(1, km=100), at_30_miles, policy=THREE)) == [(left, 3)]


# Pressure checks, tires, weighs: hand, on the calendar.


def checked(day: date, subject: str = "rig") -> Event:
    """Return a check of pressures."""
    return Event(EventKind.PRESSURE_CHECK, day, subject)


def test_a_pressure_check_is_due_a_month_after_the_last_one_of_every_tire() -> None:
    item = only(due(checked(date(2026, 4, 2)), checked(date(2026, 4, 20), "steer")), DueKind.PRESSURE_CHECK)
    assert (item.due_on, item.state) == (date(2026, 5, 2), DueState.OVERDUE)
    later = only(due(checked(date(2026, 4, 20), "steer"), checked(date(2026, 4, 30), "drive")), DueKind.PRESSURE_CHECK)
    assert (later.due_on, later.state) == (date(2026, 5, 20), DueState.LATER)


def test_a_rig_with_a_tire_never_checked_has_no_date_but_says_so() -> None:
    item = only(due(checked(date(2026, 5, 1), "drive")), DueKind.PRESSURE_CHECK)
    assert (item.due_on, item.state, item.unknown_because) == (None, DueState.UNKNOWN, (NotDated.NEVER_RECORDED,))


@pytest.mark.parametrize(
    ("last", "due_on", "rule"),
    [
        (date(2026, 5, 10), date(2026, 5, 16), RuleName.PRESSURE_BEFORE_TRIP),
        (date(2026, 5, 14), date(2026, 5, 16), RuleName.PRESSURE_BEFORE_TRIP),
        (date(2026, 4, 15), date(2026, 5, 15), RuleName.PRESSURE_INTERVAL),
    ],
)
def test_a_trip_asks_for_a_fresh_check(last: date, due_on: date, rule: RuleName) -> None:
    item = only(due(checked(last), trips=(date(2026, 5, 16),)), DueKind.PRESSURE_CHECK)
    assert item.governing is not None
    assert (item.due_on, item.governing.name) == (due_on, rule)


def test_a_check_on_the_eve_serves_the_trip() -> None:
    item = only(due(checked(date(2026, 5, 13)), trips=(date(2026, 5, 14),)), DueKind.PRESSURE_CHECK)
    assert (item.due_on, len(item.rules)) == (date(2026, 6, 13), 1)


def test_a_trip_that_has_started_asks_for_nothing_more() -> None:
    item = only(due(checked(date(2026, 4, 20)), trips=(date(2026, 5, 1),)), DueKind.PRESSURE_CHECK)
    assert (item.due_on, len(item.rules)) == (date(2026, 5, 20), 1)


def fitted(made_on: date | None, on_day: date = date(2018, 3, 1), life_months: int | None = None) -> Event:
    """Return the fitting of tires all round."""
    return Event(EventKind.TIRE_FITTED, on_day, "rig", None, made_on, life_months)


def test_a_tire_is_inspected_from_five_years_and_replaced_at_ten() -> None:
    """Common practice, counted from manufacture (2017-12-04), not from fitting (2018-03-01)."""
    items = due(fitted(date(2017, 12, 4)))
    inspection = only(items, DueKind.TIRE_INSPECTION, "drive.left.inner")
    replacement = only(items, DueKind.TIRE_REPLACEMENT, "drive.left.inner")
    assert (inspection.due_on, inspection.state) == (date(2022, 12, 4), DueState.OVERDUE)
    assert (replacement.due_on, replacement.state) == (date(2027, 12, 4), DueState.LATER)


def test_the_makers_advice_counts_where_it_is_earlier() -> None:
    """Hand: six years after 2017-12-04, ten years otherwise."""
    for life_months, due_on in ((72, date(2023, 12, 4)), (144, date(2027, 12, 4))):
        items = due(fitted(date(2017, 12, 4), life_months=life_months))
        assert only(items, DueKind.TIRE_REPLACEMENT, "steer.left").due_on == due_on


def test_an_inspection_is_followed_by_the_next_a_year_later_but_never_before_five_years() -> None:
    inspected = Event(EventKind.TIRE_INSPECTION, date(2026, 2, 1), "steer")
    items = due(fitted(date(2017, 12, 4)), inspected)
    assert only(items, DueKind.TIRE_INSPECTION, "steer.left").due_on == date(2027, 2, 1)
    assert only(items, DueKind.TIRE_INSPECTION, "drive.left.inner").due_on == date(2022, 12, 4)
    young = due(fitted(date(2025, 1, 6), date(2025, 3, 1)), inspected)
    assert only(young, DueKind.TIRE_INSPECTION, "steer.left").due_on == date(2030, 1, 6)


def test_a_new_tire_starts_anew_and_an_inspection_of_the_old_one_counts_no_more() -> None:
    inspected = Event(EventKind.TIRE_INSPECTION, date(2026, 2, 1))
    items = due(fitted(date(2017, 12, 4)), inspected, fitted(date(2026, 1, 5), date(2026, 3, 1)))
    assert only(items, DueKind.TIRE_INSPECTION, "steer.left").due_on == date(2031, 1, 5)
    assert only(items, DueKind.TIRE_REPLACEMENT, "steer.left").due_on == date(2036, 1, 5)


def test_a_tire_of_unknown_make_date_is_dated_only_where_its_fitting_already_makes_it_too_old() -> None:
    items = due(fitted(None, date(2018, 3, 1)))
    assert only(items, DueKind.TIRE_INSPECTION, "steer.left").due_on == date(2023, 3, 1)
    replacement = only(items, DueKind.TIRE_REPLACEMENT, "steer.left")
    assert (replacement.due_on, replacement.unknown_because) == (None, (NotDated.DATE_CODE_NOT_READ,))


def test_a_tire_never_recorded_is_said_to_be_unknown() -> None:
    assert only(due(), DueKind.TIRE_REPLACEMENT, "steer.left").unknown_because == (NotDated.NO_TIRE_RECORDED,)


def weighed(day: date) -> Event:
    """Return a weigh of the whole rig."""
    return Event(EventKind.WEIGH, day)


def changed(day: date) -> Event:
    """Return a change of the rig."""
    return Event(EventKind.CHANGE, day)


def test_a_weigh_is_due_after_a_year_or_at_once_after_a_change() -> None:
    yearly = only(due(weighed(date(2025, 8, 1))), DueKind.WEIGH)
    assert (yearly.due_on, yearly.state) == (date(2026, 8, 1), DueState.LATER)
    after_change = only(
        due(weighed(date(2025, 8, 1)), changed(date(2026, 5, 14)), changed(date(2026, 2, 1))), DueKind.WEIGH
    )
    assert (after_change.due_on, after_change.state) == (date(2026, 2, 1), DueState.OVERDUE)
    weighed_again = only(
        due(changed(date(2026, 2, 1)), weighed(date(2025, 8, 1)), weighed(date(2026, 2, 1))), DueKind.WEIGH
    )
    assert weighed_again.due_on == date(2027, 2, 1)


def test_a_change_of_a_rig_never_weighed_asks_for_a_weigh_and_says_that_none_is_known() -> None:
    item = only(due(changed(date(2026, 2, 1))), DueKind.WEIGH)
    assert (item.due_on, item.origin, item.unknown_because) == (date(2026, 2, 1), None, (NotDated.NEVER_RECORDED,))


def test_a_weigh_may_be_asked_for_by_distance() -> None:
    """Hand: 100 km a day since the weigh on day 10: 2,000 km on day 30."""
    event = Event(EventKind.WEIGH, on(10), "rig", 1_000 * KM)
    policy = UpkeepPolicy(weigh_after_m=2_000 * KM)
    item = only(due(event, policy=policy, odometer=(reading(0, 0),), as_of=on(12)), DueKind.WEIGH)
    assert (item.due_on, item.due_at_m, item.state) == (on(30), 3_000 * KM, DueState.LATER)


# What must hold whatever the history.

days_past = st.integers(0, 130)
subjects = st.sampled_from(["rig", "steer", "drive", "drive.left", "steer.right", "drive.right.outer"])
kinds = st.sampled_from(list(EventKind))


@st.composite
def histories(draw: st.DrawFn) -> History:
    """Return a history up to 14 May 2026 with an odometer that goes forward."""
    events = []
    for day in sorted(draw(st.lists(days_past, max_size=8))):
        kind = draw(kinds)
        made_on = draw(st.sampled_from([None, date(2015, 6, 1), date(2024, 6, 3)])) if kind == "tire_fitted" else None
        odometer_m = draw(st.one_of(st.none(), st.just(day * 70 * KM + draw(st.floats(0, 60)) * KM)))
        events.append(Event(kind, on(day), draw(subjects), odometer_m, made_on))
    readings = [reading(day, day * 70 + 60) for day in draw(st.lists(days_past, max_size=3, unique=True))]
    trips = [on(134 + day) for day in draw(st.lists(days_past, max_size=2))]
    return History(TIRES, tuple(events), tuple(readings), tuple(trips))


every_rule = UpkeepPolicy(retorque_days=14, weigh_after_m=3_000 * KM)


@settings(max_examples=80, deadline=None)
@given(histories())
def test_nothing_is_due_later_than_any_of_its_rules_and_each_unknown_is_told(history: History) -> None:
    keys = set()
    for item in upkeep_due(history, every_rule, MAY):
        keys.add((item.kind, item.subject, item.part))
        dates = [rule.due_on for rule in item.rules if rule.due_on is not None]
        assert item.due_on == (min(dates) if dates else None)
        assert all((rule.due_on is None) == (rule.unknown_because is not None) for rule in item.rules)
        if item.due_on is not None and item.due_on > MAY:
            assert item.state in (DueState.LATER, DueState.UNKNOWN)
        if item.due_on is not None and item.due_on <= MAY:
            assert item.state in (DueState.DUE, DueState.OVERDUE)
    assert len(keys) == len(upkeep_due(history, every_rule, MAY))


@settings(max_examples=50, deadline=None)
@given(histories(), st.sampled_from(TIRES))
def test_what_settles_an_item_removes_it(history: History, tire: str) -> None:
    settled_by = {
        DueKind.WHEEL_NUT_RETORQUE: [Event(EventKind.RETORQUE, MAY, tire)],
        DueKind.PRESSURE_CHECK: [checked(MAY)],
        DueKind.WEIGH: [weighed(MAY)],
        DueKind.TIRE_REPLACEMENT: [fitted(date(2026, 4, 6), MAY)],
    }
    for kind, settling in settled_by.items():
        before = upkeep_due(history, every_rule, MAY)
        after = upkeep_due(History(TIRES, (*history.events, *settling), history.odometer), every_rule, MAY)
        for item in before:
            concerned = item.kind is kind and settling[0].kind is not EventKind.RETORQUE
            if concerned or (item.kind is kind and tire.startswith(item.subject)):
                left = [one for one in after if (one.kind, one.subject) == (item.kind, item.subject)]
                assert all(one.origin == settling[0] for one in left)
                assert all(one.state in (DueState.LATER, DueState.UNKNOWN) for one in left)


@settings(max_examples=50, deadline=None)
@given(histories(), st.integers(0, 400))
def test_looking_later_changes_no_date_but_those_of_trips(history: History, days: int) -> None:
    untraveled = History(history.tires, history.events, history.odometer)
    now = {(one.kind, one.subject, one.part): one for one in upkeep_due(untraveled, every_rule, MAY)}
    later = upkeep_due(untraveled, every_rule, MAY + timedelta(days=days))
    assert {(one.kind, one.subject, one.part) for one in later} == set(now)
    for item in later:
        earlier = now[item.kind, item.subject, item.part]
        if NotDated.LONG_PAST in earlier.unknown_because:
            assert item == earlier
        if NotDated.LONG_PAST in item.unknown_because:
            continue
        if earlier.due_on is not None:
            assert item.due_on == earlier.due_on
        if earlier.state is DueState.OVERDUE:
            assert item.state is DueState.OVERDUE


# Refusals.


@pytest.mark.parametrize(
    ("events", "code"),
    [
        ([Event(EventKind.WEIGH, date(2026, 5, 15))], "event_after_today"),
        ([Event(EventKind.WHEEL_WORK, MAY, "tag.left")], "subject_unknown"),
        ([Event(EventKind.WHEEL_WORK, MAY, "driv")], "subject_unknown"),
        ([fitted(date(2018, 3, 2), date(2018, 3, 1))], "tire_made_after_fitting"),
        ([Event(EventKind.WEIGH, MAY, "rig", -1.0)], "odometer_out_of_range"),
        ([Event(EventKind.WEIGH, MAY, "rig", float("nan"))], "odometer_out_of_range"),
        ([Event(EventKind.WEIGH, date(202, 5, 14))], "date_out_of_range"),
    ],
)
def test_what_cannot_be_is_refused(events: list[Event], code: str) -> None:
    with pytest.raises(CoreError) as refusal:
        due(*events)
    assert refusal.value.code == code


@pytest.mark.parametrize(
    ("policy", "field"),
    [
        (UpkeepPolicy(pressure_check_months=0), "pressure_check_months"),
        (UpkeepPolicy(tire_replacement_months=1_201), "tire_replacement_months"),
        (UpkeepPolicy(retorque_days=-1), "retorque_days"),
        (UpkeepPolicy(weigh_after_m=float("nan")), "weigh_after_m"),
        (UpkeepPolicy(retorque=(Window(2.0, 1.0),)), "retorque"),
        (UpkeepPolicy(retorque=(Window(2.0, 3.0), Window(2.0, 3.0))), "retorque"),
    ],
)
def test_an_interval_that_is_none_is_refused(policy: UpkeepPolicy, field: str) -> None:
    with pytest.raises(CoreError) as refusal:
        due(policy=policy)
    assert (refusal.value.code, refusal.value.field) == ("interval_out_of_range", field)


def test_a_rule_that_is_not_wanted_asks_for_nothing() -> None:
    policy = UpkeepPolicy(
        pressure_check_months=None,
        pressure_check_before_trip_days=None,
        tire_replacement_months=None,
        weigh_months=None,
        retorque=(),
    )
    assert {item.kind for item in due(work(1), policy=policy, trips=(MAY,))} == {DueKind.TIRE_INSPECTION}


def test_upkeep_reads_no_clock() -> None:
    sources = sorted(Path(axlewright.core.upkeep.__file__).parent.glob("*.py"))
    assert len(sources) > 5
    for source in sources:
        names = {node.attr for node in ast.walk(ast.parse(source.read_text())) if isinstance(node, ast.Attribute)}
        assert not names & {"today", "now", "utcnow", "fromtimestamp", "time"}, source
