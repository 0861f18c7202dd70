"""The mixed-integer program of a shift plan: an outer approximation of the limits, solved by branch and bound.

The spread of a limit is sqrt(t^2 + |c|^2), c linear in the choice x, and t = sqrt(own^2 + squares x) a concave function
of sums. The first is bounded below by its tangents (M. A. Duran and I. E. Grossmann, "An outer-approximation algorithm
for a class of mixed-integer nonlinear programs", Mathematical Programming 36, 1986, from memory); the second, over 0
and 1, by what each option adds in any order of them (A. Atamturk and V. Narayanan, "Polymatroids and mean-risk
minimization in discrete optimization", Operations Research Letters 36, 2008, from memory). Both are exact at the choice
they are made at, and no kept choice is cut off anywhere: so what the program ends with is exact for the true limits.
"""

from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, hstack, vstack

from axlewright.core.balance.shift_problem import Cargo, Choice, Limits, Matrix
from axlewright.core.balance.shift_sides import Sides

OPTIMAL: Final = 0
INFEASIBLE: Final = 2
"""Statuses of the solver that has proven what it says; by any other it stopped before."""
FAILED: Final = 4
"""Status of the solver that takes back what it found, as it may an optimum that lies on its tolerance."""
LEAST_TIME_S: Final = 0.01
"""The solver is given so much at least; judgement."""


class Ceiling(Struct, frozen=True):
    """The most of a weighted sum of the unknowns."""

    weights: Matrix
    most: float


class Solved(Struct, frozen=True):
    """What the solver found: a choice, if any; what no choice is below at the goal; whether it is proven, or failed."""

    choice: Choice | None
    bound: float
    proven: bool
    failed: bool


