"""The readings at a filling that serve the stops after it.

Source: ideal gas at constant volume; ambient pressure by ISO 2533:1975.
"""

from collections.abc import Sequence
from math import inf

from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.gas import gauge_at
from axlewright.core.policy import Fill
from axlewright.core.units import exceeds, rounded_up


class Stop(Struct, frozen=True):
    """A place of the trip: altitude [m], coldest and hottest temperature [K] of the air in which the tire stands.

    A tire in the sun is warmer than the air: as for every cold pressure, that does not count.
    """

    name: str
    altitude_m: float
    coldest_k: float
    hottest_k: float


class Bounds(Struct, frozen=True):
    """Cold gauge pressures [Pa]: the least for the load, the recommended one, the most for tires and wheels."""

    least_pa: float
    cold_pa: float
    ceiling_pa: float


class FillRange(Struct, frozen=True):
    """The gauge readings [Pa] at a filling that serve the places after it; empty where the ends are crossed.

    ``recommended_pa`` holds the recommended cold pressure at all of them. ``lowest_from`` and ``highest_from`` are
    the stops that set the ends, by their place in the list; None is the filling place itself.
    """

    lowest_pa: float
    highest_pa: float
    recommended_pa: float
    lowest_from: int | None
    highest_from: int | None

    @property
    def is_empty(self) -> bool:
        """Whether no reading serves."""
        return exceeds(self.lowest_pa, self.highest_pa)

    @property
    def holds_recommended(self) -> bool:
        """Whether a reading in it holds the recommended cold pressure everywhere."""
        return not exceeds(self.recommended_pa, self.highest_pa)

    @property
    def nearest_pa(self) -> float:
        """The reading in it that is nearest to the recommended one [Pa]."""
        return self.recommended_pa if self.holds_recommended else self.highest_pa


class TripFill(Struct, frozen=True):
    """A filling and how far it serves.

    ``before_leaving`` is the stop, by its place in the list, where tires are set at their coldest soak; None is the
    filling place. ``gauge_pa`` is what to set there at this tire temperature, ``through`` the last stop it serves; None
    where it serves none and is only driven on.
    """

    before_leaving: int | None
    tire_temperature_k: float
    altitude_m: float
    gauge_pa: float
    range: FillRange
    through: int | None


class Departure(Struct, frozen=True):
    """Where tires may be filled: the stop, or None, and the temperatures of the cold and of the filled tire."""

    stop: int | None
    cold_k: float
    tire_temperature_k: float
    altitude_m: float


class Trip(Struct, frozen=True):
    """Stops, bounds, where tires may be filled (the filling place, then before leaving each stop), and the step [Pa].

    The filling before a stop is the one with the stop's own place in the list; the next is the one at that stop.
    """

    stops: tuple[Stop, ...]
    bounds: Bounds
    departures: tuple[Departure, ...]
    step_pa: float


def planned_trip(stops: Sequence[Stop], fill: Fill, bounds: Bounds, step_pa: float) -> Trip:
    """Return the trip that a caller describes, or refuse it; parameters as for ``itinerary``."""
    if not stops:
        raise OutOfRange("no_stops", "stops", "A trip without stops: give at least one.")
    for stop in stops:
        if not stop.coldest_k <= stop.hottest_k:
            raise OutOfRange(
                "temperatures_crossed",
                "coldest_k",
                f"At {stop.name!r} the coldest is {stop.coldest_k} K and the hottest {stop.hottest_k} K: "
                "the coldest must not be above the hottest.",
            )
    if not 0 < bounds.least_pa <= bounds.cold_pa <= bounds.ceiling_pa < inf:
        raise OutOfRange(
            "bounds_crossed",
            "bounds",
            f"Least {bounds.least_pa}, recommended {bounds.cold_pa} and most {bounds.ceiling_pa} Pa: "
            "they must be above 0, finite, and rise in this order.",
        )
    if not 0 < step_pa < inf:
        raise OutOfRange("step_out_of_range", "step_pa", f"A step of {step_pa} Pa: it must be above 0 and finite.")
    departures = [departure_of(fill)]
    departures += [
        Departure(place, stop.coldest_k, stop.coldest_k, stop.altitude_m) for place, stop in enumerate(stops)
    ]
    return Trip(tuple(stops), bounds, tuple(departures), step_pa)


def departure_of(fill: Fill) -> Departure:
    """Return the filling place as where tires may be filled."""
    return Departure(None, fill.cold_temperature_k, fill.tire_temperature_k, fill.altitude_m)


def _set_for(departure: Departure, there_pa: float, there_k: float, there_m: float) -> float:
    """Return the gauge reading at a filling that becomes a given one there."""
    return gauge_at(there_pa, there_k, there_m, departure.tire_temperature_k, departure.altitude_m)


def own_range(bounds: Bounds, departure: Departure) -> FillRange:
    """Return the readings that are within bounds at the filling place itself, cold."""
    lowest_pa, recommended_pa, highest_pa = (
        _set_for(departure, bound_pa, departure.cold_k, departure.altitude_m)
        for bound_pa in (bounds.least_pa, bounds.cold_pa, bounds.ceiling_pa)
    )
    return FillRange(lowest_pa, highest_pa, recommended_pa, departure.stop, departure.stop)


def narrowed_to(bounds: Bounds, departure: Departure, served: FillRange, stop: Stop, place: int) -> FillRange:
    """Return the part of a range that serves one more stop, which stands at a place of the list."""
    lowest_pa = _set_for(departure, bounds.least_pa, stop.coldest_k, stop.altitude_m)
    recommended_pa = _set_for(departure, bounds.cold_pa, stop.coldest_k, stop.altitude_m)
    highest_pa = _set_for(departure, bounds.ceiling_pa, stop.hottest_k, stop.altitude_m)
    return FillRange(
        max(lowest_pa, served.lowest_pa),
        min(highest_pa, served.highest_pa),
        max(recommended_pa, served.recommended_pa),
        place if lowest_pa > served.lowest_pa else served.lowest_from,
        place if highest_pa < served.highest_pa else served.highest_from,
    )


def whole_range(trip: Trip) -> FillRange:
    """Return the readings at the filling place that serve all stops."""
    served = own_range(trip.bounds, trip.departures[0])
    for place, stop in enumerate(trip.stops):
        served = narrowed_to(trip.bounds, trip.departures[0], served, stop, place)
    return served


def trip_fill(trip: Trip, departure: Departure, served: FillRange, through: int | None) -> TripFill:
    """Return the filling to recommend of a range that is not empty: the least step in it that holds the recommended.

    Where that cannot be held, it is the highest step in the range; where no such step lies in it, the exact reading.
    """
    up_pa, down_pa = rounded_up(served.nearest_pa, trip.step_pa), -rounded_up(-served.nearest_pa, trip.step_pa)
    gauge_pa = up_pa if served.holds_recommended else down_pa
    if exceeds(gauge_pa, served.highest_pa) or exceeds(served.lowest_pa, gauge_pa):
        gauge_pa = served.nearest_pa
    return TripFill(departure.stop, departure.tire_temperature_k, departure.altitude_m, gauge_pa, served, through)


def farthest(trip: Trip, departure: Departure, place: int) -> tuple[int, FillRange]:
    """Return the first stop from a place on that one filling serves no more, and the readings that serve until then."""
    served = own_range(trip.bounds, departure)
    for end in range(place, len(trip.stops)):
        narrowed = narrowed_to(trip.bounds, departure, served, trip.stops[end], end)
        if narrowed.is_empty:
            return end, served
        served = narrowed
    return len(trip.stops), served
