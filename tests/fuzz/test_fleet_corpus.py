"""Bodies, ids, cursors and headers of odd forms are refused or taken alike on each database, and are no defect."""

import base64
import itertools
import json
from typing import Any

import pytest

from axlewright.contract.fleet.example_bodies import COACH, example_id
from axlewright.fleet.cursors import Listing
from tests.api.probe import send
from tests.api.test_corpus import MALFORMED
from tests.contract.example_fleet import OPERATIONS, ExampleFleet, is_of_fleet
from tests.fleet.yard import MISSING_ID, Fleet, rig

pytestmark = pytest.mark.long

POLICY = {"units": "us", "name": "one"}
ODD = [
    *[
        b"null",
        b"true",
        b"0",
        b'""',
        b"[]",
        b"{}",
        b"[{}]",
        b'{"":1}',
        b'{"units":"us"}',
        b'{"units":"us","name":null}',
    ],
    *[b'{"units":"us","name":""}', b'{"units":"us","name":1}', b'{"units":"us","name":"a","name":"b"}'],
    *[
        b'{"units":"us","name":"a\\u0000b"}',
        b'{"units":"us","name":"\\ud800"}',
        b'{"units":"us","name":"\\udfff\\ud800"}',
    ],
    *[b'{"units":"us","na\\u006de":"a","name":"b"}', b'{"units":"us","name":"a","id":"b"}', b'{"units":[],"name":"a"}'],
    *[
        b'{"units":"us","name":"a","archived":"false"}',
        b'{"units":"us","name":"a","archived":0}',
        b"[" * 500 + b"]" * 500,
    ],
    *[b'{"units":"us","name":"a","policy":{"coverage_factor":1e400}}', b'{"units":"us","name":"a","\\u0000":1}'],
    *[b'{"units":"us","name":"a","policy":{"coverage_factor":2.' + b"0" * 3000 + b"1e999}}", b"1" * 4000],
]
"""JSON that is no policy."""
TAKEN = [
    *[
        b' {"units":"us","name":"a"}\n',
        b'{"n\\u0061me":"\\u0061","units":"us"}',
        b'{"name":"a","units":"us","archived":false}',
    ],
    *[
        b'{"units":"us","name":"\\ud83d\\ude00"}',
        '{"units":"us","name":"\U0001f600\uffff"}'.encode(),
        b'{"units":"us","name":"\\/"}',
    ],
    *[b'{"units":"us","name":"a","policy":{"coverage_factor":2.' + b"0" * 3000 + b"}}"],
    *[b'{"units":"us","name":"a","policy":{"coverage_factor":1e0,"reserve_share":-0.0}}'],
]
"""Policies, oddly written."""
IDS = [
    *[
        "0",
        "-1",
        "null",
        "undefined",
        "%00",
        "%0a",
        "%ff",
        "%ed%a0%80",
        "a b",
        "'",
        '"',
        "*",
        "~",
        ";",
        "%25",
        "%2e%2e",
    ],
    *[MISSING_ID, MISSING_ID.upper(), MISSING_ID.replace("-", ""), f"{MISSING_ID}0", f"{MISSING_ID}%00", "x" * 5000],
    *[MISSING_ID.replace("-7", "-4"), f"{{{MISSING_ID}}}", f"urn:uuid:{MISSING_ID}", "é", "😀", "1e9", "1;2", "page"],
]
TEXTS = [*["%00", "a%00", "%ff", "%ed%a0%80", "%0d%0a", "+", "%", "%zz", "null", "", "[]", "true", "1e400", "x" * 9000]]
PLACES: list[Any] = [
    *["", "\u0000", "a\u0000", "\ud800", "x" * 300, "'", 0, -1, 2**63, 2**64, 10**30, 1e308, -1e308, 0.1, True, None],
    *[
        [],
        [[]],
        {},
        ["", ""],
        ["\u0000", "\u0000"],
        [None, None],
        [0, ""],
        [10**30, ""],
        [1e308, ""],
        ["a", 0],
        [0.5, ""],
    ],
    *[["", "", ""], ["\u0000", "a", "b"], ["9999-99-99", "x", "y"], ["a", "b", "c", "d"], [2**63, "a"], [True, "a"]],
]
"""What a cursor may be made to say by somebody who wrote it."""
HEADERS = [
    *[
        "",
        " ",
        "a b",
        "\t",
        '"',
        '""',
        "W/",
        'W/""',
        "*",
        "**",
        "*, *",
        "é",
        "\x80",
        "a\x00b",
        "a\nb",
        '"a',
        'a"',
        "'a'",
    ],
    *['"a" "b"', '"a";"b"', ",", ",,", '"a",', '"' + "x" * 5000 + '"', "x" * 255, "x" * 256, "x" * 9000, "%00", "\\"],
]
LISTS = [
    (operation_id, path)
    for operation_id, (method, path, operation) in OPERATIONS.items()
    if is_of_fleet(operation_id) and any(each.get("name") == "cursor" for each in operation["parameters"])
]


