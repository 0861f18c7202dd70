"""The same edge over a real connection, and the command that serves it."""

import gzip
import json
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator

import pytest

from tests.api.probe import BODY_LIMIT, ORIGIN


def _free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


def _talk(port: int, request: bytes, finish: bool = False) -> tuple[int, dict[str, str], bytes]:
    """Return the answer to the bytes of a request, which should ask for the connection to be closed."""
    with socket.create_connection(("127.0.0.1", port), timeout=15) as connection:
        connection.sendall(request)
        if finish:
            connection.shutdown(socket.SHUT_WR)
        answer = b""
        try:
            while chunk := connection.recv(65_536):
                answer += chunk
        except ConnectionResetError:
            assert answer
    head, _, body = answer.partition(b"\r\n\r\n")
    status_line, *lines = head.decode("latin-1").split("\r\n")
    headers = dict(line.lower().split(": ", 1) for line in lines)
    return int(status_line.split()[1]), headers, body


def _request(method: str, path: str, body: bytes = b"", **headers: str) -> bytes:
    lines = [f"{method} {path} HTTP/1.1", "Host: localhost", "Connection: close"]
    lines += [f"{name.replace('_', '-')}: {value}" for name, value in headers.items()]
    lines += [f"Content-Length: {len(body)}"] if body else []
    return "\r\n".join(lines).encode() + b"\r\n\r\n" + body


def _wait_for(port: int, process: subprocess.Popen[str]) -> None:
    deadline = time.monotonic() + 30
    while time.monotonic() < deadline and process.poll() is None:
        try:
            if _talk(port, _request("GET", "/readyz"))[0] == 200:
                return
        except OSError:
            time.sleep(0.05)
    process.kill()
    pytest.fail(f"no server on port {port}: {process.communicate()}")


def _stop(process: subprocess.Popen[str]) -> tuple[int, str, str]:
    process.send_signal(signal.SIGTERM)
    out, err = process.communicate(timeout=30)
    return process.returncode, out, err


def _started(arguments: list[str], **environment: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "AXLEWRIGHT_STATELESS": "1", **environment},
    )


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    free = _free_port()
    serve = ["granian", "--interface", "asgi", "--http", "1", "--no-ws", "--port", str(free), "--factory"]
    process = _started([*serve, "tests.api.probe:probe_app"])
    _wait_for(free, process)
    yield free
    _stop(process)


JSON = {"Content_Type": "application/json"}


@pytest.mark.parametrize(
    ("request_bytes", "status"),
    [
        (_request("POST", "/v1/probe", b'{"load": 1}', **JSON), 200),
        (_request("POST", "/v1/probe", b'{"load": "1"}', **JSON), 422),
        (_request("POST", "/v1/probe", b'{"note": "\xff"}', **JSON), 400),
        (_request("POST", "/v1/probe", b"[" * 2000 + b"]" * 2000, **JSON), 422),
        (_request("POST", "/v1/probe", b"", **JSON), 400),
        (_request("POST", "/v1/probe", b'{"load": 1}'), 415),
        (_request("POST", "/v1/probe", gzip.compress(b'{"load": 1}'), Content_Encoding="gzip", **JSON), 415),
        (_request("POST", "/v1/probe", b" " * (BODY_LIMIT + 1), **JSON), 413),
        (_request("POST", "/v1/probe", b" " * 3_000_000, **JSON), 413),
        (_request("GET", "/v1/failing"), 500),
        (_request("GET", "/healthz/"), 404),
        (_request("GET", "//healthz"), 404),
        (_request("GET", "/v1%2Fprobe"), 404),
        (_request("GET", "/v1/probe%2f"), 404),
        (_request("GET", "/v1/probe/a%2Fb"), 404),
        (_request("GET", "/healthz?x=1"), 400),
        (_request("TRACE", "/healthz"), 405),
        (_request("BREW", "/healthz"), 405),
    ],
)
def test_every_answer_over_the_wire_is_whole(port: int, request_bytes: bytes, status: int) -> None:
    answered, headers, body = _talk(port, request_bytes)
    assert answered == status
    assert len(headers["x-request-id"]) == 32
    assert int(headers["content-length"]) == len(body)
    if status >= 400:
        assert headers["content-type"] == "application/problem+json"
        assert json.loads(body)["status"] == status


