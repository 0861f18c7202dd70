"""The published examples of the fleet sent to a real one, their ids standing for those that it gives."""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from axlewright.contract.fleet.example_answers import CURSOR, KEY_ID
from axlewright.contract.fleet.example_bodies import MOMENT, example_bodies, example_id
from tests.api.probe import Reply
from tests.contract.published import DOCUMENT
from tests.fleet.yard import Fleet

OPERATIONS: dict[str, tuple[str, str, Any]] = {
    operation["operationId"]: (method.upper(), path, operation)
    for path, item in DOCUMENT["paths"].items()
    for method, operation in item.items()
}
CUT = {"list_changes": 1}
"""Operations with an example that shows so many items of a page only."""
_ID = re.compile("[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z")


def is_of_fleet(operation_id: str) -> bool:
    """Return whether an operation is one of the store's."""
    return OPERATIONS[operation_id][1].startswith("/v1/fleet/")


def bodies(operation: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the examples of an operation send, by name."""
    content = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
    return {name: example["value"] for name, example in content.get("examples", {}).items()}


def answers(operation: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the examples of an operation are answered, by name."""
    [response] = [response for status, response in operation["responses"].items() if status.startswith("2")]
    (content,) = response["content"].values()
    return {name: example["value"] for name, example in content["examples"].items()}


def asked(operation: Mapping[str, Any], name: str, where: str) -> dict[str, Any]:
    """Return the parameters of an example, by name."""
    parameters = [each for each in operation["parameters"] if each.get("in") == where]
    return {each["name"]: each["examples"][name]["value"] for each in parameters if name in each.get("examples", {})}


@dataclass
class ExampleFleet:
    """A fleet in which all examples are kept."""

    fleet: Fleet
    real: dict[str, str] = field(default_factory=dict)
    """By an id as shown, the one that it stands for."""
    replies: dict[tuple[str, str], Reply] = field(default_factory=dict)
    """By operation and name, how each example was answered."""

    @classmethod
    def made_on(cls, fleet: Fleet) -> "ExampleFleet":
        """Send every example: what makes things, then what reads them, then what changes them."""
        examples = cls(fleet)
        examples.make()
        of_fleet = [operation_id for operation_id in OPERATIONS if is_of_fleet(operation_id)]
        for method in ("GET", "PUT"):
            for operation_id in of_fleet:
                if OPERATIONS[operation_id][0] == method:
                    for name in answers(OPERATIONS[operation_id][2]):
                        examples.replies[operation_id, name] = examples.sent(operation_id, name)
        return examples

    def make(self) -> None:
        """Send what makes something, in an order in which all that is named is there."""
        for operation_id, named in example_bodies().items():
            shown = answers(OPERATIONS[operation_id][2])
            for name in named:
                reply = self.sent(operation_id, name)
                assert reply.status == 201, (operation_id, name, reply.body)
                self.real[shown[name]["id"]] = reply.json["id"]
                self.replies[operation_id, name] = reply
                if operation_id == "record_session":
                    self._find_assessment(reply.json["id"])

    def sent(self, operation_id: str, name: str, body: Any = None) -> Reply:
        """Return the answer to an example, or to another body in its place."""
        method, path, operation = OPERATIONS[operation_id]
        for parameter, value in asked(operation, name, "path").items():
            path = path.replace(f"{{{parameter}}}", self.translated(value))
        query = {key: self.translated(value) for key, value in asked(operation, name, "query").items()}
        query = {key: str(value).lower() if isinstance(value, bool) else value for key, value in query.items()}
        if "cursor" in query:
            first = {key: value for key, value in query.items() if key != "cursor"}
            query["cursor"] = self.fleet.get(path, **first).json["next_cursor"]
        body = bodies(operation).get(name) if body is None else body
        headers = {"if-match": self.fleet.get(path).headers["etag"]} if method == "PUT" else {}
        return self.fleet.send(method, path, None if body is None else self.translated(body), headers, **query)

    def translated(self, value: Any) -> Any:
        """Return a value with the ids of this fleet in the place of those shown."""
        return json.loads(_ID.sub(lambda found: self.real.get(found[0], found[0]), json.dumps(value)))

    def as_shown(self, answer: Any) -> Any:
        """Return an answer with what a fleet gives of its own as the examples show it."""
        shown = {real: each for each, real in self.real.items()}
        text = _ID.sub(lambda found: shown.get(found[0], example_id("changes", 1)), json.dumps(answer))
        return _with_stand_ins(json.loads(_MOMENT.sub(MOMENT, text)))

    def _find_assessment(self, session_id: str) -> None:
        number = sum(1 for shown in self.real if shown.startswith(example_id("sessions", 0)[:23]))
        [assessment_id] = self.fleet.ids("assessments", session_id=session_id)
        self.real[example_id("assessments", number)] = assessment_id


def _with_stand_ins(value: Any) -> Any:
    stand_ins = {"next_cursor": CURSOR, "key_id": KEY_ID}
    if isinstance(value, dict):
        return {
            name: stand_ins[name] if name in stand_ins and each is not None else _with_stand_ins(each)
            for name, each in value.items()
        }
    return [_with_stand_ins(each) for each in value] if isinstance(value, list) else value


CASES = [(operation_id, name) for operation_id, (_, _, each) in OPERATIONS.items() for name in answers(each)]
"""Every example: its operation and its name."""
