"""What holds at the edge for every request, byte by byte."""

import asyncio
import json
import logging
from typing import Any

import pytest

from axlewright.api.cross_origin import CrossOrigin
from axlewright.api.edge import Edge
from axlewright.api.log import JsonLines
from axlewright.app import assembled, create_app
from axlewright.settings import Settings
from tests.api.probe import ORIGIN, SETTINGS, post_json, probe, probe_app, send

APP = probe_app()


@pytest.mark.parametrize(("path", "answer"), [("/healthz", {"alive": True}), ("/readyz", {"ready": True})])
def test_the_service_says_that_it_lives_and_is_ready(path: str, answer: Any) -> None:
    reply = send(create_app(Settings(stateless=True)), "GET", path)
    assert (reply.status, reply.json) == (200, answer)
    assert reply.headers["content-type"] == "application/json"


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/healthz", 200),
        ("POST", "/v1/probe", 415),
        ("GET", "/nowhere", 404),
        ("DELETE", "/healthz", 405),
        ("GET", "/v1/failing", 500),
        ("OPTIONS", "/healthz", 204),
        ("GET", "/healthz/", 404),
    ],
)
class TestEveryAnswer:
    def test_carries_the_request_id_that_was_sent(self, method: str, path: str, status: int) -> None:
        reply = send(APP, method, path, headers={"X-Request-ID": "Ticket-7_a.b"})
        assert (reply.status, reply.headers["x-request-id"]) == (status, "Ticket-7_a.b")

    def test_carries_the_security_headers(self, method: str, path: str, status: int) -> None:
        reply = send(APP, method, path)
        headers = reply.headers
        assert reply.status == status
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"
        assert headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"
        assert headers["referrer-policy"] == "no-referrer"

    def test_may_be_read_by_a_page_of_an_allowed_origin(self, method: str, path: str, status: int) -> None:
        reply = send(APP, method, path, headers={"Origin": ORIGIN})
        headers = reply.headers
        assert reply.status == status
        assert headers["access-control-allow-origin"] == ORIGIN
        assert headers["access-control-expose-headers"] == "ETag, Link, Location, Retry-After, X-Request-ID"
        assert headers["vary"] == "Origin"

    def test_may_not_be_read_by_a_page_of_another_origin(self, method: str, path: str, status: int) -> None:
        reply = send(APP, method, path, headers={"Origin": "https://evil.example.org"})
        headers = reply.headers
        assert reply.status == status
        assert not any(name.startswith("access-control") for name in headers)
        assert headers["vary"] == "Origin"

    def test_leaves_one_log_line(self, method: str, path: str, status: int, caplog: pytest.LogCaptureFixture) -> None:
        caplog.set_level(logging.INFO, "axlewright")
        reply = send(APP, method, path, headers={"X-Request-ID": "one"})
        lines = [record.fields for record in caplog.records if record.name == "axlewright.requests"]  # type: ignore[attr-defined]
        assert len(lines) == 1
        assert 0 <= lines[0].pop("milliseconds") < 10_000
        assert lines[0] == {
            "request_id": "one",
            "method": method,
            "path": path,
            "status": status,
            "bytes": len(reply.body),
        }


@pytest.mark.parametrize("bad", ["", "a b", "é", "x" * 129, "a\tb", "a/b", 'a"b', "a,b"])
def test_a_request_id_of_another_form_is_replaced(bad: str) -> None:
    given = send(APP, "GET", "/healthz", headers={"X-Request-ID": bad}).headers["x-request-id"]
    assert given != bad
    assert len(given) == 32
    assert given.isalnum()


def test_two_request_ids_in_one_request_are_replaced_by_a_new_one() -> None:
    reply = send(APP, "GET", "/healthz", headers=[("X-Request-ID", "a"), ("X-Request-ID", "b")])
    assert len(reply.headers["x-request-id"]) == 32


def test_new_request_ids_differ() -> None:
    ids = {send(APP, "GET", "/healthz").headers["x-request-id"] for _ in range(20)}
    assert len(ids) == 20


@pytest.mark.parametrize("path", ["/healthz", "/v1/openapi.json", "/v1/probe"])
def test_head_answers_as_get_does_but_without_a_body(path: str) -> None:
    got, head = send(APP, "GET", path), send(APP, "HEAD", path)
    assert (head.status, head.body) == (got.status, b"")
    volatile = {"x-request-id"}
    assert {n: v for n, v in head.headers.items() if n not in volatile} == {
        n: v for n, v in got.headers.items() if n not in volatile
    }
    assert head.headers["content-length"] == str(len(got.body))


