"""Every operation shows a minimal and a full example; each is sent, and answered as shown."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from axlewright.fleet.migrations import migrate
from tests.api.probe import Reply, send
from tests.contract.example_fleet import CASES, CUT, OPERATIONS, ExampleFleet, answers, asked, bodies, is_of_fleet
from tests.contract.published import SCHEMAS, arms
from tests.fleet.yard import fleet_on

WEIGHS = ("", "/before", "/after")
ALTERNATIVES = {
    "/rig/couplings",
    "/rig/vehicles/groups",
    "/target/pressure",
    "/coupling_loads",
    "/site/tolerance",
    "/sessions/scale/tolerance",
    "/wanted/towed_behind",
    "/couplings",
    "/vehicle/groups",
} | {f"{weigh}{name}" for weigh in WEIGHS for name in ("/loads", "/session/scale/tolerance")}
"""Names that cannot stand beside another of the full example, or that its rig has no use for."""


@pytest.fixture(scope="module")
def examples(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ExampleFleet]:
    """The service with a fleet in which all examples are kept."""
    url = f"sqlite:///{tmp_path_factory.mktemp('examples') / 'fleet.sqlite3'}"
    migrate(url)
    with fleet_on(url) as fleet:
        yield ExampleFleet.made_on(fleet)


def queried(operation: dict[str, Any]) -> list[dict[str, Any]]:
    return [each for each in operation["parameters"] if "$ref" not in each]


def sent(examples: ExampleFleet, operation_id: str, name: str, body: Any = None) -> Reply:
    """Return the answer to one example of an operation, or to another body in its place."""
    if is_of_fleet(operation_id):
        return examples.sent(operation_id, name, body)
    method, path, operation = OPERATIONS[operation_id]
    path = path.format(**asked(operation, name, "path"))
    query = "&".join(f"{key}={value}" for key, value in asked(operation, name, "query").items())
    text = json.dumps(body if body is not None else bodies(operation).get(name))
    headers = {"Content-Type": "application/json"} if method == "POST" else {}
    return send(examples.fleet.app, method, path, text.encode() if method == "POST" else b"", headers, query=query)


@pytest.mark.parametrize("operation_id", OPERATIONS)
def test_an_operation_shows_the_least_and_the_most_that_it_takes(operation_id: str) -> None:
    _, _, operation = OPERATIONS[operation_id]
    named = set(answers(operation))
    assert "minimal" in named
    takes_a_choice = "requestBody" in operation or any(not each["required"] for each in queried(operation))
    assert ("full" in named) is takes_a_choice
    assert set(bodies(operation)) <= named


@pytest.mark.parametrize(("operation_id", "name"), CASES)
def test_an_example_is_answered_as_shown(examples: ExampleFleet, operation_id: str, name: str) -> None:
    reply = examples.replies.get((operation_id, name)) or sent(examples, operation_id, name)
    assert str(reply.status) in OPERATIONS[operation_id][2]["responses"]
    assert reply.status in (200, 201), reply.body
    shown = answers(OPERATIONS[operation_id][2])[name]
    real = reply.body.decode() if isinstance(shown, str) else reply.json
    if is_of_fleet(operation_id):
        real = examples.as_shown(real)
    if operation_id == "contract":
        real = {**real, "info": {key: real["info"][key] for key in shown["info"]}, "paths": {}}
        real = {key: real[key] for key in shown}
    if name == "minimal" and operation_id in CUT:
        real["items"] = real["items"][: CUT[operation_id]]
    assert real == shown


def places(value: Any, pointer: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Yield the path of every member and entry of a document."""
    members = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, member in members:
        yield (*pointer, name)
        yield from places(member, (*pointer, name))


def without(document: Any, path: tuple[str | int, ...]) -> Any:
    copied = json.loads(json.dumps(document))
    target = copied
    for step in path[:-1]:
        target = target[step]
    del target[path[-1]]
    return copied


TAKING = [operation_id for operation_id, (_, _, each) in OPERATIONS.items() if "requestBody" in each]


@pytest.mark.parametrize("operation_id", TAKING)
def test_nothing_can_be_left_out_of_a_minimal_example(examples: ExampleFleet, operation_id: str) -> None:
    minimal = bodies(OPERATIONS[operation_id][2])["minimal"]
    for path in places(minimal):
        if path[-2:] in {("wheel_ends", 0), ("wheel_ends", 1)}:
            continue  # what stood on the platform is said by its list, whose length nothing else tells
        assert sent(examples, operation_id, "minimal", without(minimal, path)).status == 422, path


def names_of(schema: dict[str, Any], pointer: str = "") -> Iterator[str]:
    """Yield every name that a document of a schema may have, positions left out."""
    for arm in arms(schema):
        if "items" in arm:
            yield from names_of(arm["items"], pointer)
        for name, field in SCHEMAS.get(arm.get("title", ""), arm).get("properties", {}).items():
            yield f"{pointer}/{name}"
            yield from names_of(field, f"{pointer}/{name}")


@pytest.mark.parametrize("operation_id", TAKING)
def test_a_full_example_has_every_name_that_is_computed(operation_id: str) -> None:
    _, _, operation = OPERATIONS[operation_id]
    schema = operation["requestBody"]["content"]["application/json"]["schema"]
    full = bodies(operation)["full"]
    shown = {"/" + "/".join(step for step in path if isinstance(step, str)) for path in places(full)}
    missing = {name for name in names_of(schema) if name not in shown}
    assert {name for name in missing if not any(name.startswith(each) for each in ALTERNATIVES)} == set()
    assert len(shown) >= 7
