"""A whole trip: for every load, limit and pressure the worst of all states, and the state in which it happens."""

from collections.abc import Iterator, Mapping
from typing import Annotated

from msgspec import Meta, Struct, structs

from axlewright.contract.aboard import (
    USUAL_FLUID_K,
    AssumptionAnswer,
    assumption_answers,
    core_spot,
    core_tank,
    declared_masses,
    weighed_levels,
)
from axlewright.contract.computation import Computed, computed_with
from axlewright.contract.envelope_faults import envelope_faults, start_level
from axlewright.contract.envelope_request import (
    MOST_CARGO,
    MOST_PEOPLE,
    MOST_TANKS,
    FindEnvelopeRequest,
    VariesInput,
    VaryingTankInput,
)
from axlewright.contract.finding_words import balance, loads, pressures
from axlewright.contract.findings import finding_answers
from axlewright.contract.inflation import InflationAnswer, inflation_answers
from axlewright.contract.loads import LimitAnswer, SummaryAnswer, limit_answers, load_answer, summary_answer
from axlewright.contract.output import LoadAnswer, MassOut, NameOut, ShareOut, WordsOut
from axlewright.contract.rooms import RoomAnswer
from axlewright.contract.units import in_units
from axlewright.contract.words import COLD, DEFERENCE, NOT_JUDGED, PREDICTED
from axlewright.core.assessment import Assessment, worst_first
from axlewright.core.estimates import UnknownBecause
from axlewright.core.findings import Finding
from axlewright.core.loads.aboard import Move
from axlewright.core.loads.envelope import Envelope, State
from axlewright.core.loads.fluids import level_doubt
from axlewright.core.loads.forecast import place_findings
from axlewright.core.loads.statics import rig_statics
from axlewright.core.loads.trip import Trip, trip_findings, worst_of_trip
from axlewright.core.loads.varying import MayBeAboard, VaryingTank, trip_envelope, weighed_doubts
from axlewright.core.loads.worst_cases import Extreme
from axlewright.core.rig import Rig, Stated

BASIS = (
    "Loads are linear in what is aboard: the worst value of all states is that of a linear program, and exact",
    "Doubt: each independent error at its largest over all states, so that no state has more (JCGM 100:2008, 5.1.2)",
    "Contents: the whole range of a fluid's density is part of the doubt, which at k = 2 reaches beyond its heavy end",
    "A limit that is surely broken in its worst state is told with the doubt that it has there",
    "Cold pressures: every wheel end of an axle in its own worst state",
)
MOST_VARYING = MOST_PEOPLE + MOST_CARGO + MOST_TANKS
OF_ONE_STATE = frozenset({"declared_not_judged", *loads.FINDINGS, *balance.FINDINGS, *pressures.FINDINGS})
"""Findings on the state of the weigh, which its trip leaves."""
MOST_SPOKEN = 6
"""So many parts of a state are told in a sentence; its `state` tells all."""


class StateAnswer(Struct, frozen=True, kw_only=True):
    """How something that varies is, in the state told of."""

    name: Annotated[NameOut, Meta(description="As in `varies`.")]
    level: Annotated[ShareOut | None, Meta(description="Of a tank; null for people and cargo.")]
    aboard: Annotated[bool | None, Meta(description="Of people and cargo; null for a tank.")]


StateField = Annotated[
    list[StateAnswer],
    Meta(max_length=MOST_VARYING, description="The state in which that happens. What is not named does not matter."),
]


class VaryingAnswer(Struct, frozen=True, kw_only=True):
    """What varies, as it was reckoned with: shares of the whole, 1 for a full tank or what is aboard."""

    name: Annotated[NameOut, Meta(description="A tank's name; else as you call it, with its place in the list.")]
    mass: Annotated[MassOut, Meta(description="The whole of it.")]
    standard_uncertainty: Annotated[MassOut, Meta(description="Of the mass.")]
    weighed: Annotated[ShareOut, Meta(description="What of it the weighed loads contain.")]
    least: Annotated[ShareOut, Meta(description="The least on the trip.")]
    most: Annotated[ShareOut, Meta(description="The most.")]


