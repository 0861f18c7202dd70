"""What time it is, as text that sorts, and ids that sort by when they were made."""

import os
import threading
from datetime import UTC, datetime, timedelta
from uuid import UUID

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)

# The layout of a UUID of version 7, RFC 9562, section 5.7: 48 bits of time, version, 12 bits, variant, 62 bits.
_TIME_BITS = 48
_HIGH_BITS = 12
_LOW_BITS = 62
_COUNTER_BITS = _HIGH_BITS + _LOW_BITS
_VERSION = 0b0111
_VARIANT = 0b10
_STEP_BITS = 32


def now() -> datetime:
    """Return the present moment in UTC; nothing else in the store reads the clock."""
    return datetime.now(UTC)


def moment(at: datetime) -> str:
    """Return a moment as it is stored, `2026-05-14T09:30:00.000000Z`; refuses one that says no time zone."""
    if at.tzinfo is None:
        raise ValueError(f"{at!r} says no time zone")
    return at.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


class IdSequence:
    """Makes UUIDs of version 7, each greater than the one before, by RFC 9562, section 6.2, method 2.

    All 74 bits that tell no time are one random number, to which a random step is added within a millisecond and
    while the clock stands behind the last id.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._time_ms = -1
        self._counter = 0

    def next_id(self, at: datetime) -> str:
        """Return another id, in canonical text."""
        at_ms = (at - _EPOCH) // _MILLISECOND
        with self._lock:
            if at_ms > self._time_ms:
                self._start(at_ms)
            else:
                self._counter += 1 + _random(_STEP_BITS)
                if self._counter >> _COUNTER_BITS:
                    self._start(self._time_ms + 1)
            return _uuid_text(self._time_ms, self._counter)

    def _start(self, time_ms: int) -> None:
        self._time_ms = time_ms
        self._counter = _random(_COUNTER_BITS - 1)  # half of the range is left for steps


_IDS = IdSequence()


def new_id() -> str:
    """Return a new id: a UUID of version 7, greater than any that this process made before."""
    return _IDS.next_id(now())


def _random(bits: int) -> int:
    return int.from_bytes(os.urandom((bits + 7) // 8)) >> (-bits % 8)


def _uuid_text(time_ms: int, counter: int) -> str:
    high, low = counter >> _LOW_BITS, counter & ((1 << _LOW_BITS) - 1)
    number = (((time_ms << 4 | _VERSION) << _HIGH_BITS | high) << 2 | _VARIANT) << _LOW_BITS | low
    return str(UUID(int=number))
