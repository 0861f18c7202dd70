"""However many processes serve, a key's requests in a window never pass the limit, and few of them cost a statement."""

import multiprocessing
import threading
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import delete, event, select

from axlewright.fleet import rate_limit
from axlewright.fleet.engines import Engines, engines, owner_engine, transaction
from axlewright.fleet.errors import StoreUnavailable
from axlewright.fleet.key_store import make_key
from axlewright.fleet.keys import new_key_text
from axlewright.fleet.rate_limit import RateLimiter, Taken
from axlewright.fleet.tables import API_KEYS, RATE_WINDOWS
from tests.fleet.databases import Database

START = datetime(2026, 5, 14, 9, 30, tzinfo=UTC)
PROCESS_LIMIT_S = 60
WINDOWS = 20


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self, at: datetime = START) -> None:
        self.at = at

    def __call__(self) -> datetime:
        return self.at

    def move(self, seconds: float) -> None:
        self.at += timedelta(seconds=seconds)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(database: Database) -> Iterator[Engines]:
    service = engines(database.url)
    yield service
    service.dispose()


@pytest.fixture
def key_id(database: Database) -> str:
    return made_key(database.url, "Tern")


def made_key(url: str, operator: str) -> str:
    owner = owner_engine(url)
    with transaction(owner) as connection:
        text = make_key(connection, operator, "yard", ["read"], now=START, new_operator=True)
    owner.dispose()
    return text[4:16]


@pytest.fixture
def statements(store: Engines) -> Iterator[list[str]]:
    """Collect the statements that the database gets."""
    seen: list[str] = []

    def note(_: object, __: object, statement: str, *___: object) -> None:
        seen.append(statement)

    event.listen(store.writer, "before_cursor_execute", note)
    yield seen
    event.remove(store.writer, "before_cursor_execute", note)


def allowed_of(limiter: RateLimiter, key_id: str) -> int:
    """Return how many requests go on until one is refused."""
    count = 0
    while limiter.take(key_id).allowed:
        count += 1
    return count


def leased(store: Engines) -> list[tuple[int, int]]:
    with transaction(store.reader) as connection:
        return [tuple(row) for row in connection.execute(select(RATE_WINDOWS.c.starts, RATE_WINDOWS.c.leased))]


@pytest.mark.parametrize("limit", [1, 2, 19, 20, 21, 39, 41, 100, 1200])
def test_as_many_requests_go_on_as_the_limit_says(limit: int, store: Engines, key_id: str, clock: Clock) -> None:
    assert allowed_of(RateLimiter(store, limit, clock), key_id) == limit


def test_each_answer_tells_what_is_left_and_when_the_window_ends(store: Engines, key_id: str, clock: Clock) -> None:
    limiter = RateLimiter(store, 3, clock)
    clock.move(0.25)
    assert limiter.take(key_id) == Taken(allowed=True, remaining=2, resets_in_s=60, limit=3)
    clock.move(30)
    assert limiter.take(key_id) == Taken(allowed=True, remaining=1, resets_in_s=30, limit=3)
    clock.move(29.7)
    assert limiter.take(key_id) == Taken(allowed=True, remaining=0, resets_in_s=1, limit=3)
    assert limiter.take(key_id) == Taken(allowed=False, remaining=0, resets_in_s=1, limit=3)
    clock.move(0.05)
    assert limiter.take(key_id) == Taken(allowed=True, remaining=2, resets_in_s=60, limit=3)


