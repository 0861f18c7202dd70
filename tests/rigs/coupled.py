"""Requests of rigs that were weighed hitched: a towing vehicle and what it tows, in some of their coupling states."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from hypothesis import strategies as st

from tests.rigs.aboard import coupling_loads, standing
from tests.rigs.quantities import Json, between, kinds_in, length, mass, written
from tests.rigs.requests import surroundings, unit_choices
from tests.rigs.spots import Draft
from tests.rigs.tickets import SCHEDULES, Schedule, Stop, axles_only, stops, weighs
from tests.rigs.vehicles import DraftedRig, WheelEndTruth, drafted_rigs

LEAST_END_KG = 50.0
"""No wheel end is lifted off the ground."""
KINDS = {"travel_trailer": ("ball",), "fifth_wheel": ("fifth_wheel",), "trailer": ("ball", "fifth_wheel")}
"""How a trailer is coupled; a car on a bar or a dolly."""
MANY = (axles_only, axles_only, axles_only, *SCHEDULES, None)


@dataclass(frozen=True)
class Pull:
    """What a coupling does to both vehicles in one state: a load [kg] at the hitch, a moment [kg m] of the bars."""

    load_kg: float
    moment_kg_m: float = 0.0


@st.composite
def coupled_rigs(draw: st.DrawFn) -> DraftedRig:
    """Draw two vehicles that can stand, the first of which tows the second."""
    rig = draw(drafted_rigs(is_pair=True, most_axles=3))
    vehicles = standing({"rig": rig.draft})["rig"]["vehicles"]
    tow, towed = vehicles
    kind = draw(st.sampled_from(KINDS.get(towed["kind"], ("towbar", "dolly"))))
    behind_m = draw(between(-0.6, 0.3) if kind == "fifth_wheel" else between(0.6, 2.5))
    tow["hitch"] = {
        "up": length(0.5),
        "max_vertical": mass(draw(between(100, 900))),
        "max_vertical_levelled": mass(draw(between(200, 1500))) if draw(st.booleans()) else None,
        "max_towed": mass(draw(between(900, 9000))),
        "max_towed_levelled": mass(draw(between(900, 9000))) if draw(st.booleans()) else None,
        "aft": length(tow["axles"][-1]["aft"].si + behind_m),
    }
    return replace(rig, draft={**rig.draft, "couplings": [{"tow": tow["name"], "towed": towed["name"], "kind": kind}]})


def _pulled(rig: DraftedRig, pull: Pull) -> list[WheelEndTruth]:
    """Return the wheel ends of a rig with a pull on its coupling: rigid vehicles on axles of equal stiffness."""
    tow, towed = rig.draft["vehicles"]
    places_m = [axle["aft"].si for axle in tow["axles"]]
    middle_m = sum(places_m) / len(places_m)
    spread_m2 = sum((place_m - middle_m) ** 2 for place_m in places_m)
    moment_kg_m = pull.load_kg * (tow["hitch"]["aft"].si - middle_m) - pull.moment_kg_m
    more_kg = {
        f"{tow['name']}.{axle['name']}": pull.load_kg / len(places_m) + (place_m - middle_m) * moment_kg_m / spread_m2
        for axle, place_m in zip(tow["axles"], places_m, strict=True)
    }
    behind_m = sum(axle["aft"].si for axle in towed["axles"]) / len(towed["axles"])
    given_back_kg = pull.moment_kg_m / behind_m if pull.moment_kg_m else 0.0
    more_kg |= {f"{towed['name']}.{axle['name']}": given_back_kg / len(towed["axles"]) for axle in towed["axles"]}
    return [_with_more(end, more_kg[end.axle] / 2) for end in rig.wheel_ends]


def _with_more(end: WheelEndTruth, more_kg: float) -> WheelEndTruth:
    before_kg = sum(end.loads_kg)
    share = max(before_kg + more_kg, LEAST_END_KG) / before_kg
    return replace(end, loads_kg=tuple(load_kg * share for load_kg in end.loads_kg))


@st.composite
def _pulls(draw: st.DrawFn, rig: DraftedRig) -> dict[str, Pull]:
    """Draw what the coupling does in each state in which it can be; a bar or a dolly puts no load on it."""
    (coupling,) = rig.draft["couplings"]
    towed = rig.draft["vehicles"][1]
    if coupling["kind"] in ("towbar", "dolly"):
        return {"hitched": Pull(0.0)}
    on_axles_kg = sum(sum(end.loads_kg) for end in rig.wheel_ends if end.vehicle == towed["name"])
    load_kg = on_axles_kg * draw(between(0.02, 0.3))
    if coupling["kind"] == "fifth_wheel":
        return {"hitched": Pull(load_kg)}
    behind_m = sum(axle["aft"].si for axle in towed["axles"]) / len(towed["axles"])
    moment_kg_m = load_kg * draw(between(0, 1.5))
    levelled = Pull(load_kg - moment_kg_m / behind_m, moment_kg_m)
    return {"hitched": Pull(load_kg), "hitched_levelled": levelled}


@st.composite
def _driven(draw: st.DrawFn, rig: DraftedRig) -> list[Stop]:
    """Draw passes in some of the states, one of them hitched; of each state some may be missing."""
    pulls = draw(_pulls(rig))
    hitched = draw(st.lists(st.sampled_from(sorted(pulls)), min_size=1, unique=True))
    driven = [stop for state in hitched for stop in draw(_some(_pulled(rig, pulls[state]), state, state))]
    for vehicle in draw(st.sampled_from([(), (0,), (0,), (0, 1)])):
        name = rig.draft["vehicles"][vehicle]["name"]
        ends = [end for end in rig.wheel_ends if end.vehicle == name]
        driven += draw(_some(ends, f"{name} alone", "solo"))
    return driven


@st.composite
def _some(draw: st.DrawFn, ends: Sequence[WheelEndTruth], whose: str, state: str) -> list[Stop]:
    schedule: Schedule | None = draw(st.sampled_from(MANY))
    made = draw(stops(ends, schedule, whose, state))
    return made if draw(st.integers(0, 3)) else made[: draw(st.integers(1, len(made)))]


@st.composite
def coupled_weighs(draw: st.DrawFn, rig: DraftedRig, mass_unit: str) -> Draft:
    """Draw a session of a coupled rig, some passes of which are hitched."""
    return draw(weighs(rig, draw(_driven(rig)), mass_unit))


def with_torque(asked: Json, draft: Draft) -> Json:
    """Return chosen units, with one of torque where levelling bars are tensioned."""
    return {**asked, "torque": "lbf_ft"} if isinstance(asked, dict) and "hitched_levelled" in str(draft) else asked


@st.composite
def coupled_requests(draw: st.DrawFn) -> Json:
    """Draw a consistent request of a rig that was weighed hitched, as JSON values."""
    asked, units = draw(unit_choices())
    rig = draw(coupled_rigs())
    draft: dict[str, Any] = {"rig": rig.draft, "session": draw(coupled_weighs(rig, units["mass"]))}
    draft |= draw(surroundings(rig))
    draft["coupling_loads"] = draw(coupling_loads(draft)) if draw(st.booleans()) else None
    if isinstance(asked, dict) and draw(st.booleans()):
        asked = {kind: unit for kind, unit in asked.items() if kind in kinds_in(draft)}
    return {"units": with_torque(asked, draft), **written(draft, units)}
