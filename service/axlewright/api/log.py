"""The log: one JSON object a line, so that nothing a caller sends can begin a line of its own."""

import json
import logging
from datetime import UTC, datetime
from typing import Any

_JSON = json.JSONEncoder(ensure_ascii=True, default=str)


class JsonLines(logging.Formatter):
    """Writes a record, its `fields` and its cause as one line of ASCII JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            **getattr(record, "fields", {}),
        }
        if record.exc_info:
            line["cause"] = self.formatException(record.exc_info)
        return _JSON.encode(line)


def logging_configuration(level: str) -> dict[str, Any]:
    """Return the configuration for `logging.config.dictConfig`: JSON lines on standard error."""
    handled = {"handlers": ["lines"], "propagate": False}
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"lines": {"()": "axlewright.api.log.JsonLines"}},
        "handlers": {"lines": {"class": "logging.StreamHandler", "formatter": "lines"}},
        "root": {"level": "WARNING", "handlers": ["lines"]},
        "loggers": {
            "axlewright": {"level": level.upper(), **handled},
            "_granian": {"level": "WARNING", **handled},
        },
    }
