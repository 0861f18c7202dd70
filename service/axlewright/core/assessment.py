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
from axlewright.core.loads.given import GivenLoad, estimates_from_loads
from axlewright.core.loads.limits import LimitCheck, check_limits
from axlewright.core.loads.remarks import coupling_findings, limit_findings, tire_findings, unstated_doubt_findings
from axlewright.core.policy import Conditions, Policy
from axlewright.core.rig import Rig
from axlewright.core.sessions.passes import WeighSession
from axlewright.core.sessions.reconcile import Reconciliation, reconcile
from axlewright.core.sessions.remarks import session_findings, unknown_load_findings
from axlewright.core.tires.tables import Publication, Table


class Assessment(Struct, frozen=True):
    """Everything that one rig's tickets, or known loads, say.

    ``reconciliation`` is None where the loads were given. ``findings`` stand worst first.
    """

    rig: Rig
    policy: Policy
    estimates: LoadEstimates
    reconciliation: Reconciliation | None
    limits: tuple[LimitCheck, ...]
    balances: tuple[VehicleBalance, ...]
    pressures: tuple[AxlePressure, ...]
    findings: tuple[Finding, ...]

    @property
    def publications(self) -> tuple[Publication, ...]:
        """The publications whose rows were used for a pressure, once each."""
        leasts = [answer.need.least for answer in self.pressures if answer.need is not None]
        capacities = [*leasts, *(answer.capacity for answer in self.pressures)]
        return tuple(dict.fromkeys(each.publication for each in capacities if each and each.publication))


def assess(
    rig: Rig,
    evidence: WeighSession | Sequence[GivenLoad],
    policy: Policy,
    conditions: Conditions,
    callers_tables: Sequence[Table],
) -> Assessment:
    """Return loads, standings, balance and pressures of a rig.

    Parameters
    ----------
    evidence
        The readings of one weigh session, or loads that the caller knows.
    policy, conditions
        The caller's choices, and where the tires are filled.
    callers_tables
        Load/inflation tables that come before the built-in ones.

    Raises
    ------
    CoreError
        If a reading lies beyond its scale's class, or given loads follow from each other.
    """
    reconciliation = None
    if isinstance(evidence, WeighSession):
        reconciliation = reconcile(rig, evidence)
        estimates = reconciliation.estimates
    else:
        estimates = estimates_from_loads(rig, evidence)
    fitted = fitted_tires(rig, callers_tables)
    limits = check_limits(rig, estimates, fitted, policy)
    balances = tuple(vehicle_balance(vehicle, estimates, policy.coverage_factor) for vehicle in rig.vehicles)
    pressures = axle_pressures(rig, estimates, fitted, policy, conditions)
    findings: list[Finding] = []
    if isinstance(evidence, WeighSession) and reconciliation is not None:
        findings.extend(session_findings(evidence, reconciliation))
    findings.extend(unknown_load_findings(rig, estimates))
    findings.extend(unstated_doubt_findings(rig, estimates))
    findings.extend(limit_findings(limits))
    findings.extend(coupling_findings(rig, estimates, policy.coverage_factor))
    findings.extend(tire_findings(rig, fitted))
    findings.extend(balance_findings(balances))
    by_axle = {answer.axle: answer for answer in pressures}
    findings.extend(pressure_findings(rig, by_axle, fitted, policy, conditions))
    findings.extend(table_findings(rig, fitted, callers_tables))
    return Assessment(rig, policy, estimates, reconciliation, limits, balances, pressures, worst_first(findings))


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings with the gravest first, otherwise in the order in which they came."""
    rank = {severity: place for place, severity in enumerate(Severity)}
    return tuple(sorted(findings, key=lambda finding: rank[finding.severity]))
