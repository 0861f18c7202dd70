"""Passes to wheel ends: what is known, what is not and why, and what a slip costs.

Expected values by hand where a value is asserted, otherwise identities: conservation, symmetry, scaling.
"""

from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.assessment import Assessment, Choices, assess
from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.findings import Severity
from axlewright.core.loads.standings import Standing
from axlewright.core.policy import Policy
from axlewright.core.rig import Rig, Side
from axlewright.core.scales import OwnTolerance
from axlewright.core.sessions.passes import Reading, WeighSession
from axlewright.core.sessions.reconcile import Reconciliation, reconcile
from tests.yard import LB, PSI, axle, motorhome, plain_motorhome, reading, rig, session, three_passes, tires, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
SETTLED = {Standing.TIGHT, Standing.CLEAR}
SIDES_OF_DRIVE = ("drive.left", "drive.right")
AGREEING = {"steer": (3_240.0, 3_100.0, 6_340.0), "drive": (5_180.0, 5_580.0, 10_760.0)}


def estimate(estimates: LoadEstimates, sum_of: str | Mapping[str, float]) -> Estimate:
    """Return a sum, or one wheel end, that must be known."""
    found = estimates.known({sum_of: 1.0} if isinstance(sum_of, str) else sum_of)
    assert isinstance(found, Estimate), (sum_of, found)
    return found


def value_lb(estimates: LoadEstimates, sum_of: str | Mapping[str, float]) -> float:
    """Return the value of a sum in lb."""
    return estimate(estimates, sum_of).value / LB


def u_lb(estimates: LoadEstimates, sum_of: str | Mapping[str, float]) -> float:
    """Return the standard uncertainty of a sum in lb."""
    u = estimate(estimates, sum_of).u
    assert u is not None
    return u / LB


def sum_of(*names: str) -> dict[str, float]:
    """Return a plain sum."""
    return dict.fromkeys(names, 1.0)


def assessed(subject: Rig, weighed: WeighSession) -> Assessment:
    """Return the assessment of a session without conditions."""
    return assess(subject, weighed, Choices(POLICY))


def test_three_passes_that_agree_give_four_wheel_ends_as_they_were_read() -> None:
    """Hand: left and right add to the axle, so least squares moves nothing."""
    answer = reconcile(motorhome(), three_passes(AGREEING))
    for name, (right, left, whole) in AGREEING.items():
        assert value_lb(answer.estimates, f"{name}.right") == pytest.approx(right)
        assert value_lb(answer.estimates, f"{name}.left") == pytest.approx(left)
        assert value_lb(answer.estimates, sum_of(f"{name}.left", f"{name}.right")) == pytest.approx(whole)
    assert [part.degrees_of_freedom for part in answer.parts] == [1, 1]
    assert [part.failed for part in answer.parts] == [False, False]
    assert [part.probability for part in answer.parts] == pytest.approx([1.0, 1.0])


