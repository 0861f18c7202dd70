"""What the store acknowledged is there whatever is killed, and what it did not acknowledge is there once or not at all.

Expected: no acknowledged write lost, nothing doubled under one key, nothing half-written, ready again within 5 s.
"""

import json
import random
import sqlite3
import statistics
import threading
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple, Self

import pytest

from axlewright.contract.examples import document
from axlewright.fleet.engines import database_url
from axlewright.fleet.migrations import migrate
from tests.fleet.accounts import require_all
from tests.fleet.databases import Database
from tests.fleet.postgres_server import PostgresServer
from tests.fleet.servers import NO_ANSWER, Caller, Service, served
from tests.fleet.writers import Writer
from tests.fleet.yard import FLEET, coach, new_key

pytestmark = pytest.mark.long

READY_LIMIT_S = 5.0
RECOVERY_LIMIT_S = 5.0
REFUSAL_LIMIT_S = 3.0
WRITERS = 4
WRITING_S = (0.05, 0.4)
"""How long the writers write before the next kill."""
DOWN_S = 60.0


@dataclass
class Tally:
    """What was seen in a row of kills."""

    ready_s: list[float] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)

    def with_counts_of(self, writers: Sequence[Writer]) -> Self:
        """Add what the writers counted."""
        for writer in writers:
            self.counts += writer.counts
        return self

    def line(self, what: str) -> str:
        """Return it in one line."""
        seen = ", ".join(f"{count} {name}" for name, count in sorted(self.counts.items()))
        return f"\n{what}: {len(self.ready_s)} kills, slowest ready {max(self.ready_s):.2f} s; {seen}"


# The service is killed


@pytest.mark.parametrize("half", [1, 2])
def test_nothing_is_lost_when_the_service_on_sqlite_is_killed(
    sqlite_database: Database, tmp_path: Path, half: int
) -> None:
    tally = kill_the_service(sqlite_database.url, tmp_path, kills=50, workers=1, seed=half)
    print(tally.line("the service on sqlite, 1 worker"))
    file = sqlite3.connect(str(database_url(sqlite_database.url).database))
    assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert file.execute("PRAGMA foreign_key_check").fetchall() == []
    file.close()


def test_nothing_is_lost_when_the_service_on_postgresql_is_killed(
    postgresql_database: Database, tmp_path: Path
) -> None:
    tally = kill_the_service(postgresql_database.url, tmp_path, kills=30, workers=2, seed=3)
    print(tally.line("the service on postgresql, 2 workers"))


def kill_the_service(url: str, folder: Path, *, kills: int, workers: int, seed: int) -> Tally:
    """Kill the service so many times while it writes, and fail unless all is there."""
    key, log, tally, chance = new_key(url, "Alder Yard"), folder / "log", Tally(), random.Random(seed)
    writers = new_writers(key)
    with ThreadPoolExecutor(WRITERS) as pool:
        for _ in range(kills):
            service = Service(url, log, workers=workers)
            try:
                tally.ready_s.append(service.wait_until_ready())
                require_read_back(writers, service, key)
                writing = [pool.submit(write_until_killed, writer, service.port) for writer in writers]
                time.sleep(chance.uniform(*WRITING_S))
            finally:
                service.kill()
            for each in writing:
                each.result()
    with served(url) as service, Caller(service.port, key) as caller:
        require_all(writers, caller, url)
    assert {json.loads(line)["level"] for line in log.read_text().splitlines()} == {"info"}
    unhurt_s = tally.ready_s[0]  # on an empty store, nothing killed before: longer than usual on a busy computer
    assert max(tally.ready_s) < max(READY_LIMIT_S, 2 * unhurt_s)
    return tally.with_counts_of(writers)


def new_writers(key: str) -> list[Writer]:
    rig_ids: list[str] = []
    return [Writer(number, key, rig_ids) for number in range(WRITERS)]


def write_until_killed(writer: Writer, port: int) -> None:
    with Caller(port, writer.key) as caller:
        try:
            while True:
                writer.write_one(caller)
        except NO_ANSWER:
            writer.counts["unanswered"] += 1


def require_read_back(writers: Sequence[Writer], service: Service, key: str) -> None:
    with Caller(service.port, key) as caller:
        for writer in writers:
            if not writer.vehicle_id:
                writer.begin(caller)
            writer.require_read_back(caller)


# The database is killed


@dataclass
class OwnServer:
    """A PostgreSQL server that keeps what it confirmed, with the service on it."""

    server: PostgresServer
    service: Service
    key: str


@pytest.fixture
def own_server() -> Iterator[OwnServer]:
    server = PostgresServer(durable=True)
    try:
        server.start()
        migrate(server.url)
        with served(server.url) as service:
            yield OwnServer(server, service, new_key(server.url, "Alder Yard"))
    finally:
        server.remove()


