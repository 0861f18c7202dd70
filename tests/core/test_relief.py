"""What must hold of everything that has to come off."""

from collections.abc import Iterable
from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from axlewright.core.estimates import LoadEstimates
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.loads.changes import LoadChange, added, changed_estimates, scaled
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.headroom import HeldLimits, headroom, held_limits
from axlewright.core.loads.limits import LimitKind, check_limits
from axlewright.core.loads.relief import EQUAL_KG, Relief, Removable, relief
from axlewright.core.loads.standings import Bound
from axlewright.core.loads.statics import rig_statics
from axlewright.core.policy import Policy
from axlewright.core.rig import Place, Rig, VehicleKind
from tests.yard import INCH, LB, PSI, axle, known_loads, motorhome, rig, tires, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
K = 2.0
Spots = list[tuple[float, float, float | None]]
"""Where things may come off: aft and right [in], and how much there is [lb]."""

loads_lb = st.fixed_dictionaries(
    {
        "steer.left": st.floats(2_800.0, 3_700.0),
        "steer.right": st.floats(2_800.0, 3_700.0),
        "drive.left": st.floats(5_200.0, 6_500.0),
        "drive.right": st.floats(5_200.0, 6_500.0),
    }
)
amounts_lb = st.none() | st.floats(20.0, 900.0)


def spots(count: int) -> st.SearchStrategy[Spots]:
    """Return strategies of up to so many places."""
    return st.lists(st.tuples(st.floats(-40.0, 320.0), st.floats(-40.0, 40.0), amounts_lb), min_size=1, max_size=count)


def held_by(subject: Rig, estimates: LoadEstimates) -> HeldLimits:
    """Return what a rig has to keep."""
    return held_limits(subject, check_limits(subject, estimates, fitted_tires(subject, ()), POLICY), estimates)


def removables_of(subject: Rig, estimates: LoadEstimates, places: Spots) -> list[Removable]:
    """Return what may come off a rig's first vehicle, each from a square of 20 in."""
    statics = rig_statics(subject, estimates)[subject.vehicles[0].name]
    return [
        Removable(
            f"item {number}",
            Place(f"place {number}", aft_in * INCH, right_in * INCH, 20 * INCH, 20 * INCH),
            statics,
            None if most_lb is None else most_lb * LB,
        )
        for number, (aft_in, right_in, most_lb) in enumerate(places)
    ]


def coach(loads: dict[str, float], u_lb: float = 15.0) -> tuple[Rig, LoadEstimates]:
    """Return a motorhome with such loads."""
    subject = motorhome(gvwr_lb=18_300.0, steer_lb=7_000.0, drive_lb=11_900.0)
    return subject, estimates_from_loads(subject, known_loads(loads, u_lb))


def excesses(held: HeldLimits, change: LoadChange) -> list[float]:
    """Return by how much each limit is broken after a change, beyond its tolerance."""
    return [row.excess_kg(change, K) - row.tolerance_kg for row in held.rows]


def off(per_kg: list[LoadChange], masses_kg: Iterable[float]) -> LoadChange:
    """Return what taking masses off does to the loads."""
    taken = [scaled(each, mass) for each, mass in zip(per_kg, masses_kg, strict=True)]
    return added(taken, len(taken[0].loads))


def masses_of(found: Relief, items: list[Removable]) -> dict[str, float]:
    """Return what comes off each item [kg], and check that so much is there."""
    by_name = {removal.name: removal.mass_kg for removal in found.removals}
    assert all(0.0 < by_name.get(item.name, 1e-9) <= item.available_kg + 1e-9 for item in items)
    return by_name


