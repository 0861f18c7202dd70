"""Documents that change: read, made, and changed by whoever names the version that they saw."""

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct
from sqlalchemy import Table, bindparam, select

from axlewright.fleet.clock import new_id
from axlewright.fleet.refusals import NoSuchThing, Stale
from axlewright.fleet.rows import Held, Part, Rows
from axlewright.fleet.schemas import present_schema, present_text
from axlewright.fleet.unit import Unit, WritingUnit


class KeptRow(Struct, frozen=True, kw_only=True):
    """One revision of a document; `text` is its JSON as it was sent, brought to the present schema."""

    id: str
    made_at: str
    changed_at: str
    revision: int
    schema: int
    text: str
    archived: bool

    @property
    def entity_tag(self) -> str:
        """The strong entity tag (RFC 9110, 8.8.3) of this revision."""
        digest = hashlib.sha256(f"{self.id}:{self.revision}:{self.text}".encode()).hexdigest()
        return f'"{digest[:24]}"'


class KeptDocuments:
    """The documents of one kind."""

    def __init__(self, kind: str, table: Table) -> None:
        """Keep them in a table."""
        self.kind = kind
        self.table = table
        c = table.c
        self.columns = (c.id, c.made_at, c.changed_at, c.revision, c.schema, c.document, c.archived)
        self._rows = Rows(table, self.columns)
        self._locked = (
            select(*self.columns)
            .where(c.operator_id == bindparam("operator_id"), c.id == bindparam("id"))
            .with_for_update(key_share=True)
        )

    def found(self, unit: Unit, id_: str) -> KeptRow:
        """Return the document of an id.

        Raises
        ------
        NoSuchThing
            If this operator has none of it.
        """
        row = self._rows.one(unit, id_)
        if row is None:
            raise NoSuchThing
        return self.read(row)

    def of_ids(self, unit: Unit, ids: Sequence[str]) -> dict[str, KeptRow]:
        """Return the documents of ids, without those that are not there."""
        return {row.id: self.read(row) for row in self._rows.of_ids(unit, ids)}

    def page(self, unit: Unit, held: Held, part: Part) -> list[KeptRow]:
        """Return a part of the documents whose columns hold something, in the order in which they were made."""
        return [self.read(row) for row in self._rows.page(unit, held, part)]

    def newest(self, unit: Unit, held: Held, limit: int) -> list[KeptRow]:
        """Return so many of the documents made last whose columns hold something, the newest first."""
        return [self.read(row) for row in self._rows.newest(unit, held, limit)]

    def add(self, unit: WritingUnit, text: str, *, archived: bool, columns: Mapping[str, Any]) -> KeptRow:
        """Keep a new document."""
        row = KeptRow(
            id=new_id(),
            made_at=unit.moment,
            changed_at=unit.moment,
            revision=1,
            schema=present_schema(self.kind),
            text=text,
            archived=archived,
        )
        values = {"operator_id": unit.operator_id, **_values(row), **columns}
        unit.connection.execute(self.table.insert(), values)
        unit.note(self.kind, row.id, row.revision, "made", row.schema, text)
        return row

    def replace(
        self, unit: WritingUnit, seen: KeptRow, tags: str, text: str, *, archived: bool, columns: Mapping[str, Any]
    ) -> KeptRow:
        """Keep the next revision of a document that was locked, for one who saw the present one.

        Raises
        ------
        Stale
            If the present revision is none of the tags in the If-Match header.
        """
        if not _is_named(seen.entity_tag, tags):
            raise Stale
        row = KeptRow(
            id=seen.id,
            made_at=seen.made_at,
            changed_at=unit.moment,
            revision=seen.revision + 1,
            schema=present_schema(self.kind),
            text=text,
            archived=archived,
        )
        c = self.table.c
        change = self.table.update().where(c.operator_id == unit.operator_id, c.id == seen.id)
        unit.connection.execute(change, {**_values(row), **columns})
        action = "changed" if archived == seen.archived else "archived" if archived else "restored"
        unit.note(self.kind, seen.id, row.revision, action, row.schema, text)
        return row

    def locked(self, unit: WritingUnit, id_: str) -> KeptRow:
        """Return a document that nobody else can change until the end of this unit.

        Raises
        ------
        NoSuchThing
            If this operator has none of the id.
        """
        found = unit.connection.execute(self._locked, {"operator_id": unit.operator_id, "id": id_}).one_or_none()
        if found is None:
            raise NoSuchThing
        return self.read(found)

    def read(self, row: Any) -> KeptRow:
        """Return what a row of the columns holds."""
        id_, made_at, changed_at, revision, schema, document, archived = row
        return KeptRow(
            id=id_,
            made_at=made_at,
            changed_at=changed_at,
            revision=revision,
            schema=schema,
            text=present_text(self.kind, schema, document),
            archived=bool(archived),
        )


def _values(row: KeptRow) -> dict[str, Any]:
    return {
        "id": row.id,
        "made_at": row.made_at,
        "changed_at": row.changed_at,
        "revision": row.revision,
        "schema": row.schema,
        "document": row.text,
        "archived": int(row.archived),
    }


def _is_named(entity_tag: str, tags: str) -> bool:
    """Tell whether If-Match names an entity tag: strong comparison, or `*` for any (RFC 9110, 13.1.1)."""
    return tags.strip() == "*" or entity_tag in [tag.strip() for tag in tags.split(",")]
