"""What may explain a failed cross-check, and what equilibrium ties between coupling states, on the wire."""

from collections.abc import Sequence
from itertools import chain
from math import isclose
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from axlewright.contract.output import MassOut, NameOut, NumberOut, ProbabilityOut, ProseOut, UnknownOut
from axlewright.contract.units import Unit, Units, spoken, unit_of
from axlewright.contract.words import STATE_WORDS
from axlewright.core.rig import Rig
from axlewright.core.sessions.passes import WeighSession
from axlewright.core.sessions.printed import SlipKind
from axlewright.core.sessions.reconcile import Reconciliation, TieCheck
from axlewright.core.sessions.slips import Slip, ranked_slips, tested_session
from axlewright.core.sessions.ties import TieKind

MOST_SLIPS: Final = 64
MOST_PARTS: Final = 4

SLIP_WORDS: dict[SlipKind, str] = {
    SlipKind.SWAPPED_DIGITS: "two neighbouring digits swapped",
    SlipKind.MISREAD_DIGIT: "one digit misread",
    SlipKind.DROPPED_DIGIT: "one digit dropped",
    SlipKind.DOUBLED_DIGIT: "one digit doubled",
    SlipKind.EXCHANGED_READINGS: "two readings of the pass exchanged",
    SlipKind.WRONG_SIDE: "entered for the other side",
}
TIE_WORDS: dict[TieKind, str] = {
    TieKind.WEIGHT: "The weight of the whole rig stays",
    TieKind.MOMENT: "The moment about the hitch stays",
}


class ReadingSlipAnswer(Struct, frozen=True, kw_only=True):
    """A reading as it was sent, and as the ticket may have read."""

    pass_name: Annotated[NameOut, Meta(description="As in the request.")]
    platform: Annotated[NameOut, Meta(description="As in the request.")]
    value: Annotated[MassOut, Meta(description="As sent.")]
    would_be: Annotated[MassOut, Meta(description="As the ticket may have read.")]


class SlipAnswer(Struct, frozen=True, kw_only=True):
    """A usual slip of copying with which the readings would agree; look at the ticket before you believe it."""

    kind: Annotated[NameOut, Meta(description="What may have happened; new kinds may come.", examples=[*SlipKind])]
    readings: Annotated[
        list[ReadingSlipAnswer], Meta(max_length=2, description="Those that would read otherwise; none, if a side.")
    ]
    pass_name: Annotated[
        NameOut | None, Meta(description="The pass that may be of the other side; null where readings are meant.")
    ]
    statistic: Annotated[NumberOut, Meta(description="What the global test would leave; the less, the likelier.")]
    probability: Annotated[
        ProbabilityOut | None,
        Meta(description="Chance of that much when every reading is good; null where nothing would check them."),
    ]
    words: Annotated[ProseOut, Meta(description="The same in words.")]


class TieAnswer(Struct, frozen=True, kw_only=True):
    """What equilibrium ties between two coupling states, against the readings."""

    kind: Annotated[NameOut, Meta(description="What stays; new kinds may come.", examples=[*TieKind])]
    between: Annotated[
        list[Literal["solo", "hitched", "hitched_levelled"]],
        Meta(min_length=2, max_length=2, description="The two states."),
    ]
    difference: Annotated[
        MassOut | None, Meta(description="By how much the readings miss it; of a moment over its longest arm.")
    ]
    allowed: Annotated[MassOut | None, Meta(description="How far it may be missed, by scale and lengths.")]
    suspect: Annotated[bool, Meta(description="Among the likeliest to be wrong: then look at the places told.")]
    words: Annotated[ProseOut, Meta(description="The same in words.")]
    unknown_because: UnknownOut


