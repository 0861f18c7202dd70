"""A gauge reading translated to another temperature and altitude, or a wanted pressure to what must be set here."""

from collections.abc import Iterator
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from axlewright.contract.computation import CORE, QuestionAnswer
from axlewright.contract.faults import Fault, refuse_contradictions
from axlewright.contract.output import (
    AltitudeOut,
    PressureOut,
    PressureUpOut,
    TemperatureOut,
    UnknownOut,
    WordsOut,
)
from axlewright.contract.translation_request import ObservedInput, TargetInput, TranslatePressureRequest
from axlewright.contract.units import chosen_units, in_si, in_units
from axlewright.contract.words import COLD, DEFERENCE
from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.atmosphere import pressure_pa
from axlewright.core.inflation.translation import (
    TireState,
    Translation,
    cold_by_build_up_pa,
    departure,
    translated,
)

BASIS = (
    "Gas law at constant volume: absolute pressure in proportion to absolute temperature, of air and of nitrogen alike",
    "Ambient pressure of the standard atmosphere (ISO 2533); weather moves it by some 3 kPa (0.4 psi) either way",
)
UNCERTAINTY_BASIS = "Your own input: the uncertainties; propagated to first order (JCGM 100:2008, 5.1.2)"
ROADSIDE_BASIS = (
    "49 CFR 393.75, table 1 (text of 2005, 70 FR 48054): 5 psi (34.5 kPa) off for a tire rated up to 4,000 lb "
    "(1,814 kg), else 15 psi (103.4 kPa), after an hour at 41 to 55 mph (66 to 88.5 km/h) on average"
)
BELOW_AMBIENT = "The tire would hold less than the air around it: no gauge shows that."
NOT_MEASURED = (
    "Nobody measured the tire's temperature. `roadside` tells what an inspection would take its cold pressure to be; "
    "for a figure, measure the tire, or let it cool for three hours and read it again."
)
NO_GAUGE_UNCERTAINTY = "`pressure_uncertainty` was not given."
BELOW_BUILD_UP = "The gauge shows no more than what running alone is taken to have added: the tire is as good as flat."
SAME_GAS = (
    "Nitrogen and air alike: at constant volume both follow the ideal gas law, which knows no kind of gas, and four "
    "fifths of dry air are nitrogen. Water in the compressed air is left out: damp air can show more when hot."
)
BEYOND_GAS_SPAN = (
    "The figures hold from -30 to 70 °C (-22 to 158 °F) and up to 1,100 kPa (160 psi) absolute; this lies outside."
)
COLDEST_GAS_K: Final = 243.0
HOTTEST_GAS_K: Final = 343.15
MOST_GAS_PA: Final = 1.1e6
"""Span of the published figures on real gases: see `departure`."""


class TargetAnswer(Struct, frozen=True, kw_only=True):
    """What the gauge shows there."""

    pressure: Annotated[PressureOut | None, Meta(description="What the gauge will show, or what it is to show.")]
    tire_temperature: Annotated[TemperatureOut, Meta(description="As asked.")]
    altitude: Annotated[AltitudeOut, Meta(description="As asked.")]
    unknown_because: UnknownOut


class SetHereAnswer(Struct, frozen=True, kw_only=True):
    """What the gauge must show here and now."""

    pressure: Annotated[PressureUpOut | None, Meta(description="What to set.")]
    tire_temperature: Annotated[TemperatureOut, Meta(description="As asked.")]
    altitude: Annotated[AltitudeOut, Meta(description="As asked.")]
    unknown_because: UnknownOut


class ChangeAnswer(Struct, frozen=True, kw_only=True):
    """What the way from here to there adds to the gauge; less than 0 where it takes from it."""

    by_temperature: Annotated[PressureOut | None, Meta(description="By the change of temperature.")]
    by_altitude: Annotated[PressureOut | None, Meta(description="By the change of altitude.")]
    unknown_because: UnknownOut


class UncertaintyAnswer(Struct, frozen=True, kw_only=True):
    """How sure the pressure there and then is, by the instruments here."""

    standard_uncertainty: Annotated[PressureOut | None, Meta(description="Standard uncertainty of the pressure there.")]
    covers: Annotated[
        list[Literal["gauge", "thermometer"]],
        Meta(max_length=2, description="What it rests on. An instrument that is not listed counts as exact."),
    ]
    unknown_because: UnknownOut


