"""Consistent requests for an assessment: rigs, weigh sessions and known loads as a yard would send them.

Everything is drawn in SI first and written out in units last, so that one rig can be written in any units. Tires are
invented within what sidewalls of their family carry; true loads follow from them, readings from the true loads with
errors of the size that a scale makes, in whole divisions.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from hypothesis import strategies as st

from axlewright.core.scales import ACCURACY_CLASSES

Json = Any

US = {"mass": "lb", "pressure": "psi", "length": "in", "temperature": "degF", "volume": "gal", "altitude": "ft"}
METRIC = {"mass": "kg", "pressure": "kPa", "length": "mm", "temperature": "degC", "volume": "L", "altitude": "m"}
CHOICES = {
    "mass": ("lb", "kg"),
    "pressure": ("psi", "kPa", "bar"),
    "length": ("in", "mm", "m"),
    "temperature": ("degF", "degC"),
    "volume": ("gal", "L"),
    "altitude": ("ft", "m"),
}

# NIST SP 811 (2008), appendix B.8: size of each unit in SI, and what is added to a number before that.
UNIT_SIZES: dict[str, tuple[float, float]] = {
    "lb": (0.45359237, 0),
    "kg": (1, 0),
    "psi": (4.4482216152605 / 0.0254**2, 0),
    "kPa": (1e3, 0),
    "bar": (1e5, 0),
    "in": (0.0254, 0),
    "mm": (1e-3, 0),
    "m": (1, 0),
    "ft": (0.3048, 0),
    "degF": (5 / 9, 459.67),
    "degC": (1, 273.15),
    "gal": (3.785411784e-3, 0),
    "L": (1e-3, 0),
}
DIGITS_WRITTEN = 12
"""Fewer would move a number by more than the share of 1e-9 by which figures count as equal."""


@dataclass(frozen=True)
class Quantity:
    """A number of a request in SI, before its unit is chosen."""

    kind: str
    si: float


def number_in(unit: str, si: float) -> float:
    """Return the number in a unit of an SI value."""
    size, offset = UNIT_SIZES[unit]
    return si / size - offset


def si_of(unit: str, number: float) -> float:
    """Return the SI value of a number in a unit."""
    size, offset = UNIT_SIZES[unit]
    return (number + offset) * size


def written(draft: Any, units: dict[str, str]) -> Json:
    """Return a draft as JSON values in the given units; names without a value are left out."""
    if isinstance(draft, Quantity):
        number = float(f"{number_in(units[draft.kind], draft.si):.{DIGITS_WRITTEN}g}")
        return int(number) if number.is_integer() else number
    if isinstance(draft, dict):
        return {name: written(value, units) for name, value in draft.items() if value is not None}
    return [written(value, units) for value in draft] if isinstance(draft, list) else draft


def kinds_in(draft: Any) -> set[str]:
    """Return the kinds of quantity that a draft uses."""
    if isinstance(draft, Quantity):
        return {draft.kind}
    values = draft.values() if isinstance(draft, dict) else draft if isinstance(draft, list) else ()
    return {kind for value in values for kind in kinds_in(value)}


@dataclass(frozen=True)
class Tire:
    """A tire as marked; loads [kg], pressure [Pa]. The fields a request states beside it must not contradict it."""

    designation: str
    load_range: str | None
    single_kg: float
    dual_kg: float | None
    pressure_pa: float
    speed_symbol: str | None = None


TIRES = (
    Tire("P265/70R17", None, 1150, None, 240e3),
    Tire("P235/75R15 XL 108S", None, 1000, None, 280e3, "S"),
    Tire("LT245/75R16", "E", 1380, 1260, 550e3),
    Tire("LT225/75R16 E 115/112R", "E", 1215, 1120, 550e3, "R"),
    Tire("LT235/85R16 LR G", "G", 1700, 1550, 760e3, "L"),
    Tire("ST225/75R15", "D", 1150, None, 450e3),
    Tire("ST205/75R14 C", "C", 800, None, 345e3, "M"),
    Tire("ST235/80R16 LRE", "E", 1550, 1350, 550e3),
    Tire("225/70R15C 112/110R", None, 1120, 1060, 450e3, "R"),
    Tire("215/75R16C 116/114Q", None, 1250, 1180, 475e3),
    Tire("225/75R16CP 118R", None, 1320, None, 550e3, "R"),
    Tire("7.50-16LT", "D", 1100, 970, 415e3),
    Tire("8.00R16.5LT", "E", 1130, 1000, 550e3),
    Tire("31x10.50R15LT", "C", 1030, None, 350e3, "Q"),
    Tire("37x12.50R17LT D", "D", 1450, None, 450e3),
    Tire("225/70R19.5", "G", 1800, 1700, 760e3, "L"),
    Tire("245/70R19.5 H 136/134M", "H", 2240, 2120, 825e3, "M"),
    Tire("11R22.5", "G", 2800, 2650, 720e3),
    Tire("275/80R22.5", "H", 3250, 3000, 830e3, "L"),
    Tire("what the sidewall says", "E", 1200, 1100, 550e3),
)
TRAILER_KINDS = ("travel_trailer", "fifth_wheel", "trailer")
MOTOR_KINDS = ("motorhome", "van", "tow_vehicle", "towed_car")
AXLE_NAMES = ("steer", "drive", "tag", "fourth", "fifth", "sixth")


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Return numbers between two, in a thousand steps; they shrink to the low one."""
    return st.integers(0, 1000).map(lambda step: low + (high - low) * step / 1000)


