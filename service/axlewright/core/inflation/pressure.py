"""The cold pressure of each axle, for its heaviest wheel end, within floor and ceiling.

Common practice, save where the policy and the tables name their source: all tires of an axle get one pressure,
from its heaviest wheel end's upper bound; special-trailer tires keep the label's or sidewall's pressure at any
load, camper tires (CP) single on a motor caravan's rear axle the label's, else 5.5 bar. Trailer tires on a motor
vehicle and temporary spares are not lowered by load either: they do not belong there.
"""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from math import inf

from msgspec import Struct, structs

from axlewright.core.estimates import LoadEstimates
from axlewright.core.inflation.capacity import Capacity
from axlewright.core.inflation.fitted import FittedTire
from axlewright.core.inflation.needs import (
    AxleNeeds,
    Need,
    axle_needs,
    camper_pressure_pa,
    ceiling_pa,
    is_above_ceiling,
    is_served,
    is_special_trailer,
    label_is_floor,
    label_or_sidewall_pa,
    rounded_least_pa,
    trailer_pressure_pa,
    unfit_families,
    wanted_pa,
)
from axlewright.core.inflation.next_row import NextRow, next_row
from axlewright.core.inflation.setting import NoSetting, Setting, setting
from axlewright.core.policy import Conditions, Policy
from axlewright.core.rig import Axle, Rig, Vehicle
from axlewright.core.units import exceeds


class NoPressure(StrEnum):
    """Why an axle gets no pressure by load."""

    WHEEL_ENDS_UNKNOWN = "wheel_ends_unknown"
    BEYOND_TABLE = "beyond_table"
    ABOVE_CEILING = "above_ceiling"
    NO_ROW_BELOW_CEILING = "no_row_below_ceiling"
    FLOOR_ABOVE_CEILING = "floor_above_ceiling"


class Floor(StrEnum):
    """What keeps a pressure from following the load."""

    LABEL = "label"
    SPECIAL_TRAILER = "special_trailer"
    HEAVIEST_OF_TRAILER = "heaviest_of_trailer"
    NOT_FOR_VEHICLE = "not_for_vehicle"
    CAMPER = "camper"


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
    need
        The wheel end that asks for the most, as far as known.
    known
        What each wheel end asks for, as far as known.
    least_pa
        The least cold pressure for that, rounded up where it is an estimate.
    cold_pa
        The cold pressure to hold.
    floor
        What raised it above the need, if anything did.
    capacity
        What one tire may carry at that pressure, at the wheel end where least is left.
    reserve_share
        Capacity over the upper bound of the load, less 1.
    reserve_pressure_met
        Whether the ceiling left room for the pressure that was asked for above the least.
    next_row
        What the next row would give, there.
    setting
        What the gauge must show at the filling.
    provisional
        A load failed its cross-check, or its uncertainty was not stated.
    """

    axle: str
    ceiling_pa: float
    label_pa: float | None
    until_weighed_pa: float | None = None
    need: Need | None = None
    known: tuple[Need, ...] = ()
    least_pa: float | None = None
    cold_pa: float | None = None
    floor: Floor | None = None
    capacity: Capacity | None = None
    reserve_share: float | None = None
    reserve_pressure_met: bool = True
    next_row: NextRow | None = None
    setting: Setting
    provisional: bool = False
    unknown_because: NoPressure | None = None


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
        _with_setting(pressure, conditions)
        for vehicle in rig.vehicles
        for pressure in _vehicle_pressures(vehicle, estimates, fitted, policy)
    )


def _vehicle_pressures(
    vehicle: Vehicle, estimates: LoadEstimates, fitted: dict[str, FittedTire], policy: Policy
) -> Iterator[AxlePressure]:
    all_needs = {axle.name: axle_needs(axle, estimates, fitted, policy) for axle in vehicle.axles}
    trailer_pa, kept = trailer_pressure_pa(vehicle), Floor.SPECIAL_TRAILER
    if trailer_pa is not None:
        needed_pa = max(_needed_by_all(vehicle, all_needs, policy, trailer_pa), default=trailer_pa)
        if exceeds(needed_pa, trailer_pa):
            trailer_pa, kept = needed_pa, Floor.HEAVIEST_OF_TRAILER
    for axle in vehicle.axles:
        floor, floor_pa = _floor(vehicle, axle, trailer_pa, policy)
        if floor is Floor.SPECIAL_TRAILER:
            floor = kept
        yield _axle_pressure(vehicle, axle, all_needs[axle.name], floor, floor_pa, fitted, policy)


def _needed_by_all(
    vehicle: Vehicle, all_needs: dict[str, AxleNeeds], policy: Policy, kept_pa: float
) -> Iterator[float]:
    """Yield what the special-trailer axles need, as long as all of them may hold it: they get one pressure."""
    axles = [axle for axle in vehicle.axles if is_special_trailer(vehicle, axle)]
    lowest_ceiling_pa = min(ceiling_pa(axle) for axle in axles)
    for axle in axles:
        for need in all_needs[axle.name].known:
            if need.least is not None:
                needed_pa = wanted_pa(need, policy, ceiling_pa(axle))
                if needed_pa <= lowest_ceiling_pa:
                    needed_pa = min(needed_pa + policy.reserve_pressure_pa, lowest_ceiling_pa)
                    if kept_pa < needed_pa:
                        yield needed_pa


def _floor(vehicle: Vehicle, axle: Axle, trailer_pa: float | None, policy: Policy) -> tuple[Floor | None, float | None]:
    if is_special_trailer(vehicle, axle):
        return Floor.SPECIAL_TRAILER, label_or_sidewall_pa(vehicle, axle) if trailer_pa is None else trailer_pa
    if unfit_families(vehicle, axle):
        return Floor.NOT_FOR_VEHICLE, label_or_sidewall_pa(vehicle, axle)
    camper_pa = camper_pressure_pa(vehicle, axle)
    if camper_pa is not None:
        return Floor.CAMPER, camper_pa
    label_pa = vehicle.label_pressures_pa.get(axle.name)
    if label_pa is not None and label_is_floor(vehicle, policy):
        return Floor.LABEL, label_pa
    return None, None


def _axle_pressure(
    vehicle: Vehicle,
    axle: Axle,
    needs: AxleNeeds,
    floor: Floor | None,
    floor_pa: float | None,
    fitted: dict[str, FittedTire],
    policy: Policy,
) -> AxlePressure:
    most_pa = ceiling_pa(axle)
    answer = AxlePressure(
        axle=axle.name,
        ceiling_pa=most_pa,
        label_pa=vehicle.label_pressures_pa.get(axle.name),
        known=needs.known,
        setting=Setting(because=NoSetting.NO_PRESSURE),
        provisional=any(need.doubtful for need in needs.known),
    )
    kept_pa = label_or_sidewall_pa(vehicle, axle) if floor_pa is None else floor_pa
    if needs.known:
        unserved = [need for need in needs.known if not is_served(need.least, most_pa)]
        need = _governing(unserved or needs.known)
        if need.least is None:
            return structs.replace(answer, need=need, unknown_because=NoPressure.BEYOND_TABLE)
        least_pa = max(rounded_least_pa(each.least, policy, most_pa) for each in needs.known if each.least)
        answer = structs.replace(answer, need=need, least_pa=least_pa)
        if unserved:
            because = _above_ceiling(need, axle, fitted, most_pa)
            return structs.replace(answer, unknown_because=because)
        kept_pa = max(kept_pa, *(rounded_least_pa(each.surely, policy, most_pa) for each in needs.known if each.surely))
        kept_pa = max(kept_pa, needs.uneven_pa or 0.0)
    if not needs.complete:
        return structs.replace(
            answer, until_weighed_pa=min(kept_pa, most_pa), unknown_because=NoPressure.WHEEL_ENDS_UNKNOWN
        )
    assert answer.least_pa is not None
    if is_above_ceiling(max(answer.least_pa, floor_pa or 0.0), most_pa):
        return structs.replace(answer, unknown_because=NoPressure.FLOOR_ABOVE_CEILING)
    by_load_pa = max(wanted_pa(each, policy, most_pa) for each in needs.known) + policy.reserve_pressure_pa
    answer = structs.replace(
        answer,
        cold_pa=min(max(by_load_pa, floor_pa or 0.0), most_pa),
        floor=_floor_that_holds(floor, floor_pa, by_load_pa),
        reserve_pressure_met=not (policy.reserve_pressure_pa and is_above_ceiling(by_load_pa, most_pa)),
    )
    return _with_capacity(answer, needs, fitted)


def _floor_that_holds(floor: Floor | None, floor_pa: float | None, by_load_pa: float) -> Floor | None:
    """Return the floor that sets the pressure; the trailer's heaviest axle itself goes by its load."""
    if floor_pa is None or exceeds(by_load_pa, floor_pa):
        return None
    if floor is Floor.HEAVIEST_OF_TRAILER and not exceeds(floor_pa, by_load_pa):
        return None
    return floor


