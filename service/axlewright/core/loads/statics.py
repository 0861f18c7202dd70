"""Where the weight of a mass goes: one matrix a vehicle, from a mass at a point to wheel ends and coupling.

Sources: equilibrium of forces and moments (statics); with more supports than equilibrium settles, a rigid body on
springs. The defaults of stiffness and roll stiffness, and the doubts of what was not stated, are judgement.

Along the vehicle, its supports are the axle groups that share load in a fixed proportion, the other axles, and a
trailer's coupling. Two supports share by the lever rule. A motor vehicle on more settles on springs; a trailer on
more turns about its coupling, whose height the towing vehicle holds. Across the vehicle, the axles share the roll
moment in proportion to their roll stiffness; a ball and a kingpin pass none.
"""

from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum
from math import exp, sqrt
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.errors import CoreError
from axlewright.core.estimates import Columns, Estimate, LoadEstimates
from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.limits import share_of
from axlewright.core.rig import Axle, AxleGroup, Rig, Side, Stated, Suspension, Vehicle

Matrix = NDArray[np.float64]

STIFFNESS_DOUBT: Final = 0.3
"""Relative standard uncertainty of a vertical stiffness taken in proportion to the axle's rating; judgement."""
ROLL_DOUBT: Final = 0.3
"""The same of a roll stiffness that was taken as rating times track squared; judgement."""
SPLIT_DOUBT: Final = 0.03
"""Standard uncertainty of an axle's share of its group that was neither stated nor measured; judgement."""
STEP: Final = 1e-4
"""Step of the central differences, in logarithms; their error is some 1e-9."""
NO_EFFECT: Final = 1e-8
"""A smaller change per kg is the rounding of differences."""


class AssumptionKind(StrEnum):
    """What is assumed where equilibrium alone does not settle the loads."""

    ROLL_STIFFNESS = "roll_stiffness"
    STIFFNESS = "stiffness"
    GROUP_SPLIT = "group_split"


class Origin(StrEnum):
    """Where the value of an assumption comes from."""

    STATED = "stated"
    MEASURED = "measured"
    USUAL = "usual"


class Assumption(Struct, frozen=True):
    """One quantity that was not settled: of which axle, the value used, its standard uncertainty as a share of it.

    ``origin`` tells what somebody stated, or what was weighed, from a value of ours.
    """

    kind: AssumptionKind
    subject: str
    value: float
    relative_u: float
    origin: Origin

    @property
    def name(self) -> str:
        """What its error is called among the errors of loads."""
        return f"{self.kind} {self.subject}"


class Statics(Struct, frozen=True):
    """What a mass on one vehicle does to the loads.

    Attributes
    ----------
    per_mass
        Change (m, 3) of every load per kg, per kg m rearwards and per kg m to the right.
    effects
        The same for one standard uncertainty of each assumption, by name.
    assumptions
        What was assumed, and matters here.
    """

    per_mass: Matrix
    effects: dict[str, Matrix]
    assumptions: tuple[Assumption, ...]

    def change(
        self,
        what: str,
        mass_kg: float,
        aft_m: float,
        right_m: float,
        doubts: tuple[float, float, float],
        where: str = "",
    ) -> LoadChange:
        """Return what a mass at a point does to the loads [kg].

        Parameters
        ----------
        what
            Name of the mass: its own errors are independent of those of masses with other names.
        mass_kg, aft_m, right_m
            Mass, negative where it leaves, and its place.
        doubts
            Standard uncertainties of the three.
        where
            Name of the place, for a mass that is at several: its place errors are its own at each.
        """
        point = np.array([1.0, aft_m, right_m])
        mass_u, aft_u, right_u = doubts
        effects = {name: mass_kg * (effect @ point) for name, effect in self.effects.items()}
        own = {
            f"{what}: mass": mass_u * (self.per_mass @ point),
            f"{what} {where}: aft": mass_kg * aft_u * self.per_mass[:, 1],
            f"{what} {where}: right": mass_kg * right_u * self.per_mass[:, 2],
        }
        return LoadChange(mass_kg * (self.per_mass @ point), effects | {n: e for n, e in own.items() if e.any()})


