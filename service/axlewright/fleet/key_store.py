"""Keys as whoever runs the service makes, lists and revokes them."""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection, func, insert, select, text, update

from axlewright.fleet.clock import moment
from axlewright.fleet.keys import SCOPES, checked, hash_of, new_key_text
from axlewright.fleet.tables import API_KEYS, OPERATORS

LONGEST_NAME = 100
LIVE_KEYS_OF_A_NAME = 2
"""The old key and the new one while the callers change over."""

_NO_NAME = {"Cc", "Cs", "Zl", "Zp"}  # control characters, halves of a character, ends of lines and paragraphs

_NEW_OPERATOR = text(
    "INSERT INTO operators (name, made_at) VALUES (:name, :made_at) ON CONFLICT (name) DO NOTHING RETURNING id"
)


class KeyRequestError(ValueError):
    """A key cannot be made or revoked as asked; the text says why, for people."""


@dataclass(frozen=True, slots=True)
class ListedKey:
    """What is known of a key; its text is not."""

    id: str
    operator: str
    name: str
    scopes: str
    made_at: str
    expires_at: str | None
    revoked_at: str | None

    def state(self, now: datetime) -> str:
        """Return `live`, `expired` or `revoked`."""
        if self.revoked_at is not None:
            return "revoked"
        return "expired" if self.expires_at is not None and self.expires_at <= moment(now) else "live"


def make_key(
    connection: Connection,
    operator: str,
    name: str,
    scopes: Sequence[str],
    *,
    now: datetime,
    lasts: timedelta | None = None,
    new_operator: bool = False,
) -> str:
    """Store a new key of an operator and return its text, which is not stored."""
    _require_name("operator", operator)
    _require_name("key", name)
    known_scopes = _in_order(scopes)
    operator_id = _made_operator(connection, operator, now) if new_operator else _operator(connection, operator)
    if _live_keys(connection, operator_id, name, now) >= LIVE_KEYS_OF_A_NAME:
        raise KeyRequestError(
            f"{operator!r} has {LIVE_KEYS_OF_A_NAME} live keys of the name {name!r} already: revoke one first"
        )
    key = new_key_text()
    connection.execute(
        insert(API_KEYS).values(
            id=checked(key),
            operator_id=operator_id,
            name=name,
            scopes=known_scopes,
            secret_hash=hash_of(key),
            made_at=moment(now),
            expires_at=None if lasts is None else moment(now + lasts),
        )
    )
    return key


def list_keys(connection: Connection, operator: str | None = None) -> list[ListedKey]:
    """Return the keys of one operator or of all, oldest first within an operator."""
    query = (
        select(
            API_KEYS.c.id,
            OPERATORS.c.name.label("operator"),
            API_KEYS.c.name,
            API_KEYS.c.scopes,
            API_KEYS.c.made_at,
            API_KEYS.c.expires_at,
            API_KEYS.c.revoked_at,
        )
        .join_from(API_KEYS, OPERATORS)
        .order_by(OPERATORS.c.name, API_KEYS.c.made_at, API_KEYS.c.id)
    )
    if operator is not None:
        query = query.where(API_KEYS.c.operator_id == _operator(connection, operator))
    return [ListedKey(**row) for row in connection.execute(query).mappings()]


def revoke_key(connection: Connection, key_id: str, now: datetime) -> str:
    """Revoke a key from the next request on and return the moment, that of the first time where it was before."""
    done = (
        update(API_KEYS)
        .where(API_KEYS.c.id == key_id)
        .values(revoked_at=func.coalesce(API_KEYS.c.revoked_at, moment(now)))
        .returning(API_KEYS.c.revoked_at)
    )
    revoked_at: str | None = connection.execute(done).scalar_one_or_none()
    if revoked_at is None:
        raise KeyRequestError(f"no key has the id {key_id!r}; `axlewright keys list` shows them")
    return revoked_at


def _require_name(whose: str, name: str) -> None:
    if not 1 <= len(name) <= LONGEST_NAME:
        raise KeyRequestError(f"the {whose} name has {len(name)} characters; it must have 1 to {LONGEST_NAME}")
    if any(unicodedata.category(character) in _NO_NAME for character in name):
        raise KeyRequestError(f"the {whose} name {name!r} has control characters")
    if name != name.strip():
        raise KeyRequestError(f"the {whose} name {name!r} begins or ends with a space")


def _in_order(scopes: Sequence[str]) -> str:
    if unknown := sorted(set(scopes) - set(SCOPES)):
        raise KeyRequestError(f"{unknown[0]!r} is no scope; the scopes are {', '.join(SCOPES)}")
    if not scopes:
        raise KeyRequestError(f"a key needs a scope; the scopes are {', '.join(SCOPES)}")
    return ",".join(scope for scope in SCOPES if scope in scopes)


def _operator(connection: Connection, name: str) -> int:
    """Return an operator's number, and hold its row on PostgreSQL so that one process at a time counts its keys."""
    held = select(OPERATORS.c.id).where(OPERATORS.c.name == name).with_for_update()
    operator_id: int | None = connection.execute(held).scalar_one_or_none()
    if operator_id is None:
        raise KeyRequestError(f"no operator has the name {name!r}; --new-operator makes it one")
    return operator_id


def _made_operator(connection: Connection, name: str, now: datetime) -> int:
    made = {"name": name, "made_at": moment(now)}
    operator_id: int | None = connection.execute(_NEW_OPERATOR, made).scalar_one_or_none()
    if operator_id is None:
        raise KeyRequestError(f"there is an operator {name!r} already; leave --new-operator away for a key of theirs")
    return operator_id


def _live_keys(connection: Connection, operator_id: int, name: str, now: datetime) -> int:
    live = select(func.count()).where(
        API_KEYS.c.operator_id == operator_id,
        API_KEYS.c.name == name,
        API_KEYS.c.revoked_at.is_(None),
        API_KEYS.c.expires_at.is_(None) | (API_KEYS.c.expires_at > moment(now)),
    )
    return connection.execute(live).scalar_one()
