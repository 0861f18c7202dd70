"""The cheapest passes that make loads known: hand-worked sites, and all schedules tried where there are few."""

from collections.abc import Mapping
from itertools import combinations_with_replacement

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.estimates import Estimate
from axlewright.core.rig import CouplingState
from axlewright.core.scales import ACCURACY_CLASSES, OwnTolerance
from axlewright.core.sessions.adjustment import adjust
from axlewright.core.sessions.covariance import covariance_of
from axlewright.core.sessions.plan_doubt import Doubts
from axlewright.core.sessions.plan_question import Target, Wanted, targets_of
from axlewright.core.sessions.plan_reach import Reason, ways_to_stand
from axlewright.core.sessions.planning import session_plan
from axlewright.core.sessions.reconcile import reconcile
from axlewright.core.sessions.schedule import Goal, Question, are_checked, fewest, undominated
from axlewright.core.sessions.site import Rails
from axlewright.core.sessions.standing import Lateral
from axlewright.core.sessions.train import trains_of
from tests.sites import counts, never, planned, question, schedule, site, travel_rig, weighed
from tests.yard import INCH, LB, axle, motorhome, tires, vehicle
from tests.yard import rig as rig_of

# ---- hand-worked schedules


def test_one_pass_over_three_platforms_gives_both_axles_of_a_motorhome_and_a_second_checks_it() -> None:
    plan = planned(motorhome(), site(), Wanted.AXLES)
    assert counts(plan) == (1, 2)
    (lateral, read) = weighed(schedule(plan, Goal.KNOWN))[0]
    assert lateral is Lateral.CENTRED
    assert sorted(map(sorted, read.values())) == [["drive.left", "drive.right"], ["steer.left", "steer.right"]]


def test_right_left_and_whole_axles_give_wheel_ends_with_a_check_and_two_of_them_without() -> None:
    plan = planned(motorhome(), site(), Wanted.WHEEL_ENDS)
    assert counts(plan) == (2, 3)
    laterals = [lateral for lateral, _ in weighed(schedule(plan, Goal.CHECKABLE))]
    assert laterals == [Lateral.CENTRED, Lateral.RIGHT, Lateral.LEFT]
    assert all(load.checked for load in schedule(plan, Goal.CHECKABLE).loads)
    assert not any(load.checked for load in schedule(plan, Goal.KNOWN).loads)


def test_rails_on_both_sides_give_no_wheel_end_but_its_axle() -> None:
    plan = planned(motorhome(), site(rails=Rails.BOTH), Wanted.WHEEL_ENDS, Wanted.AXLES)
    assert [(each.target.name, each.reasons) for each in plan.impossible] == [
        (name, (Reason.GUARD_RAILS,)) for name in ("steer.left", "steer.right", "drive.left", "drive.right")
    ]
    assert plan.impossible[0].coarser == {"steer.left", "steer.right"}
    assert [load.target.name for load in schedule(plan, Goal.KNOWN).loads] == ["steer", "drive"]
    assert counts(plan) == (1, 2)


def test_nothing_is_planned_where_nothing_wanted_can_be_had() -> None:
    plan = planned(motorhome(), site(whole_axles_only=True), Wanted.WHEEL_ENDS)
    assert plan.schedules == {Goal.KNOWN: None, Goal.CHECKABLE: None}
    assert {each.reasons for each in plan.impossible} == {(Reason.WHOLE_AXLES_ONLY,)}


def test_rails_and_an_operator_who_stand_in_the_way_together_are_both_told() -> None:
    plan = planned(motorhome(), site(rails=Rails.BOTH, whole_axles_only=True), Wanted.WHEEL_ENDS)
    assert {each.reasons for each in plan.impossible} == {(Reason.GUARD_RAILS, Reason.WHOLE_AXLES_ONLY)}


def test_with_a_rail_on_one_side_the_other_wheels_are_weighed_driving_the_other_way_round() -> None:
    # With the right wheels on, the left ones stand beside the left edge: a rail there forbids it. Driven over the
    # other way round, the rail stands on the right.
    plan = planned(motorhome(), site(rails=Rails.LEFT), Wanted.WHEEL_ENDS)
    assert counts(plan) == (2, 3)
    sides = {way.lateral: way.against for way in schedule(plan, Goal.CHECKABLE).passes}
    assert sides == {Lateral.CENTRED: False, Lateral.LEFT: False, Lateral.RIGHT: True}


def test_on_a_one_way_scale_with_a_rail_the_other_side_is_the_axle_less_the_free_side() -> None:
    plan = planned(motorhome(), site(rails=Rails.RIGHT, one_way=True), Wanted.WHEEL_ENDS)
    assert counts(plan) == (2, 4)
    found = schedule(plan, Goal.KNOWN).passes
    assert [(way.lateral, way.against) for way in found] == [(Lateral.CENTRED, False), (Lateral.RIGHT, False)]


