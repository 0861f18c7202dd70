"""How fast a tire loses pressure, from checks over time, and when it will have too little.

Every check is brought to one tire temperature and altitude first, in absolute pressure. Take the coldest soak for
them, and the series is what the tire shows there, to be held against the least pressure.
"""

from collections.abc import Sequence
from enum import StrEnum
from math import inf, sqrt
from statistics import fmean

from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.falls import (
    COVERAGE,
    Fall,
    NormalisedCheck,
    RefillLoss,
    lost_before_refills,
    since_refill,
    sudden_fall,
)
from axlewright.core.inflation.translation import TireState, translated
from axlewright.core.inflation.trend import FEWEST_READINGS, Trend, trend
from axlewright.core.units import exceeds


class Check(Struct, frozen=True):
    """A pressure check: time [days, from any one moment], gauge [Pa], tire temperature [K], altitude [m].

    ``refilled`` says that air was added or let out and the gauge is what it showed afterwards.
    """

    day: float
    gauge_pa: float
    tire_temperature_k: float
    altitude_m: float
    refilled: bool = False


class CheckDoubt(Struct, frozen=True):
    """Standard uncertainties of one check: gauge [Pa] and tire temperature [K], independent from check to check."""

    gauge_u_pa: float
    temperature_u_k: float = 0.0


class Course(StrEnum):
    """What the checks since the last refill say.

    ``losing`` and ``gaining`` only where the whole interval does; a tire that gains had an unmarked refill, or was
    checked warmer than said.
    """

    LOSING = "losing"
    GAINING = "gaining"
    UNSETTLED = "unsettled"
    TOO_FEW_CHECKS = "too_few_checks"


class NoDate(StrEnum):
    """Why no date can be given for reaching the least pressure.

    ``line_at_least``: the last check shows more than the least, the line through them all no more.
    ``nothing_shows``: the checks agree within their doubt. ``unsettled``: they do not, and the noise hides a loss.
    """

    NO_LEAST = "no_least"
    BELOW_LEAST = "below_least"
    LINE_AT_LEAST = "line_at_least"
    FELL_SUDDENLY = "fell_suddenly"
    TOO_FEW_CHECKS = "too_few_checks"
    NOTHING_SHOWS = "nothing_shows"
    UNSETTLED = "unsettled"
    NOT_LOSING = "not_losing"


class LossRate(Struct, frozen=True):
    """Loss [Pa/day] at the reference and its 95 % interval; negative for a gain."""

    pa_per_day: float
    low_pa_per_day: float
    high_pa_per_day: float


class Reach(Struct, frozen=True):
    """Days from the last check until the least pressure is reached, or why that cannot be said.

    ``soonest_days`` and ``latest_days`` follow from the loss rate's interval; the soonest is 0 where it may have
    been reached already.
    """

    days: float | None = None
    soonest_days: float | None = None
    latest_days: float | None = None
    because: NoDate | None = None


class Leak(Struct, frozen=True, kw_only=True):
    """What the checks of one tire tell.

    Attributes
    ----------
    series
        All checks at the reference.
    checks
        How many of them count: from the last refill on, the reading after it included.
    change_pa, change_u_pa
        From the first of these to the last, with its standard uncertainty; None for a single one.
    course
        What they say.
    rate
        Robust loss rate; None with fewer than five.
    sudden
        The largest sudden loss among them; None for none.
    before_refills
        What was lost before each refill, where that is more than usual.
    reach
        When the least pressure is reached.
    """

    series: tuple[NormalisedCheck, ...]
    checks: int
    change_pa: float | None
    change_u_pa: float | None
    course: Course
    rate: LossRate | None
    sudden: Fall | None
    before_refills: RefillLoss | None
    reach: Reach


