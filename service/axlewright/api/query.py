"""Query parameters: those an operation declares, once each, each as its declaration says."""

import re
from functools import cache
from typing import Any
from urllib.parse import parse_qsl

import msgspec
from litestar import Request
from litestar.handlers import HTTPRouteHandler
from litestar.params import QueryParameter

from axlewright.api.errors import InvalidQuery
from axlewright.contract.collector import FaultCollector, Members

_WHOLE_NUMBER = re.compile(r"-?[0-9]{1,15}")


async def refuse_invalid_query(request: Request[Any, Any, Any]) -> None:
    """Refuse a query that breaks its operation's declaration, with every fault."""
    query = request.scope["query_string"]
    declared = _declared(request.route_handler)
    if not (query or declared.__struct_fields__):
        return
    pairs = parse_qsl(query.decode("latin-1"), keep_blank_values=True, errors="backslashreplace")
    if query and not pairs:
        raise InvalidQuery("The query could not be read.", [])
    kinds = {field.name: field.type for field in msgspec.structs.fields(declared)}
    collector = FaultCollector.walk(Members([(name, _value(text, kinds.get(name))) for name, text in pairs]), declared)
    if collector.faults:
        raise InvalidQuery("; ".join(fault.message for fault in collector.faults[:3]), collector.faults)


@cache
def _declared(handler: HTTPRouteHandler) -> type[msgspec.Struct]:
    """Return the query of an operation as a closed document: a field for each parameter of its signature."""
    fields: list[Any] = []
    for name, field in handler.parsed_fn_signature.parameters.items():
        if isinstance(field.kwarg_definition, QueryParameter):
            default = (field.default,) if field.has_default else ()
            fields.append((field.kwarg_definition.name or name, field.raw, *default))
    return msgspec.defstruct("Query", fields, forbid_unknown_fields=True, kw_only=True)


def _value(text: str, kind: Any) -> str | int:
    """Return a parameter's text, or its number where a number is declared and written."""
    if _WHOLE_NUMBER.fullmatch(text) and _is_integer(msgspec.inspect.type_info(kind or str)):
        return int(text)
    return text


def _is_integer(kind: msgspec.inspect.Type) -> bool:
    return isinstance(kind.type if isinstance(kind, msgspec.inspect.Metadata) else kind, msgspec.inspect.IntType)
