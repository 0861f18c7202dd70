"""What must hold of every trip: bounds kept, fewest corrections, and the physics of cold and high places."""

from itertools import combinations
from math import inf, nan

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.atmosphere import pressure_pa
from axlewright.core.inflation.fillings import Bounds, Stop, TripFill
from axlewright.core.inflation.itinerary import Itinerary, NoFill, itinerary
from axlewright.core.inflation.setting import NoSetting, setting
from axlewright.core.policy import Conditions, Fill, Soak

SAME = 1e-7
"""Pressures so close, as a share, are the same: more than the guard, less than any gauge shows."""


def coarse(low: float, high: float, step: float) -> st.SearchStrategy[float]:
    """Return values so far apart that no two bounds all but coincide, where the guard alone would decide."""
    return st.integers(round(low / step), round(high / step)).map(lambda steps: steps * step)


def kelvins(low: float, high: float) -> st.SearchStrategy[float]:
    return coarse(low, high, 0.1)


def meters(low: float, high: float) -> st.SearchStrategy[float]:
    return coarse(low, high, 1.0)


@st.composite
def stops(draw: st.DrawFn) -> Stop:
    coldest_k = draw(kelvins(240.0, 305.0))
    return Stop("stop", draw(meters(-100.0, 3_500.0)), coldest_k, coldest_k + draw(kelvins(0.0, 20.0)))


@st.composite
def bounds(draw: st.DrawFn, widest: float = 0.35) -> Bounds:
    least_pa = draw(coarse(250e3, 700e3, 500.0))
    ceiling_pa = least_pa * (1 + draw(coarse(0.02, widest, 0.01)))
    return Bounds(least_pa, least_pa + draw(coarse(0.0, 1.0, 0.05)) * (ceiling_pa - least_pa), ceiling_pa)


@st.composite
def drifting_trips(draw: st.DrawFn) -> list[Stop]:
    """Return up to six stops, each not far from the one before in weather and altitude: most legs can be served."""
    coldest_k, altitude_m = draw(kelvins(265.0, 295.0)), draw(meters(0.0, 2_000.0))
    warming_k = draw(st.sampled_from([-10.0, 0.0, 10.0]))
    trip = []
    for place in range(draw(st.integers(1, 6))):
        coldest_k += warming_k + draw(kelvins(-4.0, 4.0))
        altitude_m += draw(meters(-300.0, 300.0))
        trip.append(Stop(f"stop {place}", altitude_m, coldest_k, coldest_k + draw(kelvins(0.0, 6.0))))
    return trip


trips = st.lists(stops(), min_size=1, max_size=6) | drifting_trips()
fills = st.builds(Fill, kelvins(265.0, 330.0), meters(-100.0, 3_000.0), st.none() | kelvins(260.0, 310.0))
steps_pa = st.sampled_from([1_000.0, 6_894.757, 10_000.0])


def gas_of(gauge_pa: float, kelvin: float, altitude_m: float) -> float:
    """Return what stays the same in a tire: absolute pressure over absolute temperature [Pa/K]."""
    return (gauge_pa + pressure_pa(altitude_m)) / kelvin


def gauge_of(gas: float, kelvin: float, altitude_m: float) -> float:
    return gas * kelvin - pressure_pa(altitude_m)


def keeps(gas: float, place: tuple[float, float, float], kept: Bounds) -> bool:
    """Return whether a gas stays in bounds at a place (altitude, coldest, hottest)."""
    altitude_m, coldest_k, hottest_k = place
    return gauge_of(gas, coldest_k, altitude_m) >= kept.least_pa * (1 - SAME) and gauge_of(
        gas, hottest_k, altitude_m
    ) <= kept.ceiling_pa * (1 + SAME)


def at(stop: Stop) -> tuple[float, float, float]:
    return stop.altitude_m, stop.coldest_k, stop.hottest_k


def gas_in(filling: TripFill) -> float:
    return gas_of(filling.gauge_pa, filling.tire_temperature_k, filling.altitude_m)