def leak(checks: Sequence[Check], reference: TireState, doubt: CheckDoubt, least_pa: float | None = None) -> Leak:
    """Return how a tire holds its pressure.

    Parameters
    ----------
    checks : sequence of Check
        In the order of time, at least one.
    reference : TireState
        Tire temperature [K] and altitude [m] to which all are brought.
    doubt : CheckDoubt
        Standard uncertainties of one check. A thermometer off by 1 K moves a tire at 650 kPa by 2.6 kPa.
    least_pa : float or None
        Least gauge pressure at the reference [Pa], above 0.

    Raises
    ------
    OutOfRange
        For no checks, times that do not rise, a least pressure not above 0, and what no gas can be.

    Notes
    -----
    The line is Theil and Sen's; see ``trend`` for its interval, and ``sudden_fall`` for what it does not show. A
    leak's rate goes with the gauge pressure, so the straight line holds for a loss small against that.

    Examples
    --------
    >>> weekly = [Check(7.0 * week, 600e3 - 2e3 * week, 293.15, 0.0) for week in range(6)]
    >>> answer = leak(weekly, TireState(293.15, 0.0), CheckDoubt(500.0), 560e3)
    >>> answer.course.value, round(answer.rate.pa_per_day, 1), round(answer.reach.days)
    ('losing', 285.7, 105)

    """
    if least_pa is not None and not 0 < least_pa < inf:
        raise OutOfRange(
            "least_out_of_range", "least_pa", f"A least pressure of {least_pa} Pa: it must be above 0 and finite."
        )
    series = normalised(checks, reference, doubt)
    run = since_refill(series)
    line = line_through(run)
    course = Course.TOO_FEW_CHECKS if line is None else _course(line)
    sudden = sudden_fall(run, line)
    first, last = run[0], run[-1]
    several = len(run) > 1
    return Leak(
        series=series,
        checks=len(run),
        change_pa=last.gauge_pa - first.gauge_pa if several else None,
        change_u_pa=sqrt(first.u_pa**2 + last.u_pa**2) if several else None,
        course=course,
        rate=None if line is None else LossRate(-line.slope, -line.high, -line.low),
        sudden=sudden,
        before_refills=lost_before_refills(series, line),
        reach=_reach(run, line, sudden, least_pa),
    )


def normalised(checks: Sequence[Check], reference: TireState, doubt: CheckDoubt) -> tuple[NormalisedCheck, ...]:
    """Return the checks of a tire, in the order of time, brought to the reference."""
    if not checks:
        raise OutOfRange("no_checks", "checks", "No checks: give at least one.")
    days = [check.day for check in checks]
    if not all(-inf < day < inf for day in days) or sorted(set(days)) != days:
        raise OutOfRange("days_out_of_order", "checks", f"Checks at days {days}: they must rise and be finite.")
    return tuple(_normalised_check(check, reference, doubt) for check in checks)


def _normalised_check(check: Check, reference: TireState, doubt: CheckDoubt) -> NormalisedCheck:
    there = translated(
        check.gauge_pa,
        TireState(check.tire_temperature_k, check.altitude_m),
        reference,
        gauge_u_pa=doubt.gauge_u_pa,
        temperature_u_k=doubt.temperature_u_k,
    )
    assert there.u_pa is not None
    return NormalisedCheck(check.day, there.gauge_pa, there.u_pa, check.refilled)


def line_through(run: Sequence[NormalisedCheck]) -> Trend | None:
    """Return the line through checks at the reference; None for fewer than five."""
    if len(run) < FEWEST_READINGS:
        return None
    u_pa = sqrt(fmean(check.u_pa**2 for check in run))
    return trend([check.day for check in run], [check.gauge_pa for check in run], u_pa)


def _course(line: Trend) -> Course:
    if line.high < 0:
        return Course.LOSING
    return Course.GAINING if line.low > 0 else Course.UNSETTLED


def _reach(run: Sequence[NormalisedCheck], line: Trend | None, sudden: Fall | None, least_pa: float | None) -> Reach:
    last = run[-1]
    if least_pa is None:
        return Reach(because=NoDate.NO_LEAST)
    if not exceeds(last.gauge_pa, least_pa):
        return Reach(because=NoDate.BELOW_LEAST)
    if sudden is not None:
        return Reach(because=NoDate.FELL_SUDDENLY)
    if line is None:
        return Reach(because=NoDate.TOO_FEW_CHECKS)
    if _course(line) is not Course.LOSING:
        return Reach(because=_no_loss(run, line))
    days, soonest_days, latest_days = (
        line.pivot_x + (least_pa - line.pivot_y) / slope - last.day for slope in (line.slope, line.low, line.high)
    )
    if days <= 0:
        return Reach(because=NoDate.LINE_AT_LEAST)
    return Reach(days, max(soonest_days, 0.0), latest_days)


def _no_loss(run: Sequence[NormalisedCheck], line: Trend) -> NoDate:
    """Return why a line that does not surely lose gives no date."""
    if _course(line) is Course.GAINING:
        return NoDate.NOT_LOSING
    readings_pa = [check.gauge_pa for check in run]
    doubt_pa = COVERAGE * sqrt(2 * fmean(check.u_pa**2 for check in run))
    return NoDate.UNSETTLED if exceeds(max(readings_pa), min(readings_pa) + doubt_pa) else NoDate.NOTHING_SHOWS
