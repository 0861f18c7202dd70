"""What a gauge reading becomes at another tire temperature and altitude, with its doubt and its causes.

There and back is one law with its arguments exchanged, so "in the shop now, what do I set?" is the same question
asked from the other side: the wanted cold pressure is translated from the cold morning to the warm tire here.

Nitrogen or air makes no difference: at constant volume both follow the ideal gas law, which knows no kind of gas.
Water in compressed air is left out.
"""

from math import exp, hypot, inf, sqrt
from typing import Final

from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.atmosphere import pressure_pa
from axlewright.core.inflation.gas import gauge_at
from axlewright.core.units import POUND_KG, PSI_PA, exceeds

GAS_CONSTANT_J_PER_MOL_K: Final = 8.314462618
"""Exact by the definition of the SI of 2019, to ten digits."""
NITROGEN: Final = (185.4, 141.8, 88.7)
OXYGEN: Final = (152.8, 117.0, 108.8)
ARGON: Final = (154.2, 119.3, 105.1)
"""Second virial coefficients B = a - b exp(c/T) [cm3/mol, K]: Kaye and Laby, Tables of Physical and Chemical Constants,
as reproduced in the LibreTexts reference table A9."""
CUBIC_CENTIMETER_M3: Final = 1e-6
DRY_AIR: Final = ((0.7808, NITROGEN), (0.2099, OXYGEN), (0.0093, ARGON))
"""By volume: U.S. Standard Atmosphere, 1976, table 3; the rest is left out."""

BUILD_UP_LOAD_KG: Final = 4_000 * POUND_KG
"""Load rating up to which the smaller build-up counts; the regulation rounds it to 1,814 kg."""
BUILD_UP_PA: Final = 5 * PSI_PA
BUILD_UP_HEAVY_PA: Final = 15 * PSI_PA


class TireState(Struct, frozen=True):
    """The temperature [K] of the gas in a tire, and the altitude [m] where it is read."""

    tire_temperature_k: float
    altitude_m: float


class Departure(Struct, frozen=True):
    """By how much [Pa] real gases depart from a translation: the most of dry air and nitrogen, and these from another.

    Absolute values; 0 where the temperature does not change.
    """

    ideal_pa: float
    nitrogen_pa: float


class Translation(Struct, frozen=True):
    """A gauge pressure [Pa] there, what the temperature and the altitude added to it, and its doubt.

    ``u_pa`` is its standard uncertainty from gauge and thermometer; None where the gauge's was not stated.
    """

    gauge_pa: float
    by_temperature_pa: float
    by_altitude_pa: float
    u_pa: float | None = None


def translated(
    gauge_pa: float,
    here: TireState,
    there: TireState,
    *,
    gauge_u_pa: float | None = None,
    temperature_u_k: float = 0.0,
) -> Translation:
    """Return what the gauge shows there, of a tire that shows ``gauge_pa`` here.

    Parameters
    ----------
    gauge_pa : float
        Gauge pressure [Pa] here.
    here, there : TireState
        Tire temperature [K] and altitude [m]; a tire warm from the road has its own temperature, not the air's.
    gauge_u_pa : float or None
        Standard uncertainty of the gauge reading [Pa], not negative.
    temperature_u_k : float
        Standard uncertainty of the tire temperature here [K], not negative. What is asked for there is exact.

    Returns
    -------
    Translation
        ``gauge_pa`` there is ``gauge_pa`` here plus its two parts.

    Raises
    ------
    OutOfRange
        For what no gas can be, altitudes outside -2000 to 11000 m, and negative uncertainties.

    Notes
    -----
    Source: ideal gas at constant volume; ambient pressure by ISO 2533:1975; uncertainty to first order,
    JCGM 100:2008, 5.1.2. Weather, some 3 kPa either way here and there, is not in it.

    Examples
    --------
    80 psi wanted at 20 degF and 5000 ft, in a shop at 70 degF and sea level:

    >>> shop, pass_road = TireState(294.261, 0.0), TireState(266.483, 1524.0)
    >>> answer = translated(551_581.0, pass_road, shop)
    >>> round(answer.gauge_pa), round(translated(answer.gauge_pa, shop, pass_road).gauge_pa)
    (600852, 551581)

    """
    there_pa = gauge_at(gauge_pa, here.tire_temperature_k, here.altitude_m, there.tire_temperature_k, there.altitude_m)
    by_altitude_pa = pressure_pa(here.altitude_m) - pressure_pa(there.altitude_m)
    for field, u in (("gauge_u_pa", gauge_u_pa or 0.0), ("temperature_u_k", temperature_u_k)):
        if not 0 <= u < inf:
            raise OutOfRange(
                f"{field}_out_of_range", field, f"A standard uncertainty of {u}: it must be at least 0 and finite."
            )
    u_pa = None
    if gauge_u_pa is not None:
        ratio = there.tire_temperature_k / here.tire_temperature_k
        per_kelvin_pa = ratio * (gauge_pa + pressure_pa(here.altitude_m)) / here.tire_temperature_k
        u_pa = hypot(ratio * gauge_u_pa, per_kelvin_pa * temperature_u_k)
    return Translation(there_pa, there_pa - gauge_pa - by_altitude_pa, by_altitude_pa, u_pa)


