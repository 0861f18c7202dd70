"""What has to come off, and where, so that every limit is kept: the least mass, in few pieces.

After masses x >= 0 came off, a limit is kept while c + a.x + |(U, A x)| <= 0, as in `headroom`: a convex function of x.
Its tangents are linear limits that every x which keeps it keeps too (J. E. Kelley, "The cutting-plane method for
solving convex programs", J. SIAM 8, 1960, from memory). So a linear program within tangents tells a total that is not
too much; where what it takes off breaks a limit, sequential quadratic programming goes on from there, and the tangents
where that ends come in. What comes off keeps every limit, and its total is as near as stated below to one not too much.
"""

from collections.abc import Sequence
from math import inf
from typing import Final

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray
from scipy.optimize import Bounds, NonlinearConstraint, linprog, minimize

from axlewright.core.loads.aboard import mass_change
from axlewright.core.loads.changes import LoadChange, added, scaled
from axlewright.core.loads.headroom import HeldLimits
from axlewright.core.loads.limit_rows import Matrix
from axlewright.core.loads.limits import LimitCheck
from axlewright.core.loads.statics import NO_EFFECT, Statics
from axlewright.core.rig import Place

EQUAL_KG: Final = 0.05
"""Totals as near as this are the same, as printed; judgement."""
SLACK_KG: Final = 1e-4
"""By so much more than it asks for a curved limit is kept; judgement."""
PIECE_KG: Final = 0.001
"""Taking all that there is of one thing counts as so much more mass off; judgement."""
OVER_WEIGHT: Final = 1_000.0
"""Mass [kg] that comes off rather than leave a limit broken by 1 kg more, where not all can be kept; judgement."""
MOST_ROUNDS: Final = 10
"""Rounds of tangents; two are usual."""
MOST_TRIES: Final = 8
"""Pieces that are left out to try whether the others do."""
SOLVED: Final = 1e-9
"""Tolerance [kg] of the programs."""
DUST_KG: Final = 1e-6
"""Less than this comes off nowhere."""
MOST_STEPS: Final = 300
"""Steps of the quadratic programming; a few dozen are usual."""


class Removable(Struct, frozen=True):
    """What may come off: its name, its place in the vehicle of these statics, and how much [kg] there is, if known."""

    name: str
    place: Place
    statics: Statics
    most_kg: float | None = None

    @property
    def per_kg(self) -> LoadChange:
        """What taking off 1 kg, as it really weighs, does to the loads."""
        return scaled(mass_change(self.name, 1.0, 0.0, self.place, self.statics), -1.0)

    @property
    def available_kg(self) -> float:
        """How much may come off [kg]; infinite where nobody told and its place has no capacity."""
        told_kg = self.place.capacity_kg if self.most_kg is None else self.most_kg
        return inf if told_kg is None else told_kg


class Removal(Struct, frozen=True):
    """So much [kg] of it comes off."""

    name: str
    mass_kg: float


class Unmet(Struct, frozen=True):
    """A limit that stays broken, and by how much [kg] at the upper bound."""

    check: LimitCheck
    excess_kg: float


class Relief(Struct, frozen=True):
    """What has to come off.

    Attributes
    ----------
    needed
        Whether any limit is not surely kept as the rig stands.
    removals
        What comes off; where not every limit can be kept, what leaves the least over them.
    unmet
        Limits that stay broken, none by more than it is now.
    change
        What all of it does to the loads.
    """

    needed: bool
    removals: tuple[Removal, ...]
    unmet: tuple[Unmet, ...]
    change: LoadChange

    @property
    def total_kg(self) -> float:
        """The mass that comes off [kg]."""
        return sum(removal.mass_kg for removal in self.removals)


