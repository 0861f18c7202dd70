"""What is read back from the fleet store: each document as it was sent, with what the service knows of it beside it."""

from datetime import date
from typing import Annotated, Any, Literal

from msgspec import Meta, Struct, defstruct

from axlewright.contract.assessment import AssessAnswer
from axlewright.contract.fleet.documents import (
    AssessmentOrder,
    Id,
    InflationTableDocument,
    Label,
    LayoutDocument,
    OdometerReadingDocument,
    PolicyDocument,
    PressureCheckDocument,
    RigDocument,
    SessionDocument,
    TireDocument,
    UpkeepEventDocument,
    VehicleDocument,
)
from axlewright.contract.output import NameOut, ProbabilityOut

Moment = Annotated[str, Meta(max_length=32, description="A moment in UTC (RFC 3339).")]
Cursor = Annotated[str, Meta(pattern=r"^[A-Za-z0-9_-]{1,600}(?![\s\S])")]
NextCursor = Annotated[Cursor | None, Meta(description="Send it as `cursor` for the next page; null on the last one.")]
Revision = Annotated[int, Meta(ge=1, le=2**53 - 1, extra_json_schema={"x-quantity": "count"})]
StandingName = Literal["over", "short", "unsettled", "unknown", "tight", "clear"]


class Kept(Struct, frozen=True, kw_only=True):
    """A document that can change; each change is another revision, told in the audit trail."""

    id: Id
    made_at: Moment
    changed_at: Moment
    revision: Annotated[Revision, Meta(description="1 when it was made, one more with each change.")]


class VehicleAnswer(Kept, frozen=True, kw_only=True):
    """A vehicle as it is kept."""

    document: Annotated[VehicleDocument, Meta(description="As it was sent last.")]


class RigAnswer(Kept, frozen=True, kw_only=True):
    """A rig as it is kept."""

    document: Annotated[RigDocument, Meta(description="As it was sent last.")]


class TireAnswer(Kept, frozen=True, kw_only=True):
    """A fitted tire as it is kept."""

    document: Annotated[TireDocument, Meta(description="As it was sent last.")]


class LayoutAnswer(Kept, frozen=True, kw_only=True):
    """A way of loading as it is kept."""

    document: Annotated[LayoutDocument, Meta(description="As it was sent last.")]


class InflationTableAnswer(Kept, frozen=True, kw_only=True):
    """An own inflation table as it is kept."""

    document: Annotated[InflationTableDocument, Meta(description="As it was sent last.")]


class PolicyAnswer(Kept, frozen=True, kw_only=True):
    """A saved policy as it is kept."""

    document: Annotated[PolicyDocument, Meta(description="As it was sent last.")]


class Recorded(Struct, frozen=True, kw_only=True):
    """A record, which never changes."""

    id: Id
    made_at: Moment
    superseded_by: Annotated[Id | None, Meta(description="The record that corrects this one.")]


class PressureCheckAnswer(Recorded, frozen=True, kw_only=True):
    """A round with the gauge as it was recorded."""

    document: Annotated[PressureCheckDocument, Meta(description="As it was sent.")]


class UpkeepEventAnswer(Recorded, frozen=True, kw_only=True):
    """An upkeep event as it was recorded."""

    document: Annotated[UpkeepEventDocument, Meta(description="As it was sent.")]


class OdometerReadingAnswer(Recorded, frozen=True, kw_only=True):
    """An odometer reading as it was recorded."""

    document: Annotated[OdometerReadingDocument, Meta(description="As it was sent.")]


class Snapshot(Struct, frozen=True, kw_only=True):
    """Rig and vehicles as they were kept when the record was made."""

    rig: Annotated[RigDocument, Meta(description="The rig.")]
    vehicles: Annotated[list[VehicleDocument], Meta(max_length=4, description="In the rig's order.")]
    schemas: Annotated[
        dict[str, Annotated[int, Meta(ge=1, le=10_000, extra_json_schema={"x-quantity": "count"})]],
        Meta(description="By which schema the service had taken `rigs` and `vehicles`."),
    ]


class SessionAnswer(Recorded, frozen=True, kw_only=True):
    """A weigh as it was recorded."""

    document: Annotated[SessionDocument, Meta(description="The tickets as they were received.")]
    snapshot: Annotated[Snapshot, Meta(description="What was weighed, as it was kept then.")]


class AssessmentInput(Struct, frozen=True, kw_only=True):
    """All that an assessment was computed from, each document as it was kept then."""

    rig: Annotated[RigDocument, Meta(description="The rig.")]
    vehicles: Annotated[list[VehicleDocument], Meta(max_length=4, description="In the rig's order.")]
    session: Annotated[SessionDocument, Meta(description="The weigh.")]
    policy: Annotated[PolicyDocument | None, Meta(description="Null where none was saved: the contract's defaults.")]
    inflation_tables: Annotated[list[InflationTableDocument], Meta(max_length=16, description="Those of the rig.")]
    order: Annotated[
        AssessmentOrder | None, Meta(description="The order as it was sent; null for the one made with the weigh.")
    ]


class AssessmentSummary(Struct, frozen=True, kw_only=True):
    """What an assessment is of, and how it came out."""

    id: Id
    made_at: Moment
    rig_id: Id
    session_id: Id
    weighed_on: Annotated[date, Meta(description="The day of the weigh.")]
    standing: Annotated[StandingName, Meta(description="The worst of all limits.")]
    trial: Annotated[
        bool, Meta(description="Made under other conditions or another policy: its rig is not listed by it.")
    ]
    session_superseded_by: Annotated[
        Id | None, Meta(description="The weigh that corrects the one assessed; null where none does.")
    ]
    contract_version: Annotated[NameOut, Meta(description="Of the contract by which it is worded.")]
    core_version: Annotated[NameOut, Meta(description="Of the core that computed it.")]


