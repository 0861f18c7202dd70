"""What one tire is rated to carry as fitted, from all that is marked on it."""

from typing import Final

from axlewright.core.rig import Fitment, Tires, VehicleKind
from axlewright.core.tires.family import PASSENGER_DERATE, is_passenger_car_tire
from axlewright.core.tires.load_index import load_kg
from axlewright.core.units import POUND_KG

MARKING_STEP_KG: Final = 5 * POUND_KG
"""Loads are marked in steps of 5 lb, so that a marked load and its index may differ by as much; common practice."""


def rated_load(tires: Tires, kind: VehicleKind) -> tuple[float, str]:
    """Return the load [kg] that one tire may carry as fitted at its maximum pressure, and what that rests on.

    Where the marked load and the load index differ by more than their rounding, the lower governs. A
    passenger-car tire on any vehicle but a passenger car counts as its rating over 1.10
    (49 CFR 571.110 and 571.120, S5.1.2).
    """
    load, basis = tires.max_load_kg, "sidewall"
    index_kg = _index_load_kg(tires)
    if index_kg is not None and index_kg < load - MARKING_STEP_KG:
        load, basis = index_kg, "load_index"
    derated = tires.marking is not None and is_passenger_car_tire(tires.marking.family)
    if derated and kind is not VehicleKind.TOWED_CAR:
        return load / PASSENGER_DERATE, "passenger_derate"
    return load, basis


def _index_load_kg(tires: Tires) -> float | None:
    if tires.marking is None or tires.marking.load_indices is None:
        return None
    single, *dual = tires.marking.load_indices
    if tires.fitment is Fitment.SINGLE:
        return load_kg(single)
    return load_kg(dual[0]) if dual else None
