"""What is asked of a plan of passes: which loads, of which vehicles, in which coupling state, on which site."""

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from typing import Final

from msgspec import Struct

from axlewright.core.rig import Axle, Coupling, CouplingKind, CouplingState, Rig
from axlewright.core.sessions.site import Site
from axlewright.core.sessions.train import LOADING, in_state

USUAL_SHARE: Final = 0.85
"""Share of an axle's rating that it is taken to carry, half on each side, where nobody says; judgement."""


class Wanted(StrEnum):
    """What has to become known."""

    WHEEL_ENDS = "wheel_ends"
    AXLES = "axles"
    TONGUE_WEIGHT = "tongue_weight"


class Target(Struct, frozen=True):
    """One wanted load: its name, what it is, in which state, and as a sum of wheel ends in their states.

    ``axle`` is the axle of a wheel end.
    """

    name: str
    kind: Wanted
    vehicle: str
    state: CouplingState
    terms: dict[str, float]
    axle: str | None = None


class PlanQuestion(Struct, frozen=True):
    """Wanted loads of a rig on a site, with the loads [kg] to expect of every wheel end by its name.

    ``towed_behind_m`` is how far the first axle on a tow bar is behind the last one before it [m]; None: not known.
    """

    rig: Rig
    site: Site
    targets: tuple[Target, ...]
    expected_kg: Mapping[str, float]
    towed_behind_m: float | None = None


def expected_by_rating(rig: Rig) -> dict[str, float]:
    """Return what every wheel end is taken to carry [kg] where nobody says, the same in every coupling state.

    >>> expected_by_rating(Rig("empty", ()))
    {}
    """
    return {end.name: USUAL_SHARE * axle.gawr_kg / 2 for _, axle, end in rig.wheel_ends()}


def targets_of(rig: Rig, wanted: Iterable[Wanted], vehicles: Sequence[str], state: CouplingState) -> tuple[Target, ...]:
    """Return every wanted load of some vehicles, and the tongue weight of every coupling that one of them is part of.

    Parameters
    ----------
    state
        In which wheel ends and axles are wanted. A trailer's are the same hitched without bars as by itself.
    """
    wanted = set(wanted)
    pairs = [each for each in rig.couplings if each.kind in LOADING]
    states = _states_of(rig, state)
    found = [
        _sum_of(kind, vehicle.name, own, axle, number)
        for vehicle in rig.vehicles
        if vehicle.name in vehicles
        for own in [states.get(vehicle.name, CouplingState.SOLO)]
        for kind in (Wanted.WHEEL_ENDS, Wanted.AXLES)
        if kind in wanted
        for axle in vehicle.axles
        for number in range(2 if kind is Wanted.WHEEL_ENDS else 1)
    ]
    if Wanted.TONGUE_WEIGHT in wanted:
        found += [_tongue(rig, each) for each in pairs if {each.tow, each.towed} & set(vehicles)]
    return tuple(found)


def _states_of(rig: Rig, state: CouplingState) -> dict[str, CouplingState]:
    """Return the state in which each vehicle that is weighed coupled is wanted."""
    found: dict[str, CouplingState] = {}
    for each in rig.couplings:
        if each.kind in LOADING:
            found[each.towed] = max(state, CouplingState.HITCHED, key=list(CouplingState).index)
        if state is not CouplingState.SOLO and each.kind is not CouplingKind.DOLLY:
            found |= dict.fromkeys((each.tow, each.towed), state)
    return found


def _sum_of(kind: Wanted, vehicle: str, state: CouplingState, axle: Axle, number: int) -> Target:
    if kind is Wanted.AXLES:
        return Target(axle.name, kind, vehicle, state, {in_state(state, end.name): 1.0 for end in axle.wheel_ends})
    end = axle.wheel_ends[number]
    return Target(end.name, kind, vehicle, state, {in_state(state, end.name): 1.0}, axle.name)


def _tongue(rig: Rig, pair: Coupling) -> Target:
    """Return what a coupling carries without bars: the towing vehicle's axles hitched, less the same solo."""
    vehicles = {vehicle.name: vehicle for vehicle in rig.vehicles}
    wheels = vehicles[pair.tow].sum_of
    terms = {in_state(CouplingState.HITCHED, name): 1.0 for name in wheels}
    terms |= {in_state(CouplingState.SOLO, name): -1.0 for name in wheels}
    coupling = vehicles[pair.towed].coupling
    return Target(coupling, Wanted.TONGUE_WEIGHT, pair.towed, CouplingState.HITCHED, terms)