def slip_answers(rig: Rig, session: WeighSession, reconciliation: Reconciliation, units: Units) -> list[SlipAnswer]:
    """Return the slips with which each failed part would agree, best first, in SI; at most `MOST_SLIPS`.

    Those that also make a pass agree with its total come first. Where many parts fail it is no slip, and the worst of
    them alone are searched.
    """
    unit = unit_of(units, "mass")
    assert unit is not None, "a session has masses"
    failed = sorted((part for part in reconciliation.parts if part.failed), key=lambda part: part.probability)
    if not failed:
        return []
    searched = failed[:MOST_PARTS]
    tested = tested_session(rig, session)
    ranked = chain.from_iterable(
        ranked_slips(rig, session, part, unit.factor, tested, share=len(searched)) for part in searched
    )
    once = {(slip.kind, slip.readings, slip.pass_name): slip for slip in ranked if slip.left.reconciles}
    offered = sorted(once.values(), key=lambda slip: (_leaves_no_check(slip), not _makes_total_right(slip, session)))
    return [_slip_answer(slip, session, unit) for slip in offered[:MOST_SLIPS]]


def _leaves_no_check(slip: Slip) -> bool:
    return slip.left.degrees_of_freedom == 0


def _makes_total_right(slip: Slip, session: WeighSession) -> bool:
    """Return whether a slip of one reading is just what its pass's total differs by."""
    if len(slip.readings) != 1:
        return False
    (changed,) = slip.readings
    name = session.readings[changed.row].pass_name
    record = next((each for each in session.record.passes if each.name == name), None)
    if record is None or record.total is None or record.total_agrees is not False:
        return False
    more_kg = record.total.value_kg - record.sum_kg
    return isclose(changed.would_be_kg - changed.read_kg, more_kg, rel_tol=1e-9, abs_tol=1e-6)


def tie_answers(reconciliation: Reconciliation, units: Units) -> list[TieAnswer]:
    """Return every tie between states against the readings, in SI."""
    unit = unit_of(units, "mass")
    assert unit is not None, "a session has masses"
    return [_tie_answer(tie, unit) for part in reconciliation.parts for tie in part.ties]


def _slip_answer(slip: Slip, session: WeighSession, unit: Unit) -> SlipAnswer:
    readings = [
        ReadingSlipAnswer(
            pass_name=session.readings[each.row].pass_name,
            platform=session.readings[each.row].platform.name,
            value=each.read_kg,
            would_be=each.would_be_kg,
        )
        for each in slip.readings
    ]
    return SlipAnswer(
        kind=slip.kind.value,
        readings=readings,
        pass_name=slip.pass_name,
        statistic=slip.left.statistic,
        probability=None if _leaves_no_check(slip) else slip.left.probability,
        words=_slip_words(slip, readings, unit),
    )


def _slip_words(slip: Slip, readings: Sequence[ReadingSlipAnswer], unit: Unit) -> str:
    then = "nothing would check the readings" if _leaves_no_check(slip) else "the readings would agree"
    if slip.pass_name is not None:
        return f"Pass {slip.pass_name}, {SLIP_WORDS[slip.kind]}: then {then}."
    changed = ", ".join(
        f"{each.pass_name} / {each.platform} {spoken(each.would_be, unit)} instead of {spoken(each.value, unit)}"
        for each in readings
    )
    return f"{changed} ({SLIP_WORDS[slip.kind]}): then {then}."


def tie_words(check: TieCheck, unit: Unit) -> str:
    """Return how a tie stands, in words."""
    before, after = check.tie.between
    words = f"{TIE_WORDS[check.tie.kind]}, {STATE_WORDS[before]} and {STATE_WORDS[after]}: "
    if check.difference_kg is None or check.allowed_kg is None:
        return f"{words}no reading checks it."
    words += (
        f"the readings miss it by {spoken(abs(check.difference_kg), unit)}, "
        f"scale and lengths allow {spoken(check.allowed_kg, unit)}."
    )
    if check.fails and check.tie.kind is TieKind.MOMENT:
        words += " If the tickets are right, measure `hitch.aft` and the axles' `aft` again."
    return words


def _tie_answer(check: TieCheck, unit: Unit) -> TieAnswer:
    return TieAnswer(
        kind=check.tie.kind.value,
        between=[state.value for state in check.tie.between],
        difference=check.difference_kg,
        allowed=check.allowed_kg,
        suspect=check.suspect,
        words=tie_words(check, unit),
        unknown_because="No reading checks it." if check.difference_kg is None else None,
    )
