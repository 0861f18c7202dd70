"""What was weighed together: the unknowns of a weigh, its design, and the parts that share no wheel.

It rests on names alone, not on what was read, and the same few layouts come again and again.
"""

from collections.abc import Iterable
from functools import lru_cache

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.estimates import Columns
from axlewright.core.rig import Rig
from axlewright.core.sessions.passes import wheel_end_of

Matrix = NDArray[np.float64]

LAYOUTS_KEPT = 64


class Layout(Struct, frozen=True):
    """The unknowns (m), the design A (n, m), which is not to be written to, and rows and columns of each part.

    The rows of ties, if any, stand after those of the readings.
    """

    columns: Columns
    design: Matrix
    parts: tuple[tuple[list[int], list[int]], ...]

    @property
    def weighed(self) -> frozenset[int]:
        """The columns of all parts."""
        return frozenset(column for _, own in self.parts for column in own)


Weights = tuple[tuple[str, float], ...]


def layout_of(
    rig: Rig,
    weighed: Iterable[frozenset[str]],
    coupled: Iterable[str] = (),
    ties: Iterable[Weights] = (),
) -> Layout:
    """Return the layout of readings, or of known loads, by the wheel ends or tires that each covers.

    Parameters
    ----------
    coupled
        Names of loads in coupling states, beyond those that each vehicle has by itself.
    ties
        Sums of loads that equilibrium ties: rows of the design after those of the readings.
    """
    return _layout((*rig.load_names(), *coupled), tuple(weighed), tuple(ties))


@lru_cache(maxsize=LAYOUTS_KEPT)
def _layout(load_names: tuple[str, ...], weighed: tuple[frozenset[str], ...], ties: tuple[Weights, ...]) -> Layout:
    apart = {_bare(wheel_end_of(wheel)) for wheel in frozenset().union(*weighed) if wheel_end_of(wheel) != wheel}
    columns = Columns.of_wheel_ends(load_names, {name for name in load_names if _bare(name) in apart})
    sums = [dict.fromkeys(wheels, 1.0) for wheels in weighed] + [dict(tie) for tie in ties]
    design = np.array([columns.row(each) for each in sums])
    design.flags.writeable = False
    return Layout(columns, design, tuple(independent_parts(design)))


def _bare(name: str) -> str:
    """Return the wheel end of a load's name, whatever the coupling state: its tires are apart in all or none."""
    return name.rpartition(" ")[2]


def independent_parts(design: Matrix) -> list[tuple[list[int], list[int]]]:
    """Return the rows and columns of each part of a design that shares no unknown with the rest.

    >>> independent_parts(np.array([[1.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]))
    [([0, 2], [0, 1]), ([1], [2])]
    """
    parts: list[tuple[list[int], set[int]]] = []
    for row, used in enumerate(design.tolist()):
        columns = {column for column, weight in enumerate(used) if weight}
        rows = [row]
        apart = []
        for part in parts:
            if part[1].isdisjoint(columns):
                apart.append(part)
            else:
                rows.extend(part[0])
                columns |= part[1]
        parts = [*apart, (rows, columns)]
    return sorted((sorted(rows), sorted(columns)) for rows, columns in parts)
