"""What a triple weigh tells of the coupling, what it does not, and what ties its states; figures by hand."""

from collections.abc import Iterable
from math import hypot, sqrt

import pytest
from msgspec import structs

from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.rig import Coupling, CouplingKind, CouplingState, Rig, VehicleKind
from axlewright.core.sessions.coupling import Found, StatePass
from axlewright.core.sessions.passes import Reading
from axlewright.core.sessions.reconcile import PartCheck, Reconciliation
from tests.coupled_yard import (
    CAMPER,
    FRONT,
    HITCHED,
    LEVELLED,
    REAR,
    SOLO,
    STRONG,
    TRUE_LB,
    WHEELS,
    coupled_rig,
    read,
    told,
    true_readings,
    weighed,
)
from tests.yard import INCH, LB, axle, named, reading, session, vehicle

LB_IN = LB * INCH  # kg m


def value(found: Found | None) -> float:
    """Return the value of a quantity that must be known."""
    assert found is not None
    assert isinstance(found.value, Estimate), found
    assert found.settled_by is None
    return found.value.value


def u_of(found: Found | None) -> float:
    assert found is not None
    assert isinstance(found.value, Estimate), found
    assert found.value.u is not None
    return found.value.u


def load(estimates: LoadEstimates, wheels: Iterable[str]) -> Estimate:
    estimate = estimates.known(dict.fromkeys(wheels, 1.0))
    assert isinstance(estimate, Estimate), estimate
    return estimate


def part_of(reconciliation: Reconciliation) -> PartCheck:
    """Return the one part that a session with ties makes."""
    (part,) = [part for part in reconciliation.parts if part.ties]
    return part


def unknown_with(settled_by: StatePass | None) -> Found:
    return Found(UnknownBecause.NOT_TOLD, settled_by)


# What the three passes tell.


def test_the_triple_weigh_tells_tongue_weight_bars_moment_and_what_the_front_axle_gets_back() -> None:
    """Hand: the figures of `tests.coupled_yard`."""
    coupled = told(true_readings())
    assert value(coupled.coupling_load) == pytest.approx(800 * LB, rel=1e-9)
    assert value(coupled.to_trailer) == pytest.approx(160 * LB, rel=1e-8)
    assert value(coupled.bars_moment) == pytest.approx(32_000 * LB_IN, rel=1e-8)
    assert value(coupled.restored_share) == pytest.approx(0.7, rel=1e-8)
    assert coupled.travelled is LEVELLED


@pytest.mark.parametrize(
    ("state", "on_coupling_lb", "camper_lb"), [(SOLO, 800, 6600), (HITCHED, 800, 6600), (LEVELLED, 640, 6600)]
)
def test_each_state_holds_its_axles_and_what_the_coupling_carries_in_it(
    state: CouplingState, on_coupling_lb: float, camper_lb: float
) -> None:
    """Hand: with bars the ball carries 800 - 160 = 640 lb; the camper weighs 5,800 + 800 in all states."""
    states = told(true_readings()).states[state]
    for what, expected_lb in TRUE_LB[state].items():
        assert load(states, WHEELS[what]).value == pytest.approx(expected_lb * LB, rel=1e-8)
    assert load(states, ["camper.coupling"]).value == pytest.approx(on_coupling_lb * LB, rel=1e-8)
    assert load(states, [*CAMPER, "camper.coupling"]).value == pytest.approx(camper_lb * LB, rel=1e-8)


def test_the_doubt_of_a_tongue_weight_is_that_of_two_readings() -> None:
    """Hand, lb, class III L of 20 lb: each reading 20^2/12 + 10^2 = 133.333 of its own and a tolerance of 20.

    Common to both are the span, 0.002 x 6,600 = 13.2 and 0.002 x 7,400 = 14.8, and the rest, sqrt(400 - 13.2^2) =
    15.0253 and sqrt(400 - 14.8^2) = 13.4521: 266.667 + (1.6^2 + 1.5732^2)/3 = 268.345.
    """
    coupled = told(read(SOLO, {"van": 6600}) + read(HITCHED, {"van": 7400}))
    assert value(coupled.coupling_load) == pytest.approx(800 * LB, rel=1e-9)
    assert u_of(coupled.coupling_load) == pytest.approx(sqrt(268.3450) * LB, rel=1e-6)


