"""What a sidewall marking says: size, load range and service description."""

import re
from functools import lru_cache
from typing import Final, Literal, TypeAlias

from msgspec import Struct

from axlewright.core.tires.family import PASSENGER_DERATE, Family, is_passenger_car_tire
from axlewright.core.tires.load_index import LARGEST_INDEX
from axlewright.core.tires.load_range import LETTERS_BY_PLY_RATING, PLY_RATINGS
from axlewright.core.tires.size import Ambiguity, Construction, NotRead, Size, read_size
from axlewright.core.tires.speed_symbol import SPEEDS_KM_PER_H

__all__ = [
    "PASSENGER_DERATE",
    "Ambiguity",
    "Construction",
    "Family",
    "Marking",
    "NotRead",
    "ServiceDescription",
    "is_passenger_car_tire",
    "read_marking",
]

LoadVersion: TypeAlias = Literal["light", "standard", "extra", "high"]

LONGEST_TEXT: Final = 80
LEAST_COMMERCIAL_INDEX: Final = 122
"""Load index from which a tire is of class C3, heavy commercial.

Source: UN Regulation No. 117, classes of tires (from memory).
"""


class ServiceDescription(Struct, frozen=True):
    """Load index for single, or for single and dual fitting; speed symbol, None if not marked."""

    load_indices: tuple[int, ...]
    speed_symbol: str | None


class Marking(Struct, frozen=True):
    """A sidewall marking as read.

    ``designation`` is the normalised size (`LT235/85R16`, `225/75R16CP`, `7.50-16LT`, `31x10.50R15LT`);
    dimensions [m] are nominal, ``aspect_share`` is a share of the width, and what is not marked is None.
    ``load_indices`` holds the one for single fitting, then the one for dual fitting, if marked.
    ``load_version`` is high where HL stands before the size.
    ``second_service`` is the additional service description, where there are two. ``ambiguities`` says what
    the marking leaves open.
    """

    designation: str
    family: Family
    construction: Construction
    section_width_m: float
    aspect_share: float | None
    rim_diameter_m: float
    overall_diameter_m: float | None
    load_range: str | None
    load_version: LoadVersion | None
    load_indices: tuple[int, ...] | None
    speed_symbol: str | None
    second_service: ServiceDescription | None
    ambiguities: tuple[Ambiguity, ...]


class _Mark(Struct, frozen=True):
    """One mark behind the size: what kind it is, what it says, and where it stands."""

    kind: Literal["load_range", "ply", "version", "service", "other"]
    place: int
    value: str | ServiceDescription
    letter_apart: bool = False


_SIGNS: Final = str.maketrans({"×": "X", "\u2010": "-", "\u2011": "-", "\u2013": "-", "\u2212": "-"})
_PLACE: Final = re.compile(r"\s*")
_VERSION: Final = re.compile(r"(XL|RF|SL|LL|EXTRA\s+LOAD|REINFORCED)(?![A-Z0-9])")
_PLY: Final = re.compile(r"([0-9]{1,2})\s*(?:PR|PLY)(?![A-Z0-9])")
_LOAD_RANGE: Final = re.compile(r"(?:LOAD\s+RANGE\s*|LR\s*|/\s*)?([A-Z])(?![A-Z])")
_SERVICE: Final = re.compile(
    r"(?P<open>\()?\s*(?P<single>[0-9]{1,3})(?![0-9])(?:\s*/\s*(?P<dual>[0-9]{1,3})(?![0-9]))?"
    r"(?:(?P<gap>\s*)(?P<symbol>A[1-8]|[A-Z])(?![A-Z0-9]))?\s*(?P<close>\))?"
)
_OTHER: Final = re.compile(r"(TUBELESS|TL|TUBE\s*TYPE|TT|M\s*[+/&]\s*S)(?![A-Z0-9])")
_VERSIONS: Final[dict[str, LoadVersion]] = {"LL": "light", "SL": "standard"}
_EXPECTED: Final = (
    "a load range (E, LR E, load range E), a ply rating (10PR), XL, SL, LL or RF, "
    "a service description (120/116R), TL, TT or M+S, or the end"
)


