"""What contradicts itself in a rig, or in load/inflation tables for its tires, in SI."""

from collections.abc import Iterator, Sequence

from axlewright.contract.faults import Fault, given_text
from axlewright.contract.request import TireTableInput
from axlewright.contract.rig import core_table, core_tires, marking_of, repeated, unknown
from axlewright.contract.rig_request import AxleInput, RigInput, TiresInput, VehicleInput
from axlewright.contract.words import SLIPS
from axlewright.core.inflation.fitted import is_for_tire
from axlewright.core.tires.marking import Marking, read_marking
from axlewright.core.tires.plausibility import MarkedMaxima, Reason, table_plausibility, unit_slip
from axlewright.core.units import exceeds

SHARE_TOLERANCE = 0.001
"""Shares told to three decimals add up to the whole within this."""


def rig_faults(rig: RigInput) -> Iterator[Fault]:
    """Yield every contradiction within a rig."""
    yield from repeated("vehicle", "/rig/vehicles/{}/name", [vehicle.name for vehicle in rig.vehicles])
    for place, vehicle in enumerate(rig.vehicles):
        yield from _vehicle_faults(vehicle, f"/rig/vehicles/{place}")
    names = {vehicle.name for vehicle in rig.vehicles}
    for place, coupling in enumerate(rig.couplings):
        for end in ("tow", "towed"):
            yield from unknown(getattr(coupling, end), names, f"/rig/couplings/{place}/{end}", "vehicle of the rig")


def table_faults(tables: Sequence[TireTableInput], rig: RigInput) -> Iterator[Fault]:
    """Yield every table that does not rise, is told in another unit than it says, or contradicts one before it."""
    for place, table in enumerate(tables):
        yield from _second_table_faults(table, tables[:place], f"/tire_tables/{place}")
        rising = True
        marking = read_marking(table.designation)
        if isinstance(marking, Marking):
            yield from _contradictions(marking, table.load_range, None, f"/tire_tables/{place}")
        for row in range(1, len(table.rows)):
            before, after = table.rows[row - 1], table.rows[row]
            if not (exceeds(after.pressure, before.pressure) and exceeds(after.load, before.load)):
                rising = False
                yield Fault(
                    "inconsistent_table",
                    f"/tire_tables/{place}/rows/{row}",
                    "A table's rows rise in pressure and in load; this row does not rise above the one before it.",
                    None,
                    "a higher pressure with a higher load",
                )
        if rising:
            yield from _slip_faults(table, rig, f"/tire_tables/{place}")


def _second_table_faults(table: TireTableInput, earlier: Sequence[TireTableInput], pointer: str) -> Iterator[Fault]:
    """Yield a fault for a table that gives other rows than an earlier one for the same tires."""
    own = core_table(table)
    rows = [(row.pressure, row.load) for row in table.rows]
    for other in earlier:
        first = core_table(other)
        same_tires = (own.designation, own.load_range, own.service) == (
            first.designation,
            first.load_range,
            first.service,
        )
        if same_tires and rows != [(row.pressure, row.load) for row in other.rows]:
            yield Fault(
                "inconsistent_table",
                pointer,
                "There is a table for this size, load range and fitment already, with other rows.",
                None,
                "one table for each size, load range and fitment",
            )
            return


def _slip_faults(table: TireTableInput, rig: RigInput, pointer: str) -> Iterator[Fault]:
    """Yield a fault for the first row that a slip of unit explains, against the tires that the table is for."""
    own = core_table(table)
    for given in _all_tires(rig):
        tires = core_tires(given)
        if not is_for_tire(own, tires):
            continue
        maxima = MarkedMaxima(tires.max_load_single_kg, tires.max_load_dual_kg, tires.max_pressure_pa)
        found = unit_slip(table_plausibility(own, tires.marking, maxima))
        if found is not None:
            name = {Reason.JUMP: "", Reason.TOP_LOAD: "/load"}.get(found.reason, "/pressure")
            yield Fault(
                "inconsistent_table",
                f"{pointer}/rows/{found.row}{name}",
                f"This does not go with what is marked on the tire: {SLIPS[found.slips[0]]}.",
                None,
                "the row in the units that `units` names, for one tire",
            )
            return


def _all_tires(rig: RigInput) -> Iterator[TiresInput]:
    for vehicle in rig.vehicles:
        for axle in vehicle.axles:
            yield axle.tires
            yield from (end.tires for end in axle.wheel_ends if end.tires is not None)


def _vehicle_faults(vehicle: VehicleInput, pointer: str) -> Iterator[Fault]:
    axles = [axle.name for axle in vehicle.axles]
    yield from repeated("axle", pointer + "/axles/{}/name", axles)
    yield from repeated("tank", pointer + "/tanks/{}/name", [tank.name for tank in vehicle.tanks])
    yield from repeated("place", pointer + "/places/{}/name", [place.name for place in vehicle.places])
    labelled = [label.axle for label in vehicle.label_pressures]
    yield from repeated("label pressure", pointer + "/label_pressures/{}/axle", labelled)
    for place, label in enumerate(labelled):
        yield from unknown(label, axles, f"{pointer}/label_pressures/{place}/axle", "axle")
    yield from _group_faults(vehicle, axles, pointer)
    for name in ("roll_shares", "stiffnesses"):
        yield from _every_axle_faults([each.axle for each in getattr(vehicle, name)], axles, f"{pointer}/{name}")
    shares = [each.share for each in vehicle.roll_shares]
    if shares and abs(sum(shares) - 1) > SHARE_TOLERANCE:
        yield Fault(
            "inconsistent_share",
            f"{pointer}/roll_shares",
            "The axles' shares of the roll moment add up to the whole.",
            f"{sum(shares):.4g}",
            "shares that add up to 1",
        )
    if vehicle.hitch is not None:
        yield from repeated("part", pointer + "/hitch/parts/{}/part", [part.part for part in vehicle.hitch.parts])
    yield from _order_faults(vehicle, pointer)
    for place, axle in enumerate(vehicle.axles):
        yield from _axle_faults(axle, f"{pointer}/axles/{place}")