class GasAnswer(Struct, frozen=True, kw_only=True):
    """Whether it matters what the tire is filled with."""

    nitrogen_differs_by: Annotated[
        PressureOut | None, Meta(description="By how much nitrogen there differs from dry air.")
    ]
    ideal_gas_differs_by: Annotated[
        PressureOut | None,
        Meta(description="By how much the one of them that does so more departs there from the figure."),
    ]
    reason: Annotated[WordsOut, Meta(description="Why that is so.")]
    unknown_because: UnknownOut


class RoadsideAnswer(Struct, frozen=True, kw_only=True):
    """What a roadside inspection takes the cold pressure of a tire just stopped to be: for information only."""

    cold_pressure: Annotated[PressureOut | None, Meta(description="The reading less the build-up.")]
    build_up: Annotated[
        PressureOut | None, Meta(description="What running is taken to have added, whatever the weather.")
    ]
    basis: Annotated[WordsOut, Meta(description="Where that is from.")]
    unknown_because: UnknownOut


class TranslatePressureAnswer(QuestionAnswer, frozen=True, kw_only=True):
    """What the gauge shows at the target for what it shows at the observation, or what to set here."""

    target: Annotated[TargetAnswer, Meta(description="The reading there.")]
    set_here: Annotated[
        SetHereAnswer | None, Meta(description="What to set. Null where `target.pressure` was not given.")
    ]
    change: Annotated[ChangeAnswer, Meta(description="What the way from here to there adds to the gauge.")]
    uncertainty: Annotated[UncertaintyAnswer, Meta(description="How sure the pressure there is.")]
    gas: Annotated[GasAnswer, Meta(description="Nitrogen or air.")]
    roadside: Annotated[
        RoadsideAnswer | None,
        Meta(description="For information, of a tire just stopped. Null where `after_driving` was not given."),
    ]


class _Way(Struct, frozen=True):
    """A reading here, and the two states between which it is translated."""

    gauge_pa: float
    here: TireState
    there: TireState
    gauge_u_pa: float | None
    temperature_u_k: float | None

    @property
    def translation(self) -> Translation:
        return translated(
            self.gauge_pa,
            self.here,
            self.there,
            gauge_u_pa=self.gauge_u_pa,
            temperature_u_k=self.temperature_u_k or 0.0,
        )


def translate_pressure_answer(request: TranslatePressureRequest) -> TranslatePressureAnswer:
    """Return the reading at the target, or what to set here for it, in the request's units.

    Raises
    ------
    CrossFieldFaults
        With everything that is not plausible in its unit, or that leaves open what is asked.
    """
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    refuse_contradictions([*faults, *_choice_faults(request.observed, request.target)], as_sent)
    way = _way(request.observed, request.target)
    translation = None if way is None else way.translation
    because = _unknown_because(way, translation)
    answer = TranslatePressureAnswer(
        units=units,
        target=_target(request.target, translation, because),
        set_here=_set_here(request, way, because),
        change=_change(translation, because),
        uncertainty=_uncertainty(way, translation, because),
        gas=_gas(way, translation, because),
        roadside=_roadside(request.observed),
        basis=[*BASIS, *([UNCERTAINTY_BASIS] if way and way.gauge_u_pa is not None else [])],
        cautions=[DEFERENCE, COLD],
        computed_by=CORE,
    )
    return in_units(answer, units)


def _choice_faults(observed: ObservedInput, target: TargetInput) -> Iterator[Fault]:
    if (observed.pressure is None) == (target.pressure is None):
        yield Fault(
            "inconsistent_choice",
            "/observed/pressure" if observed.pressure is None else "/target/pressure",
            "The pressure is given at one place and answered at the other: exactly one of the two.",
            None,
            "observed.pressure, or target.pressure",
        )
    if observed.pressure is None and observed.after_driving is not None:
        yield Fault(
            "inconsistent_choice",
            "/observed/after_driving",
            "An inspection estimates the cold pressure from what the gauge shows, and that was not given.",
            None,
            "observed.pressure beside it, or neither",
        )
    if observed.tire_temperature is None and observed.after_driving is None:
        yield Fault(
            "inconsistent_choice",
            "/observed",
            "A tire has its temperature or, where nobody measured it after driving, `after_driving`.",
            None,
            "tire_temperature, or after_driving",
        )
    if observed.tire_temperature is None and observed.temperature_uncertainty is not None:
        yield Fault(
            "inconsistent_choice",
            "/observed/temperature_uncertainty",
            "There is no tire temperature of which this could be the uncertainty.",
            None,
            "tire_temperature beside it, or neither",
        )


