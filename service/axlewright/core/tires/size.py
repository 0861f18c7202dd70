"""The size part of a sidewall marking: which grammar it follows, and what the figures are."""

import re
from enum import StrEnum
from typing import Final

from msgspec import Struct

from axlewright.core.tires.family import Family
from axlewright.core.units import INCH_M

MILLIMETER_M: Final = 0.001
WIDEST_SECTION_MM: Final = 505
NARROWEST_SECTION_MM: Final = 105
LEAST_ASPECT_PERCENT: Final = 25
MOST_ASPECT_PERCENT: Final = 100
METRIC_STEP: Final = 5
WIDEST_SECTION_IN: Final = 20.0
NARROWEST_SECTION_IN: Final = 4.0
LARGEST_RIM: Final = 30.0
SMALLEST_RIM: Final = 8.0
SMALLEST_LIGHT_TRUCK_FLOTATION_RIM: Final = 14.0
SMALLEST_WHOLE_INCH_TRUCK_RIM: Final = 20.0
SMALLEST_RIM_WITHOUT_C_TYPES: Final = 19.5
TRUCK_RIMS: Final = frozenset({17.5, 19.5, 22.5, 24.5})
HALF_INCH_RIMS: Final = TRUCK_RIMS | {14.5, 16.5}


class Construction(StrEnum):
    """How the plies of a tire run."""

    RADIAL = "radial"
    BIAS = "bias"
    BIAS_BELTED = "bias_belted"


class Ambiguity(StrEnum):
    """What a marking leaves open, and how it was read.

    ``metric_without_prefix``: read as a passenger tire; a light-truck or commercial tire whose LT or C was
    left off looks alike. ``dash_read_as_bias``: a dash stands for bias, and is also written where an R was
    left off. ``flotation_without_lt``: read as a light-truck tire; the LT that belongs behind the rim is
    missing.
    """

    METRIC_WITHOUT_PREFIX = "metric_without_prefix"
    DASH_READ_AS_BIAS = "dash_read_as_bias"
    FLOTATION_WITHOUT_LT = "flotation_without_lt"


class NotRead(Struct, frozen=True):
    """Why a text was not read: the place in it (from 0), what is wrong there, and what was expected."""

    text: str
    position: int
    reason: str
    expected: str


class Size(Struct, frozen=True):
    """A size as read; ``end`` is the place in the text where it ends, and dimensions [m] are nominal.

    ``aspect_share`` is None where the size states none; ``high_load`` says that HL stands before it.
    """

    designation: str
    family: Family
    construction: Construction
    section_width_m: float
    aspect_share: float | None
    rim_diameter_m: float
    overall_diameter_m: float | None
    ambiguities: tuple[Ambiguity, ...]
    end: int
    high_load: bool = False


class _Part(Struct, frozen=True):
    name: str
    pattern: str
    expected: str


class _Found(Struct, frozen=True):
    """Every part of a size with its place, and the letters that follow the rim."""

    text: str
    parts: dict[str, str]
    places: dict[str, int]
    suffix: str
    end: int

    def refused(self, part: str, reason: str, expected: str) -> NotRead:
        return NotRead(self.text, self.places[part], reason, expected)


