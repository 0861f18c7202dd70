"""Limits as linear rows over the loads: what plans, headroom and envelopes keep."""

from collections.abc import Iterable
from math import sqrt

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.estimates import Estimate, LoadEstimates
from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.limits import LimitCheck
from axlewright.core.loads.standings import Bound
from axlewright.core.units import RELATIVE_GUARD

Matrix = NDArray[np.float64]


class LimitRow(Struct, frozen=True):
    """One limit that is kept while ``row`` times the loads is surely no more than ``most_kg``.

    Attributes
    ----------
    check
        The limit, as it stands.
    row
        Coefficients (m); of a least they are turned round, of a share the whole stands in them.
    most_kg
        What the row must not exceed; 0 for a share.
    present
        The row's value with its doubt.
    """

    check: LimitCheck
    row: Matrix
    most_kg: float
    present: Estimate

    def excess_kg(self, change: LoadChange, coverage_factor: float) -> float:
        """Return by how much the limit is broken, at the upper bound, after a change [kg]; negative where it is kept.

        It is a convex function of the change, as the doubt of a sum is.
        """
        own_u = max(self.present.stated_u if self.present.u is None else self.present.u, self.present.widest_u)
        spread = coverage_factor * sqrt(own_u**2 + change.u(self.row) ** 2)
        return self.present.value + self.present.rise + change.value(self.row) + spread - self.most_kg

    @property
    def tolerance_kg(self) -> float:
        """What is no excess but the rounding of conversions [kg]."""
        return RELATIVE_GUARD * max(abs(self.most_kg), abs(self.present.value), 1.0)


def limit_rows(checks: Iterable[LimitCheck], estimates: LoadEstimates) -> list[LimitRow]:
    """Return every limit on loads that can be judged, as a row."""
    return [
        _limit_row(check, check.limit, check.value, estimates)
        for check in checks
        if check.of and isinstance(check.limit, float) and isinstance(check.value, Estimate)
    ]


def _limit_row(check: LimitCheck, limit: float, value: Estimate, estimates: LoadEstimates) -> LimitRow:
    toward = 1.0 if check.bound is Bound.MOST else -1.0
    if check.whole is None:
        load = estimates.known(check.of)
        assert isinstance(load, Estimate), "a limit that was judged rests on known loads"
        # A payload is a load less the unloaded weight.
        row, most_kg = check.of, toward * (limit + load.value - value.value)
    else:
        names = {**check.whole, **check.of}
        row, most_kg = {n: check.of.get(n, 0.0) - limit * check.whole.get(n, 0.0) for n in names}, 0.0
    row = {name: toward * weight for name, weight in row.items()}
    present = estimates.known(row)
    assert isinstance(present, Estimate), "a limit that was judged rests on known loads"
    return LimitRow(check, estimates.columns.row(row), most_kg, present)
