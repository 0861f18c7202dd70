"""A document is valid by the published schema exactly where the decoder takes it.

Two rules of the decoder are of JSON itself and beyond a schema's reach: a name stands once in an object, and text
holds whole Unicode characters. `test_faults.py` covers them.
"""

import copy
import json
import math
from collections.abc import Iterator
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import inspect

from axlewright.contract.decoding import decode
from axlewright.contract.faults import ShapeFaults
from axlewright.contract.request import AssessRequest
from tests.contract.published import SCHEMAS, arms, component, inside, validator_of
from tests.documents import known, weighed
from tests.rigs.requests import requests

REQUEST = component("AssessRequest")
WHOLE = validator_of(REQUEST)

Path = tuple[str | int, ...]


def is_taken(document: Any) -> bool:
    try:
        decode(json.dumps(document).encode(), AssessRequest)
    except ShapeFaults:
        return False
    return True


def places(document: Any, path: Path = ()) -> Iterator[Path]:
    """Yield every place in a document, of equal entries of a list only the first."""
    yield path
    if isinstance(document, dict):
        for name, value in document.items():
            yield from places(value, (*path, name))
    elif isinstance(document, list):
        seen: set[tuple[str, ...]] = set()
        for position, value in enumerate(document):
            shape = tuple(sorted(value)) if isinstance(value, dict) else (type(value).__name__,)
            if shape not in seen:
                seen.add(shape)
                yield from places(value, (*path, position))


BASES = [(weighed(), ()), (known(), ("loads",))]
"""The requests that are changed, and where each has what the other has not."""


def own_places(base: Any, own: Path) -> list[Path]:
    """Return the places to change; where a document stands in several, such as the tires, one of each field."""
    found: dict[Path, Path] = {}
    for path in places(base):
        if path and path[: len(own)] == own:
            found.setdefault(tuple(step if isinstance(step, str) else 0 for step in path[-2:]), path)
    return list(found.values())


def value_at(document: Any, path: Path) -> Any:
    for step in path:
        document = document[step]
    return document


def changed(document: Any, path: Path, value: Any) -> Any:
    """Return a copy of a document with another value at a place."""
    if not path:
        return value
    document = copy.deepcopy(document)
    value_at(document, path[:-1])[path[-1]] = value
    return document


def schema_at(path: Path) -> dict[str, Any]:
    schema: dict[str, Any] = REQUEST
    for step in path:
        schema = inside(schema, step)
    return schema


def decoder_bounds(type_: inspect.Type, seen: set[str]) -> Iterator[float]:
    """Yield every number with which the decoder bounds numbers, lengths and sizes."""
    if isinstance(type_, inspect.Metadata):
        yield from decoder_bounds(type_.type, seen)
    elif isinstance(type_, inspect.UnionType):
        for arm in type_.types:
            yield from decoder_bounds(arm, seen)
    elif isinstance(type_, inspect.ListType):
        yield from decoder_bounds(type_.item_type, seen)
    elif isinstance(type_, inspect.StructType) and type_.cls.__name__ not in seen:
        seen.add(type_.cls.__name__)
        for field in type_.fields:
            yield from decoder_bounds(field.type, seen)
    elif isinstance(type_, inspect.FloatType | inspect.IntType):
        yield from (bound for bound in (type_.ge, type_.gt, type_.le, type_.lt) if bound is not None)


def schema_bounds(schema: Any) -> Iterator[float]:
    """Yield every number with which the schema bounds numbers."""
    if isinstance(schema, dict):
        for key, value in schema.items():
            if key in ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"):
                yield value
            else:
                yield from schema_bounds(value)
    elif isinstance(schema, list):
        for value in schema:
            yield from schema_bounds(value)


BOUNDS = sorted({*decoder_bounds(inspect.type_info(AssessRequest), set()), *schema_bounds(SCHEMAS)})
NUMBERS = [
    number for bound in BOUNDS for number in (math.nextafter(bound, -math.inf), bound, math.nextafter(bound, math.inf))
]
OTHER_VALUES: list[Any] = [
    None, True, False, 0, -0.0, 1, 2.0, 0.5, 1e300, "", "3240", "x", "us", "metric", "left", "single", "dual", "lb",
    "III L", "steer", "steer\n", "Steer", "1steer", "steer.left", "steer.left\n", "a.b.left", "a.b.c.left", "steer.up",
    "drive.left.inner", "drive.left.inner.inner", "a" * 32, "a" * 33, "é" * 80, "é" * 81, "é" * 500, "é" * 501,
    "a\u0000", "a\u001f", "a\u007f", "a\u0085", "a\u2028b", "a\u2029", " ", "\U0001f600", "2026-05-14", "2026-5-14",
    "2026-02-30", "20260514", "2026-W20-4", "2026-05-14T00:00:00Z", "2026-05-14\n", "0000-01-01", "9999-12-31",
    "10000-01-01", [], {}, [None], ["steer"], [1], [[]], {"mass": 1}, {"units": "us"}, {"": None},
]  # fmt: skip


