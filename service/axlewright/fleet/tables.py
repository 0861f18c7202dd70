"""The tables of the store. Every row of an operator carries its number, which is the first column of each key.

Documents are JSON text as they were sent. Moments are text in UTC, `2026-05-14T09:30:00.000000Z`, and days
`2026-05-14`, so that they sort alike in every database; text sorts by code point.
"""

from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
    text,
)
from sqlalchemy.dialects.sqlite import REAL
from sqlalchemy.types import TypeEngine

METADATA = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)

BY_CODE_POINT: TypeEngine[str] = Text().with_variant(Text(collation="C"), "postgresql")
NUMBER: TypeEngine[int] = BigInteger().with_variant(Integer(), "sqlite")
MEASURE: TypeEngine[float] = Double().with_variant(REAL(), "sqlite")

NEVER = ""
"""The day on which a rig that was never weighed was weighed last: before all others."""


def _text(name: str, *more: Any, null: bool = False) -> Column[str]:
    return Column(name, BY_CODE_POINT, *more, nullable=null)


def _whole(name: str, *more: Any, null: bool = False) -> Column[int]:
    return Column(name, NUMBER, *more, nullable=null)


def _measure(name: str) -> Column[float]:
    return Column(name, MEASURE, nullable=True)


def _owned(name: str, *items: Any, key: tuple[str, ...] = ("id",)) -> Table:
    """Return a table whose rows belong to an operator."""
    return Table(
        name,
        METADATA,
        _whole("operator_id", ForeignKey("operators.id")),
        *items,
        PrimaryKeyConstraint("operator_id", *key),
        sqlite_strict=True,
    )


def _kept(name: str, *items: Any) -> Table:
    """Return a table of documents that change: each change is another revision, told in `changes`."""
    return _owned(
        name,
        _text("id"),
        _whole("revision"),
        _whole("schema"),
        _text("document"),
        _whole("archived"),
        _text("made_at"),
        _text("changed_at"),
        *items,
        Index(None, "operator_id", "archived", "id"),
    )


def _recorded(name: str, *items: Any) -> Table:
    """Return a table of documents that never change; a corrected one supersedes another."""
    return _owned(
        name,
        _text("id"),
        _whole("schema"),
        _text("document"),
        _text("made_at"),
        _text("supersedes", null=True),
        _text("superseded_by", null=True),
        UniqueConstraint("operator_id", "supersedes"),
        *items,
    )


def _of(parent: str, column: str) -> ForeignKeyConstraint:
    """Return the key to a row of the same operator."""
    return ForeignKeyConstraint(["operator_id", column], [f"{parent}.operator_id", f"{parent}.id"])


OPERATORS = Table(
    "operators",
    METADATA,
    Column("id", NUMBER, primary_key=True, autoincrement=True),
    _text("name"),
    _text("made_at"),
    UniqueConstraint("name"),
    sqlite_strict=True,
    sqlite_autoincrement=True,
)

API_KEYS = Table(
    "api_keys",
    METADATA,
    _text("id"),
    _whole("operator_id", ForeignKey("operators.id")),
    _text("name"),
    _text("scopes"),
    _text("secret_hash"),
    _text("made_at"),
    _text("expires_at", null=True),
    _text("revoked_at", null=True),
    PrimaryKeyConstraint("id"),
    Index(None, "operator_id", "name"),
    sqlite_strict=True,
)

RATE_WINDOWS = Table(
    "rate_windows",
    METADATA,
    _text("key_id", ForeignKey("api_keys.id")),
    _whole("starts"),
    _whole("leased"),
    PrimaryKeyConstraint("key_id"),
    sqlite_strict=True,
)
"""Of each key the present window, by the second since 1970 in which it starts, and the requests leased in it."""

VEHICLES = _kept(
    "vehicles",
    _text("asset_number", null=True),
    Index(
        "uq_vehicles_asset_number",
        "operator_id",
        "asset_number",
        unique=True,
        sqlite_where=text("archived = 0"),
        postgresql_where=text("archived = 0"),
    ),
)
"""A vehicle out of use gives its asset number free.

An index of some rows is none that a foreign key could name, so that PostgreSQL lets others refer to a vehicle while its
number changes.
"""

POLICIES = _kept("policies")

INFLATION_TABLES = _kept("inflation_tables")

RIGS = _kept("rigs")

RIG_VEHICLES = _owned(
    "rig_vehicles",
    _text("rig_id"),
    _whole("position"),
    _text("vehicle_id"),
    _of("rigs", "rig_id"),
    _of("vehicles", "vehicle_id"),
    Index(None, "operator_id", "vehicle_id", "rig_id"),
    key=("rig_id", "position"),
)

