"""Clients made for a released contract go on working: today's service answers them by that contract.

A release's document is kept as it was in `openapi/released/`. What it allowed is still accepted, and every answer
still has what it promised.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from litestar import Litestar

from axlewright.app import create_app
from axlewright.fleet.migrations import migrate
from axlewright.settings import Settings
from tests.api.probe import send
from tests.contract.published import DOCUMENT, validator_in
from tests.fuzz.campaign import RIG_OPERATIONS, positive_configuration, with_rigs
from tests.fuzz.outcome import run

RELEASED = {
    path.stem: json.loads(path.read_text())
    for path in sorted((Path(__file__).parents[2] / "openapi" / "released").glob("*.json"))
}
SEED = 17
EXAMPLES = 100
BODY_EXAMPLES = [
    (release, path, name, example["value"])
    for release, document in RELEASED.items()
    for path, item in document["paths"].items()
    if "post" in item
    for name, example in item["post"]["requestBody"]["content"]["application/json"]["examples"].items()
]


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Litestar]:
    """Today's service with its store, as it is by default."""
    url = f"sqlite:///{tmp_path_factory.mktemp('released') / 'fleet.sqlite3'}"
    migrate(url)
    app = create_app(Settings(database_url=url))
    yield app
    app.state["memory"].engines.dispose()


def test_a_release_is_kept_that_is_older_than_today() -> None:
    assert RELEASED
    assert all(document["info"]["version"] == release for release, document in RELEASED.items())
    assert DOCUMENT["info"]["version"] not in RELEASED


@pytest.mark.parametrize(
    ("release", "path", "body"),
    [(release, path, body) for release, path, _, body in BODY_EXAMPLES],
    ids=[f"{release}{path}-{name}" for release, path, name, _ in BODY_EXAMPLES],
)
def test_examples_of_a_release_are_answered_by_its_contract(app: Litestar, release: str, path: str, body: Any) -> None:
    reply = send(app, "POST", path, json.dumps(body).encode(), {"Content-Type": "application/json"})
    assert reply.status == 200, reply.body
    document = RELEASED[release]
    answer = document["paths"][path]["post"]["responses"]["200"]["content"]["application/json"]["schema"]
    validator_in(document, answer).validate(reply.json)


@pytest.mark.parametrize("release", RELEASED)
def test_what_a_release_allowed_is_accepted_and_answered_by_its_contract(
    app: Litestar, release: str, capsys: pytest.CaptureFixture[str]
) -> None:
    schema = schemathesis.openapi.from_dict(RELEASED[release], config=positive_configuration(SEED, EXAMPLES))
    schema.app = app
    outcome = run(with_rigs(schema, is_older=True), RIG_OPERATIONS)
    with capsys.disabled():
        print(f"\ncontract {release}: {outcome.summary()}")
    assert outcome.findings == []
    assert outcome.accepted_share >= 0.5
    assert sum(outcome.statuses.values()) >= EXAMPLES
