"""Runs the revisions that alembic chose, inside the transaction that axlewright.fleet.migrations opened."""

import os

from alembic import context
from sqlalchemy import Connection

from axlewright.fleet.migrations import migrating, refuse_broken_links
from axlewright.fleet.tables import METADATA


def run(connection: Connection) -> None:
    context.configure(connection=connection, target_metadata=METADATA, render_as_batch=True)
    context.run_migrations()
    refuse_broken_links(connection)


given: Connection | None = context.config.attributes.get("connection")
if given is not None:
    run(given)
elif context.is_offline_mode():
    raise SystemExit("Migrations read what is stored: they run on a database, not as a script of SQL.")
else:
    with migrating(os.environ["AXLEWRIGHT_DATABASE_URL"]) as own:
        run(own)
