"""Set points for a tire pressure monitor, axle by axle, and the vehicle's own telltale."""

from collections.abc import Iterator
from typing import Annotated, Literal

from msgspec import Meta, Struct

from axlewright.contract.cold_bounds import bounds_faults, core_bounds
from axlewright.contract.computation import CORE, QuestionAnswer
from axlewright.contract.conditions import core_conditions
from axlewright.contract.faults import Fault, refuse_contradictions
from axlewright.contract.findings import FindingAnswer, finding_answers
from axlewright.contract.itinerary_request import MOST_AXLES
from axlewright.contract.monitor_request import (
    USUAL,
    MonitoredAxleInput,
    MonitoredVehicleInput,
    MonitorPolicyInput,
    SealedInput,
    SetMonitorRequest,
)
from axlewright.contract.needed_units import unit_faults
from axlewright.contract.output import (
    AltitudeOut,
    NameOut,
    PressureOut,
    PressureUpOut,
    TemperatureOut,
    UnknownOut,
    WordsOut,
)
from axlewright.contract.request import ConditionsInput
from axlewright.contract.units import Units, chosen_units, in_si, in_units
from axlewright.contract.words import CALLER, COLD, COMMON_PRACTICE, DEFERENCE
from axlewright.core.assessment import worst_first
from axlewright.core.findings import Finding, Severity, pressure
from axlewright.core.inflation.fillings import Bounds
from axlewright.core.inflation.monitor import (
    Gap,
    MonitorPolicy,
    SealedPoints,
    SetPoints,
    sealed_points,
    sealed_shortfall_pa,
    set_points,
)
from axlewright.core.inflation.telltale import NoTelltale, Telltale, TelltaleTire, telltale
from axlewright.core.rig import TRAILERS, VehicleKind
from axlewright.core.units import exceeds

BASIS = (
    f"{COMMON_PRACTICE}: low and high at shares of the cold pressure, low not below what the load needs; a hot limit",
    "Gas law at constant volume; ambient pressure of the standard atmosphere (ISO 2533), weather left out",
    f"{CALLER}: the least, recommended and most cold pressure",
)
TELLTALE_BASIS = (
    "49 CFR 571.138 S4.2(a): 25 % below the label's cold pressure, or the minimum of its table 1 (from memory) if that "
    "is higher; required of vehicles built since 1 September 2007 (S7, from memory). It may take 20 minutes to light"
)
NOT_A_MONITORS_WORK = (
    "A monitor warns of air that is already lost; it replaces neither the gauge on a cold morning nor a look at the "
    "tires. Where its maker gives set points, those come first."
)
NO_VEHICLE = "`vehicle` was not given: whether its own telltale is required is not known."
NO_PLACES = "`conditions.fill` and `conditions.coldest` are needed for what the tire shows on a cold morning."
NO_DATE = "`vehicle.built_since_september_2007` was not given: whether a telltale is required is not known."
NO_ROW = "`telltale_tire` was not given: the table may ask for a higher threshold, which may be enough for the load."
TELLTALE_WORDS: dict[NoTelltale, str] = {
    NoTelltale.TRAILER: "49 CFR 571.138 S2 does not cover trailers.",
    NoTelltale.ABOVE_LIGHT_VEHICLE: "49 CFR 571.138 S2 covers vehicles of up to 10,000 lb (4,536 kg) GVWR only.",
    NoTelltale.DUAL_WHEELS: "49 CFR 571.138 S2 leaves out every axle of a vehicle that has dual wheels on one.",
    NoTelltale.BUILT_BEFORE: "49 CFR 571.138 S7 asks it of every vehicle built since 1 September 2007 (from memory).",
    NoTelltale.NO_LABEL: "`label_pressure` of the axle was not given: its threshold is a share of that.",
}


