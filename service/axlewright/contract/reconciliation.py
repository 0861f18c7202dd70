"""How the readings of a session agree, on the wire."""

from collections.abc import Iterator
from typing import Annotated

from msgspec import Meta, Struct

from axlewright.contract.output import (
    CountOut,
    MassOut,
    NameOut,
    NumberOut,
    ProbabilityOut,
    ProseOut,
    ReadingNameOut,
    UnknownOut,
)
from axlewright.contract.session_checks import SlipAnswer, TieAnswer, slip_answers, tie_answers, tie_words
from axlewright.contract.session_record import RecordAnswer, record_answer
from axlewright.contract.units import SHARE, Units, spoken, unit_of
from axlewright.core.assessment import Assessment
from axlewright.core.sessions.passes import Reading, WeighSession
from axlewright.core.sessions.reconcile import PartCheck, ReadingCheck


class ReadingAnswer(Struct, frozen=True, kw_only=True):
    """One reading beside what the solution and the other readings make of it."""

    pass_name: Annotated[NameOut, Meta(description="As in the request.")]
    platform: Annotated[NameOut, Meta(description="As in the request.")]
    value: Annotated[MassOut, Meta(description="As printed.")]
    fitted: Annotated[MassOut, Meta(description="What the solution makes of it.")]
    residual: Annotated[MassOut, Meta(description="Value less fitted.")]
    by_others: Annotated[MassOut | None, Meta(description="What the other readings alone make of it.")]
    difference: Annotated[MassOut | None, Meta(description="Value less what the others make of it.")]
    allowed: Annotated[
        MassOut | None,
        Meta(description="How far the two may differ, either way, at the session's significance."),
    ]
    baarda_w: Annotated[NumberOut | None, Meta(description="Difference over its standard uncertainty.")]
    suspect: Annotated[
        bool,
        Meta(description="Among the likeliest to be wrong, after its part failed; equal suspects together."),
    ]
    unknown_because: UnknownOut


class PartAnswer(Struct, frozen=True, kw_only=True):
    """The global test of readings that share wheels among them, but none with the rest of the session."""

    wheel_ends: Annotated[list[NameOut], Meta(max_length=128, description="The wheels that its readings cover.")]
    degrees_of_freedom: Annotated[CountOut, Meta(description="Readings beyond those that are needed.")]
    statistic: Annotated[NumberOut, Meta(description="v' C^-1 v, against chi-squared.")]
    probability: Annotated[
        ProbabilityOut | None, Meta(description="Chance of a statistic so large when every reading is good.")
    ]
    agrees: Annotated[bool | None, Meta(description="Null where no reading checks another.")]
    agreement: Annotated[ProseOut, Meta(description="The same in words and numbers.")]
    unknown_because: UnknownOut


class ReconciliationAnswer(Struct, frozen=True, kw_only=True):
    """How the readings of the session agree; null in an answer to given loads."""

    agreement: Annotated[ProseOut, Meta(description="All parts in words and numbers.")]
    parts: Annotated[list[PartAnswer], Meta(max_length=128, description="Each independent part's global test.")]
    readings: Annotated[
        list[ReadingAnswer],
        Meta(max_length=8704, description="In the order of the request; an independent total after those of its pass."),
    ]
    suspects: Annotated[list[ReadingNameOut], Meta(max_length=8704, description="The readings likeliest to be wrong.")]
    slips: Annotated[
        list[SlipAnswer],
        Meta(max_length=64, description="Where readings do not agree: usual slips that would explain it, best first."),
    ]
    ties: Annotated[
        list[TieAnswer], Meta(max_length=8, description="What stays between coupling states, against the readings.")
    ]
    record: Annotated[RecordAnswer, Meta(description="What the tickets carry besides readings.")]


def reconciliation_answer(
    session: WeighSession | None, assessment: Assessment, units: Units
) -> ReconciliationAnswer | None:
    """Return how the readings agree, in SI; None where the loads were given."""
    if session is None or assessment.reconciliation is None:
        return None
    reconciled = assessment.reconciliation.parts
    parts = [_part_answer(session, part, units) for part in reconciled]
    checks = sorted((check for part in reconciled for check in part.checks), key=lambda each: each.row)
    readings = [_reading_answer(session.readings[check.row], check) for check in checks]
    return ReconciliationAnswer(
        agreement=" ".join(part.agreement for part in parts),
        parts=parts,
        readings=readings,
        suspects=[f"{each.pass_name} / {each.platform}" for each in readings if each.suspect],
        slips=slip_answers(assessment.rig, session, assessment.reconciliation, units),
        ties=tie_answers(assessment.reconciliation, units),
        record=record_answer(session.record),
    )


def _reading_answer(reading: Reading, check: ReadingCheck) -> ReadingAnswer:
    by_others = check.by_others_kg
    return ReadingAnswer(
        pass_name=reading.pass_name,
        platform=reading.platform.name,
        value=reading.value_kg,
        fitted=check.fitted_kg,
        residual=reading.value_kg - check.fitted_kg,
        by_others=by_others,
        difference=None if by_others is None else reading.value_kg - by_others,
        allowed=check.allowed_kg,
        baarda_w=check.baarda_w,
        suspect=check.suspect,
        unknown_because="No other reading of the session checks this one." if by_others is None else None,
    )


def _part_answer(session: WeighSession, part: PartCheck, units: Units) -> PartAnswer:
    wheels = sorted({wheel for check in part.checks for wheel in session.readings[check.row].wheels})
    checked = part.degrees_of_freedom > 0
    return PartAnswer(
        wheel_ends=wheels,
        degrees_of_freedom=part.degrees_of_freedom,
        statistic=part.statistic,
        probability=part.probability if checked else None,
        agrees=not part.failed if checked else None,
        agreement=" ".join(_agreement(session, part, units)),
        unknown_because=None if checked else "No reading of this part checks another.",
    )


def _agreement(session: WeighSession, part: PartCheck, units: Units) -> Iterator[str]:
    """Yield the plain comparison of the readings with the most wheels against all others, then the part's verdict."""
    checked = [check for check in part.checks if check.by_others_kg is not None]
    if not checked:
        wheels = ", ".join(sorted({w for check in part.checks for w in session.readings[check.row].wheels}))
        yield f"{wheels}: nothing checks these readings; a misread ticket would not show."
        return
    most = max(len(session.readings[check.row].wheels) for check in checked)
    widest = [check for check in checked if len(session.readings[check.row].wheels) == most]
    for check in widest if part.degrees_of_freedom > 1 else widest[:1]:
        yield _comparison(session.readings[check.row], check, units)
    unit = unit_of(units, "mass")
    assert unit is not None, "a session has masses"
    yield from (tie_words(tie, unit) for tie in part.ties if part.failed and tie.fails)
    chance = spoken(part.probability, SHARE)
    yield (
        f"These readings do not agree: all good, they would differ so much with a chance of {chance} only."
        if part.failed
        else "These readings agree."
    )


def _comparison(reading: Reading, check: ReadingCheck, units: Units) -> str:
    unit = unit_of(units, "mass")
    assert unit is not None
    assert check.by_others_kg is not None
    assert check.allowed_kg is not None
    wheels = " + ".join(sorted(reading.wheels))
    difference_kg = abs(reading.value_kg - check.by_others_kg)
    return (
        f"{wheels}: by the other readings {spoken(check.by_others_kg, unit)}, "
        f"pass {reading.pass_name} read {spoken(reading.value_kg, unit)}, they differ by "
        f"{spoken(difference_kg, unit)}, the scale allows {spoken(check.allowed_kg, unit)}."
    )
