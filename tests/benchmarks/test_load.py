"""The client stops at an answer that would make its figures worthless."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from threading import Thread

import pytest

from tests.benchmarks.load import CONNECTIONS, WrongAnswerError, answer_body, put_to_work, request_bytes
from tests.benchmarks.servers import Address

REQUESTS = [request_bytes(b'{"a":1}'), request_bytes(b'{"b":22}')]
WHOLE = b"HTTP/1.1 200 OK\r\nContent-Length: 5\r\n\r\n[1,2]"


@contextmanager
def answering(answer: bytes) -> Iterator[Address]:
    """Give one answer to whatever comes in, until the client hangs up; a short one is followed by the end."""

    def talk(connection: socket.socket) -> None:
        with connection, suppress(OSError):
            while connection.recv(65_536):
                connection.sendall(answer)
                if answer != WHOLE:
                    return

    with socket.create_server(("127.0.0.1", 0)) as listener:

        def accept() -> None:
            while True:
                try:
                    connection, _ = listener.accept()
                except OSError:
                    return
                Thread(target=talk, args=(connection,), daemon=True).start()

        accepting = Thread(target=accept, daemon=True)
        accepting.start()
        yield listener.getsockname()
        listener.shutdown(socket.SHUT_RDWR)
        accepting.join()


def test_a_round_sends_every_request_equally_often_over_connections_that_stay_open() -> None:
    with answering(WHOLE) as address:
        assert answer_body(address, REQUESTS[0]) == b"[1,2]"
        measured = put_to_work(address, REQUESTS, [{5}, {5}], 0.05)
    assert measured.requests >= CONNECTIONS
    assert measured.requests % len(REQUESTS) == 0
    assert measured.seconds >= 0.05


@pytest.mark.parametrize(
    "answer",
    [
        b"HTTP/1.1 422 Unprocessable Entity\r\nContent-Length: 5\r\n\r\n[1,2]",
        b"HTTP/1.1 200 OK\r\nContent-Length: 6\r\n\r\n[1,2]",
        b"HTTP/1.1 200 OK\r\nContent-Length: 4\r\n\r\n[1,2]",
        b"HTTP/1.1 200 OK\r\n\r\n[1,2]",
        b"",
    ],
)
def test_an_answer_that_is_not_200_or_not_whole_stops_the_run(answer: bytes) -> None:
    with answering(answer) as address, pytest.raises(WrongAnswerError):
        put_to_work(address, REQUESTS, [{4, 5, 6}, {4, 5, 6}], 0.05)


def test_an_answer_of_another_length_stops_the_run() -> None:
    with answering(WHOLE) as address, pytest.raises(WrongAnswerError, match="request 1 was answered with 5 bytes"):
        put_to_work(address, REQUESTS, [{5}, {7}], 0.05)
