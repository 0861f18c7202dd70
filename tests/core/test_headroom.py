"""What must hold of every headroom."""

from math import hypot, inf

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.estimates import LoadEstimates, UnknownBecause
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.loads.aboard import mass_change
from axlewright.core.loads.changes import added, changed_estimates
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.headroom import GROUND_CONTACT, Headroom, HeldLimits, headroom, held_limits, kept_masses
from axlewright.core.loads.limits import LimitCheck, LimitKind, check_limits
from axlewright.core.loads.standings import Bound
from axlewright.core.loads.statics import rig_statics
from axlewright.core.policy import Policy
from axlewright.core.rig import Place, Rig, VehicleKind
from tests.yard import INCH, LB, PSI, axle, known_loads, motorhome, plain_motorhome, rig, tires, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
BAY = Place("bay", 260 * INCH, -30 * INCH, 20 * INCH, 24 * INCH)
STEER_LB, DRIVE_LB = {"steer.left": 3_000.0, "steer.right": 3_100.0}, {"drive.left": 5_000.0, "drive.right": 5_200.0}
GROUPS = {"steer": STEER_LB, "drive": DRIVE_LB}

places = st.builds(
    lambda aft_in, right_in, length_in: Place("bay", aft_in * INCH, right_in * INCH, length_in * INCH),
    st.floats(-60.0, 330.0),
    st.floats(-45.0, 45.0),
    st.floats(0.0, 60.0),
)
loads_lb = st.fixed_dictionaries(
    {
        "steer.left": st.floats(1_500.0, 3_400.0),
        "steer.right": st.floats(1_500.0, 3_400.0),
        "drive.left": st.floats(2_500.0, 5_700.0),
        "drive.right": st.floats(2_500.0, 5_700.0),
    }
)
doubts_lb = st.floats(0.0, 60.0)


def held_by(subject: Rig, estimates: LoadEstimates, policy: Policy = POLICY) -> HeldLimits:
    """Return what a rig has to keep."""
    return held_limits(subject, check_limits(subject, estimates, fitted_tires(subject, ()), policy), estimates)


def headroom_of(subject: Rig, estimates: LoadEstimates, place: Place = BAY, k: float = 2.0) -> Headroom:
    """Return the headroom of a place in the rig's first vehicle."""
    statics = rig_statics(subject, estimates)[subject.vehicles[0].name]
    return headroom(place, statics, held_by(subject, estimates), k)


def after(subject: Rig, estimates: LoadEstimates, place: Place, mass_kg: float) -> LoadEstimates:
    """Return the loads after a mass that was weighed exactly went to a place of the rig's first vehicle."""
    statics = rig_statics(subject, estimates)[subject.vehicles[0].name]
    return changed_estimates(estimates, mass_change("more", mass_kg, 0.0, place, statics))


def trailer(*, least_coupling_lb: float | None = 560.0, axles_lb: float = 4_440.0) -> tuple[Rig, LoadEstimates]:
    """Return a single-axle trailer of 5,000 lb, its axle 180 in behind the ball, its tongue weighed or not."""
    only = axle("rear", gawr_lb=6_000, fitted=tires("ST225/75R15", single_lb=2_830, dual_lb=None), aft_in=180)
    subject = rig(vehicle(only, gvwr_lb=7_000, kind=VehicleKind.TRAVEL_TRAILER, name="caravan"))
    known = {"rear.left": axles_lb / 2, "rear.right": axles_lb / 2}
    if least_coupling_lb is not None:
        known["coupling"] = least_coupling_lb
    return subject, estimates_from_loads(subject, known_loads(known))


def limiting(found: Headroom) -> LimitCheck:
    """Return what limits it, which must be a limit on loads."""
    assert isinstance(found.limited_by, LimitCheck)
    return found.limited_by


@given(
    st.floats(-3_000.0, 500.0),
    st.floats(-2.0, 2.0).filter(lambda each: each == 0.0 or abs(each) > 1e-3),
    st.floats(0.0, 300.0).filter(lambda each: each == 0.0 or each > 0.1),
    st.floats(0.0, 0.5).filter(lambda each: each == 0.0 or each > 1e-3),
)
def test_the_interval_holds_the_masses_that_keep_a_limit_and_no_others(
    now: float, per_kg: float, spread_now: float, spread_per_kg: float
) -> None:
    def excess(mass: float) -> float:
        return now + per_kg * mass + hypot(spread_now, spread_per_kg * mass)

    found = kept_masses(now, per_kg, spread_now, spread_per_kg)
    tried = [0.0, *(10.0 ** (power / 8) for power in range(-16, 48))]
    if found is None:
        assert all(excess(mass) > 0.0 for mass in tried)
        return
    least, most = found
    assert 0.0 <= least <= most
    for mass in tried:
        scale = 1e-6 * (1.0 + abs(now) + mass)
        if least <= mass <= most:
            assert excess(mass) <= scale
        else:
            assert excess(mass) > -scale
    for end in (least, most):
        if 0.0 < end < inf:
            assert excess(end) == pytest.approx(0.0, abs=1e-7 * (1.0 + abs(now) + spread_now + end))


