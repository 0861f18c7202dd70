"""Operators do not meet: what one has is nothing to another, in every operation, and in the database as well."""

import copy
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import pytest
from sqlalchemy import BindParameter, Column, Engine, event, text, true
from sqlalchemy.sql import operators, visitors
from sqlalchemy.sql.elements import BinaryExpression

from tests.api.probe import Reply
from tests.fleet.databases import Database
from tests.fleet.matrix import Call, Place, UnknownShape, calls, calls_of
from tests.fleet.populated import as_owner, contents
from tests.fleet.yard import MADE_OF, MISSING_ID, Fleet, coach, fleet_on, other, rig, stocked, weigh

CALLS = calls()
READS = [call for call in CALLS if call.method == "GET"]
PLACES = [pytest.param(call, place, id=f"{call.operation_id}-{place.name}") for call in CALLS for place in call.places]
REFUSED = {"path": 404, "body": 409, "query": 200}
_OWN_TO_ONE_ANSWER = {"x-request-id", "date", "ratelimit", "ratelimit-policy"}


@dataclass(frozen=True)
class Operator:
    """An operator, and one thing of each kind of theirs."""

    fleet: Fleet
    ids: Mapping[str, str]
    all_ids: frozenset[str]
    marks: tuple[str, ...] = field(default=())

    def answers(self, call: Call, place: Place | None = None, id_: str = "", **query: str | int) -> Reply:
        """Return the answer to a call with things of this operator's, at one place with another id."""
        return call.send(self.fleet, self.ids, place, id_, **query)


def settled(fleet: Fleet, mark: str) -> Operator:
    """Return an operator with two things of each kind, which have the operator's mark where a text can stand."""
    stocks = (stocked(fleet), stocked(fleet))
    ids = stocks[0]
    marked_coach = fleet.made("vehicles", coach(f"{mark}-1", [mark]))["id"]
    fleet.made("rigs", rig([marked_coach], name=mark))
    fleet.made("tires", {**MADE_OF["tires"](ids), "position": "drive.left.inner", "note": mark})
    marked = weigh(ids["rigs"], "2026-06-02")
    marked["session"]["ticket"] = f"{mark}-9"
    fleet.made("sessions", marked)
    all_ids = frozenset([marked_coach, *(id_ for stock in stocks for id_ in stock.values())])
    return Operator(fleet, ids, all_ids, (mark,))


@contextmanager
def two_operators(database: Database) -> Iterator[tuple[Operator, Operator]]:
    with fleet_on(database.url) as alder:
        birch = other(alder, database.url)
        yield settled(alder, "alder"), settled(birch, "birch")


@pytest.fixture(scope="module")
def both(shared_database: Database) -> Iterator[tuple[Operator, Operator]]:
    with two_operators(shared_database) as operators_:
        yield operators_


def told(reply: Reply) -> tuple[int, dict[str, str], bytes]:
    """Return all of an answer that may not differ."""
    headers = {name: value for name, value in reply.headers.items() if name not in _OWN_TO_ONE_ANSWER}
    return reply.status, headers, reply.body


def found_in(reply: Reply, operator: Operator) -> set[str]:
    """Return what an answer tells of an operator."""
    text = f"{reply.body.decode()} {reply.headers}"
    return {secret for secret in (*operator.all_ids, *operator.marks) if secret in text}


@pytest.mark.parametrize("call", CALLS, ids=lambda call: call.operation_id)
def test_an_operator_reaches_what_is_their_own(both: tuple[Operator, Operator], call: Call) -> None:
    for operator in both:
        reply = operator.answers(call)
        assert reply.status == call.success, reply.body


def test_nothing_that_an_operator_does_changes_a_row_of_another(
    shared_database: Database, both: tuple[Operator, Operator]
) -> None:
    _, birch = both
    before = _rows_of(contents(shared_database.url), 1)
    assert {call.method: birch.answers(call).status for call in CALLS} == {"GET": 200, "POST": 201, "PUT": 200}
    assert _rows_of(contents(shared_database.url), 1) == before


