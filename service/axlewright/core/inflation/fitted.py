"""Each wheel end's tire as fitted: its rated load, and its capacity over pressure."""

from collections.abc import Sequence

from msgspec import Struct

from axlewright.core.inflation.capacity import CapacityCurve, capacity_curve
from axlewright.core.rig import Rig, Tires
from axlewright.core.tires.family import PASSENGER_DERATE
from axlewright.core.tires.rating import MARKING_STEP_KG, rated_load
from axlewright.core.tires.tables import Table, tables_for
from axlewright.core.units import PSI_PA


class FittedTire(Struct, frozen=True):
    """One tire of a wheel end: rated load [kg] as fitted, what that rests on, capacity over pressure."""

    rated_load_kg: float
    rating_basis: str
    curve: CapacityCurve


def fitted_tires(rig: Rig, callers_tables: Sequence[Table]) -> dict[str, FittedTire]:
    """Return the fitted tire of every wheel end.

    Parameters
    ----------
    callers_tables
        Tables that the caller sent along; they come before the built-in ones.
    """
    fitted = {}
    for vehicle, _, wheel_end in rig.wheel_ends():
        tires = wheel_end.tires
        rated_load_kg, basis = rated_load(tires, vehicle.kind)
        table, by_caller = _table_for(tires, callers_tables)
        curve = capacity_curve(
            rated_load_kg,
            tires.max_pressure_pa,
            table,
            by_caller,
            tires.marking.family if tires.marking else None,
            PASSENGER_DERATE if basis == "passenger_derate" else 1.0,
        )
        fitted[wheel_end.name] = FittedTire(rated_load_kg, basis, curve)
    return fitted


def _table_for(tires: Tires, callers_tables: Sequence[Table]) -> tuple[Table | None, bool]:
    """Return the table of a tire's designation, load range and fitment: the caller's first, then a built-in one."""
    designation = tires.marking.designation if tires.marking else tires.designation
    for table in callers_tables:
        same_range = table.load_range is None or table.load_range == tires.load_range
        if table.designation == designation and table.service == tires.fitment and same_range:
            return table, True
    built_in = tables_for(designation, tires.load_range, tires.fitment.value)
    if tires.load_range is None:
        built_in = tuple(table for table in built_in if _ends_at_the_marking(table, tires))
    return (built_in[0] if len(built_in) == 1 else None), False


def _ends_at_the_marking(table: Table, tires: Tires) -> bool:
    """Return whether a table's last row is the tire's marked maximum, which tells its load range."""
    top = table.rows[-1]
    same_pressure = abs(top.pressure_pa - tires.max_pressure_pa) <= PSI_PA
    return same_pressure and abs(top.load_kg - tires.max_load_kg) <= MARKING_STEP_KG
