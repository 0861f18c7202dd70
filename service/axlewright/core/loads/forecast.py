"""Loads before they happen: a weighed state, what will be otherwise, and what that means in every room."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from msgspec import structs

from axlewright.core.assessment import Assessment, assessment_of
from axlewright.core.estimates import Estimate, LoadEstimates, Part, UnknownBecause
from axlewright.core.findings import Finding, Severity, mass
from axlewright.core.loads.aboard import LevelChange, Move
from axlewright.core.loads.changes import LoadChange, added, changed_estimates
from axlewright.core.loads.limits import LimitCheck, LimitKind, judged
from axlewright.core.loads.statics import Statics
from axlewright.core.policy import Policy
from axlewright.core.rig import Rig, Vehicle
from axlewright.core.units import exceeds

WITHOUT_STATICS: Final = frozenset(
    {
        LimitKind.VEHICLE,
        LimitKind.PAYLOAD,
        LimitKind.TONGUE_SHARE,
        LimitKind.PIN_SHARE,
        LimitKind.HITCH_VERTICAL,
        LimitKind.HITCH_TOWED,
        LimitKind.COMBINATION,
        LimitKind.INTERSTATE_GROSS,
        LimitKind.TIRE_SPEED,
    }
)
"""Limits of a coupled rig that rest on what its vehicles weigh and on the load on the coupling, wherever that goes."""


def whole_change(
    moves: Sequence[Move], levels: Sequence[LevelChange], statics: Mapping[str, Statics], count: int
) -> LoadChange:
    """Return what all that comes, leaves, moves and flows does to the loads (``count``) together."""
    changes = [*(move.change(statics) for move in moves), *(level.change(statics) for level in levels)]
    return added(changes, count)


def forecast(weighed: Assessment, change: LoadChange) -> Assessment:
    """Return the assessment of the state after a change, of the same rig by the same choices."""
    return predicted(weighed, changed_estimates(weighed.estimates, change))


def place_findings(rig: Rig, moves: Sequence[Move], aboard_kg: Mapping[str, float] | None) -> Iterator[Finding]:
    """Yield a finding for every place that would hold more than it may, or lose more than was declared there.

    Parameters
    ----------
    aboard_kg
        What was declared at each place at the weigh [kg]; None where nothing was declared.
    """
    declared_kg = aboard_kg or {}
    for place in (place for vehicle in rig.vehicles for place in vehicle.places):
        coming_kg = sum(move.mass_kg for move in moves if move.goes_to is not None and move.goes_to.place == place)
        leaving_kg = sum(
            move.mass_kg for move in moves if move.comes_from is not None and move.comes_from.place == place
        )
        was_kg = declared_kg.get(place.name, 0.0)
        held_kg = max(was_kg - leaving_kg, 0.0) + coming_kg
        if coming_kg and place.capacity_kg is not None and exceeds(held_kg, place.capacity_kg):
            facts = {"load": mass(held_kg), "limit": mass(place.capacity_kg)}
            yield Finding("place_over_capacity", Severity.WARNING, place.name, facts)
        if aboard_kg is not None and exceeds(leaving_kg, was_kg):
            facts = {"leaving": mass(leaving_kg), "declared": mass(was_kg)}
            yield Finding("more_leaves_than_declared", Severity.WARNING, place.name, facts)


def predicted(
    weighed: Assessment, estimates: LoadEstimates, limits: tuple[LimitCheck, ...] | None = None
) -> Assessment:
    """Return the assessment of a state that was predicted from a weighed one, with what the weigh gives to know.

    Where a wheel would lift statics end: no load of the state is told, and no limit but those given that need none.
    """
    rig = weighed.rig
    loads = {name: estimates.known({name: 1.0}) for name in rig.load_names()}
    lifted = tuple(lift_findings(rig, loads, weighed.policy.coverage_factor))
    if any(finding.code == "would_lift" for finding in lifted):
        estimates = without_statics(estimates, rig.vehicles)
        limits = None if limits is None else _limits_without_statics(limits, weighed.policy)
    return assessment_of(rig, estimates, weighed.choices, (*weighed.evidence_findings, *lifted), limits=limits)


def without_statics(estimates: LoadEstimates, vehicles: Iterable[Vehicle]) -> LoadEstimates:
    """Return loads of which those of some vehicles are not known, as a wheel of theirs would lift."""
    columns = (column for vehicle in vehicles for column, _ in estimates.columns.terms(vehicle.whole))
    lifting = Part(tuple(columns), lifts=True)
    return structs.replace(estimates, parts=(*estimates.parts, lifting), answered={})


def _limits_without_statics(limits: Iterable[LimitCheck], policy: Policy) -> tuple[LimitCheck, ...]:
    """Return limits of which only those that need no statics are judged; why others were not judged before stays."""
    fresh = (structs.replace(check, judgement=None, governs=False) for check in limits)
    return judged(
        (
            structs.replace(check, value=UnknownBecause.WOULD_LIFT)
            if check.kind not in WITHOUT_STATICS and isinstance(check.value, Estimate)
            else check
            for check in fresh
        ),
        policy,
    )


def lift_findings(
    rig: Rig, loads: Mapping[str, Estimate | UnknownBecause], coverage_factor: float
) -> Iterator[Finding]:
    """Yield a finding for every wheel end that would lift, or might, and every coupling that would pull up, by name."""
    couplings = {vehicle.coupling for vehicle in rig.vehicles if vehicle.is_trailer}
    for name, load in loads.items():
        if not isinstance(load, Estimate) or load.low(coverage_factor) >= 0.0:
            continue
        facts = {"load": mass(load.value)}
        if name in couplings:
            severity = Severity.CRITICAL if load.value < 0.0 else Severity.WARNING
            yield Finding("coupling_would_pull_up", severity, name, facts)
        elif load.value < 0.0:
            yield Finding("would_lift", Severity.CRITICAL, name, facts)
        else:
            yield Finding("may_lift", Severity.WARNING, name, facts)
