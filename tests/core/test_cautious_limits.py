"""Limits that are cautious figures, of which the true ones may be higher."""

import pytest

from axlewright.core.estimates import Estimate
from axlewright.core.loads.limits import LimitCheck, LimitKind, judged
from axlewright.core.loads.standings import Bound, Standing
from axlewright.core.policy import Policy

POLICY = Policy(rounding_step_pa=1.0)


def standing(value: Estimate, above_kg: float) -> Standing:
    """Return how a load stands to a cautious 1,000 kg, of which the true figure may be as high as said."""
    check = LimitCheck("end", "end", LimitKind.TIRE_AT_PRESSURE, Bound.MOST, value, 1_000.0, "estimate", above_kg)
    (answer,) = judged([check], POLICY)
    assert answer.judgement is not None
    return answer.judgement.standing


@pytest.mark.parametrize(
    ("above_kg", "expected"), [(1_050.0, Standing.OVER), (1_079.0, Standing.OVER), (1_081.0, Standing.UNSETTLED)]
)
def test_a_failed_cross_check_does_not_withhold_an_alarm(above_kg: float, expected: Standing) -> None:
    # By hand: the solution of all readings is at least 1,100 - 2 x 10 = 1,080 kg, whatever those without one say.
    failed = Estimate(1_100.0, 10.0, provisional=True, drop=200.0, rise=5.0, widest_u=60.0)
    assert standing(failed, above_kg) is expected


@pytest.mark.parametrize(
    "sound", [Estimate(1_100.0, 10.0), Estimate(1_100.0, None, stated_u=10.0)], ids=["stated", "partly stated"]
)
def test_a_load_is_over_a_cautious_limit_only_where_it_is_over_the_highest_true_one(sound: Estimate) -> None:
    assert standing(sound, 1_079.0) is Standing.OVER
    assert standing(sound, 1_081.0) is Standing.UNSETTLED