class GapAnswer(Struct, frozen=True, kw_only=True):
    """Whether a good tire stays clear of the low set point on the coldest morning; with `sealed`, by such a sensor."""

    standing: Annotated[
        Literal["left", "raise_fill", "no_fill", "not_known"],
        Meta(description="Enough is left; enough with a higher cold pressure; not with any to hold; or not known."),
    ]
    shown_when_coldest: Annotated[
        PressureOut | None, Meta(description="What a tire filled to `cold_pressure` shows at the coldest soak.")
    ]
    gap: Annotated[
        PressureOut | None, Meta(description="How far that lies above the low set point; see `sealed.gap` for sealed.")
    ]
    raise_cold_pressure_to: Annotated[
        PressureUpOut | None,
        Meta(description="The cold pressure at the filling place that leaves enough; null unless `raise_fill`."),
    ]
    unknown_because: UnknownOut


class SealedAnswer(Struct, frozen=True, kw_only=True):
    """The set points as a sealed sensor shows them: they miss nothing between the two altitudes."""

    low: Annotated[PressureUpOut, Meta(description="Right at the lowest place; above it the alarm comes early.")]
    high: Annotated[PressureOut, Meta(description="Right at the highest place; below it the alarm comes early.")]
    gap: Annotated[
        PressureOut | None,
        Meta(description="What is left of the gap on the coldest morning; null where it is not known."),
    ]
    gap_is_enough: Annotated[
        bool | None, Meta(description="It is no less than the sensor's error; null where it is not known.")
    ]
    reference_altitude: Annotated[AltitudeOut, Meta(description="Whose ambient pressure the sensor takes off.")]


class TelltaleAnswer(Struct, frozen=True, kw_only=True):
    """The vehicle's own low-pressure telltale."""

    required: Annotated[
        bool | None, Meta(description="Whether the regulation asks for one; null where that is not known.")
    ]
    threshold: Annotated[
        PressureOut | None,
        Meta(description="At or below this it must light; without `telltale_tire` at this or at a higher pressure."),
    ]
    floor: Annotated[
        PressureOut | None, Meta(description="The table's minimum for the tires; null without `telltale_tire`.")
    ]
    below_least: Annotated[
        bool | None, Meta(description="It need not light before the tire holds less than its load needs.")
    ]
    basis: Annotated[WordsOut, Meta(description="Where that is from.")]
    unknown_because: UnknownOut


class SetPointsAnswer(Struct, frozen=True, kw_only=True):
    """The set points of one axle's tires, as gauge pressure: what vented sensors show at any altitude."""

    axle: Annotated[NameOut, Meta(description="Which axle.")]
    low: Annotated[PressureUpOut, Meta(description="Alarm below this.")]
    low_from: Annotated[
        Literal["share_of_cold", "least_for_load"], Meta(description="What sets it: the share, or what the load needs.")
    ]
    high: Annotated[PressureOut, Meta(description="Alarm above this.")]
    hot_temperature: Annotated[TemperatureOut, Meta(description="Alarm above this tire temperature.")]
    cold_gap: Annotated[GapAnswer, Meta(description="Whether the monitor stays quiet on the coldest morning.")]
    sealed: Annotated[
        SealedAnswer | None,
        Meta(description="For sealed sensors. Null where `sealed` was not given: see `low`, `high`."),
    ]
    telltale: Annotated[TelltaleAnswer, Meta(description="The vehicle's own, beside your monitor.")]


class SetMonitorAnswer(QuestionAnswer, frozen=True, kw_only=True):
    """Set points for every axle."""

    axles: Annotated[list[SetPointsAnswer], Meta(max_length=MOST_AXLES, description="As asked for, in order.")]
    findings: Annotated[list[FindingAnswer], Meta(max_length=100, description="Worst first.")]


class _Monitored(Struct, frozen=True):
    """An axle's set points with what belongs to them, in SI."""

    axle: str
    bounds: Bounds
    points: SetPoints
    sealed: SealedPoints | None
    telltale: Telltale | None


