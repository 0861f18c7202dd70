"""`python -m tests.benchmarks.fleet`: reading a large fleet back over HTTP, in ratios measured in one run.

Two databases are filled (`tests.benchmarks.fleet_rows`), one with many rigs and one with a thousand, and served by the
service's own command with one worker. Each kind of request is sent over a connection that stays open, in blocks that
take turns with an empty handler, with the same request to the small fleet, and with the statements that the request
gives its database: those were taken down with their parameters from the service itself, key and transactions among
them, and are sent by the driver alone in a tight loop.

The first ratio is that of a request's time to the empty handler's and three times that of the statements; at most 1 is
wanted. The second is that to the same request in the small fleet; at most 1.3 is wanted.
"""

import argparse
import socket
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from statistics import median
from typing import Any

import psycopg
from sqlalchemy import Engine, event

from axlewright.app import create_app
from axlewright.fleet.engines import engines
from axlewright.fleet.migrations import migrate
from axlewright.settings import Settings
from tests.benchmarks.fleet_requests import BLOCK, targets_of
from tests.benchmarks.fleet_rows import fill, models
from tests.benchmarks.load import WrongAnswerError
from tests.benchmarks.servers import Address, served
from tests.fleet.databases import OWNER, make_owner
from tests.fleet.postgres_server import PostgresServer
from tests.fleet.yard import Fleet, new_key

RIGS = 100_000
FEW_RIGS = 1_000
ROUNDS = 9

EMPTY = "/healthz"
WANTED = 1.0
WANTED_OF_SIZES = 1.3
_TIME_LIMIT_S = 30

Steps = list[tuple[str, Any] | None]
"""Statements with their parameters; None is the end of a transaction."""


@dataclass(frozen=True)
class Store:
    """A filled database, and a key to it."""

    url: str
    key: str


@dataclass
class Line:
    """A way to a service over a connection that stays open for a block of requests."""

    address: Address
    key: str
    connection: socket.socket = field(default_factory=socket.socket)

    def renew(self) -> None:
        """Open another connection: the service closes one that nothing comes over for a while."""
        self.connection.close()
        self.connection = socket.create_connection(self.address, timeout=_TIME_LIMIT_S)
        self.connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)

    def get(self, target: str) -> bytes:
        """Return the body of the answer, which must be 200."""
        head = f"GET {target} HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer {self.key}\r\n\r\n"
        self.connection.sendall(head.encode())
        received = b""
        while (end := received.find(b"\r\n\r\n")) < 0:
            received += self._more()
        head_lines = received[:end].lower().split(b"\r\n")
        if not head_lines[0].startswith(b"http/1.1 200 "):
            raise WrongAnswerError(f"{target}: {received.decode('latin-1')}")
        length = next(int(line[15:]) for line in head_lines if line.startswith(b"content-length:"))
        chunks = [received[end + 4 :]]
        missing = length - len(chunks[0])
        while missing > 0:
            chunks.append(self._more())
            missing -= len(chunks[-1])
        return b"".join(chunks)

    def _more(self) -> bytes:
        chunk = self.connection.recv(262_144)
        if not chunk:
            raise WrongAnswerError("the connection closed within an answer")
        return chunk


@dataclass
class Kind:
    """One kind of request: its targets in the large and the small fleet, its statements, and what all that took."""

    name: str
    targets: Sequence[str]
    targets_of_few: Sequence[str]
    statements: Sequence[Steps]
    empty_s: list[float] = field(default_factory=list)
    statements_s: list[float] = field(default_factory=list)
    request_s: list[float] = field(default_factory=list)
    request_of_few_s: list[float] = field(default_factory=list)

    def row(self) -> str:
        """Return the kind's line of the table."""
        empty, own, whole, few = (
            1000 * median(taken) for taken in (self.empty_s, self.statements_s, self.request_s, self.request_of_few_s)
        )
        count = median(sum(step is not None for step in steps) for steps in self.statements)
        ratio, of_sizes = whole / (empty + 3 * own), whole / few
        return (
            f"{self.name:<38}{count:>4.0f}{empty:>9.3f}{own:>9.3f}{whole:>9.3f}{_judged(ratio, WANTED)}"
            f"{few:>12.3f}{_judged(of_sizes, WANTED_OF_SIZES)}"
        )


