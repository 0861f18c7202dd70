"""Generalised least squares of a shift between two weighs: parameters of statics from what changed at the wheel ends.

Source: Gauss-Newton on residuals whitened by their covariance, the normal matrix's pseudo-inverse for the covariance of
the parameters, and the global test of the residuals against chi-squared.
"""

from collections.abc import Callable
from math import log, sqrt
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray
from scipy import special

from axlewright.core.loads.statics import STEP

Matrix = NDArray[np.float64]

LEAST_LOAD_U_KG: Final = 0.01
"""A load [kg] that counts as exact is taken for so good, lest its covariance has no inverse; judgement."""
LEAST_U_SHARE: Final = 1e-4
"""The same as a share of the largest doubt: it adds a hundred millionth to its variance."""
UNSEEN: Final = 1e-3
"""A combination of parameters whose standard uncertainty is a thousand is not seen at all; judgement."""
WIDEST: Final = log(1000.0)
"""How far the logarithm of a ratio of stiffnesses may go from its default; judgement."""
LONGEST_STEP: Final = 1.0
"""How far one iteration may move it."""
MOST_ITERATIONS: Final = 60
SETTLED: Final = 1e-7
"""A step so short ends the iteration."""


class Agreement(Struct, frozen=True):
    """The global test: ``statistic`` against chi-squared with its degrees of freedom."""

    statistic: float
    degrees_of_freedom: int
    probability: float


class Fit(Struct, frozen=True):
    """Parameters (p) with covariance (p, p), which of them are seen, whether they settled, the residuals' test."""

    values: Matrix
    covariance: Matrix
    seen: Matrix
    settled: bool
    agreement: Agreement


class Differences(Struct, frozen=True):
    """Differences of the wheel ends' loads (n) [kg] with their covariance (n, n)."""

    difference: Matrix
    covariance: Matrix


def fitted(
    per_mass: Callable[[Matrix], Matrix],
    differences: Differences,
    shift: Matrix,
    errors: Matrix,
    start: Matrix,
    linear: int,
) -> Fit:
    """Return the parameters that fit best, by Gauss-Newton; those that nothing shows keep near their start.

    Parameters
    ----------
    per_mass
        Change (n, 3) of the wheel ends' loads per kg and per kg m of the shift, for parameters (p).
    differences
        What changed.
    shift, errors
        Mass and moments of the shift (3) with their covariance (3, 3).
    start, linear
        Parameters (p) to begin with, and how many of them, the first, the model is linear in.
    """
    values, settled = start, False
    longest, widest = (np.where(np.arange(len(start)) < linear, np.inf, most) for most in (LONGEST_STEP, WIDEST))
    for _ in range(MOST_ITERATIONS):
        matrix = per_mass(values)
        whitener = np.linalg.inv(np.linalg.cholesky(_invertible(differences.covariance + matrix @ errors @ matrix.T)))
        residuals = whitener @ (differences.difference - matrix @ shift)
        left, sizes, right = np.linalg.svd(
            whitener @ _slopes(per_mass, values, shift, len(residuals)), full_matrices=False
        )
        seen = sizes > UNSEEN
        left, sizes, right = left[:, seen], sizes[seen], right[seen]
        if settled:
            break
        step = np.clip(right.T @ ((left.T @ residuals) / sizes), -longest, longest)
        moved = np.clip(values + step, start - widest, start + widest)
        settled, values = bool(np.abs(moved - values).max(initial=0.0) < SETTLED), moved
    statistic, degrees = float(residuals @ residuals), len(residuals) - len(sizes)
    agreement = Agreement(statistic, degrees, float(special.chdtrc(degrees, statistic)))
    are_seen = np.abs((right**2).sum(axis=0) - 1.0) < UNSEEN
    return Fit(values, right.T @ np.diag(sizes**-2) @ right, are_seen, settled, agreement)


def _invertible(covariance: Matrix) -> Matrix:
    """Return a covariance with a little more doubt of each load, so that none counts as exact."""
    least_u = max(LEAST_LOAD_U_KG, LEAST_U_SHARE * sqrt(float(np.diag(covariance).max())))
    return covariance + least_u**2 * np.eye(len(covariance))


def _slopes(per_mass: Callable[[Matrix], Matrix], values: Matrix, shift: Matrix, count: int) -> Matrix:
    """Return the derivatives (n, p) of the loads, by central differences."""
    steps = STEP * np.eye(len(values))
    slopes = [(per_mass(values + step) - per_mass(values - step)) @ shift / (2 * STEP) for step in steps]
    return np.column_stack([np.zeros((count, 0)), *slopes])
