"""Pages of lists: so many items, and where the next ones begin."""

from collections.abc import Callable, Sequence
from typing import Annotated, Any, TypeVar
from urllib.parse import urlencode

import msgspec
from litestar import Response
from msgspec import Meta

from axlewright.api.fleet.asking import json_answer
from axlewright.api.fleet.written import Page
from axlewright.fleet.cursors import Listing, cursor

Row = TypeVar("Row")

PageSize = Annotated[int, Meta(ge=1, le=100, extra_json_schema={"x-quantity": "count"})]


def asked_for(listing: Listing) -> dict[str, Any]:
    """Return what columns must hold, where a list's query names the columns."""
    asked = {name: value for name, value in listing.query.items() if value is not None}
    return {name: int(value) if isinstance(value, bool) else value for name, value in asked.items()}


def paged(
    path: str,
    listing: Listing,
    limit: int,
    rows: Sequence[Row],
    place: Callable[[Row], Any],
    page: Callable[[Sequence[Row], str | None], Any] = Page,
) -> Response[Any]:
    """Return a page of rows, of which one more than the page holds was asked for."""
    shown = rows[:limit]
    next_cursor = cursor(listing, place(shown[-1])) if len(rows) > limit else None
    body = msgspec.json.encode(page(shown, next_cursor))
    return json_answer(body, headers=_link(path, listing, limit, next_cursor))


def pages_of(item: Callable[[Row], Any]) -> Callable[[Sequence[Row], str | None], Page]:
    """Return what makes a page of what each row is shown as."""
    return lambda rows, next_cursor: Page([item(row) for row in rows], next_cursor)


def _link(path: str, listing: Listing, limit: int, next_cursor: str | None) -> dict[str, str]:
    if next_cursor is None:
        return {}
    query = {name: _text(value) for name, value in listing.query.items() if value is not None}
    return {"Link": f'<{path}?{urlencode({**query, "limit": limit, "cursor": next_cursor})}>; rel="next"'}


def _text(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)
