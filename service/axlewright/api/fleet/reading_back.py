"""Reading the fleet back: the list of rigs, one rig whole, histories, the audit trail."""

from typing import Annotated, Any, Literal

import msgspec
from litestar import Response, get
from litestar.handlers import HTTPRouteHandler
from litestar.params import PathParameter, QueryParameter
from msgspec import Meta

from axlewright.api.errors import InvalidQuery
from axlewright.api.fleet.access import FLEET, SCOPE
from axlewright.api.fleet.asking import FleetRequest, json_answer
from axlewright.api.fleet.paging import CURSOR, LIMIT, NEWEST_FIRST, PageAsked, PageSize, answered, paged
from axlewright.api.fleet.threads import in_thread
from axlewright.api.fleet.written import assessment, kept, recorded, weigh
from axlewright.contract.faults import Fault
from axlewright.contract.fleet.answers import ChangePage, Cursor, ListedRigPage, RigPage, StandingName
from axlewright.contract.fleet.documents import Id, Label, WheelEndOfVehicle
from axlewright.contract.fleet.history import HistoryFact, HistoryPage, history_page
from axlewright.contract.quantities import AxleName, Share, Text
from axlewright.fleet import audit, rig_page
from axlewright.fleet.cursors import Listing, place_of
from axlewright.fleet.kept import KeptDocuments
from axlewright.fleet.listing import ANY, STANDINGS, UNKNOWN_SHARE, Sort, Wanted, listed_rigs
from axlewright.fleet.stored import RIGS, VEHICLES
from axlewright.fleet.timeline import Place, history, vehicle_subject, wheel_end_subject

Day = Annotated[str, Meta(pattern=r"^[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])(?![\s\S])")]
UnitsName = Annotated[Literal["us", "metric"], QueryParameter(description="Units of the figures. There is no default.")]
_Sorted = Annotated[str, Meta(pattern=r"^[^\u0000]{0,80}(?![\s\S])")]
_PLACES: dict[Sort, Any] = {
    "asset_number": tuple[_Sorted, Id],
    "weighed_on": tuple[_Sorted, Id],
    "standing": tuple[Annotated[int, Meta(ge=0, lt=len(STANDINGS))], Id],
    "side_difference_share": tuple[Annotated[float, Meta(ge=UNKNOWN_SHARE, le=1)], Id],
}
_ENTRY_PLACE: Any = tuple[Day, Id, Annotated[str, Meta(pattern=r"^[a-z_]{1,40}(?![\s\S])")]]
"""What a cursor may name; what has another form was not given here, and a database might not take it."""
_ID = PathParameter(name="id", description="Its id.")


