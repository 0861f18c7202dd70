"""What a client sends of a weigh: the scale, the passes with their readings, the state of load."""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import (
    END,
    Across,
    Division,
    Length,
    LongText,
    Mass,
    MassOrNone,
    Name,
    PlaceName,
    Share,
    SignedMass,
    Text,
    WheelName,
)

TimeOfDay = Annotated[
    str,
    Meta(
        pattern=r"^(?:[01][0-9]|2[0-3]):[0-5][0-9](?::[0-5][0-9])?" + END,
        description="Time of day at the scale, as the ticket prints it: `HH:MM` or `HH:MM:SS`.",
    ),
]


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


AccuracyClassField = Annotated[
    Literal["III L", "III", "IIII", "OIML III", "OIML IIII"] | None,
    Meta(
        description="Marked on the scale: NIST Handbook 44 class (maintenance tolerance), or OIML R 76 class "
        "(in service). Public vehicle scales are class III L."
    ),
]


class ScaleInput(Input, frozen=True):
    """The scale: division, and either its accuracy class or your own tolerance."""

    division: Annotated[Division, Meta(description="The step in which it reads, d.")]
    accuracy_class: AccuracyClassField = None
    tolerance: Annotated[ToleranceInput | None, Meta(description="Your own, instead of a class.")] = None
    platforms: Annotated[
        list[PlatformInput],
        Meta(max_length=64, description="Needed only where a platform differs from the scale."),
    ] = []
    identity: Annotated[Text | None, Meta(description="Which scale: its serial number, or its name.")] = None
    sealed_on: Annotated[date | None, Meta(description="Day of the inspection that its seal shows.")] = None


class ReadingInput(Input, frozen=True):
    """What one platform showed, and what stood on it."""

    platform: Annotated[Text, Meta(description="Which platform.")]
    value: Annotated[Mass, Meta(description="As printed.")]
    wheel_ends: Annotated[
        list[WheelName], Meta(min_length=1, max_length=64, description="Every wheel end on the platform.")
    ]


class ChangeInput(Input, frozen=True, kw_only=True):
    """Mass that was away (negative), or there too, during this pass; told in each pass that it was so."""

    mass: Annotated[SignedMass, Meta(description="Negative where it was away.")]
    standard_uncertainty: Annotated[
        MassOrNone | None, Meta(description="Of the mass; 5 % of it if left out, 0 only if it is exact.")
    ] = None
    place: Annotated[PlaceName | None, Meta(description="Where, by name; or else `aft` and `right`.")] = None
    vehicle: Annotated[Name | None, Meta(description="Of the point; not needed where the rig has one.")] = None
    aft: Annotated[
        Length | None,
        Meta(description="Behind the vehicle's first axle, of a trailer behind its coupling point."),
    ] = None
    right: Annotated[Across | None, Meta(description="To the right of the centre line; negative to the left.")] = None
    why: Annotated[
        LongText | None, Meta(description="In your words; told alike in several passes, it is one and the same thing.")
    ] = None


class PassTotalInput(Input, frozen=True):
    """The total that a ticket prints for a pass: a check that its readings were copied, or one more reading."""

    value: Annotated[Mass, Meta(description="As printed, with the scale's division.")]
    independent: Annotated[
        bool,
        Meta(description="Read by itself, with every wheel of the pass on one scale: no sum of the readings."),
    ] = False


class PassInput(Input, frozen=True, kw_only=True):
    """One stop on the scale."""

    name: Annotated[Text, Meta(description="What you call it.")]
    state: Annotated[
        Literal["solo", "hitched", "hitched_levelled"],
        Meta(
            description="`solo`: each vehicle by itself, a trailer level on its coupling point, not on its jack; "
            "`hitched` without levelling bars; `hitched_levelled` with them tensioned."
        ),
    ] = "solo"
    changes: Annotated[
        list[ChangeInput],
        Meta(max_length=16, description="What was otherwise than in the state of load declared."),
    ] = []
    readings: Annotated[list[ReadingInput], Meta(min_length=1, max_length=16, description="One a platform.")]
    total: Annotated[PassTotalInput | None, Meta(description="The total that the ticket prints.")] = None
    zero_seen: Annotated[bool | None, Meta(description="Whether the empty scale showed zero before this pass.")] = None
    ticket: Annotated[Text | None, Meta(description="Number of this pass's own ticket.")] = None
    time: Annotated[TimeOfDay | None, Meta(description="When it was read.")] = None


class AboardInput(Input, frozen=True):
    """A person, an animal or an item aboard during the weigh."""

    mass: Annotated[Mass, Meta(description="How heavy.")]
    place: Annotated[PlaceName, Meta(description="Where.")]


class TankLevelInput(Input, frozen=True):
    """How full a tank was during the weigh."""

    name: PlaceName
    level: Annotated[Share, Meta(description="0 empty, 1 full.")]


class CarriedInput(Input, frozen=True):
    """The state of load in which the rig was weighed."""

    people: Annotated[list[AboardInput], Meta(max_length=32, description="Everyone aboard.")] = []
    pets: Annotated[list[AboardInput], Meta(max_length=32, description="Every animal aboard.")] = []
    cargo: Annotated[
        list[AboardInput], Meta(max_length=200, description="What was loaded where, hung on the back too.")
    ] = []
    tanks: Annotated[
        list[TankLevelInput], Meta(max_length=32, description="Level of each tank: water, fuel, propane.")
    ] = []
    note: Annotated[LongText | None, Meta(description="In your words.")] = None


class SessionInput(Input, frozen=True, kw_only=True):
    """One weigh: the passes, with the scale and the state of load."""

    weighed_on: Annotated[date | None, Meta(description="Day of the weigh.")] = None
    ticket: Annotated[Text | None, Meta(description="Number of the ticket.")] = None
    scale: Annotated[ScaleInput, Meta(description="The scale.")]
    carried: Annotated[CarriedInput | None, Meta(description="What was aboard.")] = None
    passes: Annotated[list[PassInput], Meta(min_length=1, max_length=64, description="In the order driven.")]
