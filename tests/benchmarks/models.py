"""Pydantic models made field by field from the contract's structs: the same bounds, patterns and closed objects."""

from datetime import date
from functools import cache, reduce
from operator import or_
from typing import Annotated, Any, Literal

import msgspec
from msgspec import NODEFAULT, Struct, inspect
from pydantic import BaseModel, ConfigDict, Field, create_model

from axlewright.contract.quantities import END


@cache
def model_of(struct: type[Struct]) -> type[BaseModel]:
    """Return the model that takes what the struct takes, and writes what it writes."""
    info = inspect.type_info(struct)
    assert isinstance(info, inspect.StructType)
    fields: dict[str, Any] = {field.encode_name: (_type(field.type), _default(field)) for field in info.fields}
    extra: Literal["forbid", "ignore"] = "forbid" if info.forbid_unknown_fields else "ignore"
    config = ConfigDict(extra=extra, frozen=struct.__struct_config__.frozen)
    return create_model(struct.__name__, __config__=config, **fields)


def _type(type_: inspect.Type) -> Any:
    match type_:
        case inspect.Metadata():
            return _type(type_.type)
        case inspect.StructType():
            return model_of(type_.cls)
        case inspect.UnionType():
            return reduce(or_, (_type(each) for each in type_.types))
        case inspect.ListType():
            return _bounded(list[_type(type_.item_type)], type_, "min_length", "max_length")  # type: ignore[misc]
        case inspect.LiteralType():
            return Literal[type_.values]
        case inspect.FloatType():
            return _bounded(float, type_, "ge", "gt", "le", "lt")
        case inspect.IntType():
            return _bounded(int, type_, "ge", "gt", "le", "lt")
        case inspect.StrType():
            return _bounded(_text(type_), type_, "min_length", "max_length")
        case _:
            return _PLAIN[type(type_)]


_PLAIN = {inspect.BoolType: bool, inspect.DateType: date, inspect.NoneType: None}


def _text(type_: inspect.StrType) -> Any:
    """Return text with its pattern; to pydantic's engine, which has no look-ahead, ``$`` is the very end."""
    return str if type_.pattern is None else Annotated[str, Field(pattern=type_.pattern.replace(END, "$"))]


def _bounded(base: Any, type_: inspect.Type, *names: str) -> Any:
    bounds: dict[str, Any] = {name: bound for name in names if (bound := getattr(type_, name)) is not None}
    return Annotated[base, Field(**bounds)] if bounds else base


def _default(field: inspect.Field) -> Any:
    if field.default_factory is not NODEFAULT:
        return Field(default_factory=field.default_factory)
    if isinstance(field.default, Struct):
        return model_of(type(field.default)).model_validate(msgspec.to_builtins(field.default))
    return ... if field.default is NODEFAULT else field.default