@given(loads_lb, st.floats(0.0, 60.0), spots(6))
@settings(max_examples=60, deadline=None)
def test_what_comes_off_keeps_every_limit_of_the_rig_judged_anew_and_breaks_none(
    loads: dict[str, float], u_lb: float, places: Spots
) -> None:
    subject, estimates = coach(loads, u_lb)
    items, held = removables_of(subject, estimates, places), held_by(subject, estimates)
    found = relief(items, held, K)
    masses_of(found, items)
    then = held_by(subject, changed_estimates(estimates, found.change))
    broken = [(row.check.subject, row.check.kind, row.check.bound) for row in then.broken(K - 1e-6)]
    assert set(broken) <= {(each.check.subject, each.check.kind, each.check.bound) for each in found.unmet}
    assert found.needed == bool(held.broken(K))
    assert bool(found.removals) <= found.needed
    before = [row.excess_kg(LoadChange(0.0 * row.row), K) for row in held.rows]
    after = [row.excess_kg(found.change, K) for row in held.rows]
    assert all(late <= max(early, 0.0) + 1e-5 for early, late in zip(before, after, strict=True))


@given(loads_lb, spots(1))
@settings(max_examples=60, deadline=None)
def test_of_one_thing_no_less_would_do(loads: dict[str, float], places: Spots) -> None:
    """Brute force: no mass of a fine row keeps every limit with less, and none at all where no mass was found."""
    subject, estimates = coach(loads)
    items, held = removables_of(subject, estimates, places), held_by(subject, estimates)
    found = relief(items, held, K)
    assume(found.needed)
    per_kg = [item.per_kg for item in items]
    tried_kg = [float(mass) for mass in np.linspace(0.0, min(items[0].available_kg, 2_000.0), 200)]
    keeps = [mass for mass in tried_kg if max(excesses(held, off(per_kg, (mass,)))) <= 0.0]
    if found.unmet:
        assert keeps == []
        return
    [mass_kg] = masses_of(found, items).values()
    assert max(excesses(held, off(per_kg, (mass_kg,)))) <= 0.0
    assert max(excesses(held, off(per_kg, (mass_kg - EQUAL_KG,)))) > 0.0
    assert all(mass_kg <= mass + EQUAL_KG for mass in keeps)


@given(loads_lb, st.lists(st.tuples(st.floats(-40.0, 320.0), st.floats(-40.0, 40.0)), min_size=2, max_size=3))
@settings(max_examples=25, deadline=None)
def test_of_two_or_three_things_no_less_would_do(loads: dict[str, float], spots_in: list[tuple[float, float]]) -> None:
    """Brute force: a grid over all masses; none that keeps every limit takes off less in all."""
    subject, estimates = coach(loads)
    items = removables_of(subject, estimates, [(aft_in, right_in, 300.0) for aft_in, right_in in spots_in])
    held = held_by(subject, estimates)
    found = relief(items, held, K)
    assume(found.needed)
    per_kg = [item.per_kg for item in items]
    count = 41 if len(items) == 2 else 13
    grid = np.array(list(product(np.linspace(0.0, 300.0 * LB, count), repeat=len(items))))
    kept = np.ones(len(grid), dtype=bool)
    for row in held.rows:
        value = row.excess_kg(LoadChange(0.0 * row.row), 0.0) + grid @ [each.value(row.row) for each in per_kg]
        variance = np.full(len(grid), (row.present.u or 0.0) ** 2)
        for name in {name for each in per_kg for name in each.effects}:
            zero = 0.0 * row.row
            variance += (grid @ [float(row.row @ each.effects.get(name, zero)) for each in per_kg]) ** 2
        kept &= value + K * np.sqrt(variance) <= row.tolerance_kg
    if found.unmet:
        assert not kept.any()
        return
    assert not kept.any() or found.total_kg <= grid[kept].sum(axis=1).min() + EQUAL_KG


@given(loads_lb, spots(3), st.floats(10.0, 60.0))
@settings(max_examples=30, deadline=None)
def test_a_surer_answer_takes_off_no_less(loads: dict[str, float], places: Spots, u_lb: float) -> None:
    subject, estimates = coach(loads, u_lb)
    items, held = removables_of(subject, estimates, places), held_by(subject, estimates)
    plain, sure = relief(items, held, 1.0), relief(items, held, 2.0)
    assume(not sure.unmet)
    assert not plain.unmet
    assert plain.total_kg <= sure.total_kg + EQUAL_KG


