"""Who may: a live key for everything under /v1/fleet, the scope of the operation, and so many requests a minute."""

import logging
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import select

from axlewright.app import create_app
from axlewright.fleet.clock import now
from axlewright.fleet.engines import owner_engine, transaction
from axlewright.fleet.key_store import revoke_key
from axlewright.fleet.tables import CHANGES, IDEMPOTENT_ANSWERS, OPERATORS
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.fleet.databases import Database
from tests.fleet.matrix import Call, calls
from tests.fleet.populated import as_owner
from tests.fleet.yard import (
    ALL_SCOPES,
    FLEET,
    MISSING_ID,
    Fleet,
    coach,
    document_of,
    fleet_on,
    new_key,
    new_operator,
    other,
    stocked,
)

CALLS = calls()
NO_ONES = "axw_0123456789AB_0123456789ABCDEFGHIJKLMN_000000"
MANAGED = {"list_changes", "keep_policy", "change_policy", "keep_inflation_table", "change_inflation_table"}
JSON = {"content-type": "application/json"}


@pytest.fixture(scope="module")
def alder(shared_database: Database) -> Iterator[Fleet]:
    with fleet_on(shared_database.url, cors_origins=("https://desk.example",)) as fleet:
        yield fleet


@pytest.fixture(scope="module")
def ids(alder: Fleet) -> dict[str, str]:
    return stocked(alder)


def revoke(url: str, key: str) -> None:
    engine = owner_engine(url)
    try:
        with transaction(engine) as connection:
            revoke_key(connection, key.split("_")[1], now())
    finally:
        engine.dispose()


def expired_key(url: str, operator: str) -> str:
    """Return a key that ends at once: the clock has gone on by the time it is used."""
    return new_key(url, operator, lasts=timedelta(microseconds=1))


def wrong_check(key: str) -> str:
    return key[:-1] + ("0" if key[-1] != "0" else "1")


def without_key(fleet: Fleet, method: str, path: str, authorization: str | None = None) -> Reply:
    headers = {} if authorization is None else {"authorization": authorization}
    return send(fleet.app, method, path, b"", headers)


def must_be_unauthorized(reply: Reply) -> None:
    assert (reply.status, reply.problem_type) == (401, "unauthorized")
    assert reply.headers["www-authenticate"] == "Bearer"
    assert "ratelimit" not in reply.headers
    assert reply.json["errors"] == []


def expected_scope(call: Call) -> str:
    if call.operation_id in MANAGED:
        return "manage"
    return "read" if call.method == "GET" else "write"


@pytest.fixture(scope="module")
def dead_keys(shared_database: Database) -> dict[str, str]:
    """Every way in which a request has no live key, by its Authorization."""
    url = shared_database.url
    revoked, live = new_key(url, "Ash Lot"), new_key(url, "Beech Lot")
    revoke(url, revoked)
    head, key_id, secret, check = live.split("_")
    _, _, other_secret, other_check = revoked.split("_")
    return {
        "unknown": f"Bearer {NO_ONES}",
        "another key's secret": f"Bearer {head}_{key_id}_{other_secret}_{other_check}",
        "wrong check": f"Bearer {wrong_check(live)}",
        "cut": f"Bearer {live[:-1]}",
        "longer": f"Bearer {live}x",
        "without its head": f"Bearer {key_id}_{secret}_{check}",
        "revoked": f"Bearer {revoked}",
        "expired": f"Bearer {expired_key(url, 'Cedar Lot')}",
        "other scheme": f"Basic {live}",
        "no scheme": live,
        "nothing after the scheme": "Bearer ",
        "two keys": f"Bearer {live} {live}",
        "in quotes": f'Bearer "{live}"',
        "not ASCII": "Bearer ключ".encode().decode("latin-1"),
        "very long": f"Bearer {'x' * 20_000}",
    }


@pytest.mark.parametrize("call", CALLS, ids=lambda call: call.operation_id)
def test_no_operation_is_answered_without_a_live_key(
    alder: Fleet, ids: dict[str, str], dead_keys: dict[str, str], call: Call
) -> None:
    path = call.path_of(ids)
    first = without_key(alder, call.method, path)
    must_be_unauthorized(first)
    for authorization in (dead_keys["unknown"], dead_keys["revoked"], dead_keys["expired"]):
        reply = without_key(alder, call.method, path, authorization)
        must_be_unauthorized(reply)
        assert reply.body == first.body


def test_no_two_ways_of_having_no_live_key_are_told_apart(alder: Fleet, dead_keys: dict[str, str]) -> None:
    plain = without_key(alder, "GET", f"{FLEET}/rigs")
    must_be_unauthorized(plain)
    for name, authorization in dead_keys.items():
        reply = without_key(alder, "GET", f"{FLEET}/rigs", authorization)
        assert (reply.status, reply.body) == (401, plain.body), name
        assert reply.headers.keys() == plain.headers.keys(), name


