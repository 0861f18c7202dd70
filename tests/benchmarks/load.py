"""A client that costs little: ready-made bytes over a few connections that stay open, from one thread."""

import re
import selectors
import socket
import time
from collections.abc import Collection, Sequence
from contextlib import ExitStack
from dataclasses import dataclass

from tests.benchmarks.servers import Address

CONNECTIONS = 4
_TIME_LIMIT_S = 30
_LENGTH = re.compile(rb"\r\ncontent-length: *(\d+)\r\n", re.IGNORECASE)


class WrongAnswerError(Exception):
    """A server answered otherwise than it must, and what was measured means nothing."""


@dataclass(frozen=True)
class Measured:
    """What one round took."""

    requests: int
    seconds: float
    client_cpu_seconds: float


def request_bytes(body: bytes) -> bytes:
    """Return a whole request for an assessment."""
    head = (
        b"POST /v1/assess HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n"
    )
    return head % len(body) + body


def answer_body(address: Address, request: bytes) -> bytes:
    """Return the body of the answer to one request, which must be 200."""
    with socket.create_connection(address, timeout=_TIME_LIMIT_S) as connection:
        connection.sendall(request)
        answer = _Answer()
        while not answer.is_whole:
            answer.take(connection)
        return bytes(answer.body)


def put_to_work(
    address: Address, requests: Sequence[bytes], lengths: Sequence[Collection[int]], seconds: float
) -> Measured:
    """Send all requests in their order, again and again until the time is over, each round of them to its end.

    Every answer must be 200, and of a length that its request allows.
    """
    client = _Client(requests, lengths)
    with ExitStack() as stack:
        connections = [
            stack.enter_context(socket.create_connection(address, timeout=_TIME_LIMIT_S)) for _ in range(CONNECTIONS)
        ]
        return client.run(connections, seconds)


class _Answer:
    """An answer as it comes in."""

    def __init__(self) -> None:
        self.received = bytearray()
        self.body_start = 0
        self.length = 0

    def take(self, connection: socket.socket) -> None:
        chunk = connection.recv(262_144)
        if not chunk:
            raise WrongAnswerError("the connection closed within an answer")
        self.received += chunk
        if not self.body_start and (end := self.received.find(b"\r\n\r\n")) >= 0:
            self.body_start = end + 4
            found = _LENGTH.search(self.received, 0, end + 2)
            if found is None or not self.received.startswith(b"HTTP/1.1 200 "):
                raise WrongAnswerError(self.received[:2000].decode("latin-1"))
            self.length = int(found[1])

    @property
    def is_whole(self) -> bool:
        missing = self.body_start + self.length - len(self.received)
        if missing < 0:
            raise WrongAnswerError("an answer is longer than it says")
        return self.body_start > 0 and missing == 0

    @property
    def body(self) -> bytearray:
        return self.received[self.body_start :]


class _Client:
    """Requests under way on some connections, one at a time on each."""

    def __init__(self, requests: Sequence[bytes], lengths: Sequence[Collection[int]]) -> None:
        self.requests = requests
        self.lengths = lengths
        self.sent = 0
        self.under_way: dict[socket.socket, tuple[int, _Answer]] = {}

    def run(self, connections: Sequence[socket.socket], seconds: float) -> Measured:
        with selectors.DefaultSelector() as selector:
            for connection in connections:
                connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                selector.register(connection, selectors.EVENT_READ)
            started, cpu_started = time.perf_counter(), time.process_time()
            for connection in connections:
                self._send(connection)
            while self.under_way:
                ready = selector.select(_TIME_LIMIT_S)
                if not ready:
                    raise WrongAnswerError(f"no answer within {_TIME_LIMIT_S} s")
                is_over = time.perf_counter() - started >= seconds
                for key, _ in ready:
                    self._go_on(key.fileobj, is_over)  # type: ignore[arg-type]
            return Measured(self.sent, time.perf_counter() - started, time.process_time() - cpu_started)

    def _send(self, connection: socket.socket) -> None:
        place = self.sent % len(self.requests)
        connection.sendall(self.requests[place])
        self.under_way[connection] = (place, _Answer())
        self.sent += 1

    def _go_on(self, connection: socket.socket, is_over: bool) -> None:
        place, answer = self.under_way[connection]
        answer.take(connection)
        if not answer.is_whole:
            return
        if answer.length not in self.lengths[place]:
            raise WrongAnswerError(f"request {place} was answered with {answer.length} bytes")
        del self.under_way[connection]
        if not (is_over and self.sent % len(self.requests) == 0):
            self._send(connection)
