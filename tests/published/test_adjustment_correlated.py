"""Generalised least squares against published examples with correlated or unequally weighted observations."""

import numpy as np
import pytest
from numpy.typing import NDArray
from statsmodels.datasets import ccard, longley

from axlewright.core.sessions.adjustment import Adjustment, adjust

Matrix = NDArray[np.float64]


def errors_of(adjustment: Adjustment, covariance: Matrix) -> Matrix:
    """Return the standard errors of a solution, scaled by the deviation of unit weight after the adjustment."""
    variance = adjustment.statistic / adjustment.degrees_of_freedom
    return np.sqrt(np.diag(adjustment.gain @ covariance @ adjustment.gain.T) * variance)


# Published: C. D. Ghilani, Adjustment Computations, 5th ed., ch. 17.6 to 17.8, pp. 337-352, as F. Krumm, "Geodetic
# Network Adjustment Examples", Rev. 3.5, 2020, tables it (read from GNU Gama's copy of its files): 13 GNSS baselines in
# m, each with the upper triangle of its covariance in m^2, row by row.
BASELINES = """
A C  11644.2232  3601.2165  3399.2550 9.884e-4 -9.580e-6 9.520e-6 9.377e-4 -9.520e-6 9.827e-4
A E  -5321.7164  3634.0754  3173.6652 2.158e-4 -2.100e-6 2.160e-6 1.919e-4 -2.100e-6 2.005e-4
B C   3960.5442 -6681.2467 -7279.0148 2.305e-4 -2.230e-6 2.070e-6 2.546e-4 -2.230e-6 2.252e-4
B D -11167.6076  -394.5204  -907.9593 2.700e-4 -2.750e-6 2.850e-6 2.721e-4 -2.720e-6 2.670e-4
D C  15128.1647 -6286.7054 -6371.0583 1.461e-4 -1.430e-6 1.340e-6 1.614e-4 -1.440e-6 1.308e-4
D E  -1837.7459 -6253.8534 -6596.6697 1.231e-4 -1.190e-6 1.220e-6 1.277e-4 -1.210e-6 1.283e-4
F A  -1116.4523 -4596.1610 -4355.9062 7.475e-5 -7.900e-7 8.800e-7 6.593e-5 -8.100e-7 7.616e-5
F C  10527.7852  -994.9377  -956.6246 2.567e-4 -2.250e-6 2.400e-6 2.163e-4 -2.270e-6 2.397e-4
F E  -6438.1364  -962.0694 -1182.2305 9.442e-5 -9.200e-7 1.040e-6 9.959e-5 -8.900e-7 8.826e-5
F D  -4600.3787  5291.7785  5414.4311 9.330e-5 -9.900e-7 9.000e-7 9.875e-5 -9.900e-7 1.204e-4
F B   6567.2311  5686.2926  6322.3917 6.643e-5 -6.500e-7 6.900e-7 7.465e-5 -6.400e-7 6.048e-5
B F  -6567.2310 -5686.3033 -6322.3807 5.512e-5 -6.300e-7 6.100e-7 7.472e-5 -6.300e-7 6.629e-5
A F   1116.4577  4596.1553  4355.9141 6.619e-5 -8.000e-7 9.000e-7 8.108e-5 -8.200e-7 9.376e-5
"""
KNOWN_STATIONS = {"A": [402.35087, -4652995.30109, 4349760.77753], "B": [8086.03178, -4642712.84739, 4360439.08326]}
NEW_STATIONS = {
    "C": ([12046.5808, -4649394.0826, 4353160.0644], [0.608, 0.612, 0.597]),
    "D": ([-3081.5831, -4643107.3692, 4359531.1233], [0.494, 0.506, 0.514]),
    "E": ([-4919.3391, -4649361.2199, 4352934.4548], [0.523, 0.526, 0.517]),
    "F": ([1518.8012, -4648399.1453, 4354116.6914], [0.267, 0.282, 0.280]),
}


