"""Generalised least squares and its tests against certified results, published examples and an independent library."""

import numpy as np
import pytest
import statsmodels.api as sm
from numpy.typing import NDArray
from scipy import stats
from statsmodels.datasets import longley
from statsmodels.stats.outliers_influence import OLSInfluence

from axlewright.core.sessions.adjustment import Adjustment, adjust

Matrix = NDArray[np.float64]

# Published: NIST Statistical Reference Datasets, linear regression, certified values to 15 digits. Norris (36
# points, lower difficulty) as six test suites of general-purpose libraries print it; Longley (16 x 7, higher
# difficulty), NoInt1 and NoInt2 (average difficulty, no intercept) and Wampler1 and 2 (higher difficulty) from memory.
NORRIS_X = (
    "0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 556.0 228.1 "
    "995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"
)
NORRIS_Y = (
    "0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 557.7 228.3 "
    "998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"
)


def figures(text: str) -> Matrix:
    """Return the figures of a printed line."""
    return np.array([float(figure) for figure in text.split()])


def solved(design: Matrix, observed: Matrix, residual_deviation: float) -> tuple[Adjustment, Matrix]:
    """Return the adjustment with equal variances, and the standard errors of its solution."""
    covariance = np.eye(len(observed)) * residual_deviation**2
    adjustment = adjust(design, observed, covariance)
    return adjustment, np.sqrt(np.diag(adjustment.gain @ covariance @ adjustment.gain.T))


def sum_of_squares(adjustment: Adjustment) -> float:
    """Return v'v."""
    return float(adjustment.residuals @ adjustment.residuals)


def test_norris_is_reproduced_to_its_certified_digits() -> None:
    x, y = figures(NORRIS_X), figures(NORRIS_Y)
    adjustment, errors = solved(np.column_stack((np.ones(36), x)), y, 0.884796396144373)
    assert adjustment.solution == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-11)
    assert errors == pytest.approx([0.232818234301152, 0.429796848199937e-03], rel=1e-11)
    assert sum_of_squares(adjustment) == pytest.approx(26.6173985294224, rel=1e-11)
    assert adjustment.degrees_of_freedom == 34
    assert adjustment.statistic == pytest.approx(34.0, rel=1e-11)  # SSE over the certified residual variance


def test_longley_is_reproduced_in_spite_of_its_conditioning() -> None:
    """Certified; the condition number of some 5e9 leaves 7 digits of 16."""
    data = longley.load()
    design = np.column_stack((np.ones(16), data.exog.to_numpy()))
    adjustment, errors = solved(design, data.endog.to_numpy(), 304.854073561965)
    certified = [
        (-3482258.63459582, 890420.383607373),
        (15.0618722713733, 84.9149257747669),
        (-0.358191792925910e-01, 0.334910077722432e-01),
        (-2.02022980381683, 0.488399681651699),
        (-1.03322686717359, 0.214274163161675),
        (-0.511041056535807e-01, 0.226073200069370),
        (1829.15146461355, 455.478499142212),
    ]
    assert adjustment.solution == pytest.approx([value for value, _ in certified], rel=1e-7)
    assert errors == pytest.approx([error for _, error in certified], rel=1e-7)
    assert sum_of_squares(adjustment) == pytest.approx(836424.055505915, rel=1e-8)
    assert adjustment.degrees_of_freedom == 9


@pytest.mark.parametrize(
    ("x", "y", "slope", "error", "deviation", "squares"),
    [
        (
            range(60, 71), range(130, 141),
            2.07438016528926, 0.165289256198347e-01, 3.56753034006338, 127.272727272727,
        ),
        ((4, 5, 6), (3, 4, 4), 0.727272727272727, 0.420827318078432e-01, 0.369274472937998, 0.272727272727273),
    ],
    ids=["NoInt1", "NoInt2"],
)  # fmt: skip
def test_a_line_through_the_origin_is_reproduced(
    x: range, y: range, slope: float, error: float, deviation: float, squares: float
) -> None:
    adjustment, errors = solved(np.array(x, dtype=float)[:, None], np.array(y, dtype=float), deviation)
    assert adjustment.solution == pytest.approx([slope], rel=1e-13)
    assert errors == pytest.approx([error], rel=1e-12)
    assert sum_of_squares(adjustment) == pytest.approx(squares, rel=1e-12)


