"""Set points for a tire pressure monitor, as gauge pressure and as a sealed sensor shows them.

They are common practice without a source: low at 0.9 of the cold pressure, but not below what the load
needs; high at 1.25 of it, above what sun and road commonly add; hot at 70 degC (158 degF).
"""

from enum import StrEnum
from math import inf

from msgspec import Struct, structs

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.atmosphere import pressure_pa
from axlewright.core.inflation.gas import gauge_at
from axlewright.core.policy import Fill, Soak
from axlewright.core.units import CELSIUS_ZERO_K, PSI_PA, exceeds


class MonitorPolicy(Struct, frozen=True):
    """Common practice, no source: shares [1] of the cold pressure, tire temperature [K], sensor's reading error [Pa].

    On a cold morning a good tire must show more than the low set point by the sensor's error, lest it alarms.
    """

    low_share: float = 0.90
    high_share: float = 1.25
    hot_k: float = CELSIUS_ZERO_K + 70.0
    sensor_error_pa: float = PSI_PA


class LowFrom(StrEnum):
    """What sets the low set point."""

    SHARE_OF_COLD = "share_of_cold"
    LEAST_FOR_LOAD = "least_for_load"


class Gap(StrEnum):
    """Whether a good tire stays clear of the low set point at its coldest soak.

    ``raise_fill``: it does at a higher cold pressure that tires and wheels may hold; ``no_fill``: at no such pressure.
    ``not_known``: filling or coldest soak was not given.
    """

    LEFT = "left"
    RAISE_FILL = "raise_fill"
    NO_FILL = "no_fill"
    NOT_KNOWN = "not_known"


class SetPoints(Struct, frozen=True, kw_only=True):
    """Set points as gauge pressure [Pa] and tire temperature [K].

    Attributes
    ----------
    low_pa, low_from, high_pa, hot_k
        The set points, and what sets the low one.
    coldest_pa
        What a tire filled to the cold pressure shows at the coldest soak.
    gap_pa
        How far that lies above the low set point.
    gap
        Whether that is enough.
    needed_pa
        The least higher cold pressure at the filling place that leaves enough, whatever may be held; None where enough
        is left, or none leaves it, as more air raises the set point by as much as the reading.
    """

    low_pa: float
    low_from: LowFrom
    high_pa: float
    hot_k: float
    coldest_pa: float | None = None
    gap_pa: float | None = None
    gap: Gap = Gap.NOT_KNOWN
    needed_pa: float | None = None

    @property
    def raise_to_pa(self) -> float | None:
        """The cold pressure to raise to, where that may be held."""
        return self.needed_pa if self.gap is Gap.RAISE_FILL else None


def set_points(
    cold_pa: float,
    least_pa: float,
    ceiling_pa: float,
    *,
    fill: Fill | None = None,
    coldest: Soak | None = None,
    sealed_shortfall_pa: float = 0.0,
    policy: MonitorPolicy | None = None,
) -> SetPoints:
    """Return the set points for the tires of an axle, as gauge pressure: what a vented sensor shows.

    Parameters
    ----------
    cold_pa, least_pa, ceiling_pa
        Cold gauge pressure held at the filling place, the least for the load, the most for tires and wheels
        [Pa], above 0; the cold pressure lies between the others.
    fill, coldest
        The filling place, and the coldest soak from then on.
    sealed_shortfall_pa
        What sealed sensors show too little at the coldest soak, as by ``sealed_shortfall_pa``; the gap must allow it.
    policy
        Shares, temperature and sensor error; common practice if not given.

    Raises
    ------
    OutOfRange
        For crossed pressures, shares that do not lie about 1, and what no gas can be.

    Examples
    --------
    >>> points = set_points(550e3, 450e3, 690e3, fill=Fill(293.15, 0.0), coldest=Soak(273.15, 0.0))
    >>> round(points.low_pa), round(points.high_pa), round(points.coldest_pa), points.gap.value
    (495000, 687500, 505564, 'left')

    """
    policy = policy or MonitorPolicy()
    _require_sound(cold_pa, least_pa, ceiling_pa, policy)
    share_pa = policy.low_share * cold_pa
    points = SetPoints(
        low_pa=max(share_pa, least_pa),
        low_from=LowFrom.LEAST_FOR_LOAD if exceeds(least_pa, share_pa) else LowFrom.SHARE_OF_COLD,
        high_pa=policy.high_share * cold_pa,
        hot_k=policy.hot_k,
    )
    if fill is None or coldest is None:
        return points
    wanted_pa = policy.sensor_error_pa + sealed_shortfall_pa
    return _with_gap(points, cold_pa, least_pa, ceiling_pa, fill, coldest, policy.low_share, wanted_pa)


def _require_sound(cold_pa: float, least_pa: float, ceiling_pa: float, policy: MonitorPolicy) -> None:
    if not 0 < least_pa <= cold_pa <= ceiling_pa < inf:
        raise OutOfRange(
            "pressures_crossed",
            "cold_pa",
            f"Least {least_pa}, cold {cold_pa} and most {ceiling_pa} Pa: they must be above 0, finite, and rise "
            "in this order.",
        )
    if not 0 < policy.low_share < 1 < policy.high_share < inf:
        raise OutOfRange(
            "shares_out_of_range",
            "policy",
            f"Low at {policy.low_share} and high at {policy.high_share} of the cold pressure: one must lie between "
            "0 and 1, the other above 1.",
        )
    if not (0 < policy.hot_k < inf and 0 <= policy.sensor_error_pa < inf):
        raise OutOfRange(
            "policy_out_of_range",
            "policy",
            f"Hot at {policy.hot_k} K, sensor error {policy.sensor_error_pa} Pa: the first must be above 0, the "
            "second at least 0, both finite.",
        )


