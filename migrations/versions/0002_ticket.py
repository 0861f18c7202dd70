"""A session's ticket number in a column of its own, so that a weigh is found by it."""

import msgspec
import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
INDEX = "ix_sessions_operator_id_ticket_id"
SESSIONS_AT_ONCE = 500

SESSIONS = sa.table("sessions", sa.column("operator_id"), sa.column("id"), sa.column("document"), sa.column("ticket"))


def upgrade() -> None:
    op.add_column("sessions", sa.Column("ticket", TEXT, nullable=True))
    connection = op.get_bind()
    for operator_id in connection.scalars(sa.text("SELECT id FROM operators ORDER BY id")).all():
        see_rows_of(connection, operator_id)
        fill_in(connection, operator_id)
    op.create_index(INDEX, "sessions", ["operator_id", "ticket", "id"])


def downgrade() -> None:
    op.drop_index(INDEX, "sessions")
    op.drop_column("sessions", "ticket")


def see_rows_of(connection: sa.Connection, operator_id: int) -> None:
    """On PostgreSQL row-level security hides the rows from the tables' owner as well."""
    if connection.dialect.name == "postgresql":
        setting = sa.text("SELECT set_config('axlewright.operator', :operator, true)")
        connection.execute(setting, {"operator": str(operator_id)})


def fill_in(connection: sa.Connection, operator_id: int) -> None:
    own = SESSIONS.c.operator_id == operator_id
    page = sa.select(SESSIONS.c.id, SESSIONS.c.document).where(own).order_by(SESSIONS.c.id).limit(SESSIONS_AT_ONCE)
    change = (
        sa.update(SESSIONS).where(own, SESSIONS.c.id == sa.bindparam("session")).values(ticket=sa.bindparam("number"))
    )
    rows = connection.execute(page).all()
    while rows:
        tickets = [{"session": row.id, "number": ticket_in(row.document)} for row in rows]
        if found := [ticket for ticket in tickets if ticket["number"] is not None]:
            connection.execute(change, found)
        rows = connection.execute(page.where(SESSIONS.c.id > rows[-1].id)).all()


def ticket_in(document: str) -> str | None:
    """Return the ticket number at /session/ticket, None where the document has none that is text."""
    try:
        ticket = msgspec.json.decode(document)["session"]["ticket"]
    except (msgspec.DecodeError, LookupError, TypeError):
        return None
    return ticket if isinstance(ticket, str) and "\0" not in ticket else None