def test_the_decoder_has_bounds_and_the_schema_has_the_same() -> None:
    assert len(BOUNDS) > 20
    assert set(decoder_bounds(inspect.type_info(AssessRequest), set())) <= set(schema_bounds(SCHEMAS))


@pytest.mark.parametrize(("base", "own"), BASES, ids=["weighed", "known"])
def test_at_every_place_schema_and_decoder_agree_on_every_value(base: Any, own: Path) -> None:
    compared = 0
    for path in own_places(base, own):
        schema = validator_of(schema_at(path))
        document = copy.deepcopy(base)
        holder = value_at(document, path[:-1])
        values = NUMBERS if isinstance(value_at(base, path), int | float) else []
        for value in [*OTHER_VALUES, *values]:
            holder[path[-1]] = value
            assert is_taken(document) == schema.is_valid(value), (path, value)
            compared += 1
    assert compared > 500


@pytest.mark.parametrize("base", [weighed(), known()], ids=["weighed", "known"])
def test_a_name_missing_or_too_many_is_judged_alike(base: Any) -> None:
    for path in places(base):
        value = value_at(base, path)
        if not isinstance(value, dict):
            continue
        for name in value:
            document = changed(base, path, {key: kept for key, kept in value.items() if key != name})
            assert is_taken(document) == WHOLE.is_valid(document), (path, name)
        for name in ("extra", "Name", "", "name\n", "x-unit"):
            document = changed(base, path, {**value, name: 1})
            assert is_taken(document) is WHOLE.is_valid(document) is False, (path, name)


@pytest.mark.parametrize(("base", "own"), BASES, ids=["weighed", "known"])
def test_lists_are_as_long_as_the_schema_says_and_no_longer(base: Any, own: Path) -> None:
    longest = 0
    for path in own_places(base, own):
        value = value_at(base, path)
        if not isinstance(value, list):
            continue
        schema = schema_at(path)
        validator = validator_of(schema)
        for count in sorted({0, 1, 2, 200, *(size + more for size in sizes(schema) for more in (-1, 0, 1))}):
            entries = value[:1] * count
            assert is_taken(changed(base, path, entries)) == validator.is_valid(entries), (path, count)
            longest = max(longest, count if validator.is_valid(entries) else 0)
        assert not validator.is_valid(value[:1] * 201), path
    assert longest >= 128


def sizes(schema: dict[str, Any]) -> list[int]:
    return [arm[name] for arm in arms(schema) for name in ("minItems", "maxItems") if arm.get(name)]


@st.composite
def mutated(draw: st.DrawFn) -> Any:
    """Draw a consistent request in which up to three places were changed."""
    document = draw(requests())
    for _ in range(draw(st.integers(1, 3))):
        path = draw(st.sampled_from(list(places(document))))
        match draw(st.sampled_from(["value", "number", "move", "remove", "repeat", "digits"])):
            case "value":
                document = changed(document, path, draw(st.sampled_from(OTHER_VALUES)))
            case "number":
                document = changed(document, path, draw(st.sampled_from(NUMBERS)))
            case "move":
                source = draw(st.sampled_from(list(places(document))))
                document = changed(document, path, value_at(document, source))
            case "remove" if path:
                document = copy.deepcopy(document)
                del value_at(document, path[:-1])[path[-1]]
            case "repeat" if isinstance(value_at(document, path), list):
                document = changed(document, path, value_at(document, path) * draw(st.sampled_from([2, 9, 65])))
            case _ if isinstance(value_at(document, path), int | float):
                document = changed(document, path, str(value_at(document, path)))
    return document


@settings(max_examples=250, deadline=None)
@given(mutated())
def test_a_changed_rig_is_judged_alike_by_schema_and_decoder(document: Any) -> None:
    assert is_taken(document) == WHOLE.is_valid(document)


@settings(max_examples=100, deadline=None)
@given(requests())
def test_every_rig_of_the_strategy_keeps_to_the_published_schema(document: Any) -> None:
    WHOLE.validate(document)
    assert is_taken(document)


def test_the_decoder_takes_what_json_schema_calls_an_integer() -> None:
    assert msgspec.convert(2.0, float) == 2.0
    document = weighed()
    document["policy"]["coverage_factor"] = 2.0
    assert is_taken(document)
