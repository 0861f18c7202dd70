"""A server process of the service on a free port of the loopback, and a fleet that is called through it."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import pytest
import requests

from tests.api.probe import Reply

STARTED = "axlewright serves "
FLEET = "/v1/fleet"
TIME_LIMIT_S = 60
START_LIMIT_S = 30


@contextmanager
def serving(**environment: str) -> Iterator[str]:
    """Run a server in an environment, and yield its address."""
    command = [sys.executable, "-m", "axlewright.cli", "serve", "--port", "0"]
    environment = {**os.environ, "AXLEWRIGHT_LOG_LEVEL": "warning", **environment}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        assert process.stdout is not None
        for line in process.stdout:
            if line.startswith(STARTED):
                break
        else:
            pytest.fail("the server did not start")
        address = line.removeprefix(STARTED).strip()
        try:
            _wait_for(address)
            yield address
        finally:
            process.terminate()
            process.stdout.read()
            code = process.wait(30)
        assert code == 0


def _wait_for(address: str) -> None:
    """Wait until the server answers, which it does a little after it says that it serves."""
    deadline = time.monotonic() + START_LIMIT_S
    while True:
        try:
            requests.get(f"{address}/healthz", timeout=START_LIMIT_S)
            return
        except requests.ConnectionError:
            if time.monotonic() > deadline:
                raise
            time.sleep(0.05)


@dataclass(frozen=True)
class ServedFleet:
    """The fleet of one operator, called through a server."""

    address: str
    key: str
    session: requests.Session = field(default_factory=requests.Session)

    def send(
        self, method: str, path: str, body: Any = None, headers: dict[str, str] | None = None, **query: Any
    ) -> Reply:
        """Return the answer to a request with the operator's key."""
        sent = {"authorization": f"Bearer {self.key}", "content-type": "application/json", **(headers or {})}
        path = path if path.startswith("/v1/") else f"{FLEET}/{path}"
        payload = None if body is None else json.dumps(body).encode()
        answer = self.session.request(
            method, f"{self.address}{path}", params=query, data=payload, headers=sent, timeout=TIME_LIMIT_S
        )
        pairs = [(name.lower(), value) for name, value in answer.headers.items()]
        return Reply(answer.status_code, pairs, answer.content)

    def get(self, path: str, **query: Any) -> Reply:
        """Return the answer to a GET."""
        return self.send("GET", path, **query)

    def post(self, path: str, body: Any) -> Reply:
        """Return the answer to a POST."""
        return self.send("POST", path, body)

    def ids(self, path: str, **query: Any) -> list[str]:
        """Return the ids on the first page of a list."""
        return [item["id"] for item in self.get(path, **query).json["items"]]
