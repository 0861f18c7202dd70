"""Least squares against the catalogue of weighing designs: how every weight follows from the weighings, and how well.

NIST/SEMATECH e-Handbook of Statistical Methods, 2.3.4.1, "Catalog of calibration designs: mass weights". A weighing
sets weights on one pan (+) against weights on the other (-); the restraint is the known sum of the reference weights.
Printed for each: the solution matrix (the share of each weighing and of the restraint in each weight, over a divisor),
the degrees of freedom, and for weights and sums of weights the deviation as a multiple of that of a weighing.

A restraint is posed as one more reading. As weighings give differences only, no other reading checks it, so that its
own uncertainty changes no solution; the printed factors are those of the weighings alone. The degrees of freedom of
1,1,1,1,1 were counted (10 weighings, 4 differences), not read.
"""

from itertools import combinations
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from axlewright.core.sessions.adjustment import Adjustment, adjust

Matrix = NDArray[np.float64]


class WeighingDesign(NamedTuple):
    """A printed design.

    Attributes
    ----------
    weighings
        One sign a weight, a word a weighing.
    references
        The signs of the restraint.
    divisor, shares
        The solution matrix: a line a weighing, the last one the restraint.
    degrees_of_freedom
        As printed.
    factors
        Deviations of sums of weights: the signs of the sum, and the printed factor.
    """

    weighings: str
    references: str
    divisor: int
    shares: str
    degrees_of_freedom: int
    factors: dict[str, float]


def signs(text: str) -> list[float]:
    """Return +1, -1 and 0 for the signs +, - and the dot of a design."""
    return [{"+": 1.0, "-": -1.0, ".": 0.0}[sign] for sign in text]


def solved(design: WeighingDesign, readings: Matrix, restraint_u: float) -> Adjustment:
    """Return the adjustment of a design with the restraint as its last reading, for weighings with a deviation of 1."""
    rows = np.array([signs(word) for word in (*design.weighings.split(), design.references)])
    return adjust(rows, readings, np.diag([1.0] * (len(rows) - 1) + [restraint_u**2]))


def pairs(count: int) -> str:
    """Return the weighings of every weight against every other, the first on the + side."""
    words = []
    for first, second in combinations(range(count), 2):
        word = ["."] * count
        word[first], word[second] = "+", "-"
        words.append("".join(word))
    return " ".join(words)


DESIGNS = {
    "2.3.4.1.1: 1,1,1": WeighingDesign(
        pairs(3), "+..", 3, "0 -2 -1  0 -1 -2  0 1 -1  3 3 3", 1,
        {"+..": 0.0, ".+.": 0.8165, "..+": 0.8165, ".++": 1.4142},
    ),
    "2.3.4.1.3: 1,1,1,1,1": WeighingDesign(
        pairs(5), "++...", 10,
        """2 -2 0 0 0  1 -1 -3 -1 -1  1 -1 -1 -3 -1  1 -1 -1 -1 -3  -1 1 -3 -1 -1  -1 1 -1 -3 -1  -1 1 -1 -1 -3
        0 0 2 -2 0  0 0 2 0 -2  0 0 0 2 -2  5 5 5 5 5""", 6,
        {"+....": 0.3162, ".+...": 0.3162, "..+..": 0.5477, "...+.": 0.5477, "....+": 0.5477}
        | {"..++.": 0.8944, "..+++": 1.2247, "+-...": 0.6325},
    ),
    "2.3.4.1.7: 2,2,2,1,1": WeighingDesign(
        "+-... +.-.. .+-.. +..-- .+.-- ..+-- ...+-", "++...", 16,
        """4 -4 0 0 0  2 -2 -6 -1 -1  -2 2 -6 -1 -1  2 -2 -2 -3 -3  -2 2 -2 -3 -3  0 0 4 -2 -2  0 0 0 8 -8
        8 8 8 4 4""", 3,
        {"+....": 0.3536, ".+...": 0.3536, "..+..": 0.6124, "...+.": 0.5863, "....+": 0.5863}
        | {"...++": 0.6124, "..+++": 1.0},
    ),
    "2.3.4.1.12: 5,3,2,2,1,1,1": WeighingDesign(
        "+--.... +-.-... +.---.. +.--.-. +.--..- .+.--.. .+.-.-. .+.-..- .+..--- ....+-. .....+- ....-.+",
        "+++....", 10,
        """2 0 -2 2 0 0 0  0 -6 6 -4 -2 -2 -2  1 1 -2 0 -1 1 1  1 1 -2 0 1 -1 1  1 1 -2 0 1 1 -1
        -1 1 0 -2 -1 1 1  -1 1 0 -2 1 -1 1  -1 1 0 -2 1 1 -1  0 -2 2 2 -4 -4 -4
        0 0 0 0 2 -2 0  0 0 0 0 0 2 -2  0 0 0 0 -2 0 2  5 3 2 2 1 1 1""", 6,
        {"+......": 0.3162, ".+.....": 0.6782, "..+....": 0.7483},
    ),
    "2.3.4.1.15: 5,5,3,2,1,1,1": WeighingDesign(
        "+.--... .+--... +..---- .+.---- +.-.--. +.-.-.- +.-..-- .+-.--. .+-.-.- .+-..--", "++.....", 10,
        """1 -1 -2 -3 1 1 1  -1 1 -2 -3 1 1 1  1 -1 2 -2 -1 -1 -1  -1 1 2 -2 -1 -1 -1  1 -1 -1 1 -2 -2 3
        1 -1 -1 1 -2 3 -2  1 -1 -1 1 3 -2 -2  -1 1 -1 1 -2 -2 3  -1 1 -1 1 -2 3 -2  -1 1 -1 1 3 -2 -2
        5 5 3 2 1 1 1""", 4,
        {"+......": 0.3162, ".+.....": 0.3162, "..+....": 0.4690, "...+...": 0.5657, "....+..": 0.6164}
        | {".....+.": 0.6164, "......+": 0.6164, "...++..": 0.7874},
    ),
    "2.3.4.1.19: 1,1,1 increasing": WeighingDesign(
        "+-. +.- .+- .-+ -.+ -+.", "..+", 6,
        "1 -1 0  2 1 0  1 2 0  -1 -2 0  -2 -1 0  -1 1 0  6 6 6", 4,
        {"+..": 0.5774, ".+.": 0.5774, "..+": 0.0},
    ),
}  # fmt: skip


