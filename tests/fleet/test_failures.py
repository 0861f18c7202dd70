"""While the store cannot answer nothing is told as stored, and what only computes goes on."""

import socket
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any

import pytest
from sqlalchemy import text

from axlewright.app import create_app
from axlewright.contract.examples import document
from axlewright.fleet import weighs
from axlewright.fleet.engines import Engines, database_url, transaction
from axlewright.fleet.keys import new_key_text
from axlewright.fleet.migrations import migrate
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.fleet.databases import Database
from tests.fleet.faults import FULL_DISK, broken_commits, failing_after
from tests.fleet.populated import as_owner, contents
from tests.fleet.postgres_server import PostgresServer
from tests.fleet.servers import Caller, served
from tests.fleet.yard import FLEET, Fleet, coach, fleet_on, kept_coach, weigh

ANSWER_LIMIT_S = 3.0
MORE_THAN_A_SERVER_TAKES = 140

Change = Callable[[Fleet, str, str], Reply]


@pytest.fixture
def fleet(database: Database) -> Iterator[Fleet]:
    """A fleet on a database of each kind."""
    with fleet_on(database.url) as found:
        yield found


@pytest.fixture
def sqlite_fleet(sqlite_database: Database) -> Iterator[Fleet]:
    with fleet_on(sqlite_database.url) as found:
        yield found


def keep_vehicle(fleet: Fleet, _: str, __: str) -> Reply:
    return fleet.post("vehicles", coach("A-2"), idempotency_key="vehicle")


def record_weigh(fleet: Fleet, _: str, rig_id: str) -> Reply:
    return fleet.post("sessions", weigh(rig_id), idempotency_key="weigh")


def read_odometer(fleet: Fleet, vehicle_id: str, _: str, *, key: str = "odometer") -> Reply:
    told = {"units": "us", "vehicle_id": vehicle_id, "read_on": "2026-05-22", "reading": 41_250}
    return fleet.post("odometer_readings", told, idempotency_key=key)


CHANGES = [keep_vehicle, record_weigh, read_odometer]


def engines_of(fleet: Fleet) -> Engines:
    found: Engines = fleet.app.state["memory"].engines
    return found


def require_refused(reply: Reply, reason: str, retry_after_s: int) -> None:
    """Fail unless a request was refused because the store cannot answer."""
    assert reply.status == 503, reply.body
    assert reply.problem_type == "storage-unavailable"
    assert reason in reply.json["detail"]
    assert reply.headers["retry-after"] == str(retry_after_s)


def require_first(reply: Reply) -> None:
    """Fail unless a request was carried out now."""
    assert reply.status == 201, reply.body
    assert "idempotency-replayed" not in reply.headers


def require_computing(fleet: Fleet) -> None:
    """Fail unless the service lives, and computes what asks for no store."""
    headers = {"content-type": "application/json"}
    assert send(fleet.app, "POST", "/v1/assess", document("van_axles_only"), headers).status == 200
    assert send(fleet.app, "GET", "/healthz").status == 200


# A change is stored whole and told, or neither


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_whose_commit_fails_is_refused_and_its_key_is_free(
    database: Database, fleet: Fleet, change: Change
) -> None:
    coach_and_rig = kept_coach(fleet)
    before = contents(database.url)
    with broken_commits(engines_of(fleet).writer, stored=False):
        require_refused(change(fleet, *coach_and_rig), "did not confirm", 1)
    assert contents(database.url) == before
    require_first(change(fleet, *coach_and_rig))


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_whose_commit_is_not_confirmed_happens_once_under_its_key(
    database: Database, fleet: Fleet, change: Change
) -> None:
    coach_and_rig = kept_coach(fleet)
    with broken_commits(engines_of(fleet).writer, stored=True):
        require_refused(change(fleet, *coach_and_rig), "did not confirm", 1)
        stored = contents(database.url)
        again = change(fleet, *coach_and_rig)
    assert (again.status, again.headers["idempotency-replayed"]) == (201, "true")
    assert fleet.get(again.headers["location"]).json == again.json
    assert contents(database.url) == stored