def test_the_doubt_of_the_bars_moment_is_that_of_two_readings_and_of_the_length() -> None:
    """Hand, lb: 5,800 and 5,960 on one platform: own 266.667; spans 11.6 and 11.92, rests 16.29233 and 16.05969.

    266.667 + (0.32^2 + 0.23264^2)/3 = 266.7188, u 16.3315 lb. On 200 in: 3,266.3 lb in; the length, 1 in, of 160 lb:
    160 lb in.
    """
    coupled = told(read(HITCHED, {"camper": 5800}) + read(LEVELLED, {"camper": 5960}))
    assert u_of(coupled.to_trailer) == pytest.approx(sqrt(266.7188) * LB, rel=1e-6)
    assert value(coupled.bars_moment) == pytest.approx(32_000 * LB_IN, rel=1e-9)
    assert u_of(coupled.bars_moment) == pytest.approx(hypot(200 * sqrt(266.7188), 160) * LB_IN, rel=1e-6)


def test_the_doubt_of_the_restored_share_is_that_of_three_readings() -> None:
    """Hand, lb2, the front axle alone on one platform, share (l - h)/(s - h): slopes 1, -0.3, -0.7 over 400.

    Own 133.333 x (1 + 0.09 + 0.49) = 210.667. Spans cancel: 3,280 - 0.3 x 3,000 - 0.7 x 3,400 = 0; so do the rests,
    18.8936 - 0.3 x 19.0788 - 0.7 x 18.8085 = 0.004. u = sqrt(210.667)/400 = 0.03629.
    """
    coupled = told([each for state in CouplingState for each in read(state, {"front": TRUE_LB[state]["front"]})])
    assert value(coupled.restored_share) == pytest.approx(0.7, rel=1e-9)
    assert u_of(coupled.restored_share) == pytest.approx(sqrt(210.6667) / 400, rel=1e-5)


def test_the_bars_moment_is_told_by_the_vehicle_that_tells_it_surest() -> None:
    """Hand, 400 in to the camper's axle: +80 lb there, ball 720 lb; front -720/2 + 200 = -160, rear 1,080 - 200 = +880.

    The camper alone has two readings on 400 in; the van alone two on 240 in and two on 80 in, which is surer.
    """
    rig = coupled_rig(camper_in=400)
    van = read(HITCHED, {"front": 3000, "rear": 4400}) + read(LEVELLED, {"front": 3240, "rear": 4080})
    camper = read(HITCHED, {"camper": 5800}) + read(LEVELLED, {"camper": 5880})
    both, by_van, by_camper = (told(readings, rig).bars_moment for readings in (van + camper, van, camper))
    assert [value(each) for each in (both, by_van, by_camper)] == pytest.approx([32_000 * LB_IN] * 3, rel=1e-6)
    assert u_of(both) <= u_of(by_van) * (1 + 1e-9) < u_of(by_camper)


# What is missing.


def test_without_the_hitched_pass_the_tongue_weight_is_not_what_the_bars_leave_of_it() -> None:
    """Hand: the tow vehicle gains 640 lb with bars, which is T - M/D and no tongue weight; M from its axles:
    -120 x 240 + 760 x 80 = 32,000 lb in.
    """
    absent = frozenset((HITCHED, what) for what in TRUE_LB[HITCHED])
    coupled = told(true_readings(without=absent))
    assert coupled.coupling_load == unknown_with(StatePass("van", HITCHED))
    assert coupled.to_trailer == unknown_with(StatePass("camper", HITCHED))
    assert coupled.restored_share == unknown_with(StatePass("van", HITCHED, "van.front"))
    assert value(coupled.bars_moment) == pytest.approx(32_000 * LB_IN, rel=1e-9)
    assert load(coupled.states[LEVELLED], ["camper.coupling"]).value == pytest.approx(640 * LB, rel=1e-9)
    assert coupled.states[SOLO].known({"camper.coupling": 1.0}) is UnknownBecause.NOT_WEIGHED


def test_without_the_solo_pass_only_the_bars_are_known() -> None:
    coupled = told(true_readings(without=frozenset({(SOLO, "front"), (SOLO, "rear")})))
    assert coupled.coupling_load == unknown_with(StatePass("van", SOLO))
    assert coupled.restored_share == unknown_with(StatePass("van", SOLO, "van.front"))
    assert value(coupled.to_trailer) == pytest.approx(160 * LB, rel=1e-7)
    assert value(coupled.bars_moment) == pytest.approx(32_000 * LB_IN, rel=1e-7)


def test_without_a_pass_with_bars_nothing_is_said_of_them() -> None:
    coupled = told(true_readings(without=frozenset((LEVELLED, what) for what in TRUE_LB[LEVELLED])))
    assert value(coupled.coupling_load) == pytest.approx(800 * LB, rel=1e-9)
    assert (coupled.to_trailer, coupled.bars_moment, coupled.restored_share) == (None, None, None)
    assert coupled.travelled is HITCHED


