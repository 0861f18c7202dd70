"""Nothing in the published document is left unsaid: meaning, kind, bounds, statuses, codes."""

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import axlewright
from axlewright.contract.codes import CROSS_FIELD_CODES
from axlewright.contract.faults import FaultCode
from axlewright.contract.problems import KINDS
from axlewright.core.findings import Severity
from tests.contract.published import DOCUMENT, SCHEMAS, arms, resolved

PACKAGE = Path(axlewright.__file__).parent
OPERATIONS = [operation for item in DOCUMENT["paths"].values() for operation in item.values()]
DOCUMENTS = {name: schema for name, schema in SCHEMAS.items() if "enum" not in schema}
FIELDS = [
    (f"{name}.{field}", schema) for name, each in DOCUMENTS.items() for field, schema in each["properties"].items()
]
QUANTITIES = {
    "distance",
    "mass",
    "pressure",
    "length",
    "fine_length",
    "speed",
    "temperature",
    "torque",
    "temperature_difference",
    "altitude",
    "volume",
    "share",
    "number",
    "count",
    "as_stated",
}


def every_part(schema: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield a field's alternatives, and those of its entries."""
    for arm in arms(schema):
        yield arm
        if "items" in arm:
            yield from every_part(arm["items"])


@pytest.mark.parametrize(("name", "schema"), SCHEMAS.items(), ids=SCHEMAS)
def test_every_document_says_what_it_is(name: str, schema: dict[str, Any]) -> None:
    assert schema["type"] == ("string" if "enum" in schema else "object")
    assert schema["description"].endswith("."), name


FIELD = pytest.mark.parametrize("schema", [schema for _, schema in FIELDS], ids=[name for name, _ in FIELDS])


@FIELD
def test_a_field_has_a_meaning(schema: dict[str, Any]) -> None:
    assert len(schema["description"]) > 4
    assert schema["description"].endswith((".", "?")), schema["description"]


@FIELD
def test_the_numbers_of_a_field_have_a_kind_and_bounds(schema: dict[str, Any]) -> None:
    for part in every_part(schema):
        if part.get("type") in ("number", "integer"):
            assert part["x-quantity"] in QUANTITIES
            assert {"minimum", "exclusiveMinimum"} & part.keys()
            assert {"maximum", "exclusiveMaximum"} & part.keys()


@FIELD
def test_the_texts_and_lists_of_a_field_are_bounded(schema: dict[str, Any]) -> None:
    for part in every_part(schema):
        if part.get("type") == "string":
            assert {"maxLength", "pattern", "enum", "format"} & part.keys()
        if part.get("type") == "array":
            assert part["maxItems"] > 0


@FIELD
def test_a_field_has_a_type_or_a_list_of_choices(schema: dict[str, Any]) -> None:
    assert all({"type", "enum"} & part.keys() for part in every_part(schema))


def reachable(schema: Any) -> set[str]:
    """Return the names of all components that a schema refers to, directly or not."""
    found: set[str] = set()
    waiting = [schema]
    while waiting:
        node = waiting.pop()
        if isinstance(node, list):
            waiting += node
        elif isinstance(node, dict):
            name = str(node.get("$ref", "")).rpartition("/")[2]
            if name in SCHEMAS and name not in found:
                found.add(name)
                waiting.append(SCHEMAS[name])
            waiting += node.values()
    return found


def test_requests_are_closed_and_answers_have_every_key() -> None:
    taken = reachable([operation.get("requestBody") for operation in OPERATIONS])
    answered = reachable([operation["responses"] for operation in OPERATIONS]) | {"Problem", "ProblemError"}
    assert taken | answered == set(SCHEMAS)
    for name in taken & DOCUMENTS.keys():
        assert SCHEMAS[name]["additionalProperties"] is False, name
    for name in (answered - taken) & DOCUMENTS.keys():
        assert set(SCHEMAS[name]["required"]) == set(SCHEMAS[name]["properties"]), name
        assert "additionalProperties" not in SCHEMAS[name], name


MEDIA_TYPES = {"write_upkeep_calendar": "text/calendar"}
"""Of answers that are not JSON."""
OPERATION = pytest.mark.parametrize("operation", OPERATIONS, ids=[each["operationId"] for each in OPERATIONS])


@OPERATION
def test_an_operation_is_named_and_explained(operation: dict[str, Any]) -> None:
    assert operation["operationId"].isidentifier()
    assert operation["tags"]
    assert operation["summary"]
    assert len(operation["description"]) > len("Answer.")
    assert all(resolved_parameter(each)["description"] for each in operation["parameters"])


@OPERATION
def test_every_status_of_an_operation_has_a_document(operation: dict[str, Any]) -> None:
    for status, response in operation["responses"].items():
        if status.startswith("2"):
            ((media_type, content),) = response["content"].items()
            assert media_type == MEDIA_TYPES.get(operation["operationId"], "application/json")
            assert content["schema"]
            continue
        shared = DOCUMENT["components"]["responses"][response["$ref"].rpartition("/")[2]]
        content = shared["content"]["application/problem+json"]
        assert content["schema"] == {"$ref": "#/components/schemas/Problem"}
        assert f"Problem{status}" in response["$ref"]
        assert "X-Request-ID" in shared["headers"]


@OPERATION
def test_every_status_of_an_operation_is_one_that_a_problem_has(operation: dict[str, Any]) -> None:
    known = {str(kind.status) for kind in KINDS.values()}
    assert {status for status in operation["responses"] if not status.startswith("2")} <= known


def resolved_parameter(parameter: dict[str, Any]) -> dict[str, Any]:
    if "$ref" not in parameter:
        return parameter
    found: dict[str, Any] = DOCUMENT["components"]["parameters"][parameter["$ref"].rpartition("/")[2]]
    return found


def first_arguments(call: str, folders: tuple[str, ...]) -> set[str]:
    """Return every text with which a name is called in the source: the codes that the code can emit."""
    found = set()
    for folder in folders:
        for source in (PACKAGE / folder).rglob("*.py"):
            for node in ast.walk(ast.parse(source.read_text())):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") == call and node.args:
                    found |= constants_in(node.args[0])
    return found


def constants_in(node: ast.expr) -> set[str]:
    """Return the texts that an expression can stand for: itself, or either arm of a choice."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return {node.value}
    if isinstance(node, ast.IfExp):
        return constants_in(node.body) | constants_in(node.orelse)
    return set()


CODES = DOCUMENT["x-codes"]


def test_every_finding_that_the_core_can_make_is_listed_with_its_severity() -> None:
    emitted = first_arguments("Finding", ("core", "contract"))
    listed = {code["code"]: code for code in CODES["findings"]}
    assert len(emitted) > 20
    assert emitted <= listed.keys()
    severities = {severity.value for severity in Severity}
    for code in listed.values():
        assert set(code["severity"].split(" or ")) <= severities
        assert code["meaning"].endswith(".")


def test_every_fault_between_fields_that_the_contract_can_tell_is_listed() -> None:
    emitted = {code for code in first_arguments("Fault", ("contract",)) if code.startswith("inconsistent_")}
    listed = {code["code"] for code in CODES["cross_field"]}
    assert len(emitted) > 10
    assert emitted <= listed
    assert listed == {code.code for code in CROSS_FIELD_CODES}
    # The one refusal of the core that is left after the contract's own rules.
    assert "inconsistent_loads_overlap" in listed


def test_every_shape_fault_and_problem_is_listed() -> None:
    assert [code["code"] for code in CODES["faults"]] == [code.value for code in FaultCode]
    assert [(kind["type"], kind["status"]) for kind in CODES["problems"]] == [
        (kind.uri, kind.status) for kind in KINDS.values()
    ]


def test_every_problem_has_a_status_that_some_operation_documents() -> None:
    documented = {status for operation in OPERATIONS for status in operation["responses"]}
    # An address or method that no operation has cannot be documented at one.
    assert {str(kind.status) for kind in KINDS.values()} - documented <= {"404", "405"}


def test_an_enumeration_that_is_shared_or_can_be_null_has_a_name() -> None:
    nullable = [arm for _, field in FIELDS for arm in field.get("anyOf", ()) if "enum" in arm]
    inline = [tuple(part["enum"]) for _, field in FIELDS for part in (field, *field.get("anyOf", ())) if "enum" in part]
    assert nullable == []
    assert len(inline) == len(set(inline)) > 5


def test_references_lead_somewhere() -> None:
    assert all(resolved(schema) for schema in SCHEMAS.values())
    assert reachable(DOCUMENT["paths"]) <= set(SCHEMAS)
