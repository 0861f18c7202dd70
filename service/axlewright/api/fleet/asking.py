"""What a handler of the fleet store knows of its request."""

import re
from collections.abc import Mapping
from contextlib import AbstractContextManager
from typing import Any

import msgspec
from litestar import Response

from axlewright.api.body import StrictRequest
from axlewright.api.errors import InvalidHeader, PreconditionRequired
from axlewright.api.fleet.access import key_of
from axlewright.contract.fleet.headers import ENTITY_TAGS, IDEMPOTENCY_KEY, IF_MATCH, MOST_TAGS
from axlewright.fleet.idempotency import GivenAnswer, request_hash
from axlewright.fleet.memory import Memory
from axlewright.fleet.performing import Asked, Plan, perform
from axlewright.fleet.unit import Unit, reading

MEMORY = "memory"
"""Under this name the application's state holds the store."""
ASKS_STORE = "asks_store"
"""Under this name a handler's `opt` says that it asks the store, without a key."""
CONDITIONAL = "conditional"
"""Under this name a handler's `opt` says that its request needs If-Match."""
IDEMPOTENT = "idempotent"
"""Under this name a handler's `opt` says that its request may carry an Idempotency-Key."""
TAGGED = "tagged"
"""Under this name a handler's `opt` says that its answer carries an ETag."""
_REPLAYED = "Idempotency-Replayed"
_ENTITY_TAGS = re.compile(ENTITY_TAGS.removesuffix("$"))


class FleetRequest(StrictRequest):
    """A request to the fleet store."""

    @property
    def memory(self) -> Memory:
        """The store."""
        memory: Memory = self.app.state[MEMORY]
        return memory

    @property
    def operator_id(self) -> int:
        """Whose rows it may see."""
        return key_of(self).operator_id

    def reading(self) -> AbstractContextManager[Unit]:
        """Return a transaction that only reads."""
        return reading(self.memory.engines, key_of(self))

    @property
    def text(self) -> str:
        """The body as it was sent, which was found to be JSON of the handler's document."""
        assert isinstance(self._body, bytes)
        return self._body.decode()

    @property
    def entity_tags(self) -> str:
        """The entity tags of If-Match; without any the request is refused."""
        lines = self.headers.getall(IF_MATCH, [])
        if not lines:
            raise PreconditionRequired("A change needs If-Match with the ETag of the version that it was made from.")
        tags = ", ".join(lines).strip()
        if len(tags) > MOST_TAGS or not _ENTITY_TAGS.fullmatch(tags):
            raise InvalidHeader(f"{IF_MATCH} must be * or entity tags in their quotes, with commas between them.")
        return tags

    def performed(self, plan: Plan) -> Response[Any]:
        """Return the answer to a request that changes something."""
        lines = self.headers.getall(IDEMPOTENCY_KEY, []) if self.method == "POST" else []
        key = " ".join(lines) if lines else None  # several are refused for the space
        if key is not None and not (1 <= len(key) <= 255 and key.isascii() and key.isprintable() and " " not in key):
            raise InvalidHeader(f"{IDEMPOTENCY_KEY} must be 1 to 255 visible ASCII characters.")
        asked = Asked(
            key=key_of(self),
            idempotency_key=key,
            request=request_hash(self.method, self.url.path, self.text.encode()),
        )
        answer, is_replayed = perform(self.memory.engines, self.memory.claims, asked, plan)
        headers = {**answer.headers, **({_REPLAYED: "true"} if is_replayed else {})}
        return json_answer(answer.body, answer.status, headers)


def json_answer(body: bytes, status: int = 200, headers: Mapping[str, str] | None = None) -> Response[Any]:
    """Return an answer whose JSON is written already."""
    return Response(body, status_code=status, media_type="application/json", headers=headers)


def made(document: Any, location: str, more: Mapping[str, str] | None = None) -> GivenAnswer:
    """Return the answer to what made something."""
    headers = {"Location": location, **(more or {})}
    return GivenAnswer(status=201, headers=headers, body=msgspec.json.encode(document))