@given(st.floats(-40.0, 320.0), st.floats(-40.0, 40.0), st.floats(1.05, 2.0))
@settings(max_examples=30, deadline=None)
def test_without_doubts_what_is_more_than_the_headroom_has_to_come_off(
    aft_in: float, right_in: float, share: float
) -> None:
    """Headroom turned round: of `share` times the most, all above the most comes off again."""
    subject, estimates = coach(
        {"steer.left": 3_000.0, "steer.right": 3_050.0, "drive.left": 5_300.0, "drive.right": 5_200.0}
    )
    [item] = removables_of(subject, estimates, [(aft_in, right_in, None)])
    room = headroom(item.place, item.statics, held_by(subject, estimates), 0.0)
    assert room.most_kg is not None
    loaded = changed_estimates(estimates, scaled(item.per_kg, -share * room.most_kg))
    found = relief([item], held_by(subject, loaded), 0.0)
    assert found.unmet == ()
    assert found.total_kg == pytest.approx((share - 1.0) * room.most_kg, abs=0.02)


def test_where_nothing_is_over_nothing_comes_off() -> None:
    subject, estimates = coach(
        {"steer.left": 3_000.0, "steer.right": 3_000.0, "drive.left": 5_000.0, "drive.right": 5_000.0}
    )
    found = relief(removables_of(subject, estimates, [(100.0, 0.0, None)]), held_by(subject, estimates), K)
    assert (found.needed, found.removals, found.unmet, found.total_kg) == (False, (), (), 0.0)


def test_without_anything_to_take_off_all_that_is_over_stays() -> None:
    subject, estimates = coach(
        {"steer.left": 3_000.0, "steer.right": 3_000.0, "drive.left": 6_000.0, "drive.right": 6_000.0}
    )
    found = relief([], held_by(subject, estimates), K)
    assert (found.needed, found.removals) == (True, ())
    assert {each.check.kind for each in found.unmet} >= {LimitKind.AXLE}


def test_where_no_limit_can_be_judged_nothing_is_needed() -> None:
    subject, estimates = coach(
        {"steer.left": 3_000.0, "steer.right": 3_000.0, "drive.left": 6_000.0, "drive.right": 6_000.0}
    )
    items = removables_of(subject, estimates, [(100.0, 0.0, None)])
    assert relief(items, HeldLimits(len(estimates.columns.names), (), ()), K).needed is False


def only_gross_over() -> tuple[Rig, LoadEstimates]:
    """Return a motorhome over its vehicle rating by 300 lb for sure, and over nothing else."""
    subject = motorhome(gvwr_lb=17_000.0, steer_lb=7_500.0, drive_lb=12_500.0)
    loads = {"steer.left": 3_000.0, "steer.right": 3_000.0, "drive.left": 5_650.0, "drive.right": 5_650.0}
    return subject, estimates_from_loads(subject, known_loads(loads))


def test_of_equal_totals_the_fewest_pieces_come_off() -> None:
    """Every pound counts alike against the vehicle rating: the one place that has 300 lb serves alone."""
    subject, estimates = only_gross_over()
    places: Spots = [(60.0, 10.0, 90.0), (150.0, 20.0, 200.0), (120.0, -20.0, 320.0), (200.0, 0.0, 150.0)]
    found = relief(removables_of(subject, estimates, places), held_by(subject, estimates), K)
    assert [removal.name for removal in found.removals] == ["item 2"]
    assert found.total_kg == pytest.approx(300 * LB, abs=EQUAL_KG)


def test_where_no_place_has_enough_the_largest_ones_make_the_fewest_pieces() -> None:
    subject, estimates = only_gross_over()
    places: Spots = [(60.0, 10.0, 90.0), (150.0, 20.0, 180.0), (120.0, -20.0, 60.0), (200.0, 0.0, 150.0)]
    found = relief(removables_of(subject, estimates, places), held_by(subject, estimates), K)
    assert {removal.name for removal in found.removals} == {"item 1", "item 3"}
    assert found.total_kg == pytest.approx(300 * LB, abs=EQUAL_KG)


def test_all_that_is_there_comes_off_where_just_that_is_enough() -> None:
    subject, estimates = only_gross_over()
    found = relief(removables_of(subject, estimates, [(150.0, 0.0, 300.0)]), held_by(subject, estimates), K)
    assert found.unmet == ()
    assert found.total_kg == pytest.approx(300 * LB, rel=1e-9)


