"""One fill for a whole trip, or the corrections on the way, axle by axle."""

from collections.abc import Iterator, Sequence
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from axlewright.contract.cold_bounds import bounds_faults, core_bounds
from axlewright.contract.computation import CORE, QuestionAnswer
from axlewright.contract.conditions import core_fill
from axlewright.contract.faults import Fault, refuse_contradictions
from axlewright.contract.findings import FindingAnswer, finding_answers
from axlewright.contract.itinerary_request import MOST_AXLES, MOST_STOPS, PlanItineraryRequest, StopInput
from axlewright.contract.output import AltitudeOut, NameOut, PressureOut, TemperatureOut, UnknownOut
from axlewright.contract.rig import repeated
from axlewright.contract.units import chosen_units, in_si, in_units
from axlewright.contract.words import CALLER, COLD, COMMON_PRACTICE, DEFERENCE
from axlewright.core.assessment import worst_first
from axlewright.core.findings import Fact, Finding, Severity, pressure
from axlewright.core.inflation.fillings import Bounds, FillRange, Stop, TripFill
from axlewright.core.inflation.gas import gauge_at
from axlewright.core.inflation.itinerary import Itinerary, PresentFill, StopGauge, itinerary
from axlewright.core.inflation.needs import is_above_ceiling
from axlewright.core.policy import Fill
from axlewright.core.units import BAR_PA, KILOPASCAL_PA, PSI_PA, exceeds

GAUGE_STEPS_PA: Final = {"psi": PSI_PA, "kPa": 5 * KILOPASCAL_PA, "bar": 0.05 * BAR_PA}
"""Default step to which a fill is rounded, by the unit in which it is asked for: what a gauge shows."""

BASIS = (
    "Gas law at constant volume; ambient pressure of the standard atmosphere (ISO 2533), weather left out",
    f"{CALLER}: the least, recommended and most cold pressure, the stops and their temperatures",
    f"{COMMON_PRACTICE}: corrections are made cold, before driving off, as late as they can be",
)
ROLLING = (
    "Only cold tires are judged, at the temperature of the air: a tire that runs or stands in the sun gets warmer and "
    "shows more, which a cold pressure allows for, and nothing is let out of it for that."
)
HERE = "the filling place"
STOP_TOO_WIDE = (
    "At {stop} coldest and hottest soak lie so far apart that what holds enough when coldest is too much when hottest: "
    "no fill serves it, not even one made there."
)


class StopGaugeAnswer(Struct, frozen=True, kw_only=True):
    """What the gauge shows at a stop: a point of a chart."""

    stop: Annotated[NameOut, Meta(description="Its name.")]
    altitude: Annotated[AltitudeOut, Meta(description="As given.")]
    coldest: Annotated[PressureOut, Meta(description="What the gauge shows at the coldest soak.")]
    hottest: Annotated[PressureOut, Meta(description="What it shows at the hottest soak.")]
    least: Annotated[PressureOut, Meta(description="The axle's `least_cold_pressure`.")]
    most: Annotated[PressureOut, Meta(description="The axle's `most_cold_pressure`.")]
    below_least: Annotated[bool, Meta(description="When coldest it holds less than the load needs.")]
    above_most: Annotated[bool, Meta(description="When hottest it holds more than tires and wheels may.")]


Points = Annotated[list[StopGaugeAnswer], Meta(max_length=MOST_STOPS)]


class FillRangeAnswer(Struct, frozen=True, kw_only=True):
    """What the gauge may show at a filling, at its tire temperature."""

    lowest: Annotated[PressureOut, Meta(description="Less falls below the least somewhere.")]
    lowest_set_by: Annotated[NameOut | None, Meta(description="The stop where; null for the filling place itself.")]
    highest: Annotated[PressureOut, Meta(description="More rises above the most somewhere.")]
    highest_set_by: Annotated[NameOut | None, Meta(description="The stop where; null for the filling place itself.")]
    recommended: Annotated[
        PressureOut, Meta(description="The least that holds `cold_pressure` everywhere; it may lie above `highest`.")
    ]
    serves: Annotated[bool, Meta(description="There is a reading between `lowest` and `highest`.")]


