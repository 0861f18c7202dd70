"""What hitching does, against figures from outside."""

import numpy as np
import pytest
from msgspec import structs

from axlewright.core.estimates import Estimate, LoadEstimates
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.towing import Hitching, Pair, coupled_estimates, hitching, moment_per_kg
from axlewright.core.rig import CouplingKind, Hitch, Rig, VehicleKind
from tests.yard import INCH, LB, axle, known_loads, named, rig, vehicle

WHEELBASE_IN, OVERHANG_IN, TO_AXLE_IN = 140.0, 50.0, 200.0


def truck_and_trailer(tongue_lb: float) -> tuple[Rig, Pair, LoadEstimates]:
    """Return a tow vehicle of 3,400 and 2,600 lb with a trailer of 5,000 lb on its axle and such a tongue weight."""
    truck = vehicle(
        named("truck", axle("front", gawr_lb=3_900)),
        named("truck", axle("rear", gawr_lb=4_800, aft_in=WHEELBASE_IN)),
        gvwr_lb=7_600,
        kind=VehicleKind.TOW_VEHICLE,
        name="truck",
    )
    trailer = vehicle(
        named("trailer", axle("axle", gawr_lb=6_000, aft_in=TO_AXLE_IN)),
        gvwr_lb=6_500,
        kind=VehicleKind.TRAVEL_TRAILER,
        name="trailer",
    )
    trailer = structs.replace(trailer, coupling="trailer.coupling")
    both = rig(truck, trailer)
    loads = {"truck.front": 3_400.0, "truck.rear": 2_600.0, "trailer.axle": 5_000.0}
    sides = {f"{name}.{side}": load / 2 for name, load in loads.items() for side in ("left", "right")}
    estimates = estimates_from_loads(both, known_loads(sides | {"trailer.coupling": tongue_lb}))
    hitch = Hitch((WHEELBASE_IN + OVERHANG_IN) * INCH, 0.5, ())
    return both, Pair(truck, trailer, CouplingKind.BALL, hitch), estimates


def axle_loads_lb(estimates: LoadEstimates) -> dict[str, float]:
    found = {}
    for name in ("truck.front", "truck.rear", "trailer.axle"):
        load = estimates.known({f"{name}.left": 1.0, f"{name}.right": 1.0})
        assert isinstance(load, Estimate)
        found[name] = load.value / LB
    return found


def hitched(tongue_lb: float, restored_share: float) -> tuple[dict[str, float], Hitching, float]:
    """Return the axle loads, what hitching does, and the moment [kg m] for each kg on the coupling."""
    _, pair, estimates = truck_and_trailer(tongue_lb)
    assert pair.hitch is not None
    own = hitching(pair, pair.hitch, estimates)
    moment = moment_per_kg(pair, own, estimates.columns, restored_share)
    assert moment is not None
    return axle_loads_lb(coupled_estimates(pair, own, estimates, moment)), own, moment


def test_a_tongue_behind_the_rear_axle_lightens_the_front_by_the_lever_rule() -> None:
    # Body-builder manuals, load behind the rear axle: front -T e / L, rear T (1 + e / L). T 600 lb, e 50, L 140 in:
    # -214.29 and 814.29 lb.
    loads, _, _ = hitched(600.0, 0.0)
    assert loads["truck.front"] == pytest.approx(3_400 - 214.29, abs=0.005)
    assert loads["truck.rear"] == pytest.approx(2_600 + 814.29, abs=0.005)
    assert loads["trailer.axle"] == pytest.approx(5_000.0)


def test_what_the_scale_shows_more_with_the_trailer_on_is_its_tongue_weight() -> None:
    # The trade's example of a tow vehicle weighed twice, the trailer's axles off the scale: 5,600 lb with it, 5,000 lb
    # without, 600 lb of tongue weight. Here the tow vehicle weighs 6,000 lb alone.
    loads, _, _ = hitched(600.0, 0.0)
    assert loads["truck.front"] + loads["truck.rear"] == pytest.approx(6_600.0)


@pytest.mark.parametrize("restored_share", [0.25, 0.5, 1.0])
def test_the_levelling_moment_solves_the_equilibrium_of_both_vehicles(restored_share: float) -> None:
    """Library: three equations of equilibrium, solved by numpy.

    Unknown: what the front axle, the rear axle and the trailer's axle take more for a moment M, and the coupling less.
    """
    tongue_lb = 600.0
    loads, _, moment_m = hitched(tongue_lb, restored_share)
    moment_lb_in = moment_m / INCH * tongue_lb
    length, overhang, distance = WHEELBASE_IN, OVERHANG_IN, TO_AXLE_IN
    # Unknown: front, rear, trailer axle, coupling force. Truck: forces; moments about the rear axle, the bars turning
    # its nose down. Trailer: forces; moments about the coupling, the bars turning its axles down.
    equations = np.array([[1, 1, 0, -1], [length, 0, 0, overhang], [0, 0, 1, 1], [0, 0, distance, 0]], dtype=float)
    trailer_moment = 5_000 * distance
    right = np.array([6_000, 3_400 * length + moment_lb_in, 5_000 + tongue_lb, trailer_moment + moment_lb_in])
    front, rear, trailer, _ = np.linalg.solve(equations, right)
    assert loads == pytest.approx({"truck.front": front, "truck.rear": rear, "trailer.axle": trailer}, abs=1e-6)
    assert front == pytest.approx(3_400 - (1 - restored_share) * tongue_lb * overhang / length, abs=1e-6)


def test_the_moment_for_a_share_is_that_of_the_closed_formula() -> None:
    # Own derivation, by hand on two axles: M = f T e / (1 + e / D) = 0.5 x 600 x 50 / 1.25 = 12,000 lb in.
    _, _, moment_m = hitched(600.0, 0.5)
    assert moment_m / INCH * 600 == pytest.approx(12_000.0)


def test_weighing_with_bars_understates_the_tongue_by_moment_over_distance() -> None:
    # By hand: 12,000 lb in over 200 in put 60 lb on the trailer's axle; the truck shows 540 lb more than solo, not 600.
    loads, _, _ = hitched(600.0, 0.5)
    assert loads["truck.front"] + loads["truck.rear"] - 6_000 == pytest.approx(540.0)
    assert loads["trailer.axle"] == pytest.approx(5_060.0)