def vehicle_statics(vehicle: Vehicle, columns: Columns, measured: LoadEstimates | None = None) -> Statics:
    """Return the matrix of one vehicle.

    Parameters
    ----------
    columns
        The loads (m) of the rig that the answer speaks of.
    measured
        Known loads: an axle group keeps the split that was measured, if no split is stated.

    Raises
    ------
    CoreError
        ``no_statics`` if the vehicle cannot stand on its axles, and its coupling, by itself.
    """
    _refuse_unstable(vehicle)
    assumptions = _assumptions(vehicle, measured)
    values = {assumption.name: assumption.value for assumption in assumptions}
    per_mass = _matrix(vehicle, columns, values)
    effects: dict[str, Matrix] = {}
    for assumption in [each for each in assumptions if each.relative_u]:
        effect = assumption.relative_u * _derivative(
            lambda changed: _matrix(vehicle, columns, changed), values, assumption.name
        )
        if np.abs(effect).max() > NO_EFFECT:
            effects[assumption.name] = effect
    used = tuple(each for each in assumptions if each.name in effects)
    return Statics(per_mass, effects, used)


def rig_statics(rig: Rig, estimates: LoadEstimates) -> dict[str, Statics]:
    """Return the matrix of every vehicle of a rig by its name, each standing by itself; raises as `vehicle_statics`."""
    return {vehicle.name: vehicle_statics(vehicle, estimates.columns, estimates) for vehicle in rig.vehicles}


def _refuse_unstable(vehicle: Vehicle) -> None:
    if vehicle.is_trailer and vehicle.axles[0].aft_m <= 0.0:
        raise CoreError("no_statics", vehicle.name, "a trailer's axles lie behind its coupling point, at more than 0")
    if not vehicle.is_trailer and len(supports_of(vehicle)) < 2:
        raise CoreError("no_statics", vehicle.name, "a motor vehicle needs two axles, or groups of them, to stand on")


def _derivative(matrix: Callable[[Mapping[str, float]], Matrix], values: Mapping[str, float], name: str) -> Matrix:
    """Return the derivative of a matrix with respect to the logarithm of one of the values that it rests on."""
    above = matrix({**values, name: values[name] * exp(STEP)})
    below = matrix({**values, name: values[name] * exp(-STEP)})
    slope: Matrix = (above - below) / (2 * STEP)
    return slope


def supports_of(vehicle: Vehicle) -> list[list[Axle]]:
    """Return the vehicle's axles by what they rest on together, front to back."""
    shared = [group for group in vehicle.groups if group.suspension is not Suspension.INDEPENDENT]
    group_of = {name: place for place, group in enumerate(shared) for name in group.axles}
    supports: dict[str, list[Axle]] = {}
    for axle in vehicle.axles:
        key = f"group {group_of[axle.name]}" if axle.name in group_of else axle.name
        supports.setdefault(key, []).append(axle)
    return list(supports.values())


def _assumptions(vehicle: Vehicle, measured: LoadEstimates | None) -> list[Assumption]:
    rolls = {axle.name: axle.gawr_kg * axle.track_m**2 for axle in vehicle.axles}
    ratings = {axle.name: axle.gawr_kg for axle in vehicle.axles}
    found = _shares(AssumptionKind.ROLL_STIFFNESS, vehicle.roll_shares, rolls)
    for axle in vehicle.axles:
        stated = vehicle.stiffnesses.get(axle.name)
        value, relative_u, origin = ratings[axle.name], STIFFNESS_DOUBT, Origin.USUAL
        if stated is not None:
            value, relative_u, origin = stated.value, stated.u / stated.value, Origin.STATED
        found.append(Assumption(AssumptionKind.STIFFNESS, axle.name, value, relative_u, origin))
    for axles in supports_of(vehicle):
        if len(axles) > 1:
            found += _split(vehicle, axles, measured)
    return found


def _shares(kind: AssumptionKind, stated: Mapping[str, Stated], usual: Mapping[str, float]) -> list[Assumption]:
    """Return the shares of axles that add up to 1: as stated, else by what is usual."""
    if stated:
        return [
            Assumption(kind, name, share.value, _relative_u(share.value, share.u, len(stated)), Origin.STATED)
            for name, share in stated.items()
        ]
    whole = sum(usual.values())
    return [Assumption(kind, name, value / whole, ROLL_DOUBT, Origin.USUAL) for name, value in usual.items()]


def _relative_u(share: float, u: float, count: int) -> float:
    """Return the relative doubt of a weight that, with equal ones of the others, gives a share its doubt."""
    if u == 0.0 or count < 2 or not 0.0 < share < 1.0:
        return 0.0
    return u / (share * (1.0 - share)) * sqrt((count - 1) / count)


def _split(vehicle: Vehicle, axles: Sequence[Axle], measured: LoadEstimates | None) -> list[Assumption]:
    """Return how a group's axles share: as stated, else as measured, else evenly or by rating."""
    names = [axle.name for axle in axles]
    group = next(group for group in vehicle.groups if set(names) <= set(group.axles))
    shares, origin = _group_shares(group, axles, measured)
    return [
        Assumption(AssumptionKind.GROUP_SPLIT, name, share.value, _relative_u(share.value, share.u, len(axles)), origin)
        for name, share in zip(names, shares, strict=True)
    ]