def can_serve(places: list[tuple[float, float, float]], kept: Bounds, slack: float = SAME) -> bool:
    """Return whether one gas keeps all places, by the ends of the gases that each of them allows."""
    low = max(gas_of(kept.least_pa, coldest_k, altitude_m) for altitude_m, coldest_k, _ in places)
    high = min(gas_of(kept.ceiling_pa, hottest_k, altitude_m) for altitude_m, _, hottest_k in places)
    return low <= high * (1 + slack)


def fewest_by_trying_all(
    trip: list[Stop], fill: Fill, kept: Bounds, present_gas: float | None
) -> tuple[int, int] | None:
    """Return how few stops are reached out of bounds and how few fillings that takes; None if none serves.

    Over every choice of stops before which tires are filled: before leaving the place before, at its coldest; or, out
    of bounds until then, at the stop itself. Place 0 is the filling place, i is the stop i (from 1).
    """
    own = [(fill.altitude_m, fill.cold_temperature_k, fill.cold_temperature_k)]
    own += [(stop.altitude_m, stop.coldest_k, stop.coldest_k) for stop in trip]
    may_be_driven = present_gas is not None and keeps(present_gas, own[0], kept)
    plans = []
    for count in range(len(trip) + 1):
        for chosen in combinations(range(len(trip)), count):
            first = chosen[0] if chosen else len(trip)
            if first > 0 and not (
                present_gas is not None
                and may_be_driven
                and all(keeps(present_gas, at(stop), kept) for stop in trip[:first])
            ):
                continue
            legs = [
                list(map(at, trip[start:end])) for start, end in zip(chosen, [*chosen[1:], len(trip)], strict=False)
            ]
            if all(can_serve(leg, kept) for leg in legs):
                late = [not can_serve([own[start], *leg], kept) for start, leg in zip(chosen, legs, strict=True)]
                to_drive_off = bool(late) and chosen[0] == 0 and late[0] and not may_be_driven
                plans.append((sum(late), count + to_drive_off))
    return min(plans, default=None)


def are_late(answer: Itinerary) -> list[bool]:
    """Return of each filling whether it is made at a stop that none before it serves."""
    reached, late = -1, []
    if answer.present is not None and answer.fills and answer.fills[0].before_leaving is not None:
        outside = [each.is_below_least or each.is_above_most for each in answer.present.series]
        reached = outside.index(True) - 1
    for filling in answer.fills or ():
        late.append(filling.before_leaving is not None and filling.before_leaving > reached)
        reached = reached if filling.through is None else filling.through
    return late


@settings(max_examples=200, deadline=None)
@given(trips, fills, bounds(), steps_pa)
def test_no_fill_is_recommended_outside_floor_and_ceiling(
    trip: list[Stop], fill: Fill, kept: Bounds, step_pa: float
) -> None:
    answer = itinerary(trip, fill, kept, step_pa)
    corrected = []
    for filling, is_late in zip(answer.fills or (), are_late(answer), strict=True):
        gas = gas_in(filling)
        after = -1 if filling.before_leaving is None else filling.before_leaving
        departure = (
            (fill.altitude_m, fill.cold_temperature_k, fill.cold_temperature_k)
            if filling.before_leaving is None
            else (trip[after].altitude_m, trip[after].coldest_k, trip[after].coldest_k)
        )
        served = [] if filling.through is None else trip[after + (not is_late) : filling.through + 1]
        corrected += [after] if is_late else []
        assert served or filling.through is None
        assert all(keeps(gas, place, kept) for place in [departure, *map(at, served)])
        assert filling.range.lowest_pa * (1 - SAME) <= filling.gauge_pa <= filling.range.highest_pa * (1 + SAME)
    for place, point in enumerate(answer.series or ()):
        assert (point.is_below_least or point.is_above_most) == (place in corrected)
    assert len(answer.series or trip) == len(trip)


