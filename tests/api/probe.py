"""The service's edge around operations made for the tests, and a client that sends raw ASGI events."""

import asyncio
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any

import msgspec
from litestar import Litestar, get, post
from litestar.params import FromPath, FromQuery, JSONBody
from msgspec import Meta

from axlewright.app import ROUTE_HANDLERS, assembled
from axlewright.contract.faults import CrossFieldFaults, Fault
from axlewright.settings import Settings

ORIGIN = "https://app.example.org"
BODY_LIMIT = 4096
SETTINGS = Settings(body_limit_bytes=BODY_LIMIT, body_time_limit_s=0.2, cors_origins=(ORIGIN,))


class ProbeIn(msgspec.Struct, forbid_unknown_fields=True):
    """What is sent."""

    load: Annotated[float, Meta(ge=0, le=1e6, extra_json_schema={"x-quantity": "mass"})]
    name: Annotated[str, Meta(pattern=r"^[a-z]{1,20}(?![\s\S])")] = "steer"
    note: Annotated[str, Meta(max_length=100)] | None = None
    axles: Annotated[list[int], Meta(max_length=3)] = []


class ProbeOut(msgspec.Struct):
    """What is answered."""

    load: float
    note: str | None


@post(
    "/v1/probe",
    operation_id="probe",
    tags=["service"],
    summary="Probe",
    status_code=200,
    sync_to_thread=False,
)
def probe(data: JSONBody[ProbeIn]) -> ProbeOut:
    """Answer the load, or refuse the whole by what the name says."""
    faults = {
        "later": [Fault("not_yet_computed", "/name", "later"), Fault("not_yet_computed", "/load", "later")],
        "both": [Fault("not_yet_computed", "/name", "later"), Fault("inconsistent_name", "/name", "both")],
    }
    if data.name in faults:
        raise CrossFieldFaults(faults[data.name])
    return ProbeOut(data.load, data.note)


@get("/v1/probe", operation_id="probes", tags=["service"], summary="Probes", sync_to_thread=False)
def probes(limit: FromQuery[int] = 1) -> ProbeOut:
    """Answer what the query asks for."""
    return ProbeOut(limit, None)


@get("/v1/probe/{key:str}", operation_id="one_probe", tags=["service"], summary="One", sync_to_thread=False)
def one_probe(key: FromPath[str]) -> ProbeOut:
    """Answer the key."""
    return ProbeOut(0, key)


@get("/v1/failing", operation_id="failing", tags=["service"], summary="Fails", sync_to_thread=False)
def failing() -> ProbeOut:
    """Fail as a defect would."""
    raise ZeroDivisionError("the probe divides by zero")


@get("/v1/unwritable", operation_id="unwritable", tags=["service"], summary="Bad", sync_to_thread=False)
def unwritable() -> ProbeOut:
    """Answer what cannot be written as JSON."""
    return ProbeOut(0, "\ud800")


def probe_app(settings: Settings = SETTINGS) -> Litestar:
    """Return the service with the operations of the tests beside its own."""
    return assembled(settings, [*ROUTE_HANDLERS, probe, probes, one_probe, failing, unwritable])


@dataclass(frozen=True)
class Reply:
    """An answer as it left the application."""

    status: int
    header_pairs: list[tuple[str, str]]
    body: bytes

    @property
    def headers(self) -> dict[str, str]:
        """The headers; a name that came twice is a defect."""
        names = [name for name, _ in self.header_pairs]
        assert len(set(names)) == len(names), names
        return dict(self.header_pairs)

    @property
    def json(self) -> Any:
        """The body as JSON values."""
        return json.loads(self.body)

    @property
    def problem_type(self) -> str:
        """The type of a problem document, after the checks that hold for each of them."""
        assert self.headers["content-type"] == "application/problem+json"
        document = self.json
        assert document["status"] == self.status
        assert document.keys() == {"type", "title", "status", "detail", "errors", "omitted"}
        return str(document["type"]).removeprefix("/problems/")


def send(
    app: Any,
    method: str,
    path: str,
    body: bytes | Sequence[bytes] = b"",
    headers: dict[str, str] | Sequence[tuple[str, str]] = (),
    query: str = "",
    ending: str = "http.request",
) -> Reply:
    """Return the answer to one request; `ending` is its last event, or `stall` for none at all."""
    chunks = [body] if isinstance(body, bytes) else list(body)
    events: list[Any] = [{"type": "http.request", "body": c, "more_body": True} for c in chunks[:-1]]
    events.append({"type": ending, "body": chunks[-1], "more_body": False})
    if ending == "stall":
        events[-1] = {"type": "http.request", "body": chunks[-1], "more_body": True}
    return asyncio.run(_exchange(app, _scope(method, path, headers, query), events))


def post_json(app: Any, body: bytes | Sequence[bytes], **headers: str) -> Reply:
    """Return the answer to a body that is sent as JSON to the probe."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return send(app, "POST", "/v1/probe", body, {"content-type": "application/json", **named})


def _scope(method: str, path: str, headers: Any, query: str) -> dict[str, Any]:
    pairs = headers.items() if isinstance(headers, dict) else headers
    return {
        "type": "http",
        "asgi": {"version": "3.0", "spec_version": "2.3"},
        "http_version": "1.1",
        "method": method,
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": query.encode(),
        "root_path": "",
        "headers": [(name.lower().encode(), value.encode("latin-1")) for name, value in pairs],
        "client": ("127.0.0.1", 5),
        "server": ("127.0.0.1", 80),
        "state": {},
    }


async def _exchange(app: Any, scope: dict[str, Any], events: list[Any]) -> Reply:
    sent: list[Any] = []

    async def receive() -> Any:
        if not events:
            await asyncio.sleep(30)
        return events.pop(0)

    async def keep(message: Any) -> None:
        sent.append(message)

    before = dict(scope)
    await app(scope, receive, keep)
    assert {name: scope[name] for name in ("method", "path")} == {n: before[n] for n in ("method", "path")}
    assert [message["type"] for message in sent[:1]] == ["http.response.start"]
    pairs = [(name.decode(), value.decode("latin-1")) for name, value in sent[0]["headers"]]
    return Reply(sent[0]["status"], pairs, b"".join(message.get("body", b"") for message in sent[1:]))
