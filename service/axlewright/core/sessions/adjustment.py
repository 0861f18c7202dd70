"""Generalised least squares for any design, its tests, and what the design leaves unknown.

Sources: JCGM 102:2011, 8.1 and H (generalised least squares); W. Baarda, "A testing procedure for use in
geodetic networks" (Netherlands Geodetic Commission, 1968) for the test of a single observation.
"""

from math import inf, sqrt

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray
from scipy import special
from scipy.linalg import lapack

Matrix = NDArray[np.float64]

RANK_TOLERANCE = 1e-10
"""Share of the largest singular value below which a direction counts as not observed."""
UNCHECKED_SHARE = 1e-9
"""Share of a reading's weight below which no other reading checks it."""


class Inverse(Struct, frozen=True):
    """What solves ``y = A x + e`` with ``Cov e = C``, by a whitener W with W'W = C^-1.

    Attributes
    ----------
    gain
        G (m, n) with x = G y, of least norm where the design leaves directions unknown.
    reached
        S'W (rank A, n) with an orthonormal base S of what the unknowns can make of the whitened readings.
    unobserved
        Orthonormal directions (m, k) of x that no reading sees: the null space of A.
    """

    gain: Matrix
    reached: Matrix
    unobserved: Matrix


class Adjustment(Struct, frozen=True):
    """The least-squares solution of ``y = A x + e`` with ``Cov e = C``.

    Shapes: n readings, m unknowns.

    Attributes
    ----------
    solution
        x (m), of least norm where the design leaves directions unknown.
    gain
        G (m, n) with x = G y; the covariance of x is G C G'.
    residuals
        v = y - A x (n).
    unobserved
        Orthonormal directions (m, k) of x that no reading sees: the null space of A.
    degrees_of_freedom
        n - rank A.
    statistic
        v' C^-1 v.
    probability
        Chance of a statistic at least as large when every reading is good; 1 without degrees of freedom.
    slips
        For each reading what it would have to be wrong by to agree best with the others (n); 0 where unchecked.
    slip_us
        Standard uncertainty of each slip (n); infinite for a reading that no other reading checks.
    """

    solution: Matrix
    gain: Matrix
    residuals: Matrix
    unobserved: Matrix
    degrees_of_freedom: int
    statistic: float
    probability: float
    slips: Matrix
    slip_us: Matrix

    @property
    def baarda_w(self) -> Matrix:
        """Baarda's w of each reading: standard normal without slips; 0 where no other reading checks it."""
        return np.asarray(self.slips / self.slip_us)


def adjust(design: Matrix, readings: Matrix, covariance: Matrix) -> Adjustment:
    """Solve ``y = A x + e`` by generalised least squares.

    Parameters
    ----------
    design
        A (n, m).
    readings
        y (n).
    covariance
        C (n, n), positive definite.
    """
    whitener = _whitener(covariance)
    inverse = _inverse(design, whitener)
    solution = inverse.gain @ readings
    residuals = readings - design @ solution
    whitened_residuals = whitener @ residuals
    statistic = float(whitened_residuals @ whitened_residuals)
    degrees_of_freedom = len(readings) - len(inverse.reached)
    slips, slip_us = _slips(whitener, inverse.reached, whitened_residuals)
    return Adjustment(
        solution=solution,
        gain=inverse.gain,
        residuals=residuals,
        unobserved=inverse.unobserved,
        degrees_of_freedom=degrees_of_freedom,
        statistic=statistic,
        probability=float(special.chdtrc(degrees_of_freedom, statistic)) if degrees_of_freedom else 1.0,
        slips=slips,
        slip_us=slip_us,
    )


def checking_weights(design: Matrix, covariance: Matrix, gain: Matrix) -> Matrix:
    """Return P = C^-1 Q_v C^-1 (n, n), which makes C^-1 v of the readings: v'C^-1 v = y'P y, and P A = 0.

    Parameters
    ----------
    design, covariance, gain
        A (n, m), C (n, n), and G (m, n) with x = G y.
    """
    # A third of the work of a general inverse; `adjust` has refused what is not positive definite.
    factor, _ = lapack.dpotrf(covariance, lower=1)
    lower = np.tril(lapack.dpotri(factor, lower=1)[0])
    weights = lower + np.tril(lower, -1).T
    return np.asarray(weights - weights @ design @ gain)


def inverse_of(design: Matrix, covariance: Matrix) -> Inverse:
    """Return what solves ``y = A x + e`` with ``Cov e = C``, without the tests of `adjust`."""
    return _inverse(design, _whitener(covariance))


def _inverse(design: Matrix, whitener: Matrix) -> Inverse:
    left, singular, right = _decomposed(whitener @ design)
    rank = int(np.count_nonzero(singular > RANK_TOLERANCE * singular[0]))
    reached = left[:, :rank].T @ whitener
    return Inverse((right[:rank].T / singular[:rank]) @ reached, reached, right[rank:].T)


def _whitener(covariance: Matrix) -> Matrix:
    """Return W with W'W = C^-1: the inverse of the lower Cholesky factor.

    LAPACK is called without the checks of `numpy.linalg`, which cost more than the work on a few readings.
    """
    factor, refusal = lapack.dpotrf(covariance, lower=1, clean=1)
    if refusal:
        raise np.linalg.LinAlgError("the covariance of the readings is not positive definite")
    inverse, refusal = lapack.dtrtri(factor, lower=1)
    if refusal:
        raise np.linalg.LinAlgError("the covariance of the readings is singular")
    return np.asarray(inverse)


def _decomposed(matrix: Matrix) -> tuple[Matrix, Matrix, Matrix]:
    """Return U, the singular values and V' of a matrix U S V', with all rows of V'."""
    left, singular, right, refusal = lapack.dgesdd(matrix, full_matrices=int(matrix.shape[0] < matrix.shape[1]))
    if refusal:
        raise np.linalg.LinAlgError("the singular values of the readings' design do not converge")
    return left, singular, right


def _slips(whitener: Matrix, reached: Matrix, whitened_residuals: Matrix) -> tuple[Matrix, Matrix]:
    """Return each reading's best slip (C^-1 v)_i / p_i and its u 1/sqrt(p_i), p_i = (C^-1 Q_v C^-1)_ii.

    With the whitener W, C^-1 = W'W. With ``reached`` S'W of `Inverse`, C^-1 Q_v C^-1 = W'W - W'S S'W.
    """
    weights = np.einsum("ji,ji->i", whitener, whitener)
    powers = weights - np.einsum("ji,ji->i", reached, reached)
    weighted = whitener.T @ whitened_residuals
    slips, slip_us = [], []
    for weight, power, residual in zip(weights.tolist(), powers.tolist(), weighted.tolist(), strict=True):
        is_checked = power > UNCHECKED_SHARE * weight
        slips.append(residual / power if is_checked else 0.0)
        slip_us.append(1 / sqrt(power) if is_checked else inf)
    return np.array(slips), np.array(slip_us)
