"""Consistent questions about two weighs with a shift between them."""

from typing import Any

from hypothesis import strategies as st

from tests.rigs.aboard import moves, standing
from tests.rigs.quantities import Json, between, length, mass, written
from tests.rigs.requests import drafts, unit_choices
from tests.rigs.spots import Draft

WEIGHED = ("session", "loads")


@st.composite
def known(draw: st.DrawFn, draft: Draft) -> tuple[Draft, Draft, list[Draft]]:
    """Draw two weighs of every wheel end, and a mass put amid the axles, to one side, between them."""
    vehicles = draft["rig"]["vehicles"]
    vehicle = vehicles[0]
    axles = vehicle["axles"]
    prefix = f"{vehicle['name']}." if len(vehicles) > 1 else ""
    mass_kg, right_m = draw(between(300, 900)), draw(between(-1.1, 1.1))
    doubt_kg = draw(between(0, 20))
    before, after = [], []
    for axle in axles:
        for side, toward in (("left", -1), ("right", 1)):
            load_kg = draw(between(300, 2500))
            own_kg = mass_kg / len(axles) * (0.5 + toward * right_m / axle["track"].si)
            error_kg = doubt_kg * draw(between(-1.5, 1.5))
            for weigh, at_kg in ((before, load_kg), (after, max(load_kg + own_kg + error_kg, 1.0))):
                ends = [f"{prefix}{axle['name']}.{side}"]
                weigh.append({"wheel_ends": ends, "load": mass(at_kg), "standard_uncertainty": mass(doubt_kg)})
    middle_m = sum(axle["aft"].si for axle in axles) / len(axles)
    spot = {"vehicle": vehicle["name"], "aft": length(middle_m), "right": length(right_m)}
    return {"loads": before}, {"loads": after}, [{"mass": mass(mass_kg), "goes_to": spot}]


@st.composite
def calibrations(draw: st.DrawFn) -> Json:
    """Draw a whole request as JSON values: of known wheel ends, or of two draws of whatever weighs."""
    asked, units = draw(unit_choices())
    draft: dict[str, Any] = standing(draw(drafts(units["mass"])))
    if draw(st.integers(0, 3)):
        before, after, moved = draw(known(draft))
    else:
        before = {name: draft[name] for name in WEIGHED if name in draft}
        after, moved = before, draw(st.lists(moves(draft), min_size=1, max_size=3))
    body = {
        "rig": draft["rig"],
        "vehicle": draft["rig"]["vehicles"][0]["name"],
        "before": before,
        "after": after,
        "moved": moved,
        "policy": draft.get("policy"),
    }
    return {"units": asked, **written(body, units)}


REQUESTS = calibrations()
