"""Pressure checks over time: how fast each tire loses air, against its mates, and when it will hold too little."""

from collections.abc import Iterator, Sequence
from datetime import date
from math import floor
from typing import Final

from msgspec import Struct

from axlewright.contract.computation import CORE
from axlewright.contract.faults import Fault, given_text, refuse_contradictions
from axlewright.contract.findings import finding_answers
from axlewright.contract.leaks_answer import (
    AmongMatesAnswer,
    CheckPointAnswer,
    FindLeaksAnswer,
    LeakAnswer,
    LossAnswer,
    ReachesLeastAnswer,
    ReferenceAnswer,
)
from axlewright.contract.leaks_findings import DAYS, MINUTES_A_DAY, is_too_fast, leak_findings
from axlewright.contract.leaks_request import CheckedTireInput, CheckInput, FindLeaksRequest
from axlewright.contract.rig import repeated
from axlewright.contract.units import chosen_units, in_si, in_units
from axlewright.contract.words import CALLER, COLD, COMMON_PRACTICE, DEFERENCE
from axlewright.core.assessment import worst_first
from axlewright.core.inflation.leaks import Check, CheckDoubt, Leak, LossRate, NoDate, Reach, leak
from axlewright.core.inflation.mates import AmongMates, Comparison, compared
from axlewright.core.inflation.translation import TireState
from axlewright.core.units import PSI_PA

LATEST_YEARS: Final = 10
LATEST_DAYS: Final = LATEST_YEARS * 365.25
USUAL_DOUBT: Final = CheckDoubt(PSI_PA, 2.0)
"""Common practice, no source: a good gauge to 1 psi (6.9 kPa), a tire temperature to 2 °C (3.6 °F)."""

BASIS = (
    "Gas law at constant volume; ambient pressure of the standard atmosphere (ISO 2533), weather left out",
    "Loss from five checks since the last refill: median of the slopes of all pairs, its 95 % interval by Sen (1968)",
    "Sudden loss, from two checks on: 1.5 psi (10.3 kPa) and two standard uncertainties beyond the line; judgement",
    f"{CALLER}: checks, refills and least pressures",
)
DOUBT_BASIS = f"{COMMON_PRACTICE}: a gauge is good to 1 psi (6.9 kPa), a tire temperature to 2 °C (3.6 °F)"
MATES_BASIS = (
    f"{COMMON_PRACTICE}: losing 1 psi (6.9 kPa) in 30 days more than the other tires of the axle is worth a look"
)
NOT_A_PROMISE = (
    "A date is where the line through the checks leads. A leak can grow at any time: it is no permission to drive on "
    "until then."
)
TOO_FEW = "Fewer than five checks since the last refill: no loss can be told, at most a difference."
NO_DATE: dict[NoDate, str] = {
    NoDate.NO_LEAST: "`least_cold_pressure` of the tire was not given.",
    NoDate.BELOW_LEAST: "It holds no more than its least pressure already.",
    NoDate.TOO_FEW_CHECKS: TOO_FEW,
    NoDate.LINE_AT_LEAST: "The line through the checks is at the least pressure already, or below it.",
    NoDate.FELL_SUDDENLY: "It fell suddenly: nobody can say how it goes on.",
    NoDate.NOTHING_SHOWS: "No loss shows: the checks agree within their doubt.",
    NoDate.UNSETTLED: "The noise of the checks hides whether it loses at all.",
    NoDate.NOT_LOSING: "It does not lose.",
}
TOO_FAST = "At the pace of the checks 30 days would move more than the tire holds: the findings tell what was seen."
TOO_LATE = f"The dates that are null lie more than {LATEST_YEARS} years after the last check."
NO_COMPARISON: dict[AmongMates, str] = {
    AmongMates.TOO_FEW_COMMON_DAYS: "Fewer than five days since their last refills on which all of them were checked.",
    AmongMates.NO_MATES: "No other tire of its axle was sent.",
}


class _Told(Struct, frozen=True):
    """A tire with what its checks tell, in SI."""

    tire: CheckedTireInput
    leak: Leak
    comparison: Comparison


