"""Findings of the core in words, in the caller's units; which of them each room tells."""

from collections.abc import Iterable, Mapping
from typing import Annotated, Any, Literal

from msgspec import Meta, Struct

from axlewright.contract.finding_words import FINDINGS, Room
from axlewright.contract.output import NameOut, ProseOut, WordsOut
from axlewright.contract.units import Units, spoken, unit_of
from axlewright.contract.words import (
    DAMAGE_WORDS,
    LEGAL_HEIGHT_WORDS,
    LIMIT_WORDS,
    REMEDY_WORDS,
    STATE_WORDS,
    STEM_WORDS,
    UNKNOWN,
)
from axlewright.core.estimates import UnknownBecause
from axlewright.core.findings import Fact, Finding, Quantity, Severity
from axlewright.core.loads.limits import LimitKind
from axlewright.core.loads.remarks import Remedy
from axlewright.core.rig import CouplingState
from axlewright.core.upkeep.walk_round import Damage, LegalHeight, Stem


class FindingAnswer(Struct, frozen=True, kw_only=True):
    """One thing to know."""

    code: Annotated[NameOut, Meta(description="Stable; new ones may come. `x-codes` lists them.")]
    severity: Annotated[Literal["critical", "warning", "notice", "info"], Meta(description="Worst first.")]
    subject: Annotated[ProseOut, Meta(description="What it concerns.")]
    message: Annotated[ProseOut, Meta(description="What was found.")]
    action: Annotated[WordsOut, Meta(description="What to do.")]
    basis: Annotated[WordsOut, Meta(description="What it rests on.")]


def finding_answers(findings: Iterable[Finding], units: Units, room: Room | None = None) -> list[FindingAnswer]:
    """Return findings in words; of one room its own, and every critical one, which no room leaves out."""
    return [
        _finding_answer(finding, units)
        for finding in findings
        if room is None or finding.severity is Severity.CRITICAL or room in FINDINGS[finding.code].rooms
    ]


def _finding_answer(finding: Finding, units: Units) -> FindingAnswer:
    words = FINDINGS[finding.code]
    facts = {name: fact_in_words(fact, units) for name, fact in finding.facts.items()} | {"subject": finding.subject}
    return FindingAnswer(
        code=finding.code,
        severity=finding.severity.value,
        subject=finding.subject,
        message=words.message.format(**facts),
        action=words.action.format(**facts),
        basis=words.basis,
    )


def fact_in_words(fact: Fact, units: Units) -> str:
    """Return a fact as people read it: a figure in the caller's unit, a name of the core in its words."""
    if isinstance(fact, Quantity):
        unit = unit_of(units, fact.kind)
        assert unit is not None
        return spoken(fact.value, unit)
    words = _WORDS.get(type(fact))
    return str(fact) if words is None else words[fact]


_WORDS: dict[type, Mapping[Any, str]] = {
    LimitKind: LIMIT_WORDS,
    Remedy: REMEDY_WORDS,
    UnknownBecause: UNKNOWN,
    CouplingState: STATE_WORDS,
    Damage: DAMAGE_WORDS,
    Stem: STEM_WORDS,
    LegalHeight: LEGAL_HEIGHT_WORDS,
}
