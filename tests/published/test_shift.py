"""Shift plans against figures from outside."""

from time import monotonic

import pytest

from axlewright.core.balance.shift import ShiftPlan, shift_plan
from axlewright.core.balance.shift_problem import Cargo, Item
from axlewright.core.balance.shift_sides import Sides
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.loads.aboard import Spot
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.headroom import held_limits
from axlewright.core.loads.limits import check_limits
from axlewright.core.loads.statics import rig_statics
from axlewright.core.policy import Policy
from axlewright.core.rig import Place
from tests.yard import INCH, LB, PSI, axle, known_loads, rig, tires, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
STRONG = tires("315/80R22.5", single_lb=15_000.0, dual_lb=9_000.0, max_psi=130.0)
SEARCH_S = 20.0


LOADS_LB = {"front.left": 2_400.0, "front.right": 2_400.0, "rear.left": 3_600.0, "rear.right": 3_600.0}


def planned(rating_lb: float, crates_lb: list[float], from_in: float, to_in: float) -> tuple[ShiftPlan, float, float]:
    """Return the plan for a coach of 190 in wheelbase, by its front rating, and what it does to front and rear [lb].

    Its front axle carries 4,800 lb, all of it known exactly; the crates may go from one place to the other.
    """
    subject = rig(
        vehicle(
            axle("front", gawr_lb=rating_lb, fitted=STRONG),
            axle("rear", gawr_lb=30_000.0, fitted=STRONG, aft_in=190.0),
            gvwr_lb=40_000.0,
        )
    )
    estimates = estimates_from_loads(subject, known_loads(LOADS_LB))
    bays = tuple(Spot("coach", Place(name, at * INCH, 0.0)) for name, at in (("here", from_in), ("there", to_in)))
    cargo = Cargo(tuple(Item(f"{lb:g} lb", lb * LB, 0.0, 0, (1,)) for lb in crates_lb), bays)
    held = held_limits(subject, check_limits(subject, estimates, fitted_tires(subject, ()), POLICY), estimates)
    statics = rig_statics(subject, estimates)
    plan = shift_plan(cargo, held, Sides.none(len(cargo.options)), statics, 2.0, SEARCH_S, monotonic)
    front_lb, rear_lb = (plan.change.value(estimates.columns.row(own.sum_of)) / LB for _, own in subject.axles())
    return plan, front_lb, rear_lb


def test_a_planned_move_shifts_load_by_the_lever_rule() -> None:
    # Sum of moments: 200 lb moved 144 in back over a wheelbase of 190 in shift 200 x 144 / 190 = 151.58 lb.
    plan, front_lb, rear_lb = planned(4_700.0, [200.0], 6.0, 150.0)
    assert [move.what for move in plan.moves] == ["200 lb"]
    assert rear_lb == pytest.approx(151.58, abs=0.005)
    assert front_lb == pytest.approx(-151.58, abs=0.005)


@pytest.mark.parametrize(("rating_lb", "over_lb"), [(4_651.5, None), (4_648.5, 2.90)])
def test_a_move_is_enough_up_to_what_the_lever_rule_and_its_doubt_give(rating_lb: float, over_lb: float | None) -> None:
    # Sum of moments as above: 4,800 - 151.58 = 4,648.42 lb are left in front. The doubt of both places, an inch each,
    # is 200 x 2^0.5 / 190 = 1.49 lb, of which k = 2 times count (JCGM 100:2008, 5.1.2): 4,651.40 lb at the upper bound.
    plan, front_lb, _ = planned(rating_lb, [200.0], 6.0, 150.0)
    assert front_lb == pytest.approx(-151.58, abs=0.005)
    if over_lb is None:
        assert plan.unmet == ()
    else:
        assert [each.excess_kg / LB for each in plan.unmet] == [pytest.approx(over_lb, abs=0.01)]


def test_two_of_three_lumps_are_the_least_that_reaches_a_sum() -> None:
    # By hand, a small knapsack: moved 195 in back, 60 + 90 lb take 150 x 195 / 190 = 153.95 lb off the front axle, less
    # 2 x (60^2 + 90^2)^0.5 x 2^0.5 / 190 = 1.61 lb of doubt: the 150 lb that are too much. No one alone does; any other
    # two are more.
    plan, _, _ = planned(4_650.0, [60.0, 90.0, 110.0], 0.0, 195.0)
    assert plan.proven
    assert sorted(move.what for move in plan.moves) == ["60 lb", "90 lb"]
