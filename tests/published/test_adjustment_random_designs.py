"""Least squares for random designs against an independent library and against exact arithmetic, to 1e-9."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from axlewright.core.sessions.adjustment import adjust

Matrix = NDArray[np.float64]
Rows = list[list[Fraction]]


class Problem(NamedTuple):
    """Readings in whole kg of sums of unknowns, with a covariance in whole kg^2; full rank with something to spare."""

    design: list[list[int]]
    readings: list[int]
    covariance: list[list[int]]


def problem(seed: int) -> Problem:
    """Return a random problem: three to ten readings more or less correlated, of two to six unknowns."""
    random = np.random.default_rng(seed)
    unknowns = int(random.integers(2, 7))
    rows = unknowns + int(random.integers(1, 5))
    design = random.integers(0, 2, (rows, unknowns))
    design[:unknowns] = np.triu(design[:unknowns], 1) + np.eye(unknowns, dtype=int)
    readings = design @ random.integers(1_000, 5_000, unknowns) + random.integers(-60, 61, rows)
    shared = random.integers(-15, 16, (rows, 2))
    covariance = shared @ shared.T + np.diag(random.integers(50, 900, rows))
    return Problem(design.tolist(), readings.tolist(), covariance.tolist())


def floats(rows: Sequence[object]) -> Matrix:
    """Return rows of whole or exact numbers as floats."""
    return np.array(rows, dtype=float)


def product(left: Rows, right: Rows) -> Rows:
    """Return a matrix product."""
    columns = list(zip(*right, strict=True))
    return [[sum((a * b for a, b in zip(row, column, strict=True)), Fraction()) for column in columns] for row in left]


def transposed(rows: Rows) -> Rows:
    """Return a transpose."""
    return [list(column) for column in zip(*rows, strict=True)]


def difference(left: Rows, right: Rows) -> Rows:
    """Return a difference of matrices."""
    return [[a - b for a, b in zip(*pair, strict=True)] for pair in zip(left, right, strict=True)]


def inverse(rows: Rows) -> Rows:
    """Return an inverse by elimination."""
    size = len(rows)
    work = [[*row, *(Fraction(int(i == j)) for j in range(size))] for i, row in enumerate(rows)]
    for column in range(size):
        pivot = next(row for row in range(column, size) if work[row][column] != 0)
        work[column], work[pivot] = work[pivot], work[column]
        work[column] = [value / work[column][column] for value in work[column]]
        for row in range(size):
            if row != column:
                factor = work[row][column]
                work[row] = [a - factor * b for a, b in zip(work[row], work[column], strict=True)]
    return [row[size:] for row in work]


def agrees(found: Matrix, expected: Matrix, what: str) -> None:
    """Assert agreement to 1e-9 of the largest figure of a group, so that a figure that cancels does not need more."""
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-9 * float(np.max(np.abs(expected)))), what


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_random_designs_agree_with_exact_normal_equations(seed: int) -> None:
    """Identity, in exact fractions: Q = (A' P A)^-1, x = Q A' P y, v = y - A x, v' P v, Q_v = C - A Q A', Baarda w."""
    case = problem(seed)
    design = [[Fraction(value) for value in row] for row in case.design]
    readings = [[Fraction(value)] for value in case.readings]
    covariance = [[Fraction(value) for value in row] for row in case.covariance]
    weight = inverse(covariance)
    solution_covariance = inverse(product(product(transposed(design), weight), design))
    gain = product(product(solution_covariance, transposed(design)), weight)
    solution = product(gain, readings)
    residuals = difference(readings, product(design, solution))
    weighted = product(weight, residuals)
    [[statistic]] = product(transposed(residuals), weighted)
    fitted = product(product(design, solution_covariance), transposed(design))
    powers = product(product(weight, difference(covariance, fitted)), weight)

    adjustment = adjust(floats(case.design), floats(case.readings), floats(case.covariance))
    agrees(adjustment.solution, floats(solution).ravel(), "solution")
    agrees(adjustment.gain, floats(gain), "gain")
    agrees(adjustment.gain @ floats(case.covariance) @ adjustment.gain.T, floats(solution_covariance), "covariance")
    assert np.abs(adjustment.residuals - floats(residuals).ravel()) == pytest.approx(0.0, abs=1e-9 * max(case.readings))
    assert adjustment.statistic == pytest.approx(float(statistic), rel=1e-9, abs=1e-12)
    assert adjustment.degrees_of_freedom == len(readings) - len(solution)
    for index, (residual,) in enumerate(weighted):
        power = powers[index][index]
        if power == 0:
            assert np.isinf(adjustment.slip_us[index])
            assert adjustment.slips[index] == 0.0
            continue
        assert adjustment.slip_us[index] == pytest.approx(float(power) ** -0.5, rel=1e-7)
        assert adjustment.baarda_w[index] == pytest.approx(float(residual) / float(power) ** 0.5, rel=1e-7, abs=1e-7)


@pytest.mark.parametrize("block", range(4))
def test_random_designs_agree_with_an_independent_library(block: int) -> None:
    """Library: statsmodels GLS by QR: x, Cov x, v, v' C^-1 v; scipy: the chance of a larger chi-squared."""
    for seed in range(50 * block, 50 * block + 50):
        case = problem(seed)
        design, readings, covariance = floats(case.design), floats(case.readings), floats(case.covariance)
        adjustment = adjust(design, readings, covariance)
        reference = sm.GLS(readings, design, sigma=covariance).fit(method="qr")
        agrees(adjustment.solution, reference.params, f"solution {seed}")
        found = adjustment.gain @ covariance @ adjustment.gain.T
        agrees(found, reference.normalized_cov_params, f"covariance {seed}")
        assert np.abs(adjustment.residuals - reference.resid) == pytest.approx(0.0, abs=1e-9 * readings.max()), seed
        assert adjustment.statistic == pytest.approx(reference.ssr, rel=1e-9, abs=1e-12), seed
        assert adjustment.degrees_of_freedom == reference.df_resid, seed
        chance = stats.chi2.sf(reference.ssr, reference.df_resid)
        assert adjustment.probability == pytest.approx(chance, rel=1e-8), seed
