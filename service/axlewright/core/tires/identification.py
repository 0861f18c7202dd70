"""The tire identification number: which plant made a tire, and in which week."""

import re
from datetime import date
from enum import StrEnum
from typing import Final

from msgspec import Struct

from axlewright.core.tires.date_code import (
    CENTURY,
    DATE_LENGTH,
    FIRST_DAY,
    FORMER_DATE_LENGTH,
    DateReading,
    weeks_of_code,
)
from axlewright.core.tires.size import NotRead

LONGEST_TEXT: Final = 40
SYMBOLS: Final = frozenset("ABCDEFHJKLMNPRTUVWXY0123456789")
"""Symbols of an identification number: G, I, O, Q, S and Z are not used.

Source: 49 CFR 574.5, list of symbols (from memory).
"""
MEANT_INSTEAD: Final = {"O": "0", "Q": "0", "I": "1", "S": "5", "Z": "2", "G": "6"}
"""The digit that a letter which is not used is mostly misread for; common practice, no source."""
CURRENT_LENGTH: Final = 13
"""Symbols of a new tire's number: three for the plant, six of the maker's own, four for the date.

Source: 49 CFR 574.5(a)(1) and (b), as amended by 80 FR 19553 (13 April 2015).
"""
CURRENT_PARTIAL_LENGTH: Final = 9
RETREAD_LENGTH: Final = 7
"""Symbols of a retreaded tire's number: three for the retreader, four for the date; 49 CFR 574.5(a)(2)."""
LONGEST_WITH_THREE_DIGITS: Final = 11
"""Two for the plant, up to two for the size, up to four of the maker's own, three for the date (from memory)."""
SHORTEST_PARTIAL: Final = 4
SHORTEST_BEFORE_DATE: Final = {FORMER_DATE_LENGTH: 3, DATE_LENGTH: 2}
"""Symbols that stand at least before a date of three or of four digits in a number without gaps (judgement)."""
PLANT_LENGTHS: Final = (2, 3)
TRIANGLES: Final = "◁◀◄△▲"
"""Signs for the small triangle that is raised behind three digits."""
TRIANGLE_YEARS: Final = range(1990, 2000)
"""The decade that the triangle marks; from memory."""
LEAST_DOUBTED_YEAR: Final = CENTURY + FIRST_DAY.year % 100
"""2071: from here on the two digits are also those of a year before 2000 that had numbers (judgement)."""


class Layout(StrEnum):
    """How a number is laid out.

    ``current``: thirteen symbols, three of them the plant's. ``former``: two for the plant, the length not fixed.
    ``retread``: three for the retreader and the date. ``date_only``: no more than the date code was given.
    ``without_date``: the partial number that stands on one side of a tire, 49 CFR 571.139 S5.5.1 (from memory).
    """

    CURRENT = "current"
    FORMER = "former"
    RETREAD = "retread"
    DATE_ONLY = "date_only"
    WITHOUT_DATE = "without_date"


class Doubt(StrEnum):
    """What a number leaves open.

    ``decade_open``: the year has one digit, so the decade is not marked. ``three_digits_possible``: written without
    gaps, the last three digits alone might be the date of a tire made before July 2000. ``partial_possible``: up to
    nine symbols without gaps may also be a partial number that ends in digits. ``retread_possible``: seven symbols may
    be a retreader's number. ``year_to_come``: the week has not begun on the day asked for; where none was, the year
    is 2071 or later, whose two digits may be meant for one of the last century.
    """

    DECADE_OPEN = "decade_open"
    THREE_DIGITS_POSSIBLE = "three_digits_possible"
    PARTIAL_POSSIBLE = "partial_possible"
    RETREAD_POSSIBLE = "retread_possible"
    YEAR_TO_COME = "year_to_come"


class DateUnknown(StrEnum):
    """Why a number gives no date: the full number, with the date, is on the other side of the tire."""

    ON_OTHER_SIDE = "on_other_side"


