"""What must hold of every coupled rig."""

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.assessment import Assessment, Choices, assess
from axlewright.core.estimates import Estimate, UnknownBecause
from axlewright.core.loads.coupled import CoupledRig, coupled_rig
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.standings import Bound, Standing
from axlewright.core.loads.statics import STIFFNESS_DOUBT
from axlewright.core.loads.towing import Levelling, NoLevelling, Pair, hitching
from axlewright.core.policy import Policy
from axlewright.core.rig import (
    AxleGroup,
    Coupling,
    CouplingKind,
    CouplingState,
    Hitch,
    HitchRating,
    Rig,
    Stated,
    Suspension,
    Vehicle,
    VehicleKind,
)
from tests.yard import INCH, LB, PSI, axle, known_loads, named, rig, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
RATINGS = (
    HitchRating("receiver", 500 * LB, 5_000 * LB, 1_000 * LB, 10_000 * LB),
    HitchRating("ball", max_towed_kg=6_000 * LB, max_towed_levelled_kg=6_000 * LB),
)


FRONT = {"truck.front.left": 1.0, "truck.front.right": 1.0}


def pair(
    kind: CouplingKind = CouplingKind.BALL, aft_in: float = 190.0, tag: bool = False, gcwr_lb: float | None = 12_000
) -> tuple[Rig, Pair]:
    """Return a tow vehicle on two axles or three, and a tandem trailer."""
    axles = [named("truck", axle("front", gawr_lb=3_900)), named("truck", axle("rear", gawr_lb=4_800, aft_in=140))]
    if tag:
        axles.append(named("truck", axle("tag", gawr_lb=3_000, aft_in=185)))
    truck = vehicle(*axles, gvwr_lb=7_600, kind=VehicleKind.TOW_VEHICLE, name="truck")
    truck = structs.replace(
        truck, hitch=Hitch(aft_in * INCH, 0.5, RATINGS), gcwr_kg=None if gcwr_lb is None else gcwr_lb * LB
    )
    of = VehicleKind.FIFTH_WHEEL if kind is CouplingKind.FIFTH_WHEEL else VehicleKind.TRAVEL_TRAILER
    trailer = vehicle(
        named("trailer", axle("first", gawr_lb=3_500, aft_in=190)),
        named("trailer", axle("second", gawr_lb=3_500, aft_in=225)),
        gvwr_lb=7_500,
        kind=of,
        name="trailer",
    )
    trailer = structs.replace(
        trailer,
        coupling="trailer.coupling",
        groups=(AxleGroup(("trailer.first", "trailer.second"), Suspension.EQUALISED),),
    )
    return rig(truck, trailer), Pair(truck, trailer, kind, truck.hitch)


def solo(both: Rig, coupling_lb: float | None, u_lb: float = 0.0, policy: Policy = POLICY) -> Assessment:
    loads = {"front": 3_400.0, "rear": 2_600.0, "tag": 900.0, "first": 2_400.0, "second": 2_500.0}
    sides = {end.name: loads[own.name.partition(".")[2]] / 2 for _, own, end in both.wheel_ends()}
    coupling = {} if coupling_lb is None else {"trailer.coupling": coupling_lb}
    return assess(both, known_loads(sides | coupling, u_lb), Choices(policy))


def sums(assessment: Assessment) -> tuple[float, float]:
    """Return the sum of all wheels [lb] and their moment [lb in] about the front axle, the rig in one line."""
    whole = moment = 0.0
    for each, own, end in assessment.rig.wheel_ends():
        load = assessment.estimates.known({end.name: 1.0})
        assert isinstance(load, Estimate)
        start_m = 190 * INCH if each.is_trailer else 0.0
        whole += load.value / LB
        moment += load.value / LB * (start_m + own.aft_m) / INCH
    return whole, moment


