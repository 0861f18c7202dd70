"""Consistent questions about headroom and relief: places and points of a rig that can stand, and what may come off."""

from typing import Any

from hypothesis import strategies as st

from tests.rigs.aboard import questions
from tests.rigs.quantities import Quantity, between, mass
from tests.rigs.spots import Draft, names, points, spots


@st.composite
def _removable(draw: st.DrawFn, draft: Draft, number: int) -> Draft:
    tanks = names(draft, "tanks")
    is_tank = bool(tanks) and draw(st.booleans())
    return {
        "name": f"thing № {number}",
        "place": None if is_tank else draw(spots(draft)),
        "tank": draw(st.sampled_from(tanks)) if is_tank else None,
        "most": mass(draw(between(1, 400))) if draw(st.booleans()) else None,
    }


@st.composite
def headrooms(draw: st.DrawFn, draft: Draft) -> Draft:
    """Draw where more may go, and what may come off."""
    places = names(draft, "places")
    count = draw(st.sampled_from([None, 0, 1, 3]))
    return {
        "places": draw(st.sampled_from([None, places, places[:1]])),
        "points": draw(st.lists(points(draft), min_size=1, max_size=2)),
        "removable": None if count is None else [draw(_removable(draft, number)) for number in range(count)],
        "conditions": None,
        "fluid_temperature": Quantity("temperature", draw(between(276, 310))) if draw(st.booleans()) else None,
    }


HEADROOMS: st.SearchStrategy[Any] = questions(headrooms)
