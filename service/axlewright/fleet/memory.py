"""What a process holds of the store: connections, and what is at work in it."""

from dataclasses import dataclass, field

from axlewright.fleet.clock import now
from axlewright.fleet.engines import Engines, engines, transaction
from axlewright.fleet.errors import StoreUnavailable
from axlewright.fleet.idempotency import Claims
from axlewright.fleet.keys import FoundKeys, Key, checked, find
from axlewright.fleet.migrations import is_current
from axlewright.fleet.rate_limit import RateLimiter


@dataclass(frozen=True)
class Memory:
    """The store as one process reaches it."""

    engines: Engines
    limiter: RateLimiter
    claims: Claims = field(default_factory=Claims)
    found_keys: FoundKeys = field(default_factory=FoundKeys)

    @classmethod
    def at(cls, url: str, rate_limit: int) -> "Memory":
        """Return the way to the store at a database's address; nothing is connected yet."""
        ways = engines(url)
        return cls(ways, RateLimiter(ways, rate_limit, now))

    def key_of(self, text: str) -> Key | None:
        """Return the live key of a text, None for any other; one of another form costs no connection."""
        if checked(text) is None:
            return None
        with transaction(self.engines.reader) as connection:
            key = find(connection, text, now())
        if key is not None:
            self.found_keys.add(text, key)
        return key

    def refuse_unready(self) -> None:
        """Raise StoreUnavailable unless the database answers, has this version's tables, and took the last change."""
        with transaction(self.engines.reader) as connection:
            if not is_current(connection):
                raise StoreUnavailable(
                    "the database is not migrated to this version: it wants `axlewright migrate`", 60
                )
        self.engines.last_change.raise_refusal()