@given(st.floats(100, 1_200), st.booleans(), st.floats(0, 1))
def test_hitching_conserves_weight_and_moments_and_bars_only_move_them(
    coupling_lb: float, tag: bool, restored_share: float
) -> None:
    both, coupled = pair(tag=tag)
    start = solo(both, coupling_lb)
    states = coupled_rig(start, coupled, restored_share).states
    whole, moment = sums(states[CouplingState.SOLO])
    # The coupling's load acts at the ball once the trailer is hitched.
    expected = whole + coupling_lb, moment + coupling_lb * 190
    assert sums(states[CouplingState.HITCHED]) == pytest.approx(expected, rel=1e-9)
    assert sums(states[CouplingState.HITCHED_LEVELLED]) == pytest.approx(expected, rel=1e-9)


@given(st.floats(100, 1_200), st.booleans(), st.floats(0, 1))
def test_the_front_axle_gets_back_the_share_that_was_asked_for(
    coupling_lb: float, tag: bool, restored_share: float
) -> None:
    both, coupled = pair(tag=tag)
    answer = coupled_rig(solo(both, coupling_lb), coupled, restored_share)
    loads = []
    for state in CouplingState:
        load = answer.states[state].estimates.known(FRONT)
        assert isinstance(load, Estimate)
        loads.append(load.value)
    alone, hitched, levelled = loads
    assert levelled - hitched == pytest.approx(restored_share * (alone - hitched), abs=1e-9 * alone)
    assert isinstance(answer.levelling, Levelling)
    assert answer.levelling.given_back_kg == pytest.approx(levelled - hitched, abs=1e-9 * alone)


def test_the_doubt_of_the_tongue_goes_along_to_the_axles() -> None:
    both, coupled = pair()
    start = solo(both, 600.0, u_lb=10.0)
    rear = (
        coupled_rig(start, coupled, 0.5)
        .states[CouplingState.HITCHED]
        .estimates.known({"truck.rear.left": 1.0, "truck.rear.right": 1.0})
    )
    assert isinstance(rear, Estimate)
    assert rear.u is not None
    # By hand: two wheel ends of 10 lb each, 10 lb of tongue times 190 / 140, and an inch of the ball's place times
    # 600 lb / 140 in: sqrt(200 + 184.2 + 18.4).
    assert rear.u / LB == pytest.approx((200 + (10 * 190 / 140) ** 2 + (600 / 140) ** 2) ** 0.5, rel=1e-6)


def test_an_inch_of_the_balls_place_shifts_the_levelled_loads_by_what_is_left_on_the_ball() -> None:
    both, coupled = pair()
    answer = coupled_rig(solo(both, 600.0), coupled, 0.5)
    front = answer.states[CouplingState.HITCHED_LEVELLED].estimates.known(FRONT)
    assert isinstance(front, Estimate)
    assert front.u is not None
    # By hand: e 50 in, D (190 + 225) / 2 = 207.5 in, M = 0.5 x 600 x 50 / (1 + 50 / 207.5) = 12,087.4 lb in, which
    # takes 58.3 lb off the ball; the rest, 541.7 lb, an inch farther back: 541.7 / 140 = 3.870 lb.
    assert front.u / LB == pytest.approx(3.870, abs=0.001)


def moment_n_m(both: Rig, coupled: Pair) -> float:
    level = coupled_rig(solo(both, 600.0), coupled, 0.5).levelling
    assert isinstance(level, Levelling)
    return level.moment_n_m


def with_tow(both: Rig, coupled: Pair, tow: Vehicle) -> tuple[Rig, Pair]:
    return structs.replace(both, vehicles=(tow, both.vehicles[1])), structs.replace(coupled, tow=tow, hitch=tow.hitch)


