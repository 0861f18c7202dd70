"""Printed totals against the readings that they copy, and how old a seal is."""

from datetime import date
from math import fsum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.sessions.record import PassRecord, PassTotal, SessionRecord

LB = 0.45359237  # kg, exact: NIST SP 811, appendix B.8


def record(readings: list[float], total: float, division: float = 20.0, *, independent: bool = False) -> PassRecord:
    """Return a pass with its printed total, all in lb."""
    return PassRecord(
        name="axles",
        readings_kg=tuple(each * LB for each in readings),
        divisions_kg=(division * LB,) * len(readings),
        total=PassTotal(total * LB, division * LB, independent),
    )


@given(st.lists(st.integers(1, 10_000), min_size=1, max_size=16))
def test_a_sum_is_never_told_to_differ_for_its_unit(divisions: list[int]) -> None:
    """Identity: what adds up in lb adds up, though its kilograms differ in their last digits."""
    readings = [each * 20.0 for each in divisions]
    assert record(readings, sum(readings)).difference_kg == 0
    assert record(readings, sum(readings)).total_agrees is True


@given(st.lists(st.floats(100, 20_000), min_size=2, max_size=16), st.sampled_from([1.0, 5.0, 20.0]))
def test_sections_and_total_rounded_apart_agree(loads: list[float], division: float) -> None:
    """Identity: each of n readings and the total is off by at most half a division."""
    rounded = [round(each / division) * division for each in loads]
    assert record(rounded, round(fsum(loads) / division) * division, division).total_agrees is True


@pytest.mark.parametrize(("readings", "beyond"), [([6380.0], 20.0), ([6380.0, 16820.0], 40.0), ([5000.0] * 3, 60.0)])
def test_the_least_multiple_of_a_division_that_rounding_does_not_explain(readings: list[float], beyond: float) -> None:
    """Hand: one reading 0, two 1.5 d, three 2 d; d is 20 lb."""
    assert record(readings, sum(readings) + beyond).total_agrees is False
    assert record(readings, sum(readings) + beyond - 20).total_agrees is True
    assert record(readings, sum(readings) - beyond).difference_kg == pytest.approx(beyond * LB)


def test_an_independent_total_and_none_are_no_copies() -> None:
    assert record([6380.0], 9000.0, independent=True).total_agrees is None
    assert PassRecord(name="axles", readings_kg=(1.0,), divisions_kg=(1.0,)).total_agrees is None


@pytest.mark.parametrize(
    ("sealed_on", "weighed_on", "is_old"),
    [
        (date(2024, 2, 29), date(2026, 2, 28), False),
        (date(2024, 2, 29), date(2026, 3, 1), True),
        (date(9999, 12, 31), date(9999, 12, 31), False),
        (None, date(2026, 3, 1), False),
        (date(2000, 1, 1), None, False),
    ],
)
def test_a_seal_is_old_after_two_years_by_the_calendar(
    sealed_on: date | None, weighed_on: date | None, is_old: bool
) -> None:
    assert SessionRecord(sealed_on=sealed_on, weighed_on=weighed_on).seal_is_old is is_old
