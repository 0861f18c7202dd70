"""A transaction is stored whole or the store says that it cannot answer; an operator sees its own rows only."""

import socket
import sqlite3
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, suppress
from typing import Any

import pytest
from sqlalchemy import Connection, Engine, Table, event, insert, select, text
from sqlalchemy.exc import DataError, IntegrityError, OperationalError, ProgrammingError

from axlewright.fleet.engines import SERVICE_ROLE, Engines, database_url, engines, transaction
from axlewright.fleet.errors import StoreUnavailable
from axlewright.fleet.keys import Key
from axlewright.fleet.migrations import downgrade, migrate
from axlewright.fleet.tables import API_KEYS, METADATA, OF_AN_OPERATOR, OPERATORS, POLICIES
from axlewright.fleet.unit import reading, writing
from tests.fleet.databases import Database
from tests.fleet.populated import as_operator, as_owner, fill, rows_of
from tests.fleet.postgres_server import PostgresServer

ANSWERED_WITHIN_S = 3.0

Then = Callable[[Connection], object]


def nothing(_: Connection) -> None:
    """Do nothing more in a transaction."""


@pytest.fixture
def store(database: Database) -> Iterator[Engines]:
    """The way requests take into a database of each kind, with two operators' rows."""
    yield from opened(database)


@pytest.fixture
def postgresql_store(postgresql_database: Database) -> Iterator[Engines]:
    yield from opened(postgresql_database)


@pytest.fixture
def sqlite_store(sqlite_database: Database) -> Iterator[Engines]:
    yield from opened(sqlite_database)


def opened(database: Database) -> Iterator[Engines]:
    fill(database.url)
    store = engines(database.url)
    yield store
    store.dispose()


def policy(identity: str, operator_id: int = 1) -> dict[str, Any]:
    return rows_of(operator_id)["policies"][0] | {"id": identity}


def add(store: Engines, row: dict[str, Any], operator_id: int | None = 1, *, then: Then = nothing) -> None:
    with as_operator(store.writer, operator_id) as connection:
        connection.execute(insert(POLICIES), row)
        then(connection)


def policies_in(store: Engines, operator_id: int | None = 1) -> set[str]:
    with as_operator(store.reader, operator_id) as connection:
        return set(connection.scalars(select(POLICIES.c.id).where(POLICIES.c.operator_id == operator_id)))


def test_sqlite_connections_are_durable_and_check_links(sqlite_store: Engines) -> None:
    wanted = {"journal_mode": "wal", "foreign_keys": 1, "busy_timeout": 5000, "synchronous": 2, "trusted_schema": 0}
    for engine, query_only in ((sqlite_store.writer, 0), (sqlite_store.reader, 1)):
        with as_operator(engine, 1) as connection:
            found = {name: connection.scalar(text(f"PRAGMA {name}")) for name in (*wanted, "query_only")}
        assert found == wanted | {"query_only": query_only}


def test_a_reader_changes_nothing_in_sqlite(sqlite_store: Engines) -> None:
    with pytest.raises(StoreUnavailable, match="takes no changes"), as_operator(sqlite_store.reader, 1) as connection:
        connection.execute(insert(POLICIES), policy("new"))


def test_a_reader_sees_one_state_while_another_writes(sqlite_store: Engines) -> None:
    count = text("SELECT count(*) FROM policies")
    with as_operator(sqlite_store.reader, 1) as reading:
        before = reading.scalar(count)
        with as_operator(sqlite_store.writer, 1) as writing:
            writing.execute(insert(POLICIES), policy("new"))
        assert reading.scalar(count) == before
    assert "new" in policies_in(sqlite_store)


def test_postgresql_connections_are_bounded_in_time(postgresql_store: Engines) -> None:
    with as_operator(postgresql_store.writer, 1) as connection:
        assert connection.scalar(text("SHOW statement_timeout")) == "10s"
        assert connection.scalar(text("SHOW lock_timeout")) == "5s"
    with as_operator(postgresql_store.reader, 1) as connection:
        assert connection.scalar(text("SHOW transaction_isolation")) == "repeatable read"
    with as_operator(postgresql_store.writer, 1) as connection:
        assert connection.scalar(text("SHOW transaction_isolation")) == "read committed"
    assert postgresql_store.reader.pool is postgresql_store.writer.pool


