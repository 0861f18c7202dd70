"""How the store is reached: connections to SQLite or PostgreSQL, and one transaction on them."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from selectors import EVENT_READ, DefaultSelector
from time import monotonic
from typing import Any

from psycopg import Connection as PostgreSQLConnection
from psycopg.pq import TransactionStatus
from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import DBAPIError, DisconnectionError, InvalidRequestError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError
from sqlalchemy.pool import ConnectionPoolEntry, PoolProxiedConnection

from axlewright.fleet.errors import TakesNoChanges, as_unavailable, busy, not_answering, not_committed, not_prepared

SERVICE_ROLE = "axlewright_service"
"""The PostgreSQL role that requests run as: no superuser, owner of nothing, under row-level security."""

_SQLITE = (
    "PRAGMA busy_timeout=5000",
    "PRAGMA journal_mode=WAL",
    "PRAGMA synchronous=FULL",  # what was acknowledged is still there after a loss of power
    "PRAGMA foreign_keys=ON",
    "PRAGMA trusted_schema=OFF",
)
_REFUSAL_TOLD_FOR_S = 60
_SQLITE_POOL: dict[str, Any] = {"max_overflow": 0, "pool_timeout": 5}
_POSTGRESQL = "SET statement_timeout = '10s'; SET lock_timeout = '5s'"
_POSTGRESQL_POOL: dict[str, Any] = {"pool_size": 10, "max_overflow": 0, "pool_timeout": 2}
_POSTGRESQL_CONNECT = {"connect_timeout": 2, "tcp_user_timeout": 5000}  # s, ms


class LastChange:
    """Whether the store takes the changes of this process, by the last one."""

    def __init__(self) -> None:
        """Know of none."""
        self._refusal: TakesNoChanges | None = None
        self._told_until_s = 0.0

    def taken(self) -> None:
        """Note that the store took one."""
        self._refusal = None

    def refused(self, refusal: TakesNoChanges) -> None:
        """Note that the store takes none."""
        self._refusal, self._told_until_s = refusal, monotonic() + _REFUSAL_TOLD_FOR_S

    def raise_refusal(self) -> None:
        """Raise what the store refused a change with in the last minute, unless it took another one since."""
        if (refusal := self._refusal) is not None and monotonic() < self._told_until_s:
            raise TakesNoChanges(refusal.reason, refusal.retry_after_s)


@dataclass(frozen=True)
class Engines:
    """The ways into one database: on PostgreSQL both are the same."""

    reader: Engine
    writer: Engine
    last_change: LastChange = field(default_factory=LastChange)

    @contextmanager
    def changing(self) -> Iterator[Connection]:
        """Run the body in a transaction that may change something, and note if the store takes no changes."""
        try:
            with transaction(self.writer) as connection:
                yield connection
        except TakesNoChanges as refusal:
            self.last_change.refused(refusal)
            raise

    def dispose(self) -> None:
        """Close the pooled connections."""
        self.reader.dispose()
        self.writer.dispose()


def engines(url: str) -> Engines:
    """Return the ways into the database at `sqlite:///file` or `postgresql://...` for serving requests."""
    parts = database_url(url)
    if parts.get_backend_name() == "sqlite":
        return Engines(_sqlite_engine(parts, writes=False), _sqlite_engine(parts, writes=True))
    engine = _postgresql_engine(parts, f"SET ROLE {SERVICE_ROLE}; {_POSTGRESQL}")
    return Engines(engine.execution_options(isolation_level="REPEATABLE READ"), engine)


def owner_engine(url: str) -> Engine:
    """Return the way into the database as the URL's own user, who may make keys."""
    parts = database_url(url)
    if parts.get_backend_name() == "sqlite":
        return _sqlite_engine(parts, writes=True)
    return _postgresql_engine(parts, _POSTGRESQL)


