"""What the README shows is what the service does."""

import json
import re
from pathlib import Path
from typing import Any

import msgspec

from axlewright.contract.assessment import assess_answer
from axlewright.contract.decoding import decode
from axlewright.contract.request import AssessRequest

README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")


def is_shown(shown: Any, real: Any) -> bool:
    """Return whether every figure shown stands in the real answer, entries of lists in their order."""
    if isinstance(shown, dict):
        return all(name in real and is_shown(value, real[name]) for name, value in shown.items())
    if isinstance(shown, list):
        rest = iter(real)
        return all(any(is_shown(entry, candidate) for candidate in rest) for entry in shown)
    return bool(shown == real)


def test_the_answer_in_the_readme_is_the_real_one() -> None:
    request = re.search(r"<<'JSON'\n(.*?)\nJSON\n", README, re.DOTALL)
    answer = re.search(r"```jsonc\n(.*?)```", README, re.DOTALL)
    assert request
    assert answer
    real = msgspec.to_builtins(assess_answer(decode(request[1].encode(), AssessRequest)))
    shown = json.loads(answer[1].replace(", …", ""))
    assert is_shown(shown, real)
    shown["vehicles"][0]["load"] += 0.1
    assert not is_shown(shown, real)


def test_the_two_commands_stand_on_their_own() -> None:
    run, check = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    assert run.strip().endswith("axlewright demo --port 8080")
    assert check.strip().endswith("pytest -q -n 2 --dist worksteal")
    assert all(command.startswith("python3 -m venv .venv && ") for command in (run, check))
