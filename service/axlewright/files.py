"""Rigs from files: the whole assessment of each, without a server."""

import sys
from collections.abc import Callable, Sequence
from enum import IntEnum
from pathlib import Path

import msgspec

from axlewright.contract.assessment import AssessAnswer, assess_answer
from axlewright.contract.decoding import decode
from axlewright.contract.faults import NotJson, ShapeFaults
from axlewright.contract.problems import Problem, refusal_problem
from axlewright.contract.request import AssessRequest
from axlewright.sheet import sheet

STANDARD_INPUT = "-"


class ExitCode(IntEnum):
    """What the command tells a script."""

    KEPT = 0
    BROKEN = 1
    BAD_INPUT = 2
    NOT_KNOWN = 3


IN_DOUBT = frozenset({"cross_check_failed", "readings_impossible", "limit_probably_over", "limit_probably_short"})
"""Critical findings of which nothing is surely broken."""
GRAVEST_FIRST = (ExitCode.BAD_INPUT, ExitCode.BROKEN, ExitCode.NOT_KNOWN, ExitCode.KEPT)
EXIT_CODES = """exit codes (of several files the first of 2, 1, 3, 0 that one of them has):
  0  every limit and cold pressure is known, and none is broken
  1  something is over its limit, or short of it, a tire's pressure included
  2  a file cannot be read, or its document is refused
  3  nothing is surely broken, but something is unsettled or unknown
"""


def assess_files(names: Sequence[str], *, as_json: bool) -> ExitCode:
    """Print the assessment of each file in turn, as a sheet or as one line of JSON, and return the gravest code.

    What is wrong with a file goes to standard error; with JSON its problem document is also its line.
    """
    codes = set()
    for place, name in enumerate(names):
        outcome = _outcome(name)
        codes.add(_code(outcome))
        if isinstance(outcome, Problem):
            print("\n".join(_complaint(name, outcome)), file=sys.stderr)
        if as_json:
            print(msgspec.json.encode(outcome).decode())
        elif isinstance(outcome, AssessAnswer):
            print(("\n\n" if place else "") + sheet(outcome), end="")
    return next(code for code in GRAVEST_FIRST if code in codes)


def _outcome(name: str) -> AssessAnswer | Problem:
    try:
        return assess_answer(decode(_read(name), AssessRequest))
    except (NotJson, ShapeFaults) as refusal:
        return refusal_problem(refusal)
    except OSError as refusal:
        reason = refusal.strerror or str(refusal)
        return Problem("about:blank", "The file cannot be read", 400, f"{name}: {reason}.", [], 0)


def _read(name: str) -> bytes:
    read: Callable[[], bytes] = sys.stdin.buffer.read if name == STANDARD_INPUT else Path(name).read_bytes
    return read()


def _code(outcome: AssessAnswer | Problem) -> ExitCode:
    if isinstance(outcome, Problem):
        return ExitCode.BAD_INPUT
    critical = {finding.code for finding in outcome.findings if finding.severity == "critical"}
    if critical - IN_DOUBT or outcome.summary.standing in ("over", "short"):
        return ExitCode.BROKEN
    has_pressures = all(axle.cold_pressure is not None for axle in outcome.inflation)
    is_kept = not critical and has_pressures and outcome.summary.standing in ("tight", "clear")
    return ExitCode.KEPT if is_kept else ExitCode.NOT_KNOWN


def _complaint(name: str, problem: Problem) -> list[str]:
    """Return what is wrong with a file in lines of its own: where, what, and what to write instead."""
    lines = [f"axlewright: {name}: {problem.title}. {problem.detail}"]
    for fault in problem.errors:
        is_told = fault.allowed is None or fault.allowed in fault.message
        allowed = "" if is_told else f" Allowed: {fault.allowed}."
        lines.append(f"  {fault.pointer or '(whole document)'}: {fault.message}{allowed}")
    return lines
