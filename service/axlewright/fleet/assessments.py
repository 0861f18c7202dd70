"""Assessments: what was computed, from what, by which version. They never change."""

import zlib
from collections.abc import Sequence
from typing import Any

import msgspec
from msgspec import Struct
from sqlalchemy import Row, bindparam, select

from axlewright.contract.assessment import AssessAnswer
from axlewright.fleet.clock import new_id
from axlewright.fleet.listing import Figures
from axlewright.fleet.refusals import NoSuchThing
from axlewright.fleet.rows import Held, Part, Rows
from axlewright.fleet.tables import ASSESSMENTS, SESSIONS
from axlewright.fleet.unit import Unit, WritingUnit

KIND = "assessments"


class AssessmentRow(Struct, frozen=True, kw_only=True):
    """An assessment without its documents."""

    id: str
    made_at: str
    rig_id: str
    session_id: str
    weighed_on: str
    standing: str
    trial: bool
    session_superseded_by: str | None
    contract_version: str
    core_version: str


class WholeAssessment(Struct, frozen=True, kw_only=True):
    """An assessment with the JSON of its input and of its result, as they were."""

    row: AssessmentRow
    input_text: str
    result: bytes


_A = ASSESSMENTS.c
_SUMMARY = (
    _A.id,
    _A.made_at,
    _A.rig_id,
    _A.session_id,
    SESSIONS.c.day,
    _A.standing,
    _A.lists,
    SESSIONS.c.superseded_by,
    _A.contract_version,
    _A.core_version,
)
_JOINED = ASSESSMENTS.join(SESSIONS, (SESSIONS.c.operator_id == _A.operator_id) & (SESSIONS.c.id == _A.session_id))
_SUMMARIES = Rows(ASSESSMENTS, _SUMMARY, _JOINED)
_WHOLE = Rows(ASSESSMENTS, (*_SUMMARY, _A.input, _A.result), _JOINED)
_LISTING = Rows(ASSESSMENTS, (_A.figures, _A.input))
_IDS = select(_A.id).where(_A.operator_id == bindparam("operator_id"), _A.session_id == bindparam("session_id"))


def found(unit: Unit, id_: str) -> WholeAssessment:
    """Return the assessment of an id.

    Raises
    ------
    NoSuchThing
        If this operator has none of it.
    """
    row = _WHOLE.one(unit, id_)
    if row is None:
        raise NoSuchThing
    return _whole(row)


def newest_of_session(unit: Unit, session_id: str) -> WholeAssessment | None:
    """Return the assessment of a weigh that was made last, leaving out trials."""
    rows = _WHOLE.newest(unit, {"session_id": session_id, "lists": 1}, 1)
    return _whole(rows[0]) if rows else None


def ids_of_session(unit: Unit, session_id: str) -> list[str]:
    """Return the ids of all assessments of a weigh."""
    whose = {"operator_id": unit.operator_id, "session_id": session_id}
    return list(unit.connection.execute(_IDS, whose).scalars())


def page(unit: Unit, held: Held, part: Part) -> list[AssessmentRow]:
    """Return a part of the assessments in the order in which they were made, without their documents."""
    return [_summary(row) for row in _SUMMARIES.page(unit, held, part)]


class NewAssessment(Struct, frozen=True, kw_only=True):
    """What is kept of an assessment: the JSON of its input, its answer and the figures that its rig is listed by."""

    input_text: str
    answer: AssessAnswer
    figures: dict[str, Figures]
    lists: bool
    """Whether its rig is listed by it: one under other conditions or another policy is a trial."""


def listing_of_session(unit: Unit, session_id: str) -> tuple[dict[str, Figures], str]:
    """Return the figures and the input of the assessment of a weigh that was made last, leaving out trials."""
    row = _LISTING.newest(unit, {"session_id": session_id, "lists": 1}, 1)[0]
    return msgspec.json.decode(row.figures, type=dict[str, Figures]), row.input


def add(unit: WritingUnit, session_id: str, rig_id: str, new: NewAssessment) -> str:
    """Keep an assessment of a weigh and return its id."""
    id_ = new_id()
    by = new.answer.computed_by
    editions = "; ".join(f"{table.title}, {table.edition}" for table in by.tables)
    unit.connection.execute(
        ASSESSMENTS.insert(),
        {
            "operator_id": unit.operator_id,
            "id": id_,
            "session_id": session_id,
            "rig_id": rig_id,
            "made_at": unit.moment,
            "contract_version": by.version,
            "core_version": by.version,
            "table_editions": editions,
            "input": new.input_text,
            "result": zlib.compress(msgspec.json.encode(new.answer)),
            "standing": new.answer.summary.standing,
            "figures": msgspec.json.encode(new.figures).decode(),
            "lists": int(new.lists),
        },
    )
    unit.note(KIND, id_, 1, "made", 1)
    return id_


def _whole(row: Row[Any]) -> WholeAssessment:
    return WholeAssessment(row=_summary(row[:-2]), input_text=row.input, result=zlib.decompress(row.result))


def _summary(row: Sequence[Any]) -> AssessmentRow:
    id_, made_at, rig_id, session_id, weighed_on, standing, lists, superseded_by, contract_version, core_version = row
    return AssessmentRow(
        id=id_,
        made_at=made_at,
        rig_id=rig_id,
        session_id=session_id,
        weighed_on=weighed_on,
        standing=standing,
        trial=not lists,
        session_superseded_by=superseded_by,
        contract_version=contract_version,
        core_version=core_version,
    )
