"""JSON text to the contract's structs: strictly, and with every fault named when it is refused."""

import json
import math
from typing import Any, TypeVar

import msgspec

from axlewright.contract.collector import FaultCollector, Members
from axlewright.contract.faults import BigNumber, Fault, FaultCode, NotJson, ShapeFaults

T = TypeVar("T")

# Any integer of more digits than this is beyond 1.8e308, the largest double.
_MOST_INTEGER_DIGITS = 310


def decode(body: bytes, type_: type[T]) -> T:
    """Return the body as an instance of the struct type.

    Raises `NotJson` for a body that is not JSON in UTF-8, and `ShapeFaults` with all faults for JSON of
    another shape. Text is never taken for a number, and `1.0` is an integer as in JSON Schema.
    """
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as wrong:
        raise NotJson("The body is not UTF-8 text", wrong.start) from None
    try:
        value: T = _decoder(type_).decode(body)
        _refuse_repeated_names(body, text)
    except (msgspec.DecodeError, RecursionError, _RepeatedNameError) as refusal:
        return _refused(body, text, type_, refusal)
    return value


def faults_of(text: str, type_: type[Any]) -> FaultCollector:
    """Return the collector after a walk of the whole JSON text; it raises `NotJson` where that is none."""
    return FaultCollector.walk(_tree(text), type_)


_ANYTHING = msgspec.json.Decoder()
_DECODERS: dict[type[Any], msgspec.json.Decoder[Any]] = {}


def _decoder(type_: type[Any]) -> msgspec.json.Decoder[Any]:
    if type_ not in _DECODERS:
        _DECODERS[type_] = msgspec.json.Decoder(type_, strict=True)
    return _DECODERS[type_]


class _RepeatedNameError(ValueError):
    pass


def _refuse_repeated_names(body: bytes, text: str) -> None:
    """Refuse JSON in which an object carries a name twice.

    A decoder keeps the last member of a name, so that the document written anew has fewer colons than the body. Only
    where the body may write a colon as an escape does that prove nothing, and each object is looked at.
    """
    if b"\\" in body:
        json.loads(text, object_pairs_hook=_unrepeated)
    elif msgspec.json.encode(_ANYTHING.decode(body)).count(b":") != body.count(b":"):
        raise _RepeatedNameError


def _unrepeated(pairs: list[tuple[str, Any]]) -> None:
    if len(dict(pairs)) != len(pairs):
        raise _RepeatedNameError


def _refused(body: bytes, text: str, type_: type[T], refusal: Exception) -> T:
    try:
        tree = _tree(text)
        collector = FaultCollector.walk(tree, type_)
    except RecursionError:
        raise ShapeFaults([_too_deep()]) from None
    except NotJson as wrong:
        raise _with_better_offset(wrong, body) from None
    if collector.faults:
        raise ShapeFaults(collector.faults, collector.omitted)
    try:
        return msgspec.convert(_with_integers(tree), type_, strict=True)
    except (msgspec.ValidationError, TypeError):
        raise ShapeFaults([_unnamed(refusal)]) from None


def _tree(text: str) -> Any:
    if text.startswith("\ufeff"):
        raise NotJson("The body begins with a byte order mark, which JSON text must not", 0)
    try:
        return json.loads(
            text,
            object_pairs_hook=Members,
            parse_int=_integer,
            parse_float=_float,
            parse_constant=_no_constant,
        )
    except json.JSONDecodeError as wrong:
        if not text.strip(" \t\r\n"):
            raise NotJson("The body is empty; a JSON document is needed") from None
        place = f"line {wrong.lineno}, column {wrong.colno}"
        raise NotJson(f"The body is not JSON text from {place} on", len(text[: wrong.pos].encode("utf-8"))) from None


def _integer(text: str) -> int | BigNumber:
    return int(text) if len(text) < _MOST_INTEGER_DIGITS else BigNumber(text)


def _float(text: str) -> float | BigNumber:
    number = float(text)
    return number if math.isfinite(number) else BigNumber(text)


def _no_constant(name: str) -> None:
    raise NotJson(f"{name} is not a JSON number")


def _with_better_offset(wrong: NotJson, body: bytes) -> NotJson:
    """Give `NaN` and its like, which the standard parser takes without a place, the place they have."""
    if wrong.offset is None and body.strip(b" \t\r\n"):
        try:
            msgspec.json.decode(body)
        except (msgspec.DecodeError, RecursionError) as place:
            _, _, digits = str(place).partition("(byte ")
            if digits.rstrip(")").isdigit():
                return NotJson(wrong.detail, int(digits.rstrip(")")))
    return wrong


def _with_integers(tree: Any) -> Any:
    if isinstance(tree, dict):
        return {name: _with_integers(value) for name, value in tree.items()}
    if isinstance(tree, list):
        return [_with_integers(value) for value in tree]
    if isinstance(tree, float) and tree.is_integer():
        return int(tree)
    return tree


def _too_deep() -> Fault:
    return Fault(FaultCode.TOO_DEEP.value, "", "The document nests too deeply; no valid one does.")


def _unnamed(refusal: Exception) -> Fault:
    """Return a fault from the decoder's own words: the safety net under the collector."""
    return Fault(FaultCode.NOT_VALID.value, "", f"The document is not valid: {refusal}.")
