"""One run of schemathesis over the service: what is fed in, what counts as an answer, and what came of it.

All checks and all phases are on. Two things are ours: half and more of the positive bodies that tell of a rig are
consistent ones, which no generator can make from the schema alone; and a positive case is also accepted by a 400
or 422 whose every fault is a contradiction between fields (`inconsistent_...`), since no schema can state those.
"""

import json
from functools import partial
from typing import Any

from hypothesis import strategies as st
from schemathesis.config import SchemathesisConfig
from schemathesis.openapi.checks import RejectedPositiveData

from tests.fuzz.grafts import body_examples, body_schemas, first_name, grafted, known_to, resolved
from tests.fuzz.outcome import is_positive
from tests.rigs import (
    aboard,
    calibrations,
    envelopes,
    headrooms,
    histories,
    inflation,
    markings,
    merges,
    plans,
    shifts,
    walk_rounds,
)
from tests.rigs.coupled import coupled_requests
from tests.rigs.quantities import Json
from tests.rigs.requests import requests

RIG_OPERATIONS = ("assess", "reconcile_session", "check_loads", "assess_balance", "recommend_inflation")
"""Those that take a rig; the first is the whole, of which the others take a part."""
PREDICTIONS = (
    "forecast_loads",
    "find_envelope",
    "judge_towing",
    "find_headroom",
    "calibrate_loads",
    "plan_shift",
    "merge_sessions",
    "plan_session",
)
"""Those that take the same rig and ask more of it: each value of a rig is tried by itself in the whole only."""
SESSIONS = {"sessions", "before", "after"}
"""Names that hold a weigh, or loads known, under another name than the whole has for it."""
PART_SHARE = 10
"""Every other operation is fed one body for so many of the whole."""
SLOW_SHARE = 30
"""What takes several sessions is slow to make from the schema: one body for so many of the whole."""
LEAST_EXAMPLES = 5
OWN_QUESTIONS = {
    "forecast_loads": aboard.FORECASTS,
    "find_envelope": envelopes.ENVELOPES,
    "find_headroom": headrooms.HEADROOMS,
    "judge_towing": aboard.TOWING,
    "plan_shift": shifts.SHIFTS,
    "calibrate_loads": calibrations.REQUESTS,
    "merge_sessions": merges.MERGES,
    "plan_session": plans.PLANS,
    "read_tire": markings.REQUESTS,
    "judge_walk_round": walk_rounds.REQUESTS,
    "list_upkeep_due": histories.histories(),
    "write_upkeep_calendar": histories.histories(),
}
"""Questions with documents of their own kind, and consistent ones to feed them."""
COUPLED_SHARE = 4
"""One consistent body in so many tells of a rig that was weighed hitched."""
GENERIC_SHARE = 20
"""One positive body in so many is left as made from the schema alone."""


def configuration(seed: int, examples: int, *, cover_all: bool) -> SchemathesisConfig:
    """Return the settings of one run: every check, every phase, warnings that fail.

    The coverage phase tries each value of a document by itself, thousands of them; `cover_all` says whether it does
    so for every operation, or for the whole assessment only.
    """
    return _configuration(seed, examples, mode="all", part_phases={"coverage": {"enabled": cover_all}})


def negative_configuration(seed: int, examples: int) -> SchemathesisConfig:
    """Return the settings of a run with nothing but bodies that must be refused: among rigs they come seldom."""
    return _configuration(seed, examples, mode="negative", coverage={"enabled": False})


def positive_configuration(seed: int, examples: int) -> SchemathesisConfig:
    """Return the settings of a run with nothing but what the contract allows."""
    return _configuration(seed, examples, mode="positive", coverage={"enabled": False})


