"""Days that a request may name."""

from collections.abc import Iterator
from datetime import date

from axlewright.contract.faults import Fault, given_text
from axlewright.core.upkeep.events import CALENDAR


def unlikely_day(day: date, pointer: str) -> Iterator[Fault]:
    """Yield a fault for a day that can only be a slip."""
    first, last = CALENDAR
    if not first <= day <= last:
        message = f"{day} is no likely day: read it again."
        yield Fault("inconsistent_day", pointer, message, given_text(day.isoformat()), f"{first} to {last}")
