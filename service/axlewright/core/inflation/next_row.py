"""What the next row of a tire's table would give above the pressure that is taken."""

from enum import StrEnum
from math import inf

from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.capacity import MARKING_TOLERANCE_PA, Capacity, CapacityCurve
from axlewright.core.inflation.needs import is_above_ceiling
from axlewright.core.units import exceeds


class NoNextRow(StrEnum):
    """Why there is no next row: the pressure is the sidewall's maximum, or above it."""

    AT_THE_MAXIMUM = "at_the_maximum"


class NextRow(Struct, frozen=True):
    """The row above a pressure, and what it would give.

    ``row`` None where there is none, with the reason. ``more_pressure_pa`` and ``more_load_kg`` are its gain over the
    pressure and capacity that are taken, the latter None where nothing supports a capacity there; ``reserve_share`` is
    what it would leave above the load, as a share of the load. ``allowed`` says whether sidewall and wheel may hold it.
    """

    row: Capacity | None
    more_pressure_pa: float | None
    more_load_kg: float | None
    reserve_share: float | None
    allowed: bool | None
    unknown_because: NoNextRow | None


def next_row(curve: CapacityCurve, pressure_pa: float, load_kg: float, most_pa: float) -> NextRow:
    """Return what the next row above a pressure would give a tire.

    The rows are the table's, ending at the sidewall's maximum; without a table that maximum is the only one. A row
    that differs from the pressure by less than markings in psi and kPa do is the one taken.

    Parameters
    ----------
    curve : CapacityCurve
        All that is known of the tire's capacity.
    pressure_pa : float
        Cold gauge pressure taken [Pa].
    load_kg : float
        Load of the tire that the reserve counts from [kg], above 0.
    most_pa : float
        Most cold gauge pressure that tire and wheel may hold [Pa].

    Raises
    ------
    OutOfRange
        If the load is not above 0 and finite.

    Examples
    --------
    >>> from axlewright.core.inflation.capacity import capacity_curve
    >>> answer = next_row(capacity_curve(1200.0, 550e3, None, False, None, 1.0), 450e3, 800.0, 550e3)
    >>> answer.row.load_kg, answer.more_pressure_pa, answer.reserve_share
    (1200.0, 100000.0, 0.5)

    """
    if not 0 < load_kg < inf:
        raise OutOfRange("load_kg_out_of_range", "load_kg", f"load_kg is {load_kg}: it must be above 0 and finite.")
    taken_pa = pressure_pa + MARKING_TOLERANCE_PA
    above = next((row for row in curve.rows if exceeds(row.pressure_pa, taken_pa)), None)
    if above is None:
        return NextRow(None, None, None, None, None, NoNextRow.AT_THE_MAXIMUM)
    taken = curve.at(pressure_pa)
    return NextRow(
        row=above,
        more_pressure_pa=above.pressure_pa - pressure_pa,
        more_load_kg=None if taken is None else above.load_kg - taken.load_kg,
        reserve_share=above.load_kg / load_kg - 1,
        allowed=not is_above_ceiling(above.pressure_pa, most_pa),
        unknown_because=None,
    )
