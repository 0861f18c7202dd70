"""Load range letters and the ply ratings that they stand for."""

from types import MappingProxyType
from typing import Final

from axlewright.core.errors import CoreError

PLY_RATINGS: Final = MappingProxyType(
    {
        "A": 2,
        "B": 4,
        "C": 6,
        "D": 8,
        "E": 10,
        "F": 12,
        "G": 14,
        "H": 16,
        "J": 18,
        "L": 20,
        "M": 22,
        "N": 24,
    }
)
"""Ply rating of each load range letter. The United States series skips I and K."""

LETTERS_BY_PLY_RATING: Final = MappingProxyType({ply: letter for letter, ply in PLY_RATINGS.items()})


def ply_rating(load_range: str) -> int:
    """Return the ply rating of a load range letter.

    A letter alone says nothing of pressure: one letter stands at different pressures in
    different sizes.

    Parameters
    ----------
    load_range : str
        Letter A to N without I and K, as marked.

    Returns
    -------
    int
        Ply rating [1], even, 2 to 24.

    Raises
    ------
    CoreError
        If no such load range exists.

    Notes
    -----
    Source: Tire and Rim Association load range series as printed alike by two independent
    trade pages.

    Examples
    --------
    >>> ply_rating("E"), ply_rating("J"), ply_rating("L")
    (10, 18, 20)

    """
    if load_range not in PLY_RATINGS:
        raise CoreError(
            "unknown_load_range",
            "load_range",
            f"There is no load range {load_range!r}: use one of {' '.join(PLY_RATINGS)}, as on the sidewall.",
        )
    return PLY_RATINGS[load_range]
