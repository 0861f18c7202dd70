"""What a client sends: the rig, the tickets or loads, where the tires are filled, and the caller's choices.

The document is whole from the first version on. What this version does not compute yet is refused by name in
`axlewright.contract.pending`; nothing is ignored in silence.
"""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta, Struct

from axlewright.contract.quantities import (
    Altitude,
    AxleLoad,
    AxleName,
    Division,
    Height,
    Length,
    LongText,
    Mass,
    MassOrNone,
    Name,
    Pressure,
    PressureStep,
    Share,
    SignedMass,
    Temperature,
    Text,
    TireLoad,
    Track,
    Volume,
    WheelName,
)
from axlewright.contract.units import Units

LoadRange = Literal["A", "B", "C", "D", "E", "F", "G", "H", "J", "L", "M", "N"]
SpeedSymbol = Literal[
    "A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "B", "C", "D", "E", "F", "G", "J", "K", "L", "M",
    "N", "P", "Q", "R", "S", "T", "U", "H", "V", "W", "Y",
]  # fmt: skip


class Input(Struct, frozen=True, forbid_unknown_fields=True):
    """A document that a client sends: closed, so that a misspelt name is refused and not ignored."""


class WheelInput(Input, frozen=True):
    """The rim's own maxima, from its maker's figures."""

    max_load: Annotated[TireLoad | None, Meta(description="Most load on one wheel.")] = None
    max_pressure: Annotated[Pressure | None, Meta(description="Most cold pressure the wheel may hold.")] = None


class TiresInput(Input, frozen=True, kw_only=True):
    """The tires of an axle or of one wheel end, all alike, as marked on the sidewall."""

    fitment: Annotated[Literal["single", "dual"], Meta(description="One tire at each wheel end, or two side by side.")]
    designation: Annotated[
        Text, Meta(description="Size as marked, with or without load range and service description.")
    ]
    load_range: Annotated[LoadRange | None, Meta(description="Load range letter as marked.")] = None
    speed_symbol: Annotated[SpeedSymbol | None, Meta(description="Speed symbol as marked.")] = None
    max_load_single: Annotated[TireLoad, Meta(description="Marked maximum load of one tire, fitted single.")]
    max_load_dual: Annotated[
        TireLoad | None,
        Meta(description="Marked maximum load of one tire, fitted dual; needed for duals, never derived."),
    ] = None
    max_pressure: Annotated[Pressure, Meta(description="Cold pressure marked with the maximum load.")]
    pressure: Annotated[Pressure | None, Meta(description="Cold pressure that the tires hold today.")] = None


class WheelEndInput(Input, frozen=True):
    """What one wheel end has otherwise than its axle."""

    side: Annotated[Literal["left", "right"], Meta(description="As seen facing forward.")]
    tires: Annotated[TiresInput | None, Meta(description="Its own tires.")] = None
    wheel: Annotated[WheelInput | None, Meta(description="Its own wheel.")] = None
    max_load: Annotated[
        AxleLoad | None,
        Meta(description="Rating of this wheel end by its maker (bearing, spindle), if there is one."),
    ] = None


class AxleInput(Input, frozen=True, kw_only=True):
    """One axle."""

    name: AxleName
    aft: Annotated[
        Length,
        Meta(description="Distance behind the vehicle's first axle; in a trailer, behind its coupling point."),
    ]
    track: Annotated[Track, Meta(description="Between tire centres left and right; of duals, between dual centres.")]
    gawr: Annotated[AxleLoad, Meta(description="Gross axle weight rating from the label.")]
    wheel: Annotated[WheelInput | None, Meta(description="The wheels' maxima.")] = None
    tires: Annotated[TiresInput, Meta(description="The tires of both wheel ends.")]
    wheel_ends: Annotated[
        list[WheelEndInput], Meta(max_length=2, description="Wheel ends that differ from the axle.")
    ] = []


class LabelPressureInput(Input, frozen=True):
    """The cold pressure that the vehicle's label states for an axle."""

    axle: AxleName
    pressure: Annotated[Pressure, Meta(description="As on the label.")]


class GroupInput(Input, frozen=True):
    """Axles that share load in a fixed proportion."""

    axles: Annotated[list[AxleName], Meta(min_length=2, max_length=8, description="Front to back.")]
    suspension: Annotated[Literal["shared_air", "equalised", "independent"], Meta(description="How they share.")]
    split: Annotated[
        Annotated[list[Share], Meta(min_length=2, max_length=8)] | None,
        Meta(description="Share of each axle, adding up to 1."),
    ] = None


