"""Densities and tank contents against published figures."""

from math import exp, sqrt

import pytest

from axlewright.core.loads.fluids import contents, density
from axlewright.core.rig import Fluid, Tank
from tests.yard import LB

GALLON = 3.785411784e-3  # m3, exact: 231 cubic inches, NIST Handbook 44, appendix C


def kelvin(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


def pounds_per_gallon(fluid: Fluid, fahrenheit: float) -> float:
    return density(fluid, kelvin(fahrenheit)).kg_per_m3 * GALLON / LB


@pytest.mark.parametrize(
    ("celsius", "published"),
    # CoolProp 8.0.0 (equation of state of Wagner and Pruss), water at 101,325 Pa.
    [(4.0, 999.97), (15.5556, 999.02), (20.0, 998.21), (30.0, 995.65)],
)
def test_water_has_the_density_of_the_equation_of_state(celsius: float, published: float) -> None:
    assert density(Fluid.WATER, celsius + 273.15).kg_per_m3 == pytest.approx(published, abs=0.011)


def test_a_hundred_gallons_of_water_weigh_what_tables_say() -> None:
    # CoolProp 8.0.0: 833.7 lb at 60 degF; 834.5 lb at 4 degC. The label's 8.3 lb/gal gives 830.
    tank = Tank("fresh", Fluid.WATER, 100 * GALLON, 0.0, 0.0)
    assert contents(tank, 1.0, 0.0, kelvin(60)).mass_kg / LB == pytest.approx(833.7, abs=0.06)
    assert contents(tank, 1.0, 0.0, 277.15).mass_kg / LB == pytest.approx(834.5, abs=0.06)


@pytest.mark.parametrize(
    ("fluid", "least", "most"),
    [
        (Fluid.GASOLINE, 6.2, 6.3),  # the trade's figures, as consumer pages print them
        (Fluid.DIESEL, 6.9, 7.1),  # the trade's figures
        (Fluid.EXHAUST_FLUID, 9.07, 9.12),  # ISO 22241-1, 1,087 to 1,093 kg/m3 at 20 degC, from memory
    ],
)
def test_fuels_weigh_what_the_trade_reckons_with(fluid: Fluid, least: float, most: float) -> None:
    assert least <= pounds_per_gallon(fluid, 60) <= most


def lost_per_kelvin(fluid: Fluid) -> float:
    """Return the share of its density that a fluid loses from 15 degC for each kelvin."""
    cold, warm = (density(fluid, celsius + 273.15).kg_per_m3 for celsius in (15.0, 16.0))
    return 1.0 - warm / cold


@pytest.mark.parametrize(
    ("fluid", "density_kg_per_m3", "k0", "k1"),
    # ASTM D1250 (API MPMS 11.1, 1980), table 54B: gasolines, 610.5 to 770.5 kg/m3, and fuel oils, from 838.5 on; the
    # constants from memory.
    [(Fluid.GASOLINE, 747.5, 346.4228, 0.4388), (Fluid.DIESEL, 848.0, 186.9696, 0.4862)],
)
def test_petroleum_expands_as_table_54b_has_it(fluid: Fluid, density_kg_per_m3: float, k0: float, k1: float) -> None:
    alpha = k0 / density_kg_per_m3**2 + k1 / density_kg_per_m3
    assert lost_per_kelvin(fluid) == pytest.approx(alpha, rel=1e-6)
    for celsius in (0.0, 30.0, 50.0):
        step = alpha * (celsius - 15.0)
        volume_correction = exp(-step * (1.0 + 0.8 * step))
        ours = density(fluid, celsius + 273.15).kg_per_m3 / density(fluid, 288.15).kg_per_m3
        # To first order it is right to 0.3 step^2, some 0.05 % at 50 degC.
        assert ours == pytest.approx(volume_correction, abs=0.0006)


@pytest.mark.parametrize(
    ("fluid", "per_fahrenheit"),
    # What US studies of temperature compensation at the pump reckon with (from memory): 0.069 % and 0.046 % per degF.
    [(Fluid.GASOLINE, 0.00069), (Fluid.DIESEL, 0.00046)],
)
def test_petroleum_expands_as_the_trade_reckons(fluid: Fluid, per_fahrenheit: float) -> None:
    assert lost_per_kelvin(fluid) == pytest.approx(1.8 * per_fahrenheit, rel=0.05)


def test_diesel_may_be_as_heavy_as_it_is_sold_where_no_standard_limits_it() -> None:
    # ASTM D975 limits no density; API gravity 30 is 141.5/(131.5 + 30) of water's 999.016 kg/m3 at 60 degF (definition
    # of API gravity), 875.3. EN 590 begins at 820 kg/m3 (from memory). A range as wide has u = width/sqrt(12).
    own = density(Fluid.DIESEL, 288.15)
    heavy, light = own.kg_per_m3 + sqrt(3) * own.u, own.kg_per_m3 - sqrt(3) * own.u
    assert heavy == pytest.approx(141.5 / (131.5 + 30) * 999.016, abs=1.0)
    assert heavy >= 141.5 / (131.5 + 30) * 999.016
    assert light == pytest.approx(820.0)


def test_commercial_propane_weighs_what_property_tables_say() -> None:
    # Property tables of commercial propane: 4.20 lb/gal at 60 degF. 29 CFR 1910.110, for a gas a little heavier: 4.37
    # at 40 and 4.31 at 50 degF.
    assert pounds_per_gallon(Fluid.PROPANE, 60) == pytest.approx(4.20, abs=0.001)
    assert pounds_per_gallon(Fluid.PROPANE, 40) == pytest.approx(4.37, rel=0.015)
    assert pounds_per_gallon(Fluid.PROPANE, 50) == pytest.approx(4.31, rel=0.015)


def test_a_propane_tank_is_full_at_eighty_per_cent_of_its_water_capacity() -> None:
    # A motorhome manual reckons a 30 gal tank at 30 x 0.8 x 4.2 = 100.8 lb; the 80 % rule is that of NFPA 58.
    tank = Tank("gas", Fluid.PROPANE, 30 * GALLON, 0.0, 0.0)
    assert contents(tank, 1.0, 0.0, kelvin(60)).mass_kg / LB == pytest.approx(100.8, abs=0.05)
