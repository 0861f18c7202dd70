"""Failures of a database, put between the service and a working one."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import psycopg
from sqlalchemy import Connection, Engine, event
from sqlalchemy.exc import OperationalError

from axlewright.fleet.engines import Engines

_CHANGING = ("INSERT", "UPDATE", "DELETE")


class InjectedError(Exception):
    """The failure was made for the test."""


class FullFileError(sqlite3.OperationalError):
    """What SQLite tells of a full disk."""

    sqlite_errorname = "SQLITE_FULL"


FULL_DISK: dict[str, type[Exception]] = {"sqlite": FullFileError, "postgresql": psycopg.errors.DiskFull}


@contextmanager
def broken_commits(engine: Engine, *, stored: bool, failure: type[Exception] = InjectedError) -> Iterator[None]:
    """Fail each commit of a change: before it reaches the database, or when the database has `stored` it."""
    real_commit = engine.dialect.do_commit

    def note(connection: Connection, cursor: Any, statement: str, *_: Any) -> None:
        connection.info["changed"] = connection.info.get("changed") or statement.startswith(_CHANGING)

    def commit(connection: Any) -> None:
        changed = connection.info.pop("changed", False)
        if stored or not changed:
            real_commit(connection)
        if changed:
            raise failure

    event.listen(engine, "before_cursor_execute", note)
    engine.dialect.do_commit = commit  # type: ignore[method-assign]
    try:
        yield
    finally:
        engine.dialect.do_commit = real_commit  # type: ignore[method-assign]
        event.remove(engine, "before_cursor_execute", note)


@dataclass
class Countdown:
    """How many statements still succeed."""

    left: int

    @property
    def is_over(self) -> bool:
        """Whether one has failed."""
        return self.left < 0


@contextmanager
def failing_after(engines: Engines, statements: int) -> Iterator[Countdown]:
    """Let so many statements succeed, and fail each later one as a broken disk or connection does."""
    countdown = Countdown(statements)

    def fail(connection: Connection, cursor: Any, statement: str, parameters: Any, *_: Any) -> None:
        countdown.left -= 1
        if countdown.is_over:
            raise OperationalError(statement, parameters, _failure_of(connection))

    ways = {id(engine): engine for engine in (engines.reader, engines.writer)}.values()
    for engine in ways:
        event.listen(engine, "before_cursor_execute", fail)
    try:
        yield countdown
    finally:
        for engine in ways:
            event.remove(engine, "before_cursor_execute", fail)


def _failure_of(connection: Connection) -> Exception:
    if connection.dialect.name == "postgresql":
        return psycopg.OperationalError("server closed the connection unexpectedly")
    failure = sqlite3.OperationalError("disk I/O error")
    failure.sqlite_errorname = "SQLITE_IOERR_WRITE"
    return failure
