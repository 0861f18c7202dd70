"""One fill for a whole trip, or the fewest corrections on the way.

Source: ideal gas at constant volume; ambient pressure by ISO 2533:1975. A colder stop shows less at the same
altitude, and a lower stop shows less at the same temperature, since more ambient pressure is taken off.
"""

from collections.abc import Sequence
from enum import StrEnum

from msgspec import Struct

from axlewright.core.inflation.fillings import (
    Bounds,
    FillRange,
    Stop,
    Trip,
    TripFill,
    farthest,
    planned_trip,
    trip_fill,
    whole_range,
)
from axlewright.core.inflation.gas import gauge_at
from axlewright.core.policy import Fill
from axlewright.core.units import exceeds


class NoFill(StrEnum):
    """Why no one fill serves the trip.

    ``corrections_needed``: each stop can be served, but not all by one fill. ``stop_too_wide``: no fill serves a
    stop's coldest and hottest soak, not even one made there.
    """

    CORRECTIONS_NEEDED = "corrections_needed"
    STOP_TOO_WIDE = "stop_too_wide"


class StopGauge(Struct, frozen=True):
    """What the gauge shows at a stop, coldest and hottest, between the least and the most: a point of a chart.

    Pressures are gauge [Pa]; altitude in m.
    """

    name: str
    altitude_m: float
    coldest_pa: float
    hottest_pa: float
    least_pa: float
    most_pa: float

    @property
    def is_below_least(self) -> bool:
        """Whether the coldest soak leaves less than the load needs."""
        return exceeds(self.least_pa, self.coldest_pa)

    @property
    def is_above_most(self) -> bool:
        """Whether the hottest soak brings more than tires and wheels may hold."""
        return exceeds(self.hottest_pa, self.most_pa)


class PresentFill(Struct, frozen=True):
    """Where the present filling leads: its cold gauge [Pa] at the filling place, and the stops.

    ``may_be_driven`` says whether it is within bounds at the filling place, ``serves`` whether at the stops too.
    """

    cold_pa: float
    may_be_driven: bool
    serves: bool
    series: tuple[StopGauge, ...]


class Itinerary(Struct, frozen=True, kw_only=True):
    """The answer for a trip.

    Attributes
    ----------
    trip
        The fills, as read at the filling place, that serve it all; empty where none does.
    one_fill
        The recommended one of them, None where none serves.
    fills
        The fewest fillings that serve the trip; none at all where the present filling does; None where no
        correction at filling place or stops is enough. A stop that no filling before it serves gets one of its own.
    series
        The stops by the fillings of ``fills``; each stop by the filling with which it is reached, and out of bounds
        where only one of its own serves it.
    because, out_of_reach
        Why there is no one fill, and the first stop that cannot be served, by its place in the list.
    """

    trip: FillRange
    one_fill: TripFill | None = None
    fills: tuple[TripFill, ...] | None = None
    series: tuple[StopGauge, ...] | None = None
    present: PresentFill | None = None
    because: NoFill | None = None
    out_of_reach: int | None = None


def itinerary(
    stops: Sequence[Stop], fill: Fill, bounds: Bounds, step_pa: float, present_pa: float | None = None
) -> Itinerary:
    """Return the one fill that serves a trip, or the fewest corrections, and what the gauge shows on the way.

    Parameters
    ----------
    stops : sequence of Stop
        In the order of the trip, at least one; a rolling tire is no soak.
    fill : Fill
        The filling place, and the tire's temperature there; it counts as a place to be served, cold.
    bounds : Bounds
        The least, recommended and most cold gauge pressure [Pa], rising.
    step_pa : float
        Step [Pa] to which a fill is rounded, above 0, within the range that serves.
    present_pa : float or None
        What the gauge shows now, at the filling place and the tire's temperature [Pa].

    Returns
    -------
    Itinerary
        The recommended fill is the lowest rounded-up reading that holds the recommended pressure everywhere, where
        the ceiling leaves one, else the highest that the ceiling leaves. Corrections are made as late as possible.

    Raises
    ------
    OutOfRange
        For no stops, crossed temperatures or bounds, and what no gas can be.

    Examples
    --------
    >>> home, desert = Stop("home", 0.0, 263.15, 283.15), Stop("desert", 300.0, 288.15, 318.15)
    >>> answer = itinerary([home, desert], Fill(283.15, 0.0), Bounds(500e3, 520e3, 690e3), 5e3)
    >>> answer.one_fill.gauge_pa, answer.one_fill.range.holds_recommended
    (570000.0, True)

    """
    trip = planned_trip(stops, fill, bounds, step_pa)
    whole = whole_range(trip)
    present = None if present_pa is None else _present(trip, present_pa)
    one_fill = None if whole.is_empty else trip_fill(trip, trip.departures[0], whole, len(stops) - 1)
    if present is not None and present.serves:
        return Itinerary(trip=whole, one_fill=one_fill, fills=(), series=present.series, present=present)
    if one_fill is not None:
        series = _series(trip, one_fill, 0, len(stops))
        return Itinerary(trip=whole, one_fill=one_fill, fills=(one_fill,), series=series, present=present)
    return _with_corrections(trip, Itinerary(trip=whole, present=present))


