"""What every room does first: a request to the core, computed whole; a room's answer is a part of it."""

from collections.abc import Callable, Iterable, Iterator
from typing import Annotated, TypeVar

from msgspec import Meta, Struct

from axlewright import __version__
from axlewright.contract.aboard import weighed_levels
from axlewright.contract.conditions import core_conditions
from axlewright.contract.faults import CrossFieldFaults, Fault, refuse_contradictions
from axlewright.contract.output import NameOut, WordsOut
from axlewright.contract.pass_changes import is_hitched
from axlewright.contract.pending import carried_names, pending_faults
from axlewright.contract.policy import PolicyAnswer, policy_answer, policy_faults, rounding_step_pa
from axlewright.contract.request import AssessRequest, LoadedRigRequest, PolicyInput
from axlewright.contract.rig import core_rig, core_tables, names_of
from axlewright.contract.rig_faults import rig_faults, table_faults
from axlewright.contract.sessions import (
    coupling_load_faults,
    given_coupling_loads,
    given_loads,
    load_faults,
    session_faults,
    weigh_session,
)
from axlewright.contract.units import Units, chosen_units, in_si
from axlewright.contract.words import SESSION_CAUTIONS
from axlewright.core.assessment import Assessment, Choices, assess, worst_first
from axlewright.core.errors import CoreError
from axlewright.core.findings import Finding, Severity
from axlewright.core.loads.given import GivenLoad
from axlewright.core.loads.weighed_states import assess_coupled
from axlewright.core.policy import LabelFloor, Policy
from axlewright.core.rig import CouplingState, Rig
from axlewright.core.sessions.passes import WeighSession


class TableEdition(Struct, frozen=True, kw_only=True):
    """A publication whose rows were used."""

    title: Annotated[WordsOut, Meta(description="Whose table it is.")]
    edition: Annotated[WordsOut, Meta(description="Its edition or year.")]


class ComputedBy(Struct, frozen=True, kw_only=True):
    """What computed the answer."""

    version: Annotated[NameOut, Meta(description="Of the core.")]
    tables: Annotated[list[TableEdition], Meta(max_length=64, description="The load/inflation tables that were used.")]


CORE = ComputedBy(version=__version__, tables=[])
"""What computed an answer that uses no table."""


class QuestionAnswer(Struct, frozen=True, kw_only=True):
    """What the answer to every question of its own has. The same request gives the same bytes."""

    units: Annotated[Units, Meta(description="Units of every number; null for kinds that the request did not name.")]
    basis: Annotated[list[WordsOut], Meta(max_length=16, description="What it rests on.")]
    cautions: Annotated[list[WordsOut], Meta(max_length=16, description="To be shown with the answer.")]
    computed_by: Annotated[ComputedBy, Meta(description="Version; no load/inflation tables are used.")]


class Computed(Struct, frozen=True):
    """A request computed, still in SI; `session` is None where the loads were given. Findings stand worst first."""

    units: Units
    policy: PolicyAnswer
    session: WeighSession | None
    assessment: Assessment
    findings: tuple[Finding, ...]

    def predicted(self, assessment: Assessment) -> tuple[Finding, ...]:
        """Return the findings of a state predicted from it, and that of what it was weighed in nobody knows."""
        unknown = (finding for finding in self.findings if finding.code == "state_of_load_unknown")
        return worst_first([*assessment.findings, *unknown])

    def by(self, *others: Assessment) -> ComputedBy:
        """Return what computed it, with the load/inflation tables that were used, in other assessments too."""
        used = dict.fromkeys(each for one in (self.assessment, *others) for each in one.publications)
        tables = [TableEdition(title=each.title, edition=each.edition) for each in used]
        return ComputedBy(version=__version__, tables=tables)

    def cautions(self, *texts: str) -> list[str]:
        """Return the cautions to be shown, with those that weigh tickets need."""
        return [*texts, *(SESSION_CAUTIONS if self.session else ())]


Asked = TypeVar("Asked", bound=LoadedRigRequest)


def computed(request: LoadedRigRequest, *, loads_only: bool = False) -> Computed:
    """Return all that the core makes of a request, for an answer that judges, or that tells loads only.

    Raises
    ------
    CrossFieldFaults
        With everything in the request that contradicts itself, or is not computed yet.
    """
    return computed_with(request, lambda _: (), takes_states=True, loads_only=loads_only)[1]


def computed_with(
    request: Asked,
    more_faults: Callable[[Asked], Iterable[Fault]],
    *,
    takes_states: bool = False,
    loads_only: bool = False,
) -> tuple[Asked, Computed]:
    """Return a request that asks for more, in SI, with all that the core makes of it before that.

    Parameters
    ----------
    more_faults
        Yields the contradictions, in SI, of what the request has beyond rig and loads.
    takes_states, loads_only
        As of `pending_faults`.

    Raises
    ------
    CrossFieldFaults
        As `computed`.
    """
    units = chosen_units(request.units)
    request_si, faults = in_si(request, units)
    found = computed_in_si(
        request_si, units, faults, more_faults, takes_states=takes_states, loads_only=loads_only, as_sent=request
    )
    return request_si, found


