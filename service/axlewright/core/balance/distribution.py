"""Centre of gravity, side difference, end shares and twist of one vehicle, from its wheel-end loads.

Sources: sums of moments about the first axle and the centre line (statics; as in truck makers' body-builder
manuals); doubts to first order (JCGM 100:2008, 5.1.2 and 5.2.2). The bands of the side difference are common
practice, no source: information, never a verdict over a limit.
"""

from enum import StrEnum
from typing import Final

from msgspec import Struct

from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.loads.limits import share_of, vehicle_load
from axlewright.core.rig import Axle, Side, Vehicle
from axlewright.core.units import POUND_KG

LOOK_KG: Final = 800 * POUND_KG
LOOK_SHARE: Final = 0.08
ACT_KG: Final = 1_000 * POUND_KG
ACT_SHARE: Final = 0.10
ROUNDING_KG: Final = 1e-6
"""A smaller difference is the rounding of sums."""


class Band(StrEnum):
    """What common practice says to a side difference."""

    ORDINARY = "ordinary"
    LOOK = "look"
    ACT = "act"


class SideDifference(Struct, frozen=True):
    """Right less left [kg], which side is surely heavier (None within the doubt), and the band it falls in.

    ``look_from_kg`` and ``act_from_kg`` are where the bands begin; band and both are None for a whole vehicle. Without
    a stated doubt, and after a failed cross-check, neither side nor band is told.
    """

    difference: Estimate | UnknownBecause
    heavy_side: Side | None = None
    band: Band | None = None
    look_from_kg: float | None = None
    act_from_kg: float | None = None


class VehicleBalance(Struct, frozen=True):
    """Where one vehicle's load sits.

    Attributes
    ----------
    aft, right
        Centre of gravity [m] from the vehicle's origin and its centre line.
    sides
        Right less left over all axles.
    side_by_axle
        The same by axle.
    end_shares
        Each axle's share of the load on all axles.
    twist
        Diagonal beyond what end and side shares explain, as a share; None unless there are two axles.
    """

    vehicle: str
    aft: Estimate | UnknownBecause
    right: Estimate | UnknownBecause
    sides: SideDifference
    side_by_axle: dict[str, SideDifference]
    end_shares: dict[str, Estimate | UnknownBecause]
    twist: Estimate | UnknownBecause | None


def vehicle_balance(vehicle: Vehicle, estimates: LoadEstimates, coverage_factor: float) -> VehicleBalance:
    """Return where the load on a vehicle's wheels sits.

    Parameters
    ----------
    coverage_factor
        k: a side counts as heavier only beyond k u.
    """
    whole = vehicle.sum_of
    moment_aft = {end.name: axle.aft_m for axle in vehicle.axles for end in axle.wheel_ends}
    moment_right = {
        end.name: (axle.track_m if end.side is Side.RIGHT else -axle.track_m) / 2
        for axle in vehicle.axles
        for end in axle.wheel_ends
    }
    difference = {name: 1.0 if lever > 0.0 else -1.0 for name, lever in moment_right.items()}
    return VehicleBalance(
        vehicle=vehicle.name,
        aft=_center(vehicle, moment_aft, estimates),
        right=_center(vehicle, moment_right, estimates),
        sides=_side_difference(estimates.known(difference), coverage_factor),
        side_by_axle={axle.name: _axle_side(axle, estimates, coverage_factor) for axle in vehicle.axles},
        end_shares={axle.name: share_of(axle.sum_of, whole, estimates) for axle in vehicle.axles},
        twist=_twist(vehicle, estimates) if len(vehicle.axles) == 2 else None,
    )


def _center(vehicle: Vehicle, moment: dict[str, float], estimates: LoadEstimates) -> Estimate | UnknownBecause:
    """Return moment over load [m]; part of a trailer's weight rests on its coupling, the origin of its places."""
    load = vehicle_load(vehicle, estimates)
    return load if isinstance(load, UnknownBecause) else share_of(moment, vehicle.whole, estimates)


def _axle_side(axle: Axle, estimates: LoadEstimates, coverage_factor: float) -> SideDifference:
    difference = estimates.known({axle.right.name: 1.0, axle.left.name: -1.0})
    load = estimates.known(axle.sum_of)
    if isinstance(load, UnknownBecause):
        return SideDifference(load)
    bands = (
        min(LOOK_KG, LOOK_SHARE * max(load.value, 0.0)),
        min(ACT_KG, ACT_SHARE * max(load.value, 0.0)),
    )
    return _side_difference(difference, coverage_factor, bands)


def _side_difference(
    difference: Estimate | UnknownBecause,
    coverage_factor: float,
    bands: tuple[float, float] | None = None,
) -> SideDifference:
    look_kg, act_kg = bands or (None, None)
    if isinstance(difference, UnknownBecause):
        return SideDifference(difference, None, None, look_kg, act_kg)
    if difference.u is None or difference.provisional:
        return SideDifference(difference, None, None, look_kg, act_kg)
    sure_kg = abs(difference.value) - difference.spread(coverage_factor)
    heavy_side = None
    if sure_kg > ROUNDING_KG:
        heavy_side = Side.RIGHT if difference.value > 0.0 else Side.LEFT
    band = None
    if look_kg is not None and act_kg is not None:
        band = Band.ACT if sure_kg >= act_kg else Band.LOOK if sure_kg >= look_kg else Band.ORDINARY
    return SideDifference(difference, heavy_side, band, look_kg, act_kg)


def _twist(vehicle: Vehicle, estimates: LoadEstimates) -> Estimate | UnknownBecause:
    """Return (right front + left rear)/W - [f s + (1 - f)(1 - s)], f the front's and s the right side's share.

    With the loads a, b (front left, right) and c, d (rear left, right) it equals 2 (b c - a d)/W^2, whose
    derivatives give the doubt.
    """
    front, rear = vehicle.axles
    ends = (front.left.name, front.right.name, rear.left.name, rear.right.name)
    loads = [estimates.known({end: 1.0}) for end in ends]
    for load in loads:
        if isinstance(load, UnknownBecause):
            return load
    known = [load for load in loads if isinstance(load, Estimate)]
    a, b, c, d = (load.value for load in known)
    whole = a + b + c + d
    if whole <= 0.0:
        return UnknownBecause.IMPOSSIBLE
    twist = 2 * (b * c - a * d) / whole**2
    slopes = [(2 * slope / whole - 2 * twist) / whole for slope in (-d, c, b, -a)]
    return estimates.to_first_order(twist, dict(zip(ends, slopes, strict=True)))
