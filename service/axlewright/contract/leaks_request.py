"""What is asked of pressure checks over time: tires, their checks, the state to which all are brought."""

from datetime import date
from typing import Annotated, Final

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import (
    END,
    Altitude,
    Pressure,
    PressureDoubt,
    Temperature,
    TemperatureDoubt,
    WheelName,
)
from axlewright.contract.request import UnitsField

MOST_TIRES: Final = 64
MOST_CHECKS: Final = 150
"""So many checks of each of the most tires, with `checked_at` and without spaces, fit in a body of 1 MiB."""

TimeOfDay = Annotated[str, Meta(pattern=f"^(?:[01][0-9]|2[0-3]):[0-5][0-9]{END}")]


class CheckInput(Input, frozen=True, kw_only=True):
    """One look with the gauge: with the tire's temperature, or the air's where the tire has stood for hours."""

    checked_on: Annotated[date, Meta(description="Day of the check.")]
    checked_at: Annotated[TimeOfDay, Meta(description="Time of that day, 24 hours, by one clock for all checks.")] = (
        "12:00"
    )
    pressure: Annotated[Pressure, Meta(description="What the gauge showed; at a refill, afterwards.")]
    tire_temperature: Annotated[Temperature | None, Meta(description="Temperature of the tire.")] = None
    ambient_temperature: Annotated[
        Temperature | None,
        Meta(description="Of the air, in its place: only where the tire had stood for three hours out of the sun."),
    ] = None
    altitude: Annotated[Altitude, Meta(description="Of the place above sea level.")]
    refilled: Annotated[
        bool, Meta(description="Air was added or let out, and `pressure` is what the gauge showed afterwards.")
    ] = False


class CheckedTireInput(Input, frozen=True, kw_only=True):
    """A tire and its checks."""

    wheel_end: WheelName
    least_cold_pressure: Annotated[
        Pressure | None,
        Meta(description="What its load needs, to be held at the reference; needed for a date."),
    ] = None
    checks: Annotated[
        list[CheckInput],
        Meta(
            min_length=1,
            max_length=MOST_CHECKS,
            description="In the order of time. Written without spaces, so many of every tire fit in a body of 1 MiB.",
        ),
    ]


class LeakReferenceInput(Input, frozen=True):
    """The one state to which all checks are brought: best the coldest soak, where the least pressure must hold."""

    tire_temperature: Annotated[Temperature, Meta(description="Temperature of the tire.")]
    altitude: Annotated[Altitude, Meta(description="Above sea level.")]


class CheckUncertaintyInput(Input, frozen=True):
    """How good gauge and thermometer are, from check to check."""

    pressure: Annotated[
        PressureDoubt | None, Meta(description="Standard uncertainty of the gauge; default 1 psi, which is 6.9 kPa.")
    ] = None
    temperature: Annotated[
        TemperatureDoubt | None,
        Meta(description="Standard uncertainty of a tire temperature; default 2 °C, which is 3.6 °F."),
    ] = None


class FindLeaksRequest(Input, frozen=True):
    """The checks of a rig's tires."""

    units: UnitsField
    reference: Annotated[LeakReferenceInput, Meta(description="To which all checks are brought.")]
    tires: Annotated[list[CheckedTireInput], Meta(min_length=1, max_length=MOST_TIRES, description="Every tire.")]
    uncertainty: Annotated[CheckUncertaintyInput, Meta(description="Of each check.")] = CheckUncertaintyInput()