class Program(Struct):
    """The program over options (n), excesses of limits (r), side differences beyond (a), pairs disregarded (p).

    Attributes
    ----------
    allowed
        By how much each limit may be broken [kg]: 0 where it must be kept.
    rows, most
        What every solution keeps so far: the structure, and the cuts of the limits.
    ceilings
        What is reached of earlier goals, and kept.
    cut_at
        The choices at which the limits that they break are exact.
    """

    cargo: Cargo
    limits: Limits
    sides: Sides
    pairs_broken: int
    allowed: Matrix
    rows: list[csr_array]
    most: list[Matrix]
    ceilings: list[Ceiling]
    cut_at: set[Choice]

    @classmethod
    def of(cls, cargo: Cargo, limits: Limits, sides: Sides, allowed: Matrix) -> "Program":
        """Return the program with a cut of every limit at the present."""
        broken = len(cargo.disregarded(cargo.present))
        program = cls(cargo, limits, sides, broken, allowed, [], [], [], set())
        program._keep_sides()
        program._keep_pairs()
        program.cut(cargo.present, np.ones(len(limits.of), dtype=np.bool))
        program.cut_at.clear()
        return program

    @property
    def sizes(self) -> tuple[int, int, int, int]:
        """How many unknowns of each kind there are."""
        return len(self.cargo.options), len(self.limits.of), len(self.sides.axles), self.pairs_broken

    def weights(
        self,
        options: Matrix | None = None,
        excesses: Matrix | None = None,
        beyond: Matrix | None = None,
        pairs: Matrix | None = None,
    ) -> Matrix:
        """Return weights of all unknowns; those left out are 0."""
        given = zip((options, excesses, beyond, pairs), self.sizes, strict=True)
        return np.concatenate([np.zeros(size) if each is None else each for each, size in given])

    def _add(self, parts: tuple[Matrix | csr_array | None, ...], most: Matrix) -> None:
        """Add rows, by kinds of unknowns; None stands for no entries."""
        count = len(most)
        blocks = [
            csr_array((count, size)) if part is None else csr_array(part)
            for part, size in zip(parts, self.sizes, strict=True)
        ]
        self.rows.append(csr_array(hstack(blocks)))
        self.most.append(most)

    def _keep_sides(self) -> None:
        """Hold each side difference to what it should be and what is beyond."""
        beyond = -np.eye(len(self.sides.axles))[self.sides.of]
        self._add((self.sides.slopes, None, beyond, None), -self.sides.above_now)

    def _keep_pairs(self) -> None:
        """Hold pairs together or apart; only those that are not so now may stay so, and count."""
        broken = self.cargo.disregarded(self.cargo.present)
        for pair in self.cargo.pairs:
            first, second, is_together = pair
            slack = np.zeros(self.pairs_broken)
            if pair in broken:
                slack[broken.index(pair)] = -1.0
            bays = sorted({bay for item, bay in self.cargo.options if item in (first, second)})
            rows = np.zeros((len(bays), len(self.cargo.options)))
            for option, (item, bay) in enumerate(self.cargo.options):
                if item in (first, second):
                    rows[bays.index(bay), option] = -1.0 if is_together and item == second else 1.0
            slacks = np.tile(slack, (len(bays), 1))
            self._add((rows, None, None, slacks), np.full(len(bays), 0.0 if is_together else 1.0))
            if is_together:
                self._add((-rows, None, None, slacks), np.zeros(len(bays)))

    def cut(self, choice: Choice, wanted: NDArray[np.bool]) -> None:
        """Add cuts of limits that are exact at a choice."""
        self.cut_at.add(choice)
        if not wanted.any():
            return
        limits, columns = self.limits.only(wanted), self.cargo.columns(choice)
        shared = limits.commons @ columns
        single = np.sqrt(limits.own**2 + limits.squares @ columns)
        lengths = np.hypot(single, np.linalg.norm(shared, axis=1))
        is_sure = lengths == 0.0
        lengths = np.where(is_sure, 1.0, lengths)
        toward = np.where(is_sure, 1.0, single / lengths)
        pulls = np.einsum("rj,rjn->rn", shared / lengths[:, np.newaxis], limits.commons)
        slopes = limits.slopes + pulls + toward[:, np.newaxis] * self._steps(limits, choice)
        excess = -np.eye(len(wanted))[wanted]
        self._add((slopes, excess, None, None), limits.tolerances - limits.above_now - toward * limits.own)

    def _steps(self, limits: Limits, choice: Choice) -> Matrix:
        """Return what each option adds to t at least: the moves of the choice first, then all others, item by item."""
        taken = (self.cargo.columns(choice) > 0.0) & ~self.cargo.stays
        others = [np.flatnonzero((self.cargo.owners == item) & ~taken) for item in range(len(self.cargo.items))]
        others.sort(key=lambda options: -limits.squares[:, options].sum())
        steps, reached = np.zeros_like(limits.squares), limits.own**2
        for options in [*np.flatnonzero(taken)[:, np.newaxis], *others]:
            if options.size:
                squares = limits.squares[:, options]
                steps[:, options] = np.sqrt(reached[:, np.newaxis] + squares) - np.sqrt(reached)[:, np.newaxis]
                reached = reached + squares.max(axis=1)
        return steps

    def forbid(self, choice: Choice) -> None:
        """Add that this very choice is none."""
        self._add((self.cargo.columns(choice)[np.newaxis], None, None, None), np.array([len(choice) - 1.0]))

    def solve(self, goal: Matrix, time_s: float, scale: float = 1.0) -> Solved:
        """Return the choice of the least of a goal, which the solver sees in a scale."""
        options, excesses, axles, pairs = self.sizes
        upper = np.concatenate([np.ones(options), self.allowed, np.full(axles, np.inf), np.ones(pairs)])
        own = np.zeros((len(self.cargo.items), options))
        own[self.cargo.owners, np.arange(options)] = 1.0
        each_once = hstack([csr_array(own), csr_array((len(own), excesses + axles + pairs))])
        rows = vstack([*self.rows, *(csr_array(ceiling.weights[np.newaxis]) for ceiling in self.ceilings)])
        most = np.concatenate([*self.most, np.array([ceiling.most for ceiling in self.ceilings])])
        constraints = [
            LinearConstraint(csr_array(rows), -np.inf, most),
            LinearConstraint(csr_array(each_once), 1.0, 1.0),
        ]
        found = milp(
            scale * goal,
            integrality=np.concatenate([np.ones(options), np.zeros(excesses + axles + pairs)]),
            bounds=Bounds(np.zeros_like(upper), upper),
            constraints=constraints,
            options={"time_limit": max(time_s, LEAST_TIME_S), "mip_rel_gap": 0.0},
        )
        choice = None if found.x is None else self.cargo.choice(found.x[:options])
        bound = 0.0 if found.mip_dual_bound is None else max(0.0, float(found.mip_dual_bound) / scale)
        return Solved(choice, bound, found.status in (OPTIMAL, INFEASIBLE), found.status == FAILED)