@get(
    f"{FLEET}/rigs",
    operation_id="list_rigs",
    tags=["fleet"],
    summary="List rigs",
    opt={SCOPE: "read"},
)
@in_thread
def list_rigs(
    request: FleetRequest,
    standing: Annotated[StandingName | None, QueryParameter(description="Those that stand so.")] = None,
    label: Annotated[Label | None, QueryParameter(description="Those with a vehicle of this label.")] = None,
    axle: Annotated[
        AxleName | None,
        QueryParameter(description="Standing and side difference of this axle, in place of the rig's worst."),
    ] = None,
    asset_number: Annotated[
        Text | None, QueryParameter(description="Those whose first vehicle has this asset number.")
    ] = None,
    weighed_before: Annotated[
        Day | None,
        QueryParameter(
            description="Those weighed last before a day and, but for an `axle`, those never weighed; sorted by "
            "`weighed_on`."
        ),
    ] = None,
    side_difference_above: Annotated[
        Share | None,
        QueryParameter(description="Those with a larger side difference; sorted by `side_difference_share`."),
    ] = None,
    sort: Annotated[
        Sort | None,
        QueryParameter(
            description="`asset_number`; `weighed_on`, the oldest first; `standing`, the worst first; "
            "`side_difference_share`, the largest first. `asset_number` if left out, or what a filter asks for."
        ),
    ] = None,
    archived: Annotated[bool, QueryParameter(description="The archived ones, in place of the others.")] = False,
    limit: Annotated[PageSize, LIMIT] = 20,
    cursor: Annotated[Cursor | None, CURSOR] = None,
) -> Response[ListedRigPage]:
    """How each rig stood when it was weighed last, filtered and sorted; a page costs the same in any fleet."""
    ranges = {"weighed_before": weighed_before, "side_difference_above": side_difference_above}
    order = _order(sort, [name for name, value in ranges.items() if value is not None], is_one=asset_number is not None)
    query = {
        "standing": standing,
        "label": label,
        "axle": axle,
        "asset_number": asset_number,
        **ranges,
        "sort": sort,
        "archived": archived,
    }
    listing = Listing(request.operator_id, "rigs", query)
    wanted = Wanted(
        sort=order,
        label=label or ANY,
        axle=axle or ANY,
        archived=archived,
        standing=standing,
        asset_number=asset_number,
        weighed_before=weighed_before,
        side_difference_above=side_difference_above,
    )
    after = None if cursor is None else place_of(listing, cursor, _PLACES[order])
    with request.reading() as unit:
        rows = listed_rigs(unit, wanted, after, limit + 1)
    return paged(f"{FLEET}/rigs", listing, limit, rows, lambda row: row.place(order))


@get(
    f"{FLEET}/rigs/{{id:str}}/page",
    operation_id="get_rig_page",
    tags=["fleet"],
    summary="Read everything of one rig",
    opt={SCOPE: "read"},
)
@in_thread
def get_rig_page(request: FleetRequest, id_: Annotated[Id, _ID]) -> Response[RigPage]:
    """Rig and vehicles as they are kept, the last weigh with its assessment, tires, loading, checks and upkeep."""
    with request.reading() as unit:
        page = rig_page.of(unit, id_)
    document = {
        "rig": kept(page.rig),
        "vehicles": [kept(row) for row in page.vehicles],
        "last_session": None if page.last_session is None else weigh(page.last_session),
        "last_assessment": None if page.last_assessment is None else assessment(page.last_assessment),
        "changed_since": page.changed_since,
        "tires": [kept(row) for row in page.tires],
        "layouts": [kept(row) for row in page.layouts],
        "pressure_checks": [recorded(row) for row in page.pressure_checks],
        "upkeep_events": [recorded(row) for row in page.upkeep_events],
        "odometer_readings": [recorded(row) for row in page.odometer_readings],
    }
    return json_answer(msgspec.json.encode(document))


@get(
    f"{FLEET}/rigs/{{id:str}}/history",
    operation_id="get_rig_history",
    tags=["fleet"],
    summary="Read the history of a rig",
    opt={SCOPE: "read"},
)
@in_thread
def get_rig_history(
    request: FleetRequest,
    id_: Annotated[Id, _ID],
    units: UnitsName,
    limit: Annotated[PageSize, LIMIT] = 20,
    cursor: Annotated[Cursor | None, CURSOR] = None,
) -> Response[HistoryPage]:
    """Weighs with the load on all wheels, and assessments with their standing, the newest first."""
    return _history(request, f"{FLEET}/rigs/{id_}/history", units, limit, cursor, of=(RIGS, id_), subject=id_)


@get(
    f"{FLEET}/vehicles/{{id:str}}/history",
    operation_id="get_vehicle_history",
    tags=["fleet"],
    summary="Read the history of a vehicle",
    opt={SCOPE: "read"},
)
@in_thread
def get_vehicle_history(
    request: FleetRequest,
    id_: Annotated[Id, _ID],
    units: UnitsName,
    limit: Annotated[PageSize, LIMIT] = 20,
    cursor: Annotated[Cursor | None, CURSOR] = None,
) -> Response[HistoryPage]:
    """Weighs in whatever rig, upkeep, pressure checks and odometer readings, the newest first."""
    path, subject = f"{FLEET}/vehicles/{id_}/history", vehicle_subject(id_)
    return _history(request, path, units, limit, cursor, of=(VEHICLES, id_), subject=subject)


