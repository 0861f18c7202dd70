"""Consistent questions for passes: rigs alone and in pairs, sites with platforms, with pads, or both."""

from typing import Any

from hypothesis import strategies as st

from tests.rigs.aboard import towing
from tests.rigs.quantities import Json, between, length, mass, written
from tests.rigs.requests import unit_choices
from tests.rigs.spots import Draft
from tests.rigs.vehicles import drafted_rigs

MOST_SEARCH_S = 0.2
"""Longest search that is asked for: a campaign asks often."""
DIVISIONS_KG = (5, 10, 20)


@st.composite
def _platforms(draw: st.DrawFn) -> list[Draft]:
    lengths_m = draw(st.lists(between(0.4, 22), max_size=4))
    return [
        {
            "name": f"section {place} №",
            "length": length(length_m),
            "width": length(draw(between(2.2, 4))),
            "gap_to_next": length(draw(between(0, 0.5))) if place < len(lengths_m) - 1 else None,
            "division": mass(draw(st.sampled_from(DIVISIONS_KG))) if draw(st.booleans()) else None,
        }
        for place, length_m in enumerate(lengths_m)
    ]


@st.composite
def _site(draw: st.DrawFn) -> Draft:
    platforms = draw(_platforms())
    has_class = draw(st.booleans())
    pads = {"count": draw(st.integers(1, 6)), "division": mass(5) if draw(st.booleans()) else None}
    return {
        "division": mass(draw(st.sampled_from(DIVISIONS_KG))),
        "accuracy_class": draw(st.sampled_from(["III L", "III", "OIML III", "IIII"])) if has_class else None,
        "tolerance": None if has_class else {"share": draw(between(0, 0.02)), "least": mass(draw(between(0, 20)))},
        "platforms": platforms,
        "guard_rails": draw(st.sampled_from(["none", "left", "right", "both"])),
        "approach": {"before": length(draw(between(0, 30))), "after": length(draw(between(0, 30)))},
        "whole_axles_only": draw(st.sampled_from([None, False, True])),
        "one_way": draw(st.sampled_from([None, False, True])),
        "pads": pads if not platforms or draw(st.booleans()) else None,
        "prices": {"first": draw(between(0, 30)), "further": draw(between(0, 9))} if draw(st.booleans()) else None,
    }


@st.composite
def _wanted(draw: st.DrawFn, rig: Draft) -> Draft:
    """Draw what is wanted; a tongue weight where there is one."""
    is_hitched = any(each["kind"] in ("ball", "fifth_wheel") for each in rig.get("couplings") or [])
    kinds = ["wheel_ends", "axles", *(["tongue_weight"] if is_hitched else [])]
    names = [vehicle["name"] for vehicle in rig["vehicles"]]
    return {
        "loads": draw(st.lists(st.sampled_from(kinds), min_size=1, max_size=3, unique=True)),
        "vehicles": draw(st.none() | st.lists(st.sampled_from(names), min_size=1, max_size=4, unique=True)),
        "state": draw(st.sampled_from([None, "solo", "hitched"])) if is_hitched else None,
    }


@st.composite
def plans(draw: st.DrawFn) -> Json:
    """Draw a whole request as JSON values."""
    asked, units = draw(unit_choices())
    is_pair = draw(st.booleans())
    drafted = draw(drafted_rigs(is_pair))
    rig: dict[str, Any] = drafted.draft
    if is_pair:
        rig = draw(towing({"rig": rig}))["rig"]
        tow = rig["vehicles"][0]
        tow["hitch"] |= {"aft": length(tow["axles"][-1]["aft"].si + draw(between(-1, 2)))}
    ends = drafted.wheel_ends[: draw(st.integers(0, len(drafted.wheel_ends)))]
    draft = {
        "rig": rig,
        "site": draw(_site()),
        "wanted": draw(_wanted(rig)),
        "expected": [{"wheel_end": end.name, "load": mass(sum(end.loads_kg))} for end in ends] or None,
        "time_limit": draw(between(0.1, MOST_SEARCH_S)),
    }
    return {"units": asked, **written(draft, units)}


PLANS: st.SearchStrategy[Any] = plans()
