"""Ambient pressure against the U.S. Standard Atmosphere, 1976 (ISO 2533:1975) and two libraries."""

from math import inf, nan

import pytest
from ambiance import Atmosphere
from fluids.atmosphere import ATMOSPHERE_1976

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.atmosphere import pressure_pa

# Published: U.S. Standard Atmosphere, 1976, table I, geometric altitude [m] -> pressure [mb], from memory.
TABLE_I_MB = {
    -1000: 1139.3, 0: 1013.25, 500: 954.61, 1000: 898.76, 1500: 845.59, 2000: 795.01, 3000: 701.21,
    4000: 616.60, 5000: 540.48, 6000: 472.17, 8000: 356.51, 10000: 264.99,
}  # fmt: skip

# Published: the same standard, geopotential altitude [m] -> pressure [Pa].
GEOPOTENTIAL_PA = {1000: 89_874.6, 2000: 79_495.2, 3000: 70_108.5, 4000: 61_640.2, 5000: 54_019.9}

# Published: standard atmosphere in an engineering handbook table, altitude [ft] -> psia.
HANDBOOK_PSIA = {0: 14.696, 5000: 12.228, 10000: 10.108}

EARTH_RADIUS_M = 6_356_766.0
PSI_PA = 6894.757293168361


@pytest.mark.parametrize(("altitude_m", "printed_mb"), TABLE_I_MB.items())
def test_pressure_is_that_of_the_1976_table_to_its_printed_digits(altitude_m: int, printed_mb: float) -> None:
    """One unit of the last of five printed digits: the table cuts some of them (10 000 m is 264.999)."""
    tolerance_mb = 0.1 if printed_mb > 1100 else 0.01
    assert pressure_pa(altitude_m) / 100 == pytest.approx(printed_mb, abs=tolerance_mb)


@pytest.mark.parametrize(("geopotential_m", "printed_pa"), GEOPOTENTIAL_PA.items())
def test_geometric_altitude_is_turned_into_geopotential(geopotential_m: int, printed_pa: float) -> None:
    """Hand: Z = R0 H/(R0 - H); taking Z for H would be wrong by 2 Pa at 1000 m and 20 Pa at 4000 m."""
    geometric_m = EARTH_RADIUS_M * geopotential_m / (EARTH_RADIUS_M - geopotential_m)
    assert pressure_pa(geometric_m) == pytest.approx(printed_pa, abs=0.06)


@pytest.mark.parametrize(("altitude_ft", "printed_psia"), HANDBOOK_PSIA.items())
def test_pressure_in_feet_and_psi_is_that_of_a_handbook(altitude_ft: int, printed_psia: float) -> None:
    assert pressure_pa(altitude_ft * 0.3048) / PSI_PA == pytest.approx(printed_psia, abs=0.00051)


@pytest.mark.parametrize("altitude_m", [-2000, -1000, 0, 250, 1609.344, 2500, 4000, 8000, 11000])
def test_pressure_agrees_with_two_independent_libraries(altitude_m: float) -> None:
    """Library: ambiance and fluids, both by geometric altitude; 0.3 Pa for their rounded constants."""
    assert pressure_pa(altitude_m) == pytest.approx(float(Atmosphere(altitude_m).pressure[0]), abs=0.3)
    assert pressure_pa(altitude_m) == pytest.approx(ATMOSPHERE_1976(altitude_m).P, abs=0.3)


@pytest.mark.parametrize("altitude_m", [-2000.1, 11000.1, inf, -inf, nan])
def test_an_altitude_outside_the_layer_is_refused(altitude_m: float) -> None:
    with pytest.raises(OutOfRange, match="-2000 to 11000 m") as refusal:
        pressure_pa(altitude_m)
    assert (refusal.value.code, refusal.value.field) == ("altitude_out_of_range", "altitude_m")
