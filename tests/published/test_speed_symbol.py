"""Speed symbols against UN Regulations No. 30 and No. 54 and the mph that United States tables print."""

import pytest

from axlewright.core.errors import CoreError
from axlewright.core.tires.speed_symbol import SPECIAL_TRAILER_SPEED_M_PER_S, SPEEDS_KM_PER_H, speed_m_per_s

# Published: symbol -> (km/h of the UN tables, mph as United States speed symbol tables print it).
PUBLISHED = {
    "B": (50, 31), "C": (60, 37), "D": (65, 40), "E": (70, 43), "F": (80, 50), "G": (90, 56), "J": (100, 62),
    "K": (110, 68), "L": (120, 75), "M": (130, 81), "N": (140, 87), "P": (150, 93), "Q": (160, 99),
    "R": (170, 106), "S": (180, 112), "T": (190, 118), "U": (200, 124), "H": (210, 130), "V": (240, 149),
    "W": (270, 168), "Y": (300, 186),
    # mph from memory
    "A1": (5, 3), "A2": (10, 6), "A3": (15, 9), "A4": (20, 12), "A5": (25, 16), "A6": (30, 19),
    "A7": (35, 22), "A8": (40, 25),
}  # fmt: skip


@pytest.mark.parametrize(("symbol", "speeds"), PUBLISHED.items())
def test_a_speed_symbol_stands_for_its_published_speed_in_both_units(symbol: str, speeds: tuple[int, int]) -> None:
    km_per_h, mph = speeds
    assert speed_m_per_s(symbol) == pytest.approx(km_per_h * 1000 / 3600, rel=1e-12)
    assert round(speed_m_per_s(symbol) * 3600 / 1609.344) == mph


def test_there_are_no_other_speed_symbols() -> None:
    assert set(SPEEDS_KM_PER_H) == set(PUBLISHED)


@pytest.mark.parametrize("symbol", ["I", "O", "X", "Z", "ZR", "A", "A9", "l", ""])
def test_an_unknown_speed_symbol_is_refused(symbol: str) -> None:
    with pytest.raises(CoreError, match="no speed symbol") as refusal:
        speed_m_per_s(symbol)
    assert (refusal.value.code, refusal.value.field) == ("unknown_speed_symbol", "symbol")


def test_a_special_trailer_tire_without_symbol_is_good_for_65_mph() -> None:
    """Hand: 65 x 1609.344 m / 3600 s = 29.0576 m/s."""
    assert abs(SPECIAL_TRAILER_SPEED_M_PER_S - 29.0576) < 1e-9