class AssessmentAnswer(AssessmentSummary, frozen=True, kw_only=True):
    """An assessment as it was made; it never changes."""

    input: Annotated[AssessmentInput, Meta(description="What it was computed from.")]
    result: Annotated[AssessAnswer, Meta(description="The whole answer, as it was given then.")]


CHANGED_SINCE = (
    "Whether the rig or its vehicles are kept otherwise now than in the assessment by which the rig is listed, in what "
    "an assessment reads: ratings, tires, couplings, which policy and tables. `as_kept` orders an assessment of them."
)


class ListedRig(Struct, frozen=True, kw_only=True):
    """A rig in a list: how it stood when it was weighed last."""

    id: Id
    name: Annotated[NameOut, Meta(description="What people call it.")]
    asset_number: Annotated[NameOut | None, Meta(description="Of its first vehicle.")]
    labels: Annotated[list[Label], Meta(max_length=64, description="Of all its vehicles, each once, sorted.")]
    archived: Annotated[bool, Meta(description="Whether it is out of use.")]
    first_day: Annotated[date, Meta(description="The first day on which its vehicles made this rig.")]
    last_day: Annotated[date | None, Meta(description="The last one; null if they still do.")]
    weighed_on: Annotated[date | None, Meta(description="The day of its last weigh; null if it never was weighed.")]
    standing: Annotated[
        StandingName | None,
        Meta(description="Of the whole rig, or of the axle that was asked for; null if it never was weighed."),
    ]
    side_difference_share: Annotated[
        ProbabilityOut | None,
        Meta(
            description="The difference between the sides of an axle as a share of its load: the largest that is known "
            "of the rig, or that of the axle asked for; null where no side is known, or the readings beneath it failed "
            "their cross-check."
        ),
    ]
    changed_since: Annotated[bool, Meta(description=f"{CHANGED_SINCE} False if it never was weighed.")]


class Change(Struct, frozen=True, kw_only=True):
    """One change of the store: who, when, what."""

    id: Id
    made_at: Moment
    key_id: Annotated[NameOut, Meta(description="The key that was used.")]
    kind: Annotated[NameOut, Meta(description="As in the path: `vehicles`, `sessions`.")]
    resource_id: Id
    revision: Annotated[Revision, Meta(description="The one that came of it.")]
    action: Annotated[NameOut, Meta(description="`made`, `changed`, `archived`, `restored` or `superseded`.")]
    document: Annotated[
        dict[str, Any] | None,
        Meta(description="The document as it was sent; null for a record, which is read under its own id."),
    ]


def _page(name: str, item: Any, said: str) -> Any:
    """Return the struct of a page of a list."""
    return defstruct(
        name,
        [
            ("items", Annotated[list[item], Meta(max_length=100, description=said)]),
            ("next_cursor", NextCursor),
        ],
        frozen=True,
        kw_only=True,
        namespace={"__doc__": f"One page. {said}"},
        module=__name__,
    )


VehiclePage = _page("VehiclePage", VehicleAnswer, "Vehicles in the order in which they were made.")
TirePage = _page("TirePage", TireAnswer, "Fitted tires in the order in which they were recorded.")
LayoutPage = _page("LayoutPage", LayoutAnswer, "Ways of loading in the order in which they were made.")
InflationTablePage = _page("InflationTablePage", InflationTableAnswer, "Tables in the order in which they were made.")
PolicyPage = _page("PolicyPage", PolicyAnswer, "Policies in the order in which they were made.")
SessionPage = _page("SessionPage", SessionAnswer, "Weighs in the order in which they were recorded.")
PressureCheckPage = _page("PressureCheckPage", PressureCheckAnswer, "Checks in the order in which they were recorded.")
UpkeepEventPage = _page("UpkeepEventPage", UpkeepEventAnswer, "Events in the order in which they were recorded.")
OdometerReadingPage = _page("OdometerReadingPage", OdometerReadingAnswer, "Readings in the order of their recording.")
AssessmentPage = _page("AssessmentPage", AssessmentSummary, "Assessments in the order in which they were made.")
ListedRigPage = _page("ListedRigPage", ListedRig, "Rigs in the order asked for.")
ChangePage = _page("ChangePage", Change, "Changes in the order in which they were made.")


class RigPage(Struct, frozen=True, kw_only=True):
    """Everything of one rig in one call."""

    rig: Annotated[RigAnswer, Meta(description="The rig.")]
    vehicles: Annotated[list[VehicleAnswer], Meta(max_length=4, description="In the rig's order.")]
    last_session: Annotated[SessionAnswer | None, Meta(description="Its last weigh.")]
    last_assessment: Annotated[AssessmentAnswer | None, Meta(description="The newest of that weigh, but for trials.")]
    changed_since: Annotated[bool, Meta(description=f"{CHANGED_SINCE} False if it never was weighed.")]
    tires: Annotated[list[TireAnswer], Meta(max_length=256, description="Those that are on its vehicles.")]
    layouts: Annotated[list[LayoutAnswer], Meta(max_length=20, description="Its newest ways of loading.")]
    pressure_checks: Annotated[
        list[PressureCheckAnswer], Meta(max_length=20, description="The newest 5 of each vehicle.")
    ]
    upkeep_events: Annotated[list[UpkeepEventAnswer], Meta(max_length=40, description="The newest 10 of each vehicle.")]
    odometer_readings: Annotated[
        list[OdometerReadingAnswer], Meta(max_length=20, description="The newest 5 of each vehicle.")
    ]
