"""The first tables, and on PostgreSQL the service's role, its grants and the rule that hides others' rows."""

import time

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.sqlite import REAL

from axlewright.fleet.errors import MigrationRefused

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
MEASURE = sa.Double().with_variant(REAL(), "sqlite")

# In the order in which they are made, with what the service may do in each.
KEPT = ("SELECT", "INSERT", "UPDATE")
RECORDED = ("SELECT", "INSERT", "UPDATE (superseded_by)")
WRITTEN_ONCE = ("SELECT", "INSERT")
DERIVED = ("SELECT", "INSERT", "UPDATE", "DELETE")
SHARED = {"operators": ("SELECT",), "api_keys": ("SELECT",), "rate_windows": ("SELECT", "INSERT", "UPDATE")}
OWNED = {
    "vehicles": KEPT,
    "policies": KEPT,
    "inflation_tables": KEPT,
    "rigs": KEPT,
    "rig_vehicles": DERIVED,
    "fitted_tires": KEPT,
    "layouts": KEPT,
    "sessions": RECORDED,
    "assessments": WRITTEN_ONCE,
    "pressure_checks": RECORDED,
    "upkeep_events": RECORDED,
    "odometer_readings": RECORDED,
    "rig_listing": DERIVED,
    "timeline": DERIVED,
    "changes": WRITTEN_ONCE,
    "idempotent_answers": DERIVED,
}

ROLE = "axlewright_service"
ROLE_ATTEMPTS = 20
ROLE_PAUSE_S = 0.05


def upgrade() -> None:
    make_shared()
    make_kept()
    make_recorded()
    make_read_back()
    if op.get_bind().dialect.name == "postgresql":
        have_role()
        grant()
        hide_from_others()


def downgrade() -> None:
    if op.get_bind().scalar(sa.text("SELECT count(*) FROM operators")):
        raise MigrationRefused("there are operators: without the first tables all that they stored would be lost")
    for table in reversed([*SHARED, *OWNED]):
        op.drop_table(table)


def make_shared() -> None:
    op.create_table(
        "operators",
        sa.Column("id", WHOLE, autoincrement=True, nullable=False),
        text("name"),
        text("made_at"),
        sa.PrimaryKeyConstraint("id", name="pk_operators"),
        sa.UniqueConstraint("name", name="uq_operators_name"),
        sqlite_strict=True,
        sqlite_autoincrement=True,
    )
    op.create_table(
        "api_keys",
        text("id"),
        whole("operator_id"),
        text("name"),
        text("scopes"),
        text("secret_hash"),
        text("made_at"),
        text("expires_at", null=True),
        text("revoked_at", null=True),
        sa.PrimaryKeyConstraint("id", name="pk_api_keys"),
        sa.ForeignKeyConstraint(["operator_id"], ["operators.id"], name="fk_api_keys_operator_id"),
        sqlite_strict=True,
    )
    index("api_keys", "operator_id", "name")
    op.create_table(
        "rate_windows",
        text("key_id"),
        whole("starts"),
        whole("leased"),
        sa.PrimaryKeyConstraint("key_id", name="pk_rate_windows"),
        sa.ForeignKeyConstraint(["key_id"], ["api_keys.id"], name="fk_rate_windows_key_id"),
        sqlite_strict=True,
    )


def make_kept() -> None:
    kept("vehicles", text("asset_number", null=True))
    op.create_index(
        "uq_vehicles_asset_number",
        "vehicles",
        ["operator_id", "asset_number"],
        unique=True,
        sqlite_where=sa.text("archived = 0"),
        postgresql_where=sa.text("archived = 0"),
    )
    kept("policies")
    kept("inflation_tables")
    kept("rigs")
    owned(
        "rig_vehicles",
        text("rig_id"),
        whole("position"),
        text("vehicle_id"),
        of("rig_vehicles", "rigs", "rig_id"),
        of("rig_vehicles", "vehicles", "vehicle_id"),
        key=("rig_id", "position"),
    )
    index("rig_vehicles", "operator_id", "vehicle_id", "rig_id")
    kept(
        "fitted_tires",
        text("vehicle_id"),
        text("wheel_end"),
        text("fitted_on"),
        text("taken_off_on", null=True),
        of("fitted_tires", "vehicles", "vehicle_id"),
    )
    index("fitted_tires", "operator_id", "vehicle_id", "archived", "id")
    kept("layouts", text("rig_id"), of("layouts", "rigs", "rig_id"))
    index("layouts", "operator_id", "rig_id", "archived", "id")


def make_recorded() -> None:
    recorded("sessions", text("snapshot"), text("rig_id"), text("day"), of("sessions", "rigs", "rig_id"))
    index("sessions", "operator_id", "rig_id", "id")
    owned(
        "assessments",
        text("id"),
        text("session_id"),
        text("rig_id"),
        text("made_at"),
        text("contract_version"),
        text("core_version"),
        text("table_editions"),
        text("input"),
        sa.Column("result", sa.LargeBinary(), nullable=False),
        text("standing"),
        text("figures"),
        whole("lists"),
        of("assessments", "sessions", "session_id"),
        of("assessments", "rigs", "rig_id"),
    )
    index("assessments", "operator_id", "rig_id", "id")
    index("assessments", "operator_id", "session_id", "id")
    for table in ("pressure_checks", "upkeep_events", "odometer_readings"):
        recorded(table, text("vehicle_id"), text("day"), of(table, "vehicles", "vehicle_id"))
        index(table, "operator_id", "vehicle_id", "id")
        index(table, "operator_id", "vehicle_id", "day", "id")


