"""Doubts about a caller's load/inflation table.

Rows: published, LT235/85R16 load range E, a maker's table in a 1990 motorhome specifications manual; each slip is
made by hand on them, so the factor that must be found is known.
"""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.tires.marking import Marking, read_marking
from axlewright.core.tires.plausibility import (
    LOAD_SLIPS,
    PRESSURE_SLIPS,
    MarkedMaxima,
    Reason,
    Slip,
    Suspicion,
    table_plausibility,
    unit_slip,
)
from axlewright.core.tires.tables import Row, Service, Table, built_in_tables

LB = 0.45359237
PSI = LB * 9.80665 / 0.0254**2
SINGLE = {35: 1700, 40: 1870, 45: 2030, 50: 2205, 55: 2335, 60: 2485, 65: 2623, 70: 2765, 75: 2905, 80: 3042}
DUAL = {35: 1545, 40: 1700, 45: 1845, 50: 2007, 55: 2125, 60: 2260, 65: 2382, 70: 2515, 75: 2645, 80: 2778}
MAXIMA = MarkedMaxima(3042 * LB, 2778 * LB, 80 * PSI)


def table(
    rows: dict[int, int], pressure_factor: float = 1.0, load_factor: float = 1.0, service: Service = "single"
) -> Table:
    printed = tuple(Row(psi * PSI * pressure_factor, lb * LB * load_factor) for psi, lb in rows.items())
    return Table("LT235/85R16", "E", service, True, printed)


def judged(subject: Table, maxima: MarkedMaxima = MAXIMA, designation: str | None = None) -> tuple[Suspicion, ...]:
    marking = None if designation is None else read_marking(designation)
    return table_plausibility(subject, marking if isinstance(marking, Marking) else None, maxima)


def the_only(reason: Reason, suspicions: tuple[Suspicion, ...]) -> Suspicion:
    [found] = [each for each in suspicions if each.reason is reason]
    return found


def test_a_table_that_fits_its_tire_raises_no_suspicion() -> None:
    assert judged(table(SINGLE)) == ()
    assert judged(table(DUAL, service="dual")) == ()


@pytest.mark.parametrize(
    "built_in",
    [each for each in built_in_tables() if len(each.rows) > 1],
    ids=lambda each: f"{each.designation}-{each.load_range}-{each.service}",
)
def test_no_published_table_raises_a_suspicion_against_its_own_maximum(built_in: Table) -> None:
    top = built_in.rows[-1]
    single = built_in.service == "single"
    maxima = MarkedMaxima(top.load_kg if single else None, None if single else top.load_kg, top.pressure_pa)
    assert judged(built_in, maxima) == ()


# Hand: exact factors, 1 psi = 6.894757 kPa, 1 bar = 14.50377 psi = 100 kPa.
@pytest.mark.parametrize(
    ("factor", "slip"),
    [
        (6.894757, "kilopascals_taken_for_psi"),
        (1 / 6.894757, "psi_taken_for_kilopascals"),
        (14.50377, "psi_taken_for_bar"),
        (1 / 14.50377, "bar_taken_for_psi"),
        (100, "kilopascals_taken_for_bar"),
        (0.01, "bar_taken_for_kilopascals"),
    ],
)
@pytest.mark.parametrize("kept", [10, 7])
def test_a_pressure_in_another_unit_is_found_by_its_factor(factor: float, slip: str, kept: int) -> None:
    """Seven rows end at 65 psi: a table that stops short hides no slip."""
    rows = dict(list(SINGLE.items())[:kept])
    top = the_only(Reason.TOP_PRESSURE, judged(table(rows, pressure_factor=factor)))
    assert top.slips == (Slip(slip),)
    assert top.row == kept - 1
    assert top.value == pytest.approx(max(rows) * PSI * factor)
    assert top.expected == pytest.approx(80 * PSI)


# Hand: 1 kg = 2.204623 lb; a pair of tires; an axle with duals; half.
@pytest.mark.parametrize(
    ("factor", "slip"),
    [
        (2.204623, "pounds_taken_for_kilograms"),
        (0.45359237, "kilograms_taken_for_pounds"),
        (2.0, "two_tires_taken_for_one"),
        (4.0, "four_tires_taken_for_one"),
        (0.5, "one_tire_taken_for_two"),
    ],
)
def test_a_load_in_another_unit_or_of_more_tires_is_found_by_its_factor(factor: float, slip: str) -> None:
    top = the_only(Reason.TOP_LOAD, judged(table(SINGLE, load_factor=factor)))
    assert top.slips == (Slip(slip),)
    assert top.value == pytest.approx(3042 * LB * factor)
    assert top.expected == pytest.approx(3042 * LB)


def test_a_load_that_no_slip_explains_is_told_without_one() -> None:
    assert the_only(Reason.TOP_LOAD, judged(table(SINGLE, load_factor=1.2))).slips == ()
    assert the_only(Reason.TOP_LOAD, judged(table(SINGLE, load_factor=0.8))).slips == ()


