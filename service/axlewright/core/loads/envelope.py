"""All states that a rig may be in on a trip, and the one in which a sum of loads is the highest.

Loads are linear in what is aboard, so the highest value of a sum of loads is a linear program over levels between their
bounds. Links that share nothing leave it a knapsack that may be filled in part, which is solved by filling in the order
of gain per amount (G. B. Dantzig, Operations Research 5, 1957, 266, from memory).

The doubt of any state has a bound: each independent error at its largest over the bounds, links left aside, added as
JCGM 100:2008, 5.1.2, has it. No one state need have it. What linked tanks hold more together than was told counts where
it matters most: left where it was, or in any of them.
"""

from collections.abc import Sequence
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

    Amounts are above 0 and in one unit, say m3. No variable is in two links. ``doubts`` holds by name what one standard
    uncertainty of each independent error adds to the most.
    """

    wholes: dict[str, float]
    most: float
    doubts: dict[str, float] = {}


class _Errors(Struct, frozen=True):
    """What one standard uncertainty of each error does.

    Attributes
    ----------
    whole
        To the loads by the whole of each variable (m, j, n), or to a sum of loads (j, n) [kg].
    everywhere
        To them in every state (m, j) or (j).
    amounts
        To the most of each link (j, l).
    own, owners
        The same as ``whole`` for errors (i) of one variable each and nothing else, (m, i) or (i), and of which.
    """

    whole: Matrix
    everywhere: Matrix
    amounts: Matrix
    own: Matrix
    owners: list[int]


class Envelope(Struct, frozen=True, dict=True):
    """All states: every level of the variables (n) between its bounds that the links allow.

    ``count`` is how many loads (m) there are. ``everywhere`` holds by name what one standard uncertainty of each error
    does to the loads (m) [kg] in every state. An error of one name is the same error wherever it is named.

    Raises
    ------
    CoreError
        ``no_state`` if even the least of what is linked is more than the link allows.
    """

    variables: tuple[Variable, ...]
    count: int
    links: tuple[Link, ...] = ()
    everywhere: dict[str, Matrix] = {}

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
    def _errors(self) -> _Errors:
        borne: dict[str, list[int]] = {}
        for place, variable in enumerate(self.variables):
            for name in variable.whole.effects:
                borne.setdefault(name, []).append(place)
        elsewhere = dict.fromkeys([*self.everywhere, *(name for link in self.links for name in link.doubts)])
        single = {name: places[0] for name, places in borne.items() if len(places) == 1 and name not in elsewhere}
        several = [name for name in dict.fromkeys([*borne, *elsewhere]) if name not in single]
        whole = np.zeros((self.count, len(several), len(self.variables)))
        everywhere = np.zeros((self.count, len(several)))
        for error, name in enumerate(several):
            for place in borne.get(name, []):
                whole[:, error, place] = self.variables[place].whole.effects[name]
            if name in self.everywhere:
                everywhere[:, error] = self.everywhere[name]
        amounts = np.array([[link.doubts.get(name, 0.0) for link in self.links] for name in several])
        own = [self.variables[place].whole.effects[name] for name, place in single.items()]
        return _Errors(
            whole,
            everywhere,
            amounts.reshape(len(several), len(self.links)),
            np.array(own).reshape(-1, self.count).T,
            list(single.values()),
        )

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
        errors, moves = self._of(row), levels - self.weighed
        there = errors.whole @ moves + errors.everywhere
        shared = _largest_size(there, there, errors.amounts, self._rates_at(row, levels))
        return hypot(np.linalg.norm(shared), np.linalg.norm(errors.own * moves[errors.owners]))

    def largest_u(self, row: Matrix) -> float:
        """Return the largest standard uncertainty [kg] that any state adds to a sum of loads; a bound."""
        errors = self._of(row)
        shared = self._largest(errors, self._loads @ row)
        return hypot(np.linalg.norm(shared), np.linalg.norm(errors.own * self._farthest[errors.owners]))

    @cached_property
    def largest_effects(self) -> Matrix:
        """The largest that each error (j) can do to each single load (m) [kg] in any state: (m, j)."""
        errors = self._errors
        return np.hstack([self._largest(errors, self._loads.T), errors.own * self._farthest[errors.owners]])

    def _of(self, row: Matrix) -> _Errors:
        """Return what errors do to a sum of loads [kg]."""
        errors, used = self._errors, np.flatnonzero(row)
        return _Errors(
            np.tensordot(row[used], errors.whole[used], axes=1),
            row @ errors.everywhere,
            errors.amounts,
            row @ errors.own,
            errors.owners,
        )

    @cached_property
    def _farthest(self) -> Matrix:
        """How far each variable can move from what the known loads contain (n)."""
        return np.maximum(np.abs(self.least - self.weighed), np.abs(self.most - self.weighed))

    def _largest(self, errors: _Errors, gains: Matrix) -> Matrix:
        """Return the largest size of each error (j) or (m, j) over the bounds, by what the wholes add (n) or (m, n)."""
        ends = [errors.whole * (bound - self.weighed) for bound in (self.least, self.most)]
        up: Matrix = np.maximum(*ends).sum(axis=-1) + errors.everywhere
        down: Matrix = np.minimum(*ends).sum(axis=-1) + errors.everywhere
        rates = [(rates.min(axis=-1), rates.max(axis=-1)) for rates in self._rates(gains)]
        return _largest_size(up, down, errors.amounts, rates)

    def _rates(self, gains: Matrix) -> list[Matrix]:
        """Return what each link's tanks that vary add per amount (t) or (m, t), and 0 for what stays where it was."""
        found = []
        for link in self.links:
            places = [self._place[name] for name in link.wholes]
            used = [place for place in places if self.most[place] > self.least[place]]
            wholes = np.array([link.wholes[self.variables[place].name] for place in used])
            rates = gains[..., used] / wholes
            found.append(np.concatenate([rates, np.zeros((*gains.shape[:-1], 1))], axis=-1))
        return found

    def _rates_at(self, row: Matrix, levels: Matrix) -> list[tuple[Matrix, Matrix]]:
        """Return between what each link adds to a sum of loads per amount that it has more, in a state (n).

        Once all is shared out, that is the rate of the tank filled in part; of any, where none is.
        """
        gains = self._loads @ row
        found = []
        for link, rates in zip(self.links, self._rates(gains), strict=True):
            places = {self._place[name]: whole for name, whole in link.wholes.items()}
            left = link.most - sum(whole * levels[place] for place, whole in places.items())
            partly = [
                gains[place] / whole
                for place, whole in places.items()
                if self.least[place] + VISIBLE < levels[place] < self.most[place] - VISIBLE
            ]
            if left > VISIBLE * link.most:
                rates = np.zeros(1)
            elif partly:
                rates = np.array(partly)
            found.append((rates.min(), rates.max()))
        return found

    def state(self, row: Matrix, levels: Matrix) -> State:
        """Return the levels, by name, of what matters to a sum of loads, and of what is linked with it."""
        matter = {variable.name for variable, gain in zip(self.variables, self._gains(row), strict=True) if gain}
        for link in self.links:
            if not matter.isdisjoint(link.wholes):
                matter |= link.wholes.keys()
        return {name: float(levels[place]) for name, place in self._place.items() if name in matter}


def _largest_size(up: Matrix, down: Matrix, amounts: Matrix, rates: Sequence[tuple[Matrix, Matrix]]) -> Matrix:
    """Return the larger size of two ends of what errors do (j) or (m, j), each link's part (j, l) added to either.

    ``rates`` are the least and the greatest that each link adds per amount, one or (m).
    """
    for amount, (least, greatest) in zip(amounts.T, rates, strict=True):
        ends = np.multiply.outer(least, amount), np.multiply.outer(greatest, amount)
        up, down = up + np.maximum(*ends), down + np.minimum(*ends)
    return np.maximum(up, -down)