def _with_gap(
    points: SetPoints,
    cold_pa: float,
    least_pa: float,
    ceiling_pa: float,
    fill: Fill,
    coldest: Soak,
    low_share: float,
    wanted_pa: float,
) -> SetPoints:
    def when_coldest_pa(held_pa: float) -> float:
        return gauge_at(
            held_pa, fill.cold_temperature_k, fill.altitude_m, coldest.ambient_temperature_k, coldest.altitude_m
        )

    coldest_pa = when_coldest_pa(cold_pa)
    gap_pa = coldest_pa - points.low_pa
    points = structs.replace(points, coldest_pa=coldest_pa, gap_pa=gap_pa)
    if not exceeds(wanted_pa, gap_pa):
        return structs.replace(points, gap=Gap.LEFT)
    per_pa = coldest.ambient_temperature_k / fill.cold_temperature_k
    needed_pa = _needed_pa(per_pa, when_coldest_pa(0.0), least_pa, low_share, wanted_pa)
    if needed_pa is None or needed_pa <= cold_pa:
        return structs.replace(points, gap=Gap.NO_FILL)
    gap = Gap.NO_FILL if exceeds(needed_pa, ceiling_pa) else Gap.RAISE_FILL
    return structs.replace(points, gap=gap, needed_pa=needed_pa)


def _needed_pa(per_pa: float, empty_pa: float, least_pa: float, low_share: float, gap_pa: float) -> float | None:
    """Return the least cold pressure p with a p + b - max(s p, least) >= the gap that is wanted; None if none is.

    ``per_pa`` is a, ``empty_pa`` is b: a tire's gauge pressure at the coldest soak is linear in what it was cold.
    Where a <= s more air brings the share's set point up faster than the reading: only the load can then ask for it.
    """
    above_share = per_pa - low_share
    wanted_pa = gap_pa - empty_pa
    for_load_pa = (wanted_pa + least_pa) / per_pa
    if above_share > 0:
        return max(for_load_pa, wanted_pa / above_share)
    return None if exceeds(wanted_pa, above_share * for_load_pa) else for_load_pa


def sealed_reading_pa(gauge_pa: float, altitude_m: float, reference_altitude_m: float = 0.0) -> float:
    """Return what a sealed sensor shows [Pa]: the absolute pressure less that of the air at a reference altitude.

    Parameters
    ----------
    gauge_pa
        Gauge pressure in the tire [Pa], which a vented sensor shows as it is.
    altitude_m
        Where it is read [m], -2000 to 11000.
    reference_altitude_m
        The altitude [m] whose standard ambient pressure the sensor takes off, -2000 to 11000.

    Raises
    ------
    OutOfRange
        For altitudes outside the standard atmosphere used.

    Notes
    -----
    Ambient pressure by ISO 2533:1975. Above its reference a sealed sensor shows too little: 3.4 kPa (0.5 psi)
    for the first 1000 ft.

    Examples
    --------
    >>> round(sealed_reading_pa(550e3, 1609.344))
    532107

    """
    return gauge_pa + pressure_pa(altitude_m) - pressure_pa(reference_altitude_m)


def sealed_shortfall_pa(lowest_altitude_m: float, altitude_m: float) -> float:
    """Return what sealed sensors, their low set point right at the lowest altitude [m], show too little at another.

    In Pa; ambient pressure by ISO 2533:1975. Above 0 at a higher altitude.

    >>> round(sealed_shortfall_pa(0.0, 2000.0))
    21824
    """
    return pressure_pa(lowest_altitude_m) - pressure_pa(altitude_m)


class SealedPoints(Struct, frozen=True):
    """Set points [Pa] as a sealed sensor shows them, and what is left of the gap at the coldest soak there."""

    low_pa: float
    high_pa: float
    gap_pa: float | None = None


def sealed_points(
    points: SetPoints,
    lowest_altitude_m: float,
    highest_altitude_m: float,
    *,
    reference_altitude_m: float = 0.0,
    coldest: Soak | None = None,
) -> SealedPoints:
    """Return set points for a sealed sensor that miss nothing between two altitudes.

    The low one is right at the lowest altitude, where such a sensor shows the most, and early above it; the high
    one is right at the highest and early below it.

    Parameters
    ----------
    points
        The set points as gauge pressure.
    lowest_altitude_m, highest_altitude_m
        Between which the rig travels [m].
    reference_altitude_m
        The altitude [m] whose ambient pressure the sensor takes off.
    coldest
        The coldest soak with which the points were made, for what is left of their gap.

    Raises
    ------
    OutOfRange
        For crossed altitudes, and such outside the standard atmosphere used.
    """
    if not lowest_altitude_m <= highest_altitude_m:
        raise OutOfRange(
            "altitudes_crossed",
            "lowest_altitude_m",
            f"The lowest altitude is {lowest_altitude_m} m and the highest {highest_altitude_m} m: "
            "the lowest must not be above the highest.",
        )
    low_pa = sealed_reading_pa(points.low_pa, lowest_altitude_m, reference_altitude_m)
    high_pa = sealed_reading_pa(points.high_pa, highest_altitude_m, reference_altitude_m)
    if points.coldest_pa is None or coldest is None:
        return SealedPoints(low_pa, high_pa)
    coldest_pa = sealed_reading_pa(points.coldest_pa, coldest.altitude_m, reference_altitude_m)
    return SealedPoints(low_pa, high_pa, coldest_pa - low_pa)
