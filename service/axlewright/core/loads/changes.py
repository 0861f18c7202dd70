"""What changes the loads of a rig, and the joint estimate of the loads after it."""

from collections.abc import Iterable
from math import sqrt

import numpy as np
from msgspec import Struct, field, structs
from numpy.typing import NDArray

from axlewright.core.estimates import VISIBLE, LoadEstimates, Part, Solution

Matrix = NDArray[np.float64]


class LoadChange(Struct, frozen=True):
    """A change of all loads (m) [kg] with its doubt.

    ``effects`` holds by name what one standard uncertainty of each independent error does to the loads (m): an error
    of one name is the same error in every change that bears it.
    """

    loads: Matrix
    effects: dict[str, Matrix] = field(default_factory=dict)

    def value(self, row: Matrix) -> float:
        """Return the change of a sum of loads [kg]."""
        return float(row @ self.loads)

    def u(self, row: Matrix) -> float:
        """Return the standard uncertainty of that change [kg]."""
        return sqrt(sum(float(row @ effect) ** 2 for effect in self.effects.values()))


def added(changes: Iterable[LoadChange], count: int) -> LoadChange:
    """Return changes of all loads (``count``) as one; errors of one name add up before their squares do."""
    loads = np.zeros(count)
    effects: dict[str, Matrix] = {}
    for change in changes:
        loads = loads + change.loads
        for name, effect in change.effects.items():
            effects[name] = effects[name] + effect if name in effects else effect
    return LoadChange(loads, effects)


def scaled(change: LoadChange, factor: float) -> LoadChange:
    """Return a change so many times as large, with errors that grow alike."""
    return LoadChange(factor * change.loads, {name: factor * effect for name, effect in change.effects.items()})


def changed_estimates(estimates: LoadEstimates, change: LoadChange, passed_on: Matrix | None = None) -> LoadEstimates:
    """Return the joint estimate after a change.

    Parameters
    ----------
    estimates
        The loads (m) before it.
    change
        What is added to them; its errors are independent of theirs.
    passed_on
        Matrix (m, m) of what each load after is made of before the change is added; None where each stays itself.

    Notes
    -----
    A load that rests on one which is not known, whose doubt nobody stated, or whose cross-check failed stays so.
    """
    carried = np.eye(len(estimates.columns.names)) if passed_on is None else passed_on
    own = sum((np.outer(effect, effect) for effect in change.effects.values()), np.zeros_like(carried))

    def after(solution: Solution) -> Solution:
        loads = carried @ np.array(solution.loads) + change.loads
        return Solution(loads.tolist(), (carried @ np.array(solution.covariance) @ carried.T + own).tolist())

    sources = [frozenset(np.flatnonzero(np.abs(row) > VISIBLE).tolist()) for row in carried]
    parts = tuple(
        Part(
            tuple(column for column, used in enumerate(sources) if not used.isdisjoint(part.columns)),
            part.failed,
            part.impossible,
            part.lifts,
            tuple(after(each) for each in part.alternatives),
        )
        for part in estimates.parts
    )
    return structs.replace(
        estimates,
        joint=after(estimates.joint),
        unobserved=_carried(estimates.unobserved, carried),
        unstated=_carried(estimates.unstated, carried),
        parts=parts,
        weighed=frozenset(column for column, used in enumerate(sources) if used <= estimates.weighed),
        answered={},
    )


def _carried(directions: list[list[float]], passed_on: Matrix) -> list[list[float]]:
    return [(passed_on @ np.array(direction)).tolist() for direction in directions]
