"""Several weighs of one rig: one adjustment where its state of load was the same, and else why not."""

from collections.abc import Iterator, Mapping, Sequence
from math import isclose
from typing import Annotated, Final

from msgspec import Meta, Struct, structs

from axlewright.contract.aboard import full_name
from axlewright.contract.computation import CORE, Computed, ComputedBy, assessed, cross_field_faults
from axlewright.contract.coupling import CouplingAnswer, coupling_answer
from axlewright.contract.faults import Fault, given_text, refuse_contradictions
from axlewright.contract.findings import FindingAnswer, finding_answers
from axlewright.contract.loads import RigLoadsAnswer, rig_loads
from axlewright.contract.merge_request import MergeSessionsRequest
from axlewright.contract.output import NameOut, UnknownOut, WordsOut
from axlewright.contract.policy import PolicyAnswer, policy_answer
from axlewright.contract.reconciliation import ReconciliationAnswer, reconciliation_answer
from axlewright.contract.request import LoadedRigRequest
from axlewright.contract.rig import core_rig
from axlewright.contract.rig_request import RigInput
from axlewright.contract.session_request import SessionInput
from axlewright.contract.sessions import weigh_session
from axlewright.contract.units import SHARE, Units, chosen_units, in_si, in_units, spoken, unit_of
from axlewright.contract.words import DEFERENCE, ONE_ROOM, SESSION_CAUTIONS, STATE_OF_LOAD
from axlewright.core.assessment import worst_first
from axlewright.core.sessions.merge import merged
from axlewright.core.sessions.remarks import seal_findings
from axlewright.core.units import RELATIVE_GUARD

MOST_READINGS: Final = 1024
"""As many as one session can have."""
TANK: Final = "tank "
NOT_DECLARED = "Not every weigh declares what was aboard in `carried`: nobody knows whether the state was the same."
OTHER_STATE = "The weighs were made in different states of load: they are not one."


class DifferenceAnswer(Struct, frozen=True, kw_only=True):
    """Something aboard that was not the same in all weighs."""

    what: Annotated[NameOut, Meta(description="A tank, or who and what at a place.")]
    told: Annotated[list[WordsOut], Meta(max_length=8, description="What each weigh declares of it.")]


class MergedAnswer(RigLoadsAnswer, frozen=True, kw_only=True):
    """All weighs as one session; pass and platform names have the number of their weigh before them."""

    reconciliation: Annotated[ReconciliationAnswer, Meta(description="How all readings agree.")]
    coupling: Annotated[CouplingAnswer | None, Meta(description="Null where no pass was made hitched.")]
    findings: Annotated[list[FindingAnswer], Meta(max_length=20_000, description="Of all weighs. Worst first.")]


class MergeSessionsAnswer(Struct, frozen=True, kw_only=True):
    """Whether the weighs are one, and what they then give. The same request gives the same bytes."""

    units: Annotated[Units, Meta(description="Units of every number; null for kinds that the request did not name.")]
    same_state: Annotated[bool | None, Meta(description="Null where a weigh does not declare its state of load.")]
    differences: Annotated[
        list[DifferenceAnswer], Meta(max_length=500, description="What was aboard otherwise in one weigh than another.")
    ]
    merged: Annotated[MergedAnswer | None, Meta(description="Null where they are not one adjustment.")]
    unknown_because: UnknownOut
    policy: Annotated[PolicyAnswer, Meta(description="Your choices as they were used.")]
    cautions: Annotated[list[WordsOut], Meta(max_length=16, description="To be shown with the figures.")]
    computed_by: Annotated[ComputedBy, Meta(description="Version and tables.")]


def merge_sessions_answer(request: MergeSessionsRequest) -> MergeSessionsAnswer:
    """Return what several weighs give together, in the request's units.

    Raises
    ------
    CrossFieldFaults
        With everything in the request that contradicts itself, or is not computed yet.
    """
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    refuse_contradictions([*faults, *_faults(request, units)], as_sent)
    declared = [_declared(session, request.rig) for session in request.sessions]
    known = [each for each in declared if each is not None]
    differences = _differences(known, units) if len(known) == len(declared) else []
    same_state = None if len(known) < len(declared) else not differences
    because = {None: NOT_DECLARED, False: OTHER_STATE, True: None}[same_state]
    together, by = _merged(request, units) if same_state else (None, CORE)
    answer = MergeSessionsAnswer(
        units=units,
        same_state=same_state,
        differences=differences,
        merged=together,
        unknown_because=because,
        policy=policy_answer(request.policy, units),
        cautions=[ONE_ROOM, DEFERENCE, STATE_OF_LOAD, *SESSION_CAUTIONS],
        computed_by=by,
    )
    return in_units(answer, units)


