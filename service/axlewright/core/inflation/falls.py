"""Losses that no line shows: between one check and the next, and before one refill after another."""

from collections.abc import Sequence
from itertools import pairwise
from math import hypot, sqrt
from statistics import median, median_low
from typing import Final

from msgspec import Struct

from axlewright.core.inflation.trend import Trend
from axlewright.core.units import PSI_PA, exceeds

USUAL_PA_PER_DAY: Final = 1.5 * PSI_PA / 30.0
"""What a sound tire may lose [Pa/day]: it is commonly said to lose 1 to 1.5 psi a month; common practice, no source."""
LEAST_FALL_PA: Final = 1.5 * PSI_PA
"""A fall beyond what was to be expected that is worth a warning; judgement, no source."""
GRAVE_FALL_PA: Final = 5.0 * PSI_PA
GRAVE_DAYS: Final = 7.0
"""Losing 5 psi in a week, or in less, is grave; judgement, no source."""
COVERAGE: Final = 2.0
"""Standard uncertainties of a difference beyond which it is taken for real, some 95 % (JCGM 100:2008, 6.3.3)."""
NEIGHBORS: Final = 3
"""Checks on either side of a step that are looked at, so that one misread check makes no step."""
DEVIATION_BY_MEDIAN: Final = 1.4826
"""Standard deviation of normal noise over the median of its absolute values, 1/0.6745."""


class NormalisedCheck(Struct, frozen=True):
    """What a check would have shown at the reference: time [days], gauge [Pa] with standard uncertainty."""

    day: float
    gauge_pa: float
    u_pa: float
    refilled: bool


class Fall(Struct, frozen=True):
    """A sudden loss: gauge before and after it [Pa], and the time within which it happened [days]."""

    before_pa: float
    after_pa: float
    days: float

    @property
    def is_grave(self) -> bool:
        """Whether it is 5 psi in a week or more, at that pace or faster."""
        return not exceeds(GRAVE_FALL_PA * max(1.0, self.days / GRAVE_DAYS), self.before_pa - self.after_pa)


class RefillLoss(Struct, frozen=True):
    """What was lost [Pa] in how many days before how many refills, and its standard uncertainty."""

    refills: int
    lost_pa: float
    days: float
    u_pa: float


def since_refill(series: Sequence[NormalisedCheck]) -> Sequence[NormalisedCheck]:
    """Return the checks from the last refill on, the reading after it included."""
    first = max((place for place, check in enumerate(series) if check.refilled), default=0)
    return series[first:]


def sudden_fall(run: Sequence[NormalisedCheck], line: Trend | None) -> Fall | None:
    """Return the largest sudden loss between checks without a refill, None where there is none.

    Sudden is what falls, from one check to the next, by 1.5 psi or more beyond what the time between them explains,
    and by two standard uncertainties of the difference or more. The time explains what the line and the middle step
    both lose, or what a sound tire may where that is more or there is no line. A fall that the two checks after it do
    not confirm was a misread check; the last check is believed as it is. Where there is no line, a fall over the
    whole run counts too, if it is of 5 psi a week or more.

    Parameters
    ----------
    run : sequence of NormalisedCheck
        In the order of time.
    line : Trend or None
        The line through them; where there is one, their own scatter counts where it is worse than their doubt.
    """
    if len(run) < 2:
        return None
    pace_pa_per_day = max(USUAL_PA_PER_DAY, 0.0 if line is None else _steady_loss(run, line))
    levels_pa = [check.gauge_pa + pace_pa_per_day * (check.day - run[0].day) for check in run]
    scatter_pa = 0.0
    if line is not None:
        scatter_pa = DEVIATION_BY_MEDIAN * median(abs(later - earlier) for earlier, later in pairwise(levels_pa))
    found = [_step(run, levels_pa, place, scatter_pa) for place in range(1, len(run))]
    if line is None:
        whole = _between(run, levels_pa, 0, len(run) - 1, run[-1].day - run[0].day, scatter_pa)
        found.append(whole if whole is not None and whole.is_grave else None)
    falls = [fall for fall in found if fall is not None]
    return max(falls, key=lambda fall: fall.before_pa - fall.after_pa, default=None)


def _steady_loss(run: Sequence[NormalisedCheck], line: Trend) -> float:
    """Return what is lost steadily [Pa/day]: a single fall amid the checks tilts the line, but not the middle step."""
    steps = median((before.gauge_pa - after.gauge_pa) / (after.day - before.day) for before, after in pairwise(run))
    return min(-line.slope, steps)


def _step(run: Sequence[NormalisedCheck], levels_pa: Sequence[float], place: int, scatter_pa: float) -> Fall | None:
    """Return the fall from the check before a place to the one there, by the levels of their neighbors."""
    before = median_low((levels_pa[near], near) for near in range(max(place - NEIGHBORS, 0), place))[1]
    after = max((levels_pa[near], near) for near in range(place, min(place + NEIGHBORS, len(run))))[1]
    return _between(run, levels_pa, before, after, run[place].day - run[place - 1].day, scatter_pa)


def _between(
    run: Sequence[NormalisedCheck], levels_pa: Sequence[float], before: int, after: int, days: float, scatter_pa: float
) -> Fall | None:
    beyond_pa = levels_pa[before] - levels_pa[after]
    u_pa = max(hypot(run[before].u_pa, run[after].u_pa), scatter_pa)
    if exceeds(max(LEAST_FALL_PA, COVERAGE * u_pa), beyond_pa):
        return None
    return Fall(run[before].gauge_pa, run[after].gauge_pa, days)


def lost_before_refills(series: Sequence[NormalisedCheck], line: Trend | None) -> RefillLoss | None:
    """Return what a tire lost before each time that it was filled up again, None where that is no more than usual.

    From the check after a refill, or the first, to the last one before the next refill, over all of them together;
    more than usual is 1.5 psi or more beyond what a sound tire may lose in the time, and two standard uncertainties
    or more. Where the line since the last refill surely loses less, the leak has been mended.

    Parameters
    ----------
    series : sequence of NormalisedCheck
        All checks of a tire in the order of time.
    line : Trend or None
        The line through those since the last refill.
    """
    starts = sorted({0, *(place for place, check in enumerate(series) if check.refilled)})
    spans = [
        (series[start], series[end - 1])
        for start, end in pairwise(starts)
        if end - start > 1 and exceeds(series[end].gauge_pa, series[end - 1].gauge_pa)
    ]
    lost_pa = sum(first.gauge_pa - last.gauge_pa for first, last in spans)
    days = sum(last.day - first.day for first, last in spans)
    u_pa = sqrt(sum(first.u_pa**2 + last.u_pa**2 for first, last in spans))
    if not spans or exceeds(max(LEAST_FALL_PA, COVERAGE * u_pa), lost_pa - USUAL_PA_PER_DAY * days):
        return None
    if line is not None and exceeds(lost_pa, -line.low * days):
        return None
    return RefillLoss(len(spans), lost_pa, days, u_pa)
