"""What came or left between passes: loads as if it had not, with the doubt of it; figures by hand."""

from math import hypot, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.estimates import Estimate
from axlewright.core.rig import CouplingKind, CouplingState, Place
from axlewright.core.sessions.passes import PassChange, Reading, WeighSession
from axlewright.core.sessions.reconcile import reconcile
from tests.coupled_yard import (
    CAMPER,
    FRONT,
    HITCHED,
    LEVELLED,
    REAR,
    SOLO,
    TRUE_LB,
    WHEELS,
    coupled_rig,
    read,
    true_readings,
    weighed,
)
from tests.yard import INCH, LB, reading, session

SEAT = Place("driver_seat", 40 * INCH, -20 * INCH)
"""A quarter of the wheelbase behind the front axle: that carries 3/4 of what sits there."""
BAY = Place("bay", 100 * INCH, 0.0)
"""Half-way from the ball to the camper's axle."""

BY_HAND_OF_ONE_READING = 400 / 3 + 400 / 12 + 100
"""lb2: a tolerance of 20 lb (rectangular), rounding to 20 lb, placement of 10 lb."""


def driver(
    pass_name: str = "solo", mass_lb: float = -160.0, u_lb: float | None = None, what: str = "driver"
) -> PassChange:
    """Return the driver outside, or otherwise, in a pass."""
    return PassChange(pass_name, what, mass_lb * LB, None if u_lb is None else u_lb * LB, "van", SEAT)


def with_changes(readings: list[Reading], *changes: PassChange) -> WeighSession:
    return structs.replace(session(*readings), changes=changes)


def loads_lb(weigh: WeighSession, *names: str) -> list[float]:
    estimates = reconcile(coupled_rig(), weigh).estimates
    return [known(estimates.known(dict.fromkeys(WHEELS[name], 1.0))).value / LB for name in names]


def known(estimate: object) -> Estimate:
    assert isinstance(estimate, Estimate), estimate
    return estimate


def front_u_lb(weigh: WeighSession) -> float:
    estimate = known(reconcile(coupled_rig(), weigh).estimates.known(dict.fromkeys(FRONT, 1.0)))
    assert estimate.u is not None
    return estimate.u / LB


def test_a_driver_outside_is_put_back_to_the_seat() -> None:
    """Hand: 160 lb at 40 of 160 in: 120 lb on the front axle, 40 lb on the rear."""
    outside = with_changes(read(SOLO, {"front": 3280, "rear": 3160}), driver())
    assert loads_lb(outside, "front", "rear") == pytest.approx([3400, 3200], rel=1e-9)


def test_what_came_aboard_for_a_pass_is_taken_off() -> None:
    """Hand: the same seat, somebody in it who does not travel: 120 and 40 lb less."""
    visited = with_changes(read(SOLO, {"front": 3520, "rear": 3240}), driver(mass_lb=160))
    assert loads_lb(visited, "front", "rear") == pytest.approx([3400, 3200], rel=1e-9)


def test_a_seat_on_the_left_gives_its_load_to_the_left() -> None:
    """Hand: tracks and ratings give roll shares 4,500 : 6,000; front left gains 60 + 160 x 20 x (3/7)/66 = 80.78 lb."""
    left, right = FRONT
    readings = [reading("side", "A", 1619.22, left), reading("side", "B", 1660.78, right)]
    front_left = known(reconcile(coupled_rig(), with_changes(readings, driver("side"))).estimates.known({left: 1.0}))
    assert front_left.value / LB == pytest.approx(1700.0, abs=0.005)


def test_a_pass_without_a_change_is_left_as_it_was() -> None:
    """The driver leaves for the second pass only; both then agree on 3,400 lb, exactly."""
    weigh = with_changes(read(SOLO, {"front": 3400}, "first") + read(SOLO, {"front": 3280}, "second"), driver("second"))
    reconciliation = reconcile(coupled_rig(), weigh)
    assert known(reconciliation.estimates.known(dict.fromkeys(FRONT, 1.0))).value == pytest.approx(3400 * LB, rel=1e-9)
    (part,) = reconciliation.parts
    assert part.statistic == pytest.approx(0.0, abs=1e-12)
    uncorrected = reconcile(coupled_rig(), with_changes(list(weigh.readings)))
    assert uncorrected.parts[0].failed