def test_with_bars_alone_only_the_trailers_own_bars_are_one_pass_away() -> None:
    """Tongue weight and restored share need both other states: no single pass tells them."""
    coupled = told(read(LEVELLED, TRUE_LB[LEVELLED]))
    assert coupled.coupling_load == unknown_with(None)
    assert coupled.restored_share == unknown_with(None)
    assert coupled.to_trailer == unknown_with(StatePass("camper", HITCHED))
    assert coupled.bars_moment == unknown_with(StatePass("camper", HITCHED))


def test_a_front_axle_that_was_never_on_the_scale_hitched_or_levelled_is_not_one_pass_away() -> None:
    """Its share needs the axle hitched and with bars: two passes, so none settles it."""
    coupled = told(read(SOLO, {"front": 3400, "rear": 3200}) + read(LEVELLED, {"camper": 5960}))
    assert coupled.restored_share == unknown_with(None)


def test_the_front_axle_with_bars_is_one_pass_away() -> None:
    absent = frozenset({(LEVELLED, "front"), (LEVELLED, "rear"), (LEVELLED, "van")})
    coupled = told(true_readings(without=absent))
    assert value(coupled.coupling_load) == pytest.approx(800 * LB, rel=1e-9)
    assert coupled.restored_share == unknown_with(StatePass("van", LEVELLED, "van.front"))
    # Hand: the ball keeps 800 lb less the 160 lb that the bars put on the camper's axle.
    assert load(coupled.states[LEVELLED], ["camper.coupling"]).value == pytest.approx(640 * LB, rel=1e-7)


def test_the_tongue_weight_is_what_the_whole_rig_gains_with_bars() -> None:
    """Hand: the van gains 640 lb, the camper's axle 160 lb over hitched: 800 lb; nobody read the van hitched."""
    coupled = told(true_readings(without=frozenset({(HITCHED, "front"), (HITCHED, "rear")})))
    assert value(coupled.coupling_load) == pytest.approx(800 * LB, rel=1e-7)
    assert coupled.restored_share == unknown_with(StatePass("van", HITCHED, "van.front"))


def test_a_trailer_by_itself_stands_as_it_does_hitched_without_bars() -> None:
    """The same figures from a camper weighed solo, level, its jack beside the scale."""
    alone = read(SOLO, {"front": 3400, "rear": 3200, "camper": 5800}) + read(LEVELLED, TRUE_LB[LEVELLED])
    coupled = told(alone)
    assert value(coupled.coupling_load) == pytest.approx(800 * LB, rel=1e-7)
    assert value(coupled.to_trailer) == pytest.approx(160 * LB, rel=1e-7)


def test_moments_check_and_tell_no_load_of_a_front_axle_that_was_only_weighed_with_the_rear() -> None:
    """A ball told at the wrong place would tell a wrong share: the axle was read alone in no state, so none is told."""
    coupled = told(
        read(SOLO, {"van": 6600})
        + read(HITCHED, {"van": 7400, "camper": 5800})
        + read(LEVELLED, {"van": 7240, "camper": 5960})
    )
    assert value(coupled.coupling_load) == pytest.approx(800 * LB, rel=1e-6)
    assert value(coupled.bars_moment) == pytest.approx(32_000 * LB_IN, rel=1e-6)
    # Each of the three states lacks the axle: no single pass settles it.
    assert coupled.restored_share == unknown_with(None)
    front = {"van.front.left": 1.0, "van.front.right": 1.0}
    assert coupled.states[SOLO].known(front) is UnknownBecause.NOT_SEPARATED


def test_the_share_of_a_front_axle_that_hitching_takes_nothing_off_is_within_doubt() -> None:
    """Hand: a ball over the rear axle loses the front axle nothing; 0 is within 3 u."""
    rig = coupled_rig(hitch_in=160)
    coupled = told(
        read(SOLO, {"front": 3400, "rear": 3200})
        + read(HITCHED, {"front": 3400, "rear": 4000, "camper": 5800})
        + read(LEVELLED, {"front": 3600, "rear": 3640, "camper": 5960}),
        rig,
    )
    assert coupled.restored_share == Found(UnknownBecause.WITHIN_DOUBT)


def test_bars_that_give_back_more_than_was_lost_have_a_share_above_one() -> None:
    """Hand: M 96,000 lb in: trailer +480, ball 320; front -320/2 + 600 = +440, rear 480 - 600 = -120; share 840/400."""
    coupled = told(
        read(SOLO, {"front": 3400, "rear": 3200})
        + read(HITCHED, TRUE_LB[HITCHED])
        + read(LEVELLED, {"front": 3840, "rear": 3080, "camper": 6280})
    )
    assert value(coupled.restored_share) == pytest.approx(2.1, rel=1e-7)
    assert value(coupled.bars_moment) == pytest.approx(96_000 * LB_IN, rel=1e-7)


# Other couplings.


