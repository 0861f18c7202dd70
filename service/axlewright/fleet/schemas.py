"""Stored documents over the years: each says by which schema it was taken, and is read by the present one."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

import msgspec

from axlewright.contract.decoding import decode
from axlewright.contract.faults import Fault, ShapeFaults
from axlewright.fleet.refusals import Conflicting

T = TypeVar("T", bound=msgspec.Struct)
Upcast = Callable[[Any], Any]

UPCASTS: Mapping[str, Sequence[Upcast]] = {}
"""By kind, the functions that turn a document of schema 1, 2, ... into the next; pure, on plain JSON values."""


def present_schema(kind: str) -> int:
    """Return the schema by which documents of a kind are taken now."""
    return 1 + len(UPCASTS.get(kind, ()))


def present_text(kind: str, schema: int, text: str) -> str:
    """Return a stored document as the present schema has it.

    One of a newer schema, which a newer service wrote, stays as it is: it is shown, and not judged.
    """
    steps = UPCASTS.get(kind, ())[schema - 1 :]
    if not steps:
        return text
    document = msgspec.json.decode(text)
    for step in steps:
        document = step(document)
    return msgspec.json.encode(document).decode()


def strictly_read(text: str, type_: type[T], pointer: str) -> T:
    """Return a stored document, brought to the present schema, to compute with.

    Raises
    ------
    Conflicting
        If today's contract refuses it: what it does not know cannot be left out of a computation.
    """
    try:
        return decode(text.encode(), type_)
    except ShapeFaults as refusal:
        raise _outdated(pointer, refusal) from None


def leniently_read(text: str, type_: type[T], pointer: str) -> T:
    """Return of a stored document what a struct names, whatever else stands there.

    Raises
    ------
    Conflicting
        If that is not there, or otherwise than it was.
    """
    try:
        return msgspec.json.decode(text, type=type_)
    except msgspec.ValidationError as refusal:
        raise _outdated(pointer, refusal) from None


def _outdated(pointer: str, refusal: Exception) -> Conflicting:
    message = f"What is kept there does not keep to today's contract and must be sent anew: {refusal}"
    return Conflicting(Fault("inconsistent_reference", pointer, message))