def _way(observed: ObservedInput, target: TargetInput) -> _Way | None:
    """Return the way from here to there; None where the tire's temperature here is not known."""
    if observed.tire_temperature is None:
        return None
    here = TireState(observed.tire_temperature, observed.altitude)
    there = TireState(target.tire_temperature, target.altitude)
    gauge_pa = observed.pressure
    if gauge_pa is None:
        assert target.pressure is not None
        gauge_pa = translated(target.pressure, there, here).gauge_pa
    return _Way(gauge_pa, here, there, observed.pressure_uncertainty, observed.temperature_uncertainty)


def _unknown_because(way: _Way | None, translation: Translation | None) -> str | None:
    if way is None or translation is None:
        return NOT_MEASURED
    return BELOW_AMBIENT if min(way.gauge_pa, translation.gauge_pa) < 0 else None


def _target(target: TargetInput, translation: Translation | None, because: str | None) -> TargetAnswer:
    return TargetAnswer(
        pressure=translation.gauge_pa if translation and because is None else target.pressure,
        tire_temperature=target.tire_temperature,
        altitude=target.altitude,
        unknown_because=because if target.pressure is None else None,
    )


def _set_here(request: TranslatePressureRequest, way: _Way | None, because: str | None) -> SetHereAnswer | None:
    if request.target.pressure is None or way is None:
        return None
    return SetHereAnswer(
        pressure=way.gauge_pa if because is None else None,
        tire_temperature=way.here.tire_temperature_k,
        altitude=way.here.altitude_m,
        unknown_because=because,
    )


def _change(translation: Translation | None, because: str | None) -> ChangeAnswer:
    known = translation if because is None else None
    return ChangeAnswer(
        by_temperature=known.by_temperature_pa if known else None,
        by_altitude=known.by_altitude_pa if known else None,
        unknown_because=because,
    )


def _uncertainty(way: _Way | None, translation: Translation | None, because: str | None) -> UncertaintyAnswer:
    if way is None or translation is None or because is not None:
        return UncertaintyAnswer(standard_uncertainty=None, covers=[], unknown_because=because)
    if translation.u_pa is None:
        return UncertaintyAnswer(standard_uncertainty=None, covers=[], unknown_because=NO_GAUGE_UNCERTAINTY)
    covers: list[Literal["gauge", "thermometer"]] = ["gauge"]
    if way.temperature_u_k is not None:
        covers.append("thermometer")
    return UncertaintyAnswer(standard_uncertainty=translation.u_pa, covers=covers, unknown_because=None)


def _gas(way: _Way | None, translation: Translation | None, because: str | None) -> GasAnswer:
    differs = None
    if way is not None and translation is not None and because is None:
        states = ((way.gauge_pa, way.here), (translation.gauge_pa, way.there))
        if all(_is_in_gas_span(gauge_pa, state) for gauge_pa, state in states):
            absolute_pa = way.gauge_pa + pressure_pa(way.here.altitude_m)
            differs = departure(absolute_pa, way.here.tire_temperature_k, way.there.tire_temperature_k)
        else:
            because = BEYOND_GAS_SPAN
    return GasAnswer(
        nitrogen_differs_by=None if differs is None else differs.nitrogen_pa,
        ideal_gas_differs_by=None if differs is None else differs.ideal_pa,
        reason=SAME_GAS,
        unknown_because=because,
    )


def _is_in_gas_span(gauge_pa: float, state: TireState) -> bool:
    is_between = COLDEST_GAS_K <= state.tire_temperature_k <= HOTTEST_GAS_K
    return is_between and gauge_pa + pressure_pa(state.altitude_m) <= MOST_GAS_PA


def _roadside(observed: ObservedInput) -> RoadsideAnswer | None:
    if observed.after_driving is None or observed.pressure is None:
        return None
    try:
        cold_pa = cold_by_build_up_pa(observed.pressure, observed.after_driving.max_load)
    except OutOfRange:
        return RoadsideAnswer(cold_pressure=None, build_up=None, basis=ROADSIDE_BASIS, unknown_because=BELOW_BUILD_UP)
    return RoadsideAnswer(
        cold_pressure=cold_pa,
        build_up=observed.pressure - cold_pa,
        basis=ROADSIDE_BASIS,
        unknown_because=None,
    )
