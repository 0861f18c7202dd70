"""How a load with its doubt stands to a limit.

The probability of breaking a limit follows JCGM 106:2012, 7.2 and 7.3 (normal distribution, one limit). The
coverage factor k = 2 and the 5 % that count as tight are judgement.
"""

from enum import StrEnum
from math import erfc, sqrt

from msgspec import Struct

from axlewright.core.estimates import Estimate
from axlewright.core.units import exceeds


class Bound(StrEnum):
    """Whether a limit is the most or the least that something may have."""

    MOST = "most"
    LEAST = "least"


class Standing(StrEnum):
    """How a value stands to its limit: worst first, clear last."""

    OVER = "over"
    SHORT = "short"
    UNSETTLED = "unsettled"
    UNKNOWN = "unknown"
    TIGHT = "tight"
    CLEAR = "clear"


BROKEN = frozenset({Standing.OVER, Standing.SHORT})


class Judgement(Struct, frozen=True, gc=False):
    """A standing, with the probability that the limit is broken (None where the doubt is not known).

    ``relative_margin`` is what is surely left, as a share of the limit: (M - L - k u)/M, or its mirror image for a
    least.
    """

    standing: Standing
    probability_of_breach: float | None
    relative_margin: float


def judge(estimate: Estimate, limit: float, bound: Bound, coverage_factor: float, tight_share: float) -> Judgement:
    """Return how an estimate stands to a limit.

    Parameters
    ----------
    estimate
        Value and standard uncertainty u, in the limit's unit.
    limit
        M, above 0.
    bound
        For a most: over when L - k u > M, unsettled when M lies within L +- k u, tight when less than
        ``tight_share`` of M is left beyond L + k u, else clear. A least mirrors it, short for over.
    coverage_factor
        k.

    Notes
    -----
    A value of whose doubt a part was not stated stands no better than tight, and has no probability. One whose
    cross-check failed stands no better than unsettled, over where the solution of all readings is, and
    has no probability either.

    >>> judge(Estimate(6_800.0, 30.0), 7_000.0, Bound.MOST, 2.0, 0.05).standing.value
    'tight'
    """
    nearest, farthest = _ends(estimate, bound, coverage_factor)
    if _breaks(nearest, limit, bound):
        standing = Standing.OVER if bound is Bound.MOST else Standing.SHORT
    elif _breaks(farthest, limit, bound) or estimate.provisional:
        standing = Standing.UNSETTLED
    elif estimate.u is None or exceeds(tight_share * limit, abs(limit - farthest)):
        standing = Standing.TIGHT
    else:
        standing = Standing.CLEAR
    margin = (limit - farthest) / limit if bound is Bound.MOST else (farthest - limit) / limit
    return Judgement(standing, _probability_of_breach(estimate, limit, bound), margin)


def _ends(estimate: Estimate, bound: Bound, coverage_factor: float) -> tuple[float, float]:
    """Return the end of the estimate's interval that is kindest to the limit, then the unkindest.

    After a failed cross-check the kindest is still that of the solution of all readings: an alarm is not withheld.
    """
    own_spread = coverage_factor * (estimate.stated_u if estimate.u is None else estimate.u)
    below, above = estimate.value - own_spread, estimate.value + own_spread
    if bound is Bound.MOST:
        return below, estimate.high(coverage_factor) if estimate.provisional else above
    return above, estimate.low(coverage_factor) if estimate.provisional else below


def _breaks(value: float, limit: float, bound: Bound) -> bool:
    return exceeds(value, limit) if bound is Bound.MOST else exceeds(limit, value)


def _probability_of_breach(estimate: Estimate, limit: float, bound: Bound) -> float | None:
    if estimate.u is None or estimate.provisional:
        return None
    if estimate.u == 0.0:
        return float(_breaks(estimate.value, limit, bound))
    deviation = (estimate.value - limit) / estimate.u
    return erfc((-deviation if bound is Bound.MOST else deviation) / sqrt(2)) / 2
