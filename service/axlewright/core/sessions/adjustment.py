"""Generalised least squares for any design, its tests, and what the design leaves unknown.

Sources: JCGM 102:2011, 8.1 and H (generalised least squares); W. Baarda, "A testing procedure for use in
geodetic networks" (Netherlands Geodetic Commission, 1968) for the test of a single observation.
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray
from scipy import special

Matrix = NDArray[np.float64]

RANK_TOLERANCE = 1e-10
"""Share of the largest singular value below which a direction counts as not observed."""
UNCHECKED_SHARE = 1e-9
"""Share of a reading's weight below which no other reading checks it."""


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
    whitener = np.linalg.inv(np.linalg.cholesky(covariance))
    whitened = whitener @ design
    left, singular, right = np.linalg.svd(whitened, full_matrices=len(design) < design.shape[1])
    rank = int(np.sum(singular > RANK_TOLERANCE * singular.max()))
    seen = left[:, :rank]
    gain = (right[:rank].T / singular[:rank]) @ (seen.T @ whitener)
    solution = gain @ readings
    whitened_residuals = whitener @ (readings - design @ solution)
    statistic = float(whitened_residuals @ whitened_residuals)
    degrees_of_freedom = len(readings) - rank
    slips, slip_us = _slips(whitener, seen, whitened_residuals)
    return Adjustment(
        solution=solution,
        gain=gain,
        residuals=readings - design @ solution,
        unobserved=right[rank:].T,
        degrees_of_freedom=degrees_of_freedom,
        statistic=statistic,
        probability=float(special.chdtrc(degrees_of_freedom, statistic)) if degrees_of_freedom else 1.0,
        slips=slips,
        slip_us=slip_us,
    )


def _slips(whitener: Matrix, seen: Matrix, whitened_residuals: Matrix) -> tuple[Matrix, Matrix]:
    """Return each reading's best slip (C^-1 v)_i / p_i and its u 1/sqrt(p_i), p_i = (C^-1 Q_v C^-1)_ii.

    With the whitener W, C^-1 = W'W. ``seen`` is an orthonormal base S of what the unknowns can make of the
    whitened readings, so that C^-1 Q_v C^-1 = W'W - W'S S'W.
    """
    weight = np.einsum("ji,ji->i", whitener, whitener)
    reached = seen.T @ whitener
    power = weight - np.einsum("ji,ji->i", reached, reached)
    checked = power > UNCHECKED_SHARE * weight
    safe_power = np.where(checked, power, 1.0)
    slips = np.where(checked, whitener.T @ whitened_residuals / safe_power, 0.0)
    return slips, np.where(checked, 1 / np.sqrt(safe_power), np.inf)
