"""What happened to a rig, a vehicle or a wheel end, day by day: drawn from the records, in SI."""

from collections.abc import Iterable
from typing import Any

from msgspec import Struct
from sqlalchemy import bindparam, select, tuple_

from axlewright.contract.fleet.history import HistoryFact
from axlewright.fleet.tables import TIMELINE
from axlewright.fleet.unit import Unit, WritingUnit

Place = tuple[str, str, str]
"""Where an entry stands among those of its subject: day, id of the first record in its chain of corrections, kind."""


class Entry(Struct, frozen=True, kw_only=True):
    """One thing on one day, with its figure in SI if it has one."""

    subject: str
    day: str
    order_id: str
    kind: str
    entry_id: str
    word: str | None = None
    value: float | None = None
    standard_uncertainty: float | None = None


_FIELDS = Entry.__struct_fields__
_C = TIMELINE.c
_OF_SUBJECT = (_C.operator_id == bindparam("operator_id"), _C.subject == bindparam("subject"))
_PLACE = (_C.day, _C.order_id, _C.kind)
_NEWEST = (
    select(_C.day, _C.kind, _C.entry_id, _C.word, _C.value, _C.standard_uncertainty, _C.order_id)
    .where(*_OF_SUBJECT)
    .order_by(*(column.desc() for column in _PLACE))
    .limit(bindparam("limit"))
)
_NEWEST_BEFORE = _NEWEST.where(
    tuple_(*_PLACE) < tuple_(*(bindparam(column.name, type_=column.type) for column in _PLACE))
)
_LAST_OF_KIND = (
    select(*(_C[name] for name in _FIELDS))
    .where(*_OF_SUBJECT, _C.kind == bindparam("kind"))
    .order_by(_C.day.desc(), _C.order_id.desc())
    .limit(1)
)


def vehicle_subject(vehicle_id: str) -> str:
    """Return the subject of a vehicle's history, unlike that of a rig, which is its id."""
    return f"{vehicle_id}/"


def wheel_end_subject(vehicle_id: str, wheel_end: str) -> str:
    """Return the subject of a wheel end's history."""
    return f"{vehicle_id}/{wheel_end}"


def enter(unit: WritingUnit, entries: Iterable[Entry]) -> None:
    """Add entries."""
    rows: list[dict[str, Any]] = [
        {"operator_id": unit.operator_id, **{name: getattr(entry, name) for name in _FIELDS}} for entry in entries
    ]
    if rows:
        unit.connection.execute(TIMELINE.insert(), rows)


def forget(unit: WritingUnit, entry_id: str) -> str | None:
    """Take out the entries of a record that is superseded, and return their `order_id`; the record itself stays."""
    c = TIMELINE.c
    entries = TIMELINE.delete().where(c.operator_id == unit.operator_id, c.entry_id == entry_id)
    return unit.connection.execute(entries.returning(c.order_id)).scalars().first()


def history(unit: Unit, subject: str, before: Place | None, limit: int) -> list[HistoryFact]:
    """Return so many entries of a subject, the newest first, before a place."""
    asked = {"operator_id": unit.operator_id, "subject": subject, "limit": limit}
    if before is None:
        rows = unit.connection.execute(_NEWEST, asked)
    else:
        place = dict(zip([column.name for column in _PLACE], before, strict=True))
        rows = unit.connection.execute(_NEWEST_BEFORE, {**asked, **place})
    return [HistoryFact(*row) for row in rows]


def last_of_kind(unit: Unit, subject: str, kind: str) -> Entry | None:
    """Return the newest entry of a kind."""
    asked = {"operator_id": unit.operator_id, "subject": subject, "kind": kind}
    row = unit.connection.execute(_LAST_OF_KIND, asked).one_or_none()
    return None if row is None else Entry(**dict(zip(_FIELDS, row, strict=True)))