_CONSTRUCTION: Final = _Part("construction", "ZR|[RDB-]", "R, ZR, D or B, or a dash")
_RIM: Final = _Part("rim", r"[0-9]{1,2}(?:\.5)?(?![0-9.])", "a rim diameter in inches, whole or ending in .5")
_METRIC: Final = (
    _Part("prefix", "(?:LT|ST|HL|P|T)?", "P, LT, ST, T, HL or nothing"),
    _Part("width", "[0-9]{3}(?![0-9.])", "a section width of three digits [mm]"),
    _Part("slash", "/", "a slash"),
    _Part("aspect", "[0-9]{2,3}(?![0-9.])", "an aspect ratio of two or three digits [%]"),
    _CONSTRUCTION,
    _RIM,
)
_METRIC_WITHOUT_ASPECT: Final = (
    _Part("prefix", "(?:LT|ST)?", "LT, ST or nothing"),
    _Part("width", "[0-9]{3}(?![0-9.])", "a section width of three digits [mm]"),
    _CONSTRUCTION,
    _RIM,
)
_FLOTATION: Final = (
    _Part("prefix", "(?:LT)?", "LT or nothing"),
    _Part("diameter", r"[0-9]{2}(?:\.[0-9]{1,2})?(?![0-9.])", "an overall diameter in inches"),
    _Part("times", "X", "an x"),
    _Part("width", r"[0-9]{1,2}(?:\.[0-9]{1,2})?(?![0-9.])", "a section width in inches"),
    _CONSTRUCTION,
    _RIM,
)
_INCH: Final = (
    _Part("prefix", "(?:LT)?", "LT or nothing"),
    _Part("width", r"[0-9]{1,2}(?:\.[0-9]{1,2})?(?![0-9.])", "a section width"),
    _CONSTRUCTION,
    _RIM,
)
_SUFFIX: Final = re.compile(r"(?P<gap>\s*)(?P<letters>LT|CP|C)(?![A-Z])")
_GRAMMAR: Final = re.compile(
    r"\s*(?:LT|ST|HL|P|T)?\s*(?P<number>[0-9.]+)\s*(?:(?P<sign>[/X])|(?P<construction>ZR|[RDB-]))?"
)
_METRIC_DIGITS: Final = 3


def read_size(text: str) -> Size | NotRead:
    """Return the size that a cleaned, upper-case text begins with, or why there is none.

    Parameters
    ----------
    text : str
        Marking in upper case, with decimal points.

    Returns
    -------
    Size or NotRead
        The size with its normalised designation.

    Notes
    -----
    Grammars: Tire and Rim Association and ISO 4000-1, ISO 4223-1 size designations as they are described in
    vehicle makers' owner manuals (P, LT, flotation and T); metric sizes without aspect ratio (`195R14C`) as in
    product information sheets under Regulation (EU) 2020/740; the rest, HL among it, from memory.

    """
    begin = _GRAMMAR.match(text)
    if begin is None:
        return NotRead(text, 0, "The text does not begin with a tire size.", "a size such as LT235/85R16")
    sign = begin["sign"]
    if sign == "/" or (begin["construction"] and len(begin["number"]) == _METRIC_DIGITS and begin["number"].isdigit()):
        found = _parts(text, _METRIC if sign == "/" else _METRIC_WITHOUT_ASPECT)
        return found if isinstance(found, NotRead) else _metric(found)
    found = _parts(text, _FLOTATION if sign == "X" else _INCH)
    if isinstance(found, NotRead):
        return found
    return _flotation(found) if sign == "X" else _inch(found)


def _parts(text: str, grammar: tuple[_Part, ...]) -> _Found | NotRead:
    parts: dict[str, str] = {}
    places: dict[str, int] = {}
    place = 0
    for part in grammar:
        match = re.compile(rf"\s*({part.pattern})").match(text, place)
        if match is None:
            first = grammar[0]
            expected = part.expected if place or part is first else f"{first.expected}, then {part.expected}"
            return NotRead(text, place, f"The {part.name} cannot be read.", expected)
        parts[part.name], places[part.name], place = match[1], match.start(1), match.end()
    return _with_suffix(_Found(text, parts, places, "", place))


def _with_suffix(found: _Found) -> _Found | NotRead:
    match = _SUFFIX.match(found.text, found.end)
    if match is None or (match["letters"] == "C" and found.parts["prefix"]):
        return found
    if match["letters"] == "C" and match["gap"]:
        if float(found.parts["rim"]) in {r for r in TRUCK_RIMS if r >= SMALLEST_RIM_WITHOUT_C_TYPES}:
            return found
        reason = "A C behind a space may be the commercial type or a load range."
        return NotRead(found.text, match.start("letters"), reason, "C right behind the rim, or a prefix LT or ST")
    if found.parts["prefix"]:
        reason = f"{found.parts['prefix']} before the size and {match['letters']} behind it contradict."
        return NotRead(found.text, match.start("letters"), reason, "one of them")
    return _Found(found.text, found.parts, found.places, match["letters"], match.end())