@settings(max_examples=200, deadline=None)
@given(drifting_trips(), fills, st.booleans(), bounds(0.2), st.none() | coarse(-0.3, 1.3, 0.05))
def test_corrections_are_as_few_as_by_trying_all_places(
    trip: list[Stop], fill: Fill, near: bool, kept: Bounds, present_share: float | None
) -> None:
    if near:
        fill = Fill(trip[0].hottest_k, trip[0].altitude_m)
    present_pa = present_gas = None
    if present_share is not None:
        cold_pa = kept.least_pa + present_share * (kept.ceiling_pa - kept.least_pa)
        present_gas = gas_of(cold_pa, fill.cold_temperature_k, fill.altitude_m)
        present_pa = gauge_of(present_gas, fill.tire_temperature_k, fill.altitude_m)
    answer = itinerary(trip, fill, kept, 1_000.0, present_pa)
    fewest = fewest_by_trying_all(trip, fill, kept, present_gas)
    assert (None if answer.fills is None else (sum(are_late(answer)), len(answer.fills))) == fewest
    assert (answer.fills is None) == (answer.out_of_reach is not None)
    if answer.fills is None:
        assert not all(can_serve([at(stop)], kept, -SAME) for stop in trip)


@settings(max_examples=150, deadline=None)
@given(trips, fills, bounds())
def test_the_ends_of_the_range_serve_and_beyond_them_nothing_does(trip: list[Stop], fill: Fill, kept: Bounds) -> None:
    answer = itinerary(trip, fill, kept, 1_000.0)
    places = [(fill.altitude_m, fill.cold_temperature_k, fill.cold_temperature_k), *map(at, trip)]
    if answer.one_fill is None:
        assert not can_serve(places, kept, -SAME)
        return
    for end_pa, beyond_pa in (
        (answer.trip.lowest_pa, answer.trip.lowest_pa - 10.0),
        (answer.trip.highest_pa, answer.trip.highest_pa + 10.0),
    ):
        end, beyond = (gas_of(pa, fill.tire_temperature_k, fill.altitude_m) for pa in (end_pa, beyond_pa))
        assert all(keeps(end, place, kept) for place in places)
        assert not all(keeps(beyond, place, kept) for place in places)


@settings(max_examples=200, deadline=None)
@given(trips, fills, bounds(), steps_pa)
def test_the_recommended_pressure_is_held_everywhere_exactly_where_it_can_be(
    trip: list[Stop], fill: Fill, kept: Bounds, step_pa: float
) -> None:
    one_fill = itinerary(trip, fill, kept, step_pa).one_fill
    assume(one_fill is not None)
    assert one_fill is not None
    gas = gas_in(one_fill)
    places = [(fill.altitude_m, fill.cold_temperature_k, fill.cold_temperature_k), *map(at, trip)]
    held = Bounds(kept.cold_pa, kept.cold_pa, kept.ceiling_pa)
    assert all(keeps(gas, place, held) for place in places) or not one_fill.range.holds_recommended
    if one_fill.range.holds_recommended:
        assert can_serve(places, held)
    else:
        assert not can_serve(places, held, -SAME)
    if one_fill.range.holds_recommended:
        assert one_fill.gauge_pa < one_fill.range.recommended_pa + step_pa * (1 + SAME)
    else:
        assert one_fill.range.highest_pa - step_pa * (1 + SAME) < one_fill.gauge_pa


@given(stops(), fills, bounds(), kelvins(0.0, 30.0))
def test_a_colder_stop_never_shows_more_at_one_altitude(
    stop: Stop, fill: Fill, kept: Bounds, colder_by_k: float
) -> None:
    colder = Stop(stop.name, stop.altitude_m, stop.coldest_k - colder_by_k, stop.hottest_k - colder_by_k)
    present = itinerary([stop, colder], fill, kept, 1_000.0, 500e3).present
    assert present is not None
    warm, cold = present.series
    assert cold.coldest_pa <= warm.coldest_pa
    assert cold.hottest_pa <= warm.hottest_pa
    assert warm.coldest_pa <= warm.hottest_pa


