"""What the limits give the user to know."""

from collections.abc import Iterable, Iterator
from enum import StrEnum
from typing import Final

from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.findings import Fact, Finding, Quantity, Severity, mass, pressure, share
from axlewright.core.inflation.fitted import FittedTire
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.standings import BROKEN, Bound, Standing, judge
from axlewright.core.rig import Axle, Rig, Tires, Vehicle
from axlewright.core.tires.crosscheck import Stated, Verdict, load_range_and_pressure
from axlewright.core.tires.family import Family
from axlewright.core.tires.marking import Ambiguity
from axlewright.core.units import exceeds

PROBABLE: Final = 0.5
"""Probability from which an unsettled limit counts as probably broken: as grave as a broken one."""
REPORTED_REASONS: Final = frozenset(
    {
        UnknownBecause.COUPLING_NOT_WEIGHED,
        UnknownBecause.NOT_WITHOUT_BARS,
        UnknownBecause.NO_CAPACITY,
        UnknownBecause.NO_SPEED_SYMBOL,
        UnknownBecause.NO_UNLOADED_WEIGHT,
        UnknownBecause.NO_HITCH_RATING,
    }
)
"""Why a limit is not judged, where no finding about the wheel ends says so already."""


PROVISIONAL: Final = " That holds if these readings do: find out first which of them is wrong."
"""What a finding says beside a load whose readings are not to be counted on."""


class Remedy(StrEnum):
    """What helps where a limit is broken."""

    TAKE_OFF = "take_off"
    MOVE_FORWARD = "move_forward"
    TRAILER_BACK = "trailer_back"
    TRAILER_FORWARD = "trailer_forward"
    LIGHTEN_COUPLING = "lighten_coupling"
    TOW_LESS = "tow_less"


def limit_findings(checks: Iterable[LimitCheck]) -> Iterator[Finding]:
    """Yield a finding for every limit broken or in doubt, and for each level whose governing limit is tight.

    Least and most that are both unknown are told once.
    A tire short of pressure is told by its pressure, not here; of limits that rest on a failed cross-check only the
    governing ones are told.
    """
    untold = set()
    for check in checks:
        if check.judgement is None:
            name = check.subject, check.kind, check.unknown_because
            if check.unknown_because in REPORTED_REASONS and name not in untold:
                untold.add(name)
                yield Finding(
                    "limit_unknown",
                    Severity.WARNING,
                    check.subject,
                    {"kind": check.kind, "because": check.unknown_because},
                )
            continue
        if check.value_is_provisional and not (check.governs or check.judgement.standing in BROKEN):
            continue
        graded = _grade(check)
        if check.kind is LimitKind.TIRE_SPEED:
            if check.judgement.standing is Standing.OVER:
                code = "speed_over" if check.basis != "special_trailer_speed" else "special_trailer_speed_over"
                yield Finding(code, Severity.CRITICAL, check.subject, _facts(check))
        elif graded is not None and check.kind is not LimitKind.TIRE_AT_PRESSURE:
            yield Finding(*graded, check.subject, _facts(check))


def coupling_findings(rig: Rig, estimates: LoadEstimates, coverage_factor: float) -> Iterator[Finding]:
    """Yield a finding for every trailer whose axles alone, while its coupling's load is unknown, break its rating."""
    for vehicle in rig.vehicles:
        load = estimates.known(vehicle.sum_of)
        is_told = isinstance(estimates.known(vehicle.whole), Estimate)
        if not vehicle.is_trailer or is_told or isinstance(load, UnknownBecause):
            continue
        facts = {"value": mass(load.value), "limit": mass(vehicle.gvwr_kg)}
        standing = judge(load, vehicle.gvwr_kg, Bound.MOST, coverage_factor, 0.0).standing
        if standing is Standing.OVER:
            yield Finding("axles_alone_over", Severity.CRITICAL, vehicle.name, facts)
        elif standing is Standing.UNSETTLED:
            yield Finding("axles_alone_unsettled", Severity.WARNING, vehicle.name, facts)


def tire_findings(rig: Rig, fitted: dict[str, FittedTire]) -> Iterator[Finding]:
    """Yield what the tires' markings give to know, once for each axle and designation."""
    seen = set()
    for _, axle, end in rig.wheel_ends():
        key = axle.name, end.tires.designation, fitted[end.name].rating_basis
        if key in seen:
            continue
        seen.add(key)
        facts = {"designation": end.tires.designation}
        if end.tires.marking is None:
            yield Finding("designation_not_read", Severity.NOTICE, axle.name, facts)
        elif Ambiguity.DASH_READ_AS_BIAS in end.tires.marking.ambiguities:
            yield Finding("dash_read_as_bias", Severity.NOTICE, axle.name, facts)
        if fitted[end.name].rating_basis == "passenger_derate":
            yield Finding("passenger_tire_derated", Severity.NOTICE, axle.name, facts)
        if fitted[end.name].rating_basis == "load_index":
            yield Finding("load_index_governs", Severity.NOTICE, axle.name, facts)
    yield from _entry_findings(rig, fitted)