def relief(removables: Sequence[Removable], held: HeldLimits, coverage_factor: float) -> Relief:
    """Return the least mass that has to come off, and of what.

    Parameters
    ----------
    removables
        What may come off, each with a name of its own.
    held
        What has to be kept, of which what cannot be judged does not count.
    coverage_factor
        k: a limit is kept while L + k u lies within it.
    """
    needed = bool(held.broken(coverage_factor))
    masses = _masses(removables, held, coverage_factor) if needed and removables else np.zeros(len(removables))
    removals = [Removal(each.name, float(kg)) for each, kg in zip(removables, masses, strict=True) if kg > 0.0]
    came_off = (scaled(each.per_kg, float(kg)) for each, kg in zip(removables, masses, strict=True))
    change = added(came_off, held.load_count)
    excesses = [(row, row.excess_kg(change, coverage_factor)) for row in held.rows]
    unmet = [Unmet(row.check, excess) for row, excess in excesses if excess > row.tolerance_kg]
    return Relief(needed, tuple(removals), tuple(unmet), change)


def _masses(removables: Sequence[Removable], held: HeldLimits, coverage_factor: float) -> Matrix:
    """Return what has to come off of each [kg], to keep every limit or else to leave the least over them."""
    program = _program(held, [each.per_kg for each in removables], coverage_factor)
    available = np.array([each.available_kg for each in removables])
    masses = program.least(np.ones_like(available), available)
    if masses is not None:
        return _in_few_pieces(program, masses, available)
    eased, leeway = program.eased()
    cost = np.repeat([1.0 / OVER_WEIGHT, 1.0], [len(available), len(leeway)])
    found = eased.least(cost, np.concatenate([available, leeway]))
    if found is None:
        return np.zeros_like(available)
    nearest = found[: len(available)]
    left_over = np.maximum(program.excesses(nearest) + program.slacks, 0.0)
    masses = structs.replace(program, present=program.present - left_over).least(np.ones_like(available), available)
    return nearest if masses is None else masses


def _in_few_pieces(program: "_Program", masses: Matrix, available: Matrix) -> Matrix:
    """Return masses of the same total in fewer pieces, as long as the least one can be left out."""
    best, others = masses, available
    for _ in range(MOST_TRIES):
        used = np.flatnonzero(best)
        if used.size < 2:
            break
        others = np.where(np.arange(len(best)) == used[np.argmin(best[used])], 0.0, others)
        found = program.least(np.ones_like(available), others)
        if found is None or found.sum() > masses.sum() + EQUAL_KG or np.count_nonzero(found) >= used.size:
            break
        best = found
    return best


