"""Texts that software trips over, and where the fleet's documents take a text."""

import copy
from collections.abc import Iterator
from typing import Any

from tests.contract.example_fleet import OPERATIONS, bodies
from tests.contract.published import SCHEMAS, arms, fields

TEXT_PATTERN = next(
    arm["pattern"] for arm in arms(SCHEMAS["VehicleDocument"]["properties"]["asset_number"]) if "pattern" in arm
)
LONG_TEXT_PATTERN = next(
    arm["pattern"] for arm in arms(SCHEMAS["TireDocument"]["properties"]["note"]) if "pattern" in arm
)
READ = {"designation", "platform"}
"""Texts in which the service reads: a size, the name of a platform that is named elsewhere."""

KEPT = [
    # read as something else
    *["null", "undefined", "None", "NaN", "true", "0", "-1", "1e400", "0x10", "nil", "[]", "{}", "''", '""', "*", "%"],
    # meant for an interpreter
    *["' OR '1'='1", "'; DROP TABLE vehicles; --", '" OR ""="', "1;SELECT pg_sleep(9)", "$$;--", "\\'", "E'\\x41'"],
    *["%s %d %n", "{0} {name}", "${PATH}", "$(id)", "`id`", "{{7*7}}", "<%= 1 %>", "=1+1", "@sum(1)", "+1", "|ls"],
    *["<script>alert(1)</script>", "<!-- ", "]]>", "&lt;&#0;", "javascript:alert(1)", "../../etc/passwd", "C:\\con"],
    *["a\\u0000b", "\\x00", "%00", "%0d%0aX: y", "\\", "\\\\", "/", "//", "?a=b&c#d", "LIKE %_ ESCAPE", "a;b,c|d"],
    # white space
    *[" ", "  two  ", " leading", "trailing ", "\u00a0", "\u2003em", "\u3000", "\u200b", "\ufeffmark", "\u180e"],
    # scripts and signs
    *["Åsa Öberg", "Ångström", "A\u030angstro\u0308m", "İstanbul", "ıI", "ß", "ẞ", "ǆ", "ﬁ", "ΑΣΣ", "\u2126", "\u03a9"],
    *[
        "שלום",
        "مرحبا",
        "\u202eright\u202c",
        "\u2067a\u2069",
        "ﷺ",
        "नमस्ते",
        "ไทย",
        "\ud55c\uad6d",
        "\u1112\u1161\u11ab",
        "日本",
        "漢",
        "𠮷",
    ],
    *["👩\u200d👩\u200d👧", "🏳️\u200d🌈", "🇺🇸", "👍🏽", "e" + "\u0301" * 70, "\U000e0041", "\u00ad", "½", "①", "№"],
    # the ends of Unicode
    *["\u00ff", "\ud7ff", "\ue000", "\ufdd0", "\ufffd", "\ufffe", "\uffff", "\U0001ffff", "\U0010ffff", "\u00a0\u0300"],
    # sizes
    *["x" * 80, "é" * 80, "漢" * 80, "\U0001f600" * 80, "\\" * 80, '"' * 80, "'" * 80, "\u0300" * 80],
]
"""Texts of up to 80 characters without control characters: they are kept as they are."""
REFUSED = [
    *["", "\u0000", "a\u0000b", "\u0001", "\t", "\n", "a\r\nb", "\u001b[31m", "\u007f", "\u0080", "\u0085", "\u009f"],
    *["\u2028", "a\u2029b", "\ud800", "\udfff", "\ud83d", "\ude00\ud83d", "a\udc80", "x" * 501, "漢" * 501],
]
"""Texts that no field takes: none at all, control characters, halves of characters, and what is too long."""


def free_texts(operation_id: str) -> Iterator[tuple[str | int, ...]]:
    """Yield where the full example of an operation has a text that is the caller's own."""
    _, _, operation = OPERATIONS[operation_id]
    schema = operation["requestBody"]["content"]["application/json"]["schema"]
    for field in fields(bodies(operation)["full"], schema):
        patterns = {arm["pattern"] for arm in arms(field.schema) if "pattern" in arm}
        path = tuple(int(step) if step.isdigit() else step for step in field.pointer.split("/")[1:])
        is_platform = "platforms" in path
        is_further = path[-1] in ("name", "why") and path[-2:-1] not in ((), (0,))  # names of passes differ
        if patterns & {TEXT_PATTERN, LONG_TEXT_PATTERN} and path[-1] not in READ and not (is_platform or is_further):
            yield path


def told(document: Any, places: Iterator[tuple[str | int, ...]], text: str) -> Any:
    """Return a copy of a document with a text at places."""
    document = copy.deepcopy(document)
    for path in places:
        target = document
        for step in path[:-1]:
            target = target[step]
        target[path[-1]] = text
    return document
