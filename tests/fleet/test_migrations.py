"""Migrations keep what is stored, come whole or not at all, and run in one instance at a time, on both databases."""

import json
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from itertools import chain
from pathlib import Path
from typing import Any

import psycopg
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect, text

from axlewright.fleet.engines import SERVICE_ROLE
from axlewright.fleet.errors import MigrationRefused
from axlewright.fleet.migrations import (
    FOLDER,
    SchemaState,
    downgrade,
    head,
    is_current,
    migrate,
    migrating,
    schema_state,
)
from axlewright.fleet.tables import METADATA, OF_AN_OPERATOR
from tests.fleet.databases import OWNER, Database, make_owner
from tests.fleet.populated import MADE_AT, TICKETS, as_owner, contents, fill
from tests.fleet.postgres_server import PostgresServer

REVISIONS = ["0001", "0002"]
STRICTNESS = text("SELECT name, strict FROM pragma_table_list WHERE name = :table")
COLLATIONS = text("SELECT column_name, collation_name FROM information_schema.columns WHERE table_name = :table")
MIGRATE = """
import sys
from axlewright.fleet.migrations import migrate
print("ready", flush=True)
sys.stdin.readline()
print(*migrate(sys.argv[1]))
"""


def revision_of(url: str) -> str:
    with as_owner(url) as connection:
        return str(connection.scalar(text("SELECT version_num FROM alembic_version")))


def state_of(url: str) -> SchemaState:
    with as_owner(url) as connection:
        state = schema_state(connection)
        assert is_current(connection) is (state is SchemaState.CURRENT)
        return state


def tables_of(url: str) -> list[str]:
    with as_owner(url) as connection:
        return inspect(connection).get_table_names()


def without_tickets(rows: dict[str, list[dict[str, Any]]]) -> dict[str, list[dict[str, Any]]]:
    kept = [{name: value for name, value in row.items() if name != "ticket"} for row in rows["sessions"]]
    return rows | {"sessions": kept}


@pytest.fixture
def next_revision(tmp_path: Path) -> Iterator[Any]:
    """A function that returns a folder of migrations with one more, 0003, whose upgrade is given."""

    def written(upgrade: str) -> Path:
        folder = tmp_path / "migrations"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(FOLDER, folder, ignore=shutil.ignore_patterns("__pycache__"))
        head = "import sqlalchemy as sa\nfrom alembic import op\n\nrevision = '0003'\ndown_revision = '0002'\n"
        body = "".join(f"    {line}\n" for line in upgrade.strip().splitlines())
        (folder / "versions" / "0003_trial.py").write_text(f"{head}\n\ndef upgrade():\n{body}")
        return folder

    return written


def test_there_is_one_newest_revision_and_revisions_follow_one_another() -> None:
    scripts = ScriptDirectory(str(FOLDER))
    assert scripts.get_heads() == [REVISIONS[-1]] == [head()]
    assert [script.revision for script in scripts.walk_revisions()] == REVISIONS[::-1]


def test_a_bare_database_gets_every_revision_once(bare_database: Database) -> None:
    assert state_of(bare_database.url) is SchemaState.OLD
    assert migrate(bare_database.url) == REVISIONS
    assert state_of(bare_database.url) is SchemaState.CURRENT
    assert migrate(bare_database.url) == []


def test_migrated_tables_are_those_that_the_code_names(database: Database) -> None:
    with as_owner(database.url) as connection:
        context = MigrationContext.configure(connection, opts={"target_metadata": METADATA, "compare_type": True})
        assert compare_metadata(context, METADATA) == []


def test_migrated_tables_equal_tables_made_from_the_code_in_every_detail(database: Database) -> None:
    with as_owner(database.url) as connection:
        migrated = {table: details(connection, table) for table in METADATA.tables}
        METADATA.drop_all(connection)
        METADATA.create_all(connection)
        assert {table: details(connection, table) for table in METADATA.tables} == migrated


