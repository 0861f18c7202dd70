"""A whole trip: the worst of every load, limit and pressure, and what that gives to know."""

from collections.abc import Iterator

from msgspec import Struct, structs

from axlewright.core.assessment import Assessment
from axlewright.core.estimates import UnknownBecause
from axlewright.core.findings import Finding, Severity, mass
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.inflation.remarks import pressure_findings
from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.envelope import Envelope, State
from axlewright.core.loads.forecast import lift_findings, without_statics
from axlewright.core.loads.limits import check_limits
from axlewright.core.loads.remarks import limit_findings
from axlewright.core.loads.worst_cases import (
    CoveringPressure,
    LoadSpan,
    WorstCase,
    covering_pressures,
    load_span,
    worst_cases,
)
from axlewright.core.units import exceeds

StateFinding = tuple[Finding, State]
"""A finding with the state of which it tells; empty where it tells of none, or of all."""
OF_A_STATE = frozenset(
    {
        "limit_over",
        "limit_short",
        "limit_probably_over",
        "limit_probably_short",
        "limit_unsettled",
        "limit_tight",
        "pressure_too_low",
        "would_lift",
        "may_lift",
        "coupling_would_pull_up",
    }
)
"""Findings that a state brings about: on a trip they tell which."""
NO_PRESSURE = frozenset({"pressure_beyond_table", "pressure_above_ceiling", "pressure_no_row_below_ceiling"})
"""Findings on an axle whose load no pressure serves."""


class Trip(Struct, frozen=True):
    """The worst that a trip can bring.

    Attributes
    ----------
    spans
        Between what each wheel end's and coupling's load lies, by name.
    limits, pressures
        Every limit in its worst state, and every axle's pressure for all states.
    axles_alone
        Between what the axles of each trailer together carry, by its name.
    lifting
        What would lift or pull up in its lightest state, or might: where a wheel end would, statics end, and of that
        vehicle no load, limit or pressure is told.
    """

    spans: dict[str, LoadSpan | UnknownBecause]
    limits: tuple[WorstCase, ...]
    pressures: tuple[CoveringPressure, ...]
    axles_alone: dict[str, LoadSpan | UnknownBecause]
    lifting: tuple[StateFinding, ...]


def worst_of_trip(weighed: Assessment, doubts: LoadChange, envelope: Envelope) -> Trip:
    """Return the worst that a trip can bring.

    Parameters
    ----------
    weighed
        The assessment of the known loads.
    doubts
        What is in doubt of the state in which they were weighed, and so in every state.
    envelope
        All states of the trip.
    """
    rig, choices = weighed.rig, weighed.choices
    fitted = fitted_tires(rig, choices.callers_tables)
    envelope = structs.replace(envelope, everywhere={**envelope.everywhere, **doubts.effects})
    lifting = tuple(_lifting(weighed, envelope))
    lifted = {finding.subject for finding, _ in lifting if finding.code == "would_lift_on_trip"}
    estimates = without_statics(
        weighed.estimates, (each for each in rig.vehicles if not lifted.isdisjoint(each.sum_of))
    )
    checks = check_limits(rig, estimates, fitted, choices.policy)
    return Trip(
        {name: load_span({name: 1.0}, estimates, envelope) for name in rig.load_names()},
        worst_cases(checks, estimates, envelope, choices.policy),
        covering_pressures(rig, estimates, fitted, envelope, choices.policy, choices.conditions),
        {each.name: load_span(each.sum_of, estimates, envelope) for each in rig.vehicles if each.is_trailer},
        lifting,
    )


def _lifting(weighed: Assessment, envelope: Envelope) -> Iterator[StateFinding]:
    """Yield what would lift or pull up in its lightest state, or might, with that state."""
    spans = {name: load_span({name: 1.0}, weighed.estimates, envelope) for name in weighed.rig.load_names()}
    lowest = {name: span.lowest for name, span in spans.items() if isinstance(span, LoadSpan)}
    loads = {name: extreme.load for name, extreme in lowest.items()}
    for finding in lift_findings(weighed.rig, loads, weighed.policy.coverage_factor):
        yield _on_trip(finding), lowest[finding.subject].state


def trip_findings(weighed: Assessment, trip: Trip) -> Iterator[StateFinding]:
    """Yield what the worst states give to know: lifted wheels, limits, pressures."""
    yield from trip.lifting
    for case in trip.limits:
        for finding in limit_findings([case.check]):
            yield _on_trip(finding), case.state
    yield from _axles_alone_findings(weighed, trip)
    yield from _pressure_findings(weighed, trip)


def _axles_alone_findings(weighed: Assessment, trip: Trip) -> Iterator[StateFinding]:
    coverage_factor = weighed.policy.coverage_factor
    for vehicle in weighed.rig.vehicles:
        span = trip.axles_alone.get(vehicle.name)
        if not isinstance(span, LoadSpan):
            continue
        highest = span.highest
        facts = {"value": mass(highest.load.value), "limit": mass(vehicle.gvwr_kg)}
        if exceeds(highest.there.low(coverage_factor), vehicle.gvwr_kg):
            yield Finding("axles_alone_over_on_trip", Severity.CRITICAL, vehicle.name, facts), highest.state
        elif exceeds(highest.load.high(coverage_factor), vehicle.gvwr_kg):
            yield Finding("axles_alone_unsettled_on_trip", Severity.WARNING, vehicle.name, facts), highest.state


def _pressure_findings(weighed: Assessment, trip: Trip) -> Iterator[StateFinding]:
    """Yield what the pressures give to know; where none serves a state, and where the tires hold too little for one."""
    rig, choices = weighed.rig, weighed.choices
    fitted = fitted_tires(rig, choices.callers_tables)
    by_axle = {each.pressure.axle: each for each in trip.pressures}
    states = {axle.name: by_axle[axle.name].state for _, axle in rig.axles()}
    states |= {name: span.highest.state for name, span in trip.spans.items() if isinstance(span, LoadSpan)}
    pressures = {name: each.pressure for name, each in by_axle.items()}
    for finding in pressure_findings(rig, pressures, fitted, choices.policy, choices.conditions):
        yield _on_trip(finding), states.get(finding.subject, {})


def _on_trip(finding: Finding) -> Finding:
    """Return a finding under the code that it has on a trip."""
    if finding.code in NO_PRESSURE:
        return structs.replace(finding, code="no_pressure_on_trip")
    return structs.replace(finding, code=f"{finding.code}_on_trip") if finding.code in OF_A_STATE else finding
