"""Whatever is read or changed in a large fleet is found by an index, in its order: nothing looks through the fleet.

The statements are those that requests give to the database. Every operation that reads is asked with each choice of
its parameters, by the published contract, so that a new one cannot be forgotten.
"""

import itertools
import re
import shutil
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event, text

from axlewright.fleet.engines import SERVICE_ROLE, engines
from tests.benchmarks.fleet_rows import fill, models
from tests.fleet.databases import Cluster
from tests.fleet.populated import as_owner
from tests.fleet.yard import Fleet, coach, fleet_on, rig, weigh

RIGS = 600
MOST_STEPS = 1_500
"""Of SQLite's virtual machine for one statement; to look through the rows of 600 rigs takes more."""
MOST_ROWS_REMOVED = 10
"""Rows that PostgreSQL reads for one statement in vain, such as other kinds of entries of the same rig."""

_KEPT = "operator_id, id, revision, schema, document, archived, made_at, changed_at"
FEW_ROWS_OTHERWISE = (
    f"INSERT INTO policies ({_KEPT}) SELECT {_KEPT} FROM layouts",
    f"INSERT INTO inflation_tables ({_KEPT}) SELECT {_KEPT} FROM layouts",
    """
    INSERT INTO idempotent_answers (operator_id, key, request_hash, status, headers, body, made_at)
    SELECT operator_id, id, '', 201, '', result, made_at FROM assessments
    """,
    """
    INSERT INTO api_keys (id, operator_id, name, scopes, secret_hash, made_at)
    SELECT id, operator_id, id, 'read', '', made_at FROM rigs
    """,
)
"""Rows of tables that the fleet itself has few rows of: the planner reads a small table whole."""

Statement = tuple[str, Any]


@dataclass(frozen=True)
class Filled:
    """A fleet of some hundred rigs, called through the service, and what the service asked its database."""

    url: str
    fleet: Fleet
    asked: dict[str, Any]
    """The parameters of the last time, by the text of the statement."""

    def sample(self) -> dict[str, str]:
        """Return a value for each parameter of a path or query that chooses something."""
        item = self.fleet.get("rigs", limit=50, sort="weighed_on").json["items"][-1]
        page = self.fleet.get(f"rigs/{item['id']}/page").json
        vehicle = page["vehicles"][0]["document"]
        return {
            "rig_id": item["id"],
            "vehicle_id": page["vehicles"][0]["id"],
            "session_id": page["last_session"]["id"],
            "resource_id": item["id"],
            "ticket": page["last_session"]["document"]["session"]["ticket"],
            "asset_number": item["asset_number"],
            "label": item["labels"][0],
            "axle": vehicle["vehicle"]["axles"][0]["name"],
            "wheel_end": f"{vehicle['vehicle']['axles'][0]['name']}.left",
            "standing": "clear",
            "weighed_before": "2027-01-01",
            "side_difference_above": "0.001",
            "archived": "false",
            "newest_first": "true",
            "units": "us",
            "id": "",
        }


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def filled(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Filled]:
    """A filled database of each kind."""
    with _new_database(request, tmp_path_factory) as url, fleet_on(url) as fleet:
        fill(url, {1: RIGS}, models())
        with as_owner(url, 1) as owner:
            for statement in FEW_ROWS_OTHERWISE:
                owner.execute(text(statement))
            if owner.dialect.name == "postgresql":
                owner.execute(text("ANALYZE"))
        asked: dict[str, Any] = {}
        ways = fleet.app.state["memory"].engines
        for engine in {ways.reader, ways.writer}:
            event.listen(
                engine,
                "before_cursor_execute",
                lambda _, __, statement, values, *___: asked.update({statement: values}),
            )
        yield Filled(url, fleet, asked)


@contextmanager
def _new_database(request: pytest.FixtureRequest, folders: pytest.TempPathFactory) -> Iterator[str]:
    if request.param == "sqlite":
        migrated: Path = request.getfixturevalue("migrated_file")
        yield f"sqlite:///{shutil.copyfile(migrated, folders.mktemp('plans') / 'store.sqlite3')}"
        return
    cluster: Cluster = request.getfixturevalue("cluster")
    url = cluster.new_database(request.getfixturevalue("migrated_name"))
    yield url
    cluster.drop(url)


