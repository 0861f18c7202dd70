"""Consistent questions about what to move: places in every vehicle of a rig that can stand, and items in them."""

from typing import Any

from hypothesis import strategies as st

from tests.rigs.aboard import questions
from tests.rigs.quantities import between, length, mass
from tests.rigs.spots import Draft, names

MOST_SEARCH_S = 0.3
"""Longest search that is asked for: a campaign asks often."""


@st.composite
def _with_places(draw: st.DrawFn, draft: Draft) -> Draft:
    """Draw two more places in the first vehicle of a drafted rig."""
    more = [
        {"name": name, "aft": length(draw(between(0, 8))), "right": length(draw(between(-1.2, 1.2))), "capacity": most}
        for name, most in (("bay_one", mass(draw(between(20, 400)))), ("bay_two", None))
    ]
    first, *others = draft["rig"]["vehicles"]
    first = {**first, "places": [*(first.get("places") or []), *more]}
    return {**draft, "rig": {**draft["rig"], "vehicles": [first, *others]}}


@st.composite
def _item(draw: st.DrawFn, name: str, places: list[str]) -> Draft:
    is_fixed = draw(st.sampled_from([None, False, True]))
    targets = None if is_fixed else draw(st.none() | st.lists(st.sampled_from(places), max_size=3, unique=True))
    return {
        "name": name,
        "mass": mass(draw(between(1, 300))),
        "standard_uncertainty": mass(draw(between(0, 20))) if draw(st.booleans()) else None,
        "place": draw(st.sampled_from(places)),
        "may_go_to": targets,
        "fixed": is_fixed,
    }


@st.composite
def shifts(draw: st.DrawFn, draft: Draft) -> Draft:
    """Draw what may be moved, with the places that it is in."""
    with_places = draw(_with_places(draft))
    places = names(with_places, "places")
    called = ["chest", "batteries", "kayak № 2", "spare wheel"][: draw(st.integers(1, 4))]
    return {
        "rig": with_places["rig"],
        "items": [draw(_item(name, places)) for name in called],
        "together": [called[:2]] if len(called) > 1 and draw(st.booleans()) else None,
        "apart": [called[2:]] if len(called) > 3 and draw(st.booleans()) else None,
        "even_sides": draw(st.sampled_from([None, False, True])),
        "conditions": None,
        "time_limit": draw(between(0.1, MOST_SEARCH_S)),
    }


SHIFTS: st.SearchStrategy[Any] = questions(shifts)
