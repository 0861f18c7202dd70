"""A gauge reading translated to another temperature and altitude."""

from typing import Annotated

from msgspec import Meta, Struct

from axlewright.contract.closed import Input
from axlewright.contract.computation import CORE, ComputedBy
from axlewright.contract.faults import CrossFieldFaults
from axlewright.contract.output import AltitudeOut, PressureOut, TemperatureOut, UnknownOut, WordsOut
from axlewright.contract.quantities import Altitude, Pressure, Temperature
from axlewright.contract.request import UnitsField
from axlewright.contract.units import Units, chosen_units, in_si, in_units
from axlewright.contract.words import COLD, DEFERENCE
from axlewright.core.inflation.gas import gauge_at

BASIS = (
    "Gas law at constant volume: absolute pressure in proportion to absolute temperature, of air and of nitrogen alike",
    "Ambient pressure of the standard atmosphere (ISO 2533); weather moves it by some 3 kPa (0.4 psi) either way",
)
BELOW_AMBIENT = "The tire would hold less than the air around it: no gauge shows that."


class ObservedInput(Input, frozen=True):
    """What a gauge shows, and where."""

    pressure: Annotated[Pressure, Meta(description="What the gauge shows.")]
    tire_temperature: Annotated[Temperature, Meta(description="Temperature of the tire, not of the air.")]
    altitude: Annotated[Altitude, Meta(description="Of the place above sea level.")]


class TargetInput(Input, frozen=True):
    """Where, and how warm, the tire will be."""

    tire_temperature: Annotated[
        Temperature, Meta(description="Temperature of the tire there; of one that has cooled, the air's.")
    ]
    altitude: Annotated[Altitude, Meta(description="Of that place above sea level.")]


class TranslatePressureRequest(Input, frozen=True):
    """A gauge reading, and where and how warm it is to be told for."""

    units: UnitsField
    observed: Annotated[ObservedInput, Meta(description="The reading.")]
    target: Annotated[TargetInput, Meta(description="What it is to be told for.")]


class TargetAnswer(Struct, frozen=True, kw_only=True):
    """What the gauge shows there."""

    pressure: Annotated[PressureOut | None, Meta(description="What the gauge will show.")]
    tire_temperature: Annotated[TemperatureOut, Meta(description="As asked.")]
    altitude: Annotated[AltitudeOut, Meta(description="As asked.")]
    unknown_because: UnknownOut


class TranslatePressureAnswer(Struct, frozen=True, kw_only=True):
    """What the gauge shows at the target for what it shows at the observation."""

    units: Annotated[Units, Meta(description="Units of every number; null for kinds that the request did not name.")]
    target: Annotated[TargetAnswer, Meta(description="The reading there.")]
    basis: Annotated[list[WordsOut], Meta(max_length=8, description="What it rests on.")]
    cautions: Annotated[list[WordsOut], Meta(max_length=16, description="To be shown with the figures.")]
    computed_by: Annotated[ComputedBy, Meta(description="Version; no tables are used.")]


def translate_pressure_answer(request: TranslatePressureRequest) -> TranslatePressureAnswer:
    """Return the reading at the target, in the request's units.

    Raises
    ------
    CrossFieldFaults
        With every number that is not plausible in its unit.
    """
    units = chosen_units(request.units)
    request, faults = in_si(request, units)
    if faults:
        raise CrossFieldFaults(faults)
    observed, target = request.observed, request.target
    gauge_pa = gauge_at(
        observed.pressure, observed.tire_temperature, observed.altitude, target.tire_temperature, target.altitude
    )
    answer = TranslatePressureAnswer(
        units=units,
        target=TargetAnswer(
            pressure=gauge_pa if gauge_pa >= 0 else None,
            tire_temperature=target.tire_temperature,
            altitude=target.altitude,
            unknown_because=None if gauge_pa >= 0 else BELOW_AMBIENT,
        ),
        basis=list(BASIS),
        cautions=[DEFERENCE, COLD],
        computed_by=CORE,
    )
    return in_units(answer, units)
