"""Schemathesis over the fleet store, through a server process, on each database."""

import pytest

from tests.fleet.databases import Database
from tests.fleet.yard import new_key
from tests.fuzz.fleet_campaign import configuration, fleet_run
from tests.fuzz.outcome import PHASES, Outcome
from tests.fuzz.served import ServedFleet, serving
from tests.fuzz.test_service import CHECKS

SEED = 11
EXAMPLES = 5
COVERED = ["list_changes", "record_odometer_reading", "change_policy", "get_rig_history"]
"""Operations of which the plain run tries every value by itself; the long one does of all."""
LONG_SEED = 1
LONG_EXAMPLES = 30


def outcome_on(database: Database, seed: int, examples: int, covered: list[str] | None) -> Outcome:
    key = new_key(database.url, "Alder Yard")
    with serving(AXLEWRIGHT_DATABASE_URL=database.url, AXLEWRIGHT_RATE_LIMIT="0") as address:
        return fleet_run(ServedFleet(address, key), configuration(key, seed, examples, covered))


def judge(outcome: Outcome) -> None:
    assert outcome.findings == []
    assert outcome.stopped == "completed"
    assert outcome.phases == dict.fromkeys(PHASES, "success")
    assert set(outcome.checks) == CHECKS
    assert outcome.accepted_share >= 0.5


def test_every_check_of_every_phase_holds(sqlite_database: Database, capsys: pytest.CaptureFixture[str]) -> None:
    outcome = outcome_on(sqlite_database, SEED, EXAMPLES, COVERED)
    with capsys.disabled():
        print(f"\n{outcome.summary()}")
    judge(outcome)


@pytest.mark.long
def test_every_check_holds_on_each_database(database: Database, capsys: pytest.CaptureFixture[str]) -> None:
    outcome = outcome_on(database, LONG_SEED, LONG_EXAMPLES, None)
    with capsys.disabled():
        print(f"\n{database.kind}: {outcome.summary()}")
    judge(outcome)
