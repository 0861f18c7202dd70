"""Conversion factors against NIST Special Publication 811 (2008 edition), B.8, and a units library."""

from decimal import Decimal

import pint
import pytest

from axlewright.contract.units import UNITS
from axlewright.core import units

# Published: NIST SP 811 (2008), appendix B.8, factors as printed there, exact ones whole (from memory):
# name -> (printed factor, what pint calls the unit, SI unit)
PRINTED = {
    "POUND_KG": ("0.4535924", "pound", "kilogram"),
    "INCH_M": ("0.0254", "inch", "meter"),
    "FOOT_M": ("0.3048", "foot", "meter"),
    "MILE_M": ("1609.344", "mile", "meter"),
    "STANDARD_GRAVITY_M_PER_S2": ("9.80665", "standard_gravity", "meter/second**2"),
    "POUND_FORCE_N": ("4.448222", "pound_force", "newton"),
    "PSI_PA": ("6894.757", "psi", "pascal"),
    "KILOPASCAL_PA": ("1000", "kilopascal", "pascal"),
    "BAR_PA": ("100000", "bar", "pascal"),
    "GALLON_M3": ("0.003785412", "gallon", "meter**3"),
    "LITER_M3": ("0.001", "liter", "meter**3"),
    "MILE_PER_HOUR_M_PER_S": ("0.44704", "mile/hour", "meter/second"),
    "KILOMETER_PER_HOUR_M_PER_S": ("0.2777778", "kilometer/hour", "meter/second"),
    "POUND_FORCE_FOOT_N_M": ("1.355818", "pound_force*foot", "newton*meter"),
    "RANKINE_K": ("0.5555556", "delta_degF", "kelvin"),
}

REGISTRY = pint.UnitRegistry()


@pytest.mark.parametrize(("name", "printed"), [(name, row[0]) for name, row in PRINTED.items()])
def test_a_factor_rounds_to_the_one_that_nist_prints(name: str, printed: str) -> None:
    half_a_digit = 0.5 * 10.0 ** float(Decimal(printed).as_tuple().exponent)
    assert getattr(units, name) == pytest.approx(float(printed), rel=0, abs=half_a_digit)


@pytest.mark.parametrize(("name", "unit", "si_unit"), [(name, *row[1:]) for name, row in PRINTED.items()])
def test_a_factor_is_that_of_an_independent_library(name: str, unit: str, si_unit: str) -> None:
    """Library: pint; 1e-12 for the order of multiplication."""
    in_library = REGISTRY.Quantity(1.0, unit).to(si_unit).magnitude
    assert getattr(units, name) == pytest.approx(in_library, rel=1e-12)


def test_every_factor_of_the_core_is_checked() -> None:
    zeros_and_guard = {"CELSIUS_ZERO_K", "FAHRENHEIT_ZERO_R", "RELATIVE_GUARD"}
    constants = {name for name in vars(units) if name.isupper()}
    assert constants - zeros_and_guard == set(PRINTED)


# Published: NIST SP 811 (2008), B.8: T/K = t/degC + 273.15; T/K = (t/degF + 459.67)/1.8.
@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(-40.0, -40.0), (32.0, 0.0), (212.0, 100.0), (-459.67, -273.15), (95.0, 35.0)]
)
def test_temperatures_are_counted_from_absolute_zero(fahrenheit: float, celsius: float) -> None:
    kelvin = celsius + 273.15
    assert UNITS["temperature", "degC"].to_si(celsius) == pytest.approx(kelvin, abs=1e-9)
    assert UNITS["temperature", "degF"].to_si(fahrenheit) == pytest.approx(kelvin, abs=1e-9)
    assert UNITS["temperature", "degF"].to_si(fahrenheit) == pytest.approx(
        REGISTRY.Quantity(fahrenheit, "degF").to("kelvin").magnitude, abs=1e-9
    )


def test_the_zeros_of_the_temperature_scales_are_those_printed() -> None:
    assert units.CELSIUS_ZERO_K == 273.15
    assert units.FAHRENHEIT_ZERO_R == 459.67


@pytest.mark.parametrize("pounds", range(5, 20_000, 35))
def test_a_rating_met_exactly_in_pounds_is_not_exceeded_in_kilograms(pounds: int) -> None:
    """Identity: two parts that add exactly to a rating in lb do so in kg, but for the last bits."""
    parts_kg = (pounds // 3) * units.POUND_KG + (pounds - pounds // 3) * units.POUND_KG
    assert not units.exceeds(parts_kg, pounds * units.POUND_KG)
    assert units.exceeds((pounds + 0.1) * units.POUND_KG, pounds * units.POUND_KG)


@pytest.mark.parametrize("psi", range(5, 140, 5))
def test_a_pressure_on_its_step_stays_there_on_its_way_through_pascals(psi: int) -> None:
    """Identity: a whole step is not rounded up, and anything that a gauge can show above it is."""
    there_and_back = psi * units.PSI_PA / units.PSI_PA
    assert units.rounded_up(there_and_back, 5.0) == psi
    assert units.rounded_up(psi * units.PSI_PA, 5 * units.PSI_PA) == pytest.approx(psi * units.PSI_PA, rel=1e-12)
    assert units.rounded_up(there_and_back + 0.01, 5.0) == psi + 5