@given(stops(), fills, bounds(), meters(0.0, 400.0))
def test_a_lower_stop_never_shows_more_at_one_temperature(
    stop: Stop, fill: Fill, kept: Bounds, lower_by_m: float
) -> None:
    lower = Stop(stop.name, stop.altitude_m - lower_by_m, stop.coldest_k, stop.hottest_k)
    present = itinerary([stop, lower], fill, kept, 1_000.0, 500e3).present
    assert present is not None
    assert present.series[1].coldest_pa <= present.series[0].coldest_pa


KEPT = Bounds(500e3, 520e3, 600e3)
SHOP = Fill(293.15, 0.0)


def trip_of(*ranges_k: tuple[float, float]) -> list[Stop]:
    return [Stop(f"stop {place}", 0.0, *range_k) for place, range_k in enumerate(ranges_k)]


def test_the_ends_name_the_stops_that_set_them() -> None:
    """Hand: lowest (500 + 101.325) x 293.15/278.15 - 101.325 = 532.429 kPa from the coldest stop, highest
    (600 + 101.325) x 293.15/303.15 - 101.325 = 576.865 kPa from the hottest; 520 kPa is held from 553.507 kPa on.
    """
    answer = itinerary(trip_of((283.15, 293.15), (278.15, 288.15), (288.15, 303.15)), SHOP, KEPT, 5_000.0)
    assert answer.one_fill is not None
    assert answer.trip.lowest_pa == pytest.approx(532_429, abs=5)
    assert answer.trip.highest_pa == pytest.approx(576_865, abs=5)
    assert answer.trip.recommended_pa == pytest.approx(553_507, abs=5)
    assert (answer.trip.lowest_from, answer.trip.highest_from) == (1, 2)
    assert answer.one_fill.gauge_pa == 555_000.0
    assert (answer.because, answer.fills) == (None, (answer.one_fill,))
    assert answer.series is not None
    assert [point.name for point in answer.series] == ["stop 0", "stop 1", "stop 2"]


def test_a_step_too_coarse_for_the_range_is_left_for_the_exact_reading() -> None:
    """Hand: as above 553.507 kPa holds 520, and no multiple of 50 kPa lies from there to 576.865; with 560 kPa
    recommended and 541 as the least none lies from (541 + 101.325) x 293.15/278.15 - 101.325 = 575.639 to 576.865.
    """
    trip = trip_of((278.15, 303.15))
    answer = itinerary(trip, SHOP, KEPT, 50_000.0)
    assert answer.one_fill is not None
    assert answer.one_fill.gauge_pa == pytest.approx(553_507, abs=5)
    tight = itinerary(trip, SHOP, Bounds(541e3, 560e3, 600e3), 50_000.0)
    assert tight.one_fill is not None
    assert tight.one_fill.gauge_pa == tight.trip.highest_pa == pytest.approx(576_865, abs=5)


@pytest.mark.parametrize(("step_pa", "set_pa"), [(1_000.0, 576_000.0), (5_000.0, 575_000.0), (50_000.0, 550_000.0)])
def test_a_recommended_pressure_missed_by_a_hair_gives_the_highest_that_serves_not_the_least(
    step_pa: float, set_pa: float
) -> None:
    """Hand: as above lowest 532.429, highest 576.865; (542 + 101.325) x 293.15/278.15 - 101.325 = 576.693 kPa
    holds 542, 577.747 would hold 543. Steps down from 576.865: 576 by 1 kPa, 575 by 5, 550 by 50 kPa.
    """
    trip = trip_of((283.15, 293.15), (278.15, 288.15), (288.15, 303.15))
    answer = itinerary(trip, SHOP, Bounds(500e3, 543e3, 600e3), step_pa)
    assert answer.one_fill is not None
    assert answer.one_fill.range.recommended_pa == pytest.approx(577_747, abs=5)
    assert answer.one_fill.gauge_pa == pytest.approx(set_pa, abs=1e-3)
    held = itinerary(trip, SHOP, Bounds(500e3, 542e3, 600e3), 100.0).one_fill
    assert held is not None
    assert held.gauge_pa == pytest.approx(576_700, abs=1e-3)


