"""What a client sends to be kept. A document is stored as it was sent and answered as it was sent."""

from datetime import date
from typing import Annotated

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.leaks_request import TimeOfDay
from axlewright.contract.quantities import (
    END,
    NAME_PATTERN,
    Altitude,
    LongText,
    OdometerDistance,
    Pressure,
    Temperature,
    Text,
)
from axlewright.contract.request import (
    ConditionsInput,
    CouplingLoadsField,
    PolicyInput,
    TireTableInput,
    UnitsField,
)
from axlewright.contract.rig_request import CouplingInput, VehicleInput
from axlewright.contract.session_request import CarriedInput, SessionInput
from axlewright.contract.upkeep_request import EventKindName

Id = Annotated[
    str,
    Meta(
        pattern=rf"^[0-9a-f]{{8}}-[0-9a-f]{{4}}-7[0-9a-f]{{3}}-[89ab][0-9a-f]{{3}}-[0-9a-f]{{12}}{END}",
        description="A UUID of version 7 (RFC 9562) in lower case, given by the service.",
    ),
]
Label = Annotated[
    str,
    Meta(
        pattern=r"^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]{1,40}" + END,
        description="A label of your own: a depot, a class.",
    ),
]
WheelEndOfVehicle = Annotated[
    str,
    Meta(
        pattern=rf"^{NAME_PATTERN}\.(?:left|right){END}",
        description="A wheel end of the vehicle, `axle.left`, without the vehicle's name.",
    ),
]
TireOfVehicle = Annotated[
    str,
    Meta(
        pattern=rf"^{NAME_PATTERN}\.(?:left|right)(?:\.(?:inner|outer))?{END}",
        description="A tire of the vehicle: `axle.left`, or `axle.left.inner` of a dual, without the vehicle's name.",
    ),
]
SubjectOfVehicle = Annotated[
    str,
    Meta(
        pattern=rf"^(?:vehicle|{NAME_PATTERN}(?:\.(?:left|right)(?:\.(?:inner|outer))?)?){END}",
        description="`vehicle`, or an axle, wheel end or tire of it, without the vehicle's name.",
    ),
]
Archived = Annotated[bool, Meta(description="Out of use: kept with its history, and left out of lists.")]
VehicleIdField = Annotated[Id, Meta(description="The vehicle.")]
RigIdField = Annotated[Id, Meta(description="The rig.")]
SupersedesField = Annotated[
    Id | None, Meta(description="The record that this one corrects. It stays, marked as superseded.")
]


class VehicleDocument(Input, frozen=True, kw_only=True):
    """A vehicle with its ratings, axles, tanks and places, and how the fleet finds it."""

    units: UnitsField
    vehicle: Annotated[VehicleInput, Meta(description="The vehicle as every room takes it.")]
    asset_number: Annotated[Text | None, Meta(description="Your own number of it; each once in a fleet.")] = None
    labels: Annotated[list[Label], Meta(max_length=16, description="Labels to find it by, each once.")] = []
    archived: Archived = False


class RigDocument(Input, frozen=True, kw_only=True):
    """Vehicles in their order, from a day to a day: a trailer that changes its tow vehicle stands in two rigs."""

    name: Annotated[Text, Meta(description="What people call it.")]
    first_day: Annotated[date, Meta(description="The first day on which these vehicles make this rig.")]
    last_day: Annotated[date | None, Meta(description="The last one; still so, if left out.")] = None
    vehicles: Annotated[
        list[Id], Meta(min_length=1, max_length=4, description="Ids of the vehicles, the towing one first.")
    ]
    couplings: Annotated[
        list[CouplingInput], Meta(max_length=3, description="What tows what, by the names in the vehicles' documents.")
    ] = []
    policy_id: Annotated[Id | None, Meta(description="The saved policy by which it is assessed.")] = None
    inflation_table_ids: Annotated[
        list[Id], Meta(max_length=16, description="Own inflation tables that its pressures are taken from.")
    ] = []
    archived: Archived = False


class TireDocument(Input, frozen=True, kw_only=True):
    """A tire on a wheel, from the day it came on to the day it came off."""

    vehicle_id: VehicleIdField
    position: TireOfVehicle
    fitted_on: Annotated[date, Meta(description="The day it came on.")]
    taken_off_on: Annotated[date | None, Meta(description="The day it came off; still on, if left out.")] = None
    identification_number: Annotated[
        Annotated[str, Meta(pattern=rf"^[A-Z0-9 -]{{4,20}}{END}")] | None,
        Meta(description="Its tire identification number as marked (49 CFR 574.5), or the date code alone."),
    ] = None
    designation: Annotated[Text | None, Meta(description="Its size as marked.")] = None
    note: Annotated[LongText | None, Meta(description="In your words.")] = None
    archived: Archived = False


