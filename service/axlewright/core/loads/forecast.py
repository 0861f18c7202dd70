"""Loads before they happen: a weighed state, what will be otherwise, and what that means in every room."""

from collections.abc import Iterator, Mapping, Sequence

from axlewright.core.assessment import Assessment, assessment_of
from axlewright.core.estimates import Estimate, LoadEstimates
from axlewright.core.findings import Finding, Severity, mass
from axlewright.core.loads.aboard import LevelChange, Move
from axlewright.core.loads.changes import LoadChange, added, changed_estimates
from axlewright.core.loads.statics import Statics
from axlewright.core.rig import Rig


def whole_change(
    moves: Sequence[Move], levels: Sequence[LevelChange], statics: Mapping[str, Statics], count: int
) -> LoadChange:
    """Return what all that comes, leaves, moves and flows does to the loads (``count``) together."""
    changes = [*(move.change(statics) for move in moves), *(level.change(statics) for level in levels)]
    return added(changes, count)


def forecast(weighed: Assessment, change: LoadChange) -> Assessment:
    """Return the assessment of the state after a change, of the same rig by the same choices."""
    estimates = changed_estimates(weighed.estimates, change)
    return assessment_of(weighed.rig, estimates, weighed.choices, predicted_findings(weighed, estimates))


def predicted_findings(weighed: Assessment, estimates: LoadEstimates) -> tuple[Finding, ...]:
    """Return what the weigh gives to know by itself, and what would lift in a state predicted from it."""
    return *weighed.evidence_findings, *_lifted_findings(weighed.rig, estimates)


def _lifted_findings(rig: Rig, estimates: LoadEstimates) -> Iterator[Finding]:
    """Yield a finding for everything that would lift: there statics end, and the other loads are wrong too."""
    for name in rig.load_names():
        load = estimates.known({name: 1.0})
        if isinstance(load, Estimate) and load.value < 0.0:
            yield Finding("would_lift", Severity.CRITICAL, name, {"load": mass(load.value)})
