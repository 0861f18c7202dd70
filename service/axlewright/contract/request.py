"""What a client sends: the rig, the tickets or loads, where the tires are filled, and the caller's choices.

The document is whole from the first version on. What this version does not compute yet is refused by name in
`axlewright.contract.pending`; nothing is ignored in silence.
"""

from typing import Annotated, Literal

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import (
    Altitude,
    Mass,
    MassOrNone,
    Name,
    Pressure,
    PressureReserve,
    PressureStep,
    Share,
    ShareBound,
    Speed,
    Temperature,
    Text,
    TireLoad,
    WheelName,
)
from axlewright.contract.rig_request import LoadRange, RigInput
from axlewright.contract.session_request import SessionInput
from axlewright.contract.units import Units


class LoadInput(Input, frozen=True):
    """A load that you know already: of one wheel end, or of several together."""

    wheel_ends: Annotated[
        list[WheelName],
        Meta(min_length=1, max_length=64, description="The wheel ends that carry it together."),
    ]
    load: Annotated[Mass, Meta(description="Their load.")]
    standard_uncertainty: Annotated[
        MassOrNone | None, Meta(description="Its standard uncertainty; 0 only if the load is exact.")
    ] = None


class CouplingLoadInput(Input, frozen=True, kw_only=True):
    """What a trailer's coupling carries, its tongue or pin weight, level and without levelling bars."""

    vehicle: Annotated[Name | None, Meta(description="Which trailer; not needed where there is one.")] = None
    load: Annotated[Mass, Meta(description="Tongue or pin weight.")]
    standard_uncertainty: Annotated[
        MassOrNone | None, Meta(description="Its standard uncertainty; 0 only if the load is exact.")
    ] = None


class FillInput(Input, frozen=True):
    """Where and when the tires are filled."""

    tire_temperature: Annotated[Temperature, Meta(description="Temperature of the tires while they are filled.")]
    altitude: Annotated[Altitude, Meta(description="Of the place above sea level.")]
    ambient_temperature: Annotated[
        Temperature | None,
        Meta(description="Air temperature there; needed where the tires are still warm from running."),
    ] = None


class ColdestInput(Input, frozen=True):
    """The coldest state of the tires before driving off, from the filling on: after a night, not in the afternoon."""

    ambient_temperature: Annotated[Temperature, Meta(description="Coldest air temperature of the night.")]
    altitude: Annotated[Altitude, Meta(description="Of that place above sea level.")]


class ConditionsInput(Input, frozen=True):
    """Where the tires are filled, and where they will be coldest."""

    fill: Annotated[FillInput | None, Meta(description="Needed for `set_now`.")] = None
    coldest: Annotated[ColdestInput | None, Meta(description="From the filling to the next one.")] = None


