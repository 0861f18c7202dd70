"""Where something may be in a drafted rig: its places and tanks by name, and points of its vehicles."""

from typing import Any

from hypothesis import strategies as st

from tests.rigs.quantities import between, length

Draft = dict[str, Any]


def names(draft: Draft, kind: str) -> list[str]:
    """Return the full names of the tanks or places of a drafted rig."""
    vehicles = draft["rig"]["vehicles"]
    return [
        each["name"] if len(vehicles) == 1 else f"{vehicle['name']}.{each['name']}"
        for vehicle in vehicles
        for each in vehicle.get(kind) or []
    ]


@st.composite
def points(draw: st.DrawFn, draft: Draft) -> Draft:
    """Draw a point of one of the vehicles of a drafted rig."""
    vehicle = draw(st.sampled_from([each["name"] for each in draft["rig"]["vehicles"]]))
    return {"vehicle": vehicle, "aft": length(draw(between(-1, 9))), "right": length(draw(between(-1.2, 1.2)))}


@st.composite
def spots(draw: st.DrawFn, draft: Draft) -> Any:
    """Draw a place of the rig, or a point of one of its vehicles."""
    places = names(draft, "places")
    return draw(st.sampled_from(places)) if places and draw(st.booleans()) else draw(points(draft))
