"""Server processes on free ports of the loopback: the service by its own command, each peer with the same settings.

`python -m tests.benchmarks.servers FACTORY PORT` serves one peer.
"""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO, Any

from granian.constants import HTTPModes, Interfaces
from granian.http import HTTP1Settings
from granian.log import LogLevels
from granian.server import Server

SETTINGS: dict[str, Any] = {
    "interface": Interfaces.ASGI,
    "http": HTTPModes.http1,
    "http1_settings": HTTP1Settings(header_read_timeout=10_000),
    "websockets": False,
    "backpressure": 128,
    "respawn_failed_workers": True,
    "workers_kill_timeout": 20,
    "workers": 1,
}
"""How `axlewright serve` sets its server up: one worker, and everything else as it stands there."""

_HOST = "127.0.0.1"
_START_TIME_LIMIT_S = 30
_STOP_TIME_LIMIT_S = 30

Address = tuple[str, int]


@contextmanager
def served(factory: str | None, environment: dict[str, str]) -> Iterator[tuple[Address, int]]:
    """Run the service, or the peer that a factory builds; yield its address and the id of its process."""
    address = (_HOST, _free_port())
    port = str(address[1])
    serve_peer = ["tests.benchmarks.servers", str(factory), port]
    command = ["axlewright.cli", "serve", "--port", port] if factory is None else serve_peer
    with (
        TemporaryFile() as log,
        subprocess.Popen(
            [sys.executable, "-m", *command],
            stdout=subprocess.DEVNULL,
            stderr=log,
            env={**os.environ, "AXLEWRIGHT_STATELESS": "1", **environment},
        ) as process,
    ):
        try:
            _wait_for(address, process, log)
            yield address, process.pid
        finally:
            process.terminate()
            try:
                process.wait(_STOP_TIME_LIMIT_S)
            finally:
                process.kill()


def cpu_seconds(pid: int) -> float:
    """Return the processor time that a process and its children, workers among them, have taken so far (Linux)."""
    ticks = 0
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = status.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if pid in (int(status.parent.name), int(fields[_PARENT])):
            ticks += int(fields[_USER_TICKS]) + int(fields[_SYSTEM_TICKS])
    return ticks / os.sysconf("SC_CLK_TCK")


# Places in /proc/PID/stat after the name of the command, proc(5).
_PARENT, _USER_TICKS, _SYSTEM_TICKS = 1, 11, 12


def _free_port() -> int:
    with socket.socket() as trial:
        trial.bind((_HOST, 0))
        return int(trial.getsockname()[1])


def _wait_for(address: Address, process: subprocess.Popen[bytes], log: IO[bytes]) -> None:
    deadline = time.monotonic() + _START_TIME_LIMIT_S
    while time.monotonic() < deadline and process.poll() is None:
        try:
            socket.create_connection(address).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    log.seek(0)
    raise RuntimeError(f"{process.args!r} does not serve:\n{log.read().decode()}")


if __name__ == "__main__":
    Server(
        f"tests.benchmarks.peers:{sys.argv[1]}",
        factory=True,
        address=_HOST,
        port=int(sys.argv[2]),
        log_level=LogLevels.warning,
        **SETTINGS,
    ).serve()
