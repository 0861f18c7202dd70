"""Whether a caller's load/inflation table can be what it says: order, size against the marking, slips of unit.

Nothing is corrected. Every suspicion names the row, the figures, and the slip that would explain them, so that the
caller can look again.
"""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from itertools import pairwise
from math import log
from types import MappingProxyType
from typing import Final

from msgspec import Struct, structs

from axlewright.core.rig import Fitment
from axlewright.core.tires.marking import Marking
from axlewright.core.tires.rating import MARKING_STEP_KG, index_load_kg
from axlewright.core.tires.tables import Row, Table
from axlewright.core.units import BAR_PA, KILOPASCAL_PA, POUND_KG, PSI_PA, exceeds

LOWEST_PRESSURE_PA: Final = 80_000.0
HIGHEST_PRESSURE_PA: Final = 1_050_000.0
"""Least and most cold gauge pressure [Pa] of a row (judgement).

Published rows of road tires run from 15 psi (103 kPa, special trailer) to 135 psi (931 kPa, truck).
"""
LEAST_TOP_PRESSURE_SHARE: Final = 0.6
MOST_TOP_SHARE: Final = 1.05
"""A table's last row lies between these shares [1] of the pressure marked on the tire (judgement).

A passenger-car tire's table ends at 240 kPa where 350 kPa may be marked as the most it may hold, a share of 0.69.
"""
LEAST_TOP_LOAD_SHARE: Final = 0.85
SLIP_TOLERANCE_SHARE: Final = 0.04
"""Loads so close to a rating times a factor are that slip (judgement): 2 and 2.2046 lie 10 % apart."""
LEAST_EXPONENT: Final = 0.3
MOST_EXPONENT: Final = 1.5
"""Between rows load goes with pressure to a power in this span (judgement).

Published laws take 0.5 to 1; rows 5 psi apart, rounded as printed, scatter about it from 0.4 to 1.1.
"""


class Slip(StrEnum):
    """A slip that explains a figure: what it probably is in, and what it was taken for."""

    KILOPASCALS_TAKEN_FOR_PSI = "kilopascals_taken_for_psi"
    PSI_TAKEN_FOR_KILOPASCALS = "psi_taken_for_kilopascals"
    PSI_TAKEN_FOR_BAR = "psi_taken_for_bar"
    BAR_TAKEN_FOR_PSI = "bar_taken_for_psi"
    KILOPASCALS_TAKEN_FOR_BAR = "kilopascals_taken_for_bar"
    BAR_TAKEN_FOR_KILOPASCALS = "bar_taken_for_kilopascals"
    POUNDS_TAKEN_FOR_KILOGRAMS = "pounds_taken_for_kilograms"
    KILOGRAMS_TAKEN_FOR_POUNDS = "kilograms_taken_for_pounds"
    TWO_TIRES_TAKEN_FOR_ONE = "two_tires_taken_for_one"
    FOUR_TIRES_TAKEN_FOR_ONE = "four_tires_taken_for_one"
    ONE_TIRE_TAKEN_FOR_TWO = "one_tire_taken_for_two"


PRESSURE_SLIPS: Final = MappingProxyType(
    {
        Slip.KILOPASCALS_TAKEN_FOR_PSI: PSI_PA / KILOPASCAL_PA,
        Slip.PSI_TAKEN_FOR_KILOPASCALS: KILOPASCAL_PA / PSI_PA,
        Slip.PSI_TAKEN_FOR_BAR: BAR_PA / PSI_PA,
        Slip.BAR_TAKEN_FOR_PSI: PSI_PA / BAR_PA,
        Slip.KILOPASCALS_TAKEN_FOR_BAR: BAR_PA / KILOPASCAL_PA,
        Slip.BAR_TAKEN_FOR_KILOPASCALS: KILOPASCAL_PA / BAR_PA,
    }
)
"""By how much [1] a pressure comes out too large through each slip."""
LOAD_SLIPS: Final = MappingProxyType(
    {
        Slip.POUNDS_TAKEN_FOR_KILOGRAMS: 1 / POUND_KG,
        Slip.KILOGRAMS_TAKEN_FOR_POUNDS: POUND_KG,
        Slip.TWO_TIRES_TAKEN_FOR_ONE: 2.0,
        Slip.FOUR_TIRES_TAKEN_FOR_ONE: 4.0,
        Slip.ONE_TIRE_TAKEN_FOR_TWO: 0.5,
    }
)
"""By how much [1] a load comes out too large through each slip; tables of chassis makers give loads per axle."""
UNIT_SLIPS: Final = frozenset({*PRESSURE_SLIPS, Slip.POUNDS_TAKEN_FOR_KILOGRAMS, Slip.KILOGRAMS_TAKEN_FOR_POUNDS})


