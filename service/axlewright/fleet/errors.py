"""When the store cannot answer, and how that is told from a defect of ours."""

from sqlalchemy.exc import DataError, DBAPIError, IntegrityError, ProgrammingError

_SOON_S = 1
_AFTER_A_RESTART_S = 5
_AFTER_SOMEBODY_HELPED_S = 60

_NO_SCHEMA = {"3F000", "42704", "42703", "42P01"}  # schema, object, column or table that is not there
_NO_SCHEMA_IN_SQLITE = ("no such table", "no such column", "has no column named")
_IN_EACH_OTHERS_WAY = {"40001", "40P01"}  # serialization, deadlock
_BUSY = {"53300", "55P03", "57014"}  # connections, lock, time limit
_FULL = {"53100"}
_READ_ONLY = {"25006"}


class StoreUnavailable(Exception):  # noqa: N818
    """The store cannot answer now; nothing of the failed transaction counts as stored."""

    def __init__(self, reason: str, retry_after_s: int) -> None:
        super().__init__(reason)
        self.reason = reason
        self.retry_after_s = retry_after_s


class TakesNoChanges(StoreUnavailable):
    """The store tells what it holds, but takes no changes until somebody helps."""


class Unserializable(StoreUnavailable):
    """Two units of work stood in each other's way, and the database ended this one: done again it goes through."""


class MigrationRefused(Exception):  # noqa: N818
    """A revision was not applied: it failed, it would lose rows, or the database is newer than this program."""


def not_answering() -> StoreUnavailable:
    return StoreUnavailable("the database does not answer", _AFTER_A_RESTART_S)


def changed_meanwhile() -> StoreUnavailable:
    return Unserializable("what this rests on changes all the time", _SOON_S)


def busy() -> StoreUnavailable:
    return StoreUnavailable("the database is busy", _SOON_S)


def not_prepared() -> StoreUnavailable:
    return StoreUnavailable("the database is not prepared: it wants `axlewright migrate`", _AFTER_SOMEBODY_HELPED_S)


def not_committed() -> StoreUnavailable:
    return StoreUnavailable("the database did not confirm that it stored the change", _SOON_S)


def as_unavailable(failure: DBAPIError) -> StoreUnavailable | None:
    """Return what a failed statement means for a caller, None where the statement or its values were wrong."""
    if isinstance(failure, IntegrityError | DataError):
        return None
    if (name := getattr(failure.orig, "sqlite_errorname", None)) is not None:
        return _of_sqlite(name, str(failure.orig))
    state = getattr(failure.orig, "sqlstate", None)
    if state in _NO_SCHEMA:
        return not_prepared()
    if isinstance(failure, ProgrammingError):
        return None
    return _of_postgresql(state)


def _of_sqlite(name: str, text: str) -> StoreUnavailable | None:
    if name == "SQLITE_ERROR":
        return not_prepared() if any(sign in text for sign in _NO_SCHEMA_IN_SQLITE) else None
    if name == "SQLITE_MISUSE":
        return None
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return busy()
    if name.startswith("SQLITE_FULL"):
        return _without_room()
    return _read_only() if name.startswith("SQLITE_READONLY") else not_answering()


def _of_postgresql(state: str | None) -> StoreUnavailable:
    if state in _IN_EACH_OTHERS_WAY:
        return Unserializable("the database is busy", _SOON_S)
    if state in _BUSY:
        return busy()
    if state in _FULL:
        return _without_room()
    return _read_only() if state in _READ_ONLY else not_answering()


def _without_room() -> TakesNoChanges:
    return TakesNoChanges("the database has no room left", _AFTER_SOMEBODY_HELPED_S)


def _read_only() -> TakesNoChanges:
    return TakesNoChanges("the database takes no changes", _AFTER_SOMEBODY_HELPED_S)