@pytest.mark.parametrize("size", [10, BODY_LIMIT, BODY_LIMIT + 1, 1_000_000])
def test_chunked_bodies_are_held_to_the_limit(port: int, size: int) -> None:
    body = b'{"load":1}' + b" " * (size - 10)
    chunks = b"".join(
        b"%x\r\n%s\r\n" % (len(part), part) for part in (body[at : at + 999] for at in range(0, size, 999))
    )
    head = _request("POST", "/v1/probe", Transfer_Encoding="chunked", **JSON)
    status, _, _ = _talk(port, head + chunks + b"0\r\n\r\n")
    assert status == (200 if size <= BODY_LIMIT else 413)


def test_a_body_that_never_comes_is_given_up(port: int) -> None:
    head = _request("POST", "/v1/probe", Content_Length="50", **JSON)
    started = time.monotonic()
    status, _, _ = _talk(port, head + b'{"load":')
    assert status == 408
    assert 0.2 <= time.monotonic() - started < 5


def test_head_over_the_wire_has_the_length_and_no_body(port: int) -> None:
    got, head = _talk(port, _request("GET", "/healthz")), _talk(port, _request("HEAD", "/healthz"))
    assert (head[0], head[2]) == (200, b"")
    assert head[1]["content-length"] == got[1]["content-length"] == str(len(got[2]))


def test_options_and_preflight_over_the_wire(port: int) -> None:
    status, headers, body = _talk(port, _request("OPTIONS", "/v1/probe"))
    assert (status, headers["allow"], body) == (204, "get, head, options, post", b"")
    asked = _request("OPTIONS", "/v1/probe", Origin=ORIGIN, Access_Control_Request_Method="POST")
    status, headers, _ = _talk(port, asked)
    assert (status, headers["access-control-allow-origin"]) == (204, ORIGIN)


def test_a_client_that_hangs_up_does_no_harm(port: int) -> None:
    head = _request("POST", "/v1/probe", Content_Length="50", **JSON)
    with socket.create_connection(("127.0.0.1", port), timeout=5) as connection:
        connection.sendall(head + b'{"load":')
    assert _talk(port, _request("GET", "/healthz"))[0] == 200


def test_serve_takes_a_free_port_logs_lines_of_json_and_stops_cleanly() -> None:
    process = _started(["axlewright.cli", "serve", "--port", "0"], AXLEWRIGHT_LOG_LEVEL="info")
    assert process.stdout is not None
    announced = process.stdout.readline()
    assert announced.startswith("axlewright serves http://127.0.0.1:")
    port = int(announced.rsplit(":", 1)[1])
    _wait_for(port, process)
    status, headers, _ = _talk(port, _request("GET", "/v1/openapi.json", X_Request_ID="wire-1"))
    assert (status, headers["x-request-id"]) == (200, "wire-1")
    refused = subprocess.run(
        [sys.executable, "-m", "axlewright.cli", "serve", "--port", str(port)],
        capture_output=True,
        text=True,
        timeout=30,
    )
    assert (refused.returncode, refused.stdout) == (2, "")
    assert f"cannot listen on 127.0.0.1 port {port}" in refused.stderr
    code, out, err = _stop(process)
    assert (code, out) == (0, "")
    lines = [json.loads(line) for line in err.splitlines()]
    (line,) = [line for line in lines if line.get("request_id") == "wire-1"]
    assert (line["method"], line["path"], line["status"]) == ("GET", "/v1/openapi.json", 200)
    assert line.keys() >= {"time", "level", "milliseconds", "bytes"}