class TripFillAnswer(Struct, frozen=True, kw_only=True):
    """A filling, and how far it serves."""

    before_leaving: Annotated[
        NameOut | None,
        Meta(description="The stop at whose coldest soak tires are set; null for the filling place, as it is now."),
    ]
    set_to: Annotated[PressureOut, Meta(description="What the gauge must show then, at that tire temperature.")]
    tire_temperature: Annotated[TemperatureOut, Meta(description="The tire's then.")]
    altitude: Annotated[AltitudeOut, Meta(description="Of the place.")]
    range: Annotated[FillRangeAnswer, Meta(description="What serves as well.")]
    holds_cold_pressure: Annotated[
        bool,
        Meta(
            description="It holds `cold_pressure` wherever it serves; if not, it comes as near to it as `range` allows."
        ),
    ]
    serves_through: Annotated[
        NameOut | None,
        Meta(
            description="The last stop that it serves; null where it only serves the drive to one that must be "
            "corrected there."
        ),
    ]


class HeldAnswer(Struct, frozen=True, kw_only=True):
    """Where a filling leads that was not chosen for this trip."""

    cold_pressure: Annotated[PressureOut, Meta(description="What it is cold, at the filling place.")]
    serves: Annotated[bool, Meta(description="It is within bounds at the filling place and every stop.")]
    points: Annotated[Points, Meta(description="What the gauge shows with it at each stop, if nothing is corrected.")]


class AxleTripAnswer(Struct, frozen=True, kw_only=True):
    """The trip of one axle's tires."""

    axle: Annotated[NameOut, Meta(description="Which axle.")]
    outcome: Annotated[
        Literal["present_serves", "one_fill", "corrections", "none"],
        Meta(
            description="What is to be done: nothing, as the present filling serves; one fill; a correction at some "
            "stops; or nothing that serves."
        ),
    ]
    range: Annotated[FillRangeAnswer, Meta(description="The readings at the filling place that serve the whole trip.")]
    one_fill: Annotated[TripFillAnswer | None, Meta(description="The recommended one; null where none serves.")]
    fills: Annotated[
        Annotated[list[TripFillAnswer], Meta(max_length=MOST_STOPS)] | None,
        Meta(
            description="The fewest fillings that serve the trip, in order; none where the present one does. A stop "
            "that none before it serves has its own, made there before driving off. Null where none are enough."
        ),
    ]
    points: Annotated[
        Points | None, Meta(description="What the gauge shows at each stop with `fills`, as it is reached.")
    ]
    present: Annotated[HeldAnswer | None, Meta(description="The present filling; null where it was not given.")]
    held_cold: Annotated[
        HeldAnswer, Meta(description="The tires simply set to `cold_pressure`, cold, at the filling place.")
    ]
    out_of_reach: Annotated[NameOut | None, Meta(description="The first stop that no filling serves.")]
    unknown_because: UnknownOut


class PlanItineraryAnswer(QuestionAnswer, frozen=True, kw_only=True):
    """Every axle's trip."""

    axles: Annotated[list[AxleTripAnswer], Meta(max_length=MOST_AXLES, description="As asked for, in order.")]
    findings: Annotated[list[FindingAnswer], Meta(max_length=100, description="Worst first.")]


