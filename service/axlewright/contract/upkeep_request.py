"""What a client sends to hear what falls due: tires, what was done and when, odometer readings, and intervals."""

from datetime import date
from typing import Annotated, Literal

from msgspec import UNSET, Meta, UnsetType

from axlewright.contract.closed import Input
from axlewright.contract.quantities import (
    END,
    NAME_PATTERN,
    OdometerDistance,
    RetorqueDistance,
    Text,
    WeighDistance,
)
from axlewright.contract.request import UnitsField

TireName = Annotated[
    str,
    Meta(
        pattern=rf"^(?!rig\.)(?:{NAME_PATTERN}\.){{1,2}}(?:left|right)(?:\.(?:inner|outer))?{END}",
        description="A tire: `axle.left` where it is single, `axle.left.inner` and `axle.left.outer` where it is one "
        "of a dual; the vehicle before it where the rig has more than one, `vehicle.axle.right`. No vehicle or axle "
        "that stands first is called `rig`.",
    ),
]
SubjectName = Annotated[str, Meta(pattern=rf"^{NAME_PATTERN}(?:\.{NAME_PATTERN}){{0,3}}{END}")]
RigId = Annotated[
    str,
    Meta(
        pattern=rf"^[!-~]{{1,128}}{END}",
        description="Your own lasting id of the rig, visible ASCII. The entries of a calendar are identified by it: "
        "another id gives every entry another identifier, another `name` changes none.",
    ),
]
EventKindName = Literal["wheel_work", "retorque", "pressure_check", "tire_fitted", "tire_inspection", "weigh", "change"]
Months = Annotated[int, Meta(ge=1, le=1_200, extra_json_schema={"x-quantity": "count"})]
Days = Annotated[int, Meta(ge=0, le=3_653, extra_json_schema={"x-quantity": "count"})]


class UpkeepRigInput(Input, frozen=True):
    """The rig, as far as its upkeep goes."""

    id: RigId
    tires: Annotated[
        list[TireName],
        Meta(min_length=1, max_length=64, description="Every tire that is kept up; a spare has no place here."),
    ]
    name: Annotated[Text | None, Meta(description="What people call it; `id`, if left out.")] = None


class UpkeepEventInput(Input, frozen=True, kw_only=True):
    """One thing that was done."""

    kind: Annotated[
        EventKindName,
        Meta(
            description="`wheel_work`: a wheel was off or its nuts loose; `retorque`: nuts tightened again, which "
            "settles every stretch of the policy begun by then, or, where an odometer was not noted, the next one; "
            "`pressure_check`: checked cold; `tire_fitted`: another tire came on, which takes the wheel off too; "
            "`tire_inspection`: looked at for damage and age; `weigh`: weighed; `change`: the rig or what it carries "
            "changed so that it weighs otherwise."
        ),
    ]
    done_on: Annotated[date, Meta(description="Day; events of one day stand in the order in which they happened.")]
    subject: Annotated[
        SubjectName,
        Meta(
            description="`rig`, or a vehicle, axle, wheel end or tire of it; it stands for every tire beneath it: "
            "`drive.left` for both tires of that dual."
        ),
    ]
    odometer: Annotated[OdometerDistance | None, Meta(description="What it showed, where somebody noted it.")] = None
    tire_made_on: Annotated[
        date | None,
        Meta(
            description="Of a tire that was fitted, the first day of the week in its date code; left out, its age is "
            "not known."
        ),
    ] = None
    tire_life_months: Annotated[
        Months | None,
        Meta(description="Of a tire that was fitted, the age at which its or the vehicle's maker has it replaced."),
    ] = None


class OdometerInput(Input, frozen=True, kw_only=True):
    """What the odometer showed."""

    read_on: Annotated[date, Meta(description="The day.")]
    reading: Annotated[OdometerDistance, Meta(description="What it showed.")]
    old_reading: Annotated[
        OdometerDistance | None,
        Meta(
            description="Only with the first reading of another odometer, or of one that turned over to zero: what the "
            "old one showed then, or would have shown."
        ),
    ] = None


class RetorqueInput(Input, frozen=True):
    """The stretch after wheel work in which wheel nuts are tightened again."""

    due_after: Annotated[RetorqueDistance, Meta(description="Distance from which it is due.")]
    overdue_after: Annotated[RetorqueDistance, Meta(description="Distance beyond which it is overdue.")]


class UpkeepPolicyInput(Input, frozen=True):
    """The intervals. Each has a default of common practice; null asks for none."""

    retorque: Annotated[
        Annotated[list[RetorqueInput], Meta(max_length=6)] | UnsetType,
        Meta(
            description="After wheel work, each further than the one before; trailers often have three. One from 50 mi "
            "to 100 mi (80.5 km to 160.9 km) if left out; none asks for no retorque."
        ),
    ] = UNSET
    retorque_days: Annotated[
        Days | None,
        Meta(description="Days after wheel work by which each retorque is due all the same. No such rule if left out."),
    ] = None
    pressure_check_months: Annotated[Months | None, Meta(description="Between pressure checks of every tire.")] = 1
    pressure_check_before_trip_days: Annotated[
        Days | None, Meta(description="How old a pressure check may be when a trip starts.")
    ] = 1
    tire_inspection_from_months: Annotated[Months, Meta(description="Age from which a tire is inspected.")] = 60
    tire_inspection_every_months: Annotated[Months, Meta(description="Between inspections from then on.")] = 12
    tire_replacement_months: Annotated[
        Months | None, Meta(description="Age at which a tire is replaced at the latest, whatever it looks like.")
    ] = 120
    weigh_months: Annotated[Months | None, Meta(description="Between weighs.")] = 12
    weigh_after: Annotated[
        WeighDistance | None, Meta(description="Distance between weighs. No such rule if left out.")
    ] = None
    weigh_after_change: Annotated[bool, Meta(description="Whether a `change` asks for a weigh.")] = True


class UpkeepRequest(Input, frozen=True):
    """What is known of a rig's upkeep, and the day on which it is looked at."""

    units: UnitsField
    rig: Annotated[UpkeepRigInput, Meta(description="The rig.")]
    as_of: Annotated[date, Meta(description="The day on which it is looked at: today, for most.")]
    events: Annotated[
        list[UpkeepEventInput], Meta(max_length=500, description="What was done up to `as_of`, in any order of days.")
    ] = []
    odometer: Annotated[
        list[OdometerInput],
        Meta(
            max_length=500,
            description="Readings beside those noted with events, all of the one odometer that counts for the rig.",
        ),
    ] = []
    trips: Annotated[
        list[date], Meta(max_length=100, description="Days on which trips start; those before `as_of` are over.")
    ] = []
    policy: Annotated[UpkeepPolicyInput, Meta(description="Your intervals.")] = UpkeepPolicyInput()
