"""Long searches: off the event loop, only so many at once, none longer than the operator allows."""

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from math import ceil
from threading import BoundedSemaphore
from typing import Final, TypeVar

from axlewright.api.errors import Busy

SOLVERS: Final = "solvers"
"""Under this name the application's state holds them."""
SOLVES: Final = "solves"
"""Under this name a handler's `opt` says that it may be answered 503."""

Answer = TypeVar("Answer")


class Solvers:
    """Threads that search; who comes while all of them do is turned away at once, not queued."""

    def __init__(self, at_once: int, limit_s: float) -> None:
        """Have so many threads, and let no search take longer than a limit [s]."""
        self.limit_s = limit_s
        self._free = BoundedSemaphore(at_once)
        self._threads = ThreadPoolExecutor(at_once, "solver")

    async def run(self, search: Callable[[], Answer]) -> Answer:
        """Return what a search gives.

        Raises
        ------
        Busy
            If as many run already as may.
        """
        if not self._free.acquire(blocking=False):
            seconds = str(ceil(self.limit_s))
            raise Busy("All solvers are busy; a search ends by its time limit.", headers={"Retry-After": seconds})
        future = self._threads.submit(search)
        # A caller that leaves does not end the thread: what counts is when the search itself ends.
        future.add_done_callback(lambda _: self._free.release())
        return await asyncio.wrap_future(future)