@pytest.mark.parametrize("base", [1.0, 0.1], ids=["Wampler1", "Wampler2"])
def test_a_fifth_degree_polynomial_without_noise_is_recovered(base: float) -> None:
    """Certified: the coefficients are base^0 to base^5, all standard errors and the residual deviation 0."""
    powers = np.arange(6)
    design = np.arange(21.0)[:, None] ** powers
    certified = base**powers
    adjustment, _ = solved(design, design @ certified, 1.0)
    assert adjustment.solution == pytest.approx(certified, rel=1e-7)
    assert sum_of_squares(adjustment) == pytest.approx(0.0, abs=1e-12)


def test_the_calibration_of_a_thermometer_is_reproduced() -> None:
    """Published: JCGM 100:2008, H.3, tables H.6 and the results after it (figures from memory).

    b = y1 + y2 (t - 20 degC): y1 -0.1712 (0.0029), y2 0.00218 (0.00067), r -0.930, s 0.0035; at 30 degC the
    correction is -0.1494 with u 0.0041.
    """
    t = figures("21.521 22.012 22.512 23.003 23.507 23.999 24.513 25.002 25.503 26.010 26.511")
    b = figures("-.171 -.169 -.166 -.159 -.164 -.165 -.156 -.157 -.159 -.161 -.160")
    design = np.column_stack((np.ones(11), t - 20.0))
    adjustment, _ = solved(design, b, 1.0)
    deviation = np.sqrt(sum_of_squares(adjustment) / 9)
    assert deviation == pytest.approx(0.0035, abs=0.00005)
    adjustment, errors = solved(design, b, float(deviation))
    covariance = adjustment.gain @ adjustment.gain.T * deviation**2
    assert adjustment.solution == pytest.approx([-0.1712, 0.00218], abs=0.00005)
    assert errors == pytest.approx([0.0029, 0.00067], abs=0.00005)
    assert covariance[0, 1] / errors[0] / errors[1] == pytest.approx(-0.930, abs=0.0005)
    at_30 = np.array([1.0, 10.0])
    assert at_30 @ adjustment.solution == pytest.approx(-0.1494, abs=0.00005)
    assert np.sqrt(at_30 @ covariance @ at_30) == pytest.approx(0.0041, abs=0.00005)


def correlated(random: np.random.Generator, size: int) -> Matrix:
    """Return a well-conditioned covariance with every reading correlated with every other."""
    spread = random.standard_normal((size, size))
    scales = np.diag(random.uniform(5.0, 60.0, size))
    return np.asarray(scales @ (spread @ spread.T / size + np.eye(size)) @ scales)


def designs(rank_deficient: bool) -> list[tuple[int, Matrix, Matrix, Matrix]]:
    """Return seeds, designs of 0 and 1 as scales give them, readings and covariances."""
    cases = []
    for seed in range(100):
        random = np.random.default_rng([seed, rank_deficient])
        unknowns = int(random.integers(2, 8))
        rows = int(random.integers(unknowns + 1, unknowns + 9))
        design = (random.random((rows, unknowns)) < 0.45).astype(float)
        design[np.arange(rows), random.integers(0, unknowns, rows)] = 1.0
        if rank_deficient:
            design[:, 0] = design[:, 1]
        elif np.linalg.matrix_rank(design) < unknowns:
            design[:unknowns] = np.eye(unknowns)
        readings = design @ random.uniform(1_000, 5_000, unknowns) + random.normal(0, 40, rows)
        cases.append((seed, design, readings, correlated(random, rows)))
    return cases