def test_the_moments_doubt_is_that_of_tongue_weight_balls_place_and_assumed_stiffness() -> None:
    both, coupled = pair(tag=True)
    level = coupled_rig(solo(both, 600.0, u_lb=10.0), coupled, 0.5).levelling
    assert isinstance(level, Levelling)
    # Solved again with each input a little off, both ways: for one standard uncertainty (JCGM 100:2008, 5.1.3).
    tow = coupled.tow
    assert tow.hitch is not None
    shifts = [level.moment_n_m * 10 / 600]
    step_m = 0.001
    moved = [structs.replace(tow, hitch=Hitch(tow.hitch.aft_m + by, 0.5, RATINGS)) for by in (step_m, -step_m)]
    shifts.append(slope(both, coupled, moved) / (2 * step_m) * INCH)
    ratings = {own.name: own.gawr_kg for own in tow.axles}
    shifts += [slope(both, coupled, stiffened(tow, name, ratings)) / 0.002 * STIFFNESS_DOUBT for name in ratings]
    assert level.moment_u_n_m == pytest.approx(hypot(*shifts), rel=1e-4)
    # The front axle's own stiffness scales what it loses and what it gets back alike; nothing else cancels.
    tongue, ball, front, *others = (abs(shift) for shift in shifts)
    assert front == pytest.approx(0.0, abs=1e-6)
    assert min(tongue, ball, *others) > 10.0


def test_what_is_assumed_of_either_vehicle_reaches_every_load_that_rests_on_it() -> None:
    both, coupled = pair(tag=True)
    coupled = structs.replace(coupled, towed=structs.replace(coupled.towed, groups=()))
    both = structs.replace(both, vehicles=(coupled.tow, coupled.towed))
    estimates = solo(both, 600.0).estimates
    assert coupled.hitch is not None
    told = hitching(coupled, coupled.hitch, estimates).effects
    for vehicle_of, own in (("tow", coupled.tow), ("towed", coupled.towed)):
        ratings = {each.name: each.gawr_kg for each in own.axles}
        for name in ratings:
            above, below = (
                hitching(structs.replace(coupled, **{vehicle_of: stiffer}), coupled.hitch, estimates)
                for stiffer in stiffened(own, name, ratings)
            )
            per_kg = (above.per_kg - below.per_kg) / 0.002 * STIFFNESS_DOUBT
            per_moment = (above.per_moment - below.per_moment) / 0.002 * STIFFNESS_DOUBT
            assert told[f"stiffness {name}"][0] == pytest.approx(per_kg, abs=1e-6)
            assert told[f"stiffness {name}"][1] == pytest.approx(per_moment, abs=1e-6)
            assert abs(per_moment).max() > 1e-3


def stiffened(own: Vehicle, name: str, ratings: dict[str, float]) -> list[Vehicle]:
    """Return a vehicle with one axle stiffer by a thousandth, then as much softer."""
    return [
        structs.replace(
            own, stiffnesses={each: Stated(value * (by if each == name else 1)) for each, value in ratings.items()}
        )
        for by in (1.001, 0.999)
    ]


def slope(both: Rig, coupled: Pair, tows: list[Vehicle]) -> float:
    above, below = (moment_n_m(*with_tow(both, coupled, tow)) for tow in tows)
    return above - below


def found(answer: CoupledRig, state: CouplingState, kind: LimitKind, subject: str) -> LimitCheck:
    return next(check for check in answer.states[state].limits if (check.kind, check.subject) == (kind, subject))


def standing(check: LimitCheck) -> Standing | UnknownBecause | None:
    return check.judgement.standing if check.judgement else check.unknown_because


def test_parts_of_a_hitch_are_held_to_the_rating_for_the_way_of_towing() -> None:
    both, coupled = pair()
    answer = coupled_rig(solo(both, 600.0), coupled, 0.5)
    carrying, levelled = CouplingState.HITCHED, CouplingState.HITCHED_LEVELLED
    # 600 lb on a receiver for 500 lb carrying and 1,000 lb levelling; 5,500 lb towed.
    assert standing(found(answer, carrying, LimitKind.HITCH_VERTICAL, "truck receiver")) is Standing.OVER
    assert standing(found(answer, levelled, LimitKind.HITCH_VERTICAL, "truck receiver")) is Standing.CLEAR
    assert standing(found(answer, carrying, LimitKind.HITCH_TOWED, "truck receiver")) is Standing.OVER
    assert standing(found(answer, levelled, LimitKind.HITCH_TOWED, "truck receiver")) is Standing.CLEAR
    unrated = found(answer, carrying, LimitKind.HITCH_VERTICAL, "truck ball")
    assert standing(unrated) is UnknownBecause.NO_HITCH_RATING
    assert standing(found(answer, carrying, LimitKind.HITCH_TOWED, "truck ball")) is Standing.CLEAR


