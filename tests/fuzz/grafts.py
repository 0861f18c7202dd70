"""Bodies that a contract allows: a value tried by itself set into a consistent body, a body without newer names."""

import json
import re
from collections.abc import Iterator
from itertools import zip_longest
from typing import Any

from tests.rigs.quantities import Json

ALTERNATIVES: dict[str, tuple[str, Json]] = {
    "tolerance": ("accuracy_class", {"tolerance": {"share": 0.002, "least": 20}}),
    "aft": ("place", {"aft": 30, "right": 0}),
    "right": ("place", {"aft": 30, "right": 0}),
    "tank": ("place", {}),
    "made_on": ("identification", {}),
}
"""What a name stands in the place of, and what it then needs."""
SEARCH_S = 0.2
"""Seconds that the search of a grafted request may take."""


def _operations(document: Json) -> Iterator[tuple[str, Json]]:
    """Yield each operation that takes a JSON body: its id, and what the document says of the body."""
    for item in document["paths"].values():
        for operation in item.values():
            if "requestBody" in operation:
                yield operation["operationId"], operation["requestBody"]["content"]["application/json"]


def body_schemas(document: Json) -> dict[str, Json]:
    """Return the schemas of bodies, by operation id."""
    return {operation_id: content["schema"] for operation_id, content in _operations(document)}


def body_examples(document: Json) -> dict[str, list[Json]]:
    """Return the published examples of bodies, by operation id; the longest first."""
    return {
        operation_id: sorted(
            (example["value"] for example in content["examples"].values()), key=lambda body: -len(json.dumps(body))
        )
        for operation_id, content in _operations(document)
    }


def resolved(schema: Json, document: Json) -> Json:
    """Return a schema with a reference at its root followed."""
    while "$ref" in schema:
        schema = document["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    return schema


def known_to(schema: Json, body: Any, document: Json) -> Any:
    """Return a body without the names that a schema of a document, perhaps an older one, does not have."""
    arms = [resolved(arm, document) for arm in resolved(schema, document).get("anyOf", [schema])]
    if isinstance(body, dict):
        properties = next((arm["properties"] for arm in arms if "properties" in arm), {})
        return {name: known_to(properties[name], value, document) for name, value in body.items() if name in properties}
    if isinstance(body, list):
        items = next((arm["items"] for arm in arms if "items" in arm), {})
        needed = set(resolved(items, document).get("required", ()))
        known = [known_to(items, each, document) for each in body]
        return [each for each in known if not isinstance(each, dict) or needed <= each.keys()]
    return body


def description_of(case: Any) -> str:
    """Return what the coverage phase says of a case: which value it tries, and where."""
    return getattr(case.meta.phase.data, "description", None) or ""


def first_name(case: Any) -> str | None:
    """Return the name of the body in which a case of the coverage phase tries a value."""
    found = re.match("(?:Object with valid ')?([a-z_]+)(?:' value| ->|:)", description_of(case))
    return found[1] if found else None


def grafted(case: Any, examples: list[Json]) -> Any:
    """Return the body of a case; of one made for a single value, a consistent request with that value in its place.

    The coverage phase tries each value in a body whose other values are the first that the schema allows, so that
    none would ever reach the core. The request is the example in which the value's place lies deepest.
    """
    path = re.findall(r"'([a-z_]+)' value", description_of(case))
    if case.meta.phase.name.value != "coverage" or not path:
        return case.body
    base = json.loads(json.dumps(max(examples, key=lambda each: _depth(each, path))))
    if "time_limit" in base:
        base["time_limit"] = SEARCH_S
    source, target = case.body, base
    # Where the consistent request ends before the path does, it takes the rest as it was made.
    for place, name in enumerate(path):
        if not (isinstance(source, dict) and isinstance(target, dict) and name in source):
            return case.body
        _choose(target, name)
        if place == len(path) - 1 or not target.get(name):
            target[name] = _filled(source[name], target.get(name), _numbers_in(examples))
            break
        source, target = _entered(source[name]), _entered(target[name], path[place + 1])
    return base


def _filled(made: Any, consistent: Any, numbers: dict[str, float], name: str = "") -> Any:
    """Return what was made, with consistent values within: what is tried of a whole is which names it has."""
    if isinstance(made, dict):
        beside = consistent if isinstance(consistent, dict) else {}
        return {inner: _filled(value, beside.get(inner), numbers, inner) for inner, value in made.items()}
    if isinstance(made, list) and any(isinstance(each, dict) for each in made):
        beside = consistent if isinstance(consistent, list) else []
        filled = [_filled(*both, numbers, name) for both in zip_longest(made, beside[: len(made)])]
        return [*filled, *(beside[len(made) :] if name else ())]
    if not name or made is None:
        return made
    if consistent is None and isinstance(made, int | float) and not isinstance(made, bool):
        return numbers.get(name, made)
    return made if consistent is None else consistent


def _numbers_in(document: Any) -> dict[str, float]:
    """Return a number for every name that has one somewhere in a document."""
    found: dict[str, float] = {}
    inner = (
        document.items() if isinstance(document, dict) else enumerate(document) if isinstance(document, list) else ()
    )
    for name, value in inner:
        found = _numbers_in(value) | found
        if isinstance(value, int | float) and not isinstance(value, bool) and isinstance(name, str):
            found.setdefault(name, value)
    return found


def _choose(target: Any, name: str) -> None:
    """Put an alternative in the place of what a document has instead."""
    rival, chosen = ALTERNATIVES.get(name, ("", {}))
    if rival in target:
        del target[rival]
        target |= chosen


def _depth(document: Any, path: list[str]) -> int:
    """Return how many names of a path a document has."""
    for depth, name in enumerate(path):
        if not (isinstance(document, dict) and document.get(name)):
            return depth
        document = _entered(document[name], path[depth + 1] if depth < len(path) - 1 else None)
    return len(path)


def _entered(value: Any, name: str | None = None) -> Any:
    """Return a document, or of several the first one that has a name."""
    if not isinstance(value, list):
        return value
    return next((each for each in value if isinstance(each, dict) and name in each), value[0] if value else None)
