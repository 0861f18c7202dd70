"""Loads that the caller already knows, to the joint estimate that everything else reads."""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from axlewright.core.errors import CoreError
from axlewright.core.estimates import Columns, LoadEstimates, Part
from axlewright.core.rig import Rig
from axlewright.core.sessions.passes import wheel_end_of
from axlewright.core.sessions.reconcile import independent_parts, solution_of, with_impossible_parts


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
    named = {wheel for load in given for wheel in load.wheels}
    columns = Columns.of_wheel_ends(
        (wheel_end.name for _, _, wheel_end in rig.wheel_ends()),
        {wheel_end_of(wheel) for wheel in named if wheel_end_of(wheel) != wheel},
    )
    design = np.array([columns.row(dict.fromkeys(load.wheels, 1.0)) for load in given])
    if np.linalg.matrix_rank(design) < len(given):
        raise CoreError(
            "loads_overlap",
            "loads",
            "one of the loads follows from the others; send each wheel once, or send the readings as a session",
        )
    gain = np.linalg.pinv(design)
    unobserved = np.eye(len(columns.names)) - gain @ design
    covariance = np.diag([(load.u or 0.0) ** 2 for load in given])
    unstated = [place for place, load in enumerate(given) if load.u is None]
    return with_impossible_parts(
        LoadEstimates(
            columns=columns,
            joint=solution_of(gain, np.array([load.load_kg for load in given]), covariance),
            unobserved=unobserved.tolist(),
            unstated=gain[:, unstated].T.tolist(),
            parts=tuple(Part(tuple(own)) for _, own in independent_parts(design)),
        )
    )