class WorstLimitAnswer(LimitAnswer, frozen=True, kw_only=True):
    """One limit in its worst state."""

    state: StateField


class ExtremeAnswer(LoadAnswer, frozen=True, kw_only=True):
    """The highest or lowest load, with the largest doubt of any state."""

    state: StateField


class LoadSpanAnswer(Struct, frozen=True, kw_only=True):
    """Between what a load lies."""

    name: Annotated[NameOut, Meta(description="Wheel end, or a trailer's coupling.")]
    highest: Annotated[ExtremeAnswer, Meta(description="The most it carries in any state.")]
    lowest: Annotated[ExtremeAnswer, Meta(description="The least.")]


class CoveringInflationAnswer(InflationAnswer, frozen=True, kw_only=True):
    """What the tires of one axle need for all states; where there is no pressure, no one serves the state told."""

    state: StateField


class FindEnvelopeAnswer(RoomAnswer, frozen=True, kw_only=True):
    """The worst that the trip can bring, limit by limit."""

    summary: Annotated[SummaryAnswer, Meta(description="The whole in a line, every limit in its worst state.")]
    limits: Annotated[list[WorstLimitAnswer], Meta(max_length=10_000, description="Every limit in its worst state.")]
    wheel_ends: Annotated[list[LoadSpanAnswer], Meta(max_length=68, description="Every wheel end, and every coupling.")]
    inflation: Annotated[list[CoveringInflationAnswer], Meta(max_length=32, description="Every axle.")]
    varies: Annotated[list[VaryingAnswer], Meta(max_length=MOST_VARYING, description="What was reckoned with.")]
    assumptions: Annotated[
        list[AssumptionAnswer], Meta(max_length=96, description="What equilibrium does not settle, and what was taken.")
    ]
    basis: Annotated[list[WordsOut], Meta(max_length=16, description="What the worst of all states rests on.")]


def find_envelope_answer(request: FindEnvelopeRequest) -> FindEnvelopeAnswer:
    """Return the worst that a trip can bring, in the request's units; raises as `computed_with`."""
    request, weighed = computed_with(request, envelope_faults)
    rig, estimates = weighed.assessment.rig, weighed.assessment.estimates
    statics, count = rig_statics(rig, estimates), len(estimates.columns.names)
    tanks = _tanks(request, rig)
    others = _others(request.varies, rig)
    links = [[core_tank(name, rig)[1].name for name in link.tanks] for link in request.links]
    envelope = trip_envelope(tanks, others, links, statics, count)
    trip = worst_of_trip(weighed.assessment, weighed_doubts(tanks, statics, count), envelope)
    told = _Told(frozenset(each.tank.name for each in tanks))
    boarding = [
        Move(each.what, each.mass_kg, each.u_kg, None, each.spot) for each in others if not each.aboard_when_weighed
    ]
    full = place_findings(rig, boarding, declared_masses(request.session, request.rig))
    findings = worst_first([*_findings(weighed, trip, told), *full])
    worst = structs.replace(
        weighed.assessment,
        limits=tuple(each.check for each in trip.limits),
        pressures=tuple(each.pressure for each in trip.pressures),
        findings=findings,
    )
    answer = FindEnvelopeAnswer(
        units=weighed.units,
        policy=weighed.policy,
        summary=summary_answer(worst, findings),
        limits=[
            WorstLimitAnswer(**structs.asdict(limit), state=told.state(case.state))
            for limit, case in zip(limit_answers(worst), trip.limits, strict=True)
        ],
        wheel_ends=_span_answers(trip, worst, told),
        inflation=[
            CoveringInflationAnswer(**structs.asdict(pressure), state=told.state(covering.state))
            for pressure, covering in zip(inflation_answers(worst), trip.pressures, strict=True)
        ],
        varies=_varying_answers(tanks, others, envelope),
        assumptions=assumption_answers(statics),
        findings=finding_answers(findings, weighed.units),
        basis=list(BASIS),
        cautions=weighed.cautions(PREDICTED, DEFERENCE, COLD, NOT_JUDGED),
        computed_by=weighed.by(worst),
    )
    return in_units(answer, weighed.units)