def test_a_limit_that_is_just_kept_without_doubt_leaves_nothing() -> None:
    assert kept_masses(0.0, 1.0, 0.0, 0.0) == (0.0, 0.0)
    assert kept_masses(0.0, 1.0, 0.0, 0.1) == (0.0, 0.0)
    assert kept_masses(0.0, 0.0, 0.0, 0.0) == (0.0, inf)
    assert kept_masses(0.0, -1.0, 0.0, 0.0) == (0.0, inf)


@given(loads_lb, doubts_lb, places)
@settings(max_examples=60)
def test_the_most_breaks_nothing_and_a_thousandth_more_breaks_the_limit_named(
    loads: dict[str, float], u_lb: float, place: Place
) -> None:
    subject = motorhome(gvwr_lb=17_000.0)
    estimates = estimates_from_loads(subject, known_loads(loads, u_lb))
    found = headroom_of(subject, estimates, place)
    assume(found.most_kg)
    assert found.most_kg is not None
    kept = held_by(subject, after(subject, estimates, place, found.most_kg))
    assert kept.broken(1.999_999) == []
    beyond = held_by(subject, after(subject, estimates, place, 1.001 * found.most_kg + 0.001))
    named = limiting(found)
    assert (named.subject, named.kind, named.bound) in [
        (row.check.subject, row.check.kind, row.check.bound) for row in beyond.broken(2.0)
    ]


@given(loads_lb, doubts_lb, places, st.floats(0.0, 1.5))
@settings(max_examples=60)
def test_what_breaks_a_limit_is_more_than_the_headroom_and_what_does_not_is_no_more(
    loads: dict[str, float], u_lb: float, place: Place, share: float
) -> None:
    """Brute force: the limits of the changed rig, judged anew, against the closed form."""
    subject = motorhome(gvwr_lb=17_000.0)
    estimates = estimates_from_loads(subject, known_loads(loads, u_lb))
    found = headroom_of(subject, estimates, place)
    assert found.most_kg is not None
    mass_kg = share * (found.most_kg or 200.0)
    assume(abs(mass_kg - found.most_kg) > 0.001 and (mass_kg > 0.0 or found.most_kg > 0.0))
    breaks = bool(held_by(subject, after(subject, estimates, place, mass_kg)).broken(2.0))
    if found.at_least_kg == 0.0:
        assert breaks == (mass_kg > found.most_kg)
    else:
        assume(abs(mass_kg - found.at_least_kg) > 0.001)
        assert breaks == (not found.at_least_kg < mass_kg < found.most_kg)


@given(loads_lb, st.floats(1.0, 60.0), places)
@settings(max_examples=40)
def test_more_confidence_leaves_no_more_room(loads: dict[str, float], u_lb: float, place: Place) -> None:
    subject = motorhome(gvwr_lb=17_000.0)
    estimates = estimates_from_loads(subject, known_loads(loads, u_lb))
    rooms = [headroom_of(subject, estimates, place, k).most_kg or 0.0 for k in (0.0, 1.0, 2.0, 3.0)]
    assert rooms == sorted(rooms, reverse=True)


@given(st.floats(1.0, 400.0), places)
@settings(max_examples=40)
def test_what_goes_there_and_comes_off_again_leaves_the_headroom_as_it_was(mass_kg: float, place: Place) -> None:
    subject = motorhome()
    estimates = estimates_from_loads(subject, known_loads(STEER_LB | DRIVE_LB, 10.0))
    statics = rig_statics(subject, estimates)["coach"]
    both = [mass_change("more", sign * mass_kg, 0.0, place, statics) for sign in (1.0, -1.0)]
    again = changed_estimates(estimates, added(both, len(estimates.columns.names)))
    before, then = headroom_of(subject, estimates, place), headroom_of(subject, again, place)
    assert then.most_kg == pytest.approx(before.most_kg, rel=1e-9)
    assert limiting(then).kind is limiting(before).kind


def test_without_doubts_what_went_there_is_missing_from_the_headroom() -> None:
    subject = motorhome()
    estimates = estimates_from_loads(subject, known_loads(STEER_LB | DRIVE_LB))
    before = headroom_of(subject, estimates, k=0.0).most_kg
    assert before is not None
    then = headroom_of(subject, after(subject, estimates, BAY, 0.25 * before), k=0.0)
    assert then.most_kg == pytest.approx(0.75 * before)