def test_every_read_follows_an_index(filled: Filled) -> None:
    sample = filled.sample()
    filled.asked.clear()
    for path, parameters in _reading_operations(filled.fleet):
        _ask_everything(filled.fleet, path, parameters, sample)
    assert len(filled.asked) > 60
    assert _faults(filled) == []


def test_every_change_finds_what_it_needs_by_an_index(filled: Filled) -> None:
    fleet = filled.fleet
    filled.asked.clear()
    vehicle = fleet.made("vehicles", coach(labels=["north"]))["id"]
    rig_id = fleet.made("rigs", rig([vehicle]))["id"]
    first = fleet.post("sessions", weigh(rig_id), idempotency_key="first")
    assert first.status == 201
    corrected = fleet.made("sessions", weigh(rig_id, supersedes=first.json["id"]))["id"]
    fleet.made("assessments", {"units": "us", "session_id": corrected})
    fleet.made("tires", {"vehicle_id": vehicle, "position": "steer.left", "fitted_on": "2026-01-02"})
    fleet.made("layouts", {"units": "us", "rig_id": rig_id, "name": "as it leaves", "carried": {}})
    tag = fleet.get(f"vehicles/{vehicle}").headers["etag"]
    assert fleet.put(f"vehicles/{vehicle}", coach("T-1", labels=["south"]), tag).status == 200
    assert len(filled.asked) > 25
    assert _faults(filled) == []


def _reading_operations(fleet: Fleet) -> Iterator[tuple[str, list[Mapping[str, Any]]]]:
    document = fleet.app.state["openapi"]
    for path, operations in document["paths"].items():
        if path.startswith(f"{fleet.base}/") and "get" in operations:
            parameters = operations["get"].get("parameters", [])
            named = document["components"]["parameters"]
            yield path, [named[each["$ref"].split("/")[-1]] if "$ref" in each else each for each in parameters]


def _ask_everything(
    fleet: Fleet, path: str, parameters: Sequence[Mapping[str, Any]], sample: Mapping[str, str]
) -> None:
    """Ask an operation with every choice of its parameters, for the first page and a later one."""
    queries = [each for each in parameters if each["in"] == "query" and each["name"] not in ("limit", "cursor")]
    choices = [_choices(each, sample) for each in queries]
    address = _address(fleet, path, sample)
    for chosen in itertools.product(*choices):
        query = {each["name"]: value for each, value in zip(queries, chosen, strict=True) if value is not None}
        pages = {"limit": 1} if any(each["name"] == "limit" for each in parameters) else {}
        reply = fleet.get(address, **query, **pages)
        if reply.status == 400:
            assert reply.json["errors"][0]["code"] == "inconsistent_choice", reply.body
            continue
        assert reply.status == 200, (address, query, reply.body)
        cursor = reply.json.get("next_cursor") if pages else None
        if cursor is not None:
            assert fleet.get(address, **query, limit=20, cursor=cursor).status == 200


def _choices(parameter: Mapping[str, Any], sample: Mapping[str, str]) -> list[str | None]:
    left_out: list[str | None] = [] if parameter.get("required") else [None]
    if parameter["name"] == "sort":
        return [*left_out, "asset_number", "weighed_on", "standing", "side_difference_share"]
    return [*left_out, sample[parameter["name"]]]


def _address(fleet: Fleet, path: str, sample: Mapping[str, str]) -> str:
    """Return a path with an id of its own kind in it."""
    parts = path.removeprefix(f"{fleet.base}/").split("/")
    if "{id}" in parts:
        kind = parts[0]
        named = {"rigs": "rig_id", "vehicles": "vehicle_id", "sessions": "session_id"}.get(kind)
        parts[parts.index("{id}")] = sample[named] if named else fleet.ids(kind, limit=1)[0]
    return "/".join(sample[part[1:-1]] if part.startswith("{") else part for part in parts)


