"""The cold pressure of each axle, for its heaviest wheel end, within floor and ceiling.

Common practice, save where the policy and the tables name their source: all tires of an axle get one pressure,
from its heaviest wheel end's upper bound; special-trailer tires keep the label's or sidewall's pressure at any
load; camper tires (CP) single on a motor caravan's rear axle keep the label's, else 5.5 bar (second hand, quoting
the ETRTO Standards Manual).
"""

from collections.abc import Iterator
from enum import StrEnum
from math import inf
from typing import Final

from msgspec import Struct, structs

from axlewright.core.estimates import Estimate, LoadEstimates
from axlewright.core.inflation.capacity import Capacity
from axlewright.core.inflation.fitted import FittedTire
from axlewright.core.inflation.gas import gauge_at
from axlewright.core.loads.limits import load_per_tire
from axlewright.core.policy import Conditions, Fill, LabelFloor, Policy, Soak
from axlewright.core.rig import Axle, Fitment, Rig, Vehicle, VehicleKind, WheelEnd
from axlewright.core.tires.family import Family
from axlewright.core.units import BAR_PA, POUND_KG, exceeds, rounded_up

LIGHT_VEHICLE_KG: Final = 10_000 * POUND_KG
"""Up to this GVWR 49 CFR 571.110 applies, above it 571.120."""
CAMPER_REAR_PA: Final = 5.5 * BAR_PA
"""Cold pressure of single CP tires on a motor caravan's rear axle without a label; second hand, quoting ETRTO."""


class NoPressure(StrEnum):
    """Why an axle gets no pressure, or no setting for now."""

    WHEEL_ENDS_UNKNOWN = "wheel_ends_unknown"
    BEYOND_TABLE = "beyond_table"
    ABOVE_CEILING = "above_ceiling"
    FLOOR_ABOVE_CEILING = "floor_above_ceiling"
    NO_CONDITIONS = "no_conditions"
    NO_FILL_SERVES = "no_fill_serves"


class AxlePressure(Struct, frozen=True, kw_only=True):
    """What an axle's tires need. Pressures are gauge [Pa], loads per tire [kg]; None where not known.

    Attributes
    ----------
    ceiling_pa
        The lowest of the sidewalls' and wheels' maxima.
    label_pa
        The label's pressure.
    until_weighed_pa
        What to hold while the wheel ends are not known.
    governing_wheel_end, design_load_kg
        The wheel end that needs the most, and its load per tire: upper bound and reserve.
    least
        The least cold pressure for that load, by the table's row or an estimate.
    cold_pa
        The cold pressure to hold.
    capacity
        What one tire may carry at that pressure, at the wheel end where least is left.
    reserve_share
        Capacity over the upper bound of the load, less 1.
    set_now_pa
        What the gauge must show at the filling.
    held_when_coldest
        Whether ``set_now_pa`` holds ``cold_pa`` at the coldest soak too, and not only the least pressure.
    provisional
        The loads failed their cross-check, or their doubt was not stated.
    """

    axle: str
    ceiling_pa: float
    label_pa: float | None
    until_weighed_pa: float | None = None
    governing_wheel_end: str | None = None
    design_load_kg: float | None = None
    least: Capacity | None = None
    cold_pa: float | None = None
    capacity: Capacity | None = None
    reserve_share: float | None = None
    set_now_pa: float | None = None
    held_when_coldest: bool | None = None
    provisional: bool = False
    unknown_because: NoPressure | None = None
    set_now_unknown_because: NoPressure | None = None


class _Need(Struct, frozen=True):
    """What one wheel end needs: load per tire at its upper bound [kg], with reserve [kg], and the least pressure."""

    wheel_end: WheelEnd
    upper_kg: float
    design_kg: float
    least: Capacity | None
    provisional: bool


def axle_pressures(
    rig: Rig,
    estimates: LoadEstimates,
    fitted: dict[str, FittedTire],
    policy: Policy,
    conditions: Conditions,
) -> tuple[AxlePressure, ...]:
    """Return the pressure of every axle.

    Parameters
    ----------
    rig, estimates
        Ratings, labels and loads.
    fitted
        Each wheel end's tire as fitted.
    policy
        Coverage factor, reserve, rounding step, label floor.
    conditions
        Where the tires are filled, and the coldest soak from then on.
    """
    return tuple(
        pressure
        for vehicle in rig.vehicles
        for pressure in _vehicle_pressures(vehicle, estimates, fitted, policy, conditions)
    )


