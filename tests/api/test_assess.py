"""The main job over HTTP: what is answered, and that nothing in an answer is left open."""

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.contract.published import DOCUMENT, component, fields, validator_of
from tests.documents import known, weighed
from tests.rigs.requests import requests

APP = create_app(Settings())
ANSWER = component("AssessAnswer")
VALIDATOR = validator_of(ANSWER)
PROBLEM = validator_of(component("Problem"))
OPERATION = DOCUMENT["paths"]["/v1/assess"]["post"]
EXAMPLES = OPERATION["requestBody"]["content"]["application/json"]["examples"]
ANSWERS = OPERATION["responses"]["200"]["content"]["application/json"]["examples"]

NOT_APPLICABLE = {
    "reconciliation",
    "bars_moment",
    "coupling",
    "coupling_load",
    "pass_name",
    "probability",
    "put_on_trailer_axles",
    "restored_share",
    "settled_by",
    "governing_limit",
    "edition",
    "heavy_side",
    "holds_when_coldest",
    "label_pressure",
    "next_row",
    "row",
    "speed",
    "until_weighed",
}
"""Names whose null is no figure that is missing: the contract says of each when it is null."""


def assessed(document: Any) -> Reply:
    """Return the answer to a document, which keeps to what the contract says of its status."""
    reply = send(APP, "POST", "/v1/assess", json.dumps(document).encode(), {"Content-Type": "application/json"})
    if reply.status == 200:
        assert reply.headers["content-type"] == "application/json"
        VALIDATOR.validate(reply.json)
    else:
        assert reply.problem_type in ("invalid", "inconsistent", "not-yet-computed")
        PROBLEM.validate(reply.json)
    return reply


def faults(document: Any) -> set[tuple[str, str]]:
    """Return codes and pointers of a refusal."""
    reply = assessed(document)
    assert reply.status == 422, reply.body
    return {(error["code"], error["pointer"]) for error in reply.json["errors"]}


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_published_example_is_answered_as_published(name: str) -> None:
    reply = assessed(EXAMPLES[name]["value"])
    assert reply.status == 200
    assert reply.json == ANSWERS[name]["value"]


@pytest.mark.parametrize("document", [weighed(), known()], ids=["weighed", "known"])
def test_a_request_with_everything_is_answered(document: Any) -> None:
    assert assessed(document).status == 200


@pytest.mark.parametrize("document", [weighed(), known()], ids=["weighed", "known"])
def test_the_same_request_gives_the_same_bytes_from_another_application(document: Any) -> None:
    body = json.dumps(document).encode()
    headers = {"Content-Type": "application/json"}
    replies = [send(app, "POST", "/v1/assess", body, headers) for app in (APP, APP, create_app(Settings()))]
    assert len({reply.body for reply in replies}) == 1
    assert len({reply.headers["x-request-id"] for reply in replies}) == 3


@pytest.mark.parametrize("document", [weighed(), known()], ids=["weighed", "known"])
def test_the_order_of_names_and_the_writing_of_numbers_change_nothing(document: Any) -> None:
    def reversed_names(value: Any) -> Any:
        if isinstance(value, dict):
            return {name: reversed_names(value[name]) for name in reversed(value)}
        if isinstance(value, list):
            return [reversed_names(each) for each in value]
        return float(value) if type(value) is int else value

    assert assessed(reversed_names(document)).body == assessed(document).body


def test_null_for_what_may_be_left_out_is_as_good_as_leaving_it_out() -> None:
    document = weighed()
    document["rig"]["vehicles"][0]["hitch"] = document["conditions"] = document["session"]["carried"] = None
    left_out = weighed()
    del left_out["rig"]["vehicles"][0]["hitch"], left_out["conditions"], left_out["session"]["carried"]
    assert assessed(document).status == 200
    assert assessed(document).body == assessed(left_out).body


def whole_numbers_only(text: str) -> float:
    raise AssertionError(f"{text} is no JSON number")


@settings(max_examples=200, deadline=None)
@given(requests())
def test_of_any_rig_every_key_is_answered_every_figure_finite_and_every_gap_explained(document: Any) -> None:
    reply = assessed(document)
    assert reply.status == 200, reply.body
    answer = json.loads(reply.body, parse_constant=whole_numbers_only)
    assert json.dumps(answer["units"])
    for field in fields({name: value for name, value in answer.items() if name != "units"}, ANSWER):
        name = field.pointer.rpartition("/")[2]
        if isinstance(field.value, int | float):
            assert math.isfinite(field.value)
        elif field.value is None and not name.endswith("unknown_because"):
            reason = "set_now_unknown_because" if name == "set_now" else "unknown_because"
            explained = bool(field.owner.get(reason))
            said = name in NOT_APPLICABLE and "null where" in field.schema["description"].lower()
            assert explained or said, (field.pointer, field.owner)