def _faults(filled: Filled) -> list[tuple[str, str]]:
    """Return what is wrong with the plans of the statements that were asked."""
    ways = engines(filled.url)
    faults = []
    try:
        for statement, values in filled.asked.items():
            if statement.split()[0] not in ("SELECT", "UPDATE", "DELETE", "INSERT"):
                continue
            with ways.reader.connect() as connection:
                look = _sqlite_faults if connection.dialect.name == "sqlite" else _postgresql_faults
                driver = connection.connection.dbapi_connection
                faults += [(wrong, statement) for wrong in look(driver, statement, values)]
    finally:
        ways.dispose()
    return faults


_CONSTANT = ("CO-ROUTINE always", "SCAN CONSTANT ROW", "SCAN always", "LIST SUBQUERY 1")
_SEARCH = re.compile(r"SEARCH (\w+) USING (?:COVERING )?INDEX \w+ \((.*)\)(?: LEFT-JOIN)?")


def _sqlite_faults(driver: Any, statement: str, values: Any) -> list[str]:
    plan = [row[3] for row in driver.execute(f"EXPLAIN QUERY PLAN {statement}", _first(values))]
    faults = [step for step in plan if step not in _CONSTANT and not _is_narrow(step)]
    if statement.startswith("SELECT"):
        steps = itertools.count()
        driver.set_progress_handler(lambda: next(steps) and 0, 1)
        driver.execute(statement, values).fetchall()
        driver.set_progress_handler(None, 0)
        if (taken := next(steps)) > MOST_STEPS:
            faults.append(f"{taken} steps")
    return faults


def _is_narrow(step: str) -> bool:
    """Tell a search by an index whose first column is the operator, and by more: he may own a million rows."""
    search = _SEARCH.fullmatch(step)
    if search is None:
        return False
    table, terms = search[1], search[2].split(" AND ")
    return terms == ["id=?"] if table == "api_keys" else terms[0] == "operator_id=?" and len(terms) > 1


_BY_INDEX = {"Index Scan", "Index Only Scan"}
_OF_THEIR_ROWS = {"Limit", "Nested Loop", "Result", "LockRows", "ModifyTable", "Unique", "Aggregate", "Subquery Scan"}


def _postgresql_faults(driver: Any, statement: str, values: Any) -> list[str]:
    runs = statement.startswith("SELECT") and "FOR " not in statement
    options = "ANALYZE, TIMING OFF, FORMAT JSON" if runs else "FORMAT JSON"
    with driver.cursor() as cursor:
        cursor.execute("SELECT set_config('axlewright.operator', '1', true), current_user")
        assert cursor.fetchone()[1] == SERVICE_ROLE
        cursor.execute(f"EXPLAIN ({options}) {statement}", _first(values))
        plan = cursor.fetchone()[0][0]["Plan"]
    driver.rollback()
    return [fault for node in _nodes(plan) for fault in _node_faults(node)]


def _nodes(plan: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    yield plan
    for part in plan.get("Plans", []):
        yield from _nodes(part)


def _node_faults(node: Mapping[str, Any]) -> Iterator[str]:
    about = f"{node['Node Type']} {node.get('Relation Name', '')}".strip()
    sorts_one = node["Node Type"] == "Sort" and node["Plan Rows"] == 1
    if node["Node Type"] not in _BY_INDEX | _OF_THEIR_ROWS and not sorts_one:
        yield about
    if "Index Cond" in node:
        wanted = r"\(id = " if node["Relation Name"] == "api_keys" else r"\(operator_id = "
        if not re.search(wanted, node["Index Cond"]):
            yield f"{about} by {node['Index Cond']}"
    elif node["Node Type"] in _BY_INDEX:
        yield f"{about} from end to end"
    if node.get("Rows Removed by Filter", 0) > MOST_ROWS_REMOVED:
        yield f"{about} by {node.get('Index Cond')} removed {node['Rows Removed by Filter']} rows by {node['Filter']}"


def _first(values: Any) -> Any:
    """Return the parameters of one row, where a statement was given many."""
    return values[0] if isinstance(values, list) else values
