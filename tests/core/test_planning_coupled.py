"""The cheapest passes of what is coupled: tongue weights, trailers, and the doubt across coupling states."""

import pytest
from msgspec import structs

from axlewright.core.estimates import Estimate
from axlewright.core.rig import CouplingState, VehicleKind
from axlewright.core.sessions.passes import LoadNames
from axlewright.core.sessions.plan_doubt import Doubts
from axlewright.core.sessions.plan_question import Wanted
from axlewright.core.sessions.plan_reach import Reason, ways_to_stand
from axlewright.core.sessions.planning import session_plan
from axlewright.core.sessions.reconcile import reconcile
from axlewright.core.sessions.schedule import Goal
from axlewright.core.sessions.standing import room_m
from axlewright.core.sessions.train import out_of_state, state_of, trains_of
from tests.sites import counts, never, planned, question, schedule, site, travel_rig, weighed
from tests.yard import LB, axle, vehicle
from tests.yard import rig as rig_of


def test_the_tongue_weight_takes_the_towing_vehicle_solo_and_hitched() -> None:
    plan = planned(travel_rig(), site(), Wanted.TONGUE_WEIGHT)
    assert counts(plan) == (2, 4)
    found = schedule(plan, Goal.KNOWN)
    assert [way.train.state for way in found.passes] == [CouplingState.SOLO, CouplingState.HITCHED]
    (load,) = found.loads
    assert load.target.name == "trailer.coupling"
    # All wheels of the truck on one platform each time, or each axle on its own: the trailer is on none of these.
    for _, read in weighed(found):
        assert set().union(*(each for each in read.values() if any("truck" in wheel for wheel in each))) == {
            f"truck.{name}.{side}" for name in ("front", "rear") for side in ("left", "right")
        }


def test_its_doubt_loses_the_errors_of_a_platform_where_the_same_wheels_stand_on_it_twice() -> None:
    """The difference of two readings of one platform loses what both are wrong by alike."""
    rig = travel_rig()
    asked = question(rig, site((12.0,)), Wanted.TONGUE_WEIGHT)
    trains = trains_of(rig)
    doubts = Doubts.of(asked, trains)
    wheels = frozenset(f"truck.{name}.{side}" for name in ("front", "rear") for side in ("left", "right"))
    ways = [
        next(
            way
            for way in ways_to_stand(asked, trains)
            if [frozenset(each.partition("/")[2] for each in row) for _, row in way.rows] == [wheels]
            and way.train.state is state
        )
        for state in (CouplingState.SOLO, CouplingState.HITCHED)
    ]
    (u_kg,) = doubts.us_kg(ways, [asked.targets[0].terms])
    # By hand: 0.85 x 12,000 = 10,200 lb: what is left of the tolerance is common to the same wheels, and cancels with
    # the span; rounding and placement sqrt(20^2 / 12 + 10.2^2) = 11.72 lb, twice: u = 11.72 sqrt(2) = 16.57 lb.
    assert u_kg / LB == pytest.approx(16.57, abs=0.01)


def test_the_doubt_of_a_tongue_weight_is_what_a_reconciliation_gives() -> None:
    rig = travel_rig()
    for state in (CouplingState.HITCHED, CouplingState.HITCHED_LEVELLED):
        asked = question(rig, site(), Wanted.AXLES, Wanted.TONGUE_WEIGHT, state=state)
        found = schedule(session_plan(asked, 2.0, never), Goal.CHECKABLE)
        estimates = reconcile(rig, Doubts.of(asked, trains_of(rig)).session(found.passes)).estimates
        names = LoadNames.of(rig)
        for load in found.loads:
            terms = {names.name(out_of_state(each), state_of(each)): to for each, to in load.target.terms.items()}
            known = estimates.known(terms)
            assert isinstance(known, Estimate)
            assert load.u_kg == pytest.approx(known.u)


def test_a_trailer_is_weighed_hitched_and_its_axles_apart() -> None:
    plan = planned(travel_rig(), site(), Wanted.AXLES, state=CouplingState.HITCHED)
    assert counts(plan)[0] == 2
    names = {load.target.name: load.target.state for load in schedule(plan, Goal.KNOWN).loads}
    assert names == dict.fromkeys(("truck.front", "truck.rear", "trailer.one", "trailer.two"), CouplingState.HITCHED)


def test_what_pulls_a_trailer_alone_must_not_share_its_platform() -> None:
    # The coupling is 180 in = 4.572 m ahead of the axle. On a platform of 12 m it is a ball's 0.2 m clear of the far
    # edge from 12 + 0.2 - 4.572 = 7.628 m on; a fifth wheel's 0.6 m from 8.028 m on.
    alone = rig_of(
        vehicle(axle("axle", gawr_lb=5_000, aft_in=180), gvwr_lb=6_000, kind=VehicleKind.TRAVEL_TRAILER, name="trailer")
    )
    (trailer,) = alone.vehicles
    pinned = structs.replace(alone, vehicles=(structs.replace(trailer, kind=VehicleKind.FIFTH_WHEEL),))
    for pulled, first_m in ((alone, 7.628), (pinned, 8.028)):
        place = site((12.0,), one_way=True)
        (way,) = schedule(planned(pulled, place, Wanted.AXLES), Goal.KNOWN).passes
        assert way.first_axle_m == pytest.approx(first_m, abs=1e-9)
        assert way.spots[0].clearance_m == pytest.approx(12 - first_m - 0.15)
        # What pulls it takes 6 m from the coupling on: with 8 m of way the coupling is 2 m past the platform at most.
        near = structs.replace(place, after_m=8.0)
        (way,) = schedule(planned(pulled, near, Wanted.AXLES), Goal.KNOWN).passes
        assert room_m(way, near) == pytest.approx((first_m, 12 + 2 - 4.572))
        for after_m in (0.0, 6.0):
            (none,) = planned(pulled, structs.replace(place, after_m=after_m), Wanted.AXLES).impossible
            assert none.reasons == (Reason.APPROACH_TOO_SHORT,)
    short = rig_of(
        vehicle(
            axle("one", gawr_lb=5_000, aft_in=20),
            axle("two", gawr_lb=5_000, aft_in=54),
            gvwr_lb=6_000,
            kind=VehicleKind.TRAVEL_TRAILER,
            name="trailer",
        )
    )
    plan = planned(short, site((6.0,)), Wanted.AXLES)
    assert [(each.target.name, each.reasons) for each in plan.impossible] == []


def test_loads_with_levelling_bars_take_the_same_passes_as_without() -> None:
    without, with_bars = (
        schedule(planned(travel_rig(), site(), Wanted.AXLES, state=state), Goal.CHECKABLE)
        for state in (CouplingState.HITCHED, CouplingState.HITCHED_LEVELLED)
    )
    assert weighed(without) == weighed(with_bars)
    assert {way.train.state for way in with_bars.passes} == {CouplingState.HITCHED_LEVELLED}
    assert [load.u_kg for load in with_bars.loads] == pytest.approx([load.u_kg for load in without.loads])
