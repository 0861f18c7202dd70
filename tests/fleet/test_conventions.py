"""What holds for whatever is kept: tags of versions, the audit trail, where a thing is, and corrections."""

import pytest

from axlewright.fleet.clock import now
from axlewright.fleet.engines import owner_engine, transaction
from axlewright.fleet.key_store import make_key
from tests.api.probe import send
from tests.fleet.databases import Database
from tests.fleet.yard import (
    FLEET,
    KEPT_KINDS,
    MADE_OF,
    MISSING_ID,
    RECORDED_KINDS,
    Fleet,
    another,
    named_policy,
    new_operator,
    other,
    stocked,
)


@pytest.mark.parametrize("kind", KEPT_KINDS)
def test_a_change_needs_the_tag_of_the_present_version(fleet: Fleet, kind: str) -> None:
    ids = stocked(fleet)
    path, body = f"{kind}/{ids[kind]}", MADE_OF[kind](ids)
    first = fleet.get(path)
    tag = first.headers["etag"]
    assert tag.startswith('"')
    for without, status, problem in ((None, 428, "precondition-required"), ('"other"', 412, "precondition-failed")):
        refused = fleet.put(path, body, without)
        assert (refused.status, refused.problem_type) == (status, problem)
        assert fleet.get(path).body == first.body
    changed = fleet.put(path, body, tag)
    assert changed.status == 200
    assert changed.headers["etag"] not in ("", tag)
    assert fleet.put(path, body, tag).status == 412
    now_kept = fleet.get(path)
    assert (now_kept.headers["etag"], now_kept.body) == (changed.headers["etag"], changed.body)
    assert (first.json["revision"], now_kept.json["revision"]) == (1, 2)
    assert now_kept.json["made_at"] == first.json["made_at"] == first.json["changed_at"] < now_kept.json["changed_at"]


@pytest.mark.parametrize(
    ("tags", "status"),
    [
        ("{tag}", 200),
        ("  {tag} ", 200),
        ('"a", {tag}', 200),
        ('{tag},"b"', 200),
        ('"a" , {tag} ,"b"', 200),
        ('"with,comma", {tag}', 200),
        ("*", 200),
        ("W/{tag}", 412),
        ('W/{tag}, "a"', 412),
        ("{bare}", 400),
        ('"a"', 412),
        ("{upper}", 412),
        ("", 400),
        ('"*"', 412),
    ],
)
def test_if_match_compares_strongly_any_of_a_list(fleet: Fleet, tags: str, status: int) -> None:
    made = fleet.post("policies", named_policy("one"))
    tag = made.headers["etag"]
    sent = tags.format(tag=tag, bare=tag.strip('"'), upper=tag.upper())
    path = made.headers["location"]
    assert fleet.put(path, named_policy("two"), sent).status == status
    assert fleet.get(path).json["document"]["name"] == ("two" if status == 200 else "one")


def test_if_match_may_come_in_several_lines(fleet: Fleet) -> None:
    made = fleet.post("policies", named_policy("one"))
    pairs = [("authorization", f"Bearer {fleet.key}"), ("content-type", "application/json")]
    pairs += [("if-match", '"a"'), ("if-match", made.headers["etag"])]
    reply = send(fleet.app, "PUT", made.headers["location"], b'{"units": "us", "name": "two"}', pairs)
    assert reply.status == 200


def test_any_version_will_do_for_a_star_but_not_none(fleet: Fleet) -> None:
    for kind in KEPT_KINDS:
        ids = dict.fromkeys(MADE_OF, MISSING_ID)
        assert fleet.put(f"{kind}/{MISSING_ID}", MADE_OF[kind](ids), "*").status == 404


def test_a_version_that_is_the_same_again_has_another_tag(fleet: Fleet) -> None:
    made = fleet.post("policies", named_policy("one"))
    path, tags = made.headers["location"], [made.headers["etag"]]
    for name in ("two", "one"):
        tags.append(fleet.put(path, named_policy(name), tags[-1]).headers["etag"])
    assert len(set(tags)) == 3
    assert fleet.put(path, named_policy("three"), tags[0]).status == 412