def mass(si: float) -> Quantity:
    """Return a mass [kg]."""
    return Quantity("mass", si)


def pressure(si: float) -> Quantity:
    """Return a pressure [Pa]."""
    return Quantity("pressure", si)


def length(si: float) -> Quantity:
    """Return a length [m]."""
    return Quantity("length", si)


@dataclass(frozen=True)
class WheelEndTruth:
    """What one wheel end really carries [kg] on each of its tires, outer last."""

    name: str
    axle: str
    vehicle: str
    loads_kg: tuple[float, ...]

    @property
    def tires(self) -> list[tuple[str, float]]:
        """The names and loads of its tires, where it has two."""
        return list(zip((f"{self.name}.inner", f"{self.name}.outer"), self.loads_kg, strict=True))


@dataclass(frozen=True)
class DraftedRig:
    """A rig in SI with the truth beneath it."""

    draft: dict[str, Any]
    wheel_ends: tuple[WheelEndTruth, ...]
    tires: tuple[Tire, ...]


@st.composite
def _tires(draw: st.DrawFn, tire: Tire, fitment: str) -> dict[str, Any]:
    """Draw the fields of fitted tires; nothing that they say twice differs."""
    return {
        "fitment": fitment,
        "designation": tire.designation,
        "load_range": tire.load_range if draw(st.booleans()) else None,
        "speed_symbol": tire.speed_symbol if draw(st.booleans()) else None,
        "max_load_single": mass(tire.single_kg),
        "max_load_dual": mass(tire.dual_kg) if tire.dual_kg and (fitment == "dual" or draw(st.booleans())) else None,
        "max_pressure": pressure(tire.pressure_pa),
        "pressure": pressure(tire.pressure_pa * draw(between(0.5, 1.1))) if draw(st.booleans()) else None,
    }


@st.composite
def _wheel(draw: st.DrawFn, tire: Tire) -> dict[str, Any] | None:
    if draw(st.booleans()):
        return None
    return {
        "max_load": mass(tire.single_kg * draw(between(0.9, 1.3))) if draw(st.booleans()) else None,
        "max_pressure": pressure(tire.pressure_pa * draw(between(0.8, 1.3))) if draw(st.booleans()) else None,
    }


