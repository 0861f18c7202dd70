"""All states that a rig may be in on a trip, and the one in which a sum of loads is the highest.

Loads are linear in what is aboard, so the highest value of a sum of loads is a linear program over levels between their
bounds. Links that share nothing leave it a knapsack that may be filled in part, which is solved by filling in the order
of gain per amount (G. B. Dantzig, Operations Research 5, 1957, 266, from memory).

The doubt of any state has a bound: each independent error at its largest over the bounds, links left aside, added as
JCGM 100:2008, 5.1.2, has it. No one state need have it.
"""

from functools import cached_property
from math import hypot
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.errors import CoreError
from axlewright.core.estimates import VISIBLE
from axlewright.core.loads.changes import LoadChange
from axlewright.core.units import exceeds

Matrix = NDArray[np.float64]
State = dict[str, float]
"""Level, or share aboard, of what varies, by name."""
RATIO_DIGITS: Final = 9
"""Gains per amount that agree to so many decimals of the largest are equal; then the order of the link decides."""


class Variable(Struct, frozen=True):
    """Something of which more or less may be aboard: a tank's contents, a person, a piece of cargo.

    Attributes
    ----------
    name
        Unique among the variables.
    whole
        What the whole of it does to the loads: the full tank, the person.
    weighed
        Share [1] of it that the known loads contain.
    least, most
        Between which shares [1] it may vary.
    """

    name: str
    whole: LoadChange
    weighed: float
    least: float = 0.0
    most: float = 1.0


class Link(Struct, frozen=True):
    """Variables that pass on what they hold, by name with what each holds as a whole, and the most of all together.

    Amounts are above 0 and in one unit, say m3. No variable is in two links.
    """

    wholes: dict[str, float]
    most: float


