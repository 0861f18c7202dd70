"""What the gauge must show at the filling, for a cold pressure that holds from then on.

Source: ideal gas at constant volume; ambient pressure by ISO 2533:1975.
"""

from enum import StrEnum
from typing import Final

from msgspec import Struct

from axlewright.core.inflation.fillings import Bounds, Stop, departure_of, narrowed_to, own_range
from axlewright.core.policy import Conditions
from axlewright.core.units import CELSIUS_ZERO_K

WARM_TIRE_K: Final = CELSIUS_ZERO_K + 40.0
"""A tire above this temperature is taken as warm from running or the sun, not cold; judgement."""


class NoSetting(StrEnum):
    """Why no gauge reading can be given for the filling."""

    NO_PRESSURE = "no_pressure"
    NO_CONDITIONS = "no_conditions"
    WARM_WITHOUT_AMBIENT = "warm_without_ambient"
    NO_FILL_SERVES = "no_fill_serves"


class Setting(Struct, frozen=True):
    """A gauge reading [Pa] for the filling, or why there is none.

    ``holds_when_coldest`` says whether it holds the recommended cold pressure at the filling place and at the coldest
    soak, and not only what the load needs; None where no coldest soak was given.
    """

    gauge_pa: float | None = None
    holds_when_coldest: bool | None = None
    because: NoSetting | None = None


def setting(cold_pa: float, least_pa: float, ceiling_pa: float, conditions: Conditions) -> Setting:
    """Return what the gauge must show at the filling: as for a trip whose one stop is the coldest soak.

    It holds the cold pressure at the filling place and at the coldest soak where the ceiling allows, else as much as
    the ceiling allows at both; that must be the least pressure for the load at both, or no fill serves.

    Parameters
    ----------
    cold_pa, least_pa
        Recommended cold gauge pressure [Pa], and the least for the load, not above it.
    ceiling_pa
        The most that tires and wheels may hold cold [Pa]; of a tire warm from running its cold equivalent counts.
    conditions
        The filling and the coldest soak.
    """
    fill, coldest = conditions.fill, conditions.coldest
    if fill is None:
        return Setting(because=NoSetting.NO_CONDITIONS)
    if coldest is None and fill.cold_temperature_k > WARM_TIRE_K:
        return Setting(because=NoSetting.WARM_WITHOUT_AMBIENT)
    bounds, here = Bounds(least_pa, cold_pa, ceiling_pa), departure_of(fill)
    served = own_range(bounds, here)
    if coldest is None:
        return Setting(served.nearest_pa)
    soak = Stop("coldest", coldest.altitude_m, coldest.ambient_temperature_k, coldest.ambient_temperature_k)
    served = narrowed_to(bounds, here, served, soak, 0)
    if served.is_empty:
        return Setting(because=NoSetting.NO_FILL_SERVES)
    return Setting(served.nearest_pa, served.holds_recommended)