def find_leaks_answer(request: FindLeaksRequest) -> FindLeaksAnswer:
    """Return what the checks of every tire tell, in the request's units.

    Raises
    ------
    CrossFieldFaults
        With everything in the request that contradicts itself or is not plausible in its unit.
    """
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    refuse_contradictions([*faults, *_faults(request.tires)], as_sent)
    told = _told(request)
    findings = [
        finding
        for each in told
        for finding in leak_findings(each.tire.wheel_end, each.leak, each.comparison, each.tire.least_cold_pressure)
    ]
    states_all = None not in (request.uncertainty.pressure, request.uncertainty.temperature)
    answer = FindLeaksAnswer(
        units=units,
        reference=ReferenceAnswer(
            tire_temperature=request.reference.tire_temperature, altitude=request.reference.altitude
        ),
        tires=[_leak_answer(each) for each in told],
        findings=finding_answers(worst_first(findings), units),
        basis=[*BASIS, *([] if states_all else [DOUBT_BASIS]), MATES_BASIS],
        cautions=[DEFERENCE, COLD, NOT_A_PROMISE],
        computed_by=CORE,
    )
    return in_units(answer, units)


def _faults(tires: Sequence[CheckedTireInput]) -> Iterator[Fault]:
    names = [tire.wheel_end for tire in tires]
    yield from repeated("tire", "/tires/{}/wheel_end", names)
    for place, tire in enumerate(tires):
        wheel_end, _, position = tire.wheel_end.rpartition(".")
        if position in ("inner", "outer") and wheel_end in names:
            yield Fault(
                "inconsistent_fitment",
                f"/tires/{place}/wheel_end",
                f"A wheel end has one tire or two: here {given_text(wheel_end)} stands beside one of its duals.",
                None,
                "the names of both duals, or that of the wheel end alone",
            )
        yield from _check_faults(tire.checks, f"/tires/{place}/checks")


def _check_faults(checks: Sequence[CheckInput], pointer: str) -> Iterator[Fault]:
    for place, check in enumerate(checks):
        if (check.tire_temperature is None) == (check.ambient_temperature is None):
            yield Fault(
                "inconsistent_choice",
                f"{pointer}/{place}",
                "A check has the tire's temperature or, in its place, the air's: exactly one of the two.",
                None,
                "tire_temperature, or ambient_temperature",
            )
        before = checks[place - 1] if place else None
        if before is not None and _minute(check) <= _minute(before):
            yield Fault(
                "inconsistent_dates",
                f"{pointer}/{place}",
                "Checks are listed in the order of time, each at its own minute; without `checked_at` it is noon.",
                f"{check.checked_on} {check.checked_at}",
                f"later than {before.checked_on} {before.checked_at}",
            )


def _minute(check: CheckInput) -> int:
    hours, minutes = check.checked_at.split(":")
    return check.checked_on.toordinal() * MINUTES_A_DAY + int(hours) * 60 + int(minutes)


def _axle(wheel_end: str) -> str:
    """Return the name of the axle: all before the side."""
    whole, _, last = wheel_end.rpartition(".")
    return whole.rpartition(".")[0] if last in ("inner", "outer") else whole


def _told(request: FindLeaksRequest) -> list[_Told]:
    reference = TireState(request.reference.tire_temperature, request.reference.altitude)
    sent = request.uncertainty
    doubt = CheckDoubt(
        USUAL_DOUBT.gauge_u_pa if sent.pressure is None else sent.pressure,
        USUAL_DOUBT.temperature_u_k if sent.temperature is None else sent.temperature,
    )
    axles: dict[str, dict[str, list[Check]]] = {}
    for tire in request.tires:
        axles.setdefault(_axle(tire.wheel_end), {})[tire.wheel_end] = _by_date(tire.checks)
    comparisons: dict[str, Comparison] = {}
    for of_axle in axles.values():
        comparisons |= compared(of_axle, reference, doubt)
    return [
        _Told(
            tire,
            leak([_check(each) for each in tire.checks], reference, doubt, tire.least_cold_pressure),
            comparisons[tire.wheel_end],
        )
        for tire in request.tires
    ]


