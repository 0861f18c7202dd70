"""The covariance of a session's readings, entry by entry.

Hand, in lb, from the parts of a reading's error: rounding d^2/12, placement max(d/2, 0.1 % y)^2, span (0.002 y)^2/3
common to a platform, the rest of the tolerance (t^2 - (0.002 y)^2)/3 common to readings of the same wheels on it, and
for a side reading 0.25 % of its axle's load, one error for the session. All judgement but the
tolerance (NIST Handbook 44, section 2.20, table 6, maintenance, class III L, from memory) and the rectangular variance
h^2/3 (JCGM 100:2008, 4.3.7).
"""

import numpy as np
import pytest
from numpy.typing import NDArray

from axlewright.core.estimates import Columns
from axlewright.core.rig import Rig
from axlewright.core.scales import OwnTolerance, Placement
from axlewright.core.sessions.covariance import covariance_of
from axlewright.core.sessions.passes import Reading, WeighSession, half_weighed_axles, is_raised, spots
from tests.yard import LB, axle, motorhome, reading, rig, session, three_passes, vehicle


def covariance_lb2(subject: Rig, weighed: WeighSession) -> NDArray[np.float64]:
    """Return the covariance of a session in lb2."""
    columns = Columns.of_wheel_ends((end.name for _, _, end in subject.wheel_ends()), ())
    design = np.array([columns.row(dict.fromkeys(each.wheels, 1.0)) for each in weighed.readings])
    return covariance_of(weighed, subject, columns, design) / LB**2


def test_three_passes_entry_by_entry() -> None:
    """Hand. A: steer, B: drive; right 3,240 and 5,180, left 3,100 and 5,580, axles 6,340 and 10,760 lb, d = 20.

    Diagonal: d^2/12 = 33.3333; placement 10^2, for 10,760 10.76^2 = 115.7776; tolerance t^2/3 = 133.3333, for 10,760
    (over 500 d) 1,600/3 = 533.3333; hanging (0.0025 x 6,340)^2 = 15.85^2 = 251.2225 and (0.0025 x 10,760)^2 = 26.9^2
    = 723.61. Off it: span (0.002)^2 y1 y2/3 on a platform; hanging 15.85^2, 15.85 x 26.9 = 426.365 and 26.9^2 between
    side readings.
    """
    computed = covariance_lb2(
        motorhome(), three_passes({"steer": (3_240, 3_100, 6_340), "drive": (5_180, 5_580, 10_760)})
    )
    # Rows: steer.right, drive.right, steer.left, drive.left, steer, drive
    upper = [
        [517.8892, 426.3650, 251.2225 + 13.3920, 426.3650, 27.3888, 0.0],
        [0, 990.2767, 426.3650, 723.6100 + 38.5392, 0.0, 74.3157],
        [0, 0, 517.8892, 426.3650, 26.2053, 0.0],
        [0, 0, 0, 990.2767, 0.0, 80.0544],
        [0, 0, 0, 0, 266.6667, 0.0],
        [0, 0, 0, 0, 0, 682.4443],
    ]
    expected = np.array(upper) + np.triu(upper, 1).T
    assert computed == pytest.approx(expected, abs=0.0002)


def test_repeating_a_reading_does_not_average_its_tolerance_away() -> None:
    """Hand: two passes of the same axle share the whole tolerance, 20^2/3 = 133.3333; each has 133.3333 of its own."""
    weighed = session(
        reading("first", "A", 6_340, "steer.left", "steer.right"),
        reading("again", "A", 6_340, "steer.left", "steer.right"),
        reading("other plate", "B", 6_340, "steer.left", "steer.right"),
    )
    expected = [[266.6667, 133.3333, 0.0], [133.3333, 266.6667, 0.0], [0.0, 0.0, 266.6667]]
    assert covariance_lb2(motorhome(), weighed) == pytest.approx(np.array(expected), abs=0.0001)


