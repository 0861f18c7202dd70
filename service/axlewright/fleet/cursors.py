"""Cursors: where the next page of a list begins, for the same operator and the same query only."""

import base64
import hashlib
from collections.abc import Mapping
from typing import Any, TypeVar

import msgspec

from axlewright.fleet.refusals import BadCursor

T = TypeVar("T")


class Listing(msgspec.Struct, frozen=True):
    """What a list is of: whose, and by which query."""

    operator_id: int
    name: str
    query: Mapping[str, Any]

    def digest(self, place: Any) -> str:
        """Tells a place from those of other lists; it only gives one in the caller's own list, so it is no secret."""
        text = msgspec.json.encode([self.operator_id, self.name, sorted(self.query.items()), place])
        return hashlib.sha256(text).hexdigest()[:12]


def cursor(listing: Listing, place: Any) -> str:
    """Return the cursor of a place in a list."""
    text = msgspec.json.encode([listing.digest(place), place])
    return base64.urlsafe_b64encode(text).rstrip(b"=").decode()


def place_of(listing: Listing, cursor_text: str, type_: type[T]) -> T:
    """Return the place that a cursor names.

    Raises
    ------
    BadCursor
        If this list gave no such cursor for this query.
    """
    try:
        padded = cursor_text + "=" * (-len(cursor_text) % 4)
        text = base64.b64decode(padded, altchars=b"-_", validate=True)
        _, raw = msgspec.json.decode(text, type=tuple[str, msgspec.Raw])
        place = msgspec.json.decode(raw, type=type_)
    except (ValueError, msgspec.DecodeError):
        raise BadCursor from None
    if cursor(listing, place) != cursor_text:
        raise BadCursor
    return place
