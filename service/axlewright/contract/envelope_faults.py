"""What contradicts itself in what may vary on a trip."""

from collections.abc import Iterator, Mapping, Sequence

from axlewright.contract.aboard import (
    full_name,
    one_of_name,
    spot_faults,
    statics_faults,
    weighed_level_faults,
    weighed_levels,
)
from axlewright.contract.envelope_request import FindEnvelopeRequest, VaryingTankInput
from axlewright.contract.faults import Fault, given_text
from axlewright.contract.rig import names_of, repeated
from axlewright.contract.rig_request import RigInput, TankInput
from axlewright.core.units import exceeds

WATERS = ("water", "grey_water", "black_water")
"""What flows from one tank into another."""


def envelope_faults(request: FindEnvelopeRequest) -> Iterator[Fault]:
    """Yield every contradiction of what varies, of links, and between them and the rig."""
    yield from statics_faults(request.rig)
    varies = request.varies
    for name in ("people", "cargo"):
        for place, each in enumerate(getattr(varies, name)):
            yield from spot_faults(each.place, request.rig, f"/varies/{name}/{place}/place")
    yield from _tank_faults(request)
    yield from _link_faults(request)
    if not (varies.people or varies.cargo or varies.tanks):
        yield Fault(
            "inconsistent_choice", "/varies", "Nothing varies here.", None, "an entry in people, cargo or tanks"
        )


def _tank_faults(request: FindEnvelopeRequest) -> Iterator[Fault]:
    declared = weighed_levels(request.session, request.rig)
    tanks = request.varies.tanks
    names = [full_name(tank.name, request.rig, "tanks") or tank.name for tank in tanks]
    yield from repeated("varying tank", "/varies/tanks/{}/name", names)
    for place, (tank, name) in enumerate(zip(tanks, names, strict=True)):
        pointer = f"/varies/tanks/{place}"
        yield from one_of_name(tank.name, names_of(request.rig, "tanks"), f"{pointer}/name", "tank")
        yield from weighed_level_faults(tank.weighed_level, declared.get(name), pointer)
        yield from _level_faults(tank, pointer)


def _level_faults(tank: VaryingTankInput, pointer: str) -> Iterator[Fault]:
    if tank.least > tank.most:
        yield Fault(
            "inconsistent_levels",
            f"{pointer}/least",
            "A tank's lowest level is not above its highest.",
            given_text(tank.least),
            f"0 to {tank.most:g}",
        )
    elif tank.start_level is not None and not tank.least <= tank.start_level <= tank.most:
        yield Fault(
            "inconsistent_levels",
            f"{pointer}/start_level",
            "The start belongs to the trip: its level lies between the lowest and the highest.",
            given_text(tank.start_level),
            f"{tank.least:g} to {tank.most:g}",
        )


def _link_faults(request: FindEnvelopeRequest) -> Iterator[Fault]:
    seen: set[str] = set()
    varying = {full_name(tank.name, request.rig, "tanks") or tank.name: tank for tank in request.varies.tanks}
    for place, link in enumerate(request.links):
        pointer = f"/links/{place}/tanks"
        names = [full_name(given, request.rig, "tanks") or given for given in link.tanks]
        found = [
            fault
            for entry, name in enumerate(names)
            if (fault := _entry_fault(name, request.rig, varying, seen, f"{pointer}/{entry}")) is not None
        ]
        yield from found or _amount_faults(names, request, varying, pointer)


def _entry_fault(
    name: str, rig: RigInput, varying: Mapping[str, VaryingTankInput], seen: set[str], pointer: str
) -> Fault | None:
    """Return what is wrong with a tank of a link, and remember it otherwise."""
    tank = _tanks(rig).get(name)
    if name not in varying:
        message, allowed = "Only tanks in `varies.tanks` can be linked.", ", ".join(varying) or "none: no tank varies"
    elif tank is not None and tank.fluid not in WATERS:
        message, allowed = "What this tank holds does not flow into another.", f"a tank of {', '.join(WATERS)}"
    elif name in seen:
        message = "A tank is linked once: tanks that pass on the same water belong into one link."
        allowed = "a tank that is in no link yet"
    else:
        seen.add(name)
        return None
    return Fault("inconsistent_link", pointer, message, given_text(name), allowed)


def _amount_faults(
    names: Sequence[str], request: FindEnvelopeRequest, varying: Mapping[str, VaryingTankInput], pointer: str
) -> Iterator[Fault]:
    """Yield a fault if the lowest levels of linked tanks are more than they hold together at the start."""
    declared, tanks = weighed_levels(request.session, request.rig), _tanks(request.rig)
    starts = {name: start_level(varying[name], declared.get(name)) for name in names if name in tanks}
    if len(starts) < len(names) or None in starts.values():
        return
    least = sum(tanks[name].capacity * varying[name].least for name in names)
    if exceeds(least, sum(tanks[name].capacity * (start or 0.0) for name, start in starts.items())):
        yield Fault(
            "inconsistent_levels",
            pointer,
            "The lowest levels of these tanks together are more than they hold at the start: no state keeps the link.",
            None,
            "a lower `least`, or a higher `start_level`",
        )


def start_level(tank: VaryingTankInput, declared: float | None) -> float | None:
    """Return how full a tank is when the trip begins: as stated, else as at the weigh; None where neither is known."""
    known = (tank.start_level, tank.weighed_level, declared)
    return next((level for level in known if level is not None), None)


def _tanks(rig: RigInput) -> dict[str, TankInput]:
    """Return all tanks by their full names."""
    alone = len(rig.vehicles) == 1
    return {
        tank.name if alone else f"{vehicle.name}.{tank.name}": tank
        for vehicle in rig.vehicles
        for tank in vehicle.tanks
    }
