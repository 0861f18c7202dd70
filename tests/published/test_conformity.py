"""Standings and probabilities of a load with doubt against a limit."""

from fractions import Fraction
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.estimates import Estimate
from axlewright.core.loads.standings import Bound, Judgement, Standing, judge
from axlewright.core.units import exceeds
from tests.yard import LB


def judged(value: float, u: float | None, limit: float, bound: Bound = Bound.MOST, **flags: bool) -> Judgement:
    """Return the judgement with k = 2 and 5 % tight."""
    return judge(Estimate(value, u, **flags), limit, bound, 2.0, 0.05)


def standing_and_probability(
    value: float, u: float | None, limit: float, bound: Bound = Bound.MOST
) -> tuple[Standing, float | None]:
    """Return both parts of the verdict."""
    judgement = judged(value, u, limit, bound)
    return judgement.standing, judgement.probability_of_breach


# Published: standard normal distribution, as printed in statistical tables (from memory): (deviation, probability).
@pytest.mark.parametrize(
    ("us_above", "probability"),
    [
        (-3.0, 0.00135), (-2.0, 0.02275), (-1.645, 0.0500), (-1.0, 0.15866), (-0.5, 0.30854), (0.0, 0.5),
        (0.6745, 0.7500), (1.0, 0.84134), (1.96, 0.9750), (2.0, 0.97725), (3.0, 0.99865),
    ],
)  # fmt: skip
def test_the_probability_of_breach_is_the_normal_distributions(us_above: float, probability: float) -> None:
    """JCGM 106:2012, 7.2 and 7.3: one limit, normal distribution."""
    most = judged(7_000.0 + us_above * 40.0, 40.0, 7_000.0)
    least = judged(0.20 - us_above * 0.01, 0.01, 0.20, Bound.LEAST)
    assert most.probability_of_breach == pytest.approx(probability, abs=0.00005)
    assert least.probability_of_breach == pytest.approx(probability, abs=0.00005)


# Hand: M = 1000, u = 10, k = 2: over when L - 20 > 1000, unsettled up to L + 20 > 1000, tight while
# 1000 - L - 20 < 50, clear below; for a least mirrored.
STANDINGS = [
    (1_020.1, Standing.OVER),
    (1_020.0, Standing.UNSETTLED),
    (1_000.0, Standing.UNSETTLED),
    (980.1, Standing.UNSETTLED),
    (980.0, Standing.TIGHT),
    (930.1, Standing.TIGHT),
    (930.0, Standing.CLEAR),
    (100.0, Standing.CLEAR),
]


@pytest.mark.parametrize(("load", "standing"), STANDINGS)
def test_a_load_stands_to_its_most_as_its_interval_lies(load: float, standing: Standing) -> None:
    assert judged(load, 10.0, 1_000.0).standing is standing


@pytest.mark.parametrize(("load", "standing"), STANDINGS)
def test_a_least_mirrors_a_most(load: float, standing: Standing) -> None:
    mirrored = Standing.SHORT if standing is Standing.OVER else standing
    assert judged(2_000.0 - load, 10.0, 1_000.0, Bound.LEAST).standing is mirrored


@given(
    value=st.floats(1.0, 20_000.0),
    u=st.floats(0.0, 500.0),
    limit=st.floats(1.0, 20_000.0),
    coverage_factor=st.floats(1.0, 4.0),
)
def test_a_value_mirrored_in_its_limit_stands_alike(
    value: float, u: float, limit: float, coverage_factor: float
) -> None:
    """Identity, away from the edges by more than rounding."""
    most = judge(Estimate(value, u), limit, Bound.MOST, coverage_factor, 0.05)
    least = judge(Estimate(2 * limit - value, u), limit, Bound.LEAST, coverage_factor, 0.05)
    edges = (limit, limit + coverage_factor * u, limit - coverage_factor * u, 0.95 * limit - coverage_factor * u)
    if all(abs(value - edge) > 1e-6 * limit for edge in edges):
        assert least.standing == {Standing.OVER: Standing.SHORT}.get(most.standing, most.standing)
        assert least.probability_of_breach == pytest.approx(most.probability_of_breach, abs=1e-6)