class Reason(StrEnum):
    """What is suspect about a table.

    ``pressure_out_of_range``: no road tire is held at it cold. ``top_pressure``, ``top_load``: the last row is far
    from what the tire is marked with. ``jump``: between two rows the load rises by far more or less than any law has
    it. ``other_fitment``: the load is that of the other fitment.
    """

    PRESSURE_OUT_OF_RANGE = "pressure_out_of_range"
    TOP_PRESSURE = "top_pressure"
    TOP_LOAD = "top_load"
    JUMP = "jump"
    OTHER_FITMENT = "other_fitment"


class Suspicion(Struct, frozen=True):
    """One thing that makes a table doubtful.

    ``row`` is its place from 0; ``value`` and ``expected`` are in Pa or kg, or exponents [1] for a jump.
    ``expected`` is what was compared with, None where it is a span. ``slips`` are those that would explain the value.
    """

    reason: Reason
    row: int
    value: float
    expected: float | None = None
    slips: tuple[Slip, ...] = ()


class MarkedMaxima(Struct, frozen=True):
    """What a tire is marked with: loads [kg] of one tire and cold gauge pressure [Pa], None where not known."""

    max_load_single_kg: float | None = None
    max_load_dual_kg: float | None = None
    max_pressure_pa: float | None = None


def table_plausibility(table: Table, marking: Marking | None, maxima: MarkedMaxima) -> tuple[Suspicion, ...]:
    """Return what is doubtful about a caller's table for a tire.

    Parameters
    ----------
    table : Table
        The caller's rows; loads [kg] of one tire and cold gauge pressures [Pa].
    marking : Marking or None
        The tire's designation as read: its load index stands in for a load that is not known.
    maxima : MarkedMaxima
        What the sidewall states.

    Examples
    --------
    >>> rows = tuple(Row(psi * 6894.757, 500.0 * (psi / 241) ** 0.7) for psi in (241, 345, 552))
    >>> answer = table_plausibility(
    ...     Table("LT235/85R16", "E", "single", True, rows), None, MarkedMaxima(max_pressure_pa=552e3)
    ... )
    >>> [(each.reason.value, each.slips[0].value) for each in answer if each.reason is Reason.TOP_PRESSURE]
    [('top_pressure', 'kilopascals_taken_for_psi')]

    """
    fitment = Fitment(table.service)
    rating_kg = _rating_kg(fitment, marking, maxima)
    suspicions = [*_range(table.rows), *_jumps(table.rows)]
    if maxima.max_pressure_pa is not None:
        suspicions += _top_pressure(table.rows, maxima.max_pressure_pa)
    if rating_kg is not None:
        other = Fitment.SINGLE if fitment is Fitment.DUAL else Fitment.DUAL
        suspicions += _top_load(table.rows, rating_kg, _rating_kg(other, marking, maxima))
    return tuple(suspicions)


def unit_slip(suspicions: Sequence[Suspicion]) -> Suspicion | None:
    """Return the first suspicion that a slip explains so well that the table cannot be meant as it stands.

    A table that only ends early, in pressure and in load, is no slip: it is incomplete.
    """
    reasons = {suspicion.reason for suspicion in suspicions}
    for suspicion in suspicions:
        is_short = suspicion.expected is not None and suspicion.value < suspicion.expected
        ends_early = suspicion.reason is Reason.TOP_LOAD and is_short and Reason.TOP_PRESSURE in reasons
        slips = tuple(slip for slip in suspicion.slips if slip in UNIT_SLIPS or suspicion.reason is not Reason.JUMP)
        if slips and not ends_early:
            return structs.replace(suspicion, slips=slips)
    return None


def _rating_kg(fitment: Fitment, marking: Marking | None, maxima: MarkedMaxima) -> float | None:
    marked_kg = maxima.max_load_single_kg if fitment is Fitment.SINGLE else maxima.max_load_dual_kg
    return index_load_kg(marking, fitment) if marked_kg is None else marked_kg


