"""What must hold of every vehicle's statics: conservation, symmetry, what is stated, and what is said of the rest."""

from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec import structs

from axlewright.core.errors import CoreError
from axlewright.core.estimates import Estimate, UnknownBecause
from axlewright.core.loads.aboard import Move, Spot
from axlewright.core.loads.changes import LoadChange, added, changed_estimates, scaled
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.statics import (
    ROLL_DOUBT,
    SPLIT_DOUBT,
    AssumptionKind,
    Statics,
    vehicle_statics,
)
from axlewright.core.rig import AxleGroup, Place, Side, Stated, Suspension, Vehicle, VehicleKind
from axlewright.core.sessions.layout import layout_of
from tests.yard import INCH, LB, axle, known_loads, motorhome, rig, vehicle

EXACT = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Stood:
    """A vehicle with its statics and the place of each load."""

    vehicle: Vehicle
    statics: Statics
    columns: dict[str, int]

    @classmethod
    def on(cls, subject: Vehicle) -> "Stood":
        columns = layout_of(rig(subject), [frozenset({subject.axles[0].left.name})]).columns
        return cls(subject, vehicle_statics(subject, columns), {n: place for place, n in enumerate(columns.names)})

    def sums(self, loads: np.ndarray) -> tuple[float, float, float]:
        """Return the sum of loads and their moments about the origin and the centre line."""
        whole = float(loads.sum())
        aft = sum(each.aft_m * loads[self.columns[end.name]] for each in self.vehicle.axles for end in each.wheel_ends)
        right = sum(
            (1 if end.side is Side.RIGHT else -1) * each.track_m / 2 * loads[self.columns[end.name]]
            for each in self.vehicle.axles
            for end in each.wheel_ends
        )
        return whole, float(aft), float(right)


@st.composite
def vehicles(draw: st.DrawFn) -> Vehicle:
    """Draw a motor vehicle or trailer of up to six axles, grouped or not."""
    kind = draw(st.sampled_from([VehicleKind.MOTORHOME, VehicleKind.TRAVEL_TRAILER, VehicleKind.FIFTH_WHEEL]))
    is_trailer = kind is not VehicleKind.MOTORHOME
    count = draw(st.integers(1 if is_trailer else 2, 6))
    gaps_in = draw(st.lists(st.floats(32, 160), min_size=count, max_size=count))
    start_in = 60.0 if is_trailer else -gaps_in[0]
    axles = [
        axle(
            f"axle{place}",
            gawr_lb=draw(st.floats(2_000, 20_000)),
            aft_in=start_in + sum(gaps_in[: place + 1]),
            track_in=draw(st.floats(50, 90)),
        )
        for place in range(count)
    ]
    groups: tuple[AxleGroup, ...] = ()
    if count > 2 - is_trailer and count > 1 and draw(st.booleans()):
        names = tuple(each.name for each in axles[-2:])
        share = draw(st.floats(0.2, 0.8))
        split = draw(st.sampled_from([None, (share, 1 - share)]))
        groups = (AxleGroup(names, draw(st.sampled_from(Suspension)), split),)
    return structs.replace(vehicle(*axles, gvwr_lb=40_000, kind=kind), groups=groups)


LENGTHS = st.floats(-3.0, 15.0)


@given(vehicles(), st.floats(-900, 900), LENGTHS, st.floats(-1.3, 1.3))
def test_mass_and_both_moments_are_conserved(subject: Vehicle, mass_kg: float, aft_m: float, right_m: float) -> None:
    stood = Stood.on(subject)
    change = stood.statics.change("mass", mass_kg, aft_m, right_m, EXACT)
    whole, aft, right = stood.sums(change.loads)
    scale = max(abs(mass_kg), 1.0)
    assert whole == pytest.approx(mass_kg, abs=1e-9 * scale)
    assert aft == pytest.approx(mass_kg * aft_m, abs=1e-9 * scale * 15)
    assert right == pytest.approx(mass_kg * right_m, abs=1e-9 * scale * 15)


@given(vehicles(), LENGTHS, st.floats(-1.3, 1.3))
def test_what_was_assumed_moves_loads_about_and_makes_none(subject: Vehicle, aft_m: float, right_m: float) -> None:
    stood = Stood.on(subject)
    for effect in stood.statics.change("mass", 1.0, aft_m, right_m, EXACT).effects.values():
        assert stood.sums(effect) == pytest.approx((0.0, 0.0, 0.0), abs=1e-6)


