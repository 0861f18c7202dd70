"""Answers as they are written: what the service knows of a thing, and its documents passed on as they were sent."""

from collections.abc import Sequence
from typing import Any

import msgspec
from msgspec import Raw, Struct

from axlewright.fleet.assessments import WholeAssessment
from axlewright.fleet.kept import KeptRow
from axlewright.fleet.recorded import RecordedRow


class Kept(Struct, frozen=True):
    """As the contract's `Kept`."""

    id: str
    made_at: str
    changed_at: str
    revision: int
    document: Raw


class Recorded(Struct, frozen=True):
    """As the contract's `Recorded`."""

    id: str
    made_at: str
    superseded_by: str | None
    document: Raw


class RecordedWeigh(Recorded, frozen=True):
    """As the contract's `SessionAnswer`."""

    snapshot: Raw


class Page(Struct, frozen=True):
    """One page of a list."""

    items: Sequence[Any]
    next_cursor: str | None


def kept(row: KeptRow) -> Kept:
    """Return what is answered of a document."""
    return Kept(row.id, row.made_at, row.changed_at, row.revision, Raw(row.text))


def recorded(row: RecordedRow) -> Recorded:
    """Return what is answered of a record."""
    return Recorded(row.id, row.made_at, row.superseded_by, Raw(row.text))


def weigh(row: RecordedRow) -> RecordedWeigh:
    """Return what is answered of a weigh."""
    return RecordedWeigh(row.id, row.made_at, row.superseded_by, Raw(row.text), Raw(row.more[1]))


def assessment(whole: WholeAssessment) -> dict[str, Any]:
    """Return what is answered of an assessment."""
    summary: dict[str, Any] = msgspec.structs.asdict(whole.row)
    return {**summary, "input": Raw(whole.input_text), "result": Raw(whole.result)}