@settings(max_examples=200, deadline=None)
@given(fills, st.builds(Soak, kelvins(240.0, 310.0), meters(-100.0, 3_500.0)), bounds(), st.data())
def test_the_setting_of_the_recommendation_is_the_fill_for_a_trip_to_its_coldest_soak(
    fill: Fill, soak: Soak, kept: Bounds, data: st.DataObject
) -> None:
    """Identity: one rule for both rooms, within the step of the itinerary."""
    step_pa = data.draw(st.sampled_from([100.0, 1_000.0]))
    stop = Stop("soak", soak.altitude_m, soak.ambient_temperature_k, soak.ambient_temperature_k)
    one_fill = itinerary([stop], fill, kept, step_pa).one_fill
    now = setting(kept.cold_pa, kept.least_pa, kept.ceiling_pa, Conditions(fill, soak))
    assert (now.because is NoSetting.NO_FILL_SERVES) == (one_fill is None)
    if one_fill is not None:
        assert now.gauge_pa == pytest.approx(one_fill.gauge_pa, abs=step_pa * (1 + SAME))
        assert now.holds_when_coldest == one_fill.range.holds_recommended


def test_winter_to_desert_is_corrected_at_the_last_stop_in_range() -> None:
    """Hand, at sea level: what holds 500 kPa at 258.15 K has at least 601.325/258.15 = 2.3294 kPa/K and passes
    600 kPa above 701.325/2.3294 = 301.1 K: not yet at the second stop's 298.15 K, but at the third's 303.15 K.
    """
    answer = itinerary(trip_of((258.15, 268.15), (278.15, 298.15), (285.15, 303.15)), SHOP, KEPT, 100.0)
    assert answer.fills is not None
    assert answer.one_fill is None
    assert answer.because is NoFill.CORRECTIONS_NEEDED
    assert [(each.before_leaving, each.through) for each in answer.fills] == [(None, 1), (1, 2)]
    assert answer.fills[1].tire_temperature_k == 278.15
    assert (answer.trip.lowest_from, answer.trip.highest_from) == (0, 2)
    assert answer.trip.is_empty


def unserved(answer: Itinerary) -> tuple[NoFill | None, int | None]:
    assert answer.fills is answer.series is None
    return answer.because, answer.out_of_reach


def test_what_no_correction_can_serve_is_said_with_its_stop() -> None:
    """Hand: 601.325 kPa at 253.15 K is 732 kPa at 308.15 K, above 701.325 kPa: no fill for such a stop."""
    too_wide = itinerary(trip_of((283.15, 293.15), (253.15, 308.15)), SHOP, KEPT, 100.0)
    assert unserved(too_wide) == (NoFill.STOP_TOO_WIDE, 1)


def test_a_stop_that_no_filling_before_it_serves_is_corrected_there() -> None:
    """Hand: a stop at 308.15 K may hold 701.325 kPa at most, which is 576.1 kPa at 253.15 K, under the least of
    601.325: the cold stop must be filled there, to 520 kPa at its own 253.15 K. With 520 kPa at 308.15 K it shows there
    621.325 x 253.15/308.15 - 101.325 = 409.103 kPa.
    """
    answer = itinerary(trip_of((308.15, 308.15), (253.15, 253.15)), Fill(308.15, 0.0), KEPT, 100.0)
    assert answer.fills is not None
    assert answer.series is not None
    assert [(each.before_leaving, each.through, each.gauge_pa) for each in answer.fills] == [
        (None, 0, pytest.approx(520e3)),
        (1, 1, pytest.approx(520e3)),
    ]
    assert [point.is_below_least for point in answer.series] == [False, True]
    assert answer.series[1].coldest_pa == pytest.approx(409_103, abs=5)
    assert (answer.because, answer.out_of_reach) == (NoFill.CORRECTIONS_NEEDED, None)


