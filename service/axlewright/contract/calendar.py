"""Due items as a calendar file: iCalendar, RFC 5545."""

import json
from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime, time
from typing import Final
from uuid import UUID, uuid5

from icalendar import Calendar
from icalendar import Event as CalendarEvent
from msgspec import Struct

from axlewright.core.upkeep.due import Due

PRODUCT: Final = "-//Axlewright//Upkeep//EN"
NAMESPACE: Final = UUID("6f0c3d52-8a41-4c0e-9b57-2f1d8e63a7c4")
"""Drawn once; every identifier of an entry is made in it, so it never changes."""


class EntryWords(Struct, frozen=True):
    """What a calendar shows of a due item: its title, and the text below it."""

    summary: str
    description: str


def calendar_text(items: Iterable[Due], words: Callable[[Due], EntryWords], as_of: date, rig: str) -> bytes:
    """Return due items as an iCalendar file, an all-day entry for each that has a date.

    The same items give the same bytes: entries are stamped with ``as_of`` at midnight UTC. Entries are in the order
    given; an item without a date has none, and with no entry at all the file is a calendar without components, which
    readers take though RFC 5545 section 3.6 wants one.
    """
    calendar = Calendar()
    calendar.add("PRODID", PRODUCT)
    calendar.add("VERSION", "2.0")
    for item in items:
        if item.due_on is not None:
            calendar.add_component(_entry(item, item.due_on, words(item), as_of, rig))
    text: bytes = calendar.to_ical()
    return text


def entry_uid(item: Due, rig: str) -> str:
    """Return the identifier of a due item's entry: the same as long as it counts from the same event.

    Neither its date nor its odometer reading is part of it: an entry moves when they are corrected.
    """
    origin = None if item.origin is None else [item.origin.kind, item.origin.on.isoformat()]
    return str(uuid5(NAMESPACE, json.dumps([rig, item.kind, item.subject, origin, item.part])))


def _entry(item: Due, due_on: date, words: EntryWords, as_of: date, rig: str) -> CalendarEvent:
    entry = CalendarEvent()
    entry.add("UID", entry_uid(item, rig))
    entry.add("DTSTAMP", datetime.combine(as_of, time(), UTC))
    entry.add("DTSTART", due_on)
    entry.add("SUMMARY", words.summary)
    entry.add("DESCRIPTION", words.description)
    entry.add("TRANSP", "TRANSPARENT")
    return entry
