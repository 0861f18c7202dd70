"""Interstate limits against the tables of statutes and worked examples that print them."""

from itertools import accumulate

import pytest

from axlewright.core.loads.interstate import InterstateRule, PlacedAxle, bridge_formula_kg, interstate_limits_of
from tests.yard import LB

FOOT = 0.3048  # m, exact: NIST SP 811, appendix B.8
NAMES = ("first", "second", "third", "fourth", "fifth", "sixth")

# Published: California Assembly Bill 1953 (2024), table of the most lb on a group, first to last axle L ft apart; the
# 4-axle column repeats the 3-axle one up to 11 ft, and the 2-axle one stays at two single axles from 10 ft on.
CALIFORNIA_3 = (
    42_500, 43_500, 44_000, 45_000, 45_500, 46_500, 47_000, 48_000, 48_500, 49_500,
    50_000, 51_000, 51_500, 52_500, 53_000, 54_000, 54_500, 55_500, 56_000, 57_000,
)  # fmt: skip
CALIFORNIA_4 = (
    50_000, 50_500, 51_500, 52_000, 52_500, 53_500, 54_000, 54_500, 55_500,
    56_000, 56_500, 57_500, 58_000, 58_500, 59_500, 60_000, 60_500,
)  # fmt: skip
CALIFORNIA = [
    *((length_ft, axles, 34_000) for length_ft in range(4, 9) for axles in range(2, 7)),
    *((9, 2, 39_000), (10, 2, 40_000)),
    *((length_ft, 3, most_lb) for length_ft, most_lb in enumerate(CALIFORNIA_3, 9)),
    *((length_ft, 4, most_lb) for length_ft, most_lb in enumerate(CALIFORNIA_4, 12)),
]

# Published: 67 Pennsylvania Code 185.3, the same formula; rows without an exact tie, which that table takes up.
PENNSYLVANIA = [
    (10, 3, 43_500), (20, 3, 51_000), (24, 3, 54_000), (28, 3, 57_000), (32, 3, 60_000),
    (17, 4, 53_500), (22, 4, 56_500), (30, 4, 62_000), (40, 4, 68_500),
    (24, 5, 63_000), (28, 5, 65_500), (32, 5, 68_000), (36, 5, 70_500), (40, 5, 73_000),
    (20, 6, 66_000), (24, 6, 68_500), (30, 6, 72_000), (24, 7, 74_000), (30, 7, 77_500),
]  # fmt: skip

# Worked examples: a state handbook prints 78,000 for 48 ft and 5 axles; the others are those of the Federal Highway
# Administration's leaflet on bridge formula weights (from memory).
WORKED = [(48, 5, 78_000), (51, 5, 80_000), (20, 3, 51_000), (35, 4, 65_500)]


def in_line(*gaps_ft: float) -> list[PlacedAxle]:
    """Return axles so many feet apart."""
    return [
        (name, place_ft * FOOT, {f"{name}.left": 1.0, f"{name}.right": 1.0})
        for name, place_ft in zip(NAMES, accumulate(gaps_ft, initial=0.0), strict=False)
    ]


def limits_lb(*gaps_ft: float) -> dict[tuple[InterstateRule, str], float]:
    """Return every limit on such axles in lb."""
    limits = list(interstate_limits_of(in_line(*gaps_ft)))
    told = {(limit.rule, limit.subject): limit.most_kg / LB for limit in limits}
    assert len(told) == len(limits)
    return told


@pytest.mark.parametrize(("length_ft", "axles", "most_lb"), [*CALIFORNIA, *PENNSYLVANIA, *WORKED])
def test_the_bridge_formula_gives_what_statutes_print(length_ft: int, axles: int, most_lb: float) -> None:
    assert bridge_formula_kg(length_ft * FOOT, axles) / LB == pytest.approx(most_lb, abs=1e-6)


@pytest.mark.parametrize(("axles", "most_lb"), [(2, 38_000), (3, 42_000)])
def test_just_beyond_a_tandem_the_formula_is_taken_at_8_feet(axles: int, most_lb: float) -> None:
    """67 Pennsylvania Code 185.3, row of 8 ft; the Administration's table has it as "more than 8" (from memory)."""
    assert bridge_formula_kg(8.1 * FOOT, axles) / LB == pytest.approx(most_lb)


def test_a_truck_with_a_tandem_has_the_limits_of_a_printed_example() -> None:
    """Wisconsin, maximum weights on class A highways, example 2: axles 10 ft and 4 ft apart."""
    assert limits_lb(10, 4) == pytest.approx(
        {
            (InterstateRule.AXLE, "first"): 20_000,
            (InterstateRule.AXLE, "second"): 20_000,
            (InterstateRule.AXLE, "third"): 20_000,
            (InterstateRule.TANDEM, "second + third"): 34_000,
            (InterstateRule.BRIDGE_FORMULA, "first + second"): 40_000,
            (InterstateRule.BRIDGE_FORMULA, "first to third"): 46_500,
            (InterstateRule.GROSS, "first to third"): 80_000,
        }
    )


@pytest.mark.parametrize(
    ("length_ft", "most_lb"),
    [(34, 64_500), (35, 65_500), (36, 68_000), (37, 68_000), (38, 68_000), (39, 68_000), (40, 68_500), (41, 69_500)],
)
def test_two_tandems_carry_34000_lb_each_where_they_reach_36_feet(length_ft: float, most_lb: float) -> None:
    """23 USC 127(a)(2); printed: 67 Pennsylvania Code 185.3, 4 axles, rows of 34 to 41 ft."""
    told = limits_lb(4, length_ft - 8, 4)
    assert told[InterstateRule.BRIDGE_FORMULA, "first to fourth"] == pytest.approx(most_lb)


def test_the_five_axle_semitrailer_of_the_leaflet_breaks_the_formula_between_its_tandems() -> None:
    """Federal Highway Administration, bridge formula weights (from memory): axles 16, 4, 27 and 4 ft apart.

    The axles carry 12,000 and four times 17,000 lb: axles 1 to 3, 46,000 of 51,000; 2 to 5, 68,000 of 65,500.
    """
    told = limits_lb(16, 4, 27, 4)
    bridge = {subject: most_lb for (rule, subject), most_lb in told.items() if rule is InterstateRule.BRIDGE_FORMULA}
    assert bridge["first to third"] == pytest.approx(51_000)
    assert bridge["second to fifth"] == pytest.approx(65_500)
    assert bridge["first to fifth"] == pytest.approx(80_000)
    assert told[InterstateRule.TANDEM, "fourth + fifth"] == pytest.approx(34_000)


def test_axles_no_more_than_40_inches_apart_are_one_and_three_inside_96_are_a_tandem() -> None:
    """Federal Highway Administration, questions and answers on vehicle size and weight, 23 CFR 658.17."""
    inch = 1 / 12
    assert limits_lb(40 * inch) == pytest.approx(
        {(InterstateRule.AXLE, "first + second"): 20_000, (InterstateRule.GROSS, "first + second"): 80_000}
    )
    assert limits_lb(41 * inch)[InterstateRule.TANDEM, "first + second"] == pytest.approx(34_000)
    assert limits_lb(48 * inch, 48 * inch)[InterstateRule.TANDEM, "first to third"] == pytest.approx(34_000)
    assert (InterstateRule.TANDEM, "first + second") not in limits_lb(97 * inch)