FITTED_TIRES = _kept(
    "fitted_tires",
    _text("vehicle_id"),
    _text("wheel_end"),
    _text("fitted_on"),
    _text("taken_off_on", null=True),
    _of("vehicles", "vehicle_id"),
    Index(None, "operator_id", "vehicle_id", "archived", "id"),
)

LAYOUTS = _kept(
    "layouts",
    _text("rig_id"),
    _of("rigs", "rig_id"),
    Index(None, "operator_id", "rig_id", "archived", "id"),
)

SESSIONS = _recorded(
    "sessions",
    _text("snapshot"),
    _text("rig_id"),
    _text("day"),
    _text("ticket", null=True),
    _of("rigs", "rig_id"),
    Index(None, "operator_id", "rig_id", "id"),
    Index(None, "operator_id", "ticket", "id"),
)

ASSESSMENTS = _owned(
    "assessments",
    _text("id"),
    _text("session_id"),
    _text("rig_id"),
    _text("made_at"),
    _text("contract_version"),
    _text("core_version"),
    _text("table_editions"),
    _text("input"),
    Column("result", LargeBinary, nullable=False),
    _text("standing"),
    _text("figures"),
    _whole("lists"),
    _of("sessions", "session_id"),
    _of("rigs", "rig_id"),
    Index(None, "operator_id", "rig_id", "id"),
    Index(None, "operator_id", "session_id", "id"),
)
"""`result` is the answer's JSON as it was given, compressed with zlib; `figures` that by which the rig is listed,
if it `lists`: one ordered for other conditions or by another policy is a trial.
"""


def _recorded_of_a_vehicle(name: str) -> Table:
    return _recorded(
        name,
        _text("vehicle_id"),
        _text("day"),
        _of("vehicles", "vehicle_id"),
        Index(None, "operator_id", "vehicle_id", "id"),
        Index(None, "operator_id", "vehicle_id", "day", "id"),
    )


PRESSURE_CHECKS = _recorded_of_a_vehicle("pressure_checks")
UPKEEP_EVENTS = _recorded_of_a_vehicle("upkeep_events")
ODOMETER_READINGS = _recorded_of_a_vehicle("odometer_readings")

_LISTED = ("operator_id", "label", "axle", "archived")

RIG_LISTING = _owned(
    "rig_listing",
    _text("label"),
    _text("axle"),
    _text("rig_id"),
    _whole("archived"),
    _whole("standing"),
    _text("asset_number"),
    _text("weighed_on"),
    Column("side_difference_share", MEASURE, nullable=False),
    _text("name"),
    _text("first_day"),
    _text("last_day", null=True),
    _text("labels"),
    _whole("changed_since"),
    _of("rigs", "rig_id"),
    Index(None, "operator_id", "rig_id"),
    *(
        Index(f"ix_rig_listing_{'standing_' * filtered}by_{by}", *_LISTED, *(["standing"] * filtered), by, "rig_id")
        for filtered in (False, True)
        for by in ("standing", "asset_number", "weighed_on", "side_difference_share")
        if not (filtered and by == "standing")
    ),
    key=("label", "axle", "rig_id"),
)
"""One row for a rig under each of its labels and none, and for each of its axles and none (the text is empty then).

So every filter is an equality at the head of an index, and every order its next column: a page costs the same in any
fleet. `standing` is the rank of the standing, worst first; an unknown side difference is -1. All that a list
shows stands in the row, `labels` as JSON text.
"""

TIMELINE = _owned(
    "timeline",
    _text("subject"),
    _text("day"),
    _text("order_id"),
    _text("kind"),
    _text("entry_id"),
    _text("word", null=True),
    _measure("value"),
    _measure("standard_uncertainty"),
    Index(None, "operator_id", "entry_id"),
    key=("subject", "day", "order_id", "kind"),
)
"""What happened to a subject, in SI: a rig by its id, a vehicle by its id and `/`, a wheel end by
`vehicle id/axle.side`.

`order_id` is the id of the record, or of the first one in a chain of corrections, so that a correction takes its place.
"""

CHANGES = _owned(
    "changes",
    _text("id"),
    _text("made_at"),
    _text("key_id"),
    _text("kind"),
    _text("resource_id"),
    _whole("revision"),
    _text("action"),
    _whole("schema"),
    _text("document"),
    Index(None, "operator_id", "resource_id", "id"),
)

IDEMPOTENT_ANSWERS = _owned(
    "idempotent_answers",
    _text("key"),
    _text("request_hash"),
    _whole("status"),
    _text("headers"),
    Column("body", LargeBinary, nullable=False),
    _text("made_at"),
    Index(None, "operator_id", "made_at"),
    key=("key",),
)

OF_AN_OPERATOR = tuple(
    table for table in METADATA.sorted_tables if table.primary_key.columns.keys()[0] == "operator_id"
)
"""The tables that row-level security covers."""
