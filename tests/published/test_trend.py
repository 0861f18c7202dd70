"""The robust line against its author's example and an independent library."""

import numpy as np
import pytest
from scipy import stats

from axlewright.core.inflation.trend import trend

# Published: the worked example of P. K. Sen, Journal of the American Statistical Association 63 (1968) 1379, from
# memory: slope 4 with the interval 26/7 to 35/8 (there at 93 %, the same ranks as here at 95 %).
SEN_X = [1, 2, 3, 4, 10, 12, 18]
SEN_Y = [9, 15, 19, 20, 45, 55, 78]


def test_the_authors_example() -> None:
    """Hand: the 21 slopes sorted are 1, 2.5, 11/3, 26/7, 3.75 ... 4 (the 11th) ... 4.18, 35/8, 5, 5, 6; with
    S of variance 7 x 6 x 19/18 = 44.33 the ends are round((21 -+ 1.96 x 6.658)/2): the 4th and the 18th.
    """
    line = trend(SEN_X, SEN_Y)
    assert (line.slope, line.low, line.high) == pytest.approx((4.0, 26 / 7, 35 / 8))
    # Hand: y - 4 (x - 4) is 21, 23, 23, 20, 21, 23, 22; in order 20, 21, 21, 22, 23, 23, 23.
    assert (line.pivot_x, line.pivot_y) == (4.0, 22.0)


def test_one_early_outlier_does_not_move_the_line() -> None:
    """Hand: 80, 79 ... 75 but for the first, 90; y - slope x is 80 for all others, so at x = 5 the line is at 75."""
    line = trend([0, 1, 2, 3, 4, 5], [90, 79, 78, 77, 76, 75])
    assert line.slope == -1.0
    assert line.pivot_y + line.slope * (5 - line.pivot_x) == 75.0


@pytest.mark.parametrize("readings", [5, 6, 7, 9, 12, 20, 40])
@pytest.mark.parametrize("seed", range(5))
def test_slope_and_interval_are_those_of_a_library(readings: int, seed: int) -> None:
    """Library: scipy.stats.theilslopes at 95 %, level by the median of y - slope x ("joint")."""
    draw = np.random.default_rng([readings, seed])
    x = np.cumsum(draw.uniform(0.1, 30.0, readings))
    y = 600e3 - 100 * x + draw.standard_t(3, readings) * 2_000
    line, library = trend(list(x), list(y)), stats.theilslopes(y, x, 0.95, method="joint")
    assert line.slope == pytest.approx(library.slope)
    assert (line.low, line.high) == pytest.approx((library.low_slope, library.high_slope))
    assert line.pivot_y - line.slope * line.pivot_x == pytest.approx(library.intercept)


def test_no_interval_is_narrower_than_the_readings_allow() -> None:
    """Hand: x 0 ... 4, sum of squares about the mean 10; equal readings of u = 2: 1.959964 x 2/sqrt(10) = 1.239590."""
    line = trend([0, 1, 2, 3, 4], [7.0] * 5, 2.0)
    assert (line.slope, line.low, line.high) == pytest.approx((0.0, -1.239590, 1.239590), abs=1e-6)
