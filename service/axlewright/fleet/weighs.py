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
    hitched_state,
    largest_share,
    vehicle_loads,
    wheel_end_loads,
)
from axlewright.fleet import assessments
from axlewright.fleet.assessments import NewAssessment
from axlewright.fleet.days import refuse_future
from axlewright.fleet.errors import changed_meanwhile
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
    require_in_use,
    required,
    vehicles_of_rig,
)
from axlewright.fleet.timeline import Entry, enter, forget, vehicle_subject, wheel_end_subject
from axlewright.fleet.unit import Unit, WritingUnit


class Question(Struct, frozen=True, kw_only=True):
    """The documents that an assessment is computed from: as JSON by the present schemas, and to compute with."""

    rig_text: str
    vehicle_texts: list[str]
    session_text: str
    policy_text: str | None
    table_texts: list[str]
    order_text: str | None
    documents: AssessmentDocuments

    @property
    def input_text(self) -> str:
        """The JSON of all of them."""
        return msgspec.json.encode(
            {
                "rig": Raw(self.rig_text),
                "vehicles": [Raw(text) for text in self.vehicle_texts],
                "session": Raw(self.session_text),
                "policy": None if self.policy_text is None else Raw(self.policy_text),
                "inflation_tables": [Raw(text) for text in self.table_texts],
                "order": None if self.order_text is None else Raw(self.order_text),
            }
        ).decode()


class Basis(Struct, frozen=True):
    """The rig and vehicles of a weigh that is recorded, as they were read."""

    rig: KeptRow
    vehicles: list[KeptRow]

    @property
    def snapshot_text(self) -> str:
        """The JSON of them, with the schemas that they are told by."""
        snapshot = {
            "rig": Raw(self.rig.text),
            "vehicles": [Raw(row.text) for row in self.vehicles],
            "schemas": {kind: present_schema(kind) for kind in ("rigs", "vehicles")},
        }
        return msgspec.json.encode(snapshot).decode()

    def refuse_moved(self, unit: Unit) -> None:
        """Refuse to record what was computed from other revisions than those that are kept now."""
        rig = RIGS.found(unit, self.rig.id)
        vehicles = VEHICLES.of_ids(unit, [row.id for row in self.vehicles])
        seen = [(row.id, row.revision) for row in (self.rig, *self.vehicles)]
        if seen != [(row.id, row.revision) for row in (rig, *(vehicles[row.id] for row in self.vehicles))]:
            raise changed_meanwhile()


class _Snapshot(Struct):
    rig: Raw
    vehicles: list[Raw]
    schemas: dict[str, int]

    def texts(self) -> tuple[str, list[str]]:
        """Return the rig and its vehicles, brought to the present schemas."""
        rig = present_text("rigs", self.schemas["rigs"], bytes(self.rig).decode())
        schema = self.schemas["vehicles"]
        return rig, [present_text("vehicles", schema, bytes(raw).decode()) for raw in self.vehicles]


def question_of_weigh(unit: Unit, session: SessionDocument, text: str) -> tuple[Basis, Question]:
    """Return what a new weigh is recorded with and computed from: the rig as it is kept now.

    Raises
    ------
    Conflicting
        If its rig is not there, or was no such rig on that day, or today's contract refuses a document.
    """
    pointer = "/rig_id"
    rig = required(unit, RIGS, session.rig_id, pointer)
    require_in_use(rig, pointer)
    rig_document = strictly_read(rig.text, RigDocument, pointer)
    _refuse_other_days(session.session.weighed_on, rig_document)
    vehicles = of_ids(unit, VEHICLES, rig_document.vehicles, pointer)
    question = _question(unit, pointer, rig.text, [row.text for row in vehicles], text, session)
    return Basis(rig, vehicles), question


def question_of_order(unit: Unit, order: AssessmentOrder, text: str) -> tuple[RecordedRow, Question]:
    """Return the weigh that is to be assessed again, and what that is computed from: the rig as it was weighed, or is.

    Raises
    ------
    Conflicting
        If the weigh or a policy is not there, or today's contract refuses a document.
    """
    pointer = "/session_id"
    try:
        row = SESSIONS.found(unit, order.session_id)
    except NoSuchThing:
        raise Conflicting(no_such_reference(pointer, "sessions")) from None
    if order.as_kept:
        rig_text = RIGS.found(unit, row.more[0]).text
        vehicle_texts = [vehicle.text for vehicle in vehicles_of_rig(unit, row.more[0])]
    else:
        rig_text, vehicle_texts = msgspec.json.decode(row.more[1], type=_Snapshot).texts()
    session = strictly_read(row.text, SessionDocument, pointer)
    return row, _question(unit, pointer, rig_text, vehicle_texts, row.text, session, order, text)


