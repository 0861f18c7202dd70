"""What the core may import: an allow-list, since a layer tool does not see the standard library."""

import ast
from pathlib import Path

import axlewright.core

ALLOWED = {
    *(
        "bisect",
        "collections",
        "csv",
        "datetime",
        "enum",
        "functools",
        "importlib",
        "itertools",
        "math",
        "re",
        "statistics",
        "types",
        "typing",
    ),
    *("msgspec", "numpy", "scipy"),
}
CORE = Path(axlewright.core.__file__).parent


def imported(source: str) -> set[str]:
    """Return the modules that a source text imports, its own package's left out."""
    names = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            names.add(node.module or "")
    return {name for name in names if not name.startswith("axlewright.core.")}


def test_the_core_imports_nothing_that_could_reach_the_outside() -> None:
    sources = sorted(CORE.rglob("*.py"))
    assert len(sources) > 20
    for source in sources:
        roots = {name.split(".")[0] for name in imported(source.read_text(encoding="utf-8"))}
        assert roots <= ALLOWED, source


def test_the_core_reads_no_clock() -> None:
    for source in sorted(CORE.rglob("*.py")):
        called = {node.attr for node in ast.walk(ast.parse(source.read_text())) if isinstance(node, ast.Attribute)}
        assert not called & {"now", "today", "utcnow", "fromtimestamp"}, source


def test_the_allow_list_would_notice_a_clock_and_a_database() -> None:
    assert {name.split(".")[0] for name in imported("import time, sqlite3\nfrom os import path")} - ALLOWED == {
        "time",
        "sqlite3",
        "os",
    }
