"""The whole assessment: a request to the core, and its answer back in the caller's units."""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal

from msgspec import Meta, Struct

from axlewright import __version__
from axlewright.contract.balance import BalanceAnswer, balance_answers
from axlewright.contract.faults import CrossFieldFaults, Fault
from axlewright.contract.finding_words import FINDINGS
from axlewright.contract.inflation import InflationAnswer, inflation_answers
from axlewright.contract.loads import (
    LimitAnswer,
    WheelEndAnswer,
    axle_answers,
    limit_answers,
    rig_answer,
    vehicle_answers,
    wheel_end_answers,
)
from axlewright.contract.output import CountOut, LoadAnswer, NameOut, ProseOut, WordsOut
from axlewright.contract.pending import carried_names, pending_faults
from axlewright.contract.request import AssessRequest, ConditionsInput, PolicyInput
from axlewright.contract.rig import core_rig, core_tables, rig_faults, table_faults
from axlewright.contract.sessions import (
    ReconciliationAnswer,
    given_loads,
    load_faults,
    reconciliation_answer,
    session_faults,
    weigh_session,
)
from axlewright.contract.units import ROUNDING_STEPS_PA, Units, chosen_units, in_si, in_units, spoken, unit_of
from axlewright.contract.words import CAUTIONS, LIMIT_WORDS, SESSION_CAUTIONS, UNKNOWN
from axlewright.core.assessment import Assessment, assess, worst_first
from axlewright.core.errors import CoreError
from axlewright.core.estimates import UnknownBecause
from axlewright.core.findings import Fact, Finding, Quantity, Severity
from axlewright.core.loads.given import GivenLoad
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.standings import Standing
from axlewright.core.policy import Conditions, Fill, LabelFloor, Policy, Soak
from axlewright.core.sessions.passes import WeighSession
from axlewright.core.units import RELATIVE_GUARD


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

    subject: Annotated[NameOut, Meta(description="What it limits.")]
    kind: Annotated[NameOut, Meta(description="As in `limits`.")]


class SummaryAnswer(Struct, frozen=True, kw_only=True):
    """The worst standing of all limits, the governing limit, and how many stand how."""

    standing: Annotated[
        Literal["over", "short", "unsettled", "unknown", "tight", "clear"],
        Meta(description="Worst first: over or short, unsettled, unknown, tight, clear."),
    ]
    governing_limit: Annotated[GoverningAnswer | None, Meta(description="Null where no limit could be judged.")]
    counts: Annotated[CountsAnswer, Meta(description="Limits by standing.")]


class FindingAnswer(Struct, frozen=True, kw_only=True):
    """One thing to know."""

    code: Annotated[NameOut, Meta(description="Stable; new ones may come. `x-codes` lists them.")]
    severity: Annotated[Literal["critical", "warning", "notice", "info"], Meta(description="Worst first.")]
    subject: Annotated[ProseOut, Meta(description="What it concerns.")]
    message: Annotated[ProseOut, Meta(description="What was found.")]
    action: Annotated[WordsOut, Meta(description="What to do.")]
    basis: Annotated[WordsOut, Meta(description="What it rests on.")]


class TableEdition(Struct, frozen=True, kw_only=True):
    """A publication whose rows were used."""

    title: Annotated[WordsOut, Meta(description="Whose table it is.")]
    edition: Annotated[WordsOut, Meta(description="Its edition or year.")]


class ComputedBy(Struct, frozen=True, kw_only=True):
    """What computed the answer."""

    version: Annotated[NameOut, Meta(description="Of the core.")]
    tables: Annotated[list[TableEdition], Meta(max_length=64, description="The load/inflation tables that were used.")]


class AssessAnswer(Struct, frozen=True, kw_only=True):
    """The whole assessment of one rig. The same request gives the same bytes."""

    units: Annotated[Units, Meta(description="Units of every number; null for kinds that the request did not name.")]
    summary: Annotated[SummaryAnswer, Meta(description="The whole in a line.")]
    reconciliation: Annotated[ReconciliationAnswer | None, Meta(description="Null where loads were given.")]
    wheel_ends: Annotated[list[WheelEndAnswer], Meta(max_length=64, description="Every wheel end.")]
    axles: Annotated[list[LoadAnswer], Meta(max_length=32, description="Every axle.")]
    vehicles: Annotated[
        list[LoadAnswer], Meta(max_length=4, description="Every vehicle; of a trailer with what its coupling carries.")
    ]
    rig: Annotated[LoadAnswer, Meta(description="All wheels together.")]
    limits: Annotated[list[LimitAnswer], Meta(max_length=10_000, description="Every limit.")]
    balance: Annotated[list[BalanceAnswer], Meta(max_length=4, description="Every vehicle.")]
    inflation: Annotated[list[InflationAnswer], Meta(max_length=32, description="Every axle.")]
    findings: Annotated[list[FindingAnswer], Meta(max_length=20_000, description="Worst first.")]
    cautions: Annotated[list[WordsOut], Meta(max_length=16, description="To be shown with the figures.")]
    computed_by: Annotated[ComputedBy, Meta(description="Version and tables.")]


def assess_answer(request: AssessRequest) -> AssessAnswer:
    """Return the whole assessment that a request asks for, in its own units.

    Raises
    ------
    CrossFieldFaults
        With everything in the request that contradicts itself, or is not computed yet.
    """
    units = chosen_units(request.units)
    request, faults = in_si(request, units)
    faults = [*faults, *_cross_field_faults(request)]
    if faults:
        raise CrossFieldFaults(faults)
    evidence = _evidence(request)
    assessment = _assessment(request, evidence, units)
    reconciliation = None
    if isinstance(evidence, WeighSession) and assessment.reconciliation is not None:
        reconciliation = reconciliation_answer(evidence, assessment.reconciliation, units)
    findings = worst_first([*assessment.findings, *_declared_findings(request)])
    return in_units(_answer(assessment, reconciliation, findings, units), units)


