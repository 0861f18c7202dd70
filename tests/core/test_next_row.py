"""The row above the pressure that is taken.

Rows: published, LT235/85R16 load range E single, a maker's table in a 1990 motorhome specifications manual.
"""

import pytest

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.capacity import CapacityCurve, Ground, capacity_curve
from axlewright.core.inflation.next_row import NoNextRow, next_row
from axlewright.core.tires.family import Family
from axlewright.core.tires.tables import tables_for

LB = 0.45359237
PSI = LB * 9.80665 / 0.0254**2


def published() -> CapacityCurve:
    [table] = tables_for("LT235/85R16", "E", "single")
    return capacity_curve(3042 * LB, 80 * PSI, table, False, Family.LT_RADIAL, 1.0)


def test_the_next_row_tells_its_load_its_gain_and_the_reserve_over_the_load() -> None:
    """Published: 55 psi 2,335 lb, 60 psi 2,485 lb. Hand: +150 lb, 2485/2300 - 1 = 8.04 %."""
    answer = next_row(published(), 55 * PSI, 2300 * LB, 80 * PSI)
    assert answer.row is not None
    assert answer.row.pressure_pa == pytest.approx(60 * PSI)
    assert answer.row.load_kg == pytest.approx(2485 * LB)
    assert answer.row.ground is Ground.PUBLISHED_ROW
    assert answer.more_pressure_pa == pytest.approx(5 * PSI)
    assert answer.more_load_kg == pytest.approx(150 * LB)
    assert answer.reserve_share == pytest.approx(185 / 2300)
    assert answer.allowed is True
    assert answer.unknown_because is None


@pytest.mark.parametrize(("taken_psi", "next_psi"), [(54.4, 55), (54.6, 60), (55, 60), (57, 60), (30, 35), (79, 80)])
def test_a_pressure_as_good_as_a_row_is_that_row(taken_psi: float, next_psi: float) -> None:
    """Common practice: markings in psi and kPa differ by up to half a psi."""
    answer = next_row(published(), taken_psi * PSI, 2000 * LB, 80 * PSI)
    assert answer.row is not None
    assert answer.row.pressure_pa == pytest.approx(next_psi * PSI)


def test_between_rows_the_gain_counts_from_the_interpolated_load() -> None:
    """Hand: at 57.5 psi (2335 + 2485)/2 = 2,410 lb; the next row gives 75 lb more."""
    assert next_row(published(), 57.5 * PSI, 2300 * LB, 80 * PSI).more_load_kg == pytest.approx(75 * LB)


def test_below_the_first_row_of_a_full_table_the_gain_is_not_known() -> None:
    answer = next_row(published(), 30 * PSI, 1500 * LB, 80 * PSI)
    assert answer.row is not None
    assert answer.row.load_kg == pytest.approx(1700 * LB)
    assert answer.more_load_kg is None


def test_at_the_sidewall_maximum_there_is_no_next_row() -> None:
    answer = next_row(published(), 80 * PSI, 3000 * LB, 80 * PSI)
    assert answer.row is None
    assert answer.unknown_because is NoNextRow.AT_THE_MAXIMUM
    assert (answer.more_load_kg, answer.reserve_share, answer.allowed) == (None, None, None)


def test_a_next_row_above_the_ceiling_is_told_but_not_allowed() -> None:
    assert next_row(published(), 65 * PSI, 2500 * LB, 68 * PSI).allowed is False
    assert next_row(published(), 65 * PSI, 2500 * LB, 70 * PSI).allowed is True


def test_without_a_table_the_next_row_is_the_sidewall_itself() -> None:
    """Hand: estimate at 60 of 80 psi 0.97 x 3042 x 0.75^0.7 = 2412.54 lb; 3042 - 2412.54 = 629.46 lb more."""
    curve = capacity_curve(3042 * LB, 80 * PSI, None, False, Family.LT_RADIAL, 1.0)
    answer = next_row(curve, 60 * PSI, 2400 * LB, 80 * PSI)
    assert answer.row is not None
    assert answer.row.ground is Ground.SIDEWALL
    assert (answer.more_load_kg or 0) / LB == pytest.approx(629.46, abs=0.01)


@pytest.mark.parametrize("load_kg", [0.0, -1.0, float("nan"), float("inf")])
def test_a_reserve_over_no_load_is_refused(load_kg: float) -> None:
    with pytest.raises(OutOfRange) as refusal:
        next_row(published(), 55 * PSI, load_kg, 80 * PSI)
    assert refusal.value.field == "load_kg"


def test_existing_answers_of_the_curve_are_the_rows_as_before() -> None:
    """Published row: 2,400 lb needs 60 psi (2,485 lb)."""
    least = published().least_for(2400 * LB)
    assert least is not None
    assert least.pressure_pa == pytest.approx(60 * PSI)
