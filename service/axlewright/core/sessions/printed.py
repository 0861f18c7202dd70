"""Readings as the digits that a ticket prints, and what the usual slips of copying would have made of others.

A reading is a whole number of the last printed place of its unit; its digits are counted from the right.
"""

from collections.abc import Iterator
from enum import StrEnum
from math import inf
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.scales import Tolerance, ToleranceSteps, is_on_division
from axlewright.core.sessions.passes import Platform
from axlewright.core.units import RELATIVE_GUARD

Whole = NDArray[np.int64]

MOST_DECIMALS: Final = 4
"""Decimals that a scale prints at most."""
MOST_PRINTED: Final = 10**10
"""Numbers from here on, in units of the last place, are no ticket's."""
PRINTED_GUARD: Final = 1e-12
"""Share of a number that the way to kg and back may cost, and no printed digit."""
DIGITS: Final = np.arange(10, dtype=np.int64)


class SlipKind(StrEnum):
    """How a ticket was copied wrongly; the simplest first."""

    SWAPPED_DIGITS = "swapped_digits"
    MISREAD_DIGIT = "misread_digit"
    DROPPED_DIGIT = "dropped_digit"
    DOUBLED_DIGIT = "doubled_digit"
    EXCHANGED_READINGS = "exchanged_readings"
    WRONG_SIDE = "wrong_side"


class Printed(Struct, frozen=True, gc=False):
    """A reading, its platform's division and the most it may have read, all in units of the last of some decimals."""

    number: int
    division: int
    decimals: int
    most: int


class Meant(Struct, frozen=True):
    """What tickets may have read (c): place of the kind in `SlipKind`, place of the reading, and the number in kg."""

    kinds: Whole
    places: Whole
    values_kg: NDArray[np.float64]


def most_shown_kg(tolerance: Tolerance, platform: Platform) -> float:
    """Return the most [kg] that a platform can show by its class; infinite where no class is stated."""
    if not isinstance(tolerance, ToleranceSteps):
        return inf
    return tolerance.steps[-1][0] * platform.division_kg * (1 + RELATIVE_GUARD)


def could_show(value_kg: float, tolerance: Tolerance, platform: Platform) -> bool:
    """Return whether a platform could have printed a value: positive, on its division, within its class."""
    return 0 < value_kg <= most_shown_kg(tolerance, platform) and is_on_division(value_kg, platform.division_kg)


def printed(value_kg: float, division_kg: float, most_kg: float, digit_unit_kg: float) -> Printed | None:
    """Return a reading as printed in a unit [kg]; None if that takes more decimals than scales print.

    >>> printed(1240.5, division_kg=0.5, most_kg=5000.0, digit_unit_kg=1.0)
    Printed(number=12405, division=5, decimals=1, most=50000)
    """
    for decimals in range(MOST_DECIMALS + 1):
        scale = 10**decimals / digit_unit_kg
        number, division = _whole(value_kg * scale), _whole(division_kg * scale)
        if number and division:
            most = int(min(most_kg * scale, MOST_PRINTED))
            return Printed(number, division, decimals, most)
    return None


def _whole(number: float) -> int | None:
    if not number < MOST_PRINTED:
        return None
    whole = round(number)
    return whole if abs(number - whole) <= PRINTED_GUARD * max(number, 1.0) else None


def meant(copied: list[Printed | None], digit_unit_kg: float) -> Meant:
    """Return all that tickets may have read if one digit slip made of it what was copied (r), each value once.

    None stands for readings without printed digits. Digits are dropped and doubled before the decimal point only.
    """
    places = np.array([place for place, each in enumerate(copied) if each is not None], dtype=np.int64)
    own = [each for each in copied if each is not None]
    if not own:
        return Meant(np.zeros(0, dtype=np.int64), places, np.zeros(0))
    numbers, divisions, decimals, most = (
        np.array([getattr(each, name) for each in own], dtype=np.int64)
        for name in ("number", "division", "decimals", "most")
    )
    found = []
    for kind, candidates in enumerate(_candidates(numbers, decimals)):
        flat = candidates.reshape(len(own), -1)
        could = (flat > 0) & (flat != numbers[:, None]) & (flat <= most[:, None]) & (flat % divisions[:, None] == 0)
        rows, _ = np.nonzero(could)
        found.append((np.full(len(rows), kind), rows, flat[could]))
    kinds, rows, values = (np.concatenate(each) for each in zip(*found, strict=True))
    order = np.lexsort((kinds, values, rows))
    kinds, rows, values = kinds[order], rows[order], values[order]
    is_first = np.ones(len(rows), dtype=bool)
    is_first[1:] = (np.diff(rows) != 0) | (np.diff(values) != 0)
    kinds, rows, values = kinds[is_first], rows[is_first], values[is_first]
    return Meant(kinds, places[rows], values / 10.0 ** decimals[rows] * digit_unit_kg)


def _candidates(numbers: Whole, decimals: Whole) -> Iterator[Whole]:
    """Yield for each kind of digit slip, in order, numbers (r, ...) that may have been meant; 0 for none."""
    length = np.maximum(np.array([len(str(number)) for number in numbers.tolist()]), decimals + 1)
    place = np.arange(length.max() + 1)
    power = 10**place
    digits = numbers[:, None] // power % 10
    above = numbers[:, None] // power
    below = numbers[:, None] % power
    point = decimals[:, None]
    # A printed number starts with no 0 but one just before the decimal point.
    least = np.where(length - 1 == decimals, 1, 10 ** (length - 1))[:, None]
    inside = place < length[:, None]

    swapped = numbers[:, None] + (digits[:, :-1] - digits[:, 1:]) * (power[1:] - power[:-1])
    yield np.where(inside[:, 1:] & (swapped >= least), swapped, 0)

    misread = numbers[:, None, None] + (DIGITS - digits[:, :, None]) * power[:, None]
    yield np.where(inside[:, :, None] & (misread >= least[:, :, None]), misread, 0)

    longer = (above * 10 * power + below)[:, :, None] + DIGITS * power[:, None]
    can_drop = (place >= point) & (place <= length[:, None])
    yield np.where(can_drop[:, :, None] & (longer >= 10 ** length[:, None, None]), longer, 0)

    shorter = above[:, 1:] * power[:-1] + below[:, :-1]
    can_double = inside[:, 1:] & (place[:-1] >= point) & (digits[:, 1:] == digits[:, :-1])
    yield np.where(can_double, shorter, 0)