def test_two_authorizations_are_none(alder: Fleet) -> None:
    pairs = [("authorization", f"Bearer {alder.key}")] * 2
    must_be_unauthorized(send(alder.app, "GET", f"{FLEET}/rigs", b"", pairs))


@pytest.mark.parametrize("scheme", ["Bearer", "bearer", "BEARER", "Bearer  "])
def test_the_scheme_is_read_in_any_case(alder: Fleet, scheme: str) -> None:
    assert without_key(alder, "GET", f"{FLEET}/vehicles", f"{scheme} {alder.key}").status == 200


@pytest.mark.parametrize("call", CALLS, ids=lambda call: call.operation_id)
def test_a_key_that_was_good_a_moment_ago_ends_with_its_revocation(
    shared_database: Database, alder: Fleet, ids: dict[str, str], call: Call
) -> None:
    operator = new_operator()
    desk = other(alder, shared_database.url, operator)
    assert desk.get("rigs").status == 200
    assert alder.app.state["memory"].found_keys.of(desk.key) is not None
    revoke(shared_database.url, desk.key)
    reply = call.send(desk, ids)
    must_be_unauthorized(reply)
    assert reply.body == without_key(alder, call.method, call.path_of(ids)).body


def test_a_key_that_is_revoked_while_it_is_used_changes_nothing_more(shared_database: Database, alder: Fleet) -> None:
    desk = other(alder, shared_database.url, "Dogwood Lot")
    kept = desk.post("vehicles", coach(), idempotency_key="first")
    assert kept.status == 201
    revoke(shared_database.url, desk.key)
    must_be_unauthorized(desk.post("vehicles", coach(), idempotency_key="first"))
    must_be_unauthorized(desk.post("vehicles", coach(), idempotency_key="second"))
    must_be_unauthorized(desk.put(f"vehicles/{kept.json['id']}", coach(name="other"), "*"))
    with as_owner(shared_database.url) as connection:
        operator_id = connection.scalar(select(OPERATORS.c.id).where(OPERATORS.c.name == "Dogwood Lot"))
    with as_owner(shared_database.url, operator_id) as connection:
        changes = select(CHANGES.c.resource_id, CHANGES.c.revision).where(CHANGES.c.operator_id == operator_id)
        assert connection.execute(changes).all() == [(kept.json["id"], 1)]
        answers = select(IDEMPOTENT_ANSWERS.c.key).where(IDEMPOTENT_ANSWERS.c.operator_id == operator_id)
        assert connection.scalars(answers).all() == ["first"]


def test_a_key_with_days_left_is_live(shared_database: Database, alder: Fleet) -> None:
    key = new_key(shared_database.url, "Elm Lot", lasts=timedelta(days=1))
    assert Fleet(alder.app, key).get("rigs").status == 200


@pytest.mark.parametrize("call", CALLS, ids=lambda call: call.operation_id)
def test_each_operation_wants_one_scope_and_no_other_will_do(
    alder: Fleet, one_scope: dict[str, Fleet], ids: dict[str, str], call: Call
) -> None:
    assert call.scope == expected_scope(call)
    for scope, fleet in one_scope.items():
        reply = call.send(fleet, ids)
        if scope == call.scope:
            assert reply.status not in (401, 403), reply.body
        else:
            assert (reply.status, reply.problem_type) == (403, "forbidden")
            assert f"`{call.scope}`" in reply.json["detail"]


@pytest.fixture(scope="module")
def one_scope(shared_database: Database, alder: Fleet) -> dict[str, Fleet]:
    """The fleet of another operator by keys of one scope each."""
    return {scope: other(alder, shared_database.url, f"{scope} only", [scope]) for scope in ALL_SCOPES}


def test_a_scope_is_asked_for_before_anything_is_said_of_the_request(one_scope: dict[str, Fleet]) -> None:
    reply = one_scope["read"].send("PUT", f"vehicles/{MISSING_ID}", b"no JSON")
    assert (reply.status, reply.problem_type) == (403, "forbidden")


@pytest.mark.parametrize("path", ["", "/unknown", "/rigs/a/b/c/d", "/vehicles/x/history/y", "/%2e%2e/healthz"])
def test_a_path_that_does_not_exist_is_told_only_to_who_has_a_key(alder: Fleet, path: str) -> None:
    must_be_unauthorized(without_key(alder, "GET", f"{FLEET}{path}"))
    must_be_unauthorized(without_key(alder, "DELETE", f"{FLEET}{path}"))
    known = alder.send("GET", f"{FLEET}{path}")
    assert (known.status, known.problem_type) == (404, "not-found")