def _group_shares(
    group: AxleGroup, axles: Sequence[Axle], measured: LoadEstimates | None
) -> tuple[Sequence[Stated], Origin]:
    if group.split is not None:
        return [Stated(group.split[group.axles.index(axle.name)]) for axle in axles], Origin.STATED
    weighed = None if measured is None else _weighed_shares(axles, measured)
    if weighed is not None:
        return weighed, Origin.MEASURED
    if group.suspension is Suspension.EQUALISED:
        return [Stated(1.0 / len(axles), SPLIT_DOUBT)] * len(axles), Origin.USUAL
    whole = sum(axle.gawr_kg for axle in axles)
    return [Stated(axle.gawr_kg / whole, SPLIT_DOUBT) for axle in axles], Origin.USUAL


def _weighed_shares(axles: Sequence[Axle], measured: LoadEstimates) -> list[Stated] | None:
    """Return each axle's share of the load weighed on a group, to first order; None where one is not known.

    The doubt counts as independent of the loads' own. Where a load's is not stated, or its cross-check failed, it is at
    least that of a share that was not measured.
    """
    whole = {name: weight for axle in axles for name, weight in axle.sum_of.items()}
    shares = []
    for axle in axles:
        load, share = measured.known(axle.sum_of), share_of(axle.sum_of, whole, measured)
        if not isinstance(load, Estimate) or not isinstance(share, Estimate) or share.value <= 0.0:
            return None
        shares.append((share, load.u is None or load.provisional))
    least_u = SPLIT_DOUBT if any(is_doubtful for _, is_doubtful in shares) else 0.0
    return [Stated(share.value, max(share.spread(1.0), share.drop, share.rise, least_u)) for share, _ in shares]


def _matrix(vehicle: Vehicle, columns: Columns, values: Mapping[str, float]) -> Matrix:
    """Return the change (m, 3) of all loads per kg, kg m rearwards and kg m to the right, for assumed values."""
    per_mass = np.zeros((len(columns.names), 3))
    along = _along(vehicle, values)
    rolls = {axle.name: values[f"{AssumptionKind.ROLL_STIFFNESS} {axle.name}"] for axle in vehicle.axles}
    whole_roll = sum(rolls.values())
    for axle in vehicle.axles:
        for end in axle.wheel_ends:
            toward = 1.0 if end.side is Side.RIGHT else -1.0
            row = np.append(along[axle.name] / 2, toward * rolls[axle.name] / whole_roll / axle.track_m)
            own = columns.of[end.name]
            per_mass[list(own)] = row / len(own)
    if vehicle.is_trailer:
        per_mass[columns.of[vehicle.coupling][0]] = (*along[vehicle.coupling], 0.0)
    return per_mass


def _along(vehicle: Vehicle, values: Mapping[str, float]) -> dict[str, Matrix]:
    """Return what each axle, and a trailer's coupling, takes of 1 kg at the origin and of 1 kg m rearwards."""
    supports = supports_of(vehicle)
    splits = [
        _normalised([values.get(f"{AssumptionKind.GROUP_SPLIT} {axle.name}", 1.0) for axle in axles])
        for axles in supports
    ]
    places = np.array(
        [
            sum(share * axle.aft_m for share, axle in zip(split, axles, strict=True))
            for split, axles in zip(splits, supports, strict=True)
        ]
    )
    stiffness = np.array(
        [sum(values[f"{AssumptionKind.STIFFNESS} {axle.name}"] for axle in axles) for axles in supports]
    )
    # A trailer turns about its coupling; a motor vehicle also sinks.
    moves = places[:, np.newaxis] if vehicle.is_trailer else np.column_stack([np.ones_like(places), places])
    sprung = stiffness[:, np.newaxis] * moves
    loads = sprung @ np.linalg.inv(moves.T @ sprung)
    if vehicle.is_trailer:
        loads = np.column_stack([np.zeros_like(places), loads])
    along = {
        axle.name: share * load
        for split, axles, load in zip(splits, supports, loads, strict=True)
        for share, axle in zip(split, axles, strict=True)
    }
    if vehicle.is_trailer:
        along[vehicle.coupling] = np.array([1.0, 0.0]) - loads.sum(axis=0)
    return along


def _normalised(weights: Sequence[float]) -> list[float]:
    whole = sum(weights)
    return [weight / whole for weight in weights]
