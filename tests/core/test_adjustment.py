"""What a least-squares solution keeps, whatever the design."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from axlewright.core.sessions.adjustment import adjust, checking_weights


def random_problem(seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.random.Generator]:
    """Return a design of wheels on platforms (n, m), loads (m) and a full covariance of the readings (n, n)."""
    random = np.random.default_rng(seed)
    unknowns = int(random.integers(2, 7))
    count = unknowns + int(random.integers(0, 5))
    design = np.vstack([np.eye(unknowns), random.integers(0, 2, (count - unknowns, unknowns))]).astype(float)
    root = random.normal(0.0, 5.0, (count, count))
    return design, random.uniform(500.0, 5_000.0, unknowns), root @ root.T + 25.0 * np.eye(count), random


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_one_more_reading_as_predicted_moves_no_load_and_adds_no_doubt(seed: int) -> None:
    design, loads, covariance, random = random_problem(seed)
    before = adjust(design, design @ loads, covariance)
    row = random.integers(0, 2, design.shape[1]).astype(float)
    row[0] = 1.0
    wider = np.block(
        [
            [covariance, np.zeros((len(design), 1))],
            [np.zeros((1, len(design))), np.array([[random.uniform(1.0, 900.0)]])],
        ]
    )
    more = np.vstack([design, row])
    after = adjust(more, more @ loads, wider)
    np.testing.assert_allclose(after.solution, loads, rtol=1e-8)
    gained = before.gain @ covariance @ before.gain.T - after.gain @ wider @ after.gain.T
    assert np.linalg.eigvalsh(gained).min() > -1e-6 * np.abs(gained).max() - 1e-9
    assert row @ gained @ row > 0.0


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_without_a_reading_the_solution_is_the_one_of_the_others(seed: int) -> None:
    """What the closed form rests on: x less g s, and Q + g g'/P, with a slip of the reading as one more unknown."""
    design, loads, covariance, random = random_problem(seed)
    readings = design @ loads + random.normal(0.0, 20.0, len(design))
    whole = adjust(design, readings, covariance)
    weights = checking_weights(design, covariance, whole.gain)
    np.testing.assert_allclose(weights @ readings, np.linalg.solve(covariance, whole.residuals), atol=1e-6)
    doubt = whole.gain @ covariance @ whole.gain.T
    for place in np.flatnonzero(np.isfinite(whole.slip_us)):
        kept = np.flatnonzero(np.arange(len(design)) != place)
        others = adjust(design[kept], readings[kept], covariance[np.ix_(kept, kept)])
        made = whole.gain[:, place]
        np.testing.assert_allclose(others.solution, whole.solution - made * whole.slips[place], rtol=1e-6)
        without = others.gain @ covariance[np.ix_(kept, kept)] @ others.gain.T
        np.testing.assert_allclose(without, doubt + np.outer(made, made) / weights[place, place], rtol=1e-6, atol=1e-6)
