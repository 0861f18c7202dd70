"""Families of tires: which grammar a designation follows, and so which rules and laws hold."""

from enum import StrEnum
from typing import Final


class Family(StrEnum):
    """Family of a tire's designation."""

    P_METRIC = "p_metric"
    PASSENGER_METRIC = "passenger_metric"
    LT_RADIAL = "lt_radial"
    LT_BIAS = "lt_bias"
    FLOTATION = "flotation"
    SPECIAL_TRAILER = "special_trailer"
    COMMERCIAL = "commercial"
    CAMPER = "camper"
    TRUCK_RADIAL = "truck_radial"
    TRUCK_BIAS = "truck_bias"
    TEMPORARY = "temporary"


PASSENGER_DERATE: Final = 1.10
"""Divisor [1] of a passenger-car tire's rating on a multipurpose vehicle, truck, bus or trailer.

Source: 49 CFR 571.120 S5.1.2 (vehicles above 10 000 lb GVWR), as quoted in the letter of interpretation of
17 November 1976; 49 CFR 571.110 S4.2.2 asks the same of lighter ones (clause from memory). The "91 %" of
trade texts is this divisor rounded.
"""

_PASSENGER_CAR: Final = frozenset({Family.P_METRIC, Family.PASSENGER_METRIC, Family.TEMPORARY})


def is_passenger_car_tire(family: Family) -> bool:
    """Return whether a family is made to the passenger-car tire standards.

    Source: 49 CFR 571.109 and 571.139 cover P-metric, metric passenger and temporary spare tires; 571.119 and
    571.139 the light-truck, special-trailer, commercial and truck families (from memory).

    >>> is_passenger_car_tire(Family.P_METRIC), is_passenger_car_tire(Family.SPECIAL_TRAILER)
    (True, False)
    """
    return family in _PASSENGER_CAR
