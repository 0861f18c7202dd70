"""Headroom and relief against the lever rule, worked by hand.

Lever rule: a mass m at a behind the front axle puts m a/WB on the rear axle and m (1 - a/WB) on the front one, as truck
makers' body-builder manuals have it (a = R WB/W turned round), and as equilibrium of moments has it (J. L. Meriam and
L. G. Kraige, "Engineering Mechanics: Statics", from memory). Doubts add as squares: JCGM 100:2008, 5.1.2.
"""

from math import sqrt

import pytest

from axlewright.core.estimates import LoadEstimates
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.headroom import Headroom, HeldLimits, headroom, held_limits
from axlewright.core.loads.limits import LimitCheck, LimitKind, check_limits
from axlewright.core.loads.relief import Relief, Removable, relief
from axlewright.core.loads.standings import Bound
from axlewright.core.loads.statics import Statics, rig_statics
from axlewright.core.policy import Policy
from axlewright.core.rig import Place, Rig, VehicleKind
from tests.yard import INCH, LB, PSI, axle, known_loads, rig, tires, vehicle

POLICY = Policy(rounding_step_pa=5 * PSI)
STRONG = tires("315/80R22.5", single_lb=9_000, dual_lb=None, max_psi=130)


def two_axles(*, gvwr_lb: float = 30_000, front_lb: float = 16_000, rear_lb: float = 16_000) -> Rig:
    """Return a vehicle of two strong axles, 200 in apart."""
    return rig(
        vehicle(
            axle("front", gawr_lb=front_lb, fitted=STRONG, track_in=80),
            axle("rear", gawr_lb=rear_lb, fitted=STRONG, track_in=80, aft_in=200),
            gvwr_lb=gvwr_lb,
        )
    )


def asked(subject: Rig, loads_lb: dict[str, float], u_lb: float = 0.0) -> tuple[Statics, HeldLimits, LoadEstimates]:
    """Return statics of the only vehicle and what it has to keep."""
    estimates = estimates_from_loads(subject, known_loads(loads_lb, u_lb))
    checks = check_limits(subject, estimates, fitted_tires(subject, ()), POLICY)
    [statics] = rig_statics(subject, estimates).values()
    return statics, held_limits(subject, checks, estimates), estimates


def even(front_lb: float, rear_lb: float) -> dict[str, float]:
    """Return loads that are alike left and right."""
    loads = {"front": front_lb, "rear": rear_lb}
    return {f"{name}.{side}": load / 2 for name, load in loads.items() for side in ("left", "right")}


def at(aft_in: float, right_in: float = 0.0, name: str = "bay") -> Place:
    """Return a point."""
    return Place(name, aft_in * INCH, right_in * INCH)


def told(found: Headroom) -> tuple[float, str, LimitKind]:
    """Return the most in lb, and what limits it."""
    assert found.most_kg is not None
    assert isinstance(found.limited_by, LimitCheck)
    return found.most_kg / LB, found.limited_by.subject, found.limited_by.kind


@pytest.mark.parametrize(
    ("aft_in", "most_lb", "subject", "kind"),
    [
        # On the rear axle, which has 500 lb left: all of it goes there.
        (200, 500.0, "rear", LimitKind.AXLE),
        # 40 in behind it the lever is 240/200: 500/1.2.
        (240, 416.667, "rear", LimitKind.AXLE),
        # At 120 in the rear axle takes 0.6: 500/0.6 = 833, the front 0.4: 300/0.4 = 750; the vehicle has 700 lb left.
        (120, 700.0, "coach", LimitKind.VEHICLE),
        # On the front axle: 300 lb are left there.
        (0, 300.0, "front", LimitKind.AXLE),
        # 50 in ahead of it the lever is 250/200: 300/1.25.
        (-50, 240.0, "front", LimitKind.AXLE),
        # At 80 in the front axle takes 0.6: 300/0.6 = 500, the rear 0.4: 500/0.4 = 1,250.
        (80, 500.0, "front", LimitKind.AXLE),
    ],
)
def test_the_lever_rule_tells_how_much_goes_where(aft_in: float, most_lb: float, subject: str, kind: LimitKind) -> None:
    """Hand: front 6,700 of 7,000 lb, rear 11,500 of 12,000 lb, vehicle 18,200 of 18,900 lb, no doubt counted."""
    statics, held, _ = asked(two_axles(gvwr_lb=18_900, front_lb=7_000, rear_lb=12_000), even(6_700, 11_500))
    assert told(headroom(at(aft_in), statics, held, 0.0)) == (pytest.approx(most_lb, abs=1e-3), subject, kind)


