"""What moving things does to the side differences of the axles, against what practice looks at."""

from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.balance.distribution import LOOK_KG, LOOK_SHARE, Band, SideDifference, vehicle_balance
from axlewright.core.balance.shift_problem import Cargo, Matrix
from axlewright.core.estimates import Estimate, LoadEstimates
from axlewright.core.loads.statics import Statics
from axlewright.core.rig import Axle, Rig

_SIGNS: Final = (1.0, -1.0)

Row = tuple[dict[str, float], float]
"""A sum of loads with the most [kg] that it should be."""


class Sides(Struct, frozen=True):
    """Side differences as rows (s) over all options (n) [kg]: beyond what is looked at where above_now + slopes x > 0.

    ``of`` tells which of the ``axles`` a row is of; ``unjudged`` are the axles of which no band can be told.
    """

    axles: tuple[str, ...]
    of: NDArray[np.intp]
    above_now: Matrix
    slopes: Matrix
    unjudged: tuple[str, ...]

    @classmethod
    def none(cls, options: int) -> "Sides":
        """Return no side differences, over so many options."""
        return cls((), np.zeros(0, dtype=np.intp), np.zeros(0), np.zeros((0, options)), ())

    def beyond(self, columns: Matrix) -> Matrix:
        """Return by how much each axle's difference is beyond what it should be [kg]."""
        beyond = np.zeros(len(self.axles))
        np.maximum.at(beyond, self.of, self.above_now + self.slopes @ columns)
        return beyond

    def beyond_after_each(self, columns: Matrix, left: NDArray[np.intp]) -> Matrix:
        """Return the total (n) if from a choice each option is taken, and its item's own (n) left."""
        over = (self.above_now + self.slopes @ columns)[:, np.newaxis] + self.slopes - self.slopes[:, left]
        beyond = np.zeros((len(self.axles), len(columns)))
        np.maximum.at(beyond, self.of, over)
        total: Matrix = beyond.sum(axis=0)
        return total


def sides_of(
    cargo: Cargo, rig: Rig, estimates: LoadEstimates, statics: Mapping[str, Statics], coverage_factor: float
) -> Sides:
    """Return what a choice does to the side difference of every axle of the vehicles that have bays.

    An axle that calls for a look now should be, as estimated, within what practice looks at; any other may keep the
    difference that it has.
    """
    vehicles = [vehicle for vehicle in rig.vehicles if vehicle.name in {spot.vehicle for spot in cargo.bays}]
    axles = {axle.name: axle for vehicle in vehicles for axle in vehicle.axles}
    found: dict[str, SideDifference] = {}
    for vehicle in vehicles:
        found |= vehicle_balance(vehicle, estimates, coverage_factor).side_by_axle
    judged = tuple(name for name, side in found.items() if side.band is not None)
    rows = [(place, row) for place, name in enumerate(judged) for row in _rows(axles[name], found[name])]
    count = len(estimates.columns.names)
    loads = np.array([change.loads for change in cargo.changes(statics, count)]).reshape(-1, count)
    coefficients = np.array([estimates.columns.row(sum_of) for _, (sum_of, _) in rows]).reshape(-1, count)
    most = np.array([most_kg for _, (_, most_kg) in rows])
    return Sides(
        judged,
        np.array([place for place, _ in rows], dtype=np.intp),
        coefficients @ np.array(estimates.joint.loads) - most,
        coefficients @ loads.T,
        tuple(name for name in found if name not in judged),
    )


def _rows(axle: Axle, side: SideDifference) -> Iterator[Row]:
    """Yield what holds an axle's difference, either way: the least of a mass and a share of its load is both."""
    assert isinstance(side.difference, Estimate), "a band rests on a known difference"
    assert side.look_from_kg is not None, "a band has a beginning"
    own_kg = abs(side.difference.value)
    for sign in _SIGNS:
        difference = {axle.right.name: sign, axle.left.name: -sign}
        if side.band is Band.ORDINARY and own_kg > side.look_from_kg:
            yield difference, own_kg
            continue
        yield difference, LOOK_KG
        yield {name: weight - LOOK_SHARE for name, weight in difference.items()}, 0.0