def _configuration(
    seed: int, examples: int, mode: str, part_phases: Json | None = None, **phases: Json
) -> SchemathesisConfig:
    whole = {"generation": {"max-examples": examples}}

    def part(share: int) -> Json:
        return {"generation": {"max-examples": max(examples // share, LEAST_EXAMPLES)}, "phases": part_phases or {}}

    return SchemathesisConfig.from_dict(
        {
            "seed": seed,
            "continue-on-failure": True,
            "generation": {"database": "none", "mode": mode},
            "operations": [
                {"include-operation-id": "assess", **whole},
                {"include-operation-id": "merge_sessions", **part(SLOW_SHARE)},
                {"exclude-operation-id": ["assess", "merge_sessions"], **part(PART_SHARE)},
            ],
            "phases": {"examples": {"fill-missing": True}, **phases},
            "warnings": {"fail-on": True},
        }
    )


def with_rigs(schema: Any, *, is_older: bool = False) -> Any:
    """Return the loaded schema with the hooks of this service; an older one is fed only names that it has."""
    document = schema.raw_schema
    taken = body_schemas(document)
    names = {operation_id: set(resolved(each, document)["properties"]) for operation_id, each in taken.items()}
    questions = {
        **{operation_id: bodies(names[operation_id]) for operation_id in RIG_OPERATIONS if operation_id in names},
        **{operation_id: inflation.requests(make) for operation_id, make in inflation.QUESTIONS.items()},
        **OWN_QUESTIONS,
    }
    for operation_id, body_schema in taken.items():
        if operation_id in questions:
            known = partial(known_to, body_schema, document=document) if is_older else _as_drawn
            _feed_consistent(schema, operation_id, questions[operation_id].map(known))
    for operation_id in PREDICTIONS:
        _leave_out(schema, operation_id, (names["assess"] | SESSIONS) - {"units"})
    for operation_id, examples in body_examples(document).items():
        _graft(schema, operation_id, examples)

    @schema.hook("filter_failure")
    def unforeseeable(_: Any, failure: Any, case: Any, response: Any) -> bool:
        return not (isinstance(failure, RejectedPositiveData) and only_contradictions(response.status_code, response))

    return schema


def _as_drawn(body: Json) -> Json:
    return body


def _feed_consistent(schema: Any, operation_id: str, consistent_bodies: st.SearchStrategy[Any]) -> None:
    @schema.hook("flatmap_case").apply_to(operation_id=operation_id)
    def consistent(_: Any, case: Any) -> st.SearchStrategy[Any]:
        if not is_positive(case):
            return st.just(case)
        return st.integers(0, GENERIC_SHARE - 1).flatmap(
            lambda pick: (
                st.just(case) if pick == GENERIC_SHARE - 1 else consistent_bodies.map(lambda body: _with(case, body))
            )
        )


def _leave_out(schema: Any, operation_id: str, names: set[str]) -> None:
    """Leave the coverage of names to the operation in which each value of theirs is tried."""

    @schema.hook("filter_case").apply_to(operation_id=operation_id)
    def own(_: Any, case: Any) -> bool:
        return case.meta is None or case.meta.phase.name.value != "coverage" or first_name(case) not in names


def _graft(schema: Any, operation_id: str, examples: list[Json]) -> None:
    @schema.hook("map_case").apply_to(operation_id=operation_id)
    def computable(_: Any, case: Any) -> Any:
        if not is_positive(case):
            return case
        body = grafted(case, examples)
        return _with(case, without_pending(body) if operation_id in RIG_OPERATIONS else body)


def bodies(names: set[str]) -> st.SearchStrategy[Any]:
    """Return consistent bodies of the names that an operation takes; one in so many of a rig weighed hitched."""
    whole = requests() if "loads" in names else requests().filter(lambda body: "session" in body)
    return (
        st.integers(0, COUPLED_SHARE - 1)
        .flatmap(lambda pick: coupled_requests() if pick == COUPLED_SHARE - 1 else whole)
        .map(lambda body: {name: value for name, value in body.items() if name in names})
    )


def without_pending(body: Any) -> Any:
    """Return a body without what this version does not compute: a coupled rig no pass of which is hitched."""
    if not isinstance(body, dict) or not isinstance(body.get("rig"), dict):
        return body
    session = body.get("session")
    passes = session.get("passes", ()) if isinstance(session, dict) else ()
    hitched = [each for each in passes if each.get("state", "solo") != "solo"]
    if bool(hitched) == bool(body["rig"].get("couplings")):
        return body
    body = json.loads(json.dumps(body))
    body["rig"].pop("couplings", None)
    for each in body["session"]["passes"] if hitched else ():
        each.pop("state", None)
    return body


def only_contradictions(status: int, response: Any) -> bool:
    """Return whether an answer refuses what was sent as contradictory or not computed yet, and for nothing else."""
    if status not in (400, 422):
        return False
    codes = [error["code"] for error in response.json()["errors"]]
    return bool(codes) and all(code.startswith("inconsistent_") or code == "not_yet_computed" for code in codes)


def _with(case: Any, body: Any) -> Any:
    case.body = body
    return case
