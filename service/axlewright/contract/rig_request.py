"""What a client sends of a rig: vehicles, axles, wheel ends, tires, and what it carries where."""

from typing import Annotated, Literal

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import (
    AxleLoad,
    AxleName,
    Extent,
    Height,
    Length,
    Mass,
    Name,
    Pressure,
    Share,
    Text,
    TireLoad,
    Track,
    Volume,
)

LoadRange = Literal["A", "B", "C", "D", "E", "F", "G", "H", "J", "L", "M", "N"]
SpeedSymbol = Literal[
    "A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8", "B", "C", "D", "E", "F", "G", "J", "K", "L", "M",
    "N", "P", "Q", "R", "S", "T", "U", "H", "V", "W", "Y",
]  # fmt: skip


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
    max_load: Annotated[AxleLoad | None, Meta(description="Rating of the group by its maker, if there is one.")] = None


class RollShareInput(Input, frozen=True):
    """An axle's share of the roll moment, as a calibration answers it."""

    axle: AxleName
    share: Annotated[
        float,
        Meta(
            ge=0.001,
            le=1,
            description="The shares of all axles add up to 1.",
            extra_json_schema={"x-quantity": "share"},
        ),
    ]
    standard_uncertainty: Annotated[Share, Meta(description="Of the share; 0 only if it is exact.")] = 0.0


class StiffnessInput(Input, frozen=True):
    """An axle's vertical stiffness against that of the vehicle's other axles."""

    axle: AxleName
    stiffness: Annotated[
        float,
        Meta(
            ge=1e-3,
            le=1e6,
            description="In any unit, the same for all axles of the vehicle.",
            extra_json_schema={"x-quantity": "number"},
        ),
    ]
    standard_uncertainty: Annotated[
        float,
        Meta(
            ge=0,
            le=1e6,
            description="Of the stiffness, in its unit; 0 only if it is exact.",
            extra_json_schema={"x-quantity": "number"},
        ),
    ] = 0.0


class HitchPartInput(Input, frozen=True, kw_only=True):
    """What one part of a hitch may carry and tow; ratings that you do not know are left out."""

    part: Annotated[
        Literal["receiver", "ball_mount", "ball", "coupler", "kingpin", "fifth_wheel_hitch", "frame"],
        Meta(description="Which part: each has ratings of its own."),
    ]
    max_vertical: Annotated[Mass | None, Meta(description="Most tongue or pin weight, carrying.")] = None
    max_towed: Annotated[Mass | None, Meta(description="Most trailer weight, carrying.")] = None
    max_vertical_levelled: Annotated[
        Mass | None, Meta(description="Most tongue weight with a weight-distributing hitch tensioned.")
    ] = None
    max_towed_levelled: Annotated[
        Mass | None, Meta(description="Most trailer weight with a weight-distributing hitch tensioned.")
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
    max_towed_levelled: Annotated[
        Mass | None, Meta(description="Most that may be towed with a weight-distributing hitch tensioned.")
    ] = None
    parts: Annotated[
        list[HitchPartInput], Meta(max_length=8, description="Parts of the hitch that have ratings of their own.")
    ] = []


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
    length: Annotated[
        Extent | None, Meta(description="Along the vehicle, `aft` in its middle; what goes there may lie anywhere.")
    ] = None
    width: Annotated[Extent | None, Meta(description="Across the vehicle, `right` in its middle.")] = None
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
    unloaded_weight: Annotated[
        Mass | None, Meta(description="Weight as built, without occupants and cargo; needed for `cargo_capacity`.")
    ] = None
    cargo_capacity: Annotated[
        Mass | None,
        Meta(
            description="Most of occupants and cargo, of a trailer of cargo, by the label; water in tanks and a "
            "trailer's tongue weight count."
        ),
    ] = None
    axles: Annotated[list[AxleInput], Meta(min_length=1, max_length=8, description="Front to back.")]
    label_pressures: Annotated[
        list[LabelPressureInput], Meta(max_length=8, description="Cold pressures from the vehicle's label.")
    ] = []
    groups: Annotated[list[GroupInput], Meta(max_length=4, description="Axles that share load.")] = []
    roll_shares: Annotated[
        list[RollShareInput],
        Meta(max_length=8, description="Of every axle, or of none: by rating and track, which is an estimate."),
    ] = []
    stiffnesses: Annotated[
        list[StiffnessInput], Meta(max_length=8, description="Of every axle, or of none: by rating, an estimate.")
    ] = []
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