def main(arguments: Sequence[str] | None = None) -> None:
    """Fill, measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.fleet", description="Ratios measured in one run.")
    parser.add_argument("--engine", choices=("sqlite", "postgresql"), default="sqlite")
    parser.add_argument("--rigs", type=int, default=RIGS, help=f"in the large fleet, {RIGS} if left out")
    options = parser.parse_args(arguments)
    with ExitStack() as stack:
        new_store = stack.enter_context(_STORES[options.engine]())
        started = time.perf_counter()
        large, small = new_store(options.rigs), new_store(FEW_RIGS)
        print(f"{options.engine}: {options.rigs:,} rigs, filled in {time.perf_counter() - started:.0f} s", flush=True)
        line, line_of_few = (stack.enter_context(_line(store)) for store in (large, small))
        kinds = [*_kinds(large, small)]
        replay = stack.enter_context(_replaying(large))
        for number in range(-1, ROUNDS):
            for kind in kinds:
                _round(kind, line, line_of_few, replay, number)
    print(f"{'':<38}{'SQL':>4}{'empty':>9}{'SQL x 1':>9}{'request':>9}{'ratio':>8}{f'of {FEW_RIGS:,}':>12}{'ratio':>8}")
    print("\n".join(kind.row() for kind in kinds))


def _round(kind: Kind, line: Line, line_of_few: Line, replay: Callable[[Steps], None], number: int) -> None:
    """Run a block of each, beginning with another one in each round; round -1 warms up."""
    blocks: list[tuple[list[float], Callable[[Any], Any], Sequence[Any]]] = [
        (kind.empty_s, line.get, [EMPTY] * BLOCK),
        (kind.statements_s, replay, kind.statements),
        (kind.request_s, line.get, kind.targets),
        (kind.request_of_few_s, line_of_few.get, kind.targets_of_few),
    ]
    for place in range(len(blocks)):
        taken, do, what = blocks[(place + number) % len(blocks)]
        line.renew()
        line_of_few.renew()
        for each in what:
            started = time.perf_counter()
            do(each)
            if number >= 0:
                taken.append(time.perf_counter() - started)


def _kinds(large: Store, small: Store) -> Iterator[Kind]:
    """Yield the kinds of requests, with what each asks of the database."""
    with _in_process(large) as (fleet, taken_down), _in_process(small) as (few, _):
        targets, targets_of_few = targets_of(fleet), targets_of(few)
        for name, those in targets.items():
            statements = []
            for target in those:
                taken_down.clear()
                path, _, query = target.partition("?")
                reply = fleet.get(path, **dict(pair.split("=", 1) for pair in query.split("&") if pair))
                if reply.status != 200:
                    raise WrongAnswerError(f"{target}: {reply.body.decode()}")
                statements.append(taken_down.copy())
            yield Kind(name, those, targets_of_few[name], statements)


@contextmanager
def _in_process(store: Store) -> Iterator[tuple[Fleet, Steps]]:
    """Yield the service in this process, and a list in which its statements are taken down."""
    app = create_app(Settings(database_url=store.url, rate_limit=0))
    ways = app.state["memory"].engines
    taken_down: Steps = []
    _take_down(ways.reader, taken_down)
    try:
        yield Fleet(app, store.key), taken_down
    finally:
        ways.dispose()


def _take_down(engine: Engine, steps: Steps) -> None:
    @event.listens_for(engine, "before_cursor_execute")
    def statement(_: Any, __: Any, text: str, parameters: Any, ___: Any, ____: bool) -> None:
        steps.append((text, parameters))

    @event.listens_for(engine, "commit")
    def end(_: Any) -> None:
        steps.append(None)


@contextmanager
def _replaying(store: Store) -> Iterator[Callable[[Steps], None]]:
    """Yield what sends statements by the driver alone, over a connection set up like the service's."""
    ways = engines(store.url)
    pooled = ways.reader.raw_connection()
    driver: Any = pooled.driver_connection

    def replay(steps: Steps) -> None:
        cursor = driver.cursor()
        for step in steps:
            if step is None:
                driver.commit()
                continue
            cursor.execute(*step)
            if cursor.description is not None:
                cursor.fetchall()
        cursor.close()

    yield replay
    pooled.close()
    ways.dispose()


@contextmanager
def _line(store: Store) -> Iterator[Line]:
    environment = {
        "AXLEWRIGHT_DATABASE_URL": store.url,
        "AXLEWRIGHT_RATE_LIMIT": "1000000",
        "AXLEWRIGHT_STATELESS": "0",
    }
    with served(None, environment) as (address, _):
        line = Line(address, store.key)
        yield line
        line.connection.close()


def _filled(url: str, rigs: int) -> Store:
    """Return a migrated database with one operator of so many rigs, and two with a few."""
    migrate(url)
    key = new_key(url, "Alder Yard")
    for other in ("Birch Depot", "Cedar Lot"):
        new_key(url, other)
    fill(url, {2: 100, 1: rigs, 3: 100}, models())
    return Store(url, key)


@contextmanager
def _sqlite_stores() -> Iterator[Callable[[int], Store]]:
    with tempfile.TemporaryDirectory() as folder:

        def new_store(rigs: int) -> Store:
            return _filled(f"sqlite:///{folder}/{rigs}.sqlite3", rigs)

        yield new_store


@contextmanager
def _postgresql_stores() -> Iterator[Callable[[int], Store]]:
    server = PostgresServer()
    try:
        server.start()
        make_owner(server.url)

        def new_store(rigs: int) -> Store:
            with psycopg.connect(server.url, autocommit=True) as connection:
                connection.execute(f"CREATE DATABASE fleet_{rigs} OWNER {OWNER}")
            return _filled(server.url_of(OWNER, f"fleet_{rigs}"), rigs)

        yield new_store
    finally:
        server.remove()


_STORES = {"sqlite": _sqlite_stores, "postgresql": _postgresql_stores}


def _judged(ratio: float, wanted: float) -> str:
    return f"{ratio:>7.2f}{' ' if ratio <= wanted else '!'}"


if __name__ == "__main__":
    sys.exit(main())