def test_one_short_platform_takes_axle_by_axle() -> None:
    # Each axle alone: 2 passes, 4 with a check; each wheel end: right, left and whole of each axle.
    assert counts(planned(motorhome(), site((3.0,)), Wanted.AXLES)) == (2, 4)
    plan = planned(motorhome(), site((3.0,)), Wanted.WHEEL_ENDS)
    assert counts(plan) == (4, 6)
    assert all(len(way.rows) == 1 and len(way.rows[0][1]) <= 2 for way in schedule(plan, Goal.CHECKABLE).passes)


def test_a_way_too_short_for_the_other_axle_is_told() -> None:
    plan = planned(motorhome(), site((3.0,), before_m=1.0, after_m=1.0), Wanted.AXLES)
    assert [each.reasons for each in plan.impossible] == [(Reason.APPROACH_TOO_SHORT,)] * 2
    assert plan.schedules[Goal.KNOWN] is None


def test_a_platform_too_narrow_for_whole_axles_is_told_and_one_too_short_for_a_tire_too() -> None:
    narrow = planned(motorhome(), site(width_m=2.0), Wanted.AXLES)
    # The sides fit, and with them the axles, as sums of both sides.
    assert counts(narrow) == (2, 4)
    closed = planned(motorhome(), site(width_m=2.0, rails=Rails.BOTH), Wanted.AXLES)
    assert {each.reasons for each in closed.impossible} == {(Reason.PLATFORM_TOO_NARROW,)}
    short = planned(motorhome(), site((0.39,)), Wanted.AXLES)
    assert {each.reasons for each in short.impossible} == {(Reason.NO_PLATFORM_FITS,)}
    assert counts(planned(motorhome(), site((0.4,)), Wanted.AXLES)) == (2, 4)


def test_axles_that_a_gap_cannot_part_are_told_together() -> None:
    # Axles 0.38 m apart: to stand on two platforms takes 0.2 m on each side of a gap.
    close = rig_of(
        vehicle(axle("one", gawr_lb=5_000), axle("two", gawr_lb=5_000, aft_in=0.38 / INCH), gvwr_lb=9_000),
    )
    plan = planned(close, site((6.0, 6.0), gap_m=0.0), Wanted.AXLES)
    assert {each.reasons for each in plan.impossible} == {(Reason.AXLES_NOT_SEPARATED,)}
    assert plan.impossible[0].coarser == {"one.left", "one.right", "two.left", "two.right"}


def test_a_class_that_cannot_show_so_much_is_told() -> None:
    small = structs.replace(site(), tolerance=ACCURACY_CLASSES["IIII"])
    plan = planned(motorhome(), structs.replace(small, platforms=tuple(
        structs.replace(each, division_kg=1.0) for each in small.platforms)), Wanted.AXLES)  # fmt: skip
    # Up to 1,200 kg: only single sides of the steering axle, 0.85 x 7,000 lb / 2 = 1,349 kg, and not even these.
    assert {each.reasons for each in plan.impossible} == {(Reason.BEYOND_SCALE,)}


def test_platforms_that_cannot_show_what_fits_on_them_are_named() -> None:
    """Class III L, 10,000 d: at d = 2 lb both axles, 16,150 lb, can be shown, at d = 1 lb not."""
    fine = structs.replace(
        site((15.0, 12.0)),
        platforms=tuple(
            structs.replace(each, division_kg=division * LB)
            for each, division in zip(site((15.0, 12.0)).platforms, (2.0, 1.0), strict=True)
        ),
    )
    assert [each.name for each in planned(motorhome(), fine, Wanted.AXLES).capped] == ["B"]
    assert planned(motorhome(), site((15.0, 12.0)), Wanted.AXLES).capped == ()


# ---- price, doubt


def test_the_price_is_the_first_pass_and_each_further_one() -> None:
    found = schedule(planned(motorhome(), site(), Wanted.WHEEL_ENDS), Goal.CHECKABLE)
    assert found.price == 14.5 + 2 * 4.0
    assert [site().price(count) for count in (0, 1, 4)] == [0.0, 14.5, 26.5]
    # Where a further pass costs more than a first one, weighs of their own are cheaper.
    dear = structs.replace(site(), first_price=5.0, further_price=12.0)
    assert [dear.price(count) for count in (0, 1, 4)] == [0.0, 5.0, 20.0]