def _vehicle_pressures(
    vehicle: Vehicle,
    estimates: LoadEstimates,
    fitted: dict[str, FittedTire],
    policy: Policy,
    conditions: Conditions,
) -> Iterator[AxlePressure]:
    all_needs = {axle.name: _needs(axle, estimates, fitted, policy) for axle in vehicle.axles}
    trailer_pa = _fixed_for_trailer(vehicle, all_needs, policy)
    for axle in vehicle.axles:
        label_pa = vehicle.label_pressures_pa.get(axle.name)
        fixed_pa = _fixed_for_camper(vehicle, axle) if trailer_pa is None else trailer_pa
        needs = all_needs[axle.name]
        if needs is None:
            yield _pressure_until_weighed(vehicle, axle, fixed_pa)
            continue
        floor_pa = label_pa if fixed_pa is None and label_is_floor(vehicle, policy) else fixed_pa
        yield _axle_pressure(axle, label_pa, floor_pa, needs, fitted, policy, conditions)


def _pressure_until_weighed(vehicle: Vehicle, axle: Axle, fixed_pa: float | None) -> AxlePressure:
    """Return what to hold while a wheel end of the axle is not known: no pressure by load."""
    kept_pa = _label_or_sidewall_pa(vehicle, axle) if fixed_pa is None else fixed_pa
    return AxlePressure(
        axle=axle.name,
        ceiling_pa=ceiling_pa(axle),
        label_pa=vehicle.label_pressures_pa.get(axle.name),
        until_weighed_pa=min(kept_pa, ceiling_pa(axle)),
        unknown_because=NoPressure.WHEEL_ENDS_UNKNOWN,
        set_now_unknown_because=NoPressure.WHEEL_ENDS_UNKNOWN,
    )


def ceiling_pa(axle: Axle) -> float:
    """Return the most cold gauge pressure [Pa] that every tire and wheel of an axle may hold."""
    maxima = [end.tires.max_pressure_pa for end in axle.wheel_ends]
    maxima += [end.wheel.max_pressure_pa for end in axle.wheel_ends if end.wheel.max_pressure_pa is not None]
    return min(maxima)


def label_is_floor(vehicle: Vehicle, policy: Policy) -> bool:
    """Return whether no pressure below the vehicle's label is recommended."""
    if policy.label_floor is LabelFloor.LIGHT_AND_TRAILERS:
        return vehicle.is_trailer or not exceeds(vehicle.gvwr_kg, LIGHT_VEHICLE_KG)
    return policy.label_floor is LabelFloor.ALWAYS


def _needs(axle: Axle, estimates: LoadEstimates, fitted: dict[str, FittedTire], policy: Policy) -> list[_Need] | None:
    """Return the need of each wheel end; None unless the loads of both are known."""
    needs = []
    for end in axle.wheel_ends:
        sums = load_per_tire(end, estimates)
        loads = [estimates.known(sum_of) for sum_of in sums.values()]
        known = [load for load in loads if isinstance(load, Estimate)]
        if len(known) < len(loads):
            return None
        upper_kg = max(estimates.upper_bound(sum_of, policy.coverage_factor) for sum_of in sums.values())
        design_kg = upper_kg * (1 + policy.reserve_share)
        doubtful = any(load.provisional or load.u is None for load in known)
        needs.append(_Need(end, upper_kg, design_kg, fitted[end.name].curve.least_for(design_kg), doubtful))
    return needs


def _rounded_least_pa(least: Capacity, policy: Policy, most_pa: float) -> float:
    """Return a published row as it is, an estimate rounded up, but by its step not above the ceiling."""
    if not least.estimated:
        return least.pressure_pa
    rounded_pa = rounded_up(least.pressure_pa, policy.rounding_step_pa)
    return most_pa if least.pressure_pa <= most_pa < rounded_pa else rounded_pa


def _label_or_sidewall_pa(vehicle: Vehicle, axle: Axle) -> float:
    """Return the label's pressure, else the sidewall's within the wheel's."""
    return vehicle.label_pressures_pa.get(axle.name, ceiling_pa(axle))


def _fixed_for_trailer(vehicle: Vehicle, needs: dict[str, list[_Need] | None], policy: Policy) -> float | None:
    """Return the one pressure of a trailer on special-trailer tires, whatever its load; None for other vehicles."""
    special = all(
        end.tires.marking is not None and end.tires.marking.family is Family.SPECIAL_TRAILER
        for axle in vehicle.axles
        for end in axle.wheel_ends
    )
    if not (vehicle.is_trailer and special):
        return None
    kept_pa = max(_label_or_sidewall_pa(vehicle, axle) for axle in vehicle.axles)
    leasts_pa = [
        _rounded_least_pa(need.least, policy, ceiling_pa(axle))
        for axle in vehicle.axles
        for need in needs[axle.name] or ()
        if need.least is not None
    ]
    return max([kept_pa, *leasts_pa])


