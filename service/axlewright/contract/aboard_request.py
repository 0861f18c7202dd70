"""What comes aboard, leaves, moves or flows, and where."""

from typing import Annotated

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import (
    Across,
    FluidTemperature,
    Length,
    Mass,
    MassOrNone,
    Name,
    PlaceName,
    Share,
    Text,
)


class PointInput(Input, frozen=True, kw_only=True):
    """A point of a vehicle that has no name; an inch of doubt along and across is reckoned with."""

    vehicle: Annotated[Name | None, Meta(description="Which vehicle; not needed where the rig has one.")] = None
    aft: Annotated[Length, Meta(description="Behind the vehicle's first axle, of a trailer behind its coupling point.")]
    right: Annotated[Across, Meta(description="To the right of the centre line; negative to the left.")]


SpotField = PlaceName | PointInput


class MoveInput(Input, frozen=True, kw_only=True):
    """A person or a thing that comes aboard, leaves, or goes elsewhere."""

    what: Annotated[Text | None, Meta(description="What you call it.")] = None
    mass: Annotated[Mass, Meta(description="How heavy.")]
    standard_uncertainty: Annotated[
        MassOrNone | None, Meta(description="Of the mass; 5 % of it if left out, 0 only if it is exact.")
    ] = None
    comes_from: Annotated[
        SpotField | None, Meta(description="Where it was at the weigh; left out where it was not aboard.")
    ] = None
    goes_to: Annotated[SpotField | None, Meta(description="Where it will be; left out where it leaves.")] = None


class LevelInput(Input, frozen=True, kw_only=True):
    """How full a tank will be."""

    name: Annotated[PlaceName, Meta(description="Which tank.")]
    level: Annotated[Share, Meta(description="0 empty, 1 full; of propane a share of the 80 % that a fill stops at.")]
    weighed_level: Annotated[
        Share | None, Meta(description="How full it was at the weigh; needed unless the session declares it.")
    ] = None
    standard_uncertainty: Annotated[
        Share | None,
        Meta(description="Of each level; if left out that of a gauge read by eye, less for exactly full or empty."),
    ] = None


class ChangesInput(Input, frozen=True):
    """What will be otherwise than at the weigh."""

    people: Annotated[list[MoveInput], Meta(max_length=32, description="Who boards, leaves, or sits elsewhere.")] = []
    cargo: Annotated[list[MoveInput], Meta(max_length=200, description="What is loaded, unloaded, or moved.")] = []
    tanks: Annotated[list[LevelInput], Meta(max_length=32, description="Levels; tanks left out stay as weighed.")] = []
    fluid_temperature: Annotated[
        FluidTemperature | None, Meta(description="Of what the tanks hold, for its density; 60 °F if left out.")
    ] = None
