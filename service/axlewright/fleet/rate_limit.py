"""How many requests a key may make in a minute, counted across every process that serves.

The database counts for each key what was leased of its present window. A process leases a block of requests by one
statement, which grants no more than the window has left, and counts the block down in memory. So never more requests
are allowed in a window than the limit; up to a block of each process may stay unused.
"""

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from math import ceil

from sqlalchemy import text

from axlewright.fleet.engines import Engines
from axlewright.fleet.errors import busy

WINDOW_S = 60
MOST_AHEAD_S = 300
"""How far ahead a window may have been begun by another process's clock; beyond that its clock was wrong."""

_BLOCKS_OF_A_LIMIT = 20
_PATIENCE_S = 5

_LEASE = text(
    """
    INSERT INTO rate_windows (key_id, starts, leased) VALUES (:key_id, :starts, :block)
    ON CONFLICT (key_id) DO UPDATE SET
        starts = CASE WHEN rate_windows.starts BETWEEN :starts AND :latest
            THEN rate_windows.starts ELSE excluded.starts END,
        leased = CASE WHEN rate_windows.starts BETWEEN :starts AND :latest
            THEN rate_windows.leased + excluded.leased ELSE excluded.leased END
    WHERE rate_windows.starts NOT BETWEEN :starts AND :latest OR rate_windows.leased < :limit
    RETURNING starts, leased
    """
)
"""Leases a block of the window that runs, or of one that another process has begun already.

An older window is replaced. No row comes back from a full one. `leased` may pass the limit by less than a block: the
last block is granted as far as the limit goes.
"""


@dataclass(frozen=True, slots=True)
class Taken:
    """Whether a request may go on, and what is left of its key's window."""

    allowed: bool
    remaining: int
    """What this process knows to be left: others may have leased of it since."""

    resets_in_s: int
    """Whole seconds to the end of the window, at least 1."""

    limit: int
    """Requests in a window; 0 is no limit, and the other numbers say nothing then."""


_UNLIMITED = Taken(allowed=True, remaining=0, resets_in_s=0, limit=0)


@dataclass(slots=True)
class _Lease:
    """What this process holds of a key's window."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    starts: int = -MOST_AHEAD_S
    held: int = 0
    unleased: int = 0
    """What was left for every process when this one leased last; 0 is a full window."""

    def counts_in(self, window: int) -> bool:
        return window <= self.starts <= window + MOST_AHEAD_S

    def wants_more(self, window: int) -> bool:
        return not self.counts_in(window) or (self.held == 0 and self.unleased > 0)


class RateLimiter:
    """Counts the requests of each key against one limit."""

    def __init__(self, engines: Engines, limit: int, clock: Callable[[], datetime]) -> None:
        self._engines = engines
        self._limit = limit
        self._block = max(1, limit // _BLOCKS_OF_A_LIMIT)
        self._clock = clock
        self._lock = threading.Lock()
        self._window = 0
        self._leases: dict[str, _Lease] = {}

    def take(self, key_id: str) -> Taken:
        """Count one request of a stored key; raises StoreUnavailable where a lease is needed and cannot be had."""
        if self._limit == 0:
            return _UNLIMITED
        at_s, window = self._time()
        lease = self._lease_of(key_id, window)
        if not lease.lock.acquire(timeout=_PATIENCE_S):  # nobody queues up behind a database that hangs
            raise busy()
        try:
            if lease.wants_more(window):
                self._renew(lease, key_id, window)
            return self._counted(lease, at_s)
        finally:
            lease.lock.release()

    def take_held(self, key_id: str) -> Taken | None:
        """Count one request without waiting for anything; None where that takes another lease, or its holder waits."""
        if self._limit == 0:
            return _UNLIMITED
        at_s, window = self._time()
        lease = self._lease_of(key_id, window)
        if not lease.lock.acquire(blocking=False):
            return None
        try:
            return None if lease.wants_more(window) else self._counted(lease, at_s)
        finally:
            lease.lock.release()

    def _time(self) -> tuple[float, int]:
        """Return the time in seconds, and when its window began."""
        at_s = self._clock().timestamp()
        return at_s, int(at_s // WINDOW_S) * WINDOW_S

    def _counted(self, lease: _Lease, at_s: float) -> Taken:
        allowed = lease.held > 0
        lease.held -= allowed
        resets_in_s = max(1, ceil(lease.starts + WINDOW_S - at_s))
        return Taken(allowed, lease.held + lease.unleased, resets_in_s, self._limit)

    def _lease_of(self, key_id: str, window: int) -> _Lease:
        """Return what is held for a key; with each new window, forget the keys that hold nothing of it."""
        with self._lock:
            if window != self._window:
                self._leases = {key: lease for key, lease in self._leases.items() if lease.counts_in(window)}
                self._window = window
            return self._leases.setdefault(key_id, _Lease())

    def _renew(self, lease: _Lease, key_id: str, window: int) -> None:
        """Lease another block, or note that the window is full."""
        wanted = {
            "key_id": key_id,
            "starts": window,
            "latest": window + MOST_AHEAD_S,
            "block": self._block,
            "limit": self._limit,
        }
        with self._engines.changing() as connection:
            row = connection.execute(_LEASE, wanted).one_or_none()
        if row is None:
            lease.starts, lease.held, lease.unleased = window, 0, 0
            return
        lease.starts = row.starts
        lease.held = min(row.leased, self._limit) - (row.leased - self._block)
        lease.unleased = max(0, self._limit - row.leased)
