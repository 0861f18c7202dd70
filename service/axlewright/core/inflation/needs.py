"""What the loads on an axle ask of its tires, and between which pressures they may be held."""

from typing import Final

from msgspec import Struct

from axlewright.core.estimates import Estimate, LoadEstimates
from axlewright.core.inflation.capacity import MARKING_TOLERANCE_PA, Capacity, CapacityCurve
from axlewright.core.inflation.fitted import FittedTire
from axlewright.core.loads.limits import load_per_tire
from axlewright.core.policy import LabelFloor, Policy
from axlewright.core.rig import Axle, Fitment, Vehicle, VehicleKind
from axlewright.core.tires.family import Family
from axlewright.core.units import BAR_PA, exceeds, rounded_up

LIGHT_VEHICLE_KG: Final = 4_536.0
"""Up to this GVWR (10,000 lb) 49 CFR 571.110 applies, above it 571.120; the figure is the regulation's own."""
CAMPER_REAR_PA: Final = 5.5 * BAR_PA
"""Cold pressure of single CP tires on a motor caravan's rear axle without a label; second hand, quoting ETRTO."""
UNEVEN: Final = 1.1
"""Factor [1] from half an axle to the heavier wheel end of a split of 55 to 45, not rare unweighed; judgement."""


class Need(Struct, frozen=True, gc=False):
    """What one wheel end, or half an axle whose wheel ends are not known, asks of each of its tires.

    ``load`` is the load per tire, ``upper_kg`` its upper bound, ``design_kg`` that with the reserve asked for, where
    it can be served (``reserve_met``), else without. ``least`` is the least cold pressure that carries it, None if none
    does; ``least_for_load`` that of the load without a reserve. ``surely`` is the part of the latter that the load
    needs whatever the tire's full table says: less, where the next of a few published rows was taken and an estimate
    asks for less. ``doubtful`` says that the load failed its cross-check, or that its uncertainty was not stated.
    """

    wheel_end: str
    load: Estimate
    upper_kg: float
    design_kg: float
    least: Capacity | None
    least_for_load: Capacity | None
    surely: Capacity | None
    reserve_met: bool
    doubtful: bool


class AxleNeeds(Struct, frozen=True):
    """The needs that are known; ``complete`` says whether both wheel ends are among them.

    ``uneven_pa`` is the least pressure [Pa] for the heavier wheel end of an uneven split, where only the axle is
    known: the ceiling, if no pressure below it carries that.
    """

    known: tuple[Need, ...]
    complete: bool
    uneven_pa: float | None = None


def axle_needs(axle: Axle, estimates: LoadEstimates, fitted: dict[str, FittedTire], policy: Policy) -> AxleNeeds:
    """Return what the known loads on an axle ask of its tires.

    Where a wheel end is not known but the axle is, half the axle stands for it: the heavier one carries no less.
    """
    most_pa = ceiling_pa(axle)
    needs = []
    for end in axle.wheel_ends:
        loads = [estimates.known(sum_of) for sum_of in load_per_tire(end, estimates).values()]
        known = [load for load in loads if isinstance(load, Estimate)]
        if len(known) == len(loads):
            heaviest = max(known, key=lambda load: load.high(policy.coverage_factor))
            needs.append(_need(end.name, heaviest, fitted[end.name].curve, policy, most_pa))
    if len(needs) == len(axle.wheel_ends):
        return AxleNeeds(tuple(needs), complete=True)
    tires = sum(end.tires.count for end in axle.wheel_ends)
    average = estimates.known(dict.fromkeys(axle.sum_of, 1 / tires))
    if isinstance(average, Estimate):
        halves = [_need(axle.name, average, fitted[end.name].curve, policy, most_pa) for end in axle.wheel_ends]
        needs.append(min(halves, key=lambda need: (need.least is None, need.least and need.least.pressure_pa)))
        uneven_kg = UNEVEN * average.high(policy.coverage_factor)
        uneven_pa = max(_least_pa(fitted[end.name].curve, uneven_kg, policy, most_pa) for end in axle.wheel_ends)
        return AxleNeeds(tuple(needs), complete=False, uneven_pa=uneven_pa)
    return AxleNeeds(tuple(needs), complete=False)


def wanted_pa(need: Need, policy: Policy, most_pa: float) -> float:
    """Return the pressure [Pa] wanted for a need that is served; the ceiling, where its reserve could not be."""
    assert need.least is not None
    return rounded_least_pa(need.least, policy, most_pa) if need.reserve_met else most_pa


def ceiling_pa(axle: Axle) -> float:
    """Return the most cold gauge pressure [Pa] that every tire and wheel of an axle may hold."""
    most_pa = min(axle.left.tires.max_pressure_pa, axle.right.tires.max_pressure_pa)
    for wheel in (axle.left.wheel, axle.right.wheel):
        if wheel.max_pressure_pa is not None:
            most_pa = min(most_pa, wheel.max_pressure_pa)
    return most_pa


def is_above_ceiling(pressure_pa: float, most_pa: float) -> bool:
    """Return whether a pressure is above a ceiling by more than markings in psi and kPa differ."""
    return exceeds(pressure_pa, most_pa + MARKING_TOLERANCE_PA)