def test_the_doubt_is_what_a_reconciliation_of_the_expected_readings_gives() -> None:
    rig = motorhome()
    asked = question(rig, site(), Wanted.WHEEL_ENDS, Wanted.AXLES)
    found = schedule(session_plan(asked, 2.0, never), Goal.CHECKABLE)
    estimates = reconcile(rig, Doubts.of(asked, trains_of(rig)).session(found.passes)).estimates
    for load in found.loads:
        known = estimates.known({name.partition("/")[2]: weight for name, weight in load.target.terms.items()})
        assert isinstance(known, Estimate)
        assert (load.u_kg, load.expected_kg) == pytest.approx((known.u, known.value))


def test_every_reading_of_a_checkable_schedule_has_a_denominator_of_baarda_above_nothing() -> None:
    for wanted in (Wanted.AXLES, Wanted.WHEEL_ENDS, Wanted.TONGUE_WEIGHT):
        rig = travel_rig() if wanted is Wanted.TONGUE_WEIGHT else motorhome()
        asked = question(rig, site(), wanted)
        plan = session_plan(asked, 2.0, never)
        doubts = Doubts.of(asked, trains_of(rig))
        for goal, is_checked in ((Goal.CHECKABLE, True), (Goal.KNOWN, False)):
            session = doubts.session(schedule(plan, goal).passes)
            design = doubts.design(session)
            covariance = covariance_of(session, rig, doubts.columns, design)
            own = adjust(design, np.array([each.value_kg for each in session.readings]), covariance)
            rests = np.abs(doubts.row(asked.targets[0].terms) @ own.gain) > 1e-9
            assert bool(np.isfinite(own.slip_us[rests]).all()) is is_checked


# ---- all schedules tried


def is_given(design: list[list[float]], sums: list[list[float]]) -> bool:
    if not design:
        return False
    rank = np.linalg.matrix_rank(np.array(design))
    return all(np.linalg.matrix_rank(np.array([*design, each])) == rank for each in sums)


def fewest_by_trying(choices: list[list[list[float]]], sums: list[list[float]], goal: Goal, most: int) -> int | None:
    """Return the fewest passes by trying them all; a check by leaving out each reading in turn."""
    for count in range(1, most + 1):
        for passes in combinations_with_replacement(choices, count):
            design = [row for each in passes for row in each]
            left_out = [design[:place] + design[place + 1 :] for place in range(len(design))]
            if is_given(design, sums) and (goal is Goal.KNOWN or all(is_given(each, sums) for each in left_out)):
                return count
    return None


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_the_search_finds_what_trying_all_schedules_finds(data: st.DataObject) -> None:
    """Random choices, in each of which every one of four loads is in one of three readings, or in none."""
    drawn = data.draw(st.lists(st.lists(st.integers(0, 3), min_size=4, max_size=4).filter(any), min_size=2, max_size=5))
    choices = [[[float(place == number) for place in each] for number in (1, 2, 3) if number in each] for each in drawn]
    sums = data.draw(st.lists(st.sampled_from([row for each in choices for row in each]), min_size=1, max_size=2))
    goal = data.draw(st.sampled_from(list(Goal)))
    padded = np.zeros((len(choices), 3, 4))
    for place, each in enumerate(choices):
        padded[place, : len(each)] = each
    found = fewest(Question(padded, np.array(sums), goal), never, 1.0)
    assert found.least == len(found.schedules[0])
    assert fewest_by_trying(choices, sums, goal, 4) == (found.least if found.least <= 4 else None)


@settings(max_examples=25, deadline=None)
@given(
    lengths=st.lists(st.floats(2, 9), min_size=1, max_size=2),
    spaces=st.lists(st.sampled_from([1.2, 4.0]), min_size=1, max_size=2),
    rails=st.sampled_from(Rails),
    before=st.sampled_from([0.0, 3.0, 20.0]),
    wanted=st.sampled_from([Wanted.AXLES, Wanted.WHEEL_ENDS]),
)
def test_a_plan_for_a_random_site_is_as_short_as_any(
    lengths: list[float], spaces: list[float], rails: Rails, before: float, wanted: Wanted
) -> None:
    """The whole plan, with its parts and what it leaves out, against all ways to stand in all combinations."""
    at_in = [0.0]
    for space_m in spaces:
        at_in.append(at_in[-1] + space_m / INCH)
    rig = rig_of(
        vehicle(*(axle(f"a{place}", gawr_lb=5_000, aft_in=aft) for place, aft in enumerate(at_in)), gvwr_lb=20_000)
    )
    asked = question(rig, site(tuple(lengths), rails=rails, before_m=before, after_m=before), wanted)
    plan = session_plan(asked, 2.0, never)
    names = sorted(name for train in trains_of(rig) for name in train.wheels)

    def row(terms: Mapping[str, float]) -> list[float]:
        return [terms.get(name, 0.0) for name in names]

    read = {frozenset(wheels for _, wheels in way.rows) for way in ways_to_stand(asked, trains_of(rig))}
    choices = [[row(dict.fromkeys(wheels, 1.0)) for wheels in sorted(each, key=sorted)] for each in read]
    every = [reading for each in choices for reading in each]
    known = [each for each in asked.targets if is_given(every, [row(each.terms)])]
    assert [each.target for each in plan.impossible] == [each for each in asked.targets if each not in known]
    if not known:
        assert plan.schedules[Goal.KNOWN] is None
        return
    for goal in Goal:
        found = schedule(plan, goal)
        assert found.proven
        tried = fewest_by_trying(choices, [row(each.terms) for each in known], goal, 3)
        assert tried == (len(found.passes) if len(found.passes) <= 3 else None)