@lru_cache(maxsize=4096)
def read_marking(text: str) -> Marking | NotRead:
    """Return what a sidewall marking says, or why it cannot be read; nothing is guessed.

    Parameters
    ----------
    text : str
        Designation, with load range, ply rating and service description if marked; spaces and case do not
        matter, except where a space makes a letter ambiguous.

    Returns
    -------
    Marking or NotRead
        Every figure of the marking, or the place and the reason where reading stopped.

    Notes
    -----
    Source: Tire and Rim Association, ISO 4000-1 and ISO 4223-1 designations as owner manuals of vehicle
    makers describe them; service descriptions by UN Regulations No. 30 and No. 54.

    Examples
    --------
    >>> marking = read_marking("lt 235/85 r16 e 120/116R")
    >>> marking.designation, marking.family.value, marking.load_range, marking.load_indices
    ('LT235/85R16', 'lt_radial', 'E', (120, 116))
    >>> read_marking("235/85/16").expected
    'R, ZR, D or B, or a dash'

    """
    cleaned = re.sub("(?<=[0-9]),(?=[0-9])", ".", text.translate(_SIGNS)).upper()
    if len(text) > LONGEST_TEXT or not cleaned.isascii():
        reason = f"A marking has at most {LONGEST_TEXT} characters, all of them Latin letters, digits and signs."
        return NotRead(text, 0, reason, "a size such as LT235/85R16")
    size = read_size(cleaned)
    if isinstance(size, NotRead):
        return _as_given(size, text)
    marks = _marks(cleaned, size.end)
    marking = marks if isinstance(marks, NotRead) else _marking(cleaned, size, marks)
    return _as_given(marking, text) if isinstance(marking, NotRead) else marking


def _as_given(refusal: NotRead, text: str) -> NotRead:
    return NotRead(text, refusal.position, refusal.reason, refusal.expected)


def _marks(text: str, begin: int) -> list[_Mark] | NotRead:
    marks: list[_Mark] = []
    place = _after_spaces(text, begin)
    while place < len(text):
        read = _mark(text, place)
        if isinstance(read, NotRead):
            return read
        mark, end = read
        if mark.kind != "other" and sum(earlier.kind == mark.kind for earlier in marks) > (mark.kind == "service"):
            return NotRead(text, place, "This is marked more often than it can be.", "the end")
        marks.append(mark)
        place = _after_spaces(text, end)
    return marks


def _after_spaces(text: str, place: int) -> int:
    match = _PLACE.match(text, place)
    return place if match is None else match.end()


def _mark(text: str, place: int) -> tuple[_Mark, int] | NotRead:
    if match := _VERSION.match(text, place):
        return _Mark("version", place, _VERSIONS.get(match[1], "extra")), match.end()
    if match := _OTHER.match(text, place):
        return _Mark("other", place, match[1]), match.end()
    if match := _PLY.match(text, place):
        letter = LETTERS_BY_PLY_RATING.get(int(match[1]))
        if letter is None:
            return NotRead(text, place, f"There is no ply rating {match[1]}.", "an even number from 2 to 24")
        return _Mark("ply", place, letter), match.end()
    if match := _LOAD_RANGE.match(text, place):
        if match[1] not in PLY_RATINGS:
            return NotRead(text, match.start(1), f"There is no load range {match[1]}.", " ".join(PLY_RATINGS))
        return _Mark("load_range", place, match[1]), match.end()
    if match := _SERVICE.match(text, place):
        return _service(text, place, match)
    return NotRead(text, place, "What follows the size cannot be read.", _EXPECTED)


def _service(text: str, place: int, match: re.Match[str]) -> tuple[_Mark, int] | NotRead:
    indices = tuple(int(match[name]) for name in ("single", "dual") if match[name])
    symbol = match["symbol"]
    if bool(match["open"]) != bool(match["close"]):
        return NotRead(text, place, "A bracket stands alone.", "both brackets or none")
    if max(indices) > LARGEST_INDEX:
        return NotRead(text, place, f"There is no load index above {LARGEST_INDEX}.", f"0 to {LARGEST_INDEX}")
    if indices[-1] > indices[0]:
        reason = f"The load index for dual fitting, {indices[1]}, is above the one for single, {indices[0]}."
        return NotRead(text, place, reason, "single/dual, the dual one not above the single")
    if symbol is not None and symbol not in SPEEDS_KM_PER_H:
        return NotRead(text, match.start("symbol"), f"There is no speed symbol {symbol}.", "B to Y, A1 to A8")
    description = ServiceDescription(indices, symbol)
    return _Mark("service", place, description, bool(match["gap"]) and symbol is not None), match.end()


