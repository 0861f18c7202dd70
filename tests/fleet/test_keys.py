"""A key is made once, shown once, checked without trace, and of no use the moment it is revoked."""

import hmac
import itertools
import logging
import string
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from zlib import crc32

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Connection, event, func, make_url, select

from axlewright.fleet.engines import Engines, engines, owner_engine, transaction
from axlewright.fleet.key_store import KeyRequestError, list_keys, make_key, revoke_key
from axlewright.fleet.keys import FoundKeys, Key, checked, find, hash_of, is_key_id, new_key_text, require_live
from axlewright.fleet.refusals import NoLiveKey
from axlewright.fleet.tables import API_KEYS, OPERATORS
from tests.fleet.databases import Database

NOW = datetime(2026, 5, 14, 9, 30, tzinfo=UTC)
MICROSECOND = timedelta(microseconds=1)
BASE_62 = string.digits + string.ascii_uppercase + string.ascii_lowercase
EXAMPLE = "axw_0aB1cD2eF3gH_4iJ5kL6mN7oP8qR9sT0uV1wX_2b4jTN"

KEY_TEXTS = st.builds(lambda _: new_key_text(), st.integers())


@pytest.fixture
def owner(database: Database) -> Iterator[Callable[..., object]]:
    """Run one of the store's functions as whoever runs the service does."""
    engine = owner_engine(database.url)

    def run(act: Callable[..., object], *arguments: object, **options: object) -> object:
        with transaction(engine) as connection:
            return act(connection, *arguments, **options)

    yield run
    engine.dispose()


@pytest.fixture
def store(database: Database) -> Iterator[Engines]:
    service = engines(database.url)
    yield service
    service.dispose()


def found(store: Engines, text: str, now: datetime = NOW) -> Key | None:
    with transaction(store.reader) as connection:
        return find(connection, text, now)


def checksum(unchecked: str) -> str:
    number, digits = crc32(unchecked.encode()), ""
    while number:
        number, digit = divmod(number, 62)
        digits = BASE_62[digit] + digits
    return digits.rjust(6, "0")


def test_a_key_says_its_id_its_secret_and_a_check() -> None:
    prefix, key_id, secret, check = new_key_text().split("_")
    assert (prefix, len(key_id), len(secret), len(check)) == ("axw", 12, 24, 6)
    assert set(key_id + secret + check) <= set(BASE_62)


def test_the_check_is_the_crc_32_of_all_before_it_in_base_62() -> None:
    # Hand: worked by another routine of this file over the text up to and with the last underscore.
    unchecked = "axw_0aB1cD2eF3gH_4iJ5kL6mN7oP8qR9sT0uV1wX_"
    assert checked(unchecked + checksum(unchecked)) == "0aB1cD2eF3gH"
    text = new_key_text()
    assert checksum(text[:-6]) == text[-6:]


def test_the_stored_hash_is_the_sha_256_of_the_whole_text() -> None:
    # Published: FIPS 180-4 example, "abc".
    assert hash_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@given(KEY_TEXTS)
def test_every_new_key_is_accepted_by_its_form(text: str) -> None:
    assert checked(text) == text[4:16]
    assert is_key_id(text[4:16])


@given(KEY_TEXTS, st.data())
def test_one_changed_character_is_never_accepted(text: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(text) - 1))
    other = data.draw(st.one_of(st.sampled_from(BASE_62), st.characters()).filter(lambda c: c != text[place]))
    assert checked(text[:place] + other + text[place + 1 :]) is None


def test_no_single_change_of_one_key_is_accepted() -> None:
    text = new_key_text()
    changed = [text[:i] + c + text[i + 1 :] for i in range(len(text)) for c in BASE_62 + "_" if c != text[i]]
    assert len(changed) == 48 * 62
    assert [one for one in changed if checked(one) is not None] == []


@given(KEY_TEXTS, st.integers(4, 40))
def test_two_neighbours_changed_over_are_caught(text: str, place: int) -> None:
    swapped = text[:place] + text[place + 1] + text[place] + text[place + 2 :]
    assert swapped == text or checked(swapped) is None


@given(st.one_of(st.text(), KEY_TEXTS.map(lambda text: text[:-1]), KEY_TEXTS.map(lambda text: text + "\n")))
def test_other_text_is_no_key(text: str) -> None:
    assert checked(text) is None


@pytest.mark.parametrize("text", ["", "0aB1cD2eF3g", "0aB1cD2eF3gHi", "0aB1cD2eF3g_", "0aB1cD2eF3gé", "0aB1cD2eF3gH\n"])
def test_a_key_id_has_twelve_characters_of_base_62(text: str) -> None:
    assert not is_key_id(text)


