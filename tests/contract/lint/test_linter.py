"""The linter accepts the published contract, and each of its rules refuses a contract broken in one place.

The linter runs on Node, which the rest of the project does without: these tests are `long`.
"""

import json
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.contract.lint.breaks import BREAKS, linked

HERE = Path(__file__).parent
NPM = shutil.which("npm")

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(NPM is None, reason="no npm on this machine (Debian: nodejs and npm), which the linter runs on"),
]


@pytest.fixture(scope="module")
def linter() -> Path:
    """Return the linter as the lock has it, installed beside the lock if it is not there."""
    command = HERE / "node_modules" / ".bin" / "redocly"
    if not command.exists():
        subprocess.run([str(NPM), "ci"], cwd=HERE, check=True)
    return command


def reports(linter: Path, paths: list[Path]) -> Iterator[Any]:
    """Yield what the linter says of each document, in order; it writes one JSON text after another."""
    options = ["--config", "redocly.yaml", "--lint-config", "error", "--max-problems", "1000", "--format", "json"]
    done = subprocess.run([linter, "lint", *options, *paths], cwd=HERE, capture_output=True, text=True, check=False)
    decoder, rest = json.JSONDecoder(), done.stdout.strip()
    assert rest, done.stderr
    while rest:
        report, end = decoder.raw_decode(rest)
        yield report
        rest = rest[end:].lstrip()


@pytest.fixture(scope="module")
def reported(linter: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, set[str]]:
    """Return the rules that report what they did not before the break, by its name: all documents in one run."""
    folder = tmp_path_factory.mktemp("broken")
    documents = [linked() for _ in range(1 + len(BREAKS))]
    for document, (_, break_) in zip(documents[1:], BREAKS.values(), strict=True):
        break_(document)
    paths = [folder / f"{number}.json" for number in range(len(documents))]
    for path, document in zip(paths, documents, strict=True):
        path.write_text(json.dumps(document))
    before, *after = [faults_of(report) for report in reports(linter, paths)]
    return {name: {rule for rule, _ in faults - before} for name, faults in zip(BREAKS, after, strict=True)}


def faults_of(report: Any) -> set[tuple[str, str]]:
    """Return each report's rule and place."""
    return {(problem["ruleId"], problem["location"][0]["pointer"]) for problem in report["problems"]}


def test_the_published_contract_has_no_error_no_warning_and_nothing_ignored(linter: Path) -> None:
    [report] = reports(linter, [HERE.parents[2] / "openapi" / "openapi.json"])
    assert faults_of(report) == set()
    assert report["totals"] == {"errors": 0, "warnings": 0, "ignored": 0}


@pytest.mark.parametrize("name", BREAKS)
def test_a_contract_broken_in_one_place_is_refused_by_the_rule_for_it(name: str, reported: dict[str, set[str]]) -> None:
    assert reported[name] == {BREAKS[name][0]}


def test_every_rule_that_is_asked_for_by_name_is_shown_to_bite() -> None:
    lines = (HERE / "redocly.yaml").read_text().partition("\nrules:\n")[2].splitlines()
    rules = [line.strip() for line in lines if line.startswith("  ") and line[2] not in " #"]
    asked = {rule.partition(":")[0] for rule in rules if ": off" not in rule}
    assert len(asked) > 20
    assert asked - {rule for rule, _ in BREAKS.values()} == set()
