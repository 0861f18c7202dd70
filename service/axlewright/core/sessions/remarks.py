"""What a session's readings give the user to know."""

from collections.abc import Iterator

from axlewright.core.estimates import LoadEstimates, UnknownBecause
from axlewright.core.findings import Finding, Severity, mass, share
from axlewright.core.rig import Axle, Rig, Vehicle
from axlewright.core.scales import ToleranceSteps, is_on_division
from axlewright.core.sessions.passes import WeighSession
from axlewright.core.sessions.reconcile import PartCheck, Reconciliation
from axlewright.core.sessions.record import PassRecord, SessionRecord
from axlewright.core.sessions.ties import TieKind
from axlewright.core.units import RELATIVE_GUARD

LEAST_DIVISIONS = {"III L": 50, "III": 20, "IIII": 10, "OIML III": 20, "OIML IIII": 10}
"""Fewest divisions that a scale of a class should weigh.

NIST Handbook 44, section 2.20, table 8 (from memory); OIML R 76-1 (2006), table 3, minimum capacity (from memory).
"""
UNSEEN_SHARE = 0.25
"""A reading that may be wrong by more than this share of it, unseen, counts as unchecked; judgement."""
USUAL_CLASS = "III L"
"""Of public vehicle scales; taken where the caller states a tolerance instead of a class."""


def session_findings(session: WeighSession, reconciliation: Reconciliation) -> Iterator[Finding]:
    """Yield what the readings show on their own, before any limit."""
    for part in reconciliation.parts:
        if part.failed:
            yield _failed_check(session, part)
    unchecked = [
        check.row
        for part in reconciliation.parts
        for check in part.checks
        if check.allowed_kg is None or check.allowed_kg > UNSEEN_SHARE * session.readings[check.row].value_kg
    ]
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
    small = "; ".join(_small_readings(session))
    if small:
        yield Finding("reading_small", Severity.NOTICE, "session", {"readings": small})
    yield from _record_findings(session.record)


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


def _small_readings(session: WeighSession) -> Iterator[str]:
    """Yield the names of readings of fewer divisions than their scale should weigh, each with that number."""
    for reading in session.readings:
        tolerance = session.tolerance_of(reading.platform)
        accuracy_class = tolerance.name if isinstance(tolerance, ToleranceSteps) else USUAL_CLASS
        divisions = LEAST_DIVISIONS[accuracy_class]
        if reading.value_kg < divisions * reading.platform.division_kg * (1 - RELATIVE_GUARD):
            yield f"{reading_name(reading.pass_name, reading.platform.name)} (under {divisions} divisions)"


def _record_findings(record: SessionRecord) -> Iterator[Finding]:
    """Yield what stands beside the readings and puts them in doubt, or is missing there."""
    for each in record.passes:
        if each.zero_seen is False:
            yield Finding("zero_not_seen", Severity.WARNING, each.name, {})
        if each.difference_kg:
            yield _differing_total(each, each.difference_kg)
    not_told = [each.name for each in record.passes if each.zero_seen is None]
    if not_told:
        yield Finding("zero_not_stated", Severity.NOTICE, "session", {"passes": "; ".join(not_told)})
    yield from seal_findings(record)


def seal_findings(record: SessionRecord) -> Iterator[Finding]:
    """Yield a finding if the scale was sealed long before the weigh."""
    if record.seal_is_old:
        days = {"sealed_on": str(record.sealed_on), "weighed_on": str(record.weighed_on)}
        yield Finding("seal_old", Severity.NOTICE, record.scale_identity or "the scale", days)


def _differing_total(each: PassRecord, difference_kg: float) -> Finding:
    assert each.total is not None
    return Finding(
        "total_differs",
        Severity.INFO if each.total_agrees else Severity.WARNING,
        each.name,
        {
            "sum": mass(each.sum_kg),
            "total": mass(each.total.value_kg),
            "difference": mass(difference_kg),
            "rounding": mass(each.rounding_kg),
        },
    )


def _failed_check(session: WeighSession, part: PartCheck) -> Finding:
    suspects = [session.readings[check.row] for check in part.checks if check.suspect]
    named = [reading_name(each.pass_name, each.platform.name) for each in suspects]
    # A slip of a reading and a length told wrongly may look alike: both are named.
    if any(tie.fails and tie.tie.kind is TieKind.MOMENT for tie in part.ties):
        named.append(LENGTHS)
    wheels = sorted({wheel for check in part.checks for wheel in session.readings[check.row].wheels})
    return Finding(
        "cross_check_failed",
        Severity.CRITICAL,
        ", ".join(wheels),
        {"suspects": "; ".join(named), "probability": share(part.probability)},
    )


LENGTHS = "the places of hitch and axles (`hitch.aft`, `aft`)"