class Identification(Struct, frozen=True):
    """A tire identification number as read.

    ``symbols`` is the number without DOT and gaps; ``plant_code`` None where its length is not known. ``dates``
    rise; there is more than one where the decade is open, and none where ``date_unknown_because`` says why.
    A retread's date is that of retreading, not of the casing.
    """

    symbols: str
    layout: Layout
    plant_code: str | None
    dates: tuple[DateReading, ...]
    date_unknown_because: DateUnknown | None
    doubts: tuple[Doubt, ...]

    @property
    def first_day(self) -> date | None:
        """The first possible day of manufacture."""
        return self.dates[0].first_day if self.dates else None

    @property
    def last_day(self) -> date | None:
        """The last possible day of manufacture."""
        return self.dates[-1].last_day if self.dates else None


class _Group(Struct, frozen=True):
    """Symbols that stand together, and the place where they begin."""

    text: str
    place: int


_PREFIX: Final = re.compile(r"\s*(?:DOT)?\s*[-:]?\s*")
_RETREAD_MARK: Final = re.compile(r"R(?=[\s-])\s*[-]?\s*")
_GROUP: Final = re.compile(r"[^\s-]+")
_TRIANGLE: Final = re.compile(rf"\s*(?P<sign>[{TRIANGLES}])\s*\Z")
_EXPECTED_SYMBOL: Final = "a digit or a letter, none of G, I, O, Q, S and Z"
_EXPECTED_NUMBER: Final = (
    "13 symbols, or 7 of a retread, or 6 to 12 of the former layout; a partial number; or a date of 3 or 4 digits"
)


class _Ending(Struct, frozen=True):
    """What decides how the end of a number is read: the day on which it was seen, and a triangle behind it."""

    on: date | None
    triangle_place: int | None

    def readings(self, code: str) -> tuple[DateReading, ...]:
        """Return the weeks that a date code may stand for."""
        readings = weeks_of_code(code)
        if self.triangle_place is None:
            return readings
        return tuple(each for each in readings if each.year in TRIANGLE_YEARS)

    def has_begun(self, readings: tuple[DateReading, ...]) -> bool:
        """Return whether one of some weeks has begun on the day; without a day all have."""
        return any(self.on is None or each.first_day <= self.on for each in readings)

    def is_to_come(self, readings: tuple[DateReading, ...]) -> bool:
        """Return whether no week has begun on the day, or, without a day, the year may be meant for another."""
        return not self.has_begun(readings) or (self.on is None and readings[0].year >= LEAST_DOUBTED_YEAR)


def read_identification(text: str, on: date | None = None) -> Identification | NotRead:
    """Return what a tire identification number says, or why it cannot be read; nothing is guessed.

    Parameters
    ----------
    text : str
        The number with or without DOT, spaces and hyphens; or a partial one; or its date code alone. A triangle
        behind three digits marks the 1990s.
    on : datetime.date, optional
        The day on which it was seen: of a number written without a gap, four digits whose week has not begun by then
        are no date, and the last three are.

    Returns
    -------
    Identification or NotRead
        Plant code, week and year; or the place in the text where reading stopped, and what was expected there.

    Notes
    -----
    Source: 49 CFR 574.5 as amended by 80 FR 19553 (2015) and 64 FR 36807 (1999); the former layout from memory.

    Examples
    --------
    >>> read = read_identification("DOT 1AB 2C 3D4E 2519")
    >>> read.plant_code, read.dates[0].week, read.dates[0].year, str(read.dates[0].week_begins)
    ('1AB', 25, 2019, '2019-06-23')
    >>> [each.year for each in read_identification("AB CD EF1 031").dates]
    [1981, 1991]
    >>> [each.year for each in read_identification("AB CD EF1031", date(2026, 5, 14)).dates]
    [1981, 1991]
    >>> [each.year for each in read_identification("AB CD EF 031\N{BLACK LEFT-POINTING POINTER}").dates]
    [1991]

    """
    triangle = _TRIANGLE.search(text)
    written = text if triangle is None else text[: triangle.start()]
    foreign = next((place for place, sign in enumerate(written) if not sign.isascii()), len(written))
    if foreign < len(written) or len(text) > LONGEST_TEXT:
        place = min(foreign, LONGEST_TEXT)
        return NotRead(text, place, f"A number has at most {LONGEST_TEXT} Latin letters and digits.", _EXPECTED_NUMBER)
    upper = written.upper()
    start = _end(_PREFIX, upper, 0)
    retread = _RETREAD_MARK.match(upper, start)
    begin = start if retread is None else retread.end()
    groups = tuple(_Group(match[0], match.start()) for match in _GROUP.finditer(upper, begin))
    for group in groups:
        for offset, symbol in enumerate(group.text):
            if symbol not in SYMBOLS:
                return _wrong_symbol(text, group.place + offset, symbol)
    if not groups:
        return NotRead(text, min(begin, len(written)), "There is no number.", _EXPECTED_NUMBER)
    read = _read(groups, retread is not None, _Ending(on, None if triangle is None else triangle.start("sign")))
    return read if isinstance(read, Identification) else NotRead(text, *read)


