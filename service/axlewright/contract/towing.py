"""What hitching does: loads and limits in every coupling state, and the levelling moment."""

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal

from msgspec import Meta, Struct

from axlewright.contract.aboard import AssumptionAnswer, assumption_answers, statics_faults
from axlewright.contract.computation import Computed, ComputedBy, computed_with
from axlewright.contract.coupling_faults import pair_faults
from axlewright.contract.faults import Fault
from axlewright.contract.findings import FindingAnswer, finding_answers
from axlewright.contract.inflation import InflationAnswer, inflation_answers
from axlewright.contract.loads import (
    LimitAnswer,
    RigLoadsAnswer,
    SummaryAnswer,
    limit_answers,
    load_answer,
    rig_loads,
    summary_answer,
)
from axlewright.contract.needed_units import unit_faults
from axlewright.contract.output import LoadAnswer, MassOut, TorqueOut, UnknownOut, WordsOut
from axlewright.contract.policy import PolicyAnswer
from axlewright.contract.towing_request import JudgeTowingRequest
from axlewright.contract.units import Units, chosen_units, in_units
from axlewright.contract.words import COLD, DEFERENCE, NOT_JUDGED, UNKNOWN
from axlewright.core.assessment import Assessment
from axlewright.core.estimates import UnknownBecause
from axlewright.core.findings import Finding
from axlewright.core.loads.coupled import CoupledRig, coupled_rig
from axlewright.core.loads.statics import rig_statics
from axlewright.core.loads.towing import Levelling, NoLevelling, pair_of
from axlewright.core.rig import CouplingState

BASIS = (
    "Equilibrium of forces and moments of both vehicles (statics)",
    "Whole vehicles, the hitch, and the share on the coupling are judged on the load without levelling bars",
    "Your own input: ratings of hitch, vehicle and combination",
)
TOWING_CAUTIONS = (
    "What the coupling carries holds for the state in which it was weighed: water and cargo change it.",
    "The levelling moment is a static estimate: set the bars by weighing the front axle, never beyond its load solo.",
    "Heights of fenders and coupler only hint at how the axles are loaded.",
)
NO_LEVELLING: dict[NoLevelling, str] = {
    NoLevelling.NOT_ON_A_BALL: "Levelling bars go with a ball: here nothing is to be levelled.",
    NoLevelling.COUPLING_NOT_WEIGHED: UNKNOWN[UnknownBecause.COUPLING_NOT_WEIGHED],
    NoLevelling.FRONT_AXLE_LOSES_NOTHING: "Hitching takes no load off the front axle: nothing is to be given back.",
}


class CoupledLoadsAnswer(RigLoadsAnswer, frozen=True, kw_only=True):
    """Loads, limits and pressures in one coupling state."""

    summary: Annotated[SummaryAnswer, Meta(description="The state in a line.")]
    limits: Annotated[
        list[LimitAnswer], Meta(max_length=10_000, description="Every limit, those of hitch and combination too.")
    ]
    inflation: Annotated[list[InflationAnswer], Meta(max_length=32, description="Every axle.")]
    findings: Annotated[list[FindingAnswer], Meta(max_length=20_000, description="Of this state, worst first.")]


class CouplingStateAnswer(Struct, frozen=True, kw_only=True):
    """One coupling state."""

    state: Annotated[
        Literal["solo", "hitched", "hitched_levelled"],
        Meta(description="Each by itself; hitched without levelling bars; hitched with them."),
    ]
    loads: Annotated[CoupledLoadsAnswer | None, Meta(description="What it gives.")]
    unknown_because: UnknownOut


class LevellingAnswer(Struct, frozen=True, kw_only=True):
    """The moment of the levelling bars for the wanted share, and what it does."""

    moment: Annotated[TorqueOut, Meta(description="Between the two vehicles, of both bars together.")]
    moment_standard_uncertainty: Annotated[
        TorqueOut | None, Meta(description="Of the moment: from the coupling's load and the lengths.")
    ]
    taken_off_front_axle: Annotated[MassOut, Meta(description="By hitching without bars.")]
    given_back_to_front_axle: Annotated[MassOut, Meta(description="By the bars.")]
    put_on_trailer_axles: Annotated[MassOut, Meta(description="By the bars; what the coupling carries less.")]