def test_axles_on_one_platform_share_its_span_but_not_the_rest_of_the_tolerance() -> None:
    """Hand: (0.002)^2 x 6,340 x 10,760/3 = 90.9579 on one platform; the gross with each axle alike."""
    weighed = session(
        reading("steer", "A", 6_340, "steer.left", "steer.right"),
        reading("drive", "A", 10_760, "drive.left", "drive.right"),
    )
    expected = [[266.6667, 90.9579], [90.9579, 682.4443]]
    assert covariance_lb2(motorhome(), weighed) == pytest.approx(np.array(expected), abs=0.0001)


def hanging_lb2(*readings: Reading) -> NDArray[np.float64]:
    """Return the covariance where only the hanging side errs, beside the half division that always stays."""
    placement = Placement(whole_axle_share=0.0, hanging_side_share=0.0025, raised_pad_share=0.0)
    weighed = session(*readings, tolerance=OwnTolerance(0.0, 0.0), placement=placement)
    alone = (20.0**2 / 12 + 10.0**2) * np.eye(len(readings))
    return np.asarray(covariance_lb2(motorhome(), weighed) - alone)


def test_a_half_weighed_axle_is_taken_by_its_own_reading_first() -> None:
    """Hand: the mean of 6,300 and 6,380 is 6,340, of which 0.25 % are 15.85: 251.2225 lb2."""
    computed = hanging_lb2(
        reading("right", "A", 3_240, "steer.right"),
        reading("axles", "A", 6_300, "steer.left", "steer.right"),
        reading("axles again", "A", 6_380, "steer.left", "steer.right"),
    )
    assert computed == pytest.approx(np.diag([251.2225, 0.0, 0.0]), abs=1e-6)


def test_a_half_weighed_axle_without_a_reading_of_its_own_is_estimated_from_the_others() -> None:
    """Hand: 3,240 + 3,100 = 6,340: 15.85^2, both sides with one sign."""
    computed = hanging_lb2(
        reading("right", "A", 3_240, "steer.right"),
        reading("left", "A", 3_100, "steer.left"),
    )
    assert computed == pytest.approx(np.full((2, 2), 251.2225), abs=1e-6)


def test_a_half_weighed_axle_of_which_nothing_else_is_known_counts_twice_its_side() -> None:
    """Hand: 2 x 3,240 x 0.25 % = 16.2: 262.44 lb2."""
    assert hanging_lb2(reading("right", "A", 3_240, "steer.right")) == pytest.approx(np.array([[262.44]]), abs=1e-6)


def test_a_side_reading_of_several_axles_carries_the_error_of_each() -> None:
    """Hand: (6,340 + 10,760) x 0.25 % = 42.75: 1,827.5625 lb2; none on the whole axles."""
    computed = hanging_lb2(
        reading("right side", "A", 8_420, "steer.right", "drive.right"),
        reading("steer", "A", 6_340, "steer.left", "steer.right"),
        reading("drive", "A", 10_760, "drive.left", "drive.right"),
    )
    assert computed == pytest.approx(np.diag([1_827.5625, 0.0, 0.0]), abs=1e-6)


def test_sides_on_two_plates_in_one_pass_do_not_hang() -> None:
    computed = hanging_lb2(
        reading("axle by sides", "A", 3_240, "steer.right"),
        reading("axle by sides", "B", 3_100, "steer.left"),
    )
    assert computed == pytest.approx(np.zeros((2, 2)), abs=1e-6)


def test_a_pad_lifts_its_wheel_where_another_stands_on_the_ground() -> None:
    """Hand: 2 % of 3,240 and of 3,100, each pad its own: 64.8^2 = 4,199.04 and 62^2 = 3,844 lb2."""
    raised = session(
        reading("steer on pads", "1", 3_240, "steer.right", pad=True),
        reading("steer on pads", "2", 3_100, "steer.left", pad=True),
        tolerance=OwnTolerance(0.0, 0.0),
        placement=Placement(whole_axle_share=0.0),
    )
    expected = np.diag([4_199.04, 3_844.0]) + (20.0**2 / 12 + 100) * np.eye(2)
    assert covariance_lb2(motorhome(), raised) == pytest.approx(expected, abs=1e-6)


