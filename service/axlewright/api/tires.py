"""The tires room: what is marked on a sidewall, and the published load/inflation tables."""

from typing import Annotated, Literal, TypeAlias
from urllib.parse import urlencode

from litestar import Response, get, post
from litestar.params import JSONBody, PathParameter, QueryParameter
from msgspec import Meta

from axlewright.api.errors import InvalidQuery, NoSuchResource
from axlewright.contract.faults import CrossFieldFaults
from axlewright.contract.quantities import Text
from axlewright.contract.rig_request import LoadRange
from axlewright.contract.tire_reading import ReadTireAnswer, ReadTireRequest, read_tire_answer
from axlewright.contract.tire_tables import (
    GetTireTableAnswer,
    ListTireTablesAnswer,
    NoSuchTableError,
    TableId,
    get_tire_table_answer,
    list_tire_tables_answer,
)

PATH = "/v1/tires/tables"

Fitment: TypeAlias = Literal["single", "dual"]
PageSize: TypeAlias = Annotated[int, Meta(ge=1, le=100, extra_json_schema={"x-quantity": "count"})]


@get(
    PATH,
    operation_id="list_tire_tables",
    tags=["tires"],
    summary="List the built-in load/inflation tables",
    sync_to_thread=False,
)
def list_tire_tables(
    designation: Annotated[Text | None, QueryParameter(description="A size as marked, in any usual spelling.")] = None,
    load_range: Annotated[LoadRange | None, QueryParameter(description="Load range letter.")] = None,
    fitment: Annotated[Fitment | None, QueryParameter(description="Single or dual loads; both, if left out.")] = None,
    limit: Annotated[PageSize, QueryParameter(description="Most tables of one page.")] = 20,
    cursor: Annotated[
        TableId | None, QueryParameter(description="Goes on after this table: `next_cursor` of the page before.")
    ] = None,
) -> Response[ListTireTablesAnswer]:
    """Tables of published rows by size, load range and fitment, a page at a time, ordered by id."""
    try:
        answer = list_tire_tables_answer(designation, load_range, fitment, limit, cursor)
    except CrossFieldFaults as refusal:
        raise InvalidQuery(str(refusal), refusal.faults) from None
    filters = {"designation": designation, "load_range": load_range, "fitment": fitment, "limit": limit}
    query = urlencode({name: value for name, value in filters.items() if value is not None})
    return Response(answer, headers=_next_page(query, answer.next_cursor))


@get(
    PATH + "/{table_id:str}",
    operation_id="get_tire_table",
    tags=["tires"],
    summary="Read one built-in load/inflation table",
    sync_to_thread=False,
)
def get_tire_table(
    table_id: Annotated[TableId, PathParameter(description="Id of the table.")],
    units: Annotated[Literal["us", "metric"], QueryParameter(description="Units of the rows. There is no default.")],
) -> GetTireTableAnswer:
    """The rows of one table, each with the publication that it comes from."""
    try:
        return get_tire_table_answer(table_id, units)
    except NoSuchTableError:
        raise NoSuchResource(f"There is no table of this id; {PATH} lists those that exist.") from None


@post(
    "/v1/tires/read",
    operation_id="read_tire",
    tags=["tires"],
    summary="Read what is marked on a tire",
    status_code=200,
    sync_to_thread=False,
)
def read_tire(data: JSONBody[ReadTireRequest]) -> ReadTireAnswer:
    """Size, load index, speed symbol and load range; week and plant; age; and whether the marks agree.

    What a marking leaves open is told, never guessed. What cannot be read is refused with the place. Stores nothing.
    """
    return read_tire_answer(data)


def _next_page(query: str, cursor: str | None) -> dict[str, str]:
    return {} if cursor is None else {"Link": f'<{PATH}?{query}&cursor={cursor}>; rel="next"'}