def posted(fleet: Fleet, body: bytes, **headers: str) -> Any:
    return fleet.send("POST", "policies", body, {name.replace("_", "-"): value for name, value in headers.items()})


def units_of(path: str) -> dict[str, str]:
    return {"units": "us"} if path.endswith("/history") else {}


@pytest.fixture
def examples(fleet: Fleet) -> ExampleFleet:
    """A fleet in which all examples are kept."""
    examples = ExampleFleet(fleet)
    examples.make()
    return examples


def test_a_malformed_body_is_no_json(fleet: Fleet) -> None:
    for body in MALFORMED:
        assert (posted(fleet, body).status, body) == (400, body)
    assert fleet.ids("policies") == []


def test_json_that_is_no_document_is_refused_for_its_shape(fleet: Fleet) -> None:
    for body in ODD:
        assert (posted(fleet, body).status, body[:80]) == (422, body[:80])
    assert fleet.ids("policies") == []


def test_a_document_is_kept_as_it_was_written(fleet: Fleet) -> None:
    for body in TAKEN:
        made = posted(fleet, body)
        assert made.status == 201, body[:80]
        read = fleet.get(made.headers["location"])
        assert read.json["document"] == json.loads(body)
        assert body.strip() in read.body


@pytest.mark.parametrize("method", ["GET", "PUT"])
def test_an_id_of_any_form_is_not_found(fleet: Fleet, method: str) -> None:
    paths = {path for id_, (_, path, _) in OPERATIONS.items() if is_of_fleet(id_) and "{id}" in path}
    for path, id_ in itertools.product(sorted(paths), IDS):
        address = path.replace("{id}", id_).replace("{wheel_end}", "axle.left")
        reply = fleet.send(method, address, POLICY if method == "PUT" else None, {"if-match": "*"}, **units_of(path))
        assert reply.status in (404, 405, 400, 422), (address[:120], reply.body)
        assert reply.status == 404 or method == "PUT" or id_ == "page", (address[:120], reply.body)


def test_a_filter_of_any_form_is_answered_or_refused(fleet: Fleet) -> None:
    for _, path in LISTS:
        path = path.format(id=MISSING_ID, wheel_end="axle.left")
        names = ["limit", "cursor", "archived", "units", "vehicle_id", "rig_id", "session_id", "resource_id", "ticket"]
        names += ["asset_number", "label", "axle", "standing", "sort", "weighed_before", "side_difference_above"]
        for name, text in itertools.product(names, TEXTS):
            headers = {"authorization": f"Bearer {fleet.key}"}
            reply = send(fleet.app, "GET", path, b"", headers, query=f"{name}={text}")
            assert reply.status in (200, 400, 404), (path, name, text[:40], reply.body)


