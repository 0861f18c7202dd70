"""Weighs of towing rigs that somebody published, through the reconciliation of coupling states.

What the source prints is marked so; so is what is only derived from it, or assumed because it is not printed.
"""

import pytest
from msgspec import structs

from axlewright.core.estimates import Estimate, LoadEstimates
from axlewright.core.rig import CouplingKind
from axlewright.core.sessions.coupling import Found
from axlewright.core.sessions.ties import TieKind
from tests.coupled_yard import CAMPER, FRONT, HITCHED, LEVELLED, REAR, SOLO, coupled_rig, read, told, weighed
from tests.yard import INCH, LB, session

DIVISION_LB = 20.0
"""Of public vehicle scales; every printed reading below is a multiple of it, if nothing else is said."""


def value(found: Found | None) -> float:
    assert found is not None
    assert isinstance(found.value, Estimate), found
    return found.value.value


def load_lb(estimates: LoadEstimates, *wheels: str) -> float:
    estimate = estimates.known(dict.fromkeys(wheels, 1.0))
    assert isinstance(estimate, Estimate), estimate
    return estimate.value / LB


def test_tongue_weight_by_two_weighs_of_a_tow_vehicle() -> None:
    """Good Sam community forum, Fifth-Wheel board, thread "Determining pin weight", reply 1126091.

    Printed, lb: alone steer 2,180, drive 2,000, total 4,180; with the trailer, bars off, 2,060, 2,380, trailer axle
    2,000, total 6,440; tow vehicle with it 4,440; tongue 4,440 - 4,180 = 260; trailer 6,440 - 4,180 = 2,260, share
    0.115.
    Derived: 120 lb leave the front axle, so that the ball lies 120/260 of the wheelbase behind the rear axle; the
    wheelbase, 130 in, and the length of the trailer are assumed.
    """
    rig = coupled_rig(wheelbase_in=130, hitch_in=130 * (1 + 120 / 260))
    reconciliation, coupled = weighed(
        rig,
        session(
            *read(SOLO, {"front": 2180, "rear": 2000}), *read(HITCHED, {"front": 2060, "rear": 2380, "camper": 2000})
        ),
    )
    tongue_lb = value(coupled.coupling_load) / LB
    assert tongue_lb == pytest.approx(260, abs=DIVISION_LB / 2)
    hitched = coupled.states[HITCHED]
    assert load_lb(hitched, *FRONT, *REAR) == pytest.approx(4440, abs=DIVISION_LB / 2)
    assert load_lb(hitched, *FRONT, *REAR, *CAMPER) == pytest.approx(6440, abs=DIVISION_LB / 2)
    trailer_lb = load_lb(hitched, *CAMPER, "camper.coupling")
    assert trailer_lb == pytest.approx(2260, abs=DIVISION_LB / 2)
    assert tongue_lb / trailer_lb == pytest.approx(0.115, abs=0.0005)
    assert not any(part.failed for part in reconciliation.parts)


def test_tongue_weight_by_two_totals() -> None:
    """Orlando Sentinel, classified, cars and trucks, 2 April 2021.

    Printed, lb: alone 5,000; with the trailer coupled and its wheels off the scale 5,600; tongue weight 600.
    """
    coupled = told(read(SOLO, {"van": 5000}) + read(HITCHED, {"van": 5600}))
    assert value(coupled.coupling_load) / LB == pytest.approx(600, abs=1e-6)


def test_the_lever_of_the_bars() -> None:
    """Good Sam forum, RV Tips & Tricks, "Weight Distribution (WD) Hitch --- How it Works", R. Gratz, 2004, first post.

    Printed: wheelbase 130 in, rear axle to ball 65 in, ball to trailer axles 200 in, bars 30 in with 2,000 lb at their
    ends in all; "DOWN force of 2000 lbs on TT tongue adds a load of 300 lbs at TT axles" (2,000 x 30/200).
    Derived: M = 60,000 lb in; the van feels 1,700 lb down at the ball and 2,000 lb up 30 in behind it: front
    (2,000 x 95 - 1,700 x 65)/130 = +611.54, rear -911.54 lb. Loads before the bars are invented.
    """
    rig = coupled_rig(wheelbase_in=130, hitch_in=195, camper_in=200)
    front_lb = (2000 * 95 - 1700 * 65) / 130
    before = {"front": 3000.0, "rear": 5000.0, "camper": 5400.0}
    after = {"front": 3000 + front_lb, "rear": 5000 - 300 - front_lb, "camper": 5700.0}
    reconciliation, coupled = weighed(rig, session(*read(HITCHED, before), *read(LEVELLED, after)))
    assert value(coupled.to_trailer) / LB == pytest.approx(300, abs=1e-4)
    assert value(coupled.bars_moment) / (LB * INCH) == pytest.approx(2000 * 30, rel=1e-6)
    (part,) = reconciliation.parts
    assert part.statistic == pytest.approx(0.0, abs=1e-6)
    # The van alone tells the same moment, its trailer never read.
    van = {what: (before[what], after[what]) for what in ("front", "rear")}
    alone = told(
        read(HITCHED, {what: pair[0] for what, pair in van.items()})
        + read(LEVELLED, {what: pair[1] for what, pair in van.items()}),
        rig,
    )
    assert value(alone.bars_moment) / (LB * INCH) == pytest.approx(2000 * 30, rel=1e-6)


