"""Speed symbols and the speeds that they stand for."""

from types import MappingProxyType
from typing import Final

from axlewright.core.errors import CoreError
from axlewright.core.units import KILOMETER_PER_HOUR_M_PER_S, MILE_PER_HOUR_M_PER_S

SPEEDS_KM_PER_H: Final = MappingProxyType(
    {
        "A1": 5,
        "A2": 10,
        "A3": 15,
        "A4": 20,
        "A5": 25,
        "A6": 30,
        "A7": 35,
        "A8": 40,
        "B": 50,
        "C": 60,
        "D": 65,
        "E": 70,
        "F": 80,
        "G": 90,
        "J": 100,
        "K": 110,
        "L": 120,
        "M": 130,
        "N": 140,
        "P": 150,
        "Q": 160,
        "R": 170,
        "S": 180,
        "T": 190,
        "U": 200,
        "H": 210,
        "V": 240,
        "W": 270,
        "Y": 300,
    }
)
"""Speed [km/h] of each symbol; H stands between U and V, and I, O and X are not used."""

SPECIAL_TRAILER_SPEED_M_PER_S: Final = 65 * MILE_PER_HOUR_M_PER_S
"""Most speed [m/s] of a special-trailer tire that carries no speed symbol: 65 mph.

Source: Tire and Rim Association Year Book, table ST-M1, as quoted alike by three trade pages.
"""


def speed_m_per_s(symbol: str) -> float:
    """Return the most speed that a speed symbol stands for.

    Parameters
    ----------
    symbol : str
        Speed symbol A1 to A8 or B to Y, upper case, as marked.

    Returns
    -------
    float
        Speed [m/s], 1.4 to 83.4.

    Raises
    ------
    CoreError
        If no such symbol exists.

    Notes
    -----
    Source: UN Regulations No. 30 and No. 54, definition of the speed category symbol.

    Examples
    --------
    >>> round(speed_m_per_s("L") * 3.6, 9)
    120.0

    """
    if symbol not in SPEEDS_KM_PER_H:
        raise CoreError(
            "unknown_speed_symbol",
            "symbol",
            f"There is no speed symbol {symbol!r}: use A1 to A8, or one of B to Y without I, O and X.",
        )
    return SPEEDS_KM_PER_H[symbol] * KILOMETER_PER_HOUR_M_PER_S