def _cross_field_faults(request: AssessRequest) -> Iterator[Fault]:
    yield from pending_faults(request)
    yield from rig_faults(request.rig)
    yield from table_faults(request.tire_tables)
    if (request.session is None) == (request.loads is None):
        yield Fault(
            "inconsistent_choice",
            "",
            "A request has either weigh tickets or loads that you know, exactly one of the two.",
            None,
            "session, or loads",
        )
    if request.session is not None:
        yield from session_faults(request.session, request.rig)
    if request.loads is not None:
        yield from load_faults(request.loads, request.rig)


def _evidence(request: AssessRequest) -> WeighSession | tuple[GivenLoad, ...]:
    if request.session is None:
        return given_loads(request.loads or [])
    return weigh_session(request.session, request.policy)


def _assessment(request: AssessRequest, evidence: WeighSession | tuple[GivenLoad, ...], units: Units) -> Assessment:
    try:
        return assess(
            core_rig(request.rig),
            evidence,
            _policy(request.policy, units),
            _conditions(request.conditions),
            core_tables(request.tire_tables),
        )
    except CoreError as refused:
        if refused.code != "loads_overlap":
            raise
        message = f"{refused.message[:1].upper()}{refused.message[1:]}."
        raise CrossFieldFaults([Fault(f"inconsistent_{refused.code}", "/loads", message)]) from refused


def _policy(policy: PolicyInput, units: Units) -> Policy:
    assert units.pressure is not None
    return Policy(
        rounding_step_pa=policy.rounding_step or ROUNDING_STEPS_PA[units.pressure],
        coverage_factor=policy.coverage_factor,
        tight_share=policy.tight_share,
        reserve_share=policy.reserve_share,
        label_floor=LabelFloor(policy.label_floor),
        least_steering_share=policy.least_steering_share,
    )


def _conditions(conditions: ConditionsInput | None) -> Conditions:
    if conditions is None:
        return Conditions()
    fill, coldest = conditions.fill, conditions.coldest
    return Conditions(
        fill=Fill(fill.tire_temperature, fill.altitude, fill.ambient_temperature) if fill else None,
        coldest=Soak(coldest.ambient_temperature, coldest.altitude) if coldest else None,
    )


def _declared_findings(request: AssessRequest) -> Iterator[Finding]:
    """Yield what the request leaves out, or carries without a figure resting on it."""
    if request.session is not None and request.session.carried is None:
        yield Finding("state_of_load_unknown", Severity.NOTICE, "session", {})
    names = carried_names(request.rig, request.session)
    if names:
        yield Finding("declared_not_judged", Severity.INFO, "request", {"names": ", ".join(names)})


def _answer(
    assessment: Assessment,
    reconciliation: ReconciliationAnswer | None,
    findings: Iterable[Finding],
    units: Units,
) -> AssessAnswer:
    return AssessAnswer(
        units=units,
        summary=_summary(assessment.limits),
        reconciliation=reconciliation,
        wheel_ends=wheel_end_answers(assessment),
        axles=axle_answers(assessment),
        vehicles=vehicle_answers(assessment),
        rig=rig_answer(assessment),
        limits=limit_answers(assessment),
        balance=balance_answers(assessment),
        inflation=inflation_answers(assessment),
        findings=[finding_answer(each, units) for each in findings],
        cautions=[*CAUTIONS, *(SESSION_CAUTIONS if reconciliation else ())],
        computed_by=ComputedBy(
            version=__version__,
            tables=[TableEdition(title=each.title, edition=each.edition) for each in assessment.publications],
        ),
    )


def _summary(limits: tuple[LimitCheck, ...]) -> SummaryAnswer:
    standings = [check.judgement.standing if check.judgement else Standing.UNKNOWN for check in limits]
    judged = [(check.relative_margin, check) for check in limits if check.relative_margin is not None]
    least = min((margin for margin, _ in judged), default=0.0)
    governing = next((check for margin, check in judged if margin - least <= RELATIVE_GUARD), None)
    return SummaryAnswer(
        standing=min(standings, key=list(Standing).index).value,
        governing_limit=GoverningAnswer(subject=governing.subject, kind=governing.kind) if governing else None,
        counts=CountsAnswer(**{standing.value: standings.count(standing) for standing in Standing}),
    )


def finding_answer(finding: Finding, units: Units) -> FindingAnswer:
    """Return a finding in words, with its facts in the caller's units."""
    words = FINDINGS[finding.code]
    facts = {name: _fact(fact, units) for name, fact in finding.facts.items()} | {"subject": finding.subject}
    return FindingAnswer(
        code=finding.code,
        severity=finding.severity.value,
        subject=finding.subject,
        message=words.message.format(**facts),
        action=words.action.format(**facts),
        basis=words.basis,
    )


def _fact(fact: Fact, units: Units) -> str:
    if isinstance(fact, LimitKind):
        return LIMIT_WORDS[fact]
    if isinstance(fact, UnknownBecause):
        return UNKNOWN[fact]
    if not isinstance(fact, Quantity):
        return str(fact)
    unit = unit_of(units, fact.kind)
    assert unit is not None
    return spoken(fact.value, unit)