def _range(rows: tuple[Row, ...]) -> Iterator[Suspicion]:
    for place, row in enumerate(rows):
        if exceeds(LOWEST_PRESSURE_PA, row.pressure_pa) or exceeds(row.pressure_pa, HIGHEST_PRESSURE_PA):
            slips = tuple(
                slip
                for slip, factor in PRESSURE_SLIPS.items()
                if LOWEST_PRESSURE_PA <= row.pressure_pa / factor <= HIGHEST_PRESSURE_PA
            )
            yield Suspicion(Reason.PRESSURE_OUT_OF_RANGE, place, row.pressure_pa, None, slips)


def _jumps(rows: tuple[Row, ...]) -> Iterator[Suspicion]:
    for place, (before, after) in enumerate(pairwise(rows), start=1):
        rising = exceeds(after.pressure_pa, before.pressure_pa) and exceeds(after.load_kg, before.load_kg)
        if not rising or before.pressure_pa <= 0 or before.load_kg <= 0:
            continue
        exponent = _exponent(before, after.load_kg, after.pressure_pa)
        if not LEAST_EXPONENT <= exponent <= MOST_EXPONENT:
            yield Suspicion(Reason.JUMP, place, exponent, None, _jump_slips(before, after))


def _jump_slips(before: Row, after: Row) -> tuple[Slip, ...]:
    """Return the slips of the upper row alone that would bring the step back to a law."""
    found = []
    for slip, factor in PRESSURE_SLIPS.items():
        pressure_pa = after.pressure_pa / factor
        possible = LOWEST_PRESSURE_PA <= pressure_pa <= HIGHEST_PRESSURE_PA
        if possible and exceeds(pressure_pa, before.pressure_pa) and _is_lawful(before, after.load_kg, pressure_pa):
            found.append(slip)
    for slip, factor in LOAD_SLIPS.items():
        load_kg = after.load_kg / factor
        if exceeds(load_kg, before.load_kg) and _is_lawful(before, load_kg, after.pressure_pa):
            found.append(slip)
    return tuple(found)


def _is_lawful(before: Row, load_kg: float, pressure_pa: float) -> bool:
    return LEAST_EXPONENT <= _exponent(before, load_kg, pressure_pa) <= MOST_EXPONENT


def _exponent(before: Row, load_kg: float, pressure_pa: float) -> float:
    """Return the power [1] of pressure with which load goes from a row to a higher load and pressure."""
    return (log(load_kg) - log(before.load_kg)) / (log(pressure_pa) - log(before.pressure_pa))


def _top_pressure(rows: tuple[Row, ...], marked_pa: float) -> Iterator[Suspicion]:
    top_pa = rows[-1].pressure_pa
    if _is_usual_top(top_pa / marked_pa):
        return
    slips = tuple(slip for slip, factor in PRESSURE_SLIPS.items() if _is_usual_top(top_pa / factor / marked_pa))
    yield Suspicion(Reason.TOP_PRESSURE, len(rows) - 1, top_pa, marked_pa, slips)


def _is_usual_top(share: float) -> bool:
    return LEAST_TOP_PRESSURE_SHARE <= share <= MOST_TOP_SHARE


def _top_load(rows: tuple[Row, ...], rating_kg: float, other_kg: float | None) -> Iterator[Suspicion]:
    top_kg, place = rows[-1].load_kg, len(rows) - 1
    if not LEAST_TOP_LOAD_SHARE * rating_kg <= top_kg <= MOST_TOP_SHARE * rating_kg:
        slips = tuple(slip for slip, factor in LOAD_SLIPS.items() if _is_about(top_kg, factor * rating_kg))
        yield Suspicion(Reason.TOP_LOAD, place, top_kg, rating_kg, slips)
    elif other_kg is not None and _is_other(top_kg, rating_kg, other_kg):
        yield Suspicion(Reason.OTHER_FITMENT, place, top_kg, rating_kg)


def _is_about(value: float, expected: float) -> bool:
    return abs(value - expected) <= SLIP_TOLERANCE_SHARE * expected


def _is_other(top_kg: float, rating_kg: float, other_kg: float) -> bool:
    """Return whether a table ends at the load of the other fitment, and not near its own."""
    return abs(top_kg - other_kg) <= MARKING_STEP_KG < abs(top_kg - rating_kg)
