"""Exact conversion factors and the guard used in comparisons.

Source: NIST Special Publication 811 (2008 edition), appendix B.8; NIST Handbook 44 (2024 edition),
appendix C. Every factor here is exact by definition or derived from exact factors.
"""

from math import ceil
from typing import Final

POUND_KG: Final = 0.45359237
INCH_M: Final = 0.0254
FOOT_M: Final = 0.3048
MILE_M: Final = 1609.344
STANDARD_GRAVITY_M_PER_S2: Final = 9.80665
POUND_FORCE_N: Final = POUND_KG * STANDARD_GRAVITY_M_PER_S2
PSI_PA: Final = POUND_FORCE_N / INCH_M**2
KILOPASCAL_PA: Final = 1_000.0
BAR_PA: Final = 100_000.0
GALLON_M3: Final = 231 * INCH_M**3
LITER_M3: Final = 0.001
MILE_PER_HOUR_M_PER_S: Final = MILE_M / 3600
KILOMETER_PER_HOUR_M_PER_S: Final = 1 / 3.6
POUND_FORCE_FOOT_N_M: Final = POUND_FORCE_N * FOOT_M
CELSIUS_ZERO_K: Final = 273.15
FAHRENHEIT_ZERO_R: Final = 459.67
RANKINE_K: Final = 5 / 9

RELATIVE_GUARD: Final = 1e-9
"""Two figures closer than this share of the larger are the same figure.

Converting pounds to kilograms moves sums by some 1e-16; scales resolve 1e-4.
"""


def exceeds(value: float, limit: float) -> bool:
    """Return whether a value lies above a limit by more than the guard.

    >>> exceeds(0.1 + 0.2, 0.3), exceeds(0.31, 0.3)
    (False, True)
    """
    return value > limit and value - limit > RELATIVE_GUARD * max(abs(value), abs(limit))


def rounded_up(value: float, step: float) -> float:
    """Return the least multiple of a step that is not below a value, but for the guard.

    >>> rounded_up(115.00000000001, 5.0), rounded_up(115.1, 5.0)
    (115.0, 120.0)
    """
    steps = value / step
    return ceil(steps - RELATIVE_GUARD * max(abs(steps), 1.0)) * step