def test_without_a_marked_load_the_load_index_is_compared() -> None:
    """Load index 120 stands for 1,400 kg (ISO 4000-1); 116 dual for 1,250 kg."""
    only_pressure = MarkedMaxima(max_pressure_pa=80 * PSI)
    marked = judged(table(SINGLE, load_factor=2.0), only_pressure, "LT235/85R16 E 120/116R")
    assert the_only(Reason.TOP_LOAD, marked).expected == 1400.0
    dual = judged(table(DUAL, load_factor=2.0, service="dual"), only_pressure, "LT235/85R16 E 120/116R")
    assert the_only(Reason.TOP_LOAD, dual).expected == 1250.0
    assert the_only(Reason.TOP_LOAD, dual).slips == (Slip.TWO_TIRES_TAKEN_FOR_ONE,)


def test_a_table_that_ends_early_in_pressure_and_load_is_incomplete_and_no_slip() -> None:
    """Hand: 40 psi is half of the 80 marked; 1,383 lb is 0.4546 of 3,042, as kilograms told as pounds would be."""
    early = judged(table({35: 1300, 40: 1383}))
    assert the_only(Reason.TOP_LOAD, early).slips == (Slip.KILOGRAMS_TAKEN_FOR_POUNDS,)
    assert unit_slip(early) is None
    told_in_kilograms = unit_slip(judged(table({75: 1318, 80: 1383})))
    assert told_in_kilograms is not None
    assert told_in_kilograms.slips == (Slip.KILOGRAMS_TAKEN_FOR_POUNDS,)


def test_without_anything_marked_a_pressure_that_no_tire_holds_is_still_found() -> None:
    """Hand: 80 psi x 6.894757 = 551.6 psi = 3.8 MPa; over 14.5 it would be 262 kPa, also a tire's."""
    found = judged(table({80: 3042}, pressure_factor=6.894757), MarkedMaxima())
    [suspicion] = found
    assert suspicion.reason is Reason.PRESSURE_OUT_OF_RANGE
    assert suspicion.slips == (Slip.KILOPASCALS_TAKEN_FOR_PSI, Slip.PSI_TAKEN_FOR_BAR)


def test_one_row_in_another_unit_stands_out_as_a_jump() -> None:
    """Hand: 2,485 lb read as kg over 2,335 lb = 1059.14 kg: ln 2.34625 / ln(60/55) = 0.85282/0.087011 = 9.801."""
    rows = [Row(psi * PSI, lb * LB) for psi, lb in SINGLE.items()]
    rows[5:] = [Row(row.pressure_pa, row.load_kg / LB) for row in rows[5:]]
    odd = Table("LT235/85R16", "E", "single", True, tuple(rows))
    jump = the_only(Reason.JUMP, judged(odd, MarkedMaxima()))
    assert jump.row == 5
    assert jump.value == pytest.approx(9.801, abs=0.001)
    assert jump.slips == (Slip.POUNDS_TAKEN_FOR_KILOGRAMS,)


def test_single_loads_given_as_dual_ones_are_told_apart_by_the_other_rating() -> None:
    wide = MarkedMaxima(3042 * LB, 2930 * LB, 80 * PSI)
    assert the_only(Reason.OTHER_FITMENT, judged(table(SINGLE, service="dual"), wide)).expected == pytest.approx(
        2930 * LB
    )
    # published pair: 3042 is 1.095 of 2778, so out of the dual table's span altogether
    assert the_only(Reason.TOP_LOAD, judged(table(SINGLE, service="dual"))).expected == pytest.approx(2778 * LB)


def test_the_factors_are_those_of_the_units() -> None:
    """Identity: a slip and its opposite cancel."""
    assert PRESSURE_SLIPS[Slip.KILOPASCALS_TAKEN_FOR_PSI] == pytest.approx(6.894757293168, rel=1e-12)
    assert PRESSURE_SLIPS[Slip.PSI_TAKEN_FOR_BAR] == pytest.approx(14.503773773, rel=1e-9)
    assert LOAD_SLIPS[Slip.POUNDS_TAKEN_FOR_KILOGRAMS] * LOAD_SLIPS[Slip.KILOGRAMS_TAKEN_FOR_POUNDS] == pytest.approx(1)
    products = [
        PRESSURE_SLIPS[one] * PRESSURE_SLIPS[other]
        for one, other in (
            (Slip.KILOPASCALS_TAKEN_FOR_PSI, Slip.PSI_TAKEN_FOR_KILOPASCALS),
            (Slip.PSI_TAKEN_FOR_BAR, Slip.BAR_TAKEN_FOR_PSI),
            (Slip.KILOPASCALS_TAKEN_FOR_BAR, Slip.BAR_TAKEN_FOR_KILOPASCALS),
        )
    ]
    assert products == pytest.approx([1, 1, 1])


amounts = st.floats(0, 1e9)


@given(st.lists(st.tuples(amounts, amounts), min_size=1, max_size=6), st.floats(1, 1e4), st.floats(1e4, 2e6))
def test_any_rows_get_an_answer_with_finite_figures(
    rows: list[tuple[float, float]], load_kg: float, top_pa: float
) -> None:
    subject = Table("LT235/85R16", "E", "single", True, tuple(Row(*row) for row in rows))
    for suspicion in judged(subject, MarkedMaxima(load_kg, None, top_pa)):
        assert -inf < suspicion.value < inf
        assert 0 <= suspicion.row < len(rows)