def _tanks(request: FindEnvelopeRequest, rig: Rig) -> list[VaryingTank]:
    temperature_k = request.varies.fluid_temperature
    temperature_k = USUAL_FLUID_K if temperature_k is None else temperature_k
    declared = weighed_levels(request.session, request.rig)
    return [_tank(given, rig, declared, temperature_k) for given in request.varies.tanks]


def _tank(given: VaryingTankInput, rig: Rig, declared: Mapping[str, float], temperature_k: float) -> VaryingTank:
    vehicle, tank = core_tank(given.name, rig)
    weighed = declared[tank.name] if given.weighed_level is None else given.weighed_level
    u = level_doubt(weighed) if given.standard_uncertainty is None else given.standard_uncertainty
    start = start_level(given, declared.get(tank.name))
    assert start is not None, "the request has no faults"
    return VaryingTank(vehicle, tank, Stated(weighed, u), given.least, given.most, start, temperature_k)


def _others(varies: VariesInput, rig: Rig) -> list[MayBeAboard]:
    named = [(f"{kind} {n}", each) for kind in ("people", "cargo") for n, each in enumerate(getattr(varies, kind), 1)]
    return [
        MayBeAboard(
            name if each.what is None else f"{each.what} ({name})",
            each.mass,
            each.standard_uncertainty,
            core_spot(each.place, rig),
            each.aboard_when_weighed,
        )
        for name, each in named
    ]


class _Told(Struct, frozen=True):
    """States on the wire and in words; of which names are tanks'."""

    tanks: frozenset[str]

    def state(self, state: State) -> list[StateAnswer]:
        """Return a state on the wire."""
        return [
            StateAnswer(
                name=name,
                level=level if name in self.tanks else None,
                aboard=None if name in self.tanks else level > 0.0,
            )
            for name, level in state.items()
        ]

    def words(self, state: State) -> str:
        """Return a state as people read it."""
        parts = [
            f"{name} at {100 * level:.0f} %" if name in self.tanks else f"{name} {'' if level > 0.0 else 'not '}aboard"
            for name, level in state.items()
        ]
        more = [] if len(parts) <= MOST_SPOKEN else [f"{len(parts) - MOST_SPOKEN} more as `state` tells"]
        return ", ".join([*parts[:MOST_SPOKEN], *more]) or "whatever varies"


def _findings(weighed: Computed, trip: Trip, told: _Told) -> Iterator[Finding]:
    """Yield what holds in every state, as at the weigh, then what the worst states give to know."""
    kept = [finding for finding in weighed.findings if finding.code not in OF_ONE_STATE]
    yield from kept
    for finding, state in trip_findings(weighed.assessment, trip):
        if finding not in kept:
            yield structs.replace(finding, facts={**finding.facts, "state": told.words(state)})


def _span_answers(trip: Trip, worst: Assessment, told: _Told) -> list[LoadSpanAnswer]:
    def extreme(name: str, known: Extreme | UnknownBecause) -> ExtremeAnswer:
        load, state = (known, {}) if isinstance(known, UnknownBecause) else (known.load, known.state)
        return ExtremeAnswer(**structs.asdict(load_answer(name, load, worst)), state=told.state(state))

    return [
        LoadSpanAnswer(
            name=name,
            highest=extreme(name, span if isinstance(span, UnknownBecause) else span.highest),
            lowest=extreme(name, span if isinstance(span, UnknownBecause) else span.lowest),
        )
        for name, span in trip.spans.items()
    ]


def _varying_answers(tanks: list[VaryingTank], others: list[MayBeAboard], envelope: Envelope) -> list[VaryingAnswer]:
    masses = [*(each.whole_kg for each in tanks), *(each.whole_kg for each in others)]
    return [
        VaryingAnswer(
            name=variable.name,
            mass=mass.value,
            standard_uncertainty=mass.u,
            weighed=variable.weighed,
            least=variable.least,
            most=variable.most,
        )
        for variable, mass in zip(envelope.variables, masses, strict=True)
    ]
