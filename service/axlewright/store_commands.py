"""The commands about the store: `axlewright keys` and `axlewright migrate`."""

import argparse
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from axlewright.settings import Settings

if TYPE_CHECKING:
    from sqlalchemy import Connection

_MOST_DAYS = 36_500


class CommandError(Exception):
    """The command cannot do what was asked; its text says why."""


def add_keys(parser: argparse.ArgumentParser) -> None:
    """Give the parser of `axlewright keys` its commands."""
    commands = parser.add_subparsers(required=True, metavar="command")
    make = commands.add_parser("make", help="make a key and print it: this once, for it is not stored")
    make.add_argument("--operator", required=True, help="whose rigs the key is for")
    make.add_argument("--name", required=True, help="what the key is for; two live keys may share a name")
    make.add_argument("--scopes", required=True, help="any of read, write and manage, with commas")
    make.add_argument("--days", type=_days, help="how long the key lasts (default: until it is revoked)")
    make.add_argument("--new-operator", action="store_true", help="the operator is a new one")
    make.set_defaults(run=_make_key)
    listed = commands.add_parser("list", help="list keys, without what is secret of them")
    listed.add_argument("--operator", help="of one operator only")
    listed.set_defaults(run=_list_keys)
    revoke = commands.add_parser("revoke", help="revoke a key from the next request on")
    revoke.add_argument("key_id", metavar="KEY_ID", help="the 12 characters that `axlewright keys list` shows")
    revoke.set_defaults(run=_revoke_key)


def _days(text: str) -> int:
    return whole_number(text, _MOST_DAYS, "number of days")


def whole_number(text: str, most: int, what: str) -> int:
    """Return the number from 1 to `most` that a text is, or refuse it."""
    if not (text.isascii() and text.isdigit() and len(text) <= len(str(most)) and 1 <= int(text) <= most):
        raise argparse.ArgumentTypeError(f"{text!r} is no {what} from 1 to {most}")
    return int(text)


def migrate_database(_: argparse.Namespace) -> int:
    """Run `axlewright migrate`."""
    from axlewright.fleet.migrations import migrate

    url = Settings.from_environment(os.environ).database_url
    with _refusals_of(url) as shown:
        applied = migrate(url)
    print(f"{shown}: applied {', '.join(applied)}" if applied else f"{shown} is current: nothing to do")
    return 0


def _make_key(options: argparse.Namespace) -> int:
    from axlewright.fleet.clock import now
    from axlewright.fleet.key_store import make_key

    url = Settings.from_environment(os.environ).database_url
    scopes = [scope.strip() for scope in options.scopes.split(",")]
    lasts = None if options.days is None else timedelta(days=options.days)
    if made := new_database(url):
        print(f"Made the database {made}.", file=sys.stderr)
    with _owned_store(url) as (connection, shown):
        key = make_key(
            connection,
            options.operator,
            options.name,
            scopes,
            now=now(),
            lasts=lasts,
            new_operator=options.new_operator,
        )
    duration = "until it is revoked" if lasts is None else f"for {options.days} days"
    print(
        f"Made a key {options.name!r} for {options.operator!r} in {shown}. It lasts {duration}. "
        "It is shown this once, since it is not stored:",
        file=sys.stderr,
    )
    print(key)
    return 0


def _list_keys(options: argparse.Namespace) -> int:
    from axlewright.fleet.clock import now
    from axlewright.fleet.key_store import list_keys

    with _owned_store(Settings.from_environment(os.environ).database_url) as (connection, shown):
        keys = list_keys(connection, options.operator)
    at = now()
    rows = [("key id", "state", "scopes", "made", "expires", "operator", "name")]
    rows += [
        (key.id, key.state(at), key.scopes, key.made_at[:10], (key.expires_at or "-")[:10], key.operator, key.name)
        for key in keys
    ]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    print(f"{len(keys)} {'key' if len(keys) == 1 else 'keys'} in {shown}", file=sys.stderr)
    for row in rows if keys else []:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
    return 0


def _revoke_key(options: argparse.Namespace) -> int:
    from axlewright.fleet.clock import now
    from axlewright.fleet.key_store import revoke_key
    from axlewright.fleet.keys import is_key_id

    if not is_key_id(options.key_id):
        # It may be a whole key, which nothing prints again.
        raise CommandError("that is no key id: it has 12 letters and digits, which `axlewright keys list` shows")
    with _owned_store(Settings.from_environment(os.environ).database_url) as (connection, shown):
        revoked_at = revoke_key(connection, options.key_id, now())
    print(f"The key {options.key_id} in {shown} is revoked since {revoked_at}.")
    return 0


@contextmanager
def _owned_store(url: str) -> Iterator[tuple["Connection", str]]:
    """Open a transaction as the URL's own user; yield it with the database's name for people."""
    from axlewright.fleet.engines import owner_engine, transaction

    with _refusals_of(url) as shown:
        if _is_new(url):
            raise CommandError(f"there is no database {shown} yet; `axlewright migrate` makes it")
        engine = owner_engine(url)
        try:
            with transaction(engine) as connection:
                yield connection, shown
        finally:
            engine.dispose()


def new_database(url: str) -> str | None:
    """Make and migrate an SQLite file that is not there yet, which has nothing to lose; return its name if so."""
    from axlewright.fleet.migrations import migrate

    with _refusals_of(url) as shown:
        if not _is_new(url):
            return None
        migrate(url)
        return shown


def _is_new(url: str) -> bool:
    """Return whether a URL names an SQLite file that is not there or empty."""
    from axlewright.fleet.engines import database_url

    parts = database_url(url)
    if parts.get_backend_name() != "sqlite" or parts.database is None:
        return False
    file = Path(parts.database)
    if not file.parent.is_dir():
        raise CommandError(f"there is no folder {str(file.parent)!r} for the database")
    return not file.exists() or file.stat().st_size == 0


@contextmanager
def _refusals_of(url: str) -> Iterator[str]:
    """Yield the database's name for people, without password and options; tell them what it refuses."""
    from sqlalchemy.exc import DBAPIError

    from axlewright.fleet.engines import database_url
    from axlewright.fleet.errors import MigrationRefused, StoreUnavailable
    from axlewright.fleet.key_store import KeyRequestError

    try:
        shown = database_url(url).set(query={}).render_as_string(hide_password=True)
    except ValueError as wrong:
        raise CommandError(f"AXLEWRIGHT_DATABASE_URL cannot be used: {wrong}") from None
    try:
        yield shown
    except (StoreUnavailable, MigrationRefused, KeyRequestError) as refusal:
        raise CommandError(f"{shown}: {refusal}") from None
    except DBAPIError as failure:
        raise CommandError(f"{shown}: {failure.orig}") from None
