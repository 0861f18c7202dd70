"""The published document, read as a client's tools read it."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker, ValidationError
from jsonschema.validators import extend

DOCUMENT: dict[str, Any] = json.loads((Path(__file__).parents[2] / "openapi" / "openapi.json").read_text())
SCHEMAS: dict[str, Any] = DOCUMENT["components"]["schemas"]

_FORMATS = FormatChecker(formats=())


@_FORMATS.checks("date", raises=ValueError)
def _is_full_date(value: Any) -> bool:
    """RFC 3339, section 5.6: `full-date`, which Python's own reader takes in other forms too."""
    if not isinstance(value, str):
        return True
    return re.fullmatch("[0-9]{4}-[0-9]{2}-[0-9]{2}", value) is not None and date.fromisoformat(value) is not None


def _pattern(_: Any, pattern: str, instance: Any, __: Any) -> Iterator[ValidationError]:
    """JSON Schema patterns are ECMA-262's: `$` is the end of the text, where Python's lets a line feed through."""
    if isinstance(instance, str) and not re.search(re.sub(r"\$$", r"\\Z", pattern), instance):
        yield ValidationError(f"{instance!r} does not match {pattern!r}")


_Validator = extend(Draft202012Validator, {"pattern": _pattern})


def validator_of(schema: dict[str, Any]) -> Any:
    """Return a validator of a schema of the document, formats asserted."""
    return validator_in(DOCUMENT, schema)


def validator_in(document: dict[str, Any], schema: dict[str, Any]) -> Any:
    """Return a validator of a schema of another document, formats asserted."""
    return _Validator({**schema, "components": document["components"]}, format_checker=_FORMATS)


def component(name: str) -> dict[str, Any]:
    """Return the schema that refers to a component."""
    return {"$ref": f"#/components/schemas/{name}"}


def resolved(schema: dict[str, Any]) -> dict[str, Any]:
    """Return a schema with a reference at its root followed, its own keywords beside."""
    if "$ref" not in schema:
        return schema
    target = SCHEMAS[schema["$ref"].rpartition("/")[2]]
    return {**resolved(target), **{key: value for key, value in schema.items() if key != "$ref"}}


def arms(schema: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the alternatives of a schema, references followed; itself where it has none."""
    schema = resolved(schema)
    rest = {key: value for key, value in schema.items() if key != "anyOf"}
    return [{**rest, **arm} for each in schema["anyOf"] for arm in arms(each)] if "anyOf" in schema else [schema]


def inside(schema: dict[str, Any], step: str | int) -> dict[str, Any]:
    """Return the schema of what stands under a name, or at a position, of a document of a schema."""
    for arm in arms(schema):
        if isinstance(step, int) and "items" in arm:
            found: dict[str, Any] = arm["items"]
            return found
        if isinstance(step, str) and step in arm.get("properties", {}):
            return dict(arm["properties"][step])
    raise KeyError(step)


@dataclass(frozen=True)
class Field:
    """One field of a document: where it stands, what it holds, what the contract says of it, and its neighbours."""

    pointer: str
    value: Any
    schema: dict[str, Any]
    owner: dict[str, Any]

    @property
    def quantity(self) -> str | None:
        """The kind of quantity that a number here has; None where no number can stand here."""
        kinds = {arm["x-quantity"] for arm in arms(self.schema) if "x-quantity" in arm}
        kind = next(iter(kinds), None)
        return str(self.owner["quantity"]) if kind == "as_stated" else kind

    @property
    def is_rounded_up(self) -> bool:
        """Whether a number here is rounded up for print, not to the nearest."""
        return any(arm.get("x-rounded") == "up" for arm in arms(self.schema))


def fields(document: Any, schema: dict[str, Any], pointer: str = "") -> Iterator[Field]:
    """Yield every field of a document of a schema, with those inside it."""
    for name, value in document.items():
        field = Field(f"{pointer}/{name}", value, inside(schema, name), document)
        yield field
        entries = enumerate(value) if isinstance(value, list) else [("", value)]
        for position, entry in entries:
            if isinstance(entry, dict):
                within = field.schema if position == "" else inside(field.schema, position)
                yield from fields(entry, within, field.pointer if position == "" else f"{field.pointer}/{position}")
