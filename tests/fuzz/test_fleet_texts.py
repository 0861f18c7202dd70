"""Every text is kept and found as it was sent, or refused, alike on each database."""

import json
from typing import Any

import pytest

from tests.contract.example_fleet import OPERATIONS, ExampleFleet, bodies
from tests.fleet.yard import Fleet, coach, kept_coach, rig, weigh
from tests.fuzz.texts import KEPT, REFUSED, free_texts, told

TAKING = [operation_id for operation_id in OPERATIONS if operation_id.startswith(("keep_", "record_"))]
TAKING = [operation_id for operation_id in TAKING if list(free_texts(operation_id))]


def sent_with(examples: ExampleFleet, operation_id: str, text: str) -> Any:
    """Return the full example with a text at every place of one, so that it can be sent again and again."""
    full = bodies(OPERATIONS[operation_id][2])["full"]
    document = {name: value for name, value in full.items() if name != "supersedes"}
    return examples.translated(told(document, free_texts(operation_id), text) | archived(operation_id))


def archived(operation_id: str) -> dict[str, bool]:
    """Return what keeps a tire out of the place of another one."""
    return {"archived": True} if operation_id == "keep_tire" else {}


@pytest.fixture
def examples(fleet: Fleet) -> ExampleFleet:
    """A fleet in which all examples are kept."""
    examples = ExampleFleet(fleet)
    examples.make()
    return examples


@pytest.mark.parametrize("operation_id", TAKING)
def test_a_text_is_read_back_as_it_was_sent(examples: ExampleFleet, operation_id: str) -> None:
    path = OPERATIONS[operation_id][1]
    sent = [sent_with(examples, operation_id, text) for text in KEPT]
    made = [examples.fleet.post(path, document) for document in sent]
    assert [reply.status for reply in made] == [201] * len(KEPT)
    read = [examples.fleet.get(reply.headers["location"]).json["document"] for reply in made]
    assert [json.dumps(document) for document in read] == [json.dumps(document) for document in sent]


@pytest.mark.parametrize("operation_id", TAKING)
def test_a_text_that_no_field_takes_is_refused(examples: ExampleFleet, operation_id: str) -> None:
    path = OPERATIONS[operation_id][1]
    for text in REFUSED:
        for place in free_texts(operation_id):
            document = told(bodies(OPERATIONS[operation_id][2])["full"], iter([place]), text)
            reply = examples.fleet.post(path, examples.translated(document))
            assert (reply.status, reply.problem_type) == (422, "invalid"), (text, place, reply.body)


def test_a_vehicle_is_found_by_its_number_alone_and_no_other_like_it(fleet: Fleet) -> None:
    ids = [fleet.made("vehicles", coach(text))["id"] for text in KEPT]
    assert [fleet.ids("vehicles", asset_number=text) for text in KEPT] == [[id_] for id_ in ids]
    assert [fleet.post("vehicles", coach(text)).status for text in KEPT] == [409] * len(KEPT)


def test_rigs_are_listed_by_number_in_the_order_of_its_characters(fleet: Fleet) -> None:
    rigs = {text: fleet.made("rigs", rig([fleet.made("vehicles", coach(text))["id"]]))["id"] for text in KEPT}
    listed: list[str] = []
    query: dict[str, Any] = {"sort": "asset_number", "limit": 7}
    while True:
        page = fleet.get("rigs", **query).json
        listed += [item["asset_number"] for item in page["items"]]
        if page["next_cursor"] is None:
            break
        query["cursor"] = page["next_cursor"]
    assert listed == sorted(KEPT)
    assert [fleet.ids("rigs", asset_number=text) for text in KEPT] == [[rigs[text]] for text in KEPT]


def test_a_weigh_is_found_by_its_ticket(fleet: Fleet) -> None:
    _, rig_id = kept_coach(fleet)
    ids = []
    for text in KEPT:
        document = weigh(rig_id)
        document["session"]["ticket"] = text
        ids.append(fleet.made("sessions", document)["id"])
    assert [fleet.ids("sessions", ticket=text) for text in KEPT] == [[id_] for id_ in ids]
