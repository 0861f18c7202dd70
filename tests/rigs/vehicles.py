"""Rigs with the truth beneath them: tires invented within what sidewalls carry, true loads that follow from them."""

from dataclasses import dataclass, replace
from typing import Any

from hypothesis import strategies as st

from tests.rigs.quantities import Quantity, between, length, mass, pressure


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
TOWING_KINDS = ("motorhome", "van", "tow_vehicle")
AXLE_NAMES = ("steer", "drive", "tag", "fourth", "fifth", "sixth")


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


def can_stand(rig: DraftedRig) -> bool:
    """Return whether every motor vehicle of a rig stands on two supports at least, so that statics can tell loads."""
    return not any(
        vehicle["kind"] not in TRAILER_KINDS
        and len(vehicle["axles"]) == 2
        and any(group["suspension"] != "independent" for group in vehicle["groups"] or [])
        for vehicle in rig.draft["vehicles"]
    )


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
    draw: st.DrawFn, name: str, is_alone: bool, kinds: tuple[str, ...], most_axles: int
) -> tuple[dict[str, Any], tuple[WheelEndTruth, ...], list[Tire]]:
    kind = draw(st.sampled_from(kinds))
    is_trailer = kind in TRAILER_KINDS
    count = draw(st.integers(1 if is_trailer else 2, most_axles))
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
def drafted_rigs(draw: st.DrawFn, is_pair: bool = False, most_axles: int = 6) -> DraftedRig:
    """Draw a rig of one to three vehicles, each weighed alone; or a pair of which the first can tow the second."""
    names = ["coach", "car", "trailer-2"][: 2 if is_pair else draw(st.sampled_from([1, 1, 1, 2, 3]))]
    any_kind = MOTOR_KINDS + TRAILER_KINDS
    kinds = [TOWING_KINDS, tuple(kind for kind in any_kind if kind not in TOWING_KINDS)] if is_pair else [any_kind] * 3
    vehicles, wheel_ends, tires = [], [], []
    for place, name in enumerate(names):
        vehicle, truths, fitted = draw(_vehicle(name, len(names) == 1, kinds[place], most_axles))
        vehicles.append(vehicle)
        wheel_ends += truths
        tires += fitted
    title = draw(st.sampled_from(["Tern 7", "Plover", "Sanderling № 3"]))
    return DraftedRig({"name": title, "vehicles": vehicles}, tuple(wheel_ends), tuple(tires))
