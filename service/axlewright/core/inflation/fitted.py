"""Each wheel end's tire as fitted: its rated load, and its capacity over pressure."""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from itertools import pairwise
from typing import Final

from msgspec import Struct

from axlewright.core.inflation.capacity import MARKING_TOLERANCE_PA, CapacityCurve, capacity_curve
from axlewright.core.rig import Rig, Tires
from axlewright.core.tires.crosscheck import PRESSURE_TOLERANCE_PA
from axlewright.core.tires.family import PASSENGER_DERATE, Family, is_passenger_car_tire
from axlewright.core.tires.marking import Ambiguity
from axlewright.core.tires.plausibility import MarkedMaxima, Reason, table_plausibility
from axlewright.core.tires.rating import MARKING_STEP_KG, rated_load
from axlewright.core.tires.tables import Row, Table, tables_for
from axlewright.core.units import PSI_PA, exceeds

MOST_ABOVE_SINGLE_ROWS: Final = 1.05
"""A marked load above single published rows by more than this factor [1] contradicts them (judgement).

Editions of one size differ by less; against a full table the step in which loads are marked is enough.
"""


class TableFault(StrEnum):
    """Why a caller's table is not used, or not whole."""

    NO_SUCH_TIRE = "no_such_tire"
    CONTRADICTS_SIDEWALL = "contradicts_sidewall"
    BELOW_SIDEWALL = "below_sidewall"
    DOUBTFUL = "doubtful"


class FittedTire(Struct, frozen=True):
    """One tire of a wheel end: rated load [kg] as fitted, what that rests on, capacity over pressure.

    ``table`` is the caller's that was used. ``table_load_kg`` is what the built-in table gives at the marked pressure
    where the marked load is surely more: then it governs.
    """

    rated_load_kg: float
    rating_basis: str
    curve: CapacityCurve
    table: Table | None
    table_load_kg: float | None = None


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
        own = next(
            (table for table in callers_tables if is_for_tire(table, tires) and not _contradicts(table, tires)), None
        )
        built_in = None if own else _built_in(tires)
        table_load_kg = None if built_in is None else _contradicted_by(built_in, tires, rated_load_kg)
        if table_load_kg is not None:
            rated_load_kg, basis = table_load_kg, "built_in_table"
        curve = capacity_curve(
            rated_load_kg,
            tires.max_pressure_pa,
            own or built_in,
            own is not None,
            _family_for_estimates(tires),
            PASSENGER_DERATE if basis == "passenger_derate" else 1.0,
        )
        if own is not None and curve.top.load_kg < rated_load_kg - MARKING_STEP_KG:
            rated_load_kg, basis = curve.top.load_kg, "callers_table"
        fitted[wheel_end.name] = FittedTire(rated_load_kg, basis, curve, own, table_load_kg)
    return fitted


def table_faults(
    rig: Rig, fitted: dict[str, FittedTire], callers_tables: Sequence[Table]
) -> Iterator[tuple[Table, TableFault]]:
    """Yield every caller's table that no tire uses, or that contradicts the sidewall, with the reason."""
    for table in callers_tables:
        meant = [end.tires for _, _, end in rig.wheel_ends() if is_for_tire(table, end.tires)]
        users = [tire for tire in fitted.values() if tire.table is table]
        if not meant:
            yield table, TableFault.NO_SUCH_TIRE
        elif any(_contradicts(table, tires) for tires in meant):
            yield table, TableFault.CONTRADICTS_SIDEWALL
        elif any(tire.rating_basis == "callers_table" for tire in users):
            yield table, TableFault.BELOW_SIDEWALL
        elif any(_is_doubtful(table, tires) for tires in meant):
            yield table, TableFault.DOUBTFUL


def _is_doubtful(table: Table, tires: Tires) -> bool:
    """Return whether a table jumps, is the other fitment's, or ends above the marked load; ending early is no doubt."""
    maxima = MarkedMaxima(tires.max_load_single_kg, tires.max_load_dual_kg, tires.max_pressure_pa)
    return any(
        suspicion.reason in (Reason.JUMP, Reason.OTHER_FITMENT)
        or (suspicion.reason is Reason.TOP_LOAD and suspicion.value > tires.max_load_kg)
        for suspicion in table_plausibility(table, tires.marking, maxima)
    )


