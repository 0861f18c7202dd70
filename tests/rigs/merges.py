"""Consistent questions about several weighs of one rig as one: mostly in the same declared state of load."""

from typing import Any

from hypothesis import strategies as st

from tests.rigs.aboard import coupling_loads
from tests.rigs.coupled import coupled_rigs, coupled_weighs, with_torque
from tests.rigs.quantities import Json, mass, written
from tests.rigs.requests import surroundings, unit_choices
from tests.rigs.spots import Draft, names
from tests.rigs.tickets import carried, sessions
from tests.rigs.vehicles import DraftedRig, drafted_rigs

GUEST_KG = 80


def _aboard(declared: Draft, places: list[str], mass_kg: float) -> Draft:
    """Return a declared state of load with somebody in it, so that it does declare something."""
    return {**declared, "pets": [{"mass": mass(mass_kg), "place": (places or ["driver_seat"])[0]}]}


@st.composite
def _sessions(draw: st.DrawFn, rig: DraftedRig, is_coupled: bool, mass_unit: str) -> list[Draft]:
    places = names({"rig": rig.draft}, "places")
    declared = _aboard(draw(carried(rig)), places, GUEST_KG)
    weighed: list[Draft] = []
    for number in range(draw(st.integers(2, 3))):
        weigh = draw(coupled_weighs(rig, mass_unit) if is_coupled else sessions(rig, mass_unit))
        is_other = not draw(st.integers(0, 7))
        other = draw(st.sampled_from([None, _aboard(declared, places, GUEST_KG / 2)]))
        weigh["carried"] = other if is_other else declared
        if weigh in weighed or weigh.get("ticket") is not None:
            weigh["ticket"] = f"ticket {number}"  # the same one twice is no merge
        weighed.append(weigh)
    return weighed


@st.composite
def merges(draw: st.DrawFn) -> Json:
    """Draw a whole request as JSON values."""
    asked, units = draw(unit_choices())
    is_coupled = draw(st.booleans())
    rig = draw(coupled_rigs() if is_coupled else drafted_rigs())
    draft: dict[str, Any] = {"rig": rig.draft, "sessions": draw(_sessions(rig, is_coupled, units["mass"]))}
    around = draw(surroundings(rig))
    around.pop("conditions", None)
    draft |= around
    draft["coupling_loads"] = draw(coupling_loads(draft)) if draw(st.booleans()) else None
    return {"units": with_torque(asked, draft), **written(draft, units)}


MERGES: st.SearchStrategy[Any] = merges()
