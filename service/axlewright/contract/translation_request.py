"""What is asked of a gauge reading: a tire here and there, with its pressure at one of the two."""

from typing import Annotated

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import Altitude, Pressure, PressureDoubt, Temperature, TemperatureDoubt, TireLoad
from axlewright.contract.request import UnitsField


class AfterDrivingInput(Input, frozen=True):
    """A tire that has just come off the road."""

    max_load: Annotated[TireLoad, Meta(description="Maximum load marked on the tire.")]


class ObservedInput(Input, frozen=True, kw_only=True):
    """The tire here and now; with what its gauge shows, unless the target says what it is to show."""

    pressure: Annotated[
        Pressure | None, Meta(description="What the gauge shows; left out where `target.pressure` is wanted.")
    ] = None
    tire_temperature: Annotated[
        Temperature | None,
        Meta(
            description="Temperature of the tire, not of the air, also of one still warm from the road. To be left out "
            "only where nobody measured it: then `after_driving` is needed, and there is no figure but `roadside`."
        ),
    ] = None
    altitude: Annotated[Altitude, Meta(description="Of the place above sea level.")]
    after_driving: Annotated[
        AfterDrivingInput | None, Meta(description="For `roadside`, where the tire has just come off the road.")
    ] = None
    pressure_uncertainty: Annotated[
        PressureDoubt | None, Meta(description="Standard uncertainty of the gauge; 0 only if it is exact.")
    ] = None
    temperature_uncertainty: Annotated[
        TemperatureDoubt | None,
        Meta(description="Standard uncertainty of the tire temperature; 0 only if it is exact."),
    ] = None


class TargetInput(Input, frozen=True, kw_only=True):
    """The tire there and then; with what its gauge is to show, if that is wanted."""

    pressure: Annotated[
        Pressure | None,
        Meta(description="What it is to show there, mostly a cold pressure: then `set_here` tells what to set now."),
    ] = None
    tire_temperature: Annotated[
        Temperature, Meta(description="Temperature of the tire there; of one that has cooled, the air's.")
    ]
    altitude: Annotated[Altitude, Meta(description="Of that place above sea level.")]


class TranslatePressureRequest(Input, frozen=True):
    """A tire here and there, with its pressure at one of the two; the other is answered."""

    units: UnitsField
    observed: Annotated[ObservedInput, Meta(description="Here and now.")]
    target: Annotated[TargetInput, Meta(description="There and then.")]
