"""Statics of a vehicle against figures and formulas from outside."""

import pytest

from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.statics import Statics, vehicle_statics
from axlewright.core.rig import Vehicle, VehicleKind
from axlewright.core.sessions.layout import layout_of
from tests.yard import INCH, LB, axle, rig, vehicle

EXACT = (0.0, 0.0, 0.0)


def statics_of(subject: Vehicle) -> tuple[Statics, dict[str, int]]:
    """Return the statics of a vehicle and the place of each of its loads."""
    columns = layout_of(rig(subject), [frozenset({subject.axles[0].left.name})]).columns
    return vehicle_statics(subject, columns), {name: place for place, name in enumerate(columns.names)}


def on_axle(change: LoadChange, columns: dict[str, int], name: str) -> float:
    return float(change.loads[columns[f"{name}.left"]] + change.loads[columns[f"{name}.right"]]) / LB


def two_axles(wheelbase_in: float) -> Vehicle:
    return vehicle(axle("front", gawr_lb=6_000.0), axle("rear", gawr_lb=9_000.0, aft_in=wheelbase_in), gvwr_lb=14_000.0)


def test_a_mass_at_the_center_of_gravity_gives_the_axle_loads_it_came_from() -> None:
    # Truck makers' body-builder manuals: distance of the center of gravity behind the front axle a = LR WB / TW. With
    # WB 190 in, front 4,800 lb and rear 7,200 lb, a = 7,200 x 190 / 12,000 = 114.0 in.
    statics, columns = statics_of(two_axles(190.0))
    change = statics.change("body", 12_000 * LB, 114.0 * INCH, 0.0, EXACT)
    assert on_axle(change, columns, "front") == pytest.approx(4_800.0, abs=1e-6)
    assert on_axle(change, columns, "rear") == pytest.approx(7_200.0, abs=1e-6)


def test_cargo_moved_back_shifts_load_by_the_lever_rule() -> None:
    # Sum of moments: 200 lb moved 144 in back over a wheelbase of 190 in shift 200 x 144 / 190 = 151.58 lb.
    statics, columns = statics_of(two_axles(190.0))
    there = statics.change("crate", 200 * LB, 150.0 * INCH, 0.0, EXACT)
    here = statics.change("crate", 200 * LB, 6.0 * INCH, 0.0, EXACT)
    moved = LoadChange(there.loads - here.loads)
    assert on_axle(moved, columns, "rear") == pytest.approx(151.58, abs=0.005)
    assert on_axle(moved, columns, "front") == pytest.approx(-151.58, abs=0.005)


@pytest.mark.parametrize("at_in", [-30.0, 0.0, 100.0, 210.0, 300.0])
def test_a_rigid_body_on_equal_supports_loads_them_as_a_rigid_cap_loads_its_piles(at_in: float) -> None:
    # Pile groups under a rigid cap: Q / n + M x_i / sum(x^2), x from the group's center (foundation handbooks, as
    # NAVFAC DM-7.2; from memory).
    places_in = [0.0, 150.0, 200.0, 250.0]
    coach = vehicle(
        *(axle(f"axle{n}", gawr_lb=8_000.0, aft_in=each) for n, each in enumerate(places_in)), gvwr_lb=30_000.0
    )
    statics, columns = statics_of(coach)
    change = statics.change("load", 1_000 * LB, at_in * INCH, 0.0, EXACT)
    center = sum(places_in) / 4
    squares = sum((each - center) ** 2 for each in places_in)
    for n, each in enumerate(places_in):
        expected = 1_000 * (1 / 4 + (at_in - center) * (each - center) / squares)
        assert on_axle(change, columns, f"axle{n}") == pytest.approx(expected, abs=1e-6)


def test_a_load_on_a_trailer_hangs_on_coupling_and_axle_by_the_lever_rule() -> None:
    # Sum of moments about the coupling: 300 lb at 60 in, the axle at 180 in: 300 x 60 / 180 = 100 lb on the axle.
    trailer = vehicle(
        axle("axle", gawr_lb=3_500.0, aft_in=180.0), gvwr_lb=3_500.0, kind=VehicleKind.TRAVEL_TRAILER, name="trailer"
    )
    statics, columns = statics_of(trailer)
    change = statics.change("toolbox", 300 * LB, 60.0 * INCH, 0.0, EXACT)
    assert on_axle(change, columns, "axle") == pytest.approx(100.0, abs=1e-6)
    assert change.loads[columns["coupling"]] / LB == pytest.approx(200.0, abs=1e-6)


def test_a_load_off_the_centre_line_tips_by_moment_over_track() -> None:
    # One axle takes the whole roll moment: 200 lb at 30 in to the right over a track of 60 in move 200 x 30 / 60, which
    # is 100 lb, from left to right (sum of moments about the left tire).
    trailer = vehicle(
        axle("axle", gawr_lb=3_500.0, aft_in=180.0, track_in=60.0),
        gvwr_lb=3_500.0,
        kind=VehicleKind.TRAILER,
        name="trailer",
    )
    statics, columns = statics_of(trailer)
    change = statics.change("stove", 200 * LB, 180.0 * INCH, 30.0 * INCH, EXACT)
    right, left = (change.loads[columns[f"axle.{side}"]] / LB for side in ("right", "left"))
    assert (right, left) == (pytest.approx(200.0, abs=1e-6), pytest.approx(0.0, abs=1e-6))