def test_what_cannot_be_cleared_is_named_and_the_rest_is_cleared_with_the_least() -> None:
    """The steering axle is over by 200 lb, and only 50 lb can come off ahead of it; the drive axle can be cleared."""
    subject = motorhome(gvwr_lb=25_000.0, steer_lb=6_000.0, drive_lb=11_000.0)
    loads = {"steer.left": 3_100.0, "steer.right": 3_100.0, "drive.left": 5_550.0, "drive.right": 5_550.0}
    estimates = estimates_from_loads(subject, known_loads(loads))
    items = removables_of(subject, estimates, [(0.0, 0.0, 50.0), (212.0, 0.0, None)])
    found = relief(items, held_by(subject, estimates), 0.0)
    assert [(each.check.subject, each.check.kind) for each in found.unmet] == [("steer", LimitKind.AXLE)]
    assert found.unmet[0].excess_kg / LB == pytest.approx(150.0, abs=0.1)
    assert masses_of(found, items) == {
        "item 0": pytest.approx(50 * LB, abs=0.05),
        "item 1": pytest.approx(100 * LB, abs=0.1),
    }


@given(st.floats(30.0, 250.0), st.floats(455.0, 900.0), amounts_lb)
@settings(max_examples=40, deadline=None)
def test_a_trailer_never_leaves_with_a_lighter_tongue_than_its_least(
    aft_in: float, tongue_lb: float, most_lb: float | None
) -> None:
    only = axle("rear", gawr_lb=6_000, fitted=tires("ST235/80R16", single_lb=3_520, dual_lb=None), aft_in=180)
    subject = rig(vehicle(only, gvwr_lb=5_000, kind=VehicleKind.TRAVEL_TRAILER, name="caravan"))
    known = {"rear.left": 2_350.0, "rear.right": 2_350.0, "coupling": tongue_lb}
    estimates = estimates_from_loads(subject, known_loads(known, 5.0))
    held = held_by(subject, estimates)
    [least] = [row for row in held.rows if (row.check.kind, row.check.bound) == (LimitKind.TONGUE_SHARE, Bound.LEAST)]
    before_kg = least.excess_kg(LoadChange(0.0 * least.row), K)
    found = relief(removables_of(subject, estimates, [(aft_in, 0.0, most_lb)]), held, K)
    assert found.needed
    assert least.excess_kg(found.change, K) <= max(before_kg, 0.0) + least.tolerance_kg


def test_a_place_holds_no_more_than_its_capacity_where_nobody_told_how_much_is_there() -> None:
    subject, estimates = coach({"steer.left": 3_000.0, "steer.right": 3_000.0, "drive.left": 6_000.0})
    statics = rig_statics(subject, estimates)["coach"]
    bay = Place("bay", 1.0, 0.0, capacity_kg=40.0)
    assert Removable("box", bay, statics).available_kg == 40.0
    assert Removable("box", bay, statics, 25.0).available_kg == 25.0


@pytest.mark.long
@given(loads_lb, st.floats(0.0, 60.0), spots(24))
@settings(max_examples=400, deadline=None)
def test_of_many_things_no_small_exchange_takes_off_less(loads: dict[str, float], u_lb: float, places: Spots) -> None:
    """The least total is one that no other masses nearby better: what less of one needs more of another adds up to."""
    subject, estimates = coach(loads, u_lb)
    items, held = removables_of(subject, estimates, places), held_by(subject, estimates)
    found = relief(items, held, K)
    assume(found.needed and not found.unmet)
    masses = np.array([masses_of(found, items).get(item.name, 0.0) for item in items])
    available = np.array([item.available_kg for item in items])
    per_kg = [item.per_kg for item in items]
    rng = np.random.default_rng(len(places))
    for _ in range(300):
        step = rng.normal(size=len(items)) * rng.choice([0.3, 3.0, 30.0])
        tried = np.clip(masses + step, 0.0, available)
        if tried.sum() < masses.sum() - 2 * EQUAL_KG:
            assert max(excesses(held, off(per_kg, tried.tolist()))) > 0.0