def test_a_made_key_is_found_with_its_operator_and_scopes(owner: Callable[..., str], store: Engines) -> None:
    text = owner(make_key, "Tern Rentals", "yard", ["write", "read"], now=NOW, new_operator=True)
    assert found(store, text) == Key(text[4:16], 1, frozenset({"read", "write"}), "yard")


def test_unknown_wrong_expired_and_revoked_are_one_refusal(owner: Callable[..., str], store: Engines) -> None:
    text = owner(make_key, "Tern", "yard", ["read"], now=NOW, lasts=timedelta(days=1), new_operator=True)
    revoked = owner(make_key, "Tern", "yard", ["read"], now=NOW)
    owner(revoke_key, revoked[4:16], NOW)
    unchecked = f"{text[:17]}{new_key_text()[17:42]}"
    refused = {
        "unknown": found(store, new_key_text()),
        "no key": found(store, "axw_"),
        "wrong secret": found(store, unchecked + checksum(unchecked)),
        "expired": found(store, text, NOW + timedelta(days=1)),
        "revoked": found(store, revoked),
    }
    assert set(refused.values()) == {None}
    assert checked(unchecked + checksum(unchecked)) == text[4:16]
    assert found(store, text) is not None


def test_a_key_lasts_to_the_microsecond_before_it_expires(owner: Callable[..., str], store: Engines) -> None:
    text = owner(make_key, "Tern", "yard", ["read"], now=NOW, lasts=timedelta(days=30), new_operator=True)
    end = datetime(2026, 6, 13, 9, 30, tzinfo=UTC)
    assert found(store, text, end - MICROSECOND) is not None
    assert found(store, text, end) is None


def test_a_revoked_key_is_refused_by_the_next_request_and_stays_so(owner: Callable[..., str], store: Engines) -> None:
    text = owner(make_key, "Tern", "yard", ["read"], now=NOW, new_operator=True)
    assert found(store, text) is not None
    assert owner(revoke_key, text[4:16], NOW) == "2026-05-14T09:30:00.000000Z"
    assert found(store, text) is None
    assert owner(revoke_key, text[4:16], NOW + timedelta(days=1)) == "2026-05-14T09:30:00.000000Z"
    assert found(store, text, NOW - timedelta(days=1)) is None


def test_revoking_what_is_not_there_is_refused(owner: Callable[..., str]) -> None:
    with pytest.raises(KeyRequestError, match="no key has the id '0aB1cD2eF3gH'"):
        owner(revoke_key, "0aB1cD2eF3gH", NOW)


def test_a_third_live_key_of_one_name_is_refused(owner: Callable[..., str]) -> None:
    def make(operator: str, name: str, **more: object) -> str:
        return owner(make_key, operator, name, ["read"], now=NOW, **more)

    first = make("Tern", "yard", new_operator=True)
    make("Tern", "yard")
    with pytest.raises(KeyRequestError, match="'Tern' has 2 live keys of the name 'yard' already"):
        make("Tern", "yard")
    make("Tern", "desk")
    make("Heron", "yard", new_operator=True)
    owner(revoke_key, first[4:16], NOW)
    make("Tern", "yard")


def test_an_expired_key_leaves_room_for_another(owner: Callable[..., str]) -> None:
    day = timedelta(days=1)
    owner(make_key, "Tern", "yard", ["read"], now=NOW, new_operator=True)
    owner(make_key, "Tern", "yard", ["read"], now=NOW, lasts=day)
    with pytest.raises(KeyRequestError, match="revoke one"):
        owner(make_key, "Tern", "yard", ["read"], now=NOW + day - MICROSECOND)
    owner(make_key, "Tern", "yard", ["read"], now=NOW + day)


def test_ten_who_make_a_key_at_once_get_two(database: Database, owner: Callable[..., str]) -> None:
    owner(make_key, "Tern", "desk", ["read"], now=NOW, new_operator=True)
    made, refused = [], []

    def make() -> None:
        engine = owner_engine(database.url)
        try:
            with transaction(engine) as connection:
                made.append(make_key(connection, "Tern", "yard", ["read"], now=NOW))
        except KeyRequestError as refusal:
            refused.append(str(refusal))
        finally:
            engine.dispose()

    in_threads([make] * 10)
    assert (len(made), len(refused)) == (2, 8)