@given(vehicles(), LENGTHS, LENGTHS)
def test_moving_there_and_back_changes_nothing(subject: Vehicle, from_m: float, to_m: float) -> None:
    assume(from_m != to_m)
    stood = Stood.on(subject)
    here, there = Spot(subject.name, Place("here", from_m, -0.4)), Spot(subject.name, Place("there", to_m, 0.7, 1.0))
    statics = {subject.name: stood.statics}
    both = [Move("crate", 50.0, 3.0, *spots).change(statics) for spots in ((here, there), (there, here))]
    change = added(both, len(stood.columns))
    assert np.abs(change.loads).max() < 1e-9
    assert all(np.abs(effect).max() < 1e-9 for effect in change.effects.values())


def test_two_axles_need_no_assumption_along_and_one_across() -> None:
    stood = Stood.on(motorhome().vehicles[0])
    assert {each.kind for each in stood.statics.assumptions} == {AssumptionKind.ROLL_STIFFNESS}
    # On the centre line nothing is assumed that matters.
    change = stood.statics.change("mass", 100.0, 2.0, 0.0, EXACT)
    assert all(np.abs(effect).max() < 1e-6 for effect in change.effects.values())


def test_the_roll_moment_goes_by_rating_times_track_squared_unless_shares_are_stated() -> None:
    coach = motorhome().vehicles[0]
    # By hand: 7,000 x 78^2 = 42,588,000; 12,000 x 74^2 = 65,712,000; steer share 42,588 / 108,300 = 0.39324.
    stood = Stood.on(coach)
    change = stood.statics.change("mass", 100.0, 0.0, 1.0, EXACT)
    steer = change.loads[stood.columns["steer.right"]] - change.loads[stood.columns["steer.left"]]
    assert steer == pytest.approx(2 * 0.39324 * 100 / (78 * INCH), rel=1e-4)
    stated = structs.replace(coach, roll_shares={"steer": Stated(0.25), "drive": Stated(0.75)})
    stood = Stood.on(stated)
    change = stood.statics.change("mass", 100.0, 0.0, 1.0, EXACT)
    steer = change.loads[stood.columns["steer.right"]] - change.loads[stood.columns["steer.left"]]
    assert steer == pytest.approx(2 * 0.25 * 100 / (78 * INCH), rel=1e-9)
    assert stood.statics.assumptions == ()


def test_a_stated_doubt_of_a_roll_share_comes_out_again() -> None:
    shares = {"steer": Stated(0.4, 0.05), "drive": Stated(0.6, 0.05)}
    stood = Stood.on(structs.replace(motorhome().vehicles[0], roll_shares=shares))
    change = stood.statics.change("mass", 100.0, 0.0, 1.0, EXACT)
    row = np.zeros(len(stood.columns))
    row[stood.columns["steer.right"]], row[stood.columns["steer.left"]] = 0.5, -0.5
    # Load right over left of the steer axle is share x moment / track; its doubt 0.05 of 100 kg m over 78 in.
    assert change.u(row) == pytest.approx(0.05 * 100 / (78 * INCH), rel=1e-6)


def test_the_default_doubt_of_roll_shares_is_that_of_two_independent_stiffnesses() -> None:
    stood = Stood.on(motorhome().vehicles[0])
    change = stood.statics.change("mass", 100.0, 0.0, 1.0, EXACT)
    row = np.zeros(len(stood.columns))
    row[stood.columns["steer.right"]], row[stood.columns["steer.left"]] = 0.5, -0.5
    share = 0.39324
    expected = share * (1 - share) * ROLL_DOUBT * 2**0.5 * 100 / (78 * INCH)
    assert change.u(row) == pytest.approx(expected, rel=1e-3)


def tandem_trailer(suspension: Suspension, split: tuple[float, float] | None = None) -> Vehicle:
    trailer = vehicle(
        axle("first", gawr_lb=3_500, aft_in=180),
        axle("second", gawr_lb=3_500, aft_in=216),
        gvwr_lb=7_000,
        kind=VehicleKind.TRAVEL_TRAILER,
        name="trailer",
    )
    return structs.replace(trailer, groups=(AxleGroup(("first", "second"), suspension, split),))