def _entry_findings(rig: Rig, fitted: dict[str, FittedTire]) -> Iterator[Finding]:
    """Yield what calls the entries of a tire in doubt, or that it is on this vehicle, once for each axle."""
    for vehicle, axle in rig.axles():
        found: list[Finding] = []
        for end in axle.wheel_ends:
            found.extend(
                finding
                for finding in _tire_entry_findings(vehicle, axle, end.tires, fitted[end.name])
                if finding not in found
            )
        yield from found


def _tire_entry_findings(vehicle: Vehicle, axle: Axle, tires: Tires, tire: FittedTire) -> Iterator[Finding]:
    facts: dict[str, Fact] = {"designation": tires.designation}
    if tire.table_load_kg is not None:
        figures = {
            "marked": mass(tires.max_load_kg),
            "pressure": pressure(tires.max_pressure_pa),
            "table": mass(tire.table_load_kg),
        }
        yield Finding("marking_contradicts_table", Severity.WARNING, axle.name, facts | figures)
    if tires.marking is None:
        return
    if tires.marking.family is Family.TEMPORARY:
        yield Finding("temporary_spare_fitted", Severity.CRITICAL, axle.name, facts)
    if tires.marking.family is Family.SPECIAL_TRAILER and not vehicle.is_trailer:
        yield Finding("tire_not_for_vehicle", Severity.CRITICAL, axle.name, facts)
    stated = Stated(load_range=tires.load_range, max_pressure_pa=tires.max_pressure_pa)
    check = load_range_and_pressure(tires.marking, stated)
    if check.verdict is Verdict.UNUSUAL:
        yield Finding("pressure_unusual_for_load_range", Severity.NOTICE, axle.name, facts | dict(check.facts))


def unstated_doubt_findings(rig: Rig, estimates: LoadEstimates) -> Iterator[Finding]:
    """Yield a finding for every axle of which a load came without its uncertainty."""
    for _, axle in rig.axles():
        loads = [estimates.known(axle.sum_of), *(estimates.known({end.name: 1.0}) for end in axle.wheel_ends)]
        if any(isinstance(load, Estimate) and load.u is None for load in loads):
            yield Finding("uncertainty_not_stated", Severity.NOTICE, axle.name, {})


def _grade(check: LimitCheck) -> tuple[str, Severity] | None:
    assert check.judgement is not None
    standing, probability = check.judgement.standing, check.judgement.probability_of_breach
    if standing in BROKEN:
        return f"limit_{standing}", Severity.CRITICAL
    if standing is Standing.UNSETTLED:
        if probability is not None and not exceeds(PROBABLE, probability):
            code = "limit_probably_over" if check.bound is Bound.MOST else "limit_probably_short"
            return code, Severity.CRITICAL
        return "limit_unsettled", Severity.WARNING
    assert isinstance(check.value, Estimate)
    if standing is Standing.TIGHT and check.governs and check.value.u is not None:
        return "limit_tight", Severity.NOTICE
    return None


def _facts(check: LimitCheck) -> dict[str, Quantity | str | int]:
    assert isinstance(check.value, Estimate)
    assert isinstance(check.limit, float)
    assert check.judgement is not None
    unit = check.kind.quantity
    probability = check.judgement.probability_of_breach
    return {
        "kind": check.kind,
        "remedy": _remedy(check),
        "value": Quantity(unit, check.value.value),
        "limit": Quantity(unit, check.limit),
        "difference": Quantity(unit, abs(check.value.value - check.limit)),
        "probability": "not known" if probability is None else share(probability),
        "held": PROVISIONAL if check.value_is_provisional else "",
    }


def _remedy(check: LimitCheck) -> Remedy:
    if check.kind in (LimitKind.TONGUE_SHARE, LimitKind.PIN_SHARE):
        return Remedy.TRAILER_BACK if check.bound is Bound.MOST else Remedy.TRAILER_FORWARD
    if check.kind is LimitKind.STEERING_SHARE:
        return Remedy.MOVE_FORWARD
    if check.kind is LimitKind.HITCH_VERTICAL:
        return Remedy.LIGHTEN_COUPLING
    return Remedy.TOW_LESS if check.kind in (LimitKind.HITCH_TOWED, LimitKind.COMBINATION) else Remedy.TAKE_OFF