def computed_in_si(
    request: Asked,
    units: Units,
    faults: Iterable[Fault],
    more_faults: Callable[[Asked], Iterable[Fault]],
    *,
    takes_states: bool = False,
    loads_only: bool = False,
    as_sent: Asked,
) -> Computed:
    """Return all that the core makes of a request in SI, for an answer in units, after the faults found on the way.

    Raises
    ------
    CrossFieldFaults
        As `computed`, with what stands in the request as sent.
    """
    found = cross_field_faults(request, units, takes_states=takes_states, loads_only=loads_only)
    refuse_contradictions([*faults, *found, *more_faults(request)], as_sent)
    rig = core_rig(request.rig)
    session = None if request.session is None else weigh_session(request.session, request.policy, rig)
    assessment = assessed(rig, request, session or given_loads(request.loads or []), units)
    findings = worst_first([*assessment.findings, *_declared_findings(request, rig)])
    return Computed(units, policy_answer(request.policy, units), session, assessment, findings)


def cross_field_faults(
    request: LoadedRigRequest, units: Units, *, takes_states: bool, loads_only: bool = False
) -> Iterator[Fault]:
    """Yield everything in a request, in SI, that contradicts itself, or is not computed yet."""
    yield from pending_faults(request, takes_states=takes_states, loads_only=loads_only)
    yield from rig_faults(request.rig)
    yield from policy_faults(request.policy)
    yield from table_faults(request.tire_tables, request.rig)
    if (request.session is None) == (request.loads is None):
        yield Fault(
            "inconsistent_choice",
            "",
            "Send either `session`, the weigh tickets, or `loads`, those that you know: exactly one of the two.",
            None,
            "session, or loads",
        )
    if request.session is not None:
        yield from session_faults(request.session, request.rig, units)
    if request.loads is not None:
        yield from load_faults(request.loads, request.rig)
    yield from coupling_load_faults(request.coupling_loads, request.rig)


def assessed(
    rig: Rig, request: LoadedRigRequest, evidence: WeighSession | tuple[GivenLoad, ...], units: Units
) -> Assessment:
    """Return the assessment of evidence by the choices of a request, which has no faults that show without it.

    Raises
    ------
    CrossFieldFaults
        If one of given loads follows from the others.
    """
    conditions = request.conditions if isinstance(request, AssessRequest) else None
    choices = Choices(_policy(request.policy, units), core_conditions(conditions), core_tables(request.tire_tables))
    on_couplings = given_coupling_loads(request.coupling_loads, rig)
    if isinstance(evidence, WeighSession) and evidence.states != {CouplingState.SOLO}:
        return assess_coupled(rig, evidence, choices, on_couplings)
    try:
        return assess(rig, evidence, choices, on_couplings)
    except CoreError as refused:
        if refused.code != "loads_overlap":
            raise
        message = f"{refused.message[:1].upper()}{refused.message[1:]}."
        raise CrossFieldFaults([Fault(f"inconsistent_{refused.code}", "/loads", message)]) from refused


def _policy(policy: PolicyInput, units: Units) -> Policy:
    return Policy(
        rounding_step_pa=rounding_step_pa(policy, units),
        coverage_factor=policy.coverage_factor,
        tight_share=policy.tight_share,
        reserve_share=policy.reserve_share,
        reserve_pressure_pa=policy.reserve_pressure,
        speed_m_per_s=policy.speed,
        interstate=policy.interstate_limits,
        label_floor=LabelFloor(policy.label_floor),
        least_steering_share=policy.least_steering_share,
        tongue_shares=(policy.least_tongue_share, policy.most_tongue_share),
        pin_shares=(policy.least_pin_share, policy.most_pin_share),
    )


def _declared_findings(request: LoadedRigRequest, rig: Rig) -> Iterator[Finding]:
    """Yield what the request leaves out, or carries without a figure resting on it."""
    if request.session is not None and rig.couplings and not is_hitched(request.session):
        yield Finding("told_of_state", Severity.NOTICE, "session", {"state": CouplingState.SOLO})
    if request.session is None:
        carried = None
    elif (carried := request.session.carried) is None:
        yield Finding("state_of_load_unknown", Severity.NOTICE, "session", {})
    if carried is not None:
        places = names_of(request.rig, "places")
        aboard = (*carried.people, *carried.pets, *carried.cargo)
        nowhere = dict.fromkeys(each.place for each in aboard if each.place not in places)
        if places and nowhere:
            yield Finding("carried_nowhere", Severity.NOTICE, "session", {"places": ", ".join(nowhere)})
        told = weighed_levels(request.session, request.rig)
        not_told = [tank.name for vehicle in rig.vehicles for tank in vehicle.tanks if tank.name not in told]
        if not_told:
            yield Finding("tank_levels_unknown", Severity.NOTICE, "session", {"tanks": ", ".join(not_told)})
    names = carried_names(request.rig, request.session, speed_is_stated=request.policy.speed is not None)
    if names:
        yield Finding("declared_not_judged", Severity.INFO, "request", {"names": ", ".join(names)})