def test_whole_vehicles_and_the_tongue_are_judged_without_bars_in_both_states() -> None:
    both, coupled = pair()
    answer = coupled_rig(solo(both, 600.0), coupled, 1.0)
    for kind, subject, value_lb in (
        (LimitKind.VEHICLE, "truck", 6_600.0),
        (LimitKind.VEHICLE, "trailer", 5_500.0),
    ):
        for state in (CouplingState.HITCHED, CouplingState.HITCHED_LEVELLED):
            value = found(answer, state, kind, subject).value
            assert isinstance(value, Estimate)
            assert value.value / LB == pytest.approx(value_lb)
    share = found(answer, CouplingState.HITCHED_LEVELLED, LimitKind.TONGUE_SHARE, "trailer").value
    assert isinstance(share, Estimate)
    assert share.value == pytest.approx(600 / 5_500)


def test_the_combination_is_all_wheels_against_its_rating() -> None:
    both, coupled = pair(gcwr_lb=11_400)
    check = found(
        coupled_rig(solo(both, 600.0), coupled, 0.5), CouplingState.HITCHED, LimitKind.COMBINATION, "invented"
    )
    assert isinstance(check.value, Estimate)
    assert check.value.value / LB == pytest.approx(11_500.0)
    assert standing(check) is Standing.OVER
    both, coupled = pair(gcwr_lb=None)
    kinds = {check.kind for check in coupled_rig(solo(both, 600.0), coupled, 0.5).states[CouplingState.HITCHED].limits}
    assert LimitKind.COMBINATION not in kinds


def test_without_the_tongue_weight_only_each_vehicle_by_itself_is_told() -> None:
    both, coupled = pair()
    answer = coupled_rig(solo(both, None), coupled, 0.5)
    assert set(answer.states) == {CouplingState.SOLO}
    assert answer.levelling is NoLevelling.COUPLING_NOT_WEIGHED


def test_without_the_pin_weight_there_is_still_nothing_to_level_on_a_fifth_wheel() -> None:
    both, coupled = pair(CouplingKind.FIFTH_WHEEL)
    answer = coupled_rig(solo(both, None), coupled, 0.5)
    assert set(answer.states) == {CouplingState.SOLO}
    assert answer.levelling is NoLevelling.NOT_ON_A_BALL


def test_a_tongue_under_its_least_share_is_short_in_both_states() -> None:
    both, coupled = pair()
    # 400 lb of 5,300 lb: 7.5 %, of which 10 % are asked for.
    answer = coupled_rig(solo(both, 400.0), coupled, 0.5)
    for state in (CouplingState.HITCHED, CouplingState.HITCHED_LEVELLED):
        check = found(answer, state, LimitKind.TONGUE_SHARE, "trailer")
        assert (check.bound, standing(check)) == (Bound.LEAST, Standing.SHORT)


def test_a_trailer_coupled_by_a_kingpin_is_held_to_the_pins_share_whatever_its_kind() -> None:
    both, coupled = pair(CouplingKind.FIFTH_WHEEL, aft_in=140.0)
    trailer = structs.replace(coupled.towed, kind=VehicleKind.TRAILER)
    both = structs.replace(
        both,
        vehicles=(coupled.tow, trailer),
        couplings=(Coupling("truck", "trailer", CouplingKind.FIFTH_WHEEL),),
    )
    # 1,200 lb of 6,100 lb: 19.7 %, within 15 to 25 %, above the 15 % of a ball.
    for assessment in coupled_rig(solo(both, 1_200.0), structs.replace(coupled, towed=trailer), 0.5).states.values():
        shares = {check.kind: standing(check) for check in assessment.limits if check.subject == "trailer"}
        assert shares[LimitKind.PIN_SHARE] is Standing.CLEAR
        assert LimitKind.TONGUE_SHARE not in shares


