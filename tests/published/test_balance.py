"""Where a vehicle's load sits: published sums of moments, identities, and the bands of common practice."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.balance.distribution import Band, VehicleBalance, vehicle_balance
from axlewright.core.estimates import Estimate, UnknownBecause
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.rig import Rig, Side, VehicleKind
from tests.yard import INCH, LB, axle, known_loads, rig, tires, vehicle


def two_axles(wheelbase_in: float, track_in: float = 78.0) -> Rig:
    """Return a vehicle of two axles that far apart."""
    fitted = tires("315/80R22.5", single_lb=20_000, dual_lb=None, max_psi=130)
    return rig(
        vehicle(
            axle("front", gawr_lb=20_000, fitted=fitted, track_in=track_in),
            axle("rear", gawr_lb=20_000, fitted=fitted, aft_in=wheelbase_in, track_in=track_in),
            gvwr_lb=40_000,
        )
    )


def balance_of(subject: Rig, loads_lb: dict[str, float], u_lb: float | None = 0.0) -> VehicleBalance:
    """Return the balance of the rig's only vehicle at k = 2."""
    [only] = subject.vehicles
    return vehicle_balance(only, estimates_from_loads(subject, known_loads(loads_lb, u_lb)), 2.0)


def value(of: object) -> float:
    """Return the value of something that must be known."""
    assert isinstance(of, Estimate)
    return of.value


def doubt(of: object) -> float:
    """Return the standard uncertainty of something that must be known."""
    assert isinstance(of, Estimate)
    assert of.u is not None
    return of.u


def test_the_centre_of_gravity_divides_the_wheelbase_as_the_loads_do() -> None:
    """Hand, by the formula of truck makers' body-builder manuals a = R WB/W: 190 x 7,200/12,000 = 114.0 in."""
    balance = balance_of(two_axles(190), {"front.left+front.right": 4_800, "rear.left+rear.right": 7_200})
    assert value(balance.aft) / INCH == pytest.approx(114.0)
    assert value(balance.end_shares["front"]) == pytest.approx(0.4)
    assert value(balance.end_shares["rear"]) == pytest.approx(0.6)
    assert balance.right is UnknownBecause.NOT_SEPARATED
    assert balance.twist is UnknownBecause.NOT_SEPARATED
    assert balance.sides.difference is UnknownBecause.NOT_SEPARATED


@pytest.mark.parametrize("wheelbase_in", [110, 190, 276])
@pytest.mark.parametrize("rear_share", [0.2, 0.5, 0.6, 0.75])
def test_the_lever_rule_gives_the_loads_back(wheelbase_in: float, rear_share: float) -> None:
    """Solve back: a mass of 9,000 lb at a behind the front axle puts 9,000 a/WB on the rear axle (lever rule)."""
    aft_in = rear_share * wheelbase_in
    rear_lb = 9_000 * aft_in / wheelbase_in
    balance = balance_of(
        two_axles(wheelbase_in), {"front.left+front.right": 9_000 - rear_lb, "rear.left+rear.right": rear_lb}
    )
    assert value(balance.aft) / INCH == pytest.approx(aft_in)


def test_moving_cargo_rearwards_moves_the_centre_of_gravity_by_its_moment() -> None:
    """Hand: 200 lb moved back 144 in on a wheelbase of 190 in shifts 200 x 144/190 = 151.58 lb to the rear axle.

    So the centre of gravity of 12,000 lb moves back 200 x 144/12,000 = 2.4 in, from 114.0 to 116.4.
    """
    balance = balance_of(
        two_axles(190), {"front.left+front.right": 4_800 - 151.5789, "rear.left+rear.right": 7_200 + 151.5789}
    )
    assert value(balance.aft) / INCH == pytest.approx(116.4, abs=1e-4)