def test_tables_are_strict_and_text_sorts_by_code_point(database: Database) -> None:
    with as_owner(database.url) as connection:
        of_kind = details(connection, "sessions")["of_kind"]
    if database.kind == "sqlite":
        assert of_kind == [("sessions", 1)]
    else:
        numbers = [("operator_id", None), ("schema", None)]
        assert [column for column in of_kind if column[1] != "C"] == numbers


def as_text(index: Any) -> str:
    """Return an index as text, its condition too, which is an object unlike any other."""
    options = {name: str(value) for name, value in index.get("dialect_options", {}).items()}
    return repr({**index, "dialect_options": options})


def details(connection: Connection, table: str) -> dict[str, Any]:
    inspector = inspect(connection)
    columns = inspector.get_columns(table)
    of_kind = {"sqlite": STRICTNESS, "postgresql": COLLATIONS}[connection.dialect.name]
    return {
        "columns": {column["name"]: (str(column["type"]), column["nullable"]) for column in columns},
        "key": inspector.get_pk_constraint(table),
        "links": sorted(inspector.get_foreign_keys(table), key=repr),
        "unique": sorted(inspector.get_unique_constraints(table), key=repr),
        "indexes": sorted(map(as_text, inspector.get_indexes(table))),
        "of_kind": sorted(connection.execute(of_kind, {"table": table}), key=repr),
    }


def test_going_back_and_forth_keeps_every_row(bare_database: Database) -> None:
    url = bare_database.url
    migrate(url)
    downgrade(url, "0001")
    fill(url)
    filled = contents(url)
    assert all(len(rows) >= 2 for rows in filled.values()), "every table has rows"
    assert migrate(url) == ["0002"]
    migrated = contents(url)
    assert without_tickets(migrated) == filled
    downgrade(url, "0001")
    assert contents(url) == filled
    migrate(url)
    assert contents(url) == migrated


def test_tickets_of_stored_sessions_are_read_from_their_documents(bare_database: Database) -> None:
    url = bare_database.url
    migrate(url)
    downgrade(url, "0001")
    fill(url)
    migrate(url)
    sessions = contents(url)["sessions"]
    assert len(sessions) == 2 * len(TICKETS)
    assert all(session["ticket"] == TICKETS[session["document"]] for session in sessions)


def test_tickets_are_filled_in_beyond_the_first_batch(bare_database: Database) -> None:
    url, count = bare_database.url, 1203
    migrate(url)
    downgrade(url, "0001")
    fill(url)
    insert = text(
        "INSERT INTO sessions (operator_id, id, schema, document, snapshot, rig_id, day, made_at)"
        " VALUES (1, :id, 1, :document, '{}', 'a', '2026-05-14', :made_at)"
    )
    same = {"document": json.dumps({"session": {"ticket": "B-1"}}), "made_at": MADE_AT}
    with as_owner(url, 1) as connection:
        connection.execute(insert, [same | {"id": f"b{number:05}"} for number in range(count)])
    migrate(url)
    assert sum(session["ticket"] == "B-1" for session in contents(url)["sessions"]) == count


def test_the_first_tables_are_not_taken_from_an_operator(database: Database) -> None:
    fill(database.url)
    before = contents(database.url)
    with pytest.raises(MigrationRefused, match="there are operators"):
        downgrade(database.url, "base")
    assert contents(database.url) == before
    assert revision_of(database.url) == head()


def test_an_empty_database_can_be_taken_back_to_nothing(database: Database) -> None:
    downgrade(database.url, "base")
    assert tables_of(database.url) == ["alembic_version"]
    assert migrate(database.url) == REVISIONS


