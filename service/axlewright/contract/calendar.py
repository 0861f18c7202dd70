"""Due items as a calendar file: iCalendar, RFC 5545."""

import json
from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime, time
from typing import Final
from uuid import UUID, uuid5

from icalendar import Calendar, Todo
from icalendar import Event as CalendarEvent
from msgspec import Struct

from axlewright.core.upkeep.due import Due
from axlewright.core.upkeep.events import CALENDAR

PRODUCT: Final = "-//Axlewright//Upkeep//EN"
NAMESPACE: Final = UUID("6f0c3d52-8a41-4c0e-9b57-2f1d8e63a7c4")
"""Drawn once; every identifier of an entry is made in it, so it never changes."""


class EntryWords(Struct, frozen=True):
    """What a calendar shows of a due item: its title, and the text below it."""

    summary: str
    description: str


def calendar_text(items: Iterable[Due], words: Callable[[Due], EntryWords], as_of: date, rig: str) -> bytes:
    """Return due items as an iCalendar file, in the order given: with a date an all-day event, without one a to-do.

    The same items give the same bytes: entries are stamped with ``as_of`` at midnight UTC, and their sequence number,
    by which importers tell the newer one (RFC 5545, 3.8.7.4), counts its days. There must be an item, for
    RFC 5545 section 3.6 wants a component in every calendar; each tire has one.
    """
    calendar = Calendar()
    calendar.add("PRODID", PRODUCT)
    calendar.add("VERSION", "2.0")
    for item in items:
        calendar.add_component(_entry(item, words(item), as_of, rig))
    text: bytes = calendar.to_ical()
    return text


def entry_uid(item: Due, rig: str) -> str:
    """Return the identifier of a due item's entry: the same as long as it counts from the same event.

    Neither its date nor its odometer reading is part of it: an entry moves when they are corrected.
    """
    origin = None if item.origin is None else [item.origin.kind, item.origin.on.isoformat()]
    return str(uuid5(NAMESPACE, json.dumps([rig, item.kind, item.subject, origin, item.part])))


def _entry(item: Due, words: EntryWords, as_of: date, rig: str) -> CalendarEvent | Todo:
    entry = Todo() if item.due_on is None else CalendarEvent()
    entry.add("UID", entry_uid(item, rig))
    entry.add("DTSTAMP", datetime.combine(as_of, time(), UTC))
    entry.add("SEQUENCE", (as_of - CALENDAR[0]).days)
    if item.due_on is not None:
        entry.add("DTSTART", item.due_on)
        entry.add("TRANSP", "TRANSPARENT")
    entry.add("SUMMARY", words.summary)
    entry.add("DESCRIPTION", words.description)
    return entry
