"""What comes aboard, leaves, moves or flows: contradictions, and the way into the core."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from axlewright.contract.aboard_request import ChangesInput, LevelInput, MoveInput, PointInput
from axlewright.contract.faults import Fault, given_text
from axlewright.contract.output import MassOut, NameOut, ShareOut, WordsOut
from axlewright.contract.rig import names_of, repeated, unknown
from axlewright.contract.rig_request import RigInput, VehicleInput
from axlewright.contract.session_request import SessionInput
from axlewright.contract.words import ASSUMPTION_WORDS
from axlewright.core.loads.aboard import LevelChange, Move, Spot
from axlewright.core.loads.fluids import level_doubt
from axlewright.core.loads.statics import Assumption, Origin, Statics
from axlewright.core.rig import TRAILERS, Place, Rig, Stated, Tank

SHORTEST_SPAN_M: Final = 0.5
"""Supports closer together are no vehicle's, but a slip."""
USUAL_FLUID_K: Final = 288.706
"""60 degF, to which the trade tells densities."""


class AssumptionAnswer(Struct, frozen=True, kw_only=True):
    """What equilibrium does not settle and was assumed."""

    kind: Annotated[NameOut, Meta(description="`roll_stiffness`, `stiffness` or `group_split`; new ones may come.")]
    axle: Annotated[NameOut, Meta(description="Of which axle.")]
    relative_uncertainty: Annotated[ShareOut, Meta(description="Its standard uncertainty, as a share of it.")]
    stated: Annotated[bool, Meta(description="You stated it; else it was measured, or is a default, as `words` tell.")]
    words: Annotated[WordsOut, Meta(description="What was assumed, and what would replace it.")]


class ChangeAnswer(Struct, frozen=True, kw_only=True):
    """One change as it was reckoned with."""

    what: Annotated[NameOut, Meta(description="As you call it, else its place in the list; a tank's name.")]
    mass: Annotated[MassOut, Meta(description="What comes aboard; negative where it leaves; moved, the whole of it.")]
    standard_uncertainty: Annotated[MassOut, Meta(description="Of the mass.")]


def assumption_answers(statics: Mapping[str, Statics]) -> list[AssumptionAnswer]:
    """Return what was assumed of every vehicle, where it matters."""
    return [_assumption_answer(each) for one in statics.values() for each in one.assumptions]


def _assumption_answer(assumption: Assumption) -> AssumptionAnswer:
    return AssumptionAnswer(
        kind=assumption.kind.value,
        axle=assumption.subject,
        relative_uncertainty=assumption.relative_u,
        stated=assumption.origin is Origin.STATED,
        words=ASSUMPTION_WORDS[assumption.kind, assumption.origin],
    )


def statics_faults(rig: RigInput) -> Iterator[Fault]:
    """Yield a fault for every vehicle whose loads no statics can tell."""
    for place, vehicle in enumerate(rig.vehicles):
        pointer = f"/rig/vehicles/{place}/axles"
        if vehicle.kind in TRAILERS:
            if vehicle.axles[0].aft < SHORTEST_SPAN_M:
                yield Fault(
                    "inconsistent_order",
                    f"{pointer}/0/aft",
                    "A trailer's places are measured from its coupling point, and its axles lie well behind that.",
                    None,
                    "at least half a metre",
                )
        elif (span_m := _supporting_span_m(vehicle)) is None or span_m < SHORTEST_SPAN_M:
            yield Fault(
                "inconsistent_statics",
                pointer,
                "A motor vehicle stands on two axles, or groups of them, well apart; this one does not.",
                None,
                "two axles, not all of one group, at least half a metre apart",
            )


def _supporting_span_m(vehicle: VehicleInput) -> float | None:
    """Return how far apart a vehicle's first and last support are [m]; None where all its axles share load."""
    shared = [group.axles for group in vehicle.groups if group.suspension != "independent"]

    def of_support(name: str) -> set[str]:
        return {name}.union(*(axles for axles in shared if name in axles))

    first, last = (of_support(vehicle.axles[place].name) for place in (0, -1))
    if not first.isdisjoint(last):
        return None
    foremost = min(axle.aft for axle in vehicle.axles if axle.name in last)
    return foremost - max(axle.aft for axle in vehicle.axles if axle.name in first)