@pytest.mark.parametrize("failure", ["raise RuntimeError('half way')", "op.execute('SELECT absent FROM nowhere')"])
def test_a_revision_that_fails_half_way_leaves_nothing(database: Database, next_revision: Any, failure: str) -> None:
    fill(database.url)
    before = contents(database.url)
    done = """
op.create_table('half', sa.Column('id', sa.Integer, primary_key=True))
op.add_column('rigs', sa.Column('half', sa.Integer, nullable=True))
op.execute("UPDATE operators SET name = 'half' WHERE id = 1")
with op.batch_alter_table('vehicles') as batch:
    batch.alter_column('changed_at', nullable=True)
"""
    with pytest.raises((RuntimeError, MigrationRefused), match=r"half way|revision 0003 failed.*nowhere"):
        migrate(database.url, next_revision(done + failure))
    assert revision_of(database.url) == "0002"
    assert contents(database.url) == before
    assert "half" not in tables_of(database.url)
    assert migrate(database.url, next_revision(done)) == ["0003"]


def test_revisions_before_the_one_that_fails_stay_applied(bare_database: Database, next_revision: Any) -> None:
    with pytest.raises(RuntimeError, match="half way"):
        migrate(bare_database.url, next_revision("raise RuntimeError('half way')"))
    assert revision_of(bare_database.url) == "0002"


def test_replacing_a_table_keeps_the_rows_that_refer_to_it(database: Database, next_revision: Any) -> None:
    fill(database.url)
    before = contents(database.url)
    change = "with op.batch_alter_table({!r}) as batch:\n    batch.alter_column({!r}, nullable=True)"
    folder = next_revision(
        "\n".join(change.format(*of) for of in [("vehicles", "changed_at"), ("sessions", "snapshot")])
    )
    assert migrate(database.url, folder) == ["0003"]
    assert contents(database.url) == before
    with as_owner(database.url) as connection:
        changed = {column["name"]: column["nullable"] for column in inspect(connection).get_columns("vehicles")}
        links = inspect(connection).get_foreign_keys("pressure_checks")
    assert changed["changed_at"] is True
    assert sorted(link["referred_table"] for link in links) == ["operators", "vehicles"]


def test_a_revision_that_breaks_links_is_undone(sqlite_database: Database, next_revision: Any) -> None:
    fill(sqlite_database.url)
    before = contents(sqlite_database.url)
    with pytest.raises(MigrationRefused, match="rows that refer to nothing, in fitted_tires, odometer_readings"):
        migrate(sqlite_database.url, next_revision("op.execute('DELETE FROM vehicles')"))
    assert contents(sqlite_database.url) == before
    assert revision_of(sqlite_database.url) == "0002"


def test_a_newer_database_is_told_from_an_old_one(database: Database) -> None:
    put_at_revision("0001", database.url)
    assert state_of(database.url) is SchemaState.OLD
    put_at_revision("9999", database.url)
    assert state_of(database.url) is SchemaState.NEWER
    with pytest.raises(MigrationRefused, match="at revision '9999', newer than this program"):
        migrate(database.url)


def put_at_revision(revision: str, url: str) -> None:
    with as_owner(url) as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = :revision"), {"revision": revision})


def test_two_instances_that_migrate_at_once_apply_each_revision_once(bare_database: Database) -> None:
    assert sorted(chain(*migrated_at_once([bare_database.url] * 2))) == REVISIONS


def test_threads_that_migrate_at_once_apply_each_revision_once(bare_database: Database) -> None:
    with ThreadPoolExecutor(8) as pool:
        applied = list(pool.map(migrate, [bare_database.url] * 8))
    assert sorted(chain(*applied)) == REVISIONS


def test_threads_migrate_different_databases_without_mixing_them_up(tmp_path: Path) -> None:
    urls = [f"sqlite:///{tmp_path / str(number)}.sqlite3" for number in range(8)]
    with ThreadPoolExecutor(len(urls)) as pool:
        assert list(pool.map(migrate, urls)) == [REVISIONS] * len(urls)


def test_a_new_file_that_another_instance_prepares_is_waited_for(tmp_path: Path) -> None:
    file = tmp_path / "new.sqlite3"
    with closing(sqlite3.connect(file, isolation_level=None)) as other, ThreadPoolExecutor(1) as pool:
        other.execute("CREATE TABLE other (id)")
        other.execute("BEGIN IMMEDIATE")
        migrating = pool.submit(migrate, f"sqlite:///{file}")
        time.sleep(0.1)
        assert not migrating.done()
        other.execute("COMMIT")
        assert migrating.result() == REVISIONS


