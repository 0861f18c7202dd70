"""The pressure of the standard atmosphere."""

from typing import Final

from axlewright.core.errors import OutOfRange
from axlewright.core.units import STANDARD_GRAVITY_M_PER_S2

SEA_LEVEL_PRESSURE_PA: Final = 101_325.0
SEA_LEVEL_TEMPERATURE_K: Final = 288.15
LAPSE_RATE_K_PER_M: Final = 0.0065
SPECIFIC_GAS_CONSTANT_J_PER_KG_K: Final = 287.05287
EARTH_RADIUS_M: Final = 6_356_766.0
LOWEST_ALTITUDE_M: Final = -2_000.0
HIGHEST_ALTITUDE_M: Final = 11_000.0


def pressure_pa(altitude_m: float) -> float:
    """Return the ambient pressure of the standard atmosphere.

    Parameters
    ----------
    altitude_m : float
        Geometric altitude above mean sea level [m], -2000 to 11000.

    Returns
    -------
    float
        Absolute pressure [Pa], 22 700 to 127 800.

    Raises
    ------
    OutOfRange
        If the altitude lies outside -2000 to 11000 m, or is no number.

    Notes
    -----
    Source: ISO 2533:1975 and U.S. Standard Atmosphere, 1976, equations 18 and 33a (numbers from memory),
    with the constants of ISO 2533: H = R0 Z/(R0 + Z), T = T0 - L H, p = p0 (T/T0)^(g0/(R L)).
    Weather moves the true pressure by some 3 kPa either way.

    Examples
    --------
    >>> round(pressure_pa(0.0)), round(pressure_pa(1000.0))
    (101325, 89876)

    """
    if not LOWEST_ALTITUDE_M <= altitude_m <= HIGHEST_ALTITUDE_M:
        raise OutOfRange(
            "altitude_out_of_range",
            "altitude_m",
            f"An altitude of {altitude_m} m lies outside the layer used here: "
            f"{LOWEST_ALTITUDE_M:.0f} to {HIGHEST_ALTITUDE_M:.0f} m.",
        )
    geopotential_m = EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m)
    temperature_k = SEA_LEVEL_TEMPERATURE_K - LAPSE_RATE_K_PER_M * geopotential_m
    exponent = STANDARD_GRAVITY_M_PER_S2 / (SPECIFIC_GAS_CONSTANT_J_PER_KG_K * LAPSE_RATE_K_PER_M)
    return float(SEA_LEVEL_PRESSURE_PA * (temperature_k / SEA_LEVEL_TEMPERATURE_K) ** exponent)
