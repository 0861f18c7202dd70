"""How often the stated intervals hold the truth: 95 % intervals, value +- 1.96 u.

Expected shares are the definition of the interval (identity); the criteria are 94 to 96 % where the errors are normal
with the covariance that the core states, and no less than 93 % where they have their real shapes. Worlds that differ
from the model are printed, with loose bounds on what they must show at all: that the model matters.
"""

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from axlewright.core.estimates import Estimate
from axlewright.core.sessions.reconcile import Reconciliation, reconcile
from tests.simulation.weighs import MOTORHOME, WEIGHS, Weigh
from tests.simulation.worlds import (
    World,
    doubled_placement,
    independent_errors,
    no_hanging_side_error,
    normal_errors,
    real_shapes,
)

pytestmark = pytest.mark.long

DRAWS = 200_000
REAL_DRAWS = 20_000
SAMPLE = 500
TWO_SIDED_95 = 1.959964  # standard normal quantile of 0.975, as printed in statistical tables


def seeded(number: int) -> np.random.Generator:
    """Return a generator whose draws are the same in every run."""
    return np.random.Generator(np.random.PCG64(number))


def coverage(weigh: Weigh, readings_kg: NDArray[np.float64]) -> dict[str, float]:
    """Return the share of draws whose 95 % interval holds the truth, for each watched sum."""
    shares = {}
    for name, sum_of in weigh.sums().items():
        errors_kg = weigh.estimates_kg(sum_of, readings_kg) - weigh.true_sum_kg(sum_of)
        shares[name] = float(np.mean(np.abs(errors_kg) <= TWO_SIDED_95 * weigh.u_kg(sum_of)))
    return shares


def show(weigh: Weigh, world: World, shares: dict[str, float]) -> None:
    """Print one row of the table: the wheel ends' least and most, the side difference, the gross."""
    ends = [share for name, share in shares.items() if name.endswith(("left", "right"))]
    print(
        f"\n{weigh.name} | {world.__name__} | wheel ends {min(ends):.1%} to {max(ends):.1%}"
        f" | side difference {shares['side difference']:.1%} | gross {shares['gross']:.1%}"
    )


@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_normal_errors_of_the_stated_covariance_are_covered_as_stated(weigh: Weigh) -> None:
    shares = coverage(weigh, normal_errors(weigh, seeded(1), DRAWS))
    show(weigh, normal_errors, shares)
    assert all(0.94 <= share <= 0.96 for share in shares.values()), shares


@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_rectangular_errors_and_rounded_readings_are_covered_at_93_percent(weigh: Weigh) -> None:
    shares = coverage(weigh, real_shapes(weigh, seeded(2), DRAWS))
    show(weigh, real_shapes, shares)
    assert min(shares.values()) >= 0.93, shares


@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_the_stated_doubt_is_the_scatter_of_the_real_shapes(weigh: Weigh) -> None:
    """The standard deviation of many draws made without the core's covariance is the core's u within 2 %."""
    readings_kg = real_shapes(weigh, seeded(3), DRAWS)
    for name, sum_of in weigh.sums().items():
        scatter_kg = float(np.std(weigh.estimates_kg(sum_of, readings_kg)))
        assert scatter_kg == pytest.approx(weigh.u_kg(sum_of), rel=0.02), name


@pytest.mark.parametrize("world", [independent_errors, doubled_placement, no_hanging_side_error])
@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_other_worlds_are_reported(weigh: Weigh, world: World) -> None:
    shares = coverage(weigh, world(weigh, seeded(4), DRAWS))
    show(weigh, world, shares)
    if world is no_hanging_side_error:
        assert min(shares.values()) >= 0.93, shares
    else:
        assert 0.45 <= min(shares.values()) < 0.90, shares


@pytest.mark.parametrize("world", [normal_errors, real_shapes])
@pytest.mark.parametrize("weigh", WEIGHS, ids=lambda weigh: weigh.name)
def test_the_fast_path_gives_what_reconciling_each_session_gives(weigh: Weigh, world: World) -> None:
    """Loads agree within 2 % of u, u within 1 %, probabilities within 0.01.

    The difference is that the core takes the covariance at the readings, this simulation at their true values.
    """
    readings_kg = world(weigh, seeded(5), SAMPLE)
    probabilities = weigh.probabilities(readings_kg)
    sums = weigh.sums()
    fast = {name: weigh.estimates_kg(sum_of, readings_kg) for name, sum_of in sums.items()}
    for draw, session in enumerate(weigh.sessions(readings_kg)):
        answer = reconcile(weigh.rig, session)
        for name, sum_of in sums.items():
            estimate = known(answer, sum_of)
            u_kg = weigh.u_kg(sum_of)
            assert estimate.value == pytest.approx(fast[name][draw], abs=0.02 * u_kg)
            assert estimate.u == pytest.approx(u_kg, rel=0.01)
        assert [part.probability for part in answer.parts] == pytest.approx(list(probabilities[draw]), abs=0.01)


@pytest.mark.parametrize(("world", "least", "most"), [(normal_errors, 0.94, 0.96), (real_shapes, 0.93, 1.0)])
def test_every_draw_of_a_three_pass_weigh_reconciled_by_the_core_is_covered(
    world: World, least: float, most: float
) -> None:
    weigh = MOTORHOME
    hits = dict.fromkeys(weigh.sums(), 0)
    for session in weigh.sessions(world(weigh, seeded(6), REAL_DRAWS)):
        answer = reconcile(weigh.rig, session)
        for name, sum_of in weigh.sums().items():
            estimate = known(answer, sum_of)
            assert estimate.u is not None
            hits[name] += abs(estimate.value - weigh.true_sum_kg(sum_of)) <= TWO_SIDED_95 * estimate.u
    shares = {name: count / REAL_DRAWS for name, count in hits.items()}
    show(weigh, world, shares)
    assert all(least <= share <= most for share in shares.values()), shares


def test_the_worlds_are_drawn_with_the_shapes_that_they_claim() -> None:
    """Hand: readings lie on divisions, and errors stay within the sum of their half-widths.

    Steer axle of 6,341.9 lb on 20 lb divisions: span 12.7, rest sqrt(20^2 - 12.7^2) = 15.5, placement sqrt(3) x 10 =
    17.3, rounding 10, together 55.5 lb; nothing hangs when the whole axle stands on the platform.
    """
    readings_lb = real_shapes(MOTORHOME, seeded(7), 20_000) / 0.45359237
    assert np.allclose(readings_lb / 20, np.round(readings_lb / 20), rtol=0, atol=1e-6)
    axle = [wheels for _, _, wheels in MOTORHOME.plan].index(("steer.left", "steer.right"))
    farthest_lb = float(np.abs(readings_lb[:, axle] - 6_341.9).max())
    assert 38.0 < farthest_lb <= 55.5
    assert all(first < second for first, second in pairwise(sorted(set(np.round(readings_lb[:, axle])))))


def known(answer: Reconciliation, sum_of: dict[str, float]) -> Estimate:
    """Return a sum that must be known."""
    estimate = answer.estimates.known(sum_of)
    assert isinstance(estimate, Estimate)
    return estimate
