"""The share of a trailer's weight on its coupling, where the loads leave it open."""

from collections.abc import Mapping

import pytest

from axlewright.core.assessment import Assessment, Choices, assess
from axlewright.core.estimates import UnknownBecause
from axlewright.core.loads.headroom import held_limits
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.standings import Bound
from axlewright.core.policy import Policy
from axlewright.core.rig import VehicleKind
from tests.yard import PSI, axle, known_loads, rig, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
WHEELS_LB = {"axle.left": 1_500.0, "axle.right": 1_500.0}


def assessed(loads_lb: Mapping[str, float], kind: VehicleKind = VehicleKind.TRAVEL_TRAILER) -> Assessment:
    """Return the assessment of a trailer on one axle."""
    own = vehicle(axle("axle", gawr_lb=3_500, aft_in=180), gvwr_lb=4_000, kind=kind, name="trailer")
    return assess(rig(own), known_loads(loads_lb), Choices(POLICY))


def shares(answer: Assessment) -> list[LimitCheck]:
    """Return the bounds of the share on the coupling."""
    return [check for check in answer.limits if check.kind in (LimitKind.TONGUE_SHARE, LimitKind.PIN_SHARE)]


@pytest.mark.parametrize(
    ("kind", "name"),
    [(VehicleKind.TRAVEL_TRAILER, LimitKind.TONGUE_SHARE), (VehicleKind.FIFTH_WHEEL, LimitKind.PIN_SHARE)],
)
def test_both_bounds_of_the_share_are_unknown_while_the_coupling_is_not_weighed(
    kind: VehicleKind, name: LimitKind
) -> None:
    found = shares(assessed(WHEELS_LB, kind))
    assert [(check.kind, check.bound) for check in found] == [(name, Bound.LEAST), (name, Bound.MOST)]
    assert {check.unknown_because for check in found} == {UnknownBecause.COUPLING_NOT_WEIGHED}
    assert {(check.judgement, check.governs) for check in found} == {(None, False)}


def test_a_coupling_that_was_weighed_together_with_wheels_only_has_no_share() -> None:
    answer = assessed({"axle.left": 1_500.0, "axle.right+coupling": 1_900.0})
    assert {check.unknown_because for check in shares(answer)} == {UnknownBecause.COUPLING_NOT_WEIGHED}
    (whole,) = [check for check in answer.limits if check.kind is LimitKind.VEHICLE]
    assert whole.unknown_because is None


def test_where_the_coupling_is_known_it_is_not_blamed_for_wheels_that_were_not_weighed() -> None:
    answer = assessed({"axle.left": 1_500.0, "coupling": 400.0})
    open_limits = [*shares(answer), *(check for check in answer.limits if check.kind is LimitKind.VEHICLE)]
    assert [check.unknown_because for check in open_limits] == [UnknownBecause.NOT_WEIGHED] * 3


def test_a_share_that_is_open_is_told_once_and_keeps_its_place_among_what_cannot_be_judged() -> None:
    answer = assessed(WHEELS_LB)
    kinds = [finding.facts["kind"] for finding in answer.findings if finding.code == "limit_unknown"]
    assert sorted(kinds) == [LimitKind.TONGUE_SHARE, LimitKind.VEHICLE]
    held = held_limits(answer.rig, answer.limits, answer.estimates)
    open_shares = [check.bound for check, _ in held.unjudged if check.kind is LimitKind.TONGUE_SHARE]
    assert open_shares == [Bound.LEAST, Bound.MOST]
