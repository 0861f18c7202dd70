"""A straight line through readings that a few bad ones do not bend, and the doubt of its slope."""

from collections.abc import Sequence
from math import sqrt
from typing import Final

import numpy as np
from msgspec import Struct
from scipy import special

from axlewright.core.errors import OutOfRange

FEWEST_READINGS: Final = 5
"""Of four readings all six slopes hold the true one in at most 92 % (1 - 2/4!), of five in 98 % (1 - 2/5!)."""
CONFIDENCE: Final = 0.95


class Trend(Struct, frozen=True):
    """A line through (``pivot_x``, ``pivot_y``) with its slope and the 95 % interval of that."""

    slope: float
    low: float
    high: float
    pivot_x: float
    pivot_y: float


def trend(x: Sequence[float], y: Sequence[float], u: float = 0.0) -> Trend:
    """Return the robust line through readings.

    Parameters
    ----------
    x : sequence of float
        Where they were taken, rising, at least five.
    y : sequence of float
        Readings, finite.
    u : float
        Standard uncertainty of a reading [unit of y], not negative: the interval is no narrower than it allows,
        since readings that a coarse scale rounds to the same figure look surer than they are.

    Returns
    -------
    Trend
        Slope is the median of the slopes between all pairs; at the median x the line lies so that half of the
        readings are above it.

    Raises
    ------
    OutOfRange
        If there are fewer than five, x does not rise, or something is not finite.

    Notes
    -----
    Source: P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, Journal of the American
    Statistical Association 63 (1968) 1379: slopes by their rank, with the normal approximation of Kendall's
    statistic, S of variance n (n - 1)(2 n + 5)/18; errors independent and alike. From memory. Level: the median of
    y - slope x (W. J. Conover, Practical Nonparametric Statistics, from memory), so one bad reading does not move it.

    Examples
    --------
    >>> trend([0, 1, 2, 3, 4], [10, 9, 8, 20, 6]).slope
    -1.0

    """
    if len(x) < FEWEST_READINGS or len(x) != len(y):
        raise OutOfRange(
            "too_few_readings",
            "x",
            f"{len(x)} places and {len(y)} readings: there must be as many of both, at least {FEWEST_READINGS}.",
        )
    places, readings = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if not (np.isfinite(places).all() and np.isfinite(readings).all() and (np.diff(places) > 0).all() and u >= 0):
        raise OutOfRange(
            "readings_out_of_order", "x", "Places must rise, readings be finite, and their uncertainty not negative."
        )
    earlier, later = np.triu_indices(len(places), k=1)
    slopes = (readings[later] - readings[earlier]) / (places[later] - places[earlier])
    slope = float(np.median(slopes))
    low_rank, high_rank = _ranks(len(places), len(slopes))
    ranked = np.partition(slopes, (low_rank, high_rank))
    least_half_width = _normal_quantile() * u / sqrt(float(((places - places.mean()) ** 2).sum()))
    pivot_x = float(np.median(places))
    return Trend(
        slope,
        min(float(ranked[low_rank]), slope - least_half_width),
        max(float(ranked[high_rank]), slope + least_half_width),
        pivot_x,
        float(np.median(readings - slope * (places - pivot_x))),
    )


def _normal_quantile() -> float:
    return float(special.ndtri((1 + CONFIDENCE) / 2))


def _ranks(readings: int, slopes: int) -> tuple[int, int]:
    """Return the places of the interval's ends among the sorted slopes (Sen 1968)."""
    reach = _normal_quantile() * sqrt(readings * (readings - 1) * (2 * readings + 5) / 18)
    return max(round((slopes - reach) / 2) - 1, 0), min(round((slopes + reach) / 2), slopes - 1)
