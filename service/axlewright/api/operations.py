"""Reads from the route handlers what the contract says of them."""

from collections.abc import Iterator
from inspect import getdoc
from typing import Any, get_args, get_origin

from litestar import Litestar, MediaType, Response
from litestar.handlers import HTTPRouteHandler
from litestar.params import PathParameter, QueryParameter
from litestar.routes import HTTPRoute
from litestar.utils.sync import AsyncCallable

from axlewright.api.fleet.access import OPEN, SCOPE
from axlewright.api.fleet.asking import ASKS_STORE, CONDITIONAL, IDEMPOTENT, TAGGED
from axlewright.api.solving import SOLVES
from axlewright.contract.openapi import JSON, Operation, Parameter


def operations_of(app: Litestar) -> list[Operation]:
    """Return every operation of the application, but not the router's own answers to OPTIONS."""
    return [
        _operation(route, handler, method)
        for route in app.routes
        if isinstance(route, HTTPRoute)
        for handler in route.route_handlers
        for method in sorted(handler.http_methods)
        if method != "OPTIONS"
    ]


def _operation(route: HTTPRoute, handler: HTTPRouteHandler, method: str) -> Operation:
    if not (isinstance(handler.operation_id, str) and handler.summary and handler.tags):
        raise ValueError(f"{method} {route.path} needs an operation_id, a summary and tags for the contract")
    body = handler.parsed_data_field
    return Operation(
        path=route.path_format,
        method=method,
        operation_id=handler.operation_id,
        tags=tuple(handler.tags),
        summary=handler.summary,
        description=_description(handler) or handler.summary,
        status=handler.status_code,
        answer=_answer(handler.parsed_return_field.raw),
        answer_media_type=_media_type(handler.media_type),
        body=None if body is None else body.annotation,
        may_be_busy=bool(handler.opt.get(SOLVES)),
        key="always" if SCOPE in handler.opt else "never" if route.path in OPEN else "by_setting",
        scope=handler.opt.get(SCOPE),
        is_conditional=bool(handler.opt.get(CONDITIONAL)),
        is_idempotent=bool(handler.opt.get(IDEMPOTENT)),
        asks_store=bool(handler.opt.get(ASKS_STORE)),
        is_tagged=bool(handler.opt.get(TAGGED)),
        parameters=tuple(_parameters(handler)),
    )


def _description(handler: HTTPRouteHandler) -> str | None:
    """Return what the handler's function says of itself; one that runs in a thread stands in a wrapper."""
    function = handler.fn.func if isinstance(handler.fn, AsyncCallable) else handler.fn
    return handler.description or getdoc(function)


def _answer(annotation: Any) -> Any:
    """Return the document that a handler answers, also where it sets headers of its own."""
    return get_args(annotation)[0] if get_origin(annotation) is Response else annotation


def _media_type(declared: MediaType | str) -> str:
    """Return the media type of an answer: JSON where the handler leaves it to what it returns."""
    return declared.value if isinstance(declared, MediaType) else declared or JSON


def _parameters(handler: HTTPRouteHandler) -> Iterator[Parameter]:
    for name, field in handler.parsed_fn_signature.parameters.items():
        definition: Any = field.kwarg_definition
        if isinstance(definition, QueryParameter | PathParameter):
            yield Parameter(
                name=definition.name or name,
                where="path" if isinstance(definition, PathParameter) else "query",
                type_=field.raw,
                is_required=isinstance(definition, PathParameter) or not field.has_default,
                description=definition.description or name,
            )
