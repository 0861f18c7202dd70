"""What the pressures give the user to know."""

from collections.abc import Iterator, Sequence
from typing import Final

from axlewright.core.findings import Fact, Finding, Severity, mass, pressure
from axlewright.core.inflation.capacity import Ground
from axlewright.core.inflation.fitted import FittedTire, table_faults
from axlewright.core.inflation.needs import is_above_ceiling, is_special_trailer, label_is_floor
from axlewright.core.inflation.pressure import AxlePressure, Floor, NoPressure
from axlewright.core.inflation.setting import NoSetting
from axlewright.core.loads.remarks import PROBABLE
from axlewright.core.loads.standings import BROKEN, Bound, judge
from axlewright.core.policy import Conditions, Policy
from axlewright.core.rig import Axle, Rig, Vehicle, WheelEnd
from axlewright.core.tires.tables import Table
from axlewright.core.units import exceeds

GRAVE: Final = frozenset({NoPressure.BEYOND_TABLE, NoPressure.ABOVE_CEILING})
"""Of the reasons why there is no pressure those with which a tire is overloaded, surely or probably."""
TOLD: Final = GRAVE | {NoPressure.NO_ROW_BELOW_CEILING, NoPressure.FLOOR_ABOVE_CEILING}


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
        yield from _no_pressure(axle, answer, fitted, policy)
        yield from _present_pressure(axle, answer, fitted)
        yield from _ground(answer, fitted)
        yield from _ceiling(axle, answer)
        yield from _label(vehicle, axle, answer, policy)
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


def _no_pressure(axle: Axle, answer: AxlePressure, fitted: dict[str, FittedTire], policy: Policy) -> Iterator[Finding]:
    if answer.unknown_because in TOLD:
        facts = {"ceiling": pressure(answer.ceiling_pa)}
        if answer.need is not None:
            facts["load"] = mass(answer.need.design_kg)
        grave = answer.unknown_because in GRAVE and not answer.provisional
        severity = Severity.CRITICAL if grave and _is_probably_over(axle, answer, fitted, policy) else Severity.WARNING
        yield Finding(f"pressure_{answer.unknown_because}", severity, answer.axle, facts)
    if answer.provisional:
        yield Finding("pressure_provisional", Severity.WARNING, answer.axle, {})
    reserve_met = answer.reserve_pressure_met and all(need.reserve_met for need in answer.known)
    if answer.cold_pa is not None and not reserve_met:
        yield Finding("reserve_not_met", Severity.WARNING, answer.axle, {})


def _is_probably_over(axle: Axle, answer: AxlePressure, fitted: dict[str, FittedTire], policy: Policy) -> bool:
    """Return whether a load is surely or probably more than its tire may carry within the ceiling."""
    assert answer.need is not None
    curves = [fitted[end.name].curve for end in axle.wheel_ends if answer.need.wheel_end in (end.name, axle.name)]
    capacities = [curve.at(answer.ceiling_pa) for curve in curves]
    limits_kg = [capacity.at_most_kg for capacity in capacities if capacity is not None]
    if not limits_kg:
        return True
    judgement = judge(answer.need.load, max(limits_kg), Bound.MOST, policy.coverage_factor, policy.tight_share)
    probability = judgement.probability_of_breach
    return judgement.standing in BROKEN or (probability is not None and not exceeds(PROBABLE, probability))


def _present_pressure(axle: Axle, answer: AxlePressure, fitted: dict[str, FittedTire]) -> Iterator[Finding]:
    """Compare what the tires hold today, taken as cold, with what they need, should hold and may hold.

    Too low is a pressure between whose rows the tire's own load is surely not carried, or the axle's where its own is
    not known; below the row to take, or on the light side, it is only less than recommended.
    """
    recommended_pa = answer.cold_pa if answer.cold_pa is not None else answer.until_weighed_pa
    for end in axle.wheel_ends:
        present_pa = end.tires.pressure_pa
        if present_pa is None:
            continue
        facts: dict[str, Fact] = {"present": pressure(present_pa), "ceiling": pressure(answer.ceiling_pa)}
        if is_above_ceiling(present_pa, answer.ceiling_pa):
            yield Finding("pressure_above_maximum", Severity.CRITICAL, end.name, facts)
        elif _is_too_low(end, answer, fitted):
            yield Finding("pressure_too_low", Severity.CRITICAL, end.name, facts | _needed(axle, answer))
        elif recommended_pa is not None and exceeds(recommended_pa, present_pa):
            facts["recommended"] = pressure(recommended_pa)
            yield Finding("pressure_below_recommended", Severity.WARNING, end.name, facts)


def _is_too_low(end: WheelEnd, answer: AxlePressure, fitted: dict[str, FittedTire]) -> bool:
    """Return whether a tire at the pressure that it holds surely does not carry its load."""
    assert end.tires.pressure_pa is not None
    need = next((each for each in answer.known if each.wheel_end == end.name), answer.need)
    if need is None or answer.need is None or answer.need.surely is None:
        return False
    if need.surely is None or not exceeds(need.surely.pressure_pa, end.tires.pressure_pa):
        return False
    capacity = fitted[end.name].curve.at(end.tires.pressure_pa)
    return capacity is None or exceeds(need.upper_kg, capacity.load_kg)


def _needed(axle: Axle, answer: AxlePressure) -> dict[str, Fact]:
    """Return the pressure that the axle's load needs without a reserve, as the row that is recommended for it.

    "At least" goes before it where the wheel ends are not known: the heavier one may need more than half the axle.
    """
    needed_pa = max(need.least_for_load.pressure_pa for need in answer.known if need.least_for_load is not None)
    is_half = any(need.wheel_end == axle.name for need in answer.known)
    return {"needed": pressure(needed_pa), "at_least": "at least " if is_half else ""}


def _ground(answer: AxlePressure, fitted: dict[str, FittedTire]) -> Iterator[Finding]:
    if answer.cold_pa is None or answer.need is None or answer.need.least is None:
        return
    least, facts = answer.need.least, {"cold": pressure(answer.cold_pa)}
    if answer.floor in (Floor.SPECIAL_TRAILER, Floor.HEAVIEST_OF_TRAILER, Floor.CAMPER):
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


def _label(vehicle: Vehicle, axle: Axle, answer: AxlePressure, policy: Policy) -> Iterator[Finding]:
    if answer.label_pa is None:
        if label_is_floor(vehicle, policy):
            yield Finding("label_pressure_missing", Severity.WARNING, answer.axle, {})
        return
    facts: dict[str, Fact] = {"label": pressure(answer.label_pa)}
    if is_above_ceiling(answer.label_pa, answer.ceiling_pa) and answer.until_weighed_pa is not None:
        facts["ceiling"] = pressure(answer.ceiling_pa)
        yield Finding("label_above_ceiling", Severity.WARNING, answer.axle, facts)
    surely = answer.need.surely if answer.need else None
    if surely is not None and exceeds(surely.pressure_pa, answer.label_pa):
        yield Finding("label_below_need", Severity.WARNING, answer.axle, facts | _needed(axle, answer))
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
