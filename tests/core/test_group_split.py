"""How sure a split is that an axle group keeps from its weighed loads."""

from collections.abc import Mapping
from math import hypot, sqrt

import numpy as np
import pytest
from msgspec import structs

from axlewright.core.estimates import LoadEstimates, Solution
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.statics import SPLIT_DOUBT, Assumption, AssumptionKind, Origin, Statics, vehicle_statics
from axlewright.core.rig import AxleGroup, Suspension, Vehicle, VehicleKind
from tests.yard import INCH, axle, known_loads, rig, vehicle

LOADS_LB = {"first.left+first.right": 2_000.0, "second.left+second.right": 3_000.0}
FIRST_SHARE = 0.4
FIRST = {"first.left": 1.0, "first.right": 1.0}


def tandem(split: tuple[float, float] | None = None) -> Vehicle:
    """Return a trailer on an equalised tandem."""
    axles = (axle("first", gawr_lb=3_500, aft_in=180), axle("second", gawr_lb=3_500, aft_in=216))
    own = vehicle(*axles, gvwr_lb=7_000, kind=VehicleKind.TRAVEL_TRAILER, name="trailer")
    return structs.replace(own, groups=(AxleGroup(("first", "second"), Suspension.EQUALISED, split),))


def weighed(us_lb: Mapping[str, float | None]) -> LoadEstimates:
    return estimates_from_loads(rig(tandem()), known_loads(LOADS_LB, u_of_lb=us_lb))


def splits(statics: Statics) -> list[Assumption]:
    return [each for each in statics.assumptions if each.kind is AssumptionKind.GROUP_SPLIT]


def first_u(statics: Statics, loads: LoadEstimates) -> float:
    """Return the doubt [kg] of what the first axle takes of 100 kg, put where this split balances."""
    aft_m = (FIRST_SHARE * 180 + (1 - FIRST_SHARE) * 216) * INCH
    return statics.change("mass", 100.0, aft_m, 0.0, (0.0, 0.0, 0.0)).u(loads.columns.row(FIRST))


def test_a_measured_split_has_the_doubt_of_its_loads() -> None:
    loads = weighed(dict(zip(LOADS_LB, (30.0, 40.0), strict=True)))
    statics = vehicle_statics(tandem(), loads.columns, loads)
    # By hand: share = A/(A + B), u = hypot(B u(A), A u(B))/(A + B)^2 = hypot(3,000 x 30, 2,000 x 40)/25,000,000 =
    # 0.004817; as the error of two independent weights that is u/(share (1 - share) sqrt(2)).
    share_u = hypot(3_000 * 30, 2_000 * 40) / 5_000**2
    assert share_u == pytest.approx(0.004817, abs=1e-6)
    assert [(each.subject, each.origin) for each in splits(statics)] == [
        ("first", Origin.MEASURED),
        ("second", Origin.MEASURED),
    ]
    relative_u = share_u / (FIRST_SHARE * (1 - FIRST_SHARE) * sqrt(2))
    assert [each.relative_u for each in splits(statics)] == [pytest.approx(relative_u)] * 2
    # The split also moves the point at which the group holds the trailer up, by share_u x 36 in of some 201.6 in.
    slope = 1.0 + FIRST_SHARE * 36 / 201.6
    assert first_u(statics, loads) == pytest.approx(100 * share_u * slope, rel=1e-3)


def test_an_error_common_to_both_loads_in_proportion_does_not_touch_the_split() -> None:
    loads = weighed(dict.fromkeys(LOADS_LB, 30.0))
    every = np.array(loads.joint.loads)
    common = structs.replace(loads, joint=Solution(every.tolist(), np.outer(0.01 * every, 0.01 * every).tolist()))
    common = structs.replace(common, answered={})
    assert splits(vehicle_statics(tandem(), common.columns, common)) == []


@pytest.mark.parametrize("unstated", [list(LOADS_LB)[:1], list(LOADS_LB)], ids=["one", "both"])
def test_where_a_loads_doubt_is_not_stated_the_split_is_no_surer_than_one_not_measured(unstated: list[str]) -> None:
    loads = weighed(dict.fromkeys(unstated))
    relative_u = SPLIT_DOUBT / (FIRST_SHARE * (1 - FIRST_SHARE) * sqrt(2))
    found = splits(vehicle_statics(tandem(), loads.columns, loads))
    assert [(each.value, each.relative_u, each.origin) for each in found] == [
        (pytest.approx(FIRST_SHARE), pytest.approx(relative_u), Origin.MEASURED),
        (pytest.approx(1 - FIRST_SHARE), pytest.approx(relative_u), Origin.MEASURED),
    ]


@pytest.mark.parametrize(("shift_kg", "share_u"), [(0.0, SPLIT_DOUBT), (200.0, None)])
def test_a_split_from_a_failed_cross_check_reaches_as_far_as_the_solutions_without_one_reading(
    shift_kg: float, share_u: float | None
) -> None:
    loads = weighed(dict.fromkeys(LOADS_LB, 20.0))
    shifted = np.array(loads.joint.loads) + loads.columns.row({"first.left": shift_kg})
    other = Solution(shifted.tolist(), loads.joint.covariance)
    part = structs.replace(loads.parts[0], columns=tuple(loads.weighed), failed=True, alternatives=(other,))
    failed = structs.replace(loads, parts=(part,), answered={})
    # By hand, to first order: 200 kg more on the first axle add (1 - 0.4) x 200 kg/(A + B).
    expected = share_u or (1 - FIRST_SHARE) * shift_kg / sum(loads.joint.loads)
    found = splits(vehicle_statics(tandem(), failed.columns, failed))
    assert expected >= SPLIT_DOUBT
    assert [each.relative_u for each in found] == [pytest.approx(expected / (0.24 * sqrt(2)))] * 2


def test_a_split_that_was_stated_counts_before_one_that_was_measured() -> None:
    loads = weighed(dict.fromkeys(LOADS_LB, 100.0))
    stated = vehicle_statics(tandem(split=(0.5, 0.5)), loads.columns, loads)
    assert splits(stated) == []
    assert first_u(stated, loads) < 1e-6