def test_read_modify_writes_of_many_threads_lose_nothing(store: Engines) -> None:
    threads, times = 16, 15

    def add_one(_: int) -> None:
        for _ in range(times):
            with as_operator(store.writer, 1) as connection:
                lock = "" if connection.dialect.name == "sqlite" else " FOR UPDATE"
                one = "WHERE operator_id = 1 AND id = 'a'"
                revision = connection.scalar(text(f"SELECT revision FROM policies {one}{lock}"))
                connection.execute(text(f"UPDATE policies SET revision = :next {one}"), {"next": revision + 1})

    with ThreadPoolExecutor(threads) as pool:
        list(pool.map(add_one, range(threads)))
    with as_operator(store.reader, 1) as connection:
        revision = connection.scalar(text("SELECT revision FROM policies WHERE operator_id = 1 AND id = 'a'"))
    assert revision == rows_of(1)["policies"][0]["revision"] + threads * times


def test_an_exception_stores_nothing_and_passes_as_it_is(store: Engines) -> None:
    def raise_one(_: Connection) -> None:
        raise KeyError("mine")

    with pytest.raises(KeyError, match="mine"):
        add(store, policy("new"), then=raise_one)
    assert policies_in(store) == {"a", "b"}


def test_values_that_break_a_rule_are_no_failure_of_the_store(store: Engines) -> None:
    with pytest.raises(IntegrityError):
        add(store, policy("a"))
    with pytest.raises((DataError, IntegrityError)):
        add(store, policy("new") | {"revision": "many"})
    with pytest.raises((ProgrammingError, OperationalError)):
        add(store, policy("new"), then=lambda connection: connection.execute(text("SELEKT 1")))
    assert policies_in(store) == {"a", "b"}


def test_a_failed_statement_that_was_passed_over_is_never_taken_for_stored(postgresql_store: Engines) -> None:
    def pass_over(connection: Connection) -> None:
        with suppress(IntegrityError):
            connection.execute(insert(POLICIES), policy("a"))

    with pytest.raises(RuntimeError, match="could not be committed"):
        add(postgresql_store, policy("new"), then=pass_over)
    assert policies_in(postgresql_store) == {"a", "b"}


# Row-level security


def test_requests_run_as_a_role_that_owns_nothing_and_cannot_pass_the_rules(postgresql_store: Engines) -> None:
    may = text("SELECT rolsuper, rolbypassrls, rolcreaterole, rolcanlogin FROM pg_roles WHERE rolname = current_user")
    owned = text("SELECT count(*) FROM pg_class WHERE relowner = current_user::regrole")
    with as_operator(postgresql_store.writer, 1) as connection:
        assert connection.scalar(text("SELECT current_user")) == SERVICE_ROLE
        assert connection.execute(may).one() == (False, False, False, False)
        assert connection.scalar(owned) == 0


def test_without_an_operator_no_row_is_seen(postgresql_store: Engines) -> None:
    assert {table.name: seen(postgresql_store, None, table.name) for table in OF_AN_OPERATOR} == {
        table.name: 0 for table in OF_AN_OPERATOR
    }


def test_an_operator_sees_its_own_rows_of_every_table_without_asking_for_them(postgresql_store: Engines) -> None:
    for operator_id in (1, 2):
        rows = rows_of(operator_id)
        for table in OF_AN_OPERATOR:
            assert seen(postgresql_store, operator_id, table.name) == len(rows[table.name])
            assert seen(postgresql_store, operator_id, f"{table.name} WHERE operator_id <> {operator_id}") == 0


def key_of(operator_id: int) -> Key:
    """Return a key that lives, of one of the operators."""
    return Key(f"{operator_id}-a", operator_id, frozenset(), "yard")


def seen(store: Engines, operator_id: int | None, what: str) -> int:
    with as_operator(store.reader, operator_id) as connection:
        return int(connection.scalar(text(f"SELECT count(*) FROM {what}")))


