"""What the service is compared with: applications that decode the request as it does, and compute nothing.

Each answers with one of the ready-made answers, in turn and beginning with the first, which its framework encodes
anew for every request. They have no edge, no log line, no request id and no limit on the body; what the framework
does of itself they do.
"""

import os
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path
from typing import Any

import msgspec
from fastapi import FastAPI
from litestar import Litestar, post
from litestar.params import JSONBody

from axlewright.contract.assessment import AssessAnswer
from axlewright.contract.request import AssessRequest
from tests.benchmarks.models import model_of

ANSWERS = "BENCHMARK_ANSWERS"
"""The environment variable that names the file of ready-made answers."""


def litestar_app() -> Litestar:
    """Return an empty handler of Litestar's own plain way, with the service's structs."""
    answers = _ready_answers()

    @post("/v1/assess", status_code=200, sync_to_thread=False)
    def assess(data: JSONBody[AssessRequest]) -> AssessAnswer:
        return next(answers)

    return Litestar([assess], logging_config=None, openapi_config=None)


def fastapi_app() -> FastAPI:
    """Return an empty handler of FastAPI's own plain way, with pydantic models."""
    request_model: Any = model_of(AssessRequest)
    answer_model: Any = model_of(AssessAnswer)
    answers = cycle([answer_model.model_validate_json(msgspec.json.encode(each)) for each in _answers()])
    app = FastAPI(openapi_url=None)

    @app.post("/v1/assess")
    async def assess(data: request_model) -> answer_model:
        return next(answers)

    return app


def raw_app() -> Any:
    """Return a bare ASGI callable with msgspec alone: the least that a Python handler can cost here."""
    answers = _ready_answers()
    decoder, encoder = msgspec.json.Decoder(AssessRequest), msgspec.json.Encoder()

    async def app(scope: Any, receive: Any, send: Any) -> None:
        if scope["type"] != "http":
            return
        status, body = 200, b""
        while (message := await receive()).get("more_body", False):
            body += message["body"]
        try:
            decoder.decode(body + message["body"])
            answer = encoder.encode(next(answers))
        except msgspec.DecodeError:
            status, answer = 400, b"{}"
        headers = [(b"content-type", b"application/json"), (b"content-length", b"%d" % len(answer))]
        await send({"type": "http.response.start", "status": status, "headers": headers})
        await send({"type": "http.response.body", "body": answer})

    return app


PEERS = {
    "Litestar, empty handler": litestar_app,
    "FastAPI, empty handler": fastapi_app,
    "ASGI callable": raw_app,
}
"""What each peer is called in the table, and what builds it."""


def _answers() -> list[AssessAnswer]:
    return msgspec.json.decode(Path(os.environ[ANSWERS]).read_bytes(), type=list[AssessAnswer])


def _ready_answers() -> Iterator[AssessAnswer]:
    return cycle(_answers())