class Envelope(Struct, frozen=True, dict=True):
    """All states: every level of the variables (n) between its bounds that the links allow.

    ``count`` is how many loads (m) there are.

    Raises
    ------
    CoreError
        ``no_state`` if even the least of what is linked is more than the link allows.
    """

    variables: tuple[Variable, ...]
    count: int
    links: tuple[Link, ...] = ()

    def __post_init__(self) -> None:
        for link in self.links:
            least = sum(whole * self.least[self._place[name]] for name, whole in link.wholes.items())
            if exceeds(least, link.most):
                names = ", ".join(link.wholes)
                raise CoreError("no_state", names, f"together at least {least}, of {link.most} that there is")

    @cached_property
    def _place(self) -> dict[str, int]:
        return {variable.name: place for place, variable in enumerate(self.variables)}

    @cached_property
    def least(self) -> Matrix:
        """The lower bounds (n)."""
        return np.array([variable.least for variable in self.variables])

    @cached_property
    def most(self) -> Matrix:
        """The upper bounds (n)."""
        return np.array([variable.most for variable in self.variables])

    @cached_property
    def weighed(self) -> Matrix:
        """What the known loads contain (n)."""
        return np.array([variable.weighed for variable in self.variables])

    @cached_property
    def _loads(self) -> Matrix:
        """Loads (n, m) [kg] of the wholes."""
        return np.array([variable.whole.loads for variable in self.variables]).reshape(-1, self.count)

    @cached_property
    def _errors(self) -> tuple[Matrix, Matrix, list[int]]:
        """What errors do to the loads (m) [kg]: those of several wholes (m, j, n), those of one (m, i), of which."""
        borne: dict[str, list[int]] = {}
        for place, variable in enumerate(self.variables):
            for name in variable.whole.effects:
                borne.setdefault(name, []).append(place)
        several = [name for name, places in borne.items() if len(places) > 1]
        common = np.zeros((self.count, len(several), len(self.variables)))
        for error, name in enumerate(several):
            for place in borne[name]:
                common[:, error, place] = self.variables[place].whole.effects[name]
        single = {name: places[0] for name, places in borne.items() if len(places) == 1}
        own = [self.variables[place].whole.effects[name] for name, place in single.items()]
        return common, np.array(own).reshape(-1, self.count).T, list(single.values())

    def _gains(self, row: Matrix) -> Matrix:
        """Return what the whole of each variable adds to a sum of loads (n) [kg], rounding taken for nothing."""
        gains: Matrix = self._loads @ row
        return np.where(np.abs(gains) > VISIBLE * (np.abs(self._loads) @ np.abs(row)), gains, 0.0)

    def highest(self, row: Matrix) -> Matrix:
        """Return the levels (n) at which a sum of loads is the highest; what does not matter stays as weighed."""
        gains = self._gains(row)
        as_weighed = np.clip(self.weighed, self.least, self.most)
        levels = np.where(gains > 0.0, self.most, np.where(gains < 0.0, self.least, as_weighed))
        for link in self.links:
            self._share_out(link, gains, levels)
        return levels

    def _share_out(self, link: Link, gains: Matrix, levels: Matrix) -> None:
        """Lower the levels of what is linked to what there is, those that gain the least per amount first."""
        places = {self._place[name]: whole for name, whole in link.wholes.items()}
        ratios = {place: gains[place] / whole for place, whole in places.items()}
        largest = max(abs(ratio) for ratio in ratios.values()) or 1.0
        left = link.most - sum(whole * self.least[place] for place, whole in places.items())
        for place in sorted(places, key=lambda place: -round(ratios[place] / largest, RATIO_DIGITS)):
            rise = min(levels[place] - self.least[place], max(left, 0.0) / places[place])
            levels[place] = self.least[place] + rise
            left -= places[place] * rise

    def moved(self, row: Matrix, levels: Matrix) -> float:
        """Return by how much a state (n) changes a sum of loads [kg]."""
        return float((levels - self.weighed) @ (self._loads @ row))

    def u(self, row: Matrix, levels: Matrix) -> float:
        """Return the standard uncertainty that a state (n) adds to a sum of loads [kg]."""
        common, own, owners = self._of(row)
        moves = levels - self.weighed
        return hypot(np.linalg.norm(common @ moves), np.linalg.norm(own * moves[owners]))

    def largest_u(self, row: Matrix) -> float:
        """Return the largest standard uncertainty [kg] that any state adds to a sum of loads; a bound."""
        common, own, owners = self._of(row)
        return hypot(np.linalg.norm(self._largest(common)), np.linalg.norm(own * self._farthest[owners]))

    @cached_property
    def largest_effects(self) -> Matrix:
        """The largest that each error (j) can do to each single load (m) [kg] in any state: (m, j)."""
        common, own, owners = self._errors
        return np.hstack([self._largest(common), own * self._farthest[owners]])

    def _of(self, row: Matrix) -> tuple[Matrix, Matrix, list[int]]:
        """Return what errors do to a sum of loads [kg]: those of several wholes (j, n), those of one (i), of which."""
        common, own, owners = self._errors
        used = np.flatnonzero(row)
        return np.tensordot(row[used], common[used], axes=1), row @ own, owners

    @cached_property
    def _farthest(self) -> Matrix:
        """How far each variable can move from what the known loads contain (n)."""
        return np.maximum(np.abs(self.least - self.weighed), np.abs(self.most - self.weighed))

    def _largest(self, slopes: Matrix) -> Matrix:
        """Return the largest size over the bounds of sums over the variables (last axis) of slopes times moves."""
        ends = [slopes * (bound - self.weighed) for bound in (self.least, self.most)]
        up: Matrix = np.maximum(*ends).sum(axis=-1)
        down: Matrix = np.minimum(*ends).sum(axis=-1)
        return np.maximum(up, -down)

    def state(self, row: Matrix, levels: Matrix) -> State:
        """Return the levels, by name, of what matters to a sum of loads, and of what is linked with it."""
        matter = {variable.name for variable, gain in zip(self.variables, self._gains(row), strict=True) if gain}
        for link in self.links:
            if not matter.isdisjoint(link.wholes):
                matter |= link.wholes.keys()
        return {name: float(levels[place]) for name, place in self._place.items() if name in matter}
