"""Bringing a database to the tables that this program knows: one revision at a time, each all or nothing."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from enum import Enum
from functools import cache
from pathlib import Path
from threading import Lock
from time import monotonic, sleep

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import ConnectionPoolEntry

from axlewright.fleet.engines import database_url, transaction
from axlewright.fleet.errors import MigrationRefused

_PACKAGE = Path(__file__).parent.parent
_IN_THE_WHEEL = _PACKAGE / "migrations"
FOLDER = _IN_THE_WHEEL if _IN_THE_WHEEL.is_dir() else _PACKAGE.parent.parent / "migrations"

_ONE_AT_A_TIME = Lock()  # in this process: what alembic hands to a revision is global
_LOCK = 0x41584C45  # the number of the advisory lock: "AXLE"
_TAKE_TURN = text("SELECT pg_advisory_xact_lock(:lock)")
_WAIT_FOR_OTHERS = text("SET LOCAL statement_timeout = 0; SET LOCAL lock_timeout = '600s'")
_LOCK_TIMEOUT = text("SET LOCAL lock_timeout = '5s'")  # who waits for a table's lock makes all others wait behind it

_POSTGRESQL = {"connect_timeout": 10}  # s
_WRITE_AHEAD_LIMIT_S = 5
_WRITE_AHEAD_PAUSE_S = 0.01
_SQLITE = (
    "PRAGMA busy_timeout=600000",
    "PRAGMA synchronous=FULL",
    "PRAGMA foreign_keys=OFF",  # else replacing a table deletes the rows that refer to its rows
)


class SchemaState(Enum):
    """How the database's tables stand to this program."""

    CURRENT = "current"
    OLD = "old"
    NEWER = "newer"


def migrate(url: str, folder: Path = FOLDER) -> list[str]:
    """Bring the database to the newest revision and return the revisions that this call applied.

    Raises MigrationRefused where the database is newer than this program, StoreUnavailable where it cannot be reached.
    """
    applied: list[str] = []
    while (revision := _apply_next(url, folder)) is not None:
        applied.append(revision)
    return applied


def downgrade(url: str, revision: str, folder: Path = FOLDER) -> None:
    """Take the database back to a revision, or to no tables by `base`; refused where all rows would be lost."""
    with migrating(url) as connection, _telling_what_failed(f"going back to {revision}"):
        command.downgrade(_config(connection, folder), revision)


@cache
def head() -> str:
    """Return the newest revision that this program knows."""
    return _revisions(FOLDER)[-1]


def schema_state(connection: Connection) -> SchemaState:
    """Return how the database's tables stand to this program."""
    revision = _revision_of(connection)
    if revision == head():
        return SchemaState.CURRENT
    return SchemaState.OLD if revision is None or revision in _revisions(FOLDER) else SchemaState.NEWER


def is_current(connection: Connection) -> bool:
    """Return whether the database has the newest revision that this program knows."""
    return schema_state(connection) is SchemaState.CURRENT


@contextmanager
def migrating(url: str) -> Iterator[Connection]:
    """Open the one transaction that may change tables now; others that migrate wait for its end."""
    engine = _engine(database_url(url))
    try:
        with _ONE_AT_A_TIME, transaction(engine) as connection:
            if connection.dialect.name == "postgresql":
                connection.execute(_WAIT_FOR_OTHERS)
                connection.execute(_TAKE_TURN, {"lock": _LOCK})
                connection.execute(_LOCK_TIMEOUT)
            yield connection
    finally:
        engine.dispose()


def refuse_broken_links(connection: Connection) -> None:
    """Refuse a revision that left a row in SQLite which refers to none: it enforces no keys meanwhile."""
    if connection.dialect.name != "sqlite":
        return
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    if broken:
        tables = ", ".join(sorted({row[0] for row in broken}))
        raise MigrationRefused(f"the migration would leave rows that refer to nothing, in {tables}")


def _apply_next(url: str, folder: Path) -> str | None:
    with migrating(url) as connection:
        revision = _next_revision(connection, folder)
        if revision is not None:
            with _telling_what_failed(f"revision {revision}"):
                command.upgrade(_config(connection, folder), revision)
        return revision


@contextmanager
def _telling_what_failed(step: str) -> Iterator[None]:
    try:
        yield
    except DBAPIError as failure:
        raise MigrationRefused(f"{step} failed, and left all as it was: {failure.orig}") from failure


def _next_revision(connection: Connection, folder: Path) -> str | None:
    known, present = _revisions(folder), _revision_of(connection)
    if present is None:
        return known[0]
    if present not in known:
        raise MigrationRefused(f"the database is at revision {present!r}, newer than this program, which knows {known}")
    later = known[known.index(present) + 1 :]
    return later[0] if later else None


def _revision_of(connection: Connection) -> str | None:
    return MigrationContext.configure(connection).get_current_revision()


def _revisions(folder: Path) -> list[str]:
    """Return the revisions of a folder, the first one first."""
    return [script.revision for script in ScriptDirectory(str(folder)).walk_revisions()][::-1]


def _config(connection: Connection, folder: Path) -> Config:
    config = Config(attributes={"connection": connection})
    config.set_main_option("script_location", str(folder).replace("%", "%%"))
    return config


def _engine(parts: URL) -> Engine:
    if parts.get_backend_name() != "sqlite":
        return create_engine(parts, poolclass=NullPool, isolation_level="READ COMMITTED", connect_args=_POSTGRESQL)
    engine = create_engine(parts, poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def prepare(connection: sqlite3.Connection, _: ConnectionPoolEntry) -> None:
        connection.isolation_level = None
        _write_ahead(connection)
        for pragma in _SQLITE:
            connection.execute(pragma).close()

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE")

    return engine


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Have the file keep a write-ahead log: while another does the same to a new file, SQLite refuses, not waits."""
    give_up_at = monotonic() + _WRITE_AHEAD_LIMIT_S
    while True:
        try:
            connection.execute("PRAGMA journal_mode=WAL").close()
        except sqlite3.OperationalError:
            if monotonic() > give_up_at:
                raise
            sleep(_WRITE_AHEAD_PAUSE_S)
        else:
            return