def _metric(found: _Found) -> Size | NotRead:
    width_mm, aspect = int(found.parts["width"]), _aspect_percent(found)
    if width_mm % METRIC_STEP or not NARROWEST_SECTION_MM <= width_mm <= WIDEST_SECTION_MM:
        reason = f"No road tire is {width_mm} mm wide."
        return found.refused(
            "width", reason, f"{NARROWEST_SECTION_MM} to {WIDEST_SECTION_MM} in steps of {METRIC_STEP}"
        )
    if isinstance(aspect, NotRead):
        return aspect
    rim, family = _rim(found), _metric_family(found)
    if isinstance(rim, NotRead):
        return rim
    if isinstance(family, NotRead):
        return family
    letter = found.parts["construction"].replace("-", "D")
    without_prefix = family is Family.PASSENGER_METRIC and not found.parts["prefix"]
    ambiguities = [Ambiguity.METRIC_WITHOUT_PREFIX] if without_prefix else []
    if found.parts["construction"] == "-":
        ambiguities.append(Ambiguity.DASH_READ_AS_BIAS)
    return Size(
        designation=_metric_designation(found, aspect, f"{letter}{rim:g}"),
        family=family,
        construction=_construction(found),
        section_width_m=width_mm * MILLIMETER_M,
        aspect_share=None if aspect is None else aspect / 100,
        rim_diameter_m=rim * INCH_M,
        overall_diameter_m=None,
        ambiguities=tuple(ambiguities),
        end=found.end,
        high_load=found.parts["prefix"] == "HL",
    )


def _metric_designation(found: _Found, aspect_percent: int | None, construction_and_rim: str) -> str:
    """Return a metric size as it is written: LT stands before the width where there is an aspect ratio."""
    prefix, suffix = found.parts["prefix"], found.suffix
    if "LT" in {prefix, suffix}:
        prefix, suffix = ("", "LT") if aspect_percent is None else ("LT", "")
    aspect = "" if aspect_percent is None else f"/{aspect_percent}"
    return f"{prefix}{found.parts['width']}{aspect}{construction_and_rim}{suffix}"


def _aspect_percent(found: _Found) -> int | NotRead | None:
    """Return the aspect ratio [%]; None where the size states none."""
    if "aspect" not in found.parts:
        return None
    aspect_percent = int(found.parts["aspect"])
    if aspect_percent % METRIC_STEP or not LEAST_ASPECT_PERCENT <= aspect_percent <= MOST_ASPECT_PERCENT:
        reason = f"No road tire has an aspect ratio of {aspect_percent}."
        expected = f"{LEAST_ASPECT_PERCENT} to {MOST_ASPECT_PERCENT} in steps of {METRIC_STEP}"
        return found.refused("aspect", reason, expected)
    return aspect_percent


def _metric_family(found: _Found) -> Family | NotRead:
    radial = _construction(found) is Construction.RADIAL
    rim = float(found.parts["rim"])
    prefix = found.parts["prefix"]
    if prefix == "LT" or found.suffix == "LT":
        return Family.LT_RADIAL if radial else Family.LT_BIAS
    if prefix == "ST":
        return Family.SPECIAL_TRAILER
    if found.suffix:
        return Family.CAMPER if found.suffix == "CP" else Family.COMMERCIAL
    if rim.is_integer():
        return {"P": Family.P_METRIC, "T": Family.TEMPORARY}.get(prefix, Family.PASSENGER_METRIC)
    if rim in TRUCK_RIMS and not prefix:
        return Family.TRUCK_RADIAL if radial else Family.TRUCK_BIAS
    return found.refused("rim", "No tire of this kind fits a half-inch rim of this size.", "a whole inch")


