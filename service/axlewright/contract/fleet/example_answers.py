"""What the service answers of the things in the fleet's examples, once all of them are kept."""

from functools import cache
from typing import Any

import msgspec

from axlewright import __version__
from axlewright.contract.assessment import AssessAnswer
from axlewright.contract.fleet.composition import AssessmentDocuments, assessment_of
from axlewright.contract.fleet.example_bodies import (
    COACH,
    CORRECTED,
    LEAST,
    MOMENT,
    MOST,
    TRAILER,
    WEIGHED_ON,
    Json,
    example_bodies,
    example_id,
)

CURSOR = "WyI5YjRkMmY3MTA2YzMiLCIwMTllMjVkMiJd"
"""Stands for a cursor: what a real one says belongs to its list."""
KEY_ID = "Vq0tR7m2LxZ4"
"""Stands for the id of the key that was used."""

_NUMBERS = {"minimal": LEAST, "misread": CORRECTED, "full": MOST}
_FIRST_OF_SESSION = {LEAST: 1, CORRECTED: 2, MOST: 3}
_ORDERED = {"minimal": 4, "full": 5}
"""The numbers of the assessments: one was made with each weigh, and one for each order."""


def kept(one: str, kind: str, name: str, revision: int = 1) -> Json:
    """Return what is answered of a document that changes."""
    return {
        "id": example_id(kind, TRAILER if name == "minimal" else COACH),
        "made_at": MOMENT,
        "changed_at": MOMENT,
        "revision": revision,
        "document": example_bodies()[f"keep_{one}"][name],
    }


def recorded(one: str, kind: str, name: str, *, is_later: bool = True) -> Json:
    """Return what is answered of a record of a vehicle; the least one is corrected later."""
    is_corrected = name == "minimal" and is_later
    return {
        "id": example_id(kind, 1 if name == "minimal" else 2),
        "made_at": MOMENT,
        "superseded_by": example_id(kind, 2) if is_corrected else None,
        "document": example_bodies()[f"record_{one}"][name],
    }


def weigh(name: str, *, is_later: bool = True) -> Json:
    """Return what is answered of a weigh."""
    is_corrected = name == "misread" and is_later
    rig, vehicle = _weighed(name)
    return {
        "id": example_id("sessions", _NUMBERS[name]),
        "made_at": MOMENT,
        "superseded_by": example_id("sessions", MOST) if is_corrected else None,
        "document": example_bodies()["record_session"][name],
        "snapshot": {"rig": rig, "vehicles": [vehicle], "schemas": {"rigs": 1, "vehicles": 1}},
    }


def summary(session: str, order: str | None) -> Json:
    """Return what a list says of an assessment: of a weigh, by an order or as it was made with the weigh."""
    number = _NUMBERS[session]
    return {
        "id": example_id("assessments", _FIRST_OF_SESSION[number] if order is None else _ORDERED[order]),
        "made_at": MOMENT,
        "rig_id": example_id("rigs", TRAILER if session == "minimal" else COACH),
        "session_id": example_id("sessions", number),
        "weighed_on": WEIGHED_ON,
        "standing": assessed(session, order).summary.standing,
        "trial": order == "full",
        "session_superseded_by": example_id("sessions", MOST) if session == "misread" else None,
        "contract_version": __version__,
        "core_version": __version__,
    }


def assessment(session: str, order: str | None) -> Json:
    """Return what is answered of an assessment."""
    result = msgspec.to_builtins(assessed(session, order))
    return summary(session, order) | {"input": _input(session, order), "result": result}


@cache
def assessed(session: str, order: str | None) -> AssessAnswer:
    """Return the assessment of a weigh."""
    return assessment_of(msgspec.convert(_input(session, order), AssessmentDocuments))


def page(*items: Any, next_cursor: str | None = None) -> Json:
    """Return a page of a list."""
    return {"items": list(items), "next_cursor": next_cursor}


def _weighed(session: str) -> tuple[Json, Json]:
    name = "minimal" if session == "minimal" else "full"
    return example_bodies()["keep_rig"][name], example_bodies()["keep_vehicle"][name]


def _input(session: str, order: str | None) -> Json:
    """Return the input of an assessment; the rig of the trailer names no policy, the coach's its own."""
    bodies = example_bodies()
    rig, vehicle = _weighed(session)
    is_coach = session != "minimal"
    policy = bodies["keep_policy"]["minimal" if order else "full"] if is_coach else None
    return {
        "rig": rig,
        "vehicles": [vehicle],
        "session": bodies["record_session"][session],
        "policy": policy,
        "inflation_tables": [bodies["keep_inflation_table"]["full"]] if is_coach else [],
        "order": None if order is None else bodies["make_assessment"][order],
    }