def plan_itinerary_answer(request: PlanItineraryRequest) -> PlanItineraryAnswer:
    """Return every axle's trip, in the request's units.

    Raises
    ------
    CrossFieldFaults
        With everything in the request that contradicts itself or is not plausible in its unit.
    """
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    faults += [*_stop_faults(request.stops), *bounds_faults(request.axles, units)]
    refuse_contradictions(faults, as_sent)
    fill = core_fill(request.fill)
    stops = [
        Stop(stop.name, stop.altitude, stop.coldest_temperature, stop.hottest_temperature) for stop in request.stops
    ]
    assert units.pressure is not None
    step_pa = request.rounding_step or GAUGE_STEPS_PA[units.pressure]
    plans = [
        _Plan(axle.axle, stops, core_bounds(axle, units), fill, step_pa, axle.present_pressure)
        for axle in request.axles
    ]
    trips = [(plan, plan.trip) for plan in plans]
    findings = [finding for plan, trip in trips for finding in _findings(plan, trip)]
    answer = PlanItineraryAnswer(
        units=units,
        axles=[_axle_answer(plan, trip) for plan, trip in trips],
        findings=finding_answers(worst_first(findings), units),
        basis=list(BASIS),
        cautions=[DEFERENCE, COLD, ROLLING],
        computed_by=CORE,
    )
    return in_units(answer, units)


class _Plan(Struct, frozen=True):
    """What is asked for one axle, in SI."""

    axle: str
    stops: Sequence[Stop]
    bounds: Bounds
    fill: Fill
    step_pa: float
    present_pa: float | None

    @property
    def trip(self) -> Itinerary:
        return itinerary(self.stops, self.fill, self.bounds, self.step_pa, self.present_pa)

    @property
    def held_cold(self) -> PresentFill:
        """Where the recommended cold pressure leads, set at the filling place without a look at the trip."""
        fill = self.fill
        held_pa = gauge_at(
            self.bounds.cold_pa, fill.cold_temperature_k, fill.altitude_m, fill.tire_temperature_k, fill.altitude_m
        )
        held = itinerary(self.stops, fill, self.bounds, self.step_pa, held_pa).present
        assert held is not None
        return held

    def stop_name(self, place: int | None) -> str | None:
        return None if place is None else self.stops[place].name


def _stop_faults(stops: Sequence[StopInput]) -> Iterator[Fault]:
    yield from repeated("stop", "/stops/{}/name", [stop.name for stop in stops])
    for place, stop in enumerate(stops):
        if stop.coldest_temperature > stop.hottest_temperature:
            yield Fault(
                "inconsistent_conditions",
                f"/stops/{place}/coldest_temperature",
                "The coldest soak of a stop is not above its hottest.",
                None,
                "at most `hottest_temperature`",
            )


def _axle_answer(plan: _Plan, trip: Itinerary) -> AxleTripAnswer:
    out_of_reach = plan.stop_name(trip.out_of_reach)
    return AxleTripAnswer(
        axle=plan.axle,
        outcome=_outcome(trip),
        range=_range(plan, trip.trip),
        one_fill=None if trip.one_fill is None else _fill(plan, trip.one_fill),
        fills=None if trip.fills is None else [_fill(plan, each) for each in trip.fills],
        points=None if trip.series is None else _points(trip.series),
        present=None if trip.present is None else _held(trip.present),
        held_cold=_held(plan.held_cold),
        out_of_reach=out_of_reach,
        unknown_because=None if out_of_reach is None else STOP_TOO_WIDE.format(stop=out_of_reach),
    )


def _outcome(trip: Itinerary) -> Literal["present_serves", "one_fill", "corrections", "none"]:
    if trip.fills is None:
        return "none"
    if trip.present is not None and trip.present.serves:
        return "present_serves"
    return "corrections" if trip.one_fill is None else "one_fill"


def _range(plan: _Plan, served: FillRange) -> FillRangeAnswer:
    return FillRangeAnswer(
        lowest=served.lowest_pa,
        lowest_set_by=plan.stop_name(served.lowest_from),
        highest=served.highest_pa,
        highest_set_by=plan.stop_name(served.highest_from),
        recommended=served.recommended_pa,
        serves=not served.is_empty,
    )


def _fill(plan: _Plan, fill: TripFill) -> TripFillAnswer:
    return TripFillAnswer(
        before_leaving=plan.stop_name(fill.before_leaving),
        set_to=fill.gauge_pa,
        tire_temperature=fill.tire_temperature_k,
        altitude=fill.altitude_m,
        range=_range(plan, fill.range),
        holds_cold_pressure=fill.range.holds_recommended,
        serves_through=plan.stop_name(fill.through),
    )


