"""Loads that the caller already knows."""

import pytest

from axlewright.core.assessment import Assessment, Choices, assess
from axlewright.core.errors import CoreError
from axlewright.core.estimates import Estimate, UnknownBecause
from axlewright.core.findings import Severity
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.standings import Standing
from axlewright.core.policy import Policy
from axlewright.core.rig import VehicleKind
from tests.yard import LB, PSI, axle, known_loads, motorhome, reading, rig, session, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
LOADS_LB = {"steer.left": 2_500.0, "steer.right": 2_600.0, "drive.left": 4_300.0, "drive.right": 4_500.0}


def assessed(loads_lb: dict[str, float], u_lb: float | None, **u_of_lb: float | None) -> Assessment:
    """Return the assessment of known loads; names in ``u_of_lb`` have their dot written as two underscores."""
    us_lb = {name.replace("__", "."): u for name, u in u_of_lb.items()}
    return assess(motorhome(), known_loads(loads_lb, u_lb, us_lb), Choices(POLICY))


def standings(answer: Assessment, subject: str) -> set[Standing]:
    """Return the standings of the limits of a subject."""
    return {check.judgement.standing for check in answer.limits if check.subject == subject and check.judgement}


def test_loads_come_back_as_given_with_their_doubt() -> None:
    """Hand: independent doubts of 12 lb add to 12 sqrt(2) on an axle and 12 sqrt(4) on the vehicle."""
    estimates = estimates_from_loads(motorhome(), known_loads(LOADS_LB, 12.0))
    for name, load_lb in LOADS_LB.items():
        found = estimates.known({name: 1.0})
        assert isinstance(found, Estimate)
        assert found.value / LB == pytest.approx(load_lb)
        assert (found.u or 0.0) / LB == pytest.approx(12.0)
    for names, us in ((("drive.left", "drive.right"), 2), (tuple(LOADS_LB), 4)):
        found = estimates.known(dict.fromkeys(names, 1.0))
        assert isinstance(found, Estimate)
        assert found.value / LB == pytest.approx(sum(LOADS_LB[name] for name in names))
        assert (found.u or 0.0) / LB == pytest.approx(12.0 * us**0.5)


def test_a_given_axle_leaves_its_wheel_ends_open() -> None:
    estimates = estimates_from_loads(
        motorhome(), known_loads({"steer.left+steer.right": 5_100.0, "drive.left": 4_300.0, "drive.right": 4_500.0})
    )
    assert estimates.known({"steer.left": 1.0}) is UnknownBecause.NOT_SEPARATED
    axle = estimates.known({"steer.left": 1.0, "steer.right": 1.0})
    assert isinstance(axle, Estimate)
    assert axle.value / LB == pytest.approx(5_100)
    gross = estimates.known(dict.fromkeys(LOADS_LB, 1.0))
    assert isinstance(gross, Estimate)
    assert gross.value / LB == pytest.approx(13_900)


def test_an_axle_and_one_of_its_sides_give_the_other() -> None:
    """Hand: 5,100 - 2,500 = 2,600; u sqrt(12^2 + 5^2) = 13."""
    estimates = estimates_from_loads(
        motorhome(),
        known_loads({"steer.left+steer.right": 5_100.0, "steer.left": 2_500.0}, 12.0, {"steer.left": 5.0}),
    )
    found = estimates.known({"steer.right": 1.0})
    assert isinstance(found, Estimate)
    assert found.value / LB == pytest.approx(2_600)
    assert (found.u or 0.0) / LB == pytest.approx(13.0)
    assert estimates.known({"drive.left": 1.0}) is UnknownBecause.NOT_WEIGHED


@pytest.mark.parametrize(
    "loads_lb",
    [
        {**LOADS_LB, "steer.left+steer.right": 5_100.0},
        {**LOADS_LB, "steer.left+steer.right+drive.left+drive.right": 13_900.0},
        {"steer.left+steer.right": 5_100.0, "steer.left": 2_500.0, "steer.right": 2_700.0},
        {"drive.left": 4_300.0, "drive.left.inner": 2_200.0, "drive.left.outer": 2_100.0},
    ],
)
def test_loads_that_follow_from_each_other_are_refused_even_where_they_agree(loads_lb: dict[str, float]) -> None:
    with pytest.raises(CoreError) as refused:
        estimates_from_loads(motorhome(), known_loads(loads_lb, 10.0))
    assert refused.value.code == "loads_overlap"
    assert refused.value.field == "loads"