def in_threads(acts: list[Callable[[], None]]) -> None:
    threads = [threading.Thread(target=act) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def test_an_unknown_operator_is_refused_unless_told_new(owner: Callable[..., str]) -> None:
    with pytest.raises(KeyRequestError, match="no operator has the name 'Tern'"):
        owner(make_key, "Tern", "yard", ["read"], now=NOW)
    with pytest.raises(KeyRequestError, match="no operator has the name 'Tern'"):
        owner(list_keys, "Tern")
    owner(make_key, "Tern", "yard", ["read"], now=NOW, new_operator=True)
    with pytest.raises(KeyRequestError, match="there is an operator 'Tern' already"):
        owner(make_key, "Tern", "yard", ["read"], now=NOW, new_operator=True)


@pytest.mark.parametrize(
    ("scopes", "why"),
    [
        ([], "a key needs a scope"),
        ([""], "'' is no scope"),
        (["Read"], "'Read' is no scope"),
        (["read", "admin"], "'admin' is no scope; the scopes are read, write, manage"),
    ],
)
def test_scopes_that_are_none_are_refused_and_nothing_is_made(
    scopes: list[str], why: str, owner: Callable[..., object]
) -> None:
    with pytest.raises(KeyRequestError, match=why):
        owner(make_key, "Tern", "yard", scopes, now=NOW, new_operator=True)
    assert owner(counted) == (0, 0)


def counted(connection: Connection) -> tuple[int, int]:
    return tuple(connection.scalar(select(func.count()).select_from(table)) for table in (OPERATORS, API_KEYS))


@pytest.mark.parametrize(
    "name", ["", "a" * 101, "a\x00b", "a\nb", "a\x1b[31m", "a\x85b", "a\u2028b", "a\udc80", " a", "a "]
)
def test_a_name_that_people_could_not_read_is_refused(name: str, owner: Callable[..., object]) -> None:
    with pytest.raises(KeyRequestError, match="the operator name"):
        owner(make_key, name, "yard", ["read"], now=NOW, new_operator=True)
    with pytest.raises(KeyRequestError, match="the key name"):
        owner(make_key, "Tern", name, ["read"], now=NOW, new_operator=True)
    assert owner(counted) == (0, 0)


@pytest.mark.parametrize("name", ["a", "a" * 100, "Österreichische Wohnmobile", "日本", "🚐 yard", "o'; DROP TABLE"])
def test_any_other_name_is_kept_as_it_is(name: str, owner: Callable[..., list[object]], store: Engines) -> None:
    text = owner(make_key, name, name, ["manage"], now=NOW, new_operator=True)
    [listed] = owner(list_keys, name)
    assert (listed.operator, listed.name) == (name, name)
    assert found(store, text).name == name


def test_the_list_tells_everything_but_the_key(owner: Callable[..., list[object]]) -> None:
    day = timedelta(days=1)
    heron = owner(make_key, "Heron", "yard", ["manage", "read"], now=NOW, new_operator=True)
    tern = owner(make_key, "Tern", "yard", ["read"], now=NOW, lasts=day, new_operator=True)
    gone = owner(make_key, "Tern", "desk", ["write"], now=NOW + day)
    owner(revoke_key, gone[4:16], NOW + 2 * day)
    listed = owner(list_keys)
    assert [astuple(key) for key in listed] == [
        (heron[4:16], "Heron", "yard", "read,manage", "2026-05-14T09:30:00.000000Z", None, None),
        (tern[4:16], "Tern", "yard", "read", "2026-05-14T09:30:00.000000Z", "2026-05-15T09:30:00.000000Z", None),
        (gone[4:16], "Tern", "desk", "write", "2026-05-15T09:30:00.000000Z", None, "2026-05-16T09:30:00.000000Z"),
    ]
    assert [key.state(NOW + day) for key in listed] == ["live", "expired", "revoked"]
    assert [key.id for key in owner(list_keys, "Tern")] == [tern[4:16], gone[4:16]]


def test_no_text_of_a_key_is_stored_or_logged(
    database: Database, owner: Callable[..., str], store: Engines, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    logging.getLogger("sqlalchemy.engine").setLevel(logging.DEBUG)
    try:
        text = owner(make_key, "Tern", "yard", ["read"], now=NOW, new_operator=True)
        assert found(store, text) is not None
    finally:
        logging.getLogger("sqlalchemy.engine").setLevel(logging.NOTSET)
    assert "api_keys" in caplog.text
    assert text[17:41] not in caplog.text
    with transaction(store.reader) as connection:
        rows = [connection.execute(select(table)).all() for table in (OPERATORS, API_KEYS)]
    assert hash_of(text) in str(rows)
    assert text[17:41] not in str(rows)
    if database.kind == "sqlite":
        file = Path(make_url(database.url).database)
        kept = b"".join(part.read_bytes() for part in file.parent.glob(f"{file.name}*"))
        assert hash_of(text).encode() in kept
        assert text[17:41].encode() not in kept


def test_an_unknown_id_is_looked_up_and_compared_like_a_wrong_secret(
    owner: Callable[..., str], store: Engines, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = owner(make_key, "Tern", "yard", ["read"], now=NOW, new_operator=True)
    unchecked = f"{text[:17]}{new_key_text()[17:42]}"
    unknown, wrong = new_key_text(), unchecked + checksum(unchecked)
    done: list[tuple[str, object]] = []

    def compared(shown: str, kept: str) -> bool:
        done.append(("compared", (len(shown), len(kept))))
        return hmac.compare_digest(shown, kept)

    monkeypatch.setattr("axlewright.fleet.keys.hmac", SimpleNamespace(compare_digest=compared))
    steps = {}
    for shown in (unknown, wrong):
        with transaction(store.reader) as connection:
            event.listen(connection, "before_cursor_execute", lambda *told: done.append(("asked", told[2])))
            assert find(connection, shown, NOW) is None
        steps[shown] = done.copy()
        done.clear()
    assert steps[unknown] == steps[wrong]
    assert [step for step, _ in steps[wrong]] == ["asked", "compared"]
    assert steps[wrong][1] == ("compared", (64, 64))


def test_a_key_that_was_found_is_held_for_five_seconds(monkeypatch: pytest.MonkeyPatch) -> None:
    at_s = 1000.0
    monkeypatch.setattr("axlewright.fleet.keys.monotonic", lambda: at_s)
    held, key = FoundKeys(), Key("0aB1cD2eF3gH", 1, frozenset({"read"}), "yard")
    assert held.of(EXAMPLE) is None
    held.add(EXAMPLE, key)
    at_s = 1004.999
    assert held.of(EXAMPLE) is key
    assert held.of(wrong_secret(EXAMPLE)) is None
    at_s = 1005.0
    assert held.of(EXAMPLE) is None


def wrong_secret(text: str) -> str:
    unchecked = f"{text[:17]}{'0' * 24}_"
    return unchecked + checksum(unchecked)


def test_so_many_keys_are_held_and_old_ones_make_room(monkeypatch: pytest.MonkeyPatch) -> None:
    at_s = 0.0
    monkeypatch.setattr("axlewright.fleet.keys.monotonic", lambda: at_s)
    monkeypatch.setattr("axlewright.fleet.keys._MOST_FOUND", 20)
    held, key = FoundKeys(), Key("0aB1cD2eF3gH", 1, frozenset({"read"}), "yard")
    texts = [new_key_text() for _ in range(21)]
    for text in texts:
        held.add(text, key)
    assert [held.of(text) is key for text in texts] == [True] * 20 + [False]
    at_s = 5.0
    held.add(texts[20], key)
    assert held.of(texts[20]) is key
    assert len(held._held) == 1


def test_threads_hold_keys_at_the_same_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("axlewright.fleet.keys._MOST_FOUND", 200)
    times = itertools.count(0, 1 / 40)  # so that two hundred live, and the others make room
    monkeypatch.setattr("axlewright.fleet.keys.monotonic", lambda: next(times))
    held, key = FoundKeys(), Key("0aB1cD2eF3gH", 1, frozenset({"read"}), "yard")
    usual_s = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(4) as threads:
            list(threads.map(lambda number: held.add(f"key {number}", key), range(4_000)))
    finally:
        sys.setswitchinterval(usual_s)
    assert 1 <= len(held._held) <= 200


def test_a_key_lives_in_a_transaction_until_its_end(owner: Callable[..., str], store: Engines) -> None:
    text = owner(make_key, "Tern", "yard", ["read"], now=NOW, lasts=timedelta(hours=1), new_operator=True)
    key = found(store, text)
    end = NOW + timedelta(hours=1)

    def lives(at: datetime, shown: Key = key) -> bool:
        with transaction(store.reader) as connection:
            try:
                require_live(connection, shown, at)
            except NoLiveKey:
                return False
            return True

    assert lives(end - MICROSECOND)
    assert not lives(end)
    assert not lives(NOW, replace(key, id="0123456789AB"))
    owner(revoke_key, key.id, NOW)
    assert not lives(NOW)
