"""What the gauge must show at the filling, for a cold pressure that holds from then on.

Source: ideal gas at constant volume; ambient pressure by ISO 2533:1975.
"""

from enum import StrEnum
from typing import Final

from msgspec import Struct

from axlewright.core.inflation.gas import gauge_at
from axlewright.core.policy import Conditions, Fill, Soak
from axlewright.core.units import CELSIUS_ZERO_K, exceeds

WARM_TIRE_K: Final = CELSIUS_ZERO_K + 50.0
"""A tire above this temperature is warm from running or the sun, not cold; judgement."""


class NoSetting(StrEnum):
    """Why no gauge reading can be given for the filling."""

    NO_PRESSURE = "no_pressure"
    NO_CONDITIONS = "no_conditions"
    WARM_WITHOUT_AMBIENT = "warm_without_ambient"
    NO_FILL_SERVES = "no_fill_serves"


class Setting(Struct, frozen=True):
    """A gauge reading [Pa] for the filling, or why there is none.

    ``holds_when_coldest`` says whether it holds the recommended cold pressure at the coldest soak too, and not only
    what the load needs; None where no coldest soak was given.
    """

    gauge_pa: float | None = None
    holds_when_coldest: bool | None = None
    because: NoSetting | None = None


def setting(cold_pa: float, least_pa: float, ceiling_pa: float, conditions: Conditions) -> Setting:
    """Return what the gauge must show at the filling.

    It holds the cold pressure at the filling place and, where the ceiling allows, at the coldest soak; there it
    holds at least the least pressure for the load, or no fill serves.

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
    for target_pa in (cold_pa, least_pa):
        held_here_pa = cold_pa
        if coldest is not None:
            held_here_pa = max(cold_pa, _here(target_pa, coldest, fill))
        if not any(exceeds(held_pa, ceiling_pa) for held_pa in _held(held_here_pa, fill, coldest)):
            gauge_pa = gauge_at(
                held_here_pa, fill.cold_temperature_k, fill.altitude_m, fill.tire_temperature_k, fill.altitude_m
            )
            return Setting(gauge_pa, None if coldest is None else target_pa == cold_pa)
    return Setting(because=NoSetting.NO_FILL_SERVES)


def _here(pressure_pa: float, coldest: Soak, fill: Fill) -> float:
    """Return the cold gauge pressure at the filling place that becomes a given one at the coldest soak."""
    return gauge_at(
        pressure_pa, coldest.ambient_temperature_k, coldest.altitude_m, fill.cold_temperature_k, fill.altitude_m
    )


def _held(held_here_pa: float, fill: Fill, coldest: Soak | None) -> list[float]:
    """Return the cold gauge pressures at the filling place and at the coldest soak."""
    if coldest is None:
        return [held_here_pa]
    there_pa = gauge_at(
        held_here_pa, fill.cold_temperature_k, fill.altitude_m, coldest.ambient_temperature_k, coldest.altitude_m
    )
    return [held_here_pa, there_pa]
