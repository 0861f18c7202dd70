"""Parameters in query and path: those an operation declares, once each, each as its declaration says."""

import re
from collections.abc import Container
from functools import cache
from math import isfinite
from typing import Any
from urllib.parse import parse_qsl

import msgspec
from litestar import Request
from litestar.handlers import HTTPRouteHandler
from litestar.params import PathParameter, QueryParameter

from axlewright.api.errors import InvalidQuery
from axlewright.api.fleet.access import SCOPE
from axlewright.contract.collector import FaultCollector, Members
from axlewright.fleet.refusals import NoSuchThing

_WHOLE_NUMBER = re.compile(r"-?[0-9]{1,15}")
_NUMBER = re.compile(r"-?[0-9]{1,15}(?:\.[0-9]{1,30})?(?:[eE][+-]?[0-9]{1,3})?")
_TRUTHS = {"true": True, "false": False}


def refuse_invalid_parameters(request: Request[Any, Any, Any]) -> None:
    """Refuse a path that nothing in the store can have, and a query that breaks its declaration, with every fault."""
    try:
        msgspec.convert(request.path_params, _in_path(request.route_handler))
    except msgspec.ValidationError:
        raise NoSuchThing from None
    query = request.scope["query_string"]
    declared = _declared(request.route_handler)
    if not (query or declared.__struct_fields__):
        return
    pairs = parse_qsl(query.decode("latin-1"), keep_blank_values=True, errors="backslashreplace")
    if query and not pairs:
        raise InvalidQuery("The query could not be read.", [])
    kinds = _kinds_of(declared)
    members = Members([(name, _value(text, kinds.get(name, frozenset()))) for name, text in pairs])
    collector = FaultCollector.walk(members, declared)
    if collector.faults:
        raise InvalidQuery("; ".join(fault.message for fault in collector.faults[:3]), collector.faults)


@cache
def _in_path(handler: HTTPRouteHandler) -> type[msgspec.Struct]:
    """Return the parameters in the path of an operation of the store as a document; others answer for their own."""
    fields = [
        (field.kwarg_definition.name or name, field.raw)
        for name, field in handler.parsed_fn_signature.parameters.items()
        if isinstance(field.kwarg_definition, PathParameter) and SCOPE in handler.opt
    ]
    return msgspec.defstruct("Path", fields, kw_only=True)


@cache
def _declared(handler: HTTPRouteHandler) -> type[msgspec.Struct]:
    """Return the query of an operation as a closed document: a field for each parameter of its signature."""
    fields: list[Any] = []
    for name, field in handler.parsed_fn_signature.parameters.items():
        if isinstance(field.kwarg_definition, QueryParameter):
            default = (field.default,) if field.has_default else ()
            fields.append((field.kwarg_definition.name or name, field.raw, *default))
    return msgspec.defstruct("Query", fields, forbid_unknown_fields=True, kw_only=True)


@cache
def _kinds_of(declared: type[msgspec.Struct]) -> dict[str, frozenset[type]]:
    """Return the kinds of values that each parameter may have."""
    info = msgspec.inspect.type_info(declared)
    assert isinstance(info, msgspec.inspect.StructType)
    return {field.encode_name: frozenset(_kinds(field.type)) for field in info.fields}


def _value(text: str, kinds: Container[type]) -> str | bool | int | float:
    """Return a parameter's text, or its number or truth where one is declared and written."""
    if msgspec.inspect.BoolType in kinds and text in _TRUTHS:
        return _TRUTHS[text]
    if msgspec.inspect.IntType in kinds and _WHOLE_NUMBER.fullmatch(text):
        return int(text)
    if msgspec.inspect.FloatType in kinds and _NUMBER.fullmatch(text) and isfinite(float(text)):
        return float(text)
    return text


def _kinds(kind: msgspec.inspect.Type) -> set[type]:
    """Return the kinds of values that a declaration allows."""
    if isinstance(kind, msgspec.inspect.Metadata):
        return _kinds(kind.type)
    if isinstance(kind, msgspec.inspect.UnionType):
        return {each for arm in kind.types for each in _kinds(arm)}
    return {type(kind)}
