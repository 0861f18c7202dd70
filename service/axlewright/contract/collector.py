"""Finds every fault of a JSON document against a struct type, where the decoder stops at the first."""

import datetime
import difflib
import re
from collections import Counter
from collections.abc import Iterable
from itertools import islice
from typing import Any, Self

from msgspec import inspect

from axlewright.contract.faults import (
    GIVEN_LENGTH,
    MOST_FAULTS,
    BigNumber,
    Fault,
    FaultCode,
    given_text,
    pointer_of,
    printable,
)

Path = tuple[str | int, ...]
Bounded = inspect.IntType | inspect.FloatType
Sized = inspect.CollectionType | inspect.DictType

END_OF_TEXT = r"(?![\s\S])"
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_LONGEST_NAME_COMPARED = 64


class Members(dict[str, Any]):
    """A JSON object that remembers which of its names came more than once."""

    def __init__(self, pairs: list[tuple[str, Any]]) -> None:
        """Keep the last value of each name, as JSON readers commonly do."""
        super().__init__(pairs)
        counts = Counter(name for name, _ in pairs) if len(self) < len(pairs) else {}
        self.repeated = [name for name, count in counts.items() if count > 1]


class FaultCollector:
    """Walks a document beside its type; `faults` are the first ones, `omitted` counts the rest.

    Entries beyond a list's or an object's greatest length are one fault together and are not walked.
    """

    def __init__(self) -> None:
        """Begin without faults."""
        self.faults: list[Fault] = []
        self.omitted = 0

    @classmethod
    def walk(cls, document: Any, type_: type[Any]) -> Self:
        """Return the collector that has walked the whole document."""
        collector = cls()
        collector._value(document, _type_info(type_), ())
        return collector

    def _add(self, code: FaultCode, path: Path, wrong: str, given: Any = None, allowed: str | None = None) -> None:
        if len(self.faults) >= MOST_FAULTS:
            self.omitted += 1
            return
        text = None if code is FaultCode.MISSING else given_text(given)
        message = f"{_label(path)} {wrong}" if text is None else f"{_label(path)} {wrong}; given is {text}."
        self.faults.append(Fault(code.value, pointer_of(path), message, text, allowed))

    def _value(self, value: Any, kind: inspect.Type, path: Path) -> None:
        if isinstance(value, str) and not _is_unicode(value):
            self._add(FaultCode.NOT_UNICODE, path, "must be whole Unicode characters", value, "whole characters")
            return
        if (arm := _arm(value, kind)) is None:
            allowed = " or ".join(_described(kind))
            self._add(FaultCode.WRONG_TYPE, path, f"must be {allowed}", value, allowed)
        elif isinstance(arm, inspect.LiteralType | inspect.EnumType):
            self._choice(value, arm, path)
        elif isinstance(arm, inspect.IntType | inspect.FloatType):
            self._number(value, arm, path)
        elif isinstance(arm, inspect.StrType):
            self._text(value, arm, path)
        elif isinstance(arm, inspect.DateType):
            self._date(value, path)
        elif isinstance(arm, inspect.CollectionType):
            self._list(value, arm, path)
        elif isinstance(arm, inspect.DictType):
            self._dict(value, arm, path)
        elif isinstance(arm, inspect.StructType):
            self._struct(value, arm, path)

    def _choice(self, value: Any, kind: inspect.LiteralType | inspect.EnumType, path: Path) -> None:
        if not any(value == choice and type(value) is type(choice) for choice in _choices(kind)):
            allowed = "one of " + ", ".join(given_text(choice) for choice in _choices(kind))
            self._add(FaultCode.NOT_ALLOWED, path, f"must be {allowed}", value, allowed)

    def _number(self, value: Any, kind: Bounded, path: Path) -> None:
        if isinstance(value, BigNumber):
            allowed = "a number of magnitude below 1.8e308"
            self._add(FaultCode.OUT_OF_RANGE, path, f"must be {allowed}", value, allowed)
            return
        if isinstance(kind, inspect.IntType) and value != int(value):
            self._add(FaultCode.WRONG_TYPE, path, "must be a whole number", value, "a whole number")
            return
        number = value if isinstance(kind, inspect.IntType) else float(value)
        below = (kind.ge is not None and number < kind.ge) or (kind.gt is not None and number <= kind.gt)
        above = (kind.le is not None and number > kind.le) or (kind.lt is not None and number >= kind.lt)
        if below or above:
            code = FaultCode.BELOW_MINIMUM if below else FaultCode.ABOVE_MAXIMUM
            self._add(code, path, f"must be {_range(kind)}", value, _range(kind))

    def _text(self, value: str, kind: inspect.StrType, path: Path) -> None:
        if code := _size_fault(len(value), kind, FaultCode.TOO_SHORT, FaultCode.TOO_LONG):
            allowed = _size(kind, "character")
            self._add(code, path, f"must have {allowed} and has {len(value)}", value, allowed)
        elif kind.pattern is not None and re.search(kind.pattern, value) is None:
            allowed = f"text that matches {published_pattern(kind.pattern)}"
            self._add(FaultCode.WRONG_FORM, path, f"must be {allowed}", value, allowed)

    def _date(self, value: str, path: Path) -> None:
        try:
            if _DATE.fullmatch(value):
                datetime.date.fromisoformat(value)
                return
        except ValueError:
            pass
        allowed = "a calendar date written YYYY-MM-DD"
        self._add(FaultCode.WRONG_FORM, path, f"must be {allowed}", value, allowed)

    def _list(self, value: list[Any], kind: inspect.CollectionType, path: Path) -> None:
        self._entries(value, kind, path)
        for position, item in enumerate(value[: kind.max_length]):
            self._value(item, kind.item_type, (*path, position))

    def _dict(self, value: Members, kind: inspect.DictType, path: Path) -> None:
        self._entries(value, kind, path)
        self._repeated(value, path)
        for name, item in islice(value.items(), kind.max_length):
            before = len(self.faults) + self.omitted
            self._value(name, kind.key_type, (*path, name))
            if len(self.faults) + self.omitted == before:
                self._value(item, kind.value_type, (*path, name))

    def _struct(self, value: Members, kind: inspect.StructType, path: Path) -> None:
        fields = {field.encode_name: field for field in kind.fields}
        for name, field in fields.items():
            if name in value:
                self._value(value[name], field.type, (*path, name))
            elif field.required:
                allowed = " or ".join(_described(field.type))
                self._add(FaultCode.MISSING, (*path, name), f"is missing; it must be {allowed}.", allowed=allowed)
        if kind.forbid_unknown_fields:
            for name in value:
                if name not in fields:
                    self._unknown(name, value[name], list(fields), path)
        self._repeated(value, path)

    def _unknown(self, name: str, value: Any, known: list[str], path: Path) -> None:
        if len(self.faults) >= MOST_FAULTS:
            self.omitted += 1
            return
        near = difflib.get_close_matches(name, known, n=1) if len(name) <= _LONGEST_NAME_COMPARED else []
        hint = f" (did you mean {near[0]!r}?)" if near else ""
        allowed = f"the names {', '.join(known)}" if known else "no names"
        self._add(FaultCode.UNKNOWN_NAME, (*path, name), f"is not a known name here{hint}", value, allowed)

    def _repeated(self, value: Members, path: Path) -> None:
        for name in value.repeated:
            where = (*path, name)
            self._add(FaultCode.REPEATED_NAME, where, "stands more than once in its object", value[name], "once")

    def _entries(self, value: list[Any] | Members, kind: Sized, path: Path) -> None:
        if code := _size_fault(len(value), kind, FaultCode.TOO_FEW, FaultCode.TOO_MANY):
            allowed = _size(kind, "entry")
            self._add(code, path, f"must have {allowed} and has {len(value)}", value, allowed)