def test_a_changed_document_whose_commit_is_not_confirmed_is_seen_by_its_tag(fleet: Fleet) -> None:
    vehicle_id, _ = kept_coach(fleet)
    path = f"vehicles/{vehicle_id}"
    tag = fleet.get(path).headers["etag"]
    with broken_commits(engines_of(fleet).writer, stored=False):
        require_refused(fleet.put(path, coach("A-3"), tag), "did not confirm", 1)
    assert fleet.get(path).headers["etag"] == tag
    with broken_commits(engines_of(fleet).writer, stored=True):
        require_refused(fleet.put(path, coach("A-3"), tag), "did not confirm", 1)
    assert fleet.put(path, coach("A-3"), tag).status == 412
    assert (fleet.get(path).json["revision"], fleet.get(path).json["document"]) == (2, coach("A-3"))


@pytest.mark.parametrize("change", CHANGES)
def test_a_database_that_fails_at_any_statement_stores_nothing(
    database: Database, fleet: Fleet, change: Change
) -> None:
    coach_and_rig = kept_coach(fleet)
    before = contents(database.url)
    for statements in range(100):
        with failing_after(engines_of(fleet), statements) as countdown:
            reply = change(fleet, *coach_and_rig)
        if not countdown.is_over:
            break
        require_refused(reply, "does not answer", 5)
        assert contents(database.url) == before, statements
    require_first(reply)
    assert statements >= 8