@pytest.mark.parametrize("rear_kg", [130.0, 140.0])
def test_the_overhang_of_a_ball_and_what_it_takes_off_the_front(rear_kg: float) -> None:
    """CIL Insurance (Australia), RV safety advice, "Towing - weight distribution".

    Printed: "With a ball weight of 100kg the rear wheels may actually be carrying an additional 130kg-140kg. The extra
    weight has been removed from the front wheels". Derived: overhang 0.3 or 0.4 of the wheelbase. Solo loads invented.
    """
    rig = coupled_rig(wheelbase_in=120, hitch_in=120 * rear_kg / 100)
    kg = 1 / LB
    reconciliation, coupled = weighed(
        rig,
        session(
            *read(SOLO, {"front": 1000 * kg, "rear": 1000 * kg}),
            *read(HITCHED, {"front": (1000 - (rear_kg - 100)) * kg, "rear": (1000 + rear_kg) * kg}),
        ),
    )
    assert value(coupled.coupling_load) == pytest.approx(100, abs=1e-6)
    (part,) = reconciliation.parts
    assert part.statistic == pytest.approx(0.0, abs=1e-9)


def test_a_fifth_wheel_on_its_pin_and_axles() -> None:
    """davydee15.blogspot.com, 6 September 2011, "East Bound, Again", weighed wheel by wheel.

    Printed, lb: on the hitch 4,285; on the trailer's axles 13,335. Derived: trailer 17,620, pin share 24.3 %. The
    truck's two weighs are not printed, and invented here; scale in steps of 5 lb.
    """
    rig = coupled_rig(CouplingKind.FIFTH_WHEEL, hitch_in=155)
    front_lb = 4285 * 5 / 160
    readings = read(SOLO, {"front": 4800, "rear": 3400}) + read(
        HITCHED, {"front": 4800 + front_lb, "rear": 3400 + 4285 - front_lb, "camper": 13_335}
    )
    readings = [structs.replace(each, platform=structs.replace(each.platform, division_kg=5 * LB)) for each in readings]
    coupled = told(readings, rig)
    pin_lb = value(coupled.coupling_load) / LB
    trailer_lb = load_lb(coupled.states[HITCHED], *CAMPER, "camper.coupling")
    assert pin_lb == pytest.approx(4285, abs=2.5)
    assert trailer_lb == pytest.approx(17_620, abs=2.5)
    assert pin_lb / trailer_lb == pytest.approx(0.243, abs=0.0005)


def test_a_front_axle_that_read_heavier_hitched_is_a_slip_that_the_moment_shows() -> None:
    """durablegratification.blogspot.com, November 2017, "Dirty Data"; steps of 20 lb.

    Printed, lb: the front axle read 520 more hitched; tongue 880; by the author's reckoning the readings were off by
    248 either way (slush on the platform, a zero reset between weighs). Derived: rear 880 - 520 = 360 more. Loads solo
    and the geometry are invented: no ball behind the rear axle loads the front.
    """
    reconciliation, coupled = weighed(
        coupled_rig(),
        session(*read(SOLO, {"front": 2600, "rear": 2900}), *read(HITCHED, {"front": 3120, "rear": 3260})),
    )
    (part,) = reconciliation.parts
    assert part.failed
    assert part.probability < 1e-6
    (tie,) = part.ties
    assert tie.tie.kind is TieKind.MOMENT
    assert tie.suspect
    assert coupled.coupling_load is not None
    assert isinstance(coupled.coupling_load.value, Estimate)
    assert coupled.coupling_load.value.provisional