def test_three_axles_weigh_in_by_their_places_and_tracks() -> None:
    """Hand: (9,000 x 0 + 18,000 x 280 + 9,000 x 330)/36,000 = 222.5 in.

    To the right: (400 x 82/2 - 600 x 76/2 + 200 x 84/2)/36,000 = (16,400 - 22,800 + 8,400)/36,000 = 0.0555556 in.
    """
    fitted = tires("315/80R22.5", single_lb=20_000, dual_lb=None, max_psi=130)
    coach = rig(
        vehicle(
            axle("steer", gawr_lb=16_000, fitted=fitted, track_in=82),
            axle("drive", gawr_lb=22_000, fitted=fitted, aft_in=280, track_in=76),
            axle("tag", gawr_lb=12_000, fitted=fitted, aft_in=330, track_in=84),
            gvwr_lb=50_000,
        )
    )
    balance = balance_of(
        coach,
        {
            "steer.left": 4_300, "steer.right": 4_700, "drive.left": 9_300, "drive.right": 8_700,
            "tag.left": 4_400, "tag.right": 4_600,
        },
    )  # fmt: skip
    assert value(balance.aft) / INCH == pytest.approx(222.5)
    assert value(balance.right) / INCH == pytest.approx(2_000 / 36_000)
    assert value(balance.sides.difference) / LB == pytest.approx(0.0, abs=1e-6)
    assert balance.sides.heavy_side is None
    assert balance.twist is None


def test_cross_weight_beyond_end_and_side_shares_is_the_twist() -> None:
    """Hand: LF 2,600 RF 2,400 LR 4,400 RR 4,600: cross (2,400 + 4,400)/14,000 = 0.485714.

    End and side shares explain f s + (1 - f)(1 - s) with f = 5/14, s = 1/2: 0.5. Twist -0.0142857.
    """
    balance = balance_of(
        two_axles(190), {"front.left": 2_600, "front.right": 2_400, "rear.left": 4_400, "rear.right": 4_600}
    )
    assert value(balance.twist) == pytest.approx(-0.0142857, abs=5e-8)


@given(
    loads=st.tuples(*[st.floats(500, 9_000)] * 4),
)
def test_the_twist_is_the_diagonals_share_less_what_ends_and_sides_explain(
    loads: tuple[float, float, float, float],
) -> None:
    """Identity: the definition (cross weight less the product of shares); and no twist without one."""
    left_front, right_front, left_rear, right_rear = loads
    whole = sum(loads)
    front, right = (left_front + right_front) / whole, (right_front + right_rear) / whole
    expected = (right_front + left_rear) / whole - (front * right + (1 - front) * (1 - right))
    names = ("front.left", "front.right", "rear.left", "rear.right")
    assert value(balance_of(two_axles(190), dict(zip(names, loads, strict=True))).twist) == pytest.approx(
        expected, abs=1e-12
    )
    even = [whole * end * side for end in (front, 1 - front) for side in (1 - right, right)]
    assert value(balance_of(two_axles(190), dict(zip(names, even, strict=True))).twist) == pytest.approx(0, abs=1e-12)


def test_the_doubts_of_shares_follow_first_order_propagation() -> None:
    """Hand, JCGM 100:2008, 5.1.2, by central differences: every u is the root sum of (slope x 15 lb)^2."""
    names = ("front.left", "front.right", "rear.left", "rear.right")
    loads_lb = (2_600.0, 2_400.0, 4_400.0, 4_600.0)
    subject = two_axles(190)
    balance = balance_of(subject, dict(zip(names, loads_lb, strict=True)), u_lb=15.0)

    def figures(shifted_lb: list[float]) -> list[float]:
        moved = balance_of(subject, dict(zip(names, shifted_lb, strict=True)))
        return [
            value(moved.aft),
            value(moved.right),
            value(moved.twist),
            value(moved.end_shares["front"]),
            value(moved.sides.difference),
            value(moved.side_by_axle["rear"].difference),
        ]

    squares = [0.0] * 6
    for place in range(4):
        up, down = ([load + (sign if place == each else 0.0) for each, load in enumerate(loads_lb)] for sign in (1, -1))
        for each, (high, low) in enumerate(zip(figures(up), figures(down), strict=True)):
            squares[each] += ((high - low) / 2 * 15.0) ** 2
    stated = [
        doubt(balance.aft),
        doubt(balance.right),
        doubt(balance.twist),
        doubt(balance.end_shares["front"]),
        doubt(balance.sides.difference),
        doubt(balance.side_by_axle["rear"].difference),
    ]
    assert stated == pytest.approx([sqrt(square) for square in squares], rel=1e-4)
    assert doubt(balance.sides.difference) / LB == pytest.approx(30.0)  # 15 sqrt(4)


