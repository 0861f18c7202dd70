"""How often a triple weigh's 95 % intervals hold the truth, and how often its global test alarms without a slip.

Worlds: true lengths differ from those told by normal errors of 1 in; the loads of each state are those of statics with
the true lengths; the readings have normal errors of the covariance that the core states. Expected shares are the
definition of interval and test, within the binomial interval that 1 run in 1,000 leaves, widened for the covariance
that the core takes at the readings instead of at the truth.
"""

from dataclasses import dataclass

import numpy as np
import pytest
from msgspec import structs
from numpy.typing import NDArray
from scipy import stats

from axlewright.core.estimates import Estimate
from axlewright.core.loads.aboard import PLACE_DOUBT_M
from axlewright.core.rig import CouplingState
from axlewright.core.sessions.covariance import covariance_of
from axlewright.core.sessions.passes import Reading, WeighSession
from axlewright.core.sessions.reconcile import layout_with_ties
from tests.coupled_yard import HITCHED, LEVELLED, SOLO, TRUE_LB, coupled_rig, read, weighed
from tests.simulation.test_coverage import TWO_SIDED_95, seeded
from tests.yard import INCH, LB, session

pytestmark = pytest.mark.long

DRAWS = 2_500
SIGNIFICANCE = 0.05
RIG = coupled_rig()
TONGUE_KG, MOMENT_KG_M = 800 * LB, 32_000 * LB * INCH
PLANS: dict[str, dict[CouplingState, tuple[str, ...]]] = {
    "axle by axle": {
        state: tuple(what for what in values if (state, what) != (SOLO, "camper")) for state, values in TRUE_LB.items()
    },
    "whole vehicles": {SOLO: ("van",), HITCHED: ("van", "camper"), LEVELLED: ("van", "camper")},
    "no trailer": {SOLO: ("front", "rear"), HITCHED: ("front", "rear"), LEVELLED: ("front", "rear")},
}


@dataclass(frozen=True)
class Truth:
    """One draw: what stood on each place in each state [kg], and the share of the front axle that came back."""

    loads_kg: dict[tuple[CouplingState, str], float]
    restored: float


def truth(errors_m: NDArray[np.float64]) -> Truth:
    """Return the loads by statics; errors [m] of the places of front axle, rear axle, ball and camper's axle."""
    front_m, rear_m, ball_m, axle_m = np.array([0.0, 160.0, 240.0, 200.0]) * INCH + errors_m
    wheelbase_m, overhang_m = rear_m - front_m, ball_m - rear_m
    relieved_kg = MOMENT_KG_M / axle_m
    loads = {(SOLO, "front"): 3400 * LB, (SOLO, "rear"): 3200 * LB}
    for state, on_ball_kg, moment in ((HITCHED, TONGUE_KG, 0.0), (LEVELLED, TONGUE_KG - relieved_kg, MOMENT_KG_M)):
        gain_kg = (moment - on_ball_kg * overhang_m) / wheelbase_m
        loads[state, "front"] = 3400 * LB + gain_kg
        loads[state, "rear"] = 3200 * LB + on_ball_kg - gain_kg
        loads[state, "camper"] = 5800 * LB + (relieved_kg if moment else 0.0)
    for state in CouplingState:
        loads[state, "van"] = loads[state, "front"] + loads[state, "rear"]
    front = {state: loads[state, "front"] for state in CouplingState}
    return Truth(loads, (front[LEVELLED] - front[HITCHED]) / (front[SOLO] - front[HITCHED]))


def readings_of(
    plan: dict[CouplingState, tuple[str, ...]], loads_kg: dict[tuple[CouplingState, str], float]
) -> list[Reading]:
    return [
        each
        for state, places in plan.items()
        for each in read(state, {place: loads_kg[state, place] / LB for place in places})
    ]


def stated_covariance(weigh: WeighSession) -> NDArray[np.float64]:
    layout, _ = layout_with_ties(RIG, weigh)
    return covariance_of(weigh, RIG, layout.columns, layout.design[: len(weigh.readings)])


@dataclass
class Tally:
    """How many draws held the truth, by figure, and how many alarmed."""

    held: dict[str, int]
    alarms: int = 0


def tally(plan_name: str, seed: int) -> Tally:
    """Return the tally of one plan."""
    plan = PLANS[plan_name]
    random = seeded(seed)
    counted = Tally(dict.fromkeys(("tongue", "to trailer", "moment", "restored"), 0))
    for _ in range(DRAWS):
        true = truth(random.normal(0.0, PLACE_DOUBT_M, 4))
        exact = readings_of(plan, true.loads_kg)
        errors_kg = random.multivariate_normal(
            np.zeros(len(exact)), stated_covariance(session(*exact)), method="cholesky"
        )
        read_kg = [
            structs.replace(each, value_kg=each.value_kg + error_kg)
            for each, error_kg in zip(exact, errors_kg.tolist(), strict=True)
        ]
        reconciliation, coupled = weighed(RIG, session(*read_kg))
        counted.alarms += any(part.failed for part in reconciliation.parts)
        to_trailer_kg = true.loads_kg[LEVELLED, "camper"] - 5800 * LB
        for name, found, expected in (
            ("tongue", coupled.coupling_load, TONGUE_KG),
            ("to trailer", coupled.to_trailer, to_trailer_kg),
            ("moment", coupled.bars_moment, MOMENT_KG_M),
            ("restored", coupled.restored_share, true.restored),
        ):
            if found is not None and isinstance(found.value, Estimate):
                assert found.value.u is not None
                counted.held[name] += abs(found.value.value - expected) <= TWO_SIDED_95 * found.value.u
    return counted


@pytest.mark.parametrize(
    ("plan_name", "told", "seed"),
    [
        ("axle by axle", ("tongue", "to trailer", "moment", "restored"), 61),
        ("whole vehicles", ("tongue", "to trailer", "moment"), 62),
        ("no trailer", ("tongue", "moment", "restored"), 63),
    ],
)
def test_the_intervals_hold_the_truth_as_often_as_they_say(plan_name: str, told: tuple[str, ...], seed: int) -> None:
    counted = tally(plan_name, seed)
    shares = {name: counted.held[name] / DRAWS for name in told}
    print(f"\n{plan_name} | held {shares} | alarms {counted.alarms / DRAWS:.4f}")
    low, high = stats.binom.interval(0.999, DRAWS, 0.95)
    slack = 0.005 * DRAWS
    assert all(low - slack <= counted.held[name] <= high + slack for name in told), shares
    low, high = stats.binom.interval(0.999, DRAWS, SIGNIFICANCE)
    assert low - slack <= counted.alarms <= high + slack, counted.alarms / DRAWS
