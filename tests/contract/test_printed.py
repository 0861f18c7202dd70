"""How figures are printed: the nearest decimal, a tie to the even one, and never -0."""

from math import inf, nan

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from msgspec import structs

from axlewright.contract.output import LoadAnswer
from axlewright.contract.units import PRESETS, UNITS, Units, in_units
from axlewright.core.units import POUND_KG

ANSWER = LoadAnswer(
    name="front", load=None, standard_uncertainty=None, low=None, high=None, provisional=False, unknown_because=None
)
IN_KG = Units(mass="kg")


def printed(load_kg: float, units: Units) -> float | None:
    """Return what an answer prints of a load."""
    return in_units(structs.replace(ANSWER, load=load_kg), units).load


@given(st.floats(-1e7, 1e7))
@example(0.25)  # a tie that a double holds exactly
@example(0.15)  # below the tie that it is written as
@example(1_234.35)
@example(-0.04)
@example(2.5e8 + 0.25)
@example(1e15 + 0.5)
def test_a_figure_is_printed_as_the_library_rounds_it(load_kg: float) -> None:
    """Library: Python's `round`, which is correct to the last digit, and no sign on nothing."""
    assert repr(printed(load_kg, IN_KG)) == repr(round(load_kg, 1) + 0.0)


@given(st.integers(-1_000_000, 1_000_000))
def test_pounds_with_a_decimal_come_back_as_they_were_sent(tenths: int) -> None:
    """Identity: what was sent in tenths of a pound is printed so."""
    assert printed(tenths / 10 * POUND_KG, PRESETS["us"]) == tenths / 10


@pytest.mark.parametrize("load_kg", [nan, inf, -inf])
def test_a_figure_that_is_not_finite_never_reaches_an_answer(load_kg: float) -> None:
    with pytest.raises(ValueError, match="not finite"):
        printed(load_kg, IN_KG)


def test_every_mass_unit_is_printed_to_a_tenth() -> None:
    """The two tests above lean on it."""
    assert {UNITS["mass", "lb"].decimals, UNITS["mass", "kg"].decimals} == {1}
