"""The rig of a request, already in SI, to the rig of the core; the names that its parts go by."""

from collections.abc import Collection, Iterator, Sequence
from typing import Literal

from axlewright.contract.faults import Fault, given_text
from axlewright.contract.request import TireTableInput
from axlewright.contract.rig_request import (
    AxleInput,
    GroupInput,
    HitchInput,
    RigInput,
    TiresInput,
    VehicleInput,
    WheelInput,
)
from axlewright.core.rig import (
    Axle,
    AxleGroup,
    Coupling,
    CouplingKind,
    Fitment,
    Fluid,
    Hitch,
    HitchRating,
    Place,
    Rig,
    Side,
    Stated,
    Suspension,
    Tank,
    Tires,
    Vehicle,
    VehicleKind,
    Wheel,
    WheelEnd,
)
from axlewright.core.tires.marking import Marking, read_marking
from axlewright.core.tires.tables import Publication, Row, Table


def core_rig(rig: RigInput) -> Rig:
    """Return the rig of the core; the request has no faults."""
    alone = len(rig.vehicles) == 1
    return Rig(
        rig.name,
        tuple(_core_vehicle(vehicle, "" if alone else f"{vehicle.name}.") for vehicle in rig.vehicles),
        tuple(Coupling(each.tow, each.towed, CouplingKind(each.kind)) for each in rig.couplings),
    )


def core_tables(tables: Sequence[TireTableInput]) -> tuple[Table, ...]:
    """Return the caller's load/inflation tables."""
    return tuple(core_table(table) for table in tables)


def wheel_names(rig: RigInput) -> set[str]:
    """Return every name that a request may give to a wheel end, or to a tire of a dual, of its rig."""
    names = set()
    axles = ((each.name, axle) for each in rig.vehicles for axle in each.axles)
    for vehicle_name, axle in axles:
        prefix = axle.name if len(rig.vehicles) == 1 else f"{vehicle_name}.{axle.name}"
        for side in Side:
            name = f"{prefix}.{side}"
            names.add(name)
            if _own_tires(axle, side).fitment == "dual":
                names |= {f"{name}.inner", f"{name}.outer"}
    return names


def names_of(rig: RigInput, what: Literal["tanks", "places"]) -> list[str]:
    """Return the names that tanks or places of a rig go by: their own, and with their vehicle where there are several.

    A name that several go by stands there several times.
    """
    owned = [(vehicle.name, each.name) for vehicle in rig.vehicles for each in getattr(vehicle, what)]
    alone = [name for _, name in owned]
    return alone if len(rig.vehicles) == 1 else [*alone, *(f"{vehicle}.{name}" for vehicle, name in owned)]


def repeated(what: str, pointer: str, names: Sequence[str]) -> Iterator[Fault]:
    """Yield a fault for every name in a list that stands in it before; its place goes into the pointer."""
    for place, name in enumerate(names):
        if name in names[:place]:
            yield Fault(
                "inconsistent_name",
                pointer.format(place),
                f"There is {_article(what)} {what} of this name already; each needs a name of its own.",
                given_text(name),
                "a name that no other has",
            )


def _article(word: str) -> str:
    return "an" if word[0] in "aeiou" else "a"


def unknown(name: str, known: Collection[str], pointer: str, what: str) -> Iterator[Fault]:
    """Yield a fault if a name is none of those that are known."""
    if name not in known:
        names = sorted(known)
        listed = ", ".join(names[:12]) + (", …" if len(names) > 12 else "") if names else f"none: there is no {what}"
        yield Fault("inconsistent_reference", pointer, f"There is no {what} of this name.", given_text(name), listed)


