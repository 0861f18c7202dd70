"""When a distance is reached: odometer readings projected to dates."""

from collections.abc import Iterable
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise
from math import floor, sqrt
from typing import Final

from msgspec import Struct

from axlewright.core.errors import CoreError
from axlewright.core.units import RELATIVE_GUARD, exceeds
from axlewright.core.upkeep.events import History, OdometerReading

WINDOW_DAYS: Final = 365
"""The rate rests on the readings of one year up to the last: all seasons, no older habits. Judgement."""
READING_STEP_M: Final = 1.0
"""No odometer shows less: one goes backwards only by more. Judgement; the way before a change of odometers is a
difference of long ways, and carries their rounding."""
HORIZON_DAYS: Final = 3_653
"""Nothing is projected beyond ten years. Judgement."""


class NotProjected(StrEnum):
    """Why a distance has no date."""

    TOO_FEW_READINGS = "too_few_odometer_readings"
    NOT_DRIVEN = "not_driven_between_readings"
    BEYOND_HORIZON = "beyond_ten_years"
    ODOMETER_AT_EVENT_UNKNOWN = "odometer_at_event_unknown"


class Station(Struct, frozen=True):
    """Where the rig stood on a day: its way [m], by the scale of its present odometer."""

    on: date
    way_m: float


class Rate(Struct, frozen=True):
    """How far the rig is driven a day, and how unsteadily.

    Attributes
    ----------
    m_per_day
        Rate [m/day].
    spread_m2_per_day
        Variance of the way that a day adds [m2/day]; None with fewer than three readings.
    days
        Days between the first and the last reading that it rests on.
    """

    m_per_day: float
    spread_m2_per_day: float | None
    days: int


class Reached(Struct, frozen=True):
    """The day on which a distance is reached.

    ``is_projected`` is False where later readings show that it was; ``u_days`` is the standard uncertainty [days] of
    a projected day, None where it is not projected or the readings are too few to tell. ``is_interpolated``: it was
    reached between two readings, and the day is that of even driving.
    """

    on: date
    is_projected: bool
    u_days: float | None = None
    is_interpolated: bool = False


class Odometer(Struct, frozen=True):
    """What the odometer readings tell: where the rig stood on each day read, and its rate."""

    stations: tuple[Station, ...]
    swaps: tuple[OdometerReading, ...]
    rate: Rate | NotProjected

    def way_m(self, on: date, odometer_m: float) -> float:
        """Return the way [m] that an odometer showed on a day, by the scale of the present one."""
        return _way_m(self.swaps, on, odometer_m)

    def way_on_m(self, on: date) -> float | NotProjected:
        """Return the way [m] on a day: between readings on their straight line, after the last by the rate."""
        if not self.stations or on < self.stations[0].on:
            return NotProjected.ODOMETER_AT_EVENT_UNKNOWN
        last = self.stations[-1]
        if on > last.on:
            if isinstance(self.rate, NotProjected):
                return self.rate
            return last.way_m + self.rate.m_per_day * (on - last.on).days
        for earlier, later in pairwise(self.stations):
            if on < later.on:
                share = (on - earlier.on).days / (later.on - earlier.on).days
                return earlier.way_m + share * (later.way_m - earlier.way_m)
        return last.way_m

    def reached(self, way_m: float) -> Reached | NotProjected:
        """Return the day on which a way is reached: by the readings where they reach it, else by the rate.

        Parameters
        ----------
        way_m : float
            Way [m] by the scale of the present odometer.

        Returns
        -------
        Reached or NotProjected
            The day, its fraction cut off; or why there is none.

        Notes
        -----
        The doubt of a projection over T days from a rate that rests on D days, with the spread s2 of a day:
        u^2 = s2 (T + T^2 / D) / rate^2. The first term is the unsteadiness of driving, the second the rate's own doubt.

        """
        if not self.stations:
            return NotProjected.TOO_FEW_READINGS
        if not exceeds(way_m, self.stations[-1].way_m):
            return self._passed(way_m)
        if isinstance(self.rate, NotProjected):
            return self.rate
        days = (way_m - self.stations[-1].way_m) / self.rate.m_per_day
        if days > HORIZON_DAYS:
            return NotProjected.BEYOND_HORIZON
        on = self.stations[-1].on + timedelta(days=_whole(days))
        spread = self.rate.spread_m2_per_day
        if spread is None:
            return Reached(on, is_projected=True)
        u_days = sqrt(spread * (days + days**2 / self.rate.days)) / self.rate.m_per_day
        return Reached(on, is_projected=True, u_days=u_days)

    def was_read_on(self, on: date) -> bool:
        """Return whether an odometer was read on a day."""
        return any(station.on == on for station in self.stations)

    def has_passed(self, way_m: float) -> bool:
        """Return whether a reading shows more than a way [m]."""
        return bool(self.stations) and exceeds(self.stations[-1].way_m, way_m)

    def _passed(self, way_m: float) -> Reached:
        for earlier, later in pairwise(self.stations):
            if exceeds(way_m, earlier.way_m) and not exceeds(way_m, later.way_m):
                days = (later.on - earlier.on).days
                share = (way_m - earlier.way_m) / (later.way_m - earlier.way_m)
                on = earlier.on + timedelta(days=min(days, _whole(share * days)))
                return Reached(on, is_projected=False, is_interpolated=exceeds(later.way_m, way_m))
        return Reached(self.stations[0].on, is_projected=False)


