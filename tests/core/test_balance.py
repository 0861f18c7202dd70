"""What the balance tells, and what it leaves untold."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from axlewright.core.assessment import Assessment, Choices, assess
from axlewright.core.estimates import Estimate, UnknownBecause
from axlewright.core.findings import Quantity, Severity
from axlewright.core.policy import Policy
from axlewright.core.rig import Side
from tests.yard import INCH, LB, PSI, known_loads, motorhome, plain_motorhome, reading, session, three_passes

POLICY = Policy(rounding_step_pa=5 * PSI)
NAMES = ("steer.left", "steer.right", "drive.left", "drive.right")
ends_lb = st.tuples(*[st.floats(500.0, 9_000.0)] * 4)


def assessed(loads_lb: dict[str, float], u_lb: float | None = 0.0) -> Assessment:
    """Return the assessment of known loads."""
    return assess(plain_motorhome(), known_loads(loads_lb, u_lb), Choices(POLICY))


def value(found: object) -> float:
    """Return the value of something that must be known."""
    assert isinstance(found, Estimate)
    return found.value


@pytest.mark.parametrize(
    ("left_lb", "right_lb", "code", "severity", "heavy"),
    [
        (6_450, 5_550, "side_difference_look", Severity.NOTICE, "left"),
        (5_550, 6_450, "side_difference_look", Severity.NOTICE, "right"),
        (5_450, 6_550, "side_difference_act", Severity.WARNING, "right"),
    ],
)
def test_a_heavy_side_is_told_with_the_side_to_move_to(
    left_lb: float, right_lb: float, code: str, severity: Severity, heavy: str
) -> None:
    """Common practice, bands of 800 and 1,000 lb on 12,000 lb; information, never as grave as a broken limit."""
    answer = assessed({"steer.left": 3_000, "steer.right": 3_000, "drive.left": left_lb, "drive.right": right_lb})
    [finding] = [each for each in answer.findings if each.code.startswith("side_difference")]
    assert (finding.code, finding.severity, finding.subject) == (code, severity, "drive")
    assert finding.facts["heavy_side"] == heavy
    assert finding.facts["light_side"] == {"left": "right", "right": "left"}[heavy]
    difference = finding.facts["difference"]
    assert isinstance(difference, Quantity)
    assert difference.value / LB == pytest.approx(abs(right_lb - left_lb))


def test_an_even_axle_gives_nothing_to_tell() -> None:
    answer = assessed({"steer.left": 3_000, "steer.right": 3_000, "drive.left": 6_000, "drive.right": 6_600})
    assert not [each for each in answer.findings if each.code.startswith("side_difference")]


def test_after_a_failed_cross_check_no_side_is_called_heavy() -> None:
    """Hand: a slip of 900 lb looks like a side difference; the part that agrees is still told."""
    weighed = three_passes({"steer": (3_240.0 + 900, 3_100.0, 6_340.0), "drive": (6_550.0, 5_450.0, 12_000.0)})
    [balance] = assess(plain_motorhome(), weighed, Choices(POLICY)).balances
    steer, drive = balance.side_by_axle["steer"], balance.side_by_axle["drive"]
    assert isinstance(steer.difference, Estimate)
    assert steer.difference.provisional
    assert steer.band is None
    assert steer.heavy_side is None
    assert drive.heavy_side is Side.RIGHT
    assert drive.band == "act"  # hand: 1,100 lb less 2 x 21 (hanging is common to both sides and cancels)
    assert isinstance(balance.sides.difference, Estimate)
    assert balance.sides.heavy_side is None


def test_loads_without_their_doubt_call_no_side_heavy() -> None:
    [balance] = assessed(dict(zip(NAMES, (3_000, 3_000, 5_000, 7_000), strict=True)), None).balances
    side = balance.side_by_axle["drive"]
    assert value(side.difference) / LB == pytest.approx(2_000)
    assert side.heavy_side is None
    assert side.band is None


def test_axles_alone_give_the_centre_lengthwise_and_no_sides() -> None:
    """Hand: 10,760 x 212/17,100 = 133.4 in."""
    weighed = session(
        reading("axles", "A", 6_340, "steer.left", "steer.right"),
        reading("axles", "B", 10_760, "drive.left", "drive.right"),
    )
    [balance] = assess(motorhome(), weighed, Choices(POLICY)).balances
    assert value(balance.aft) / INCH == pytest.approx(10_760 * 212 / 17_100)
    assert balance.right is UnknownBecause.NOT_SEPARATED
    assert balance.side_by_axle["drive"].difference is UnknownBecause.NOT_SEPARATED
    assert balance.side_by_axle["drive"].band is None


@settings(max_examples=60, deadline=None)
@given(ends=ends_lb, factor=st.floats(0.3, 2.0))
def test_shares_places_and_twist_do_not_depend_on_the_scale_of_the_load(ends: tuple[float, ...], factor: float) -> None:
    """Identity."""
    [once] = assessed(dict(zip(NAMES, ends, strict=True))).balances
    [scaled] = assessed(dict(zip(NAMES, (end * factor for end in ends), strict=True))).balances
    for name in ("aft", "right", "twist"):
        assert value(getattr(scaled, name)) == pytest.approx(value(getattr(once, name)), abs=1e-9)
    assert value(scaled.end_shares["steer"]) == pytest.approx(value(once.end_shares["steer"]))


@settings(max_examples=60, deadline=None)
@given(ends=ends_lb)
def test_a_mirror_turns_sides_and_twist_and_leaves_the_ends(ends: tuple[float, ...]) -> None:
    """Identity."""
    [here] = assessed(dict(zip(NAMES, ends, strict=True))).balances
    front_left, front_right, rear_left, rear_right = ends
    [there] = assessed(dict(zip(NAMES, (front_right, front_left, rear_right, rear_left), strict=True))).balances
    assert value(there.aft) == pytest.approx(value(here.aft))
    assert value(there.right) == pytest.approx(-value(here.right), abs=1e-9)
    assert value(there.twist) == pytest.approx(-value(here.twist), abs=1e-12)
    assert value(there.sides.difference) == pytest.approx(-value(here.sides.difference), abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(ends=ends_lb)
def test_end_shares_add_to_one_and_the_centre_lies_between_the_axles(ends: tuple[float, ...]) -> None:
    """Identity."""
    [balance] = assessed(dict(zip(NAMES, ends, strict=True))).balances
    assert sum(value(share) for share in balance.end_shares.values()) == pytest.approx(1.0)
    assert 0.0 < value(balance.aft) / INCH < 212.0
    assert abs(value(balance.twist)) <= 0.5


@pytest.mark.parametrize("by_lb", [600.0, -600.0])
def test_a_failed_cross_check_widens_the_centre_of_gravity_alike_on_both_sides_of_the_middle(by_lb: float) -> None:
    """Identity: a rig and its mirror image are equally doubtful. Hand: the slip moves the centre of 17,100 lb across by
    at least 300 lb x 39 in/17,100 lb = 0.68 in between the solutions."""
    right, left, whole = 3_640.0 + by_lb, 2_700.0, 6_340.0
    drive_right, drive_left = 6_180.0, 4_580.0
    here = three_passes({"steer": (right, left, whole), "drive": (drive_right, drive_left, 10_760.0)})
    there = three_passes({"steer": (left, right, whole), "drive": (drive_left, drive_right, 10_760.0)})
    widths, twists = [], []
    for weighed in (here, there):
        [balance] = assess(motorhome(), weighed, Choices(POLICY)).balances
        assert isinstance(balance.right, Estimate)
        assert balance.right.provisional
        widths.append((balance.right.high(2.0) - balance.right.low(2.0)) / INCH)
        assert isinstance(balance.twist, Estimate)
        twists.append(balance.twist.high(2.0) - balance.twist.low(2.0))
    assert widths[0] == pytest.approx(widths[1], rel=1e-6)
    assert widths[0] > 0.68
    # Hand: with d(twist)/d(right front) about 2 x 4,580/17,100^2 per lb, 300 lb are 0.009.
    assert twists[0] == pytest.approx(twists[1], rel=1e-6)
    assert twists[0] > 0.008
