"""What is known of a rig's loads: readings from the true loads, with a scale's errors and divisions; or given loads."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from hypothesis import strategies as st

from axlewright.core.scales import ACCURACY_CLASSES
from tests.rigs.quantities import Quantity, between, mass, number_in, si_of
from tests.rigs.spots import spots
from tests.rigs.vehicles import DraftedRig, WheelEndTruth, can_stand

Standing = dict[str, list[tuple[str, float]]]
"""What stands in one pass: by platform, names of wheels with their true loads."""
Plan = list[tuple[str, Standing]]
"""Passes by name, in the order driven."""
Stop = tuple[str, Standing, str]
"""A pass: its name, what stands in it, the coupling state."""


def _whole(ends: Iterable[WheelEndTruth]) -> list[tuple[str, float]]:
    return [(end.name, sum(end.loads_kg)) for end in ends]


def _axles_of(ends: Sequence[WheelEndTruth]) -> list[list[WheelEndTruth]]:
    return [[end for end in ends if end.axle == axle] for axle in dict.fromkeys(end.axle for end in ends)]


def _on_platforms(axles: Sequence[Sequence[WheelEndTruth]]) -> Standing:
    """Stand the first axle on A, the last, or all that are towed, on C, the others on B: a scale of three sections."""
    standing: Standing = {}
    first, last = axles[0][0].vehicle, axles[-1][0].vehicle
    for place, axle in enumerate(axles):
        is_behind = place == len(axles) - 1 > 1 if first == last else axle[0].vehicle == last
        platform = "A" if place == 0 else "C" if is_behind else "B"
        standing.setdefault(platform, []).extend(_whole(axle))
    return standing


def _one_side(ends: Sequence[WheelEndTruth], side: str) -> list[WheelEndTruth]:
    return [end for end in ends if end.name.endswith(side)]


def _three_passes(ends: Sequence[WheelEndTruth]) -> Plan:
    sides = [(f"{side} wheels", _on_platforms(_axles_of(_one_side(ends, side)))) for side in ("right", "left")]
    return [*sides, ("axles", _on_platforms(_axles_of(ends)))]


def axles_only(ends: Sequence[WheelEndTruth]) -> Plan:
    return [("axles", _on_platforms(_axles_of(ends)))]


def _side_and_axles(ends: Sequence[WheelEndTruth]) -> Plan:
    return _three_passes(ends)[1:]


def _pad_each(ends: Sequence[WheelEndTruth]) -> Plan:
    return [("pads", {f"pad {end.name}": _whole([end]) for end in ends})]


def _axle_by_axle(ends: Sequence[WheelEndTruth]) -> Plan:
    passes: Plan = []
    for axle in _axles_of(ends):
        passes.append((f"{axle[0].axle} whole", {"A": _whole(axle)}))
        passes.append((f"{axle[1].axle} right", {"A": _whole(axle[1:])}))
    return passes


def _tires_apart(ends: Sequence[WheelEndTruth]) -> Plan:
    standing: Standing = {}
    for end in ends:
        tires = end.tires if len(end.loads_kg) == 2 else _whole([end])
        standing |= {f"pad {name}": [(name, load_kg)] for name, load_kg in tires}
    return [("tires apart", standing), ("axles", _on_platforms(_axles_of(ends)))]


Schedule = Callable[[Sequence[WheelEndTruth]], Plan]
SCHEDULES: tuple[Schedule, ...] = (_three_passes, axles_only, _side_and_axles, _pad_each, _axle_by_axle, _tires_apart)
MOST_READINGS_A_PASS = 16


@st.composite
def _scattered(draw: st.DrawFn, ends: Sequence[WheelEndTruth]) -> Plan:
    """Draw passes that no plan explains: any wheels on up to three platforms; seldom enough to know much."""
    passes: Plan = []
    for number in range(draw(st.integers(1, 4))):
        standing: Standing = {}
        for end in ends:
            platform = draw(st.sampled_from(["A", "B", "C", None]))
            if platform:
                standing.setdefault(platform, []).extend(_whole([end]))
        if standing:
            passes.append((f"stop {number}", standing))
    return passes or axles_only(ends)


@st.composite
def stops(
    draw: st.DrawFn, ends: Sequence[WheelEndTruth], schedule: Schedule | None, whose: str, state: str = "solo"
) -> list[Stop]:
    """Draw the passes of what stands on the scale together, by a schedule or by none."""
    planned = draw(_scattered(ends)) if schedule is None else schedule(ends)
    driven: list[Stop] = []
    for name, standing in planned:
        platforms = list(standing.items())
        for start in range(0, len(platforms), MOST_READINGS_A_PASS):
            part = dict(platforms[start : start + MOST_READINGS_A_PASS])
            driven.append((f"{whose}: {name} {start}", part, state))
    return driven


@st.composite
def _one_by_one(draw: st.DrawFn, rig: DraftedRig) -> list[Stop]:
    schedule = draw(st.sampled_from([*SCHEDULES, None]))
    driven: list[Stop] = []
    for vehicle in dict.fromkeys(end.vehicle for end in rig.wheel_ends):
        ends = [end for end in rig.wheel_ends if end.vehicle == vehicle]
        driven += draw(stops(ends, schedule, vehicle))
    return driven


@st.composite
def _slipped(draw: st.DrawFn, printed: float, division: float) -> float:
    """Draw a copy of a printed number with two neighbouring digits swapped, or a few divisions off."""
    digits = list(str(round(printed)))
    place = draw(st.integers(0, max(len(digits) - 2, 0)))
    if len(digits) > 1:
        digits[place : place + 2] = reversed(digits[place : place + 2])
    return float("".join(digits)) or printed + division


@st.composite
def _total(draw: st.DrawFn, readings: list[dict[str, Any]]) -> dict[str, Any] | None:
    """Draw the printed total of a pass, often none: the sum of its readings, seldom a tenth more."""
    share = draw(st.sampled_from([None, None, 1.0, 1.1]))
    if share is None:
        return None
    value = mass(share * sum(reading["value"].si for reading in readings))
    return {"value": value, "independent": draw(st.sampled_from([None, True]))}


@st.composite
def _readings(draw: st.DrawFn, driven: Sequence[Stop], division: float, mass_unit: str) -> list[dict[str, Any]]:
    """Draw what the platforms show, in whole divisions of the unit that the scale prints."""
    count = sum(len(standing) for _, standing, _ in driven)
    slip = draw(st.integers(0, count - 1)) if draw(st.integers(0, 3)) == 3 else None
    span = draw(between(-0.001, 0.001))
    drafts, number = [], 0
    for name, standing, state in driven:
        readings = []
        for platform, wheels in standing.items():
            true_kg = sum(load_kg for _, load_kg in wheels)
            error = span + draw(st.integers(-10, 10)) / 10_000
            divisions = max(round(number_in(mass_unit, true_kg * (1 + error)) / division), 1)
            printed = divisions * division
            if number == slip:
                printed = draw(_slipped(printed, division))
            readings.append(
                {
                    "platform": platform,
                    "value": mass(si_of(mass_unit, printed)),
                    "wheel_ends": [wheel for wheel, _ in wheels],
                }
            )
            number += 1
        drafts.append(
            {
                "name": name,
                "state": draw(st.sampled_from([None, state])) if state == "solo" else state,
                "readings": readings,
                "total": draw(_total(readings)),
                "zero_seen": draw(st.sampled_from([None, True, False])),
                "ticket": draw(st.sampled_from([None, "A-2207-1"])),
                "time": draw(st.sampled_from([None, "08:05"])),
            }
        )
    return drafts


@st.composite
def _scale(draw: st.DrawFn, passes: list[dict[str, Any]], division_kg: float) -> dict[str, Any]:
    """Draw a scale that can show every reading: of a class with divisions enough, or of the yard's own tolerance."""
    readings = [reading for each in passes for reading in each["readings"]]
    totals = [each["total"] for each in passes if each["total"]]
    divisions = max(each["value"].si for each in (*readings, *totals)) / division_kg
    classes = [each.name for each in ACCURACY_CLASSES.values() if divisions < each.steps[-1][0]]
    accuracy_class = draw(st.sampled_from([*classes, None]))
    own = {"share": draw(st.sampled_from([0.002, 0.0, 0.01])), "least": mass(division_kg)}
    names = list(dict.fromkeys(reading["platform"] for reading in readings))
    listed = any(name.startswith("pad") for name in names) or draw(st.booleans())
    return {
        "division": mass(division_kg),
        "accuracy_class": accuracy_class,
        "tolerance": None if accuracy_class else own,
        "identity": draw(st.sampled_from([None, "serial 40-1175"])),
        "sealed_on": draw(st.sampled_from([None, "2025-09-03", "2019-09-03"])),
        "platforms": [{"name": name, "kind": "pad" if name.startswith("pad") else None} for name in names]
        if listed and len(names) <= 64
        else None,
    }


