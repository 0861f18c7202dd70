"""The id under which one request is found again: in its answer and in the log."""

import re
import secrets
from collections.abc import Mapping
from typing import Any

HEADER = b"x-request-id"
_KEY = "axlewright.request_id"
_FORM = re.compile(r"[A-Za-z0-9._-]{1,128}")


def chosen_request_id(headers: list[tuple[bytes, bytes]]) -> str:
    """Return the caller's id where exactly one of the right form was sent, else a new one."""
    sent = [value.decode("latin-1") for name, value in headers if name.lower() == HEADER]
    return sent[0] if len(sent) == 1 and _FORM.fullmatch(sent[0]) else secrets.token_hex(16)


def with_request_id(scope: Mapping[str, Any], request_id: str) -> dict[str, Any]:
    """Return a copy of the scope that carries the id."""
    return {**scope, _KEY: request_id}


def request_id_of(scope: Mapping[str, Any]) -> str | None:
    """Return the id that the edge gave the request."""
    return scope.get(_KEY)
