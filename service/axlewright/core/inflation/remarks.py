"""What the pressures give the user to know."""

from collections.abc import Iterator, Sequence
from typing import Final

from axlewright.core.findings import Finding, Severity, mass, pressure
from axlewright.core.inflation.capacity import Ground
from axlewright.core.inflation.fitted import FittedTire, table_faults
from axlewright.core.inflation.needs import is_special_trailer, label_is_floor
from axlewright.core.inflation.pressure import AxlePressure, Floor, NoPressure
from axlewright.core.inflation.setting import NoSetting
from axlewright.core.policy import Conditions, Policy
from axlewright.core.rig import Axle, Rig, Vehicle, WheelEnd
from axlewright.core.tires.tables import Table
from axlewright.core.units import exceeds

NO_PRESSURE_SEVERITY: Final = {
    NoPressure.BEYOND_TABLE: Severity.CRITICAL,
    NoPressure.ABOVE_CEILING: Severity.CRITICAL,
    NoPressure.NO_ROW_BELOW_CEILING: Severity.WARNING,
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
        yield from _present_pressure(axle, answer, fitted)
        yield from _ground(answer, fitted)
        yield from _ceiling(axle, answer)
        yield from _label(vehicle, answer, policy)
        yield from _setting(answer, conditions)
        if is_special_trailer(vehicle, axle) and any(end.tires.speed_symbol is None for end in axle.wheel_ends):
            yield Finding("special_trailer_speed", Severity.INFO, axle.name, {})
    for vehicle in rig.vehicles:
        kept = {pressures[axle.name].cold_pa for axle in vehicle.axles if is_special_trailer(vehicle, axle)}
        if len(kept - {None}) > 1:
            yield Finding("trailer_pressures_differ", Severity.NOTICE, vehicle.name, {})


def table_findings(rig: Rig, fitted: dict[str, FittedTire], callers_tables: Sequence[Table]) -> Iterator[Finding]:
    """Yield a finding for every caller's table that is not used, or not whole."""
    for table, fault in table_faults(rig, fitted, callers_tables):
        yield Finding(f"table_{fault}", Severity.WARNING, f"{table.designation} {table.service}", {})


def _no_pressure(answer: AxlePressure) -> Iterator[Finding]:
    if answer.unknown_because in NO_PRESSURE_SEVERITY:
        facts = {"ceiling": pressure(answer.ceiling_pa)}
        if answer.need is not None:
            facts["load"] = mass(answer.need.design_kg)
        severity = Severity.WARNING if answer.provisional else NO_PRESSURE_SEVERITY[answer.unknown_because]
        yield Finding(f"pressure_{answer.unknown_because}", severity, answer.axle, facts)
    if answer.provisional:
        yield Finding("pressure_provisional", Severity.WARNING, answer.axle, {})
    if not answer.reserve_pressure_met or (answer.need is not None and not answer.need.reserve_met):
        yield Finding("reserve_not_met", Severity.WARNING, answer.axle, {})


def _present_pressure(axle: Axle, answer: AxlePressure, fitted: dict[str, FittedTire]) -> Iterator[Finding]:
    """Compare what the tires hold today, taken as cold, with what they need, should hold and may hold.

    Too low is a pressure between whose rows the load is surely not carried; below the row to take it is only less than
    recommended.
    """
    surely = answer.need.surely if answer.need else None
    recommended_pa = answer.cold_pa if answer.cold_pa is not None else answer.until_weighed_pa
    for end in axle.wheel_ends:
        present_pa = end.tires.pressure_pa
        if present_pa is None:
            continue
        facts = {"present": pressure(present_pa), "ceiling": pressure(answer.ceiling_pa)}
        if exceeds(present_pa, answer.ceiling_pa):
            yield Finding("pressure_above_maximum", Severity.CRITICAL, end.name, facts)
        elif surely is not None and exceeds(surely.pressure_pa, present_pa) and not _carries(end, answer, fitted):
            facts["needed"] = pressure(surely.pressure_pa)
            yield Finding("pressure_too_low", Severity.CRITICAL, end.name, facts)
        elif recommended_pa is not None and exceeds(recommended_pa, present_pa):
            facts["recommended"] = pressure(recommended_pa)
            yield Finding("pressure_below_recommended", Severity.WARNING, end.name, facts)


def _carries(end: WheelEnd, answer: AxlePressure, fitted: dict[str, FittedTire]) -> bool:
    """Return whether a tire at the pressure that it holds carries the load of the axle's heaviest wheel end."""
    assert answer.need is not None
    assert end.tires.pressure_pa is not None
    capacity = fitted[end.name].curve.at(end.tires.pressure_pa)
    return capacity is not None and not exceeds(answer.need.upper_kg, capacity.load_kg)


def _ground(answer: AxlePressure, fitted: dict[str, FittedTire]) -> Iterator[Finding]:
    if answer.cold_pa is None or answer.need is None or answer.need.least is None:
        return
    least, facts = answer.need.least, {"cold": pressure(answer.cold_pa)}
    if answer.floor in (Floor.SPECIAL_TRAILER, Floor.CAMPER):
        facts["least"] = pressure(least.pressure_pa)
        yield Finding(f"{answer.floor}_pressure_kept", Severity.INFO, answer.axle, facts)
    elif answer.floor is None and least.ground is Ground.ESTIMATED:
        yield Finding("pressure_estimated", Severity.WARNING, answer.axle, facts)
    elif answer.floor is None and least.ground is Ground.SIDEWALL:
        yield Finding("pressure_at_sidewall", Severity.NOTICE, answer.axle, facts)
    elif answer.floor is None:
        curve = fitted[answer.need.wheel_end].curve
        estimate = None if curve.complete else curve.estimate_for(answer.need.design_kg)
        if estimate is not None and exceeds(least.pressure_pa, estimate.pressure_pa):
            facts |= {"row": pressure(least.pressure_pa), "estimate": pressure(estimate.pressure_pa)}
            yield Finding("single_rows_only", Severity.INFO, answer.axle, facts)


def _ceiling(axle: Axle, answer: AxlePressure) -> Iterator[Finding]:
    if any(end.wheel.max_pressure_pa is None for end in axle.wheel_ends):
        yield Finding("wheel_maximum_unknown", Severity.NOTICE, axle.name, {"ceiling": pressure(answer.ceiling_pa)})
    left, right = (end.tires for end in axle.wheel_ends)
    if (left.designation, left.load_range, left.max_load_kg) != (
        right.designation,
        right.load_range,
        right.max_load_kg,
    ):
        yield Finding("tires_differ", Severity.NOTICE, axle.name, {})


def _label(vehicle: Vehicle, answer: AxlePressure, policy: Policy) -> Iterator[Finding]:
    if answer.label_pa is None:
        if label_is_floor(vehicle, policy):
            yield Finding("label_pressure_missing", Severity.WARNING, answer.axle, {})
        return
    facts = {"label": pressure(answer.label_pa)}
    if exceeds(answer.label_pa, answer.ceiling_pa) and answer.until_weighed_pa is not None:
        facts["ceiling"] = pressure(answer.ceiling_pa)
        yield Finding("label_above_ceiling", Severity.WARNING, answer.axle, facts)
    surely = answer.need.surely if answer.need else None
    if surely is not None and exceeds(surely.pressure_pa, answer.label_pa):
        facts["needed"] = pressure(surely.pressure_pa)
        yield Finding("label_below_need", Severity.WARNING, answer.axle, facts)
    elif answer.cold_pa is not None and not answer.provisional and exceeds(answer.label_pa, answer.cold_pa):
        facts |= {"cold": pressure(answer.cold_pa), "difference": pressure(answer.label_pa - answer.cold_pa)}
        yield Finding("label_above_recommended", Severity.NOTICE, answer.axle, facts)


def _setting(answer: AxlePressure, conditions: Conditions) -> Iterator[Finding]:
    because = answer.setting.because
    if because in (NoSetting.NO_FILL_SERVES, NoSetting.WARM_WITHOUT_AMBIENT):
        yield Finding(because.value, Severity.WARNING, answer.axle, {"ceiling": pressure(answer.ceiling_pa)})
    if answer.setting.holds_when_coldest is False:
        assert answer.cold_pa is not None
        yield Finding("top_up_when_coldest", Severity.NOTICE, answer.axle, {"cold": pressure(answer.cold_pa)})
    if answer.setting.gauge_pa is not None and conditions.coldest is None:
        yield Finding("coldest_not_given", Severity.NOTICE, answer.axle, {})