class LayoutDocument(Input, frozen=True, kw_only=True):
    """A way in which a rig is loaded: people, cargo and tank levels, under a name."""

    units: UnitsField
    rig_id: RigIdField
    name: Annotated[Text, Meta(description="What people call it: as it leaves the yard.")]
    carried: Annotated[CarriedInput, Meta(description="What is aboard, and where.")]
    archived: Archived = False


class InflationTableDocument(Input, frozen=True, kw_only=True):
    """A tire maker's load/inflation table of your own."""

    units: UnitsField
    table: Annotated[TireTableInput, Meta(description="The table; it comes before the built-in rows.")]
    archived: Archived = False


class PolicyDocument(Input, frozen=True, kw_only=True):
    """Your choices under a name, with the conditions in which tires are filled and will be coldest."""

    units: UnitsField
    name: Annotated[Text, Meta(description="What people call it.")]
    policy: Annotated[PolicyInput, Meta(description="Your choices.")] = PolicyInput()
    conditions: Annotated[ConditionsInput | None, Meta(description="Needed for `set_now`.")] = None
    archived: Archived = False


class SessionDocument(Input, frozen=True, kw_only=True):
    """Weigh tickets of a rig as they were received. Its `weighed_on` is needed here."""

    units: UnitsField
    rig_id: RigIdField
    session: Annotated[SessionInput, Meta(description="The weigh tickets.")]
    coupling_loads: CouplingLoadsField = []
    supersedes: SupersedesField = None


class AssessmentOrder(Input, frozen=True, kw_only=True):
    """Which weigh is to be assessed, and by which choices where they are not those of the rig."""

    session_id: Annotated[Id, Meta(description="The weigh.")]
    units: UnitsField
    conditions: Annotated[ConditionsInput | None, Meta(description="In place of those of the policy.")] = None
    policy_id: Annotated[Id | None, Meta(description="A saved policy in place of the rig's.")] = None
    as_kept: Annotated[
        bool, Meta(description="By rig and vehicles as they are kept now, in place of those of the weigh.")
    ] = False


class CheckedPressure(Input, frozen=True, kw_only=True):
    """What the gauge showed at one tire."""

    position: TireOfVehicle
    pressure: Annotated[Pressure, Meta(description="What the gauge showed; at a refill, afterwards.")]
    tire_temperature: Annotated[Temperature | None, Meta(description="Temperature of the tire.")] = None
    refilled: Annotated[bool, Meta(description="Air was added or let out before this reading.")] = False


class PressureCheckDocument(Input, frozen=True, kw_only=True):
    """One round with the gauge."""

    units: UnitsField
    vehicle_id: VehicleIdField
    checked_on: Annotated[date, Meta(description="The day.")]
    checked_at: Annotated[TimeOfDay | None, Meta(description="Time of that day, 24 hours.")] = None
    altitude: Annotated[Altitude | None, Meta(description="Of the place above sea level.")] = None
    ambient_temperature: Annotated[
        Temperature | None, Meta(description="Of the air, where the tires had stood for three hours out of the sun.")
    ] = None
    tires: Annotated[list[CheckedPressure], Meta(min_length=1, max_length=64, description="Each tire once.")]
    supersedes: SupersedesField = None


class UpkeepEventDocument(Input, frozen=True, kw_only=True):
    """One thing that was done to a vehicle: wheel work, retorque, inspection, a change."""

    units: UnitsField
    vehicle_id: VehicleIdField
    kind: Annotated[EventKindName, Meta(description="What was done, as `list_upkeep_due` knows it.")]
    done_on: Annotated[date, Meta(description="The day.")]
    subject: SubjectOfVehicle
    odometer: Annotated[OdometerDistance | None, Meta(description="What it showed, where somebody noted it.")] = None
    note: Annotated[LongText | None, Meta(description="In your words.")] = None
    supersedes: SupersedesField = None


class OdometerReadingDocument(Input, frozen=True, kw_only=True):
    """What a vehicle's odometer showed."""

    units: UnitsField
    vehicle_id: VehicleIdField
    read_on: Annotated[date, Meta(description="The day.")]
    reading: Annotated[OdometerDistance, Meta(description="What it showed.")]
    old_reading: Annotated[
        OdometerDistance | None,
        Meta(description="Only with the first reading of another odometer: what the old one showed."),
    ] = None
    supersedes: SupersedesField = None