@pytest.mark.parametrize("operator_id", [None, 1])
def test_a_row_of_another_operator_is_refused(postgresql_store: Engines, operator_id: int | None) -> None:
    with pytest.raises(ProgrammingError, match="row-level security"):
        add(postgresql_store, policy("new", operator_id=2), operator_id)


def test_rows_of_another_operator_are_not_changed(postgresql_store: Engines) -> None:
    with as_operator(postgresql_store.writer, 1) as connection:
        assert connection.execute(text("UPDATE policies SET document = 'mine' WHERE operator_id = 2")).rowcount == 0
        assert connection.execute(text("DELETE FROM timeline WHERE operator_id = 2")).rowcount == 0
        moved = text("UPDATE policies SET operator_id = 2 WHERE id = 'a'")
        with pytest.raises(ProgrammingError, match="row-level security"), connection.begin_nested():
            connection.execute(moved)
    assert policies_in(postgresql_store, 2) == {"a", "b"}


def test_the_operator_is_forgotten_after_its_transaction(postgresql_store: Engines) -> None:
    told = text("SELECT pg_backend_pid(), current_setting('axlewright.operator', true)")
    for work in (reading, writing):
        with work(postgresql_store, key_of(1)) as unit:
            process, operator = unit.connection.execute(told).one()
            assert operator == "1"
            assert unit.connection.scalar(text("SELECT count(*) FROM policies")) == 2
        with transaction(postgresql_store.writer) as connection:
            assert connection.execute(told).one() == (process, "")
            assert connection.scalar(text("SELECT count(*) FROM policies")) == 0
    with pytest.raises(KeyError), writing(postgresql_store, key_of(2)):
        raise KeyError
    with transaction(postgresql_store.writer) as connection:
        assert connection.execute(told).one() == (process, "")


@pytest.mark.parametrize("table", [OPERATORS, API_KEYS])
def test_requests_cannot_make_operators_or_keys(postgresql_store: Engines, table: Table) -> None:
    row = rows_of(1)[table.name][0]
    with (
        pytest.raises(ProgrammingError, match="permission denied"),
        as_operator(postgresql_store.writer, 1) as connection,
    ):
        connection.execute(insert(table), row)


# The store cannot answer


def test_a_failure_at_the_commit_is_told_and_nothing_is_stored(store: Engines) -> None:
    def fail(_: Connection) -> None:
        raise OSError("injected")

    event.listen(store.writer, "commit", fail)
    with pytest.raises(StoreUnavailable, match="did not confirm") as told:
        add(store, policy("new"))
    event.remove(store.writer, "commit", fail)
    assert told.value.retry_after_s == 1
    assert policies_in(store) == {"a", "b"}
    add(store, policy("new"))
    assert policies_in(store) == {"a", "b", "new"}


def test_a_link_that_breaks_at_the_commit_is_told(postgresql_database: Database, postgresql_store: Engines) -> None:
    late = "ALTER TABLE layouts ALTER CONSTRAINT fk_layouts_operator_id_rig_id DEFERRABLE INITIALLY DEFERRED"
    with as_owner(postgresql_database.url) as connection:
        connection.execute(text(late))
    change = text("UPDATE layouts SET rig_id = 'none'")
    with pytest.raises(StoreUnavailable, match="did not confirm"):
        add(postgresql_store, policy("new"), then=lambda connection: connection.execute(change))
    assert policies_in(postgresql_store) == {"a", "b"}
    with as_operator(postgresql_store.reader, 1) as connection:
        assert set(connection.scalars(text("SELECT rig_id FROM layouts"))) == {"a", "b"}


def test_a_connection_lost_before_the_commit_is_told(postgresql_store: Engines, postgresql_database: Database) -> None:
    with pytest.raises(StoreUnavailable, match="did not confirm"):
        add(postgresql_store, policy("new"), then=lambda connection: end(connection, postgresql_database))
    assert policies_in(postgresql_store) == {"a", "b"}


def test_a_connection_lost_during_a_statement_is_told(postgresql_store: Engines, postgresql_database: Database) -> None:
    def end_and_go_on(connection: Connection) -> None:
        end(connection, postgresql_database)
        connection.execute(insert(POLICIES), policy("newer"))

    with pytest.raises(StoreUnavailable, match="does not answer"):
        add(postgresql_store, policy("new"), then=end_and_go_on)
    assert policies_in(postgresql_store) == {"a", "b"}


