"""A request that is sent again gets the answer of the first: kept in the transaction of what the first one did."""

import hashlib
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

import msgspec
from msgspec import Struct
from sqlalchemy import func, select

from axlewright.fleet.refusals import InProgress, OtherRequest
from axlewright.fleet.tables import IDEMPOTENT_ANSWERS
from axlewright.fleet.unit import Unit, WritingUnit

_C = IDEMPOTENT_ANSWERS.c
_MOST_SWEPT = 200
"""So many answers past their time are taken out with each that is kept."""


class GivenAnswer(Struct, frozen=True, kw_only=True):
    """An answer as it was given."""

    status: int
    headers: Mapping[str, str]
    body: bytes


class Claims:
    """The keys whose first request is still at work in this process."""

    def __init__(self) -> None:
        """Hold none."""
        self._lock = threading.Lock()
        self._held: set[tuple[int, str]] = set()

    @contextmanager
    def hold(self, operator_id: int, key: str) -> Iterator[None]:
        """Hold a key while the body runs.

        Raises
        ------
        InProgress
            If somebody holds it.
        """
        claim = (operator_id, key)
        with self._lock:
            if claim in self._held:
                raise InProgress
            self._held.add(claim)
        try:
            yield
        finally:
            with self._lock:
                self._held.discard(claim)


def request_hash(method: str, path: str, body: bytes) -> str:
    """Return what tells one request from another."""
    return hashlib.sha256(b"\0".join((method.encode(), path.encode(), body))).hexdigest()


def claim(unit: WritingUnit, key: str) -> None:
    """Keep other processes from working on the same key until the end of this unit.

    SQLite has one writer at a time; of PostgreSQL a lock is taken that goes with the transaction.

    Raises
    ------
    InProgress
        If another one works on it.
    """
    if unit.connection.dialect.name == "postgresql":
        digest = hashlib.sha256(f"{unit.operator_id}:{key}".encode()).digest()
        number = int.from_bytes(digest[:8], signed=True)
        if not unit.connection.execute(select(func.pg_try_advisory_xact_lock(number))).scalar_one():
            raise InProgress


def given(unit: Unit, key: str, request: str) -> GivenAnswer | None:
    """Return the answer that was given to a request under a key, if there was one.

    Raises
    ------
    OtherRequest
        If the key was used with another request.
    """
    query = select(_C.request_hash, _C.status, _C.headers, _C.body)
    row = unit.connection.execute(query.where(_C.operator_id == unit.operator_id, _C.key == key)).one_or_none()
    if row is None:
        return None
    if row.request_hash != request:
        raise OtherRequest
    return GivenAnswer(status=row.status, headers=msgspec.json.decode(row.headers), body=row.body)


def keep(unit: WritingUnit, key: str, request: str, answer: GivenAnswer, forget_before: str) -> None:
    """Keep an answer under a key, and take out some of those made before a moment."""
    unit.connection.execute(
        IDEMPOTENT_ANSWERS.insert(),
        {
            "operator_id": unit.operator_id,
            "key": key,
            "request_hash": request,
            "status": answer.status,
            "headers": msgspec.json.encode(answer.headers).decode(),
            "body": answer.body,
            "made_at": unit.moment,
        },
    )
    old = select(_C.key).where(_C.operator_id == unit.operator_id, _C.made_at < forget_before).limit(_MOST_SWEPT)
    sweep = IDEMPOTENT_ANSWERS.delete().where(_C.operator_id == unit.operator_id, _C.key.in_(old))
    unit.connection.execute(sweep)
