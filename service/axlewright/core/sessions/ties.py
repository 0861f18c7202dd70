"""What equilibrium ties between the loads of coupling states.

Sources: equilibrium of forces and moments (statics). Hitching adds a force at the hitch to the towing vehicle: the
moment of its axles about the hitch stays. Levelling bars put a moment between the vehicles, which the whole rig does
not feel: the sum of all loads stays, and their moment. The doubt of a moment is that of the lengths in it; as a length
told wrongly is no doubt, moments check the readings and tell no load.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.estimates import VISIBLE, Columns
from axlewright.core.loads.aboard import PLACE_DOUBT_M
from axlewright.core.loads.statics import vehicle_statics
from axlewright.core.rig import CouplingKind, CouplingState, Hitch, Rig, Vehicle
from axlewright.core.sessions.adjustment import Inverse
from axlewright.core.sessions.layout import Weights
from axlewright.core.sessions.passes import LoadNames, WeighSession, wheel_end_of

Matrix = NDArray[np.float64]

EXACT_U_SHARE: Final = 1e-3
"""Share of a reading's standard uncertainty with which an exact tie enters: far below it, and above rounding."""
USUAL_COUPLING_SHARE: Final = 0.15
"""Share of its rating that a trailer's coupling carries, for the doubt of a tie where no reading tells; judgement."""

SOLO, HITCHED, LEVELLED = CouplingState


class TieKind(StrEnum):
    """What stays from one coupling state to the other."""

    WEIGHT = "weight"
    MOMENT = "moment"


class Tie(Struct, frozen=True):
    """A weighted sum of loads, by their names, that is nothing: what stays between two states.

    A moment is divided by the longest of its arms, so that it is a mass. ``per_length`` holds by the name of each
    length what the sum changes by [kg] per m of error in it, as a weighted sum of loads.
    """

    kind: TieKind
    between: tuple[CouplingState, CouplingState]
    weights: Weights
    per_length: dict[str, Weights] = {}


class HitchedPair(Struct, frozen=True):
    """A towing vehicle and a trailer whose coupling loads it, on a ball or a fifth wheel."""

    tow: Vehicle
    towed: Vehicle
    hitch: Hitch


def hitched_pair(rig: Rig) -> HitchedPair | None:
    """Return the first such pair of a rig."""
    by_name = {vehicle.name: vehicle for vehicle in rig.vehicles}
    for coupling in rig.couplings:
        hitch = by_name[coupling.tow].hitch
        if coupling.kind in (CouplingKind.BALL, CouplingKind.FIFTH_WHEEL) and hitch is not None:
            return HitchedPair(by_name[coupling.tow], by_name[coupling.towed], hitch)
    return None


def ties_of(rig: Rig, session: WeighSession) -> tuple[Tie, ...]:
    """Return the ties between states in which every wheel that they speak of was on a platform."""
    pair = hitched_pair(rig)
    if pair is None or session.states == {SOLO}:
        return ()
    names = LoadNames.of(rig)
    read = {names.name(wheel_end_of(wheel), each.state) for each in session.readings for wheel in each.wheels}
    ties = [tie for tie in _possible_ties(pair, names) if tie and all(name in read for name, _ in tie.weights)]
    # From solo to levelled nothing more stays than by way of hitched.
    by_way = {(SOLO, HITCHED), (HITCHED, LEVELLED)} <= {tie.between for tie in ties if tie.kind is TieKind.MOMENT}
    return tuple(tie for tie in ties if not (by_way and tie.between == (SOLO, LEVELLED)))


def _possible_ties(pair: HitchedPair, names: LoadNames) -> Iterator[Tie | None]:
    yield _moment(pair, names, SOLO, HITCHED)
    change = {
        **_change(pair.tow, dict.fromkeys(_axles(pair.tow), 1.0), names, HITCHED, LEVELLED),
        **_change(pair.towed, dict.fromkeys(_axles(pair.towed), 1.0), names, HITCHED, LEVELLED),
    }
    yield Tie(TieKind.WEIGHT, (HITCHED, LEVELLED), tuple(change.items()))
    yield _moment(pair, names, HITCHED, LEVELLED)
    yield _moment(pair, names, SOLO, LEVELLED)


