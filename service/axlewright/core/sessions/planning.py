"""The passes that make wanted loads known, or known and checkable, at the least price on a site.

The price grows with the number of passes, whatever they are: the fewest are the cheapest. Loads that no pass weighs
together share no reading: each such part is searched on its own, and the fewest passes of the whole are the sum of
theirs. Among the fewest those with the smallest largest doubt are taken, then those with the most clearance.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.sessions.passes import Platform
from axlewright.core.sessions.plan_doubt import Doubts
from axlewright.core.sessions.plan_question import PlanQuestion, Target
from axlewright.core.sessions.plan_reach import (
    Impossible,
    Reason,
    expected_readings,
    impossible_of,
    overloaded,
    ways_to_stand,
)
from axlewright.core.sessions.schedule import Clock, Fewest, Goal, Question, fewest, undominated
from axlewright.core.sessions.standing import Lateral, Standing, are_all_on_pads
from axlewright.core.sessions.train import Train, trains_of

Matrix = NDArray[np.float64]

MOST_COMPARED: Final = 200
"""Schedules whose doubts are worked out in a plan, for each goal."""
LEAST_COMPARED: Final = 8
"""The same for each part of it, be they many."""
SEARCH_SHARE: Final = 0.8
"""Of the time given the searches take at most so much; the rest is for comparing what they find."""
SAME_U_KG: Final = 1e-6
"""Doubts that differ by less are the same."""


class PlannedLoad(Struct, frozen=True):
    """A wanted load as a schedule will tell it: what is expected, its standard uncertainty [kg], whether checked."""

    target: Target
    expected_kg: float
    u_kg: float
    checked: bool


class Schedule(Struct, frozen=True):
    """Passes in the order driven, with what each platform is expected to read [kg], their price, what they tell.

    ``least`` passes are proven to be needed; their own number where no cheaper schedule does it.
    """

    passes: tuple[Standing, ...]
    expected_kg: tuple[tuple[float, ...], ...]
    price: float
    least: int
    loads: tuple[PlannedLoad, ...]

    @property
    def proven(self) -> bool:
        """Whether no cheaper schedule does it."""
        return self.least >= len(self.passes)


class SessionPlan(Struct, frozen=True):
    """The cheapest schedule for each goal, None where nothing wanted can be known; what cannot, and why.

    ``capped`` are platforms on which fewer wheels are planned than fit, as they are likely heavier than it can show.
    """

    schedules: dict[Goal, Schedule | None]
    impossible: tuple[Impossible, ...]
    capped: tuple[Platform, ...]


class _Part(Struct, frozen=True):
    """Loads that passes tie together: ways to stand by what they read, and what is wanted of the loads.

    ``choices`` (s, r, m) and ``wanted`` (k, m) are those of `Question`; loads that are always read together are one.
    """

    ways: tuple[tuple[Standing, ...], ...]
    choices: Matrix
    sums: tuple[dict[str, float], ...]
    wanted: Matrix
    whole: bool


def session_plan(question: PlanQuestion, time_s: float, clock: Clock) -> SessionPlan:
    """Return the cheapest schedule for each goal.

    Parameters
    ----------
    time_s
        After so long [s] the searches end with what they have.
    clock
        Tells seconds that only grow.
    """
    began_s = clock()
    wanted = {wheel for target in question.targets for wheel in target.terms}
    trains = [train for train in trains_of(question.rig, question.towed_behind_m) if wanted & train.wheels]
    every_way = ways_to_stand(question, trains, (Reason.BEYOND_SCALE,))
    beyond = [overloaded(question, way) for way in every_way]
    ways = [way for way, platforms in zip(every_way, beyond, strict=True) if not platforms]
    capped = tuple(sorted({each for platforms in beyond for each in platforms}, key=_by_name))
    impossible = impossible_of(question, trains, ways)
    missing = [each.target for each in impossible]
    targets = [target for target in question.targets if target not in missing]
    if not targets:
        return SessionPlan(dict.fromkeys(Goal), impossible, capped)
    search_s = SEARCH_SHARE * time_s
    parts = list(_parts(ways, targets, whole=all(are_all_on_pads(train, question.site) for train in trains)))
    doubts = Doubts.of(question, trains)
    found: dict[Goal, list[Fewest]] = {goal: [] for goal in Goal}
    searches = [(goal, part) for part in parts for goal in Goal]
    for number, (goal, part) in enumerate(searches):
        until_s = began_s + search_s * (number + 1) / len(searches)
        found[goal].append(fewest(Question(part.choices, part.wanted, goal, part.whole), clock, until_s))
    found = _compared(found)
    schedules: dict[Goal, Schedule | None] = {
        goal: _schedule(doubts, trains, targets, parts, found[goal]) for goal in Goal
    }
    return SessionPlan(schedules, impossible, capped)


def _by_name(platform: Platform) -> str:
    return platform.name


def _compared(found: dict[Goal, list[Fewest]]) -> dict[Goal, list[Fewest]]:
    """Return what was found, where a checked schedule of no more passes stands for one that is only known."""
    known, checkable = [], []
    for loose, strict in zip(found[Goal.KNOWN], found[Goal.CHECKABLE], strict=True):
        is_as_short = len(strict.schedules[0]) <= len(loose.schedules[0])
        known.append(Fewest(strict.schedules if is_as_short else loose.schedules, loose.least))
        checkable.append(Fewest(strict.schedules, max(strict.least, loose.least)))
    return {Goal.KNOWN: known, Goal.CHECKABLE: checkable}


def _parts(ways: Iterable[Standing], targets: Sequence[Target], *, whole: bool) -> Iterator[_Part]:
    """Yield each part with its finest ways to stand; ways that read the same are one choice."""
    alike: dict[frozenset[frozenset[str]], list[Standing]] = defaultdict(list)
    for way in ways:
        alike[frozenset(wheels for _, wheels in way.rows)].append(way)
    for readings in _tied(list(alike)):
        unknowns = sorted(frozenset().union(*(wheels for each in readings for wheels in each)))
        sums = [{wheel: weight for wheel, weight in each.terms.items() if wheel in unknowns} for each in targets]
        sums = [each for place, each in enumerate(sums) if each and each not in sums[:place]]
        if not sums:
            continue
        bit = {wheel: 1 << place for place, wheel in enumerate(unknowns)}
        masks = [frozenset(sum(bit[wheel] for wheel in wheels) for wheels in each) for each in readings]
        finest = undominated(masks)
        most = max(len(masks[place]) for place in finest)
        choices = np.zeros((len(finest), most, len(unknowns)))
        for number, place in enumerate(finest):
            for row, mask in enumerate(sorted(masks[place])):
                choices[number, row] = [mask >> column & 1 for column in range(len(unknowns))]
        wanted = np.array([[each.get(wheel, 0.0) for wheel in unknowns] for each in sums])
        apart = _apart(choices, wanted)
        yield _Part(
            tuple(tuple(sorted(alike[readings[place]], key=_first_choice)) for place in finest),
            choices[:, :, apart],
            tuple(sums),
            wanted[:, apart],
            whole,
        )


def _apart(choices: Matrix, wanted: Matrix) -> list[int]:
    """Return one of each set of unknowns that are always read, and wanted, together."""
    together = np.vstack([choices.reshape(-1, choices.shape[2]), wanted])
    return sorted(np.unique(together, axis=1, return_index=True)[1].tolist())


def _tied(readings: Sequence[frozenset[frozenset[str]]]) -> list[list[frozenset[frozenset[str]]]]:
    """Return sets of readings by the wheels that they, or others between them, share."""
    groups: list[tuple[frozenset[str], list[frozenset[frozenset[str]]]]] = []
    for each in readings:
        wheels: frozenset[str] = frozenset().union(*each)
        own = [each]
        apart = []
        for group in groups:
            if group[0].isdisjoint(wheels):
                apart.append(group)
            else:
                wheels, own = group[0] | wheels, group[1] + own
        groups = [*apart, (wheels, own)]
    return [own for _, own in groups]


def _first_choice(way: Standing) -> tuple[bool, float, list[str]]:
    return way.against, -way.clearance_m, [platform.name for platform, _ in way.rows]


def _schedule(
    doubts: Doubts, trains: Sequence[Train], targets: Sequence[Target], parts: Sequence[_Part], found: Sequence[Fewest]
) -> Schedule:
    compared = max(MOST_COMPARED // len(parts), LEAST_COMPARED)
    passes = [
        way for part, each in zip(parts, found, strict=True) for way in _least_doubtful(doubts, part, each, compared)
    ]
    order = {train: number for number, train in enumerate(trains)}
    laterals = list(Lateral)
    passes.sort(key=lambda way: (order[way.train], way.against, laterals.index(way.lateral)))
    question = doubts.question
    expected = {wheel: question.expected_kg[wheel.partition("/")[2]] for target in targets for wheel in target.terms}
    sums = [target.terms for target in targets]
    return Schedule(
        tuple(passes),
        tuple(expected_readings(question, way) for way in passes),
        question.site.price(len(passes)),
        sum(each.least for each in found),
        tuple(
            PlannedLoad(
                target, sum(weight * expected[wheel] for wheel, weight in target.terms.items()), u_kg, is_checked
            )
            for target, u_kg, is_checked in zip(
                targets, doubts.us_kg(passes, sums), doubts.are_checked(passes, sums), strict=True
            )
        ),
    )


def _least_doubtful(doubts: Doubts, part: _Part, found: Fewest, compared: int) -> tuple[Standing, ...]:
    """Return the passes of the schedule with the smallest largest doubt, each where that helps the most."""
    tried: dict[tuple[Standing, ...], tuple[float, float]] = {}

    def judged(passes: tuple[Standing, ...]) -> tuple[float, float]:
        if passes not in tried:
            u_kg = max(doubts.us_kg(passes, part.sums))
            tried[passes] = (round(u_kg / SAME_U_KG) * SAME_U_KG, -min(way.clearance_m for way in passes))
        return tried[passes]

    first = [_first_ways(part, schedule) for schedule in found.schedules[:compared]]
    best_number = min(range(len(first)), key=lambda number: judged(first[number]))
    best = first[best_number]
    for place, choice in enumerate(found.schedules[best_number]):
        for way in part.ways[choice]:
            if len(tried) >= 2 * compared:
                return best
            other = (*best[:place], way, *best[place + 1 :])
            best = min(best, other, key=judged)
    return best


def _first_ways(part: _Part, schedule: Sequence[int]) -> tuple[Standing, ...]:
    """Return the roomiest ways to stand of a schedule; a pass made again stands on other platforms if it can."""
    used: dict[int, int] = defaultdict(int)
    passes = []
    for choice in schedule:
        ways = part.ways[choice]
        passes.append(ways[used[choice] % len(ways)])
        used[choice] += 1
    return tuple(passes)
