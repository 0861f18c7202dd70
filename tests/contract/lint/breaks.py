"""Ways to break the published contract in one place, each with the rule of the linter that must say so."""

import copy
import json
from collections.abc import Callable
from typing import Any

from tests.contract.published import DOCUMENT

Document = dict[str, Any]


def problem_answer(document: Document, status: str) -> Document:
    found: Document = document["components"]["responses"][f"Problem{status}"]
    return found


def assess(document: Document) -> Document:
    found: Document = document["paths"]["/v1/assess"]["post"]
    return found


def schema(document: Document, name: str) -> Document:
    found: Document = document["components"]["schemas"][name]
    return found


def field(document: Document, name: str, of: str) -> Document:
    found: Document = schema(document, of)["properties"][name]
    return found


def example(document: Document) -> Document:
    found: Document = next(iter(assess(document)["requestBody"]["content"]["application/json"]["examples"].values()))
    return found


def healthz(document: Document) -> Document:
    found: Document = document["paths"]["/healthz"]["get"]
    return found


def lookup(document: Document) -> Document:
    found: Document = document["paths"]["/v1/things/{key}"]["get"]
    return found


def rename(document: Document, old: str, new: str) -> None:
    text = json.dumps(document).replace(f'/{old}"', f'/{new}"').replace(f'"{old}": {{', f'"{new}": {{')
    document.clear()
    document.update(json.loads(text))


def link(document: Document) -> Document:
    found: Document = document["paths"]["/readyz"]["get"]["responses"]["200"]["links"]["linked"]
    return found


def vehicle_links(document: Document) -> Document:
    found: Document = document["paths"]["/v1/fleet/vehicles"]["post"]["responses"]["201"]["links"]
    return found


def linked() -> Document:
    """Return the published contract with an operation that has a key in its path, and a link to it."""
    document = copy.deepcopy(DOCUMENT)
    target = copy.deepcopy(healthz(document))
    target["operationId"] = "lookup"
    target["parameters"].append(
        {
            "name": "key",
            "in": "path",
            "required": True,
            "description": "Which one.",
            "schema": {"type": "string", "maxLength": 9},
        }
    )
    target["responses"]["404"] = copy.deepcopy(problem_answer(document, "400"))
    document["paths"]["/v1/things/{key}"] = {"get": target}
    document["paths"]["/readyz"]["get"]["responses"]["200"]["links"] = {
        "linked": {"operationId": "lookup", "parameters": {"key": "$response.body#/ready"}}
    }
    return document