@st.composite
def _own_wheel_end(draw: st.DrawFn, side: str, tire: Tire, fitment: str) -> dict[str, Any]:
    own = replace(tire, single_kg=tire.single_kg * draw(st.sampled_from([1.0, 1.05])))
    return {
        "side": side,
        "tires": draw(_tires(own, fitment)) if draw(st.booleans()) else None,
        "wheel": draw(_wheel(tire)),
        "max_load": mass(tire.single_kg * 2) if draw(st.booleans()) else None,
    }


@st.composite
def _axle(draw: st.DrawFn, name: str, aft_m: float, may_be_dual: bool) -> tuple[dict[str, Any], Tire, str]:
    tire = draw(st.sampled_from(TIRES))
    fitment = "dual" if may_be_dual and tire.dual_kg and draw(st.booleans()) else "single"
    count = 2 if fitment == "dual" else 1
    capacity_kg = 2 * count * ((tire.dual_kg or 0) if count == 2 else tire.single_kg)
    sides = draw(st.sampled_from([(), (), ("left",), ("right",), ("right", "left")]))
    axle = {
        "name": name,
        "aft": length(aft_m),
        "track": length(draw(between(1.2, 2.3))),
        "gawr": mass(capacity_kg * draw(between(0.6, 1.05))),
        "wheel": draw(_wheel(tire)),
        "tires": draw(_tires(tire, fitment)),
        "wheel_ends": [draw(_own_wheel_end(side, tire, fitment)) for side in sides] or None,
    }
    return axle, tire, fitment


@st.composite
def _truths(
    draw: st.DrawFn, prefix: str, vehicle: str, axle: str, tire: Tire, fitment: str
) -> tuple[WheelEndTruth, ...]:
    """Draw true loads: an axle at some share of its tires' capacity, one side and one tire heavier."""
    used, lean, split = draw(between(0.4, 1.05)), draw(between(-0.12, 0.12)), draw(between(0.42, 0.58))
    count = 2 if fitment == "dual" else 1
    capacity_kg = count * ((tire.dual_kg or 0) if count == 2 else tire.single_kg)
    ends = []
    for side, sign in (("left", -1), ("right", 1)):
        load_kg = capacity_kg * used * (1 + sign * lean)
        loads_kg = (load_kg * split, load_kg * (1 - split)) if count == 2 else (load_kg,)
        ends.append(WheelEndTruth(f"{prefix}{axle}.{side}", f"{prefix}{axle}", vehicle, loads_kg))
    return tuple(ends)


@st.composite
def _places_of_axles(draw: st.DrawFn, count: int, is_trailer: bool) -> list[float]:
    first_m = draw(between(2, 7)) if is_trailer else 0.0
    gaps = draw(st.lists(between(0.8, 4.0), min_size=count - 1, max_size=count - 1))
    return [first_m + sum(gaps[:place]) for place in range(count)]


@st.composite
def _groups(draw: st.DrawFn, axles: list[str]) -> list[dict[str, Any]] | None:
    if len(axles) < 2 or draw(st.booleans()):
        return None
    suspension = draw(st.sampled_from(["shared_air", "equalised", "independent"]))
    share = draw(st.integers(20, 80)) / 100
    split = [share, round(1 - share, 2)] if draw(st.booleans()) else None
    return [{"axles": axles[-2:], "suspension": suspension, "split": split}]


@st.composite
def _carried_about(draw: st.DrawFn) -> dict[str, Any]:
    """Draw hitch, tanks and places: what the contract takes and keeps."""
    about: dict[str, Any] = {}
    if draw(st.booleans()):
        about["hitch"] = {
            "aft": length(draw(between(3, 12))),
            "up": length(draw(between(0.3, 1.5))),
            "max_vertical": mass(draw(between(100, 1500))),
            "max_vertical_levelled": mass(draw(between(200, 1500))) if draw(st.booleans()) else None,
            "max_towed": mass(draw(between(700, 9000))),
        }
    if draw(st.booleans()):
        fluids = draw(st.lists(st.sampled_from(["water", "grey_water", "diesel", "propane"]), max_size=3, unique=True))
        about["tanks"] = [
            {
                "name": fluid,
                "fluid": fluid,
                "capacity": Quantity("volume", draw(between(0.02, 0.4))),
                "aft": length(draw(between(-1, 8))),
                "right": length(draw(between(-1, 1))),
                "up": length(0.5) if draw(st.booleans()) else None,
            }
            for fluid in fluids
        ]
    if draw(st.booleans()):
        about["places"] = [
            {"name": name, "aft": length(1.5), "right": length(-0.5), "capacity": mass(110) if roomy else None}
            for name, roomy in (("driver_seat", False), ("bay_1-left", True))
        ]
    return about


