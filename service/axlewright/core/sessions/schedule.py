"""The fewest passes that make some sums of loads known, or known and checked: enumeration from below.

A slip in reading i shows unless its residual is always nothing, that is unless some loads x have A x = e_i (then
Baarda's denominator is 0, whatever the covariance). It hurts only where a wanted sum rests on that reading. Both
follow from the singular values of A.
"""

from collections.abc import Callable, Iterator, Sequence
from enum import StrEnum
from itertools import chain, combinations, islice
from math import ceil, log10
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Matrix = NDArray[np.float64]
Clock = Callable[[], float]
"""Tells seconds that only grow."""

RANK_SHARE: Final = 1e-9
"""Share of the largest singular value below which a direction is not seen: designs of zeros and ones are far off."""
VISIBLE: Final = 1e-7
"""Weight of a reading, or part of a sum, that is more than rounding."""
AT_ONCE: Final = 2048
"""Most schedules judged together."""
WORK_AT_ONCE: Final = 4_000_000
"""About so many steps are taken between two looks at the clock."""
HALF: Final = 0.5
EXACT_DIGITS: Final = 13
"""A determinant whose bound has more digits than that is not told from 0."""
TRIES: Final = 12
"""Schedules that are made up to begin with."""
KEPT: Final = 128
"""Schedules of the least number of passes that are compared by their doubt."""
MORE_CHUNKS: Final = 8
"""So many times `AT_ONCE` more schedules are looked at once one is found, only to compare doubts."""


class Goal(StrEnum):
    """What a schedule has to give."""

    KNOWN = "known"
    CHECKABLE = "checkable"


class Fewest(Struct, frozen=True):
    """Schedules of the same number of passes, each by the places of its choices; ``least`` passes are needed at least.

    They are proven to be the fewest where ``least`` is their number.
    """

    schedules: tuple[tuple[int, ...], ...]
    least: int


class Question(Struct, frozen=True):
    """Choices of a pass (s, r, m), their readings filled up with zeros to r; wanted sums (k, m) of the m loads.

    No two readings of a pass share a load. ``whole`` says that these are all the choices there are; otherwise only
    counting proves how many passes are needed.
    """

    choices: Matrix
    wanted: Matrix
    goal: Goal
    whole: bool = True

    def are_met(self, schedules: NDArray[np.intp]) -> NDArray[np.bool_]:
        """Return of schedules (B, n), each of n places of choices, which give what is wanted."""
        unknowns = self.choices.shape[2]
        readings = self.choices[schedules].reshape(len(schedules), -1, unknowns)
        is_exact = unknowns * log10(schedules.shape[1] + 1) < EXACT_DIGITS
        if is_exact and np.linalg.matrix_rank(self.wanted) == unknowns:
            return _are_all_met(readings, self.goal)
        return _are_met(readings, self.wanted, self.goal)


def _are_met(designs: Matrix, wanted: Matrix, goal: Goal) -> NDArray[np.bool_]:
    """Return of designs (B, n, m) which give all wanted sums (k, m)."""
    return np.asarray(_each_met(designs, wanted, goal).all(axis=1))


def _each_met(designs: Matrix, wanted: Matrix, goal: Goal) -> NDArray[np.bool_]:
    """Return of designs (B, n, m) which of wanted sums (k, m) each gives (B, k), by their singular values."""
    left, singular, right = np.linalg.svd(designs, full_matrices=False)
    seen = singular > RANK_SHARE * singular[:, :1]
    right = right * seen[:, :, np.newaxis]
    along = np.einsum("km,bqm->bkq", wanted, right)
    missing = wanted - np.einsum("bkq,bqm->bkm", along, right)
    met = np.abs(missing).max(axis=2) < VISIBLE
    if goal is Goal.CHECKABLE:
        inverse = np.divide(1.0, singular, out=np.zeros_like(singular), where=seen)
        gains = np.einsum("bkq,bq,brq->bkr", along, inverse, left)
        alone = np.einsum("brq,bq->br", left**2, seen) > 1 - VISIBLE
        met &= ~np.any((np.abs(gains) > VISIBLE) & alone[:, np.newaxis], axis=2)
    return np.asarray(met)


def _are_all_met(designs: Matrix, goal: Goal) -> NDArray[np.bool_]:
    """Return the same where every load is wanted: A'A is of whole numbers, and its determinant 0 or at least 1."""
    normal = np.einsum("bnm,bnk->bmk", designs, designs)
    met = np.asarray(np.linalg.det(normal) > HALF)
    if goal is Goal.CHECKABLE and met.any():
        known = designs[met]
        spread = np.einsum("bnm,bmk->bnk", known, np.linalg.inv(normal[met]))
        met[met] = (np.einsum("bnm,bnm->bn", spread, known) < 1 - VISIBLE).all(axis=1)
    return met


def reached(choices: Matrix, wanted: Matrix) -> NDArray[np.bool_]:
    """Return of wanted sums (k, m) which all choices (s, r, m) together make known."""
    design = choices.reshape(1, -1, choices.shape[-1])
    return np.asarray(_each_met(design, wanted, Goal.KNOWN)[0])


def are_checked(design: Matrix, wanted: Matrix) -> list[bool]:
    """Return of wanted sums (k, m) that readings (n, m) make known whether a slip in any of these would show in it."""
    return [bool(each) for each in _each_met(design[np.newaxis], wanted, Goal.CHECKABLE)[0]]