@settings(max_examples=60, deadline=None)
@given(requests())
def test_counts_and_summary_are_those_of_the_limits(document: Any) -> None:
    answer = assessed(document).json
    standings = [limit["standing"] for limit in answer["limits"]]
    counts = answer["summary"]["counts"]
    assert {name: standings.count(name) for name in counts} == counts
    order = ["over", "short", "unsettled", "unknown", "tight", "clear"]
    assert answer["summary"]["standing"] == min(standings, key=order.index)
    severities = ["critical", "warning", "notice", "info"]
    ranks = [severities.index(finding["severity"]) for finding in answer["findings"]]
    assert ranks == sorted(ranks)
    listed = {code["code"]: code["severity"].split(" or ") for code in DOCUMENT["x-codes"]["findings"]}
    assert all(finding["severity"] in listed[finding["code"]] for finding in answer["findings"])


@settings(max_examples=60, deadline=None)
@given(requests())
def test_wheel_ends_that_are_known_add_to_their_axle(document: Any) -> None:
    """Identity: an axle's load is the sum of its wheel ends; each is printed to 0.1, so three roundings apart."""
    answer = assessed(document).json
    loads = {end["name"]: end["load"] for end in answer["wheel_ends"]}
    compared = 0
    for axle in answer["axles"]:
        left, right = loads[f"{axle['name']}.left"], loads[f"{axle['name']}.right"]
        if left is not None and right is not None:
            assert axle["load"] == pytest.approx(left + right, abs=0.1501)
            compared += 1
    assert compared or any(load is None for load in loads.values())


def pair() -> Any:
    """Return the whole request for its coach with a trailer behind it."""
    document = weighed()
    second = json.loads(json.dumps(document["rig"]["vehicles"][0]))
    second |= {"name": "car", "kind": "trailer"}
    for axle in second["axles"]:
        axle["aft"] += 100
    document["rig"]["vehicles"].append(second)
    for each in document["session"]["passes"]:
        for reading in each["readings"]:
            reading["wheel_ends"] = [f"coach.{name}" for name in reading["wheel_ends"]]
    document["rig"]["couplings"] = [{"tow": "coach", "towed": "car", "kind": "ball"}]
    return document


def test_a_coupled_rig_that_was_not_weighed_hitched_is_refused_by_name_and_place() -> None:
    document = pair()
    assert faults(document) == {("not_yet_computed", "/rig/couplings")}
    assert assessed(document).problem_type == "not-yet-computed"


def test_a_pass_made_hitched_needs_to_know_what_tows_what() -> None:
    document = weighed()
    document["session"]["passes"][1]["state"] = "hitched"
    assert faults(document) == {("inconsistent_reference", "/session/passes/1/state")}


def test_what_is_not_computed_yet_stands_beside_a_contradiction() -> None:
    document = pair()
    document["session"]["passes"][0]["readings"][0]["wheel_ends"] = ["coach.front.right"]
    assert faults(document) == {
        ("not_yet_computed", "/rig/couplings"),
        ("inconsistent_reference", "/session/passes/0/readings/0/wheel_ends/0"),
    }
    assert assessed(document).problem_type == "inconsistent"


@pytest.mark.parametrize(
    ("pointer", "name"),
    [
        ("", "loadz"),
        ("/rig", "vehicle"),
        ("/rig/vehicles/0", "gvw"),
        ("/rig/vehicles/0/axles/0", "gawl"),
        ("/rig/vehicles/0/axles/0/tires", "psi"),
        ("/session/scale", "class"),
        ("/session/passes/0", "reading"),
        ("/session/passes/0/readings/0", "unit"),
        ("/conditions/fill", "temperature"),
        ("/policy", "reserve"),
        ("/tire_tables/0/rows/0", "psi"),
    ],
)
def test_an_unknown_name_is_refused_at_its_place(pointer: str, name: str) -> None:
    document = weighed()
    at(document, pointer)[name] = 1
    assert faults(document) == {("unknown_name", f"{pointer}/{name}")}


NUMBERS = [
    field.pointer
    for base in (weighed(), known())
    for field in fields({k: v for k, v in base.items() if k != "units"}, component("AssessRequest"))
    if isinstance(field.value, int | float)
]


@pytest.mark.parametrize("pointer", sorted(set(NUMBERS)))
def test_a_number_written_as_text_is_refused_at_its_place(pointer: str) -> None:
    document = known() if pointer.startswith("/loads") else weighed()
    holder, _, name = pointer.rpartition("/")
    at(document, holder)[name] = str(at(document, holder)[name])
    assert faults(document) == {("wrong_type", pointer)}


def at(document: Any, pointer: str) -> Any:
    """Return what a JSON Pointer without escapes points at."""
    for step in pointer.split("/")[1:]:
        document = document[int(step) if isinstance(document, list) else step]
    return document