def _marking(text: str, size: Size, marks: list[_Mark]) -> Marking | NotRead:
    refusal = _contradiction(text, size, marks)
    if refusal is not None:
        return refusal
    services = [mark.value for mark in marks if isinstance(mark.value, ServiceDescription)]
    letters = [mark.value for mark in marks if mark.kind in {"load_range", "ply"} and isinstance(mark.value, str)]
    versions = [mark.value for mark in marks if mark.kind == "version"]
    first = services[0] if services else None
    return Marking(
        designation=size.designation,
        family=size.family,
        construction=size.construction,
        section_width_m=size.section_width_m,
        aspect_share=size.aspect_share,
        rim_diameter_m=size.rim_diameter_m,
        overall_diameter_m=size.overall_diameter_m,
        load_range=letters[0] if letters else None,
        load_version="high" if size.high_load else _version(versions[0]) if versions else None,
        load_indices=first.load_indices if first else None,
        speed_symbol=first.speed_symbol if first else None,
        second_service=services[1] if len(services) > 1 else None,
        ambiguities=size.ambiguities,
    )


def _contradiction(text: str, size: Size, marks: list[_Mark]) -> NotRead | None:
    """Return the first mark that the size or another mark contradicts."""
    letters = [mark for mark in marks if mark.kind in {"load_range", "ply"}]
    if len({mark.value for mark in letters}) > 1:
        return NotRead(text, letters[-1].place, "Load range and ply rating contradict.", "one of them")
    versions = [mark for mark in marks if mark.kind == "version"]
    if size.high_load and versions:
        return NotRead(text, versions[0].place, "HL before the size is a load version already.", "none behind it")
    check = _against_passenger_tire if is_passenger_car_tire(size.family) else _against_truck_tire
    for mark in marks:
        refusal = check(text, size.family, mark, bool(letters))
        if refusal is not None:
            return refusal
    return None


def _against_passenger_tire(text: str, family: Family, mark: _Mark, _lettered: bool) -> NotRead | None:
    if mark.kind in {"load_range", "ply"}:
        what = "ply rating" if mark.kind == "ply" else "load range letter"
        reason = f"A passenger-car tire has no {what}; light-truck, trailer and commercial tires have."
        expected = "LT or ST before the size, C behind it, or no load range and no ply rating"
        return NotRead(text, mark.place, reason, expected)
    if isinstance(mark.value, ServiceDescription):
        return _against_passenger_service(text, mark.place, mark.value)
    if (mark.value == "light" and family is not Family.P_METRIC) or family is Family.TEMPORARY:
        return NotRead(text, mark.place, "This load version does not exist for this family.", "none")
    return None


def _against_passenger_service(text: str, place: int, service: ServiceDescription) -> NotRead | None:
    if len(service.load_indices) > 1:
        reason = "A passenger-car tire has no load index for dual fitting."
        return NotRead(text, place, reason, "LT or ST before the size, C behind it, or one index")
    if service.load_indices[0] >= LEAST_COMMERCIAL_INDEX:
        reason = f"A load index of {LEAST_COMMERCIAL_INDEX} or more belongs to a commercial tire."
        return NotRead(text, place, reason, "LT or ST before the size, C behind it, or a lower index")
    return None


def _against_truck_tire(text: str, _family: Family, mark: _Mark, lettered: bool) -> NotRead | None:
    if mark.kind == "version":
        return NotRead(text, mark.place, "XL, SL, LL and RF belong to passenger-car tires.", "a load range")
    if not isinstance(mark.value, ServiceDescription) or not mark.letter_apart or lettered:
        return None
    if mark.value.speed_symbol in PLY_RATINGS:
        reason = f"{mark.value.speed_symbol} behind a space may be the speed symbol or the load range."
        return NotRead(text, mark.place, reason, "no space before a speed symbol, LR before a load range")
    return None


def _version(value: str | ServiceDescription) -> LoadVersion:
    return "light" if value == "light" else "standard" if value == "standard" else "extra"