def with_towed_car(kind: CouplingKind) -> Rig:
    """Return a coach that tows a small car."""
    coach = vehicle(
        named("van", axle("front", gawr_lb=7000)),
        named("van", axle("rear", gawr_lb=12_000, aft_in=200)),
        gvwr_lb=18_000,
        name="van",
    )
    car = vehicle(
        named("camper", axle("front", gawr_lb=2500, fitted=STRONG)),
        named("camper", axle("rear", gawr_lb=2500, fitted=STRONG, aft_in=100)),
        gvwr_lb=4_000,
        kind=VehicleKind.TOWED_CAR,
        name="camper",
    )
    return Rig("invented", (coach, car), (Coupling("van", "camper", kind),))


CAR_FRONT, CAR_REAR = (("camper.front.left", "camper.front.right"), ("camper.rear.left", "camper.rear.right"))


def car_reading(state: CouplingState, platform: str, value_lb: float, wheels: tuple[str, ...]) -> Reading:
    return structs.replace(reading(str(state), platform, value_lb, *wheels), state=state)


def test_on_a_tow_bar_hitched_and_solo_are_readings_of_one_load() -> None:
    """Hand: as two solo readings of 6,000 and 6,020 lb on one platform: mean 6,010, u^2 = 400/3 + 133.333/2 lb^2.

    The tolerance, 20 lb, is all common (span and rest of the same loads on the same platform).
    """
    rig = with_towed_car(CouplingKind.TOWBAR)
    reconciliation, coupled = weighed(
        rig, session(car_reading(SOLO, "A", 6000, FRONT), car_reading(HITCHED, "A", 6020, FRONT))
    )
    (part,) = reconciliation.parts
    assert (part.degrees_of_freedom, part.ties) == (1, ())
    assert coupled.pair is None
    assert coupled.coupling_load is None
    for state in (SOLO, HITCHED):
        front = load(coupled.states[state], FRONT)
        assert front.value == pytest.approx(6010 * LB, rel=1e-6)
        assert front.u == pytest.approx(sqrt(400 / 3 + 133.3333 / 2) * LB, rel=1e-4)


def test_a_fifth_wheels_pin_weight_is_told_by_two_weighs() -> None:
    """Hand: 1,600 lb 10 in ahead of the rear axle, wheelbase 160: front +100 lb, rear +1,500 lb."""
    rig = coupled_rig(CouplingKind.FIFTH_WHEEL, hitch_in=150)
    reconciliation, coupled = weighed(
        rig,
        session(
            *read(SOLO, {"front": 3400, "rear": 3200}), *read(HITCHED, {"front": 3500, "rear": 4700, "camper": 6400})
        ),
    )
    assert value(coupled.coupling_load) == pytest.approx(1600 * LB, rel=1e-8)
    assert load(coupled.states[HITCHED], [*CAMPER, "camper.coupling"]).value == pytest.approx(8000 * LB, rel=1e-8)
    part = part_of(reconciliation)
    assert not part.failed
    assert part.degrees_of_freedom == 1
    assert coupled.bars_moment is None


def test_with_a_dolly_each_state_has_its_loads_and_no_load_of_the_coupling() -> None:
    """The car's front wheels ride on the dolly: hitched they were on no platform."""
    rig = with_towed_car(CouplingKind.DOLLY)
    coupled = weighed(
        rig,
        session(
            car_reading(SOLO, "A", 6000, FRONT),
            car_reading(SOLO, "B", 10_000, REAR),
            car_reading(SOLO, "C", 1800, CAR_FRONT),
            car_reading(SOLO, "D", 1200, CAR_REAR),
            car_reading(HITCHED, "A", 5900, FRONT),
            car_reading(HITCHED, "B", 10_400, REAR),
            car_reading(HITCHED, "D", 1240, CAR_REAR),
        ),
    )[1]
    assert coupled.coupling_load is None
    assert coupled.pair is None
    assert coupled.travelled is HITCHED
    solo, hitched = coupled.states[SOLO], coupled.states[HITCHED]
    told_lb = {
        (name, wheels[0]): load(states, wheels).value / LB
        for name, states in (("solo", solo), ("hitched", hitched))
        for wheels in (FRONT, REAR, CAR_REAR)
    }
    assert told_lb == pytest.approx(
        {
            ("solo", FRONT[0]): 6000,
            ("solo", REAR[0]): 10_000,
            ("solo", CAR_REAR[0]): 1200,
            ("hitched", FRONT[0]): 5900,
            ("hitched", REAR[0]): 10_400,
            ("hitched", CAR_REAR[0]): 1240,
        }
    )
    assert load(solo, CAR_FRONT).value == pytest.approx(1800 * LB)
    assert hitched.known(dict.fromkeys(CAR_FRONT, 1.0)) is UnknownBecause.NOT_WEIGHED
