"""The command line: `axlewright serve`, `keys`, `migrate`, `assess`, `demo` and `contract`."""

import argparse
import io
import os
import socket
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING

from axlewright.files import EXIT_CODES, STANDARD_INPUT, assess_files
from axlewright.settings import STATELESS, Settings, SettingsError

if TYPE_CHECKING:
    from sqlalchemy import Connection

USAGE_ERROR = 2
_MOST_WORKERS = 64
_MOST_DAYS = 36_500
_BACKPRESSURE = 128
_HEADER_TIME_LIMIT_MS = 10_000
_STOP_TIME_LIMIT_S = 20


class CommandError(Exception):
    """The command cannot do what was asked; its text says why."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    options = _parser().parse_args(arguments)
    try:
        code: int = options.run(options)
    except (CommandError, SettingsError) as refusal:
        print(f"axlewright: {refusal}", file=sys.stderr)
        return USAGE_ERROR
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="axlewright", description=__doc__)
    commands = parser.add_subparsers(required=True, metavar="command")
    serve = commands.add_parser("serve", help="run the service")
    serve.add_argument("--host", default="127.0.0.1", help="address to listen on (default: %(default)s)")
    serve.add_argument("--port", type=_port, default=8080, help="0 takes a free one (default: %(default)s)")
    serve.add_argument("--workers", type=_workers, default=1, help="processes that serve (default: %(default)s)")
    serve.add_argument("--stateless", action="store_true", help="compute only, without the store and its keys")
    serve.add_argument(
        "--open-to-anyone",
        action="store_true",
        help="allow an address that others can reach, though whatever computes asks nobody who they are",
    )
    serve.set_defaults(run=_serve)
    _add_keys(commands.add_parser("keys", help="make, list and revoke the keys to the store"))
    migrate = commands.add_parser("migrate", help="bring the store's database to this version's tables")
    migrate.set_defaults(run=_migrate)
    demo = commands.add_parser("demo", help="run the service and send it an invented rig's tickets")
    demo.add_argument("--port", type=_port, default=0, help="0 takes a free one (default: %(default)s)")
    demo.add_argument("--once", action="store_true", help="print the sheet and stop")
    demo.set_defaults(run=_demo)
    assess = commands.add_parser(
        "assess",
        help="assess rigs from files, without a server",
        description="Assess the rig of each file, a document as POST /v1/assess takes it.",
        epilog=EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    assess.add_argument("files", nargs="+", metavar="FILE", help="a JSON document; - is standard input")
    assess.add_argument("--json", action="store_true", help="print each answer as a line of JSON, not as a sheet")
    assess.set_defaults(run=_assess)
    contract = commands.add_parser("contract", help="print the OpenAPI document")
    contract.set_defaults(run=_contract)
    return parser


def _add_keys(parser: argparse.ArgumentParser) -> None:
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


def _workers(text: str) -> int:
    return _whole_number(text, _MOST_WORKERS, "number of processes")


def _days(text: str) -> int:
    return _whole_number(text, _MOST_DAYS, "number of days")


def _whole_number(text: str, most: int, what: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= len(str(most)) and 1 <= int(text) <= most):
        raise argparse.ArgumentTypeError(f"{text!r} is no {what} from 1 to {most}")
    return int(text)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text) <= 65_535):
        raise argparse.ArgumentTypeError(f"{text!r} is no port; a port is a number from 0 to 65535")
    return int(text)


def _serve(options: argparse.Namespace) -> int:
    if options.stateless:
        os.environ[STATELESS] = "1"  # the processes that serve read it
    settings = Settings.from_environment(os.environ)
    if not (options.open_to_anyone or settings.keys == "everything" or _is_loopback(options.host)):
        raise CommandError(
            f"{options.host} can be reached from other machines, and whatever computes asks nobody who they are; "
            "set AXLEWRIGHT_KEYS=everything, or add --open-to-anyone if that is wanted"
        )
    port = _free_port(options.host, options.port)
    if not settings.stateless and (made := _new_database(settings.database_url)):
        _log_at_start(settings, f"made the database {made}")
    serve(settings, options.host, port, options.workers)
    return 0


def serve(settings: Settings, host: str, port: int, workers: int = 1) -> None:
    """Run the service until it is told to stop."""
    from granian.constants import HTTPModes, Interfaces
    from granian.http import HTTP1Settings
    from granian.server import Server

    from axlewright.api.log import logging_configuration

    server = Server(
        "axlewright.app:app_from_environment",
        factory=True,
        address=host,
        port=port,
        workers=workers,
        interface=Interfaces.ASGI,
        http=HTTPModes.http1,
        http1_settings=HTTP1Settings(header_read_timeout=_HEADER_TIME_LIMIT_MS),
        websockets=False,
        backpressure=_BACKPRESSURE,
        respawn_failed_workers=True,
        workers_kill_timeout=_STOP_TIME_LIMIT_S,
        log_dictconfig=logging_configuration(settings.log_level),
    )
    shown_host = f"[{host}]" if ":" in host else host
    server.on_startup(lambda: print(f"axlewright serves http://{shown_host}:{port}", flush=True))
    server.serve()


def _log_at_start(settings: Settings, message: str) -> None:
    from logging import getLogger
    from logging.config import dictConfig

    from axlewright.api.log import logging_configuration

    dictConfig(logging_configuration(settings.log_level))
    getLogger("axlewright.cli").info(message)


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _free_port(host: str, port: int) -> int:
    """Return the port, or a free one for 0; a port in use is refused, which the server itself would share."""
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, kind, protocol) as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            trial.bind(address)
            bound_port: int = trial.getsockname()[1]
    except OSError as refusal:
        raise CommandError(f"cannot listen on {host} port {port}: {refusal.strerror}") from None
    return bound_port


def _migrate(_: argparse.Namespace) -> int:
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
    if made := _new_database(url):
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


def _new_database(url: str) -> str | None:
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


def _demo(options: argparse.Namespace) -> int:
    from axlewright.demo import DemoError, demo

    try:
        demo(options.port, once=options.once)
    except DemoError as failure:
        raise CommandError(str(failure)) from None
    except KeyboardInterrupt:
        pass
    return 0


def _assess(options: argparse.Namespace) -> int:
    if options.files.count(STANDARD_INPUT) > 1:
        raise CommandError("standard input can be read once only")
    try:
        code = assess_files(options.files, as_json=options.json)
        sys.stdout.flush()
    except OSError as refusal:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # what is left has nowhere to go
        raise CommandError(f"cannot write the answers: {refusal.strerror}") from None
    return code


def _contract(_: argparse.Namespace) -> int:
    from axlewright.app import create_app
    from axlewright.contract.openapi import openapi_text

    sys.stdout.write(openapi_text(create_app(Settings()).state["openapi"]))
    return 0


if __name__ == "__main__":
    sys.exit(main())
