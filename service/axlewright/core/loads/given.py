"""Loads that the caller already knows, to the joint estimate that everything else reads."""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray

from axlewright.core.errors import CoreError
from axlewright.core.estimates import LoadEstimates, Part, Solution
from axlewright.core.rig import Rig
from axlewright.core.sessions.layout import LAYOUTS_KEPT, layout_of
from axlewright.core.sessions.reconcile import solution_of, with_impossible_parts

Matrix = NDArray[np.float64]


class GivenLoad(Struct, frozen=True):
    """A known sum of wheel ends (or of single tires of a dual) [kg]; u is None where nobody stated it."""

    wheels: frozenset[str]
    load_kg: float
    u: float | None


def estimates_from_loads(rig: Rig, given: Sequence[GivenLoad]) -> LoadEstimates:
    """Return the joint estimate from loads that the caller knows.

    Raises
    ------
    CoreError
        ``loads_overlap`` if one load follows from the others: what then disagrees is a session's to judge.
    """
    layout = layout_of(rig, (load.wheels for load in given))
    inverse = _inverse(tuple(tuple(row) for row in layout.design.tolist()))
    if inverse is None:
        raise CoreError(
            "loads_overlap",
            "loads",
            "one of the loads follows from the others; send each wheel once, or send the readings as a session",
        )
    gain, unobserved = inverse
    covariance = np.diag([(load.u or 0.0) ** 2 for load in given])
    unstated = [place for place, load in enumerate(given) if load.u is None]
    return with_impossible_parts(
        LoadEstimates(
            columns=layout.columns,
            joint=solution_of(gain, np.array([load.load_kg for load in given]), covariance),
            unobserved=unobserved,
            unstated=gain[:, unstated].T.tolist(),
            parts=tuple(Part(tuple(own)) for _, own in layout.parts),
            weighed=layout.weighed,
        )
    )


def with_coupling_loads(estimates: LoadEstimates, given: Sequence[GivenLoad]) -> LoadEstimates:
    """Return the joint estimate of a session with loads of couplings, which no reading covers, added to it."""
    if not given:
        return estimates
    columns = [estimates.columns.terms(dict.fromkeys(load.wheels, 1.0))[0][0] for load in given]
    unknowns = np.eye(len(estimates.columns.names))

    def with_given(solution: Solution) -> Solution:
        loads, covariance = np.array(solution.loads), np.array(solution.covariance)
        for column, load in zip(columns, given, strict=True):
            loads[column], covariance[column, column] = load.load_kg, (load.u or 0.0) ** 2
        return Solution(loads.tolist(), covariance.tolist())

    # A solution without one reading has the given loads too, or a failed check would count them as missing.
    weighed = [
        structs.replace(part, alternatives=tuple(with_given(each) for each in part.alternatives))
        for part in estimates.parts
    ]
    unstated = [unknowns[column].tolist() for column, load in zip(columns, given, strict=True) if load.u is None]
    return structs.replace(
        estimates,
        joint=with_given(estimates.joint),
        unstated=[*estimates.unstated, *unstated],
        parts=(*weighed, *(Part((column,)) for column in columns)),
        weighed=estimates.weighed | set(columns),
        answered={},
    )


@lru_cache(maxsize=LAYOUTS_KEPT)
def _inverse(design: tuple[tuple[float, ...], ...]) -> tuple[Matrix, list[list[float]]] | None:
    """Return the pseudo-inverse of a design and the directions that it does not see; None where its rows are dependent.

    Neither is to be written to.
    """
    matrix = np.array(design)
    if np.linalg.matrix_rank(matrix) < len(design):
        return None
    _, _, right = np.linalg.svd(matrix)
    return np.linalg.pinv(matrix), right[len(design) :].tolist()
