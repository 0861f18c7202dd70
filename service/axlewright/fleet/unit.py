"""One unit of work: a transaction that sees one operator's rows, and what was changed in it."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from sqlalchemy import Connection

from axlewright.fleet.clock import moment, new_id, now
from axlewright.fleet.engines import Engines, transaction
from axlewright.fleet.tables import CHANGES


@dataclass(frozen=True)
class Unit:
    """A transaction of one operator."""

    connection: Connection
    operator_id: int


@dataclass(frozen=True)
class WritingUnit(Unit):
    """A transaction that changes something, at a moment, by a key."""

    key_id: str
    moment: str

    def note(
        self, kind: str, resource_id: str, revision: int, action: str, schema: int, document: str = "null"
    ) -> None:
        """Add a line to the audit trail, with the document where it is kept nowhere else once it changes."""
        self.connection.execute(
            CHANGES.insert(),
            {
                "operator_id": self.operator_id,
                "id": new_id(),
                "made_at": self.moment,
                "key_id": self.key_id,
                "kind": kind,
                "resource_id": resource_id,
                "revision": revision,
                "action": action,
                "schema": schema,
                "document": document,
            },
        )


@contextmanager
def reading(engines: Engines, operator_id: int) -> Iterator[Unit]:
    """Run the body in a transaction that only reads."""
    with transaction(engines.reader, operator_id) as connection:
        yield Unit(connection, operator_id)


@contextmanager
def writing(engines: Engines, operator_id: int, key_id: str) -> Iterator[WritingUnit]:
    """Run the body in a transaction that is committed at its end, before anybody is told."""
    with transaction(engines.writer, operator_id) as connection:
        yield WritingUnit(connection, operator_id, key_id, moment(now()))