def test_the_doubt_of_the_weighing_comes_off_the_headroom() -> None:
    """Hand: the rear axle has 500 lb left, its two sides are known to 15 lb each: u = 15 x 2^0.5 = 21.213 lb.

    Right on the axle a doubt of 1 in of the place moves m/200: with k = 2, 500 - m = 2 (450 + (m/200)^2)^0.5.
    Squared: m^2 (1 - 4/40,000) - 1,000 m + 250,000 - 1,800 = 0, so
    m = (1,000 - (1,000,000 - 4 x 0.9999 x 248,200)^0.5)/(2 x 0.9999) = (1,000 - 85.437)/1.9998 = 457.33 lb.
    """
    statics, held, _ = asked(two_axles(rear_lb=12_000), even(6_000, 11_500), u_lb=15.0)
    most_lb, subject, kind = told(headroom(at(200), statics, held, 2.0))
    by_hand = (1_000 - sqrt(1e6 - 4 * 0.9999 * 248_200)) / (2 * 0.9999)
    assert by_hand == pytest.approx(457.33, abs=0.01)
    assert (most_lb, subject, kind) == (pytest.approx(by_hand, abs=1e-6), "rear", LimitKind.AXLE)


def test_across_the_axles_a_mass_loads_its_own_side_by_its_arm() -> None:
    """Hand: both axles alike, so each takes half the roll moment: 40 in to the right over a track of 80 in.

    Half way between them m puts m/4 on each wheel, and m x 40/2/80 = m/4 more on the right ones: m/2 in all, none on
    the left. A right tire that carries 8,000 of its 9,000 lb takes 1,000/0.5 = 2,000 lb more.
    """
    loads = {"front.left": 7_000.0, "front.right": 8_000.0, "rear.left": 7_000.0, "rear.right": 7_000.0}
    statics, held, _ = asked(two_axles(gvwr_lb=50_000, front_lb=30_000, rear_lb=30_000), loads)
    most_lb, subject, kind = told(headroom(at(100, 40), statics, held, 0.0))
    assert (most_lb, subject, kind) == (pytest.approx(2_000.0), "front.right", LimitKind.TIRE)


def caravan(tongue_lb: float, axle_lb: float, u_lb: float = 0.0) -> tuple[Statics, HeldLimits]:
    """Return a trailer whose only axle stands 180 in behind the ball."""
    only = axle("only", gawr_lb=6_000, fitted=STRONG, aft_in=180)
    subject = rig(vehicle(only, gvwr_lb=6_500, kind=VehicleKind.TRAVEL_TRAILER, name="caravan"))
    loads = {"only.left": axle_lb / 2, "only.right": axle_lb / 2, "coupling": tongue_lb}
    return asked(subject, loads, u_lb)[:2]


@pytest.mark.parametrize(
    ("aft_in", "most_lb", "kind", "bound"),
    [
        # m at 250 in takes m (250/180 - 1) = 0.38889 m off the tongue: 550 - 0.38889 m = 0.1 (5,000 + m).
        (250, 50 / 0.488889, LimitKind.TONGUE_SHARE, Bound.LEAST),
        # On the axle the tongue keeps its 550 lb: 550 = 0.1 (5,000 + m).
        (180, 500.0, LimitKind.TONGUE_SHARE, Bound.LEAST),
        # At 162 in the tongue gains a tenth: its share stays above 0.1, the vehicle's 1,500 lb count.
        (162, 1_500.0, LimitKind.VEHICLE, Bound.MOST),
        # On the ball all of it is tongue weight: 550 + m = 0.15 (5,000 + m).
        (0, 200 / 0.85, LimitKind.TONGUE_SHARE, Bound.MOST),
    ],
)
def test_a_trailer_is_limited_by_the_share_on_its_tongue(
    aft_in: float, most_lb: float, kind: LimitKind, bound: Bound
) -> None:
    """Hand: moments about the axle; 10 to 15 % of the trailer on the ball, as makers' manuals have it."""
    statics, held = caravan(550.0, 4_450.0)
    found = headroom(at(aft_in), statics, held, 0.0)
    assert told(found) == (pytest.approx(most_lb), "caravan", kind)
    assert isinstance(found.limited_by, LimitCheck)
    assert found.limited_by.bound is bound