def test_a_first_stop_out_of_reach_still_needs_a_filling_to_drive_off() -> None:
    """Hand: as above; the filling serves no stop. Where the present one is within bounds, nothing is filled before."""
    cold = trip_of((253.15, 253.15))
    answer, held = (itinerary(cold, Fill(308.15, 0.0), KEPT, 100.0, present_pa) for present_pa in (None, 550e3))
    assert answer.fills is not None
    assert [(each.before_leaving, each.through) for each in answer.fills] == [(None, None), (0, 0)]
    assert held.fills is not None
    assert held.present is not None
    assert [(each.before_leaving, each.through) for each in held.fills] == [(0, 0)]
    assert held.series == held.present.series


def test_the_present_filling_that_serves_needs_no_other() -> None:
    answer = itinerary(trip_of((283.15, 293.15)), SHOP, KEPT, 100.0, present_pa=540e3)
    assert answer.present is not None
    assert (answer.present.serves, answer.fills) == (True, ())
    low = itinerary(trip_of((283.15, 293.15)), SHOP, KEPT, 100.0, present_pa=510e3)
    assert low.present is not None
    assert low.present.series[0].is_below_least
    assert low.fills == (low.one_fill,)


def test_a_present_filling_out_of_range_is_not_carried_to_a_place_that_would_forgive_it() -> None:
    """Hand: 480 kPa in the shop is under 500, at 305.15 K it shows 581.325 x 305.15/293.15 - 101.325 = 503.8 kPa.
    No one fill: the most at 305.15 K is 701.325/305.15 = 2.2983 kPa/K, the least at 260 K is 601.325/260 = 2.3128.
    """
    trip = trip_of((305.15, 305.15), (283.15, 283.15), (260.0, 260.0))
    answer = itinerary(trip, SHOP, KEPT, 100.0, present_pa=480e3)
    assert answer.fills is not None
    assert [each.before_leaving for each in answer.fills] == [None, 1]


def test_a_tire_warm_from_running_is_filled_above_the_ceiling_of_cold_ones() -> None:
    """Hand: 600 kPa cold at 293.15 K shows 701.325 x 333.15/293.15 - 101.325 = 695.695 kPa at 333.15 K."""
    answer = itinerary(trip_of((288.15, 293.15)), Fill(333.15, 0.0, 293.15), KEPT, 100.0)
    assert answer.trip.highest_pa == pytest.approx(695_695, abs=5)


@pytest.mark.parametrize(
    ("trip", "kept", "step_pa", "field"),
    [
        ([], KEPT, 100.0, "stops"),
        (trip_of((290.0, 289.0)), KEPT, 100.0, "coldest_k"),
        (trip_of((nan, 289.0)), KEPT, 100.0, "coldest_k"),
        (trip_of((280.0, 290.0)), Bounds(500e3, 490e3, 600e3), 100.0, "bounds"),
        (trip_of((280.0, 290.0)), Bounds(500e3, 610e3, 600e3), 100.0, "bounds"),
        (trip_of((280.0, 290.0)), Bounds(0.0, 500e3, 600e3), 100.0, "bounds"),
        (trip_of((280.0, 290.0)), Bounds(500e3, 510e3, inf), 100.0, "bounds"),
        (trip_of((280.0, 290.0)), KEPT, 0.0, "step_pa"),
        ([Stop("too high", 12_000.0, 280.0, 290.0)], KEPT, 100.0, "altitude_m"),
    ],
)
def test_an_impossible_trip_is_refused(trip: list[Stop], kept: Bounds, step_pa: float, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        itinerary(trip, SHOP, kept, step_pa)
    assert refusal.value.field == field