def test_a_light_trailer_takes_no_300_lb_behind_its_axle_for_its_tongue_goes_light() -> None:
    subject, estimates = trailer()
    found = headroom_of(subject, estimates, Place("rack", 250 * INCH, 0.0))
    assert found.most_kg is not None
    assert 0.0 < found.most_kg < 300.0 * LB
    assert (limiting(found).kind, limiting(found).bound) == (LimitKind.TONGUE_SHARE, Bound.LEAST)


def test_a_tongue_that_is_light_already_takes_nothing_behind_and_needs_something_in_front() -> None:
    subject, estimates = trailer(least_coupling_lb=480.0, axles_lb=4_520.0)
    behind = headroom_of(subject, estimates, Place("rack", 250 * INCH, 0.0))
    assert (behind.most_kg, behind.at_least_kg) == (0.0, 0.0)
    assert limiting(behind).kind is LimitKind.TONGUE_SHARE
    assert [(check.kind, check.bound) for check in behind.broken] == [(LimitKind.TONGUE_SHARE, Bound.LEAST)]
    front = Place("box", 20 * INCH, 0.0)
    found = headroom_of(subject, estimates, front)
    assert found.broken == ()
    assert found.most_kg is not None
    assert 0.0 < found.at_least_kg < found.most_kg
    for mass_kg, kept in ((0.99 * found.at_least_kg, False), (1.01 * found.at_least_kg, True), (found.most_kg, True)):
        assert (not held_by(subject, after(subject, estimates, front, mass_kg)).broken(1.999_999)) is kept


def test_an_axle_that_is_over_already_leaves_no_room_even_where_a_mass_would_not_touch_it() -> None:
    coach = motorhome(drive_lb=10_000.0).vehicles[0]
    car = structs.replace(
        motorhome(gvwr_lb=15_000.0).vehicles[0],
        name="car",
        axles=(axle("car.front", gawr_lb=7_000), axle("car.rear", gawr_lb=7_000, aft_in=110)),
    )
    both = rig(coach, car)
    light = {f"car.{end}.{side}": 1_500.0 for end in ("front", "rear") for side in ("left", "right")}
    estimates = estimates_from_loads(both, known_loads(STEER_LB | DRIVE_LB | light, 10.0))
    statics = rig_statics(both, estimates)
    for name in ("coach", "car"):
        found = headroom(Place("bay", 1.0, 0.0), statics[name], held_by(both, estimates), 2.0)
        assert found.most_kg == 0.0
        assert limiting(found).kind is LimitKind.AXLE
        assert [check.subject for check in found.broken] == ["drive"]


def test_a_limit_in_doubt_counts_as_broken_at_the_stated_confidence_only() -> None:
    """Hand: 10,200 lb with u = 2^0.5 x 20 = 28.3 lb is under 10,250 lb at k = 1 (10,228) and not at k = 2 (10,257)."""
    subject = motorhome(drive_lb=10_250.0)
    estimates = estimates_from_loads(subject, known_loads(STEER_LB | DRIVE_LB, 20.0))
    assert headroom_of(subject, estimates, k=2.0).most_kg == 0.0
    assert (headroom_of(subject, estimates, k=1.0).most_kg or 0.0) > 0.0


def test_a_load_equal_to_its_limit_is_not_broken_and_leaves_nothing() -> None:
    subject = motorhome(drive_lb=10_200.0)
    estimates = estimates_from_loads(subject, known_loads(STEER_LB | DRIVE_LB))
    found = headroom_of(subject, estimates)
    assert found.most_kg == 0.0
    assert found.broken == ()
    assert limiting(found).kind is LimitKind.AXLE


def test_an_unknown_load_leaves_the_headroom_unknown_and_the_others_tell_what_is_too_much() -> None:
    subject = motorhome()
    whole = estimates_from_loads(subject, known_loads(STEER_LB | DRIVE_LB, 10.0))
    axles = estimates_from_loads(
        subject, known_loads({"+".join(ends): sum(ends.values()) for ends in GROUPS.values()}, 10.0)
    )
    found = headroom_of(subject, axles)
    assert found.most_kg is None
    assert found.unknown_because is UnknownBecause.NOT_SEPARATED
    assert {check.kind for check in found.unjudged} >= {LimitKind.TIRE, LimitKind.WHEEL_END}
    known = headroom_of(subject, whole).most_kg
    assert found.by_known_kg is not None
    assert known is not None
    assert found.by_known_kg >= known