@pytest.mark.parametrize(("operation_id", "path"), LISTS, ids=[operation_id for operation_id, _ in LISTS])
def test_a_cursor_that_somebody_wrote_is_refused_or_a_place(
    examples: ExampleFleet, operation_id: str, path: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The digest in a cursor is no secret: who knows how it is made can write any place."""
    monkeypatch.setattr(Listing, "digest", lambda _, __: "known")
    id_ = examples.real[example_id(path.split("/")[3], COACH)] if "{id}" in path else ""
    filled = path.format(id=id_, wheel_end="drive.left")
    query: dict[str, Any] = {"limit": 1, **units_of(path)}
    real = examples.fleet.get(filled, **query).json["next_cursor"]
    assert examples.fleet.get(filled, cursor=real, **query).status == 200
    for place in PLACES:
        text = json.dumps(["known", place], separators=(",", ":"))
        cursor = base64.urlsafe_b64encode(text.encode()).rstrip(b"=").decode()
        reply = examples.fleet.get(filled, cursor=cursor, **query)
        assert reply.status in (200, 400), (place, reply.body)


@pytest.mark.parametrize(("operation_id", "path"), LISTS, ids=[operation_id for operation_id, _ in LISTS])
def test_a_cursor_that_no_list_gave_is_refused(examples: ExampleFleet, operation_id: str, path: str) -> None:
    id_ = examples.real[example_id(path.split("/")[3], COACH)] if "{id}" in path else ""
    filled = path.format(id=id_, wheel_end="drive.left")
    query: dict[str, Any] = {"limit": 1, **units_of(path)}
    real = examples.fleet.get(filled, **query).json["next_cursor"]
    for broken in (
        real[:-1],
        f"{real}A",
        real[::-1],
        real.lower(),
        "A",
        "e30",
        "W10",
        "bnVsbA",
        "WzEsMl0",
        real + real,
    ):
        assert examples.fleet.get(filled, cursor=broken, **query).status == 400, broken


def test_a_header_of_any_form_is_taken_or_refused(fleet: Fleet) -> None:
    made = posted(fleet, json.dumps(POLICY).encode())
    path = made.headers["location"]
    for text in HEADERS:
        reply = fleet.send("PUT", path, POLICY, {"if-match": text})
        assert reply.status in (200, 400, 412), (text, reply.body)
        assert (reply.status == 200) == (text == "*"), (text, reply.body)
        reply = posted(fleet, json.dumps(POLICY).encode(), idempotency_key=text)
        is_key = 1 <= len(text) <= 255 and text.isascii() and all("!" <= each <= "~" for each in text)
        assert reply.status == (201 if is_key else 400), (text, reply.body)
        for name in ("authorization", "content-type", "accept", "x-request-id"):
            assert fleet.send("POST", "policies", POLICY, {name: text}).status in (201, 401, 415), (name, text)


def test_ids_in_a_document_that_nothing_has_are_refused_where_they_stand(fleet: Fleet) -> None:
    reply = fleet.post("rigs", rig([MISSING_ID]))
    assert (reply.status, reply.json["errors"][0]["pointer"]) == (409, "/vehicles/0")
    for id_ in IDS:
        reply = fleet.post("rigs", rig([id_]))
        assert reply.status == (409 if id_ == MISSING_ID else 422), id_


@pytest.mark.parametrize(
    "number", ["0", "1", "1.0", "0.5", "5e-1", "1.51213370154141e-267", "5e-324", "0." + "0" * 29 + "1"]
)
def test_a_number_in_a_query_may_be_written_in_any_usual_way(fleet: Fleet, number: str) -> None:
    assert fleet.get("rigs", side_difference_above=number).status == 200


@pytest.mark.parametrize(
    "number", ["-0.1", "1.1", "1e400", "-1e400", "inf", "nan", "0x1", "1_0", " 0.5", ".5", "5.", "1,0", "1e"]
)
def test_a_number_in_a_query_that_is_none_or_beyond_its_bounds_is_refused(fleet: Fleet, number: str) -> None:
    reply = fleet.get("rigs", side_difference_above=number)
    assert (reply.status, reply.problem_type) == (400, "invalid-query")
    assert reply.json["errors"][0]["pointer"] == "/side_difference_above"
