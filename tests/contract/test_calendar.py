"""The calendar file, read back by an independent library, and byte by byte against RFC 5545."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import vobject
from hypothesis import given, settings
from hypothesis import strategies as st

from axlewright.contract.calendar import EntryWords, calendar_text, entry_uid
from axlewright.core.upkeep.due import Due, DueKind, upkeep_due
from axlewright.core.upkeep.events import Event, EventKind, History, OdometerReading
from axlewright.core.upkeep.policy import UpkeepPolicy, Window

MAY = date(2026, 5, 14)
TIRES = ("steer.left", "steer.right", "drive.left.inner", "drive.left.outer", "drive.right")
WORK = Event(EventKind.WHEEL_WORK, date(2026, 5, 2), "drive.left", 40_000_000.0)
EVENTS = (
    WORK,
    Event(EventKind.WEIGH, date(2025, 8, 1)),
    Event(EventKind.PRESSURE_CHECK, date(2026, 5, 2)),
    Event(EventKind.TIRE_FITTED, date(2019, 4, 1), "steer", None, date(2019, 1, 7)),
    Event(EventKind.RETORQUE, date(2019, 4, 5), "steer"),
)
READINGS = (OdometerReading(date(2026, 4, 2), 39_800_000.0),)


def items(
    events: tuple[Event, ...] = EVENTS, readings: tuple[OdometerReading, ...] = READINGS, as_of: date = MAY
) -> tuple[Due, ...]:
    """Return what falls due of an invented rig."""
    return upkeep_due(History(TIRES, events, readings), UpkeepPolicy(), as_of)


def plain(item: Due) -> EntryWords:
    """Return short words."""
    return EntryWords(f"{item.kind} {item.subject}", f"Counts from {item.origin.on if item.origin else 'nothing'}.")


def exported(due: tuple[Due, ...], as_of: date = MAY, rig: str = "Tern 7") -> bytes:
    """Return a calendar in short words."""
    return calendar_text(due, plain, as_of, rig)


def read(text: bytes) -> list[vobject.base.Component]:
    """Return the entries of a calendar as an independent library reads them."""
    return list(vobject.readOne(text.decode()).contents.get("vevent", []))


def test_an_independent_reader_finds_every_dated_item_on_its_day() -> None:
    due = items()
    calendar = vobject.readOne(exported(due).decode())
    assert (calendar.version.value, calendar.prodid.value) == ("2.0", "-//Axlewright//Upkeep//EN")
    told = [(entry.summary.value, entry.dtstart.value) for entry in calendar.vevent_list]
    assert told == [(f"{item.kind} {item.subject}", item.due_on) for item in due if item.due_on is not None]
    assert ("weigh rig", date(2026, 8, 1)) in told
    assert ("pressure_check rig", date(2026, 6, 2)) in told
    assert ("tire_replacement steer.left", date(2029, 1, 7)) in told
    assert any(item.due_on is None for item in due)


def test_entries_are_whole_days_that_block_nothing_and_carry_what_the_standard_requires() -> None:
    for entry in read(exported(items())):
        assert sorted(entry.contents) == ["description", "dtstamp", "dtstart", "sequence", "summary", "transp", "uid"]
        assert entry.dtstart.params == {"VALUE": ["DATE"]}
        assert entry.transp.value == "TRANSPARENT"
        assert entry.dtstamp.value.astimezone(UTC) == datetime(2026, 5, 14, tzinfo=UTC)
    assert b"DTSTART;VALUE=DATE:20260801\r\n" in exported(items())
    assert b"DTSTAMP:20260514T000000Z\r\n" in exported(items())


def test_the_same_items_give_the_same_bytes() -> None:
    assert exported(items()) == exported(items())


def test_a_later_export_counts_as_the_newer_one() -> None:
    """RFC 5545, 3.8.7.4: a sequence number rises with revisions. Hand: 46,154 days from 1900-01-01 to 2026-05-14.

    126 years of 365 days are 45,990; 31 leap days (1904 to 2024); 31 + 28 + 31 + 30 + 13 days of 2026 are 133.
    """
    assert {int(entry.sequence.value) for entry in read(exported(items()))} == {46_154}
    next_day = MAY + timedelta(days=1)
    later = read(exported(items(as_of=next_day), as_of=next_day))
    assert {int(entry.sequence.value) for entry in later} == {46_155}


def test_an_entry_keeps_its_identifier_when_its_day_moves_and_when_it_is_exported_again() -> None:
    """Another reading moves the retorque's projected day: 200 km in 30 days, or 60 in 6 after it."""
    more = (*READINGS, OdometerReading(date(2026, 5, 8), 40_060_000.0))
    before = {entry.uid.value: entry.dtstart.value for entry in read(exported(items()))}
    after = {entry.uid.value: entry.dtstart.value for entry in read(exported(items(readings=more), as_of=MAY))}
    later = {entry.uid.value for entry in read(exported(items(as_of=date(2026, 5, 20)), as_of=date(2026, 5, 20)))}
    (retorque,) = [item for item in items() if item.kind is DueKind.WHEEL_NUT_RETORQUE]
    assert set(before) == set(after) == later
    assert [uid for uid in before if before[uid] != after[uid]] == [entry_uid(retorque, "Tern 7")]