class HitchInput(Input, frozen=True, kw_only=True):
    """Where a vehicle takes a trailer, and what its hitch may carry."""

    aft: Annotated[Length, Meta(description="Distance behind the vehicle's first axle.")]
    up: Annotated[Height, Meta(description="Height of the coupling above the ground.")]
    max_vertical: Annotated[Mass, Meta(description="Most tongue or pin weight, carrying.")]
    max_vertical_levelled: Annotated[
        Mass | None, Meta(description="Most tongue weight with a weight-distributing hitch tensioned.")
    ] = None
    max_towed: Annotated[Mass, Meta(description="Most that may be towed.")]


class TankInput(Input, frozen=True):
    """A tank and where it sits."""

    name: Name
    fluid: Annotated[
        Literal["water", "grey_water", "black_water", "gasoline", "diesel", "propane", "exhaust_fluid"],
        Meta(description="What it holds."),
    ]
    capacity: Annotated[Volume, Meta(description="Volume when full; of a propane tank its water capacity.")]
    aft: Annotated[Length, Meta(description="Place behind the vehicle's first axle.")]
    right: Annotated[Length, Meta(description="Place to the right of the centre line; negative to the left.")]
    up: Annotated[Height | None, Meta(description="Height of its middle above the ground.")] = None


class PlaceInput(Input, frozen=True):
    """A named place for people or cargo."""

    name: Name
    aft: Annotated[Length, Meta(description="Behind the vehicle's first axle.")]
    right: Annotated[Length, Meta(description="To the right of the centre line; negative to the left.")]
    up: Annotated[Height | None, Meta(description="Height above the ground.")] = None
    capacity: Annotated[Mass | None, Meta(description="Most that may go there.")] = None


class VehicleInput(Input, frozen=True, kw_only=True):
    """One powered unit or trailer."""

    name: Name
    kind: Annotated[
        Literal["motorhome", "van", "tow_vehicle", "towed_car", "travel_trailer", "fifth_wheel", "trailer"],
        Meta(description="What it is. `tow_vehicle` is a pickup or the like, `trailer` any other trailer."),
    ]
    gvwr: Annotated[
        Mass,
        Meta(description="Gross vehicle weight rating from the label: a limit of its own, not the axles' sum."),
    ]
    gcwr: Annotated[Mass | None, Meta(description="Gross combination weight rating.")] = None
    axles: Annotated[list[AxleInput], Meta(min_length=1, max_length=8, description="Front to back.")]
    label_pressures: Annotated[
        list[LabelPressureInput], Meta(max_length=8, description="Cold pressures from the vehicle's label.")
    ] = []
    groups: Annotated[list[GroupInput], Meta(max_length=4, description="Axles that share load.")] = []
    hitch: Annotated[HitchInput | None, Meta(description="The hitch, if there is one.")] = None
    tanks: Annotated[list[TankInput], Meta(max_length=32, description="Tanks.")] = []
    places: Annotated[list[PlaceInput], Meta(max_length=64, description="Places for people and cargo.")] = []


class CouplingInput(Input, frozen=True):
    """What tows what."""

    tow: Name
    towed: Name
    kind: Annotated[Literal["ball", "fifth_wheel", "towbar", "dolly"], Meta(description="How the two are joined.")]


class RigInput(Input, frozen=True):
    """One vehicle, or a towing vehicle and what it tows."""

    name: Annotated[Text, Meta(description="What you call the rig.")]
    vehicles: Annotated[list[VehicleInput], Meta(min_length=1, max_length=4, description="The towing vehicle first.")]
    couplings: Annotated[list[CouplingInput], Meta(max_length=3, description="What tows what.")] = []


class PlatformInput(Input, frozen=True):
    """One independently read section of the scale, or one pad."""

    name: Text
    division: Annotated[Division | None, Meta(description="Its own division, if not the scale's.")] = None
    kind: Annotated[
        Literal["section", "pad"],
        Meta(description="A section lies level with its approach; a pad lifts the wheel that stands on it."),
    ] = "section"


class ToleranceInput(Input, frozen=True):
    """Your own tolerance of the scale: a share of the reading, but never less than a fixed mass; both signs."""

    share: Annotated[
        float,
        Meta(ge=0, le=0.2, description="Share of the reading.", extra_json_schema={"x-quantity": "share"}),
    ]
    least: Annotated[MassOrNone, Meta(description="Never less than this.")]


