"""The documents that change: made, listed, read, and changed by who saw the present version."""

from typing import Annotated, Any

import msgspec
from litestar import Response, get, post, put
from litestar.handlers import HTTPRouteHandler
from litestar.params import JSONBody, PathParameter, QueryParameter

from axlewright.api.fleet.access import FLEET, SCOPE
from axlewright.api.fleet.asking import CONDITIONAL, IDEMPOTENT, TAGGED, FleetRequest, json_answer, made
from axlewright.api.fleet.paging import CURSOR, LIMIT, NEWEST_FIRST, PageAsked, PageSize, answered
from axlewright.api.fleet.threads import in_thread
from axlewright.api.fleet.written import kept
from axlewright.contract.fleet import answers, documents
from axlewright.contract.fleet.answers import Cursor
from axlewright.contract.fleet.documents import Id
from axlewright.contract.quantities import Text
from axlewright.fleet.idempotency import GivenAnswer
from axlewright.fleet.kept import KeptRow
from axlewright.fleet.kinds import KEPT, change, keep
from axlewright.fleet.stored import VEHICLES
from axlewright.fleet.unit import WritingUnit


def _tag(row: KeptRow) -> dict[str, str]:
    return {"ETag": row.entity_tag}


def _makes(name: str, one: str, said: str, document: Any, answer: Any, scope: str) -> HTTPRouteHandler:
    kind = KEPT[name]

    @post(
        f"{FLEET}/{name}",
        operation_id=f"keep_{one}",
        tags=["fleet"],
        summary=f"Keep {said}",
        description=f"Keeps {said} as it was sent, under an id of the service's. With an `Idempotency-Key` only once.",
        opt={SCOPE: scope, IDEMPOTENT: True, TAGGED: True},
    )
    @in_thread
    def handler(request: FleetRequest, data: JSONBody[document]) -> Response[answer]:
        kind.check(data)

        def deed(unit: WritingUnit) -> GivenAnswer:
            row = keep(unit, kind, request.text, data)
            return made(kept(row), f"{FLEET}/{name}/{row.id}", _tag(row))

        return request.performed(lambda: deed)

    return handler


def _gets(name: str, one: str, said: str, answer: Any) -> HTTPRouteHandler:
    kind = KEPT[name]

    @get(
        f"{FLEET}/{name}/{{id:str}}",
        operation_id=f"get_{one}",
        tags=["fleet"],
        summary=f"Read {said}",
        description=f"Answers {said} as it was sent last; its `ETag` is what a change names in `If-Match`.",
        opt={SCOPE: "read", TAGGED: True},
    )
    @in_thread
    def handler(
        request: FleetRequest, id_: Annotated[Id, PathParameter(name="id", description="Its id.")]
    ) -> Response[answer]:
        with request.reading() as unit:
            row = kind.documents.found(unit, id_)
        return json_answer(msgspec.json.encode(kept(row)), headers=_tag(row))

    return handler


def _changes(name: str, one: str, said: str, document: Any, answer: Any, scope: str) -> HTTPRouteHandler:
    kind = KEPT[name]

    @put(
        f"{FLEET}/{name}/{{id:str}}",
        operation_id=f"change_{one}",
        tags=["fleet"],
        summary=f"Change {said}",
        description=f"Keeps the whole document anew in place of {said}, if it still is the version that `If-Match` "
        "names. Earlier revisions stay in the audit trail; `archived` takes it out of lists.",
        opt={SCOPE: scope, CONDITIONAL: True, TAGGED: True},
    )
    @in_thread
    def handler(
        request: FleetRequest,
        id_: Annotated[Id, PathParameter(name="id", description="Its id.")],
        data: JSONBody[document],
    ) -> Response[answer]:
        tags = request.entity_tags
        kind.check(data)

        def deed(unit: WritingUnit) -> GivenAnswer:
            row = change(unit, kind, id_, tags, request.text, data)
            return GivenAnswer(status=200, headers=_tag(row), body=msgspec.json.encode(kept(row)))

        return request.performed(lambda: deed)

    return handler