def _moment(pair: HitchedPair, names: LoadNames, before: CouplingState, after: CouplingState) -> Tie | None:
    """Return the moment about the hitch of the towing vehicle's axles, and with bars of the trailer's too.

    None where all axles stand at the hitch.
    """
    arms = {pair.tow.name: {axle.name: axle.aft_m - pair.hitch.aft_m for axle in pair.tow.axles}}
    if after is LEVELLED:
        arms[pair.towed.name] = {axle.name: axle.aft_m for axle in pair.towed.axles}
    longest_m = max(abs(arm) for own in arms.values() for arm in own.values())
    if longest_m == 0.0:
        return None
    weights: dict[str, float] = {}
    per_length: dict[str, Weights] = {}
    for vehicle in (pair.tow, pair.towed):
        for axle, arm in arms.get(vehicle.name, {}).items():
            weights |= _change(vehicle, {axle: arm / longest_m}, names, before, after)
            per_length[axle] = tuple(_change(vehicle, {axle: 1 / longest_m}, names, before, after).items())
    on_hitch = _change(pair.tow, dict.fromkeys(_axles(pair.tow), -1 / longest_m), names, before, after)
    return Tie(
        TieKind.MOMENT, (before, after), tuple(weights.items()), {**per_length, "hitch": tuple(on_hitch.items())}
    )


def _axles(vehicle: Vehicle) -> list[str]:
    return [axle.name for axle in vehicle.axles]


def _change(
    vehicle: Vehicle, by_axle: Mapping[str, float], names: LoadNames, before: CouplingState, after: CouplingState
) -> dict[str, float]:
    """Return the change of a weighted sum of a vehicle's axle loads from one state to another."""
    change: dict[str, float] = {}
    for axle in vehicle.axles:
        for end in axle.wheel_ends:
            weight = by_axle.get(axle.name, 0.0)
            if weight:
                change[names.name(end.name, before)] = -weight
                change[names.name(end.name, after)] = weight
    return change


def tie_covariance(
    rig: Rig, ties: Sequence[Tie], columns: Columns, first: Inverse, values: Matrix, reading_u_kg: float
) -> Matrix:
    """Return the covariance [kg2] (t, t) of ties: errors of the lengths, which ties share.

    Parameters
    ----------
    columns, first, values
        The unknowns (m), and what solves the readings (n) without ties: it tells how much the loads change. Where it
        does not, they are taken to change by as much as a usual load of the coupling changes any axle.
    reading_u_kg
        Standard uncertainty of a reading [kg], against which an exact tie is exact.
    """
    usual_kg = _usual_change_kg(rig, columns)
    errors: dict[str, Matrix] = defaultdict(lambda: np.zeros(len(ties)))
    for place, tie in enumerate(ties):
        for length, weights in tie.per_length.items():
            row = columns.row(dict(weights))
            seen = not np.any(np.abs(row @ first.unobserved) > VISIBLE)
            change = (
                float(row @ (first.gain @ values)) if seen else usual_kg * max(abs(weight) for _, weight in weights)
            )
            errors[length][place] = PLACE_DOUBT_M * change
    exact = (EXACT_U_SHARE * reading_u_kg) ** 2 * np.eye(len(ties))
    return sum((np.outer(error, error) for error in errors.values()), exact)


def _usual_change_kg(rig: Rig, columns: Columns) -> float:
    pair = hitched_pair(rig)
    assert pair is not None, "only a hitched pair has ties"
    per_kg = vehicle_statics(pair.tow, columns).per_mass @ np.array([1.0, pair.hitch.aft_m, 0.0])
    most = max(abs(float(columns.row(axle.sum_of) @ per_kg)) for axle in pair.tow.axles)
    return USUAL_COUPLING_SHARE * pair.towed.gvwr_kg * max(most, 1.0)