class ScaleInput(Input, frozen=True):
    """The scale: division, and either its accuracy class or your own tolerance."""

    division: Annotated[Division, Meta(description="The step in which it reads, d.")]
    accuracy_class: Annotated[
        Literal["III L", "III", "IIII", "OIML III", "OIML IIII"] | None,
        Meta(
            description="Marked on the scale: NIST Handbook 44 class (maintenance tolerance), or OIML R 76 class "
            "(in service). Public vehicle scales are class III L."
        ),
    ] = None
    tolerance: Annotated[ToleranceInput | None, Meta(description="Your own, instead of a class.")] = None
    platforms: Annotated[
        list[PlatformInput],
        Meta(max_length=64, description="Needed only where a platform differs from the scale."),
    ] = []


class ReadingInput(Input, frozen=True):
    """What one platform showed, and what stood on it."""

    platform: Annotated[Text, Meta(description="Which platform.")]
    value: Annotated[Mass, Meta(description="As printed.")]
    wheel_ends: Annotated[
        list[WheelName], Meta(min_length=1, max_length=64, description="Every wheel end on the platform.")
    ]


class ChangeInput(Input, frozen=True):
    """Mass that left (negative) or came before this pass, and where."""

    mass: Annotated[SignedMass, Meta(description="Negative where it left.")]
    aft: Annotated[Length, Meta(description="Behind the vehicle's first axle.")]
    right: Annotated[Length, Meta(description="To the right of the centre line.")]
    why: Annotated[LongText | None, Meta(description="In your words.")] = None


class PassInput(Input, frozen=True, kw_only=True):
    """One stop on the scale."""

    name: Annotated[Text, Meta(description="What you call it.")]
    state: Annotated[Literal["solo", "hitched", "hitched_levelled"], Meta(description="How the rig was coupled.")] = (
        "solo"
    )
    changes: Annotated[
        list[ChangeInput],
        Meta(max_length=16, description="What was otherwise than in the state of load declared."),
    ] = []
    readings: Annotated[list[ReadingInput], Meta(min_length=1, max_length=16, description="One a platform.")]


class AboardInput(Input, frozen=True):
    """A person or an item aboard during the weigh."""

    mass: Annotated[Mass, Meta(description="How heavy.")]
    place: Annotated[Name, Meta(description="Where.")]


class TankLevelInput(Input, frozen=True):
    """How full a tank was during the weigh."""

    name: Name
    level: Annotated[Share, Meta(description="0 empty, 1 full.")]


class CarriedInput(Input, frozen=True):
    """The state of load in which the rig was weighed."""

    people: Annotated[list[AboardInput], Meta(max_length=32, description="Everyone aboard.")] = []
    cargo: Annotated[list[AboardInput], Meta(max_length=200, description="What was loaded where.")] = []
    tanks: Annotated[list[TankLevelInput], Meta(max_length=32, description="Level of each tank.")] = []
    note: Annotated[LongText | None, Meta(description="In your words.")] = None


class SessionInput(Input, frozen=True, kw_only=True):
    """One weigh: the passes, with the scale and the state of load."""

    weighed_on: Annotated[date | None, Meta(description="Day of the weigh.")] = None
    ticket: Annotated[Text | None, Meta(description="Number of the ticket.")] = None
    scale: Annotated[ScaleInput, Meta(description="The scale.")]
    carried: Annotated[CarriedInput | None, Meta(description="What was aboard.")] = None
    passes: Annotated[list[PassInput], Meta(min_length=1, max_length=64, description="In the order driven.")]


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
        float,
        Meta(
            gt=0,
            lt=1,
            description="Least share of a motor vehicle's load on its first axle.",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = 0.20
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


class AssessRequest(Input, frozen=True):
    """A rig with its weigh tickets or its known loads: exactly one of `session` and `loads`."""

    units: Annotated[
        Literal["us", "metric"] | Units,
        Meta(description="Units of every number here and in the answer. There is no default."),
    ]
    rig: Annotated[RigInput, Meta(description="The rig and its ratings.")]
    session: Annotated[SessionInput | None, Meta(description="The weigh tickets.")] = None
    loads: Annotated[
        Annotated[list[LoadInput], Meta(min_length=1, max_length=128)] | None,
        Meta(description="Loads that you know already."),
    ] = None
    conditions: Annotated[ConditionsInput | None, Meta(description="Needed for `set_now`.")] = None
    policy: Annotated[PolicyInput, Meta(description="Your choices.")] = PolicyInput()
    tire_tables: Annotated[
        list[TireTableInput], Meta(max_length=16, description="Tire makers' tables of your own.")
    ] = []