def _core_vehicle(vehicle: VehicleInput, prefix: str) -> Vehicle:
    return Vehicle(
        name=vehicle.name,
        kind=VehicleKind(vehicle.kind),
        gvwr_kg=vehicle.gvwr,
        axles=tuple(_core_axle(axle, prefix) for axle in vehicle.axles),
        label_pressures_pa={prefix + label.axle: label.pressure for label in vehicle.label_pressures},
        gcwr_kg=vehicle.gcwr,
        unloaded_kg=vehicle.unloaded_weight,
        cargo_capacity_kg=vehicle.cargo_capacity,
        groups=tuple(_core_group(group, prefix) for group in vehicle.groups),
        hitch=None if vehicle.hitch is None else _core_hitch(vehicle.hitch),
        roll_shares=_core_roll_shares(vehicle, prefix),
        stiffnesses={
            prefix + each.axle: Stated(each.stiffness, each.standard_uncertainty) for each in vehicle.stiffnesses
        },
        tanks=tuple(
            Tank(prefix + tank.name, Fluid(tank.fluid), tank.capacity, tank.aft, tank.right) for tank in vehicle.tanks
        ),
        places=tuple(
            Place(prefix + place.name, place.aft, place.right, place.length or 0.0, place.width or 0.0, place.capacity)
            for place in vehicle.places
        ),
        coupling=f"{prefix}coupling",
    )


def _core_group(group: GroupInput, prefix: str) -> AxleGroup:
    split = None if group.split is None else tuple(share / sum(group.split) for share in group.split)
    return AxleGroup(tuple(prefix + name for name in group.axles), Suspension(group.suspension), split, group.max_load)


def _core_roll_shares(vehicle: VehicleInput, prefix: str) -> dict[str, Stated]:
    whole = sum(each.share for each in vehicle.roll_shares)
    return {
        prefix + each.axle: Stated(each.share / whole, each.standard_uncertainty / whole)
        for each in vehicle.roll_shares
    }


def _core_hitch(hitch: HitchInput) -> Hitch:
    whole = HitchRating(
        "hitch", hitch.max_vertical, hitch.max_towed, hitch.max_vertical_levelled, hitch.max_towed_levelled
    )
    parts = (
        HitchRating(each.part, each.max_vertical, each.max_towed, each.max_vertical_levelled, each.max_towed_levelled)
        for each in hitch.parts
    )
    return Hitch(hitch.aft, hitch.up, (whole, *parts))


def _core_axle(axle: AxleInput, prefix: str) -> Axle:
    name = prefix + axle.name
    left, right = (_core_wheel_end(axle, name, side) for side in (Side.LEFT, Side.RIGHT))
    return Axle(name, axle.aft, axle.track, axle.gawr, left, right)


def _core_wheel_end(axle: AxleInput, axle_name: str, side: Side) -> WheelEnd:
    own = next((end for end in axle.wheel_ends if end.side == side), None)
    common, special = axle.wheel or WheelInput(), (own.wheel if own else None) or WheelInput()
    return WheelEnd(
        name=f"{axle_name}.{side}",
        side=side,
        tires=core_tires(_own_tires(axle, side)),
        wheel=Wheel(special.max_load or common.max_load, special.max_pressure or common.max_pressure),
        max_load_kg=own.max_load if own else None,
    )


def _own_tires(axle: AxleInput, side: Side) -> TiresInput:
    return next((end.tires for end in axle.wheel_ends if end.side == side and end.tires), axle.tires)


def core_tires(tires: TiresInput) -> Tires:
    """Return the tires of one wheel end."""
    marking = marking_of(tires)
    return Tires(
        fitment=Fitment(tires.fitment),
        designation=tires.designation,
        marking=marking,
        load_range=tires.load_range or (marking.load_range if marking else None),
        speed_symbol=tires.speed_symbol or (marking.speed_symbol if marking else None),
        max_load_single_kg=tires.max_load_single,
        max_load_dual_kg=tires.max_load_dual,
        max_pressure_pa=tires.max_pressure,
        pressure_pa=tires.pressure,
    )


def marking_of(tires: TiresInput) -> Marking | None:
    """Return what a designation says, if it can be read."""
    marking = read_marking(tires.designation)
    return marking if isinstance(marking, Marking) else None


def core_table(table: TireTableInput) -> Table:
    """Return one of the caller's tables."""
    marking = read_marking(table.designation)
    publication = Publication("callers_table", table.source, table.edition or "edition not stated")
    return Table(
        designation=marking.designation if isinstance(marking, Marking) else table.designation,
        load_range=table.load_range or (marking.load_range if isinstance(marking, Marking) else None),
        service=table.fitment,
        complete=True,
        rows=tuple(Row(row.pressure, row.load, publication) for row in table.rows),
    )
