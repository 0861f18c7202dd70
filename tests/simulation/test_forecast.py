"""Predict, change the rig, weigh again: how often the predicted interval holds the truth where the model is exact."""

from math import sqrt

import numpy as np
import pytest
from msgspec import structs
from scipy import stats

from axlewright.core.estimates import Estimate
from axlewright.core.loads.aboard import PLACE_DOUBT_M, LevelChange, Move, Spot
from axlewright.core.loads.changes import changed_estimates
from axlewright.core.loads.forecast import whole_change
from axlewright.core.loads.given import GivenLoad, estimates_from_loads
from axlewright.core.loads.statics import Statics, rig_statics, vehicle_statics
from axlewright.core.rig import Fluid, Place, Rig, Stated, Tank
from tests.yard import LB, plain_motorhome

DRAWS = 6_000
SHARE_U = 0.04
LOAD_U_KG = 12.0
EXACT = (0.0, 0.0, 0.0)
TRUE_LB = {"steer.left": 3_100.0, "steer.right": 3_350.0, "drive.left": 5_900.0, "drive.right": 5_600.0}
SEAT, RACK = Place("seat", 0.4, -0.6), Place("rack", 7.9, 0.3, length_m=0.9, width_m=1.4)
FRESH = Tank("fresh", Fluid.WATER, 0.3, 3.1, 0.8)
COLD_K = 283.15


def coach(steer_share: float, u: float) -> Rig:
    """Return a motorhome whose shares of the roll moment are told with a doubt."""
    subject = plain_motorhome()
    shares = {"steer": Stated(steer_share, u), "drive": Stated(1 - steer_share, u)}
    return structs.replace(subject, vehicles=(structs.replace(subject.vehicles[0], roll_shares=shares),))


def moves() -> list[Move]:
    return [
        Move("driver", 80.0, 3.0, None, Spot("coach", SEAT)),
        Move("bicycles", 60.0, 4.0, Spot("coach", SEAT), Spot("coach", RACK)),
    ]


def true_change(statics: Statics, random: np.random.Generator) -> np.ndarray:
    """Return what really happens: masses, places and water otherwise than told, within what was told of them."""

    def placed(mass_kg: float, place: Place) -> np.ndarray:
        at_m = [
            middle_m + random.normal(0, PLACE_DOUBT_M) + random.uniform(-0.5, 0.5) * extent_m
            for middle_m, extent_m in ((place.aft_m, place.length_m), (place.right_m, place.width_m))
        ]
        return statics.change("true", mass_kg, at_m[0], at_m[1], EXACT).loads

    driver_kg, bicycles_kg = random.normal(80, 3), random.normal(60, 4)
    water = LevelChange("coach", FRESH, Stated(0.4, 0.05), Stated(1.0, 0.02), COLD_K).mass_kg
    filled = placed(random.normal(water.value, water.u), Place("fresh", FRESH.aft_m, FRESH.right_m))
    return placed(driver_kg, SEAT) + placed(bicycles_kg, RACK) - placed(bicycles_kg, SEAT) + filled


@pytest.mark.long
def test_predicted_intervals_hold_the_truth_as_often_as_they_say() -> None:
    random = np.random.default_rng(20_260_514)
    names = [*TRUE_LB]
    truth_kg = np.array([TRUE_LB[name] * LB for name in names])
    told = coach(0.45, SHARE_U)
    base = estimates_from_loads(
        told, [GivenLoad(frozenset({n}), t, LOAD_U_KG) for n, t in zip(names, truth_kg, strict=True)]
    )
    levels = [LevelChange("coach", FRESH, Stated(0.4, 0.05), Stated(1.0, 0.02), COLD_K)]
    change = whole_change(moves(), levels, rig_statics(told, base), len(names))
    rows = {name: {name: 1.0} for name in names}
    rows |= {axle: {f"{axle}.left": 1.0, f"{axle}.right": 1.0} for axle in ("steer", "drive")}
    rows["all"] = dict.fromkeys(names, 1.0)
    predicted = {name: changed_estimates(base, change).known(row) for name, row in rows.items()}
    held = dict.fromkeys(rows, 0)
    for _ in range(DRAWS):
        really = coach(float(np.clip(random.normal(0.45, SHARE_U), 0.01, 0.99)), 0.0).vehicles[0]
        after = truth_kg + true_change(vehicle_statics(really, base.columns), random)
        # The weigh before the change erred: the prediction lies as much beside as the weigh did.
        weigh_error = random.normal(0, LOAD_U_KG, len(names))
        for name, row in rows.items():
            estimate = predicted[name]
            assert isinstance(estimate, Estimate)
            assert estimate.u is not None
            weights = base.columns.row(row)
            miss = float(weights @ after) - (estimate.value + float(weights @ weigh_error))
            held[name] += abs(miss) <= 1.96 * estimate.u
    spread = 3 * sqrt(0.95 * 0.05 / DRAWS)
    print({name: round(count / DRAWS, 4) for name, count in held.items()})
    assert stats.norm.cdf(1.96) - stats.norm.cdf(-1.96) == pytest.approx(0.95, abs=1e-4)
    assert all(0.94 <= count / DRAWS <= 0.96 + spread / 10 for count in held.values()), held