def test_the_same_wheel_twice_is_refused() -> None:
    twice = known_loads({"steer.left": 2_500.0}) + known_loads({"steer.left": 2_500.0})
    with pytest.raises(CoreError, match="follows from the others"):
        estimates_from_loads(motorhome(), twice)


def test_an_exact_load_is_judged_without_doubt() -> None:
    """Hand: ratings 3,970 single, 7,000 axle; 2,600 and 5,100 lb leave more than 5 %."""
    answer = assessed(LOADS_LB, 0.0)
    assert standings(answer, "steer.right") == {Standing.CLEAR}
    assert "uncertainty_not_stated" not in {finding.code for finding in answer.findings}
    probabilities = {check.judgement.probability_of_breach for check in answer.limits if check.judgement}
    assert probabilities == {0.0}
    assert not any(pressure.provisional for pressure in answer.pressures)


def test_a_load_without_its_doubt_is_tight_at_best_and_makes_the_pressure_provisional() -> None:
    answer = assessed(LOADS_LB, None)
    assert standings(answer, "steer.right") == {Standing.TIGHT}
    assert standings(answer, "coach") == {Standing.TIGHT}
    assert {check.judgement.probability_of_breach for check in answer.limits if check.judgement} == {None}
    assert all(pressure.provisional for pressure in answer.pressures)
    missing = [finding for finding in answer.findings if finding.code == "uncertainty_not_stated"]
    assert [finding.subject for finding in missing] == ["steer", "drive"]
    assert {finding.severity for finding in missing} == {Severity.NOTICE}


def test_one_unstated_doubt_touches_only_what_rests_on_it() -> None:
    """Its wheel end, its axle and the vehicle; the other side of its axle and the other axle stay judged in full."""
    answer = assessed(LOADS_LB, 10.0, steer__left=None)
    assert standings(answer, "steer.left") == {Standing.TIGHT}
    assert standings(answer, "steer") == {Standing.TIGHT}
    assert standings(answer, "coach") == {Standing.TIGHT}
    assert standings(answer, "steer.right") == {Standing.CLEAR}
    assert standings(answer, "drive.left") == {Standing.CLEAR}
    assert standings(answer, "drive") == {Standing.CLEAR}
    steer, drive = answer.pressures
    assert steer.provisional
    assert not drive.provisional


def test_an_overload_without_its_doubt_is_still_an_overload() -> None:
    """Hand: 4,000 lb on a rating of 3,970."""
    answer = assessed({**LOADS_LB, "steer.left": 4_000.0}, None)
    assert Standing.OVER in standings(answer, "steer.left")


def test_a_negative_load_beyond_its_doubt_is_impossible() -> None:
    """Hand: 2,500 - 5,100 = -2,600 lb on the right."""
    estimates = estimates_from_loads(
        motorhome(), known_loads({"steer.left": 5_100.0, "steer.left+steer.right": 2_500.0}, 10.0)
    )
    assert estimates.known({"steer.right": 1.0}) is UnknownBecause.IMPOSSIBLE


def test_after_a_failed_check_a_known_coupling_neither_drops_nor_rises() -> None:
    own = vehicle(axle("axle", gawr_lb=6_000, aft_in=180), gvwr_lb=6_500, kind=VehicleKind.TRAVEL_TRAILER)
    wheels = ("axle.left", "axle.right")
    weighed = session(
        reading("right", "A", 2_400, "axle.right"),
        reading("left", "A", 2_400, "axle.left"),
        reading("axle", "A", 5_100, *wheels),
    )
    coupling = known_loads({"coupling": 600.0}, 5.0)
    estimates = assess(rig(own), weighed, Choices(POLICY), coupling).estimates
    axles, whole = (estimates.known(sum_of) for sum_of in (own.sum_of, own.whole))
    assert isinstance(axles, Estimate)
    assert isinstance(whole, Estimate)
    assert (axles.provisional, whole.provisional) == (True, True)
    assert axles.rise > 0.0
    assert (whole.rise, whole.drop) == (pytest.approx(axles.rise), pytest.approx(axles.drop))
    assert whole.value - axles.value == pytest.approx(600 * LB)
