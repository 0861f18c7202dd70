"""The published contract: an OpenAPI 3.1 document made from the operations and the structs themselves."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import msgspec

from axlewright import __version__
from axlewright.contract.codes import CROSS_FIELD_CODES, FINDING_CODES, Code
from axlewright.contract.collector import published_pattern
from axlewright.contract.examples import Example, examples_of
from axlewright.contract.faults import FaultCode
from axlewright.contract.problems import KINDS, MEDIA_TYPE, Problem, ProblemKind

TAGS = {
    "assessment": "One rig through all rooms: the main job.",
    "service": "The service itself: whether it lives, whether it is ready, and this contract.",
}

_EVERY_OPERATION = ("bad-request", "unknown-parameter", "internal")
_WITH_BODY = (
    "not-json",
    "too-slow",
    "too-large",
    "unsupported-media-type",
    "invalid",
    "inconsistent",
    "not-yet-computed",
)
_REF = "#/components/schemas/{name}"
_REQUEST_ID_HEADER = {"X-Request-ID": {"$ref": "#/components/headers/RequestId"}}


@dataclass(frozen=True)
class Parameter:
    """A parameter of an operation in its path or query."""

    name: str
    where: Literal["path", "query"]
    type_: Any
    is_required: bool
    description: str


@dataclass(frozen=True)
class Operation:
    """What the contract says of one operation; the structs say the rest."""

    path: str
    method: str
    operation_id: str
    tags: tuple[str, ...]
    summary: str
    description: str
    status: int
    answer: Any
    body: Any = None
    parameters: tuple[Parameter, ...] = ()


def openapi_document(operations: Iterable[Operation]) -> dict[str, Any]:
    """Return the whole document; equal operations give equal documents, in the same order."""
    ordered = sorted(operations, key=lambda operation: (operation.path, operation.method))
    schemas = _Schemas.of(ordered)
    paths: dict[str, Any] = {}
    for operation in ordered:
        paths.setdefault(operation.path, {})[operation.method.lower()] = _operation(operation, schemas)
    used = {tag for operation in ordered for tag in operation.tags}
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Axlewright",
            "version": __version__,
            "summary": "Wheel-end loads, ratings, balance and cold tire pressures from weigh tickets.",
            "license": {"name": "MIT", "identifier": "MIT"},
        },
        "servers": [{"url": "/"}],
        "tags": [{"name": name, "description": text} for name, text in TAGS.items() if name in used],
        "paths": paths,
        "components": {
            "schemas": schemas.components,
            "responses": _problem_responses(),
            "headers": {
                "RequestId": {
                    "description": "The id of this request, also in the service's log.",
                    "schema": {"type": "string", "pattern": "^[A-Za-z0-9._-]{1,128}$"},
                }
            },
            "parameters": {
                "RequestId": {
                    "name": "X-Request-ID",
                    "in": "header",
                    "description": "An id of yours for this request: 1 to 128 letters, digits, `.` `_` `-`. "
                    "One of another form is replaced, not refused.",
                    "schema": {"type": "string"},
                }
            },
        },
        "x-codes": _codes(),
    }


def openapi_text(document: Mapping[str, Any]) -> str:
    """Return the document as the text that is kept under version control."""
    return msgspec.json.format(msgspec.json.encode(document), indent=2).decode() + "\n"


@dataclass(frozen=True)
class _Schemas:
    """The schemas of all types, made at once so that each struct has one component."""

    types: Sequence[Any]
    references: Sequence[dict[str, Any]]
    components: dict[str, Any]

    @classmethod
    def of(cls, operations: Sequence[Operation]) -> "_Schemas":
        """Return the schemas of everything that the operations take and answer."""
        types: list[Any] = [Problem]
        for operation in operations:
            types += [parameter.type_ for parameter in operation.parameters]
            types += [operation.answer] if operation.body is None else [operation.answer, operation.body]
        references, components = msgspec.json.schema_components(types, ref_template=_REF)
        return cls(types, references, _published(dict(sorted(components.items()))))

    def reference(self, type_: Any) -> dict[str, Any]:
        """Return the schema that stands for a type: mostly a reference to its component."""
        published: dict[str, Any] = _published(self.references[self.types.index(type_)])
        return published


def _published(schema: Any) -> Any:
    if isinstance(schema, dict):
        return {
            key: published_pattern(value) if key == "pattern" and isinstance(value, str) else _published(value)
            for key, value in schema.items()
        }
    return [_published(value) for value in schema] if isinstance(schema, list) else schema


def _operation(operation: Operation, schemas: _Schemas) -> dict[str, Any]:
    examples = examples_of(operation.operation_id)
    document: dict[str, Any] = {
        "operationId": operation.operation_id,
        "tags": list(operation.tags),
        "summary": operation.summary,
        "description": operation.description,
        "parameters": [
            {"$ref": "#/components/parameters/RequestId"},
            *(_parameter(parameter, schemas) for parameter in operation.parameters),
        ],
    }
    if operation.body is not None:
        content = _content(schemas.reference(operation.body), examples.requests)
        document["requestBody"] = {"required": True, "content": content}
    answer = {
        "description": "The answer.",
        "headers": _REQUEST_ID_HEADER,
        "content": _content(schemas.reference(operation.answer), examples.answers),
    }
    statuses = sorted({kind.status for kind in _kinds_of(operation)})
    problems = {str(s): {"$ref": f"#/components/responses/Problem{s}"} for s in statuses}
    return {**document, "responses": {str(operation.status): answer, **problems}}


def _content(schema: dict[str, Any], examples: Mapping[str, Example]) -> dict[str, Any]:
    content: dict[str, Any] = {"schema": schema}
    if examples:
        content["examples"] = {
            name: {"summary": example.summary, "value": example.value} for name, example in examples.items()
        }
    return {"application/json": content}


def _parameter(parameter: Parameter, schemas: _Schemas) -> dict[str, Any]:
    return {
        "name": parameter.name,
        "in": parameter.where,
        "required": parameter.is_required,
        "description": parameter.description,
        "schema": schemas.reference(parameter.type_),
    }


def _kinds_of(operation: Operation) -> list[ProblemKind]:
    slugs = [*_EVERY_OPERATION]
    slugs += [] if operation.body is None else _WITH_BODY
    slugs += ["not-found"] if any(parameter.where == "path" for parameter in operation.parameters) else []
    return [KINDS[slug] for slug in slugs]


def _problem_responses() -> dict[str, Any]:
    responses: dict[str, Any] = {}
    for status in sorted({kind.status for kind in KINDS.values()}):
        kinds = [kind for kind in KINDS.values() if kind.status == status]
        responses[f"Problem{status}"] = {
            "description": " ".join(f"`{kind.uri}`: {kind.meaning}" for kind in kinds),
            "headers": _REQUEST_ID_HEADER,
            "content": {MEDIA_TYPE: {"schema": {"$ref": _REF.format(name="Problem")}}},
        }
    return responses


def _codes() -> dict[str, Any]:
    return {
        "problems": [
            {"type": kind.uri, "title": kind.title, "status": kind.status, "meaning": kind.meaning}
            for kind in KINDS.values()
        ],
        "faults": [{"code": code.value, "meaning": code.meaning} for code in FaultCode],
        "cross_field": [_code(code) for code in CROSS_FIELD_CODES],
        "findings": [_code(code) for code in FINDING_CODES],
    }


def _code(code: Code) -> dict[str, str]:
    severity = {} if code.severity is None else {"severity": code.severity}
    return {"code": code.code, **severity, "meaning": code.meaning}
