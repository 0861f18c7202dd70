"""Loads and limits of the core to the wire."""

from collections.abc import Iterable
from typing import Annotated, Literal, TypedDict

from msgspec import Meta, Struct

from axlewright.contract.output import (
    AsStatedOut,
    CountOut,
    LoadAnswer,
    MassOut,
    NameOut,
    ProbabilityOut,
    UnknownOut,
    WordsOut,
)
from axlewright.contract.words import BASES, ESTIMATED_LIMIT, PROVISIONAL, UNKNOWN, UNSTATED
from axlewright.core.assessment import Assessment
from axlewright.core.estimates import Estimate, UnknownBecause
from axlewright.core.findings import Finding, Severity
from axlewright.core.loads.limits import LimitCheck, LimitKind, load_per_tire, vehicle_load
from axlewright.core.loads.standings import Bound, Standing
from axlewright.core.rig import Axle, Vehicle, WheelEnd
from axlewright.core.sessions.remarks import known_sums
from axlewright.core.units import RELATIVE_GUARD


class WheelEndAnswer(LoadAnswer, frozen=True, kw_only=True):
    """What one wheel end carries."""

    load_per_tire: Annotated[
        MassOut | None,
        Meta(description="Of a dual half of the load, or its heavier tire where both were weighed apart."),
    ]


class RigLoadsAnswer(Struct, frozen=True, kw_only=True):
    """The loads of a rig."""

    wheel_ends: Annotated[list[WheelEndAnswer], Meta(max_length=64, description="Every wheel end.")]
    axles: Annotated[list[LoadAnswer], Meta(max_length=32, description="Every axle.")]
    vehicles: Annotated[
        list[LoadAnswer],
        Meta(max_length=4, description="What stands on each vehicle's wheels, of a trailer with its coupling's load."),
    ]
    rig: Annotated[LoadAnswer, Meta(description="All wheels together.")]


class LimitAnswer(Struct, frozen=True, kw_only=True):
    """One limit and how the load stands to it."""

    subject: Annotated[WordsOut, Meta(description="Wheel end, tire, axle, axles together, or vehicle.")]
    kind: Annotated[NameOut, Meta(description="What is limited; new kinds may come.", examples=[*LimitKind])]
    bound: Annotated[Literal["most", "least"], Meta(description="Whether the limit is the most or the least.")]
    quantity: Annotated[Literal["mass", "share", "speed"], Meta(description="What the figures are.")]
    value: Annotated[AsStatedOut | None, Meta(description="The load, the share, or the speed.")]
    standard_uncertainty: Annotated[AsStatedOut | None, Meta(description="Of the value.")]
    limit: Annotated[AsStatedOut | None, Meta(description="What it must not exceed, or fall below.")]
    margin: Annotated[AsStatedOut | None, Meta(description="What is left; negative where the limit is broken.")]
    standing: Annotated[
        Literal["over", "short", "unsettled", "unknown", "tight", "clear"],
        Meta(
            description="`over`: surely above a most; `short`: surely below a least; `unsettled`: the doubt spans "
            "the limit, or the cross-check failed; `unknown`: not judged; `tight`: kept, with little left; `clear`."
        ),
    ]
    probability_of_breach: Annotated[
        ProbabilityOut | None, Meta(description="Probability that the limit is broken (JCGM 106).")
    ]
    governs: Annotated[bool, Meta(description="The limit with the least left at its wheel end, axle or vehicle.")]
    basis: Annotated[WordsOut, Meta(description="What the limit rests on.")]
    unknown_because: UnknownOut


class CountsAnswer(Struct, frozen=True, kw_only=True):
    """How many limits stand how."""

    over: Annotated[CountOut, Meta(description="Most surely exceeded.")]
    short: Annotated[CountOut, Meta(description="Least surely not reached.")]
    unsettled: Annotated[CountOut, Meta(description="Within the doubt of the load.")]
    unknown: Annotated[CountOut, Meta(description="Not judged.")]
    tight: Annotated[CountOut, Meta(description="Kept, with little left.")]
    clear: Annotated[CountOut, Meta(description="Kept.")]


class GoverningAnswer(Struct, frozen=True, kw_only=True):
    """The limit of the whole rig that has the least left."""

    subject: Annotated[WordsOut, Meta(description="What it limits.")]
    kind: Annotated[NameOut, Meta(description="As in `limits`.")]


class SummaryAnswer(Struct, frozen=True, kw_only=True):
    """The worst standing of all limits, the governing limit, and how many stand how."""

    standing: Annotated[
        Literal["over", "short", "unsettled", "unknown", "tight", "clear"],
        Meta(description="Worst first: over or short, unsettled, unknown, tight, clear."),
    ]
    governing_limit: Annotated[GoverningAnswer | None, Meta(description="Null where no limit could be judged.")]
    counts: Annotated[CountsAnswer, Meta(description="Limits by standing.")]
    critical_findings: Annotated[
        CountOut, Meta(description="How many findings are critical, of limits, readings and pressures alike.")
    ]


class RigLoads(TypedDict):
    """What `RigLoadsAnswer` has, and every other answer with the loads of a rig."""

    wheel_ends: list[WheelEndAnswer]
    axles: list[LoadAnswer]
    vehicles: list[LoadAnswer]
    rig: LoadAnswer