def make_read_back() -> None:
    owned(
        "rig_listing",
        text("label"),
        text("axle"),
        text("rig_id"),
        whole("archived"),
        whole("standing"),
        text("asset_number"),
        text("weighed_on"),
        sa.Column("side_difference_share", MEASURE, nullable=False),
        text("name"),
        text("first_day"),
        text("last_day", null=True),
        text("labels"),
        whole("changed_since"),
        of("rig_listing", "rigs", "rig_id"),
        key=("label", "axle", "rig_id"),
    )
    index("rig_listing", "operator_id", "rig_id")
    listed = ["operator_id", "label", "axle", "archived"]
    for order in ("standing", "asset_number", "weighed_on", "side_difference_share"):
        op.create_index(f"ix_rig_listing_by_{order}", "rig_listing", [*listed, order, "rig_id"])
    for order in ("asset_number", "weighed_on", "side_difference_share"):
        op.create_index(f"ix_rig_listing_standing_by_{order}", "rig_listing", [*listed, "standing", order, "rig_id"])
    owned(
        "timeline",
        text("subject"),
        text("day"),
        text("order_id"),
        text("kind"),
        text("entry_id"),
        text("word", null=True),
        sa.Column("value", MEASURE, nullable=True),
        sa.Column("standard_uncertainty", MEASURE, nullable=True),
        key=("subject", "day", "order_id", "kind"),
    )
    index("timeline", "operator_id", "entry_id")
    owned(
        "changes",
        text("id"),
        text("made_at"),
        text("key_id"),
        text("kind"),
        text("resource_id"),
        whole("revision"),
        text("action"),
        whole("schema"),
        text("document"),
    )
    index("changes", "operator_id", "resource_id", "id")
    owned(
        "idempotent_answers",
        text("key"),
        text("request_hash"),
        whole("status"),
        text("headers"),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        text("made_at"),
        key=("key",),
    )
    index("idempotent_answers", "operator_id", "made_at")


def text(name: str, *, null: bool = False) -> sa.Column[str]:
    return sa.Column(name, TEXT, nullable=null)


def whole(name: str) -> sa.Column[int]:
    return sa.Column(name, WHOLE, nullable=False)


def of(table: str, parent: str, column: str) -> sa.ForeignKeyConstraint:
    """Return the key to a row of the same operator."""
    return sa.ForeignKeyConstraint(
        ["operator_id", column],
        [f"{parent}.operator_id", f"{parent}.id"],
        name=f"fk_{table}_operator_id_{column}",
    )


def index(table: str, *columns: str) -> None:
    op.create_index(f"ix_{table}_{'_'.join(columns)}", table, [*columns])


def owned(table: str, *items: sa.schema.SchemaItem, key: tuple[str, ...] = ("id",)) -> None:
    op.create_table(
        table,
        whole("operator_id"),
        *items,
        sa.PrimaryKeyConstraint("operator_id", *key, name=f"pk_{table}"),
        sa.ForeignKeyConstraint(["operator_id"], ["operators.id"], name=f"fk_{table}_operator_id"),
        sqlite_strict=True,
    )


def kept(table: str, *items: sa.schema.SchemaItem) -> None:
    owned(
        table,
        text("id"),
        whole("revision"),
        whole("schema"),
        text("document"),
        whole("archived"),
        text("made_at"),
        text("changed_at"),
        *items,
    )
    index(table, "operator_id", "archived", "id")


def recorded(table: str, *items: sa.schema.SchemaItem) -> None:
    owned(
        table,
        text("id"),
        whole("schema"),
        text("document"),
        text("made_at"),
        text("supersedes", null=True),
        text("superseded_by", null=True),
        *items,
        sa.UniqueConstraint("operator_id", "supersedes", name=f"uq_{table}_operator_id_supersedes"),
    )


def have_role() -> None:
    """See that the service's role is there and that this user may take it.

    Roles belong to the whole cluster: another database's migration may be making the same one at this moment.
    """
    for _ in range(ROLE_ATTEMPTS):
        try:
            with op.get_bind().begin_nested():
                make_role()
                return
        except (sa.exc.IntegrityError, sa.exc.InternalError, sa.exc.ProgrammingError) as failure:
            # unique_violation, "tuple concurrently updated", duplicate_object
            if getattr(failure.orig, "sqlstate", None) not in ("23505", "XX000", "42710"):
                raise
            time.sleep(ROLE_PAUSE_S)
    raise MigrationRefused(f"the role {ROLE} is being changed by others all the time")


def make_role() -> None:
    if not op.get_bind().scalar(sa.text("SELECT 1 FROM pg_roles WHERE rolname = :role"), {"role": ROLE}):
        op.execute(f"CREATE ROLE {ROLE} NOLOGIN NOSUPERUSER NOBYPASSRLS NOCREATEDB NOCREATEROLE")
    if not may_take_role():
        op.execute(f"GRANT {ROLE} TO CURRENT_USER")


def may_take_role() -> bool:
    try:
        with op.get_bind().begin_nested():
            op.execute(f"SET LOCAL ROLE {ROLE}")
            op.execute("RESET ROLE")
    except sa.exc.ProgrammingError:
        return False
    return True


def grant() -> None:
    op.execute(f"GRANT SELECT ON alembic_version TO {ROLE}")
    for table, allowed in (SHARED | OWNED).items():
        op.execute(f"GRANT {', '.join(allowed)} ON {table} TO {ROLE}")


def hide_from_others() -> None:
    own = "operator_id = NULLIF(current_setting('axlewright.operator', true), '')::bigint"
    for table in OWNED:
        op.execute(f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY")
        op.execute(f"ALTER TABLE {table} FORCE ROW LEVEL SECURITY")  # the tables' owner is no exception
        op.execute(f"CREATE POLICY own_rows ON {table} USING ({own}) WITH CHECK ({own})")
