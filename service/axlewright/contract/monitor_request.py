"""What is asked of a pressure monitor: the axles of one vehicle, its places, its sensors."""

from typing import Annotated, Final, Literal

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.cold_bounds import ColdBoundsInput
from axlewright.contract.itinerary_request import MOST_AXLES
from axlewright.contract.quantities import Altitude, Mass, Pressure, PressureDoubt
from axlewright.contract.request import ConditionsInput, UnitsField
from axlewright.core.inflation.monitor import MonitorPolicy

USUAL: Final = MonitorPolicy()
HotTemperature = Annotated[
    float,
    Meta(gt=0, le=250, extra_json_schema={"x-quantity": "temperature", "x-si-range": [322, 373.15]}),
]
"""A hot set point below 49 degC, or 120 degF, would alarm on every summer road."""


class SealedInput(Input, frozen=True):
    """Sensors that measure against a fixed pressure, not against the air around them."""

    lowest_altitude: Annotated[Altitude, Meta(description="Of the lowest place; those of `conditions` count.")]
    highest_altitude: Annotated[Altitude, Meta(description="Of the highest place; those of `conditions` count.")]
    reference_altitude: Annotated[
        Altitude | None,
        Meta(description="Whose ambient pressure the sensor takes off, by its maker; sea level if left out."),
    ] = None


class MonitoredVehicleInput(Input, frozen=True):
    """The vehicle, to tell whether a telltale of its own is required."""

    kind: Annotated[
        Literal["motorhome", "van", "tow_vehicle", "towed_car", "travel_trailer", "fifth_wheel", "trailer"],
        Meta(description="What it is, as in a rig."),
    ]
    gvwr: Annotated[Mass, Meta(description="Gross vehicle weight rating from the label.")]
    dual_wheels: Annotated[bool, Meta(description="Any of its axles has dual wheels.")]
    built_since_september_2007: Annotated[
        bool | None, Meta(description="Built on 1 September 2007 or later; needed to tell whether one is required.")
    ] = None


class MonitoredAxleInput(ColdBoundsInput, frozen=True, kw_only=True):
    """An axle with its cold pressures, held at `conditions.fill` where that is given."""

    label_pressure: Annotated[
        Pressure | None, Meta(description="Of this axle from the vehicle's label; needed for the telltale.")
    ] = None
    telltale_tire: Annotated[
        Literal["p_metric_standard_load", "p_metric_extra_load", "load_range_c", "load_range_d", "load_range_e"] | None,
        Meta(description="The row of 49 CFR 571.138, table 1, for its tires; if left out, its minimum is not known."),
    ] = None


class MonitorPolicyInput(Input, frozen=True):
    """Your choices; each has a default of common practice."""

    low_share: Annotated[
        float,
        Meta(
            ge=0.5,
            lt=1,
            description="Low set point, as a share of the cold pressure.",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = USUAL.low_share
    high_share: Annotated[
        float,
        Meta(
            gt=1,
            le=2,
            description="High set point, as a share of the cold pressure.",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = USUAL.high_share
    hot_temperature: Annotated[
        HotTemperature | None, Meta(description="Hot set point; default 70 °C, which is 158 °F.")
    ] = None
    sensor_error: Annotated[
        PressureDoubt | None,
        Meta(
            description="By how much a sensor may read wrong: a good tire must show that much more than the low set "
            "point; default 1 psi, which is 6.9 kPa."
        ),
    ] = None


class SetMonitorRequest(Input, frozen=True, kw_only=True):
    """The axles of one vehicle with their cold pressures."""

    units: UnitsField
    axles: Annotated[
        list[MonitoredAxleInput], Meta(min_length=1, max_length=MOST_AXLES, description="Every axle of one vehicle.")
    ]
    conditions: Annotated[
        ConditionsInput | None,
        Meta(description="Where the tires are filled, and the coldest soak from then on; needed for the gap."),
    ] = None
    sealed: Annotated[SealedInput | None, Meta(description="Only if the sensors are sealed, not vented.")] = None
    vehicle: Annotated[MonitoredVehicleInput | None, Meta(description="Needed for the telltale.")] = None
    policy: Annotated[MonitorPolicyInput, Meta(description="Your choices.")] = MonitorPolicyInput()
