"""An answer given outside of the router, and headers that any answer may get."""

from collections.abc import Mapping
from typing import Any

import msgspec

from axlewright.contract.problems import MEDIA_TYPE, Problem

ANSWER_HEADERS = "axlewright.answer_headers"
"""Under this name a request's scope holds the list of headers that its answer gets, whatever it is."""


async def send_problem(send: Any, document: Problem, more_headers: Mapping[str, str] | None = None) -> None:
    """Answer with a problem document."""
    body = msgspec.json.encode(document)
    headers = [(b"content-type", MEDIA_TYPE.encode()), (b"content-length", str(len(body)).encode())]
    headers += [(name.lower().encode(), value.encode()) for name, value in (more_headers or {}).items()]
    await send({"type": "http.response.start", "status": document.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