@pytest.mark.parametrize(
    ("path", "allow"),
    [
        ("/healthz", "GET, HEAD, OPTIONS"),
        ("/v1/probe", "GET, HEAD, OPTIONS, POST"),
        ("/v1/probe/some", "GET, HEAD, OPTIONS"),
    ],
)
def test_options_and_a_refused_method_name_all_methods_of_the_path(path: str, allow: str) -> None:
    options, refused = send(APP, "OPTIONS", path), send(APP, "DELETE", path)
    assert (options.status, options.headers["allow"], options.body) == (204, allow, b"")
    assert "content-type" not in options.headers
    assert (refused.status, refused.headers["allow"]) == (405, allow)
    assert refused.problem_type == "method-not-allowed"


def test_options_of_a_path_that_does_not_exist_is_not_found() -> None:
    assert send(APP, "OPTIONS", "/nowhere").problem_type == "not-found"


@pytest.mark.parametrize("method", ["TRACE", "CONNECT", "get", "BREW", "PUT", "PATCH", "M-SEARCH"])
def test_a_method_that_the_path_has_not_is_refused(method: str) -> None:
    reply = send(APP, method, "/healthz")
    assert (reply.status, reply.problem_type) == (405, "method-not-allowed")


def test_head_of_a_path_without_get_is_refused_without_a_body() -> None:
    reply = send(assembled(SETTINGS, [probe]), "HEAD", "/v1/probe")
    assert (reply.status, reply.headers["allow"], reply.body) == (405, "OPTIONS, POST", b"")


@pytest.mark.parametrize(
    "path",
    [
        "/healthz/",
        "//healthz",
        "/v1//probe",
        "/v1/probe//",
        "/",
        "/v1",
        "/HEALTHZ",
        "/healthz;a",
        "/v1/./probe",
    ],
)
def test_an_operation_has_one_path_only(path: str) -> None:
    reply = send(APP, "GET", path)
    assert (reply.status, reply.problem_type) == (404, "not-found")


@pytest.mark.parametrize("query", ["x=1", "x", "limit=1&x=2", "limit=1&limit=2", "%ff=1", "&&", "LIMIT=1"])
def test_a_query_parameter_that_is_unknown_or_repeated_is_refused(query: str) -> None:
    reply = send(APP, "GET", "/v1/probe", query=query)
    assert (reply.status, reply.problem_type) == (400, "invalid-query")


def test_a_declared_query_parameter_is_read() -> None:
    assert send(APP, "GET", "/v1/probe", query="limit=7").json["load"] == 7


def test_a_query_value_of_another_type_is_refused() -> None:
    reply = send(APP, "GET", "/v1/probe", query="limit=seven")
    assert (reply.status, reply.problem_type) == (400, "invalid-query")
    [fault] = reply.json["errors"]
    assert (fault["code"], fault["pointer"], fault["given"]) == ("wrong_type", "/limit", '"seven"')
    assert fault["allowed"] == "a number"


@pytest.mark.parametrize("path", ["/healthz", "/readyz", "/v1/openapi.json"])
def test_operations_without_parameters_take_no_query(path: str) -> None:
    assert send(APP, "GET", path, query="debug=true").problem_type == "invalid-query"


def test_a_defect_answers_a_problem_and_logs_its_cause(caplog: pytest.LogCaptureFixture) -> None:
    reply = send(APP, "GET", "/v1/failing", headers={"X-Request-ID": "find-me"})
    assert (reply.status, reply.problem_type) == (500, "internal")
    assert b"zero" not in reply.body
    errors = [json.loads(JsonLines().format(record)) for record in caplog.records]
    assert [(line["request_id"], line["level"]) for line in errors] == [("find-me", "error")]
    assert "ZeroDivisionError: the probe divides by zero" in errors[0]["cause"]


def test_an_answer_that_cannot_be_written_is_a_logged_defect(caplog: pytest.LogCaptureFixture) -> None:
    reply = send(APP, "GET", "/v1/unwritable")
    assert (reply.status, reply.problem_type) == (500, "internal")
    assert len(caplog.records) == 1


def test_a_defect_of_the_framework_itself_answers_a_problem(caplog: pytest.LogCaptureFixture) -> None:
    async def broken(scope: Any, receive: Any, send: Any) -> None:
        raise RuntimeError("outside of the application")

    reply = send(Edge(broken, CrossOrigin(()), 1.0), "GET", "/healthz", headers={"X-Request-ID": "outer"})
    assert (reply.status, reply.problem_type, reply.headers["x-request-id"]) == (500, "internal", "outer")
    assert "outside of the application" in JsonLines().format(caplog.records[0])