def set_monitor_answer(request: SetMonitorRequest) -> SetMonitorAnswer:
    """Return the set points of every axle, in the request's units.

    Raises
    ------
    CrossFieldFaults
        With everything in the request that contradicts itself or is not plausible in its unit.
    """
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    faults += [*unit_faults(units, ("temperature",)), *bounds_faults(request.axles, units)]
    refuse_contradictions([*faults, *_sealed_faults(request.sealed, request.conditions)], as_sent)
    monitored = [_monitored(axle, request, units) for axle in request.axles]
    findings = [finding for each in monitored for finding in _findings(each)]
    answer = SetMonitorAnswer(
        units=units,
        axles=[_axle_answer(each, request) for each in monitored],
        findings=finding_answers(worst_first(findings), units),
        basis=list(BASIS),
        cautions=[DEFERENCE, COLD, NOT_A_MONITORS_WORK],
        computed_by=CORE,
    )
    return in_units(answer, units)


def _sealed_faults(sealed: SealedInput | None, conditions: ConditionsInput | None) -> Iterator[Fault]:
    if sealed is None:
        return
    if sealed.lowest_altitude > sealed.highest_altitude:
        yield Fault(
            "inconsistent_conditions",
            "/sealed/lowest_altitude",
            "The lowest place of a trip is not above its highest.",
            None,
            "at most `highest_altitude`",
        )
        return
    fill, coldest = (conditions.fill, conditions.coldest) if conditions else (None, None)
    for name, place in (("fill", fill), ("coldest", coldest)):
        if place is not None and not sealed.lowest_altitude <= place.altitude <= sealed.highest_altitude:
            yield Fault(
                "inconsistent_conditions",
                f"/conditions/{name}/altitude",
                "A place of `conditions` lies between the lowest and the highest of `sealed`.",
                None,
                "from `sealed.lowest_altitude` to `sealed.highest_altitude`",
            )


def _policy(policy: MonitorPolicyInput) -> MonitorPolicy:
    return MonitorPolicy(
        low_share=policy.low_share,
        high_share=policy.high_share,
        hot_k=USUAL.hot_k if policy.hot_temperature is None else policy.hot_temperature,
        sensor_error_pa=USUAL.sensor_error_pa if policy.sensor_error is None else policy.sensor_error,
    )


def _monitored(axle: MonitoredAxleInput, request: SetMonitorRequest, units: Units) -> _Monitored:
    bounds, sealed = core_bounds(axle, units), request.sealed
    conditions = core_conditions(request.conditions)
    coldest = conditions.coldest
    points = set_points(
        bounds.cold_pa,
        bounds.least_pa,
        bounds.ceiling_pa,
        fill=conditions.fill,
        coldest=coldest,
        sealed_shortfall_pa=0.0
        if sealed is None or coldest is None
        else sealed_shortfall_pa(sealed.lowest_altitude, coldest.altitude_m),
        policy=_policy(request.policy),
    )
    return _Monitored(
        axle.axle,
        bounds,
        points,
        None
        if sealed is None
        else sealed_points(
            points,
            sealed.lowest_altitude,
            sealed.highest_altitude,
            reference_altitude_m=sealed.reference_altitude or 0.0,
            coldest=coldest,
        ),
        _telltale(axle, request.vehicle, bounds.least_pa),
    )


def _telltale(axle: MonitoredAxleInput, vehicle: MonitoredVehicleInput | None, least_pa: float) -> Telltale | None:
    if vehicle is None:
        return None
    return telltale(
        axle.label_pressure,
        is_trailer=VehicleKind(vehicle.kind) in TRAILERS,
        gvwr_kg=vehicle.gvwr,
        has_dual_wheels=vehicle.dual_wheels,
        built_since_2007=vehicle.built_since_september_2007,
        tire=None if axle.telltale_tire is None else TelltaleTire(axle.telltale_tire),
        least_pa=least_pa,
    )


