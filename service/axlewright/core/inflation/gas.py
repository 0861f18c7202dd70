"""What the gauge shows when temperature and altitude change."""

from math import inf

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.atmosphere import pressure_pa


def _require_temperature(field: str, temperature_k: float) -> None:
    if not 0 < temperature_k < inf:
        raise OutOfRange(
            "temperature_out_of_range",
            field,
            f"A temperature of {temperature_k} K is impossible: it must be above 0 K and finite.",
        )


def gauge_at(
    gauge_pa: float,
    temperature_k: float,
    altitude_m: float,
    to_temperature_k: float,
    to_altitude_m: float,
) -> float:
    """Return the gauge pressure of the same gas at another temperature and altitude.

    Parameters
    ----------
    gauge_pa : float
        Gauge pressure as observed [Pa], above minus the ambient pressure.
    temperature_k : float
        Temperature of the gas in the tire at the observation [K], above 0.
    altitude_m : float
        Geometric altitude of the observation [m], -2000 to 11000.
    to_temperature_k : float
        Temperature of the gas to translate to [K], above 0.
    to_altitude_m : float
        Geometric altitude to translate to [m], -2000 to 11000.

    Returns
    -------
    float
        Gauge pressure [Pa] there; below 0 where the gas would stand under the ambient pressure.

    Raises
    ------
    OutOfRange
        If a temperature is not above 0 K, an altitude lies outside the standard atmosphere
        used, or the observed absolute pressure is not above 0.

    Notes
    -----
    Source: ideal gas at constant volume (Gay-Lussac): absolute pressure in proportion to
    absolute temperature; gauge = absolute - ambient, ambient by ISO 2533:1975. The growth of a
    tire's volume with pressure, under one percent, is left out.

    Examples
    --------
    A tire set to 551 581 Pa (80 psi) at 70 degF, at 20 degF in the same place:

    >>> round(gauge_at(551_581.0, 294.261, 0.0, 266.483, 0.0))
    489947

    """
    _require_temperature("temperature_k", temperature_k)
    _require_temperature("to_temperature_k", to_temperature_k)
    absolute_pa = gauge_pa + pressure_pa(altitude_m)
    if not 0 < absolute_pa < inf:
        raise OutOfRange(
            "absolute_pressure_out_of_range",
            "gauge_pa",
            f"A gauge pressure of {gauge_pa} Pa at {altitude_m} m gives an absolute pressure of "
            f"{absolute_pa} Pa: it must be above 0 and finite.",
        )
    return absolute_pa * (to_temperature_k / temperature_k) - pressure_pa(to_altitude_m)
