"""What a tire may carry at a pressure, and the least pressure for a load: tables first, else an estimate.

Common practice: a maker's table governs and between its rows the load is interpolated linearly; where only some
rows are published the next one up is taken; without rows the law of the tire's family gives an estimate.
"""

from enum import StrEnum

from msgspec import Struct

from axlewright.core.inflation.estimate import (
    ESTIMATED_FAMILIES,
    LOWEST_PRESSURE_SHARE,
    estimated_load_kg,
    estimated_pressure_pa,
)
from axlewright.core.tires.family import Family
from axlewright.core.tires.tables import Publication, Table
from axlewright.core.units import exceeds


class Ground(StrEnum):
    """What a capacity or pressure rests on."""

    CALLERS_TABLE = "callers_table"
    PUBLISHED_ROW = "published_row"
    INTERPOLATED = "interpolated"
    SIDEWALL = "sidewall"
    ESTIMATED = "estimated"


class Capacity(Struct, frozen=True):
    """What one tire may carry [kg] at a gauge pressure [Pa], on what ground, from which publication."""

    pressure_pa: float
    load_kg: float
    ground: Ground
    publication: Publication | None = None

    @property
    def estimated(self) -> bool:
        """Whether no published row stands behind the figure."""
        return self.ground is Ground.ESTIMATED


class CapacityCurve(Struct, frozen=True):
    """All that is known of one tire's capacity.

    ``rows`` rise in pressure and load, end at the sidewall's own maximum and never exceed it; ``published`` says
    whether a table stands behind them; ``complete`` whether that table is a full one, between whose rows one may
    interpolate. ``family`` gives the law of estimates, None where the designation could not be read.
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
        below = [row for row in self.rows if not exceeds(row.pressure_pa, pressure_pa)]
        if below and not exceeds(pressure_pa, below[-1].pressure_pa):
            return below[-1]
        if below and self.complete:
            return _between(below[-1], self.rows[len(below)], pressure_pa)
        if below:
            return Capacity(pressure_pa, below[-1].load_kg, below[-1].ground, below[-1].publication)
        if self.complete or not self._has_estimate(pressure_pa):
            return None
        assert self.family is not None
        load_kg = estimated_load_kg(self.family, self.top.load_kg, self.top.pressure_pa, pressure_pa)
        return Capacity(pressure_pa, load_kg, Ground.ESTIMATED)

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
        if load_kg <= estimated_load_kg(self.family, *reference, lowest_pa):
            pressure_pa = lowest_pa
        elif load_kg <= estimated_load_kg(self.family, *reference, self.top.pressure_pa):
            pressure_pa = estimated_pressure_pa(self.family, *reference, load_kg)
        else:
            return None
        return Capacity(pressure_pa, estimated_load_kg(self.family, *reference, pressure_pa), Ground.ESTIMATED)

    def _has_estimate(self, pressure_pa: float) -> bool:
        within = not exceeds(LOWEST_PRESSURE_SHARE * self.top.pressure_pa, pressure_pa)
        return within and self.family is not None and self.family in ESTIMATED_FAMILIES


def capacity_curve(
    max_load_kg: float,
    max_pressure_pa: float,
    table: Table | None,
    by_caller: bool,
    family: Family | None,
    derate: float,
) -> CapacityCurve:
    """Return what is known of a tire's capacity as fitted.

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
    sidewall = Capacity(max_pressure_pa, max_load_kg, Ground.SIDEWALL)
    if table is None:
        return CapacityCurve((sidewall,), False, False, family)
    ground = Ground.CALLERS_TABLE if by_caller else Ground.PUBLISHED_ROW
    rows = [
        Capacity(row.pressure_pa, min(row.load_kg / derate, max_load_kg), ground, row.publication)
        for row in table.rows
        if not exceeds(row.pressure_pa, max_pressure_pa)
    ]
    if not rows or exceeds(max_pressure_pa, rows[-1].pressure_pa):
        rows.append(sidewall)
    return CapacityCurve(tuple(rows), True, table.complete, family)


def _between(lower: Capacity, upper: Capacity, pressure_pa: float) -> Capacity:
    share = (pressure_pa - lower.pressure_pa) / (upper.pressure_pa - lower.pressure_pa)
    load_kg = lower.load_kg + share * (upper.load_kg - lower.load_kg)
    return Capacity(pressure_pa, load_kg, Ground.INTERPOLATED, lower.publication)
