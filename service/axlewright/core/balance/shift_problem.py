"""What may be moved where, and what every choice of places does to the limits.

A choice x is 0 or 1 for each option, an item in a bay that it may stand in; each item takes one of its options. Every
limit is kept while

    above_now + slopes x + sqrt(own^2 + squares x + |commons x|^2) <= 0

with k times the doubts: ``own`` that of the loads now, ``squares`` the errors that only one item bears, whose squares
add up as each item takes one option, ``commons`` the errors that several items share, which add up before.
"""

from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.loads.aboard import Move, Spot
from axlewright.core.loads.changes import LoadChange, added
from axlewright.core.loads.headroom import HeldLimits, excess_now_kg
from axlewright.core.loads.limits import LimitCheck
from axlewright.core.loads.statics import NO_EFFECT, Statics
from axlewright.core.units import RELATIVE_GUARD

Matrix = NDArray[np.float64]
Choice = tuple[int, ...]
"""The bay of every item."""


class Item(Struct, frozen=True):
    """What may be moved: its name, mass [kg] with its doubt (None where nobody stated it), its bay now, other bays.

    Bays are told by their place in the list of bays. What is fixed has no others.
    """

    name: str
    mass_kg: float
    u_kg: float | None
    bay: int
    may_go_to: tuple[int, ...]

    @property
    def options(self) -> tuple[int, ...]:
        """Where it may be: as now first."""
        return (self.bay, *(bay for bay in self.may_go_to if bay != self.bay))


class Cargo(Struct, frozen=True, dict=True):
    """All items (n) with names of their own, all bays, and which items, by name, belong together or apart."""

    items: tuple[Item, ...]
    bays: tuple[Spot, ...]
    together: tuple[tuple[str, ...], ...] = ()
    apart: tuple[tuple[str, ...], ...] = ()

    @cached_property
    def options(self) -> list[tuple[int, int]]:
        """Item and bay of every option."""
        return [(place, bay) for place, item in enumerate(self.items) for bay in item.options]

    @cached_property
    def owners(self) -> NDArray[np.intp]:
        """Which item each option is of."""
        return np.array([place for place, _ in self.options], dtype=np.intp)

    @cached_property
    def masses(self) -> Matrix:
        """The mass that each option moves [kg]: none where the item stays."""
        return np.array([0.0 if bay == self.items[i].bay else self.items[i].mass_kg for i, bay in self.options])

    @cached_property
    def stays(self) -> NDArray[np.bool]:
        """Whether each option leaves the item where it is."""
        return np.array([bay == self.items[i].bay for i, bay in self.options], dtype=np.bool)

    @property
    def present(self) -> Choice:
        """Everything where it is."""
        return tuple(item.bay for item in self.items)

    @property
    def pairs(self) -> list[tuple[int, int, bool]]:
        """Pairs of items, and whether they belong together, else apart; of those together each with the first."""
        places = {item.name: place for place, item in enumerate(self.items)}
        found = []
        for names in self.together:
            found += [(places[names[0]], places[name], True) for name in names[1:]]
        for names in self.apart:
            found += [(places[a], places[b], False) for n, a in enumerate(names) for b in names[n + 1 :]]
        return found

    def disregarded(self, choice: Choice) -> list[tuple[int, int, bool]]:
        """Return the pairs that a choice has otherwise than they belong."""
        return [pair for pair in self.pairs if (choice[pair[0]] == choice[pair[1]]) is not pair[2]]

    def disregarded_after_each(self, choice: Choice) -> Matrix:
        """Return how many pairs are otherwise than they belong if one item takes each of its options (n)."""
        choices = np.tile(np.array(choice), (len(self.options), 1))
        choices[np.arange(len(self.options)), self.owners] = [bay for _, bay in self.options]
        return sum(((choices[:, a] == choices[:, b]) != t for a, b, t in self.pairs), np.zeros(len(self.options)))

    def columns(self, choice: Choice) -> Matrix:
        """Return a choice as 0 or 1 for each option."""
        return np.array([1.0 if choice[place] == bay else 0.0 for place, bay in self.options])

    def choice(self, columns: Matrix) -> Choice:
        """Return the choice that a solution means: of each item the option next to 1."""
        best: dict[int, tuple[float, int]] = {}
        for (place, bay), value in zip(self.options, columns, strict=True):
            if place not in best or value > best[place][0]:
                best[place] = (float(value), bay)
        return tuple(best[place][1] for place in range(len(self.items)))

    def moves(self, choice: Choice) -> tuple[Move, ...]:
        """Return what has to be moved for a choice."""
        return tuple(self._move(item, bay) for item, bay in zip(self.items, choice, strict=True) if bay != item.bay)

    def _move(self, item: Item, bay: int) -> Move:
        return Move(item.name, item.mass_kg, item.u_kg, self.bays[item.bay], self.bays[bay])

    def change(self, choice: Choice, statics: Mapping[str, Statics], count: int) -> LoadChange:
        """Return what a choice does to the loads (``count``)."""
        return added((move.change(statics) for move in self.moves(choice)), count)

    def changes(self, statics: Mapping[str, Statics], count: int) -> list[LoadChange]:
        """Return what every option does to the loads (``count``): nothing where the item stays."""
        return [
            LoadChange(np.zeros(count))
            if bay == self.items[place].bay
            else self._move(self.items[place], bay).change(statics)
            for place, bay in self.options
        ]


