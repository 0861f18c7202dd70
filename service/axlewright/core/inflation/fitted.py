"""Each wheel end's tire as fitted: its rated load, and its capacity over pressure."""

from collections.abc import Iterator, Sequence
from enum import StrEnum

from msgspec import Struct

from axlewright.core.inflation.capacity import MARKING_TOLERANCE_PA, CapacityCurve, capacity_curve
from axlewright.core.rig import Rig, Tires
from axlewright.core.tires.family import PASSENGER_DERATE, Family, is_passenger_car_tire
from axlewright.core.tires.marking import Ambiguity
from axlewright.core.tires.plausibility import MarkedMaxima, Reason, table_plausibility
from axlewright.core.tires.rating import MARKING_STEP_KG, rated_load
from axlewright.core.tires.tables import Table, tables_for
from axlewright.core.units import PSI_PA, exceeds


class TableFault(StrEnum):
    """Why a caller's table is not used, or not whole."""

    NO_SUCH_TIRE = "no_such_tire"
    CONTRADICTS_SIDEWALL = "contradicts_sidewall"
    BELOW_SIDEWALL = "below_sidewall"
    DOUBTFUL = "doubtful"


class FittedTire(Struct, frozen=True):
    """One tire of a wheel end: rated load [kg] as fitted, what that rests on, capacity over pressure.

    ``table`` is the caller's that was used.
    """

    rated_load_kg: float
    rating_basis: str
    curve: CapacityCurve
    table: Table | None


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
            (table for table in callers_tables if _is_for(table, tires) and not _contradicts(table, tires)), None
        )
        curve = capacity_curve(
            rated_load_kg,
            tires.max_pressure_pa,
            own or _built_in(tires),
            own is not None,
            _family_for_estimates(tires),
            PASSENGER_DERATE if basis == "passenger_derate" else 1.0,
        )
        if own is not None and curve.top.load_kg < rated_load_kg - MARKING_STEP_KG:
            rated_load_kg, basis = curve.top.load_kg, "callers_table"
        fitted[wheel_end.name] = FittedTire(rated_load_kg, basis, curve, own)
    return fitted


def table_faults(
    rig: Rig, fitted: dict[str, FittedTire], callers_tables: Sequence[Table]
) -> Iterator[tuple[Table, TableFault]]:
    """Yield every caller's table that no tire uses, or that contradicts the sidewall, with the reason."""
    for table in callers_tables:
        meant = [end.tires for _, _, end in rig.wheel_ends() if _is_for(table, end.tires)]
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
        for suspicion in table_plausibility(table, tires.marking, maxima).suspicions
    )


def _is_for(table: Table, tires: Tires) -> bool:
    """Return whether a table is for a tire: designation, fitment, and load range as far as both state it."""
    designation = tires.marking.designation if tires.marking else tires.designation
    same_range = None in (table.load_range, tires.load_range) or table.load_range == tires.load_range
    return table.designation == designation and table.service == tires.fitment and same_range


def _contradicts(table: Table, tires: Tires) -> bool:
    """Return whether a table reaches the marked load well below the marked pressure.

    Passenger-car tires do, as their marked pressure is the most they may hold, not the one for the marked load.
    """
    if tires.marking is not None and is_passenger_car_tire(tires.marking.family):
        return False
    return any(
        row.load_kg > tires.max_load_kg - MARKING_STEP_KG
        and exceeds(tires.max_pressure_pa - MARKING_TOLERANCE_PA, row.pressure_pa)
        for row in table.rows
    )


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
