"""API keys: their text, `axw_<id>_<secret>_<check>`, and whether one that a caller shows is right."""

import hmac
import re
import secrets
from binascii import crc32
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from threading import Lock
from time import monotonic

from sqlalchemy import Connection, and_, bindparam, func, literal, or_, select

from axlewright.fleet.clock import moment
from axlewright.fleet.refusals import NoLiveKey
from axlewright.fleet.tables import API_KEYS

OPERATOR_SETTING = "axlewright.operator"
"""The PostgreSQL setting that names the operator whose rows a transaction sees."""

SCOPES = ("read", "write", "manage")
"""What a key may allow, each for itself."""

_ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
_ID_CHARACTERS = 12
_SECRET_CHARACTERS = 24
_CHECK_CHARACTERS = 6
_ID = re.compile(f"[0-9A-Za-z]{{{_ID_CHARACTERS}}}")
_KEY = re.compile(f"(axw_({_ID.pattern})_[0-9A-Za-z]{{{_SECRET_CHARACTERS}}}_)([0-9A-Za-z]{{{_CHECK_CHARACTERS}}})")
_FOUND_FOR_S = 5
_MOST_FOUND = 10_000
_HASH_OF_NO_KEY = "0" * sha256().digest_size * 2

_ALWAYS = select(literal(1)).subquery("always")
_FIND = select(
    API_KEYS.c.operator_id,
    API_KEYS.c.name,
    API_KEYS.c.scopes,
    func.coalesce(API_KEYS.c.secret_hash, _HASH_OF_NO_KEY).label("secret_hash"),
    API_KEYS.c.expires_at,
    API_KEYS.c.revoked_at,
).select_from(_ALWAYS.outerjoin(API_KEYS, API_KEYS.c.id == bindparam("key_id")))
"""Answers one row for an unknown id as well, so that it takes as long as a wrong secret."""

_LIVES = and_(
    API_KEYS.c.id == bindparam("key_id"),
    API_KEYS.c.revoked_at.is_(None),
    or_(API_KEYS.c.expires_at.is_(None), API_KEYS.c.expires_at > bindparam("now")),
)
_SEE_LIVE = {
    "sqlite": select(literal(1)).where(_LIVES),
    "postgresql": select(func.set_config(OPERATOR_SETTING, bindparam("operator"), True)).where(_LIVES),
}
"""One row of a live key; PostgreSQL's row-level security reads the setting to the end of the transaction."""


@dataclass(frozen=True, slots=True)
class Key:
    """A key that is good now: whose it is, and what it allows."""

    id: str
    operator_id: int
    scopes: frozenset[str]
    name: str


class FoundKeys:
    """The keys that were found in the last seconds: whoever asks the store with one need not look it up before that."""

    def __init__(self) -> None:
        """Hold none."""
        self._held: dict[str, tuple[Key, float]] = {}
        self._lock = Lock()

    def add(self, text: str, key: Key) -> None:
        """Hold a key for a while, unless as many are held already as may be."""
        at_s = monotonic()
        with self._lock:
            if len(self._held) >= _MOST_FOUND:
                self._held = {each: held for each, held in self._held.items() if held[1] > at_s}
            if len(self._held) < _MOST_FOUND:
                self._held[hash_of(text)] = (key, at_s + _FOUND_FOR_S)

    def of(self, text: str) -> Key | None:
        """Return the key of a text if it is held; it may have been revoked meanwhile, which `require_live` sees."""
        key, until_s = self._held.get(hash_of(text), (None, 0.0))
        return key if until_s > monotonic() else None


def new_key_text() -> str:
    """Return the text of a new key; nobody can make it again."""
    unchecked = f"axw_{_random_text(_ID_CHARACTERS)}_{_random_text(_SECRET_CHARACTERS)}_"
    return unchecked + _check(unchecked)


def checked(text: str) -> str | None:
    """Return the key id in a key's text, None where the form or the check is wrong."""
    parts = _KEY.fullmatch(text)
    return parts[2] if parts is not None and parts[3] == _check(parts[1]) else None


def is_key_id(text: str) -> bool:
    """Return whether a text has the form of a key id."""
    return _ID.fullmatch(text) is not None


def hash_of(text: str) -> str:
    """Return what is stored of a key's text: its SHA-256, since 142 random bits need no slower one."""
    return sha256(text.encode()).hexdigest()


def find(connection: Connection, text: str, now: datetime) -> Key | None:
    """Return the key of a text; None where it is unknown, wrong, expired or revoked, which nobody can tell apart."""
    key_id = checked(text)
    if key_id is None:
        return None
    row = connection.execute(_FIND, {"key_id": key_id}).one()
    if not hmac.compare_digest(hash_of(text), row.secret_hash) or row.operator_id is None:
        return None
    if row.revoked_at is not None or (row.expires_at is not None and row.expires_at <= moment(now)):
        return None
    return Key(key_id, row.operator_id, frozenset(row.scopes.split(",")), row.name)


def require_live(connection: Connection, key: Key, now: datetime) -> None:
    """See that a key which was found lives in this transaction too, which on PostgreSQL sees its operator's rows then.

    Raises
    ------
    NoLiveKey
        If it has expired or was revoked.
    """
    asked = {"key_id": key.id, "now": moment(now), "operator": str(key.operator_id)}
    if connection.execute(_SEE_LIVE[connection.dialect.name], asked).one_or_none() is None:
        raise NoLiveKey


def _random_text(characters: int) -> str:
    return "".join(secrets.choice(_ALPHABET) for _ in range(characters))


def _check(unchecked: str) -> str:
    """Return the CRC-32 of all before it as digits of base 62: no one changed character leaves it as it was."""
    rest = crc32(unchecked.encode())
    digits = ""
    for _ in range(_CHECK_CHARACTERS):
        rest, digit = divmod(rest, len(_ALPHABET))
        digits = _ALPHABET[digit] + digits
    return digits
