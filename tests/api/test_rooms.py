"""Each room answers, to the byte, its part of the whole assessment, and refuses what the whole refuses."""

import json
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.contract.published import DOCUMENT, SCHEMAS, component, validator_of
from tests.documents import known, weighed
from tests.rigs.requests import requests

APP = create_app(Settings())
SESSIONS, LOADS = "/v1/sessions/reconcile", "/v1/loads/check"
BALANCE, INFLATION = "/v1/balance/assess", "/v1/inflation/recommend"
ROOMS = {SESSIONS: "sessions", LOADS: "loads", BALANCE: "balance", INFLATION: "inflation"}
OWN = {
    SESSIONS: {"reconciliation", "coupling", "wheel_ends", "axles", "vehicles", "rig"},
    LOADS: {"summary", "wheel_ends", "axles", "vehicles", "rig", "limits"},
    BALANCE: {"balance"},
    INFLATION: {"inflation"},
}
ROOMS_OF_CODE = {code["code"]: code["rooms"] for code in DOCUMENT["x-codes"]["findings"]}


def names_taken(path: str) -> set[str]:
    content = DOCUMENT["paths"][path]["post"]["requestBody"]["content"]["application/json"]
    return set(SCHEMAS[content["schema"]["$ref"].rpartition("/")[2]]["properties"])


def answer_schema(path: str) -> Any:
    content = DOCUMENT["paths"][path]["post"]["responses"]["200"]["content"]["application/json"]
    return component(content["schema"]["$ref"].rpartition("/")[2])


VALIDATORS = {path: validator_of(answer_schema(path)) for path in ROOMS}


def posted(path: str, document: Any) -> Reply:
    return send(APP, "POST", path, json.dumps(document).encode(), {"Content-Type": "application/json"})


def cut_for(path: str, document: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in document.items() if name in names_taken(path)}


def parts(reply: Reply) -> dict[str, bytes]:
    """Return the bytes of each member of an answer."""
    return {name: bytes(raw) for name, raw in msgspec.json.decode(reply.body, type=dict[str, msgspec.Raw]).items()}


def agree(document: dict[str, Any]) -> bool:
    """Check every room against the whole; return whether the document was answered and not refused."""
    whole = posted("/v1/assess", document)
    for path, room in ROOMS.items():
        if path == SESSIONS and "session" not in document:
            continue
        reply = posted(path, cut_for(path, document))
        if whole.status != 200:
            assert reply.status in (200, 422)
            told = {(error["code"], error["pointer"]) for error in whole.json["errors"]}
            assert {(error["code"], error["pointer"]) for error in reply.json.get("errors", [])} <= told
            continue
        assert reply.status == 200, reply.body
        VALIDATORS[path].validate(reply.json)
        whole_parts, room_parts = parts(whole), parts(reply)
        assert room_parts.keys() == OWN[path] | {"units", "policy", "findings", "cautions", "computed_by"}
        for name in OWN[path] | {"units", "policy"}:
            assert room_parts[name] == whole_parts[name], (path, name)
        expected = [
            finding
            for finding in whole.json["findings"]
            if finding["severity"] == "critical" or room in ROOMS_OF_CODE[finding["code"]]
        ]
        assert reply.json["findings"] == expected
        one_room, *shared = reply.json["cautions"]
        assert "whole assessment" in one_room
        assert [caution for caution in whole.json["cautions"] if caution in shared] == shared
    return whole.status == 200


@pytest.mark.parametrize("document", [weighed(), known()], ids=["weighed", "known"])
def test_rooms_and_whole_agree_on_a_request_with_everything(document: Any) -> None:
    assert agree(document)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(document=requests())
def test_part_and_whole_agree_to_the_byte(document: Any) -> None:
    agree(document)


@pytest.mark.long
def test_part_and_whole_agree_to_the_byte_for_a_thousand_rigs(capsys: pytest.CaptureFixture[str]) -> None:
    answered = []

    @settings(max_examples=1200, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(document=requests())
    def check(document: Any) -> None:
        answered.append(agree(document))

    check()
    with capsys.disabled():
        print(f"\nrooms agree with the whole: {sum(answered)} rigs answered, {len(answered) - sum(answered)} refused")
    assert sum(answered) >= 1000


@pytest.mark.parametrize("path", [LOADS, BALANCE, INFLATION])
def test_a_room_takes_either_tickets_or_loads(path: str) -> None:
    document = cut_for(path, weighed()) | {"loads": known()["loads"]}
    reply = posted(path, document)
    assert (reply.status, reply.problem_type) == (422, "inconsistent")
    assert [(error["code"], error["pointer"]) for error in reply.json["errors"]] == [("inconsistent_choice", "")]


def test_sessions_are_reconciled_from_tickets_only() -> None:
    reply = posted(SESSIONS, cut_for(SESSIONS, known()))
    [fault] = reply.json["errors"]
    assert (fault["code"], fault["pointer"]) == ("missing", "/session")
    assert fault["allowed"] == "an object with scale, passes"


@pytest.mark.parametrize(("path", "name"), [(SESSIONS, "conditions"), (LOADS, "conditions"), (BALANCE, "conditions")])
def test_what_a_room_does_not_use_is_refused_by_name(path: str, name: str) -> None:
    reply = posted(path, cut_for(path, weighed()) | {name: weighed()[name]})
    [fault] = reply.json["errors"]
    assert (fault["code"], fault["pointer"]) == ("unknown_name", f"/{name}")


def test_a_critical_finding_of_another_room_is_told_in_every_room() -> None:
    document = weighed()
    document["rig"]["vehicles"][0]["gvwr"] = 20000
    for path in ROOMS:
        codes = [finding["code"] for finding in posted(path, cut_for(path, document)).json["findings"]]
        assert codes[0] == "limit_over", path


def test_a_fault_between_fields_tells_the_number_that_was_sent() -> None:
    document = weighed()
    document["rig"]["vehicles"][0]["axles"][1]["aft"] = -12.5
    [fault] = [
        each for each in posted(LOADS, cut_for(LOADS, document)).json["errors"] if each["pointer"][-4:] == "/aft"
    ][:1]
    assert fault["given"] == "-12.5"
