"""Pages of lists: so many items, and where the next ones begin."""

from collections.abc import Callable, Mapping, Sequence
from typing import Annotated, Any, TypeVar
from urllib.parse import urlencode

import msgspec
from litestar import Response
from litestar.params import QueryParameter
from msgspec import Meta, Struct

from axlewright.api.fleet.access import FLEET
from axlewright.api.fleet.asking import FleetRequest, json_answer
from axlewright.api.fleet.written import Page
from axlewright.contract.fleet.documents import Id
from axlewright.fleet.cursors import Listing, cursor, place_of
from axlewright.fleet.rows import Held, Part
from axlewright.fleet.unit import Unit

Row = TypeVar("Row")

PageSize = Annotated[int, Meta(ge=1, le=100, extra_json_schema={"x-quantity": "count"})]
LIMIT = QueryParameter(description="Most of one page.")
CURSOR = QueryParameter(description="`next_cursor` of the page before.")
NEWEST_FIRST = QueryParameter(description="The other way round: what was made last comes first.")


class PageAsked(Struct, frozen=True):
    """Which page of a list in the order of its ids is asked for."""

    limit: int
    cursor: str | None
    newest_first: bool


def answered(
    request: FleetRequest,
    name: str,
    columns: Mapping[str, str | bool | None],
    asked: PageAsked,
    part_of: Callable[[Unit, Held, Part], Sequence[Any]],
    item: Callable[[Any], Any] | None = None,
) -> Response[Any]:
    """Return a page of what columns hold something, as a list's query names it."""
    listing = Listing(request.operator_id, name, {**columns, "newest_first": asked.newest_first})
    place = None if asked.cursor is None else place_of(listing, asked.cursor, Id)
    part = Part(place, asked.limit + 1, asked.newest_first)
    with request.reading() as unit:
        rows = part_of(unit, {column: _held(value) for column, value in columns.items() if value is not None}, part)
    items = rows if item is None else [item(row) for row in rows]
    return paged(f"{FLEET}/{name}", listing, asked.limit, items, lambda each: each.id)


def _held(value: str | bool) -> str | int:
    return int(value) if isinstance(value, bool) else value


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


def _link(path: str, listing: Listing, limit: int, next_cursor: str | None) -> dict[str, str]:
    if next_cursor is None:
        return {}
    query = {name: _text(value) for name, value in listing.query.items() if value is not None}
    return {"Link": f'<{path}?{urlencode({**query, "limit": limit, "cursor": next_cursor})}>; rel="next"'}


def _text(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)