class _Program(Struct, frozen=True):
    """The convex program of r limits over n masses: c, U, a, A, by how much each may be passed, what is left unused."""

    present: Matrix
    own: Matrix
    slopes: Matrix
    spreads: Matrix
    tolerances: Matrix
    slacks: Matrix

    def excesses(self, masses: Matrix) -> Matrix:
        """Return by how much each limit is broken (r) [kg]."""
        lengths = np.hypot(self.own, np.linalg.norm(self.spreads @ masses, axis=1))
        excesses: Matrix = self.present + self.slopes @ masses + lengths
        return excesses

    def gradients(self, masses: Matrix) -> Matrix:
        """Return what 1 kg more of each mass adds to that (r, n)."""
        spreads = self.spreads @ masses
        lengths = np.hypot(self.own, np.linalg.norm(spreads, axis=1))
        pulls = np.einsum("ren,re->rn", self.spreads, spreads)
        gradients: Matrix = self.slopes + pulls / np.where(lengths > 0.0, lengths, 1.0)[:, np.newaxis]
        return gradients

    def eased(self) -> tuple["_Program", Matrix]:
        """Return the program with leeway (q) [kg] as further unknowns, up to what each limit is broken by now."""
        over = np.maximum(self.excesses(np.zeros(self.slopes.shape[1])) + self.slacks, 0.0)
        (broken,) = np.nonzero(over)
        eases = np.zeros((len(over), len(broken)))
        eases[broken, np.arange(len(broken))] = -1.0
        blind = np.zeros((*self.spreads.shape[:2], len(broken)))
        slopes, spreads = np.hstack([self.slopes, eases]), np.concatenate([self.spreads, blind], axis=2)
        return structs.replace(self, slopes=slopes, spreads=spreads), over[broken]

    def least(self, cost: Matrix, most: Matrix) -> Matrix | None:
        """Return the masses (n) of least cost that keep every limit, none above its most; None where none do."""
        nothing = np.zeros_like(most)
        tangents, ends = self.gradients(nothing), -self.excesses(nothing) - self.slacks
        seen = self.excesses(nothing) > self.tolerances
        best: Matrix | None = None
        # Of equal totals, rather from where more may come off: that makes fewer pieces.
        nudged = cost * (1.0 + PIECE_KG / np.maximum(most, 1.0))
        for _ in range(MOST_ROUNDS):
            within = _within_tangents(nudged, tangents, ends, most)
            if within is None or self._keeps(within):
                return within
            seen |= self.excesses(within) > self.tolerances
            settled = self._settled(cost, most, within, seen)
            if self._keeps(settled) and (best is None or cost @ settled < cost @ best):
                best = settled
            if best is not None and cost @ best <= cost @ within + EQUAL_KG:
                return best
            for point in (within, settled):
                gradients = self.gradients(point)[seen]
                tangents = np.vstack([tangents, gradients])
                ends = np.concatenate([ends, gradients @ point - (self.excesses(point) + self.slacks)[seen]])
        return best

    def _keeps(self, masses: Matrix) -> bool:
        return bool((self.excesses(masses) <= self.tolerances).all())

    def _settled(self, cost: Matrix, most: Matrix, start: Matrix, seen: NDArray[np.bool]) -> Matrix:
        """Return where sequential quadratic programming ends that minds the limits seen so far."""

        def total(masses: Matrix) -> float:
            return float(cost @ masses)

        def slope(_: Matrix) -> Matrix:
            return cost

        kept = NonlinearConstraint(
            lambda masses: (self.excesses(masses) + self.slacks)[seen],
            -np.inf,
            0.0,
            jac=lambda masses: self.gradients(masses)[seen],
        )
        solution = minimize(
            total,
            start,
            jac=slope,
            bounds=Bounds(0.0, most),
            constraints=kept,
            method="SLSQP",
            options={"ftol": SOLVED, "maxiter": MOST_STEPS},
        )
        return _without_dust(solution.x, most)


def _within_tangents(cost: Matrix, tangents: Matrix, ends: Matrix, most: Matrix) -> Matrix | None:
    """Return the masses of least cost within tangents; None where there are none."""
    solution = linprog(
        cost,
        tangents,
        ends,
        bounds=[(0.0, float(each)) for each in most],
        options={"primal_feasibility_tolerance": SOLVED, "dual_feasibility_tolerance": SOLVED},
    )
    return None if solution.x is None else _without_dust(solution.x, most)


def _without_dust(masses: Matrix, most: Matrix) -> Matrix:
    return np.where(masses < DUST_KG, 0.0, np.minimum(masses, most))


def _program(held: HeldLimits, per_kg: Sequence[LoadChange], coverage_factor: float) -> _Program:
    now = np.array(held.now_kg)
    spreads = coverage_factor * _visible(np.einsum("rm,enm->ren", held.weights, _effects(per_kg)))
    return _Program(
        now[:, 0],
        coverage_factor * now[:, 1],
        _visible(held.weights @ np.array([change.loads for change in per_kg]).T),
        spreads,
        np.array([row.tolerance_kg for row in held.rows]),
        np.where(spreads.any(axis=(1, 2)), SLACK_KG, 0.0),
    )


def _effects(per_kg: Sequence[LoadChange]) -> Matrix:
    """Return what one standard uncertainty of every error (e) does to the loads (m), per kg of each mass (n)."""
    names = sorted({name for change in per_kg for name in change.effects})
    untouched = np.zeros_like(per_kg[0].loads)
    return np.array([[change.effects.get(name, untouched) for change in per_kg] for name in names])


def _visible(per_kg: Matrix) -> Matrix:
    return np.where(np.abs(per_kg) < NO_EFFECT, 0.0, per_kg)