@st.composite
def _vehicle(
    draw: st.DrawFn, name: str, is_alone: bool
) -> tuple[dict[str, Any], tuple[WheelEndTruth, ...], list[Tire]]:
    kind = draw(st.sampled_from(MOTOR_KINDS + TRAILER_KINDS))
    is_trailer = kind in TRAILER_KINDS
    count = draw(st.integers(1 if is_trailer else 2, 6))
    axles, tires, truths = [], [], []
    prefix = "" if is_alone else f"{name}."
    for place, aft_m in enumerate(draw(_places_of_axles(count, is_trailer))):
        axle, tire, fitment = draw(_axle(AXLE_NAMES[place], aft_m, may_be_dual=place > 0 or is_trailer))
        axles.append(axle)
        tires.append(tire)
        truths += draw(_truths(prefix, name, axle["name"], tire, fitment))
    names = [axle["name"] for axle in axles]
    labelled = names[: draw(st.integers(0, len(names)))]
    rated_kg = sum(axle["gawr"].si for axle in axles)
    vehicle = {
        "name": name,
        "kind": kind,
        "gvwr": mass(rated_kg * draw(between(0.75, 1.1))),
        "gcwr": mass(rated_kg * 1.4) if draw(st.booleans()) else None,
        "axles": axles,
        "label_pressures": [
            {"axle": axle, "pressure": pressure(tires[place].pressure_pa * draw(between(0.6, 1.02)))}
            for place, axle in enumerate(labelled)
        ]
        or None,
        "groups": draw(_groups(names)),
        **draw(_carried_about()),
    }
    return vehicle, tuple(truths), tires


@st.composite
def drafted_rigs(draw: st.DrawFn) -> DraftedRig:
    """Draw a rig of one to three vehicles, each weighed alone."""
    names = ["coach", "car", "trailer-2"][: draw(st.sampled_from([1, 1, 1, 2, 3]))]
    vehicles, wheel_ends, tires = [], [], []
    for name in names:
        vehicle, truths, fitted = draw(_vehicle(name, len(names) == 1))
        vehicles.append(vehicle)
        wheel_ends += truths
        tires += fitted
    title = draw(st.sampled_from(["Tern 7", "Plover", "Sanderling № 3"]))
    return DraftedRig({"name": title, "vehicles": vehicles}, tuple(wheel_ends), tuple(tires))


Standing = dict[str, list[tuple[str, float]]]
"""What stands in one pass: by platform, names of wheels with their true loads."""


def _whole(ends: Iterable[WheelEndTruth]) -> list[tuple[str, float]]:
    return [(end.name, sum(end.loads_kg)) for end in ends]


def _axles_of(ends: Sequence[WheelEndTruth]) -> list[list[WheelEndTruth]]:
    return [[end for end in ends if end.axle == axle] for axle in dict.fromkeys(end.axle for end in ends)]


def _on_platforms(axles: Sequence[Sequence[WheelEndTruth]]) -> Standing:
    """Stand the first axle on A, the last on C, the others on B: a scale of three sections."""
    standing: Standing = {}
    for place, axle in enumerate(axles):
        platform = "A" if place == 0 else "C" if place == len(axles) - 1 > 1 else "B"
        standing.setdefault(platform, []).extend(_whole(axle))
    return standing


