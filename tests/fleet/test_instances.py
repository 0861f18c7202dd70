"""Two services on one database are one store: a key of idempotency and an entity tag hold across them."""

import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass

import pytest

from tests.api.probe import Reply
from tests.fleet.databases import Database
from tests.fleet.servers import Caller, served
from tests.fleet.yard import FLEET, coach, new_key

TRIES = 40
CHANGERS = 8
CHANGES_OF_EACH = 5


@dataclass(frozen=True)
class Pair:
    """Two services in processes of their own on one database."""

    ports: tuple[int, int]
    key: str

    def caller(self, number: int) -> Caller:
        """Return a client of one of them."""
        return Caller(self.ports[number % 2], self.key)


@pytest.fixture(scope="module")
def pair(shared_database: Database) -> Iterator[Pair]:
    with ExitStack() as running, ThreadPoolExecutor(2) as pool:
        starting = [pool.submit(running.enter_context, served(shared_database.url)) for _ in range(2)]
        first, second = (each.result().port for each in starting)
        yield Pair((first, second), new_key(shared_database.url, "Alder Yard"))


def test_requests_under_one_key_to_two_services_make_one_thing(pair: Pair) -> None:
    body = json.dumps(coach("A-1")).encode()

    def make(number: int) -> list[Reply]:
        replies = []
        with pair.caller(number) as caller:
            while not replies or replies[-1].status == 409:
                replies.append(caller.send("POST", f"{FLEET}/vehicles", body, {"idempotency-key": "one"}))
        return replies

    with ThreadPoolExecutor(TRIES) as pool:
        rows = list(pool.map(make, range(TRIES)))
    for reply in (reply for replies in rows for reply in replies[:-1]):
        assert (reply.problem_type, reply.headers["retry-after"]) == ("in-progress", "1")
    answers = [replies[-1] for replies in rows]
    assert {reply.status for reply in answers} == {201}
    assert len({reply.body for reply in answers}) == 1
    assert sum("idempotency-replayed" not in reply.headers for reply in answers) == 1
    with pair.caller(0) as caller:
        assert [item["id"] for item in caller.items(f"{FLEET}/vehicles")] == [answers[0].json["id"]]
    with pair.caller(1) as caller:
        other = caller.send("POST", f"{FLEET}/vehicles", json.dumps(coach("A-2")).encode(), {"idempotency-key": "one"})
    assert (other.status, other.problem_type) == (422, "idempotency-mismatch")


def test_changes_through_two_services_lose_none(pair: Pair) -> None:
    """Each changer adds its label to those that it saw, until that succeeded so many times."""
    with pair.caller(0) as caller:
        path = caller.send("POST", f"{FLEET}/vehicles", json.dumps(coach()).encode()).headers["location"]

    def change(number: int) -> int:
        done = stale = 0
        with pair.caller(number) as caller:
            while done < CHANGES_OF_EACH:
                seen = caller.send("GET", path)
                level = int(seen.json["document"]["labels"][0]) if seen.json["document"]["labels"] else 0
                body = json.dumps(coach(labels=[str(level + 1)])).encode()
                reply = caller.send("PUT", path, body, {"if-match": seen.headers["etag"]})
                assert reply.status in (200, 412), reply.body
                done += reply.status == 200
                stale += reply.status == 412
        return stale

    with ThreadPoolExecutor(CHANGERS) as pool:
        stale = sum(pool.map(change, range(CHANGERS)))
    with pair.caller(1) as caller:
        last = caller.send("GET", path).json
    assert last["document"]["labels"] == [str(CHANGERS * CHANGES_OF_EACH)]
    assert last["revision"] == 1 + CHANGERS * CHANGES_OF_EACH
    assert stale > 0