def _axle_answer(axle: _Monitored, request: SetMonitorRequest) -> SetPointsAnswer:
    points = axle.points
    return SetPointsAnswer(
        axle=axle.axle,
        low=points.low_pa,
        low_from=points.low_from.value,
        high=points.high_pa,
        hot_temperature=points.hot_k,
        cold_gap=GapAnswer(
            standing=points.gap.value,
            shown_when_coldest=points.coldest_pa,
            gap=points.gap_pa,
            raise_cold_pressure_to=points.raise_to_pa,
            unknown_because=NO_PLACES if points.gap is Gap.NOT_KNOWN else None,
        ),
        sealed=_sealed_answer(axle.sealed, request),
        telltale=_telltale_answer(axle.telltale),
    )


def _is_enough(points: SealedPoints, request: SetMonitorRequest) -> bool | None:
    return None if points.gap_pa is None else not exceeds(_policy(request.policy).sensor_error_pa, points.gap_pa)


def _sealed_answer(points: SealedPoints | None, request: SetMonitorRequest) -> SealedAnswer | None:
    sealed = request.sealed
    if points is None or sealed is None:
        return None
    return SealedAnswer(
        low=points.low_pa,
        high=points.high_pa,
        gap=points.gap_pa,
        gap_is_enough=_is_enough(points, request),
        reference_altitude=sealed.reference_altitude or 0.0,
    )


def _telltale_answer(found: Telltale | None) -> TelltaleAnswer:
    if found is None:
        return TelltaleAnswer(
            required=None,
            threshold=None,
            floor=None,
            below_least=None,
            basis=TELLTALE_BASIS,
            unknown_because=NO_VEHICLE,
        )
    reasons = [] if found.because is None else [TELLTALE_WORDS[found.because]]
    reasons += [NO_DATE] if found.is_required is None else []
    reasons += [NO_ROW] if found.threshold_pa is not None and found.is_below_least is None else []
    return TelltaleAnswer(
        required=found.is_required,
        threshold=found.threshold_pa,
        floor=found.floor_pa,
        below_least=found.is_below_least,
        basis=TELLTALE_BASIS,
        unknown_because=" ".join(reasons) or None,
    )


def _findings(axle: _Monitored) -> Iterator[Finding]:
    yield from _gap_findings(axle)
    told = axle.telltale
    if told is None or told.threshold_pa is None:
        return
    facts = {"threshold": pressure(told.threshold_pa), "least": pressure(axle.bounds.least_pa)}
    if told.is_below_least:
        yield Finding("telltale_too_late", Severity.WARNING, axle.axle, facts)
    if told.is_above_label:
        yield Finding("telltale_above_label", Severity.NOTICE, axle.axle, facts)


def _gap_findings(axle: _Monitored) -> Iterator[Finding]:
    points, sealed = axle.points, axle.sealed
    if points.coldest_pa is None or points.gap_pa is None:
        return
    if exceeds(axle.bounds.least_pa, points.coldest_pa):
        facts = {"shown": pressure(points.coldest_pa), "least": pressure(axle.bounds.least_pa)}
        yield Finding("below_least_when_coldest", Severity.WARNING, axle.axle, facts)
        return
    if points.gap is Gap.LEFT:
        return
    low_pa, gap_pa = points.low_pa, points.gap_pa
    if sealed is not None and sealed.gap_pa is not None:
        low_pa, gap_pa = sealed.low_pa, sealed.gap_pa
    facts = {"shown": pressure(low_pa + gap_pa), "low": pressure(low_pa)}
    if points.raise_to_pa is not None:
        facts["raised"] = pressure(points.raise_to_pa)
        code = "monitor_alarms_when_cold" if sealed is None else "sealed_sensor_alarms_when_cold"
        yield Finding(code, Severity.NOTICE, axle.axle, facts)
    else:
        code = "monitor_share_too_high" if points.needed_pa is None else "monitor_cannot_tell"
        yield Finding(code, Severity.WARNING, axle.axle, facts)