class PolicyInput(Input, frozen=True):
    """Your choices; each has a default of common practice."""

    reserve_share: Annotated[
        float,
        Meta(
            ge=0,
            le=1,
            description="Load added before a pressure is chosen, as a share of it.",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = 0.0
    reserve_pressure: Annotated[
        PressureReserve, Meta(description="Pressure added to the least one for the load, within the ceiling.")
    ] = 0.0
    rounding_step: Annotated[
        PressureStep | None,
        Meta(description="Step to which an estimated pressure is rounded up; default 5 psi, 10 kPa or 0.1 bar."),
    ] = None
    coverage_factor: Annotated[
        float,
        Meta(
            ge=1,
            le=5,
            description="k: loads are judged at their value plus or minus k standard uncertainties.",
            extra_json_schema={"x-quantity": "number"},
        ),
    ] = 2.0
    tight_share: Annotated[Share, Meta(description="A limit with less than this share left is tight.")] = 0.05
    label_floor: Annotated[
        Literal["light_and_trailers", "always", "never"],
        Meta(description="For which vehicles the label's pressure is a floor; `light` is up to 10,000 lb GVWR."),
    ] = "light_and_trailers"
    least_steering_share: Annotated[
        ShareBound, Meta(description="Least share of a motor vehicle's load on its first axle.")
    ] = 0.20
    least_tongue_share: Annotated[
        ShareBound, Meta(description="Least share of a trailer's weight on the ball; needed below `most_tongue_share`.")
    ] = 0.10
    most_tongue_share: Annotated[ShareBound, Meta(description="Most share of a trailer's weight on the ball.")] = 0.15
    least_pin_share: Annotated[
        ShareBound,
        Meta(description="Least share of a fifth wheel's weight on the kingpin; needed below `most_pin_share`."),
    ] = 0.15
    most_pin_share: Annotated[ShareBound, Meta(description="Most share of a fifth wheel's weight on the kingpin.")] = (
        0.25
    )
    speed: Annotated[
        Speed | None,
        Meta(description="Most speed at which the rig is driven; judged against the tires' speed symbols if given."),
    ] = None
    interstate_limits: Annotated[
        bool,
        Meta(
            description="Whether the Federal limits of weight on the United States' Interstate System are judged too: "
            "single axle, tandem, gross, bridge formula."
        ),
    ] = False
    significance: Annotated[
        float,
        Meta(
            ge=0.0001,
            le=0.5,
            description="Probability that an independent part of a session without a slip fails its cross-check.",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = 0.05
    whole_axle_share: Annotated[
        float,
        Meta(
            ge=0,
            le=0.1,
            description="Placement error of a reading, as a share of it (judgement).",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = 0.001
    hanging_side_share: Annotated[
        float,
        Meta(
            ge=0,
            le=0.1,
            description="Error of a side reading, as a share of the axle's load (judgement).",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = 0.0025
    raised_pad_share: Annotated[
        float,
        Meta(
            ge=0,
            le=0.1,
            description="Error of a pad under one axle while others stand on the ground (judgement).",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = 0.02


class TableRowInput(Input, frozen=True):
    """One row of a load/inflation table."""

    pressure: Annotated[Pressure, Meta(description="Cold pressure.")]
    load: Annotated[TireLoad, Meta(description="Most load of one tire at that pressure.")]


class TireTableInput(Input, frozen=True, kw_only=True):
    """The tire maker's load/inflation table for a size; it comes before the built-in rows."""

    designation: Annotated[Text, Meta(description="The size that it is for.")]
    load_range: Annotated[LoadRange | None, Meta(description="The load range that it is for; any, if left out.")] = None
    fitment: Annotated[Literal["single", "dual"], Meta(description="Single or dual loads.")]
    rows: Annotated[list[TableRowInput], Meta(min_length=1, max_length=60, description="Rising in pressure and load.")]
    source: Annotated[Text, Meta(description="Whose table it is.")]
    edition: Annotated[Text | None, Meta(description="Its edition or year.")] = None


UnitsField = Annotated[
    Literal["us", "metric"] | Units,
    Meta(description="Units of every number here and in the answer. There is no default."),
]
RigField = Annotated[RigInput, Meta(description="The rig and its ratings.")]
PolicyField = Annotated[PolicyInput, Meta(description="Your choices.")]


TablesField = Annotated[list[TireTableInput], Meta(max_length=16, description="Tire makers' tables of your own.")]
CouplingLoadsField = Annotated[
    list[CouplingLoadInput], Meta(max_length=4, description="Tongue or pin weights that you know, one a trailer.")
]


class ReconcileSessionRequest(Input, frozen=True):
    """A rig with its weigh tickets."""

    units: UnitsField
    rig: RigField
    session: Annotated[SessionInput, Meta(description="The weigh tickets.")]
    coupling_loads: CouplingLoadsField = []
    policy: PolicyField = PolicyInput()
    tire_tables: TablesField = []


class LoadedRigRequest(Input, frozen=True):
    """A rig with its weigh tickets or its known loads: exactly one of `session` and `loads`."""

    units: UnitsField
    rig: RigField
    session: Annotated[SessionInput | None, Meta(description="The weigh tickets.")] = None
    loads: Annotated[
        Annotated[list[LoadInput], Meta(min_length=1, max_length=128)] | None,
        Meta(description="Loads that you know already."),
    ] = None
    coupling_loads: CouplingLoadsField = []
    policy: PolicyField = PolicyInput()
    tire_tables: TablesField = []


class AssessRequest(LoadedRigRequest, frozen=True):
    """A rig with its weigh tickets or its known loads: exactly one of `session` and `loads`."""

    conditions: Annotated[ConditionsInput | None, Meta(description="Needed for `set_now`.")] = None


class CoupledRigRequest(AssessRequest, frozen=True):
    """A rig whose vehicles are coupled, with the loads of each by itself and what its couplings carry."""
