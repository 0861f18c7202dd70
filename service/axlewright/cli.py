"""The command line: `axlewright serve`, `keys`, `migrate`, `assess`, `demo` and `contract`."""

import argparse
import io
import os
import socket
import sys
from collections.abc import Sequence
from ipaddress import ip_address

from axlewright.files import EXIT_CODES, STANDARD_INPUT, assess_files
from axlewright.settings import STATELESS, Settings, SettingsError
from axlewright.store_commands import CommandError, add_keys, migrate_database, new_database, whole_number

USAGE_ERROR = 2
_MOST_WORKERS = 64
_BACKPRESSURE = 128
_HEADER_TIME_LIMIT_MS = 10_000
_STOP_TIME_LIMIT_S = 20


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
    add_keys(commands.add_parser("keys", help="make, list and revoke the keys to the store"))
    migrate = commands.add_parser("migrate", help="bring the store's database to this version's tables")
    migrate.set_defaults(run=migrate_database)
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


def _workers(text: str) -> int:
    return whole_number(text, _MOST_WORKERS, "number of processes")


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
    if not settings.stateless and (made := new_database(settings.database_url)):
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
