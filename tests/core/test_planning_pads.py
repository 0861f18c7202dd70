"""The cheapest passes on pads: whole vehicles, whole axles, and what pads can show."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.rig import CouplingState
from axlewright.core.scales import ACCURACY_CLASSES
from axlewright.core.sessions.plan_question import Wanted
from axlewright.core.sessions.plan_reach import ways_to_stand
from axlewright.core.sessions.planning import session_plan
from axlewright.core.sessions.schedule import Goal
from axlewright.core.sessions.site import Rails
from axlewright.core.sessions.standing import Lateral
from axlewright.core.sessions.train import out_of_state, trains_of
from tests.sites import counts, never, planned, question, schedule, site, travel_rig, weighed
from tests.yard import LB, axle, motorhome, vehicle
from tests.yard import rig as rig_of


def test_pads_under_all_wheels_take_one_pass_and_two_to_check() -> None:
    plan = planned(motorhome(), site((), pads=4), Wanted.WHEEL_ENDS)
    assert counts(plan) == (1, 2)
    assert weighed(schedule(plan, Goal.KNOWN)) == [
        (
            Lateral.PADS,
            {
                "pad 1": {"steer.left"},
                "pad 2": {"steer.right"},
                "pad 3": {"drive.left"},
                "pad 4": {"drive.right"},
            },
        )
    ]


def test_two_pads_and_a_railed_scale_check_each_other() -> None:
    # Four wheel ends by two pads: two passes. The axles on the platforms check them in one more.
    plan = planned(motorhome(), site(rails=Rails.BOTH, pads=2), Wanted.WHEEL_ENDS)
    assert counts(plan) == (2, 3)
    assert [lateral for lateral, _ in weighed(schedule(plan, Goal.CHECKABLE))].count(Lateral.PADS) == 2


def test_many_wheels_on_few_pads_are_taken_in_turn_and_counting_proves_it() -> None:
    # Ten wheel ends on four pads: 10 / 4 -> 3 passes; each twice, 20 / 4 = 5.
    five = rig_of(
        vehicle(*(axle(f"a{number}", gawr_lb=9_000, aft_in=100 * number) for number in range(5)), gvwr_lb=40_000)
    )
    assert counts(planned(five, site((), pads=4), Wanted.WHEEL_ENDS)) == (3, 5)


def test_a_pad_pass_takes_whole_axles_and_more_pads_never_give_less() -> None:
    """The left drive wheels, 5,200 lb, are more than class III shows at d = 0.5 lb; the right ones, 4,800, are not."""
    rig = motorhome()
    small = structs.replace(site(()), tolerance=ACCURACY_CLASSES["III"], pad_division_kg=0.5 * LB)
    loads = {"steer.left": 2900, "steer.right": 2900, "drive.left": 5200, "drive.right": 4800}
    for heavy, unknown in ((5200, {"drive.left"}), (4900, set())):
        most = None
        for pads in range(1, 7):
            expected = {name: load * LB for name, load in (loads | {"drive.left": heavy}).items()}
            asked = structs.replace(
                question(rig, structs.replace(small, pads=pads), Wanted.WHEEL_ENDS), expected_kg=expected
            )
            plan = session_plan(asked, 2.0, never)
            assert {each.target.name for each in plan.impossible} == unknown
            passes = len(schedule(plan, Goal.CHECKABLE).passes)
            assert most is None or passes <= most
            most = passes
    axles = {name: {f"{name}.left", f"{name}.right"} for name in ("steer", "drive")}
    for pads in (2, 3):
        asked = question(rig, site((), pads=pads), Wanted.AXLES)
        ways = ways_to_stand(asked, trains_of(rig))
        on = [{out_of_state(wheel) for _, wheels in way.rows for wheel in wheels} for way in ways]
        assert on == list(axles.values())


def test_pads_for_all_wheels_of_a_hitched_pair_weigh_it_in_one_pass() -> None:
    for pads, passes in ((2, 4), (4, 2), (6, 2), (7, 2), (8, 1)):
        found = schedule(
            planned(travel_rig(), site((), pads=pads), Wanted.AXLES, state=CouplingState.HITCHED), Goal.KNOWN
        )
        assert (len(found.passes), found.proven) == (passes, True)
    # Eight loads, each twice, are sixteen readings: three passes of six pads, which no vehicle by itself fills.
    for pads, passes in ((4, 4), (6, 3)):
        plan = planned(travel_rig(), site((), pads=pads), Wanted.AXLES, state=CouplingState.HITCHED)
        assert len(schedule(plan, Goal.CHECKABLE).passes) == passes


def test_pads_under_a_whole_vehicle_do_not_raise_it() -> None:
    """2 % of a wheel end is 60 lb and more; with all four weighed at once there is none."""
    few, all_four = (
        schedule(planned(motorhome(), site((), pads=pads), Wanted.WHEEL_ENDS), Goal.KNOWN).loads[0].u_kg / LB
        for pads in (2, 4)
    )
    assert few**2 - all_four**2 == pytest.approx((0.02 * 0.85 * 7000 / 2) ** 2)


@settings(max_examples=20, deadline=None)
@given(
    heavy=st.sets(
        st.sampled_from([f"truck.{axle}.{side}" for axle in ("front", "rear") for side in ("left", "right")])
    ),
    state=st.sampled_from([CouplingState.SOLO, CouplingState.HITCHED]),
    goal=st.sampled_from(list(Goal)),
)
def test_with_more_pads_no_load_is_lost_and_no_pass_is_added(heavy: set[str], state: CouplingState, goal: Goal) -> None:
    """Some wheels are heavier than the 5,000 lb that class III shows at d = 0.5 lb."""
    rig = travel_rig()
    most: tuple[set[str], int] | None = None
    for pads in range(1, 9):
        place = structs.replace(site((), pads=pads), tolerance=ACCURACY_CLASSES["III"], pad_division_kg=0.5 * LB)
        asked = question(rig, place, Wanted.WHEEL_ENDS, state=state)
        expected = dict(asked.expected_kg) | dict.fromkeys(heavy, 5_200 * LB)
        plan = session_plan(structs.replace(asked, expected_kg=expected), 2.0, never)
        found = schedule(plan, goal)
        known, passes = {load.target.name for load in found.loads}, len(found.passes)
        assert known == {wheel for vehicle in rig.vehicles for wheel in vehicle.sum_of} - heavy
        assert found.proven
        assert most is None or (known >= most[0] and passes <= most[1])
        most = known, passes
