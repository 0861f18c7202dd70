"""The same request again: one key of idempotency is one thing done, and one answer."""

from datetime import datetime, timedelta

import pytest

from axlewright.fleet import performing
from axlewright.fleet.clock import now
from tests.api.probe import Reply, send
from tests.fleet.yard import FLEET, MADE_OF, MISSING_ID, Fleet, another, coach, named_policy, rig, stocked, weigh


def without_request_id(reply: Reply) -> dict[str, str]:
    return {name: value for name, value in reply.headers.items() if name != "x-request-id"}


def test_two_keys_of_idempotency_are_refused(fleet: Fleet) -> None:
    pairs = [("authorization", f"Bearer {fleet.key}"), ("content-type", "application/json")]
    pairs += [("idempotency-key", "a"), ("idempotency-key", "a")]
    assert send(fleet.app, "POST", f"{FLEET}/policies", b'{"units": "us", "name": "two"}', pairs).status == 400


@pytest.mark.parametrize("kind", MADE_OF)
def test_a_request_that_is_sent_again_is_done_once_and_answered_as_before(fleet: Fleet, kind: str) -> None:
    ids = stocked(fleet)
    body = another(kind, ids)
    first = fleet.post(kind, body, idempotency_key="again")
    count = len(fleet.ids(kind))
    again = fleet.post(kind, body, idempotency_key="again")
    assert (first.status, again.status, again.body) == (201, 201, first.body)
    assert "idempotency-replayed" not in first.headers
    assert without_request_id(again) == {**without_request_id(first), "idempotency-replayed": "true"}
    assert again.headers["x-request-id"] != first.headers["x-request-id"]
    assert len(fleet.ids(kind)) == count
    assert fleet.post(kind, body if kind != "tires" else {**body, "position": "drive.left.outer"}).status == 201
    assert len(fleet.ids(kind)) == count + 1


def test_a_request_is_answered_as_before_whatever_has_changed_since(fleet: Fleet) -> None:
    first = fleet.post("vehicles", coach("A-1"), idempotency_key="k")
    assert fleet.put(first.headers["location"], coach("A-2"), "*").status == 200
    again = fleet.post("vehicles", coach("A-1"), idempotency_key="k")
    assert (again.status, again.body) == (201, first.body)
    assert again.json["revision"] == 1
    assert fleet.get(first.headers["location"]).json["revision"] == 2


def test_a_key_is_not_taken_for_another_request(fleet: Fleet) -> None:
    fleet.post("policies", named_policy("one"), idempotency_key="k")
    ids = stocked(fleet)
    for path, body in (
        ("policies", named_policy("two")),
        ("vehicles", coach()),
        ("sessions", weigh(ids["rigs"])),
        ("layouts", MADE_OF["layouts"](ids)),
    ):
        before = fleet.ids(path)
        refused = fleet.post(path, body, idempotency_key="k")
        assert (refused.status, refused.problem_type) == (422, "idempotency-mismatch")
        assert fleet.ids(path) == before
    assert fleet.post("policies", named_policy("one"), idempotency_key="k").status == 201


@pytest.mark.parametrize(
    ("key", "status"),
    [("", 400), ("x" * 256, 400), ("a b", 400), ("a\tb", 400), ("clé", 400), ("x" * 255, 201), ('!"~\\', 201)],
    ids=["empty", "long", "space", "tab", "accent", "longest", "signs"],
)
def test_a_key_of_idempotency_is_1_to_255_visible_characters(fleet: Fleet, key: str, status: int) -> None:
    reply = fleet.post("policies", named_policy("one"), idempotency_key=key)
    assert reply.status == status
    assert len(fleet.ids("policies")) == (status == 201)


def test_a_refused_request_does_not_use_up_its_key(fleet: Fleet) -> None:
    fleet.made("vehicles", coach("taken"))
    refusals = [
        fleet.post("vehicles", {"units": "us"}, idempotency_key="k"),
        fleet.post("vehicles", b"{", idempotency_key="k"),
        fleet.post("vehicles", coach("taken"), idempotency_key="k"),
        fleet.post("rigs", rig([MISSING_ID]), idempotency_key="k"),
    ]
    assert [reply.status for reply in refusals] == [422, 400, 409, 409]
    done = fleet.post("vehicles", coach("free"), idempotency_key="k")
    assert (done.status, "idempotency-replayed" in done.headers) == (201, False)
    assert fleet.post("vehicles", coach("free"), idempotency_key="k").headers["idempotency-replayed"] == "true"


def test_two_operators_may_use_the_same_key(fleet: Fleet, service: Fleet) -> None:
    first = fleet.post("policies", named_policy("one"), idempotency_key="shared")
    theirs = service.post("policies", named_policy("one"), idempotency_key="shared")
    assert (first.status, theirs.status) == (201, 201)
    assert "idempotency-replayed" not in theirs.headers
    assert first.json["id"] != theirs.json["id"]
    assert service.post("policies", named_policy("other"), idempotency_key="shared").status == 422


def test_an_answer_is_kept_for_a_day_and_not_for_ever(fleet: Fleet, monkeypatch: pytest.MonkeyPatch) -> None:
    first = fleet.post("policies", named_policy("one"), idempotency_key="old")
    for hours, is_kept in ((25, True), (72, False)):

        def later(hours: int = hours) -> datetime:
            return now() + timedelta(hours=hours)

        monkeypatch.setattr(performing, "now", later)
        fleet.post("policies", named_policy("other"), idempotency_key=f"new {hours}".replace(" ", "-"))
        again = fleet.post("policies", named_policy("one"), idempotency_key="old")
        assert again.status == 201
        assert (again.json["id"] == first.json["id"]) == is_kept
