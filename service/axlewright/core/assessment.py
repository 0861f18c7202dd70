"""One rig through all four rooms: the main job."""

from collections.abc import Iterable, Sequence

from msgspec import Struct

from axlewright.core.balance.distribution import VehicleBalance, vehicle_balance
from axlewright.core.balance.remarks import balance_findings
from axlewright.core.estimates import LoadEstimates
from axlewright.core.findings import Finding, Severity
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.inflation.pressure import AxlePressure, axle_pressures
from axlewright.core.inflation.remarks import pressure_findings, table_findings
from axlewright.core.loads.given import GivenLoad, estimates_from_loads, with_coupling_loads
from axlewright.core.loads.interstate import interstate_findings
from axlewright.core.loads.labels import label_findings
from axlewright.core.loads.limits import LimitCheck, check_limits
from axlewright.core.loads.remarks import coupling_findings, limit_findings, tire_findings, unstated_doubt_findings
from axlewright.core.policy import Conditions, Policy
from axlewright.core.rig import Rig
from axlewright.core.sessions.coupling import CoupledWeigh
from axlewright.core.sessions.passes import WeighSession
from axlewright.core.sessions.reconcile import Reconciliation, reconcile
from axlewright.core.sessions.remarks import session_findings, unknown_load_findings
from axlewright.core.tires.tables import Publication, Table


class Choices(Struct, frozen=True):
    """The caller's policy, where the tires are filled, and load/inflation tables that come before the built-in ones."""

    policy: Policy
    conditions: Conditions = Conditions()
    callers_tables: tuple[Table, ...] = ()


class Assessment(Struct, frozen=True):
    """Everything that one rig's tickets, or known loads, say.

    ``reconciliation`` is None where the loads were given, ``coupled`` where nothing was weighed hitched. ``findings``
    stand worst first; ``evidence_findings`` are those among them that the evidence gives by itself.
    """

    rig: Rig
    choices: Choices
    estimates: LoadEstimates
    reconciliation: Reconciliation | None
    limits: tuple[LimitCheck, ...]
    balances: tuple[VehicleBalance, ...]
    pressures: tuple[AxlePressure, ...]
    findings: tuple[Finding, ...]
    evidence_findings: tuple[Finding, ...] = ()
    coupled: CoupledWeigh | None = None

    @property
    def policy(self) -> Policy:
        """The caller's policy."""
        return self.choices.policy

    @property
    def publications(self) -> tuple[Publication, ...]:
        """The publications whose rows were used for a pressure, once each."""
        leasts = [answer.need.least for answer in self.pressures if answer.need is not None]
        capacities = [*leasts, *(answer.capacity for answer in self.pressures)]
        return tuple(dict.fromkeys(each.publication for each in capacities if each and each.publication))


def assess(
    rig: Rig,
    evidence: WeighSession | Sequence[GivenLoad],
    choices: Choices,
    coupling_loads: Sequence[GivenLoad] = (),
) -> Assessment:
    """Return loads, standings, balance and pressures of a rig.

    Parameters
    ----------
    evidence
        The readings of one weigh session, or loads that the caller knows.
    choices
        What is not evidence.
    coupling_loads
        What the caller knows of trailers' couplings.

    Raises
    ------
    CoreError
        If a reading lies beyond its scale's class, or given loads follow from each other.
    """
    if isinstance(evidence, WeighSession):
        reconciliation = reconcile(rig, evidence)
        estimates = with_coupling_loads(reconciliation.estimates, coupling_loads)
        found = tuple(session_findings(evidence, reconciliation))
        return assessment_of(rig, estimates, choices, found, reconciliation)
    return assessment_of(rig, estimates_from_loads(rig, [*evidence, *coupling_loads]), choices)


def assessment_of(
    rig: Rig,
    estimates: LoadEstimates,
    choices: Choices,
    evidence_findings: tuple[Finding, ...] = (),
    reconciliation: Reconciliation | None = None,
    limits: tuple[LimitCheck, ...] | None = None,
) -> Assessment:
    """Return what loads mean in every room, whether they were weighed, known or predicted.

    Parameters
    ----------
    evidence_findings
        What the evidence gives to know by itself.
    reconciliation
        How the readings agree, where there were any.
    limits
        Those that count, judged, where they are not those of each vehicle by itself.
    """
    policy = choices.policy
    fitted = fitted_tires(rig, choices.callers_tables)
    limits = check_limits(rig, estimates, fitted, policy) if limits is None else limits
    balances = tuple(vehicle_balance(vehicle, estimates, policy.coverage_factor) for vehicle in rig.vehicles)
    pressures = axle_pressures(rig, estimates, fitted, policy, choices.conditions)
    findings = list(evidence_findings)
    findings.extend(unknown_load_findings(rig, estimates))
    findings.extend(unstated_doubt_findings(rig, estimates))
    findings.extend(limit_findings(limits))
    findings.extend(coupling_findings(rig, estimates, policy.coverage_factor))
    findings.extend(tire_findings(rig, fitted))
    findings.extend(label_findings(rig, fitted, policy))
    if policy.interstate:
        findings.extend(interstate_findings(rig))
    findings.extend(balance_findings(balances))
    by_axle = {answer.axle: answer for answer in pressures}
    findings.extend(pressure_findings(rig, by_axle, fitted, policy, choices.conditions))
    findings.extend(table_findings(rig, fitted, choices.callers_tables))
    return Assessment(
        rig=rig,
        choices=choices,
        estimates=estimates,
        reconciliation=reconciliation,
        limits=limits,
        balances=balances,
        pressures=pressures,
        findings=worst_first(findings),
        evidence_findings=evidence_findings,
    )


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings with the gravest first, otherwise in the order in which they came."""
    rank = {severity: place for place, severity in enumerate(Severity)}
    return tuple(sorted(findings, key=lambda finding: rank[finding.severity]))