# Common practice, no source: look from min(800 lb, 8 % of the axle load), act from min(1,000 lb, 10 %), for what is
# surely there, |R - L| - 2 u; u of a difference of two loads with u each is u sqrt(2).
@pytest.mark.parametrize(
    ("left_lb", "right_lb", "u_lb", "band", "heavy"),
    [
        (6_000, 6_000, 0, Band.ORDINARY, None),
        (6_000, 6_600, 0, Band.ORDINARY, Side.RIGHT),
        (5_600, 6_399, 0, Band.ORDINARY, Side.RIGHT),
        (5_600, 6_401, 0, Band.LOOK, Side.RIGHT),
        (6_499, 5_501, 0, Band.LOOK, Side.LEFT),
        (6_501, 5_499, 0, Band.ACT, Side.LEFT),
        (2_900, 3_139, 0, Band.ORDINARY, Side.RIGHT),
        (2_750, 3_250, 0, Band.LOOK, Side.RIGHT),
        (2_690, 3_310, 0, Band.ACT, Side.RIGHT),
        (5_600, 6_420, 20, Band.ORDINARY, Side.RIGHT),
        (5_600, 6_460, 20, Band.LOOK, Side.RIGHT),
        (5_480, 6_520, 20, Band.LOOK, Side.RIGHT),
        (5_460, 6_540, 20, Band.ACT, Side.RIGHT),
        (6_000, 6_050, 20, Band.ORDINARY, None),
        (6_000, 6_060, 20, Band.ORDINARY, Side.RIGHT),
    ],
)
def test_a_side_difference_falls_in_the_band_that_it_surely_reaches(
    left_lb: float, right_lb: float, u_lb: float, band: Band, heavy: Side | None
) -> None:
    balance = balance_of(
        two_axles(190), {"front.left": 3_000, "front.right": 3_000, "rear.left": left_lb, "rear.right": right_lb}, u_lb
    )
    side = balance.side_by_axle["rear"]
    assert value(side.difference) / LB == pytest.approx(right_lb - left_lb)
    assert side.band is band
    assert side.heavy_side is heavy


def test_the_bands_begin_where_common_practice_says() -> None:
    """Common practice: 12,000 lb: 800 and 1,000 lb; 6,000 lb: 480 and 600 lb."""
    balance = balance_of(
        two_axles(190), {"front.left": 3_000, "front.right": 3_000, "rear.left": 6_000, "rear.right": 6_000}
    )
    front, rear = balance.side_by_axle["front"], balance.side_by_axle["rear"]
    assert (front.look_from_kg or 0) / LB == pytest.approx(480)
    assert (front.act_from_kg or 0) / LB == pytest.approx(600)
    assert (rear.look_from_kg or 0) / LB == pytest.approx(800)
    assert (rear.act_from_kg or 0) / LB == pytest.approx(1_000)


def test_a_trailers_centre_of_gravity_stays_open_without_its_coupling_load() -> None:
    """Statics: both places are moments over the whole weight, and the coupling carries a part that no scale saw."""
    fitted = tires("ST225/75R15 D", single_lb=2_540, dual_lb=None, max_psi=65)
    trailer = rig(
        vehicle(
            axle("front", gawr_lb=5_000, fitted=fitted, aft_in=150, track_in=80),
            axle("rear", gawr_lb=5_000, fitted=fitted, aft_in=185, track_in=80),
            gvwr_lb=10_000,
            kind=VehicleKind.TRAVEL_TRAILER,
        )
    )
    balance = balance_of(trailer, {"front.left": 1_900, "front.right": 2_000, "rear.left": 1_900, "rear.right": 2_100})
    assert balance.aft is UnknownBecause.COUPLING_NOT_WEIGHED
    assert balance.right is UnknownBecause.COUPLING_NOT_WEIGHED
    balance = balance_of(
        trailer,
        {"front.left": 1_900, "front.right": 2_000, "rear.left": 1_900, "rear.right": 2_100, "coupling": 1_100},
    )
    # Sums of moments, hand: (3,900 x 150 + 4,000 x 185) / 9,000 behind the coupling; 300 x 40 / 9,000 to the right.
    assert value(balance.aft) / INCH == pytest.approx(1_325_000 / 9_000)
    assert value(balance.right) / INCH == pytest.approx(12_000 / 9_000)
    assert value(balance.sides.difference) / LB == pytest.approx(300)  # hand: 4,100 - 3,800