def published_pattern(pattern: str) -> str:
    """Return a pattern as people and JSON Schema write it: with `$` for the end of the text."""
    return pattern.replace(END_OF_TEXT, "$")


_TYPES: dict[type[Any], inspect.Type] = {}


def _type_info(type_: type[Any]) -> inspect.Type:
    if type_ not in _TYPES:
        _TYPES[type_] = inspect.type_info(type_)
    return _TYPES[type_]


def _arms(kind: inspect.Type) -> Iterable[inspect.Type]:
    if isinstance(kind, inspect.Metadata):
        yield from _arms(kind.type)
    elif isinstance(kind, inspect.UnionType):
        for arm in kind.types:
            yield from _arms(arm)
    else:
        yield kind


def _arm(value: Any, kind: inspect.Type) -> inspect.Type | None:
    """Return the arm that takes the value's JSON type; the decoder allows one for each in a union."""
    return next((arm for arm in _arms(kind) if _takes(arm, value)), None)


def _takes(arm: inspect.Type, value: Any) -> bool:
    if isinstance(arm, inspect.LiteralType | inspect.EnumType):
        return any(_json_type(choice) == _json_type(value) for choice in _choices(arm))
    return arm.__class__ not in _JSON_TYPES or _JSON_TYPES[arm.__class__] == _json_type(value)