def test_a_search_that_runs_out_of_time_says_how_few_passes_are_ruled_out() -> None:
    five = rig_of(
        vehicle(*(axle(f"a{number}", gawr_lb=9_000, aft_in=60 * number) for number in range(5)), gvwr_lb=40_000)
    )
    ticks = iter(range(1_000_000))
    plan = session_plan(question(five, site((21.0,)), Wanted.WHEEL_ENDS), 4.0, lambda: float(next(ticks)))
    found = schedule(plan, Goal.CHECKABLE)
    # One platform gives one reading a pass, ten unknowns with a check eleven readings.
    assert found.least == 11
    assert len(found.passes) >= 12
    assert not found.proven
    assert all(load.checked for load in found.loads)


def test_a_reading_that_others_make_up_is_no_choice_of_its_own() -> None:
    fine, coarse, other = frozenset({0b01, 0b10}), frozenset({0b11}), frozenset({0b101})
    assert undominated([coarse, fine, other]) == [1, 2]
    assert undominated([fine, fine]) == [0]


def test_a_load_is_checked_by_what_it_rests_on_and_not_by_what_else_was_read() -> None:
    # The first load was read twice, the second once: a slip shows in the first, whatever happens to the second.
    design = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 0.0]])
    assert are_checked(design, np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])) == [True, False, False]


def test_of_platforms_with_the_same_doubt_the_roomier_one_is_taken() -> None:
    cart = rig_of(vehicle(axle("only", gawr_lb=5_000), gvwr_lb=5_000))
    for lengths_m, name in (((2.0, 6.0), "B"), ((6.0, 2.0), "A")):
        (way,) = schedule(planned(cart, site(lengths_m), Wanted.AXLES), Goal.KNOWN).passes
        assert [platform.name for platform, _ in way.rows] == [name]
        assert way.clearance_m == pytest.approx(2.85)


def test_targets_are_named_once_for_each_wanted_load() -> None:
    rig = travel_rig()
    found = targets_of(rig, [Wanted.AXLES, Wanted.TONGUE_WEIGHT], ["truck"], CouplingState.SOLO)
    assert [(each.name, each.kind, each.state) for each in found] == [
        ("truck.front", Wanted.AXLES, CouplingState.SOLO),
        ("truck.rear", Wanted.AXLES, CouplingState.SOLO),
        ("trailer.coupling", Wanted.TONGUE_WEIGHT, CouplingState.HITCHED),
    ]
    assert isinstance(found[0], Target)
    assert found[2].terms["solo/truck.front.left"] == -1.0


def test_your_own_tolerance_serves_as_well() -> None:
    own = structs.replace(site(), tolerance=OwnTolerance(0.001, 0.0))
    load = schedule(planned(motorhome(), own, Wanted.AXLES), Goal.KNOWN).loads[0]
    # By hand: 0.85 x 7,000 = 5,950 lb; span 5.95 lb, nothing left of the tolerance; rounding and placement
    # sqrt(20^2 / 12 + 10^2) = 11.55 lb. u = sqrt(5.95^2 / 3 + 11.55^2) = 12.05 lb.
    assert load.u_kg / LB == pytest.approx(12.05, abs=0.01)


def test_an_axle_of_duals_is_wider_than_its_track_says() -> None:
    single = motorhome(drive=tires())
    # Track 74 in = 1.8796 m, duals 0.7 m: 2.5796 + 0.1 m; single 1.8796 + 0.3 + 0.1; the steering axle 2.3812 m.
    for rig, width_m, fits in ((motorhome(), 2.67, False), (motorhome(), 2.69, True), (single, 2.39, True)):
        place = site(width_m=width_m, rails=Rails.BOTH)
        assert (planned(rig, place, Wanted.AXLES).impossible == ()) is fits
