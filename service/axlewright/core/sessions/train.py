"""What drives onto a scale in one piece: each vehicle by itself, and what is coupled at a known place.

The widths of tires are judgement.
"""

from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from axlewright.core.rig import CouplingKind, CouplingState, Fitment, Rig, Side, Vehicle, VehicleKind

TIRE_WIDTH_M: Final = {Fitment.SINGLE: 0.30, Fitment.DUAL: 0.70}
"""Across one wheel end [m]: a tire, or two with the gap between them; judgement."""

LOADING: Final = frozenset({CouplingKind.BALL, CouplingKind.FIFTH_WHEEL})
"""Couplings through which a trailer loads what tows it."""


class TrainAxle(Struct, frozen=True):
    """An axle of what drives in one piece: how far behind its first axle, and how wide between and across tires [m]."""

    name: str
    vehicle: str
    behind_m: float
    inner_m: float
    outer_m: float


class Train(Struct, frozen=True):
    """What drives onto the scale in one piece, in a coupling state.

    ``pulled_m`` is how far ahead of the first axle [m] a trailer is coupled to what the rig does not tell of,
    ``coupling`` what joins the two.
    """

    state: CouplingState
    vehicles: tuple[str, ...]
    axles: tuple[TrainAxle, ...]
    pulled_m: float | None = None
    coupling: CouplingKind | None = None

    @property
    def wheels(self) -> frozenset[str]:
        """All its wheel ends as unknowns of its state."""
        return frozenset(self.wheel(axle, side) for axle in self.axles for side in Side)

    def wheel(self, axle: TrainAxle, side: Side) -> str:
        """Return the unknown that a wheel end is in this state."""
        return in_state(self.state, f"{axle.name}.{side}")


def in_state(state: CouplingState, name: str) -> str:
    """Return the name of a wheel end, axle or vehicle in a coupling state.

    >>> in_state(CouplingState.SOLO, "steer.left")
    'solo/steer.left'
    """
    return f"{state}/{name}"


def out_of_state(name: str) -> str:
    """Return the name without its coupling state."""
    return name.partition("/")[2]


def state_of(name: str) -> CouplingState:
    """Return the coupling state before a name."""
    return CouplingState(name.partition("/")[0])


def trains_of(rig: Rig, towed_behind_m: float | None = None) -> list[Train]:
    """Return what can drive onto a scale: each vehicle by itself, and what is coupled at a known place.

    A trailer that nothing of the rig tows is pulled by what nobody tells of. A car that is towed also drives by itself.

    Parameters
    ----------
    towed_behind_m
        From the last axle of what tows to the first one of what follows on a tow bar [m], where it is known.
    """
    vehicles = {vehicle.name: vehicle for vehicle in rig.vehicles}
    carried = {each.towed for each in rig.couplings if each.kind in LOADING}
    alone = [
        Train(
            CouplingState.SOLO,
            (vehicle.name,),
            tuple(_axles(vehicle, -vehicle.axles[0].aft_m)),
            *_pulled(vehicle),
        )
        for vehicle in rig.vehicles
        if vehicle.name not in carried
    ]
    together = (
        train
        for each in rig.couplings
        for train in _coupled(each.kind, vehicles[each.tow], vehicles[each.towed], towed_behind_m)
    )
    return [*alone, *together]


def _pulled(vehicle: Vehicle) -> tuple[float | None, CouplingKind | None]:
    if not vehicle.is_trailer:
        return None, None
    kind = CouplingKind.FIFTH_WHEEL if vehicle.kind is VehicleKind.FIFTH_WHEEL else CouplingKind.BALL
    return vehicle.axles[0].aft_m, kind


def _coupled(kind: CouplingKind, tow: Vehicle, towed: Vehicle, towed_behind_m: float | None) -> Iterator[Train]:
    first_m = tow.axles[0].aft_m
    if kind in LOADING:
        assert tow.hitch is not None, "the request was refused"
        shift_m = tow.hitch.aft_m
    elif kind is CouplingKind.TOWBAR and towed_behind_m is not None:
        shift_m = tow.axles[-1].aft_m + towed_behind_m - towed.axles[0].aft_m
    else:
        return
    axles = (*_axles(tow, -first_m), *_axles(towed, shift_m - first_m))
    for state in CouplingState:
        if state is CouplingState.HITCHED or (state is CouplingState.HITCHED_LEVELLED and kind is CouplingKind.BALL):
            yield Train(state, (tow.name, towed.name), axles, coupling=kind)


def _axles(vehicle: Vehicle, shift_m: float) -> Iterator[TrainAxle]:
    for axle in vehicle.axles:
        tire_m = max(TIRE_WIDTH_M[end.tires.fitment] for end in axle.wheel_ends)
        yield TrainAxle(axle.name, vehicle.name, axle.aft_m + shift_m, axle.track_m - tire_m, axle.track_m + tire_m)
