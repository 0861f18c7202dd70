"""The service as it is run, `axlewright serve` in processes of its own which may be killed, and a client of it."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from tempfile import TemporaryDirectory
from types import TracebackType
from typing import Any, Self

from tests.api.probe import Reply

START_LIMIT_S = 30.0
ANSWER_LIMIT_S = 30.0
_HOST = "127.0.0.1"
_PAUSE_S = 0.02

NO_ANSWER = (OSError, HTTPException)
"""What a request without a whole answer raises: refused, reset, or broken off."""


class Service:
    """One `axlewright serve` on a database, all of whose processes make one group."""

    def __init__(self, url: str, log: Path, *, workers: int = 1) -> None:
        """Start it; it writes its log to the end of a file."""
        self._log = log
        self._began_at_s = time.monotonic()
        command = [sys.executable, "-m", "axlewright.cli", "serve", "--port", "0", "--workers", str(workers)]
        with log.open("ab") as lines:
            self._process = subprocess.Popen(
                command, stdout=subprocess.PIPE, stderr=lines, text=True, start_new_session=True, env=_environment(url)
            )
        self.port = self._announced_port()

    def wait_until_ready(self, path: str = "/readyz") -> float:
        """Return the seconds from the start to the first time that `/readyz`, or another path, answers 200."""
        while (passed_s := time.monotonic() - self._began_at_s) < START_LIMIT_S:
            try:
                with Caller(self.port) as caller:
                    if caller.send("GET", path).status == 200:
                        return passed_s
            except NO_ANSWER:
                pass
            time.sleep(_PAUSE_S)
        raise TimeoutError(f"not ready: {self._log.read_text()}")

    def kill(self) -> None:
        """End all of its processes at once, with nothing put in order."""
        self._end(signal.SIGKILL)

    def stop(self) -> None:
        """Tell it to stop, and wait until it has."""
        os.kill(self._process.pid, signal.SIGTERM)
        try:
            self._process.wait(START_LIMIT_S)
        finally:
            self._end(signal.SIGKILL)

    def _end(self, how: signal.Signals) -> None:
        with suppress(ProcessLookupError):  # all of them have ended
            os.killpg(self._process.pid, how)
        self._process.wait(START_LIMIT_S)
        if self._process.stdout is not None:
            self._process.stdout.close()

    def _announced_port(self) -> int:
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        if not line.startswith("axlewright serves http://"):
            self._end(signal.SIGKILL)
            raise RuntimeError(f"the service does not start: {self._log.read_text()}")
        return int(line.rsplit(":", 1)[1])


@contextmanager
def served(url: str, *, workers: int = 1, path: str = "/readyz") -> Iterator[Service]:
    """Run the service on a database, and wait until a path answers 200."""
    with TemporaryDirectory() as folder:
        service = Service(url, Path(folder) / "log", workers=workers)
        try:
            service.wait_until_ready(path)
            yield service
        finally:
            service.stop()


class Caller:
    """A client that keeps its connection from one request to the next."""

    def __init__(self, port: int, key: str | None = None) -> None:
        """Call the service at a port, with a key to the store."""
        self._connection = HTTPConnection(_HOST, port, timeout=ANSWER_LIMIT_S)
        self._headers = {} if key is None else {"authorization": f"Bearer {key}"}

    def send(self, method: str, path: str, body: bytes | None = None, headers: dict[str, str] | None = None) -> Reply:
        """Return the answer; raises one of NO_ANSWER where none comes whole."""
        sent = {**self._headers, **(headers or {})}
        if body is not None:
            sent["content-type"] = "application/json"
        self._connection.request(method, path, body, sent)
        answer = self._connection.getresponse()
        pairs = [(name.lower(), value) for name, value in answer.getheaders()]
        return Reply(answer.status, pairs, answer.read())

    def items(self, path: str) -> Iterator[Any]:
        """Return the items of a list, page by page."""
        next_path = f"{path}?limit=100"
        while next_path:
            reply = self.send("GET", next_path)
            assert reply.status == 200, reply.body
            page = json.loads(reply.body)
            yield from page["items"]
            cursor = page["next_cursor"]
            next_path = "" if cursor is None else f"{path}?limit=100&cursor={cursor}"

    def close(self) -> None:
        """Close the connection."""
        self._connection.close()

    def __enter__(self) -> Self:
        """Return the client."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, failure: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close the connection."""
        self.close()


def _environment(url: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("AXLEWRIGHT_")}
    return {
        **kept,
        "AXLEWRIGHT_DATABASE_URL": url,
        "AXLEWRIGHT_RATE_LIMIT": "0",
        "AXLEWRIGHT_LOG_LEVEL": "warning",
    }
