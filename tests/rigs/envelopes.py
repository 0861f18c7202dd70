"""Consistent questions about a whole trip: what may vary aboard a rig that can stand, and tanks that are linked."""

from typing import Any

from hypothesis import strategies as st

from tests.rigs.aboard import is_declared, questions
from tests.rigs.quantities import Quantity, between, mass
from tests.rigs.spots import Draft, names, spots

LEAST_BEGUN = 0.5
"""Linked tanks begin at this level at least, and need not hold more than this: so there is always enough."""


@st.composite
def _may_be_aboard(draw: st.DrawFn, draft: Draft) -> Draft:
    return {
        "what": draw(st.sampled_from([None, "canoe", "guest № 2"])),
        "mass": mass(draw(between(1, 250))),
        "standard_uncertainty": mass(draw(between(0, 20))) if draw(st.booleans()) else None,
        "place": draw(spots(draft)),
        "aboard_when_weighed": draw(st.sampled_from([None, False, True])),
    }


@st.composite
def _tank(draw: st.DrawFn, name: str, is_declared: bool) -> Draft:
    least, begun = draw(between(0, LEAST_BEGUN)), draw(between(LEAST_BEGUN, 1))
    return {
        "name": name,
        "least": least if draw(st.booleans()) else None,
        "most": draw(between(begun, 1)) if draw(st.booleans()) else None,
        "weighed_level": None if is_declared else draw(between(LEAST_BEGUN, 1)),
        "standard_uncertainty": draw(st.sampled_from([None, 0, 0.1])),
        "start_level": begun if is_declared or draw(st.booleans()) else None,
    }


@st.composite
def trips(draw: st.DrawFn, draft: Draft) -> Draft:
    """Draw what may vary on a trip."""
    tanks = names(draft, "tanks")
    waters = [name for name in tanks if name.endswith("water")]
    linked = len(waters) > 1 and draw(st.booleans())
    return {
        "varies": {
            "people": draw(st.lists(_may_be_aboard(draft), max_size=2)) or None,
            "cargo": draw(st.lists(_may_be_aboard(draft), min_size=1, max_size=3)),
            "tanks": [draw(_tank(name, is_declared(draft, name))) for name in tanks] or None,
            "fluid_temperature": Quantity("temperature", draw(between(276, 310))) if draw(st.booleans()) else None,
        },
        "links": [{"tanks": waters}] if linked else None,
    }


ENVELOPES: st.SearchStrategy[Any] = questions(trips)