def test_an_equalised_tandem_shares_evenly_and_an_independent_one_by_the_turn_about_the_coupling() -> None:
    stood = Stood.on(tandem_trailer(Suspension.EQUALISED))
    change = stood.statics.change("mass", 198.0, 198 * INCH, 0.0, EXACT)
    assert change.loads[stood.columns["first.left"]] == pytest.approx(198 / 4)
    assert change.loads[stood.columns["second.left"]] == pytest.approx(198 / 4)
    assert change.loads[stood.columns["coupling"]] == pytest.approx(0.0, abs=1e-9)
    stood = Stood.on(tandem_trailer(Suspension.INDEPENDENT))
    change = stood.statics.change("mass", 198.0, 198 * INCH, 0.0, EXACT)
    # Equal springs that turn about the coupling give way as 180 to 216.
    first, second = change.loads[stood.columns["first.left"]], change.loads[stood.columns["second.left"]]
    assert first / second == pytest.approx(180 / 216)
    assert {each.kind for each in stood.statics.assumptions} >= {AssumptionKind.STIFFNESS}


def test_a_group_keeps_the_split_that_was_measured_else_it_carries_three_per_cent() -> None:
    trailer = tandem_trailer(Suspension.EQUALISED)
    row = {"first.left": 0.5, "first.right": 0.5, "second.left": -0.5, "second.right": -0.5}
    stood = Stood.on(trailer)
    change = stood.statics.change("mass", 100.0, 198 * INCH, 0.0, EXACT)
    weights = np.array([row.get(name, 0.0) for name in stood.columns])
    assert change.u(weights) == pytest.approx(SPLIT_DOUBT * 100, rel=0.01)
    weighed = estimates_from_loads(
        rig(trailer), known_loads({"first.left+first.right": 3_000, "second.left+second.right": 2_000})
    )
    measured = vehicle_statics(trailer, weighed.columns, weighed)
    change = measured.change("mass", 100.0, 198 * INCH, 0.0, EXACT)
    first = change.value(weighed.columns.row({"first.left": 1, "first.right": 1}))
    second = change.value(weighed.columns.row({"second.left": 1, "second.right": 1}))
    assert first / second == pytest.approx(1.5)
    assert change.u(weights) < 1e-6


@pytest.mark.parametrize(
    ("subject", "words"),
    [
        (vehicle(axle("only", gawr_lb=5_000), gvwr_lb=5_000), "two axles"),
        (
            vehicle(axle("only", gawr_lb=5_000, aft_in=0.0), gvwr_lb=5_000, kind=VehicleKind.TRAILER),
            "behind its coupling",
        ),
    ],
)
def test_a_vehicle_that_cannot_stand_is_refused(subject: Vehicle, words: str) -> None:
    with pytest.raises(CoreError, match=words):
        Stood.on(subject)


def test_errors_of_one_name_add_up_before_they_are_squared() -> None:
    one = LoadChange(np.array([1.0, 0.0]), {"roll": np.array([0.3, -0.3])})
    row = np.array([1.0, 0.0])
    assert added([one, one], 2).u(row) == pytest.approx(0.6)
    assert added([one, scaled(one, -1.0)], 2).u(row) == 0.0
    assert added([one, LoadChange(one.loads, {"other": one.effects["roll"]})], 2).u(row) == pytest.approx(0.3 * 2**0.5)


def test_after_a_change_a_load_has_both_doubts_and_what_was_unknown_stays_so() -> None:
    subject = motorhome()
    weighed = estimates_from_loads(
        subject,
        known_loads(
            {"steer.left": 3_000, "steer.right": 3_100, "drive.left+drive.right": 11_000},
            u_of_lb={"steer.left": 30.0, "steer.right": None},
        ),
    )
    size = len(weighed.columns.names)
    change = LoadChange(np.full(size, 10 * LB), {"mass": np.full(size, 40 * LB)})
    after = changed_estimates(weighed, change)
    left = after.known({"steer.left": 1.0})
    assert isinstance(left, Estimate)
    assert (left.value / LB, left.u and left.u / LB) == (pytest.approx(3_010), pytest.approx(50.0))
    right = after.known({"steer.right": 1.0})
    assert isinstance(right, Estimate)
    assert right.u is None
    assert after.known({"drive.left": 1.0}) is UnknownBecause.NOT_SEPARATED
    whole = after.known({"drive.left": 1.0, "drive.right": 1.0})
    assert isinstance(whole, Estimate)
    assert (whole.value / LB, whole.u and whole.u / LB) == (pytest.approx(11_020), pytest.approx(80.0))
