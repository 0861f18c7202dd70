"""What a client sends of a weigh: the scale, the passes with their readings, the state of load."""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import (
    Division,
    Length,
    LongText,
    Mass,
    MassOrNone,
    PlaceName,
    Share,
    SignedMass,
    Text,
    WheelName,
)


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
    place: Annotated[PlaceName, Meta(description="Where.")]


class TankLevelInput(Input, frozen=True):
    """How full a tank was during the weigh."""

    name: PlaceName
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
