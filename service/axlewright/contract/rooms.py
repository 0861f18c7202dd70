"""The rooms one by one: each answers its part of the whole assessment, from the same computation."""

from typing import Annotated

from msgspec import Meta, Struct, structs

from axlewright.contract.balance import BalanceAnswer, balance_answers
from axlewright.contract.computation import ComputedBy, computed
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
from axlewright.contract.request import (
    AssessRequest,
    LoadedRigRequest,
    ReconcileSessionRequest,
)
from axlewright.contract.units import Units, in_units
from axlewright.contract.words import COLD, DEFERENCE, NOT_JUDGED, ONE_ROOM, STATE_OF_LOAD


class RoomAnswer(Struct, frozen=True, kw_only=True):
    """What the answer of every room has. The same request gives the same bytes."""

    units: Annotated[Units, Meta(description="Units of every number; null for kinds that the request did not name.")]
    policy: Annotated[PolicyAnswer, Meta(description="Your choices as they were used.")]
    findings: Annotated[
        list[FindingAnswer],
        Meta(max_length=20_000, description="Of this room, and every critical one. Worst first."),
    ]
    cautions: Annotated[list[WordsOut], Meta(max_length=16, description="To be shown with the figures.")]
    computed_by: Annotated[ComputedBy, Meta(description="Version and tables.")]


class LoadsAnswer(RoomAnswer, frozen=True, kw_only=True):
    """The loads of a rig."""

    wheel_ends: Annotated[list[WheelEndAnswer], Meta(max_length=64, description="Every wheel end.")]
    axles: Annotated[list[LoadAnswer], Meta(max_length=32, description="Every axle.")]
    vehicles: Annotated[
        list[LoadAnswer], Meta(max_length=4, description="Every vehicle; of a trailer with what its coupling carries.")
    ]
    rig: Annotated[LoadAnswer, Meta(description="All wheels together.")]


class ReconcileSessionAnswer(LoadsAnswer, frozen=True, kw_only=True):
    """What the tickets give: how they agree, and the loads that follow."""

    reconciliation: Annotated[ReconciliationAnswer, Meta(description="How the readings agree.")]
    coupling: Annotated[CouplingAnswer | None, Meta(description="Null where no pass was made hitched.")]


class CheckLoadsAnswer(LoadsAnswer, frozen=True, kw_only=True):
    """How the loads stand to every limit."""

    summary: Annotated[SummaryAnswer, Meta(description="The whole in a line.")]
    limits: Annotated[list[LimitAnswer], Meta(max_length=10_000, description="Every limit.")]


class AssessBalanceAnswer(RoomAnswer, frozen=True, kw_only=True):
    """Where the load sits."""

    balance: Annotated[list[BalanceAnswer], Meta(max_length=4, description="Every vehicle.")]


class RecommendInflationAnswer(RoomAnswer, frozen=True, kw_only=True):
    """What each axle's tires need."""

    inflation: Annotated[list[InflationAnswer], Meta(max_length=32, description="Every axle.")]


def reconcile_session_answer(request: ReconcileSessionRequest) -> ReconcileSessionAnswer:
    """Return how the readings agree and the loads that follow, in the request's units; raises as `computed`."""
    result = computed(LoadedRigRequest(**structs.asdict(request)), loads_only=True)
    reconciliation = reconciliation_answer(result.session, result.assessment, result.units)
    assert reconciliation is not None
    answer = ReconcileSessionAnswer(
        units=result.units,
        reconciliation=reconciliation,
        coupling=coupling_answer(result.assessment),
        **rig_loads(result.assessment),
        policy=result.policy,
        findings=finding_answers(result.findings, result.units, "sessions"),
        cautions=result.cautions(ONE_ROOM, DEFERENCE, STATE_OF_LOAD),
        computed_by=result.by(),
    )
    return in_units(answer, result.units)


def check_loads_answer(request: LoadedRigRequest) -> CheckLoadsAnswer:
    """Return how the loads stand to every limit, in the request's units; raises as `computed`."""
    result = computed(request)
    answer = CheckLoadsAnswer(
        units=result.units,
        summary=summary_answer(result.assessment, result.findings),
        **rig_loads(result.assessment),
        limits=limit_answers(result.assessment),
        policy=result.policy,
        findings=finding_answers(result.findings, result.units, "loads"),
        cautions=result.cautions(ONE_ROOM, DEFERENCE, STATE_OF_LOAD, NOT_JUDGED),
        computed_by=result.by(),
    )
    return in_units(answer, result.units)


def assess_balance_answer(request: LoadedRigRequest) -> AssessBalanceAnswer:
    """Return where the load sits, in the request's units; raises as `computed`."""
    result = computed(request)
    answer = AssessBalanceAnswer(
        units=result.units,
        balance=balance_answers(result.assessment),
        policy=result.policy,
        findings=finding_answers(result.findings, result.units, "balance"),
        cautions=result.cautions(ONE_ROOM, DEFERENCE, STATE_OF_LOAD),
        computed_by=result.by(),
    )
    return in_units(answer, result.units)


def recommend_inflation_answer(request: AssessRequest) -> RecommendInflationAnswer:
    """Return what each axle's tires need, in the request's units; raises as `computed`."""
    result = computed(request)
    answer = RecommendInflationAnswer(
        units=result.units,
        inflation=inflation_answers(result.assessment),
        policy=result.policy,
        findings=finding_answers(result.findings, result.units, "inflation"),
        cautions=result.cautions(ONE_ROOM, DEFERENCE, STATE_OF_LOAD, COLD, NOT_JUDGED),
        computed_by=result.by(),
    )
    return in_units(answer, result.units)
