"""Weighs of rigs: tickets kept as received with what they were computed from, and the assessments made of them."""

from datetime import date

import msgspec
from msgspec import Raw, Struct

from axlewright.contract.assessment import AssessAnswer
from axlewright.contract.faults import CrossFieldFaults, Fault
from axlewright.contract.fleet.composition import AssessmentDocuments, assessment_of
from axlewright.contract.fleet.documents import (
    AssessmentOrder,
    InflationTableDocument,
    PolicyDocument,
    RigDocument,
    SessionDocument,
    VehicleDocument,
)
from axlewright.contract.fleet.listing import (
    Load,
    axle_figures,
    gross_load,
    largest_share,
    vehicle_loads,
    wheel_end_loads,
)
from axlewright.fleet import assessments
from axlewright.fleet.assessments import NewAssessment
from axlewright.fleet.days import refuse_future
from axlewright.fleet.kept import KeptRow
from axlewright.fleet.listing import ANY, Figures
from axlewright.fleet.recorded import RecordedRow, no_such_reference
from axlewright.fleet.refusals import Conflicting, NoSuchThing
from axlewright.fleet.relisting import relist
from axlewright.fleet.schemas import present_schema, present_text, strictly_read
from axlewright.fleet.stored import (
    INFLATION_TABLES,
    POLICIES,
    RIGS,
    SESSIONS,
    VEHICLES,
    of_ids,
)
from axlewright.fleet.timeline import Entry, enter, forget, vehicle_subject, wheel_end_subject
from axlewright.fleet.unit import Unit, WritingUnit


class Basis(Struct, frozen=True, kw_only=True):
    """The kept documents that a weigh is computed from, as rows and to compute with."""

    rig: KeptRow
    vehicles: list[KeptRow]
    policy: KeptRow | None
    inflation_tables: list[KeptRow]
    documents: AssessmentDocuments
    session_text: str
    order_text: str

    @property
    def revisions(self) -> list[tuple[str, int]]:
        """Which revisions they are."""
        return [(row.id, row.revision) for row in (self.rig, *self.vehicles)]

    @property
    def snapshot_text(self) -> str:
        """The JSON of the rig and its vehicles as they are kept now."""
        snapshot = {
            "rig": Raw(self.rig.text),
            "vehicles": [Raw(row.text) for row in self.vehicles],
            "schemas": {kind: present_schema(kind) for kind in ("rigs", "vehicles")},
        }
        return msgspec.json.encode(snapshot).decode()

    @property
    def input_text(self) -> str:
        """The JSON of all documents."""
        return msgspec.json.encode(
            {
                "rig": Raw(self.rig.text),
                "vehicles": [Raw(row.text) for row in self.vehicles],
                "session": Raw(self.session_text),
                "policy": None if self.policy is None else Raw(self.policy.text),
                "inflation_tables": [Raw(row.text) for row in self.inflation_tables],
                "order": Raw(self.order_text),
            }
        ).decode()


class Moved(Exception):  # noqa: N818
    """Rig or vehicles have changed since they were read."""


def basis_of_weigh(unit: Unit, document: SessionDocument, text: str) -> Basis:
    """Return what a new weigh is computed from.

    Raises
    ------
    Conflicting
        If its rig is not there, or was no such rig on that day, or today's contract refuses a document.
    """
    rig = RIGS.of_ids(unit, [document.rig_id]).get(document.rig_id)
    if rig is None:
        raise Conflicting(no_such_reference("/rig_id", "rigs"))
    if rig.archived:
        raise Conflicting(Fault("inconsistent_reference", "/rig_id", "The rig is archived: out of use."))
    rig_document = strictly_read(rig.text, RigDocument, "/rig_id")
    _refuse_other_days(document.session.weighed_on, rig_document)
    vehicles = of_ids(unit, VEHICLES, rig_document.vehicles, "/rig_id")
    policy_id = rig_document.policy_id
    policy = None if policy_id is None else of_ids(unit, POLICIES, [policy_id], "/rig_id")[0]
    tables = of_ids(unit, INFLATION_TABLES, rig_document.inflation_table_ids, "/rig_id")
    return Basis(
        rig=rig,
        vehicles=vehicles,
        policy=policy,
        inflation_tables=tables,
        documents=AssessmentDocuments(
            rig=rig_document,
            vehicles=[strictly_read(row.text, VehicleDocument, "/rig_id") for row in vehicles],
            session=document,
            policy=None if policy is None else strictly_read(policy.text, PolicyDocument, "/rig_id"),
            inflation_tables=[strictly_read(row.text, InflationTableDocument, "/rig_id") for row in tables],
            order=None,
        ),
        session_text=text,
        order_text="null",
    )


