"""The worst states of two tanks, by the lever rule and by hand, and by an independent solver.

The lever rule is statics: a mass w at x behind the front axle of wheelbase L loads the rear axle by w x/L, the front
one by the rest. Water at 8.3 lb/gal is the figure of the trade's weight labels (from memory).

An invented motorhome of 190 in, 4,800 lb in front and 7,200 lb behind, with fresh full and grey empty:

- fresh, 50 gal, 415 lb at 150 in: front 415 x 40/190 = 87.368, rear 327.632 lb;
- grey, 40 gal, 332 lb at 230 in: front 332 x (-40)/190 = -69.895, rear 401.895 lb.
"""

from collections.abc import Mapping

import numpy as np
import pytest
from scipy.optimize import linprog, minimize_scalar

from axlewright.core.estimates import Estimate, LoadEstimates
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.loads.envelope import Envelope, Link, Variable
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.limits import LimitKind, check_limits
from axlewright.core.loads.statics import rig_statics
from axlewright.core.loads.worst_cases import LoadSpan, WorstCase, load_span, worst_cases
from axlewright.core.policy import Policy
from axlewright.core.rig import Rig
from tests.yard import INCH, LB, PSI, axle, known_loads, rig, tires, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
FRONT, REAR = {"steer.left": 1.0, "steer.right": 1.0}, {"drive.left": 1.0, "drive.right": 1.0}


def coach() -> Rig:
    """Return the motorhome."""
    return rig(
        vehicle(
            axle("steer", gawr_lb=5_000.0),
            axle("drive", gawr_lb=7_500.0, fitted=tires(dual=True), aft_in=190.0),
            gvwr_lb=12_300.0,
        )
    )


def weighed() -> LoadEstimates:
    """Return its loads, exact."""
    loads_lb = {"steer.left": 2_400.0, "steer.right": 2_400.0, "drive.left": 3_600.0, "drive.right": 3_600.0}
    return estimates_from_loads(coach(), known_loads(loads_lb))


def tanks(link: bool) -> Envelope:
    """Return fresh and grey, in the middle of the vehicle, of exact masses and places."""
    statics = rig_statics(coach(), weighed())["coach"]
    fresh = statics.change("fresh", 415.0 * LB, 150.0 * INCH, 0.0, (0.0, 0.0, 0.0))
    grey = statics.change("grey", 332.0 * LB, 230.0 * INCH, 0.0, (0.0, 0.0, 0.0))
    links = (Link({"fresh": 50.0, "grey": 40.0}, 50.0),) if link else ()
    return Envelope((Variable("fresh", fresh, 1.0), Variable("grey", grey, 0.0)), 4, links)


def span_lb(sum_of: Mapping[str, float], envelope: Envelope) -> tuple[float, float]:
    """Return between what a load lies [lb]."""
    span = load_span(dict(sum_of), weighed(), envelope)
    assert isinstance(span, LoadSpan)
    return span.lowest.load.value / LB, span.highest.load.value / LB


def cases(envelope: Envelope) -> dict[LimitKind, tuple[float, WorstCase]]:
    """Return the worst value, in lb or as a share, of the limits of the rear axle and the vehicle."""
    loads = weighed()
    found = {}
    for case in worst_cases(check_limits(coach(), loads, fitted_tires(coach(), ()), POLICY), loads, envelope, POLICY):
        assert isinstance(case.check.value, Estimate)
        if case.check.subject in ("drive", "coach"):
            unit = LB if case.check.kind.quantity == "mass" else 1.0
            found[case.check.kind] = (case.check.value.value / unit, case)
    return found


def test_on_a_hook_up_grey_fills_while_fresh_stays_full() -> None:
    """Hand: rear 7,200 + 401.895; front between 4,800 - 87.368 - 69.895 and 4,800; in all 12,000 + 332 lb."""
    worst = cases(tanks(link=False))
    rear_lb, rear = worst[LimitKind.AXLE]
    assert rear_lb == pytest.approx(7_601.895, abs=5e-4)
    assert rear.state == {"fresh": 1.0, "grey": 1.0}
    assert rear.check.judgement is not None
    assert rear.check.judgement.standing == "over"
    assert span_lb(FRONT, tanks(link=False)) == pytest.approx((4_642.737, 4_800.0), abs=5e-4)
    assert worst[LimitKind.VEHICLE][0] == pytest.approx(12_332.0)


def test_linked_the_water_goes_where_it_loads_the_axle_most() -> None:
    """Hand: per gallon grey loads the rear axle by 10.047, fresh by 6.553 lb; of 50 gal 40 are grey and 10 stay fresh:

    7,200 - 0.8 x 327.632 + 401.895 = 7,339.789 lb. Lowest: 7,200 - 327.632, both empty.
    """
    worst = cases(tanks(link=True))
    rear_lb, rear = worst[LimitKind.AXLE]
    assert rear_lb == pytest.approx(7_339.789, abs=5e-4)
    assert rear.state == {"fresh": pytest.approx(0.2), "grey": 1.0}
    assert rear.check.judgement is not None
    assert rear.check.judgement.standing == "tight"
    assert span_lb(REAR, tanks(link=True)) == pytest.approx((6_872.368, 7_339.789), abs=5e-4)


def test_the_least_steering_share_is_not_where_the_steering_axle_is_lightest() -> None:
    """Hand: both full (4,800 - 69.895)/12,332 = 0.38356; fresh empty, where the axle is lightest, 4,642.737/11,917 =

    0.38959. Linked, fresh empties first by 0.8: (4,800 - 0.8 x 87.368 - 69.895)/12,000 = 0.38835.
    """
    share, case = cases(tanks(link=False))[LimitKind.STEERING_SHARE]
    assert share == pytest.approx(0.38356, abs=5e-6)
    assert case.state == {"fresh": 1.0, "grey": 1.0}
    share, case = cases(tanks(link=True))[LimitKind.STEERING_SHARE]
    assert share == pytest.approx(0.38835, abs=5e-6)
    assert case.state == {"fresh": pytest.approx(0.2), "grey": 1.0}


@pytest.mark.parametrize("link", [False, True])
def test_both_agree_with_an_independent_solver(link: bool) -> None:
    """Library: HiGHS for the sums; for the share, by bounded search where the least of a sum is nothing."""
    gains = {"front": (415 * 40 / 190, -332 * 40 / 190), "rear": (415 * 150 / 190, 332 * 230 / 190)}
    links = {"A_ub": [[50.0, 40.0]], "b_ub": [50.0]} if link else {}

    def least(front: float, rear: float) -> float:
        """Return the least of a weighted sum of the two axles' loads [lb]."""
        costs = front * np.array(gains["front"]) + rear * np.array(gains["rear"])
        known = front * (4_800 - gains["front"][0]) + rear * (7_200 - gains["rear"][0])
        return float(linprog(costs, bounds=[(0, 1), (0, 1)], method="highs", **links).fun) + known

    envelope = tanks(link)
    assert span_lb(FRONT, envelope) == pytest.approx((least(1, 0), -least(-1, 0)))
    assert span_lb(REAR, envelope) == pytest.approx((least(0, 1), -least(0, -1)))
    shares = minimize_scalar(
        lambda share: abs(least(1 - share, -share)), bounds=(0.3, 0.5), method="bounded", options={"xatol": 1e-9}
    )
    assert cases(envelope)[LimitKind.STEERING_SHARE][0] == pytest.approx(shares.x, abs=1e-6)