def test_a_light_tongue_needs_so_much_in_front() -> None:
    """Hand: 450 of 5,000 lb on the ball; in a box at 18 in, of m 0.9 m get there: 450 + 0.9 m >= 0.1 (5,000 + m).

    So m >= 50/0.8 = 62.5 lb; and 450 + 0.9 m <= 0.15 (5,000 + m): m <= 300/0.75 = 400 lb.
    """
    statics, held = caravan(450.0, 4_550.0)
    found = headroom(at(18), statics, held, 0.0)
    assert found.at_least_kg / LB == pytest.approx(62.5)
    assert told(found)[0] == pytest.approx(400.0)


def took_off(found: Relief) -> dict[str, float]:
    """Return what comes off, in lb."""
    return {removal.name: removal.mass_kg / LB for removal in found.removals}


def removables(statics: Statics, *places: tuple[str, float, float | None]) -> list[Removable]:
    """Return what may come off: name, place [in], most [lb]."""
    return [
        Removable(name, at(aft_in, name=name), statics, None if most_lb is None else most_lb * LB)
        for name, aft_in, most_lb in places
    ]


@pytest.mark.parametrize(
    ("places", "off_lb"),
    [
        # 300 lb too much on the rear axle: at 240 in each lb takes 1.2 off it.
        ([("trunk", 240, None)], {"trunk": 250.0}),
        # The longest lever needs the least mass.
        ([("bay", 100, None), ("trunk", 240, None), ("rack", 250, None)], {"rack": 240.0}),
        # 200 lb from the rack take 250 off the axle, the other 50 come from the trunk: 50/1.2.
        ([("bay", 100, None), ("trunk", 240, None), ("rack", 250, 200.0)], {"rack": 200.0, "trunk": 50 / 1.2}),
    ],
)
def test_what_comes_off_first_is_where_the_lever_is_longest(
    places: list[tuple[str, float, float | None]], off_lb: dict[str, float]
) -> None:
    statics, held, _ = asked(two_axles(rear_lb=12_000), even(6_000, 12_300))
    assert took_off(relief(removables(statics, *places), held, 0.0)) == pytest.approx(off_lb, rel=1e-9)


def test_two_axles_that_are_over_are_two_equations() -> None:
    """Hand: front 60 lb over, rear 130 lb over; x at 50 in and y at 220 in.

    0.75 x - 0.10 y = 60 and 0.25 x + 1.10 y = 130: x = (60 x 1.1 + 130 x 0.1)/0.85 = 92.941, y = 97.059.
    """
    statics, held, _ = asked(two_axles(front_lb=7_000, rear_lb=12_000), even(7_060, 12_130))
    found = relief(removables(statics, ("x", 50, None), ("y", 220, None)), held, 0.0)
    assert took_off(found) == pytest.approx({"x": 79 / 0.85, "y": (130 - 0.25 * 79 / 0.85) / 1.1}, rel=1e-9)


def test_a_trailer_is_not_relieved_in_front_of_its_axle_below_its_least_tongue_share() -> None:
    """Hand: 6,600 of 6,500 lb, 700 lb of it on the ball; the box at 36 in gives 0.8 of each lb to the ball.

    All 100 lb from the box: (700 - 80)/6,500 = 0.0954, too light. With y off a rack at 225 in, which lifts the ball by
    0.25 of each lb: x + y = 100 and 700 - 0.8 x + 0.25 y = 650: 1.05 x = 75, so x = 71.43 at most. Both come as 100 lb.
    With nothing but the box no mass keeps both: 700 - 0.8 x >= 0.1 (6,600 - x) needs x <= 40/0.7 = 57.14.
    """
    statics, held = caravan(700.0, 5_900.0)
    both = took_off(relief(removables(statics, ("box", 36, None), ("rack", 225, 40.0)), held, 0.0))
    assert sum(both.values()) == pytest.approx(100.0)
    assert both["box"] <= 75 / 1.05 + 1e-9
    alone = relief(removables(statics, ("box", 36, None)), held, 0.0)
    assert took_off(alone) == pytest.approx({"box": 40 / 0.7}, rel=1e-6)
    assert [(each.check.kind, each.excess_kg / LB) for each in alone.unmet] == [
        (LimitKind.VEHICLE, pytest.approx(100 - 40 / 0.7, rel=1e-6))
    ]
