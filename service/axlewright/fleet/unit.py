"""One unit of work: a transaction of a key that lives, on its operator's rows, and what was changed in it."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from sqlalchemy import Connection

from axlewright.fleet.clock import moment, new_id, now
from axlewright.fleet.engines import Engines, transaction
from axlewright.fleet.keys import Key, require_live
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
def reading(engines: Engines, key: Key) -> Iterator[Unit]:
    """Run the body in a transaction that only reads.

    Raises
    ------
    NoLiveKey
        If the key has expired or was revoked.
    """
    with transaction(engines.reader) as connection:
        require_live(connection, key, now())
        yield Unit(connection, key.operator_id)


@contextmanager
def writing(engines: Engines, key: Key) -> Iterator[WritingUnit]:
    """Run the body in a transaction that is committed at its end, before anybody is told.

    Raises
    ------
    NoLiveKey
        If the key has expired or was revoked.
    """
    with engines.changing() as connection:
        at = now()
        require_live(connection, key, at)
        yield WritingUnit(connection, key.operator_id, key.id, moment(at))