@pytest.mark.parametrize("path", ["//vehicles", "/vehicles/", "/vehicles%2Fx", "/../fleet/vehicles"])
def test_a_path_written_in_another_way_leads_nowhere_with_or_without_a_key(alder: Fleet, path: str) -> None:
    for reply in (without_key(alder, "GET", f"{FLEET}{path}"), alder.send("GET", f"{FLEET}{path}")):
        assert reply.status in (401, 404)


@pytest.mark.parametrize("path", ["/v1/fleets", "/V1/fleet/rigs", "/v1/Fleet/rigs", "/v1//fleet/rigs", "/v1/fleetx"])
def test_nothing_of_the_fleet_is_at_a_path_like_its_own(alder: Fleet, path: str) -> None:
    assert without_key(alder, "GET", path).status == 404
    assert without_key(alder, "GET", path, f"Bearer {alder.key}").status == 404


@pytest.mark.parametrize("path", ["vehicles", "rigs", f"vehicles/{MISSING_ID}"])
def test_head_tells_what_get_would_and_asks_for_a_key_too(alder: Fleet, path: str) -> None:
    got, head = alder.get(path), alder.send("HEAD", path)
    assert (head.status, head.body) == (got.status, b"")
    own = {"x-request-id"}
    assert {n: v for n, v in head.headers.items() if n not in own} == {
        n: v for n, v in got.headers.items() if n not in own
    }
    without = without_key(alder, "HEAD", f"{FLEET}/{path}")
    assert (without.status, without.body, without.headers["www-authenticate"]) == (401, b"", "Bearer")


def test_options_tells_the_methods_to_who_has_a_key(alder: Fleet) -> None:
    reply = alder.send("OPTIONS", f"vehicles/{MISSING_ID}")
    assert (reply.status, reply.body, reply.headers["allow"]) == (204, b"", "GET, HEAD, OPTIONS, PUT")
    must_be_unauthorized(without_key(alder, "OPTIONS", f"{FLEET}/vehicles/{MISSING_ID}"))


def test_a_preflight_needs_no_key_and_lets_the_headers_of_the_store_through(alder: Fleet) -> None:
    asked = {"origin": "https://desk.example", "access-control-request-method": "PUT"}
    reply = send(alder.app, "OPTIONS", f"{FLEET}/vehicles/{MISSING_ID}", b"", asked)
    assert (reply.status, reply.body) == (204, b"")
    assert reply.headers["access-control-allow-origin"] == "https://desk.example"
    assert "PUT" in reply.headers["access-control-allow-methods"]
    allowed = {name.strip().lower() for name in reply.headers["access-control-allow-headers"].split(",")}
    assert {"authorization", "content-type", "if-match", "idempotency-key"} <= allowed


def test_a_page_of_an_allowed_origin_may_read_why_it_was_refused(alder: Fleet) -> None:
    refused = send(alder.app, "GET", f"{FLEET}/rigs", b"", {"origin": "https://desk.example"})
    must_be_unauthorized(refused)
    assert refused.headers["access-control-allow-origin"] == "https://desk.example"
    foreign = send(alder.app, "GET", f"{FLEET}/rigs", b"", {"origin": "https://elsewhere.example"})
    assert "access-control-allow-origin" not in foreign.headers


def test_keys_for_everything_guard_what_computes_but_not_how_the_service_is(shared_database: Database) -> None:
    with fleet_on(shared_database.url, "Fir Lot", keys="everything") as fleet:
        body = document_of("translate_minimal")
        for path in ("/v1/inflation/translate", "/v1/assess", "/v1/unknown", "/", "/healthz/x"):
            must_be_unauthorized(without_key(fleet, "POST", path))
        must_be_unauthorized(without_key(fleet, "GET", "/v1/tires/tables"))
        assert fleet.post("/v1/inflation/translate", body).status == 200
        assert fleet.get("/v1/tires/tables").status == 200
        read_only = other(fleet, shared_database.url, "Gorse Lot", ["read"])
        assert read_only.post("/v1/inflation/translate", body).status == 200
        revoke(shared_database.url, read_only.key)
        must_be_unauthorized(read_only.post("/v1/inflation/translate", body))
        for path in ("/healthz", "/readyz", "/v1/openapi.json"):
            assert without_key(fleet, "GET", path).status == 200


def test_by_default_what_computes_asks_for_no_key(alder: Fleet) -> None:
    reply = send(alder.app, "POST", "/v1/assess", b"{}", JSON)
    assert reply.status == 422
    assert without_key(alder, "GET", "/v1/tires/tables").status == 200


