"""The demonstration: a service of its own, and an invented rental motorhome's tickets through its HTTP API."""

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPException
from urllib.error import URLError
from urllib.request import Request, urlopen

import msgspec

from axlewright.contract.assessment import AssessAnswer
from axlewright.contract.examples import document
from axlewright.sheet import sheet

TICKETS = "full"
PATIENCE_S = 60.0
ANSWER_TIME_LIMIT_S = 30.0


class DemoError(Exception):
    """The demonstration's service did not come up, or did not answer."""


def demo(port: int, *, once: bool) -> None:
    """Start the service, send it the tickets, print the sheet; then stay up, unless `once`."""
    with running_service(port) as (service, address):
        answer = msgspec.json.decode(_post(f"{address}/v1/assess", document(TICKETS)), type=AssessAnswer)
        print(sheet(answer))
        if once:
            return
        print(f"The service is at {address} (contract: {address}/v1/openapi.json). Ctrl-C stops it.", flush=True)
        service.wait()


@contextmanager
def running_service(port: int) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """Run the service as a process of its own on loopback; yield it with its address, and stop it in the end."""
    command = [sys.executable, "-m", "axlewright.cli", "serve", "--stateless", "--port", str(port)]
    open_on_loopback = {**os.environ, "AXLEWRIGHT_KEYS": "fleet"}
    with subprocess.Popen(  # noqa: S603
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, env=open_on_loopback
    ) as service:
        try:
            yield service, _address_when_ready(service)
        finally:
            service.terminate()


def _address_when_ready(service: subprocess.Popen[str]) -> str:
    assert service.stdout is not None
    found = re.search(r"http://\S+", service.stdout.readline())
    if found is None:
        raise DemoError("the service did not start; `axlewright serve` says why")
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline:
        try:
            with urlopen(f"{found[0]}/readyz", timeout=ANSWER_TIME_LIMIT_S):  # noqa: S310 - our own loopback address
                return found[0]
        except (URLError, HTTPException, OSError):
            time.sleep(0.05)
    raise DemoError(f"the service at {found[0]} was not ready within {PATIENCE_S:.0f} s")


def _post(address: str, body: bytes) -> bytes:
    request = Request(address, body, {"Content-Type": "application/json"})  # noqa: S310
    with urlopen(request, timeout=ANSWER_TIME_LIMIT_S) as answer:  # noqa: S310
        text: bytes = answer.read()
    return text