def test_nothing_is_lost_when_the_database_is_killed(own_server: OwnServer) -> None:
    writers, tally, chance = new_writers(own_server.key), Tally(), random.Random(20)
    require_read_back(writers, own_server.service, own_server.key)
    at_an_end = threading.Event()
    with ThreadPoolExecutor(WRITERS) as pool:
        writing = [pool.submit(write_until, at_an_end, writer, own_server.service.port) for writer in writers]
        try:
            for _ in range(20):
                time.sleep(chance.uniform(*WRITING_S))
                own_server.server.kill()
                time.sleep(chance.uniform(*WRITING_S))
                own_server.server.start()
                tally.ready_s.append(seconds_until_written(writers, writing))
        finally:
            at_an_end.set()
    for each in writing:
        each.result()
    with Caller(own_server.service.port, own_server.key) as caller:
        require_all(writers, caller, own_server.server.url)
    tally = tally.with_counts_of(writers)
    print(tally.line("the postgresql server"))
    assert tally.counts["unavailable"] > 0
    assert max(tally.ready_s) < READY_LIMIT_S


def write_until(at_an_end: threading.Event, writer: Writer, port: int) -> None:
    """Write; a request that the store cannot take is refused soon, with a word on when to come again."""
    with Caller(port, writer.key) as caller:
        while not at_an_end.is_set():
            began_s = time.monotonic()
            reply = writer.write_one(caller)
            if reply.status == 503:
                assert reply.problem_type == "storage-unavailable"
                assert int(reply.headers["retry-after"]) > 0
                assert time.monotonic() - began_s < REFUSAL_LIMIT_S
                time.sleep(0.05)


def seconds_until_written(writers: Sequence[Writer], writing: Sequence[Future[None]]) -> float:
    """Return the time until each writer has been answered again."""
    began_s = time.monotonic()
    before = [writer.counts["acknowledged"] for writer in writers]
    while any(writer.counts["acknowledged"] == count for writer, count in zip(writers, before, strict=True)):
        for each in writing:
            if each.done():
                each.result()  # raises what ended it
        assert time.monotonic() - began_s < 2 * READY_LIMIT_S, "a writer is never answered again"
        time.sleep(0.01)
    return time.monotonic() - began_s


# The database is down for a minute


def test_a_minute_without_a_database_stops_the_store_only(own_server: OwnServer) -> None:
    """Expected: what computes never fails, nothing is taken for stored, and readiness tells both within 5 s."""
    port, key = own_server.service.port, own_server.key
    at_an_end = threading.Event()
    with ThreadPoolExecutor(4) as pool:
        seen = [
            pool.submit(asked_until, at_an_end, port, *request)
            for request in (
                (None, "POST", "/v1/assess", document("van_axles_only")),
                (key, "POST", f"{FLEET}/vehicles", json.dumps(coach()).encode()),
                (None, "GET", "/readyz", None),
                (None, "GET", "/healthz", None),
            )
        ]
        try:
            time.sleep(2)
            down_s = time.monotonic()
            own_server.server.stop()
            time.sleep(DOWN_S)
            up_s = time.monotonic()
            own_server.server.start()
            time.sleep(RECOVERY_LIMIT_S + 1)
        finally:
            at_an_end.set()
        computed, stored, ready, lives = (each.result() for each in seen)
    assert {answer.status for answer in (*computed, *lives)} == {200}
    for answers, good in ((stored, 201), (ready, 200)):
        assert {answer.status for answer in answers if answer.at_s < down_s} == {good}
        while_down = [answer for answer in answers if down_s + RECOVERY_LIMIT_S < answer.at_s < up_s]
        assert {answer.status for answer in while_down} == {503}
        assert max(answer.took_s for answer in while_down) < REFUSAL_LIMIT_S
        assert {answer.status for answer in answers if answer.at_s > up_s + RECOVERY_LIMIT_S} == {good}
    with Caller(port, key) as caller:
        there = len(list(caller.items(f"{FLEET}/vehicles")))
    assert there == sum(answer.status == 201 for answer in stored)
    before, during = (
        statistics.median(answer.took_s for answer in computed if (answer.at_s < down_s) == early)
        for early in (True, False)
    )
    back_s = min(answer.at_s for answer in ready if answer.at_s > up_s and answer.status == 200) - up_s
    gone_s = min(answer.at_s for answer in ready if answer.status == 503) - down_s
    print(
        f"\na minute without postgresql: {len(computed)} computed, median {1000 * before:.1f} ms before and "
        f"{1000 * during:.1f} ms in it; {sum(a.status == 503 for a in stored)} refused, {there} stored; "
        f"not ready after {gone_s:.2f} s, ready again after {back_s:.2f} s"
    )


class Answered(NamedTuple):
    """An answer: when it came, how long it took."""

    at_s: float
    took_s: float
    status: int


def asked_until(
    at_an_end: threading.Event, port: int, key: str | None, method: str, path: str, body: bytes | None
) -> list[Answered]:
    """Ask the same again and again."""
    answers = []
    with Caller(port, key) as caller:
        while not at_an_end.is_set():
            began_s = time.monotonic()
            reply = caller.send(method, path, body)
            ended_s = time.monotonic()
            answers.append(Answered(ended_s, ended_s - began_s, reply.status))
            assert reply.status != 503 or int(reply.headers["retry-after"]) > 0
            time.sleep(0.05)
    return answers
