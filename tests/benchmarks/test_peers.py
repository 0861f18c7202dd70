"""What the service is measured against does the work that it is said to do."""

import asyncio
import json
from pathlib import Path
from typing import Any

import granian.server
import httpx
import pytest

from axlewright.cli import serve
from axlewright.contract.examples import examples_of
from axlewright.settings import Settings
from tests.benchmarks.peers import ANSWERS, PEERS
from tests.benchmarks.servers import SETTINGS
from tests.benchmarks.work import answer_to, request_bodies, written
from tests.documents import known, weighed

BODIES = [json.dumps(document).encode() for document in (weighed(), known())]

Answers = list[tuple[int, Any]]


def changed(*path: str | int, value: Any) -> bytes:
    document = weighed()
    place: Any = document
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return json.dumps(document).encode()


AXLE = ("rig", "vehicles", 0, "axles", 0)
WRONG = {
    "not JSON": b'{"units": "us", ',
    "field missing": b'{"units": "us"}',
    "field unknown": changed("rig", "colour", value="red"),
    "wrong choice": changed("units", value="furlongs"),
    "text for a list": changed("session", "passes", value="none"),
    "list too short": changed("session", "passes", value=[]),
    "list too long": changed(*AXLE, "wheel_ends", value=[{"side": "left"}] * 3),
    "number too low": changed(*AXLE, "gawr", value=0),
    "number too high": changed(*AXLE, "gawr", value=100_001),
    "pattern": changed(*AXLE, "name", value="Steer!"),
    "pattern at the very end": changed(*AXLE, "name", value="steer\n"),
    "not a day": changed("session", "weighed_on", value="2026-02-30"),
}


@pytest.fixture(params=PEERS)
def app(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    ready = tmp_path / "answers.json"
    ready.write_bytes(written([answer_to(body) for body in BODIES]))
    monkeypatch.setenv(ANSWERS, str(ready))
    return PEERS[request.param]()


def answers_of(app: Any, bodies: list[bytes]) -> Answers:
    async def asked() -> Answers:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://peer") as client:
            headers = {"Content-Type": "application/json"}
            answers = [await client.post("/v1/assess", content=body, headers=headers) for body in bodies]
            return [(answer.status_code, answer.json()) for answer in answers]

    return asyncio.run(asked())


def test_every_peer_answers_in_turn_what_the_service_answers(app: Any) -> None:
    expected = [(200, json.loads(written([answer_to(body)]))[0]) for body in BODIES]
    assert expected[0] != expected[1]
    assert answers_of(app, [*BODIES, BODIES[0]]) == [*expected, expected[0]]


def test_every_peer_refuses_what_breaks_the_contract(app: Any) -> None:
    statuses = [status for status, _ in answers_of(app, [*WRONG.values(), BODIES[0]])]
    taken = [name for name, status in zip(WRONG, statuses[:-1], strict=True) if not 400 <= status < 500]
    assert taken == []
    assert statuses[-1] == 200


def test_peers_are_served_with_the_settings_of_the_service(monkeypatch: pytest.MonkeyPatch) -> None:
    given: dict[str, Any] = {}

    class Recorder:
        def __init__(self, _: str, **settings: Any) -> None:
            given.update(settings)

        def on_startup(self, _: Any) -> None:
            pass

        def serve(self) -> None:
            pass

    monkeypatch.setattr(granian.server, "Server", Recorder)
    serve(Settings(), "127.0.0.1", 1)
    own = {"factory", "address", "port", "log_dictconfig"}
    assert {name: value for name, value in given.items() if name not in own} == SETTINGS


def test_the_examples_and_the_same_generated_requests_are_sent_in_every_run() -> None:
    first, second = request_bodies(generated=8), request_bodies(generated=8)
    assert first == second
    assert len(set(first)) == len(first) == len(examples_of("assess").requests) + 8
