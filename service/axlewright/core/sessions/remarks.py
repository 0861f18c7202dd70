"""What a session's readings give the user to know."""

from collections.abc import Iterator

from axlewright.core.estimates import LoadEstimates, UnknownBecause
from axlewright.core.findings import Finding, Severity, mass, share
from axlewright.core.rig import Axle, Rig, Vehicle
from axlewright.core.scales import is_on_division
from axlewright.core.sessions.passes import WeighSession
from axlewright.core.sessions.reconcile import PartCheck, Reconciliation


def session_findings(session: WeighSession, reconciliation: Reconciliation) -> Iterator[Finding]:
    """Yield what the readings show on their own, before any limit."""
    for part in reconciliation.parts:
        if part.failed:
            yield _failed_check(session, part)
    unchecked = [check.row for part in reconciliation.parts for check in part.checks if check.by_others_kg is None]
    if unchecked:
        readings = [session.readings[row] for row in sorted(unchecked)]
        names = "; ".join(reading_name(each.pass_name, each.platform.name) for each in readings)
        yield Finding("readings_unchecked", Severity.WARNING, "session", {"readings": names})
    for reading in session.readings:
        if not is_on_division(reading.value_kg, reading.platform.division_kg):
            yield Finding(
                "reading_off_division",
                Severity.WARNING,
                reading_name(reading.pass_name, reading.platform.name),
                {"reading": mass(reading.value_kg), "division": mass(reading.platform.division_kg)},
            )


def unknown_load_findings(rig: Rig, estimates: LoadEstimates) -> Iterator[Finding]:
    """Yield what is not known of the axles' wheel ends, with the sums that are, and what to weigh."""
    for vehicle, axle in rig.axles():
        because = {estimates.known({end.name: 1.0}) for end in axle.wheel_ends}
        if UnknownBecause.IMPOSSIBLE in because:
            yield Finding("readings_impossible", Severity.CRITICAL, axle.name, {})
        elif because & {UnknownBecause.NOT_WEIGHED, UnknownBecause.NOT_SEPARATED}:
            yield Finding(
                "wheel_ends_unknown",
                Severity.WARNING,
                axle.name,
                {"known": ", ".join(known_sums(vehicle, axle, estimates)) or "nothing"},
            )


def known_sums(vehicle: Vehicle, axle: Axle, estimates: LoadEstimates) -> list[str]:
    """Return in words which sums over an axle's unknown wheel ends are known: the axle, a side, the vehicle."""
    sums = {f"axle {axle.name}": axle.sum_of}
    for side in ("left", "right"):
        sums[f"{side} side of {vehicle.name}"] = {
            end.name: 1.0 for each in vehicle.axles for end in each.wheel_ends if end.side == side
        }
    sums[f"all wheels of {vehicle.name}"] = vehicle.sum_of
    return [words for words, sum_of in sums.items() if not isinstance(estimates.known(sum_of), UnknownBecause)]


def reading_name(pass_name: str, platform: str) -> str:
    """Return how people call a reading."""
    return f"{pass_name} / {platform}"


def _failed_check(session: WeighSession, part: PartCheck) -> Finding:
    suspects = [session.readings[check.row] for check in part.checks if check.suspect]
    wheels = sorted({wheel for check in part.checks for wheel in session.readings[check.row].wheels})
    return Finding(
        "cross_check_failed",
        Severity.CRITICAL,
        ", ".join(wheels),
        {
            "suspects": "; ".join(reading_name(each.pass_name, each.platform.name) for each in suspects),
            "probability": share(part.probability),
        },
    )