def _lists(name: str, many: str, page: Any) -> HTTPRouteHandler:
    @get(
        f"{FLEET}/{name}",
        operation_id=f"list_{name}",
        tags=["fleet"],
        summary=f"List {many}",
        description=f"{many.capitalize()} in the order in which they were made, a page at a time.",
        opt={SCOPE: "read"},
    )
    @in_thread
    def handler(
        request: FleetRequest,
        archived: Annotated[bool, QueryParameter(description="The archived ones, in place of the others.")] = False,
        newest_first: Annotated[bool, NEWEST_FIRST] = False,
        limit: Annotated[PageSize, LIMIT] = 20,
        cursor: Annotated[Cursor | None, CURSOR] = None,
    ) -> Response[page]:
        asked = PageAsked(limit, cursor, newest_first)
        return answered(request, name, {"archived": archived}, asked, KEPT[name].documents.page, kept)

    return handler


def _lists_of(name: str, many: str, page: Any, owner: str, said: str) -> HTTPRouteHandler:
    @get(
        f"{FLEET}/{name}",
        operation_id=f"list_{name}",
        tags=["fleet"],
        summary=f"List {many}",
        description=f"{many.capitalize()} in the order in which they were made, a page at a time.",
        opt={SCOPE: "read"},
    )
    @in_thread
    def handler(
        request: FleetRequest,
        owner_id: Annotated[Id | None, QueryParameter(name=owner, description=said)] = None,
        archived: Annotated[bool, QueryParameter(description="The archived ones, in place of the others.")] = False,
        newest_first: Annotated[bool, NEWEST_FIRST] = False,
        limit: Annotated[PageSize, LIMIT] = 20,
        cursor: Annotated[Cursor | None, CURSOR] = None,
    ) -> Response[page]:
        columns, asked = {owner: owner_id, "archived": archived}, PageAsked(limit, cursor, newest_first)
        return answered(request, name, columns, asked, KEPT[name].documents.page, kept)

    return handler


@get(
    f"{FLEET}/vehicles",
    operation_id="list_vehicles",
    tags=["fleet"],
    summary="List vehicles",
    description="Vehicles in the order in which they were made, a page at a time; or the one of an asset number.",
    opt={SCOPE: "read"},
)
@in_thread
def list_vehicles(
    request: FleetRequest,
    asset_number: Annotated[Text | None, QueryParameter(description="Your own number of it.")] = None,
    archived: Annotated[bool, QueryParameter(description="The archived ones, in place of the others.")] = False,
    newest_first: Annotated[bool, NEWEST_FIRST] = False,
    limit: Annotated[PageSize, LIMIT] = 20,
    cursor: Annotated[Cursor | None, CURSOR] = None,
) -> Response[answers.VehiclePage]:
    """A page of vehicles."""
    columns, asked = {"archived": archived, "asset_number": asset_number}, PageAsked(limit, cursor, newest_first)
    return answered(request, "vehicles", columns, asked, VEHICLES.page, kept)


_KINDS: tuple[tuple[str, str, str, Any, Any, str], ...] = (
    ("vehicles", "vehicle", "a vehicle", documents.VehicleDocument, answers.VehicleAnswer, "write"),
    ("rigs", "rig", "a rig", documents.RigDocument, answers.RigAnswer, "write"),
    ("tires", "tire", "a fitted tire", documents.TireDocument, answers.TireAnswer, "write"),
    ("layouts", "layout", "a way of loading", documents.LayoutDocument, answers.LayoutAnswer, "write"),
    (
        "inflation_tables",
        "inflation_table",
        "an own inflation table",
        documents.InflationTableDocument,
        answers.InflationTableAnswer,
        "manage",
    ),
    ("policies", "policy", "a saved policy", documents.PolicyDocument, answers.PolicyAnswer, "manage"),
)

KEPT_HANDLERS: tuple[HTTPRouteHandler, ...] = (
    *(_makes(name, one, said, document, answer, scope) for name, one, said, document, answer, scope in _KINDS),
    *(_gets(name, one, said, answer) for name, one, said, _, answer, _ in _KINDS),
    *(_changes(name, one, said, document, answer, scope) for name, one, said, document, answer, scope in _KINDS),
    list_vehicles,
    _lists_of("tires", "fitted tires", answers.TirePage, "vehicle_id", "Those of one vehicle."),
    _lists_of("layouts", "ways of loading", answers.LayoutPage, "rig_id", "Those of one rig."),
    _lists("inflation_tables", "own inflation tables", answers.InflationTablePage),
    _lists("policies", "saved policies", answers.PolicyPage),
)
