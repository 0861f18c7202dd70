"""Rows in every table, linked, for two invented operators, and what a database holds of each."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, func, insert, select, text

from axlewright.fleet.engines import owner_engine, transaction
from axlewright.fleet.keys import OPERATOR_SETTING
from axlewright.fleet.tables import METADATA

OPERATOR_IDS = (1, 2)
MADE_AT = "2026-05-14T09:30:00.000000Z"

Rows = list[dict[str, Any]]

TICKETS: dict[str, str | None] = {
    json.dumps({"session": {"ticket": "A-2207"}}): "A-2207",
    json.dumps({"session": {"ticket": "Wägeschein 7"}}): "Wägeschein 7",
    json.dumps({"session": {"ticket": None}}): None,
    json.dumps({"session": {"ticket": 2207}}): None,
    json.dumps({"session": {}}): None,
    json.dumps({"loads": []}): None,
    json.dumps([]): None,
    json.dumps({"session": {"ticket": "nul\0"}}): None,
    "no document": None,
}
"""Stored documents of sessions, and the ticket number that each one names."""


@contextmanager
def as_operator(engine: Engine, operator_id: int | None) -> Iterator[Connection]:
    """Run the body in a transaction that on PostgreSQL sees the rows of one operator, without a key of theirs."""
    with transaction(engine) as connection:
        if operator_id is not None and engine.dialect.name == "postgresql":
            connection.execute(select(func.set_config(OPERATOR_SETTING, str(operator_id), True)))
        yield connection


@contextmanager
def as_owner(url: str, operator_id: int | None = None) -> Iterator[Connection]:
    """Run the body in a transaction of the tables' owner, who on PostgreSQL sees the rows of one operator as well."""
    engine = owner_engine(url)
    try:
        with as_operator(engine, operator_id) as connection:
            yield connection
    finally:
        engine.dispose()


def fill(url: str) -> None:
    """Fill every table; columns that may be empty and came after the first revision stay so."""
    for operator_id in OPERATOR_IDS:
        with as_owner(url, operator_id) as connection:
            for table, rows in rows_of(operator_id).items():
                connection.execute(insert(METADATA.tables[table]), rows)


def contents(url: str) -> dict[str, Rows]:
    """Return all rows of all tables, in a fixed order."""
    found: dict[str, Rows] = {table: [] for table in METADATA.tables}
    for operator_id in OPERATOR_IDS:
        with as_owner(url, operator_id) as connection:
            for table, rows in found.items():
                rows += _rows_in(connection, table)
    return {table: _distinct(rows) for table, rows in found.items()}


def _rows_in(connection: Connection, table: str) -> Iterator[dict[str, Any]]:
    return (dict(row) for row in connection.execute(text(f"SELECT * FROM {table}")).mappings())


def _distinct(rows: Rows) -> Rows:
    return [dict(items) for items in sorted({tuple(sorted(row.items())) for row in rows}, key=repr)]


def rows_of(operator_id: int) -> dict[str, Rows]:
    """Return rows for every table, parents first."""
    own = {"operator_id": operator_id}
    twice = ("a", "b")
    stored = own | {"schema": 1, "document": "{}", "made_at": MADE_AT}
    kept = stored | {"revision": 3, "archived": 0, "changed_at": MADE_AT}
    recorded = stored | {"supersedes": None, "superseded_by": None}
    of_vehicle: Rows = [
        recorded | {"id": "first", "vehicle_id": "a", "day": "2026-05-14", "superseded_by": "second"},
        recorded | {"id": "second", "vehicle_id": "a", "day": "2026-05-14", "supersedes": "first"},
        recorded | {"id": "other", "vehicle_id": "b", "day": "2026-05-15"},
    ]
    tire = {"vehicle_id": "a", "wheel_end": "steer.left", "fitted_on": "2026-01-02"}
    listed = own | {"axle": "", "archived": 0, "standing": 2, "weighed_on": "", "side_difference_share": 0.125}
    listed |= {"name": "Tern 7", "first_day": "2026-01-02", "last_day": None, "labels": '["north"]', "changed_since": 0}
    entry = own | {"kind": "load", "day": "2026-05-14", "value": 1469.6394988, "standard_uncertainty": 5.44}
    change = stored | {"kind": "rigs", "revision": 1, "action": "made", "key_id": f"{operator_id}-a"}
    answer = own | {"request_hash": "0f", "status": 201, "headers": "{}", "body": b"{}", "made_at": MADE_AT}
    assessment = own | {"rig_id": "a", "made_at": MADE_AT, "contract_version": "0.2.0", "core_version": "0.2.0"}
    assessment |= {"table_editions": "{}", "input": "{}", "result": b"\x78\x9c\x00\xff"}
    assessment |= {"standing": "tight", "figures": "{}", "lists": 1}
    return {
        "operators": [{"id": operator_id, "name": f"Tern Hire {operator_id}", "made_at": MADE_AT}],
        "api_keys": [own | _key(f"{operator_id}-{which}") for which in twice],
        "rate_windows": [
            {"key_id": f"{operator_id}-{which}", "starts": 1_778_751_000, "leased": 60} for which in twice
        ],
        "vehicles": [kept | {"id": which, "asset_number": f"T-{which}"} for which in twice],
        "policies": [kept | {"id": which} for which in twice],
        "inflation_tables": [kept | {"id": which} for which in twice],
        "rigs": [kept | {"id": which} for which in twice],
        "rig_vehicles": [
            own | {"rig_id": rig, "position": position, "vehicle_id": vehicle}
            for rig in twice
            for position, vehicle in enumerate(twice)
        ],
        "fitted_tires": [kept | tire | {"id": which} for which in twice],
        "layouts": [kept | {"id": which, "rig_id": which} for which in twice],
        "sessions": [
            recorded | {"id": f"s{number}", "document": document, "snapshot": "{}", "rig_id": "a", "day": "2026-05-14"}
            for number, document in enumerate(TICKETS)
        ],
        "assessments": [assessment | {"id": which, "session_id": "s0"} for which in twice],
        "pressure_checks": of_vehicle,
        "upkeep_events": of_vehicle,
        "odometer_readings": of_vehicle,
        "rig_listing": [
            listed | {"label": label, "rig_id": which, "asset_number": which}
            for label in ("", "north")
            for which in twice
        ],
        "timeline": [
            entry | {"subject": f"a/steer.{side}", "entry_id": "s0", "order_id": "s0"} for side in ("left", "right")
        ],
        "changes": [change | {"id": which, "key_id": f"{operator_id}-a", "resource_id": which} for which in twice],
        "idempotent_answers": [answer | {"key": which} for which in twice],
    }


def _key(key_id: str) -> dict[str, str]:
    return {"id": key_id, "name": "desk", "scopes": "read write", "secret_hash": "0f", "made_at": MADE_AT}