class JudgeTowingAnswer(Struct, frozen=True, kw_only=True):
    """What hitching does, state by state."""

    units: Annotated[Units, Meta(description="Units of every number; null for kinds that the request did not name.")]
    policy: Annotated[PolicyAnswer, Meta(description="Your choices as they were used.")]
    coupling_load: Annotated[LoadAnswer | None, Meta(description="Tongue or pin weight; null with a tow bar.")]
    levelling: Annotated[LevellingAnswer | None, Meta(description="Null where there is none to tell.")]
    levelling_unknown_because: UnknownOut
    states: Annotated[list[CouplingStateAnswer], Meta(min_length=3, max_length=3, description="Every coupling state.")]
    assumptions: Annotated[
        list[AssumptionAnswer], Meta(max_length=96, description="What equilibrium does not settle, and what was taken.")
    ]
    basis: Annotated[list[WordsOut], Meta(max_length=16, description="What it rests on.")]
    cautions: Annotated[list[WordsOut], Meta(max_length=16, description="To be shown with the figures.")]
    computed_by: Annotated[ComputedBy, Meta(description="Version and tables.")]


def judge_towing_answer(request: JudgeTowingRequest) -> JudgeTowingAnswer:
    """Return what hitching does, in the request's units; raises as `computed_with`."""
    request, solo = computed_with(request, _faults)
    assessment = solo.assessment
    pair = pair_of(assessment.rig, assessment.rig.couplings[0])
    coupled = coupled_rig(assessment, pair, request.restored_share)
    level = coupled.levelling
    estimates = assessment.estimates
    answer = JudgeTowingAnswer(
        units=solo.units,
        policy=solo.policy,
        coupling_load=None
        if pair.hitch is None
        else load_answer(pair.towed.coupling, estimates.known({pair.towed.coupling: 1.0}), assessment),
        levelling=_levelling_answer(level) if isinstance(level, Levelling) else None,
        levelling_unknown_because=None if isinstance(level, Levelling) else NO_LEVELLING[level],
        states=[_state_answer(state, coupled, solo) for state in CouplingState],
        assumptions=assumption_answers(rig_statics(assessment.rig, estimates)),
        basis=list(BASIS),
        cautions=solo.cautions(*TOWING_CAUTIONS, DEFERENCE, COLD, NOT_JUDGED),
        computed_by=solo.by(*coupled.states.values()),
    )
    return in_units(answer, solo.units)


def _faults(request: JudgeTowingRequest) -> Iterator[Fault]:
    yield from statics_faults(request.rig)
    yield from unit_faults(chosen_units(request.units), ("torque",))
    yield from pair_faults(request.rig, predicted=True)


def _state_answer(state: CouplingState, coupled: CoupledRig, solo: Computed) -> CouplingStateAnswer:
    if state in coupled.states:
        assessment = coupled.states[state]
        by_itself = tuple(finding for finding in solo.findings if finding.code != "declared_not_judged")
        findings = by_itself if state is CouplingState.SOLO else solo.predicted(assessment)
        return CouplingStateAnswer(
            state=state.value,
            loads=_loads_answer(assessment, findings, solo.units),
            unknown_because=None,
        )
    because = NoLevelling.COUPLING_NOT_WEIGHED if state is CouplingState.HITCHED else coupled.levelling
    assert isinstance(because, NoLevelling), "a state is left out for want of it, or of the coupling's load"
    return CouplingStateAnswer(state=state.value, loads=None, unknown_because=NO_LEVELLING[because])


def _loads_answer(assessment: Assessment, findings: Sequence[Finding], units: Units) -> CoupledLoadsAnswer:
    return CoupledLoadsAnswer(
        summary=summary_answer(assessment, findings),
        **rig_loads(assessment),
        limits=limit_answers(assessment),
        inflation=inflation_answers(assessment),
        findings=finding_answers(findings, units),
    )


def _levelling_answer(level: Levelling) -> LevellingAnswer:
    return LevellingAnswer(
        moment=level.moment_n_m,
        moment_standard_uncertainty=level.moment_u_n_m,
        taken_off_front_axle=level.lost_kg,
        given_back_to_front_axle=level.given_back_kg,
        put_on_trailer_axles=level.to_trailer_kg,
    )