def database_url(url: str) -> URL:
    """Return the parts of a URL that names a database which the store can be in."""
    try:
        parts = make_url(url)
    except SQLAlchemyError:
        raise ValueError("it must be sqlite:///FILE or postgresql://USER@HOST/DATABASE") from None
    if parts.drivername in ("postgresql", "postgresql+psycopg"):
        return parts
    if parts.drivername in ("sqlite", "sqlite+pysqlite") and parts.database not in (None, "", ":memory:"):
        return parts
    raise ValueError("it must be sqlite:///FILE or postgresql://USER@HOST/DATABASE")


@contextmanager
def transaction(engine: Engine) -> Iterator[Connection]:
    """Run the body in a transaction, and commit it at the end.

    Raises StoreUnavailable where the database fails, also at the commit. What the values broke passes as it is.
    """
    with _connected(engine) as connection:
        try:
            connection.begin()
            yield connection
        except BaseException as failure:
            _roll_back(connection)
            unavailable = as_unavailable(failure) if isinstance(failure, DBAPIError) else None
            if unavailable is None:
                raise
            raise unavailable from failure
        _commit(connection)


@contextmanager
def _connected(engine: Engine) -> Iterator[Connection]:
    try:
        connection = engine.connect()
    except PoolTimeoutError as failure:
        raise busy() from failure
    except InvalidRequestError as failure:  # a new connection ended as well before it was used
        raise not_answering() from failure
    except DBAPIError as failure:
        # A wrong value can only be the role here: it is not there, or the URL's user may not take it.
        raise (as_unavailable(failure) or not_prepared()) from failure
    with connection:
        yield connection


def _commit(connection: Connection) -> None:
    if _is_aborted(connection):
        # PostgreSQL takes COMMIT here, answers ROLLBACK and calls it no error.
        _roll_back(connection)
        raise RuntimeError("a failed statement was passed over: the transaction could not be committed")
    try:
        connection.commit()
    except Exception as failure:
        connection.invalidate()
        refusal = as_unavailable(failure) if isinstance(failure, DBAPIError) else None
        raise (refusal if isinstance(refusal, TakesNoChanges) else not_committed()) from failure


def _is_aborted(connection: Connection) -> bool:
    if connection.dialect.name != "postgresql":
        return False
    driver: Any = connection.connection.dbapi_connection
    return bool(driver.info.transaction_status == TransactionStatus.INERROR)


def _roll_back(connection: Connection) -> None:
    try:
        connection.rollback()
    except Exception:  # the connection is of no more use, and the first failure is the one to tell
        connection.invalidate()


def _sqlite_engine(parts: URL, *, writes: bool) -> Engine:
    engine = create_engine(parts, pool_size=1 if writes else 10, **_SQLITE_POOL)
    pragmas = _SQLITE if writes else (*_SQLITE, "PRAGMA query_only=ON")

    @event.listens_for(engine, "connect")
    def prepare(connection: sqlite3.Connection, _: ConnectionPoolEntry) -> None:
        connection.isolation_level = None  # BEGIN is ours: the driver's own comes late and loses updates
        for pragma in pragmas:
            connection.execute(pragma).close()

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _postgresql_engine(parts: URL, preparation: str) -> Engine:
    engine = create_engine(
        parts, isolation_level="READ COMMITTED", connect_args=_POSTGRESQL_CONNECT, **_POSTGRESQL_POOL
    )

    @event.listens_for(engine, "connect")
    def prepare(connection: PostgreSQLConnection[Any], _: ConnectionPoolEntry) -> None:
        connection.autocommit = True
        connection.execute(preparation)
        connection.autocommit = False

    @event.listens_for(engine, "checkout")
    def require_silence(
        connection: PostgreSQLConnection[Any], _: ConnectionPoolEntry, __: PoolProxiedConnection
    ) -> None:
        # A server says nothing to who asks nothing, unless it ends the connection.
        if connection.closed or _has_to_read(connection.fileno()):
            raise DisconnectionError

    return engine


def _has_to_read(descriptor: int) -> bool:
    """Return whether something has arrived at a socket, or its end."""
    with DefaultSelector() as selector:
        selector.register(descriptor, EVENT_READ)
        return bool(selector.select(0))
