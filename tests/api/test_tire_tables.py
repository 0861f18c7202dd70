"""The built-in tables as resources: filters, pages, rows in the units asked for."""

import re
from typing import Any

import pytest

from axlewright.app import create_app
from axlewright.core.tires.tables import built_in_tables
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.contract.published import component, validator_of

APP = create_app(Settings())
PATH = "/v1/tires/tables"
LISTED = validator_of(component("ListTireTablesAnswer"))
TABLE = validator_of(component("GetTireTableAnswer"))


def read(path: str, query: str = "") -> Reply:
    return send(APP, "GET", path, query=query)


def pages(query: str) -> list[dict[str, Any]]:
    """Return every page of a list, from one `Link` to the next."""
    found = []
    while True:
        reply = read(PATH, query)
        assert reply.status == 200
        LISTED.validate(reply.json)
        found.append(reply.json)
        link = reply.headers.get("link")
        if link is None:
            assert reply.json["next_cursor"] is None
            return found
        address, _, query = re.fullmatch(r'<([^>]*)>; rel="next"', link)[1].partition("?")  # type: ignore[index]
        assert address == PATH


def test_pages_hold_every_table_once_in_order() -> None:
    listed = [table["id"] for page in pages("limit=7") for table in page["tables"]]
    assert listed == sorted(set(listed))
    assert len(listed) == len(built_in_tables())
    assert [len(page["tables"]) for page in pages("limit=7")] == [7] * (len(listed) // 7) + [len(listed) % 7]


@pytest.mark.parametrize(
    ("query", "ids"),
    [
        ("designation=LT235/85R16&load_range=E", ["lt235-85r16-e-dual", "lt235-85r16-e-single"]),
        ("designation=lt%20235/85%20r16&fitment=dual", ["lt235-85r16-e-dual"]),
        ("designation=225/70R19.5&load_range=G&fitment=single", ["225-70r19.5-g-single"]),
        ("designation=225/70%20R19.5%20LR%20G", ["225-70r19.5-g-dual", "225-70r19.5-g-single"]),
        ("designation=225/70R19.5%20G&load_range=F", []),
        ("designation=205/55R16", []),
    ],
)
def test_filters_keep_what_was_asked_for(query: str, ids: list[str]) -> None:
    assert [table["id"] for page in pages(f"{query}&limit=1") for table in page["tables"]] == ids


def test_the_page_links_keep_the_filters() -> None:
    reply = read(PATH, "designation=225/70R19.5&limit=1")
    assert reply.headers["link"] == (
        '</v1/tires/tables?designation=225%2F70R19.5&limit=1&cursor=225-70r19.5-f-dual>; rel="next"'
    )


def test_a_tables_rows_come_as_published() -> None:
    # Michelin load/inflation table printed in a 1990 motorhome specifications manual: 35 to 80 psi, single.
    reply = read(f"{PATH}/lt235-85r16-e-single", "units=us")
    TABLE.validate(reply.json)
    rows = [(row["pressure"], row["load"]) for row in reply.json["rows"]]
    assert (rows[0], rows[-1]) == ((35, 1700), (80, 3042))
    assert reply.json["complete"] is True
    assert reply.json["rows"][0]["source"].startswith("Michelin load/inflation table")
    assert reply.json["units"]["mass"] == "lb"


def test_a_tables_rows_come_in_metric_units() -> None:
    # Hand: 80 psi = 551.58 kPa, 3,042 lb = 1,379.83 kg.
    row = read(f"{PATH}/lt235-85r16-e-single", "units=metric").json["rows"][-1]
    assert (row["pressure"], row["load"]) == (551.6, 1379.8)


@pytest.mark.parametrize(
    ("query", "code", "pointer", "allowed"),
    [
        ("", "missing", "/units", 'one of "metric", "us"'),
        ("units=imperial", "not_allowed", "/units", 'one of "metric", "us"'),
        ("units=us&unit=us", "unknown_name", "/unit", "the names units"),
        ("units=us&units=us", "repeated_name", "/units", "once"),
    ],
)
def test_a_wrong_query_says_what_to_write(query: str, code: str, pointer: str, allowed: str) -> None:
    reply = read(f"{PATH}/lt235-85r16-e-single", query)
    assert (reply.status, reply.problem_type) == (400, "invalid-query")
    [fault] = reply.json["errors"]
    assert (fault["code"], fault["pointer"], fault["allowed"]) == (code, pointer, allowed)


@pytest.mark.parametrize(
    ("query", "pointer", "allowed"),
    [
        ("limit=0", "/limit", "at least 1 and at most 100"),
        ("limit=101", "/limit", "at least 1 and at most 100"),
        ("limit=many", "/limit", "a number"),
        ("limit=", "/limit", "a number"),
        ("load_range=Z", "/load_range", 'one of "A", "B", "C", "D", "E", "F", "G", "H", "J", "L", "M", "N"'),
        ("fitment=triple", "/fitment", 'one of "dual", "single"'),
        ("cursor=%20", "/cursor", "text that matches ^[a-z0-9][a-z0-9.-]{0,63}$"),
    ],
)
def test_a_wrong_filter_says_what_to_write(query: str, pointer: str, allowed: str) -> None:
    reply = read(PATH, query)
    assert (reply.status, reply.problem_type) == (400, "invalid-query")
    [fault] = reply.json["errors"]
    assert (fault["pointer"], fault["allowed"]) == (pointer, allowed)


def test_every_fault_of_a_query_is_told_at_once() -> None:
    reply = read(PATH, "limit=0&fitment=triple&size=16")
    assert {fault["pointer"] for fault in reply.json["errors"]} == {"/limit", "/fitment", "/size"}


def test_a_designation_that_cannot_be_read_says_why() -> None:
    reply = read(PATH, "designation=235/85/16")
    assert (reply.status, reply.problem_type) == (400, "invalid-query")
    [fault] = reply.json["errors"]
    assert (fault["code"], fault["pointer"], fault["given"]) == ("inconsistent_marking", "/designation", '"235/85/16"')
    assert "11R22.5" in fault["allowed"]


@pytest.mark.parametrize("table_id", ["lt235-85r16-e", "LT235-85R16-E-SINGLE", "x" * 300, "%00", "a b"])
def test_an_id_that_no_table_has_is_not_found(table_id: str) -> None:
    reply = read(f"{PATH}/{table_id}", "units=us")
    assert (reply.status, reply.problem_type) == (404, "not-found")
    assert PATH in reply.json["detail"]
