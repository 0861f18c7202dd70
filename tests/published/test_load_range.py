"""Load range letters against the series that two independent trade pages print alike."""

import pytest

from axlewright.core.errors import CoreError
from axlewright.core.tires.load_range import PLY_RATINGS, ply_rating

# Published: the Tire and Rim Association series.
PUBLISHED = {
    "A": 2, "B": 4, "C": 6, "D": 8, "E": 10, "F": 12, "G": 14, "H": 16, "J": 18, "L": 20, "M": 22, "N": 24,
}  # fmt: skip


@pytest.mark.parametrize(("load_range", "published"), PUBLISHED.items())
def test_a_load_range_stands_for_its_published_ply_rating(load_range: str, published: int) -> None:
    assert ply_rating(load_range) == published


def test_there_are_no_other_load_ranges() -> None:
    assert set(PLY_RATINGS) == set(PUBLISHED)


@pytest.mark.parametrize("load_range", ["I", "K", "O", "P", "e", "", "EE"])
def test_an_unknown_load_range_is_refused(load_range: str) -> None:
    with pytest.raises(CoreError, match="no load range") as refusal:
        ply_rating(load_range)
    assert (refusal.value.code, refusal.value.field) == ("unknown_load_range", "load_range")
