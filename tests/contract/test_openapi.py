"""The published document is what runs."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from litestar.routes import HTTPRoute
from openapi_spec_validator import OpenAPIV31SpecValidator

from axlewright.api.operations import operations_of
from axlewright.app import create_app
from axlewright.contract.openapi import openapi_document, openapi_text
from axlewright.contract.problems import KINDS
from axlewright.settings import Settings
from tests.api.probe import probe_app, send

PUBLISHED = Path(__file__).parents[2] / "openapi" / "openapi.json"
APP = create_app(Settings())
STATELESS = create_app(Settings(stateless=True))
PROBES = probe_app()
DOCUMENT = openapi_document(operations_of(APP))
PROBE_DOCUMENT = openapi_document(operations_of(PROBES))
OPERATIONS = {operation["operationId"]: operation for item in DOCUMENT["paths"].values() for operation in item.values()}
OF_FLEET = {operation_id: each for operation_id, each in OPERATIONS.items() if each["tags"] == ["fleet"]}


def test_the_published_document_is_the_one_that_the_code_makes() -> None:
    assert PUBLISHED.read_text() == openapi_text(DOCUMENT), "run `axlewright contract > openapi/openapi.json`"


def test_the_document_is_served_as_published() -> None:
    assert send(APP, "GET", "/v1/openapi.json").json == json.loads(PUBLISHED.read_text())


def test_another_process_makes_the_same_bytes() -> None:
    command = [sys.executable, "-m", "axlewright.cli", "contract"]
    made = subprocess.run(
        command, capture_output=True, text=True, check=True, env={**os.environ, "PYTHONHASHSEED": "7"}
    )
    assert made.stdout == openapi_text(DOCUMENT)


@pytest.mark.parametrize("document", [DOCUMENT, PROBE_DOCUMENT], ids=["service", "probe"])
def test_the_document_is_valid_openapi(document: dict[str, Any]) -> None:
    OpenAPIV31SpecValidator(document).validate()


@pytest.mark.parametrize("app", [APP, PROBES, STATELESS], ids=["service", "probe", "stateless"])
def test_routes_and_document_name_the_same_operations(app: Any) -> None:
    routed = {
        (route.path_format, method.lower())
        for route in app.routes
        if isinstance(route, HTTPRoute)
        for method in route.methods - {"OPTIONS"}
    }
    paths = openapi_document(operations_of(app))["paths"]
    assert {(path, method) for path, item in paths.items() for method in item} == routed


def test_operation_ids_are_unique() -> None:
    ids = [operation["operationId"] for item in DOCUMENT["paths"].values() for operation in item.values()]
    assert len(set(ids)) == len(ids)


def test_a_service_without_a_store_has_all_operations_but_those_of_the_fleet() -> None:
    paths = openapi_document(operations_of(STATELESS))["paths"]
    assert set(paths) == {path for path in DOCUMENT["paths"] if not path.startswith("/v1/fleet")}


def test_the_fleet_asks_for_a_key_of_one_scope_and_what_computes_takes_one() -> None:
    assert {operation_id for operation_id, each in OPERATIONS.items() if "x-scope" in each} == set(OF_FLEET)
    assert all(each["security"] == [{"key": []}] for each in OF_FLEET.values())
    assert DOCUMENT["security"] == [{}, {"key": []}]
    open_to_all = {operation_id for operation_id, each in OPERATIONS.items() if each.get("security") == []}
    assert open_to_all == {"healthz", "readyz", "contract"}


@pytest.mark.parametrize("operation_id", OF_FLEET)
def test_an_operation_of_the_fleet_says_its_scope_headers_and_refusals(operation_id: str) -> None:
    operation = OF_FLEET[operation_id]
    verb, _, of = operation_id.partition("_")
    is_change, is_post = verb == "change", verb in ("keep", "record", "make")
    is_managed = of in ("inflation_table", "policy") and (is_change or is_post)
    manages = is_managed or operation_id == "list_changes"
    assert operation["x-scope"] == ("manage" if manages else "write" if is_change or is_post else "read")
    headers = {each["$ref"].rpartition("/")[2] for each in operation["parameters"] if "$ref" in each}
    assert headers == {"RequestId", *["IfMatch"] * is_change, *["IdempotencyKey"] * is_post}
    statuses = set(operation["responses"])
    assert {"401", "403", "429", "503"} <= statuses
    assert ("409" in statuses, "201" in statuses) == (is_change or is_post, is_post)
    assert ({"412", "428"} <= statuses) == is_change
    assert ("404" in statuses) == any(each.get("in") == "path" for each in operation["parameters"])


def test_every_tag_is_described() -> None:
    described = {tag["name"] for tag in DOCUMENT["tags"]}
    used = {tag for item in DOCUMENT["paths"].values() for operation in item.values() for tag in operation["tags"]}
    assert used == described


def test_what_the_structs_say_survives_in_the_schemas() -> None:
    schema = PROBE_DOCUMENT["components"]["schemas"]["ProbeIn"]
    assert schema["additionalProperties"] is False
    assert schema["required"] == ["load"]
    assert schema["properties"]["load"] == {
        "type": "number",
        "minimum": 0,
        "maximum": 1e6,
        "x-quantity": "mass",
    }
    assert schema["properties"]["name"]["pattern"] == "^[a-z]{1,20}$"
    assert "additionalProperties" not in PROBE_DOCUMENT["components"]["schemas"]["ProbeOut"]


def test_parameters_of_operations_are_published() -> None:
    declared = PROBE_DOCUMENT["paths"]["/v1/probe"]["get"]["parameters"][1]
    assert (declared["name"], declared["in"], declared["required"]) == ("limit", "query", False)
    assert declared["schema"]["type"] == "integer"
    key = PROBE_DOCUMENT["paths"]["/v1/probe/{key}"]["get"]["parameters"][1]
    assert (key["name"], key["in"], key["required"]) == ("key", "path", True)


def test_an_operation_with_a_body_names_every_status_it_can_answer() -> None:
    responses = PROBE_DOCUMENT["paths"]["/v1/probe"]["post"]["responses"]
    assert sorted(responses) == ["200", "400", "401", "408", "413", "415", "422", "429", "500", "503"]


def test_every_problem_and_fault_code_is_published_with_its_meaning() -> None:
    codes = DOCUMENT["x-codes"]
    assert [problem["type"] for problem in codes["problems"]] == [f"/problems/{slug}" for slug in KINDS]
    assert {"code": "missing", "meaning": "A required name is absent."} in codes["faults"]
    assert all(code["meaning"].endswith(".") for group in ("faults", "cross_field") for code in codes[group])


def test_problem_documents_keep_to_their_published_schema() -> None:
    schema = {"$ref": "#/components/schemas/Problem", "components": DOCUMENT["components"]}
    reply = send(PROBES, "POST", "/v1/probe", b'{"x": 1}', {"Content-Type": "application/json"})
    assert reply.status == 422
    Draft202012Validator(schema).validate(reply.json)


@pytest.mark.parametrize("operation_id", OPERATIONS)
def test_examples_keep_to_their_published_schema(operation_id: str) -> None:
    operation = OPERATIONS[operation_id]
    [answer] = [response for status, response in operation["responses"].items() if status.startswith("2")]
    contents = [answer["content"], operation.get("requestBody", {}).get("content", {})]
    for media in (media for content in contents for media in content.values()):
        schema = {**media["schema"], "components": DOCUMENT["components"]}
        assert media["examples"]
        for example in media["examples"].values():
            Draft202012Validator(schema).validate(example["value"])