def test_a_trailer_without_a_tongue_weight_has_an_unknown_headroom() -> None:
    subject, estimates = trailer(least_coupling_lb=None)
    found = headroom_of(subject, estimates, Place("rack", 250 * INCH, 0.0))
    assert (found.most_kg, found.unknown_because) == (None, UnknownBecause.COUPLING_NOT_WEIGHED)
    assert found.by_known_kg is not None
    assert limiting(found).kind is not LimitKind.TONGUE_SHARE
    named = {(check.kind, check.bound) for check in found.unjudged}
    assert named >= {(LimitKind.VEHICLE, Bound.MOST), (LimitKind.TONGUE_SHARE, Bound.LEAST)}
    assert (LimitKind.TONGUE_SHARE, Bound.MOST) not in named


def test_an_unknown_load_that_a_mass_only_eases_does_not_matter() -> None:
    """A mass right on the only axle's line, to the right, takes weight off the left side of the trailer."""
    subject, _ = trailer()
    estimates = estimates_from_loads(subject, known_loads({"rear.right": 2_000.0}))
    statics = rig_statics(subject, estimates)["caravan"]
    held = held_by(subject, estimates)
    left = [(check, row) for check, row in held.unjudged if check.subject == "rear.left" and check.bound is Bound.MOST]
    assert {check.kind for check, _ in left} == {LimitKind.TIRE, LimitKind.WHEEL_END}
    only_left = HeldLimits(held.load_count, held.rows, tuple(left))
    assert headroom(Place("far right", 180 * INCH, 80 * INCH), statics, only_left, 2.0).unjudged == ()
    assert headroom(Place("far left", 180 * INCH, -80 * INCH), statics, only_left, 2.0).unjudged != ()


def test_where_nothing_may_be_added_anyway_unknown_loads_do_not_matter() -> None:
    subject = motorhome(drive_lb=9_000.0)
    estimates = estimates_from_loads(
        subject, known_loads({"+".join(ends): sum(ends.values()) for ends in GROUPS.values()}, 10.0)
    )
    found = headroom_of(subject, estimates)
    assert (found.most_kg, found.unjudged, found.unknown_because) == (0.0, (), None)


def test_a_place_takes_no_more_than_its_capacity_less_what_is_there() -> None:
    subject = motorhome()
    estimates = estimates_from_loads(subject, known_loads(STEER_LB | DRIVE_LB, 10.0))
    statics, held = rig_statics(subject, estimates)["coach"], held_by(subject, estimates)
    small = structs.replace(BAY, capacity_kg=100.0)
    assert headroom(small, statics, held, 2.0).limited_by == small
    assert headroom(small, statics, held, 2.0).most_kg == 100.0
    assert headroom(small, statics, held, 2.0, aboard_kg=70.0).most_kg == pytest.approx(30.0)
    assert headroom(small, statics, held, 2.0, aboard_kg=170.0).most_kg == 0.0
    large = structs.replace(BAY, capacity_kg=5_000.0)
    assert isinstance(headroom(large, statics, held, 2.0).limited_by, LimitCheck)


def test_far_behind_the_rear_axle_the_front_wheels_lift_before_a_strong_rig_is_over() -> None:
    subject = plain_motorhome()
    estimates = estimates_from_loads(subject, known_loads(STEER_LB | DRIVE_LB))
    policy = structs.replace(POLICY, least_steering_share=1e-6)
    statics = rig_statics(subject, estimates)["coach"]
    found = headroom(Place("far", 900 * INCH, 0.0), statics, held_by(subject, estimates, policy), 0.0)
    assert limiting(found).basis == GROUND_CONTACT
    assert limiting(found).subject == "steer.left"
    # Hand: each front wheel gives up half of (900 - 212)/212 lb a lb, the left one has 3,000 lb: 1,848.8 lb.
    assert found.most_kg is not None
    assert found.most_kg / LB == pytest.approx(3_000 / ((900 - 212) / 212 / 2))


def test_where_only_a_broken_limit_that_the_place_does_not_touch_is_known_nothing_may_be_added() -> None:
    subject, estimates = trailer(least_coupling_lb=480.0, axles_lb=4_520.0)
    statics = rig_statics(subject, estimates)["caravan"]
    light = [row for row in held_by(subject, estimates).rows if row.check.kind is LimitKind.TONGUE_SHARE][:1]
    blind = structs.replace(light[0], row=0.0 * light[0].row)
    found = headroom(BAY, statics, HeldLimits(3, (blind,), ()), 2.0)
    assert (found.most_kg, found.at_least_kg, found.broken) == (0.0, 0.0, (blind.check,))


def test_where_nothing_limits_there_is_no_most() -> None:
    subject, estimates = trailer()
    statics = rig_statics(subject, estimates)["caravan"]
    found = headroom(BAY, statics, HeldLimits(3, (), ()), 2.0)
    assert (found.most_kg, found.by_known_kg, found.limited_by) == (None, None, None)
