"""Consistent questions about loads before they happen: a rig that can stand, and what changes aboard it."""

from collections.abc import Callable

from hypothesis import strategies as st

from tests.rigs.quantities import Json, Quantity, between, length, mass, written
from tests.rigs.requests import drafts, unit_choices
from tests.rigs.spots import Draft, names, spots
from tests.rigs.vehicles import TRAILER_KINDS


def is_declared(draft: Draft, tank: str) -> bool:
    """Return whether the session of a draft declares the level of a tank by a name that only this one has."""
    carried = (draft.get("session") or {}).get("carried") or {}
    own_name = tank.rpartition(".")[2]
    owners = [name for name in names(draft, "tanks") if name.rpartition(".")[2] == own_name]
    return len(owners) == 1 and any(each["name"] == own_name for each in carried.get("tanks") or [])


@st.composite
def moves(draw: st.DrawFn, draft: Draft) -> Draft:
    """Draw a mass that comes, leaves or goes elsewhere."""
    comes, goes = draw(st.sampled_from([(True, False), (False, True), (True, True)]))
    return {
        "what": draw(st.sampled_from([None, "crate", "guest № 2"])),
        "mass": mass(draw(between(1, 250))),
        "standard_uncertainty": mass(draw(between(0, 20))) if draw(st.booleans()) else None,
        "comes_from": draw(spots(draft)) if comes else None,
        "goes_to": draw(spots(draft)) if goes else None,
    }


@st.composite
def changes(draw: st.DrawFn, draft: Draft) -> Draft:
    """Draw what will be otherwise than at the weigh."""
    tanks = names(draft, "tanks")
    return {
        "people": draw(st.lists(moves(draft), max_size=2)) or None,
        "cargo": draw(st.lists(moves(draft), min_size=1, max_size=3)),
        "tanks": [
            {
                "name": name,
                "level": draw(between(0, 1)),
                "weighed_level": None if is_declared(draft, name) else draw(between(0, 1)),
                "standard_uncertainty": draw(st.sampled_from([None, 0, 0.1])),
            }
            for name in tanks
        ]
        or None,
        "fluid_temperature": Quantity("temperature", draw(between(276, 310))) if draw(st.booleans()) else None,
    }


def standing(draft: Draft) -> Draft:
    """Return a draft whose motor vehicles stand on two supports at least."""
    for vehicle in draft["rig"]["vehicles"]:
        if vehicle["kind"] not in TRAILER_KINDS and len(vehicle["axles"]) == 2:
            vehicle["groups"] = None
    return draft


@st.composite
def coupling_loads(draw: st.DrawFn, draft: Draft) -> list[Draft] | None:
    """Draw tongue or pin weights of some of the trailers of a rig."""
    trailers = [each["name"] for each in draft["rig"]["vehicles"] if each["kind"] in TRAILER_KINDS]
    loads = [
        {
            "vehicle": name,
            "load": mass(draw(between(50, 900))),
            "standard_uncertainty": mass(draw(between(0, 15))) if draw(st.booleans()) else None,
        }
        for name in trailers
        if draw(st.booleans())
    ]
    return loads or None


@st.composite
def questions(draw: st.DrawFn, more: Callable[[Draft], st.SearchStrategy[Draft]], is_pair: bool = False) -> Json:
    """Draw a whole request of a rig that can stand, with what a question adds to it, as JSON values."""
    asked, units = draw(unit_choices())
    if isinstance(asked, dict):
        asked = {**asked, "torque": "N_m"}
    draft = standing(draw(drafts(units["mass"], is_pair)))
    draft["coupling_loads"] = draw(coupling_loads(draft))
    draft["policy"] = {**(draft.get("policy") or {}), "interstate_limits": draw(st.booleans())}
    return {"units": asked, **written({**draft, **draw(more(draft))}, units)}


FORECASTS = questions(lambda draft: changes(draft).map(lambda drawn: {"changes": drawn}))


@st.composite
def towing(draw: st.DrawFn, draft: Draft) -> Draft:
    """Draw what couples a pair of vehicles, and a hitch where there is none."""
    vehicles = draft["rig"]["vehicles"]
    towed = vehicles[-1]
    fitting = {"fifth_wheel": "fifth_wheel", "towed_car": "towbar"}.get(towed["kind"], "ball")
    vehicles[0]["hitch"] = vehicles[0].get("hitch") or {
        "aft": length(draw(between(2, 9))),
        "up": length(0.5),
        "max_vertical": mass(draw(between(100, 900))),
        "max_towed": mass(draw(between(900, 9000))),
    }
    coupling = {"tow": vehicles[0]["name"], "towed": towed["name"], "kind": fitting}
    return {"rig": {**draft["rig"], "couplings": [coupling]}, "restored_share": draw(between(0, 1))}


TOWING = questions(towing, is_pair=True)
