"""Tire identification numbers against 49 CFR 574.5 and what owner's manuals print.

Days of weeks: hand, by the calendar (1 January 2000 was a Saturday, 1 January 2015 a Thursday).
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.tires.age import (
    ADVICE,
    Age,
    AgeUnknown,
    advice_at,
    age_on,
    completed_years,
)
from axlewright.core.tires.date_code import weeks_of
from axlewright.core.tires.identification import DateUnknown, Doubt, Identification, Layout, read_identification
from axlewright.core.tires.size import NotRead
from axlewright.core.upkeep.rules import months_after


def identified(text: str) -> Identification:
    """Return a number that can be read."""
    read = read_identification(text)
    assert isinstance(read, Identification), read
    return read


def week_and_years(text: str) -> list[tuple[int, int]]:
    return [(each.week, each.year) for each in identified(text).dates]


# Published: owner's manual of a van maker (2006), page 197: 0301 is the 3rd week of 2001, 031 the 3rd of 1981 or
# 1991; owner information of a vehicle maker: 2501 is week 25 of 2001, and 3119 week 31 of 2019.
@pytest.mark.parametrize(
    ("text", "weeks"),
    [
        ("0301", [(3, 2001)]),
        ("2501", [(25, 2001)]),
        ("3119", [(31, 2019)]),
        ("031", [(3, 1981), (3, 1991)]),
        ("317", [(31, 1977), (31, 1987), (31, 1997)]),
    ],
)
def test_a_date_code_is_read_as_owners_manuals_explain_it(text: str, weeks: list[tuple[int, int]]) -> None:
    assert week_and_years(text) == weeks
    assert week_and_years(f"DOT AB CD {text}") == weeks


# Invented numbers in the layouts of 49 CFR 574.5: text -> layout, plant code, week and years.
@pytest.mark.parametrize(
    ("text", "layout", "plant_code", "weeks"),
    [
        ("DOT 1AB 2C3D4E 2519", "current", "1AB", [(25, 2019)]),
        ("DOT 1AB 2C 3D4E 2519", "current", "1AB", [(25, 2019)]),
        ("1AB2C3D4E2519", "current", "1AB", [(25, 2019)]),
        ("dot-1ab-2c3d4e-2519", "current", "1AB", [(25, 2019)]),
        ("DOT: AB CD EFHJ 0105", "former", "AB", [(1, 2005)]),
        ("DOTABCDEFHJ0105", "former", "AB", [(1, 2005)]),
        ("AB CD 0105", "former", "AB", [(1, 2005)]),
        ("AB CD EF 237", "former", "AB", [(23, 1977), (23, 1987), (23, 1997)]),
        ("ABCDEF237", "former", "AB", [(23, 1977), (23, 1987), (23, 1997)]),
        ("DOT-R ABC 2519", "retread", "ABC", [(25, 2019)]),
        ("DOT R ABC 2519", "retread", "ABC", [(25, 2019)]),
        ("R ABC 2519", "retread", "ABC", [(25, 2019)]),
        ("ABC 2519", "retread", "ABC", [(25, 2019)]),
        ("R ABC CD 237", "retread", "ABC", [(23, 1977), (23, 1987), (23, 1997)]),
        ("2519", "date_only", None, [(25, 2019)]),
        ("DOT 2519", "date_only", None, [(25, 2019)]),
    ],
)
def test_every_layout_gives_its_plant_and_week(
    text: str, layout: str, plant_code: str | None, weeks: list[tuple[int, int]]
) -> None:
    read = identified(text)
    assert (read.layout, read.plant_code) == (layout, plant_code)
    assert week_and_years(text) == weeks
    assert read.date_unknown_because is None


@pytest.mark.parametrize(
    ("text", "plant_code"),
    [
        ("DOT 1AB 2C3D4E", "1AB"),
        ("DOT 1AB 2C", "1AB"),
        ("AB CD", "AB"),
        ("AB CD EFHJ", "AB"),
        ("ABCDEFHJ", None),
        ("1AB 2C3125", "1AB"),  # nine symbols, three of them apart: a partial number of the current layout
        ("A317", None),
    ],
)
def test_a_number_without_a_date_says_that_the_date_is_on_the_other_side(text: str, plant_code: str | None) -> None:
    """From memory: 49 CFR 571.139 S5.5.1, full number on one side, full or partial on the other."""
    read = identified(text)
    assert read.layout is Layout.WITHOUT_DATE
    assert read.plant_code == plant_code
    assert read.dates == ()
    assert (read.first_day, read.last_day) == (None, None)
    assert read.date_unknown_because is DateUnknown.ON_OTHER_SIDE
    assert age_on(read, date(2026, 1, 1)) is AgeUnknown.ON_OTHER_SIDE


@pytest.mark.parametrize(
    ("text", "doubts"),
    [
        ("AB CD EFHJ 2505", set()),
        ("1AB2C3D4E2505", set()),
        ("ABCDEFHJ0105", set()),  # 12 symbols: too long for three digits
        ("ABCDEFH0105", {Doubt.THREE_DIGITS_POSSIBLE}),
        ("ABCDEFH5417", {Doubt.DECADE_OPEN}),  # there is no week 54
        ("ABCDE0105", {Doubt.THREE_DIGITS_POSSIBLE, Doubt.PARTIAL_POSSIBLE}),
        ("ABC0105", {Doubt.THREE_DIGITS_POSSIBLE, Doubt.PARTIAL_POSSIBLE, Doubt.RETREAD_POSSIBLE}),
        ("031", {Doubt.DECADE_OPEN}),
        ("302", {Doubt.DECADE_OPEN}),
    ],
)
def test_what_a_number_leaves_open_is_reported(text: str, doubts: set[Doubt]) -> None:
    assert set(identified(text).doubts) == doubts


def test_a_week_runs_from_the_first_sunday_of_the_year_by_the_regulation() -> None:
    """Hand: 2 January 2000 was a Sunday; 26 weeks on is 2 July 2000, the day from which four digits are asked for."""
    first = weeks_of(1, 2000)
    assert first is not None
    assert first.week_begins == date(2000, 1, 2)
    change = weeks_of(27, 2000)
    assert change is not None
    assert change.week_begins == date(2000, 7, 2)
    # hand: 4 January 2015 was a Sunday, so week 01; by ISO 8601 week 01 of 2015 began on Monday 29 December 2014
    of_2015 = weeks_of(1, 2015)
    assert of_2015 is not None
    assert (of_2015.week_begins, of_2015.first_day, of_2015.last_day) == (
        date(2015, 1, 4),
        date(2014, 12, 29),
        date(2015, 1, 10),
    )


def test_the_last_week_reaches_into_the_next_year_and_week_53_only_where_a_count_has_it() -> None:
    """Hand: 2012 began on a Sunday and had 53 of them, the last 30 December; 2015 has 53 weeks by ISO 8601 alone."""
    of_2012 = weeks_of(53, 2012)
    assert of_2012 is not None
    assert (of_2012.week_begins, of_2012.last_day) == (date(2012, 12, 30), date(2013, 1, 5))
    of_2015 = weeks_of(53, 2015)
    assert of_2015 is not None
    assert of_2015.week_begins is None
    assert (of_2015.first_day, of_2015.last_day) == (date(2015, 12, 28), date(2016, 1, 3))
    assert weeks_of(53, 2019) is None
    assert weeks_of(0, 2019) is None


@given(st.integers(1971, 2099), st.integers(1, 53))
def test_a_week_holds_the_days_that_the_calendar_of_the_library_gives_it(year: int, week: int) -> None:
    """Library: datetime's own ISO calendar, and strftime's week of the year that begins on Sunday (%U)."""
    reading = weeks_of(week, year)
    days = [date(year, 1, 1) + timedelta(days=offset) for offset in range(-10, 380)]
    of_iso = [day for day in days if day.isocalendar()[:2] == (year, week)]
    of_rule = [day for day in days if day.year == year and int(day.strftime("%U")) == week]
    if reading is None:
        assert not of_iso
        assert not of_rule
        return
    assert reading.week_begins == (of_rule[0] if of_rule else None)
    assert reading.first_day == min(of_iso + of_rule)
    assert reading.last_day == max([*of_iso, *of_rule, *([of_rule[0] + timedelta(days=6)] if of_rule else [])])
    assert (reading.last_day - reading.first_day).days <= 13


def test_a_date_of_three_digits_ends_in_the_middle_of_2000() -> None:
    assert week_and_years("260") == [(26, 1980), (26, 1990), (26, 2000)]
    assert week_and_years("300") == [(30, 1980), (30, 1990)]


# Text with the place where reading stops marked by |, and a part of what was expected there.
REFUSED = {
    "|": "13 symbols",
    "DOT|": "13 symbols",
    "DOT |12": "13 symbols",
    "DOT |1AB 2C3D4E 25199": "13 symbols",
    "DOT 1AB 2|O3D4E 2519": "none of G, I, O",
    "DOT 1AB 2C3D4E 25|I9": "none of G, I, O",
    "DOT 1AB |G": "none of G, I, O",
    "|QAB 2519": "none of G, I, O",
    "AB |SD 2519": "none of G, I, O",
    "AB CD |Z519": "none of G, I, O",
    "AB CD 25|/19": "none of G, I, O",
    "AB CD |5419": "a week from 01 to 52",
    "AB CD |0019": "a week from 01 to 52",
    "AB CD |5319": "a week from 01 to 52",
    "1AB2C3D4E|5419": "a week from 01 to 52",
    "|545": "a week from 01 to 52",
    "|12319": "13 symbols",
    "|A 2519": "a plant code of two or three",
    "ABCDEF|HJKL": "two digits for the week",
}


@pytest.mark.parametrize(("marked", "expected"), REFUSED.items())
def test_a_number_that_cannot_be_read_says_where_and_what_was_expected(marked: str, expected: str) -> None:
    text, place = marked.replace("|", ""), marked.index("|")
    refusal = read_identification(text)
    assert isinstance(refusal, NotRead), refusal
    assert (refusal.text, refusal.position) == (text, place)
    assert expected in refusal.expected
    assert refusal.reason.endswith(".")


def test_the_first_numbers_are_of_may_1971() -> None:
    """From memory: asked for from 22 May 1971, a Saturday, the last day of week 20 by 49 CFR 574.5."""
    assert week_and_years("201") == [(20, 1971), (20, 1981), (20, 1991)]
    assert week_and_years("191") == [(19, 1981), (19, 1991)]


@pytest.mark.parametrize(("text", "place"), [("AB CD 25\u0661\u0669", 8), ("AB\u2013CD 2519", 2), ("A" * 41, 40)])
def test_foreign_signs_and_long_texts_are_refused_at_their_place(text: str, place: int) -> None:
    refusal = read_identification(text)
    assert isinstance(refusal, NotRead)
    assert refusal.position == place


def test_a_letter_that_is_not_used_is_named_with_what_it_may_be() -> None:
    refusal = read_identification("AB CD 25I9")
    assert isinstance(refusal, NotRead)
    assert refusal.reason == "I is not used in identification numbers; it may be a 1."


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_within_itself(text: str) -> None:
    answer = read_identification(text)
    assert isinstance(answer, Identification) or 0 <= answer.position <= len(text)


@given(st.integers(1, 52), st.integers(0, 99), st.sampled_from(["1AB 2C3D4E ", "AB CD EFHJ ", "R ABC ", ""]))
def test_what_a_plant_writes_is_read_back(week: int, year: int, before: str) -> None:
    assert week_and_years(f"DOT {before}{week:02d}{year:02d}") == [(week, 2000 + year)]


def test_an_age_lies_between_the_last_and_the_first_possible_day() -> None:
    """Hand: week 25 of 2019 is 23 to 29 June by 574.5, 17 to 23 June by ISO 8601."""
    read = identified("2519")
    assert (read.first_day, read.last_day) == (date(2019, 6, 17), date(2019, 6, 29))
    # 29 June 2019 to 29 June 2025 are 2,192 days (2020 and 2024 have 366), 17 June twelve more
    assert age_on(read, date(2025, 6, 29)) == Age(2192, 2204, 6, 6)
    assert age_on(read, date(2025, 6, 20)) == Age(2183, 2195, 5, 6)
    assert age_on(read, date(2019, 6, 20)) == Age(0, 3, 0, 0)
    assert age_on(read, date(2019, 6, 16)) is AgeUnknown.IN_THE_FUTURE


def test_an_open_decade_gives_an_age_between_its_ends() -> None:
    """Hand: 1 January 2026 is 28 years and some months after week 31 of 1997, 48 after that of 1977."""
    age = age_on(identified("317"), date(2026, 1, 1))
    assert isinstance(age, Age)
    assert (age.least_years, age.most_years) == (28, 48)
    earlier = age_on(identified("317"), date(1995, 1, 1))
    assert isinstance(earlier, Age)
    assert (earlier.least_years, earlier.most_years) == (7, 17)


def test_a_year_since_a_leap_day_is_complete_on_the_last_of_february() -> None:
    """Judgement: the earlier day is the safe one, and the one to which intervals of months are counted."""
    assert completed_years(date(2020, 2, 29), date(2021, 2, 27)) == 0
    assert completed_years(date(2020, 2, 29), date(2021, 2, 28)) == 1
    assert completed_years(date(2020, 2, 29), date(2024, 2, 28)) == 3
    assert completed_years(date(2020, 2, 29), date(2024, 2, 29)) == 4


@given(st.dates(date(1950, 1, 1), date(2100, 1, 1)), st.integers(0, 40_000))
def test_years_and_months_are_counted_alike(since: date, days: int) -> None:
    day = since + timedelta(days=days)
    years = completed_years(since, day)
    assert months_after(since, 12 * years) <= day < months_after(since, 12 * (years + 1))


# Hand: in 2026 week 10 of 2031 is yet to come; published: owner's manual of a van maker (2006), page 197: 031 is the
# 3rd week of 1981 or 1991.
def test_four_digits_of_a_week_to_come_are_read_as_three_where_the_day_is_known() -> None:
    read = read_identification("AB CD EF1031", date(2026, 5, 14))
    assert isinstance(read, Identification)
    assert [(each.week, each.year) for each in read.dates] == [(3, 1981), (3, 1991)]
    assert (read.layout, read.doubts) == (Layout.FORMER, (Doubt.DECADE_OPEN,))
    later = read_identification("AB CD EF1031", date(2031, 5, 14))
    assert isinstance(later, Identification)
    assert [(each.week, each.year) for each in later.dates] == [(10, 2031)]
    assert set(later.doubts) == {Doubt.THREE_DIGITS_POSSIBLE}
    assert identified("AB CD EF1031") == later


@pytest.mark.parametrize("text", ["0198", "AB CD 0198", "1AB 2C3D4E 0198"])
def test_a_year_of_the_last_century_in_two_digits_is_doubted(text: str) -> None:
    """Hand: four digits stand for 2000 to 2099; numbers are of 1971 and later, so 71 to 99 may be a slip for 19xx."""
    assert week_and_years(text) == [(1, 2098)]
    assert identified(text).doubts == (Doubt.YEAR_TO_COME,)
    assert identified(text.replace("98", "70")).doubts == ()


def test_a_week_to_come_that_three_digits_do_not_settle_is_doubted() -> None:
    for on, doubts in ((date(2026, 5, 14), (Doubt.YEAR_TO_COME,)), (date(2031, 5, 14), ())):
        read = read_identification("AB CD 1031", on)
        assert isinstance(read, Identification)
        assert [(each.week, each.year) for each in read.dates] == [(10, 2031)]
        assert read.doubts == doubts


# From memory: a small triangle behind the three digits marks the decade of 1990 to 1999.
@pytest.mark.parametrize("sign", ["◁", "◀", "◄", "△", "▲"])
def test_a_triangle_behind_three_digits_settles_the_decade(sign: str) -> None:
    for text in (f"AB CD EF 237{sign}", f"AB CD EF 237 {sign} ", f"ABCDEF237{sign}", f"237{sign}", f"R ABC 237{sign}"):
        assert week_and_years(text) == [(23, 1997)]
        assert identified(text).doubts == ()
    assert identified(f"AB CD EF1031{sign}").symbols == "ABCDEF1031"
    assert week_and_years(f"AB CD EF1031{sign}") == [(3, 1991)]


@pytest.mark.parametrize(
    ("text", "place"), [("AB CD 2519◁", 10), ("AB CD EFH◁", 9), ("◁", 0), ("AB ◁ CD 237", 3), ("AB CD 237◁◁", 9)]
)
def test_a_triangle_elsewhere_is_refused_at_its_place(text: str, place: int) -> None:
    refusal = read_identification(text)
    assert isinstance(refusal, NotRead)
    assert refusal.position == place


# Published thresholds, as each piece of advice names its source: 5 (inspect yearly), 6 (a vehicle maker), 10
# (remove); 7 common practice, no source.
@pytest.mark.parametrize(
    ("years", "codes"),
    [
        (4, {}),
        (5, {"inspect_yearly": True}),
        (6, {"inspect_yearly": True, "replace_by_vehicle_maker": True}),
        (7, {"inspect_yearly": True, "replace_by_vehicle_maker": True, "plan_replacement": True}),
        (
            10,
            {
                "inspect_yearly": True,
                "replace_by_vehicle_maker": True,
                "plan_replacement": True,
                "remove_from_service": True,
            },
        ),
    ],
)
def test_advice_comes_with_the_age_that_its_source_names(years: int, codes: dict[str, bool]) -> None:
    reached = advice_at(Age(0, 0, years, years))
    expected = {"age_alone_decides_nothing": True} | codes
    assert {each.advice.code.value: each.certain for each in reached} == expected


def test_advice_that_only_the_oldest_possible_age_reaches_is_not_certain() -> None:
    certain = {each.advice.code.value: each.certain for each in advice_at(Age(0, 0, 9, 10))}
    assert certain["remove_from_service"] is False
    assert certain["inspect_yearly"] is True


def test_all_advice_names_its_source_and_how_sure_it_is() -> None:
    assert [advice.from_years for advice in ADVICE] == [0, 5, 6, 7, 10]
    assert {advice.from_years for advice in ADVICE if advice.confidence == "common_practice"} == {7}
    assert all("no source" in advice.source for advice in ADVICE if advice.confidence == "common_practice")
