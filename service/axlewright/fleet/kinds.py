"""The kinds of things that are kept: their tables, what is looked up of each document, what follows from a change."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from msgspec import Struct
from sqlalchemy import or_, select

from axlewright.contract.faults import Fault
from axlewright.contract.fleet import documents as sent
from axlewright.contract.fleet.composition import (
    check_document_faults,
    document_faults,
    policy_document_faults,
    table_document_faults,
    tire_document_faults,
    vehicle_faults,
)
from axlewright.fleet import tables
from axlewright.fleet.days import refuse_future
from axlewright.fleet.kept import KeptDocuments, KeptRow
from axlewright.fleet.positions import require_part, require_tire
from axlewright.fleet.recorded import RecordedRow, Records
from axlewright.fleet.refusals import Conflicting
from axlewright.fleet.rigs import Columns, rig_columns, settle_rig, settle_vehicle, vehicle_columns
from axlewright.fleet.schemas import leniently_read
from axlewright.fleet.stored import (
    INFLATION_TABLES,
    LAYOUTS,
    POLICIES,
    RIGS,
    TIRES,
    VEHICLES,
    required,
)
from axlewright.fleet.timeline import Entry, enter, forget, vehicle_subject, wheel_end_subject
from axlewright.fleet.unit import Unit, WritingUnit


class _TirePlace(Struct):
    """Where a tire was; whatever else its document has."""

    vehicle_id: str
    position: str


@dataclass(frozen=True)
class KeptKind:
    """A kind of document that changes."""

    documents: KeptDocuments
    check: Callable[[Any], None]
    """Refuses a document that contradicts itself."""
    columns: Callable[[Unit, Any], Columns]
    """Returns what is looked up of a document; refuses one that names what is not kept."""
    settle: Callable[[WritingUnit, KeptRow, Any, KeptRow | None], None]
    """Draws from a change what follows from it; refuses one that the revision before, if there is one, forbids."""


@dataclass(frozen=True)
class RecordedKind:
    """A kind of record of a vehicle."""

    records: Records
    check: Callable[[Any], None]
    fits: Callable[[KeptRow, Any], None]
    """Refuses a record of what its vehicle does not have."""
    day: Callable[[Any], str]
    day_pointer: str
    entries: Callable[[RecordedRow, Any, str], list[Entry]]
    """Returns what a record adds to the histories of its vehicle and wheel ends."""


def _nothing(_: WritingUnit, __: KeptRow, ___: Any, ____: KeptRow | None) -> None:
    """Nothing follows from the change."""


def _tire_columns(unit: Unit, document: sent.TireDocument) -> Columns:
    vehicle = required(unit, VEHICLES, document.vehicle_id, "/vehicle_id")
    require_tire(vehicle, document.position, "/position")
    taken_off_on = None if document.taken_off_on is None else document.taken_off_on.isoformat()
    return {
        "vehicle_id": document.vehicle_id,
        "wheel_end": document.position,
        "fitted_on": document.fitted_on.isoformat(),
        "taken_off_on": taken_off_on,
    }


_TIRE_EVENTS = {"fitted_on": "tire_fitted", "taken_off_on": "tire_taken_off"}


def _settle_tire(unit: WritingUnit, row: KeptRow, document: sent.TireDocument, before: KeptRow | None) -> None:
    events = {"fitted_on": document.fitted_on, "taken_off_on": document.taken_off_on}
    days = {name: day.isoformat() for name, day in events.items() if day is not None}
    for name, day in days.items():
        refuse_future(day, unit.moment, f"/{name}")
    if before is not None:
        _refuse_other_place(before, document)
    if not document.archived:
        _refuse_second_tire(unit, row, document)
    forget(unit, row.id)
    subject = _wheel_end_of(document.vehicle_id, document.position)
    word = document.identification_number or document.designation
    enter(
        unit,
        [
            Entry(subject=subject, day=day, order_id=row.id, kind=_TIRE_EVENTS[name], entry_id=row.id, word=word)
            for name, day in days.items()
        ],
    )


def _refuse_other_place(before: KeptRow, document: sent.TireDocument) -> None:
    """Refuse to move a tire by rewriting where it was: it came off there, and came on elsewhere."""
    place = leniently_read(before.text, _TirePlace, "/position")
    if (place.vehicle_id, place.position) != (document.vehicle_id, document.position):
        message = "A tire that changes its place comes off here, `taken_off_on`, and is fitted anew there."
        raise Conflicting(Fault("inconsistent_reference", "/position", message, None, f"{place.position} as before"))


def _refuse_second_tire(unit: WritingUnit, row: KeptRow, document: sent.TireDocument) -> None:
    """Refuse a tire where another one is at that time; one may come on the day on which the other comes off."""
    VEHICLES.locked(unit, document.vehicle_id)
    c = tables.FITTED_TIRES.c
    others = [c.vehicle_id == document.vehicle_id, c.wheel_end == document.position, c.archived == 0, c.id != row.id]
    others.append(or_(c.taken_off_on.is_(None), c.taken_off_on > document.fitted_on.isoformat()))
    if document.taken_off_on is not None:
        others.append(c.fitted_on < document.taken_off_on.isoformat())
    query = select(c.id).where(c.operator_id == unit.operator_id, *others).limit(1)
    if unit.connection.execute(query).first() is not None:
        raise Conflicting(Fault("inconsistent_day", "/fitted_on", "Another tire is in this position at that time."))


def _layout_columns(unit: Unit, document: sent.LayoutDocument) -> Columns:
    required(unit, RIGS, document.rig_id, "/rig_id")
    return {"rig_id": document.rig_id}


def _no_columns(_: Unit, __: Any) -> Columns:
    return {}


KEPT = {
    kind.documents.kind: kind
    for kind in (
        KeptKind(VEHICLES, vehicle_faults, vehicle_columns, settle_vehicle),
        KeptKind(RIGS, document_faults, rig_columns, settle_rig),
        KeptKind(TIRES, tire_document_faults, _tire_columns, _settle_tire),
        KeptKind(LAYOUTS, document_faults, _layout_columns, _nothing),
        KeptKind(INFLATION_TABLES, table_document_faults, _no_columns, _nothing),
        KeptKind(POLICIES, policy_document_faults, _no_columns, _nothing),
    )
}


def _wheel_end_of(vehicle_id: str, position: str) -> str:
    return wheel_end_subject(vehicle_id, ".".join(position.split(".")[:2]))


def _check_entries(row: RecordedRow, document: Any, day: str) -> list[Entry]:
    entries = [
        Entry(
            subject=vehicle_subject(document.vehicle_id),
            day=day,
            order_id=row.order_id,
            entry_id=row.id,
            kind="pressure_check",
        )
    ]
    for tire in document.tires:
        tail = tire.position.split(".")[2:]
        entries.append(
            Entry(
                subject=_wheel_end_of(document.vehicle_id, tire.position),
                day=day,
                order_id=row.order_id,
                entry_id=row.id,
                kind="_".join(["pressure", *tail]),
                word="refilled" if tire.refilled else None,
                value=tire.pressure,
            )
        )
    return entries


def _check_fits(vehicle: KeptRow, document: sent.PressureCheckDocument) -> None:
    for place, tire in enumerate(document.tires):
        require_tire(vehicle, tire.position, f"/tires/{place}/position")


def _event_entries(row: RecordedRow, document: Any, day: str) -> list[Entry]:
    def entry(subject: str) -> Entry:
        return Entry(
            subject=subject, day=day, order_id=row.order_id, entry_id=row.id, kind="upkeep", word=document.kind
        )

    axle, *side = document.subject.split(".")
    ends = [] if axle == "vehicle" else [side[0]] if side else ["left", "right"]
    subjects = [
        vehicle_subject(document.vehicle_id),
        *(wheel_end_subject(document.vehicle_id, f"{axle}.{end}") for end in ends),
    ]
    return [entry(subject) for subject in subjects]


def _odometer_entries(row: RecordedRow, document: Any, day: str) -> list[Entry]:
    def entry(kind: str, reading: float, word: str | None = None) -> Entry:
        return Entry(
            subject=vehicle_subject(document.vehicle_id),
            day=day,
            order_id=row.order_id,
            entry_id=row.id,
            kind=kind,
            word=word,
            value=reading,
        )

    if document.old_reading is None:
        return [entry("odometer", document.reading)]
    return [entry("odometer", document.reading, "replaced"), entry("former_odometer", document.old_reading)]


RECORDED = {
    kind.records.kind: kind
    for kind in (
        RecordedKind(
            Records("pressure_checks", tables.PRESSURE_CHECKS),
            check_document_faults,
            _check_fits,
            lambda document: document.checked_on.isoformat(),
            "/checked_on",
            _check_entries,
        ),
        RecordedKind(
            Records("upkeep_events", tables.UPKEEP_EVENTS),
            document_faults,
            lambda vehicle, document: require_part(vehicle, document.subject, "/subject"),
            lambda document: document.done_on.isoformat(),
            "/done_on",
            _event_entries,
        ),
        RecordedKind(
            Records("odometer_readings", tables.ODOMETER_READINGS),
            document_faults,
            lambda _, __: None,
            lambda document: document.read_on.isoformat(),
            "/read_on",
            _odometer_entries,
        ),
    )
}


def keep(unit: WritingUnit, kind: KeptKind, text: str, document: Any) -> KeptRow:
    """Keep a new document with all that follows from it."""
    columns = kind.columns(unit, document)
    row = kind.documents.add(unit, text, archived=document.archived, columns=columns)
    kind.settle(unit, row, document, None)
    return row


def change(unit: WritingUnit, kind: KeptKind, id_: str, tags: str, text: str, document: Any) -> KeptRow:
    """Keep the next revision of a document with all that follows from it."""
    before = kind.documents.locked(unit, id_)  # what is not there is told before what is wrong with the document
    columns = kind.columns(unit, document)
    row = kind.documents.replace(unit, before, tags, text, archived=document.archived, columns=columns)
    kind.settle(unit, row, document, before)
    return row


def record(unit: WritingUnit, kind: RecordedKind, text: str, document: Any, document_si: Any) -> RecordedRow:
    """Keep a record of a vehicle with what it adds to the histories."""
    kind.fits(required(unit, VEHICLES, document.vehicle_id, "/vehicle_id"), document)
    day = kind.day(document)
    refuse_future(day, unit.moment, kind.day_pointer)
    columns = {"vehicle_id": document.vehicle_id, "day": day}
    row = kind.records.add(unit, text, supersedes=document.supersedes, columns=columns)
    enter(unit, kind.entries(row, document_si, day))
    return row