@pytest.mark.parametrize("design", DESIGNS.values(), ids=DESIGNS.keys())
@pytest.mark.parametrize("restraint_u", [1e-3, 1.0], ids=["known well", "known as a weighing is"])
def test_a_weighing_design_is_solved_as_printed(design: WeighingDesign, restraint_u: float) -> None:
    """Published: the solution matrix exactly, the deviations of weights and of sums of weights to four places."""
    weighings = len(design.weighings.split())
    adjustment = solved(design, np.zeros(weighings + 1), restraint_u)
    assert adjustment.degrees_of_freedom == design.degrees_of_freedom
    assert adjustment.unobserved.shape[1] == 0
    printed = np.array([float(share) for share in design.shares.split()]).reshape(weighings + 1, -1)
    assert design.divisor * adjustment.gain.T == pytest.approx(printed, abs=1e-9)
    of_weighings = adjustment.gain[:, :-1]
    for summed, factor in design.factors.items():
        assert np.linalg.norm(np.array(signs(summed)) @ of_weighings) == pytest.approx(factor, abs=0.5e-4), summed


@pytest.mark.parametrize("design", DESIGNS.values(), ids=DESIGNS.keys())
def test_a_wrong_weighing_is_found_where_the_printed_solution_lets_others_check_it(design: WeighingDesign) -> None:
    """Hand, from the printed solution matrix: redundancy r = 1 - the share of a weighing in its own fitted value.

    Where r is 0 (the last weighing of 2,2,2,1,1; the second of 5,3,2,2,1,1,1; every restraint) nothing is checked. Else
    the one wrong weighing among weighings without noise comes back with its slip, u = 1/sqrt(r), and the largest w.
    """
    rows = np.array([signs(word) for word in (*design.weighings.split(), design.references)])
    printed = np.array([float(share) for share in design.shares.split()]).reshape(rows.shape) / design.divisor
    redundancies = 1.0 - np.sum(rows * printed, axis=1)
    truth = np.linspace(1.0, 2.0, rows.shape[1])
    assert float(np.sum(redundancies)) == pytest.approx(design.degrees_of_freedom)
    for wrong, redundancy in enumerate(redundancies.tolist()):
        readings = rows @ truth
        readings[wrong] += 7.0
        adjustment = solved(design, readings, 1.0)
        w = np.abs(adjustment.baarda_w)
        if redundancy < 1e-9:
            assert np.isinf(adjustment.slip_us[wrong])
            assert w[wrong] == 0.0
            assert adjustment.statistic == pytest.approx(0.0, abs=1e-20)
        else:
            assert adjustment.slips[wrong] == pytest.approx(7.0, rel=1e-9)
            assert adjustment.slip_us[wrong] == pytest.approx(redundancy**-0.5, rel=1e-9)
            assert w[wrong] == pytest.approx(np.max(w), rel=1e-9)
            assert adjustment.statistic == pytest.approx(49.0 * redundancy, rel=1e-9)
