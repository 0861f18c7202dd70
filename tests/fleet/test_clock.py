"""Moments and ids are text that sorts by time."""

import re
import threading
from datetime import UTC, datetime, timedelta, timezone
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.fleet import clock
from axlewright.fleet.clock import IdSequence, moment, new_id, now

CANONICAL = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
MOMENTS = st.datetimes(datetime(1970, 1, 1), datetime(9999, 12, 31), timezones=st.just(UTC))


def time_ms(identifier: str) -> int:
    return UUID(identifier).int >> 80


def test_a_moment_is_text_in_utc_to_the_microsecond() -> None:
    assert moment(datetime(2026, 5, 14, 9, 30, tzinfo=UTC)) == "2026-05-14T09:30:00.000000Z"
    berlin = timezone(timedelta(hours=2))
    assert moment(datetime(2026, 5, 14, 11, 30, 0, 25, tzinfo=berlin)) == "2026-05-14T09:30:00.000025Z"


def test_a_moment_without_a_time_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        moment(datetime(2026, 5, 14))


@given(MOMENTS, MOMENTS)
def test_moments_sort_as_text_as_they_do_in_time(one: datetime, other: datetime) -> None:
    assert (moment(one) < moment(other)) == (one < other)


def test_now_is_in_utc() -> None:
    before = datetime.now(UTC)
    assert before <= now() <= datetime.now(UTC)
    assert now().utcoffset() == timedelta(0)


@given(MOMENTS)
def test_an_id_is_a_canonical_uuid_of_version_7_that_tells_its_millisecond(at: datetime) -> None:
    identifier = IdSequence().next_id(at)
    assert CANONICAL.fullmatch(identifier)
    assert UUID(identifier).version == 7
    assert time_ms(identifier) == (at - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)


def test_the_time_of_an_id_is_that_of_the_published_example() -> None:
    # Published: RFC 9562, appendix A.6, 2022-02-22T14:22:22.00-05:00 is unix_ts_ms 0x017F22E279B0.
    assert IdSequence().next_id(datetime(2022, 2, 22, 19, 22, 22, tzinfo=UTC)).startswith("017f22e2-79b0-7")


@given(st.lists(MOMENTS, min_size=2, max_size=50))
def test_ids_grow_even_where_the_clock_stands_or_goes_back(clock_readings: list[datetime]) -> None:
    sequence = IdSequence()
    made = [sequence.next_id(at) for at in clock_readings]
    assert made == sorted(set(made))


def test_ids_of_one_millisecond_grow_past_the_end_of_their_range(monkeypatch: pytest.MonkeyPatch) -> None:
    at = datetime(2026, 5, 14, tzinfo=UTC)
    monkeypatch.setattr(clock, "_random", lambda bits: (1 << bits) - 1)
    monkeypatch.setattr(clock, "_STEP_BITS", 72)
    sequence = IdSequence()
    made = [sequence.next_id(at) for _ in range(12)]
    assert made == sorted(set(made))
    assert all(CANONICAL.fullmatch(identifier) for identifier in made)
    assert time_ms(made[-1]) - time_ms(made[0]) == 3


def test_threads_never_get_the_same_id() -> None:
    made: list[list[str]] = [[] for _ in range(8)]
    threads = [
        threading.Thread(target=lambda ids=ids: ids.extend(new_id() for _ in range(2000)))  # type: ignore[misc]
        for ids in made
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({identifier for ids in made for identifier in ids}) == 16_000
    assert all(ids == sorted(ids) for ids in made)


def test_ids_that_many_processes_make_in_one_millisecond_differ() -> None:
    at = datetime(2026, 5, 14, tzinfo=UTC)
    assert len({IdSequence().next_id(at) for _ in range(1000)}) == 1000
