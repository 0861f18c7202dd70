"""What is asked of a trip: where its tires are filled, its stops, the bounds of each axle."""

from typing import Annotated, Final

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.cold_bounds import ColdBoundsInput
from axlewright.contract.quantities import Altitude, Pressure, PressureStep, Temperature, Text
from axlewright.contract.request import FillInput, UnitsField

MOST_STOPS: Final = 100
MOST_AXLES: Final = 16


class StopInput(Input, frozen=True):
    """A place where the tires stand long enough to take its temperature."""

    name: Text
    altitude: Annotated[Altitude, Meta(description="Above sea level.")]
    coldest_temperature: Annotated[
        Temperature, Meta(description="The air's when coldest, at the end of a night: the parked tire takes it on.")
    ]
    hottest_temperature: Annotated[
        Temperature,
        Meta(
            description="The air's when hottest while tires stand there for hours, out of the sun: of the air, as a "
            "cold pressure is meant, not of a tire that sun or road has warmed."
        ),
    ]


class TripAxleInput(ColdBoundsInput, frozen=True, kw_only=True):
    """An axle with its cold pressures, and what its tires hold now."""

    present_pressure: Annotated[
        Pressure | None, Meta(description="What the gauge shows now, at the filling place and `tire_temperature`.")
    ] = None


class PlanItineraryRequest(Input, frozen=True):
    """A trip, where its tires are filled, and the bounds of each axle."""

    units: UnitsField
    fill: Annotated[FillInput, Meta(description="The filling place; it counts as a place to be served, cold.")]
    stops: Annotated[
        list[StopInput], Meta(min_length=1, max_length=MOST_STOPS, description="In the order of the trip.")
    ]
    axles: Annotated[list[TripAxleInput], Meta(min_length=1, max_length=MOST_AXLES, description="Every axle.")]
    rounding_step: Annotated[
        PressureStep | None, Meta(description="Step to which a fill is rounded; default 1 psi, 5 kPa or 0.05 bar.")
    ] = None
