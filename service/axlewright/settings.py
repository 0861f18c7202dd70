"""What an operator of the service may choose, read once from the environment."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Self
from urllib.parse import urlsplit

PREFIX = "AXLEWRIGHT_"
LOG_LEVELS = ("debug", "info", "warning", "error")
GUARDED = ("fleet", "everything")
STATELESS = f"{PREFIX}STATELESS"

_DATABASE_URL = re.compile(
    r"sqlite:///(?!:memory:)[^?#\x00-\x1f]+|postgresql://([^@/?#\s]+@)?[^@/?#\s]*/[^@/?#\s]+(\?[^#\s]*)?"
)
_SECRET = ("database_url",)  # may hold a password
_MOST_REQUESTS = 1_000_000


class SettingsError(ValueError):
    """An environment variable holds something that cannot be used."""


@dataclass(frozen=True)
class Settings:
    """The service's configuration; every field has an environment variable of its name."""

    body_limit_bytes: int = 1_048_576
    """The longest request body that is read, `AXLEWRIGHT_BODY_LIMIT_BYTES`; a longer one is answered 413."""

    body_time_limit_s: float = 20.0
    """How long a request body may take to arrive, `AXLEWRIGHT_BODY_TIME_LIMIT_S`; a slower one gets 408."""

    cors_origins: tuple[str, ...] = ()
    """Origins whose pages may call the service, `AXLEWRIGHT_CORS_ORIGINS`, with commas; `*` is any."""

    database_url: str = field(default="sqlite:///axlewright.sqlite3", repr=False)
    """The store's database, `AXLEWRIGHT_DATABASE_URL`: `sqlite:///FILE` or `postgresql://USER@HOST/DATABASE`."""

    keys: str = "fleet"
    """What asks for a key, `AXLEWRIGHT_KEYS`: the `fleet` store, or `everything` that computes as well."""

    log_level: str = "info"
    """The least severe line that is logged, `AXLEWRIGHT_LOG_LEVEL`; request lines are `info`."""

    rate_limit: int = 1200
    """How many requests a key may make in a minute, `AXLEWRIGHT_RATE_LIMIT`; 0 is any number."""

    solver_limit_s: float = 10.0
    """The longest that one search may take whatever its request asks for, `AXLEWRIGHT_SOLVER_LIMIT_S`."""

    solvers_at_once: int = 2
    """How many searches run at once, `AXLEWRIGHT_SOLVERS_AT_ONCE`; one more is answered 503."""

    stateless: bool = False
    """Whether the service computes only and stores nothing, `AXLEWRIGHT_STATELESS`: 1 or 0."""

    @classmethod
    def from_environment(cls, environ: Mapping[str, str]) -> Self:
        """Return the settings that the variables ask for; a wrong or unknown one is refused by its name."""
        given = {name: text.strip() for name, text in environ.items() if name.startswith(PREFIX)}
        readers: dict[str, Callable[[str], Any]] = {
            "body_limit_bytes": _whole_number,
            "body_time_limit_s": _seconds,
            "cors_origins": _origins,
            "database_url": _database_url,
            "keys": _guarded,
            "log_level": _log_level,
            "rate_limit": _request_count,
            "solver_limit_s": _seconds,
            "solvers_at_once": _solver_count,
            "stateless": _yes_or_no,
        }
        known = {PREFIX + field.upper(): field for field in readers}
        if unknown := sorted(given.keys() - known.keys()):
            raise SettingsError(f"{unknown[0]} is no setting; the settings are {', '.join(sorted(known))}")
        values: dict[str, Any] = {}
        for name, text in given.items():
            try:
                values[known[name]] = readers[known[name]](text)
            except ValueError as wrong:
                shown = name if known[name] in _SECRET else f"{name} is {text!r}"
                raise SettingsError(f"{shown}: {wrong}") from None
        settings = cls(**values)
        if settings.stateless and settings.keys == "everything":
            raise SettingsError(f"{PREFIX}KEYS is 'everything', but keys are in the store and the service is stateless")
        return settings


def _whole_number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 0 < int(text) <= 2**31):
        raise ValueError("it must be a whole number of bytes from 1 to 2147483648")
    return int(text)


def _solver_count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 2 and 0 < int(text) <= 64):
        raise ValueError("it must be a whole number from 1 to 64")
    return int(text)


def _request_count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 7 and int(text) <= _MOST_REQUESTS):
        raise ValueError(f"it must be a whole number from 0 to {_MOST_REQUESTS}")
    return int(text)


def _seconds(text: str) -> float:
    wanted = "it must be a number of seconds above 0 and at most 3600"
    try:
        seconds = float(text)
    except ValueError:
        raise ValueError(wanted) from None
    if not 0 < seconds <= 3600:
        raise ValueError(wanted)
    return seconds


def _origins(text: str) -> tuple[str, ...]:
    origins = tuple(part.strip() for part in text.split(",") if part.strip())
    for origin in origins:
        parts = urlsplit(origin)
        is_origin = parts.scheme in ("http", "https") and parts.netloc and "@" not in parts.netloc
        if origin != "*" and (not is_origin or "*" in origin or origin != f"{parts.scheme}://{parts.netloc}".lower()):
            raise ValueError(f"{origin!r} is no origin such as https://app.example.org, in lower case")
    return origins


def _log_level(text: str) -> str:
    if text.lower() not in LOG_LEVELS:
        raise ValueError(f"it must be one of {', '.join(LOG_LEVELS)}")
    return text.lower()


def _database_url(text: str) -> str:
    if not _DATABASE_URL.fullmatch(text):
        raise ValueError(
            "it must be sqlite:///FILE or postgresql://USER@HOST/DATABASE, in which user and password have "
            "%40 for @, %2F for / and so on"
        )
    return text


def _guarded(text: str) -> str:
    if text not in GUARDED:
        raise ValueError(f"it must be one of {', '.join(GUARDED)}")
    return text


def _yes_or_no(text: str) -> bool:
    if text not in ("0", "1"):
        raise ValueError("it must be 1 or 0")
    return text == "1"