def test_a_block_costs_one_statement_and_a_full_window_none(
    store: Engines, key_id: str, clock: Clock, statements: list[str]
) -> None:
    limiter = RateLimiter(store, 200, clock)
    counts = []
    for _ in range(200):
        assert limiter.take(key_id).allowed
        counts.append(len([one for one in statements if "rate_windows" in one]))
    # Hand: blocks of 200 // 20 = 10 requests.
    assert counts == [1 + taken // 10 for taken in range(200)]
    statements.clear()
    assert [limiter.take(key_id).allowed for _ in range(1000)] == [False] * 1000
    assert statements == []


def test_a_window_that_others_filled_is_asked_about_once(
    store: Engines, key_id: str, clock: Clock, statements: list[str]
) -> None:
    assert allowed_of(RateLimiter(store, 40, clock), key_id) == 40
    statements.clear()
    late = RateLimiter(store, 40, clock)
    assert [late.take(key_id).allowed for _ in range(100)] == [False] * 100
    assert len([one for one in statements if "rate_windows" in one]) == 1


def test_keys_do_not_share_a_window(database: Database, store: Engines, key_id: str, clock: Clock) -> None:
    other = made_key(database.url, "Heron")
    limiter = RateLimiter(store, 10, clock)
    assert allowed_of(limiter, key_id) == 10
    assert allowed_of(limiter, other) == 10


def test_without_a_limit_everything_goes_on_and_nothing_is_asked(
    store: Engines, clock: Clock, statements: list[str]
) -> None:
    limiter = RateLimiter(store, 0, clock)
    assert limiter.take("0aB1cD2eF3gH") == Taken(allowed=True, remaining=0, resets_in_s=0, limit=0)
    assert statements == []


def test_two_workers_by_turns_allow_the_limit_and_no_more(store: Engines, key_id: str, clock: Clock) -> None:
    workers = [RateLimiter(store, 1200, clock) for _ in range(2)]
    assert sum(workers[turn % 2].take(key_id).allowed for turn in range(2000)) == 1200


def test_what_one_worker_holds_unused_is_at_most_a_block(store: Engines, key_id: str, clock: Clock) -> None:
    idle, busy = RateLimiter(store, 1200, clock), RateLimiter(store, 1200, clock)
    assert idle.take(key_id).allowed
    assert allowed_of(busy, key_id) == 1200 - 60
    assert allowed_of(idle, key_id) == 60 - 1


def test_many_threads_of_two_workers_allow_the_limit_and_no_more(database: Database, key_id: str, clock: Clock) -> None:
    stores = [engines(database.url) for _ in range(2)]
    limiters = [RateLimiter(store, 1000, clock) for store in stores]
    allowed: Counter[int] = Counter()

    def take(worker: int) -> None:
        count = int(limiters[worker].take(key_id).allowed)
        together.wait(PROCESS_LIMIT_S)
        count += sum(limiters[worker].take(key_id).allowed for _ in range(149))
        with lock:
            allowed[worker] += count

    lock, together = threading.Lock(), threading.Barrier(16)
    threads = [threading.Thread(target=take, args=(number % 2,)) for number in range(16)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for store in stores:
        store.dispose()
    # Hand: 16 threads ask 2,400 times, so each worker goes on until the window is full.
    assert allowed.total() == 1000
    assert all(allowed.values())


def test_two_processes_allow_the_limit_and_no_more(database: Database, key_id: str) -> None:
    spawn = multiprocessing.get_context("spawn")
    together, counts = spawn.Barrier(2), spawn.Queue()
    workers = [spawn.Process(target=take_in_windows, args=(database.url, key_id, together, counts)) for _ in range(2)]
    for worker in workers:
        worker.start()
    allowed = [counts.get(timeout=PROCESS_LIMIT_S) for _ in workers]
    for worker in workers:
        worker.join(PROCESS_LIMIT_S)
        assert worker.exitcode == 0
    assert [sum(of_window) for of_window in zip(*allowed, strict=True)] == [39] * WINDOWS
    assert all(sum(of_worker) > 0 for of_worker in allowed)


def take_in_windows(
    url: str, key_id: str, together: threading.Barrier, counts: "multiprocessing.Queue[list[int]]"
) -> None:
    """Take until refused in one window after the other, beginning each with the other process."""
    store, clock = engines(url), Clock()
    limiter = RateLimiter(store, 39, clock)  # the largest limit whose blocks are of one request: a statement for each
    allowed = []
    for _ in range(WINDOWS):
        together.wait(PROCESS_LIMIT_S)
        allowed.append(allowed_of(limiter, key_id))
        together.wait(PROCESS_LIMIT_S)
        clock.move(60)
    counts.put(allowed)
    store.dispose()


def test_workers_of_different_limits_each_keep_their_own(store: Engines, key_id: str, clock: Clock) -> None:
    small, large = RateLimiter(store, 100, clock), RateLimiter(store, 1000, clock)
    assert allowed_of(small, key_id) == 100
    assert allowed_of(large, key_id) == 900
    assert not small.take(key_id).allowed


def test_a_worker_whose_clock_is_behind_counts_in_the_window_that_has_begun(store: Engines, key_id: str) -> None:
    early, late = Clock(), Clock()
    early.move(60)
    ahead, behind = RateLimiter(store, 20, early), RateLimiter(store, 20, late)
    assert ahead.take(key_id).allowed
    assert behind.take(key_id) == Taken(allowed=True, remaining=18, resets_in_s=120, limit=20)
    assert allowed_of(ahead, key_id) + allowed_of(behind, key_id) == 18


def test_a_window_far_ahead_is_replaced_once_the_clock_is_right(store: Engines, key_id: str, clock: Clock) -> None:
    limiter = RateLimiter(store, 20, clock)
    clock.move(3600)
    assert allowed_of(limiter, key_id) == 20
    clock.move(-3600)
    assert allowed_of(limiter, key_id) == 20
    assert leased(store) == [(int(START.timestamp()), 20)]


def test_keys_of_windows_that_are_over_are_forgotten(database: Database, store: Engines, clock: Clock) -> None:
    keys = [made_key(database.url, f"Tern {number}") for number in range(20)]
    limiter = RateLimiter(store, 40, clock)
    for key in keys:
        limiter.take(key)
    clock.move(60)
    limiter.take(keys[0])
    assert list(limiter._leases) == [keys[0]]


def test_a_store_that_cannot_answer_is_said_and_asked_again(bare_database: Database, clock: Clock) -> None:
    store = engines(bare_database.url)
    limiter = RateLimiter(store, 40, clock)
    for _ in range(2):
        with pytest.raises(StoreUnavailable):
            limiter.take("0aB1cD2eF3gH")
    store.dispose()


def test_nobody_waits_long_behind_a_request_that_waits_for_the_store(
    store: Engines, key_id: str, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rate_limit, "_PATIENCE_S", 0.01)
    limiter = RateLimiter(store, 40, clock)
    window = int(START.timestamp())
    assert limiter.take_held(key_id) is None
    with limiter._lease_of(key_id, window).lock:
        assert limiter.take_held(key_id) is None
        with pytest.raises(StoreUnavailable, match="busy"):
            limiter.take(key_id)
    assert limiter.take(key_id) == Taken(allowed=True, remaining=39, resets_in_s=60, limit=40)
    assert limiter.take_held(key_id) == Taken(allowed=True, remaining=38, resets_in_s=60, limit=40)
    assert limiter.take_held(key_id) is None, "the block is used up"


@pytest.fixture(scope="module")
def workers_store(migrated_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Engines, str]]:
    file = tmp_path_factory.mktemp("workers") / "store.sqlite3"
    file.write_bytes(migrated_file.read_bytes())
    key = made_key(f"sqlite:///{file}", "Tern")
    store = engines(f"sqlite:///{file}")
    yield store, key
    store.dispose()


@settings(max_examples=60, deadline=None)
@given(
    limit=st.integers(1, 150),
    clocks_s=st.lists(st.integers(0, 240), min_size=1, max_size=3),
    turns=st.lists(
        st.tuples(st.integers(0, 2), st.integers(0, 50), st.sampled_from([0, 0, 0, 1, 20, 60])), max_size=40
    ),
)
def test_no_window_is_charged_more_than_the_limit_whatever_the_turns_and_clocks(
    workers_store: tuple[Engines, str], limit: int, clocks_s: list[int], turns: list[tuple[int, int, int]]
) -> None:
    store, key_id = workers_store
    with transaction(store.writer) as connection:
        connection.execute(delete(RATE_WINDOWS))
    clocks = [Clock(START + timedelta(seconds=ahead_s)) for ahead_s in clocks_s]
    limiters = [RateLimiter(store, limit, clock) for clock in clocks]
    charged: Counter[float] = Counter()
    for worker, requests, seconds in turns:
        for clock in clocks:
            clock.move(seconds)
        worker %= len(limiters)
        for _ in range(requests):
            taken = limiters[worker].take(key_id)
            ends = clocks[worker]().timestamp() + taken.resets_in_s
            charged[ends] += taken.allowed
            assert 0 <= taken.remaining < limit
            if not taken.allowed and len(set(clocks_s)) == 1:
                assert leased(store) == [(ends - 60, limit + -limit % max(1, limit // 20))]
    assert max(charged.values(), default=0) <= limit


def test_a_key_that_is_not_stored_cannot_be_counted(store: Engines, clock: Clock) -> None:
    with transaction(store.reader) as connection:
        assert connection.execute(select(API_KEYS)).all() == []
    with pytest.raises(Exception, match=r"(?i)foreign key"):
        RateLimiter(store, 10, clock).take(new_key_text()[4:16])