class _Snapshot(Struct):
    rig: Raw
    vehicles: list[Raw]
    schemas: dict[str, int]

    def texts(self) -> tuple[str, list[str]]:
        """Return the rig and its vehicles, brought to the present schemas."""
        rig = present_text("rigs", self.schemas["rigs"], bytes(self.rig).decode())
        schema = self.schemas["vehicles"]
        return rig, [present_text("vehicles", schema, bytes(raw).decode()) for raw in self.vehicles]


def basis_of_order(unit: Unit, order: AssessmentOrder, text: str) -> tuple[RecordedRow, Basis]:
    """Return the weigh that is to be assessed again, and what that is computed from: the rig as it was weighed.

    Raises
    ------
    Conflicting
        If the weigh or a policy is not there, or today's contract refuses a document.
    """
    pointer = "/session_id"
    try:
        session = SESSIONS.found(unit, order.session_id)
    except NoSuchThing:
        raise Conflicting(no_such_reference(pointer, "sessions")) from None
    document = strictly_read(session.text, SessionDocument, pointer)
    rig_id, snapshot_text, _ = session.more
    rig_text, vehicle_texts = msgspec.json.decode(snapshot_text, type=_Snapshot).texts()
    rig_document = strictly_read(rig_text, RigDocument, pointer)
    present = RIGS.found(unit, rig_id)
    policy_id = rig_document.policy_id if order.policy_id is None else order.policy_id
    policy_pointer = pointer if order.policy_id is None else "/policy_id"
    policy = POLICIES.of_ids(unit, [policy_id]).get(policy_id) if policy_id is not None else None
    if policy_id is not None and policy is None:
        raise Conflicting(no_such_reference(policy_pointer, "policies"))
    tables = of_ids(unit, INFLATION_TABLES, rig_document.inflation_table_ids, pointer)
    vehicles = [strictly_read(text, VehicleDocument, pointer) for text in vehicle_texts]
    return session, Basis(
        rig=msgspec.structs.replace(present, text=rig_text),
        vehicles=[
            msgspec.structs.replace(present, id=id_, text=text)
            for id_, text in zip(rig_document.vehicles, vehicle_texts, strict=True)
        ],
        policy=policy,
        inflation_tables=tables,
        documents=AssessmentDocuments(
            rig=rig_document,
            vehicles=vehicles,
            session=document,
            policy=None if policy is None else strictly_read(policy.text, PolicyDocument, policy_pointer),
            inflation_tables=[strictly_read(row.text, InflationTableDocument, pointer) for row in tables],
            order=order,
        ),
        session_text=session.text,
        order_text=text,
    )


def assessed(basis: Basis) -> NewAssessment:
    """Return the assessment of a weigh, computed outside of any transaction.

    Raises
    ------
    CrossFieldFaults
        With all contradictions of the documents.
    """
    answer = assessment_of(basis.documents)
    axles = axle_figures(answer, _names(basis))
    figures = {ANY: Figures(answer.summary.standing, largest_share(axles))}
    figures |= {name: Figures(each.standing, each.side_difference_share) for name, each in axles.items()}
    order = basis.documents.order
    is_trial = order is not None and not (order.conditions is None and order.policy_id is None)
    return NewAssessment(input_text=basis.input_text, answer=answer, figures=figures, lists=not is_trial)


