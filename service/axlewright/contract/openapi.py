"""The published contract: an OpenAPI 3.1 document made from the operations and the structs themselves."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from inspect import getdoc
from typing import Any, Literal

import msgspec

from axlewright import __version__
from axlewright.contract.codes import CROSS_FIELD_CODES, FINDING_CODES, Code
from axlewright.contract.collector import published_pattern
from axlewright.contract.examples import Example, OperationExamples, examples_of
from axlewright.contract.faults import FaultCode
from axlewright.contract.fleet.examples import fleet_examples
from axlewright.contract.links import LINKS
from axlewright.contract.named_values import NAMED_VALUES
from axlewright.contract.problems import EXAMPLE_FAULTS, KINDS, MEDIA_TYPE, Problem, ProblemKind, problem
from axlewright.contract.shared_components import HEADERS, KEY_SCHEME, PARAMETERS, SECURITY_SCHEMES

TAGS = {
    "assessment": "One rig through all rooms: the main job.",
    "sessions": "What weigh tickets say: wheel-end loads, and how the readings agree.",
    "loads": "How loads stand to limits.",
    "balance": "Where the load sits.",
    "inflation": "Cold pressures, what a gauge shows elsewhere and on a trip, monitors, leaks.",
    "tires": "What is marked on a tire, and published load/inflation tables.",
    "upkeep": "What falls due, and what a walk round the rig shows.",
    "fleet": "The store: vehicles, rigs, weighs, assessments and upkeep, kept for one operator behind a key.",
    "service": "The service itself: whether it lives, whether it is ready, and this contract.",
}

JSON = "application/json"

_EVERY_OPERATION = ("bad-request", "invalid-query", "internal")
_WITH_A_KEY = ("unauthorized", "too-many-requests", "storage-unavailable")
_CONDITIONAL = ("precondition-failed", "precondition-required")
_IDEMPOTENT = ("in-progress", "idempotency-mismatch")
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
_LINK_HEADER = {"Link": {"$ref": "#/components/headers/Link"}}
_RETRY_AFTER_HEADER = {"Retry-After": {"$ref": "#/components/headers/RetryAfter"}}
_MADE = 201
_RETRIED = (409, 429, 503)
"""Statuses of problems whose answers may say when to ask again."""
_TAG_HEADER = {"ETag": {"$ref": "#/components/headers/ETag"}}
_MADE_HEADERS = {"Location": {"$ref": "#/components/headers/Location"}}
_DONE_ONCE_HEADERS = {
    "Idempotency-Replayed": {"$ref": "#/components/headers/IdempotencyReplayed"},
}
_RATE_HEADERS = {
    "RateLimit": {"$ref": "#/components/headers/RateLimit"},
    "RateLimit-Policy": {"$ref": "#/components/headers/RateLimitPolicy"},
}
_AUTHENTICATE_HEADER = {"WWW-Authenticate": {"$ref": "#/components/headers/Authenticate"}}
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
    answer_media_type: str = JSON
    may_be_busy: bool = False
    key: Literal["never", "by_setting", "always"] = "by_setting"
    scope: str | None = None
    is_conditional: bool = False
    is_idempotent: bool = False
    is_tagged: bool = False
    asks_store: bool = False


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
        "security": [{}, {KEY_SCHEME: []}],
        "tags": [{"name": name, "description": text} for name, text in TAGS.items() if name in used],
        "paths": paths,
        "components": {
            "securitySchemes": SECURITY_SCHEMES,
            "schemas": schemas.components,
            "responses": _problem_responses(ordered),
            "headers": HEADERS,
            "parameters": PARAMETERS,
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
        published = _published(components) | _named_values([components, references])
        return cls(types, references, dict(sorted(published.items())))

    def reference(self, type_: Any) -> dict[str, Any]:
        """Return the schema that stands for a type: mostly a reference to its component."""
        published: dict[str, Any] = _published(self.references[self.types.index(type_)])
        return published


def _published(schema: Any) -> Any:
    if isinstance(schema, list):
        return [_published(value) for value in schema]
    if not isinstance(schema, dict):
        return schema
    published: dict[str, Any] = {
        key: published_pattern(value) if key == "pattern" and isinstance(value, str) else _published(value)
        for key, value in schema.items()
    }
    if isinstance(schema.get("enum"), list):
        named = NAMED_VALUES.get(tuple(schema["enum"]))
        return {**published, "type": "string"} if named is None else _as_reference(published, named.name)
    if "properties" in schema:
        published["properties"] = {name: _default_in_words(field) for name, field in published["properties"].items()}
    return published


def _as_reference(enumeration: dict[str, Any], name: str) -> dict[str, Any]:
    rest = {key: value for key, value in enumeration.items() if key != "enum"}
    return {**rest, "$ref": _REF.format(name=name)}


def _named_values(schemas: Any) -> dict[str, Any]:
    """Return the components of the named enumerations that stand somewhere in schemas."""
    if isinstance(schemas, dict) and isinstance(schemas.get("enum"), list):
        named = NAMED_VALUES.get(tuple(schemas["enum"]))
        return {} if named is None else {named.name: named.schema}
    inner = schemas.values() if isinstance(schemas, dict) else schemas if isinstance(schemas, list | tuple) else ()
    return {name: schema for each in inner for name, schema in _named_values(each).items()}


def _default_in_words(field: dict[str, Any]) -> dict[str, Any]:
    """Return a field without the keyword `default`, which generators of clients take for always there."""
    told = {key: value for key, value in field.items() if key != "default"}
    default = field.get("default")
    if isinstance(default, str | int | float):
        text = default if isinstance(default, str) else msgspec.json.encode(default).decode().removesuffix(".0")
        told["description"] = f"{field.get('description', '')} `{text}` if left out.".strip()
    return told


def _operation(operation: Operation, schemas: _Schemas) -> dict[str, Any]:
    examples = _examples(operation)
    document: dict[str, Any] = {
        "operationId": operation.operation_id,
        "tags": list(operation.tags),
        "summary": operation.summary,
        "description": operation.description,
        **_security(operation),
        "parameters": [
            {"$ref": "#/components/parameters/RequestId"},
            *([{"$ref": "#/components/parameters/IfMatch"}] if operation.is_conditional else []),
            *([{"$ref": "#/components/parameters/IdempotencyKey"}] if operation.is_idempotent else []),
            *(_parameter(parameter, schemas, examples.parameters) for parameter in operation.parameters),
        ],
    }
    if operation.body is not None:
        content = _content(JSON, schemas.reference(operation.body), examples.requests)
        document["requestBody"] = {"required": True, "content": content}
    is_paged = any(parameter.name == "cursor" for parameter in operation.parameters)
    answer = {
        "description": _description(operation.answer),
        "headers": {
            **_REQUEST_ID_HEADER,
            **(_LINK_HEADER if is_paged else {}),
            **(_TAG_HEADER if operation.is_tagged else {}),
            **(_MADE_HEADERS if operation.status == _MADE else {}),
            **(_DONE_ONCE_HEADERS if operation.is_idempotent else {}),
            **(_RATE_HEADERS if operation.key == "always" else {}),
        },
        "content": _content(operation.answer_media_type, schemas.reference(operation.answer), examples.answers),
        **_links(operation.operation_id),
    }
    statuses = sorted({kind.status for kind in _kinds_of(operation)})
    problems = {str(s): {"$ref": f"#/components/responses/Problem{s}"} for s in statuses}
    return {**document, "responses": {str(operation.status): answer, **problems}}


def _examples(operation: Operation) -> OperationExamples:
    is_of_fleet = operation.scope is not None
    return fleet_examples()[operation.operation_id] if is_of_fleet else examples_of(operation.operation_id)


def _security(operation: Operation) -> dict[str, Any]:
    if operation.key == "by_setting":
        return {}
    scope = {} if operation.scope is None else {"x-scope": operation.scope}
    return {"security": [] if operation.key == "never" else [{KEY_SCHEME: []}], **scope}


def _description(answer: Any) -> str:
    """Return what an answer is: of a document the first line of its struct's docstring."""
    is_document = isinstance(answer, type) and issubclass(answer, msgspec.Struct)
    return (getdoc(answer) or "").partition("\n")[0] if is_document else "The answer."