def test_what_was_read_stays_what_was_read() -> None:
    """The fit of a reading is told with the driver still outside."""
    weigh = with_changes(read(SOLO, {"front": 3400}, "first") + read(SOLO, {"front": 3280}, "second"), driver("second"))
    (part,) = reconcile(coupled_rig(), weigh).parts
    assert [check.fitted_kg / LB for check in part.checks] == pytest.approx([3400, 3280], rel=1e-9)
    assert [check.by_others_kg for check in part.checks] == pytest.approx([3400 * LB, 3280 * LB], rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(
    mass_lb=st.floats(-400, 400),
    aft_in=st.floats(-40, 300),
    right_in=st.floats(-40, 40),
    hitched=st.sampled_from([SOLO, HITCHED, LEVELLED]),
)
def test_exact_changes_of_the_tow_vehicle_leave_exact_loads(
    mass_lb: float, aft_in: float, right_in: float, hitched: CouplingState
) -> None:
    """Lever rule: the front axle carries (160 - aft)/160 of the mass; hitched no less."""
    put_in_lb = {"front": mass_lb * (160 - aft_in) / 160, "rear": mass_lb * aft_in / 160}
    change = PassChange(
        str(hitched), "load", mass_lb * LB, 0.0, "van", Place("somewhere", aft_in * INCH, right_in * INCH)
    )
    readings = [
        structs.replace(
            each,
            value_kg=each.value_kg
            + (each.state is hitched)
            * sum(put_in_lb[what] for what in put_in_lb if each.wheels == frozenset(WHEELS[what]))
            * LB,
        )
        for each in true_readings()
    ]
    states = weighed(coupled_rig(), with_changes(readings, change))[1].states
    for state, expected_lb in TRUE_LB.items():
        for what, load_lb in expected_lb.items():
            load = known(states[state].known(dict.fromkeys(WHEELS[what], 1.0)))
            assert load.value == pytest.approx(load_lb * LB, rel=1e-7), (state, what)


# Doubt.


def test_the_doubt_of_a_mass_nobody_stated_is_a_twentieth_of_it() -> None:
    """Hand, lb: 8 lb of 160, 3/4 on the front axle: 6; the seat 1 in off: 160/160 = 1; beside the reading's own."""
    outside = read(SOLO, {"front": 3280})
    own = BY_HAND_OF_ONE_READING
    assert front_u_lb(with_changes(outside)) == pytest.approx(sqrt(own), rel=1e-9)
    assert front_u_lb(with_changes(outside, driver())) == pytest.approx(sqrt(own + 36 + 1), rel=1e-9)
    assert front_u_lb(with_changes(outside, driver(u_lb=8))) == pytest.approx(sqrt(own + 36 + 1), rel=1e-9)
    assert front_u_lb(with_changes(outside, driver(u_lb=2))) == pytest.approx(sqrt(own + 2.25 + 1), rel=1e-9)
    assert front_u_lb(with_changes(outside, driver(u_lb=0))) == pytest.approx(sqrt(own + 1), rel=1e-9)


def test_the_doubt_of_a_change_enters_the_wheels_of_its_pass() -> None:
    """Hand, lb, front left: 80.78 of 160 lb, so 5 % is 4.039; 1 in aft 0.5; 1 in across 160 x (3/7)/66 = 1.039;
    roll shares with 30 % doubt, of -20 in x 160 lb: 20.779 x 4/7 x 0.3 = 3.562 each, two of them.
    Reading 1,620 lb: 266.667; nothing hangs, as both sides are on platforms.
    """
    left, right = FRONT
    readings = [reading("side", "A", 1620, left), reading("side", "B", 1660, right)]
    estimate = known(reconcile(coupled_rig(), with_changes(readings, driver("side"))).estimates.known({left: 1.0}))
    assert estimate.u is not None
    by_hand = hypot(sqrt(BY_HAND_OF_ONE_READING), 4.0390, 0.5, 1.0390, 3.5621, 3.5621)
    assert estimate.u / LB == pytest.approx(by_hand, rel=1e-4)


def test_a_thing_told_alike_in_two_passes_has_one_error_and_two_things_have_two() -> None:
    """Hand, lb2, two readings of one axle on one platform: tolerance 400/3 common, 133.333 own, halved by the mean;
    the change's 36 + 1 whole where it is one thing, halved where it is two.
    """
    twice = read(SOLO, {"front": 3280}, "first") + read(SOLO, {"front": 3280}, "second")
    same = with_changes(twice, driver("first"), driver("second"))
    other = with_changes(twice, driver("first"), driver("second", what="passenger"))
    scale = 400 / 3 + (400 / 12 + 100) / 2
    assert front_u_lb(with_changes(twice)) == pytest.approx(sqrt(scale), rel=1e-6)
    assert front_u_lb(same) == pytest.approx(sqrt(scale + 37), rel=1e-6)
    assert front_u_lb(other) == pytest.approx(sqrt(scale + 37 / 2), rel=1e-6)
    assert loads_lb(same, "front") == pytest.approx([3400], rel=1e-9)
    assert loads_lb(other, "front") == pytest.approx([3400], rel=1e-9)


def test_a_thing_that_is_out_of_both_passes_cancels_in_their_difference() -> None:
    """Hand: the driver outside solo and hitched: tongue weight 800 lb, its doubt as if he had been aboard; where he is
    another each time, 8 lb twice more (his place moves no total).
    """
    readings = read(SOLO, {"van": 6440}) + read(HITCHED, {"van": 7240})
    aboard, same, other = (
        weighed(coupled_rig(), with_changes(readings, *changes))[1].coupling_load
        for changes in (
            (),
            (driver("solo"), driver("hitched")),
            (driver("solo"), driver("hitched", what="passenger")),
        )
    )
    us_lb = []
    for found in (aboard, same, other):
        assert found is not None
        load = known(found.value)
        assert load.value == pytest.approx(800 * LB, rel=1e-9)
        assert load.u is not None
        us_lb.append(load.u / LB)
    assert us_lb[1] == pytest.approx(us_lb[0], rel=1e-9)
    assert us_lb[2] == pytest.approx(hypot(us_lb[0], 8, 8), rel=1e-9)


def test_two_things_of_one_pass_add_up() -> None:
    """Hand: 160 and 40 lb at the seat: front 150 lb, rear 50 lb."""
    weigh = with_changes(read(SOLO, {"front": 3250, "rear": 3150}), driver(), driver(mass_lb=-40, what="bag"))
    assert loads_lb(weigh, "front", "rear") == pytest.approx([3400, 3200], rel=1e-9)
    # Hand, lb: 5 % are 6 and 1.5 on the front axle, places 1 and 0.25, all of their own.
    assert front_u_lb(weigh) == pytest.approx(sqrt(BY_HAND_OF_ONE_READING + 36 + 2.25 + 1 + 0.0625), rel=1e-9)


# Through the hitch.


def cargo(pass_name: str, mass_lb: float = -200.0, u_lb: float | None = 0.0) -> PassChange:
    return PassChange(pass_name, "boxes", mass_lb * LB, None if u_lb is None else u_lb * LB, "camper", BAY)


@pytest.mark.parametrize("state", [HITCHED, LEVELLED])
def test_a_change_in_a_hitched_trailer_reaches_the_tow_vehicle(state: CouplingState) -> None:
    """Hand: 200 lb half-way: 100 lb on the axle, 100 lb on the ball: front 100 x -80/160 = -50 lb, rear +150 lb."""
    without = {what: TRUE_LB[state][what] - lb for what, lb in (("front", -50), ("rear", 150), ("camper", 100))}
    weigh = with_changes(read(state, without), cargo(str(state)))
    states = weighed(coupled_rig(), weigh)[1].states[state]
    for what, expected_lb in TRUE_LB[state].items():
        load = known(states.known(dict.fromkeys(WHEELS[what], 1.0)))
        assert load.value == pytest.approx(expected_lb * LB, rel=1e-9), what


def test_a_change_in_a_trailer_by_itself_stays_with_it() -> None:
    weigh = with_changes(read(SOLO, {"front": 3400, "rear": 3200, "camper": 5700}), cargo("solo"))
    assert loads_lb(weigh, "front", "rear", "camper") == pytest.approx([3400, 3200, 5800], rel=1e-9)


def test_the_doubt_of_a_change_in_the_trailer_reaches_the_front_axle() -> None:
    """Hand, lb: 10 lb of 200 are 5 on the ball, -2.5 on the front axle; 1 in of the place 1 on the ball, 0.5."""
    weigh = with_changes(read(HITCHED, {"front": 3040}), cargo("hitched", u_lb=None))
    states = weighed(coupled_rig(), weigh)[1].states[HITCHED]
    front = known(states.known(dict.fromkeys(FRONT, 1.0)))
    assert front.value == pytest.approx(2990 * LB, rel=1e-9)
    assert front.u == pytest.approx(sqrt(BY_HAND_OF_ONE_READING + 6.25 + 0.25) * LB, rel=1e-9)


def test_a_change_in_a_fifth_wheel_loads_the_pin() -> None:
    """Hand: 100 lb on a pin 10 in ahead of the rear axle: front 100 x 10/160 = 6.25 lb, rear 93.75 lb."""
    rig = coupled_rig(CouplingKind.FIFTH_WHEEL, hitch_in=150)
    weigh = with_changes(read(HITCHED, {"front": 3493.75, "rear": 4606.25, "camper": 6300}), cargo("hitched"))
    states = weighed(rig, weigh)[1].states[HITCHED]
    for wheels, expected_lb in ((FRONT, 3500), (REAR, 4700), (CAMPER, 6400)):
        assert known(states.known(dict.fromkeys(wheels, 1.0))).value == pytest.approx(expected_lb * LB, rel=1e-9)


def test_the_triple_weigh_with_boxes_left_out_of_one_pass_is_the_triple_weigh() -> None:
    """Hand: the boxes were not yet aboard hitched; corrected, tongue weight is 800 lb again and every tie holds."""
    readings = (
        read(SOLO, {"front": 3400, "rear": 3200})
        + read(HITCHED, {"front": 3050, "rear": 4250, "camper": 5700})
        + read(LEVELLED, TRUE_LB[LEVELLED])
    )
    reconciliation, coupled = weighed(coupled_rig(), with_changes(readings, cargo("hitched")))
    assert coupled.coupling_load is not None
    assert known(coupled.coupling_load.value).value == pytest.approx(800 * LB, rel=1e-7)
    assert reconciliation.parts[0].statistic == pytest.approx(0.0, abs=1e-9)
    uncorrected = weighed(coupled_rig(), with_changes(readings))[0]
    assert uncorrected.parts[0].failed


def test_two_things_called_alike_at_different_places_have_errors_of_their_own() -> None:
    """Hand, lb2: the seat's 160 lb give the front axle 6 lb of doubt, 160 lb at 120 in 2 lb; 1 lb each of place.

    One thing is the same `what` of the same mass at the same place, so these are two: 36 + 4 + 1 + 1.
    """
    couch = Place("couch", 120 * INCH, 0.0)
    other = structs.replace(driver(), place=couch)
    weigh = with_changes(read(SOLO, {"front": 3240}), driver(), other)
    assert loads_lb(weigh, "front") == pytest.approx([3400], rel=1e-9)
    assert front_u_lb(weigh) == pytest.approx(sqrt(BY_HAND_OF_ONE_READING + 42), rel=1e-9)
