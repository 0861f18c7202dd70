"""The records of vehicles: made once, listed and read."""

from typing import Annotated, Any

import msgspec
from litestar import Response, get, post
from litestar.handlers import HTTPRouteHandler
from litestar.params import JSONBody, PathParameter, QueryParameter

from axlewright.api.fleet.access import FLEET, SCOPE
from axlewright.api.fleet.asking import IDEMPOTENT, FleetRequest, json_answer, made
from axlewright.api.fleet.paging import CURSOR, LIMIT, NEWEST_FIRST, PageAsked, PageSize, answered
from axlewright.api.fleet.threads import in_thread
from axlewright.api.fleet.written import recorded
from axlewright.contract.fleet import answers, documents
from axlewright.contract.fleet.answers import Cursor
from axlewright.contract.fleet.documents import Id
from axlewright.contract.units import chosen_units, in_si
from axlewright.fleet.idempotency import GivenAnswer
from axlewright.fleet.kinds import RECORDED, record
from axlewright.fleet.unit import WritingUnit


def _handlers(name: str, one: str, said: str, document: Any, answer: Any, page: Any) -> tuple[HTTPRouteHandler, ...]:
    kind = RECORDED[name]

    @post(
        f"{FLEET}/{name}",
        operation_id=f"record_{one}",
        tags=["fleet"],
        summary=f"Record {said}",
        description=f"Records {said} for good; a corrected one names in `supersedes` the one that it corrects. With an "
        "`Idempotency-Key` only once.",
        opt={SCOPE: "write", IDEMPOTENT: True},
    )
    @in_thread
    def record_one(request: FleetRequest, data: JSONBody[document]) -> Response[answer]:
        kind.check(data)
        data_si, _ = in_si(data, chosen_units(data.units))

        def deed(unit: WritingUnit) -> GivenAnswer:
            row = record(unit, kind, request.text, data, data_si)
            return made(recorded(row), f"{FLEET}/{name}/{row.id}")

        return request.performed(lambda: deed)

    @get(
        f"{FLEET}/{name}/{{id:str}}",
        operation_id=f"get_{one}",
        tags=["fleet"],
        summary=f"Read {said}",
        description=f"Answers {said} as it was sent.",
        opt={SCOPE: "read"},
    )
    @in_thread
    def get_one(
        request: FleetRequest, id_: Annotated[Id, PathParameter(name="id", description="Its id.")]
    ) -> Response[answer]:
        with request.reading() as unit:
            row = kind.records.found(unit, id_)
        return json_answer(msgspec.json.encode(recorded(row)))

    @get(
        f"{FLEET}/{name}",
        operation_id=f"list_{name}",
        tags=["fleet"],
        summary=f"List records: {said} each",
        description="In the order in which they were recorded, a page at a time; superseded ones too, marked.",
        opt={SCOPE: "read"},
    )
    @in_thread
    def list_them(
        request: FleetRequest,
        vehicle_id: Annotated[Id | None, QueryParameter(description="Those of one vehicle.")] = None,
        newest_first: Annotated[bool, NEWEST_FIRST] = False,
        limit: Annotated[PageSize, LIMIT] = 20,
        cursor: Annotated[Cursor | None, CURSOR] = None,
    ) -> Response[page]:
        asked = PageAsked(limit, cursor, newest_first)
        return answered(request, name, {"vehicle_id": vehicle_id}, asked, kind.records.page, recorded)

    return record_one, get_one, list_them


RECORDED_HANDLERS: tuple[HTTPRouteHandler, ...] = (
    *_handlers(
        "pressure_checks",
        "pressure_check",
        "a round with the gauge",
        documents.PressureCheckDocument,
        answers.PressureCheckAnswer,
        answers.PressureCheckPage,
    ),
    *_handlers(
        "upkeep_events",
        "upkeep_event",
        "an upkeep event",
        documents.UpkeepEventDocument,
        answers.UpkeepEventAnswer,
        answers.UpkeepEventPage,
    ),
    *_handlers(
        "odometer_readings",
        "odometer_reading",
        "an odometer reading",
        documents.OdometerReadingDocument,
        answers.OdometerReadingAnswer,
        answers.OdometerReadingPage,
    ),
)
