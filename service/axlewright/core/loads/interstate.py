"""The Federal limits of weight on the United States' Interstate System, for axles that stand in one line.

23 USC 127(a) and 23 CFR 658.5 and 658.17: most on a single axle, on a tandem, gross, and on any group of consecutive
axles by the bridge formula. The law gives all of them with enforcement tolerances included. It is a baseline: many
States have grandfather rights to more, permits allow more, and 23 CFR 658.5 leaves recreational vehicles under their
own power out of the commercial motor vehicles of that part.

Axles no more than 40 in apart are one single axle, and three inside 96 in a tandem (Federal Highway Administration,
questions and answers on 23 CFR 658.17). L goes to the nearest foot, as State law on the same formula has it (South
Dakota Codified Laws 32-22-16.1; the Administration's own guidance, from memory). An exact tie goes down, where printed
rules differ: for W as in the table of California's Assembly Bill 1953 of 2024 (67 Pennsylvania Code 185.3 goes up); for
L by judgement (Wisconsin Statutes 348.15(5m) go up).
"""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from math import ceil
from typing import Final, TypeAlias

from msgspec import Struct

from axlewright.core.findings import Finding, Severity
from axlewright.core.rig import Rig
from axlewright.core.units import FOOT_M, INCH_M, POUND_KG, RELATIVE_GUARD, exceeds

SINGLE_SPAN_M: Final = 40 * INCH_M
TANDEM_SPAN_M: Final = 96 * INCH_M
TWO_TANDEMS_SPAN_M: Final = 36 * FOOT_M
SINGLE_KG: Final = 20_000 * POUND_KG
TANDEM_KG: Final = 34_000 * POUND_KG
GROSS_KG: Final = 80_000 * POUND_KG
BRIDGE_STEP_LB: Final = 500
BRIDGE_AXLE_FT: Final = 12
BRIDGE_OFFSET_FT: Final = 36

PlacedAxle: TypeAlias = tuple[str, float, dict[str, float]]
"""An axle's name, its place [m] rearwards in the line, and the wheel ends whose sum it carries."""


class InterstateRule(StrEnum):
    """Which of the limits it is."""

    AXLE = "interstate_axle"
    TANDEM = "interstate_tandem"
    GROSS = "interstate_gross"
    BRIDGE_FORMULA = "bridge_formula"


class InterstateLimit(Struct, frozen=True):
    """The most [kg] that a sum of wheel ends may carry; ``subject`` names its axles."""

    rule: InterstateRule
    subject: str
    of: dict[str, float]
    most_kg: float


def interstate_limits_of(axles: Sequence[PlacedAxle]) -> Iterator[InterstateLimit]:
    """Yield every Interstate limit on axles in one line, front to back.

    A single axle or tandem is told once for the most axles that the law takes together. The bridge formula is told
    for every longer group; up to 96 in it gives what the law gives a tandem.
    """
    for single in _longest_runs(axles, SINGLE_SPAN_M):
        yield _limit(InterstateRule.AXLE, single, SINGLE_KG)
    for run in _longest_runs(axles, TANDEM_SPAN_M):
        if _is_tandem(run):
            yield _limit(InterstateRule.TANDEM, run, TANDEM_KG)
    yield _limit(InterstateRule.GROSS, axles, GROSS_KG)
    for first in range(len(axles)):
        for last in range(first + 1, len(axles)):
            group = axles[first : last + 1]
            if exceeds(_span_m(group), TANDEM_SPAN_M):
                yield _limit(InterstateRule.BRIDGE_FORMULA, group, _group_most_kg(group))


def interstate_findings(rig: Rig) -> Iterator[Finding]:
    """Yield what the limits leave open where they are judged for every vehicle by itself."""
    yield Finding("interstate_baseline", Severity.INFO, rig.name, {})
    if len(rig.vehicles) > 1 or rig.vehicles[0].is_trailer:
        yield Finding("interstate_each_vehicle", Severity.NOTICE, rig.name, {})


def bridge_formula_kg(length_m: float, axles: int) -> float:
    """Return the most [kg] on a group of consecutive axles: W = 500 (L N/(N - 1) + 12 N + 36), in lb and ft.

    Parameters
    ----------
    length_m
        L, from the first axle to the last [m]; taken to the nearest foot. Up to 96 in the answer is 34,000 lb.
    axles
        N, 2 or more.

    Notes
    -----
    W goes to the nearest 500 lb. The gross limit holds besides.

    >>> round(bridge_formula_kg(51 * FOOT_M, 5) / POUND_KG)
    80000
    """
    if not exceeds(length_m, TANDEM_SPAN_M):
        return TANDEM_KG
    length_ft = _nearest(length_m / FOOT_M)
    steps = length_ft * axles / (axles - 1) + BRIDGE_AXLE_FT * axles + BRIDGE_OFFSET_FT
    return _nearest(steps) * BRIDGE_STEP_LB * POUND_KG


def _nearest(value: float) -> int:
    """Return the nearest whole number, of two the lower."""
    return ceil(value - 1 / 2 - RELATIVE_GUARD * value)


def _group_most_kg(group: Sequence[PlacedAxle]) -> float:
    """Return what the bridge formula gives [kg], or two consecutive tandems where they reach far enough."""
    length_m = _span_m(group)
    most_kg = bridge_formula_kg(length_m, _count(group))
    if exceeds(TWO_TANDEMS_SPAN_M, length_m) or not _are_two_tandems(group):
        return most_kg
    return max(most_kg, 2 * TANDEM_KG)


def _count(group: Sequence[PlacedAxle]) -> int:
    """Return the number of axles, those that the law takes for one counted once."""
    count, front_m = 0, 0.0
    for _, aft_m, _ in group:
        if count == 0 or exceeds(aft_m - front_m, SINGLE_SPAN_M):
            count, front_m = count + 1, aft_m
    return count


def _are_two_tandems(group: Sequence[PlacedAxle]) -> bool:
    return any(_is_tandem(group[:place]) and _is_tandem(group[place:]) for place in range(1, len(group)))


def _is_tandem(group: Sequence[PlacedAxle]) -> bool:
    return exceeds(_span_m(group), SINGLE_SPAN_M) and not exceeds(_span_m(group), TANDEM_SPAN_M)


def _longest_runs(axles: Sequence[PlacedAxle], most_m: float) -> Iterator[Sequence[PlacedAxle]]:
    """Yield the runs of consecutive axles within a length that no longer one within it holds."""
    told = 0
    for first in range(len(axles)):
        end = first + 1
        while end < len(axles) and not exceeds(_span_m(axles[first : end + 1]), most_m):
            end += 1
        if end > told:
            yield axles[first:end]
            told = end


def _span_m(group: Sequence[PlacedAxle]) -> float:
    return group[-1][1] - group[0][1]


def _limit(rule: InterstateRule, group: Sequence[PlacedAxle], most_kg: float) -> InterstateLimit:
    names = [name for name, _, _ in group]
    of = {end: weight for _, _, sum_of in group for end, weight in sum_of.items()}
    subject = " + ".join(names) if len(names) <= 2 else f"{names[0]} to {names[-1]}"
    return InterstateLimit(rule, subject, of, most_kg)
