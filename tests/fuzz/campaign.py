"""One run of schemathesis over the service: what is fed in, what counts as an answer, and what came of it.

All checks and all phases are on. Two things are ours: half and more of the positive bodies that tell of a rig are
consistent ones, which no generator can make from the schema alone; and a positive case is also accepted by a 400
or 422 whose every fault is a contradiction between fields (`inconsistent_...`), since no schema can state those.
"""

import json
import re
from collections import Counter
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

from hypothesis import strategies as st
from schemathesis.cli.commands.run.warnings import WarningCollector
from schemathesis.config import SchemathesisConfig
from schemathesis.engine import Status, events, from_schema
from schemathesis.openapi.checks import RejectedPositiveData

from tests.documents import known, weighed
from tests.rigs import aboard, calibrations, envelopes, headrooms, histories, inflation, markings, shifts, walk_rounds
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
)
"""Those that take the same rig and ask more of it: each value of a rig is tried by itself in the whole only."""
PART_SHARE = 10
"""Every other operation is fed one body for so many of the whole."""
OWN_QUESTIONS = {
    "forecast_loads": aboard.FORECASTS,
    "find_envelope": envelopes.ENVELOPES,
    "find_headroom": headrooms.HEADROOMS,
    "judge_towing": aboard.TOWING,
    "plan_shift": shifts.SHIFTS,
    "calibrate_loads": calibrations.REQUESTS,
    "read_tire": markings.REQUESTS,
    "judge_walk_round": walk_rounds.REQUESTS,
    "list_upkeep_due": histories.histories(),
    "write_upkeep_calendar": histories.histories(),
}
"""Questions with documents of their own kind, and consistent ones to feed them."""
PHASES = ("examples", "coverage", "fuzzing", "stateful")
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
    part = {"generation": {"max-examples": max(examples // PART_SHARE, 10)}, "phases": part_phases or {}}
    return SchemathesisConfig.from_dict(
        {
            "seed": seed,
            "continue-on-failure": True,
            "generation": {"database": "none", "mode": mode},
            "operations": [
                {"include-operation-id": "assess", **whole},
                {"include-operation-id": list(PREDICTIONS), **part, "phases": {"coverage": {"enabled": False}}},
                {"exclude-operation-id": ["assess", *PREDICTIONS], **part},
            ],
            "phases": {"examples": {"fill-missing": True}, **phases},
            "warnings": {"fail-on": True},
        }
    )


@dataclass
class Outcome:
    """What a run found, and how the positive bodies with a rig were answered, by phase and status."""

    failures: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)
    positive: dict[str, Counter[int]] = field(default_factory=dict)
    checks: Counter[str] = field(default_factory=Counter)
    codes: set[str] = field(default_factory=set)
    phases: dict[str, str] = field(default_factory=dict)
    stopped: str = ""

    @property
    def findings(self) -> list[str]:
        """Everything that must not be: failed checks, errors of the run, warnings."""
        return [*self.failures, *self.errors, *self.warnings]

    @property
    def accepted_share(self) -> float:
        """Share of the positive bodies with a rig that were answered 2xx."""
        total = sum(self.positive.values(), Counter[int]())
        return sum(count for status, count in total.items() if status < 300) / max(total.total(), 1)

    def summary(self) -> str:
        """Return the run in a few lines."""
        lines = [f"cases {self.statuses.total()}, by status {dict(sorted(self.statuses.items()))}"]
        lines += [f"positive bodies, {phase}: {dict(sorted(c.items()))}" for phase, c in self.positive.items()]
        lines += [f"positive bodies answered 2xx: {self.accepted_share:.1%}"]
        lines += [f"fault codes seen: {', '.join(sorted(self.codes))}"]
        lines += [f"phases {self.phases}", f"checks {dict(sorted(self.checks.items()))}"]
        return "\n".join(lines)


def with_rigs(schema: Any) -> Any:
    """Return the loaded schema with the hooks of this service."""

    for operation_id, names in names_taken(schema).items():
        _feed(schema, operation_id, names)
    for operation_id, make in inflation.QUESTIONS.items():
        _feed_consistent(schema, operation_id, inflation.requests(make))
    for operation_id, consistent_bodies in OWN_QUESTIONS.items():
        _feed_consistent(schema, operation_id, consistent_bodies)

    @schema.hook("filter_failure")
    def unforeseeable(_: Any, failure: Any, case: Any, response: Any) -> bool:
        return not (isinstance(failure, RejectedPositiveData) and only_contradictions(response.status_code, response))

    return schema


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


def _feed(schema: Any, operation_id: str, names: set[str]) -> None:
    _feed_consistent(schema, operation_id, bodies(names))

    @schema.hook("map_case").apply_to(operation_id=operation_id)
    def computable(_: Any, case: Any) -> Any:
        return _with(case, cut(without_pending(grafted(case)), names)) if is_positive(case) else case


def names_taken(schema: Any) -> dict[str, set[str]]:
    """Return the names that each operation with a rig takes, by operation id."""
    found = {}
    for item in schema.raw_schema["paths"].values():
        for operation in item.values():
            if operation["operationId"] in RIG_OPERATIONS:
                reference = operation["requestBody"]["content"]["application/json"]["schema"]["$ref"]
                component = schema.raw_schema["components"]["schemas"][reference.rpartition("/")[2]]
                found[operation["operationId"]] = set(component["properties"])
    return found


def bodies(names: set[str]) -> st.SearchStrategy[Any]:
    """Return consistent bodies of the names that an operation takes."""
    whole = requests() if "loads" in names else requests().filter(lambda body: "session" in body)
    return whole.map(lambda body: cut(body, names))


def cut(body: Any, names: set[str]) -> Any:
    """Return a body without what an operation does not take."""
    return {name: value for name, value in body.items() if name in names} if isinstance(body, dict) else body


def is_positive(case: Any) -> bool:
    """Return whether a case was made to be accepted."""
    return case.meta is not None and case.meta.generation.mode.is_positive


def grafted(case: Any) -> Any:
    """Return the body of a case; of one made for a single value, a consistent request with that value in its place.

    The coverage phase tries each value in a body whose other values are the first that the schema allows, so that
    none would ever reach the core.
    """
    description = getattr(case.meta.phase.data, "description", None) or ""
    path = re.findall(r"'([a-z_]+)' value", description)
    if case.meta.phase.name.value != "coverage" or not path:
        return case.body
    base: Any = known() if path[0] == "loads" else weighed()
    scale = base["session"]["scale"] if "session" in base else {}
    if "tolerance" in path:
        scale["tolerance"] = {"share": 0.002, "least": 20}
        del scale["accuracy_class"]
    source, target = case.body, base
    # Where the consistent request ends before the path does, it takes the rest as it was made.
    for name in path:
        if not (isinstance(source, dict) and isinstance(target, dict) and name in source):
            return case.body
        if name == path[-1] or not target.get(name):
            target[name] = source[name]
            break
        source, target = _entered(source, name), _entered(target, name)
    return base


def _entered(document: Any, name: str) -> Any:
    value = document.get(name) if isinstance(document, dict) else None
    return value[0] if isinstance(value, list) and value else value


def without_pending(body: Any) -> Any:
    """Return a body without what this version does not compute: couplings, states, changes between passes."""
    if not isinstance(body, dict):
        return body
    body = json.loads(json.dumps(body))
    if isinstance(body.get("rig"), dict):
        body["rig"].pop("couplings", None)
    session = body.get("session")
    for each in session.get("passes", ()) if isinstance(session, dict) else ():
        each.pop("state", None)
        each.pop("changes", None)
    return body


def only_contradictions(status: int, response: Any) -> bool:
    """Return whether an answer refuses what was sent as contradictory or not computed yet, and for nothing else."""
    if status not in (400, 422):
        return False
    codes = [error["code"] for error in response.json()["errors"]]
    return bool(codes) and all(code.startswith("inconsistent_") or code == "not_yet_computed" for code in codes)


def run(schema: Any) -> Outcome:
    """Run every phase and return what came of it."""
    outcome = Outcome()
    project = schema.config
    collector = WarningCollector(project)
    context: Any = SimpleNamespace(find_operation=schema.find_operation_by_label)
    for event in from_schema(schema).execute():
        if isinstance(event, events.ScenarioFinished):
            collector.on_scenario_finished(context, event)
            _note(outcome, event)
        elif isinstance(event, events.SchemaAnalysisWarnings):
            collector.on_schema_warnings(event)
        elif isinstance(event, events.NonFatalError):
            outcome.errors.append(f"{event.label}: {event.info}")
        elif isinstance(event, events.FatalError):
            raise event.exception
        elif isinstance(event, events.PhaseFinished) and event.phase.name.value in PHASES:
            reason = event.phase.skip_reason
            outcome.phases[event.phase.name.value] = reason.value if reason else event.status.value
        elif isinstance(event, events.EngineFinished):
            outcome.stopped = event.stop_reason.value
    outcome.warnings = [f"{kind}: {labels}" for kind, labels in collector.data.as_labels().items() if labels]
    return outcome


def _with(case: Any, body: Any) -> Any:
    case.body = body
    return case


def _note(outcome: Outcome, event: Any) -> None:
    recorder = event.recorder
    for key, node in recorder.cases.items():
        interaction = recorder.interactions.get(key)
        if interaction is None or interaction.response is None:
            continue
        status = interaction.response.status_code
        outcome.statuses[status] += 1
        if status >= 400 and interaction.response.content:
            outcome.codes |= {error["code"] for error in interaction.response.json()["errors"]}
        if is_positive(node.value) and node.value.operation.definition.raw["operationId"] in RIG_OPERATIONS:
            outcome.positive.setdefault(event.phase.value, Counter())[status] += 1
    for key, checks in recorder.checks.items():
        for check in checks:
            outcome.checks[check.name] += 1
            if check.status is Status.FAILURE and check.failure_info is not None:
                failure = check.failure_info.failure
                outcome.failures.append(
                    f"{event.phase.value}, {check.name}: {failure.title}: {failure.message}\n"
                    f"{recorder.cases[key].value.as_curl_command()[:2000]}"
                )
