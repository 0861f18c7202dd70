"""Least squares against published levelling networks: heights, their uncertainties, residuals, w and the global test.

F. Krumm, "Geodetic Network Adjustment Examples", Rev. 3.5, University of Stuttgart, 2020, prints the adjusted heights
to 0.1 mm and their standard deviations to 0.01 mm, scaled by the deviation of unit weight after the adjustment. The
figures were read from a copy of the input and result files that the GNU Gama project keeps of it, the residuals of
Example 2.3 from another project's check against the same pages; not from the document itself.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from axlewright.core.sessions.adjustment import Adjustment, adjust

Matrix = NDArray[np.float64]


class Levelled(NamedTuple):
    """A height difference in m, end less start, with the standard uncertainty of the line in m."""

    start: str
    end: str
    rise: float
    u: float


class Network(NamedTuple):
    """An adjusted levelling network: the free points in the order of the solution, and what `adjust` was given."""

    points: list[str]
    design: Matrix
    covariance: Matrix
    adjustment: Adjustment

    @property
    def unit_weight(self) -> float:
        """Return the deviation of unit weight after the adjustment, as a share of what was assumed before."""
        return float(np.sqrt(self.adjustment.statistic / self.adjustment.degrees_of_freedom))

    @property
    def us_mm(self) -> Matrix:
        """Return the uncertainties of the heights in mm, as assumed before the adjustment."""
        gain = self.adjustment.gain
        return np.asarray(1_000 * np.sqrt(np.diag(gain @ self.covariance @ gain.T)))


def lines(text: str, u_per_root_km: float) -> list[Levelled]:
    """Return the lines of a printed table: start, end, height difference in m, length of the line in m."""
    rows = [row.split() for row in text.strip().splitlines()]
    return [Levelled(a, b, float(rise), u_per_root_km * (float(length) / 1_000) ** 0.5) for a, b, rise, length in rows]


def adjusted(levelled: Sequence[Levelled], fixed: Mapping[str, float]) -> Network:
    """Adjust the lines with the fixed heights taken to the side of the readings."""
    points = sorted({point for line in levelled for point in line[:2]} - set(fixed), key=lambda name: (len(name), name))
    design = np.zeros((len(levelled), len(points)))
    readings = np.zeros(len(levelled))
    for row, line in enumerate(levelled):
        readings[row] = line.rise
        for point, sign in ((line.start, -1.0), (line.end, 1.0)):
            if point in fixed:
                readings[row] -= sign * fixed[point]
            else:
                design[row, points.index(point)] = sign
    covariance = np.diag([line.u**2 for line in levelled])
    return Network(points, design, covariance, adjust(design, readings, covariance))


KRUMM_FIXED = """
1 2  14.301  900
1 3   9.995  800
1 4   7.006 1000
1 5  17.500 1500
3 2   4.299  500
"""
NIEMEIER = """
1 2  -8.206  621.118012422360
1 3  -5.734 1204.819277108430
2 3   2.481  450.450450450450
2 4  -4.433  800.000000000000
3 4  -6.909 1000.000000000000
3 5 -18.872 1098.901098901100
3 6   4.035  440.528634361233
4 5 -11.962  719.424460431655
5 6  22.904  833.333333333333
"""
BAUMANN = """
1  2   0.6235 2500
1  2   0.6240 3800
2  3   7.7292 5000
5  4   8.2021 3800
6  5   4.4254  900
7  6   1.0502  600
8  7   3.7782 1600
3  8   1.4813 1800
9  8   5.3523 2400
10 5   7.4945 1800
10 7   2.0179 1000
10 11  0.4950 1300
8  11  2.2530 1000
13 11 11.4908 1200
12 8   4.7158 2400
2  9   3.8582 1600
9  12  0.6374 3000
13 12  4.5218 1700
14 13  2.0246 1200
14 13  2.0251 1400
"""
BAUMANN_FIXED = {"4": 226.578, "6": 213.951, "8": 209.124, "9": 203.771, "14": 197.862}
GHILANI = [
    Levelled("A", "B", 10.509, 0.006),
    Levelled("B", "C", 5.360, 0.004),
    Levelled("C", "D", -8.523, 0.005),
    Levelled("D", "A", -7.348, 0.003),
    Levelled("B", "D", -3.167, 0.004),
    Levelled("A", "C", 15.881, 0.012),
]


@pytest.mark.parametrize(
    ("network", "heights", "us_mm", "redundancy"),
    [
        pytest.param(
            adjusted(lines(KRUMM_FIXED, 0.005), {"5": 110.956}),
            {"1": 93.4560, "2": 107.7541, "3": 103.4535, "4": 100.4620},
            [5.78, 6.73, 6.69, 7.46],
            1,
            id="Krumm, network with one fixed height",
        ),
        pytest.param(
            adjusted(GHILANI, {"A": 437.596}),
            {"B": 448.1087, "C": 453.4685, "D": 444.9436},
            [2.30, 2.64, 1.76],
            3,
            id="Ghilani, Adjustment Computations, 5th ed., Ex. 12.6, p. 218",
        ),
        pytest.param(
            adjusted(lines(NIEMEIER, 0.001), {"6": 67.228}),
            {"1": 68.9235, "2": 60.7153, "3": 63.1938, "4": 56.2838, "5": 44.3226},
            [3.12, 2.60, 1.97, 2.63, 2.30],
            4,
            id="Niemeier, Ausgleichungsrechnung, 2nd ed., p. 153, weights 1.61, 0.83, 2.22 ...",
        ),
        pytest.param(
            adjusted(lines(BAUMANN, 0.001), BAUMANN_FIXED),
            {"1": 199.2892, "2": 199.9129, "3": 207.6426, "5": 218.3765, "7": 212.9010, "10": 210.8826}
            | {"11": 211.3773, "12": 204.4084, "13": 199.8867},
            [0.74, 0.50, 0.53, 0.33, 0.27, 0.35, 0.31, 0.40, 0.29],
            11,
            id="Baumann, Vermessungskunde 2, 5th ed., 13.4.2, p. 32",
        ),
    ],
)
def test_the_heights_and_uncertainties_of_a_printed_network_are_reproduced(
    network: Network, heights: dict[str, float], us_mm: list[float], redundancy: int
) -> None:
    """Published; half a unit of the last printed digit, and a little more for heights: one of them ends in 5."""
    assert network.points == list(heights)
    assert network.adjustment.degrees_of_freedom == redundancy
    assert network.adjustment.solution == pytest.approx(list(heights.values()), abs=0.6e-4)
    assert network.us_mm * network.unit_weight == pytest.approx(us_mm, abs=0.005)


def test_a_network_without_a_fixed_height_is_adjusted_on_the_points_that_carry_it() -> None:
    """Published: Niemeier, 2nd ed., pp. 153-156 and 268-269: free network, datum by the points 1, 3 and 5.

    Points 2, 4 and 6 do not carry the datum. `adjust` gives the solution of least norm over all six, so what remains
    is to take the mean correction of points 1, 3 and 5 out of it; the differences of the heights do not depend on that.
    """
    approximate = np.array([68.927, 60.712, 63.193, 56.286, 44.324, 67.228])
    levelled = lines(NIEMEIER, 0.001)
    design = np.zeros((9, 6))
    for row, line in enumerate(levelled):
        design[row, [int(line.start) - 1, int(line.end) - 1]] = -1.0, 1.0
    readings = np.array([line.rise for line in levelled]) - design @ approximate
    covariance = np.diag([line.u**2 for line in levelled])
    adjustment = adjust(design, readings, covariance)
    [level] = adjustment.unobserved.T
    assert level / level[0] == pytest.approx(np.ones(6))
    assert adjustment.degrees_of_freedom == 4

    to_datum = np.eye(6) - np.array([1, 0, 1, 0, 1, 0]) / 3
    corrections_mm = 1_000 * to_datum @ adjustment.solution
    assert corrections_mm == pytest.approx([-2.13, 4.66, 2.17, -0.77, -0.04, 1.40], abs=0.006)
    gain = to_datum @ adjustment.gain
    unit_weight = np.sqrt(adjustment.statistic / 4)
    us_mm = 1_000 * unit_weight * np.sqrt(np.diag(gain @ covariance @ gain.T))
    assert us_mm == pytest.approx([1.75, 1.65, 1.13, 1.94, 1.60, 2.00], abs=0.006)


def test_a_network_hung_on_correlated_heights_is_reproduced() -> None:
    """Published: Krumm, Example 2.3, pp. 13-16: heights 2 and 3 with a full covariance are readings themselves.

    Printed: heights to 0.1 mm; uncertainties 0.04, 0.04, 0.43, 0.39, 0.48 mm; residuals (observed less adjusted)
    -0.52, 0.10, 0.27, 0.17 and -0.60 mm; a line of 1 km has a deviation of 1 m.
    """
    design = np.zeros((7, 5))  # heights 2, 3, 6, 7, 8
    design[0, 0] = design[1, 1] = 1.0
    for row, (start, end) in enumerate([(0, 4), (1, 2), (1, 3), (2, 3), (4, 3)], start=2):
        design[row, [start, end]] = -1.0, 1.0
    readings = np.array([107.7541, 103.4535, 5.128, 2.183, 12.254, 10.071, 2.824])
    covariance = np.diag([0.0025, 0.0036, 0.7, 0.5, 0.5, 0.8, 0.8])
    covariance[0, 1] = covariance[1, 0] = -0.0015
    adjustment = adjust(design, readings, covariance)
    assert adjustment.solution == pytest.approx([107.7541, 103.4535, 105.6364, 115.7072, 112.8826], abs=0.6e-4)
    assert adjustment.degrees_of_freedom == 2
    assert 1_000 * adjustment.residuals[2:] == pytest.approx([-0.52, 0.10, 0.27, 0.17, -0.60], abs=0.005)
    unit_weight = np.sqrt(adjustment.statistic / 2)
    us_mm = 1_000 * unit_weight * np.sqrt(np.diag(adjustment.gain @ covariance @ adjustment.gain.T))
    assert us_mm == pytest.approx([0.04, 0.04, 0.43, 0.39, 0.48], abs=0.005)


def test_data_snooping_in_a_levelling_network_is_reproduced() -> None:
    """Published: Z. Siki, "Level network adjustment and data snooping", OSGeoLabBp tutorials; deviation 0.7 mm a km.

    Printed: changes of the approximate heights, uncertainties scaled by m0 1.65, corrections (adjusted less observed)
    in mm, |w| by the normal distribution (column U), redundancy numbers (r), v'Pv 8.217. Its 4-3 corner is fixed.
    """
    table = [("1", "2", -0.749, 1.1), ("1", "3", -1.274, 1.8), ("1", "4", -2.890, 1.4)]
    table += [("2", "3", -0.530, 1.5), ("2", "4", -2.141, 1.9), ("3", "4", -1.614, 0.9)]
    network = adjusted([Levelled(a, b, rise, 0.0007 * km) for a, b, rise, km in table], {"4": 101.345})
    adjustment = network.adjustment
    changes_mm = 1_000 * (adjustment.solution - [104.234, 103.487, 102.958])
    assert changes_mm == pytest.approx([0.9969, -0.1919, 0.8200], abs=0.5e-4)
    assert adjustment.statistic == pytest.approx(8.217, abs=0.0005)
    assert network.unit_weight == pytest.approx(1.65, abs=0.005)
    assert network.us_mm * network.unit_weight == pytest.approx([1.13, 1.19, 0.91], abs=0.005)
    assert -1_000 * adjustment.residuals == pytest.approx([0.81, -2.18, 0.00, 2.01, -0.81, 0.18], abs=0.006)
    assert np.abs(adjustment.baarda_w) == pytest.approx([1.9, 2.1, 0.0, 2.6, 0.7, 0.6], abs=0.05)
    redundancies = np.diag(network.covariance) / adjustment.slip_us**2
    assert redundancies == pytest.approx([0.3, 0.7, 0.5, 0.5, 0.7, 0.2], abs=0.05)
    assert float(np.sum(redundancies)) == pytest.approx(3.0)  # identity: they sum to the degrees of freedom
    assert adjustment.probability < 0.05  # chi-squared with 3 degrees of freedom has 7.815 as its upper 5 % point


def test_a_loop_levelled_there_and_back_is_reproduced() -> None:
    """Published: GNU Gama 1.5.09, printed sample "1D vertical least square adjustment"; 5 mm a line.

    Printed: heights of 4, 3 and 2 with deviations 3.1, 3.5 and 3.1 mm; [pvv] 146.625, m0' 5.42, 5 degrees of freedom;
    "maximal normalized residual 1.68 does not exceed critical value 1.96 ... for observation #6".
    """
    there_and_back = [("1a", "4", -1.225), ("4", "3", -0.848), ("3", "2", 1.342), ("2", "1a", 0.720)]
    there_and_back += [("1a", "2", -0.724), ("2", "3", -1.335), ("3", "4", 0.842), ("4", "1a", 1.231)]
    network = adjusted([Levelled(*line, u=0.005) for line in there_and_back], {"1a": 1000.0})
    adjustment = network.adjustment
    assert dict(zip(network.points, adjustment.solution.tolist(), strict=True)) == pytest.approx(
        {"4": 998.77513, "3": 997.93325, "2": 999.27487}, abs=0.6e-5
    )
    assert network.us_mm == pytest.approx([3.1, 3.5, 3.1], abs=0.05)
    assert adjustment.degrees_of_freedom == 5
    assert 25.0 * adjustment.statistic == pytest.approx(146.625, abs=0.0005)
    assert 5.0 * network.unit_weight == pytest.approx(5.42, abs=0.005)
    assert int(np.argmax(np.abs(adjustment.baarda_w))) + 1 == 6
    assert np.max(np.abs(adjustment.baarda_w)) == pytest.approx(1.68, abs=0.005)
    assert adjustment.probability > 0.05