def test_what_the_body_raised_is_told_where_the_connection_is_lost_as_well(
    postgresql_store: Engines, postgresql_database: Database
) -> None:
    def end_and_raise(connection: Connection) -> None:
        end(connection, postgresql_database)
        raise KeyError("mine")

    with pytest.raises(KeyError, match="mine"):
        add(postgresql_store, policy("new"), then=end_and_raise)
    assert policies_in(postgresql_store) == {"a", "b"}


def end(connection: Connection, database: Database) -> None:
    """Have the server end a connection."""
    process = connection.scalar(text("SELECT pg_backend_pid()"))
    with as_owner(database.url) as owner:
        assert owner.scalar(text("SELECT pg_terminate_backend(:process, 1000)"), {"process": process})


def test_a_full_disk_is_told_and_over_when_there_is_room(sqlite_store: Engines) -> None:
    long = policy("new") | {"document": "x" * 100_000}
    set_pages(sqlite_store.writer, "(SELECT page_count FROM pragma_page_count)")
    with pytest.raises(StoreUnavailable, match="no room") as told:
        add(sqlite_store, long)
    assert told.value.retry_after_s == 60
    assert policies_in(sqlite_store) == {"a", "b"}
    set_pages(sqlite_store.writer, "100000")
    add(sqlite_store, long)
    assert policies_in(sqlite_store) == {"a", "b", "new"}


def set_pages(engine: Engine, most: str) -> None:
    """Bound the file to so many pages, on the only connection that writes."""
    with transaction(engine) as connection:
        pages = connection.scalar(text(f"SELECT {most}"))
        connection.execute(text(f"PRAGMA max_page_count = {pages}"))


def test_a_database_that_another_program_holds_is_told(sqlite_database: Database, sqlite_store: Engines) -> None:
    with transaction(sqlite_store.writer) as connection:
        connection.execute(text("PRAGMA busy_timeout = 50"))
    other = sqlite3.connect(str(database_url(sqlite_database.url).database), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreUnavailable, match="is busy") as told, as_operator(sqlite_store.writer, 1):
        pass
    assert told.value.retry_after_s == 1
    assert policies_in(sqlite_store) == {"a", "b"}
    other.close()
    with as_operator(sqlite_store.writer, 1):
        pass


def test_a_row_that_another_holds_is_told(postgresql_store: Engines) -> None:
    change = text("UPDATE policies SET document = 'mine' WHERE id = 'a'")

    def change_soon(connection: Connection) -> None:
        connection.execute(text("SET LOCAL lock_timeout = '50ms'"))
        connection.execute(change)

    with as_operator(postgresql_store.writer, 1) as holding:
        holding.execute(change)
        with pytest.raises(StoreUnavailable, match="is busy"):
            add(postgresql_store, policy("new"), then=change_soon)
    assert policies_in(postgresql_store) == {"a", "b"}


def test_a_request_does_not_wait_long_for_a_connection(postgresql_store: Engines) -> None:
    with ExitStack() as held:
        for _ in range(10):
            held.enter_context(as_operator(postgresql_store.writer, 1))
        began = time.monotonic()
        with pytest.raises(StoreUnavailable, match="is busy"), as_operator(postgresql_store.writer, 1):
            pass
        assert time.monotonic() - began < ANSWERED_WITHIN_S


def test_a_database_without_tables_is_told(bare_database: Database) -> None:
    migrate(bare_database.url)
    downgrade(bare_database.url, "base")
    store = engines(bare_database.url)
    with (
        pytest.raises(StoreUnavailable, match="axlewright migrate") as told,
        as_operator(store.reader, 1) as connection,
    ):
        connection.execute(select(POLICIES))
    store.dispose()
    assert told.value.retry_after_s == 60


def test_a_database_without_one_column_is_told(database: Database) -> None:
    with as_owner(database.url) as connection:
        connection.execute(text("ALTER TABLE policies RENAME COLUMN revision TO other"))
    store = engines(database.url)
    with pytest.raises(StoreUnavailable, match="axlewright migrate"), as_operator(store.reader, 1) as connection:
        connection.execute(select(POLICIES))
    store.dispose()