@st.composite
def carried(draw: st.DrawFn, rig: DraftedRig) -> dict[str, Any]:
    tanks = {tank["name"] for vehicle in rig.draft["vehicles"] for tank in vehicle.get("tanks") or []}
    return {
        "people": [{"mass": mass(80), "place": "driver_seat"}] if draw(st.booleans()) else None,
        "cargo": [{"mass": mass(35), "place": "bay_1-left"}] if draw(st.booleans()) else None,
        "tanks": [{"name": tank, "level": draw(st.sampled_from([0, 0.5, 1]))} for tank in sorted(tanks)] or None,
        "note": draw(st.sampled_from([None, "as it leaves the yard"])),
    }


@st.composite
def changes(draw: st.DrawFn, rig: DraftedRig) -> list[dict[str, Any]]:
    """Draw what left or came before a pass."""
    told = []
    for _ in range(draw(st.integers(1, 2))):
        spot = draw(spots({"rig": rig.draft}))
        told.append(
            {
                "mass": mass(draw(st.sampled_from([-1, 1])) * draw(between(1, 120))),
                "standard_uncertainty": mass(draw(between(0, 10))) if draw(st.booleans()) else None,
                "why": draw(st.sampled_from([None, "driver at the call button", "drained № 2"])),
                **({"place": spot} if isinstance(spot, str) else spot),
            }
        )
    return told