def _check(check: CheckInput) -> Check:
    temperature_k = check.ambient_temperature if check.tire_temperature is None else check.tire_temperature
    assert temperature_k is not None
    return Check(_minute(check) / MINUTES_A_DAY, check.pressure, temperature_k, check.altitude, check.refilled)


def _by_date(checks: Sequence[CheckInput]) -> list[Check]:
    """Return the last check of each day, for the comparison of tires that were checked one after the other.

    A refill of the day marks the one that is kept, which was read after it.
    """
    kept: dict[date, CheckInput] = {check.checked_on: check for check in checks}
    refilled = {check.checked_on for check in checks if check.refilled}
    return [
        Check(float(day.toordinal()), of_day.gauge_pa, of_day.tire_temperature_k, of_day.altitude_m, day in refilled)
        for day, of_day in ((day, _check(check)) for day, check in kept.items())
    ]


def _leak_answer(told: _Told) -> LeakAnswer:
    tire, found = told.tire, told.leak
    too_fast = is_too_fast(found.rate, found)
    return LeakAnswer(
        wheel_end=tire.wheel_end,
        axle=_axle(tire.wheel_end),
        course=found.course.value,
        checks_counted=found.checks,
        latest_pressure=found.series[-1].gauge_pa,
        change=found.change_pa,
        change_standard_uncertainty=found.change_u_pa,
        loss=None if too_fast else _loss(found.rate),
        least_cold_pressure=tire.least_cold_pressure,
        reaches_least=_reaches_least(found.reach, tire.checks[-1]),
        among_mates=_among_mates(told),
        points=_points(tire.checks, found),
        unknown_because=TOO_FEW if found.rate is None else TOO_FAST if too_fast else None,
    )


def _among_mates(told: _Told) -> AmongMatesAnswer:
    verdict, excess = told.comparison.verdict, told.comparison.excess
    too_fast = is_too_fast(excess, told.leak)
    because = None
    if excess is None:
        because = NO_COMPARISON[
            AmongMates.NO_MATES if verdict is AmongMates.NO_MATES else AmongMates.TOO_FEW_COMMON_DAYS
        ]
    return AmongMatesAnswer(
        verdict=verdict.value,
        excess=None if too_fast else _loss(excess),
        unknown_because=TOO_FAST if too_fast else because,
    )


def _loss(rate: LossRate | None) -> LossAnswer | None:
    if rate is None:
        return None
    return LossAnswer(
        in_30_days=DAYS * rate.pa_per_day, low=DAYS * rate.low_pa_per_day, high=DAYS * rate.high_pa_per_day
    )


def _reaches_least(reach: Reach, last: CheckInput) -> ReachesLeastAnswer:
    dates = [_date(last, days) for days in (reach.days, reach.soonest_days, reach.latest_days)]
    because = NO_DATE[reach.because] if reach.because else TOO_LATE if None in dates else None
    return ReachesLeastAnswer(expected_on=dates[0], soonest_on=dates[1], latest_on=dates[2], unknown_because=because)


def _date(last: CheckInput, days: float | None) -> date | None:
    """Return the day so many days after a check; None for none, and for one too far off."""
    if days is None or days > LATEST_DAYS:
        return None
    ordinal = floor(_minute(last) / MINUTES_A_DAY + days)
    return date.fromordinal(ordinal) if ordinal <= date.max.toordinal() else None


def _points(checks: Sequence[CheckInput], found: Leak) -> list[CheckPointAnswer]:
    first = len(checks) - found.checks
    return [
        CheckPointAnswer(
            checked_on=check.checked_on,
            checked_at=check.checked_at,
            pressure=point.gauge_pa,
            standard_uncertainty=point.u_pa,
            refilled=check.refilled,
            counts=place >= first,
        )
        for place, (check, point) in enumerate(zip(checks, found.series, strict=True))
    ]
