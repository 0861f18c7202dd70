"""Days of what has happened: none lies in the future, wherever on earth it was noted."""

from datetime import datetime, timedelta

from axlewright.contract.faults import Fault
from axlewright.fleet.refusals import Conflicting

_FURTHEST_AHEAD = timedelta(hours=14)
"""Of local time before UTC."""


def refuse_future(day: str, moment: str, pointer: str) -> None:
    """Refuse a day that has begun nowhere yet at a moment.

    Raises
    ------
    Conflicting
        With the last day that has.
    """
    last_day = (datetime.fromisoformat(moment) + _FURTHEST_AHEAD).date().isoformat()
    if day > last_day:
        message = "This day is still to come."
        raise Conflicting(Fault("inconsistent_day", pointer, message, f'"{day}"', f"up to {last_day}"))