def on_a_tow_bar(has_hitch: bool = True) -> CoupledRig:
    both, coupled = pair()
    tow = coupled.tow if has_hitch else structs.replace(coupled.tow, hitch=None)
    car = structs.replace(coupled.towed, kind=VehicleKind.TOWED_CAR, groups=())
    both = structs.replace(both, vehicles=(tow, car))
    start = solo(both, None, policy=structs.replace(POLICY, interstate=True))
    return coupled_rig(start, Pair(tow, car, CouplingKind.TOWBAR, None), 0.5)


def test_behind_a_tow_bar_each_vehicle_keeps_the_interstate_limits_of_its_own_axles() -> None:
    answer = on_a_tow_bar()
    alone, hitched = (
        [check for check in answer.states[state].limits if check.kind is LimitKind.INTERSTATE_GROSS]
        for state in (CouplingState.SOLO, CouplingState.HITCHED)
    )
    assert [check.subject for check in hitched] == [
        "truck.front + truck.rear",
        "trailer.first + trailer.second",
    ]
    assert [check.value for check in hitched] == [check.value for check in alone]
    assert "interstate_each_vehicle" in {finding.code for finding in answer.states[CouplingState.HITCHED].findings}


def test_a_tow_bar_on_a_hitch_that_nobody_rated_is_not_counted_as_fine() -> None:
    answer = on_a_tow_bar(has_hitch=False)
    check = found(answer, CouplingState.HITCHED, LimitKind.HITCH_TOWED, "truck hitch")
    assert standing(check) is UnknownBecause.NO_HITCH_RATING
    findings = answer.states[CouplingState.HITCHED].findings
    assert ("limit_unknown", "truck hitch") in {(each.code, each.subject) for each in findings}


def test_a_fifth_wheel_over_the_rear_axle_takes_nothing_off_the_front_and_has_no_bars() -> None:
    both, coupled = pair(CouplingKind.FIFTH_WHEEL, aft_in=140.0)
    answer = coupled_rig(solo(both, 1_000.0), coupled, 0.5)
    assert answer.levelling is NoLevelling.NOT_ON_A_BALL
    rear = answer.states[CouplingState.HITCHED].estimates.known({"truck.rear.left": 1.0, "truck.rear.right": 1.0})
    assert isinstance(rear, Estimate)
    assert rear.value / LB == pytest.approx(3_600.0)


def test_a_ball_before_the_rear_axle_has_nothing_to_give_back() -> None:
    both, coupled = pair(aft_in=120.0)
    assert coupled_rig(solo(both, 600.0), coupled, 0.5).levelling is NoLevelling.FRONT_AXLE_LOSES_NOTHING


def test_a_tongue_that_lifts_the_front_axle_is_critical() -> None:
    both, coupled = pair(aft_in=900.0)
    findings = coupled_rig(solo(both, 1_000.0), coupled, 0.5).states[CouplingState.HITCHED].findings
    assert {each.subject for each in findings if each.code == "would_lift"} == {"truck.front.left", "truck.front.right"}
    assert findings[0].severity == "critical"


def test_on_request_the_whole_line_of_axles_is_held_to_the_interstate_limits() -> None:
    both, coupled = pair()
    start = solo(both, 600.0, policy=structs.replace(POLICY, interstate=True))
    answer = coupled_rig(start, coupled, 0.5)
    gross = found(answer, CouplingState.HITCHED, LimitKind.INTERSTATE_GROSS, "truck.front to trailer.second")
    assert isinstance(gross.value, Estimate)
    assert gross.value.value / LB == pytest.approx(11_500.0)
    codes = {finding.code for finding in answer.states[CouplingState.HITCHED].findings}
    assert "interstate_each_vehicle" not in codes
    assert "interstate_baseline" in codes
