"""What a tire may carry at a pressure, and the least pressure for a load: tables first, else an estimate.

Common practice: a maker's table governs and between its rows the load is interpolated linearly; where only some
rows are published the next one up is taken; without rows the law of the tire's family gives an estimate.
"""

from collections.abc import Iterator
from enum import StrEnum
from functools import lru_cache
from typing import Final

from msgspec import Struct

from axlewright.core.inflation.estimate import (
    CAUTION_SHARE,
    ESTIMATED_FAMILIES,
    LOWEST_PRESSURE_SHARE,
    estimated_load_kg,
    estimated_pressure_pa,
    lowest_estimated_load_kg,
)
from axlewright.core.tires.family import Family
from axlewright.core.tires.tables import Publication, Table
from axlewright.core.units import PSI_PA, exceeds

MARKING_TOLERANCE_PA: Final = PSI_PA / 2
"""Pressures so close are one marking, printed in psi and in kPa; common practice."""


class Ground(StrEnum):
    """What a capacity or pressure rests on."""

    CALLERS_TABLE = "callers_table"
    PUBLISHED_ROW = "published_row"
    INTERPOLATED = "interpolated"
    SIDEWALL = "sidewall"
    ESTIMATED = "estimated"


class Capacity(Struct, frozen=True, gc=False):
    """What one tire may carry [kg] at a gauge pressure [Pa], on what ground, from which publication.

    ``at_most_kg`` is what it surely does not exceed there: the same, but for estimates and between single rows.
    """

    pressure_pa: float
    load_kg: float
    ground: Ground
    at_most_kg: float
    publication: Publication | None = None

    @property
    def estimated(self) -> bool:
        """Whether no published row stands behind the figure."""
        return self.ground is Ground.ESTIMATED


class CapacityCurve(Struct, frozen=True):
    """All that is known of one tire's capacity.

    ``rows`` rise in pressure or load and fall in neither, end at the sidewall's own maximum and never exceed it;
    ``published`` says whether a table stands behind them; ``complete`` whether that table is a full one, between whose
    rows one may interpolate. ``family`` gives the law of estimates, None where the designation could not be read.
    """

    rows: tuple[Capacity, ...]
    published: bool
    complete: bool
    family: Family | None

    @property
    def top(self) -> Capacity:
        """The sidewall's maximum."""
        return self.rows[-1]

    def at(self, pressure_pa: float) -> Capacity | None:
        """Return the capacity at a gauge pressure [Pa]; None where nothing supports a figure.

        Above the sidewall's maximum pressure nothing is added.
        """
        if not exceeds(self.top.pressure_pa, pressure_pa):
            return self.top
        place = next(place for place, row in enumerate(self.rows) if exceeds(row.pressure_pa, pressure_pa))
        above, below = self.rows[place], self.rows[place - 1] if place else None
        if below is not None and not exceeds(pressure_pa, below.pressure_pa):
            return below
        if self.complete:
            return below and _between(below, above, pressure_pa)
        return max(self._supported(below, above, pressure_pa), key=lambda each: each.load_kg, default=None)

    def _supported(self, below: Capacity | None, above: Capacity, pressure_pa: float) -> Iterator[Capacity]:
        """Yield what supports a capacity between single rows: the lower one, and the estimate."""
        if below is not None:
            yield Capacity(pressure_pa, below.load_kg, below.ground, above.load_kg, below.publication)
        if self._has_estimate(pressure_pa):
            assert self.family is not None
            load_kg = estimated_load_kg(self.family, self.top.load_kg, self.top.pressure_pa, pressure_pa)
            yield Capacity(pressure_pa, load_kg, Ground.ESTIMATED, above.load_kg)

    def least_for(self, load_kg: float) -> Capacity | None:
        """Return the least pressure whose capacity carries a load [kg] on one tire; None if none does.

        A published table answers with its lowest row that carries the load, never below its first. Without one
        the answer is an estimate, not below 0.6 of the sidewall's pressure.
        """
        if exceeds(load_kg, self.top.load_kg):
            return None
        if not self.published:
            estimate = self.estimate_for(load_kg)
            if estimate is not None:
                return estimate
        return next(row for row in self.rows if not exceeds(load_kg, row.load_kg))

    def estimate_for(self, load_kg: float) -> Capacity | None:
        """Return the pressure that the family's law gives for a load [kg]; None without a law, or above its span."""
        lowest_pa = LOWEST_PRESSURE_SHARE * self.top.pressure_pa
        if not self._has_estimate(lowest_pa):
            return None
        assert self.family is not None
        reference = self.top.load_kg, self.top.pressure_pa
        if load_kg <= lowest_estimated_load_kg(self.family, *reference):
            pressure_pa = lowest_pa
        elif load_kg <= CAUTION_SHARE * self.top.load_kg:
            pressure_pa = estimated_pressure_pa(self.family, *reference, load_kg)
        else:
            return None
        carried_kg = estimated_load_kg(self.family, *reference, pressure_pa)
        return Capacity(pressure_pa, carried_kg, Ground.ESTIMATED, self.top.load_kg)

    def _has_estimate(self, pressure_pa: float) -> bool:
        within = not exceeds(LOWEST_PRESSURE_SHARE * self.top.pressure_pa, pressure_pa)
        return within and self.family is not None and self.family in ESTIMATED_FAMILIES


