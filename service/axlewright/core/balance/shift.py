"""A shift plan: what to move where, so that limits are kept first, with the least effort.

One goal after the other is reached as far as the earlier ones let it: a mixed-integer program tells a choice and what
no choice is below; where that choice breaks a limit that the program's approximation missed, the limit is cut there.
"""

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
from msgspec import Struct

from axlewright.core.balance.shift_goals import EQUAL_KG, MOVE_KG, Goal, Goals
from axlewright.core.balance.shift_problem import Cargo, Choice, Matrix, limits_of
from axlewright.core.balance.shift_program import Ceiling, Program, Solved
from axlewright.core.balance.shift_sides import Sides
from axlewright.core.loads.aboard import Move, Spot
from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.headroom import HeldLimits
from axlewright.core.loads.limits import LimitCheck
from axlewright.core.loads.statics import Statics

SETTLED_SHARE: Final = 0.5
"""A goal is settled when less than this share of either is open."""
SOLVE_SHARE: Final = 0.6
"""Share of the time left that one run of the solver may take, if later goals are to get some; judgement."""
SCALES: Final = (1.0, 0.5, 0.1)
"""Scales in which a goal is put to the solver while it fails: it does where an optimum lies on its tolerance."""
LEAST_LEFT_S: Final = 0.02
"""With less time left no further run is begun; judgement."""
LIGHT: Final = 1e-3
"""How light breaking another limit weighs where it is asked what stands in the way; judgement."""

Clock = Callable[[], float]


class Unmet(Struct, frozen=True):
    """A limit, or the capacity of a bay, that stays broken, and by how much [kg] at the upper bound."""

    of: LimitCheck | Spot
    excess_kg: float


class ShiftPlan(Struct, frozen=True):
    """What to move.

    Attributes
    ----------
    bays
        The bay of every item after it.
    moves, change
        What is moved, and what that does to the loads.
    unmet
        What stays broken.
    beyond_kg
        By how much side differences stay beyond what practice looks at, together.
    in_the_way
        What a plan that leaves less of that open would break; none if no choice leaves less; None where nothing is
        open, or time ran out.
    disregarded
        Pairs of items that stay otherwise than they belong.
    stopped_at, gap
        The first goal that was not proven when the time was over, and the share of what the plan leaves to be wished
        there that was not proven to be needed. None and 0 where every goal is proven.
    """

    bays: Choice
    moves: tuple[Move, ...]
    change: LoadChange
    unmet: tuple[Unmet, ...]
    beyond_kg: float
    in_the_way: tuple[LimitCheck | Spot, ...] | None
    disregarded: tuple[tuple[str, str], ...]
    stopped_at: Goal | None
    gap: float

    @property
    def proven(self) -> bool:
        """Whether no plan is better."""
        return self.stopped_at is None

    @property
    def mass_moved_kg(self) -> float:
        """The mass that is moved [kg]."""
        return sum(move.mass_kg for move in self.moves)


def shift_plan(
    cargo: Cargo,
    held: HeldLimits,
    sides: Sides,
    statics: Mapping[str, Statics],
    coverage_factor: float,
    time_s: float,
    clock: Clock,
) -> ShiftPlan:
    """Return the best plan that is found in a time.

    Parameters
    ----------
    held
        What has to be kept, of which what cannot be judged does not count.
    sides
        The side differences that are to be evened out; without axles where they are not.
    statics
        Of every vehicle, by its name.
    coverage_factor
        k: a limit is kept while L + k u lies within it.
    time_s, clock
        How long the search may take, and what tells seconds.
    """
    deadline_s = clock() + time_s
    limits = limits_of(cargo, held, statics, coverage_factor)
    can_break = limits.highest(cargo.owners) > limits.tolerances
    goals = Goals(cargo, limits.only(can_break), sides)
    search = _Search(goals, clock, deadline_s)
    search.run()
    best = search.best
    broken = zip(goals.limits.of, goals.broken_by(best), strict=True)
    return ShiftPlan(
        best,
        cargo.moves(best),
        cargo.change(best, statics, held.load_count),
        tuple(Unmet(each, float(kg)) for each, kg in broken if kg > 0.0),
        goals.open_at(best)[Goal.SIDES],
        search.in_the_way(),
        tuple((cargo.items[a].name, cargo.items[b].name) for a, b, _ in cargo.disregarded(best)),
        search.stopped_at,
        search.gap,
    )


