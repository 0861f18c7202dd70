"""Query parameters: those an operation declares, once each, and no others."""

from collections import Counter
from typing import Any
from urllib.parse import parse_qsl

from litestar import Request
from litestar.handlers import HTTPRouteHandler
from litestar.params import QueryParameter

from axlewright.api.errors import UnknownParameter


def query_names(handler: HTTPRouteHandler) -> list[str]:
    """Return the names of the query parameters that a handler's signature declares."""
    return [
        field.kwarg_definition.name or name
        for name, field in handler.parsed_fn_signature.parameters.items()
        if isinstance(field.kwarg_definition, QueryParameter)
    ]


async def refuse_unknown_parameters(request: Request[Any, Any, Any]) -> None:
    """Refuse a query with a parameter that the operation does not have, or has twice."""
    if not (query := request.scope["query_string"]):
        return
    known = query_names(request.route_handler)
    pairs = parse_qsl(query.decode("latin-1"), keep_blank_values=True, errors="backslashreplace")
    counts = Counter(name for name, _ in pairs)
    for name, count in counts.items():
        if name not in known:
            allowed = ", ".join(known) if known else "none"
            raise UnknownParameter(f"{name[:80]!r} is not a query parameter here; known: {allowed}.")
        if count > 1:
            raise UnknownParameter(f"{name[:80]!r} may stand only once in the query.")
    if not counts:
        raise UnknownParameter("The query could not be read.")
