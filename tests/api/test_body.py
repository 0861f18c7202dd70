"""How request bodies are taken, and what is refused before any value is looked at."""

import json

import pytest

from tests.api.probe import BODY_LIMIT, post_json, probe_app, send

APP = probe_app()
VALID = b'{"load": 3240, "note": "right wheels"}'


def test_a_valid_body_is_computed_on() -> None:
    reply = post_json(APP, VALID)
    assert (reply.status, reply.json) == (200, {"load": 3240.0, "note": "right wheels"})


@pytest.mark.parametrize(
    "content_type",
    [
        "application/json",
        "application/json; charset=utf-8",
        "application/json;charset=UTF-8",
        'Application/JSON; charset="utf-8"',
    ],
)
def test_json_in_utf_8_is_taken(content_type: str) -> None:
    assert send(APP, "POST", "/v1/probe", VALID, {"Content-Type": content_type}).status == 200


@pytest.mark.parametrize(
    "content_type",
    [
        None,
        "",
        "text/plain",
        "application/x-msgpack",
        "application/jsonx",
        "application/problem+json",
        "application/json; charset=latin-1",
        "application/json; charset=utf-16",
        "application/json; x=y",
        "application/json, text/plain",
        "multipart/form-data; boundary=x",
        "application/x-www-form-urlencoded",
        "application/json\x00",
        "é",
    ],
)
def test_another_content_type_is_refused(content_type: str | None) -> None:
    headers = {} if content_type is None else {"Content-Type": content_type}
    reply = send(APP, "POST", "/v1/probe", VALID, headers)
    assert (reply.status, reply.problem_type) == (415, "unsupported-media-type")


def test_two_content_types_are_refused() -> None:
    twice = [("Content-Type", "application/json"), ("Content-Type", "application/json")]
    assert send(APP, "POST", "/v1/probe", VALID, twice).status == 415


@pytest.mark.parametrize("coding", ["gzip", "br", "deflate", "identity, gzip", "GZIP", "x"])
def test_a_content_coding_is_refused_and_the_accepted_one_named(coding: str) -> None:
    reply = post_json(APP, VALID, content_encoding=coding)
    assert (reply.status, reply.problem_type) == (415, "unsupported-media-type")
    assert reply.headers["accept-encoding"] == "identity"


def test_the_coding_identity_is_no_coding() -> None:
    assert post_json(APP, VALID, content_encoding="identity").status == 200


@pytest.mark.parametrize("body", [b"", b" ", b"\r\n\t "])
def test_an_empty_body_is_no_json(body: bytes) -> None:
    reply = post_json(APP, body)
    assert (reply.status, reply.problem_type) == (400, "not-json")
    assert reply.json["detail"] == "The body is empty; a JSON document is needed."


def padded(length: int) -> bytes:
    return VALID + b" " * (length - len(VALID))


def test_a_body_of_exactly_the_limit_is_read() -> None:
    assert post_json(APP, padded(BODY_LIMIT)).status == 200


@pytest.mark.parametrize("chunk", [1_000_000, 1024, 7])
def test_one_byte_more_than_the_limit_is_too_large(chunk: int) -> None:
    body = padded(BODY_LIMIT + 1)
    reply = post_json(APP, [body[start : start + chunk] for start in range(0, len(body), chunk)])
    assert (reply.status, reply.problem_type) == (413, "too-large")
    assert str(BODY_LIMIT) in reply.json["detail"]


def test_an_announced_length_over_the_limit_is_refused_unread() -> None:
    # A body that never comes would be 408 if it were waited for.
    reply = send(
        APP,
        "POST",
        "/v1/probe",
        [b""],
        {"Content-Type": "application/json", "Content-Length": str(BODY_LIMIT + 1)},
        ending="http.disconnect",
    )
    assert reply.problem_type == "too-large"


def test_a_body_in_many_chunks_is_put_together() -> None:
    assert post_json(APP, [bytes([byte]) for byte in VALID]).json["load"] == 3240.0