def _question(
    unit: Unit,
    pointer: str,
    rig_text: str,
    vehicle_texts: list[str],
    session_text: str,
    session: SessionDocument,
    order: AssessmentOrder | None = None,
    order_text: str | None = None,
) -> Question:
    """Return a weigh of a rig with the policy and tables that it is assessed by; `pointer` is where it was named."""
    rig = strictly_read(rig_text, RigDocument, pointer)
    policy_id, policy_pointer = rig.policy_id, pointer
    if order is not None and order.policy_id is not None:
        policy_id, policy_pointer = order.policy_id, "/policy_id"
    policy = None if policy_id is None else required(unit, POLICIES, policy_id, policy_pointer)
    if policy is not None and policy_pointer != pointer:
        require_in_use(policy, policy_pointer)
    tables = of_ids(unit, INFLATION_TABLES, rig.inflation_table_ids, pointer)
    return Question(
        rig_text=rig_text,
        vehicle_texts=vehicle_texts,
        session_text=session_text,
        policy_text=None if policy is None else policy.text,
        table_texts=[row.text for row in tables],
        order_text=order_text,
        documents=AssessmentDocuments(
            rig=rig,
            vehicles=[strictly_read(vehicle, VehicleDocument, pointer) for vehicle in vehicle_texts],
            session=session,
            policy=None if policy is None else strictly_read(policy.text, PolicyDocument, policy_pointer),
            inflation_tables=[strictly_read(row.text, InflationTableDocument, pointer) for row in tables],
            order=order,
        ),
    )


def assessed(question: Question) -> NewAssessment:
    """Return the assessment of a weigh, computed outside of any transaction.

    Raises
    ------
    CrossFieldFaults
        With all contradictions of the documents.
    """
    answer = assessment_of(question.documents)
    axles = axle_figures(answer)
    figures = {ANY: Figures(answer.summary.standing, largest_share(axles))}
    figures |= {name: Figures(each.standing, each.side_difference_share) for name, each in axles.items()}
    order = question.documents.order
    is_trial = order is not None and not (order.conditions is None and order.policy_id is None)
    return NewAssessment(input_text=question.input_text, answer=answer, figures=figures, lists=not is_trial)


def record_weigh(unit: WritingUnit, basis: Basis, question: Question, new: NewAssessment) -> RecordedRow:
    """Keep a weigh and its first assessment, and return the record.

    Raises
    ------
    Unserializable
        If rig or vehicles have changed since they were read.
    """
    document, rig_id, snapshot_text = question.documents.session, basis.rig.id, basis.snapshot_text
    superseded_rig = None if document.supersedes is None else _rig_of_session(unit, document.supersedes)
    for locked_rig in sorted({rig_id, superseded_rig or rig_id}):
        RIGS.locked(unit, locked_rig)  # always in this order; whoever assesses what is superseded has ended, or waits
    basis.refuse_moved(unit)
    assert document.session.weighed_on is not None
    day = document.session.weighed_on.isoformat()
    refuse_future(day, unit.moment, "/session/weighed_on")
    columns = {
        "rig_id": rig_id,
        "day": day,
        "snapshot": snapshot_text,
        "ticket": document.session.ticket,
    }
    row = SESSIONS.add(unit, question.session_text, supersedes=document.supersedes, columns=columns)
    if document.supersedes is not None:
        for assessment_id in assessments.ids_of_session(unit, document.supersedes):
            forget(unit, assessment_id)
    enter(unit, _weigh_entries(basis, new.answer, row, day))
    _keep(unit, row.id, rig_id, day, new)
    relist(unit, rig_id)
    if superseded_rig not in (None, rig_id):
        relist(unit, superseded_rig)
    return msgspec.structs.replace(row, more=(rig_id, snapshot_text, day))


def keep_assessment(unit: WritingUnit, session: RecordedRow, new: NewAssessment) -> str:
    """Keep another assessment of a weigh and return its id; unless it is a trial, its rig is listed by it now."""
    rig_id, _, day = session.more
    RIGS.locked(unit, rig_id)
    superseded = SESSIONS.found(unit, session.id).superseded_by is not None
    assessment_id = _keep(unit, session.id, rig_id, day, new, tells=new.lists and not superseded)
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
            word="provisional" if load.provisional else None,
        )

    ids = [row.id for row in basis.vehicles]
    state = hitched_state(answer)
    of_vehicles = zip(ids, vehicle_loads(answer), strict=True)
    return [
        entry(basis.rig.id, "weigh", gross_load(answer)),
        *(entry(vehicle_subject(id_), f"weigh{state}", load) for id_, load in of_vehicles),
        *(
            entry(wheel_end_subject(ids[each.vehicle], each.name), f"load{state}", each.load)
            for each in wheel_end_loads(answer)
        ),
    ]


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