def odometer_of(history: History) -> Odometer:
    """Return what a history's odometer readings tell, those noted with events among them.

    Parameters
    ----------
    history : History
        Readings in any order. The day on which another odometer came in counts as the new one's.

    Returns
    -------
    Odometer
        Stations by date (the farthest of a day), and the rate.

    Raises
    ------
    CoreError
        If an odometer goes backwards.

    """
    swaps = tuple(
        sorted((reading for reading in history.odometer if reading.old_odometer_m is not None), key=lambda one: one.on)
    )
    readings = [(reading.on, reading.odometer_m) for reading in history.odometer]
    readings += [(event.on, event.odometer_m) for event in history.events if event.odometer_m is not None]
    stations = _stations([Station(on, _way_m(swaps, on, odometer_m)) for on, odometer_m in readings])
    return Odometer(stations, swaps, rate_of(stations))


def rate_of(stations: tuple[Station, ...]) -> Rate | NotProjected:
    """Return how far a rig is driven a day.

    Parameters
    ----------
    stations : tuple of Station
        One a day, by date, never backwards.

    Returns
    -------
    Rate or NotProjected
        The rate, or why there is none: fewer than two days, or no way between them.

    Notes
    -----
    Readings are exact; what varies is the driving. The way between two readings, over t days, is taken as rate * t
    with a variance in proportion to t, one stretch independent of the next. Weighted least squares of such stretches
    is their whole way over their whole time; the spread is the weighted sum of squared residuals over the stretches
    less one. Stretches: those of the year up to the last reading, at least the last one.

    Examples
    --------
    >>> rate_of((Station(date(2026, 1, 1), 0.0), Station(date(2026, 1, 11), 5e5))).m_per_day
    50000.0

    """
    if len(stations) < 2:
        return NotProjected.TOO_FEW_READINGS
    oldest = stations[-1].on - timedelta(days=WINDOW_DAYS)
    used = [station for station in stations if station.on >= oldest]
    if len(used) < 2:
        used = list(stations[-2:])
    days = (used[-1].on - used[0].on).days
    rate = (used[-1].way_m - used[0].way_m) / days
    if rate <= 0:
        return NotProjected.NOT_DRIVEN
    stretches = [((later.on - earlier.on).days, later.way_m - earlier.way_m) for earlier, later in pairwise(used)]
    if len(stretches) < 2:
        return Rate(rate, None, days)
    squares = sum((way_m - rate * time) ** 2 / time for time, way_m in stretches)
    return Rate(rate, squares / (len(stretches) - 1), days)


def _way_m(swaps: Iterable[OdometerReading], on: date, odometer_m: float) -> float:
    way_m = odometer_m
    for swap in swaps:
        if on < swap.on:
            assert swap.old_odometer_m is not None
            way_m += swap.odometer_m - swap.old_odometer_m
    return way_m


def _stations(seen: Iterable[Station]) -> tuple[Station, ...]:
    days: dict[date, list[float]] = {}
    for station in seen:
        days.setdefault(station.on, []).append(station.way_m)
    farthest: Station | None = None
    stations = []
    for on, ways_m in sorted(days.items()):
        if farthest is not None and farthest.way_m - min(ways_m) > READING_STEP_M:
            raise CoreError(
                "odometer_goes_backwards",
                "odometer",
                f"The odometer reads {farthest.way_m - min(ways_m):.0f} m less on {on} than on {farthest.on}: correct "
                "the reading, or, if the odometer was replaced or turned over, say with the first reading of the new "
                "one what the old one showed.",
            )
        farthest = Station(on, max(ways_m) if farthest is None else max(farthest.way_m, *ways_m))
        stations.append(farthest)
    return tuple(stations)


def _whole(days: float) -> int:
    return floor(days + RELATIVE_GUARD * max(days, 1.0))