def _fixed_for_camper(vehicle: Vehicle, axle: Axle) -> float | None:
    """Return the pressure of single CP tires on a motor caravan's rear axle, whatever its load; None elsewhere."""
    camper = all(
        end.tires.fitment is Fitment.SINGLE
        and end.tires.marking is not None
        and end.tires.marking.family is Family.CAMPER
        for end in axle.wheel_ends
    )
    caravan = vehicle.kind in (VehicleKind.MOTORHOME, VehicleKind.VAN)
    if not (camper and caravan and axle is not vehicle.axles[0]):
        return None
    return vehicle.label_pressures_pa.get(axle.name, min(CAMPER_REAR_PA, ceiling_pa(axle)))


def _axle_pressure(
    axle: Axle,
    label_pa: float | None,
    floor_pa: float | None,
    needs: list[_Need],
    fitted: dict[str, FittedTire],
    policy: Policy,
    conditions: Conditions,
) -> AxlePressure:
    """Return the pressure of an axle whose wheel ends are all known."""
    most_pa = ceiling_pa(axle)
    governing = max(needs, key=lambda need: (need.least.pressure_pa if need.least else inf, need.design_kg))
    answer = AxlePressure(
        axle=axle.name,
        ceiling_pa=most_pa,
        label_pa=label_pa,
        governing_wheel_end=governing.wheel_end.name,
        design_load_kg=governing.design_kg,
        least=governing.least,
        provisional=any(need.provisional for need in needs),
    )
    if governing.least is None:
        return _without_pressure(answer, NoPressure.BEYOND_TABLE)
    least_pa = _rounded_least_pa(governing.least, policy, most_pa)
    if exceeds(least_pa, most_pa):
        return _without_pressure(answer, NoPressure.ABOVE_CEILING)
    cold_pa = max(least_pa, floor_pa or 0.0)
    if exceeds(cold_pa, most_pa):
        return _without_pressure(answer, NoPressure.FLOOR_ABOVE_CEILING)
    capacities = [(fitted[need.wheel_end.name].curve.at(cold_pa), need) for need in needs]
    reserves = [
        (capacity.load_kg / need.upper_kg - 1, capacity)
        for capacity, need in capacities
        if capacity is not None and need.upper_kg > 0.0
    ]
    reserve_share, capacity = min(reserves, key=lambda reserve: reserve[0]) if reserves else (None, None)
    answer = structs.replace(answer, cold_pa=cold_pa, capacity=capacity, reserve_share=reserve_share)
    return _with_setting(answer, cold_pa, least_pa, conditions)


def _without_pressure(answer: AxlePressure, because: NoPressure) -> AxlePressure:
    return structs.replace(answer, unknown_because=because, set_now_unknown_because=because)


def _with_setting(answer: AxlePressure, cold_pa: float, least_pa: float, conditions: Conditions) -> AxlePressure:
    """Add what the gauge must show at the filling.

    It holds the cold pressure at the filling place and, where the ceiling allows, at the coldest soak; there it
    holds at least the least pressure, or no fill serves.
    """
    fill, coldest = conditions.fill, conditions.coldest
    if fill is None:
        return structs.replace(answer, set_now_unknown_because=NoPressure.NO_CONDITIONS)
    targets_pa = [cold_pa, least_pa] if coldest else [cold_pa]
    for target_pa in targets_pa:
        held_here_pa = cold_pa
        if coldest is not None:
            held_here_pa = max(
                held_here_pa,
                gauge_at(
                    target_pa,
                    coldest.ambient_temperature_k,
                    coldest.altitude_m,
                    fill.cold_temperature_k,
                    fill.altitude_m,
                ),
            )
        if _is_below_ceiling(held_here_pa, answer.ceiling_pa, fill, coldest):
            return structs.replace(
                answer,
                set_now_pa=gauge_at(
                    held_here_pa,
                    fill.cold_temperature_k,
                    fill.altitude_m,
                    fill.tire_temperature_k,
                    fill.altitude_m,
                ),
                held_when_coldest=None if coldest is None else target_pa == cold_pa,
            )
    return structs.replace(answer, set_now_unknown_because=NoPressure.NO_FILL_SERVES)


def _is_below_ceiling(held_here_pa: float, most_pa: float, fill: Fill, coldest: Soak | None) -> bool:
    """Return whether a cold gauge pressure at the filling place keeps the ceiling there and at the coldest soak."""
    held_pa = [held_here_pa]
    if coldest is not None:
        held_pa.append(
            gauge_at(
                held_here_pa,
                fill.cold_temperature_k,
                fill.altitude_m,
                coldest.ambient_temperature_k,
                coldest.altitude_m,
            )
        )
    return not any(exceeds(pressure_pa, most_pa) for pressure_pa in held_pa)
