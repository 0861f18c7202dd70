"""Load indices and the loads that they stand for."""

import csv
from functools import cache
from importlib.resources import files
from typing import Final

from axlewright.core.errors import OutOfRange

LARGEST_INDEX: Final = 180


@cache
def _loads_kg() -> tuple[float, ...]:
    text = (files("axlewright.core.tires") / "data" / "load_index.csv").read_text(encoding="utf-8")
    return tuple(float(row["load_kg"]) for row in csv.DictReader(text.splitlines()))


def load_kg(index: int) -> float:
    """Return the load that a load index stands for.

    Parameters
    ----------
    index : int
        Load index [1], 0 to 180.

    Returns
    -------
    float
        Most load of one tire [kg], 45 to 8000.

    Raises
    ------
    OutOfRange
        If the index is below 0 or above 180.

    Notes
    -----
    Source: ISO 4000-1 and ISO 4209-1, load index tables; also the annexes of UN Regulations
    No. 30 and No. 54. Indices 171 to 180 are from memory: ten times the loads of 91 to 100.

    Examples
    --------
    >>> load_kg(120), load_kg(61)
    (1400.0, 257.0)

    """
    if not 0 <= index <= LARGEST_INDEX:
        raise OutOfRange(
            "load_index_out_of_range",
            "index",
            f"Load index {index} is not in the table: it runs from 0 to {LARGEST_INDEX}.",
        )
    return _loads_kg()[index]
