"""What an operator of the service may choose, read once from the environment."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Self
from urllib.parse import urlsplit

PREFIX = "AXLEWRIGHT_"
LOG_LEVELS = ("debug", "info", "warning", "error")


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

    log_level: str = "info"
    """The least severe line that is logged, `AXLEWRIGHT_LOG_LEVEL`; request lines are `info`."""

    solver_limit_s: float = 10.0
    """The longest that one search may take whatever its request asks for, `AXLEWRIGHT_SOLVER_LIMIT_S`."""

    solvers_at_once: int = 2
    """How many searches run at once, `AXLEWRIGHT_SOLVERS_AT_ONCE`; one more is answered 503."""

    @classmethod
    def from_environment(cls, environ: Mapping[str, str]) -> Self:
        """Return the settings that the variables ask for; a wrong or unknown one is refused by its name."""
        given = {name: text.strip() for name, text in environ.items() if name.startswith(PREFIX)}
        readers: dict[str, Callable[[str], Any]] = {
            "body_limit_bytes": _whole_number,
            "body_time_limit_s": _seconds,
            "cors_origins": _origins,
            "log_level": _log_level,
            "solver_limit_s": _seconds,
            "solvers_at_once": _solver_count,
        }
        known = {PREFIX + field.upper(): field for field in readers}
        if unknown := sorted(given.keys() - known.keys()):
            raise SettingsError(f"{unknown[0]} is no setting; the settings are {', '.join(sorted(known))}")
        values: dict[str, Any] = {}
        for name, text in given.items():
            try:
                values[known[name]] = readers[known[name]](text)
            except ValueError as wrong:
                raise SettingsError(f"{name} is {text!r}: {wrong}") from None
        return cls(**values)


def _whole_number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 0 < int(text) <= 2**31):
        raise ValueError("it must be a whole number of bytes from 1 to 2147483648")
    return int(text)


def _solver_count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 2 and 0 < int(text) <= 64):
        raise ValueError("it must be a whole number from 1 to 64")
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