def test_a_limit_without_doubt_is_broken_only_by_more() -> None:
    """Hand: u = 0 gives 0 or 1; a load equal to its limit is not over it."""
    assert standing_and_probability(7_000.0, 0.0, 7_000.0) == (Standing.TIGHT, 0.0)
    assert standing_and_probability(7_000.1, 0.0, 7_000.0) == (Standing.OVER, 1.0)
    assert standing_and_probability(6_000.0, 0.0, 7_000.0) == (Standing.CLEAR, 0.0)
    assert standing_and_probability(0.2, 0.0, 0.2, Bound.LEAST) == (Standing.TIGHT, 0.0)
    assert standing_and_probability(0.1999, 0.0, 0.2, Bound.LEAST) == (Standing.SHORT, 1.0)


def test_a_load_whose_doubt_nobody_stated_is_tight_at_best_and_has_no_probability() -> None:
    assert standing_and_probability(100.0, None, 7_000.0) == (Standing.TIGHT, None)
    assert standing_and_probability(7_000.1, None, 7_000.0) == (Standing.OVER, None)


@pytest.mark.parametrize("load", [100.0, 950.0, 985.0])
def test_a_load_whose_cross_check_failed_is_unsettled_at_best(load: float) -> None:
    assert judged(load, 10.0, 1_000.0, provisional=True).standing is Standing.UNSETTLED
    assert judged(load, None, 1_000.0, provisional=True).standing is Standing.UNSETTLED
    assert judged(1_020.1, 10.0, 1_000.0, provisional=True).standing is Standing.OVER


def test_ten_thousand_pairs_of_pounds_that_add_exactly_to_a_rating_are_never_over_it() -> None:
    """Identity: a + b = M exactly in pounds; without a guard the sum in kilograms exceeds M in some of them."""
    random = Random(7)
    unguarded = 0
    for _ in range(10_000):
        first, second = (Fraction(random.randint(10_000, 200_000), 10) for _ in range(2))
        load_kg = float(first) * LB + float(second) * LB
        limit_kg = float(first + second) * LB
        unguarded += load_kg > limit_kg
        assert judged(load_kg, 0.0, limit_kg).standing is Standing.TIGHT
        assert judged(load_kg, 0.0, limit_kg, Bound.LEAST).standing is Standing.TIGHT
        assert judged(load_kg + 0.1 * LB, 0.0, limit_kg).standing is Standing.OVER
    assert unguarded > 500


@given(value=st.floats(1e-3, 1e6), share=st.floats(1e-8, 1.0))
def test_the_guard_hides_no_difference_that_a_scale_could_show(value: float, share: float) -> None:
    """Identity: nothing exceeds itself or the like within 1e-10; everything above by 1e-8 or more exceeds."""
    assert not exceeds(value, value)
    assert not exceeds(value * (1 + 1e-10), value)
    assert exceeds(value * (1 + share), value)
    assert not exceeds(value, value * (1 + share))


def test_the_margin_is_what_is_surely_left_of_the_limit() -> None:
    """Hand: (1000 - 900 - 2 x 10)/1000 = 0.08; (0.25 - 0.20 - 2 x 0.01)/0.20 = 0.15; u not stated counts as 0."""
    assert judge(Estimate(900.0, 10.0), 1_000.0, Bound.MOST, 2.0, 0.05).relative_margin == pytest.approx(0.08)
    assert judge(Estimate(0.25, 0.01), 0.20, Bound.LEAST, 2.0, 0.05).relative_margin == pytest.approx(0.15)
    assert judge(Estimate(900.0, None), 1_000.0, Bound.MOST, 2.0, 0.05).relative_margin == pytest.approx(0.10)
