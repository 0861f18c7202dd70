"""The installed package works from an empty folder: tables, example documents, contract and migrations come along."""

import json
import subprocess
import sys
from pathlib import Path

PATHS = sorted(json.loads((Path(__file__).parent.parent / "openapi" / "openapi.json").read_text())["paths"])
REVISIONS = [
    path.stem.partition("_")[0]
    for path in sorted((Path(__file__).parent.parent / "migrations" / "versions").glob("*.py"))
]
PROGRAM = """
from axlewright.app import create_app
from axlewright.contract.examples import document
from axlewright.core.tires.tables import built_in_tables
from axlewright.fleet.migrations import migrate
from axlewright.settings import Settings
print(len(document("full")) > 1000, len(built_in_tables()) > 40)
print(sorted(create_app(Settings()).state["openapi"]["paths"]))
print(migrate("sqlite:///store.sqlite3"))
"""


def test_tables_and_contract_are_inside_the_package(tmp_path: Path) -> None:
    ran = subprocess.run([sys.executable, "-c", PROGRAM], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert ran.stdout.splitlines() == [
        "True True",
        str(PATHS),
        str(REVISIONS),
    ]
