"""Weigh, shift, weigh again: how often the interval of a fitted share or ratio holds the truth."""

from math import sqrt

import numpy as np
import pytest
from msgspec import structs

from axlewright.core.loads.aboard import PLACE_DOUBT_M, Move, Spot
from axlewright.core.loads.calibration import calibrate
from axlewright.core.loads.given import GivenLoad, estimates_from_loads
from axlewright.core.loads.statics import vehicle_statics
from axlewright.core.rig import Place, Stated, Vehicle, VehicleKind
from axlewright.core.sessions.layout import layout_of
from tests.yard import axle, motorhome, rig, vehicle

DRAWS = 6_000
LOAD_U_KG = 8.0
MASS_U_KG = 10.0
K = 1.96
EXACT = (0.0, 0.0, 0.0)
NO_TEST = 0.0
"""Significance at which none is withheld: an interval is judged over all weighs."""


def stated(subject: Vehicle, shares: tuple[float, ...], ratios: tuple[float, ...]) -> Vehicle:
    """Return a vehicle with such true roll shares and stiffnesses."""
    names = [each.name for each in subject.axles]
    return structs.replace(
        subject,
        roll_shares=dict(zip(names, map(Stated, shares), strict=True)),
        stiffnesses=dict(zip(names, map(Stated, ratios), strict=True)),
    )


COACH = stated(motorhome().vehicles[0], (0.35, 0.65), (1.0, 1.9))
TRIPLE = stated(
    vehicle(
        axle("steer", gawr_lb=14_000),
        axle("drive", gawr_lb=20_000, aft_in=260),
        axle("tag", gawr_lb=10_000, aft_in=310),
        gvwr_lb=44_000,
    ),
    (0.25, 0.5, 0.25),
    (1.0, 2.0, 0.7),
)
TRAILER = stated(
    vehicle(
        axle("front", gawr_lb=7_000, aft_in=180, track_in=70),
        axle("rear", gawr_lb=7_000, aft_in=216, track_in=70),
        gvwr_lb=14_000,
        kind=VehicleKind.TRAVEL_TRAILER,
        name="trailer",
    ),
    (0.45, 0.55),
    (1.0, 1.2),
)


@pytest.mark.long
@pytest.mark.parametrize("subject", [COACH, TRIPLE, TRAILER], ids=["two axles", "three axles", "trailer"])
def test_fitted_intervals_hold_the_truth_as_often_as_they_say(subject: Vehicle) -> None:
    random = np.random.default_rng(20_260_601)
    columns = layout_of(rig(subject), [frozenset({subject.axles[0].left.name})]).columns
    statics = vehicle_statics(subject, columns)
    aft_m = subject.axles[-1].aft_m
    spots = [Spot(subject.name, Place(name, aft_m, right_m)) for name, right_m in (("left", -0.9), ("right", 0.9))]
    moves = [Move("crates", 600.0, MASS_U_KG, *spots), Move("drums", 700.0, MASS_U_KG, None, spots[1])]
    ends = list(subject.sum_of)
    rows = [columns.of[name][0] for name in ends]

    def errors_m() -> tuple[float, float]:
        return random.normal(0, PLACE_DOUBT_M), random.normal(0, PLACE_DOUBT_M)

    def weighed(truth_kg: np.ndarray) -> list[GivenLoad]:
        return [
            GivenLoad(frozenset({name}), float(load_kg + random.normal(0, LOAD_U_KG)), LOAD_U_KG)
            for name, load_kg in zip(ends, truth_kg, strict=True)
        ]

    held: dict[str, int] = {}
    agreed = 0
    for _ in range(DRAWS):
        truth_kg = np.full(len(ends), 2_500.0)
        after_kg = truth_kg.copy()
        for move in moves:
            mass_kg = random.normal(move.mass_kg, MASS_U_KG)
            for spot, sign in ((move.comes_from, -1), (move.goes_to, 1)):
                if spot is not None:
                    aft_error_m, right_error_m = errors_m()
                    at_m = (spot.place.aft_m + aft_error_m, spot.place.right_m + right_error_m)
                    after_kg += statics.change("true", sign * mass_kg, *at_m, EXACT).loads[rows]
        before, after = (estimates_from_loads(rig(subject), weighed(each)) for each in (truth_kg, after_kg))
        found = calibrate(subject, before, after, moves, NO_TEST)
        assert found.agreement is not None
        agreed += found.agreement.probability >= 0.05
        told = [("share", found.roll_shares, subject.roll_shares)]
        if subject is TRAILER:
            told.append(("ratio", found.stiffnesses, subject.stiffnesses))
        for kind, fitted, truth in told:
            assert isinstance(fitted, dict), fitted
            for name, each in fitted.items():
                if each.u:
                    held.setdefault(f"{kind} {name}", 0)
                    held[f"{kind} {name}"] += abs(each.value - truth[name].value) <= K * each.u
    print({name: round(count / DRAWS, 4) for name, count in held.items()}, agreed / DRAWS)
    assert all(0.94 <= count / DRAWS <= 0.96 for count in held.values()), held
    # The test refuses as many good weighs as it says.
    assert agreed / DRAWS == pytest.approx(0.95, abs=3 * sqrt(0.95 * 0.05 / DRAWS))
