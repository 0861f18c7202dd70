"""What a coupled rig's passes tell of its coupling, on the wire."""

from typing import Annotated, Literal, TypeVar

from msgspec import Meta, Struct, structs

from axlewright.contract.loads import RigLoadsAnswer, rig_loads
from axlewright.contract.output import MassOut, ShareOut, TorqueOut, UnknownOut, WordsOut
from axlewright.contract.words import STATE_WORDS, UNKNOWN
from axlewright.core.assessment import Assessment
from axlewright.core.estimates import UnknownBecause
from axlewright.core.rig import CouplingState
from axlewright.core.sessions.coupling import CoupledWeigh, Found, StatePass
from axlewright.core.units import STANDARD_GRAVITY_M_PER_S2


class CoupledFigure(Struct, frozen=True, kw_only=True):
    """What every figure of a coupling has beside its value."""

    provisional: Annotated[bool, Meta(description="The readings beneath it failed their cross-check.")]
    unknown_because: UnknownOut
    settled_by: Annotated[
        WordsOut | None,
        Meta(description="One more pass that would tell it; null where it is known, or none would alone."),
    ]


class CoupledMassAnswer(CoupledFigure, frozen=True, kw_only=True):
    """A load that coupling brings or takes."""

    value: Annotated[MassOut | None, Meta(description="Best estimate.")]
    standard_uncertainty: Annotated[MassOut | None, Meta(description="Of the value.")]


class CoupledTorqueAnswer(CoupledFigure, frozen=True, kw_only=True):
    """The moment that levelling bars put between the vehicles."""

    value: Annotated[TorqueOut | None, Meta(description="Best estimate, of all bars together.")]
    standard_uncertainty: Annotated[TorqueOut | None, Meta(description="Of the value.")]


class CoupledShareAnswer(CoupledFigure, frozen=True, kw_only=True):
    """A share of a load that coupling takes."""

    value: Annotated[ShareOut | None, Meta(description="Best estimate; above 1 the bars give back too much.")]
    standard_uncertainty: Annotated[ShareOut | None, Meta(description="Of the value.")]


class WeighedStateAnswer(RigLoadsAnswer, frozen=True, kw_only=True):
    """The loads of one coupling state that was weighed."""

    state: Annotated[
        Literal["solo", "hitched", "hitched_levelled"],
        Meta(description="Each by itself; hitched without levelling bars; hitched with them."),
    ]


class CouplingAnswer(Struct, frozen=True, kw_only=True):
    """What hitching does, as far as the passes tell it."""

    state: Annotated[
        Literal["solo", "hitched", "hitched_levelled"],
        Meta(description="The state that all other figures of the answer are of: as it comes closest to the road."),
    ]
    coupling_load: Annotated[
        CoupledMassAnswer | None,
        Meta(description="Tongue or pin weight, without bars; null where the coupling carries none."),
    ]
    bars_moment: Annotated[CoupledTorqueAnswer | None, Meta(description="Null where no pass was made with bars.")]
    put_on_trailer_axles: Annotated[
        CoupledMassAnswer | None,
        Meta(description="By the bars, which the coupling carries less; null where no pass had them."),
    ]
    restored_share: Annotated[
        CoupledShareAnswer | None,
        Meta(description="Share of the front axle's lost load that the bars give back; null where no pass had them."),
    ]
    states: Annotated[list[WeighedStateAnswer], Meta(max_length=3, description="Every state that was weighed.")]


def coupling_answer(assessment: Assessment) -> CouplingAnswer | None:
    """Return what the passes tell of the coupling, in SI; None where nothing was weighed hitched."""
    coupled = assessment.coupled
    if coupled is None:
        return None
    return CouplingAnswer(
        state=coupled.travelled.value,
        coupling_load=_answer(CoupledMassAnswer, coupled.coupling_load),
        bars_moment=_answer(CoupledTorqueAnswer, coupled.bars_moment, STANDARD_GRAVITY_M_PER_S2),
        put_on_trailer_axles=_answer(CoupledMassAnswer, coupled.to_trailer),
        restored_share=_answer(CoupledShareAnswer, coupled.restored_share),
        states=[_state_answer(state, coupled, assessment) for state in coupled.states],
    )


Figure = TypeVar("Figure", CoupledMassAnswer, CoupledTorqueAnswer, CoupledShareAnswer)


def _answer(figure: type[Figure], found: Found | None, factor: float = 1.0) -> Figure | None:
    """Return a figure with what would settle it, in SI."""
    if found is None:
        return None
    known = found.value
    if isinstance(known, UnknownBecause):
        return figure(
            value=None,
            standard_uncertainty=None,
            provisional=False,
            unknown_because=_why(known, found),
            settled_by=None if found.settled_by is None else _pass_words(found.settled_by),
        )
    return figure(
        value=factor * known.value,
        standard_uncertainty=None if known.u is None else factor * known.u,
        provisional=known.provisional,
        unknown_because=None,
        settled_by=None,
    )


def _why(known: UnknownBecause, found: Found) -> str:
    alone = known is UnknownBecause.NOT_TOLD and found.settled_by is None
    return f"{UNKNOWN[known]} More than one pass is missing." if alone else UNKNOWN[known]


def _pass_words(settling: StatePass) -> str:
    what = f"axle {settling.axle}" if settling.axle is not None else f"all wheels of {settling.vehicle}"
    return f"{what[:1].upper()}{what[1:]} on the scale, {STATE_WORDS[settling.state]}."


def _state_answer(state: CouplingState, coupled: CoupledWeigh, assessment: Assessment) -> WeighedStateAnswer:
    in_state = structs.replace(assessment, estimates=coupled.states[state])
    return WeighedStateAnswer(state=state.value, **rig_loads(in_state))