@pytest.mark.filterwarnings("ignore:The design matrix is rank-deficient")
@pytest.mark.parametrize("rank_deficient", [False, True], ids=["full rank", "rank deficient"])
def test_a_hundred_random_designs_agree_with_an_independent_library(rank_deficient: bool) -> None:
    """Library: statsmodels GLS (pseudo-inverse): solution of least norm, fitted values, Cov A x, v' C^-1 v, rank."""
    deficient = 0
    for seed, design, readings, covariance in designs(rank_deficient):
        adjustment = adjust(design, readings, covariance)
        reference = sm.GLS(readings, design, sigma=covariance).fit(method="pinv")
        rank = int(np.linalg.matrix_rank(design))
        deficient += rank < design.shape[1]
        assert adjustment.degrees_of_freedom == len(readings) - rank, seed
        assert adjustment.unobserved.shape[1] == design.shape[1] - rank, seed
        assert np.abs(design @ adjustment.unobserved).max(initial=0.0) < 1e-9, seed
        assert design @ adjustment.solution == pytest.approx(reference.fittedvalues, rel=1e-8), seed
        assert adjustment.residuals == pytest.approx(reference.resid, abs=1e-5), seed
        assert adjustment.statistic == pytest.approx(reference.ssr, rel=1e-7), seed
        fitted = design @ adjustment.gain
        expected = design @ reference.normalized_cov_params @ design.T
        assert fitted @ covariance @ fitted.T == pytest.approx(expected, rel=1e-6, abs=1e-6), seed
        expected_probability = stats.chi2.sf(reference.ssr, len(readings) - rank)
        assert adjustment.probability == pytest.approx(expected_probability, rel=1e-6), seed
        if rank == design.shape[1]:
            assert adjustment.solution == pytest.approx(reference.params, rel=1e-7), seed
    assert deficient == (100 if rank_deficient else 0)


@pytest.mark.parametrize("rank_deficient", [False, True], ids=["full rank", "rank deficient"])
def test_baarda_w_follows_his_formula_with_correlated_readings(rank_deficient: bool) -> None:
    """Hand, by explicit inverses: P = C^-1, Q_v = C - A (A'PA)^+ A', w = (P v)_i / sqrt((P Q_v P)_ii)."""
    for seed, design, readings, covariance in designs(rank_deficient):
        weight = np.linalg.inv(covariance)
        solution_covariance = np.linalg.pinv(design.T @ weight @ design, hermitian=True)
        residuals = readings - design @ solution_covariance @ design.T @ weight @ readings
        power = np.diag(weight @ (covariance - design @ solution_covariance @ design.T) @ weight)
        checked = power > 1e-7 * np.diag(weight)
        w = adjust(design, readings, covariance).baarda_w
        assert w[checked] == pytest.approx((weight @ residuals)[checked] / np.sqrt(power[checked]), abs=1e-5), seed
        assert np.all(w[~checked] == 0.0), seed


def test_baarda_w_of_equal_readings_is_the_studentised_residual_of_an_independent_library() -> None:
    """Library: statsmodels, internally studentised residuals v/(s sqrt(1 - h)) with s given as sigma."""
    compared = 0
    for seed, design, readings, _ in designs(rank_deficient=False):
        reference = OLSInfluence(sm.OLS(readings, design).fit())
        redundancy = 1 - reference.hat_matrix_diag
        sigma = float(np.sqrt(reference.results.mse_resid))
        checked = redundancy > 1e-7
        adjustment = adjust(design, readings, np.eye(len(readings)) * sigma**2)
        with np.errstate(divide="ignore", invalid="ignore"):
            expected = reference.resid_studentized_internal[checked]
        assert adjustment.baarda_w[checked] == pytest.approx(expected, abs=1e-6), seed
        assert np.isinf(adjustment.slip_us[~checked]).all(), seed
        compared += int(checked.sum())
    assert compared > 500


def test_a_slip_is_the_reading_less_what_the_others_predict() -> None:
    """Identity: with C partitioned, the others predict y_i as a_i x_- + c_i- C_--^-1 (y_- - A_- x_-).

    Its doubt by propagation is that of the linear combination y - G_- y_-, taken through C.
    """
    compared = 0
    for seed, design, readings, covariance in designs(rank_deficient=False):
        adjustment = adjust(design, readings, covariance)
        for left_out in range(len(readings)):
            others = np.delete(np.arange(len(readings)), left_out)
            if np.linalg.matrix_rank(design[others]) < design.shape[1]:
                assert adjustment.slips[left_out] == 0.0, seed
                assert np.isinf(adjustment.slip_us[left_out]), seed
                continue
            part = covariance[np.ix_(others, others)]
            weight = np.linalg.inv(part)
            gain = np.linalg.inv(design[others].T @ weight @ design[others]) @ design[others].T @ weight
            carried = covariance[left_out, others] @ weight
            predictor = design[left_out] @ gain + carried @ (np.eye(len(others)) - design[others] @ gain)
            contrast = np.zeros(len(readings))
            contrast[left_out], contrast[others] = 1.0, -predictor
            assert adjustment.slips[left_out] == pytest.approx(contrast @ readings, rel=1e-6, abs=1e-5), seed
            expected_u = np.sqrt(contrast @ covariance @ contrast)
            assert adjustment.slip_us[left_out] == pytest.approx(expected_u, rel=1e-6), seed
            compared += 1
    assert compared > 400