def _held(held: PresentFill) -> HeldAnswer:
    return HeldAnswer(cold_pressure=held.cold_pa, serves=held.serves, points=_points(held.series))


def _points(series: Sequence[StopGauge]) -> list[StopGaugeAnswer]:
    return [
        StopGaugeAnswer(
            stop=stop.name,
            altitude=stop.altitude_m,
            coldest=stop.coldest_pa,
            hottest=stop.hottest_pa,
            least=stop.least_pa,
            most=stop.most_pa,
            below_least=stop.is_below_least,
            above_most=stop.is_above_most,
        )
        for stop in series
    ]


def _findings(plan: _Plan, trip: Itinerary) -> Iterator[Finding]:
    if trip.out_of_reach is not None:
        stop = plan.stops[trip.out_of_reach].name
        yield Finding("trip_out_of_reach", Severity.WARNING, plan.axle, {"stop": stop})
    elif trip.because is not None:
        yield Finding("trip_needs_corrections", Severity.NOTICE, plan.axle, {"places": _places(plan, trip.fills or ())})
        outside = [point.name for point in trip.series or () if point.is_below_least or point.is_above_most]
        if outside:
            yield Finding("trip_stop_corrected_there", Severity.WARNING, plan.axle, {"stops": ", ".join(outside)})
    below = [fill for fill in trip.fills or () if not fill.range.holds_recommended]
    if below:
        facts: dict[str, Fact] = {"places": _places(plan, below), "cold": pressure(plan.bounds.cold_pa)}
        yield Finding("trip_below_recommended", Severity.WARNING, plan.axle, facts)
    if trip.present is not None:
        yield from _present_findings(plan, trip.present)


def _places(plan: _Plan, fills: Sequence[TripFill]) -> str:
    return ", ".join(plan.stop_name(fill.before_leaving) or HERE for fill in fills)


def _present_findings(plan: _Plan, present: PresentFill) -> Iterator[Finding]:
    """Yield what the present filling is where it stands now, as every room says it; else where it first fails."""
    least_pa, cold_pa, most_pa = plan.bounds.least_pa, plan.bounds.cold_pa, plan.bounds.ceiling_pa
    facts: dict[str, Fact] = {"present": pressure(present.cold_pa)}
    if exceeds(least_pa, present.cold_pa):
        facts |= {"needed": pressure(least_pa), "at_least": ""}
        yield Finding("pressure_too_low", Severity.CRITICAL, plan.axle, facts)
        return
    if is_above_ceiling(present.cold_pa, most_pa):
        facts["ceiling"] = pressure(most_pa)
        yield Finding("pressure_above_maximum", Severity.CRITICAL, plan.axle, facts)
        return
    for stop in [each for each in present.series if each.is_below_least][:1]:
        facts = {"stop": stop.name, "shown": pressure(stop.coldest_pa), "least": pressure(least_pa)}
        yield Finding("present_below_least", Severity.WARNING, plan.axle, facts)
    here = (HERE, present.cold_pa)
    hottest = [here, *((each.name, each.hottest_pa) for each in present.series)]
    for name, shown_pa in [reading for reading in hottest if exceeds(reading[1], most_pa)][:1]:
        facts = {"stop": name, "shown": pressure(shown_pa), "most": pressure(most_pa)}
        yield Finding("present_above_most", Severity.WARNING, plan.axle, facts)
    if present.serves:
        coldest = [here, *((each.name, each.coldest_pa) for each in present.series)]
        for name, shown_pa in [reading for reading in coldest if exceeds(cold_pa, reading[1])][:1]:
            facts = {"stop": name, "shown": pressure(shown_pa), "recommended": pressure(cold_pa)}
            yield Finding("present_below_recommended", Severity.WARNING, plan.axle, facts)
