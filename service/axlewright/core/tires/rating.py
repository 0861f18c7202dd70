"""What one tire is rated to carry as fitted, from all that is marked on it."""

from typing import Final

from axlewright.core.rig import Fitment, Tires, VehicleKind
from axlewright.core.tires.family import PASSENGER_DERATE, is_passenger_car_tire
from axlewright.core.tires.load_index import load_kg
from axlewright.core.tires.marking import Marking
from axlewright.core.units import POUND_KG

MARKING_STEP_KG: Final = 5 * POUND_KG
"""Loads are marked in steps of 5 lb, so that a marked load and its index may differ by as much; common practice."""


def rated_load(tires: Tires, kind: VehicleKind) -> tuple[float, str]:
    """Return the load [kg] that one tire may carry as fitted at its maximum pressure, and what that rests on.

    Where the marked load and the load index differ by more than their rounding, the lower governs. A
    passenger-car tire on any vehicle but a passenger car counts as its rating over 1.10
    (49 CFR 571.110 and 571.120, S5.1.2).
    """
    return rating_as_fitted(tires.max_load_kg, tires.marking, tires.fitment, kind is VehicleKind.TOWED_CAR)


def rating_as_fitted(
    marked_load_kg: float, marking: Marking | None, fitment: Fitment, passenger_car: bool
) -> tuple[float, str]:
    """Return the load [kg] that `rated_load` gives, from what is known of a tire without its rig.

    Parameters
    ----------
    marked_load_kg
        Most load [kg] marked on one tire for its fitment.
    marking
        Designation as read; None where it could not be.
    fitment
        Single or dual.
    passenger_car
        Whether the vehicle is one: then a passenger-car tire's rating is not divided.

    Examples
    --------
    >>> rating_as_fitted(1100.0, None, Fitment.SINGLE, False)
    (1100.0, 'sidewall')

    """
    load, basis = marked_load_kg, "sidewall"
    index_kg = index_load_kg(marking, fitment)
    if index_kg is not None and index_kg < load - MARKING_STEP_KG:
        load, basis = index_kg, "load_index"
    if marking is not None and is_passenger_car_tire(marking.family) and not passenger_car:
        return load / PASSENGER_DERATE, "passenger_derate"
    return load, basis


def index_load_kg(marking: Marking | None, fitment: Fitment) -> float | None:
    """Return the load [kg] of the load index for a fitment; None where it is not marked."""
    if marking is None or marking.load_indices is None:
        return None
    single, *dual = marking.load_indices
    if fitment is Fitment.SINGLE:
        return load_kg(single)
    return load_kg(dual[0]) if dual else None