def _content(media_type: str, schema: dict[str, Any], examples: Mapping[str, Example]) -> dict[str, Any]:
    content: dict[str, Any] = {"schema": schema}
    if examples:
        content["examples"] = {
            name: {"summary": example.summary, "value": example.value} for name, example in examples.items()
        }
    return {media_type: content}


def _links(operation_id: str) -> dict[str, Any]:
    links = {
        link.operation_id: {
            "operationId": link.operation_id,
            "description": link.description,
            **({"parameters": dict(link.parameters)} if link.parameters else {}),
            **({} if link.body is None else {"requestBody": link.body}),
        }
        for link in LINKS.get(operation_id, ())
    }
    return {"links": links} if links else {}


def _parameter(parameter: Parameter, schemas: _Schemas, examples: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    shown = {name: {"value": values[parameter.name]} for name, values in examples.items() if parameter.name in values}
    return {
        **({"examples": shown} if shown else {}),
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
    slugs += ["busy"] if operation.may_be_busy else []
    slugs += [] if operation.key == "never" else _WITH_A_KEY
    slugs += ["storage-unavailable"] if operation.asks_store else []
    slugs += ["forbidden"] if operation.scope is not None else []
    slugs += ["conflict"] if operation.scope is not None and operation.body is not None else []
    slugs += _CONDITIONAL if operation.is_conditional else []
    slugs += _IDEMPOTENT if operation.is_idempotent else []
    return [KINDS[slug] for slug in slugs]


def _problem_responses(operations: Sequence[Operation]) -> dict[str, Any]:
    answered = {kind.status for operation in operations for kind in _kinds_of(operation)}
    responses: dict[str, Any] = {}
    for status in sorted(answered):
        kinds = [kind for kind in KINDS.values() if kind.status == status]
        content = {"schema": {"$ref": _REF.format(name="Problem")}, "examples": _problem_examples(kinds)}
        responses[f"Problem{status}"] = {
            "description": " ".join(f"`{kind.uri}`: {kind.meaning}" for kind in kinds),
            "headers": {
                **_REQUEST_ID_HEADER,
                **_RATE_HEADERS,
                **(_RETRY_AFTER_HEADER if status in _RETRIED else {}),
                **(_AUTHENTICATE_HEADER if status == KINDS["unauthorized"].status else {}),
            },
            "content": {MEDIA_TYPE: content},
        }
    return responses


def _problem_examples(kinds: Iterable[ProblemKind]) -> dict[str, Any]:
    examples: dict[str, Any] = {}
    for kind in kinds:
        faults = [EXAMPLE_FAULTS[kind.slug]] if kind.slug in EXAMPLE_FAULTS else []
        detail = "There is 1 fault in the document." if faults else kind.meaning
        value = msgspec.to_builtins(problem(kind.slug, detail, faults))
        examples[kind.slug.replace("-", "_")] = {"summary": f"{kind.title}.", "value": value}
    return examples


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


def _code(code: Code) -> dict[str, Any]:
    of_a_finding = {} if code.severity is None else {"severity": code.severity, "rooms": list(code.rooms)}
    return {"code": code.code, **of_a_finding, "meaning": code.meaning}