def _group_faults(vehicle: VehicleInput, axles: list[str], pointer: str) -> Iterator[Fault]:
    grouped = [name for group in vehicle.groups for name in group.axles]
    for place, group in enumerate(vehicle.groups):
        for position, name in enumerate(group.axles):
            yield from unknown(name, axles, f"{pointer}/groups/{place}/axles/{position}", "axle")
        wrong_split = group.split is not None and (
            len(group.split) != len(group.axles) or abs(sum(group.split) - 1) > SHARE_TOLERANCE
        )
        if wrong_split or any(grouped.count(name) > 1 for name in group.axles):
            yield Fault(
                "inconsistent_group",
                f"{pointer}/groups/{place}",
                "Each axle is in one group at most, and a split has one share for each of its axles, adding up to 1.",
                None,
                "shares of the group's axles, adding up to 1",
            )


def _every_axle_faults(named: list[str], axles: list[str], pointer: str) -> Iterator[Fault]:
    """Yield a fault for a list that does not name every axle once."""
    yield from repeated("entry for an axle", pointer + "/{}/axle", named)
    for place, name in enumerate(named):
        yield from unknown(name, axles, f"{pointer}/{place}/axle", "axle")
    if named and (missing := [name for name in axles if name not in named]):
        yield Fault(
            "inconsistent_reference",
            pointer,
            "Here every axle of the vehicle is told, or none.",
            None,
            f"an entry for {', '.join(missing)} too",
        )


def _order_faults(vehicle: VehicleInput, pointer: str) -> Iterator[Fault]:
    trailer = vehicle.kind in ("travel_trailer", "fifth_wheel", "trailer")
    if not trailer and vehicle.axles[0].aft != 0:
        yield Fault(
            "inconsistent_order",
            f"{pointer}/axles/0/aft",
            "Places are measured from this vehicle's first axle, so its own place is 0.",
            None,
            "0",
        )
    for place in range(1, len(vehicle.axles)):
        if not exceeds(vehicle.axles[place].aft, vehicle.axles[place - 1].aft):
            yield Fault(
                "inconsistent_order",
                f"{pointer}/axles/{place}/aft",
                "Axles are listed front to back; this one does not lie behind the one before it.",
                None,
                "more than the axle before it",
            )


def _axle_faults(axle: AxleInput, pointer: str) -> Iterator[Fault]:
    yield from repeated("wheel end", pointer + "/wheel_ends/{}/side", [end.side for end in axle.wheel_ends])
    fitted = [(axle.tires, f"{pointer}/tires")]
    fitted += [
        (end.tires, f"{pointer}/wheel_ends/{place}/tires")
        for place, end in enumerate(axle.wheel_ends)
        if end.tires is not None
    ]
    for tires, at in fitted:
        yield from _tire_faults(tires, at)
        if tires.fitment != axle.tires.fitment:
            yield Fault(
                "inconsistent_fitment",
                f"{at}/fitment",
                "Both wheel ends of an axle carry the same number of tires.",
                given_text(tires.fitment),
                axle.tires.fitment,
            )


def _tire_faults(tires: TiresInput, pointer: str) -> Iterator[Fault]:
    if tires.fitment == "dual" and tires.max_load_dual is None:
        yield Fault(
            "inconsistent_fitment",
            f"{pointer}/max_load_dual",
            "Tires fitted dual need their dual rating from the sidewall; it is never derived from the single one.",
            None,
            "the dual maximum load marked on the sidewall",
        )
    if tires.max_load_dual is not None and exceeds(tires.max_load_dual, tires.max_load_single):
        yield Fault(
            "inconsistent_rating",
            f"{pointer}/max_load_dual",
            "A tire carries no more fitted dual than single.",
            None,
            "at most max_load_single",
        )
    marking = marking_of(tires)
    if marking is not None:
        yield from _contradictions(marking, tires.load_range, tires.speed_symbol, pointer)


def _contradictions(
    marking: Marking, load_range: str | None, speed_symbol: str | None, pointer: str
) -> Iterator[Fault]:
    """Yield a fault for a load range or speed symbol that differs from the one in the designation."""
    for name, given, marked in (
        ("load_range", load_range, marking.load_range),
        ("speed_symbol", speed_symbol, marking.speed_symbol),
    ):
        if given and marked and given != marked:
            message = f"The designation carries another {name.replace('_', ' ')}."
            yield Fault("inconsistent_marking", f"{pointer}/{name}", message, given_text(given), marked)
