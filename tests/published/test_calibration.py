"""A calibration against sums done by hand: moments about the centre line, and least squares of two measurements."""

from math import sqrt

import pytest
from scipy import stats

from axlewright.core.loads.aboard import Move, Spot
from axlewright.core.loads.calibration import calibrate
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.rig import Place, VehicleKind
from tests.yard import INCH, LB, axle, known_loads, rig, vehicle

VAN = vehicle(
    axle("front", gawr_lb=4_400, track_in=60),
    axle("rear", gawr_lb=5_300, aft_in=150, track_in=80),
    gvwr_lb=9_000,
    kind=VehicleKind.VAN,
    name="van",
)
BEFORE = {"front.left": 1_900.0, "front.right": 1_940.0, "rear.left": 2_050.0, "rear.right": 2_150.0}


def moved(mass_lb: float, right_in: float) -> Move:
    place = Place("ballast", 75 * INCH, right_in * INCH)
    return Move("ballast", mass_lb * LB, 0.0, None, Spot("van", place))


def test_a_share_is_the_change_across_an_axle_times_track_over_the_moment() -> None:
    # By moments (statics): 400 lb at 75 of 150 in, 30 in to the right: 100 lb to each wheel end, and 12,000 lb in about
    # the centre line. Of these the front axle takes 0.4: 4,800 / 60 in = 80 lb from left to right; the rear
    # 7,200 / 80 in = 90 lb. The front's share back: (180 - 20) / 2 x 60 / 12,000 = 0.4.
    after = {"front.left": 1_920.0, "front.right": 2_120.0, "rear.left": 2_060.0, "rear.right": 2_340.0}
    weighs = [estimates_from_loads(rig(VAN), known_loads(loads)) for loads in (BEFORE, after)]
    found = calibrate(VAN, weighs[0], weighs[1], [moved(400, 30)], 0.05)
    assert isinstance(found.roll_shares, dict)
    assert found.roll_shares["front"].value == pytest.approx(0.4, abs=1e-9)
    assert found.roll_shares["rear"].value == pytest.approx(0.6, abs=1e-9)


def test_what_two_axles_say_of_a_moment_is_weighed_by_their_doubts() -> None:
    # Least squares with weights 1 / u^2 (any textbook of adjustment; worked here by hand). Of M = 12,000 lb in the
    # front axle shows 4,920 (0.41 M), the rear 7,320 (0.61 M): 240 too many. Every change of a wheel end has a doubt of
    # 10 lb, half the difference of two 10 / sqrt(2): times the tracks, 60 and 80 in, 424.3 and 565.7 lb in,
    # 707.1 together.
    # The inch of the place is 400 lb in on M. The excess over its doubt: 240^2 / (707.1^2 + 400^2) = 0.08727.
    # M takes 240 x 400^2 / (707.1^2 + 400^2) = 58.2 of it, 12,058.2; of the rest, 181.8, the front axle takes
    # 424.3^2 / 707.1^2 = 0.36, which is 65.5. Its share: (4,920 - 65.5) / 12,058.2 = 0.40259. Its doubt:
    # 424.3 x 565.7 / 707.1 / 12,000 = 0.0283.
    front, rear = 4_920 / 60, 7_320 / 80
    after = {
        "front.left": 1_900 + 100 - front,
        "front.right": 1_940 + 100 + front,
        "rear.left": 2_050 + 100 - rear,
        "rear.right": 2_150 + 100 + rear,
    }
    weighs = [estimates_from_loads(rig(VAN), known_loads(loads, 10 / sqrt(2))) for loads in (BEFORE, after)]
    found = calibrate(VAN, weighs[0], weighs[1], [moved(400, 30)], 0.05)
    assert isinstance(found.roll_shares, dict)
    assert found.roll_shares["front"].value == pytest.approx(0.40259, abs=1e-5)
    assert found.roll_shares["front"].u == pytest.approx(0.0283, abs=1e-4)
    assert found.agreement is not None
    assert found.agreement.statistic == pytest.approx(0.08727, abs=1e-5)
    # Four wheel ends and one share leave three; the chance by the distribution function of another routine.
    assert found.agreement.degrees_of_freedom == 3
    assert found.agreement.probability == pytest.approx(float(stats.chi2.sf(0.08727, 3)), abs=1e-5)


def test_ratios_of_a_trailers_stiffness_follow_from_loads_and_levers() -> None:
    # A trailer turns about its coupling: each axle takes load by stiffness times lever (springs in parallel). Axles at
    # 100 and 150 in take 120 and 270 lb more: stiffness 120 / 100 against 270 / 150, a ratio of 1.5. The moment about
    # the coupling is 120 x 100 + 270 x 150 = 52,500 lb in: 350 lb at 150 in, of which the coupling gives back 40.
    trailer = vehicle(
        axle("front", gawr_lb=3_500, aft_in=100, track_in=60),
        axle("rear", gawr_lb=3_500, aft_in=150, track_in=60),
        gvwr_lb=7_000,
        kind=VehicleKind.TRAVEL_TRAILER,
        name="trailer",
    )
    # 350 lb at 12 in to the right: 4,200 lb in, of which 0.5 on each track of 60 in: 35 lb from left to right.
    place = Place("bay", 150 * INCH, 12 * INCH)
    move = Move("bay", 350 * LB, 0.0, None, Spot("trailer", place))
    after = {"front.left": 1_900 + 25, "front.right": 1_940 + 95, "rear.left": 2_050 + 100, "rear.right": 2_150 + 170}
    weighs = [
        estimates_from_loads(rig(trailer), known_loads({n: float(load) for n, load in loads.items()}))
        for loads in (BEFORE, after)
    ]
    found = calibrate(trailer, weighs[0], weighs[1], [move], 0.05)
    assert isinstance(found.stiffnesses, dict)
    assert found.stiffnesses["front"].value == 1.0
    assert found.stiffnesses["rear"].value == pytest.approx(1.5, abs=1e-6)
    assert isinstance(found.roll_shares, dict)
    assert found.roll_shares["rear"].value == pytest.approx(0.5, abs=1e-6)