def _series(trip: Trip, filling: TripFill, first: int, end: int) -> tuple[StopGauge, ...]:
    return tuple(
        _stop_gauge(trip, stop, filling.gauge_pa, filling.tire_temperature_k, filling.altitude_m)
        for stop in trip.stops[first:end]
    )


def _stop_gauge(trip: Trip, stop: Stop, gauge_pa: float, tire_temperature_k: float, altitude_m: float) -> StopGauge:
    coldest_pa, hottest_pa = (
        gauge_at(gauge_pa, tire_temperature_k, altitude_m, soak_k, stop.altitude_m)
        for soak_k in (stop.coldest_k, stop.hottest_k)
    )
    return StopGauge(stop.name, stop.altitude_m, coldest_pa, hottest_pa, trip.bounds.least_pa, trip.bounds.ceiling_pa)


def _present(trip: Trip, present_pa: float) -> PresentFill:
    here = trip.departures[0]
    cold_pa = gauge_at(present_pa, here.tire_temperature_k, here.altitude_m, here.cold_k, here.altitude_m)
    series = tuple(_stop_gauge(trip, stop, present_pa, here.tire_temperature_k, here.altitude_m) for stop in trip.stops)
    may_be_driven = not exceeds(trip.bounds.least_pa, cold_pa) and not exceeds(cold_pa, trip.bounds.ceiling_pa)
    return PresentFill(cold_pa, may_be_driven, may_be_driven and _reach(series) == len(series), series)


def _reach(series: Sequence[StopGauge]) -> int:
    """Return how many stops are in range, from the first on."""
    for place, stop in enumerate(series):
        if stop.is_below_least or stop.is_above_most:
            return place
    return len(series)


def _with_corrections(trip: Trip, answer: Itinerary) -> Itinerary:
    """Return the fewest fillings: each carries on as far as it serves, the next is made at the last stop in range.

    That is fewest, since what can be served from an earlier filling can be served from a later one. A stop that cannot
    be served from the place before it cannot be from any earlier one: it is corrected at the stop itself, cold.
    """
    fills = list[TripFill]()
    held = answer.present.series if answer.present is not None and answer.present.may_be_driven else ()
    place = _reach(held)
    series = list(held[:place])
    while place < len(trip.stops):
        departure, reached = trip.departures[place], tuple[StopGauge, ...]()
        end, served = farthest(trip, departure, place)
        if end == place:
            if not (held or fills):
                fills.append(trip_fill(trip, departure, served, None))
            reached = _series(trip, fills[-1], place, place + 1) if fills else held[place : place + 1]
            departure = trip.departures[place + 1]
            end, served = farthest(trip, departure, place)
            if end == place:
                return _out_of_reach(answer, place)
        fills.append(trip_fill(trip, departure, served, end - 1))
        series += [*reached, *_series(trip, fills[-1], place + len(reached), end)]
        place = end
    return Itinerary(
        trip=answer.trip,
        fills=tuple(fills),
        series=tuple(series),
        present=answer.present,
        because=NoFill.CORRECTIONS_NEEDED,
    )


def _out_of_reach(answer: Itinerary, place: int) -> Itinerary:
    return Itinerary(trip=answer.trip, present=answer.present, because=NoFill.STOP_TOO_WIDE, out_of_reach=place)
