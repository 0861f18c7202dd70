"""What a run of schemathesis came to: what it found, and how it was answered."""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

from schemathesis.cli.commands.run.warnings import WarningCollector
from schemathesis.engine import Status, events, from_schema

PHASES = ("examples", "coverage", "fuzzing", "stateful")


@dataclass
class Outcome:
    """What a run found, and how the positive cases of the operations counted were answered."""

    failures: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)
    positive: dict[str, Counter[int]] = field(default_factory=dict)
    operations: dict[str, Counter[int]] = field(default_factory=dict)
    links: Counter[str] = field(default_factory=Counter)
    """How often each link of the contract was followed."""
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
        """Share of the positive cases counted that were answered 2xx."""
        total = sum(self.positive.values(), Counter[int]())
        return sum(count for status, count in total.items() if status < 300) / max(total.total(), 1)

    def summary(self) -> str:
        """Return the run in a few lines."""
        lines = [f"cases {self.statuses.total()}, by status {dict(sorted(self.statuses.items()))}"]
        lines += [f"positive cases, {phase}: {dict(sorted(c.items()))}" for phase, c in self.positive.items()]
        lines += [f"positive cases answered 2xx: {self.accepted_share:.1%}"]
        lines += [f"links followed: {len(self.links)}, {self.links.total()} times"]
        lines += [f"fault codes seen: {', '.join(sorted(self.codes))}"]
        lines += [f"phases {self.phases}", f"checks {dict(sorted(self.checks.items()))}"]
        return "\n".join(lines)


def run(schema: Any, counted: Collection[str]) -> Outcome:
    """Run every phase and return what came of it; of `counted` operations the answers to positive cases are counted."""
    outcome = Outcome()
    project = schema.config
    collector = WarningCollector(project)
    context: Any = SimpleNamespace(find_operation=schema.find_operation_by_label)
    for event in from_schema(schema).execute():
        if isinstance(event, events.ScenarioFinished):
            collector.on_scenario_finished(context, event)
            _note(outcome, event, counted)
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


def is_positive(case: Any) -> bool:
    """Return whether a case was made to be accepted."""
    return case.meta is not None and case.meta.generation.mode.is_positive


def _note(outcome: Outcome, event: Any, counted: Collection[str]) -> None:
    recorder = event.recorder
    for key, node in recorder.cases.items():
        interaction = recorder.interactions.get(key)
        if interaction is None or interaction.response is None:
            continue
        status = interaction.response.status_code
        outcome.statuses[status] += 1
        if node.transition is not None and node.is_transition_applied and not node.transition.is_inferred:
            outcome.links[node.transition.id] += 1
        if status >= 400 and interaction.response.content:
            outcome.codes |= {error["code"] for error in interaction.response.json()["errors"]}
        operation_id = node.value.operation.definition.raw["operationId"]
        if is_positive(node.value) and operation_id in counted:
            outcome.positive.setdefault(event.phase.value, Counter())[status] += 1
            outcome.operations.setdefault(operation_id, Counter())[status] += 1
    for key, checks in recorder.checks.items():
        for check in checks:
            outcome.checks[check.name] += 1
            if check.status is Status.FAILURE and check.failure_info is not None:
                failure = check.failure_info.failure
                outcome.failures.append(
                    f"{event.phase.value}, {check.name}: {failure.title}: {failure.message}\n"
                    f"{recorder.cases[key].value.as_curl_command()[:2000]}"
                )
