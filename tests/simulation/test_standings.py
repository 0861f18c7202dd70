"""How often a load at, or beyond, its limit gets each standing.

Expected shares: the standard normal distribution, as printed in statistical tables: 2.28 % lie beyond 2 standard
deviations, 84.13 % above minus 1. Normal errors of the covariance that the core states. A failed cross-check, 5 % of
good weighs in each part, lets nothing be clear or tight, and leaves what is over.
"""

from collections import Counter

import numpy as np
import pytest

from axlewright.core.estimates import Estimate
from axlewright.core.loads.standings import Bound, Standing, judge
from axlewright.core.sessions.reconcile import reconcile
from tests.simulation.test_coverage import seeded
from tests.simulation.weighs import MOTORHOME, WEIGHS, Weigh
from tests.simulation.worlds import normal_errors

pytestmark = pytest.mark.long

DRAWS = 200_000
REAL_DRAWS = 20_000
SIGNIFICANCE = 0.05
WATCHED = ("drive.left", "gross")


def standings(weigh: Weigh, name: str, us_beyond: float, seed: int) -> dict[Standing, float]:
    """Return the share of each standing in all weighs, where the truth lies so many u beyond a limit."""
    readings_kg = normal_errors(weigh, seeded(seed), DRAWS)
    sum_of = weigh.sums()[name]
    u_kg = weigh.u_kg(sum_of)
    limit_kg = weigh.true_sum_kg(sum_of) - us_beyond * u_kg
    failed = np.any(weigh.probabilities(readings_kg)[:, parts_beneath(weigh, name)] < SIGNIFICANCE, axis=1)
    values = zip(weigh.estimates_kg(sum_of, readings_kg), failed, strict=True)
    counts = Counter(
        judge(Estimate(float(value), u_kg, bool(has_failed)), limit_kg, Bound.MOST, 2.0, 0.05).standing
        for value, has_failed in values
    )
    return {standing: counts[standing] / counts.total() for standing in Standing}


def parts_beneath(weigh: Weigh, name: str) -> list[int]:
    """Return which independent parts a watched sum rests on."""
    return [
        place
        for place, (_, own, _) in enumerate(weigh.parts)
        if not {weigh.columns.names[column] for column in own}.isdisjoint(weigh.sums()[name])
    ]


@pytest.mark.parametrize("name", WATCHED)
@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_a_load_at_its_limit_is_wrongly_settled_in_one_of_44_weighs_either_way(weigh: Weigh, name: str) -> None:
    shares = standings(weigh, name, 0.0, 11)
    fine = shares[Standing.CLEAR] + shares[Standing.TIGHT]
    print(f"\n{weigh.name} | {name} at M | over {shares[Standing.OVER]:.2%} | clear or tight {fine:.2%}")
    assert shares[Standing.OVER] == pytest.approx(0.023, abs=0.004)
    assert fine == pytest.approx(0.023, abs=0.004)


@pytest.mark.parametrize("name", WATCHED)
@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_a_load_three_u_beyond_its_limit_is_found_over_in_84_percent(weigh: Weigh, name: str) -> None:
    shares = standings(weigh, name, 3.0, 12)
    print(f"\n{weigh.name} | {name} at M + 3 u | over {shares[Standing.OVER]:.2%}")
    assert shares[Standing.OVER] == pytest.approx(0.841, abs=0.01)


def test_the_core_itself_settles_a_load_at_its_limit_as_often() -> None:
    """The same through the real reconciliation, each draw with the covariance of its own readings."""
    weigh = MOTORHOME
    sum_of = {"drive.left": 1.0}
    limit_kg = weigh.true_sum_kg(sum_of)
    lower_kg = limit_kg - 3 * weigh.u_kg(sum_of)
    at: Counter[Standing] = Counter()
    beyond: Counter[Standing] = Counter()
    failed: Counter[Standing] = Counter()
    for session in weigh.sessions(normal_errors(weigh, seeded(13), REAL_DRAWS)):
        estimate = reconcile(weigh.rig, session).estimates.known(sum_of)
        assert isinstance(estimate, Estimate)
        standing = judge(estimate, limit_kg, Bound.MOST, 2.0, 0.05).standing
        at[standing] += 1
        beyond[judge(estimate, lower_kg, Bound.MOST, 2.0, 0.05).standing] += 1
        if estimate.provisional:
            failed[standing] += 1
    print(f"\n{weigh.name} | drive.left at M + 3 u | over {beyond[Standing.OVER] / REAL_DRAWS:.2%}")
    assert failed.total() / REAL_DRAWS == pytest.approx(SIGNIFICANCE, abs=0.006)
    assert failed[Standing.CLEAR] == failed[Standing.TIGHT] == 0
    assert at[Standing.OVER] / REAL_DRAWS == pytest.approx(0.023, abs=0.004)
    assert (at[Standing.CLEAR] + at[Standing.TIGHT]) / REAL_DRAWS == pytest.approx(0.023, abs=0.004)
    assert beyond[Standing.OVER] / REAL_DRAWS == pytest.approx(0.841, abs=0.01)