@pytest.mark.parametrize(
    ("there", "held"),
    [("SELECT 1", f"CREATE ROLE {SERVICE_ROLE}"), (f"CREATE ROLE {SERVICE_ROLE}", f"GRANT {SERVICE_ROLE} TO {OWNER}")],
)
def test_another_database_of_the_cluster_may_be_making_the_role(there: str, held: str) -> None:
    server = PostgresServer()
    try:
        server.start()
        make_owner(server.url)
        shared = server.url_of(OWNER, "postgres")
        with psycopg.connect(shared) as other, psycopg.connect(shared, autocommit=True) as watch:
            watch.execute("CREATE DATABASE store")
            watch.execute(there)
            other.execute(held)
            with ThreadPoolExecutor(1) as pool:
                migrating = pool.submit(migrate, server.url_of(OWNER, "store"))
                while not watch.execute("SELECT 1 FROM pg_locks WHERE NOT granted").fetchall():
                    assert not migrating.done(), "the migration waits for the other one"
                other.commit()
                assert migrating.result() == REVISIONS
    finally:
        server.remove()


def migrated_at_once(urls: list[str]) -> list[list[str]]:
    """Return what processes applied, each to its database, that began when the last of them was ready."""
    waiting = [
        subprocess.Popen([sys.executable, "-c", MIGRATE, url], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        for url in urls
    ]
    for process in waiting:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
    for process in waiting:
        assert process.stdin is not None
        process.stdin.write("go\n")
        process.stdin.flush()
    applied = [process.communicate(timeout=60)[0].split() for process in waiting]
    assert [process.returncode for process in waiting] == [0] * len(urls)
    return applied


def test_a_migration_does_not_wait_long_for_a_table(postgresql_database: Database) -> None:
    with migrating(postgresql_database.url) as connection:
        assert connection.scalar(text("SHOW lock_timeout")) == "5s"


def test_the_service_may_do_what_it_needs_and_no_more(postgresql_database: Database) -> None:
    kept, once, derived = {"SELECT", "INSERT", "UPDATE"}, {"SELECT", "INSERT"}, {"SELECT", "INSERT", "UPDATE", "DELETE"}
    with as_owner(postgresql_database.url) as connection:
        granted = {table: privileges_on(table, connection) for table in (*METADATA.tables, "alembic_version")}
        corrected = text("SELECT has_column_privilege(:role, 'sessions', 'superseded_by', 'UPDATE')")
        assert connection.scalar(corrected, {"role": SERVICE_ROLE}) is True
    assert granted == {
        "alembic_version": {"SELECT"},
        "operators": {"SELECT"},
        "api_keys": {"SELECT"},
        "rate_windows": kept,
        **dict.fromkeys(("vehicles", "policies", "inflation_tables", "rigs", "fitted_tires", "layouts"), kept),
        **dict.fromkeys(("sessions", "pressure_checks", "upkeep_events", "odometer_readings"), once),
        **dict.fromkeys(("assessments", "changes"), once),
        **dict.fromkeys(("rig_vehicles", "rig_listing", "timeline", "idempotent_answers"), derived),
    }


def privileges_on(table: str, connection: Connection) -> set[str]:
    asked = text("SELECT has_table_privilege(:role, :table, :privilege)")
    return {
        privilege
        for privilege in ("SELECT", "INSERT", "UPDATE", "DELETE", "TRUNCATE", "REFERENCES", "TRIGGER")
        if connection.scalar(asked, {"role": SERVICE_ROLE, "table": table, "privilege": privilege})
    }


def test_row_level_security_is_forced_on_every_table_of_an_operator(postgresql_database: Database) -> None:
    forced = text("SELECT relname FROM pg_class WHERE relrowsecurity AND relforcerowsecurity")
    with as_owner(postgresql_database.url) as connection:
        assert set(connection.scalars(forced)) == {table.name for table in OF_AN_OPERATOR}