def test_a_defect_in_the_midst_of_an_answer_is_logged_and_breaks_it_off(
    caplog: pytest.LogCaptureFixture,
) -> None:
    async def breaks_off(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        raise RuntimeError("half way")

    with pytest.raises(RuntimeError, match="half way"):
        send(Edge(breaks_off, CrossOrigin(()), 1.0), "GET", "/healthz")
    assert "half way" in JsonLines().format(caplog.records[0])


def _refusal_after(limit_s: float, chunks: int, chunk: bytes, **headers: str) -> tuple[int, int]:
    """Return the status of a refusal made before any of the body was asked for, and the chunks left unread."""
    left = chunks

    async def receive() -> Any:
        nonlocal left
        if not left:
            await asyncio.sleep(5)
        left -= 1
        return {"type": "http.request", "body": chunk, "more_body": True}

    async def refuses(scope: Any, receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 415, "headers": []})
        await send({"type": "http.response.body", "body": b""})

    sent: list[Any] = []

    async def keep(message: Any) -> None:
        sent.append(message)

    pairs = [(name.encode(), value.encode()) for name, value in headers.items()]
    scope = {"type": "http", "method": "POST", "path": "/v1/probe", "headers": pairs}
    asyncio.run(Edge(refuses, CrossOrigin(()), limit_s)(scope, receive, keep))
    return sent[0]["status"], left


def test_the_rest_of_a_refused_body_is_dropped_before_the_answer_within_size_and_time() -> None:
    mebibyte = b" " * 1_048_576
    assert _refusal_after(5.0, 40, mebibyte, **{"content-length": "41943040"}) == (415, 24)
    assert _refusal_after(0.05, 3, mebibyte, **{"transfer-encoding": "chunked"}) == (415, 0)


def test_a_body_that_waits_to_be_asked_for_is_not_asked_for_after_a_refusal() -> None:
    assert _refusal_after(5.0, 3, b"{", **{"content-length": "3", "expect": "100-continue"}) == (415, 3)


def test_a_preflight_of_an_allowed_origin_passes() -> None:
    asked = {"Origin": ORIGIN, "Access-Control-Request-Method": "POST"}
    reply = send(APP, "OPTIONS", "/v1/probe", headers=asked)
    assert (reply.status, reply.body) == (204, b"")
    assert reply.headers["access-control-allow-origin"] == ORIGIN
    assert "POST" in reply.headers["access-control-allow-methods"].split(", ")
    assert "Content-Type" in reply.headers["access-control-allow-headers"].split(", ")
    assert reply.headers["x-request-id"]


def test_a_preflight_of_another_origin_is_told_nothing() -> None:
    asked = {"Origin": "https://evil.example.org", "Access-Control-Request-Method": "POST"}
    headers = send(APP, "OPTIONS", "/v1/probe", headers=asked).headers
    assert not any(name.startswith("access-control") for name in headers)


def test_a_refused_document_may_be_read_across_origins() -> None:
    reply = post_json(APP, b'{"load": "1"}', origin=ORIGIN)
    assert (reply.status, reply.headers["access-control-allow-origin"]) == (422, ORIGIN)


def test_without_origins_in_the_settings_nothing_is_said_of_them() -> None:
    app = create_app(Settings())
    asked = {"Origin": ORIGIN, "Access-Control-Request-Method": "GET"}
    for reply in (
        send(app, "GET", "/healthz", headers=asked),
        send(app, "OPTIONS", "/healthz", headers=asked),
    ):
        assert not any(name.startswith(("access-control", "vary")) for name in reply.headers)


def test_a_star_lets_every_origin_read() -> None:
    headers = send(probe_app(Settings(cors_origins=("*",))), "GET", "/healthz", headers={"Origin": ORIGIN}).headers
    assert headers["access-control-allow-origin"] == "*"


def test_nothing_a_caller_sends_begins_a_log_line_of_its_own(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.INFO, "axlewright")
    send(APP, "GET\n{}", '/x\r\n\u2028{"level": "error"}' + "y" * 5000, headers={"X-Request-ID": "a\nb"})
    (record,) = caplog.records
    text = JsonLines().format(record)
    assert text.isascii()
    assert len(text.splitlines()) == 1
    assert len(text) < 1000
    assert json.loads(text)["path"].startswith("/x\r\n\u2028{")


def test_a_host_header_that_is_none_is_a_bad_request() -> None:
    reply = send(APP, "GET", "/healthz", headers={"Host": "a b/c"})
    assert (reply.status, reply.problem_type) == (400, "bad-request")
