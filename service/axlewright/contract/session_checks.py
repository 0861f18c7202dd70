"""What may explain a failed cross-check, and what equilibrium ties between coupling states, on the wire."""

from collections.abc import Sequence
from itertools import chain
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from axlewright.contract.output import MassOut, NameOut, NumberOut, ProbabilityOut, ProseOut, UnknownOut
from axlewright.contract.units import Unit, Units, spoken, unit_of
from axlewright.contract.words import STATE_WORDS
from axlewright.core.rig import Rig
from axlewright.core.sessions.passes import WeighSession
from axlewright.core.sessions.printed import SlipKind
from axlewright.core.sessions.reconcile import Reconciliation, TieCheck
from axlewright.core.sessions.slips import Slip, ranked_slips
from axlewright.core.sessions.ties import TieKind

MOST_SLIPS: Final = 64

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
    probability: Annotated[ProbabilityOut, Meta(description="Chance of that much when every reading is good.")]
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
    """Return the slips with which each failed part would agree, best first, in SI; at most `MOST_SLIPS`."""
    unit = unit_of(units, "mass")
    assert unit is not None, "a session has masses"
    ranked = chain.from_iterable(
        ranked_slips(rig, session, part, unit.factor) for part in reconciliation.parts if part.failed
    )
    offered = [slip for slip in ranked if slip.left.reconciles]
    return [_slip_answer(slip, session, unit) for slip in offered[:MOST_SLIPS]]


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
        probability=slip.left.probability,
        words=_slip_words(slip, readings, unit),
    )


def _slip_words(slip: Slip, readings: Sequence[ReadingSlipAnswer], unit: Unit) -> str:
    if slip.pass_name is not None:
        return f"Pass {slip.pass_name}, {SLIP_WORDS[slip.kind]}: then the readings would agree."
    changed = ", ".join(
        f"{each.pass_name} / {each.platform} {spoken(each.would_be, unit)} instead of {spoken(each.value, unit)}"
        for each in readings
    )
    return f"{changed} ({SLIP_WORDS[slip.kind]}): then the readings would agree."


def _tie_answer(check: TieCheck, unit: Unit) -> TieAnswer:
    before, after = check.tie.between
    words = f"{TIE_WORDS[check.tie.kind]}, {STATE_WORDS[before]} and {STATE_WORDS[after]}: "
    if check.difference_kg is None or check.allowed_kg is None:
        words += "no reading checks it."
    else:
        words += (
            f"the readings miss it by {spoken(abs(check.difference_kg), unit)}, "
            f"scale and lengths allow {spoken(check.allowed_kg, unit)}."
        )
    return TieAnswer(
        kind=check.tie.kind.value,
        between=[before.value, after.value],
        difference=check.difference_kg,
        allowed=check.allowed_kg,
        suspect=check.suspect,
        words=words,
        unknown_because="No reading checks it." if check.difference_kg is None else None,
    )