def fewest(question: Question, clock: Clock, until_s: float) -> Fewest:
    """Return the fewest passes that reach a goal, and how few are proven to be needed.

    Parameters
    ----------
    question
        All choices together make every wanted sum known.
    until_s
        Time of the clock at which to end with what is found.
    """
    best = _found(question, clock, until_s)
    counted = least = _least(question)
    while least < len(best) and clock() < until_s:
        feasible, is_whole = _of_size(question, least, clock, until_s)
        if feasible:
            return Fewest(tuple(feasible), least if question.whole else counted)
        if not is_whole:
            break
        least += 1
    proven = least if question.whole else counted
    if least < len(best) or clock() >= until_s:
        return Fewest((best,), proven)
    feasible, _ = _of_size(question, least, clock, until_s)
    return Fewest((best, *(each for each in feasible if each != best)), proven)


def _least(question: Question) -> int:
    """Return how many passes are needed by counting alone: readings against unknowns, and how often each is touched."""
    readings = np.any(question.choices != 0, axis=2).sum(axis=1).max()
    covers = np.any(question.choices != 0, axis=1)
    touched = np.any(question.wanted != 0, axis=0)
    rank = int(np.linalg.matrix_rank(question.wanted))
    checked = int(question.goal is Goal.CHECKABLE)
    by_readings = ceil((rank + checked) / readings)
    by_touch = ceil((1 + checked) * touched.sum() / covers[:, touched].sum(axis=1).max())
    return int(max(by_readings, by_touch, 1))


def _of_size(question: Question, count: int, clock: Clock, until_s: float) -> tuple[list[tuple[int, ...]], bool]:
    """Return schedules of a number of passes that reach the goal, and whether all of that number were looked at."""
    covers = np.any(question.choices != 0, axis=1)[:, np.any(question.wanted != 0, axis=0)]
    most_times = 2 if question.goal is Goal.CHECKABLE else 1
    found: list[tuple[int, ...]] = []
    more = MORE_CHUNKS
    unknowns = question.choices.shape[2]
    work = count * question.choices.shape[1] * unknowns * unknowns
    at_once = max(min(AT_ONCE, WORK_AT_ONCE // work), 1)
    for schedules in _chunks(len(question.choices), count, most_times, at_once):
        enough = (covers[schedules].sum(axis=1) >= most_times).all(axis=1)
        schedules = schedules[enough]
        if len(schedules):
            met = schedules[question.are_met(schedules)]
            found.extend(tuple(each) for each in met[: KEPT - len(found)].tolist())
        more -= bool(found)
        if len(found) >= KEPT or more < 0 or clock() >= until_s:
            return found, False
    return found, True


def _chunks(choices: int, count: int, most_times: int, at_once: int) -> Iterator[NDArray[np.intp]]:
    """Yield all schedules of a number of passes (B, count), in chunks; of the same pass no more than may help."""
    ways = chain.from_iterable(_ways(choices, count, twice) for twice in range(count // 2 + 1 if most_times > 1 else 1))
    while chunk := list(islice(ways, at_once)):
        yield np.array(chunk, dtype=np.intp)


def _ways(choices: int, count: int, twice: int) -> Iterator[tuple[int, ...]]:
    """Yield the schedules in which so many passes are made twice, the others once."""
    for pairs in combinations(range(choices), twice):
        rest = [choice for choice in range(choices) if choice not in pairs]
        for once in combinations(rest, count - 2 * twice):
            yield *once, *pairs, *pairs


def _found(question: Question, clock: Clock, until_s: float) -> tuple[int, ...]:
    """Return the shortest of some schedules that reach the goal and of which no pass can be left out."""
    draw = np.random.default_rng(0)
    best: tuple[int, ...] = ()
    for number in range(TRIES):
        order = draw.permutation(len(question.choices)) if number else np.arange(len(question.choices))
        passes = _spanning(question, order)
        if question.goal is Goal.CHECKABLE:
            rest = order[~np.isin(order, passes)]
            passes = [*passes, *_spanning(question, rest), *passes]
        pruned = _pruned(question, passes)
        if not best or len(pruned) < len(best):
            best = pruned
        if clock() >= until_s:
            break
    return best


def _spanning(question: Question, order: NDArray[np.intp]) -> list[int]:
    """Return choices that together see all that those in the order do, the one that adds the most each time."""
    unseen = question.choices[order]
    chosen: list[int] = []
    while len(order):
        _, singular, right = np.linalg.svd(unseen, full_matrices=False)
        adds = (singular > VISIBLE).sum(axis=1)
        best = int(adds.argmax())
        if not adds[best]:
            break
        chosen.append(int(order[best]))
        base = right[best][: adds[best]]
        unseen = unseen - unseen @ base.T @ base
    return chosen


def _pruned(question: Question, passes: Sequence[int]) -> tuple[int, ...]:
    """Return passes of which each is needed; the last ones go first."""
    kept = list(passes)
    for place in reversed(range(len(passes))):
        fewer = kept[:place] + kept[place + 1 :]
        if fewer and question.are_met(np.array([fewer], dtype=np.intp))[0]:
            kept = fewer
    return tuple(sorted(kept))


def undominated(structures: Sequence[frozenset[int]]) -> list[int]:
    """Return the places of those sets of readings that no other set replaces, readings being bits of the loads.

    A set is replaced by another of whose readings each of its own is a sum: what it makes known or checks, the other
    does too.

    >>> undominated([frozenset({0b11}), frozenset({0b01, 0b10})])
    [1]
    """
    order = sorted(range(len(structures)), key=lambda place: (-len(structures[place]), place))
    kept: list[int] = []
    for place in order:
        if not any(_replaces(structures[other], structures[place]) for other in kept):
            kept.append(place)
    return sorted(kept)


def _replaces(fine: frozenset[int], coarse: frozenset[int]) -> bool:
    for reading in coarse:
        if reading in fine:
            continue
        within = 0
        for part in fine:
            if part & ~reading == 0:
                within |= part
        if within != reading:
            return False
    return True
