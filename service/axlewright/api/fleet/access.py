"""Who may: every request to the fleet store needs a live key, counted against its rate limit."""

import re
from typing import Any

from litestar import Request
from litestar.types import ASGIApp

from axlewright.api.errors import CHALLENGE, NO_KEY, Forbidden, storage_problem
from axlewright.api.fleet.threads import in_thread
from axlewright.api.request_id import request_id_of
from axlewright.api.responding import ANSWER_HEADERS, send_problem
from axlewright.contract.problems import problem
from axlewright.fleet.errors import StoreUnavailable
from axlewright.fleet.keys import Key
from axlewright.fleet.memory import Memory
from axlewright.fleet.rate_limit import WINDOW_S, Taken

FLEET = "/v1/fleet"
SCOPE = "scope"
"""Under this name a handler's `opt` says which scope its key needs."""
_KEY = "axlewright.key"
OPEN = ("/healthz", "/readyz", "/v1/openapi.json")
"""What never asks for a key."""
_BEARER = re.compile(rb"bearer +([\x21-\x7e]+)", re.IGNORECASE)


class Access:
    """Lets requests with a live key through, within its rate; with a store and a setting all of them need one."""

    def __init__(self, app: ASGIApp, memory: Memory, *, guards_everything: bool) -> None:
        """Stand before the application's handler."""
        self.app = app
        self.memory = memory
        self.guards_everything = guards_everything
        self._admitted_in_thread = in_thread(self._admitted)

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer, or pass a request on."""
        if scope["type"] != "http" or not self._guards(scope["path"]):
            await self.app(scope, receive, send)
            return
        text = _sent_key(scope["headers"])
        at_once = self._admitted_at_once(text) if _is_of_fleet(scope["path"]) else None
        try:
            key, taken = at_once or await self._admitted_in_thread(text, only_reads=scope["method"] == "GET")
        except StoreUnavailable as unavailable:
            document, headers = storage_problem(unavailable, request_id_of(scope))
            await send_problem(send, document, headers)
            return
        scope[ANSWER_HEADERS] += [] if taken is None or not taken.limit else _rate_headers(taken)
        if key is None:
            await send_problem(send, problem("unauthorized", NO_KEY), CHALLENGE)
        elif taken is not None and not taken.allowed:
            headers = {"Retry-After": str(max(1, taken.resets_in_s))}
            await send_problem(send, problem("too-many-requests", _TOO_MANY.format(taken.limit, WINDOW_S)), headers)
        else:
            scope[_KEY] = key
            await self.app(scope, receive, send)

    def _guards(self, path: str) -> bool:
        return _is_of_fleet(path) or (self.guards_everything and path not in OPEN)

    def _admitted_at_once(self, text: str | None) -> tuple[Key, Taken] | None:
        """Return a key that was found a moment ago, if nothing has to be waited for.

        The transaction that does what is asked sees whether it still lives.
        """
        key = None if text is None else self.memory.found_keys.of(text)
        taken = None if key is None else self.memory.limiter.take_held(key.id)
        return None if key is None or taken is None else (key, taken)

    def _admitted(self, text: str | None, *, only_reads: bool) -> tuple[Key | None, Taken | None]:
        key = None if text is None else self.memory.key_of(text)
        if key is None:
            return None, None
        try:
            return key, self.memory.limiter.take(key.id)
        except StoreUnavailable:
            if only_reads:
                return key, None  # a store that takes no changes still tells what it holds
            raise


def refuse_other_scopes(request: Request[Any, Any, Any]) -> None:
    """Refuse a request whose key does not have the scope of its operation."""
    needed: str | None = request.route_handler.opt.get(SCOPE)
    if needed is not None and needed not in key_of(request).scopes:
        raise Forbidden(f"This operation needs a key of the scope `{needed}`.")


def key_of(request: Request[Any, Any, Any]) -> Key:
    """Return the key with which a request was let through."""
    key: Key = request.scope[_KEY]  # type: ignore[literal-required]
    return key


def _is_of_fleet(path: str) -> bool:
    return path == FLEET or path.startswith(f"{FLEET}/")


_TOO_MANY = "The key has made its {} requests of these {} seconds."


def _sent_key(headers: list[tuple[bytes, bytes]]) -> str | None:
    sent = [value for name, value in headers if name.lower() == b"authorization"]
    match = _BEARER.fullmatch(sent[0].strip()) if len(sent) == 1 else None
    return None if match is None else match[1].decode()


def _rate_headers(taken: Taken) -> list[tuple[bytes, bytes]]:
    """Return the fields of the IETF draft on rate limit headers, which may still change."""
    return [
        (b"ratelimit-policy", f'"key";q={taken.limit};w={WINDOW_S}'.encode()),
        (b"ratelimit", f'"key";r={taken.remaining};t={taken.resets_in_s}'.encode()),
    ]