class Limits(Struct, frozen=True):
    """All limits (r) that can be judged over all options (n), and the errors (j) that several items share [kg].

    ``of`` tells what each is: a limit on loads, or the bay whose capacity it is. ``tolerances`` are rounding.
    """

    of: tuple[LimitCheck | Spot, ...]
    above_now: Matrix
    own: Matrix
    slopes: Matrix
    squares: Matrix
    commons: Matrix
    tolerances: Matrix

    def excesses(self, columns: Matrix) -> Matrix:
        """Return by how much each limit is broken, at the upper bound, negative where it is kept (r) [kg]."""
        squares = self.own**2 + self.squares @ columns + np.sum((self.commons @ columns) ** 2, axis=1)
        excesses: Matrix = self.above_now + self.slopes @ columns + np.sqrt(squares)
        return excesses

    def excesses_after_each(self, columns: Matrix, left: NDArray[np.intp]) -> Matrix:
        """Return the excesses (r, n) if from a choice each option is taken, and its item's own (n) left."""
        slopes, squares, commons = (each - each[..., left] for each in (self.slopes, self.squares, self.commons))
        shared = np.sum(((self.commons @ columns)[..., np.newaxis] + commons) ** 2, axis=1)
        squares = (self.own**2 + self.squares @ columns)[:, np.newaxis] + squares + shared
        excesses: Matrix = (
            (self.above_now + self.slopes @ columns)[:, np.newaxis] + slopes + np.sqrt(np.maximum(squares, 0.0))
        )
        return excesses

    def highest(self, owners: NDArray[np.intp]) -> Matrix:
        """Return what no excess is above, whichever option each item takes (r) [kg]."""
        starts = np.flatnonzero(np.diff(owners, prepend=-1))
        slopes, squares = (
            np.maximum.reduceat(each, starts, axis=1).sum(axis=1) for each in (self.slopes, self.squares)
        )
        up = np.maximum.reduceat(self.commons, starts, axis=2).sum(axis=2)
        down = np.minimum.reduceat(self.commons, starts, axis=2).sum(axis=2)
        shared = np.sum(np.maximum(np.abs(up), np.abs(down)) ** 2, axis=1)
        highest: Matrix = self.above_now + slopes + np.sqrt(self.own**2 + squares + shared)
        return highest

    def only(self, rows: NDArray[np.bool]) -> "Limits":
        """Return some of them."""
        of = tuple(each for each, wanted in zip(self.of, rows, strict=True) if wanted)
        arrays = (self.above_now, self.own, self.slopes, self.squares, self.commons, self.tolerances)
        return Limits(of, *(each[rows] for each in arrays))


def limits_of(cargo: Cargo, held: HeldLimits, statics: Mapping[str, Statics], coverage_factor: float) -> Limits:
    """Return what a choice does to every limit on loads that can be judged, and to every capacity of a bay."""
    changes = cargo.changes(statics, held.load_count)
    loads = np.array([change.loads for change in changes])
    single, shared = _errors(changes, cargo.owners, held.load_count)
    rows = np.array([row.row for row in held.rows]).reshape(-1, held.load_count)
    now = np.array([excess_now_kg(row, 0.0) for row in held.rows])
    bounds = np.array([excess_now_kg(row, coverage_factor) for row in held.rows])
    scale = np.array([item.mass_kg for item in cargo.items])[cargo.owners]
    slopes = rows @ loads.T
    squares = np.zeros_like(slopes)
    for option, effects in enumerate(single):
        squares[:, option] = np.sum((coverage_factor * (rows @ effects.T)) ** 2, axis=1)
    on_loads = Limits(
        tuple(row.check for row in held.rows),
        now,
        bounds - now,
        np.where(np.abs(slopes) > NO_EFFECT * scale, slopes, 0.0),
        squares,
        coverage_factor * np.einsum("rm,jnm->rjn", rows, shared),
        np.array([row.tolerance_kg for row in held.rows]),
    )
    return _with_capacities(on_loads, cargo)


def _errors(changes: Sequence[LoadChange], owners: NDArray[np.intp], count: int) -> tuple[list[Matrix], Matrix]:
    """Return the effects (e, m) of each option that only its item bears, and those that several share (j, n, m)."""
    bearers: dict[str, set[int]] = {}
    for change, owner in zip(changes, owners, strict=True):
        for name in change.effects:
            bearers.setdefault(name, set()).add(int(owner))
    common = [name for name, items in bearers.items() if len(items) > 1]
    single = [
        np.array([effect for name, effect in change.effects.items() if name not in common]).reshape(-1, count)
        for change in changes
    ]
    nothing = np.zeros(count)
    shared = [[change.effects.get(name, nothing) for change in changes] for name in common]
    return single, np.array(shared).reshape(len(common), len(changes), count)


def _with_capacities(limits: Limits, cargo: Cargo) -> Limits:
    """Return the limits with the capacity of every bay, which the masses of its items must not exceed."""
    capacities = {bay: c for bay, spot in enumerate(cargo.bays) if (c := spot.place.capacity_kg) is not None}
    bays = np.array([bay for _, bay in cargo.options])
    own = np.array([cargo.items[place].bay for place, _ in cargo.options])
    slopes = np.array([cargo.masses * ((bays == bay) * 1.0 - (own == bay)) for bay in capacities])
    aboard = [sum(item.mass_kg for item in cargo.items if item.bay == bay) for bay in capacities]
    most = np.array(list(capacities.values()))
    nothing = np.zeros((len(capacities), len(bays)))
    return Limits(
        (*limits.of, *(cargo.bays[bay] for bay in capacities)),
        np.concatenate([limits.above_now, np.array(aboard) - most]),
        np.concatenate([limits.own, np.zeros(len(capacities))]),
        np.vstack([limits.slopes, slopes.reshape(nothing.shape)]),
        np.vstack([limits.squares, nothing]),
        np.concatenate([limits.commons, np.zeros((len(capacities), limits.commons.shape[1], len(bays)))]),
        np.concatenate([limits.tolerances, RELATIVE_GUARD * np.maximum(most, 1.0)]),
    )
