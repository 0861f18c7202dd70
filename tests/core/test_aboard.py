"""Which errors of what comes aboard, flows or moves are one, and which are each its own."""

from math import hypot, sqrt

import numpy as np
import pytest
from msgspec import structs

from axlewright.core.loads.aboard import LevelChange
from axlewright.core.loads.forecast import whole_change
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.statics import rig_statics
from axlewright.core.loads.varying import VaryingTank, trip_envelope
from axlewright.core.rig import Fluid, Stated, Tank
from tests.yard import INCH, known_loads, motorhome

LOADS_LB = {"steer.left": 2_500.0, "steer.right": 2_600.0, "drive.left": 4_300.0, "drive.right": 4_500.0}
RIG = motorhome()
STATICS = rig_statics(RIG, estimates_from_loads(RIG, known_loads(LOADS_LB)))
ALL = np.ones(4)
FULL, EMPTY = Stated(1.0), Stated(0.0)
COLD_K = 288.15
DENSITY_KG = (87.6 - 82.0) / sqrt(12)
"""0.1 m3 of diesel from EN 590's 820 kg/m3 (from memory) to 876, rectangular."""
CAPACITY_KG = 0.02 * 84.8
"""2 % of it, judgement."""


def diesel(name: str, aft_in: float = 100.0) -> Tank:
    return Tank(name, Fluid.DIESEL, 0.1, aft_in * INCH, 0.0)


def doubt_kg(*levels: LevelChange) -> float:
    """Return the doubt of all that flows in."""
    return whole_change([], levels, STATICS, 4).u(ALL)


def change(name: str, weighed: Stated, level: Stated) -> LevelChange:
    return LevelChange("coach", diesel(name), weighed, level, COLD_K)


def test_two_tanks_of_one_fluid_have_one_error_of_its_density() -> None:
    """Hand: 1.617 kg each by density, twice of one sign; 1.696 kg each by their capacities, independent."""
    one, two = change("one", EMPTY, FULL), change("two", EMPTY, FULL)
    assert doubt_kg(one) == pytest.approx(hypot(DENSITY_KG, CAPACITY_KG)) == pytest.approx(one.mass_kg.u)
    assert doubt_kg(one, two) == pytest.approx(hypot(2 * DENSITY_KG, CAPACITY_KG, CAPACITY_KG))


def test_what_one_tank_loses_and_another_takes_has_no_doubt_of_density() -> None:
    assert doubt_kg(change("one", FULL, EMPTY), change("two", EMPTY, FULL)) == pytest.approx(sqrt(2) * CAPACITY_KG)


def test_the_doubts_of_levels_are_each_tanks_own() -> None:
    """Hand: 0.05 and 0.02 of 84.8 kg are 4.24 and 1.696 kg, and as much for the other tank; nothing flows."""
    told = [change(name, Stated(0.5, 0.05), Stated(0.5, 0.02)) for name in ("one", "two")]
    assert doubt_kg(*told) == pytest.approx(sqrt(2) * hypot(4.24, 1.696))
    other = structs.replace(told[1], tank=structs.replace(told[1].tank, fluid=Fluid.WATER))
    assert other.mass_kg.u == pytest.approx(hypot(0.05, 0.02) * 99.91, rel=1e-4)


def test_tanks_of_a_trip_have_one_error_of_density_too() -> None:
    """Hand: both fill, 2 x 1.617 kg; where one starts full and one empty the most is one of them, either way."""
    for weighed, factor in (((0.0, 0.0), 2.0), ((1.0, 0.0), 1.0)):
        tanks = [
            VaryingTank("coach", diesel(name), Stated(level), 0.0, 1.0, level, COLD_K)
            for name, level in zip(("one", "two"), weighed, strict=True)
        ]
        envelope = trip_envelope(tanks, [], [], STATICS, 4)
        assert envelope.largest_u(ALL) == pytest.approx(hypot(factor * DENSITY_KG, CAPACITY_KG, CAPACITY_KG))
    assert envelope.u(ALL, np.array([0.0, 1.0])) == pytest.approx(sqrt(2) * CAPACITY_KG)