def _end(pattern: re.Pattern[str], text: str, place: int) -> int:
    match = pattern.match(text, place)
    return place if match is None else match.end()


def _wrong_symbol(text: str, place: int, symbol: str) -> NotRead:
    if symbol in MEANT_INSTEAD:
        reason = f"{symbol} is not used in identification numbers; it may be a {MEANT_INSTEAD[symbol]}."
        return NotRead(text, place, reason, _EXPECTED_SYMBOL)
    return NotRead(text, place, f"{symbol} does not belong in an identification number.", _EXPECTED_SYMBOL)


def _read(groups: tuple[_Group, ...], retread: bool, ending: _Ending) -> Identification | tuple[int, str, str]:
    symbols = "".join(group.text for group in groups)
    if not FORMER_DATE_LENGTH <= len(symbols) <= CURRENT_LENGTH:
        return groups[0].place, f"No identification number has {len(symbols)} symbols.", _EXPECTED_NUMBER
    if len(groups) > 1 and len(groups[0].text) < PLANT_LENGTHS[0]:
        return groups[0].place, "A plant code has more than one symbol.", "a plant code of two or three symbols"
    digits = _date_digits(groups, symbols, ending)
    if ending.triangle_place is not None and digits != FORMER_DATE_LENGTH:
        return ending.triangle_place, "A triangle stands behind a date of three digits.", "three digits before it"
    if digits is None:
        return _without_date(groups, symbols)
    dates = ending.readings(symbols[-digits:])
    if not dates:
        return _place_of(groups, len(symbols) - digits), *_no_such_week(symbols[-digits:])
    is_marked_off = len(groups[-1].text) == digits or ending.triangle_place is not None
    return Identification(
        symbols=symbols,
        layout=_layout(groups, symbols, digits, retread),
        plant_code=_plant_code(groups, symbols, digits, retread),
        dates=dates,
        date_unknown_because=None,
        doubts=(
            *((Doubt.DECADE_OPEN,) if len(dates) > 1 else ()),
            *(() if is_marked_off else _doubts_without_gap(symbols, digits, retread)),
            *((Doubt.YEAR_TO_COME,) if ending.is_to_come(dates) else ()),
        ),
    )


def _date_digits(groups: tuple[_Group, ...], symbols: str, ending: _Ending) -> int | None:
    """Return how many digits at the end are the date: four, three, or None where there is no date.

    A last group of three or four digits is the date. In a number written without a gap before it four digits are
    taken, if they make a week that has begun, else three; before a triangle three.
    """
    last = groups[-1].text
    if last.isdigit() and len(last) in SHORTEST_BEFORE_DATE:
        return len(last)
    if len(groups) > 1 and len(groups[0].text) == PLANT_LENGTHS[1] and len(symbols) == CURRENT_PARTIAL_LENGTH:
        return None
    possible = [
        digits
        for digits, before in SHORTEST_BEFORE_DATE.items()
        if len(last) > digits
        and len(symbols) - digits >= before
        and last[-digits:].isdigit()
        and (digits == DATE_LENGTH or len(symbols) <= LONGEST_WITH_THREE_DIGITS)
        and (digits == FORMER_DATE_LENGTH or ending.triangle_place is None)
    ]
    weeks = [digits for digits in possible if ending.readings(last[-digits:])]
    begun = [digits for digits in weeks if ending.has_begun(ending.readings(last[-digits:]))]
    return max(begun or weeks or possible, default=None)