def _flotation(found: _Found) -> Size | NotRead:
    diameter_in, width_in = float(found.parts["diameter"]), float(found.parts["width"])
    rim = _rim(found)
    if isinstance(rim, NotRead):
        return rim
    if not rim + width_in * 0.5 < diameter_in:
        return found.refused("diameter", "The diameter leaves no room for a tire.", "more than the rim's")
    width = _width_in(found)
    if isinstance(width, NotRead):
        return width
    if found.suffix in {"C", "CP"}:
        return found.refused("rim", f"A flotation size carries no {found.suffix}.", "LT")
    marked = "LT" in {found.suffix, found.parts["prefix"]}
    if not marked and rim < SMALLEST_LIGHT_TRUCK_FLOTATION_RIM:
        reason = "Without LT a flotation size on so small a rim may be a trailer or garden tire."
        return found.refused("rim", reason, "LT behind the rim")
    sign = "-" if found.parts["construction"] in {"D", "-"} else found.parts["construction"]
    return Size(
        designation=f"{diameter_in:g}x{width_in:.2f}{sign}{rim:g}LT",
        family=Family.FLOTATION,
        construction=_construction(found),
        section_width_m=width_in * INCH_M,
        aspect_share=None,
        rim_diameter_m=rim * INCH_M,
        overall_diameter_m=diameter_in * INCH_M,
        ambiguities=() if marked else (Ambiguity.FLOTATION_WITHOUT_LT,),
        end=found.end,
    )


def _inch(found: _Found) -> Size | NotRead:
    rim, width, family = _rim(found), _width_in(found), _inch_family(found)
    if isinstance(rim, NotRead):
        return rim
    if isinstance(width, NotRead):
        return width
    if isinstance(family, NotRead):
        return family
    light_truck = family in {Family.LT_RADIAL, Family.LT_BIAS}
    sign = "-" if found.parts["construction"] in {"D", "-"} else found.parts["construction"]
    return Size(
        designation=f"{width}{sign}{rim:g}{'LT' if light_truck else found.suffix}",
        family=family,
        construction=_construction(found),
        section_width_m=float(width) * INCH_M,
        aspect_share=None,
        rim_diameter_m=rim * INCH_M,
        overall_diameter_m=None,
        ambiguities=(),
        end=found.end,
    )


def _inch_family(found: _Found) -> Family | NotRead:
    radial = _construction(found) is Construction.RADIAL
    rim = float(found.parts["rim"])
    if "LT" in {found.suffix, found.parts["prefix"]}:
        return Family.LT_RADIAL if radial else Family.LT_BIAS
    if found.suffix:
        return Family.CAMPER if found.suffix == "CP" else Family.COMMERCIAL
    if rim in TRUCK_RIMS or (rim.is_integer() and rim >= SMALLEST_WHOLE_INCH_TRUCK_RIM):
        return Family.TRUCK_RADIAL if radial else Family.TRUCK_BIAS
    reason = "Without LT or C this size may be a light-truck, commercial, trailer or old passenger tire."
    return found.refused("rim", reason, "LT or C behind the rim")


def _rim(found: _Found) -> float | NotRead:
    rim = float(found.parts["rim"])
    if SMALLEST_RIM <= rim <= LARGEST_RIM and (rim.is_integer() or rim in HALF_INCH_RIMS):
        return rim
    halves = ", ".join(f"{half:g}" for half in sorted(HALF_INCH_RIMS))
    return found.refused(
        "rim", f"There is no {rim:g} in rim.", f"{SMALLEST_RIM:g} to {LARGEST_RIM:g} whole, or {halves}"
    )


def _width_in(found: _Found) -> str | NotRead:
    """Return a section width in inches as it is written in a designation."""
    width_in = float(found.parts["width"])
    if not NARROWEST_SECTION_IN <= width_in <= WIDEST_SECTION_IN:
        reason = f"No road tire is {width_in:g} in wide."
        return found.refused("width", reason, f"{NARROWEST_SECTION_IN:g} to {WIDEST_SECTION_IN:g} in")
    return f"{width_in:.2f}" if "." in found.parts["width"] else f"{width_in:g}"


def _construction(found: _Found) -> Construction:
    letter = found.parts["construction"]
    if letter in {"R", "ZR"}:
        return Construction.RADIAL
    return Construction.BIAS_BELTED if letter == "B" else Construction.BIAS