@pytest.mark.parametrize(("call", "place"), PLACES)
def test_what_another_operator_has_is_answered_as_what_is_not_there_and_stays_as_it_was(
    shared_database: Database, both: tuple[Operator, Operator], call: Call, place: Place
) -> None:
    alder, birch = both
    before = contents(shared_database.url)
    of_alder = birch.answers(call, place, alder.ids[place.kind])
    missing = birch.answers(call, place, MISSING_ID)
    assert told(of_alder) == told(missing)
    assert of_alder.status == REFUSED[place.where], of_alder.body
    if place.where == "query":
        assert of_alder.json == {"items": [], "next_cursor": None}
    assert contents(shared_database.url) == before


@pytest.mark.parametrize("call", READS, ids=lambda call: call.operation_id)
def test_no_list_history_or_page_tells_anything_of_another_operator(
    both: tuple[Operator, Operator], call: Call
) -> None:
    alder, birch = both
    reply = birch.answers(call)
    assert reply.status == 200
    assert found_in(reply, alder) == set()
    assert found_in(reply, birch) != set()


@pytest.mark.parametrize(
    "call", [call for call in READS if "cursor" in call.queries], ids=lambda call: call.operation_id
)
def test_a_cursor_of_another_operator_s_list_is_refused_like_a_forged_one(
    both: tuple[Operator, Operator], call: Call
) -> None:
    alder, birch = both
    first = alder.answers(call, limit=1)
    cursor = first.json["next_cursor"]
    assert cursor is not None, "the list is too short for a cursor"
    assert alder.answers(call, limit=1, cursor=cursor).status == 200
    theirs = birch.answers(call, limit=1, cursor=cursor)
    assert theirs.status == 400
    assert told(theirs) == told(birch.answers(call, limit=1, cursor="Zm9yZ2Vk"))


@pytest.mark.parametrize(
    ("name", "value"), [("ticket", "alder-9"), ("asset_number", "alder-1"), ("label", "alder")], ids=lambda each: each
)
def test_a_word_of_another_operator_finds_nothing(both: tuple[Operator, Operator], name: str, value: str) -> None:
    alder, birch = both
    path = "sessions" if name == "ticket" else "rigs"
    assert len(alder.fleet.ids(path, **{name: value})) == 1
    assert birch.fleet.ids(path, **{name: value}) == []


def test_two_operators_may_use_the_same_asset_number(both: tuple[Operator, Operator]) -> None:
    for operator in both:
        operator.fleet.made("vehicles", {**MADE_OF["vehicles"]({}), "asset_number": "shared"})


@pytest.mark.parametrize(
    "changed",
    [
        ("path", "/v1/fleet/drivers", "get"),
        ("method", "/v1/fleet/rigs", "delete"),
        ("query", "/v1/fleet/rigs", "get"),
        ("header", "/v1/fleet/rigs", "get"),
        ("body", "/v1/fleet/rigs", "post"),
        ("nested id", "/v1/fleet/rigs", "post"),
    ],
    ids=lambda changed: changed[0],
)
def test_the_matrix_refuses_an_operation_that_it_does_not_cover(
    both: tuple[Operator, Operator], changed: tuple[str, str, str]
) -> None:
    what, path, method = changed
    contract = copy.deepcopy(both[0].fleet.app.state["openapi"])
    assert calls_of(contract) == CALLS
    operation = copy.deepcopy(contract["paths"]["/v1/fleet/rigs"]["get" if method == "delete" else method])
    contract["paths"].setdefault(path, {})[method] = operation
    text = {"type": "string"}
    if what == "query":
        operation["parameters"].append({"name": "driver_id", "in": "query", "schema": text})
    if what == "header":
        operation["parameters"].append({"$ref": "#/components/parameters/OperatorId"})
    document = contract["components"]["schemas"]["RigDocument"]
    if what == "body":
        document["properties"]["driver_id"] = text
    if what == "nested id":
        document["properties"]["couplings"] = {"items": {"properties": {"hitch": document["properties"]["policy_id"]}}}
    with pytest.raises(UnknownShape):
        calls_of(contract)


