"""API keys: their text, `axw_<id>_<secret>_<check>`, and whether one that a caller shows is right."""

import hmac
import re
import secrets
from binascii import crc32
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from sqlalchemy import Connection, bindparam, func, literal, select

from axlewright.fleet.clock import moment
from axlewright.fleet.tables import API_KEYS

SCOPES = ("read", "write", "manage")
"""What a key may allow, each for itself."""

_ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
_ID_CHARACTERS = 12
_SECRET_CHARACTERS = 24
_CHECK_CHARACTERS = 6
_ID = re.compile(f"[0-9A-Za-z]{{{_ID_CHARACTERS}}}")
_KEY = re.compile(f"(axw_({_ID.pattern})_[0-9A-Za-z]{{{_SECRET_CHARACTERS}}}_)([0-9A-Za-z]{{{_CHECK_CHARACTERS}}})")
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


@dataclass(frozen=True, slots=True)
class Key:
    """A key that is good now: whose it is, and what it allows."""

    id: str
    operator_id: int
    scopes: frozenset[str]
    name: str


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
