"""Load indices against the tables of ISO 4000-1 and UN Regulations No. 30 and No. 54."""

from itertools import pairwise

import pytest

from axlewright.core.errors import OutOfRange
from axlewright.core.tires.load_index import load_kg

# Published: ISO 4000-1 and ISO 4209-1 load index tables, as public lists print them alike; 175 and 180 from
# memory.
PUBLISHED_KG = {
    0: 45, 1: 46.2, 3: 48.7, 9: 58, 19: 77.5, 20: 80, 29: 103, 35: 121, 37: 128, 39: 136, 40: 140, 49:
    185, 50: 190, 53: 206, 60: 250, 61: 257, 62: 265, 63: 272, 67: 307, 70: 335, 75: 387, 77: 412, 79:
    437, 80: 450, 81: 462, 82: 475, 83: 487, 88: 560, 91: 615, 95: 690, 100: 800, 105: 925, 108: 1000,
    112: 1120, 116: 1250, 118: 1320, 120: 1400, 121: 1450, 126: 1700, 129: 1850, 130: 1900, 135: 2180,
    139: 2430, 140: 2500, 141: 2575, 144: 2800, 149: 3250, 150: 3350, 152: 3550, 154: 3750, 160: 4500,
    169: 5800, 170: 6000, 175: 6900, 180: 8000,
}  # fmt: skip

# Published: whole kilos where a tenth of the load 80 indices up has a half (257 for 257.5, and so on).
HALF_KILO_DROPPED = {35, 37, 61, 63, 67, 75, 77, 79, 81, 83}


@pytest.mark.parametrize(("index", "published_kg"), PUBLISHED_KG.items())
def test_a_load_index_stands_for_its_published_load(index: int, published_kg: float) -> None:
    assert load_kg(index) == published_kg


@pytest.mark.parametrize("index", range(101))
def test_eighty_indices_up_the_load_is_tenfold_but_for_dropped_half_kilos(index: int) -> None:
    """Identity: the scale has 80 steps a decade."""
    dropped_kg = 0.5 if index in HALF_KILO_DROPPED else 0.0
    assert load_kg(index + 80) == pytest.approx(10 * (load_kg(index) + dropped_kg), rel=1e-12)


@pytest.mark.parametrize("index", range(181))
def test_a_load_lies_within_preferred_number_rounding_of_the_geometric_scale(index: int) -> None:
    """Identity: 45 kg x 10^(LI/80), rounded to preferred numbers, moves a load by less than 2 %."""
    assert load_kg(index) == pytest.approx(45 * 10 ** (index / 80), rel=0.02)


def test_every_load_index_stands_for_more_than_the_one_before() -> None:
    loads = [load_kg(index) for index in range(181)]
    assert all(lower < upper for lower, upper in pairwise(loads))


@pytest.mark.parametrize("index", [-1, 181, 1200])
def test_a_load_index_outside_the_table_is_refused(index: int) -> None:
    with pytest.raises(OutOfRange, match="from 0 to 180") as refusal:
        load_kg(index)
    assert (refusal.value.code, refusal.value.field) == ("load_index_out_of_range", "index")