def departure(absolute_pa: float, here_k: float, there_k: float) -> Departure:
    """Return how real gases depart from the ideal one between two temperatures, at constant volume.

    Parameters
    ----------
    absolute_pa : float
        Absolute pressure here [Pa], up to 1.1 MPa here and there.
    here_k, there_k : float
        Temperatures [K], 243 to 343.15.

    Notes
    -----
    p = rho R T (1 + B rho) here and there, rho unchanged. Coefficients of dry air from its parts, those of unlike pairs
    taken as the mean of the like ones. A tire at 650 kPa gauge that cools by 20 K loses 1 kPa more than the ideal gas.

    Examples
    --------
    >>> round(departure(751e3, 293.0, 273.0).ideal_pa, -2), departure(751e3, 293.0, 293.0).ideal_pa < 1e-6
    (1000.0, True)

    """
    ideal_pa = absolute_pa * there_k / here_k
    air_pa = _real_pa(absolute_pa, here_k, there_k, _of_dry_air(here_k), _of_dry_air(there_k))
    nitrogen_pa = _real_pa(absolute_pa, here_k, there_k, _virial(NITROGEN, here_k), _virial(NITROGEN, there_k))
    return Departure(max(abs(air_pa - ideal_pa), abs(nitrogen_pa - ideal_pa)), abs(nitrogen_pa - air_pa))


def _real_pa(absolute_pa: float, here_k: float, there_k: float, virial_here: float, virial_there: float) -> float:
    """Return the absolute pressure there [Pa] of the density here, with second virial coefficients [m3/mol]."""
    ideal_density = absolute_pa / (GAS_CONSTANT_J_PER_MOL_K * here_k)
    density = 2 * ideal_density / (1 + sqrt(1 + 4 * virial_here * ideal_density))
    return density * GAS_CONSTANT_J_PER_MOL_K * there_k * (1 + virial_there * density)


def _virial(gas: tuple[float, float, float], kelvin: float) -> float:
    a, b, c = gas
    return (a - b * exp(c / kelvin)) * CUBIC_CENTIMETER_M3


def _of_dry_air(kelvin: float) -> float:
    """Return dry air's coefficient: with means for unlike pairs, that is the mean by volume."""
    whole = sum(share for share, _ in DRY_AIR)
    return sum(share * _virial(gas, kelvin) for share, gas in DRY_AIR) / whole


def cold_by_build_up_pa(running_pa: float, max_load_kg: float) -> float:
    """Return the cold pressure that a roadside inspection takes a running tire to have.

    For a tire just stopped whose temperature nobody measured; a measured temperature is better.

    Parameters
    ----------
    running_pa : float
        Gauge pressure [Pa] after an hour at 66 to 88.5 km/h (41 to 55 mph) on average.
    max_load_kg : float
        The tire's maximum load rating [kg].

    Returns
    -------
    float
        Estimated cold gauge pressure [Pa].

    Raises
    ------
    OutOfRange
        If the reading does not exceed the build-up, or the rating is not above 0.

    Notes
    -----
    Source: 49 CFR 393.75, table 1 (text of 2005, 70 FR 48054): 5 psi up to a rating of 4,000 lb, else 15 psi.

    Examples
    --------
    >>> round(cold_by_build_up_pa(758_423.0, 2_500.0))
    655002

    """
    if not 0 < max_load_kg < inf:
        raise OutOfRange(
            "max_load_out_of_range",
            "max_load_kg",
            f"A maximum load of {max_load_kg} kg: it must be above 0 and finite.",
        )
    build_up_pa = BUILD_UP_HEAVY_PA if exceeds(max_load_kg, BUILD_UP_LOAD_KG) else BUILD_UP_PA
    if not build_up_pa < running_pa < inf:
        raise OutOfRange(
            "running_pressure_out_of_range",
            "running_pa",
            f"A running tire at {running_pa} Pa: it must be above the build-up of {build_up_pa:.0f} Pa and finite.",
        )
    return running_pa - build_up_pa
