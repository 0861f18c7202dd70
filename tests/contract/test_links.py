"""Every link of the fleet's operations leads from an answer to another one."""

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest

from axlewright.fleet.migrations import migrate
from tests.api.probe import Reply
from tests.contract.example_fleet import OPERATIONS, ExampleFleet, asked, bodies, is_of_fleet
from tests.fleet.yard import fleet_on

LINKS = [
    (operation_id, name, link)
    for operation_id, (_, _, operation) in OPERATIONS.items()
    if is_of_fleet(operation_id)
    for response in operation["responses"].values()
    for name, link in response.get("links", {}).items()
]


@pytest.fixture(scope="module")
def examples(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ExampleFleet]:
    """A fleet in which all examples are kept."""
    url = f"sqlite:///{tmp_path_factory.mktemp('links') / 'fleet.sqlite3'}"
    migrate(url)
    with fleet_on(url) as fleet:
        examples = ExampleFleet(fleet)
        examples.make()
        yield examples


def source(examples: ExampleFleet, operation_id: str) -> tuple[dict[str, Any], Reply]:
    """Return a question to an operation, as a link's expressions name its parts, and the answer."""
    method, path, operation = OPERATIONS[operation_id]
    in_path = examples.translated(asked(operation, "minimal", "path"))
    query = examples.translated(asked(operation, "minimal", "query"))
    if any(each.get("name") == "limit" for each in operation["parameters"]):
        query["limit"] = 1
    body = examples.translated(bodies(operation).get("minimal"))
    if operation_id in ("keep_tire", "change_tire"):
        body["archived"] = True  # the example's tire is in that place already
    path = path.format(**in_path)
    headers = {"if-match": "*"} if method == "PUT" else {}
    reply = examples.fleet.send(method, path, body, headers, **query)
    assert reply.status in (200, 201), reply.body
    return {"path": in_path, "query": query, "body": body}, reply


def at(value: Any, pointer: str) -> Any:
    """Return what a JSON pointer leads to, None if there is nothing."""
    for step in pointer.split("/")[1:]:
        if isinstance(value, list):
            value = value[int(step)] if int(step) < len(value) else None
        else:
            value = (value or {}).get(step)
    return value


def evaluated(value: Any, question: dict[str, Any], reply: Reply) -> Any:
    """Return a value with the runtime expressions in it replaced; what there is not is None."""
    if isinstance(value, dict):
        return {name: evaluated(each, question, reply) for name, each in value.items()}
    if isinstance(value, list):
        return [evaluated(each, question, reply) for each in value]
    if not isinstance(value, str):
        return value
    if not value.startswith("$"):
        return re.sub(r"\{(\$[^}]*)\}", lambda found: str(evaluated(found[1], question, reply)), value)
    whole, _, pointer = value.partition("#")
    side, part, *name = whole.removeprefix("$").split(".")
    if part == "body":
        return at(reply.json if side == "response" else question["body"], pointer)
    return reply.headers.get(name[0].lower()) if part == "header" else question[part].get(name[0])


def followed(examples: ExampleFleet, link: dict[str, Any], question: dict[str, Any], reply: Reply) -> Reply:
    """Return the answer at the end of a link; beside what it gives of a body stands the least example."""
    method, path, operation = OPERATIONS[link["operationId"]]
    given = evaluated(link.get("parameters", {}), question, reply)
    wheres = {
        each.get("name", "If-Match"): each.get("in", "header")
        for each in operation["parameters"]
        if each.get("$ref", "IfMatch").endswith("IfMatch")
    }
    parted = {
        where: {name: value for name, value in given.items() if wheres[name] == where and value is not None}
        for where in ("path", "query", "header")
    }
    body = evaluated(link.get("requestBody"), question, reply)
    if method == "POST":
        body = {**examples.translated(bodies(operation)["minimal"]), **body}
    query = {name: str(value).lower() if isinstance(value, bool) else value for name, value in parted["query"].items()}
    return examples.fleet.send(method, path.format(**parted["path"]), body, parted["header"], **query)


@pytest.mark.parametrize(
    ("operation_id", "link"),
    [(operation_id, link) for operation_id, _, link in LINKS],
    ids=[f"{operation_id}-{name}" for operation_id, name, _ in LINKS],
)
def test_a_link_leads_to_an_answer(examples: ExampleFleet, operation_id: str, link: dict[str, Any]) -> None:
    question, reply = source(examples, operation_id)
    end = followed(examples, link, question, reply)
    assert end.status in (200, 201), (link, end.body)
    if operation_id.startswith("keep_") and link["operationId"] == operation_id.replace("keep_", "get_"):
        assert end.json == reply.json
    if link["operationId"].startswith("change_"):
        assert end.json["revision"] == at(reply.json, "/revision") + 1
    if "cursor" in link.get("parameters", {}):
        assert reply.json["next_cursor"] is not None or len(next(iter(reply.json.values()))) < 2
        assert json.dumps(end.json) != json.dumps(reply.json)


def test_every_operation_of_the_fleet_leads_on_or_tells_all() -> None:
    led_from = {operation_id for operation_id, _, _ in LINKS}
    of_fleet = {operation_id for operation_id in OPERATIONS if is_of_fleet(operation_id)}
    assert of_fleet - led_from == {"get_rig_page"}
    assert len(LINKS) > 80