def test_one_pad_moved_from_wheel_to_wheel_lifts_them_all_alike() -> None:
    """Hand: one pad, one error with one sign: 64.8 x 62 = 4,017.6 lb2 between the two; the hanging side is left out."""
    moved = session(
        reading("right on the pad", "1", 3_240, "steer.right", pad=True),
        reading("left on the pad", "1", 3_100, "steer.left", pad=True),
        tolerance=OwnTolerance(0.0, 0.0),
        placement=Placement(whole_axle_share=0.0, hanging_side_share=0.0),
    )
    expected = np.array([[4_199.04, 4_017.6], [4_017.6, 3_844.0]]) + (20.0**2 / 12 + 100) * np.eye(2)
    assert covariance_lb2(motorhome(), moved) == pytest.approx(expected, abs=1e-6)


def test_pads_under_every_wheel_at_once_lift_nothing_against_the_rest() -> None:
    places = ("steer.left", "steer.right", "drive.left", "drive.right")
    level = session(*(reading("all", str(place), 4_000, wheel, pad=True) for place, wheel in enumerate(places)))
    subject = motorhome()
    assert is_raised(level, subject, spots(subject, frozenset(places))) == [False] * 4
    fewer = session(*level.readings[:3])
    assert is_raised(fewer, subject, spots(subject, frozenset(places))) == [True] * 3
    crosswise = session(level.readings[0], level.readings[3])
    assert is_raised(crosswise, subject, spots(subject, frozenset(places))) == [True] * 2
    one_axle = session(*level.readings[:2])
    assert is_raised(one_axle, subject, spots(subject, frozenset(places))) == [True] * 2


def test_another_vehicle_standing_on_the_ground_lifts_nothing() -> None:
    subject = rig(
        vehicle(axle("coach.steer", gawr_lb=7_000), axle("coach.drive", gawr_lb=12_000, aft_in=200), gvwr_lb=18_000),
        vehicle(
            axle("car.front", gawr_lb=2_500), axle("car.rear", gawr_lb=2_500, aft_in=100), gvwr_lb=4_500, name="car"
        ),
    )
    wheels = ("coach.steer.left", "coach.steer.right", "coach.drive.left", "coach.drive.right")
    weighed = session(*(reading("coach", str(place), 4_000, wheel, pad=True) for place, wheel in enumerate(wheels)))
    assert is_raised(weighed, subject, spots(subject, frozenset(wheels))) == [False] * 4


def test_a_side_reading_is_one_with_one_side_of_an_axle_on_any_platform_of_its_pass() -> None:
    weighed = session(
        reading("one", "A", 3_240, "steer.right"),
        reading("one", "B", 10_760, "drive.left", "drive.right"),
        reading("two", "A", 3_100, "steer.left"),
        reading("two", "B", 5_580, "drive.left"),
        reading("two", "C", 5_180, "drive.right"),
    )
    subject = motorhome()
    places = spots(subject, frozenset().union(*(each.wheels for each in weighed.readings)))
    expected = [frozenset({"steer"}), frozenset(), frozenset({"steer"}), frozenset(), frozenset()]
    assert half_weighed_axles(weighed, places) == expected


def test_a_covariance_is_positive_definite_however_often_a_platform_is_read() -> None:
    """Identity: its Cholesky factor exists, for thirty readings of the same wheels."""
    weighed = session(
        *(
            reading(f"pass {number}", "A", 6_340 + 20 * (number % 3), "steer.left", "steer.right")
            for number in range(30)
        )
    )
    assert np.all(np.linalg.eigvalsh(covariance_lb2(motorhome(), weighed)) > 100.0)