_JSON_TYPES: dict[type[inspect.Type], str] = {
    inspect.NoneType: "null",
    inspect.BoolType: "true or false",
    inspect.IntType: "a number",
    inspect.FloatType: "a number",
    inspect.StrType: "text",
    inspect.DateType: "text",
    inspect.ListType: "a list",
    inspect.VarTupleType: "a list",
    inspect.SetType: "a list",
    inspect.FrozenSetType: "a list",
    inspect.DictType: "an object",
    inspect.StructType: "an object",
}


def _json_type(value: Any) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true or false"
    if isinstance(value, int | float | BigNumber):
        return "a number"
    if isinstance(value, str):
        return "text"
    return "a list" if isinstance(value, list) else "an object"


def _choices(kind: inspect.LiteralType | inspect.EnumType) -> list[Any]:
    return list(kind.values) if isinstance(kind, inspect.LiteralType) else [member.value for member in kind.cls]


def _described(kind: inspect.Type) -> list[str]:
    descriptions = []
    for arm in _arms(kind):
        if isinstance(arm, inspect.LiteralType | inspect.EnumType):
            descriptions.append("one of " + ", ".join(given_text(choice) for choice in _choices(arm)))
        elif isinstance(arm, inspect.StructType):
            descriptions.append(f"an object with {_member_names(arm)}")
        else:
            descriptions.append(_JSON_TYPES.get(arm.__class__, "another value"))
    return descriptions


def _member_names(kind: inspect.StructType) -> str:
    """Return the names that an object must have; of one that needs none, those that it may have."""
    required = [field.encode_name for field in kind.fields if field.required]
    return ", ".join(required) or "any of " + ", ".join(field.encode_name for field in kind.fields)


def _label(path: Path) -> str:
    """Return the last name of a path, with the positions that follow it."""
    names = [index for index, step in enumerate(path) if isinstance(step, str)]
    if not names:
        return "The document" + "".join(f"[{step}]" for step in path)
    name = printable(str(path[names[-1]])[:GIVEN_LENGTH])
    return name + "".join(f"[{step}]" for step in path[names[-1] + 1 :])


def _range(kind: Bounded) -> str:
    words = {"at least": kind.ge, "more than": kind.gt, "at most": kind.le, "less than": kind.lt}
    return " and ".join(f"{word} {bound:.15g}" for word, bound in words.items() if bound is not None)


def _size_fault(size: int, kind: Any, few: FaultCode, many: FaultCode) -> FaultCode | None:
    if kind.min_length is not None and size < kind.min_length:
        return few
    return many if kind.max_length is not None and size > kind.max_length else None


def _size(kind: Any, noun: str) -> str:
    words = {"at least": kind.min_length, "at most": kind.max_length}
    bounds = " and ".join(f"{word} {bound}" for word, bound in words.items() if bound is not None)
    last = kind.min_length if kind.max_length is None else kind.max_length
    plural = "entries" if noun == "entry" else f"{noun}s"
    return f"{bounds} {noun if last == 1 else plural}"


def _is_unicode(text: str) -> bool:
    return text.isascii() or not any("\ud800" <= character <= "\udfff" for character in text)