def test_a_file_that_is_no_database_is_told(tmp_path: Any) -> None:
    file = tmp_path / "text.sqlite3"
    file.write_text("This is no database, but a text of more than a hundred letters. " * 20)
    store = engines(f"sqlite:///{file}")
    with pytest.raises(StoreUnavailable, match="does not answer"), as_operator(store.reader, 1):
        pass
    store.dispose()


def test_a_cluster_without_the_role_is_told() -> None:
    server = PostgresServer()
    server.start()
    store = engines(server.url)
    try:
        with pytest.raises(StoreUnavailable, match="axlewright migrate"), as_operator(store.reader, 1):
            pass
    finally:
        store.dispose()
        server.remove()


def test_a_server_that_dies_is_told_soon_and_used_again_when_it_is_back() -> None:
    server = PostgresServer(durable=True)
    server.start()
    migrate(server.url)
    fill(server.url)
    store = engines(server.url)
    try:
        add(store, policy("new"))
        server.kill()
        for _ in range(3):
            began = time.monotonic()
            with pytest.raises(StoreUnavailable, match="does not answer") as told, as_operator(store.reader, 1):
                pass
            assert time.monotonic() - began < ANSWERED_WITHIN_S
            assert told.value.retry_after_s == 5
        server.start()
        assert policies_in(store) == {"a", "b", "new"}
        server.kill()
        server.start()
        assert policies_in(store) == {"a", "b", "new"}, "while nobody asked, no request notices"
    finally:
        store.dispose()
        server.remove()


@pytest.mark.parametrize("ends", ["in the server", "here"])
def test_a_pooled_connection_that_ended_is_not_used(
    postgresql_store: Engines, database_owner: Connection, ends: str
) -> None:
    for _ in range(2):
        with postgresql_store.reader.connect() as connection:
            driver: Any = connection.connection.driver_connection
        if ends == "here":
            driver.close()
        else:
            terminated = text("SELECT pg_terminate_backend(:number, 5000)")
            assert database_owner.scalar(terminated, {"number": driver.info.backend_pid})
        with as_operator(postgresql_store.reader, 1) as connection:
            assert connection.connection.driver_connection is not driver
            assert set(connection.scalars(select(POLICIES.c.id).where(POLICIES.c.operator_id == 1))) == {"a", "b"}


@pytest.fixture
def database_owner(postgresql_database: Database) -> Iterator[Connection]:
    with as_owner(postgresql_database.url) as connection:
        yield connection


def test_connections_that_end_as_soon_as_they_are_made_are_told(
    postgresql_store: Engines, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert policies_in(postgresql_store) == {"a", "b"}
    monkeypatch.setattr("axlewright.fleet.engines._has_to_read", lambda _: True)
    with pytest.raises(StoreUnavailable, match="does not answer"), as_operator(postgresql_store.reader, 1):
        pass
    monkeypatch.undo()
    assert policies_in(postgresql_store) == {"a", "b"}


def test_a_server_that_accepts_and_says_nothing_is_told_soon() -> None:
    with socket.create_server(("127.0.0.1", 0)) as silent:
        store = engines(f"postgresql://nobody@127.0.0.1:{silent.getsockname()[1]}/none")
        began = time.monotonic()
        with pytest.raises(StoreUnavailable, match="does not answer"), as_operator(store.reader, 1):
            pass
        assert time.monotonic() - began < ANSWERED_WITHIN_S
        store.dispose()


@pytest.mark.parametrize(
    "url",
    ["", "store.sqlite3", "sqlite://", "sqlite:///:memory:", "mysql://host/name", "postgresql+asyncpg://host/name"],
)
def test_a_url_of_another_kind_is_refused(url: str) -> None:
    with pytest.raises(ValueError, match="sqlite:///FILE or postgresql://"):
        engines(url)


def test_every_table_of_an_operator_is_known_to_be_one() -> None:
    shared = {"operators", "api_keys", "rate_windows"}
    assert {table.name for table in OF_AN_OPERATOR} == METADATA.tables.keys() - shared