@lru_cache(maxsize=1024)
def capacity_curve(
    max_load_kg: float,
    max_pressure_pa: float,
    table: Table | None,
    by_caller: bool,
    family: Family | None,
    derate: float,
) -> CapacityCurve:
    """Return what is known of a tire's capacity as fitted.

    A built-in table whose last row is below the sidewall's own maximum is of another edition: above that row the
    sidewall stands. The caller's own is taken at its word.

    Parameters
    ----------
    max_load_kg, max_pressure_pa
        The tire's rated load as fitted and the gauge pressure marked with it; a table that ends below them is
        incomplete, not the limit, and one that promises more is cut to them.
    table
        The rows for its designation, load range and fitment, if there are any.
    by_caller
        Whether the table is the caller's.
    family
        For the law of estimates.
    derate
        What the table's loads are divided by.
    """
    sidewall = Capacity(max_pressure_pa, max_load_kg, Ground.SIDEWALL, max_load_kg)
    if table is None:
        return CapacityCurve((sidewall,), False, False, family)
    ground = Ground.CALLERS_TABLE if by_caller else Ground.PUBLISHED_ROW
    rows = []
    for row in table.rows:
        if not exceeds(row.pressure_pa, max_pressure_pa + MARKING_TOLERANCE_PA):
            load_kg = min(row.load_kg / derate, max_load_kg)
            pressure_pa = min(row.pressure_pa, max_pressure_pa)
            rows.append(Capacity(pressure_pa, load_kg, ground, load_kg, row.publication))
    if not rows or exceeds(max_pressure_pa - MARKING_TOLERANCE_PA, rows[-1].pressure_pa):
        between = _at_the_marking(table, rows, max_pressure_pa, derate) if table.complete else None
        rows.append(sidewall if between is None or exceeds(between.load_kg, max_load_kg) else between)
    elif not by_caller and exceeds(max_load_kg, rows[-1].load_kg):
        rows.append(sidewall)
    return CapacityCurve(tuple(rows), True, table.complete, family)


def _at_the_marking(table: Table, below: list[Capacity], max_pressure_pa: float, derate: float) -> Capacity | None:
    """Return what a full table gives at a marked pressure between two of its rows; None where it is not between."""
    above = next((row for row in table.rows if exceeds(row.pressure_pa, max_pressure_pa)), None)
    if above is None or not below:
        return None
    load_kg = above.load_kg / derate
    upper = Capacity(above.pressure_pa, load_kg, Ground.PUBLISHED_ROW, load_kg, above.publication)
    return _between(below[-1], upper, max_pressure_pa)


def _between(lower: Capacity, upper: Capacity, pressure_pa: float) -> Capacity:
    share = (pressure_pa - lower.pressure_pa) / (upper.pressure_pa - lower.pressure_pa)
    load_kg = lower.load_kg + share * (upper.load_kg - lower.load_kg)
    return Capacity(pressure_pa, load_kg, Ground.INTERPOLATED, load_kg, lower.publication)