def rig_loads(assessment: Assessment) -> RigLoads:
    """Return the loads of a rig, in SI."""
    rig, estimates = assessment.rig, assessment.estimates
    everything = {end.name: 1.0 for _, _, end in rig.wheel_ends()}
    return {
        "wheel_ends": [_wheel_end_answer(assessment, vehicle, axle, end) for vehicle, axle, end in rig.wheel_ends()],
        "axles": [load_answer(axle.name, estimates.known(axle.sum_of), assessment) for _, axle in rig.axles()],
        "vehicles": [load_answer(each.name, vehicle_load(each, estimates), assessment) for each in rig.vehicles],
        "rig": load_answer(rig.name, estimates.known(everything), assessment),
    }


def load_answer(name: str, load: Estimate | UnknownBecause, assessment: Assessment) -> LoadAnswer:
    """Return a load as the contract gives it, in SI."""
    return LoadAnswer(name=name, **_figures(load, assessment.policy.coverage_factor))


def limit_answers(assessment: Assessment) -> list[LimitAnswer]:
    """Return every limit, in SI."""
    return [_limit_answer(check) for check in assessment.limits]


def summary_answer(assessment: Assessment, findings: Iterable[Finding]) -> SummaryAnswer:
    """Return the worst standing, the governing limit of the whole rig, and how many stand how."""
    limits = assessment.limits
    standings = [check.judgement.standing if check.judgement else Standing.UNKNOWN for check in limits]
    judged = [(check.relative_margin, check) for check in limits if check.relative_margin is not None]
    least = min((margin for margin, _ in judged), default=0.0)
    governing = next((check for margin, check in judged if margin - least <= RELATIVE_GUARD), None)
    return SummaryAnswer(
        standing=next(standing for standing in Standing if standing in standings).value,
        governing_limit=GoverningAnswer(subject=governing.subject, kind=governing.kind) if governing else None,
        critical_findings=sum(finding.severity is Severity.CRITICAL for finding in findings),
        counts=CountsAnswer(**{standing.value: standings.count(standing) for standing in Standing}),
    )


class _Figures(TypedDict):
    load: float | None
    standard_uncertainty: float | None
    low: float | None
    high: float | None
    provisional: bool
    unknown_because: str | None


def _figures(load: Estimate | UnknownBecause, coverage_factor: float) -> _Figures:
    if isinstance(load, UnknownBecause):
        return {
            "load": None,
            "standard_uncertainty": None,
            "low": None,
            "high": None,
            "provisional": False,
            "unknown_because": UNKNOWN[load],
        }
    return {
        "load": load.value,
        "standard_uncertainty": load.u,
        "low": None if load.u is None else load.low(coverage_factor),
        "high": None if load.u is None else load.high(coverage_factor),
        "provisional": load.provisional,
        "unknown_because": UNSTATED if load.u is None else None,
    }


def _wheel_end_answer(assessment: Assessment, vehicle: Vehicle, axle: Axle, wheel_end: WheelEnd) -> WheelEndAnswer:
    estimates = assessment.estimates
    load = estimates.known({wheel_end.name: 1.0})
    tires = [estimates.known(sum_of) for sum_of in load_per_tire(wheel_end, estimates).values()]
    figures = _figures(load, assessment.policy.coverage_factor)
    if isinstance(load, UnknownBecause):
        sums = ", ".join(known_sums(vehicle, axle, estimates)) or "none"
        figures["unknown_because"] = f"{UNKNOWN[load]} Known sums that it is part of: {sums}."
    known = [tire.value for tire in tires if isinstance(tire, Estimate)]
    return WheelEndAnswer(
        name=wheel_end.name, load_per_tire=max(known) if len(known) == len(tires) else None, **figures
    )


def _limit_answer(check: LimitCheck) -> LimitAnswer:
    value = check.value if isinstance(check.value, Estimate) else None
    limit = check.limit if isinstance(check.limit, float) else None
    sign = 1.0 if check.bound is Bound.MOST else -1.0
    because = check.unknown_because if check.judgement is None else None
    return LimitAnswer(
        subject=check.subject,
        kind=check.kind,
        bound="most" if check.bound is Bound.MOST else "least",
        quantity=check.kind.quantity,
        value=value.value if value else None,
        standard_uncertainty=value.u if value else None,
        limit=limit,
        margin=None if value is None or limit is None else sign * (limit - value.value),
        standing=check.judgement.standing.value if check.judgement else "unknown",
        probability_of_breach=check.judgement.probability_of_breach if check.judgement else None,
        governs=check.governs,
        basis=BASES[check.basis],
        unknown_because=UNKNOWN[because] if because else _no_probability(check),
    )


def _no_probability(check: LimitCheck) -> str | None:
    """Return why a limit that was judged has no probability of breach; None where it has."""
    if check.judgement is None or check.judgement.probability_of_breach is not None:
        return None
    if not isinstance(check.value, Estimate) or check.value.u is None:
        return UNSTATED
    return PROVISIONAL if check.value.provisional else ESTIMATED_LIMIT
