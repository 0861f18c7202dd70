"""The upkeep room: what falls due when."""

from litestar import post
from litestar.params import JSONBody

from axlewright.contract.upkeep import (
    CalendarText,
    ListUpkeepDueAnswer,
    list_upkeep_due_answer,
    write_upkeep_calendar_answer,
)
from axlewright.contract.upkeep_request import UpkeepRequest


@post(
    "/v1/upkeep/due",
    operation_id="list_upkeep_due",
    tags=["upkeep"],
    summary="List what falls due, by date or distance",
    status_code=200,
    sync_to_thread=False,
)
def list_upkeep_due(data: JSONBody[UpkeepRequest]) -> ListUpkeepDueAnswer:
    """Wheel-nut retorques, pressure checks, tire inspections and replacements, and weighs, most urgent first.

    Each with every rule that asks for it. Odometer readings project distances to days. What cannot be dated is told
    with the reason. Stores nothing.
    """
    return list_upkeep_due_answer(data)


@post(
    "/v1/upkeep/calendar",
    operation_id="write_upkeep_calendar",
    tags=["upkeep"],
    summary="Write what falls due as a calendar file",
    status_code=200,
    media_type="text/calendar",
    sync_to_thread=False,
)
def write_upkeep_calendar(data: JSONBody[UpkeepRequest]) -> CalendarText:
    """The same items as an iCalendar file (RFC 5545) in UTF-8: an all-day event each, or a to-do where no day is known.

    An entry keeps its identifier (UID) as long as it counts from the same event of the same `rig.id`, wherever its day
    moves, so that importing again replaces it: the sequence number rises with `as_of`. What was done and recorded
    gives a new entry with another identifier, and the old one stays in the calendar until it is removed there. What is
    overdue stands on the day on which it fell due. Stores nothing.
    """
    return write_upkeep_calendar_answer(data)
