"""What a reading can be wrong by: published tolerances, and the parts worked by hand."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.errors import CoreError
from axlewright.core.scales import (
    ACCURACY_CLASSES,
    OwnTolerance,
    Placement,
    is_on_division,
    reading_error,
)
from tests.yard import LB


# Published: NIST Handbook 44 (2024), section 2.20, table 6, maintenance, class III L (row from memory): 1 d up to
# 500 d, 2 d up to 1000 d, and 1 d more for each further 500 d or part of it. (load lb, division lb, tolerance lb)
@pytest.mark.parametrize(
    ("load_lb", "division_lb", "tolerance_lb"),
    [
        (500, 20, 20),
        (8_000, 20, 20),
        (10_000, 20, 20),
        (10_020, 20, 40),
        (20_000, 20, 40),
        (20_020, 20, 60),
        (26_000, 20, 60),
        (32_500, 20, 80),
        (80_000, 20, 160),
        (200_000, 20, 400),
        (5_000, 10, 10),
        (5_010, 10, 20),
        (50_000, 50, 100),
        (50_050, 50, 150),
    ],
)
def test_class_iii_l_allows_one_division_for_each_five_hundred(
    load_lb: float, division_lb: float, tolerance_lb: float
) -> None:
    tolerance_kg = ACCURACY_CLASSES["III L"].tolerance_kg(load_lb * LB, division_lb * LB)
    assert tolerance_kg == pytest.approx(tolerance_lb * LB, rel=1e-12)


# Published: NIST Handbook 44 (2024), section 2.20, table 6, maintenance (from memory): class III 1 d to 500 d, 2 d to
# 2000 d, 3 d to 4000 d, 5 d above; class IIII 1 d to 50 d, 2 d to 200 d, 3 d to 400 d, 5 d above.
# Published: Directive 2014/31/EU, annex I, table 3, doubled in service: class III 1 e to 500 e, 2 e to 2000 e, 3 e to
# 10,000 e; class IIII 1 e to 50 e, 2 e to 200 e, 3 e to 1000 e. All in divisions: (class, load, tolerance).
@pytest.mark.parametrize(
    ("name", "divisions", "tolerance"),
    [
        ("III", 1, 1), ("III", 500, 1), ("III", 501, 2), ("III", 2_000, 2), ("III", 2_001, 3), ("III", 4_000, 3),
        ("III", 4_001, 5), ("III", 10_000, 5),
        ("IIII", 1, 1), ("IIII", 50, 1), ("IIII", 51, 2), ("IIII", 200, 2), ("IIII", 201, 3), ("IIII", 400, 3),
        ("IIII", 401, 5), ("IIII", 1_200, 5),
        ("OIML III", 500, 1), ("OIML III", 501, 2), ("OIML III", 2_000, 2), ("OIML III", 2_001, 3),
        ("OIML III", 10_000, 3),
        ("OIML IIII", 50, 1), ("OIML IIII", 51, 2), ("OIML IIII", 200, 2), ("OIML IIII", 201, 3),
        ("OIML IIII", 1_000, 3),
    ],
)  # fmt: skip
@pytest.mark.parametrize("division_kg", [20.0, 10.0, 20 * LB, 0.1])
def test_other_classes_step_where_their_tables_do(
    name: str, divisions: float, tolerance: float, division_kg: float
) -> None:
    tolerance_kg = ACCURACY_CLASSES[name].tolerance_kg(divisions * division_kg, division_kg)
    assert tolerance_kg == pytest.approx(tolerance * division_kg, rel=1e-12)


# Published: Directive 2014/31/EU, annex I, table 3, doubled in service. (e kg, load kg, in service kg)
@pytest.mark.parametrize(
    ("division_kg", "load_kg", "tolerance_kg"),
    [(20, 8_000, 20), (20, 10_000, 20), (20, 10_020, 40), (20, 40_000, 40), (20, 44_000, 60), (10, 5_010, 20)],
)
def test_a_weighbridge_in_service_errs_by_twice_the_initial_limit(
    division_kg: float, load_kg: float, tolerance_kg: float
) -> None:
    assert ACCURACY_CLASSES["OIML III"].tolerance_kg(load_kg, division_kg) == pytest.approx(tolerance_kg)


def test_a_load_at_the_top_of_a_step_keeps_its_tolerance_after_conversion_to_kilograms() -> None:
    """Identity: 500 k divisions allow k; without a guard some would allow one more once pounds are kilograms."""
    unguarded = 0
    for division_lb in range(1, 101):
        for step in range(1, 21):
            value_kg, division_kg = 500 * step * division_lb * LB, division_lb * LB
            unguarded += value_kg / division_kg > 500 * step
            tolerance_kg = ACCURACY_CLASSES["III L"].tolerance_kg(value_kg, division_kg)
            assert tolerance_kg == pytest.approx(step * division_kg, rel=1e-12)
    assert unguarded > 10


# Hand: tolerance over load at the top of the step: III L 1/500 = 2/1000 = ... = 0.002 everywhere; III at 600 d 2/2000,
# at 3,000 d 3/4000, at 9,000 d 5/10000; OIML III at 9,000 e 3/10000.
@pytest.mark.parametrize(
    ("name", "divisions", "slope"),
    [
        ("III L", 100, 0.002), ("III L", 501, 0.002), ("III L", 9_999, 0.002),
        ("III", 400, 0.002), ("III", 600, 0.001), ("III", 3_000, 0.00075), ("III", 9_000, 0.0005),
        ("IIII", 40, 0.02), ("IIII", 1_000, 5 / 1_200), ("OIML III", 9_000, 0.0003), ("OIML IIII", 150, 0.01),
    ],
)  # fmt: skip
def test_the_span_error_has_the_slope_at_the_top_of_the_largest_readings_step(
    name: str, divisions: float, slope: float
) -> None:
    assert ACCURACY_CLASSES[name].slope(divisions * 20.0, 20.0) == pytest.approx(slope)


@given(
    name=st.sampled_from(sorted(ACCURACY_CLASSES)),
    shares=st.tuples(st.floats(0.001, 1.0), st.floats(0.001, 1.0)),
    division_kg=st.sampled_from([0.5, 5.0, 10 * LB, 20 * LB]),
)
def test_the_span_error_never_takes_more_than_the_tolerance(
    name: str, shares: tuple[float, float], division_kg: float
) -> None:
    """Identity: so the rest of the tolerance is a real number for every reading up to the largest."""
    accuracy_class = ACCURACY_CLASSES[name]
    largest_kg = accuracy_class.steps[-1][0] * division_kg * max(shares)
    value_kg = accuracy_class.steps[-1][0] * division_kg * min(shares)
    slope = accuracy_class.slope(largest_kg, division_kg)
    assert slope * value_kg <= accuracy_class.tolerance_kg(value_kg, division_kg) * (1 + 1e-9)


@pytest.mark.parametrize(
    ("name", "most_divisions"),
    [("III L", 10_000), ("III", 10_000), ("IIII", 1_200), ("OIML III", 10_000), ("OIML IIII", 1_000)],
)
def test_a_reading_beyond_its_class_is_refused(name: str, most_divisions: int) -> None:
    """Published: the most divisions of each class, NIST Handbook 44 table 3 and Directive 2014/31/EU (from memory)."""
    accuracy_class = ACCURACY_CLASSES[name]
    accuracy_class.tolerance_kg(most_divisions * 20.0, 20.0)
    with pytest.raises(CoreError) as refused:
        accuracy_class.tolerance_kg((most_divisions + 1) * 20.0, 20.0)
    assert refused.value.code == "beyond_class"
    assert f"{most_divisions:,}" in refused.value.message


def test_the_callers_tolerance_is_a_share_with_a_least() -> None:
    """Hand: 0.1 % but not under 15 kg: 15 kg at 9,000 kg, 20 kg at 20,000 kg."""
    own = OwnTolerance(share=0.001, least_kg=15.0)
    assert own.tolerance_kg(9_000.0, 20.0) == 15.0
    assert own.tolerance_kg(20_000.0, 20.0) == 20.0
    assert own.slope(9_000.0, 20.0) == 0.001


# Hand, in lb with d = 20, u_rounding = 20/sqrt(12) = 5.7735 (JCGM 100:2008, F.2.2.1):
#   5,180: t 20, span 10.36, rest sqrt(400 - 107.33) = 17.1076; placement max(10, 5.18) = 10; u sqrt(33.33 + 100)
#   10,760: t 40, span 21.52, rest sqrt(1600 - 463.11) = 33.7178; placement 10.76; u sqrt(33.33 + 115.78) = 12.2110
#   20,000: t 40, span 40, rest 0; placement 20; u sqrt(33.33 + 400) = 20.8167
@pytest.mark.parametrize(
    ("value_lb", "independent_u_lb", "span_lb", "rest_lb"),
    [
        (5_180, 11.5470, 10.36, 17.1076),
        (10_760, 12.2110, 21.52, 33.7178),
        (20_000, 20.8167, 40.0, 0.0),
    ],
)
def test_a_reading_of_a_truck_scale_errs_in_three_ways(
    value_lb: float, independent_u_lb: float, span_lb: float, rest_lb: float
) -> None:
    error = reading_error(value_lb * LB, 20 * LB, ACCURACY_CLASSES["III L"], 0.002, Placement())
    assert error.independent_u / LB == pytest.approx(independent_u_lb, abs=0.0005)
    assert error.span_half_width / LB == pytest.approx(span_lb, abs=1e-9)
    assert error.rest_half_width / LB == pytest.approx(rest_lb, abs=0.0005)


def test_a_rounded_reading_scatters_by_its_division_over_the_root_of_twelve() -> None:
    """Published: JCGM 100:2008, F.2.2.1 (from memory), and a million loads rounded to divisions of 20."""
    loads = np.random.default_rng(1).uniform(5_000, 6_000, 1_000_000)
    scatter = float(np.std(np.round(loads / 20) * 20 - loads))
    assert scatter == pytest.approx(5.7735, abs=0.02)
    bare = Placement(whole_axle_share=0.0)
    error = reading_error(5_180.0, 20.0, OwnTolerance(0.0, 0.0), 0.0, bare)
    assert error.independent_u == pytest.approx(sqrt(5.7735**2 + 10.0**2), abs=0.0005)
    assert error.span_half_width == 0.0
    assert error.rest_half_width == 0.0


@given(divisions=st.integers(1, 10_000), division_lb=st.sampled_from([1, 2, 5, 10, 20, 50]))
def test_every_multiple_of_a_division_counts_as_printed_even_after_conversion_to_kilograms(
    divisions: int, division_lb: int
) -> None:
    """Identity."""
    assert is_on_division(divisions * division_lb * LB, division_lb * LB)
    assert not is_on_division((divisions + 0.25) * division_lb * LB, division_lb * LB)
