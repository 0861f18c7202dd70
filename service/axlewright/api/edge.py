"""The outermost layer: what holds for every answer, whatever happens inside."""

import asyncio
import logging
import time
from dataclasses import dataclass, field
from typing import Any

from litestar.types import ASGIApp

from axlewright.api.cross_origin import CrossOrigin, Headers
from axlewright.api.errors import internal_problem
from axlewright.api.request_id import HEADER, chosen_request_id, with_request_id
from axlewright.api.responding import ANSWER_HEADERS, send_problem
from axlewright.contract.problems import problem

logger = logging.getLogger("axlewright.requests")

# A method that no operation has: the router's refusal of it names those the path has.
_NO_METHOD = "ALLOWED?"
_LONGEST_PATH_LOGGED = 500
# What is read and dropped of a body that was refused before its end.
_MOST_BYTES_DROPPED = 16_777_216
_DEFAULT_HEADERS: Headers = [
    (b"cache-control", b"no-store"),
    (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'"),
    (b"referrer-policy", b"no-referrer"),
    (b"x-content-type-options", b"nosniff"),
]


@dataclass
class _Incoming:
    """One body on its way in, and whether its end was seen."""

    receive: Any
    is_expected: bool
    has_ended: bool = False

    async def __call__(self) -> Any:
        message = await self.receive()
        self.has_ended = not message.get("more_body", False)
        return message

    async def drop_rest(self, time_limit_s: float) -> None:
        """Read on, within limits: a sender whose connection closes while it sends may never see the answer."""
        bytes_dropped = 0
        try:
            async with asyncio.timeout(time_limit_s):
                while self.is_expected and not self.has_ended and bytes_dropped < _MOST_BYTES_DROPPED:
                    bytes_dropped += len((await self()).get("body", b""))
        except TimeoutError:
            return


@dataclass
class _Answer:
    """One answer on its way out: what is added to it, and what is noted for the log."""

    send: Any
    incoming: _Incoming
    body_time_limit_s: float
    extra_headers: Headers
    is_head: bool = False
    is_options: bool = False
    status: int | None = None
    bytes_sent: int = 0
    drops_body: bool = field(default=False)

    async def __call__(self, message: Any) -> None:
        if message["type"] == "http.response.start":
            if message["status"] != 408:
                await self.incoming.drop_rest(self.body_time_limit_s)
            message = self._start(message)
        elif message["type"] == "http.response.body":
            if self.drops_body:
                message = {**message, "body": b""}
            self.bytes_sent += len(message.get("body", b""))
        await self.send(message)

    def _start(self, message: Any) -> Any:
        headers = [(name.lower(), value) for name, value in message.get("headers", [])]
        status = message["status"]
        if status == 405:
            headers = [(n, _with_head(v) if n == b"allow" else v) for n, v in headers]
            if self.is_options:
                status = 204
                headers = [(n, v) for n, v in headers if n == b"allow"]
        self.status = status
        self.drops_body = self.is_head or status == 204
        present = {name for name, _ in headers}
        headers += [(n, v) for n, v in _DEFAULT_HEADERS if n not in present]
        return {**message, "status": status, "headers": headers + self.extra_headers}


class Edge:
    """Request ids, the log line, HEAD, OPTIONS, CORS, one path an operation, an answer to every defect."""

    def __init__(self, app: ASGIApp, cross_origin: CrossOrigin, body_time_limit_s: float) -> None:
        """Wrap the application's handler."""
        self.app = app
        self.cross_origin = cross_origin
        self.body_time_limit_s = body_time_limit_s

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer one request; what is no HTTP request is passed on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        started = time.perf_counter()
        method, headers = scope["method"], list(scope["headers"])
        request_id = chosen_request_id(headers)
        is_preflight = self.cross_origin.is_preflight(method, headers)
        extra = [(HEADER, request_id.encode()), *self.cross_origin.headers(headers, is_preflight)]
        incoming = _Incoming(receive, is_expected=_sends_at_once(headers))
        answer = _Answer(
            send, incoming, self.body_time_limit_s, extra, is_head=method == "HEAD", is_options=method == "OPTIONS"
        )
        try:
            inside = {**with_request_id(scope, request_id), ANSWER_HEADERS: extra}
            await self._answered(inside, incoming, answer, is_preflight)
        except Exception:
            logger.exception("request failed", extra={"fields": {"request_id": request_id}})
            if answer.status is not None:
                raise
            await send_problem(answer, internal_problem())
        finally:
            _log(scope, request_id, answer, time.perf_counter() - started)

    async def _answered(self, scope: dict[str, Any], receive: Any, answer: _Answer, is_preflight: bool) -> None:
        if is_preflight:
            await answer({"type": "http.response.start", "status": 204, "headers": []})
            await answer({"type": "http.response.body", "body": b""})
        elif _is_alias(scope):
            await send_problem(answer, problem("not-found", "An operation has one path, written one way."))
        else:
            method = {"HEAD": "GET", "OPTIONS": _NO_METHOD}.get(scope["method"], scope["method"])
            await self.app({**scope, "method": method}, receive, answer)  # type: ignore[arg-type]


def _is_alias(scope: dict[str, Any]) -> bool:
    """Tell a path that a lenient router would take for another one."""
    path = scope["path"]
    return (
        not path.startswith("/")
        or "//" in path
        or (path != "/" and path.endswith("/"))
        or b"%2f" in (scope.get("raw_path") or b"").lower()
    )


def _sends_at_once(headers: Headers) -> bool:
    """Tell a request that has a body and does not wait to be asked for it."""
    names = {name.lower() for name, _ in headers}
    return not names.isdisjoint((b"content-length", b"transfer-encoding")) and b"expect" not in names


def _with_head(allow: bytes) -> bytes:
    methods = {method.strip() for method in allow.split(b",")}
    return b", ".join(sorted(methods | {b"HEAD"} if b"GET" in methods else methods))


def _log(scope: Any, request_id: str, answer: _Answer, seconds: float) -> None:
    fields = {
        "request_id": request_id,
        "method": scope["method"][:32],
        "path": scope["path"][:_LONGEST_PATH_LOGGED],
        "status": answer.status,
        "milliseconds": round(seconds * 1000, 3),
        "bytes": answer.bytes_sent,
    }
    logger.info("request", extra={"fields": fields})