def test_a_body_that_does_not_arrive_in_time_is_refused() -> None:
    reply = send(APP, "POST", "/v1/probe", [b'{"load":'], {"Content-Type": "application/json"}, ending="stall")
    assert (reply.status, reply.problem_type) == (408, "too-slow")
    assert "0.2 seconds" in reply.json["detail"]


def test_a_connection_that_breaks_off_is_no_defect(caplog: pytest.LogCaptureFixture) -> None:
    headers = {"Content-Type": "application/json"}
    reply = send(APP, "POST", "/v1/probe", [b'{"load":', b""], headers, ending="http.disconnect")
    assert reply.status == 400
    assert not caplog.records


def test_a_wrong_type_in_the_headers_is_told_before_the_body_is_read() -> None:
    reply = send(APP, "POST", "/v1/probe", [b"x" * (BODY_LIMIT + 1)], {"Content-Type": "text/plain"})
    assert reply.status == 415


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        (b'{"load": "3240"}', "/load", "wrong_type"),
        (b'{"load": true}', "/load", "wrong_type"),
        (b'{"load": null}', "/load", "wrong_type"),
        (b'{"load": [1]}', "/load", "wrong_type"),
        (b'{"load": 1e400}', "/load", "out_of_range"),
        (b'{"load": ' + b"9" * 4000 + b"}", "/load", "out_of_range"),
        (b'{"load": -1}', "/load", "below_minimum"),
        (b'{"load": 1, "load": 2}', "/load", "repeated_name"),
        (b'{"load": 1, "name": "steer\\n"}', "/name", "wrong_form"),
        (b'{"load": 1, "note": "\\ud800"}', "/note", "not_unicode"),
        (b'{"load": 1, "axles": ["1"]}', "/axles/0", "wrong_type"),
        (b'{"load": 1, "axels": []}', "/axels", "unknown_name"),
        (b"{}", "/load", "missing"),
        (b"[1]", "", "wrong_type"),
        (b"null", "", "wrong_type"),
        (b"1", "", "wrong_type"),
    ],
)
def test_json_of_another_shape_is_refused_at_its_place(body: bytes, pointer: str, code: str) -> None:
    reply = post_json(APP, body)
    assert (reply.status, reply.problem_type) == (422, "invalid")
    assert [(error["pointer"], error["code"]) for error in reply.json["errors"]] == [(pointer, code)]
    assert reply.json["errors"][0].keys() == {"code", "pointer", "message", "given", "allowed"}


def test_invalid_utf_8_is_refused_with_its_offset() -> None:
    reply = post_json(APP, b'{"load": 1, "note": "\xff"}')
    assert (reply.status, reply.problem_type) == (400, "not-json")
    assert reply.json["detail"] == "The body is not UTF-8 text (at byte 21)."


def test_only_contradictions_are_told_as_such() -> None:
    reply = post_json(APP, b'{"load": 1, "name": "both"}')
    assert (reply.status, reply.problem_type) == (422, "inconsistent")
    assert [error["code"] for error in reply.json["errors"]] == ["not_yet_computed", "inconsistent_name"]
    assert reply.json["detail"] == "There are 2 faults in the document."


def test_a_document_that_only_asks_too_much_is_not_yet_computed() -> None:
    assert post_json(APP, b'{"load": 1, "name": "later"}').problem_type == "not-yet-computed"


def test_many_faults_are_listed_up_to_a_hundred() -> None:
    body = json.dumps({"load": 1, **{f"x{number}": 0 for number in range(120)}}).encode()
    problem = post_json(APP, body).json
    assert (len(problem["errors"]), problem["omitted"]) == (100, 20)
    assert problem["detail"] == "There are 120 faults in the document."


def test_an_answer_to_a_post_is_never_stored() -> None:
    assert post_json(APP, VALID).headers["cache-control"] == "no-store"