def label_is_floor(vehicle: Vehicle, policy: Policy) -> bool:
    """Return whether no pressure below the vehicle's label is recommended."""
    if policy.label_floor is LabelFloor.LIGHT_AND_TRAILERS:
        return vehicle.is_trailer or not exceeds(vehicle.gvwr_kg, LIGHT_VEHICLE_KG)
    return policy.label_floor is LabelFloor.ALWAYS


def label_or_sidewall_pa(vehicle: Vehicle, axle: Axle) -> float:
    """Return the label's pressure [Pa], else the sidewall's within the wheel's."""
    label_pa = vehicle.label_pressures_pa.get(axle.name)
    return ceiling_pa(axle) if label_pa is None else label_pa


def rounded_least_pa(least: Capacity, policy: Policy, most_pa: float) -> float:
    """Return a published row as it is, an estimate rounded up, but by its step not above the ceiling."""
    if not least.estimated:
        return least.pressure_pa
    rounded_pa = rounded_up(least.pressure_pa, policy.rounding_step_pa)
    only_by_its_step = is_served(least, most_pa) and exceeds(rounded_pa, most_pa)
    return most_pa if only_by_its_step else rounded_pa


def is_special_trailer(vehicle: Vehicle, axle: Axle) -> bool:
    """Return whether a trailer's axle has special-trailer tires, which keep their pressure at any load."""
    return vehicle.is_trailer and any(
        end.tires.marking is not None and end.tires.marking.family is Family.SPECIAL_TRAILER for end in axle.wheel_ends
    )


def unfit_families(vehicle: Vehicle, axle: Axle) -> tuple[Family, ...]:
    """Return the families of an axle's tires that are not made for it: trailer tires on a motor vehicle, spares."""
    families = dict.fromkeys(end.tires.marking.family for end in axle.wheel_ends if end.tires.marking is not None)
    return tuple(
        family
        for family in families
        if family is Family.TEMPORARY or (family is Family.SPECIAL_TRAILER and not vehicle.is_trailer)
    )


def trailer_pressure_pa(vehicle: Vehicle) -> float | None:
    """Return the one pressure [Pa] of all special-trailer tires of a trailer: label's, else sidewall's.

    None where the vehicle has no such tires, or where no one pressure suits all its axles.
    """
    axles = [axle for axle in vehicle.axles if is_special_trailer(vehicle, axle)]
    if not axles:
        return None
    kept_pa = max(label_or_sidewall_pa(vehicle, axle) for axle in axles)
    return None if any(is_above_ceiling(kept_pa, ceiling_pa(axle)) for axle in axles) else kept_pa


def camper_pressure_pa(vehicle: Vehicle, axle: Axle) -> float | None:
    """Return the pressure [Pa] of single CP tires on a motor caravan's rear axle, at any load; None elsewhere."""
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


def _need(name: str, load: Estimate, curve: CapacityCurve, policy: Policy, most_pa: float) -> Need:
    upper_kg = load.high(policy.coverage_factor)
    least_for_load = _least(curve, upper_kg, most_pa)
    design_kg, least, reserve_met = upper_kg, least_for_load, True
    if policy.reserve_share:
        with_reserve_kg = upper_kg * (1 + policy.reserve_share)
        with_reserve = _least(curve, with_reserve_kg, most_pa)
        reserve_met = is_served(with_reserve, most_pa)
        if reserve_met:
            design_kg, least = with_reserve_kg, with_reserve
    return Need(
        wheel_end=name,
        load=load,
        upper_kg=upper_kg,
        design_kg=design_kg,
        least=least,
        least_for_load=least_for_load,
        surely=_surely(curve, least_for_load, upper_kg),
        reserve_met=reserve_met,
        doubtful=load.provisional or load.u is None,
    )


def _surely(curve: CapacityCurve, least: Capacity | None, upper_kg: float) -> Capacity | None:
    if least is None or curve.complete or not curve.published:
        return least
    estimate = curve.estimate_for(upper_kg)
    return estimate if estimate is not None and exceeds(least.pressure_pa, estimate.pressure_pa) else least


def _least_pa(curve: CapacityCurve, load_kg: float, policy: Policy, most_pa: float) -> float:
    least = _least(curve, load_kg, most_pa)
    return rounded_least_pa(least, policy, most_pa) if least is not None and is_served(least, most_pa) else most_pa


def _least(curve: CapacityCurve, load_kg: float, most_pa: float) -> Capacity | None:
    """Return the least pressure for a load; the ceiling itself, where only the next row lies above it."""
    least = curve.least_for(load_kg)
    if least is None or is_served(least, most_pa):
        return least
    return _capacity_at_ceiling(curve, load_kg, most_pa) or least


def is_served(least: Capacity | None, most_pa: float) -> bool:
    """Return whether there is a pressure for a load, and the ceiling [Pa] allows it; an estimate is no marking."""
    if least is None:
        return False
    if least.estimated:
        return not exceeds(least.pressure_pa, most_pa)
    return not is_above_ceiling(least.pressure_pa, most_pa)


def _capacity_at_ceiling(curve: CapacityCurve, load_kg: float, most_pa: float) -> Capacity | None:
    """Return the capacity at the ceiling where it carries a load [kg]."""
    capacity = curve.at(most_pa)
    return None if capacity is None or exceeds(load_kg, capacity.load_kg) else capacity
