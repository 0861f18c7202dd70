"""How often the global test of a part alarms, without and with a slip.

Expected: its significance (definition of the test), within the binomial interval that 1 run in 1,000 leaves; at most
1.5 times it where the errors are rectangular and rounded.
"""

import numpy as np
import pytest
from scipy import stats

from axlewright.core.sessions.reconcile import reconcile
from tests.simulation.test_coverage import seeded
from tests.simulation.weighs import MOTORHOME, WEIGHS, Weigh
from tests.simulation.worlds import normal_errors, real_shapes
from tests.yard import LB

pytestmark = pytest.mark.long

DRAWS = 200_000
REAL_DRAWS = 20_000
SIGNIFICANCE = 0.05


@pytest.mark.parametrize("significance", [0.05, 0.01, 0.001])
@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_normal_errors_alarm_at_the_significance(weigh: Weigh, significance: float) -> None:
    probabilities = weigh.probabilities(normal_errors(weigh, seeded(21), DRAWS))
    alarms = np.sum(probabilities < significance, axis=0)
    low, high = stats.binom.interval(0.999, DRAWS, significance)
    print(f"\n{weigh.name} | normal errors | alarms {alarms / DRAWS} at {significance}")
    assert np.all((alarms >= low) & (alarms <= high))


@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_rectangular_and_rounded_errors_alarm_at_most_one_and_a_half_times_as_often(weigh: Weigh) -> None:
    rates = np.mean(weigh.probabilities(real_shapes(weigh, seeded(22), DRAWS)) < SIGNIFICANCE, axis=0)
    print(f"\n{weigh.name} | real shapes | alarms {rates} at {SIGNIFICANCE}")
    assert np.all(rates <= 1.5 * SIGNIFICANCE)
    assert np.all(rates > 0.0)


def test_the_core_itself_alarms_at_the_significance() -> None:
    """The same through the real reconciliation: two parts a session, each at 5 % on its own."""
    weigh = MOTORHOME
    alarms = np.zeros(2)
    for session in weigh.sessions(normal_errors(weigh, seeded(23), REAL_DRAWS)):
        alarms += [part.failed for part in reconcile(weigh.rig, session).parts]
    low, high = stats.binom.interval(0.999, REAL_DRAWS, SIGNIFICANCE)
    assert np.all((alarms >= low) & (alarms <= high)), alarms / REAL_DRAWS


@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_a_slip_of_several_hundred_pounds_is_found_on_top_of_real_errors(weigh: Weigh) -> None:
    """A slip of 900 lb is always found, one of 300 lb in most weighs; the shares are printed."""
    readings_kg = real_shapes(weigh, seeded(24), REAL_DRAWS)
    part_of = {row: place for place, (rows, _, _) in enumerate(weigh.parts) for row in rows}
    for slip_lb, least in ((300, 0.5), (500, 0.95), (900, 0.9999)):
        found = []
        for row in range(len(weigh.plan)):
            slipped_kg = readings_kg.copy()
            slipped_kg[:, row] += slip_lb * LB
            found.append(float(np.mean(weigh.probabilities(slipped_kg)[:, part_of[row]] < SIGNIFICANCE)))
        print(f"\n{weigh.name} | slip of {slip_lb} lb | found in {min(found):.2%} to {max(found):.2%}")
        assert min(found) >= least
