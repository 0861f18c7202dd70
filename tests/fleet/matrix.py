"""The operations of the store as the contract has them, and where each of them takes an id.

What the generator does not know it refuses: an operation of a new shape fails the tests until they cover it.
"""

import copy
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from axlewright.app import create_app
from axlewright.contract.collector import published_pattern
from axlewright.contract.fleet.documents import Id
from axlewright.settings import Settings
from tests.api.probe import Reply
from tests.fleet.yard import FLEET, MADE_OF, Fleet, another

ID_PATTERN = published_pattern(Id.__metadata__[0].pattern)

_IN_QUERY = {"rig_id": "rigs", "vehicle_id": "vehicles", "session_id": "sessions", "resource_id": "vehicles"}
_NO_ID_IN_QUERY = {"archived", "asset_number", "axle", "cursor", "label", "limit", "side_difference_above", "sort"} | {
    "newest_first",
    "standing",
    "ticket",
    "units",
    "weighed_before",
}
_IN_BODY = {
    "rig_id": "rigs",
    "vehicle_id": "vehicles",
    "vehicles/0": "vehicles",
    "policy_id": "policies",
    "inflation_table_ids/0": "inflation_tables",
    "session_id": "sessions",
}
_SUPERSEDES = "supersedes"
_NO_ID_IN_PATH = {"wheel_end": "steer.left"}
_HEADERS = {"RequestId", "IfMatch", "IdempotencyKey"}


class UnknownShape(Exception):  # noqa: N818
    """The contract has something that the tests do not know how to cover."""


@dataclass(frozen=True)
class Place:
    """Where an operation takes an id, and of which kind of things."""

    where: str
    name: str
    kind: str


@dataclass(frozen=True)
class Call:
    """An operation of the store."""

    operation_id: str
    method: str
    path: str
    kind: str
    scope: str
    success: int
    places: tuple[Place, ...]
    queries: frozenset[str]
    takes_body: bool

    def path_of(self, ids: Mapping[str, str]) -> str:
        """Return the path with an id from each kind, or that of a place as `path`."""
        path = self.path
        for place in self.places:
            if place.where == "path":
                path = path.replace(f"{{{place.name}}}", ids.get("path", ids[place.kind]))
        for name, value in _NO_ID_IN_PATH.items():
            path = path.replace(f"{{{name}}}", value)
        return path

    def send(
        self,
        fleet: Fleet,
        ids: Mapping[str, str],
        place: Place | None = None,
        id_: str = "",
        **query: str | int,
    ) -> Reply:
        """Return the answer to a request with things of the ids given, at one place with another id."""
        path = self.path_of({**ids, "path": id_} if place is not None and place.where == "path" else ids)
        if place is not None and place.where == "query":
            query[place.name] = id_
        if "units" in self.queries:
            query["units"] = "us"
        body = None
        if self.takes_body:
            body = another(self.kind, ids) if self.method == "POST" else MADE_OF[self.kind](ids)
        if place is not None and place.where == "body":
            body = _with_id(body, place.name, id_)
        headers = {"if-match": "*"} if self.method == "PUT" else {}
        return fleet.send(self.method, path, body, headers, **query)


def calls() -> list[Call]:
    """Return every operation of the store."""
    return calls_of(create_app(Settings(database_url="sqlite:///never-opened.sqlite3")).state["openapi"])


def calls_of(contract: Mapping[str, Any]) -> list[Call]:
    """Return every operation of the store that a contract has."""
    return [
        _call(contract, path, method.upper(), operation)
        for path, operations in contract["paths"].items()
        if path.startswith(FLEET)
        for method, operation in operations.items()
    ]


def _call(contract: Mapping[str, Any], path: str, method: str, operation: Mapping[str, Any]) -> Call:
    if method not in ("GET", "POST", "PUT"):
        raise UnknownShape(f"{method} {path}")
    kind = path.removeprefix(f"{FLEET}/").split("/")[0]
    if kind not in MADE_OF and kind != "changes":
        raise UnknownShape(f"a kind: {kind}")
    body = operation.get("requestBody")
    parameters = [each for each in operation["parameters"] if "$ref" not in each]
    headers = {each["$ref"].rpartition("/")[2] for each in operation["parameters"] if "$ref" in each}
    if unknown := headers - _HEADERS:
        raise UnknownShape(f"a header of {path}: {unknown}")
    places = [
        *_places_of_parameters(path, parameters),
        *(() if body is None else _places_in_body(contract, kind, body)),
    ]
    return Call(
        operation_id=operation["operationId"],
        method=method,
        path=path,
        kind=kind,
        scope=operation["x-scope"],
        success=min(int(status) for status in operation["responses"]),
        places=tuple(places),
        queries=frozenset(each["name"] for each in parameters if each["in"] == "query"),
        takes_body=body is not None,
    )


def _places_of_parameters(path: str, parameters: list[Mapping[str, Any]]) -> Iterator[Place]:
    for each in parameters:
        where, name = each["in"], each["name"]
        takes_id = each["schema"].get("pattern") == ID_PATTERN or ID_PATTERN in str(each["schema"])
        if where == "path" and name == "id":
            yield Place("path", name, path.split("/{id}")[0].rpartition("/")[2])
        elif where == "query" and name in _IN_QUERY and takes_id:
            yield Place("query", name, _IN_QUERY[name])
        elif takes_id or name not in (_NO_ID_IN_PATH if where == "path" else _NO_ID_IN_QUERY):
            raise UnknownShape(f"a parameter of {path}: {name}")


def _places_in_body(contract: Mapping[str, Any], kind: str, body: Mapping[str, Any]) -> Iterator[Place]:
    schema = body["content"]["application/json"]["schema"]
    for path in dict.fromkeys(_ids_in(contract, schema, ())):
        name = "/".join(path)
        if name == _SUPERSEDES:
            yield Place("body", name, kind)
        elif name in _IN_BODY:
            yield Place("body", name, _IN_BODY[name])
        else:
            raise UnknownShape(f"an id in the body of {kind}: {name}")


def _ids_in(contract: Mapping[str, Any], schema: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """Yield where in a document of a schema an id stands, and what is named as if one stood there."""
    if "$ref" in schema:
        schema = contract["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    if schema.get("pattern") == ID_PATTERN:
        yield path
    for arm in schema.get("anyOf", ()):
        yield from _ids_in(contract, arm, path)
    if isinstance(schema.get("items"), dict):
        yield from _ids_in(contract, schema["items"], (*path, "0"))
    for name, field in schema.get("properties", {}).items():
        if name.endswith("_id"):
            yield (*path, name)
        yield from _ids_in(contract, field, (*path, name))


def _with_id(body: Any, name: str, id_: str) -> Any:
    """Return a document with an id at a place, which stands there already or is no list's."""
    changed = copy.deepcopy(body)
    inside = changed
    *steps, last = name.split("/")
    for step in steps:
        inside = inside[step]
    inside[int(last) if last.isdigit() else last] = id_
    return changed