def _governing(needs: Sequence[Need]) -> Need:
    """Return the need for the most pressure, of these the heaviest; the first of equals, in whatever units."""
    governing = needs[0]
    for need in needs[1:]:
        pressures_pa = [each.least.pressure_pa if each.least else inf for each in (governing, need)]
        same = pressures_pa[0] == pressures_pa[1] or not exceeds(max(pressures_pa), min(pressures_pa))
        if exceeds(need.design_kg, governing.design_kg) if same else pressures_pa[1] > pressures_pa[0]:
            governing = need
    return governing


def _above_ceiling(need: Need, axle: Axle, fitted: dict[str, FittedTire], most_pa: float) -> NoPressure:
    """Return whether the need is surely above the ceiling, or only no known row below it serves."""
    for end in axle.wheel_ends:
        capacity = fitted[end.name].curve.at(most_pa)
        if need.wheel_end in (end.name, axle.name) and (
            capacity is None or not exceeds(need.upper_kg, capacity.at_most_kg)
        ):
            return NoPressure.NO_ROW_BELOW_CEILING
    return NoPressure.ABOVE_CEILING


def _with_capacity(answer: AxlePressure, needs: AxleNeeds, fitted: dict[str, FittedTire]) -> AxlePressure:
    """Add what one tire carries at the cold pressure, at the wheel end where least is left."""
    assert answer.cold_pa is not None
    reserves = [
        (capacity.load_kg / need.upper_kg - 1, capacity, need)
        for need in needs.known
        if need.upper_kg > 0.0 and (capacity := fitted[need.wheel_end].curve.at(answer.cold_pa)) is not None
    ]
    if not reserves:
        return answer
    reserve_share, capacity, need = min(reserves, key=lambda reserve: reserve[0])
    above = next_row(fitted[need.wheel_end].curve, answer.cold_pa, need.upper_kg, answer.ceiling_pa)
    return structs.replace(answer, capacity=capacity, reserve_share=reserve_share, next_row=above)


def _with_setting(answer: AxlePressure, conditions: Conditions) -> AxlePressure:
    if answer.cold_pa is None or answer.need is None or answer.need.least is None:
        return answer
    least_pa = min(answer.need.least.pressure_pa, answer.cold_pa)
    return structs.replace(answer, setting=setting(answer.cold_pa, least_pa, answer.ceiling_pa, conditions))