def test_one_redundant_reading_cannot_locate_a_blunder() -> None:
    """Hand: x = (LF, RF, LR, RR); front 5000, rear 9000, LF 2600, LR 4400, sum of all 14,040, equal weights.

    The misclosure is 14,040 - 5000 - 9000 = 40, shared by three readings with equal weights: v = -13.33 in front and
    rear, +13.33 in the sum (reading less fit). Redundancy 1/3 each, w = 13.33/(10 sqrt(1/3)) = 2.309 for sigma 10.
    """
    design = np.array([[1, 1, 0, 0], [0, 0, 1, 1], [1, 0, 0, 0], [0, 0, 1, 0], [1, 1, 1, 1]], dtype=float)
    readings = np.array([5000.0, 9000.0, 2600.0, 4400.0, 14_040.0])
    adjustment = adjust(design, readings, np.eye(5) * 100.0)
    assert adjustment.solution == pytest.approx([2600.0, 2413.3333, 4400.0, 4613.3333], abs=5e-5)
    assert adjustment.residuals == pytest.approx([-13.3333, -13.3333, 0.0, 0.0, 13.3333], abs=5e-5)
    assert np.abs(adjustment.baarda_w) == pytest.approx([2.3094, 2.3094, 0.0, 0.0, 2.3094], abs=5e-5)
    assert adjustment.statistic == pytest.approx(16.0 / 3.0)  # 40^2 / (3 x 10^2)
    assert adjustment.slips == pytest.approx([-40.0, -40.0, 0.0, 0.0, 40.0])
    assert np.isinf(adjustment.slip_us).tolist() == [False, False, True, True, False]


def test_axles_sides_and_gross_leave_one_direction_of_four_unknown() -> None:
    """Hand: adding t to LF and RR, and taking it from RF and LR, changes no axle, no side and not the gross."""
    design = np.array(
        [[1, 1, 0, 0], [0, 0, 1, 1], [1, 0, 1, 0], [0, 1, 0, 1], [1, 1, 1, 1]],
        dtype=float,
    )
    adjustment = adjust(design, np.array([5000.0, 9000.0, 7100.0, 6900.0, 14_000.0]), np.eye(5))
    assert adjustment.degrees_of_freedom == 2
    [direction] = adjustment.unobserved.T
    assert direction / direction[0] == pytest.approx([1.0, -1.0, -1.0, 1.0])


@pytest.mark.parametrize(("degrees_of_freedom", "critical"), [(1, 3.841), (2, 5.991), (3, 7.815), (4, 9.488)])
def test_the_global_test_follows_the_chi_squared_table(degrees_of_freedom: int, critical: float) -> None:
    """Published: upper 5 % points of chi-squared, as printed in statistical tables (from memory)."""
    size = degrees_of_freedom + 1
    spread = np.array([1.0, -1.0] + [0.0] * (size - 2))
    readings = 1_000.0 + spread * np.sqrt(critical / 2)
    assert adjust(np.ones((size, 1)), readings, np.eye(size)).probability == pytest.approx(0.05, abs=0.00005)


def test_readings_of_one_thing_average_by_their_weights() -> None:
    """Hand: 100 with u 3 and 106 with u 6 average, 4 to 1, to 101.2, u = sqrt(1/(1/9 + 1/36)) = 2.6833."""
    covariance = np.diag([9.0, 36.0])
    adjustment = adjust(np.ones((2, 1)), np.array([100.0, 106.0]), covariance)
    assert adjustment.solution == pytest.approx([101.2])
    assert np.sqrt(adjustment.gain @ covariance @ adjustment.gain.T) == pytest.approx(np.array([[2.6833]]), abs=5e-5)


def test_the_order_of_the_readings_does_not_matter() -> None:
    """Identity."""
    _, design, readings, covariance = designs(rank_deficient=False)[7]
    order = np.random.default_rng(3).permutation(len(readings))
    straight = adjust(design, readings, covariance)
    mixed = adjust(design[order], readings[order], covariance[np.ix_(order, order)])
    assert mixed.solution == pytest.approx(straight.solution, rel=1e-10)
    assert mixed.slips == pytest.approx(straight.slips[order], rel=1e-7, abs=1e-7)
    assert mixed.statistic == pytest.approx(straight.statistic, rel=1e-9)