def _one_side(ends: Sequence[WheelEndTruth], side: str) -> list[WheelEndTruth]:
    return [end for end in ends if end.name.endswith(side)]


def _three_passes(ends: Sequence[WheelEndTruth]) -> list[tuple[str, Standing]]:
    sides = [(f"{side} wheels", _on_platforms(_axles_of(_one_side(ends, side)))) for side in ("right", "left")]
    return [*sides, ("axles", _on_platforms(_axles_of(ends)))]


def _axles_only(ends: Sequence[WheelEndTruth]) -> list[tuple[str, Standing]]:
    return [("axles", _on_platforms(_axles_of(ends)))]


def _side_and_axles(ends: Sequence[WheelEndTruth]) -> list[tuple[str, Standing]]:
    return _three_passes(ends)[1:]


def _pad_each(ends: Sequence[WheelEndTruth]) -> list[tuple[str, Standing]]:
    return [("pads", {f"pad {end.name}": _whole([end]) for end in ends})]


def _axle_by_axle(ends: Sequence[WheelEndTruth]) -> list[tuple[str, Standing]]:
    passes: list[tuple[str, Standing]] = []
    for axle in _axles_of(ends):
        passes.append((f"{axle[0].axle} whole", {"A": _whole(axle)}))
        passes.append((f"{axle[1].axle} right", {"A": _whole(axle[1:])}))
    return passes


def _tires_apart(ends: Sequence[WheelEndTruth]) -> list[tuple[str, Standing]]:
    standing: Standing = {}
    for end in ends:
        tires = end.tires if len(end.loads_kg) == 2 else _whole([end])
        standing |= {f"pad {name}": [(name, load_kg)] for name, load_kg in tires}
    return [("tires apart", standing), ("axles", _on_platforms(_axles_of(ends)))]


SCHEDULES = (_three_passes, _axles_only, _side_and_axles, _pad_each, _axle_by_axle, _tires_apart)
MOST_READINGS_A_PASS = 16


@st.composite
def _scattered(draw: st.DrawFn, ends: Sequence[WheelEndTruth]) -> list[tuple[str, Standing]]:
    """Draw passes that no plan explains: any wheels on up to three platforms; seldom enough to know much."""
    passes: list[tuple[str, Standing]] = []
    for number in range(draw(st.integers(1, 4))):
        standing: Standing = {}
        for end in ends:
            platform = draw(st.sampled_from(["A", "B", "C", None]))
            if platform:
                standing.setdefault(platform, []).extend(_whole([end]))
        if standing:
            passes.append((f"stop {number}", standing))
    return passes or _axles_only(ends)


@st.composite
def _passes(draw: st.DrawFn, rig: DraftedRig) -> list[tuple[str, Standing]]:
    schedule = draw(st.sampled_from([*SCHEDULES, None]))
    passes: list[tuple[str, Standing]] = []
    for vehicle in dict.fromkeys(end.vehicle for end in rig.wheel_ends):
        ends = [end for end in rig.wheel_ends if end.vehicle == vehicle]
        planned = draw(_scattered(ends)) if schedule is None else schedule(ends)
        for name, standing in planned:
            platforms = list(standing.items())
            for start in range(0, len(platforms), MOST_READINGS_A_PASS):
                part = dict(platforms[start : start + MOST_READINGS_A_PASS])
                passes.append((f"{vehicle}: {name} {start}", part))
    return passes


@st.composite
def _slipped(draw: st.DrawFn, printed: float, division: float) -> float:
    """Draw a copy of a printed number with two neighbouring digits swapped, or a few divisions off."""
    digits = list(str(round(printed)))
    place = draw(st.integers(0, max(len(digits) - 2, 0)))
    if len(digits) > 1:
        digits[place : place + 2] = reversed(digits[place : place + 2])
    return float("".join(digits)) or printed + division