BREAKS: dict[str, tuple[str, Callable[[Document], Any]]] = {
    "no operation id": ("operation-operationId", lambda d: healthz(d).pop("operationId")),
    "an operation id twice": ("operation-operationId-unique", lambda d: healthz(d).update(operationId="readyz")),
    "an operation id in camelCase": (
        "rule/operation-id-in-snake-case",
        lambda d: healthz(d).update(operationId="isAlive"),
    ),
    "no summary": ("operation-summary", lambda d: assess(d).pop("summary")),
    "no description of an operation": ("operation-description", lambda d: assess(d).pop("description")),
    "no tag": ("operation-tag-defined", lambda d: assess(d).pop("tags")),
    "an unlisted tag": ("operation-tag-defined", lambda d: assess(d).update(tags=["weighing"])),
    "two tags": ("operation-singular-tag", lambda d: assess(d).update(tags=["assessment", "service"])),
    "no description of a tag": ("tag-description", lambda d: d["tags"][0].pop("description")),
    "a tag listed twice": ("no-duplicated-tag-names", lambda d: d["tags"].append(d["tags"][0])),
    "no description of a parameter": (
        "parameter-description",
        lambda d: d["components"]["parameters"]["RequestId"].pop("description"),
    ),
    "no description of a header": (
        "rule/header-description",
        lambda d: d["components"]["headers"]["RequestId"].pop("description"),
    ),
    "no description of a component": (
        "axlewright/schema-description",
        lambda d: schema(d, "PassInput").pop("description"),
    ),
    "no description of a property": (
        "axlewright/schema-description",
        lambda d: field(d, "readings", of="PassInput").pop("description"),
    ),
    "a path in CamelCase": (
        "axlewright/path-words",
        lambda d: d["paths"].update({"/readyZ": d["paths"].pop("/readyz")}),
    ),
    "a path of the fleet with a hyphen": (
        "axlewright/path-words",
        lambda d: d["paths"].update({"/v1/fleet/upkeep-events": d["paths"].pop("/v1/fleet/upkeep_events")}),
    ),
    "a component's name with a space": (
        "spec-components-invalid-map-name",
        lambda d: rename(d, "PassInput", "Pass Input"),
    ),
    "a schema that takes anything": (
        "axlewright/typed-schemas",
        lambda d: field(d, "provisional", of="LoadAnswer").pop("type"),
    ),
    "an enumeration without a type": (
        "axlewright/typed-schemas",
        lambda d: field(d, "kind", of="PlatformInput").pop("type"),
    ),
    "a default by keyword": (
        "rule/default-in-words",
        lambda d: field(d, "kind", of="PlatformInput").update(default="section"),
    ),
    "no length of a string": (
        "axlewright/bounded-strings",
        lambda d: field(d, "detail", of="Problem").pop("maxLength"),
    ),
    "no length of a string or null": (
        "axlewright/bounded-strings",
        lambda d: field(d, "given", of="ProblemError")["anyOf"][0].pop("maxLength"),
    ),
    "no pattern of a string": ("axlewright/bounded-strings", lambda d: field(d, "name", of="PassInput").pop("pattern")),
    "no greatest number of items": (
        "axlewright/bounded-arrays",
        lambda d: field(d, "readings", of="PassInput").pop("maxItems"),
    ),
    "no kind of item": (
        "axlewright/bounded-arrays",
        lambda d: field(d, "wheel_ends", of="ReadingInput").pop("items"),
    ),
    "no least number": ("axlewright/bounded-numbers", lambda d: field(d, "omitted", of="Problem").pop("minimum")),
    "no greatest number": ("axlewright/bounded-numbers", lambda d: field(d, "omitted", of="Problem").pop("maximum")),
    "no greatest number of a number or null": (
        "axlewright/bounded-numbers",
        lambda d: field(d, "load", of="LoadAnswer")["anyOf"][0].pop("maximum"),
    ),
    "no kind of quantity": (
        "axlewright/quantified-numbers",
        lambda d: field(d, "omitted", of="Problem").pop("x-quantity"),
    ),
    "an inclusive and an exclusive bound": (
        "no-mixed-number-range-constraints",
        lambda d: field(d, "omitted", of="Problem").update(exclusiveMinimum=-1),
    ),
    "items of a text": (
        "no-schema-type-mismatch",
        lambda d: field(d, "detail", of="Problem").update(items={"type": "boolean"}),
    ),
    "an example of another type": (
        "no-invalid-schema-examples",
        lambda d: field(d, "omitted", of="Problem").update(examples=["none"]),
    ),
    "a required property that is not there": (
        "no-required-schema-properties-undefined",
        lambda d: schema(d, "TankInput")["properties"].update(
            color={"description": "Of the tank.", "type": "object", "properties": {}, "required": ["hue"]}
        ),
    ),
    "a list in a query without its style": (
        "array-parameter-serialization",
        lambda d: lookup(d)["parameters"].append(
            {
                "name": "axles",
                "in": "query",
                "description": "Which axles.",
                "schema": {"type": "array", "maxItems": 2, "items": {"type": "string", "maxLength": 9}},
            }
        ),
    ),
    "nullable": ("struct", lambda d: field(d, "omitted", of="Problem").update(nullable=True)),
    "no answer to a defect": ("axlewright/problem-answers", lambda d: assess(d)["responses"].pop("500")),
    "no answer to another media type": (
        "axlewright/problem-answers",
        lambda d: lookup(d)["responses"].update({"415": assess(d)["responses"].pop("415")}),
    ),
    "no answer to an unknown key": (
        "axlewright/problem-answers",
        lambda d: lookup(d)["responses"].pop("404"),
    ),
    "a problem of another schema": (
        "axlewright/problem-answers",
        lambda d: problem_answer(d, "500")["content"]["application/problem+json"].update(
            schema=copy.deepcopy(schema(d, "Problem"))
        ),
    ),
    "a failure that is no problem": (
        "axlewright/problem-answers",
        lambda d: problem_answer(d, "500")["content"].update(
            {"application/json": problem_answer(d, "500")["content"].pop("application/problem+json")}
        ),
    ),
    "no answer to what a caller did wrong": (
        "operation-4xx-response",
        lambda d: healthz(d)["responses"].pop("400"),
    ),
    "a request in another media type": (
        "request-mime-type",
        lambda d: assess(d)["requestBody"]["content"].update(
            {"text/json": assess(d)["requestBody"]["content"].pop("application/json")}
        ),
    ),
    "an answer in another media type": (
        "response-mime-type",
        lambda d: assess(d)["responses"]["200"]["content"].update(
            {"text/json": assess(d)["responses"]["200"]["content"].pop("application/json")}
        ),
    ),
    "no request id in an answer": (
        "response-contains-header",
        lambda d: assess(d)["responses"]["200"]["headers"].pop("X-Request-ID"),
    ),
    "no example of a request": (
        "axlewright/examples",
        lambda d: assess(d)["requestBody"]["content"]["application/json"].pop("examples"),
    ),
    "no example of an answer": (
        "axlewright/examples",
        lambda d: assess(d)["responses"]["200"]["content"]["application/json"].pop("examples"),
    ),
    "an example without a required field": (
        "no-invalid-media-type-examples",
        lambda d: example(d)["value"]["rig"].pop("vehicles"),
    ),
    "an example with an unknown field": (
        "no-invalid-media-type-examples",
        lambda d: example(d)["value"]["rig"].update(mileage=3),
    ),
    "a parameter's example that is too long": (
        "no-invalid-parameter-examples",
        lambda d: lookup(d)["parameters"][1].update(example="ten letters"),
    ),
    "a link to no operation": ("axlewright/link-targets", lambda d: link(d).update(operationId="look_up")),
    "a link with an unknown parameter": (
        "axlewright/link-targets",
        lambda d: link(d)["parameters"].update(name="$response.body#/ready"),
    ),
    "a link without a required parameter": ("axlewright/link-targets", lambda d: link(d).pop("parameters")),
    "a link with an expression that is none": (
        "axlewright/link-targets",
        lambda d: link(d)["parameters"].update(key="$response.ready"),
    ),
    "a link with what no answer has": (
        "axlewright/link-targets",
        lambda d: link(d)["parameters"].update(key="$response.body#/key"),
    ),
    "a link with an embedded expression that is none": (
        "axlewright/link-targets",
        lambda d: link(d)["parameters"].update(key="{$response.ready}.left"),
    ),
    "a link with a body in which stands what no answer has": (
        "axlewright/link-targets",
        lambda d: vehicle_links(d)["keep_rig"]["requestBody"].update(vehicles=["$response.body#/key"]),
    ),
    "a link with a body for an operation without": (
        "axlewright/link-targets",
        lambda d: link(d).update(requestBody="$response.body"),
    ),
    "an unused component": (
        "no-unused-components",
        lambda d: d["components"]["schemas"].update(Unused={"type": "boolean", "description": "Nobody's."}),
    ),
    "a reference to nothing": (
        "no-unresolved-refs",
        lambda d: schema(d, "TankInput")["properties"].update(
            color={"description": "Of the tank.", "$ref": "#/components/schemas/Color"}
        ),
    ),
    "nothing said of security": ("security-defined", lambda d: d.pop("security")),
}
"""What is broken, the rule that must say so, and how to break it."""
