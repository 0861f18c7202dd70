"""Many requests at once: nothing is lost, nothing is done twice, and who may not is told so."""

import random
import threading
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

import pytest

from axlewright.fleet import listing, rigs, weighs
from axlewright.fleet.unit import Unit
from tests.fleet.databases import Database
from tests.fleet.yard import (
    MADE_OF,
    RECORDED_KINDS,
    Fleet,
    coach,
    fleet_on,
    kept_coach,
    named_policy,
    new_operator,
    other,
    rig,
    stocked,
    weigh,
)

T = TypeVar("T")


def at_once(count: int, work: Callable[[int], T]) -> list[T]:
    with ThreadPoolExecutor(count) as threads:
        return list(threads.map(work, range(count)))


def test_fifty_requests_of_one_key_at_once_are_done_once(service: Fleet, shared_database: Database) -> None:
    operator = new_operator()
    fleet = other(service, shared_database.url, operator)
    with fleet_on(shared_database.url, new_operator()) as second:
        processes = (fleet, Fleet(second.app, fleet.key))
        replies = at_once(
            50, lambda number: processes[number % 2].post("vehicles", coach("one"), idempotency_key="once")
        )
    made = [reply for reply in replies if reply.status == 201]
    waiting = [reply for reply in replies if reply.status != 201]
    assert made
    assert {reply.body for reply in made} == {made[0].body}
    assert sum("idempotency-replayed" not in reply.headers for reply in made) == 1
    for reply in waiting:
        assert (reply.status, reply.problem_type) == (409, "in-progress"), reply.body
        assert int(reply.headers["retry-after"]) >= 1
    assert len(fleet.ids("vehicles")) == 1
    last = fleet.post("vehicles", coach("one"), idempotency_key="once")
    assert (last.status, last.headers["idempotency-replayed"], last.body) == (201, "true", made[0].body)


def test_nothing_is_lost_of_changes_that_name_the_version_they_saw(fleet: Fleet) -> None:
    path = fleet.post("policies", named_policy("0")).headers["location"]

    def add_fifteen(_: int) -> Counter[int]:
        statuses: Counter[int] = Counter()
        while statuses[200] < 15:
            seen = fleet.get(path)
            count = int(seen.json["document"]["name"])
            changed = fleet.put(path, named_policy(str(count + 1)), seen.headers["etag"])
            statuses[changed.status] += 1
            if changed.status == 412:
                time.sleep(random.uniform(0, 0.02))
        return statuses

    statuses = sum(at_once(16, add_fifteen), Counter())
    assert statuses.keys() <= {200, 412}
    kept = fleet.get(path).json
    assert (kept["document"]["name"], kept["revision"], statuses[200]) == ("240", 241, 240)


def test_of_many_who_want_one_asset_number_one_gets_it(fleet: Fleet) -> None:
    replies = at_once(8, lambda _: fleet.post("vehicles", coach("wanted")))
    assert Counter(reply.status for reply in replies) == {201: 1, 409: 7}
    for reply in replies:
        if reply.status == 409:
            assert reply.json["errors"][0]["pointer"] == "/asset_number"
    assert len(fleet.ids("vehicles")) == 1


@pytest.mark.parametrize("kind", RECORDED_KINDS)
def test_of_many_who_correct_one_record_one_does(fleet: Fleet, kind: str) -> None:
    ids = stocked(fleet)
    body = {**MADE_OF[kind](ids), "supersedes": ids[kind]}
    replies = at_once(6, lambda _: fleet.post(kind, body))
    assert Counter(reply.status for reply in replies) == {201: 1, 409: 5}
    [made] = [reply.json["id"] for reply in replies if reply.status == 201]
    assert fleet.get(f"{kind}/{ids[kind]}").json["superseded_by"] == made
    assert len(fleet.ids(kind)) == 2


def test_weighs_of_one_rig_at_once_are_all_kept_and_the_last_day_is_listed(fleet: Fleet) -> None:
    _, rig_id = kept_coach(fleet)
    replies = at_once(6, lambda number: fleet.post("sessions", weigh(rig_id, f"2026-05-{10 + number}")))
    assert [reply.status for reply in replies] == [201] * 6
    [listed] = fleet.get("rigs").json["items"]
    assert listed["weighed_on"] == "2026-05-15"
    assert len(fleet.get(f"rigs/{rig_id}/history", units="us").json["entries"]) == 12


def test_a_rig_that_gets_a_vehicle_while_that_changes_is_listed_by_the_change(
    postgresql_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    changing = threading.Event()

    def slowly(unit: Unit, vehicle_id: str) -> list[str]:
        rig_ids = listing.rigs_of_vehicle(unit, vehicle_id)
        changing.set()
        time.sleep(0.5)
        return rig_ids

    monkeypatch.setattr(rigs, "rigs_of_vehicle", slowly)
    with fleet_on(postgresql_database.url) as fleet, ThreadPoolExecutor(3) as threads:
        vehicle_id, other_id = (fleet.made("vehicles", coach(labels=["old"]))["id"] for _ in range(2))
        rig_id = fleet.made("rigs", rig([other_id]))["id"]
        changing.clear()
        change = threads.submit(fleet.put, f"vehicles/{vehicle_id}", coach(labels=["new"]), "*")
        assert changing.wait(10)
        into_old = threads.submit(fleet.put, f"rigs/{rig_id}", rig([vehicle_id]), "*")
        into_new = threads.submit(fleet.post, "rigs", rig([vehicle_id]))
        assert [each.result().status for each in (change, into_old, into_new)] == [200, 200, 201]
        assert fleet.ids("rigs", label="old") == []
        assert fleet.ids("rigs", label="new") == [rig_id, into_new.result().json["id"]]


def test_an_assessment_that_is_made_while_its_weigh_is_corrected_leaves_the_history_with_it(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    assessing = threading.Event()
    keep = weighs.assessments.add

    def slowly(*args: Any) -> str:
        id_ = keep(*args)
        if not assessing.is_set():
            assessing.set()
            time.sleep(0.5)
        return id_

    with fleet_on(database.url) as fleet, ThreadPoolExecutor(1) as threads:
        _, rig_id = kept_coach(fleet)
        wrong = fleet.made("sessions", weigh(rig_id))["id"]
        monkeypatch.setattr(weighs.assessments, "add", slowly)
        order = threads.submit(fleet.post, "assessments", {"session_id": wrong, "units": "us"})
        assert assessing.wait(10)
        right = fleet.made("sessions", weigh(rig_id, supersedes=wrong))["id"]
        assert order.result().status == 201
        entries = fleet.get(f"rigs/{rig_id}/history", units="us").json["entries"]
        assert [entry["kind"] for entry in entries] == ["assessment", "weigh"]
        assert [entry["id"] for entry in entries] == [*fleet.ids("assessments", session_id=right), right]
