"""The goals of a shift plan, in order, and what a choice of places leaves to be wished of each.

The goals: pairs of items as they belong; the least total by which limits are broken; the least total by which side
differences of axles are beyond what practice looks at; the least mass moved, in few moves. A limit that is kept stays
kept, and a least that is broken gets no worse. The goals, their order and the mass that a move counts as are judgement.
"""

from enum import StrEnum
from typing import Final

import numpy as np
from msgspec import Struct

from axlewright.core.balance.shift_problem import Cargo, Choice, Limits, Matrix
from axlewright.core.balance.shift_sides import Sides
from axlewright.core.loads.limits import LimitCheck
from axlewright.core.loads.standings import Bound

EQUAL_KG: Final = 0.001
"""Totals as near as this are the same; so much a later goal may cost an earlier one; judgement."""
MOVE_KG: Final = 0.001
"""Each move counts as so much mass moved: of plans that move the same mass, the one with fewer moves; judgement."""
MOST_STEPS: Final = 100
"""Steps of one descent; judgement."""


class Goal(StrEnum):
    """What a plan is to reach, in this order."""

    PAIRS = "pairs"
    LIMITS = "limits"
    SIDES = "sides"
    EFFORT = "effort"


class Goals(Struct, frozen=True):
    """The goals of a cargo under limits; what is left open of one is 0 at best."""

    cargo: Cargo
    limits: Limits
    sides: Sides

    def open_at(self, choice: Choice) -> dict[Goal, float]:
        """Return what a choice leaves open at each goal, in order."""
        columns = self.cargo.columns(choice)
        return {
            Goal.PAIRS: float(len(self.cargo.disregarded(choice))),
            Goal.LIMITS: float(self.broken_by(choice).sum()),
            Goal.SIDES: float(self.sides.beyond(columns).sum()),
            Goal.EFFORT: float(self.effort @ columns),
        }

    @property
    def effort(self) -> Matrix:
        """What each option counts as [kg]."""
        return self.cargo.masses + MOVE_KG * ~self.cargo.stays

    def broken_by(self, choice: Choice) -> Matrix:
        """Return by how much a choice breaks each limit [kg], rounding taken for nothing."""
        excesses = self.limits.excesses(self.cargo.columns(choice))
        return np.where(excesses > self.limits.tolerances, excesses, 0.0)

    @property
    def allowed(self) -> Matrix:
        """By how much each limit may be broken [kg]: not at all if it is kept now, a least by no more than now."""
        now = self.broken_by(self.cargo.present)
        is_least = [isinstance(each, LimitCheck) and each.bound is Bound.LEAST for each in self.limits.of]
        return np.where((now > 0.0) & ~np.array(is_least, dtype=np.bool), np.inf, now)

    def allows(self, choice: Choice) -> bool:
        """Return whether a choice breaks no limit that it must not, and has no pair otherwise that is as it belongs."""
        cargo = self.cargo
        pairs_stay = set(cargo.disregarded(choice)) <= set(cargo.disregarded(cargo.present))
        return pairs_stay and bool((self.broken_by(choice) <= self.allowed + self.limits.tolerances).all())

    def descended(self, choice: Choice) -> Choice:
        """Return where small steps from a choice end: each moves the one item that leaves the least open then."""
        for _ in range(MOST_STEPS):
            open_then = self._open_after_each(choice)
            best = int(np.lexsort(open_then[::-1])[0])
            stays = self.cargo.columns(choice) > 0.0
            if tuple(open_then[:, best]) >= tuple(open_then[:, stays][:, 0]):
                break
            item, bay = self.cargo.options[best]
            choice = (*choice[:item], bay, *choice[item + 1 :])
        return choice

    def _open_after_each(self, choice: Choice) -> Matrix:
        """Return what is open (5, n) if one item takes each of its options: what must not be broken, then the goals."""
        cargo = self.cargo
        columns = cargo.columns(choice)
        left = np.flatnonzero(columns)[cargo.owners]
        excesses = self.limits.excesses_after_each(columns, left)
        broken = np.where(excesses > self.limits.tolerances[:, np.newaxis], excesses, 0.0)
        forbidden = np.maximum(broken - (self.allowed + self.limits.tolerances)[:, np.newaxis], 0.0)
        efforts = self.effort @ columns + self.effort - self.effort[left]
        sums = (forbidden.sum(axis=0), broken.sum(axis=0), self.sides.beyond_after_each(columns, left), efforts)
        totals = [np.round(each / EQUAL_KG) for each in sums]
        return np.array([totals[0], cargo.disregarded_after_each(choice), *totals[1:]])