@st.composite
def weighs(draw: st.DrawFn, rig: DraftedRig, driven: Sequence[Stop], mass_unit: str) -> dict[str, Any]:
    """Draw the tickets of some stops; sometimes, where the rig can stand, with what changed before one of them."""
    division = draw(st.sampled_from([20, 10, 50, 5, 2]))
    division_kg = si_of(mass_unit, division)
    passes = draw(_readings(driven, division, mass_unit))
    if can_stand(rig) and not draw(st.integers(0, 3)):
        draw(st.sampled_from(passes))["changes"] = draw(changes(rig))
    return {
        "weighed_on": draw(st.sampled_from([None, "2026-05-14"])),
        "ticket": draw(st.sampled_from([None, "A-2207"])),
        "scale": draw(_scale(passes, division_kg)),
        "carried": draw(carried(rig)) if draw(st.booleans()) else None,
        "passes": passes,
    }


@st.composite
def sessions(draw: st.DrawFn, rig: DraftedRig, mass_unit: str) -> dict[str, Any]:
    """Draw the tickets of vehicles that were weighed one by one."""
    return draw(weighs(rig, draw(_one_by_one(rig)), mass_unit))


@st.composite
def known_loads(draw: st.DrawFn, rig: DraftedRig) -> list[dict[str, Any]]:
    """Draw known loads of an axle, of its wheel ends, or of the tires of its duals; of some axles none."""
    wheels: list[list[tuple[str, float]]] = []
    for axle in _axles_of(rig.wheel_ends):
        match draw(st.sampled_from(["wheel ends", "wheel ends", "axle", "tires", "nothing"])):
            case "axle":
                wheels.append(_whole(axle))
            case "tires" if len(axle[0].loads_kg) == 2:
                wheels += [[tire] for end in axle for tire in end.tires]
            case "nothing" if wheels:
                pass
            case _:
                wheels += [[each] for each in _whole(axle)]
    doubts = st.sampled_from([None, 0.0, 4.0, 12.0])
    stated = draw(st.booleans())
    return [
        {
            "wheel_ends": [name for name, _ in together],
            "load": mass(sum(load_kg for _, load_kg in together)),
            "standard_uncertainty": _known(draw(doubts) if not stated else 6.0),
        }
        for together in wheels
    ]


def _known(doubt_kg: float | None) -> Quantity | None:
    return None if doubt_kg is None else mass(doubt_kg)