def _faults(request: MergeSessionsRequest, units: Units) -> Iterator[Fault]:
    """Yield every contradiction: of the rig once, of each session at its place."""
    count = sum(len(each.readings) for session in request.sessions for each in session.passes)
    if count > MOST_READINGS:
        yield Fault(
            "inconsistent_size",
            "/sessions",
            f"Together the weighs have {count:,} readings, more than are solved as one.",
            None,
            f"at most {MOST_READINGS:,} readings",
        )
        return
    seen: set[Fault] = set()
    for place, session in enumerate(request.sessions):
        yield from _repeated_weigh(session, request.sessions[:place], f"/sessions/{place}")
        for fault in cross_field_faults(_single(request, session), units, takes_states=True, loads_only=True):
            at = fault.pointer
            if at.startswith("/session"):
                fault = structs.replace(fault, pointer=f"/sessions/{place}{at.removeprefix('/session')}")
            if fault not in seen:
                seen.add(fault)
                yield fault


def _repeated_weigh(session: SessionInput, earlier: Sequence[SessionInput], pointer: str) -> Iterator[Fault]:
    """Yield a fault for a weigh that is one before it: counted twice, its readings would check themselves."""
    if session in earlier:
        yield Fault(
            "inconsistent_repeat", pointer, "This weigh is here already, word for word.", None, "each weigh once"
        )
    elif session.ticket is not None and (session.ticket, session.weighed_on) in [
        (each.ticket, each.weighed_on) for each in earlier
    ]:
        yield Fault(
            "inconsistent_repeat",
            f"{pointer}/ticket",
            "A weigh before it has the same ticket number and day: one ticket is one weigh.",
            given_text(session.ticket),
            "each ticket once, with all its passes",
        )


def _single(request: MergeSessionsRequest, session: SessionInput) -> LoadedRigRequest:
    return LoadedRigRequest(
        units=request.units,
        rig=request.rig,
        session=session,
        coupling_loads=request.coupling_loads,
        policy=request.policy,
        tire_tables=request.tire_tables,
    )


def _merged(request: MergeSessionsRequest, units: Units) -> tuple[MergedAnswer, ComputedBy]:
    rig = core_rig(request.rig)
    sessions = [weigh_session(each, request.policy, rig) for each in request.sessions]
    session = merged(sessions)
    assessment = assessed(rig, _single(request, request.sessions[0]), session, units)
    seals = (finding for each in sessions for finding in seal_findings(each.record))
    findings = worst_first([*assessment.findings, *seals])
    result = Computed(units, policy_answer(request.policy, units), session, assessment, findings)
    reconciliation = reconciliation_answer(session, assessment, units)
    assert reconciliation is not None, "there are readings"
    answer = MergedAnswer(
        reconciliation=reconciliation,
        coupling=coupling_answer(assessment),
        **rig_loads(assessment),
        findings=finding_answers(result.findings, units, "sessions"),
    )
    return answer, result.by()


def _declared(session: SessionInput, rig: RigInput) -> dict[str, tuple[float, ...]] | None:
    """Return what a session declares aboard, by what it is of: masses [kg], levels; None where words alone tell it."""
    carried = session.carried
    aboard = carried and (carried.people or carried.pets or carried.cargo or carried.tanks)
    if carried is None or not (aboard or carried.note is None):
        return None
    masses: dict[str, list[float]] = {}
    for kind in ("people", "pets", "cargo"):
        for each in getattr(carried, kind):
            masses.setdefault(f"{kind} at {full_name(each.place, rig, 'places') or each.place}", []).append(each.mass)
    told = {what: tuple(sorted(each)) for what, each in masses.items()}
    return told | {f"{TANK}{full_name(tank.name, rig, 'tanks') or tank.name}": (tank.level,) for tank in carried.tanks}


def _differences(declared: Sequence[Mapping[str, tuple[float, ...]]], units: Units) -> list[DifferenceAnswer]:
    """Return what is not declared alike in all."""
    unit = unit_of(units, "mass")
    assert unit is not None, "a session has masses"
    names = dict.fromkeys(what for each in declared for what in each)

    def words(what: str, told: tuple[float, ...]) -> str:
        return ", ".join(spoken(each, SHARE if what.startswith(TANK) else unit) for each in told) or "nothing"

    differences = []
    for what in names:
        told = [each.get(what, ()) for each in declared]
        if not all(_alike(each, told[0]) for each in told):
            differences.append(DifferenceAnswer(what=what, told=[words(what, each) for each in told]))
    return differences


def _alike(told: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return len(told) == len(other) and all(
        isclose(one, two, rel_tol=RELATIVE_GUARD) for one, two in zip(told, other, strict=True)
    )
