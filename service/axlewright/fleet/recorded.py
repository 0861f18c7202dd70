"""Records: made once, never changed; a corrected one supersedes another, and both stay."""

from collections.abc import Mapping
from typing import Any

from msgspec import Struct
from sqlalchemy import Table

from axlewright.contract.faults import Fault
from axlewright.fleet.clock import new_id
from axlewright.fleet.refusals import Conflicting, NoSuchThing
from axlewright.fleet.rows import Held, Part, Rows
from axlewright.fleet.schemas import present_schema, present_text
from axlewright.fleet.timeline import forget
from axlewright.fleet.unit import Unit, WritingUnit


class RecordedRow(Struct, frozen=True, kw_only=True):
    """A record; `text` is its JSON as it was sent, brought to the present schema."""

    id: str
    made_at: str
    schema: int
    text: str
    superseded_by: str | None
    order_id: str
    """Of one that was just made, the id of the first in its chain of corrections."""
    more: tuple[Any, ...] = ()


class Records:
    """The records of one kind."""

    def __init__(self, kind: str, table: Table, *more: str) -> None:
        """Keep them in a table; `more` names columns that are read with each."""
        self.kind = kind
        self.table = table
        c = table.c
        columns = (c.id, c.made_at, c.schema, c.document, c.superseded_by, *(c[name] for name in more))
        self._rows = Rows(table, columns, newest_by=("day", "id"))

    def found(self, unit: Unit, id_: str) -> RecordedRow:
        """Return the record of an id.

        Raises
        ------
        NoSuchThing
            If this operator has none of it.
        """
        row = self._rows.one(unit, id_)
        if row is None:
            raise NoSuchThing
        return self._read(row)

    def page(self, unit: Unit, held: Held, part: Part) -> list[RecordedRow]:
        """Return a part of the records whose columns hold something, in the order in which they were made."""
        return [self._read(row) for row in self._rows.page(unit, held, part)]

    def newest(self, unit: Unit, held: Held, limit: int) -> list[RecordedRow]:
        """Return so many of the records of the last days that are not superseded, the newest day first."""
        return [self._read(row) for row in self._rows.newest(unit, {**held, "superseded_by": None}, limit)]

    def add(self, unit: WritingUnit, text: str, *, supersedes: str | None, columns: Mapping[str, Any]) -> RecordedRow:
        """Keep a new record, in place of another one if it supersedes one.

        Raises
        ------
        Conflicting
            If what it supersedes is not there, or superseded already.
        """
        id_ = new_id()
        row = RecordedRow(
            id=id_,
            made_at=unit.moment,
            schema=present_schema(self.kind),
            text=text,
            superseded_by=None,
            order_id=id_ if supersedes is None else self._supersede(unit, supersedes, id_),
        )
        values = {
            "operator_id": unit.operator_id,
            "id": row.id,
            "made_at": row.made_at,
            "schema": row.schema,
            "document": text,
            "supersedes": supersedes,
        }
        unit.connection.execute(self.table.insert(), {**values, **columns})
        unit.note(self.kind, row.id, 1, "made", row.schema)
        return row

    def _supersede(self, unit: WritingUnit, id_: str, by: str) -> str:
        c = self.table.c
        change = self.table.update().where(c.operator_id == unit.operator_id, c.id == id_, c.superseded_by.is_(None))
        if unit.connection.execute(change, {"superseded_by": by}).rowcount == 0:
            raise Conflicting(self._not_superseded(unit, id_))
        unit.note(self.kind, id_, 2, "superseded", self.found(unit, id_).schema)
        return forget(unit, id_) or id_

    def _not_superseded(self, unit: Unit, id_: str) -> Fault:
        try:
            by = self.found(unit, id_).superseded_by
        except NoSuchThing:
            return no_such_reference("/supersedes", self.kind)
        message = f"It is superseded already, by {by}: supersede that one."
        return Fault("inconsistent_reference", "/supersedes", message, None, by)

    def _read(self, row: Any) -> RecordedRow:
        id_, made_at, schema, document, superseded_by, *more = row
        return RecordedRow(
            id=id_,
            made_at=made_at,
            schema=schema,
            text=present_text(self.kind, schema, document),
            superseded_by=superseded_by,
            order_id=id_,
            more=tuple(more),
        )


def no_such_reference(pointer: str, kind: str) -> Fault:
    """Return the fault of a name that refers to nothing of this operator."""
    return Fault("inconsistent_reference", pointer, f"The fleet has nothing of this id among its {kind}.")