class _Search:
    """One search: the choices found so far with what they leave open, the best of them, and how far it is proven."""

    def __init__(self, goals: Goals, clock: Clock, deadline_s: float) -> None:
        """Begin with everything where it is."""
        self.goals = goals
        self.clock = clock
        self.deadline_s = deadline_s
        self.best = goals.cargo.present
        self.found: dict[Choice, dict[Goal, float]] = {}
        self._take_in(self.best)
        self.stopped_at: Goal | None = None
        self.gap = 0.0
        self.program = Program.of(goals.cargo, goals.limits, goals.sides, goals.allowed)

    @property
    def left_s(self) -> float:
        """Seconds left."""
        return self.deadline_s - self.clock()

    def run(self) -> None:
        """Reach one goal after the other, each as far as the earlier ones let it."""
        most: dict[Goal, float] = {}
        for goal in Goal:
            self.best = self._best(goal, most)
            bound = self._bound(goal, most)
            reached = self.found[self.best][goal]
            if reached - bound > self._slack(goal) and self.stopped_at is None:
                self.stopped_at, self.gap = goal, (reached - bound) / reached
            most[goal] = reached + EQUAL_KG
            self.program.ceilings.append(Ceiling(self._weights(goal), most[goal]))
            if goal is Goal.LIMITS and reached == 0.0:
                self.program.allowed = np.zeros_like(self.program.allowed)

    def _best(self, goal: Goal, most: Mapping[Goal, float]) -> Choice:
        """Return the choice that leaves the least open at a goal, of those found that keep to the earlier ones."""
        within = [choice for choice, is_open in self.found.items() if all(is_open[each] <= most[each] for each in most)]
        return min(within, key=lambda choice: self.found[choice][goal])

    def _bound(self, goal: Goal, most: Mapping[Goal, float]) -> float:
        """Improve the best choice at one goal, and return what no choice is below there."""
        bound, weights = 0.0, self._weights(goal)
        while self.found[self.best][goal] - bound > self._slack(goal) and self.left_s > LEAST_LEFT_S:
            share = 1.0 if goal is Goal.EFFORT else SOLVE_SHARE
            solved = self._solved(self.program, weights, share)
            bound = max(bound, solved.bound)
            if solved.choice is None:
                return self.found[self.best][goal] if solved.proven else bound
            self._learn(solved.choice)
            self.best = self._best(goal, most)
            if not solved.proven:
                return bound
        return bound

    def _solved(self, program: Program, weights: Matrix, share: float) -> Solved:
        """Return what the solver finds in a share of the time left."""
        solved = Solved(None, 0.0, proven=False, failed=True)
        for scale in SCALES:
            if solved.failed and self.left_s > LEAST_LEFT_S:
                solved = program.solve(weights, share * self.left_s, scale)
        return solved

    def _weights(self, goal: Goal) -> Matrix:
        program = self.program
        if goal is Goal.PAIRS:
            return program.weights(pairs=np.ones(program.pairs_broken))
        if goal is Goal.LIMITS:
            return program.weights(excesses=np.ones(len(self.goals.limits.of)))
        if goal is Goal.SIDES:
            return program.weights(beyond=np.ones(len(self.goals.sides.axles)))
        return program.weights(options=self.goals.effort)

    @staticmethod
    def _slack(goal: Goal) -> float:
        return SETTLED_SHARE * (MOVE_KG if goal is Goal.EFFORT else EQUAL_KG)

    def _learn(self, choice: Choice) -> None:
        """Take in a choice of the solver: cut where it breaks limits, and ask it no second time."""
        if choice in self.program.cut_at:
            self.program.forbid(choice)
        else:
            self.program.cut(choice, self.goals.broken_by(choice) > 0.0)
        self._take_in(choice)

    def _take_in(self, choice: Choice) -> None:
        """Keep a choice, and where small steps from it end, if nothing forbids them."""
        for each in (choice, self.goals.descended(choice)):
            if self.goals.allows(each):
                self.found[each] = self.goals.open_at(each)

    def in_the_way(self) -> tuple[LimitCheck | Spot, ...] | None:
        """Return what a choice would break that leaves less open, were it not for the limits that must be kept."""
        goals, left_open = self.goals, self.found[self.best]
        unmet = goals.broken_by(self.best) > 0.0
        goal = Goal.LIMITS if unmet.any() else Goal.SIDES
        if left_open[goal] <= EQUAL_KG or self.left_s < LEAST_LEFT_S:
            return None
        free = np.maximum(goals.limits.highest(goals.cargo.owners), 0.0)
        program = Program.of(goals.cargo, goals.limits, goals.sides, free)
        weights = program.weights(
            excesses=np.where(unmet, 1.0, LIGHT), beyond=np.full(len(goals.sides.axles), float(goal is Goal.SIDES))
        )
        solved = self._solved(program, weights, 1.0)
        if solved.choice is None or not solved.proven:
            return None
        broken = goals.broken_by(solved.choice)
        less_open = broken[unmet].sum() if goal is Goal.LIMITS else goals.open_at(solved.choice)[goal]
        if less_open > left_open[goal] - EQUAL_KG:
            return ()
        return tuple(goals.limits.of[place] for place in np.flatnonzero((broken > 0.0) & ~unmet))
