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
    """The unknowns (m), the design A (n, m), which is not to be written to, and rows and columns of each part."""

    columns: Columns
    design: Matrix
    parts: tuple[tuple[list[int], list[int]], ...]

    @property
    def weighed(self) -> frozenset[int]:
        """The columns of all parts."""
        return frozenset(column for _, own in self.parts for column in own)


def layout_of(rig: Rig, weighed: Iterable[frozenset[str]]) -> Layout:
    """Return the layout of readings, or of known loads, by the wheel ends or tires that each covers."""
    return _layout(tuple(rig.load_names()), tuple(weighed))


@lru_cache(maxsize=LAYOUTS_KEPT)
def _layout(load_names: tuple[str, ...], weighed: tuple[frozenset[str], ...]) -> Layout:
    named = frozenset().union(*weighed)
    columns = Columns.of_wheel_ends(
        load_names, {wheel_end_of(wheel) for wheel in named if wheel_end_of(wheel) != wheel}
    )
    design = np.array([columns.row(dict.fromkeys(wheels, 1.0)) for wheels in weighed])
    design.flags.writeable = False
    return Layout(columns, design, tuple(independent_parts(design)))


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