def is_for_tire(table: Table, tires: Tires) -> bool:
    """Return whether a table is for a tire: designation, fitment, and load range as far as both state it."""
    designation = tires.marking.designation if tires.marking else tires.designation
    same_range = None in (table.load_range, tires.load_range) or table.load_range == tires.load_range
    return table.designation == designation and table.service == tires.fitment and same_range


def _contradicts(table: Table, tires: Tires) -> bool:
    """Return whether a table reaches the marked load well below the marked pressure, beyond twins in other units.

    Passenger-car tires do, as their marked pressure is the most they may hold, not the one for the marked load.
    """
    if tires.marking is not None and is_passenger_car_tire(tires.marking.family):
        return False
    return any(
        row.load_kg > tires.max_load_kg - MARKING_STEP_KG
        and exceeds(tires.max_pressure_pa - PRESSURE_TOLERANCE_PA, row.pressure_pa)
        for row in table.rows
    )


def _contradicted_by(table: Table, tires: Tires, marked_kg: float) -> float | None:
    """Return what the built-in table gives [kg] at the marked pressure, where the marked load is surely more.

    Passenger-car tires are left out: the pressure marked on them is not the one for the marked load.
    """
    if tires.marking is not None and is_passenger_car_tire(tires.marking.family):
        return None
    top = table.rows[-1]
    most_kg = table_kg = _load_between_rows(table.rows, tires.max_pressure_pa)
    if exceeds(tires.max_pressure_pa, top.pressure_pa + MARKING_TOLERANCE_PA):
        most_kg = top.load_kg * tires.max_pressure_pa / top.pressure_pa  # load never rises faster than pressure
    most_kg = most_kg + MARKING_STEP_KG if table.complete else most_kg * MOST_ABOVE_SINGLE_ROWS
    return table_kg if exceeds(marked_kg, most_kg) else None


def _load_between_rows(rows: tuple[Row, ...], pressure_pa: float) -> float:
    """Return the load [kg] at a pressure, a row's for its twin in another unit, else linear between rows.

    Below the first row it goes with pressure, above the last it stays: both are cautious, as are chords of a law whose
    load rises by less than pressure.
    """
    for row in rows:
        if abs(row.pressure_pa - pressure_pa) <= MARKING_TOLERANCE_PA:
            return row.load_kg
    if pressure_pa < rows[0].pressure_pa:
        return rows[0].load_kg * pressure_pa / rows[0].pressure_pa
    for lower, upper in pairwise(rows):
        if pressure_pa < upper.pressure_pa:
            share = (pressure_pa - lower.pressure_pa) / (upper.pressure_pa - lower.pressure_pa)
            return lower.load_kg + share * (upper.load_kg - lower.load_kg)
    return rows[-1].load_kg


def _built_in(tires: Tires) -> Table | None:
    """Return the built-in table of a tire; without a load range the one that ends at its marking, if only one does."""
    if tires.marking is None:
        return None
    tables = tables_for(tires.marking.designation, tires.load_range, tires.fitment.value)
    if tires.load_range is None:
        tables = tuple(table for table in tables if _ends_at_the_marking(table, tires))
    return tables[0] if len(tables) == 1 else None


def _ends_at_the_marking(table: Table, tires: Tires) -> bool:
    top = table.rows[-1]
    same_pressure = abs(top.pressure_pa - tires.max_pressure_pa) <= PSI_PA
    return same_pressure and abs(top.load_kg - tires.max_load_kg) <= MARKING_STEP_KG


def _family_for_estimates(tires: Tires) -> Family | None:
    """Return the family whose law estimates a tire; a dash that may stand for R takes the more cautious radial's."""
    if tires.marking is None:
        return None
    dashed = Ambiguity.DASH_READ_AS_BIAS in tires.marking.ambiguities
    family = tires.marking.family
    return (
        {Family.LT_BIAS: Family.LT_RADIAL, Family.TRUCK_BIAS: Family.TRUCK_RADIAL}.get(family, family)
        if dashed
        else family
    )