def test_what_three_passes_miss_by_is_shared_as_their_covariance_says() -> None:
    """Hand: m = axle - left - right = 60 lb on the steer axle; v = C b m/(b'C b), b = (-1, -1, 1), C of the three.

    C as worked in test_covariance (right, left, axle): 517.8892, 264.6145, 27.3888; 517.8892, 26.2053; 266.6667 for
    3,240, 3,100 and 6,340; here the axle reads 6,400, so hanging is 16^2 = 256 and spans with it 27.6480, 26.4533:
    522.6667, 269.3920, 27.6480; 522.6667, 26.4533; 266.6667. b'C b = 1,742.5814 and C b = (-764.4107, -765.6054,
    212.5654). Right falls short by 26.3194, left by 26.3605, the axle is 7.3190 too high; together 60 (hand).
    """
    readings = {**AGREEING, "steer": (3_240.0, 3_100.0, 6_400.0)}
    answer = reconcile(motorhome(), three_passes(readings))
    b_c_b = 522.6667 + 522.6667 + 266.6667 + 2 * (269.3920 - 27.6480 - 26.4533)
    assert value_lb(answer.estimates, "steer.right") == pytest.approx(3_240 + 764.4107 / b_c_b * 60, abs=0.01)
    assert value_lb(answer.estimates, "steer.left") == pytest.approx(3_100 + 765.6054 / b_c_b * 60, abs=0.01)
    assert answer.parts[0].statistic == pytest.approx(60**2 / b_c_b, rel=1e-4)
    whole_lb = value_lb(answer.estimates, sum_of("steer.left", "steer.right"))
    assert whole_lb == pytest.approx(6_400 - 212.5654 / b_c_b * 60, abs=0.01)
    for check, slip in zip(answer.parts[0].checks, (-60, -60, 60), strict=True):
        assert check.by_others_kg is not None
        assert check.allowed_kg is not None
        reading_kg = (3_240, 3_100, 6_400)[check.row // 2] * LB
        assert (reading_kg - check.by_others_kg) / LB == pytest.approx(slip)
        assert check.allowed_kg / LB == pytest.approx(1.95996 * b_c_b**0.5, rel=1e-4)
        assert check.baarda_w == pytest.approx(slip / b_c_b**0.5, rel=1e-4)


def test_a_wheel_end_is_as_doubtful_as_its_readings_together_say() -> None:
    """Hand: Var(x_right) = C_rr - (C b)_r^2/(b'C b) for one condition; numbers of test_covariance: 6,340 on the axle.

    C b = (-755.1149, -756.2984, 213.0726), b'C b = 517.8892 x 2 + 266.6667 + 2 (264.6145 - 27.3888 - 26.2053)
    = 1,724.4859; Var = 517.8892 - 755.1149^2/1,724.4859 = 187.244; u = 13.684 lb.
    """
    answer = reconcile(motorhome(), three_passes(AGREEING))
    assert u_lb(answer.estimates, "steer.right") == pytest.approx(13.684, abs=0.001)


def test_axles_alone_leave_wheel_ends_unknown_with_the_reason_and_what_to_weigh() -> None:
    weighed = session(
        reading("axles", "A", 6_340, "steer.left", "steer.right"),
        reading("axles", "B", 10_760, "drive.left", "drive.right"),
    )
    answer = assessed(motorhome(), weighed)
    for name in ("steer.left", "steer.right", "drive.left", "drive.right"):
        assert answer.estimates.known({name: 1.0}) is UnknownBecause.NOT_SEPARATED
    assert value_lb(answer.estimates, sum_of(*SIDES_OF_DRIVE)) == pytest.approx(10_760)
    unknown = [finding for finding in answer.findings if finding.code == "wheel_ends_unknown"]
    assert [finding.subject for finding in unknown] == ["steer", "drive"]
    assert "axle steer" in str(unknown[0].facts["known"])
    assert "side" not in str(unknown[0].facts["known"])
    judged = {(check.subject, check.kind.value): check.judgement for check in answer.limits}
    assert judged["drive", "axle_tires"] is not None
    assert judged["drive.left", "tire"] is None
    assert all(pressure.cold_pa is None and pressure.until_weighed_pa is not None for pressure in answer.pressures)
    assert "readings_unchecked" in {finding.code for finding in answer.findings}


def test_axles_and_sides_and_gross_still_leave_one_of_four_open() -> None:
    """Published: axle totals with side totals have rank 3 for 4 wheel ends (statics)."""
    weighed = session(
        reading("axles", "A", 6_340, "steer.left", "steer.right"),
        reading("axles", "B", 10_760, "drive.left", "drive.right"),
        reading("right side", "C", 8_420, "steer.right", "drive.right"),
        reading("left side", "C", 8_680, "steer.left", "drive.left"),
    )
    estimates = reconcile(motorhome(), weighed).estimates
    for name in ("steer.left", "steer.right", "drive.left", "drive.right"):
        assert estimates.known({name: 1.0}) is UnknownBecause.NOT_SEPARATED
    assert estimates.known(sum_of("steer.left", "drive.right")) is UnknownBecause.NOT_SEPARATED
    assert value_lb(estimates, sum_of("steer.left", "steer.right")) == pytest.approx(6_340)
    assert value_lb(estimates, sum_of("steer.right", "drive.right")) == pytest.approx(8_420)
    assert value_lb(estimates, sum_of("steer.left", "steer.right", *SIDES_OF_DRIVE)) == pytest.approx(17_100)
    assert value_lb(estimates, {"steer.left": 1.0, "drive.right": -1.0}) == pytest.approx(6_340 - 8_420)


def test_an_axle_that_no_platform_saw_is_not_weighed() -> None:
    weighed = session(reading("steer", "A", 6_340, "steer.left", "steer.right"))
    estimates = reconcile(motorhome(), weighed).estimates
    assert estimates.known({"drive.left": 1.0}) is UnknownBecause.NOT_WEIGHED
    assert estimates.known(sum_of(*SIDES_OF_DRIVE)) is UnknownBecause.NOT_WEIGHED
    assert estimates.known(sum_of("steer.left", "steer.right", "drive.left")) is UnknownBecause.NOT_WEIGHED
    assert value_lb(estimates, sum_of("steer.left", "steer.right")) == pytest.approx(6_340)


def test_one_side_and_the_axle_give_the_other_side_unchecked() -> None:
    """Hand: 6,340 - 3,240 = 3,100 without anything to check it."""
    weighed = session(
        reading("right", "A", 3_240, "steer.right"),
        reading("axle", "A", 6_340, "steer.left", "steer.right"),
    )
    answer = reconcile(motorhome(), weighed)
    assert value_lb(answer.estimates, "steer.left") == pytest.approx(3_100)
    assert answer.parts[0].degrees_of_freedom == 0
    assert answer.parts[0].probability == 1.0
    assert not answer.parts[0].failed
    assert [check.baarda_w for check in answer.parts[0].checks] == [None, None]
    assert [check.by_others_kg for check in answer.parts[0].checks] == [None, None]


def test_tires_of_a_dual_weighed_apart_are_known_apart_and_judged_apart() -> None:
    """Hand: 2,900 + 2,300 = 5,200 left, the heavier tire 2,900, not half of 5,200."""
    weighed = session(
        reading("one", "A", 2_900, "drive.left.inner"),
        reading("two", "A", 2_300, "drive.left.outer"),
        reading("three", "A", 5_400, "drive.right"),
        reading("four", "B", 6_340, "steer.left", "steer.right"),
    )
    answer = assessed(motorhome(), weighed)
    assert value_lb(answer.estimates, "drive.left.inner") == pytest.approx(2_900)
    assert value_lb(answer.estimates, "drive.left") == pytest.approx(5_200)
    loads = {
        check.subject: check.value.value / LB
        for check in answer.limits
        if check.kind.value == "tire" and isinstance(check.value, Estimate)
    }
    assert loads == pytest.approx({"drive.left.inner": 2_900, "drive.left.outer": 2_300, "drive.right": 2_700})
    drive = answer.pressures[1]
    assert drive.need is not None
    assert drive.need.wheel_end == "drive.left"
    assert drive.need.upper_kg > 2_900 * LB


def test_one_tire_of_a_dual_and_the_pair_give_the_other_tire() -> None:
    """Hand: 5,200 - 2,900 = 2,300."""
    weighed = session(
        reading("inner", "A", 2_900, "drive.left.inner"),
        reading("pair", "A", 5_200, "drive.left"),
    )
    assert value_lb(reconcile(motorhome(), weighed).estimates, "drive.left.outer") == pytest.approx(2_300)


def test_an_axle_weighed_on_two_platforms_at_once_is_their_sum() -> None:
    weighed = session(
        reading("axle", "A", 3_240, "steer.right"),
        reading("axle", "B", 3_100, "steer.left"),
    )
    estimates = reconcile(motorhome(), weighed).estimates
    assert value_lb(estimates, sum_of("steer.left", "steer.right")) == pytest.approx(6_340)


def test_readings_that_leave_a_wheel_lighter_than_nothing_cannot_all_be_right() -> None:
    """Hand: 3,000 - 5,000 = -2,000 lb on the left wheel; the other axle stays known."""
    weighed = session(
        reading("right", "A", 5_000, "steer.right"),
        reading("axle", "A", 3_000, "steer.left", "steer.right"),
        reading("axle", "B", 10_760, "drive.left", "drive.right"),
    )
    answer = assessed(motorhome(), weighed)
    assert answer.estimates.known({"steer.left": 1.0}) is UnknownBecause.IMPOSSIBLE
    assert answer.estimates.known({"steer.right": 1.0}) is UnknownBecause.IMPOSSIBLE
    assert answer.estimates.known(sum_of("steer.left", "steer.right")) is UnknownBecause.IMPOSSIBLE
    assert value_lb(answer.estimates, sum_of(*SIDES_OF_DRIVE)) == pytest.approx(10_760)
    [finding] = [each for each in answer.findings if each.code == "readings_impossible"]
    assert finding.severity is Severity.CRITICAL
    assert finding.subject == "steer"


def test_a_wheel_near_nothing_within_its_doubt_is_possible() -> None:
    """Hand: 3,000 - 3,020 = -20 lb with u of at least 15 lb."""
    weighed = session(
        reading("right", "A", 3_020, "steer.right"),
        reading("axle", "A", 3_000, "steer.left", "steer.right"),
    )
    assert value_lb(reconcile(motorhome(), weighed).estimates, "steer.left") == pytest.approx(-20)


def test_a_reading_between_divisions_is_pointed_out() -> None:
    readings = {**AGREEING, "steer": (3_245.0, 3_100.0, 6_340.0)}
    answer = assessed(motorhome(), three_passes(readings))
    found = [finding for finding in answer.findings if finding.code == "reading_off_division"]
    assert [finding.subject for finding in found] == ["right wheels / A"]


# Slips -------------------------------------------------------------------------------------------------------------


def slipped(
    readings: Mapping[str, tuple[float, float, float]], axle_name: str, place: int, by_lb: float
) -> WeighSession:
    """Return three passes of which one reading of an axle was copied wrongly."""
    values = list(readings[axle_name])
    values[place] += by_lb
    return three_passes({**readings, axle_name: (values[0], values[1], values[2])})


@pytest.mark.parametrize("axle_lb", [4_000, 5_000, 8_000, 10_000, 12_000, 16_000, 20_000])
@pytest.mark.parametrize("by_lb", [300, -300, 400, -400, 600, -600, 900, -900])
@pytest.mark.parametrize("place", [0, 1, 2], ids=["right", "left", "axle"])
def test_a_digit_slip_never_passes_in_silence(axle_lb: float, by_lb: float, place: int) -> None:
    """All that rests on it stays unsettled or worse; the pressure holds for the truth and every solution without one.

    Hand: without the slipped reading the others give the truth, so the upper bound may not lie below it.
    """
    truth = {"steer": (axle_lb * 0.54, axle_lb * 0.46, axle_lb), "drive": (5_180.0, 5_580.0, 10_760.0)}
    subject = plain_motorhome()
    answer = assessed(subject, slipped(truth, "steer", place, by_lb))
    clean = assessed(subject, three_passes(truth))
    assert answer.reconciliation is not None
    assert [part.failed for part in answer.reconciliation.parts] == [True, False]

    resting = [check for check in answer.limits if check.subject.startswith("steer") or check.subject == "coach"]
    assert len(resting) >= 7
    assert all(check.judgement is not None for check in resting)
    assert all(check.judgement and check.judgement.standing not in SETTLED for check in resting)
    assert all(isinstance(check.value, Estimate) and check.value.provisional for check in resting)
    assert {check.judgement.standing for check in clean.limits if check.judgement} == {Standing.CLEAR}

    [finding] = [each for each in answer.findings if each.code == "cross_check_failed"]
    assert finding.severity is Severity.CRITICAL
    assert finding.subject == "steer.left, steer.right"

    steer, drive = answer.pressures
    assert steer.provisional
    assert not drive.provisional
    assert steer.need is not None
    right, left, whole = truth["steer"]
    heaviest = max(right, left, *highest_without_one(slipped(truth, "steer", place, by_lb), "steer"))
    assert steer.need.upper_kg / LB > heaviest
    assert steer.need.upper_kg / LB < heaviest + 0.03 * whole
    assert steer.cold_pa is None or clean.pressures[0].cold_pa is not None

    for name in ("drive.left", "drive.right", {"drive.left": 1.0, "drive.right": 1.0}):
        assert estimate(answer.estimates, name) == estimate(clean.estimates, name)
    assert drive == clean.pressures[1]
    untouched = [check for check in answer.limits if check.subject.startswith("drive")]
    assert untouched == [check for check in clean.limits if check.subject.startswith("drive")]


def highest_without_one(weighed: WeighSession, name: str) -> tuple[float, float, float]:
    """Return the heaviest wheel end [lb] of each solution without a reading; a missing side is axle less the other."""
    read = {
        each.pass_name: each.value_kg / LB
        for each in weighed.readings
        if each.wheels <= {f"{name}.left", f"{name}.right"}
    }
    right, left, whole = read["right wheels"], read["left wheels"], read["axles"]
    return max(right, left), max(right, whole - right), max(whole - left, left)


def test_after_a_slip_the_bounds_are_those_of_the_solutions_without_one_reading() -> None:
    """Hand, covariances of test_covariance: right reads 3,840 for 3,240. Right without its reading: 6,340 - 3,100 =
    3,240, u sqrt(517.8892 + 266.6667 - 2 x 26.2053) = 27.06; without another 3,840, u sqrt(517.8892) = 22.76.

    The upper bound at k = 2 is at least 3,840 + 2 x 22.76 = 3,885.5 and, with the widest doubt for all, at most
    3,840 + 2 x 27.06 = 3,894.1; the lower one lies between 3,240 - 54.2 and 3,240 - 45.5.
    """
    right = estimate(reconcile(motorhome(), slipped(AGREEING, "steer", 0, 600)).estimates, "steer.right")
    assert 3_885.5 <= right.high(2.0) / LB <= 3_894.2
    assert 3_185.8 <= right.low(2.0) / LB <= 3_194.5


@settings(max_examples=150, deadline=None)
@given(
    axle_divisions=st.integers(200, 1_000),
    share=st.floats(0.42, 0.58),
    by_divisions=st.integers(15, 45).flatmap(lambda n: st.sampled_from([n, -n])),
    place=st.integers(0, 2),
)
def test_no_axle_of_4000_to_20000_pounds_lets_a_slip_of_300_to_900_pounds_pass(
    axle_divisions: int, share: float, by_divisions: int, place: int
) -> None:
    right = round(axle_divisions * share)
    truth = {
        "steer": (20.0 * right, 20.0 * (axle_divisions - right), 20.0 * axle_divisions),
        "drive": AGREEING["drive"],
    }
    answer = reconcile(plain_motorhome(), slipped(truth, "steer", place, 20.0 * by_divisions))
    assert [part.failed for part in answer.parts] == [True, False]


@pytest.mark.parametrize("by_lb", [300, 600, -900])
def test_a_slip_in_each_part_is_found_in_each(by_lb: float) -> None:
    readings = {"steer": (3_240.0 + by_lb, 3_100.0, 6_340.0), "drive": (5_180.0, 5_580.0 - by_lb, 10_760.0)}
    answer = assessed(motorhome(), three_passes(readings))
    assert answer.reconciliation is not None
    assert [part.failed for part in answer.reconciliation.parts] == [True, True]
    assert len([each for each in answer.findings if each.code == "cross_check_failed"]) == 2
    assert all(pressure.provisional for pressure in answer.pressures)


def test_equally_suspect_readings_are_named_together() -> None:
    """Hand: one condition, so that every reading of the platform has the same w."""
    answer = reconcile(motorhome(), slipped(AGREEING, "steer", 0, 300))
    suspects = [[check.suspect for check in part.checks] for part in answer.parts]
    assert suspects == [[True, True, True], [False, False, False]]


def test_more_readings_locate_the_slip() -> None:
    """Identity: with every reading in two conditions or more, w is largest where the only slip is (Cauchy-Schwarz)."""
    whole = ("steer.left", "steer.right", "drive.left", "drive.right")
    truth = {"steer.right": 3_240.0, "steer.left": 3_100.0, "drive.right": 5_180.0, "drive.left": 5_580.0}
    plan: list[tuple[str, tuple[str, ...]]] = [
        ("gross", whole),
        ("steer", whole[:2]),
        ("drive", whole[2:]),
        ("right side", ("steer.right", "drive.right")),
        ("left side", ("steer.left", "drive.left")),
        ("right steer", ("steer.right",)),
        ("left steer", ("steer.left",)),
        ("right drive", ("drive.right",)),
        ("left drive", ("drive.left",)),
    ]
    for slipped_row in range(len(plan)):
        readings = [
            reading(name, "A", sum(truth[wheel] for wheel in wheels) + (900 if row == slipped_row else 0), *wheels)
            for row, (name, wheels) in enumerate(plan)
        ]
        [part] = reconcile(plain_motorhome(), session(*readings)).parts
        assert part.failed
        assert [check.suspect for check in part.checks] == [row == slipped_row for row in range(len(plan))]


def test_without_a_failed_global_test_nothing_is_suspect() -> None:
    answer = reconcile(motorhome(), slipped(AGREEING, "steer", 0, 60))
    assert not answer.parts[0].failed
    assert not any(check.suspect for part in answer.parts for check in part.checks)


def test_a_stricter_session_alarms_later() -> None:
    """Hand: a misclosure of 100 lb against u 41.7: z = 2.40, probability 1.6 %."""
    weighed = slipped(AGREEING, "steer", 2, 100)
    assert reconcile(motorhome(), weighed).parts[0].failed
    assert not reconcile(motorhome(), structs.replace(weighed, significance=0.01)).parts[0].failed


def test_a_part_with_a_slip_and_an_open_wheel_end_still_says_what_is_known() -> None:
    """Hand: the axle read twice, 6,340 and 7,340, and no side: the axle is known and provisional, its ends are not."""
    weighed = session(
        reading("one", "A", 6_340, "steer.left", "steer.right"),
        reading("two", "A", 7_340, "steer.left", "steer.right"),
        reading("one", "B", 10_760, "drive.left", "drive.right"),
    )
    answer = assessed(motorhome(), weighed)
    whole = estimate(answer.estimates, sum_of("steer.left", "steer.right"))
    assert whole.provisional
    assert whole.high(2.0) / LB > 7_340
    assert whole.low(2.0) / LB < 6_340
    assert answer.estimates.known({"steer.left": 1.0}) is UnknownBecause.NOT_SEPARATED
    gross = estimate(answer.estimates, sum_of("steer.left", "steer.right", *SIDES_OF_DRIVE))
    assert gross.provisional
    assert gross.high(2.0) / LB > 7_340 + 10_760


# Properties --------------------------------------------------------------------------------------------------------

LOADS_LB = st.integers(50, 400).map(lambda divisions: 20.0 * divisions)
OFFS_LB = st.integers(-3, 3).map(lambda divisions: 20.0 * divisions)


@st.composite
def motorhome_readings(draw: st.DrawFn) -> dict[str, tuple[float, float, float]]:
    """Return readings of three passes that agree within a few divisions."""
    readings = {}
    for name in ("steer", "drive"):
        right = draw(LOADS_LB)
        left = right + draw(OFFS_LB) if right > 1_000 else right
        readings[name] = (right, left, right + left + draw(OFFS_LB))
    return readings


def wheel_end_answers(answer: Reconciliation) -> dict[str, tuple[float, float]]:
    """Return value and u of each wheel end, in kg."""
    found = {name: estimate(answer.estimates, name) for name in answer.estimates.columns.names}
    return {name: (each.value, each.u or 0.0) for name, each in found.items()}


def statistics(answer: Reconciliation) -> list[float]:
    """Return the statistics of the parts, smallest first."""
    return sorted(part.statistic for part in answer.parts)


@settings(max_examples=60, deadline=None)
@given(readings=motorhome_readings(), order=st.permutations(range(6)))
def test_the_order_of_passes_and_readings_moves_nothing(
    readings: dict[str, tuple[float, float, float]], order: list[int]
) -> None:
    weighed = three_passes(readings)
    mixed = structs.replace(weighed, readings=tuple(weighed.readings[place] for place in order))
    straight, other = reconcile(plain_motorhome(), weighed), reconcile(plain_motorhome(), mixed)
    for name, (value, u) in wheel_end_answers(straight).items():
        assert wheel_end_answers(other)[name] == pytest.approx((value, u), rel=1e-9)
    assert statistics(other) == pytest.approx(statistics(straight), rel=1e-6, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(readings=motorhome_readings())
def test_names_of_platforms_and_passes_move_nothing(readings: dict[str, tuple[float, float, float]]) -> None:
    straight = reconcile(plain_motorhome(), three_passes(readings))
    renamed = three_passes(readings, platforms=["north", "middle"])
    renamed = structs.replace(
        renamed,
        readings=tuple(structs.replace(each, pass_name=each.pass_name[::-1]) for each in renamed.readings),
    )
    other = reconcile(plain_motorhome(), renamed)
    assert wheel_end_answers(other) == wheel_end_answers(straight)
    assert statistics(other) == statistics(straight)


def mirrored(weighed: WeighSession) -> WeighSession:
    """Return the session of the same rig seen in a mirror."""
    swap = {"left": "right", "right": "left"}

    def other_side(wheel: str) -> str:
        axle_name, side = wheel.rsplit(".", 1)
        return f"{axle_name}.{swap[side]}"

    return structs.replace(
        weighed,
        readings=tuple(
            structs.replace(each, wheels=frozenset(other_side(wheel) for wheel in each.wheels))
            for each in weighed.readings
        ),
    )


@settings(max_examples=60, deadline=None)
@given(readings=motorhome_readings())
def test_the_mirror_image_of_a_weigh_has_the_mirror_image_of_its_answer(
    readings: dict[str, tuple[float, float, float]],
) -> None:
    weighed = three_passes(readings)
    straight, other = assessed(plain_motorhome(), weighed), assessed(plain_motorhome(), mirrored(weighed))
    for name in ("steer", "drive"):
        for side, far in (("left", "right"), ("right", "left")):
            here, there = estimate(straight.estimates, f"{name}.{side}"), estimate(other.estimates, f"{name}.{far}")
            assert (there.value, there.u) == pytest.approx((here.value, here.u), rel=1e-9)
    assert [answer.cold_pa for answer in other.pressures] == pytest.approx(
        [answer.cold_pa for answer in straight.pressures], rel=1e-9
    )
    here, there = straight.balances[0], other.balances[0]
    assert isinstance(here.sides.difference, Estimate)
    assert isinstance(there.sides.difference, Estimate)
    assert there.sides.difference.value == pytest.approx(-here.sides.difference.value, abs=1e-6)
    opposite = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT, None: None}
    assert there.sides.heavy_side is opposite[here.sides.heavy_side]


def scaled(subject: Rig, factor: float) -> Rig:
    """Return a rig with every mass times a factor, pressures left."""
    return structs.replace(
        subject,
        vehicles=tuple(
            structs.replace(
                each,
                gvwr_kg=each.gvwr_kg * factor,
                axles=tuple(
                    structs.replace(
                        one,
                        gawr_kg=one.gawr_kg * factor,
                        **{
                            end.side.value: structs.replace(
                                end,
                                tires=structs.replace(
                                    end.tires,
                                    max_load_single_kg=end.tires.max_load_single_kg * factor,
                                    max_load_dual_kg=(end.tires.max_load_dual_kg or 0.0) * factor,
                                ),
                            )
                            for end in one.wheel_ends
                        },
                    )
                    for one in each.axles
                ),
            )
            for each in subject.vehicles
        ),
    )


@settings(max_examples=40, deadline=None)
@given(readings=motorhome_readings(), factor=st.sampled_from([0.25, 0.45359237, 3.0, 10.0]))
def test_scaling_all_masses_scales_loads_and_doubts_and_moves_nothing_else(
    readings: dict[str, tuple[float, float, float]], factor: float
) -> None:
    weighed = three_passes(readings)
    larger = structs.replace(
        weighed,
        readings=tuple(
            structs.replace(
                each,
                value_kg=each.value_kg * factor,
                platform=structs.replace(each.platform, division_kg=each.platform.division_kg * factor),
            )
            for each in weighed.readings
        ),
    )
    subject = plain_motorhome()
    straight, other = assessed(subject, weighed), assessed(scaled(subject, factor), larger)
    assert straight.reconciliation is not None
    assert other.reconciliation is not None
    assert statistics(other.reconciliation) == pytest.approx(statistics(straight.reconciliation), rel=1e-6, abs=1e-9)
    for name, (value, u) in wheel_end_answers(straight.reconciliation).items():
        assert wheel_end_answers(other.reconciliation)[name] == pytest.approx((value * factor, u * factor), rel=1e-9)
    assert [each.cold_pa for each in other.pressures] == pytest.approx([each.cold_pa for each in straight.pressures])
    for here, there in zip(straight.limits, other.limits, strict=True):
        assert here.judgement is not None
        assert there.judgement is not None
        assert there.judgement.standing is here.judgement.standing
        assert there.relative_margin == pytest.approx(here.relative_margin, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(readings=motorhome_readings())
def test_loads_add_up_over_every_grouping(readings: dict[str, tuple[float, float, float]]) -> None:
    """Identity: axles add to the gross, sides add to the gross, wheel ends to their axle."""
    estimates = reconcile(plain_motorhome(), three_passes(readings)).estimates
    ends = {name: value_lb(estimates, name) for name in estimates.columns.names}
    gross = value_lb(estimates, sum_of(*ends))
    assert sum(ends.values()) == pytest.approx(gross)
    for name in ("steer", "drive"):
        whole = value_lb(estimates, sum_of(f"{name}.left", f"{name}.right"))
        assert ends[f"{name}.left"] + ends[f"{name}.right"] == pytest.approx(whole)


def test_three_axles_on_two_platforms_are_one_equation_like_any_other() -> None:
    """Hand: agreeing readings of a coach whose drive and tag axles share a platform are returned as read."""
    strong = tires("315/80R22.5", single_lb=15_000, dual_lb=None, max_psi=130)
    subject = rig(
        vehicle(
            *(
                axle(name, gawr_lb=20_000, fitted=strong, aft_in=aft)
                for name, aft in (("steer", 0), ("drive", 280), ("tag", 330))
            ),
            gvwr_lb=50_000,
        )
    )
    truth = {
        "steer.right": 6_640.0, "steer.left": 6_900.0, "drive.right": 8_920.0, "drive.left": 9_400.0,
        "tag.right": 4_500.0, "tag.left": 4_280.0,
    }  # fmt: skip
    rear = ("drive", "tag")
    plan: list[tuple[str, str, tuple[str, ...]]] = [
        ("right", "A", ("steer.right",)),
        ("right", "B", tuple(f"{name}.right" for name in rear)),
        ("left", "A", ("steer.left",)),
        ("left", "B", tuple(f"{name}.left" for name in rear)),
        ("axles", "A", ("steer.left", "steer.right")),
        ("axles", "B", tuple(f"{name}.{side}" for name in rear for side in ("left", "right"))),
        ("tag right off", "B", ("drive.left", "drive.right", "tag.left")),
        ("tag off", "B", ("drive.left", "drive.right")),
        ("drive right", "B", ("drive.right",)),
    ]
    readings: list[Reading] = [
        reading(name, plate, sum(truth[wheel] for wheel in wheels), *wheels) for name, plate, wheels in plan
    ]
    answer = reconcile(subject, session(*readings))
    assert [part.degrees_of_freedom for part in answer.parts] == [1, 2]
    assert {name: value_lb(answer.estimates, name) for name in truth} == pytest.approx(truth)


def test_the_callers_tolerance_widens_every_doubt() -> None:
    weighed = three_passes(AGREEING)
    loose = structs.replace(weighed, tolerance=OwnTolerance(share=0.01, least_kg=50.0))
    for name in ("steer.left", "drive.right"):
        assert u_lb(reconcile(motorhome(), loose).estimates, name) > 1.5 * u_lb(
            reconcile(motorhome(), weighed).estimates, name
        )


def test_repeating_a_pass_narrows_no_doubt_below_the_tolerance() -> None:
    """Hand: ten passes average rounding and placement, 133.33/10, and keep t^2/3 = 133.33: u = 12.11 lb of 16.33."""
    passes = [reading(f"pass {number}", "A", 6_340, "steer.left", "steer.right") for number in range(10)]
    whole = sum_of("steer.left", "steer.right")
    assert u_lb(reconcile(motorhome(), session(passes[0])).estimates, whole) == pytest.approx(16.33, abs=0.01)
    assert u_lb(reconcile(motorhome(), session(*passes)).estimates, whole) == pytest.approx(12.11, abs=0.01)
    assert np.isclose((133.3333 / 10 + 133.3333) ** 0.5, 12.11, atol=0.005)