def spot_faults(spot: str | PointInput, rig: RigInput, pointer: str) -> Iterator[Fault]:
    """Yield a fault for a place that is not clearly one of the rig's, or a point without its vehicle."""
    if isinstance(spot, str):
        yield from one_of_name(spot, names_of(rig, "places"), pointer, "place")
    elif spot.vehicle is not None:
        vehicles = [vehicle.name for vehicle in rig.vehicles]
        yield from unknown(spot.vehicle, vehicles, f"{pointer}/vehicle", "vehicle of the rig")
    elif len(rig.vehicles) > 1:
        yield Fault(
            "inconsistent_reference",
            f"{pointer}/vehicle",
            "The rig has several vehicles: a point needs to say in which it lies.",
            None,
            ", ".join(vehicle.name for vehicle in rig.vehicles),
        )


def one_of_name(name: str, names: Sequence[str], pointer: str, what: str) -> Iterator[Fault]:
    """Yield a fault if none, or more than one, of the rig's tanks or places goes by a name."""
    if names.count(name) > 1:
        yield Fault(
            "inconsistent_reference",
            pointer,
            f"Several vehicles have a {what} of this name.",
            given_text(name),
            f"the vehicle before it, as in `{next(each for each in names if each.endswith(f'.{name}'))}`",
        )
    else:
        yield from unknown(name, names, pointer, f"{what} of the rig")


def changes_faults(changes: ChangesInput, rig: RigInput, session: SessionInput | None) -> Iterator[Fault]:
    """Yield every contradiction of changes, and between them and the rig."""
    yield from statics_faults(rig)
    for name in ("people", "cargo"):
        for place, move in enumerate(getattr(changes, name)):
            yield from move_faults(move, rig, f"/changes/{name}/{place}")
    named = [full_name(tank.name, rig, "tanks") or tank.name for tank in changes.tanks]
    yield from repeated("level", "/changes/tanks/{}/name", named)
    declared = weighed_levels(session, rig)
    for place, tank in enumerate(changes.tanks):
        pointer = f"/changes/tanks/{place}"
        yield from one_of_name(tank.name, names_of(rig, "tanks"), f"{pointer}/name", "tank")
        yield from weighed_level_faults(
            tank.weighed_level, declared.get(full_name(tank.name, rig, "tanks") or ""), pointer
        )
    if not (changes.people or changes.cargo or changes.tanks):
        yield Fault(
            "inconsistent_choice", "/changes", "Nothing changes here.", None, "an entry in people, cargo or tanks"
        )


def weighed_level_faults(given: float | None, declared: float | None, pointer: str) -> Iterator[Fault]:
    """Yield a fault where nobody says how full a tank was at the weigh, or two say it otherwise."""
    if given is None and declared is None:
        yield Fault(
            "inconsistent_reference",
            f"{pointer}/weighed_level",
            "How full this tank was at the weigh is not known: `session.carried.tanks` does not say it.",
            None,
            "its level at the weigh, 0 to 1",
        )
    if given is not None and declared is not None and given != declared:
        yield Fault(
            "inconsistent_levels",
            f"{pointer}/weighed_level",
            "The session declares another level of this tank at the weigh.",
            None,
            f"{declared:g} as `session.carried.tanks` has it, or leave it out",
        )


def move_faults(move: MoveInput, rig: RigInput, pointer: str) -> Iterator[Fault]:
    """Yield what is wrong with where a mass comes from and goes to."""
    for name in ("comes_from", "goes_to"):
        if (spot := getattr(move, name)) is not None:
            yield from spot_faults(spot, rig, f"{pointer}/{name}")
    if move.comes_from is None and move.goes_to is None:
        yield Fault(
            "inconsistent_choice", pointer, "It neither comes nor leaves.", None, "comes_from, goes_to, or both"
        )


def weighed_levels(session: SessionInput | None, rig: RigInput) -> dict[str, float]:
    """Return the levels that a session declares, by the full name of each tank; what could mean two is left out."""
    declared = session.carried.tanks if session and session.carried else []
    return {name: tank.level for tank in declared if (name := full_name(tank.name, rig, "tanks")) is not None}