@contextmanager
def without_the_filters(fleet: Fleet) -> Iterator[Counter[str]]:
    """Take every `operator_id = ...` out of the statements of an application, and count them by table."""
    removed: Counter[str] = Counter()

    def replaced(element: Any, **_: Any) -> Any:
        if (
            isinstance(element, BinaryExpression)
            and element.operator is operators.eq
            and isinstance(element.left, Column)
            and element.left.name == "operator_id"
            and isinstance(element.right, BindParameter)
        ):
            removed[element.left.table.name] += 1
            return true()
        return None

    def strip(_: Any, statement: Any, multiparams: Any, params: Any, __: Any) -> Any:
        if hasattr(statement, "_where_criteria"):
            statement = visitors.replacement_traverse(statement, {}, replaced)
        return statement, multiparams, params

    engines: set[Engine] = {fleet.app.state["memory"].engines.reader, fleet.app.state["memory"].engines.writer}
    for engine in engines:
        event.listen(engine, "before_execute", strip, retval=True)
    try:
        yield removed
    finally:
        for engine in engines:
            event.remove(engine, "before_execute", strip)


def _rows_of(rows: Mapping[str, list[dict[str, Any]]], operator_id: int) -> dict[str, list[dict[str, Any]]]:
    return {table: [row for row in each if row.get("operator_id") == operator_id] for table, each in rows.items()}


def test_without_the_application_s_filter_a_file_leaks_which_shows_that_the_filter_is_gone(
    sqlite_database: Database,
) -> None:
    with two_operators(sqlite_database) as (alder, birch):
        before = _rows_of(contents(sqlite_database.url), 1)
        with without_the_filters(alder.fleet) as removed:
            for call in CALLS:
                for place in call.places:
                    if place.where == "path":
                        reply = birch.answers(call, place, alder.ids[place.kind])
                        assert reply.status != 404, call.operation_id
                        assert call.method == "PUT" or found_in(reply, alder), call.operation_id
            for call in READS:
                if not any(place.where == "path" for place in call.places):
                    assert found_in(birch.answers(call, limit=100), alder), call.operation_id
        assert _rows_of(contents(sqlite_database.url), 1) != before
    assert len(removed) >= 12, removed


def test_without_the_application_s_filter_postgresql_shows_and_changes_nothing_of_another_operator(
    postgresql_database: Database,
) -> None:
    with two_operators(postgresql_database) as (alder, birch):
        posted = {"idempotency-key": "same-for-both"}
        body = rig([alder.ids["vehicles"]])
        assert alder.fleet.send("POST", "rigs", body, posted).status == 201
        before = _rows_of(contents(postgresql_database.url), 1)
        with without_the_filters(alder.fleet) as removed:
            for call in CALLS:
                for place in call.places:
                    theirs = birch.answers(call, place, alder.ids[place.kind])
                    assert told(theirs) == told(birch.answers(call, place, MISSING_ID)), (call.operation_id, place)
                    assert theirs.status == REFUSED[place.where], (call.operation_id, place)
            for call in READS:
                assert found_in(birch.answers(call), alder) == set(), call.operation_id
            assert birch.fleet.send("POST", "rigs", body, posted).status == 409
            for call in CALLS:
                assert birch.answers(call).status == call.success, call.operation_id
        assert _rows_of(contents(postgresql_database.url), 1) == before
    assert len(removed) >= 12, removed


def test_it_is_row_level_security_that_withholds_what_the_filter_would(postgresql_database: Database) -> None:
    with two_operators(postgresql_database) as (alder, birch):
        with as_owner(postgresql_database.url) as connection:
            connection.execute(text("ALTER TABLE vehicles DISABLE ROW LEVEL SECURITY"))
        path = f"vehicles/{alder.ids['vehicles']}"
        assert birch.fleet.get(path).status == 404
        with without_the_filters(alder.fleet):
            assert birch.fleet.get(path).status == 200
            assert birch.fleet.get(f"rigs/{alder.ids['rigs']}").status == 404