@st.composite
def _readings(
    draw: st.DrawFn, passes: list[tuple[str, Standing]], division: float, mass_unit: str
) -> list[dict[str, Any]]:
    """Draw what the platforms show, in whole divisions of the unit that the scale prints."""
    count = sum(len(standing) for _, standing in passes)
    slip = draw(st.integers(0, count - 1)) if draw(st.integers(0, 3)) == 3 else None
    span = draw(between(-0.001, 0.001))
    drafts, number = [], 0
    for name, standing in passes:
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
        drafts.append({"name": name, "state": draw(st.sampled_from([None, "solo"])), "readings": readings})
    return drafts


@st.composite
def _scale(draw: st.DrawFn, passes: list[dict[str, Any]], division_kg: float) -> dict[str, Any]:
    """Draw a scale that can show every reading: of a class with divisions enough, or of the yard's own tolerance."""
    readings = [reading for each in passes for reading in each["readings"]]
    divisions = max(reading["value"].si for reading in readings) / division_kg
    classes = [each.name for each in ACCURACY_CLASSES.values() if divisions < each.steps[-1][0]]
    accuracy_class = draw(st.sampled_from([*classes, None]))
    own = {"share": draw(st.sampled_from([0.002, 0.0, 0.01])), "least": mass(division_kg)}
    names = list(dict.fromkeys(reading["platform"] for reading in readings))
    listed = any(name.startswith("pad") for name in names) or draw(st.booleans())
    return {
        "division": mass(division_kg),
        "accuracy_class": accuracy_class,
        "tolerance": None if accuracy_class else own,
        "platforms": [{"name": name, "kind": "pad" if name.startswith("pad") else None} for name in names]
        if listed and len(names) <= 64
        else None,
    }


@st.composite
def _carried(draw: st.DrawFn, rig: DraftedRig) -> dict[str, Any]:
    tanks = {tank["name"] for vehicle in rig.draft["vehicles"] for tank in vehicle.get("tanks") or []}
    return {
        "people": [{"mass": mass(80), "place": "driver_seat"}] if draw(st.booleans()) else None,
        "cargo": [{"mass": mass(35), "place": "bay_1-left"}] if draw(st.booleans()) else None,
        "tanks": [{"name": tank, "level": draw(st.sampled_from([0, 0.5, 1]))} for tank in sorted(tanks)] or None,
        "note": draw(st.sampled_from([None, "as it leaves the yard"])),
    }


@st.composite
def _session(draw: st.DrawFn, rig: DraftedRig, mass_unit: str) -> dict[str, Any]:
    division = draw(st.sampled_from([20, 10, 50, 5, 2]))
    division_kg = si_of(mass_unit, division)
    passes = draw(_readings(draw(_passes(rig)), division, mass_unit))
    return {
        "weighed_on": draw(st.sampled_from([None, "2026-05-14"])),
        "ticket": draw(st.sampled_from([None, "A-2207"])),
        "scale": draw(_scale(passes, division_kg)),
        "carried": draw(_carried(rig)) if draw(st.booleans()) else None,
        "passes": passes,
    }


@st.composite
def _loads(draw: st.DrawFn, rig: DraftedRig) -> list[dict[str, Any]]:
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
def drafts(draw: st.DrawFn, mass_unit: str | None = None) -> dict[str, Any]:
    """Draw a whole request in SI, without units; its scale prints divisions of the given unit of mass."""
    rig = draw(drafted_rigs())
    draft: dict[str, Any] = {"rig": rig.draft}
    if draw(st.integers(0, 3)):
        unit = mass_unit or draw(st.sampled_from(CHOICES["mass"]))
        draft["session"] = draw(_session(rig, unit))
    else:
        draft["loads"] = draw(_loads(rig))
    if draw(st.booleans()):
        draft["conditions"] = draw(_conditions())
    if draw(st.booleans()):
        draft["policy"] = draw(_policy())
    if draw(st.integers(0, 3)) == 3:
        draft["tire_tables"] = draw(_tire_tables(rig))
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
