"""Weighs and assessments: recorded, computed as they are recorded, listed and read."""

from typing import Annotated

import msgspec
from litestar import Response, get, post
from litestar.handlers import HTTPRouteHandler
from litestar.params import JSONBody, PathParameter, QueryParameter

from axlewright.api.fleet.access import FLEET, SCOPE
from axlewright.api.fleet.asking import IDEMPOTENT, FleetRequest, json_answer, made
from axlewright.api.fleet.paging import CURSOR, LIMIT, NEWEST_FIRST, PageAsked, PageSize, answered
from axlewright.api.fleet.threads import in_thread
from axlewright.api.fleet.written import assessment, weigh
from axlewright.contract.fleet.answers import (
    AssessmentAnswer,
    AssessmentPage,
    Cursor,
    SessionAnswer,
    SessionPage,
)
from axlewright.contract.fleet.documents import AssessmentOrder, Id, SessionDocument
from axlewright.contract.quantities import Text
from axlewright.fleet import assessments
from axlewright.fleet.idempotency import GivenAnswer
from axlewright.fleet.performing import Deed
from axlewright.fleet.stored import SESSIONS
from axlewright.fleet.unit import WritingUnit
from axlewright.fleet.weighs import assessed, keep_assessment, question_of_order, question_of_weigh, record_weigh

_ID = PathParameter(name="id", description="Its id.")


@post(
    f"{FLEET}/sessions",
    operation_id="record_session",
    tags=["fleet"],
    summary="Record a weigh of a rig",
    opt={SCOPE: "write", IDEMPOTENT: True},
)
@in_thread
def record_session(request: FleetRequest, data: JSONBody[SessionDocument]) -> Response[SessionAnswer]:
    """Records the tickets as they were received, with rig and vehicles as they are kept, and assesses them.

    The tickets are reconciled before they are recorded: those that contradict themselves are refused. The assessment is
    made by the rig's saved policy and inflation tables and recorded with the weigh. A corrected ticket names in
    `supersedes` the weigh that it corrects; both stay. With an `Idempotency-Key` only once.
    """

    def plan() -> Deed:
        with request.reading() as unit:
            basis, question = question_of_weigh(unit, data, request.text)
        new = assessed(question)

        def deed(unit: WritingUnit) -> GivenAnswer:
            row = record_weigh(unit, basis, question, new)
            return made(weigh(row), f"{FLEET}/sessions/{row.id}")

        return deed

    return request.performed(plan)


@get(
    f"{FLEET}/sessions/{{id:str}}",
    operation_id="get_session",
    tags=["fleet"],
    summary="Read a weigh",
    opt={SCOPE: "read"},
)
@in_thread
def get_session(request: FleetRequest, id_: Annotated[Id, _ID]) -> Response[SessionAnswer]:
    """Answers the tickets as they were received, with rig and vehicles as they were kept then."""
    with request.reading() as unit:
        row = SESSIONS.found(unit, id_)
    return json_answer(msgspec.json.encode(weigh(row)))


@get(
    f"{FLEET}/sessions",
    operation_id="list_sessions",
    tags=["fleet"],
    summary="List weighs",
    opt={SCOPE: "read"},
)
@in_thread
def list_sessions(
    request: FleetRequest,
    rig_id: Annotated[Id | None, QueryParameter(description="Those of one rig.")] = None,
    ticket: Annotated[Text | None, QueryParameter(description="Those of a ticket's number.")] = None,
    newest_first: Annotated[bool, NEWEST_FIRST] = False,
    limit: Annotated[PageSize, LIMIT] = 20,
    cursor: Annotated[Cursor | None, CURSOR] = None,
) -> Response[SessionPage]:
    """In the order in which they were recorded, a page at a time; superseded ones too, marked."""
    columns = {"rig_id": rig_id, "ticket": ticket}
    return answered(request, "sessions", columns, PageAsked(limit, cursor, newest_first), SESSIONS.page, weigh)


@post(
    f"{FLEET}/assessments",
    operation_id="make_assessment",
    tags=["fleet"],
    summary="Assess a recorded weigh again",
    opt={SCOPE: "write", IDEMPOTENT: True},
)
@in_thread
def make_assessment(request: FleetRequest, data: JSONBody[AssessmentOrder]) -> Response[AssessmentAnswer]:
    """Assesses the rig as it was weighed or as it is kept now, by this version, its own or another policy, conditions.

    The rig is listed by the newest assessment of its last weigh. One that names conditions or a policy is a `trial`:
    no rig is listed by it, and no history tells it. With an `Idempotency-Key` only once.
    """

    def plan() -> Deed:
        with request.reading() as unit:
            session, question = question_of_order(unit, data, request.text)
        new = assessed(question)

        def deed(unit: WritingUnit) -> GivenAnswer:
            id_ = keep_assessment(unit, session, new)
            return made(assessment(assessments.found(unit, id_)), f"{FLEET}/assessments/{id_}")

        return deed

    return request.performed(plan)


@get(
    f"{FLEET}/assessments/{{id:str}}",
    operation_id="get_assessment",
    tags=["fleet"],
    summary="Read an assessment",
    opt={SCOPE: "read"},
)
@in_thread
def get_assessment(request: FleetRequest, id_: Annotated[Id, _ID]) -> Response[AssessmentAnswer]:
    """Answers an assessment as it was made, with all that it was computed from."""
    with request.reading() as unit:
        whole = assessments.found(unit, id_)
    return json_answer(msgspec.json.encode(assessment(whole)))


@get(
    f"{FLEET}/assessments",
    operation_id="list_assessments",
    tags=["fleet"],
    summary="List assessments",
    opt={SCOPE: "read"},
)
@in_thread
def list_assessments(
    request: FleetRequest,
    rig_id: Annotated[Id | None, QueryParameter(description="Those of one rig.")] = None,
    session_id: Annotated[Id | None, QueryParameter(description="Those of one weigh.")] = None,
    newest_first: Annotated[bool, NEWEST_FIRST] = False,
    limit: Annotated[PageSize, LIMIT] = 20,
    cursor: Annotated[Cursor | None, CURSOR] = None,
) -> Response[AssessmentPage]:
    """In the order in which they were made, without their documents, a page at a time."""
    columns = {"rig_id": rig_id, "session_id": session_id}
    return answered(request, "assessments", columns, PageAsked(limit, cursor, newest_first), assessments.page)


WEIGH_HANDLERS: tuple[HTTPRouteHandler, ...] = (
    record_session,
    get_session,
    list_sessions,
    make_assessment,
    get_assessment,
    list_assessments,
)
