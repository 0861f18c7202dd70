"""What two weighs and the shift between them tell of a vehicle: recovery, doubt, and what cannot be told."""

from collections.abc import Mapping, Sequence
from math import hypot

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.estimates import LoadEstimates
from axlewright.core.loads.aboard import Move, Spot
from axlewright.core.loads.calibration import Calibration, NotDetermined, calibrate
from axlewright.core.loads.given import GivenLoad, estimates_from_loads
from axlewright.core.loads.statics import AssumptionKind, vehicle_statics
from axlewright.core.rig import AxleGroup, Place, Stated, Suspension, Vehicle, VehicleKind
from axlewright.core.sessions.layout import layout_of
from tests.yard import LB, axle, motorhome, rig, vehicle

BASE_KG = 30_000.0
SIGNIFICANCE = 0.05


def at(subject: Vehicle, aft_m: float, right_m: float) -> Spot:
    return Spot(subject.name, Place(f"{aft_m} {right_m}", aft_m, right_m))


def ballast(subject: Vehicle, mass_kg: float, aft_m: float, right_m: float, u_kg: float = 0.0) -> Move:
    return Move("ballast", mass_kg, u_kg, None, at(subject, aft_m, right_m))


def weighed(subject: Vehicle, moves: Sequence[Move] = (), u_kg: float | None = 0.0) -> LoadEstimates:
    """Return the wheel ends' loads as the vehicle's own statics have them, after the moves."""
    columns = layout_of(rig(subject), [frozenset({subject.axles[0].left.name})]).columns
    statics = {subject.name: vehicle_statics(subject, columns)}
    loads = sum((move.change(statics).loads for move in moves), np.full(len(columns.names), BASE_KG))
    known = [GivenLoad(frozenset({n}), float(loads[columns.of[n][0]]), u_kg) for n in subject.sum_of]
    return estimates_from_loads(rig(subject), known)


def calibrated(subject: Vehicle, *moves: Move, u_kg: float | None = 0.0) -> Calibration:
    """Return what is found from the loads of a vehicle whose parameters are stated, which the fit does not use."""
    return calibrate(subject, weighed(subject, u_kg=u_kg), weighed(subject, moves, u_kg), moves, SIGNIFICANCE)


def shared(subject: Vehicle, *shares: float) -> Vehicle:
    """Return a vehicle with such roll shares."""
    stated = {each.name: Stated(share) for each, share in zip(subject.axles, shares, strict=True)}
    return structs.replace(subject, roll_shares=stated)


def coach() -> Vehicle:
    """Return a two-axle motorhome whose front axle takes 0.42 of the roll moment."""
    return shared(motorhome().vehicles[0], 0.42, 0.58)


def three_axles() -> Vehicle:
    subject = vehicle(
        axle("steer", gawr_lb=14_000),
        axle("drive", gawr_lb=20_000, aft_in=260),
        axle("tag", gawr_lb=10_000, aft_in=310),
        gvwr_lb=44_000,
    )
    return shared(subject, 0.3, 0.5, 0.2)


def trailer(stiffnesses: Mapping[str, float]) -> Vehicle:
    count = len(stiffnesses)
    subject = vehicle(
        *(axle(name, gawr_lb=5_000, aft_in=150 + 60 * n) for n, name in enumerate(stiffnesses)),
        gvwr_lb=20_000,
        kind=VehicleKind.TRAVEL_TRAILER,
        name="trailer",
    )
    stated = {name: Stated(value) for name, value in stiffnesses.items()}
    return structs.replace(shared(subject, *[1 / count] * count), stiffnesses=stated)


def values(told: dict[str, Stated] | NotDetermined) -> dict[str, float]:
    assert isinstance(told, dict), told
    return {name: each.value for name, each in told.items()}


@st.composite
def vehicles(draw: st.DrawFn) -> Vehicle:
    """Draw a motor vehicle or trailer of up to five axles, with roll shares and stiffnesses of its own."""
    is_trailer = draw(st.booleans())
    count = draw(st.integers(1 if is_trailer else 2, 5))
    places_in = np.cumsum([150.0 if is_trailer else 0.0, *(draw(st.floats(34, 160)) for _ in range(count - 1))])
    axles = [
        axle(
            f"axle{n}",
            gawr_lb=draw(st.floats(3_000, 20_000)),
            aft_in=float(place),
            track_in=draw(st.floats(55, 90)),
        )
        for n, place in enumerate(places_in)
    ]
    kind = VehicleKind.TRAVEL_TRAILER if is_trailer else VehicleKind.MOTORHOME
    weights = [draw(st.floats(0.3, 3.0)) for _ in axles]
    subject = shared(vehicle(*axles, gvwr_lb=60_000, kind=kind), *(each / sum(weights) for each in weights))
    ratios = [draw(st.floats(0.3, 3.0)) for _ in axles]
    stiff = {each.name: Stated(each.gawr_kg * ratio) for each, ratio in zip(axles, ratios, strict=True)}
    return structs.replace(subject, stiffnesses=stiff)