def test_identifiers_are_unique_and_another_events_item_has_another() -> None:
    uids = [entry.uid.value for entry in read(exported(items()))]
    assert len(set(uids)) == len(uids) > 5
    assert all(str(UUID(uid)) == uid for uid in uids)
    again = Event(EventKind.WHEEL_WORK, date(2026, 5, 10), "drive.left", 40_070_000.0)
    others = [entry.uid.value for entry in read(exported(items((*EVENTS, again))))]
    assert len(set(uids) - set(others)) == 1
    assert not set(uids) & {entry.uid.value for entry in read(exported(items(), rig="Tern 8"))}


def test_several_retorques_after_one_work_have_an_identifier_each() -> None:
    policy = UpkeepPolicy(retorque=(Window(16_000.0, 16_000.0), Window(40_000.0, 40_000.0)))
    due = upkeep_due(History(TIRES, (WORK,)), policy, MAY)
    uids = [entry_uid(item, "Tern 7") for item in due if item.kind is DueKind.WHEEL_NUT_RETORQUE]
    assert len(set(uids)) == len(uids) == 2


def test_identifiers_are_those_of_earlier_versions() -> None:
    """Subscribers' calendars hold these identifiers.

    Worked with the standard library: version 5 in the namespace 6f0c3d52-8a41-4c0e-9b57-2f1d8e63a7c4 of the text
    ["Tern 7", "wheel_nut_retorque", "drive.left", ["wheel_work", "2026-05-02"], 1]
    """
    (retorque,) = [item for item in items() if item.kind is DueKind.WHEEL_NUT_RETORQUE]
    assert entry_uid(retorque, "Tern 7") == "10832f6d-965a-54aa-aa7f-9fe42bacec36"


texts = st.text(st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")), min_size=1, max_size=200)


@settings(max_examples=80, deadline=None)
@given(texts, texts)
def test_any_text_is_folded_at_75_octets_and_read_back_as_it_was(summary: str, description: str) -> None:
    text = calendar_text(items(), lambda _: EntryWords(summary, description), MAY, "Tern 7")
    lines = text.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 and b"\n" not in line and b"\r" not in line for line in lines)
    assert all(line.decode() is not None for line in lines), "no character is cut in two"
    for entry in read(text):
        assert (entry.summary.value, entry.description.value) == (summary, description)


def test_marks_that_mean_something_are_escaped_and_no_line_can_be_smuggled_in() -> None:
    """RFC 5545, 3.3.11: backslash, semicolon, comma and line break are escaped."""
    words = EntryWords("a;b,c\\d", "one\r\nEND:VEVENT\nthree")
    text = calendar_text(items(), lambda _: words, MAY, "Tern 7")
    assert b"SUMMARY:a\\;b\\,c\\\\d\r\n" in text
    assert b"DESCRIPTION:one\\nEND:VEVENT\\nthree\r\n" in text
    assert len(read(text)) == text.count(b"\r\nEND:VEVENT\r\n") == sum(item.due_on is not None for item in items())


def test_what_has_no_date_is_a_to_do_without_a_day() -> None:
    """RFC 5545, 3.6.2: a to-do needs UID and DTSTAMP; 3.6: a calendar needs a component."""
    undated = tuple(item for item in items() if item.due_on is None)
    assert read(exported(undated)) == []
    to_dos = vobject.readOne(exported(undated).decode()).vtodo_list
    assert [each.uid.value for each in to_dos] == [entry_uid(item, "Tern 7") for item in undated]
    assert {name for each in to_dos for name in each.contents} == {
        "uid",
        "dtstamp",
        "sequence",
        "summary",
        "description",
    }
    assert len(to_dos) > 1


def test_an_overdue_item_stands_on_the_day_it_fell_due() -> None:
    late = items(as_of=MAY + timedelta(days=400))
    days = [e.dtstart.value for e in read(exported(late)) if e.summary.value == "weigh rig"]
    assert days == [date(2026, 8, 1)]