def record_weigh(unit: WritingUnit, basis: Basis, new: NewAssessment) -> RecordedRow:
    """Keep a weigh and its first assessment, and return the record.

    Raises
    ------
    Moved
        If rig or vehicles have changed since they were read.
    """
    document, rig_id = basis.documents.session, basis.rig.id
    superseded_rig = None if document.supersedes is None else _rig_of_session(unit, document.supersedes)
    for locked_rig in sorted({rig_id, superseded_rig or rig_id}):
        RIGS.locked(unit, locked_rig)  # always in this order; whoever assesses what is superseded has ended, or waits
    _refuse_moved(unit, basis)
    assert document.session.weighed_on is not None
    day = document.session.weighed_on.isoformat()
    refuse_future(day, unit.moment, "/session/weighed_on")
    columns = {
        "rig_id": rig_id,
        "day": day,
        "snapshot": basis.snapshot_text,
        "ticket": document.session.ticket,
    }
    row = SESSIONS.add(unit, basis.session_text, supersedes=document.supersedes, columns=columns)
    if document.supersedes is not None:
        for assessment_id in assessments.ids_of_session(unit, document.supersedes):
            forget(unit, assessment_id)
    enter(unit, _weigh_entries(basis, new.answer, row, day))
    _keep(unit, row.id, rig_id, day, new)
    relist(unit, rig_id)
    if superseded_rig not in (None, rig_id):
        relist(unit, superseded_rig)
    return msgspec.structs.replace(row, more=(rig_id, basis.snapshot_text, day))


def keep_assessment(unit: WritingUnit, session: RecordedRow, new: NewAssessment) -> str:
    """Keep another assessment of a weigh and return its id; unless it is a trial, its rig is listed by it now."""
    rig_id, _, day = session.more
    RIGS.locked(unit, rig_id)
    superseded = SESSIONS.found(unit, session.id).superseded_by is not None
    assessment_id = _keep(unit, session.id, rig_id, day, new, tells=not superseded)
    relist(unit, rig_id)
    return assessment_id


def _keep(unit: WritingUnit, session_id: str, rig_id: str, day: str, new: NewAssessment, *, tells: bool = True) -> str:
    id_ = assessments.add(unit, session_id, rig_id, new)
    if tells:
        word = new.answer.summary.standing
        enter(unit, [Entry(subject=rig_id, day=day, order_id=id_, kind="assessment", entry_id=id_, word=word)])
    return id_


def _weigh_entries(basis: Basis, answer: AssessAnswer, session: RecordedRow, day: str) -> list[Entry]:
    def entry(subject: str, kind: str, load: Load) -> Entry:
        return Entry(
            subject=subject,
            day=day,
            order_id=session.order_id,
            kind=kind,
            entry_id=session.id,
            value=load.load_kg,
            standard_uncertainty=load.standard_uncertainty_kg,
        )

    ids = [row.id for row in basis.vehicles]
    of_vehicles = zip(ids, vehicle_loads(answer), strict=True)
    return [
        entry(basis.rig.id, "weigh", gross_load(answer)),
        *(entry(vehicle_subject(id_), "weigh", load) for id_, load in of_vehicles),
        *(
            entry(wheel_end_subject(ids[each.vehicle], each.name), "load", each.load)
            for each in wheel_end_loads(answer, _names(basis))
        ),
    ]


def _names(basis: Basis) -> list[str]:
    return [document.vehicle.name for document in basis.documents.vehicles]


def _refuse_moved(unit: WritingUnit, basis: Basis) -> None:
    rig = RIGS.found(unit, basis.rig.id)
    vehicles = VEHICLES.of_ids(unit, [row.id for row in basis.vehicles])
    present = [(row.id, row.revision) for row in (rig, *(vehicles[row.id] for row in basis.vehicles))]
    if present != basis.revisions:
        raise Moved


def _rig_of_session(unit: Unit, session_id: str) -> str | None:
    try:
        rig_id: str = SESSIONS.found(unit, session_id).more[0]
    except NoSuchThing:
        return None
    return rig_id


def _refuse_other_days(weighed_on: date | None, rig: RigDocument) -> None:
    pointer = "/session/weighed_on"
    if weighed_on is None:
        message = "A weigh that is kept needs its day."
        raise CrossFieldFaults([Fault("inconsistent_day", pointer, message, None, "a day")])
    if weighed_on < rig.first_day or (rig.last_day is not None and weighed_on > rig.last_day):
        until = "today" if rig.last_day is None else rig.last_day.isoformat()
        message = "The rig was not made of these vehicles on that day."
        allowed = f"{rig.first_day.isoformat()} to {until}"
        raise Conflicting(Fault("inconsistent_day", pointer, message, f'"{weighed_on.isoformat()}"', allowed))