def test_the_audit_trail_has_every_revision_with_who_made_it(service: Fleet, shared_database: Database) -> None:
    fleet = other(service, shared_database.url, operator := new_operator())
    colleague = Fleet(service.app, new_key_of(shared_database.url, operator))
    path = fleet.post("policies", named_policy("one")).headers["location"]
    assert colleague.put(path, named_policy("two"), "*").status == 200
    assert fleet.put(path, {**named_policy("two"), "archived": True}, "*").status == 200
    assert fleet.put(path, {**named_policy("three"), "archived": True}, "*").status == 200
    assert fleet.put(path, named_policy("four"), "*").status == 200
    assert fleet.put(path, named_policy("five"), '"stale"').status == 412
    id_ = path.rpartition("/")[2]
    told = fleet.get("changes", resource_id=id_).json["items"]
    assert [(each["revision"], each["action"], each["document"]["name"]) for each in told] == [
        (1, "made", "one"),
        (2, "changed", "two"),
        (3, "archived", "two"),
        (4, "changed", "three"),
        (5, "restored", "four"),
    ]
    assert {(each["kind"], each["resource_id"]) for each in told} == {("policies", id_)}
    own, theirs = fleet.key.split("_")[1], colleague.key.split("_")[1]
    assert [each["key_id"] for each in told] == [own, theirs, own, own, own]
    assert told[-1]["made_at"] == fleet.get(path).json["changed_at"]


def new_key_of(url: str, operator: str) -> str:
    """Return another key of an operator who is there already."""

    engine = owner_engine(url)
    try:
        with transaction(engine) as connection:
            return make_key(connection, operator, "colleague", ["manage"], now=now())
    finally:
        engine.dispose()


@pytest.mark.parametrize("kind", MADE_OF)
def test_where_a_thing_was_made_it_is_read_as_it_was_answered(fleet: Fleet, kind: str) -> None:
    ids = stocked(fleet)
    body = another(kind, ids)
    made = fleet.post(kind, body)
    assert made.status == 201
    assert made.headers["location"] == f"{FLEET}/{kind}/{made.json['id']}"
    got = fleet.get(made.headers["location"])
    assert (got.status, got.body) == (200, made.body)
    assert got.headers.get("etag") == made.headers.get("etag")
    assert ("etag" in got.headers) == (kind in KEPT_KINDS)


@pytest.mark.parametrize("kind", RECORDED_KINDS)
def test_a_record_is_corrected_once_by_another_and_both_stay(fleet: Fleet, kind: str) -> None:
    ids = stocked(fleet)
    old = fleet.get(f"{kind}/{ids[kind]}").json
    correction = {**MADE_OF[kind](ids), "supersedes": ids[kind]}
    new = fleet.made(kind, correction)
    assert (new["superseded_by"], new["document"]) == (None, correction)
    assert fleet.get(f"{kind}/{ids[kind]}").json == {**old, "superseded_by": new["id"]}
    assert fleet.ids(kind) == [ids[kind], new["id"]]
    twice = fleet.post(kind, correction)
    assert (twice.status, twice.problem_type) == (409, "conflict")
    [fault] = twice.json["errors"]
    assert (fault["pointer"], fault["allowed"]) == ("/supersedes", new["id"])
    last = fleet.made(kind, {**correction, "supersedes": new["id"]})
    assert fleet.get(f"{kind}/{new['id']}").json["superseded_by"] == last["id"]
    told = fleet.get("changes", resource_id=ids[kind]).json["items"]
    assert [each["action"] for each in told] == ["made", "superseded"]


@pytest.mark.parametrize("kind", RECORDED_KINDS)
def test_a_record_corrects_nothing_of_another_kind(fleet: Fleet, kind: str) -> None:
    ids = stocked(fleet)
    missing = fleet.post(kind, {**MADE_OF[kind](ids), "supersedes": MISSING_ID})
    for other_kind in MADE_OF:
        if other_kind != kind:
            refused = fleet.post(kind, {**MADE_OF[kind](ids), "supersedes": ids[other_kind]})
            assert (refused.status, refused.body) == (409, missing.body), other_kind
            assert refused.json["errors"][0]["pointer"] == "/supersedes"
    assert fleet.ids(kind) == [ids[kind]]