def _no_such_week(code: str) -> tuple[str, str]:
    week = int(code[:2])
    expected = "a week from 01 to 52, 53 only in a year that has it, then the year"
    return f"There is no week {week:02d} in the year that {code} names.", expected


def _without_date(groups: tuple[_Group, ...], symbols: str) -> Identification | tuple[int, str, str]:
    if len(symbols) < SHORTEST_PARTIAL or symbols.isdigit():
        reason = f"{symbols} is neither a date nor a partial number."
        return groups[0].place, reason, _EXPECTED_NUMBER
    if len(symbols) > CURRENT_PARTIAL_LENGTH:
        place = _place_of(groups, len(symbols) - DATE_LENGTH)
        return place, "So long a number ends in its date.", "two digits for the week and two for the year"
    plant_code = symbols[:3] if len(symbols) == CURRENT_PARTIAL_LENGTH else _first_group(groups)
    return Identification(symbols, Layout.WITHOUT_DATE, plant_code, (), DateUnknown.ON_OTHER_SIDE, ())


def _layout(groups: tuple[_Group, ...], symbols: str, digits: int, retread: bool) -> Layout:
    if len(symbols) == digits:
        return Layout.DATE_ONLY
    if len(symbols) == CURRENT_LENGTH:
        return Layout.CURRENT
    first = _first_group(groups)
    alone = len(groups) == len(("plant", "date")) and first is not None and len(first) == PLANT_LENGTHS[1]
    return Layout.RETREAD if retread or (alone and len(symbols) == RETREAD_LENGTH) else Layout.FORMER


def _plant_code(groups: tuple[_Group, ...], symbols: str, digits: int, retread: bool) -> str | None:
    layout = _layout(groups, symbols, digits, retread)
    if layout is Layout.DATE_ONLY:
        return None
    if layout in (Layout.CURRENT, Layout.RETREAD):
        return symbols[: PLANT_LENGTHS[1]]
    if len(groups) == 1 and len(symbols) == RETREAD_LENGTH:
        return None
    return _first_group(groups) or symbols[: PLANT_LENGTHS[0]]


def _first_group(groups: tuple[_Group, ...]) -> str | None:
    """Return the first group where it is as long as a plant code and others follow."""
    first = groups[0].text
    return first if len(groups) > 1 and len(first) in PLANT_LENGTHS else None


def _doubts_without_gap(symbols: str, digits: int, retread: bool) -> tuple[Doubt, ...]:
    """Return what a number leaves open whose date is not set apart by a gap or a triangle."""
    found = {
        Doubt.THREE_DIGITS_POSSIBLE: digits == DATE_LENGTH
        and len(symbols) <= LONGEST_WITH_THREE_DIGITS
        and bool(weeks_of_code(symbols[-FORMER_DATE_LENGTH:])),
        Doubt.PARTIAL_POSSIBLE: len(symbols) <= CURRENT_PARTIAL_LENGTH,
        Doubt.RETREAD_POSSIBLE: not retread and len(symbols) == RETREAD_LENGTH,
    }
    return tuple(doubt for doubt, holds in found.items() if holds)


def _place_of(groups: tuple[_Group, ...], index: int) -> int:
    """Return the place in the text of a symbol by its place in the number."""
    passed = 0
    for group in groups:
        if index < passed + len(group.text):
            return group.place + index - passed
        passed += len(group.text)
    return groups[-1].place