def test_a_gnss_network_with_a_covariance_for_each_baseline_is_reproduced() -> None:
    """Published: coordinates to 0.1 mm, their deviations to 0.01 mm (printed in cm), scaled after the adjustment."""
    rows = [row.split() for row in BASELINES.strip().splitlines()]
    design, readings = np.zeros((3 * len(rows), 12)), np.zeros(3 * len(rows))
    covariance = np.zeros((3 * len(rows), 3 * len(rows)))
    for number, (start, end, *figures) in enumerate(rows):
        part = slice(3 * number, 3 * number + 3)
        dx, dy, dz, xx, xy, xz, yy, yz, zz = map(float, figures)
        readings[part] = dx, dy, dz
        covariance[part, part] = [[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]
        for station, sign in ((start, -1.0), (end, 1.0)):
            if station in KNOWN_STATIONS:
                readings[part] -= sign * np.array(KNOWN_STATIONS[station])
            else:
                first = 3 * list(NEW_STATIONS).index(station)
                design[part, first : first + 3] += sign * np.eye(3)
    adjustment = adjust(design, readings, covariance)
    errors_cm = 100 * errors_of(adjustment, covariance)
    assert adjustment.degrees_of_freedom == 27
    for first, (coordinates, printed_cm) in zip(range(0, 12, 3), NEW_STATIONS.values(), strict=True):
        assert np.abs(adjustment.solution[first : first + 3] - coordinates) == pytest.approx(0.0, abs=0.6e-4)
        assert errors_cm[first : first + 3] == pytest.approx(printed_cm, abs=0.0005)

    # The printed deviations do tell a covariance from its diagonal, which misses them by a unit of the last digit.
    diagonal = np.diag(np.diag(covariance))
    others_cm = 100 * errors_of(adjust(design, readings, diagonal), diagonal)
    printed_errors_cm = np.concatenate([printed_cm for _, printed_cm in NEW_STATIONS.values()])
    assert np.max(np.abs(others_cm - printed_errors_cm)) > 0.0007


def test_a_regression_with_autocorrelated_errors_is_reproduced() -> None:
    """Published: R, nlme gls on Longley's data (employment on GNP and population), as statsmodels' suite prints it.

    The errors of years k apart correlate as rho^k; rho is the correlation of successive ordinary residuals. Printed:
    9 digits of the coefficients and their errors, the residual deviation 542.443043098, residuals to 6 places.
    """
    data = longley.load()
    design = np.column_stack((data.exog["GNP"], data.exog["POP"], np.ones(16)))
    employed = data.endog.to_numpy()
    ordinary = adjust(design, employed, np.eye(16)).residuals
    rho = np.corrcoef(ordinary[1:], ordinary[:-1])[0, 1]
    years = np.arange(16)
    covariance = rho ** np.abs(years[:, None] - years)
    adjustment = adjust(design, employed, covariance)
    assert adjustment.solution == pytest.approx([6.73894832e-02, -4.74273904e-01, 9.48988771e04], rel=1e-8)
    assert errors_of(adjustment, covariance) == pytest.approx([1.07033903e-02, 1.53385472e-01, 1.39447723e04], rel=1e-8)
    assert np.sqrt(adjustment.statistic / 13) == pytest.approx(542.443043098, rel=1e-11)
    printed = [671.174465, 261.861502, -55.533603, -280.126803, -693.084618, -922.955349, 53.097212, -488.168351]
    printed += [8.957367, 1022.236970, 556.069099, -505.899787, -263.775842, 253.871965, 149.579309, -47.873374]
    assert adjustment.residuals == pytest.approx(printed, abs=1.1e-6)


def test_a_regression_with_analytic_weights_is_reproduced() -> None:
    """Published: Stata, Greene's credit card data (72 people), weights 1/income^2, as statsmodels' suite prints it.

    Stata scales its weights to a mean of 1, hence the scale of its residual deviation 189.0025755829012.
    """
    data = ccard.load()
    design = np.column_stack((data.exog.to_numpy(), np.ones(72)))
    squared_incomes = data.exog["INCOMESQ"].to_numpy()
    covariance = np.diag(squared_incomes * np.mean(1 / squared_incomes))
    adjustment = adjust(design, data.endog.to_numpy(), covariance)
    coefficients = [-2.6941851611, 158.426977524, -7.24928987289, 60.4487736936, -114.10886935]
    assert adjustment.solution == pytest.approx(coefficients, rel=1e-9)
    printed_errors = [3.807306306, 76.39115431, 9.724337321, 58.55088753, 139.6874965]
    assert errors_of(adjustment, covariance) == pytest.approx(printed_errors, rel=1e-8)
    assert adjustment.degrees_of_freedom == 67
    assert np.sqrt(adjustment.statistic / 67) == pytest.approx(189.0025755829012, rel=1e-11)


def test_a_general_gauss_markov_problem_is_reproduced() -> None:
    """Published: NAG Library, F08ZE/F08ZB example: minimise |B^-1 (d - A x)|, B = diag(0.5, 1, 2, 5)."""
    design = np.array([[-0.57, -1.28, -0.39], [-1.93, 1.08, -0.31], [2.30, 0.24, -0.40], [-0.02, 1.03, -1.43]])
    scales = np.array([0.5, 1.0, 2.0, 5.0])
    adjustment = adjust(design, np.array([1.32, -4.00, 5.52, 3.24]), np.diag(scales**2))
    assert adjustment.solution == pytest.approx([1.9889, -1.0058, -2.9911], abs=0.5e-4)
    printed = [-6.37e-4, -2.45e-3, -4.72e-3, 7.70e-3]
    assert adjustment.residuals / scales == pytest.approx(printed, rel=2e-3)
    assert np.sqrt(adjustment.statistic) == pytest.approx(9.38e-3, abs=0.005e-3)


TREATMENTS = (0, 3, 1, 2, 3, 1, 3, 0, 2, 0, 2, 1)
YIELDS = np.array([33.63, 39.62, 38.18, 41.46, 38.02, 35.83, 35.99, 36.58, 42.92, 37.80, 40.43, 37.89])


def test_a_design_not_of_full_rank_is_solved_with_least_norm() -> None:
    """Published: NAG Library, G02DA example: a mean and four treatments, rank 4 of 5, residual sum of squares 22.227.

    Printed: estimates, their errors, residuals, leverages 1/3, the derivatives of the estimates by each observation
    (the gain; G02DA's adjoint example), and which sums can be estimated (G02DN): mean + treatment 1 is 36.0033 with
    error 0.9623, treatment 1 - treatment 2 is -1.2967 with 1.3610, a treatment alone cannot.
    """
    design = np.column_stack((np.ones(12), np.eye(4)[list(TREATMENTS)]))
    adjustment = adjust(design, YIELDS, np.eye(12))
    assert adjustment.degrees_of_freedom == 8
    assert adjustment.statistic == pytest.approx(22.227, abs=0.0005)
    assert adjustment.solution == pytest.approx([30.557, 5.4467, 6.7433, 11.047, 7.3200], abs=0.0005)
    errors = errors_of(adjustment, np.eye(12))
    assert errors == pytest.approx([0.38494, 0.83896, 0.83896, 0.83896, 0.83896], abs=0.5e-5)
    printed = [-2.3733, 1.7433, 0.8800, -0.14333, 0.14333, -1.4700, -1.8867, 0.57667, 1.3167, 1.7967, -1.1733, 0.5900]
    assert adjustment.residuals == pytest.approx(printed, abs=0.5e-4)
    assert 1 - 1 / adjustment.slip_us**2 == pytest.approx(np.full(12, 0.33333), abs=0.5e-5)
    derivatives = np.full((12, 5), -0.0667)
    derivatives[:, 0] = 0.0667
    derivatives[np.arange(12), np.array(TREATMENTS) + 1] = 0.2667
    assert np.abs(adjustment.gain.T - derivatives) == pytest.approx(0.0, abs=0.5e-4)

    [unknown] = adjustment.unobserved.T
    variance = adjustment.statistic / 8
    for combination, estimate, error in (([1, 1, 0, 0, 0], 36.0033, 0.9623), ([0, 1, -1, 0, 0], -1.2967, 1.3610)):
        assert combination @ unknown == pytest.approx(0.0, abs=1e-12)
        assert combination @ adjustment.solution == pytest.approx(estimate, abs=0.5e-4)
        assert np.linalg.norm(combination @ adjustment.gain) * np.sqrt(variance) == pytest.approx(error, abs=0.5e-4)
    assert abs(unknown[1]) > 0.1


def test_the_slip_of_an_observation_says_what_leaving_it_out_does() -> None:
    """Published: NAG Library, G02DC example: twelve yields, the last one booked to all four treatments.

    Printed residual sums of squares: with it 5275 (8 degrees of freedom), without it 21.70 (7). The square of its w is
    the difference; leaving it out, its slip is the yield less the sum of the four treatments then printed: 36.00,
    37.01, 41.60 and 37.88.
    """
    design = np.eye(4)[list(TREATMENTS)]
    design[-1] = 1.0
    with_it = adjust(design, YIELDS, np.eye(12))
    without_it = adjust(design[:-1], YIELDS[:-1], np.eye(11))
    assert with_it.solution == pytest.approx([20.72, 14.09, 26.32, 22.60], abs=0.005)
    assert errors_of(with_it, np.eye(12)) == pytest.approx([13.80, 16.24, 13.80, 13.80], abs=0.005)
    assert with_it.statistic == pytest.approx(5275.0, abs=0.5)
    assert without_it.statistic == pytest.approx(21.70, abs=0.005)
    assert without_it.solution == pytest.approx([36.00, 37.01, 41.60, 37.88], abs=0.0055)
    assert int(np.argmax(np.abs(with_it.baarda_w))) == 11
    assert with_it.baarda_w[-1] ** 2 == pytest.approx(5275.0 - 21.70, abs=0.5)
    assert with_it.slips[-1] == pytest.approx(37.89 - (36.00 + 37.01 + 41.60 + 37.88), abs=0.02)


def test_strongly_correlated_readings_average_outside_their_range() -> None:
    """Published: Peelle's Pertinent Puzzle, 1.5 and 1.0, each with 10 % of its own and 20 % in common: 0.88 +/- 0.22.

    The documentation of a library for it (p3py) prints 0.88235294 and 0.21828206.
    """
    covariance = np.array([[0.05, 0.06], [0.06, 0.1125]])
    adjustment = adjust(np.ones((2, 1)), np.array([1.0, 1.5]), covariance)
    assert adjustment.solution == pytest.approx([0.88235294], abs=0.5e-8)
    u = np.sqrt(adjustment.gain @ covariance @ adjustment.gain.T).item()
    assert u == pytest.approx(0.21828206, abs=0.5e-8)


def test_a_common_scale_error_pulls_an_average_below_both_readings() -> None:
    """From memory: G. D'Agostini, "On the use of the covariance matrix to fit correlated data", NIM A 346 (1994) 306.

    8.0 and 8.5, each with 2 % of its own and 10 % in common, average to 7.87 +/- 0.81.
    """
    readings = np.array([8.0, 8.5])
    covariance = np.diag((0.02 * readings) ** 2) + 0.10**2 * np.outer(readings, readings)
    adjustment = adjust(np.ones((2, 1)), readings, covariance)
    assert adjustment.solution == pytest.approx([7.87], abs=0.005)
    u = np.sqrt(adjustment.gain @ covariance @ adjustment.gain.T).item()
    assert u == pytest.approx(0.81, abs=0.005)
