"""What can be wrong with a document that was sent, and how that is told."""

import json
from collections.abc import Iterable
from enum import StrEnum
from typing import Any

import msgspec

MOST_FAULTS = 100
GIVEN_LENGTH = 80


class FaultCode(StrEnum):
    """Stable codes of shape faults; each carries the one-line meaning that the contract publishes."""

    meaning: str

    def __new__(cls, code: str, meaning: str) -> "FaultCode":
        """Keep the code as the text and the meaning beside it."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.meaning = meaning
        return member

    MISSING = "missing", "A required name is absent."
    UNKNOWN_NAME = "unknown_name", "The object has a name that is not in the contract."
    REPEATED_NAME = "repeated_name", "The object has the same name more than once."
    WRONG_TYPE = "wrong_type", "The value is of another JSON type than the contract says."
    NOT_ALLOWED = "not_allowed", "The value is none of those that are allowed here."
    WRONG_FORM = "wrong_form", "The text does not have the required form."
    NOT_UNICODE = "not_unicode", "The text holds half of a surrogate pair, which is no character."
    TOO_SHORT = "too_short", "The text has too few characters."
    TOO_LONG = "too_long", "The text has too many characters."
    TOO_FEW = "too_few", "The list or object has too few entries."
    TOO_MANY = "too_many", "The list or object has too many entries."
    BELOW_MINIMUM = "below_minimum", "The number is too small."
    ABOVE_MAXIMUM = "above_maximum", "The number is too large."
    OUT_OF_RANGE = "out_of_range", "The number is too large to be held as a 64-bit floating-point number."
    TOO_DEEP = "too_deep", "The document nests deeper than any valid one."
    NOT_VALID = "not_valid", "The value breaks a rule of the contract that no other code names."


class Fault(msgspec.Struct, frozen=True):
    """One thing wrong with a document; `pointer` is a JSON Pointer (RFC 6901) into it."""

    code: str
    pointer: str
    message: str
    given: str | None = None
    allowed: str | None = None


class NotJson(Exception):  # noqa: N818
    """The body is not JSON text in UTF-8; `offset` is the byte where that shows, if known."""

    def __init__(self, reason: str, offset: int | None = None) -> None:
        """Say why, and where."""
        self.offset = offset
        self.detail = reason if offset is None else f"{reason} (at byte {offset})"
        super().__init__(self.detail)


class ShapeFaults(Exception):  # noqa: N818
    """The document breaks the contract's shape; all its faults, `omitted` counts those not listed."""

    def __init__(self, faults: list[Fault], omitted: int = 0) -> None:
        """Keep at most `MOST_FAULTS` faults."""
        self.faults = faults[:MOST_FAULTS]
        self.omitted = omitted + len(faults) - len(self.faults)
        super().__init__("; ".join(fault.message for fault in self.faults[:3]))


class CrossFieldFaults(ShapeFaults):
    """The shape is right, but values contradict each other or ask for what is not computed yet."""


def pointer_of(path: tuple[str | int, ...]) -> str:
    """Return the JSON Pointer (RFC 6901, section 3) of a path of names and positions.

    >>> pointer_of(("passes", 0, "a/b~c"))
    '/passes/0/a~1b~0c'
    """
    return "".join("/" + printable(str(step).replace("~", "~0").replace("/", "~1")) for step in path)


def with_given(fault: Fault, document: msgspec.Struct) -> Fault:
    """Return a fault with the number or text that was sent where it points, if it does not tell it already."""
    value: Any = document
    for step in fault.pointer.split("/")[1:]:
        value = value[int(step)] if isinstance(value, list) else getattr(value, step, None)
    if fault.given is not None or not isinstance(value, int | float | str):
        return fault
    return msgspec.structs.replace(fault, given=given_text(value))


def refuse_contradictions(faults: Iterable[Fault], document: msgspec.Struct) -> None:
    """Refuse a document for its contradictions, if it has any; of the same one at the same place the first is told.

    Raises
    ------
    CrossFieldFaults
        With all of them, and with what was sent where they point.
    """
    told = list({(fault.code, fault.pointer): fault for fault in reversed(list(faults))}.values())[::-1]
    if told:
        raise CrossFieldFaults([with_given(fault, document) for fault in told])


def given_text(value: Any) -> str:
    """Return a value as compact JSON, cut to `GIVEN_LENGTH` characters."""
    if isinstance(value, str):
        value = value[: GIVEN_LENGTH + 1]
    text = value.text if isinstance(value, BigNumber) else json.dumps(value, **_COMPACT)
    return printable(text if len(text) <= GIVEN_LENGTH else text[: GIVEN_LENGTH - 1] + "…")


def printable(text: str) -> str:
    """Return text that can be written as UTF-8: lone surrogates become their escapes."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


class BigNumber:
    """A JSON number beyond the range of a 64-bit floating-point number, kept as it was written."""

    __slots__ = ("text",)

    def __init__(self, text: str) -> None:
        """Keep the text."""
        self.text = text


def _big_number_text(value: Any) -> str:
    if isinstance(value, BigNumber):
        return printable(value.text[:GIVEN_LENGTH])
    raise TypeError(f"not a JSON value: {type(value).__name__}")


_COMPACT: dict[str, Any] = {
    "ensure_ascii": False,
    "separators": (",", ":"),
    "default": _big_number_text,
}