def declared_masses(session: SessionInput | None, rig: RigInput) -> dict[str, float] | None:
    """Return what a session declares at each place by its full name; None where it declares nothing."""
    if session is None or session.carried is None:
        return None
    found: dict[str, float] = {}
    for each in (*session.carried.people, *session.carried.pets, *session.carried.cargo):
        if (name := full_name(each.place, rig, "places")) is not None:
            found[name] = found.get(name, 0.0) + each.mass
    return found


def full_name(name: str, rig: RigInput, what: Literal["tanks", "places"]) -> str | None:
    """Return the name that a tank or place has in the core; None where several, or none, go by the given one."""
    if len(rig.vehicles) == 1 or "." in name:
        return name
    owners = [each.name for each in rig.vehicles if name in {one.name for one in getattr(each, what)}]
    return f"{owners[0]}.{name}" if len(owners) == 1 else None


def core_spot(spot: str | PointInput, rig: Rig) -> Spot:
    """Return a place or point of the core's rig; the request has no faults."""
    if isinstance(spot, PointInput):
        vehicle = spot.vehicle or rig.vehicles[0].name
        # Its coordinates name it, so that the errors of two points are two.
        return Spot(vehicle, Place(f"{vehicle} {spot.aft!r} {spot.right!r}", spot.aft, spot.right))
    return next(
        Spot(vehicle.name, place)
        for vehicle in rig.vehicles
        for place in vehicle.places
        if place.name in {spot, f"{vehicle.name}.{spot}"}
    )


def core_tank(name: str, rig: Rig) -> tuple[str, Tank]:
    """Return a tank of the core's rig with its vehicle's name; the request has no faults."""
    return next(
        (vehicle.name, tank)
        for vehicle in rig.vehicles
        for tank in vehicle.tanks
        if tank.name in {name, f"{vehicle.name}.{name}"}
    )


def core_moves(changes: ChangesInput, rig: Rig) -> list[Move]:
    """Return who and what comes, leaves or goes elsewhere."""
    named = [(f"{kind} {n}", move) for kind in ("people", "cargo") for n, move in enumerate(getattr(changes, kind), 1)]
    return [core_move(what, move, rig) for what, move in named]


def core_move(what: str, move: MoveInput, rig: Rig) -> Move:
    """Return one of them, called by its own name and the one that no other has."""
    return Move(
        what if move.what is None else f"{move.what} ({what})",
        move.mass,
        move.standard_uncertainty,
        None if move.comes_from is None else core_spot(move.comes_from, rig),
        None if move.goes_to is None else core_spot(move.goes_to, rig),
    )


def core_levels(changes: ChangesInput, rig: Rig, declared: Mapping[str, float]) -> list[LevelChange]:
    """Return the tanks whose levels change, from what they held at the weigh by their full names."""
    temperature_k = USUAL_FLUID_K if changes.fluid_temperature is None else changes.fluid_temperature
    return [_core_level(tank, rig, declared, temperature_k) for tank in changes.tanks]


def _core_level(given: LevelInput, rig: Rig, declared: Mapping[str, float], temperature_k: float) -> LevelChange:
    vehicle, tank = core_tank(given.name, rig)
    weighed = declared[tank.name] if given.weighed_level is None else given.weighed_level

    def stated(level: float) -> Stated:
        return Stated(level, level_doubt(level) if given.standard_uncertainty is None else given.standard_uncertainty)

    return LevelChange(vehicle, tank, stated(weighed), stated(given.level), temperature_k)


def change_answers(moves: Sequence[Move], levels: Sequence[LevelChange]) -> list[ChangeAnswer]:
    """Return what was reckoned with, in SI."""
    answers = []
    for move in moves:
        mass_kg = move.mass_kg if move.goes_to is not None else -move.mass_kg
        answers.append(ChangeAnswer(what=move.what, mass=mass_kg, standard_uncertainty=move.mass_u_kg))
    for level in levels:
        mass = level.mass_kg
        answers.append(ChangeAnswer(what=level.tank.name, mass=mass.value, standard_uncertainty=mass.u))
    return answers