@get(
    f"{FLEET}/vehicles/{{id:str}}/wheel_ends/{{wheel_end:str}}/history",
    operation_id="get_wheel_end_history",
    tags=["fleet"],
    summary="Read the history of a wheel end",
    opt={SCOPE: "read"},
)
@in_thread
def get_wheel_end_history(
    request: FleetRequest,
    id_: Annotated[Id, _ID],
    wheel_end: Annotated[
        WheelEndOfVehicle, PathParameter(description="The wheel end, `axle.left`, without the vehicle's name.")
    ],
    units: UnitsName,
    limit: Annotated[PageSize, LIMIT] = 20,
    cursor: Annotated[Cursor | None, CURSOR] = None,
) -> Response[HistoryPage]:
    """Loads with their doubt, pressures, tires and upkeep of one wheel end, the newest first."""
    path = f"{FLEET}/vehicles/{id_}/wheel_ends/{wheel_end}/history"
    return _history(request, path, units, limit, cursor, of=(VEHICLES, id_), subject=wheel_end_subject(id_, wheel_end))


@get(
    f"{FLEET}/changes",
    operation_id="list_changes",
    tags=["fleet"],
    summary="Read the audit trail",
    opt={SCOPE: "manage"},
)
@in_thread
def list_changes(
    request: FleetRequest,
    resource_id: Annotated[Id | None, QueryParameter(description="The changes of one thing.")] = None,
    newest_first: Annotated[bool, NEWEST_FIRST] = False,
    limit: Annotated[PageSize, LIMIT] = 20,
    cursor: Annotated[Cursor | None, CURSOR] = None,
) -> Response[ChangePage]:
    """Who changed what when, in that order, with every revision of what changes."""
    asked = PageAsked(limit, cursor, newest_first)
    return answered(request, "changes", {"resource_id": resource_id}, asked, audit.changes)


def _history(
    request: FleetRequest,
    path: str,
    units: Literal["us", "metric"],
    limit: int,
    cursor: str | None,
    *,
    of: tuple[KeptDocuments, str],
    subject: str,
) -> Response[Any]:
    documents, id_ = of
    listing = Listing(request.operator_id, path, {"units": units})
    before: Place | None = None if cursor is None else place_of(listing, cursor, _ENTRY_PLACE)
    with request.reading() as unit:
        facts = history(unit, subject, before, limit + 1)
        if not facts:  # which what is not there has none of
            documents.found(unit, id_)
    return paged(path, listing, limit, facts, _place, lambda shown, after: history_page(shown, units, after))


def _place(fact: HistoryFact) -> Place:
    return fact.day, fact.order_id, fact.kind


def _order(sort: Sort | None, ranges: list[str], *, is_one: bool) -> Sort:
    """Return the order of a list; a filter by a range is refused in another one than its own."""
    orders_of: dict[str, Sort] = {"weighed_before": "weighed_on", "side_difference_above": "side_difference_share"}
    orders = dict.fromkeys(orders_of[name] for name in ranges)
    if is_one:
        orders["asset_number"] = None
    if len(orders) > 1 or (orders and sort not in (None, *orders)):
        message = f"One filter by a range, and its own order: {', '.join(orders)}."
        raise InvalidQuery(message, [Fault("inconsistent_choice", "/sort", message, None, " or ".join(orders))])
    return next(iter(orders), sort or "asset_number")


READING_HANDLERS: tuple[HTTPRouteHandler, ...] = (
    list_rigs,
    get_rig_page,
    get_rig_history,
    get_vehicle_history,
    get_wheel_end_history,
    list_changes,
)
