"""The threads in which the store is asked, so that who waits for a database keeps nobody else waiting."""

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial, wraps
from threading import BoundedSemaphore
from typing import Any, Final, ParamSpec, TypeVar

from axlewright.fleet.errors import busy, not_answering

Arguments = ParamSpec("Arguments")
Answer = TypeVar("Answer")

_AT_ONCE: Final = 32
_THREADS = ThreadPoolExecutor(_AT_ONCE, "store")
_MOST_WAITING: Final = 64
_ROOM = BoundedSemaphore(_AT_ONCE + _MOST_WAITING)
"""One more is refused: a server takes so many requests at once, and who only computes must find room beside them."""
_TIME_LIMIT_S: Final = 20.0
"""After so long the caller hears that the database does not answer; the thread goes on until it gives up itself."""


def _leave(answer: asyncio.Future[Any]) -> None:
    """Make room for the next request when a thread has ended, whoever still waits for it."""
    _ROOM.release()
    if not answer.cancelled():
        answer.exception()  # one that nobody waits for any more is told nobody


def in_thread(function: Callable[Arguments, Answer]) -> Callable[Arguments, Awaitable[Answer]]:
    """Return an asynchronous function that runs a function in one of the threads.

    Litestar's own `sync_to_thread` wraps a handler twice where two share a path, and then answers a coroutine.
    """

    @wraps(function)
    async def run(*args: Arguments.args, **kwargs: Arguments.kwargs) -> Answer:
        if not _ROOM.acquire(blocking=False):
            raise busy()
        answer = asyncio.get_running_loop().run_in_executor(_THREADS, partial(function, *args, **kwargs))
        answer.add_done_callback(_leave)
        done, _ = await asyncio.wait({answer}, timeout=_TIME_LIMIT_S)
        if not done:
            raise not_answering()
        return answer.result()

    return run
