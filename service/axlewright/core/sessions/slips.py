"""The usual slips of a copied ticket that would explain a failed cross-check; ranked, never applied.

Source: least squares. With g = C^-1 v and P = C^-1 Q_v C^-1 the statistic v' C^-1 v of readings y + d is
q + 2 d' g + d' P d (identity: v is linear in y). The covariance depends a little on the readings, so that the best
are solved anew. Which slips are usual is common practice of keying: neighbours swapped, a digit misread, dropped or
doubled, two fields exchanged, the wrong side.
"""

from bisect import insort
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray
from scipy import special

from axlewright.core.rig import Rig
from axlewright.core.sessions.adjustment import adjust, checking_weights
from axlewright.core.sessions.passes import WeighSession, half_weighed_axles, spots
from axlewright.core.sessions.printed import SlipKind, could_show, meant, most_shown_kg, printed
from axlewright.core.sessions.reconcile import PartCheck, posed

Matrix = NDArray[np.float64]
Places = NDArray[np.int64]

SOLVED_ANEW: Final = 48
"""Candidates with other readings that are solved anew at most."""
WRONG_SIDES: Final = 16
"""Passes that are tried for the other side at most."""
SOLVED_ENTRIES: Final = 2**20
"""Entries of the covariances solved anew for each of both, about: very many readings get fewer, but at least one."""
NEAR_TIMES: Final = 16.0
"""Candidates within so many times the critical statistic are solved anew: a slip of a digit more or less changes the
uncertainty of its reading, and of those that hang on it, by less than four times (tried in the simulation)."""
STATISTIC_DECIMALS: Final = 6
"""Decimals of statistics by which candidates are ranked: more is rounding, and would depend on the machine."""
RATED_TIMES: Final = 3.0
"""No wheels are meant to have put so many times their axles' ratings on a platform: judgement, above a rating in the
wrong unit. Far slips agree as well as near ones where two readings add to a third."""
KINDS: Final = tuple(SlipKind)
NO_OTHER: Final = -1


class ChangedReading(Struct, frozen=True, gc=False):
    """A reading by its row, as it was entered and as the ticket would have read [kg]."""

    row: int
    read_kg: float
    would_be_kg: float


class Left(Struct, frozen=True, gc=False):
    """What a slip would leave, were it undone.

    Attributes
    ----------
    statistic, degrees_of_freedom, probability
        The global test of the part's readings; of all together, if the other side makes several parts of them.
    session_statistic
        The sum of the statistics of all parts of the session.
    reconciles
        Whether every part that it touches would pass; without degrees of freedom nothing is left to contradict it.
    """

    statistic: float
    degrees_of_freedom: int
    probability: float
    session_statistic: float
    reconciles: bool


class Slip(Struct, frozen=True):
    """A slip that may have been made in copying a ticket.

    Attributes
    ----------
    kind
        What would have happened.
    readings
        Those that would read otherwise; none for the wrong side.
    pass_name
        The pass that would have been entered for the other side, else None.
    left
        The tests with what the ticket would have read.
    """

    kind: SlipKind
    readings: tuple[ChangedReading, ...]
    pass_name: str | None
    left: Left