@settings(max_examples=60)
@given(vehicles(), st.floats(100, 800), st.floats(1.0, 9.0), st.floats(0.3, 1.2), st.sampled_from([-1.0, 1.0]))
def test_exact_loads_give_back_the_shares_and_ratios_that_they_came_from(
    subject: Vehicle, mass_kg: float, aft_m: float, right_m: float, side: float
) -> None:
    found = calibrated(subject, ballast(subject, mass_kg, aft_m, side * right_m))
    assert found.agreement is not None
    assert found.agreement.statistic == pytest.approx(0.0, abs=1e-6)
    truth = {name: stated.value for name, stated in subject.roll_shares.items()}
    assert values(found.roll_shares) == pytest.approx(truth, abs=1e-6)
    if not subject.is_trailer:
        expected = NotDetermined.NOT_NEEDED if len(subject.axles) == 2 else NotDetermined.NOT_SEPARATED
        assert found.stiffnesses is expected
    elif len(subject.axles) == 1:
        assert found.stiffnesses is NotDetermined.NOT_NEEDED
    else:
        first = next(iter(subject.stiffnesses.values())).value
        ratios = {name: stated.value / first for name, stated in subject.stiffnesses.items()}
        assert values(found.stiffnesses) == pytest.approx(ratios, rel=1e-5)


@given(vehicles(), st.floats(5, 40))
def test_shares_add_up_to_one_whatever_the_errors(subject: Vehicle, u_kg: float) -> None:
    found = calibrated(subject, ballast(subject, 900.0, 4.0, 1.1), u_kg=u_kg)
    assume(isinstance(found.roll_shares, dict))
    assert sum(values(found.roll_shares).values()) == pytest.approx(1.0, abs=1e-12)


def test_the_doubt_of_a_share_is_the_loads_doubt_over_the_moment() -> None:
    # By hand: the share of the front axle is t1 d1 / M with d1 half the difference of its wheel ends' changes; knowing
    # M as well (place and mass all but exact against loads of 8 kg), it is weighed against 1 - t2 d2 / M. The doubt of
    # either is t u sqrt(2) / sqrt(2) / M; of their weighted mean, t1 t2 / hypot(t1, t2) u / M.
    subject = coach()
    u_kg, mass_kg, right_m = 8.0, 600.0, 1.0
    found = calibrated(subject, ballast(subject, mass_kg, 2.0, right_m), u_kg=u_kg)
    tracks = [each.track_m for each in subject.axles]
    expected = tracks[0] * tracks[1] / hypot(*tracks) * u_kg / (mass_kg * right_m)
    assert isinstance(found.roll_shares, dict)
    # The place is told within an inch: 2.54 % of the moment, which adds little.
    assert [each.u for each in found.roll_shares.values()] == pytest.approx([expected] * 2, rel=0.05)


def test_a_doubt_pasted_back_is_the_same_doubt() -> None:
    found = calibrated(coach(), ballast(coach(), 600.0, 2.0, 1.0), u_kg=12.0)
    assert isinstance(found.roll_shares, dict)
    pasted = structs.replace(coach(), roll_shares=found.roll_shares)
    columns = weighed(coach()).columns
    statics = vehicle_statics(pasted, columns)
    # A couple of 1 kg m on the front axle: its wheel ends take share / track each.
    effects = [effect[columns.of["steer.right"][0], 2] for effect in statics.effects.values()]
    assert {each.kind for each in statics.assumptions} == {AssumptionKind.ROLL_STIFFNESS}
    assert hypot(*effects) * pasted.axles[0].track_m == pytest.approx(found.roll_shares["steer"].u, rel=1e-6)


def test_a_ratios_doubt_pasted_back_is_the_same_doubt_for_a_group_too() -> None:
    subject = trailer({"front": 1.0, "middle": 0.8, "rear": 0.8})
    group = AxleGroup(("middle", "rear"), Suspension.EQUALISED, (0.5, 0.5))
    subject = structs.replace(subject, groups=(group,))
    found = calibrated(subject, ballast(subject, 900.0, 5.0, 1.0), u_kg=10.0)
    assert isinstance(found.stiffnesses, dict)
    # By hand: two alike axles of a group, each with sqrt(2) times the doubt of both together.
    one, other = found.stiffnesses["middle"], found.stiffnesses["rear"]
    assert (one.value, one.u) == pytest.approx((other.value, other.u))
    assert one.value == pytest.approx(0.8, rel=1e-6)
    alone = calibrated(structs.replace(subject, groups=()), ballast(subject, 900.0, 5.0, 1.0), u_kg=10.0)
    assert isinstance(alone.stiffnesses, dict)
    assert found.stiffnesses["front"] == Stated(1.0, 0.0)
    assert hypot(one.u, other.u) / 1.6 < alone.stiffnesses["middle"].u / 0.8


def test_more_shift_leaves_less_doubt() -> None:
    us = []
    for mass_kg in (300.0, 600.0):
        found = calibrated(coach(), ballast(coach(), mass_kg, 2.0, 1.0), u_kg=8.0)
        assert isinstance(found.roll_shares, dict)
        us.append(found.roll_shares["steer"].u)
    # The loads' doubt counts against the moment: twice the moment, half of it.
    assert us[0] / us[1] == pytest.approx(2.0, rel=0.02)


