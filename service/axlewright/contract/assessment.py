"""The whole assessment: all rooms in one answer."""

from typing import Annotated

from msgspec import Meta, Struct

from axlewright.contract.balance import BalanceAnswer, balance_answers
from axlewright.contract.computation import Computed, ComputedBy, computed
from axlewright.contract.coupling import CouplingAnswer, coupling_answer
from axlewright.contract.findings import FindingAnswer, finding_answers
from axlewright.contract.inflation import InflationAnswer, inflation_answers
from axlewright.contract.loads import (
    LimitAnswer,
    SummaryAnswer,
    WheelEndAnswer,
    limit_answers,
    rig_loads,
    summary_answer,
)
from axlewright.contract.output import LoadAnswer, WordsOut
from axlewright.contract.policy import PolicyAnswer
from axlewright.contract.reconciliation import ReconciliationAnswer, reconciliation_answer
from axlewright.contract.request import AssessRequest
from axlewright.contract.units import Units, in_units
from axlewright.contract.words import CAUTIONS


class AssessAnswer(Struct, frozen=True, kw_only=True):
    """The whole assessment of one rig. The same request gives the same bytes."""

    units: Annotated[Units, Meta(description="Units of every number; null for kinds that the request did not name.")]
    summary: Annotated[SummaryAnswer, Meta(description="The whole in a line.")]
    reconciliation: Annotated[ReconciliationAnswer | None, Meta(description="Null where loads were given.")]
    coupling: Annotated[CouplingAnswer | None, Meta(description="Null where no pass was made hitched.")]
    wheel_ends: Annotated[list[WheelEndAnswer], Meta(max_length=64, description="Every wheel end.")]
    axles: Annotated[list[LoadAnswer], Meta(max_length=32, description="Every axle.")]
    vehicles: Annotated[
        list[LoadAnswer], Meta(max_length=4, description="Every vehicle; of a trailer with what its coupling carries.")
    ]
    rig: Annotated[LoadAnswer, Meta(description="All wheels together.")]
    limits: Annotated[list[LimitAnswer], Meta(max_length=10_000, description="Every limit.")]
    balance: Annotated[list[BalanceAnswer], Meta(max_length=4, description="Every vehicle.")]
    inflation: Annotated[list[InflationAnswer], Meta(max_length=32, description="Every axle.")]
    policy: Annotated[PolicyAnswer, Meta(description="Your choices as they were used.")]
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
    return answer_of(computed(request))


def answer_of(result: Computed) -> AssessAnswer:
    """Return the whole assessment as an answer in the caller's units."""
    assessment = result.assessment
    answer = AssessAnswer(
        units=result.units,
        summary=summary_answer(assessment, result.findings),
        reconciliation=reconciliation_answer(result.session, assessment, result.units),
        coupling=coupling_answer(assessment),
        **rig_loads(assessment),
        limits=limit_answers(assessment),
        balance=balance_answers(assessment),
        inflation=inflation_answers(assessment),
        policy=result.policy,
        findings=finding_answers(result.findings, result.units),
        cautions=result.cautions(*CAUTIONS),
        computed_by=result.by(),
    )
    return in_units(answer, result.units)