class Tested(Struct, frozen=True):
    """The tests of all parts (p) as entered, row by row of readings and ties (n).

    ``weighted`` is g = C^-1 v (n), ``powers`` P = C^-1 Q_v C^-1 (n, n), block by block; ``part_of`` the part (n).
    """

    parts: tuple[frozenset[int], ...]
    part_of: Places
    statistics: Matrix
    freedoms: Places
    weighted: Matrix
    powers: Matrix

    def solves(self, most: int, share: int) -> int:
        """Return how many candidates of one of several parts are solved anew, of at most so many."""
        return min(most, max(1, SOLVED_ENTRIES // (share * len(self.part_of) ** 2)))


class _Candidates(Struct, frozen=True):
    """Changed readings (c): place of the kind, row and what would be there [kg]; of exchanged ones the other row too.

    ``others`` is `NO_OTHER` where one reading alone changes.
    """

    kinds: Places
    rows: Places
    would_be: Matrix
    others: Places
    others_would_be: Matrix

    def ranked(self, session: WeighSession, left: Sequence[Left]) -> Iterator[Slip]:
        """Yield the slips in the order of `_rank`, with what each leaves."""
        statistics = np.round([each.session_statistic for each in left], STATISTIC_DECIMALS)
        order = np.lexsort((self.kinds, statistics))
        columns = (self.kinds, self.rows, self.would_be, self.others, self.others_would_be)
        read = [reading.value_kg for reading in session.readings]
        for place, kind, row, would_be, other, other_would_be in zip(
            order.tolist(), *(column[order].tolist() for column in columns), strict=True
        ):
            readings: tuple[ChangedReading, ...] = (ChangedReading(row, read[row], would_be),)
            if other != NO_OTHER:
                exchanged = ChangedReading(other, read[other], other_would_be)
                readings = (*readings, exchanged) if row < other else (exchanged, *readings)
            yield Slip(KINDS[kind], readings, None, left[place])


def ranked_slips(
    rig: Rig,
    session: WeighSession,
    part: PartCheck,
    digit_unit_kg: float,
    tested: Tested | None = None,
    share: int = 1,
) -> tuple[Slip, ...]:
    """Return the usual slips in one part's readings, ranked by the statistic that each would leave of the session.

    Those that leave nothing to check stand last. Slips that the tests cannot tell apart stand in the order of
    `SlipKind` and of the readings. Nothing for a part that passed.

    Parameters
    ----------
    part
        A part of the session's reconciliation.
    digit_unit_kg
        Mass [kg] of the unit in which the tickets print: digits exist in that unit alone.
    tested
        The tests of the session's parts, if they are at hand.
    share
        Among so many parts the work of solving anew is shared.

    Raises
    ------
    CoreError
        As `reconcile`.
    """
    if not part.failed:
        return ()
    tested = tested or tested_session(rig, session)
    own = int(tested.part_of[part.checks[0].row])
    candidates = _candidates(rig, session, part, digit_unit_kg)
    left = _left(candidates, session, tested, own)
    near = NEAR_TIMES * float(special.chdtri(part.degrees_of_freedom, session.significance))
    ranked: list[Slip] = []
    anew = list(_wrong_sides(rig, session, part, tested, own, share))
    most = len(anew) + tested.solves(SOLVED_ANEW, share)
    for slip in candidates.ranked(session, left):
        if slip.left.statistic > near or len(anew) == most:
            ranked.append(slip)
        else:
            rows = [each.row for each in slip.readings]
            solved = _solved(rig, _with(session, slip.readings), tested, own, rows)
            anew.append(structs.replace(slip, left=solved))
    for slip in anew:
        insort(ranked, slip, key=_rank)
    return tuple(ranked)


def _rank(slip: Slip) -> tuple[bool, float, int]:
    return (
        slip.left.degrees_of_freedom == 0,
        round(slip.left.session_statistic, STATISTIC_DECIMALS),
        KINDS.index(slip.kind),
    )


def tested_session(rig: Rig, session: WeighSession) -> Tested:
    """Return the tests of a session's parts, from which what slips would leave follows; raises as `reconcile`."""
    problem = posed(rig, session)
    count = len(problem.values)
    part_of = np.zeros(count, dtype=np.int64)
    weighted, powers = np.zeros(count), np.zeros((count, count))
    statistics, freedoms = [], []
    for number, (rows, own) in enumerate(problem.layout.parts):
        block = np.ix_(rows, rows)
        design, covariance = problem.layout.design[np.ix_(rows, own)], problem.covariance[block]
        adjustment = adjust(design, problem.values[rows], covariance)
        part_of[rows] = number
        powers[block] = checking_weights(design, covariance, adjustment.gain)
        weighted[rows] = powers[block] @ problem.values[rows]
        statistics.append(adjustment.statistic)
        freedoms.append(adjustment.degrees_of_freedom)
    parts = tuple(frozenset(rows) for rows, _ in problem.layout.parts)
    return Tested(parts, part_of, np.array(statistics), np.array(freedoms), weighted, powers)


def _candidates(rig: Rig, session: WeighSession, part: PartCheck, digit_unit_kg: float) -> _Candidates:
    rows = np.array([check.row for check in part.checks])
    own = [session.readings[row] for row in rows]
    places = spots(rig, frozenset(wheel for reading in own for wheel in reading.wheels))
    rated_kg = {axle.name: axle.gawr_kg for _, axle in rig.axles()}
    copied = []
    for each in own:
        rating_kg = sum(rated_kg[axle] for axle in {places[wheel].axle for wheel in each.wheels})
        most_kg = min(most_shown_kg(session.tolerance_of(each.platform), each.platform), RATED_TIMES * rating_kg)
        copied.append(printed(each.value_kg, each.platform.division_kg, most_kg, digit_unit_kg))
    single = meant(copied, digit_unit_kg)
    pairs = list(_exchanges(session, set(rows.tolist())))
    first = np.array([row for row, _ in pairs], dtype=np.int64)
    second = np.array([other for _, other in pairs], dtype=np.int64)
    values = np.array([reading.value_kg for reading in session.readings])
    count = len(single.kinds)
    return _Candidates(
        kinds=np.append(single.kinds, np.full(len(pairs), KINDS.index(SlipKind.EXCHANGED_READINGS))),
        rows=np.append(rows[single.places], first),
        would_be=np.append(single.values_kg, values[second]),
        others=np.append(np.full(count, NO_OTHER), second),
        others_would_be=np.append(np.zeros(count), values[first]),
    )


def _exchanges(session: WeighSession, own: set[int]) -> Iterator[tuple[int, int]]:
    """Yield the rows of readings of one pass that may have been exchanged, the first of them in the part."""
    of_pass: dict[str, list[int]] = {}
    for row, reading in enumerate(session.readings):
        of_pass.setdefault(reading.pass_name, []).append(row)
    for row in sorted(own):
        mine = session.readings[row]
        for other in of_pass[mine.pass_name]:
            if other == row or (other in own and other < row):
                continue
            its = session.readings[other]
            if (
                mine.value_kg != its.value_kg
                and could_show(its.value_kg, session.tolerance_of(mine.platform), mine.platform)
                and could_show(mine.value_kg, session.tolerance_of(its.platform), its.platform)
            ):
                yield row, other


def _left(candidates: _Candidates, session: WeighSession, tested: Tested, own: int) -> list[Left]:
    """Return what candidates leave by the closed form."""
    rows, others = candidates.rows, candidates.others
    values = np.array([reading.value_kg for reading in session.readings])
    added = candidates.would_be - values[rows]
    has_other = others != NO_OTHER
    added_other = np.where(has_other, candidates.others_would_be - values[others], 0.0)
    powers = tested.powers
    change = added * (2 * tested.weighted[rows] + added * powers[rows, rows])
    change_other = added_other * (2 * tested.weighted[others] + added_other * powers[others, others])
    change_both = change + change_other + 2 * added * added_other * powers[rows, others]
    apart = has_other & (tested.part_of[others] != own)
    statistics = np.maximum(tested.statistics[own] + np.where(apart, change, change_both), 0.0)
    probabilities = special.chdtrc(tested.freedoms[own], statistics)
    reconcile = probabilities >= session.significance
    part_of_other = tested.part_of[others[apart]]
    left_other = np.maximum(tested.statistics[part_of_other] + change_other[apart], 0.0)
    freedoms = tested.freedoms[part_of_other]
    reconcile[apart] &= (freedoms == 0) | (special.chdtrc(freedoms, left_other) >= session.significance)
    session_statistics = np.maximum(tested.statistics.sum() + change_both, 0.0)
    freedom = int(tested.freedoms[own])
    return [
        Left(statistic, freedom, probability, session_statistic, reconciles)
        for statistic, probability, session_statistic, reconciles in zip(
            statistics.tolist(), probabilities.tolist(), session_statistics.tolist(), reconcile.tolist(), strict=True
        )
    ]


def _with(session: WeighSession, changed: tuple[ChangedReading, ...]) -> WeighSession:
    readings = list(session.readings)
    for each in changed:
        readings[each.row] = structs.replace(readings[each.row], value_kg=each.would_be_kg)
    return structs.replace(session, readings=tuple(readings))


def _solved(rig: Rig, would_be: WeighSession, tested: Tested, own: int, rows: list[int]) -> Left:
    """Return the tests of all parts that changed rows touch, solved anew; any other part is as it was."""
    count = len(would_be.readings)
    touched = {own, *tested.part_of[rows].tolist()}
    affected = {row for number in touched for row in tested.parts[number] if row < count}
    problem = posed(rig, would_be)
    statistic, freedom, session_statistic, reconciles = 0.0, 0, 0.0, True
    solved: set[int] = set()
    for its, columns in problem.layout.parts:
        readings = {row for row in its if row < count}
        if affected.isdisjoint(readings):
            continue
        block = np.ix_(its, its)
        adjustment = adjust(problem.layout.design[np.ix_(its, columns)], problem.values[its], problem.covariance[block])
        solved |= readings
        session_statistic += adjustment.statistic
        reconciles &= adjustment.probability >= would_be.significance
        if not tested.parts[own].isdisjoint(readings):
            statistic += adjustment.statistic
            freedom += adjustment.degrees_of_freedom
    for number, part in enumerate(tested.parts):
        if solved.isdisjoint(part):
            session_statistic += float(tested.statistics[number])
    probability = float(special.chdtrc(freedom, statistic)) if freedom else 1.0
    return Left(statistic, freedom, probability, session_statistic, reconciles)


def _wrong_sides(
    rig: Rig, session: WeighSession, part: PartCheck, tested: Tested, own: int, share: int
) -> Iterator[Slip]:
    """Yield what the other side would make of passes that weighed one side of an axle; those with suspects first."""
    places = spots(rig, frozenset(wheel for reading in session.readings for wheel in reading.wheels))
    half_weighed = half_weighed_axles(session, places)
    with_suspect: dict[str, bool] = {}
    for check in part.checks:
        if half_weighed[check.row]:
            name = session.readings[check.row].pass_name
            with_suspect[name] = with_suspect.get(name, False) or check.suspect
    opposite = _opposite_wheels(rig)
    for name in sorted(with_suspect, key=lambda each: not with_suspect[each])[: tested.solves(WRONG_SIDES, share)]:
        rows = [row for row, reading in enumerate(session.readings) if reading.pass_name == name]
        if all(wheel in opposite for row in rows for wheel in session.readings[row].wheels):
            readings = list(session.readings)
            for row in rows:
                wheels = frozenset(opposite[wheel] for wheel in readings[row].wheels)
                readings[row] = structs.replace(readings[row], wheels=wheels)
            would_be = structs.replace(session, readings=tuple(readings))
            yield Slip(SlipKind.WRONG_SIDE, (), name, _solved(rig, would_be, tested, own, rows))


def _opposite_wheels(rig: Rig) -> dict[str, str]:
    """Return the wheel across the axle from each wheel end, and from each tire of a dual that has one there."""
    opposite: dict[str, str] = {}
    for _, axle in rig.axles():
        for wheel_end, other in (axle.wheel_ends, axle.wheel_ends[::-1]):
            tires = ("", ".inner", ".outer") if wheel_end.tires.count == other.tires.count == 2 else ("",)
            opposite |= {f"{wheel_end.name}{tire}": f"{other.name}{tire}" for tire in tires}
    return opposite