def test_a_weigh_that_fails_in_the_middle_by_a_defect_stores_nothing(
    database: Database, fleet: Fleet, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, rig_id = kept_coach(fleet)
    before = contents(database.url)
    for step in ("enter", "_keep", "relist"):
        with monkeypatch.context() as broken:
            broken.setattr(weighs, step, fail)
            assert record_weigh(fleet, "", rig_id).status == 500
        assert contents(database.url) == before
    require_first(record_weigh(fleet, "", rig_id))


def fail(*_: Any, **__: Any) -> None:
    raise ZeroDivisionError("a defect made for the test")


# A file that takes no changes


def test_a_full_disk_refuses_changes_and_readiness_tells_until_there_is_room(
    sqlite_database: Database, sqlite_fleet: Fleet, monkeypatch: pytest.MonkeyPatch
) -> None:
    coach_and_rig = kept_coach(sqlite_fleet)
    bound_pages(sqlite_fleet, "(SELECT page_count FROM pragma_page_count)")
    stored = []
    while (reply := read_odometer(sqlite_fleet, *coach_and_rig, key=f"odometer-{len(stored)}")).status == 201:
        stored.append(reply.json["id"])  # in what is left of the pages
    require_refused(reply, "no room left", 60)
    assert sqlite_fleet.ids("odometer_readings", limit=100) == stored
    before = contents(sqlite_database.url)
    for change in CHANGES:
        require_refused(change(sqlite_fleet, *coach_and_rig), "no room left", 60)
    assert contents(sqlite_database.url) == before
    require_computing(sqlite_fleet)
    ready = "GET", "/readyz"
    require_refused(send(sqlite_fleet.app, *ready), "no room left", 60)
    monkeypatch.setattr("axlewright.fleet.engines.monotonic", lambda: time.monotonic() + 60)
    assert send(sqlite_fleet.app, *ready).status == 200, "nobody knows any more"
    monkeypatch.undo()
    require_refused(send(sqlite_fleet.app, *ready), "no room left", 60)
    bound_pages(sqlite_fleet, "1000000")
    for change in CHANGES:
        require_first(change(sqlite_fleet, *coach_and_rig))
        assert send(sqlite_fleet.app, *ready).status == 200


def test_a_disk_that_is_full_at_the_commit_is_told_until_a_change_is_taken(database: Database) -> None:
    with fleet_on(database.url, rate_limit=100) as fleet:
        coach_and_rig = kept_coach(fleet)
        before = contents(database.url)
        with broken_commits(engines_of(fleet).writer, stored=False, failure=FULL_DISK[database.kind]):
            require_refused(read_odometer(fleet, *coach_and_rig), "no room left", 60)
        leased = before.pop("rate_windows")
        for _ in range(12):
            assert fleet.get("vehicles").status == 200, "leases are still stored"
        after = contents(database.url)
        assert after.pop("rate_windows") != leased
        assert after == before
        require_refused(send(fleet.app, "GET", "/readyz"), "no room left", 60)
        require_first(read_odometer(fleet, *coach_and_rig))
        assert send(fleet.app, "GET", "/readyz").status == 200


def bound_pages(fleet: Fleet, most: str) -> None:
    """Let the file have so many pages, on the only connection that writes."""
    with transaction(engines_of(fleet).writer) as connection:
        pages = connection.scalar(text(f"SELECT {most}"))
        connection.execute(text(f"PRAGMA max_page_count = {pages}"))


def test_a_file_that_may_only_be_read_refuses_changes(sqlite_database: Database, sqlite_fleet: Fleet) -> None:
    coach_and_rig = kept_coach(sqlite_fleet)
    before = contents(sqlite_database.url)
    file = database_url(sqlite_database.url).database
    with fleet_with(f"sqlite:///file:{file}?mode=ro&uri=true", sqlite_fleet.key) as fleet:
        for change in CHANGES:
            require_refused(change(fleet, *coach_and_rig), "takes no changes", 60)
        assert fleet.get(f"vehicles/{coach_and_rig[0]}").status == 200
        require_refused(send(fleet.app, "GET", "/readyz"), "takes no changes", 60)
        require_computing(fleet)
    assert contents(sqlite_database.url) == before


@contextmanager
def fleet_with(url: str, key: str) -> Iterator[Fleet]:
    """Run the service on a database in which no key can be made."""
    app = create_app(Settings(database_url=url, rate_limit=0))
    try:
        yield Fleet(app, key)
    finally:
        app.state["memory"].engines.dispose()


def test_a_file_that_another_program_holds_refuses_changes_until_it_lets_go(
    sqlite_database: Database, sqlite_fleet: Fleet
) -> None:
    coach_and_rig = kept_coach(sqlite_fleet)
    with transaction(engines_of(sqlite_fleet).writer) as connection:
        connection.execute(text("PRAGMA busy_timeout = 200"))
    before = contents(sqlite_database.url)
    with held_by_another(sqlite_database):
        for change in CHANGES:
            require_refused(change(sqlite_fleet, *coach_and_rig), "is busy", 1)
        assert sqlite_fleet.get(f"vehicles/{coach_and_rig[0]}").status == 200
        require_computing(sqlite_fleet)
    assert contents(sqlite_database.url) == before
    for change in CHANGES:
        require_first(change(sqlite_fleet, *coach_and_rig))


HOLD = """
import sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
sys.stdin.read()
"""


@contextmanager
def held_by_another(database: Database) -> Iterator[None]:
    """Have another process hold the file's lock."""
    command = [sys.executable, "-c", HOLD, str(database_url(database.url).database)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "held\n"
        yield
        process.communicate()


# No database


def test_a_server_that_is_down_stops_the_store_only_and_is_used_again_when_it_is_up() -> None:
    server = PostgresServer()
    try:
        server.start()
        migrate(server.url)
        with fleet_on(server.url) as fleet:
            coach_and_rig = kept_coach(fleet)
            server.stop()
            for _ in range(3):
                for change in CHANGES:
                    began_s = time.monotonic()
                    require_refused(change(fleet, *coach_and_rig), "does not answer", 5)
                    assert time.monotonic() - began_s < ANSWER_LIMIT_S
                require_refused(send(fleet.app, "GET", "/readyz"), "does not answer", 5)
                require_computing(fleet)
            server.start()
            assert send(fleet.app, "GET", "/readyz").status == 200
            assert fleet.get("vehicles").json["items"][0]["id"] == coach_and_rig[0]
            for change in CHANGES:
                require_first(change(fleet, *coach_and_rig))
    finally:
        server.remove()


@pytest.mark.parametrize("count", [32, pytest.param(MORE_THAN_A_SERVER_TAKES, marks=pytest.mark.long)])
def test_requests_that_wait_for_a_database_keep_nobody_waiting_who_only_computes(count: int) -> None:
    key = new_key_text()
    with (
        socket.create_server(("127.0.0.1", 0), backlog=count) as silent,
        served(f"postgresql://nobody@127.0.0.1:{silent.getsockname()[1]}/none", path="/healthz") as service,
        ThreadPoolExecutor(count) as pool,
    ):
        alone_s = [seconds_to_assess(service.port) for _ in range(30)]
        waiting = [pool.submit(seconds_to_refusal, service.port, key) for _ in range(count)]
        beside_s = []
        while not all(each.done() for each in waiting):
            beside_s.append(seconds_to_assess(service.port))
        refused_s = [each.result() for each in waiting]
    assert max(refused_s) < (2 if count == 32 else 4) * ANSWER_LIMIT_S
    assert statistics.median(beside_s) < 5 * statistics.median(alone_s)
    assert max(beside_s) < 1


def seconds_to_refusal(port: int, key: str) -> float:
    began_s = time.monotonic()
    with Caller(port, key) as caller:
        reply = caller.send("GET", f"{FLEET}/vehicles")
    assert (reply.status, reply.problem_type) == (503, "storage-unavailable")
    assert int(reply.headers["retry-after"]) > 0
    return time.monotonic() - began_s


def seconds_to_assess(port: int) -> float:
    with Caller(port) as caller:
        began_s = time.monotonic()
        assert caller.send("POST", "/v1/assess", document("van_axles_only")).status == 200
        return time.monotonic() - began_s


def test_a_database_without_tables_asks_for_migration(bare_database: Database) -> None:
    with fleet_with(bare_database.url, new_key_text()) as fleet:
        for reply in (fleet.get("vehicles"), fleet.post("vehicles", coach()), send(fleet.app, "GET", "/readyz")):
            require_refused(reply, "`axlewright migrate`", 60)
        require_computing(fleet)
        migrate(bare_database.url)
        assert send(fleet.app, "GET", "/readyz").status == 200
        assert fleet.get("vehicles").status == 401


def test_a_database_whose_table_has_not_each_column_asks_for_migration(database: Database, fleet: Fleet) -> None:
    coach_and_rig = kept_coach(fleet)
    with as_owner(database.url) as connection:
        connection.execute(text("ALTER TABLE changes RENAME COLUMN action TO other"))
    for change in CHANGES:
        require_refused(change(fleet, *coach_and_rig), "`axlewright migrate`", 60)


def test_what_the_store_refuses_is_logged_in_one_line_with_its_cause(
    sqlite_database: Database, sqlite_fleet: Fleet, caplog: pytest.LogCaptureFixture
) -> None:
    coach_and_rig = kept_coach(sqlite_fleet)
    for table in ("changes", "api_keys"):  # found by the handler, and before it
        with as_owner(sqlite_database.url) as connection:
            connection.execute(text(f"ALTER TABLE {table} RENAME TO other_{table}"))
        reply = record_weigh(sqlite_fleet, *coach_and_rig)
        require_refused(reply, "`axlewright migrate`", 60)
        line = caplog.records[-1]
        assert (line.name, line.levelname, line.exc_info) == ("axlewright.errors", "WARNING", None)
        assert vars(line)["fields"] == {
            "request_id": reply.headers["x-request-id"],
            "reason": "the database is not prepared: it wants `axlewright migrate`",
            "cause": f"no such table: {table}",
        }
