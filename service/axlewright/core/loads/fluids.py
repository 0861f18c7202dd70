"""What tanks hold: densities of the fluids aboard, and the mass behind a level.

Sources: water by Kell (J. Chem. Eng. Data 20, 1975, equation 16; from memory, checked against tables); gasoline by the
range of EN 228 at 15 degC (from memory); diesel from the light end of EN 590 (from memory) to API gravity 30 (common
practice: ASTM D975 limits no density, and EN 590's heavy end, 845 kg/m3, leaves heavier fuel out); the expansion of
both by ASTM D1250, table 54B (constants from memory), to first order; commercial propane by its 4.20 lb/US gal at
60 degF (property tables), over temperature as the pure saturated liquid; urea solution by ISO 22241-1 (from memory). A
range counts as rectangular (JCGM 100:2008, 4.3.7). What has been drained into a waste tank counts as water. The doubts
of a level told, and of a tank's capacity, are judgement.
"""

from math import hypot, sqrt
from typing import Final

import numpy as np
from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.rig import Fluid, Tank
from axlewright.core.units import CELSIUS_ZERO_K, GALLON_M3, POUND_KG

COLDEST_K: Final = CELSIUS_ZERO_K
HOTTEST_K: Final = CELSIUS_ZERO_K + 50.0
"""Range in which every formula here holds; water freezes below it."""

PROPANE_FILL_SHARE: Final = 0.80
"""Share of a propane tank's water capacity at which filling stops (NFPA 58)."""

LEVEL_DOUBT: Final = 0.05
"""Standard uncertainty of a level read by eye, as a share of the capacity; judgement."""
FULL_OR_EMPTY_DOUBT: Final = 0.01
"""The same of a tank said to be just full or empty; judgement."""
CAPACITY_DOUBT: Final = 0.02
"""Standard uncertainty of a tank's stated capacity, as a share of it; judgement."""

_KELL_TOP: Final = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
_KELL_BOTTOM: Final = 16.879850e-3
_WATER_U_SHARE: Final = 0.001
"""What is dissolved in drinking water; judgement."""
_WASTE_U_SHARE: Final = 0.01
"""What is carried in waste water; judgement."""

_REFERENCE_C: Final = 15.0
_UREA_REFERENCE_C: Final = 20.0
_PROPANE_REFERENCE_C: Final = (60.0 - 32.0) / 1.8
_PROPANE_KG_PER_M3: Final = 4.20 * POUND_KG / GALLON_M3
_PROPANE_U_SHARE: Final = 0.01
"""Makers' sheets give 4.20 to 4.24 lb/US gal at 60 degF, more where it is nearly pure; judgement."""
_PURE_PROPANE_C: Final = (0.0, 40 / 9, 140 / 9, 20.0, 340 / 9, 50.0)
_PURE_PROPANE_KG_PER_M3: Final = (528.6, 522.5, 506.7, 500.1, 471.4, 448.9)


class _Range(Struct, frozen=True):
    """Least and most density [kg/m3] at a reference temperature [degC], and what it loses per kelvin, as a share."""

    least: float
    most: float
    reference_c: float
    expansion_per_k: float


def _petroleum(least: float, most: float, k0: float, k1: float) -> _Range:
    """Return a petroleum product's range at 15 degC, with K0 and K1 of its group (ASTM D1250, table 54B).

    The coefficient is alpha = (K0/rho + K1)/rho, at the middle density rho.
    """
    middle = (least + most) / 2
    return _Range(least, most, _REFERENCE_C, (k0 / middle + k1) / middle)


_RANGES: Final = {
    Fluid.GASOLINE: _petroleum(720.0, 775.0, 346.4228, 0.4388),
    Fluid.DIESEL: _petroleum(820.0, 876.0, 186.9696, 0.4862),
    Fluid.EXHAUST_FLUID: _Range(1087.0, 1093.0, _UREA_REFERENCE_C, 0.00040),
}


class Density(Struct, frozen=True):
    """A density with its standard uncertainty [kg/m3]."""

    kg_per_m3: float
    u: float


class Contents(Struct, frozen=True):
    """The mass that a tank holds [kg].

    Attributes
    ----------
    u_kg
        Standard uncertainty [kg] from the fluid's density and from the level.
    capacity_u_kg
        Standard uncertainty [kg] from the tank's capacity, which is not in ``u_kg``: each tank has its own error.
    """

    mass_kg: float
    u_kg: float
    capacity_u_kg: float


def density(fluid: Fluid, temperature_k: float) -> Density:
    """Return the density of a fluid.

    Parameters
    ----------
    temperature_k
        Of the fluid [K], 273.15 to 323.15.

    Raises
    ------
    OutOfRange
        If a formula does not hold at the temperature.

    >>> round(density(Fluid.WATER, 288.7056).kg_per_m3, 2)
    999.01
    """
    if not COLDEST_K <= temperature_k <= HOTTEST_K:
        raise OutOfRange(
            "temperature_out_of_range",
            "temperature_k",
            f"densities are known from {COLDEST_K:g} K to {HOTTEST_K:g} K; given is {temperature_k:g} K",
        )
    celsius = temperature_k - CELSIUS_ZERO_K
    if fluid is Fluid.PROPANE:
        value = _PROPANE_KG_PER_M3 * _pure_propane(celsius) / _pure_propane(_PROPANE_REFERENCE_C)
        return Density(value, _PROPANE_U_SHARE * value)
    if fluid in _RANGES:
        own = _RANGES[fluid]
        factor = 1.0 - own.expansion_per_k * (celsius - own.reference_c)
        return Density((own.least + own.most) / 2 * factor, (own.most - own.least) / sqrt(12) * factor)
    water = _water(celsius)
    return Density(water, water * (_WATER_U_SHARE if fluid is Fluid.WATER else _WASTE_U_SHARE))


def contents(tank: Tank, level: float, level_u: float, temperature_k: float) -> Contents:
    """Return what a tank holds.

    Parameters
    ----------
    level, level_u
        How full it is, 0 to 1, and the standard uncertainty of that; of propane as a share of the 80 % fill.
    temperature_k
        Of the fluid [K].

    Raises
    ------
    OutOfRange
        As `density`.
    """
    fluid = density(tank.fluid, temperature_k)
    volume_m3 = tank.capacity_m3 * (PROPANE_FILL_SHARE if tank.fluid is Fluid.PROPANE else 1.0)
    mass_kg = fluid.kg_per_m3 * volume_m3 * level
    u_kg = volume_m3 * hypot(fluid.u * level, fluid.kg_per_m3 * level_u)
    return Contents(mass_kg, u_kg, CAPACITY_DOUBT * mass_kg)


def level_doubt(level: float) -> float:
    """Return the standard uncertainty of a level that was told without one; judgement."""
    return FULL_OR_EMPTY_DOUBT if level in (0.0, 1.0) else LEVEL_DOUBT


def _water(celsius: float) -> float:
    top = sum(factor * celsius**power for power, factor in enumerate(_KELL_TOP))
    return top / (1.0 + _KELL_BOTTOM * celsius)


def _pure_propane(celsius: float) -> float:
    return float(np.interp(celsius, _PURE_PROPANE_C, _PURE_PROPANE_KG_PER_M3))
