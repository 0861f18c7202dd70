"""The date code of a tire identification number: which week of which year it stands for, and which days those are.

How weeks are counted: 49 CFR 574.5 has week 01 begin on the first Sunday of the year, and every week run from
Sunday to Saturday, so that the last one may reach up to six days into the next year (from memory; the first
full week of the calendar year also as an owner's manual of a van maker has it, 2006). Makers who count by
ISO 8601 begin week 01 up to six days sooner or one day later. `DateReading` holds the days of both counts, so that
the doubt about a day is up to a week each way.
"""

from datetime import date, timedelta
from typing import Final

from msgspec import Struct

DATE_LENGTH: Final = 4
FORMER_DATE_LENGTH: Final = 3
FIRST_DAY: Final = date(1971, 5, 22)
"""Day from which identification numbers were asked for (from memory)."""
FIRST_FOUR_DIGIT_DAY: Final = date(2000, 7, 2)
"""Day from which the date has four digits: a Sunday; 64 FR 36807 (8 July 1999), the day from memory."""
CENTURY: Final = 2000
YEARS_OF_DECADE: Final = 10
DAYS_OF_WEEK: Final = 7
LONGEST_YEAR_WEEKS: Final = 53
ISO_WEEK_1_DAY: Final = 4
"""ISO 8601: week 01 holds 4 January, and weeks begin on Monday."""


class DateReading(Struct, frozen=True):
    """One week that a date code may stand for: its number, its year, its first and last day.

    ``week_begins`` is its Sunday by 49 CFR 574.5, None where the year has no such week by that count; ``first_day``
    and ``last_day`` also cover a count by ISO 8601.
    """

    week: int
    year: int
    week_begins: date | None
    first_day: date
    last_day: date


def weeks_of(week: int, year: int) -> DateReading | None:
    """Return the days that a week of a year may stand for; None where the year has no such week by either count.

    Parameters
    ----------
    week : int
        Number of the week [1], from 1.
    year : int
        Year of the Gregorian calendar [1].

    Examples
    --------
    >>> reading = weeks_of(27, 2000)
    >>> str(reading.week_begins), str(reading.first_day), str(reading.last_day)
    ('2000-07-02', '2000-07-02', '2000-07-09')
    >>> weeks_of(53, 2019) is None
    True

    """
    if not 1 <= week <= LONGEST_YEAR_WEEKS:
        return None
    offset = timedelta(days=DAYS_OF_WEEK * (week - 1))
    by_rule = _first_sunday(year) + offset
    by_iso = _first_iso_monday(year) + offset
    in_rule = by_rule.year == year
    in_iso = by_iso < _first_iso_monday(year + 1)
    starts = [start for start, exists in ((by_rule, in_rule), (by_iso, in_iso)) if exists]
    if not starts:
        return None
    last = max(starts) + timedelta(days=DAYS_OF_WEEK - 1)
    return DateReading(week, year, by_rule if in_rule else None, min(starts), last)


def weeks_of_code(code: str) -> tuple[DateReading, ...]:
    """Return the weeks that a date code may stand for, rising; none where there is no such week.

    Parameters
    ----------
    code : str
        Two digits for the week and two for the year, or one for the year of a tire made before July 2000.

    Examples
    --------
    >>> [(each.week, each.year) for each in weeks_of_code("317")]
    [(31, 1977), (31, 1987), (31, 1997)]

    """
    week, year = int(code[:2]), int(code[2:])
    if len(code) == DATE_LENGTH:
        reading = weeks_of(week, CENTURY + year)
        return () if reading is None else (reading,)
    years = (each for each in range(FIRST_DAY.year, FIRST_FOUR_DIGIT_DAY.year + 1) if each % YEARS_OF_DECADE == year)
    readings = (weeks_of(week, each) for each in years)
    return tuple(
        each
        for each in readings
        if each is not None and each.first_day < FIRST_FOUR_DIGIT_DAY and each.last_day >= FIRST_DAY
    )


def _first_sunday(year: int) -> date:
    new_year = date(year, 1, 1)
    return new_year + timedelta(days=-new_year.isoweekday() % DAYS_OF_WEEK)


def _first_iso_monday(year: int) -> date:
    inside = date(year, 1, ISO_WEEK_1_DAY)
    return inside - timedelta(days=inside.weekday())
