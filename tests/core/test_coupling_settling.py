"""The pass that is named to settle a figure does settle it; where none is named, no stop on the scale would.

Stops are those that can be named: an axle of the van, the whole van, the camper's axle, in any state. Few readings are
tried by every pair of stops; more by the cases below. Figures by hand, as in `tests.coupled_yard`.
"""

from functools import cache
from itertools import combinations

import pytest

from axlewright.core.estimates import Estimate
from axlewright.core.rig import CouplingState
from axlewright.core.sessions.coupling import CoupledWeigh, Found, StatePass
from tests.coupled_yard import HITCHED, LEVELLED, SOLO, TRUE_LB, read, told

Stop = tuple[CouplingState, str]
STOPS: list[Stop] = [
    (state, what)
    for state in CouplingState
    for what in ("front", "rear", "van", "camper")
    if (state, what) != (SOLO, "camper")
]
FIGURES = ("coupling_load", "to_trailer", "bars_moment", "restored_share")


@cache
def weighed_at(*stops: Stop) -> CoupledWeigh:
    """Return what exact readings at some stops tell, each a pass of its own."""
    true_lb = {state: {**loads, "van": loads["front"] + loads["rear"]} for state, loads in TRUE_LB.items()}
    return told(
        [each for state, what in stops for each in read(state, {what: true_lb[state][what]}, f"{state} {what}")]
    )


def figure(stops: tuple[Stop, ...], name: str) -> Found | None:
    found: Found | None = getattr(weighed_at(*stops), name)
    return found


def is_known(found: Found | None) -> bool:
    return found is not None and isinstance(found.value, Estimate)


def stop_of(settling: StatePass) -> Stop:
    return settling.state, settling.vehicle if settling.axle is None else settling.axle.removeprefix("van.")


def wrong(stops: tuple[Stop, ...], name: str) -> str | None:
    """Return in words what is wrong with what would settle a figure; None if nothing is."""
    found = figure(stops, name)
    if found is None or is_known(found):
        return None
    if found.settled_by is not None:
        named = stop_of(found.settled_by)
        return None if is_known(figure((*stops, named), name)) else f"{stops}: {named} does not tell it"
    telling = [stop for stop in STOPS if stop not in stops and is_known(figure((*stops, stop), name))]
    return f"{stops}: none is named, {telling} tell it" if telling else None


@pytest.mark.parametrize("name", FIGURES)
def test_after_one_or_two_stops_the_one_more_that_tells_is_named_and_no_other(name: str) -> None:
    cases = [*combinations(STOPS, 1), *combinations(STOPS, 2)]
    assert [words for stops in cases if (words := wrong(stops, name))] == []


@pytest.mark.parametrize(
    ("name", "stops"),
    [
        # The van as a whole with bars: its front axle, or its rear, then tells the moment about the ball.
        ("bars_moment", ((SOLO, "front"), (SOLO, "rear"), (LEVELLED, "van"))),
        ("bars_moment", ((SOLO, "van"), (LEVELLED, "front"), (LEVELLED, "rear"))),
        # The front axle was read alone in no state, or in one: its share is two passes away, or more.
        ("restored_share", ((SOLO, "van"), (HITCHED, "van"), (HITCHED, "camper"), (LEVELLED, "camper"))),
        ("restored_share", ((SOLO, "van"), (HITCHED, "van"), (HITCHED, "camper"), (LEVELLED, "van"))),
        ("restored_share", ((SOLO, "front"), (SOLO, "rear"), (HITCHED, "van"), (LEVELLED, "van"))),
        # In two: one away.
        ("restored_share", ((SOLO, "front"), (HITCHED, "front"), (LEVELLED, "van"))),
    ],
)
def test_after_several_stops_the_one_more_that_tells_is_named_and_no_other(name: str, stops: tuple[Stop, ...]) -> None:
    assert wrong(stops, name) is None
