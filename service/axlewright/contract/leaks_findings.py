"""What pressure checks over time give to know, as findings with their facts."""

from collections.abc import Iterator, Mapping
from typing import Final

from axlewright.core.findings import Fact, Finding, Severity, pressure
from axlewright.core.inflation.falls import USUAL_PA_PER_DAY, Fall, RefillLoss
from axlewright.core.inflation.leaks import Course, Leak, LossRate, NoDate
from axlewright.core.inflation.mates import AmongMates, Comparison
from axlewright.core.units import PSI_PA, exceeds

DAYS: Final = 30
"""Losses are told for so many."""
HOURS_A_DAY: Final = 24
MINUTES_A_DAY: Final = 1440
FAST_PA_PER_DAY: Final = 5 * PSI_PA / 7
"""A loss of 5 psi a week: beyond it 30 days mean nothing, and the findings tell what was seen; judgement."""


def is_too_fast(rate: LossRate | None, found: Leak) -> bool:
    """Return whether 30 days at a pace would move more than the tire holds."""
    return rate is not None and exceeds(DAYS * abs(rate.pa_per_day), found.series[-1].gauge_pa)


def leak_findings(name: str, found: Leak, comparison: Comparison, least_pa: float | None) -> Iterator[Finding]:
    """Yield what the checks of one tire, and its comparison with its mates, give to know."""
    last_pa = found.series[-1].gauge_pa
    if least_pa is not None:
        facts: Mapping[str, Fact] = {"shown": pressure(last_pa), "least": pressure(least_pa)}
        if exceeds(least_pa, last_pa):
            yield Finding("tire_below_least", Severity.CRITICAL, name, facts)
        elif found.reach.because is NoDate.LINE_AT_LEAST:
            yield Finding("line_at_least", Severity.WARNING, name, facts)
    if found.sudden is not None:
        is_grave = found.sudden.is_grave or (least_pa is not None and not exceeds(last_pa, least_pa))
        severity = Severity.CRITICAL if is_grave else Severity.WARNING
        yield Finding("sudden_loss", severity, name, _fall_facts(found.sudden))
    elif found.rate is not None and found.course is Course.LOSING:
        yield _losing(name, found, found.rate)
    if found.rate is not None and found.course is Course.GAINING:
        yield Finding("tire_gaining", Severity.NOTICE, name, _seen(found))
    if found.before_refills is not None:
        yield Finding("keeps_being_refilled", Severity.WARNING, name, _refill_facts(found.before_refills))
    excess = comparison.excess
    loses_more = comparison.verdict is AmongMates.LOSES_MORE
    if excess is not None and loses_more and not is_too_fast(excess, found):
        yield Finding("loses_more_than_mates", Severity.WARNING, name, _rate_facts("excess", excess))


def _losing(name: str, found: Leak, rate: LossRate) -> Finding:
    """Return the finding of a loss along the line; of a fast one by what was seen, for 30 days would mean nothing."""
    if exceeds(FAST_PA_PER_DAY, rate.pa_per_day):
        is_notable = exceeds(rate.pa_per_day, USUAL_PA_PER_DAY)
        severity = Severity.WARNING if is_notable else Severity.INFO
        return Finding("tire_losing", severity, name, _rate_facts("loss", rate))
    return Finding("tire_losing_fast", Severity.CRITICAL, name, _seen(found))


def _seen(found: Leak) -> Mapping[str, Fact]:
    """Return what was seen since the last refill, from the first check to the last."""
    first, last = found.series[-found.checks], found.series[-1]
    return {**_fall_facts(Fall(first.gauge_pa, last.gauge_pa, last.day - first.day)), "checks": found.checks}


def _fall_facts(fall: Fall) -> Mapping[str, Fact]:
    return {"before": pressure(fall.before_pa), "after": pressure(fall.after_pa), "span": _span(fall.days)}


def _refill_facts(loss: RefillLoss) -> Mapping[str, Fact]:
    return {
        "loss": pressure(loss.lost_pa),
        "doubt": pressure(loss.u_pa),
        "span": _span(loss.days),
        "refills": "one refill" if loss.refills == 1 else f"{loss.refills} refills",
    }


def _span(days: float) -> str:
    """Return in words how long something took."""
    for unit, a_day in (("days", 1), ("hours", HOURS_A_DAY), ("minutes", MINUTES_A_DAY)):
        count = round(days * a_day)
        if count > 1:
            return f"{count} {unit}"
    return "a minute"


def _rate_facts(what: str, rate: LossRate) -> Mapping[str, Fact]:
    figures = ((what, rate.pa_per_day), ("low", rate.low_pa_per_day), ("high", rate.high_pa_per_day))
    return {name: pressure(DAYS * pa_per_day) for name, pa_per_day in figures}