def test_a_single_axle_takes_the_whole_moment() -> None:
    found = calibrated(trailer({"axle": 1.0}), ballast(trailer({"axle": 1.0}), 200.0, 4.0, 1.0))
    assert found.roll_shares == {"axle": Stated(1.0, 0.0)}
    assert found.stiffnesses is NotDetermined.NOT_NEEDED
    assert found.agreement is not None
    assert found.agreement.degrees_of_freedom == 2


def test_a_mass_that_crosses_the_vehicle_counts_once_with_both_places() -> None:
    subject = coach()
    move = Move("crates", 400.0, 20.0, at(subject, 2.0, -1.0), at(subject, 2.0, 1.0))
    found = calibrated(subject, move)
    assert values(found.roll_shares) == pytest.approx({"steer": 0.42, "drive": 0.58}, abs=1e-6)


def test_what_other_vehicles_take_is_left_out() -> None:
    subject = coach()
    own = ballast(subject, 400.0, 2.0, 1.0)
    elsewhere = Spot("car", Place("boot", 1.0, 0.0))
    moves = [structs.replace(own, comes_from=elsewhere), Move("dog", 30.0, 0.0, None, elsewhere)]
    found = calibrate(subject, weighed(subject), weighed(subject, [own]), moves, SIGNIFICANCE)
    assert values(found.roll_shares) == pytest.approx({"steer": 0.42, "drive": 0.58}, abs=1e-6)


def test_three_supports_of_a_motor_vehicle_leave_stiffness_open_and_tell_the_roll() -> None:
    found = calibrated(three_axles(), ballast(three_axles(), 800.0, 3.0, 1.1), u_kg=5.0)
    assert found.stiffnesses is NotDetermined.NOT_SEPARATED
    assert values(found.roll_shares) == pytest.approx({"steer": 0.3, "drive": 0.5, "tag": 0.2}, abs=1e-6)
    # By hand: 6 wheel ends less 2 shares and the one equation that stiffness takes.
    assert found.agreement is not None
    assert found.agreement.degrees_of_freedom == 3


UNTOLD = {
    NotDetermined.NO_ROLL_MOMENT: ((500.0, 2.0, 0.0), 5.0),
    NotDetermined.TOO_DOUBTFUL: ((60.0, 2.0, 0.5), 15.0),
    NotDetermined.DOUBT_UNSTATED: ((500.0, 2.0, 1.0), None),
}


@pytest.mark.parametrize("reason", UNTOLD)
def test_what_the_weighs_do_not_show_is_not_told(reason: NotDetermined) -> None:
    shift, u_kg = UNTOLD[reason]
    assert calibrated(coach(), ballast(coach(), *shift), u_kg=u_kg).roll_shares is reason


def test_without_a_shift_on_the_vehicle_nothing_is_told() -> None:
    assert calibrated(coach()).roll_shares is NotDetermined.NO_SHIFT


def test_a_weigh_of_whole_axles_tells_nothing() -> None:
    subject = coach()
    axles = [GivenLoad(frozenset(each.sum_of), 3_000.0, 5.0) for each in subject.axles]
    before = estimates_from_loads(rig(subject), axles)
    move = ballast(subject, 500.0, 2.0, 1.0)
    for pair in ((before, weighed(subject)), (weighed(subject), before)):
        assert calibrate(subject, *pair, [move], SIGNIFICANCE) == Calibration(
            NotDetermined.WHEEL_ENDS_UNKNOWN, NotDetermined.NOT_NEEDED
        )


def test_a_shift_that_the_loads_contradict_tells_nothing() -> None:
    subject = coach()
    real, told = ballast(subject, 500.0, 2.0, 1.0), ballast(subject, 250.0, 2.0, 1.0, u_kg=5.0)
    found = calibrate(subject, weighed(subject, u_kg=4.0), weighed(subject, [real], 4.0), [told], SIGNIFICANCE)
    assert found.roll_shares is NotDetermined.DISAGREES
    assert found.agreement is not None
    assert found.agreement.probability < 1e-6


def test_an_axle_that_takes_less_than_nothing_is_not_told() -> None:
    subject = shared(coach(), -0.2, 1.2)
    found = calibrated(subject, ballast(subject, 500.0, 2.0, 1.0), u_kg=3.0)
    assert found.roll_shares is NotDetermined.BEYOND_RANGE


def test_a_slack_axle_has_no_ratio_that_loads_with_doubt_could_show() -> None:
    subject = trailer({"front": 1.0, "rear": 1e-6})
    assert calibrated(subject, ballast(subject, 500.0, 5.0, 1.0), u_kg=10.0).stiffnesses is NotDetermined.TOO_DOUBTFUL


def test_pounds_of_ballast_are_no_different() -> None:
    found = calibrated(coach(), ballast(coach(), 1_000 * LB, 1.0, -1.0))
    assert values(found.roll_shares) == pytest.approx({"steer": 0.42, "drive": 0.58}, abs=1e-6)
