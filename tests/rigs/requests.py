"""Whole requests for an assessment."""

from typing import Any

from hypothesis import strategies as st

from tests.rigs.quantities import CHOICES, METRIC, US, Json, Quantity, between, kinds_in, mass, pressure, written
from tests.rigs.tickets import known_loads, sessions
from tests.rigs.vehicles import DraftedRig, drafted_rigs


@st.composite
def _conditions(draw: st.DrawFn) -> dict[str, Any]:
    fill_k = draw(between(263, 318))
    fill = {
        "tire_temperature": Quantity("temperature", fill_k),
        "altitude": Quantity("altitude", draw(between(-80, 2500))),
        "ambient_temperature": Quantity("temperature", fill_k - 8) if draw(st.booleans()) else None,
    }
    coldest = {
        "ambient_temperature": Quantity("temperature", draw(between(240, 300))),
        "altitude": Quantity("altitude", draw(between(0, 3500))),
    }
    return {
        "fill": fill if draw(st.integers(0, 4)) else None,
        "coldest": coldest if draw(st.booleans()) else None,
    }


@st.composite
def _policy(draw: st.DrawFn) -> dict[str, Any]:
    policy = {
        "reserve_share": [0.0, 0.05, 0.2],
        "coverage_factor": [2, 1, 1.5, 3],
        "tight_share": [0.05, 0, 0.1],
        "label_floor": ["light_and_trailers", "always", "never"],
        "least_steering_share": [0.2, 0.25],
        "significance": [0.05, 0.01],
        "whole_axle_share": [0.001, 0],
        "hanging_side_share": [0.0025, 0, 0.01],
        "raised_pad_share": [0.02, 0.005],
    }
    chosen = draw(st.lists(st.sampled_from(sorted(policy)), max_size=4, unique=True))
    return {name: draw(st.sampled_from(policy[name])) for name in chosen}


@st.composite
def _tire_tables(draw: st.DrawFn, rig: DraftedRig) -> list[dict[str, Any]]:
    tire = draw(st.sampled_from(rig.tires))
    fitment = "dual" if tire.dual_kg and draw(st.booleans()) else "single"
    load_kg = (tire.dual_kg or 0) if fitment == "dual" else tire.single_kg
    count = draw(st.integers(1, 5))
    return [
        {
            "designation": tire.designation.split()[0] if draw(st.booleans()) else tire.designation,
            "load_range": tire.load_range if draw(st.booleans()) else None,
            "fitment": fitment,
            "rows": [
                {
                    "pressure": pressure(tire.pressure_pa * (1 - 0.08 * (count - 1 - row))),
                    "load": mass(load_kg * (1 - 0.07 * (count - 1 - row))),
                }
                for row in range(count)
            ],
            "source": "the maker's sheet",
            "edition": draw(st.sampled_from([None, "2025"])),
        }
    ]


@st.composite
def surroundings(draw: st.DrawFn, rig: DraftedRig) -> dict[str, Any]:
    """Draw what a request may tell beside the rig and what it weighs."""
    draft: dict[str, Any] = {}
    if draw(st.booleans()):
        draft["conditions"] = draw(_conditions())
    if draw(st.booleans()):
        draft["policy"] = draw(_policy())
    if draw(st.integers(0, 3)) == 3:
        draft["tire_tables"] = draw(_tire_tables(rig))
    return draft


@st.composite
def drafts(draw: st.DrawFn, mass_unit: str | None = None, is_pair: bool = False) -> dict[str, Any]:
    """Draw a whole request in SI, without units; its scale prints divisions of the given unit of mass."""
    rig = draw(drafted_rigs(is_pair))
    draft: dict[str, Any] = {"rig": rig.draft}
    if draw(st.integers(0, 3)):
        unit = mass_unit or draw(st.sampled_from(CHOICES["mass"]))
        draft["session"] = draw(sessions(rig, unit))
    else:
        draft["loads"] = draw(known_loads(rig))
    draft |= draw(surroundings(rig))
    return draft


@st.composite
def unit_choices(draw: st.DrawFn) -> tuple[Json, dict[str, str]]:
    """Draw `units` as a request writes it, and the unit that it means for each kind."""
    preset = draw(st.sampled_from(["us", "metric", None]))
    if preset:
        return preset, US if preset == "us" else METRIC
    chosen = {kind: draw(st.sampled_from(names)) for kind, names in CHOICES.items()}
    return chosen, chosen


@st.composite
def requests(draw: st.DrawFn) -> Json:
    """Draw a consistent request for an assessment as JSON values."""
    asked, units = draw(unit_choices())
    draft = draw(drafts(units["mass"]))
    if isinstance(asked, dict) and draw(st.booleans()):
        asked = {kind: unit for kind, unit in asked.items() if kind in kinds_in(draft)}
    return {"units": asked, **written(draft, units)}
