"""The one map from exceptions to problem documents."""

import logging
from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

import msgspec
from litestar import Request, Response
from litestar.exceptions import HTTPException, ValidationException
from litestar.types import ExceptionHandlersMap

from axlewright.api.request_id import request_id_of
from axlewright.contract.faults import Fault, NotJson, ShapeFaults
from axlewright.contract.problems import MEDIA_TYPE, Problem, problem, refusal_problem
from axlewright.fleet.errors import StoreUnavailable
from axlewright.fleet.refusals import (
    BadCursor,
    Conflicting,
    InProgress,
    NoLiveKey,
    NoSuchThing,
    OtherRequest,
    Refusal,
    Stale,
)

logger = logging.getLogger("axlewright.errors")

AnyRequest = Request[Any, Any, Any]

_SLUGS = {
    400: "bad-request",
    403: "forbidden",
    404: "not-found",
    405: "method-not-allowed",
    408: "too-slow",
    413: "too-large",
    415: "unsupported-media-type",
    428: "precondition-required",
}
_INTERNAL_DETAIL = "The service failed on this request. Its log holds the cause under the request id."


class InvalidQuery(HTTPException):
    """The query breaks the operation's declaration; the pointer of a fault is the name of a parameter."""

    status_code = 400

    def __init__(self, detail: str, faults: Sequence[Fault]) -> None:
        """Say what is wrong with it."""
        super().__init__(detail)
        self.faults = faults


class Busy(HTTPException):
    """As many searches run already as may at once."""

    status_code = 503


class InvalidHeader(HTTPException):
    """A header has not the form that the contract gives it."""

    status_code = 400


class Forbidden(HTTPException):
    """The key does not have the scope that the operation needs."""

    status_code = 403


class PreconditionRequired(HTTPException):
    """A change does not say which version it was made from."""

    status_code = 428


class NoSuchResource(HTTPException):
    """The path is an operation's, but nothing has this id."""

    status_code = 404


def internal_problem() -> Problem:
    """Return the answer to a defect; its cause is logged, not told."""
    return problem("internal", _INTERNAL_DETAIL)


def _answer(document: Problem, headers: dict[str, str] | None = None) -> Response[bytes]:
    return Response(msgspec.json.encode(document), status_code=document.status, media_type=MEDIA_TYPE, headers=headers)


def _http(request: AnyRequest, exception: HTTPException) -> Response[bytes]:
    status = exception.status_code
    if isinstance(exception, Busy):
        return _answer(problem("busy", exception.detail), exception.headers)
    if status >= 500:
        return _defect(request, exception)
    if isinstance(exception, InvalidQuery):
        return _answer(problem("invalid-query", exception.detail, exception.faults))
    if isinstance(exception, NoSuchResource):
        return _answer(problem("not-found", exception.detail))
    detail = _DETAILS.get(status, exception.detail)
    if isinstance(exception, ValidationException) and isinstance(exception.extra, list):
        detail = "; ".join(f"{fault.get('key')}: {fault.get('message')}" for fault in exception.extra)
    if status in _SLUGS:
        document = problem(_SLUGS[status], detail)
    else:
        document = Problem("about:blank", HTTPStatus(status).phrase, status, detail, [], 0)
    return _answer(document, exception.headers)


_DETAILS = {
    404: "No operation has this path; /v1/openapi.json lists those that exist.",
    405: "This path has no such method; the Allow header lists those it has.",
}


def _refusal(_: AnyRequest, exception: NotJson | ShapeFaults) -> Response[bytes]:
    return _answer(refusal_problem(exception))


def _defect(request: AnyRequest, exception: Exception) -> Response[bytes]:
    logger.error("request failed", exc_info=exception, extra={"fields": {"request_id": request_id_of(request.scope)}})
    return _answer(internal_problem())


def storage_problem(unavailable: StoreUnavailable, request_id: str | None) -> tuple[Problem, dict[str, str]]:
    """Return the answer, and its headers, for a store that cannot answer; its cause is logged in one line."""
    cause = getattr(unavailable.__cause__, "orig", unavailable.__cause__)  # the driver's, without values of statements
    fields = {"request_id": request_id, "reason": unavailable.reason, "cause": None if cause is None else str(cause)}
    logger.warning("store unavailable", extra={"fields": fields})
    reason = f"{unavailable.reason[:1].upper()}{unavailable.reason[1:]}."
    return problem("storage-unavailable", reason), {"Retry-After": str(unavailable.retry_after_s)}


def _unavailable(request: AnyRequest, exception: StoreUnavailable) -> Response[bytes]:
    return _answer(*storage_problem(exception, request_id_of(request.scope)))


_REFUSALS: dict[type[Refusal], tuple[str, str]] = {
    NoSuchThing: ("not-found", "The fleet has nothing of this id."),
    Stale: ("precondition-failed", "It has changed since the version that If-Match names."),
    InProgress: ("in-progress", "The first request with this Idempotency-Key has not ended."),
    OtherRequest: ("idempotency-mismatch", "This Idempotency-Key was used with another request."),
}


NO_KEY = "Send a live key as `Authorization: Bearer <key>`."
CHALLENGE = {"WWW-Authenticate": "Bearer"}


def _refused(_: AnyRequest, exception: Refusal) -> Response[bytes]:
    if isinstance(exception, Conflicting):
        return _answer(problem("conflict", exception.fault.message, [exception.fault]))
    if isinstance(exception, BadCursor):
        fault = Fault("inconsistent_reference", "/cursor", "This list gave no such cursor for this query.")
        return _answer(problem("invalid-query", fault.message, [fault]))
    if isinstance(exception, NoLiveKey):
        return _answer(problem("unauthorized", NO_KEY), CHALLENGE)
    slug, detail = _REFUSALS[type(exception)]
    return _answer(problem(slug, detail), {"Retry-After": "1"} if isinstance(exception, InProgress) else None)


EXCEPTION_HANDLERS: ExceptionHandlersMap = {
    Refusal: _refused,
    StoreUnavailable: _unavailable,
    HTTPException: _http,
    NotJson: _refusal,
    ShapeFaults: _refusal,
    Exception: _defect,
}
