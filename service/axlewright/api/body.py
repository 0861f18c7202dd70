"""The request whose body is read within limits and decoded strictly."""

import asyncio
import re
from typing import Any

from litestar import Request
from litestar.exceptions import ClientException, HTTPException

from axlewright.contract.decoding import decode
from axlewright.contract.faults import NotJson

_JSON = re.compile(r"application/json(?:[ \t]*;[ \t]*charset=(?:utf-8|\"utf-8\"))?[ \t]*;?", re.IGNORECASE)
BODY_TIME_LIMIT = "body_time_limit_s"


class TooSlow(HTTPException):
    """The body did not arrive in time."""

    status_code = 408


class TooLarge(HTTPException):
    """The body is longer than the limit."""

    status_code = 413


class UnsupportedMediaType(HTTPException):
    """The body is not plain JSON by its own headers."""

    status_code = 415


class StrictRequest(Request[Any, Any, Any]):
    """Litestar asks for `body()` and then `json()` of every handler that takes `data`."""

    async def body(self) -> bytes:
        """Return the whole body of a JSON request, or refuse it by its headers, size or slowness."""
        if isinstance(self._body, bytes):
            return self._body
        self._refuse_other_media()
        limit_s = self.app.state[BODY_TIME_LIMIT]
        try:
            async with asyncio.timeout(limit_s):
                self._body = self._connection_state.body = await self._whole_body()
        except TimeoutError:
            raise TooSlow(f"The body must arrive within {limit_s:g} seconds.") from None
        if not self._body:
            raise NotJson("The body is empty; a JSON document is needed")
        return self._body

    async def json(self) -> Any:
        """Return the body as the struct that the handler's `data` declares."""
        field = self.route_handler.parsed_data_field
        if field is None:
            raise TypeError("only a handler that takes data has a body")
        return decode(await self.body(), field.annotation)

    def _refuse_other_media(self) -> None:
        types = self._sent(b"content-type")
        if len(types) != 1 or not _JSON.fullmatch(types[0].strip()):
            given = ", ".join(repr(text[:80]) for text in types) or "none"
            raise UnsupportedMediaType(f"Content-Type must be application/json in UTF-8; it is {given}.")
        codings = ",".join(self._sent(b"content-encoding"))
        if any(coding.strip().lower() not in ("", "identity") for coding in codings.split(",")):
            raise UnsupportedMediaType(
                f"The body must come without a content coding; Content-Encoding is {codings[:80]!r}.",
                headers={"Accept-Encoding": "identity"},
            )

    def _sent(self, name: bytes) -> list[str]:
        """Return the values of a header, as they were sent."""
        return [value.decode("latin-1") for sent, value in self.scope["headers"] if sent.lower() == name]

    async def _whole_body(self) -> bytes:
        limit = self.route_handler.resolve_request_max_body_size()
        if limit is not None and any(each.isdigit() and int(each) > limit for each in self._sent(b"content-length")):
            raise _too_large(limit)
        body = bytearray()
        while True:
            message = await self.receive()
            if message["type"] != "http.request":
                raise ClientException("The connection closed before the whole body had come.")
            body += message.get("body", b"")
            if limit is not None and len(body) > limit:
                raise _too_large(limit)
            if not message.get("more_body", False):
                return bytes(body)


def _too_large(limit: int) -> TooLarge:
    return TooLarge(f"The body may have at most {limit} bytes.")
