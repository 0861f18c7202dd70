"""What the pressures give the user to know."""

from collections.abc import Iterator
from typing import Final

from axlewright.core.findings import Finding, Severity, mass, pressure
from axlewright.core.inflation.capacity import Ground
from axlewright.core.inflation.fitted import FittedTire
from axlewright.core.inflation.pressure import AxlePressure, NoPressure, ceiling_pa, label_is_floor
from axlewright.core.policy import Conditions, Policy
from axlewright.core.rig import Axle, Rig, Vehicle
from axlewright.core.tires.family import Family
from axlewright.core.units import exceeds

NO_PRESSURE_SEVERITY: Final = {
    NoPressure.BEYOND_TABLE: Severity.CRITICAL,
    NoPressure.ABOVE_CEILING: Severity.CRITICAL,
    NoPressure.FLOOR_ABOVE_CEILING: Severity.WARNING,
}


def pressure_findings(
    rig: Rig,
    pressures: dict[str, AxlePressure],
    fitted: dict[str, FittedTire],
    policy: Policy,
    conditions: Conditions,
) -> Iterator[Finding]:
    """Yield what each axle's pressure, its ground and its setting give to know."""
    for vehicle, axle in rig.axles():
        answer = pressures[axle.name]
        yield from _no_pressure(answer)
        yield from _present_pressure(axle, answer)
        yield from _ground(axle, answer, fitted)
        yield from _ceiling_and_label(vehicle, axle, answer, policy)
        yield from _setting(answer, conditions)


def _no_pressure(answer: AxlePressure) -> Iterator[Finding]:
    if answer.unknown_because in NO_PRESSURE_SEVERITY:
        assert answer.design_load_kg is not None
        yield Finding(
            f"pressure_{answer.unknown_because}",
            NO_PRESSURE_SEVERITY[answer.unknown_because],
            answer.axle,
            {"load": mass(answer.design_load_kg), "ceiling": pressure(answer.ceiling_pa)},
        )
    if answer.provisional:
        yield Finding("pressure_provisional", Severity.WARNING, answer.axle, {})


def _present_pressure(axle: Axle, answer: AxlePressure) -> Iterator[Finding]:
    """Compare what the tires hold today, taken as cold, with what they need and may hold."""
    for end in axle.wheel_ends:
        present_pa = end.tires.pressure_pa
        if present_pa is None:
            continue
        if exceeds(present_pa, answer.ceiling_pa):
            yield Finding(
                "pressure_above_maximum",
                Severity.CRITICAL,
                end.name,
                {"present": pressure(present_pa), "ceiling": pressure(answer.ceiling_pa)},
            )
        if answer.cold_pa is not None and answer.least and exceeds(answer.least.pressure_pa, present_pa):
            yield Finding(
                "pressure_too_low",
                Severity.CRITICAL,
                end.name,
                {"present": pressure(present_pa), "cold": pressure(answer.cold_pa)},
            )


def _ground(axle: Axle, answer: AxlePressure, fitted: dict[str, FittedTire]) -> Iterator[Finding]:
    if answer.cold_pa is None or answer.least is None:
        return
    families = {end.tires.marking.family for end in axle.wheel_ends if end.tires.marking}
    if families == {Family.SPECIAL_TRAILER}:
        yield Finding(
            "special_trailer_pressure_kept",
            Severity.INFO,
            axle.name,
            {"least": pressure(answer.least.pressure_pa)},
        )
    elif answer.least.ground is Ground.ESTIMATED:
        yield Finding("pressure_estimated", Severity.WARNING, axle.name, {"cold": pressure(answer.cold_pa)})
    elif answer.least.ground is Ground.SIDEWALL:
        yield Finding("pressure_at_sidewall", Severity.NOTICE, axle.name, {"cold": pressure(answer.cold_pa)})
    else:
        assert answer.governing_wheel_end is not None
        assert answer.design_load_kg is not None
        curve = fitted[answer.governing_wheel_end].curve
        estimate = None if curve.complete else curve.estimate_for(answer.design_load_kg)
        if estimate is not None and exceeds(answer.least.pressure_pa, estimate.pressure_pa):
            yield Finding(
                "single_rows_only",
                Severity.INFO,
                axle.name,
                {"row": pressure(answer.least.pressure_pa), "estimate": pressure(estimate.pressure_pa)},
            )


def _ceiling_and_label(vehicle: Vehicle, axle: Axle, answer: AxlePressure, policy: Policy) -> Iterator[Finding]:
    if any(end.wheel.max_pressure_pa is None for end in axle.wheel_ends):
        yield Finding("wheel_maximum_unknown", Severity.NOTICE, axle.name, {"ceiling": pressure(ceiling_pa(axle))})
    if answer.label_pa is None:
        if label_is_floor(vehicle, policy):
            yield Finding("label_pressure_missing", Severity.WARNING, axle.name, {})
    elif answer.cold_pa is not None and not label_is_floor(vehicle, policy):
        yield from _label_beside(answer, answer.cold_pa, answer.label_pa)


def _label_beside(answer: AxlePressure, cold_pa: float, label_pa: float) -> Iterator[Finding]:
    below = exceeds(label_pa, cold_pa)
    if below or exceeds(cold_pa, label_pa):
        yield Finding(
            "label_pressure_differs",
            Severity.NOTICE if below else Severity.INFO,
            answer.axle,
            {
                "label": pressure(label_pa),
                "cold": pressure(cold_pa),
                "difference": pressure(abs(cold_pa - label_pa)),
                "direction": "below" if below else "above",
            },
        )


def _setting(answer: AxlePressure, conditions: Conditions) -> Iterator[Finding]:
    if answer.set_now_unknown_because is NoPressure.NO_FILL_SERVES:
        yield Finding("no_fill_serves", Severity.WARNING, answer.axle, {"ceiling": pressure(answer.ceiling_pa)})
    if answer.held_when_coldest is False:
        assert answer.cold_pa is not None
        yield Finding("top_up_when_coldest", Severity.NOTICE, answer.axle, {"cold": pressure(answer.cold_pa)})
    if answer.set_now_pa is not None and conditions.coldest is None:
        yield Finding("coldest_not_given", Severity.NOTICE, answer.axle, {})