def test_a_stateless_service_has_no_fleet_at_all() -> None:
    app = create_app(Settings(stateless=True))
    for method, path in (("GET", "/rigs"), ("POST", "/vehicles"), ("GET", "")):
        reply = send(app, method, f"{FLEET}{path}", b"", {"authorization": f"Bearer {NO_ONES}"})
        assert (reply.status, reply.problem_type) == (404, "not-found")
    assert not [path for path in app.state["openapi"]["paths"] if path.startswith(FLEET)]
    assert "fleet" not in {tag["name"] for tag in app.state["openapi"]["tags"]}


def test_every_answer_to_a_key_says_what_is_left_of_its_requests(shared_database: Database) -> None:
    with fleet_on(shared_database.url, "Hazel Lot", rate_limit=600) as fleet:
        read_only = other(fleet, shared_database.url, "Holly Lot", ["read"])
        replies = {
            200: fleet.get("rigs"),
            201: fleet.post("vehicles", coach()),
            204: fleet.send("OPTIONS", "rigs"),
            400: fleet.get("rigs", limit=0),
            403: read_only.post("vehicles", coach()),
            404: fleet.get(f"rigs/{MISSING_ID}"),
            405: fleet.send("DELETE", "rigs"),
            409: fleet.post("rigs", {"name": "a", "first_day": "2026-01-01", "vehicles": [MISSING_ID]}),
            415: fleet.send("POST", "vehicles", b"{}", {"content-type": "text/plain"}),
            422: fleet.post("vehicles", {}),
            428: fleet.put(f"vehicles/{MISSING_ID}", coach()),
        }
        for status, reply in replies.items():
            assert reply.status == status, reply.body
            assert reply.headers["ratelimit-policy"] == '"key";q=600;w=60'
            left, resets = (int(part.split("=")[1]) for part in reply.headers["ratelimit"].split(";")[1:])
            assert 580 <= left < 600
            assert 1 <= resets <= 60
        assert fleet.send("HEAD", "rigs").headers["ratelimit"].startswith('"key";r=')


def test_a_key_whose_requests_are_made_is_told_when_to_come_back_and_others_go_on(shared_database: Database) -> None:
    with fleet_on(shared_database.url, "Ivy Lot", rate_limit=3) as fleet:
        neighbour = other(fleet, shared_database.url, "Juniper Lot")
        replies = [fleet.get("rigs") for _ in range(8)]
        refused = [reply for reply in replies if reply.status != 200]
        assert replies[0].status == 200
        assert 1 <= len(refused) <= 5
        for reply in refused:
            assert (reply.status, reply.problem_type) == (429, "too-many-requests")
            assert 1 <= int(reply.headers["retry-after"]) <= 60
            assert '"key";r=0;' in reply.headers["ratelimit"]
        assert neighbour.get("rigs").status == 200
        assert without_key(fleet, "GET", f"{FLEET}/rigs").status == 401


def test_a_key_stands_in_no_log_line_and_no_answer(shared_database: Database, caplog: pytest.LogCaptureFixture) -> None:
    for name in ("", "sqlalchemy", "sqlalchemy.engine", "sqlalchemy.pool", "psycopg", "axlewright", "litestar"):
        caplog.set_level(logging.DEBUG, name)
    with fleet_on(shared_database.url, "Larch Lot", rate_limit=1000) as fleet:
        ids_ = stocked(fleet)
        replies = [
            fleet.get("rigs"),
            fleet.get("changes"),
            fleet.post("vehicles", coach(), idempotency_key="one"),
            fleet.put(f"vehicles/{ids_['vehicles']}", coach(), "*"),
            fleet.post("vehicles", {"key": "wrong"}),
            fleet.get("rigs", cursor="x"),
            without_key(fleet, "GET", f"{FLEET}/rigs", f"Bearer {wrong_check(fleet.key)}"),
            without_key(fleet, "GET", f"{FLEET}/rigs", f"Basic {fleet.key}"),
            failing(fleet),
        ]
        assert [reply.status for reply in replies] == [200, 200, 201, 200, 422, 400, 401, 401, 500]
        secret = fleet.key.split("_")[2]
        for reply in replies:
            assert secret not in f"{reply.body!r}{reply.header_pairs}"
    lines = "\n".join(f"{record.getMessage()} {record.__dict__}" for record in caplog.records) + caplog.text
    assert "api_keys" in lines, "the statements were not logged"
    assert '"GET"' in lines or "'GET'" in lines, "the requests were not logged"
    assert secret not in lines


def failing(fleet: Fleet) -> Reply:
    """Return the answer to a request on which the service has a defect, with the key in its hands."""
    memory = fleet.app.state["memory"]

    def broken(_: Any) -> Any:
        raise ZeroDivisionError

    memory.limiter.take_held = memory.limiter.take = broken
    try:
        return fleet.get("rigs")
    finally:
        del memory.limiter.take_held, memory.limiter.take
