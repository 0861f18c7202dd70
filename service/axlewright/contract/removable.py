"""Where more may go and what may come off, from a request into the core."""

from collections.abc import Mapping

from msgspec import Struct, structs

from axlewright.contract.aboard import USUAL_FLUID_K, core_spot, core_tank, full_name, weighed_levels
from axlewright.contract.headroom_request import MOST_REMOVABLE, FindHeadroomRequest, RemovableInput
from axlewright.contract.session_request import CarriedInput
from axlewright.core.loads.aboard import Spot
from axlewright.core.loads.fluids import contents
from axlewright.core.loads.relief import Removable
from axlewright.core.loads.statics import Statics
from axlewright.core.rig import Place, Rig, Tank


class Offered(Struct, frozen=True):
    """Something that may come off, and the name of the place or tank where it is; None of a point."""

    item: Removable
    where: str | None


def asked_spots(request: FindHeadroomRequest, rig: Rig) -> list[Spot]:
    """Return the places and points asked about; a point goes by its number."""
    every = [Spot(vehicle.name, place) for vehicle in rig.vehicles for place in vehicle.places]
    spots = every if request.places is None else [core_spot(name, rig) for name in request.places]
    points = [core_spot(point, rig) for point in request.points]
    numbered = [
        structs.replace(spot, place=structs.replace(spot.place, name=f"point {number}"))
        for number, spot in enumerate(points, 1)
    ]
    return [*spots, *numbered]


def aboard_by_place(request: FindHeadroomRequest) -> dict[str, float] | None:
    """Return what a session declares to be in each place [kg], by its full name; None where it declares nothing."""
    carried = _carried(request)
    if carried is None:
        return None
    return _by_place([*((each.place, each.mass) for each in (*carried.people, *carried.cargo))], request)


def unplaced_cargo(request: FindHeadroomRequest, rig: Rig) -> list[str]:
    """Return the places of declared cargo that the rig does not have: of that, where it counts is not known."""
    known = {place.name for vehicle in rig.vehicles for place in vehicle.places}
    carried = _carried(request)
    named = dict.fromkeys(each.place for each in (carried.cargo if carried else ()))
    return [name for name in named if full_name(name, request.rig, "places") not in known]


def offered(request: FindHeadroomRequest, rig: Rig, statics: Mapping[str, Statics]) -> list[Offered]:
    """Return what may come off: as told, else what the session declares, the heaviest of it."""
    if request.removable is not None:
        return [_told(each, request, rig, statics) for each in request.removable]
    declared = [*_declared_cargo(request, rig, statics), *_declared_contents(request, rig, statics)]
    heaviest = sorted(declared, key=lambda each: -each.item.available_kg)[:MOST_REMOVABLE]
    return [each for each in declared if each in heaviest]


def _carried(request: FindHeadroomRequest) -> CarriedInput | None:
    return None if request.session is None else request.session.carried


def _by_place(masses: list[tuple[str, float]], request: FindHeadroomRequest) -> dict[str, float]:
    sums: dict[str, float] = {}
    for name, mass_kg in masses:
        full = full_name(name, request.rig, "places")
        if full is not None:
            sums[full] = sums.get(full, 0.0) + mass_kg
    return sums


def _told(removable: RemovableInput, request: FindHeadroomRequest, rig: Rig, statics: Mapping[str, Statics]) -> Offered:
    if removable.tank is not None:
        vehicle, tank = core_tank(removable.tank, rig)
        level = weighed_levels(request.session, request.rig).get(tank.name, 1.0)
        most_kg = _contents_kg(tank, level, request) if removable.most is None else removable.most
        return Offered(Removable(removable.name, _of_tank(tank), statics[vehicle], most_kg), tank.name)
    assert removable.place is not None, "the request has no faults"
    spot = core_spot(removable.place, rig)
    where = spot.place.name if isinstance(removable.place, str) else None
    rated_kg = next(vehicle.gvwr_kg for vehicle in rig.vehicles if vehicle.name == spot.vehicle)
    told_kg = (removable.most, spot.place.capacity_kg, rated_kg)
    most_kg = next(each for each in told_kg if each is not None)
    return Offered(Removable(removable.name, spot.place, statics[spot.vehicle], most_kg), where)


def _declared_cargo(request: FindHeadroomRequest, rig: Rig, statics: Mapping[str, Statics]) -> list[Offered]:
    carried = _carried(request)
    if carried is None:
        return []
    masses = _by_place([(each.place, each.mass) for each in carried.cargo], request)
    return [
        Offered(Removable(f"cargo in {place.name}", place, statics[vehicle.name], masses[place.name]), place.name)
        for vehicle in rig.vehicles
        for place in vehicle.places
        if place.name in masses
    ]


def _declared_contents(request: FindHeadroomRequest, rig: Rig, statics: Mapping[str, Statics]) -> list[Offered]:
    levels = weighed_levels(request.session, request.rig)
    return [
        Offered(
            Removable(
                f"contents of {tank.name}",
                _of_tank(tank),
                statics[vehicle.name],
                _contents_kg(tank, levels[tank.name], request),
            ),
            tank.name,
        )
        for vehicle in rig.vehicles
        for tank in vehicle.tanks
        if levels.get(tank.name, 0.0) > 0.0
    ]


def _contents_kg(tank: Tank, level: float, request: FindHeadroomRequest) -> float:
    temperature_k = USUAL_FLUID_K if request.fluid_temperature is None else request.fluid_temperature
    return contents(tank, level, 0.0, temperature_k).mass_kg


def _of_tank(tank: Tank) -> Place:
    return Place(tank.name, tank.aft_m, tank.right_m)
