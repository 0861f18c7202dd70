"""Shift plans on the wire: what to move where, what that does to every load and limit, and what it cannot mend."""

from collections.abc import Iterable, Iterator, Sequence
from time import monotonic
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct, structs

from axlewright.contract.aboard import AssumptionAnswer, assumption_answers
from axlewright.contract.balance import BalanceAnswer, balance_answers
from axlewright.contract.computation import computed_with
from axlewright.contract.findings import finding_answers
from axlewright.contract.forecast import LoadChangeAnswer, load_change_answers
from axlewright.contract.headroom import PLACE_CAPACITY, LimitNameAnswer
from axlewright.contract.loads import (
    limit_answers,
    rig_loads,
    summary_answer,
)
from axlewright.contract.output import MassOut, MassUpOut, NameOut, NumberOut, ShareOut, WordsOut
from axlewright.contract.quantities import MOST_TIME_S
from axlewright.contract.rooms import CheckLoadsAnswer
from axlewright.contract.shift_faults import core_cargo, shift_faults
from axlewright.contract.shift_request import MOST_ITEMS, PlanShiftRequest
from axlewright.contract.units import Units, in_units, spoken, unit_of
from axlewright.contract.words import DEFERENCE, LIMIT_WORDS, NOT_JUDGED, PREDICTED
from axlewright.core.assessment import Assessment, worst_first
from axlewright.core.balance.shift import ShiftPlan, shift_plan
from axlewright.core.balance.shift_problem import Cargo
from axlewright.core.balance.shift_sides import Sides, sides_of
from axlewright.core.estimates import Estimate
from axlewright.core.findings import Fact, Finding, Severity, mass, share
from axlewright.core.loads.aboard import Move, Spot
from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.forecast import forecast
from axlewright.core.loads.headroom import GROUND_CONTACT, HeldLimits, held_limits
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.relief import Removable, relief
from axlewright.core.loads.standings import Bound
from axlewright.core.loads.statics import NO_EFFECT, Statics, rig_statics

BASIS: Final = (
    "Equilibrium of forces and moments: what a move does to each load follows from both places and the mass",
    "Goals in order: groups as they belong, limits, side differences, the least mass moved, few moves (judgement)",
    "Every limit is kept while its load plus k u lies within it, u with the doubt of what is moved (JCGM 100:2008)",
    "Nothing is moved for what a tire carries at its present pressure: air mends that",
    "What is kept now stays kept; a share that is too small already gets no smaller",
    "A side difference beyond what common practice looks at is brought back to that, as estimated",
    "Each move counts as a gram; totals within a gram are the same (judgement)",
    "Mixed-integer program with tangents of the limits, solved by branch and bound until proven, or for the time given",
)
WHOLE: Final = (
    "What you did not list is taken to stay, and does not count against the capacity of a place. Where time ran out, "
    "another run may find another plan."
)


class ShiftMoveAnswer(Struct, frozen=True, kw_only=True):
    """One thing to move."""

    item: Annotated[NameOut, Meta(description="As you call it.")]
    comes_from: Annotated[NameOut, Meta(description="The place where it is.")]
    goes_to: Annotated[NameOut, Meta(description="The place where it goes.")]
    mass: Annotated[MassOut, Meta(description="How heavy it is.")]
    words: Annotated[WordsOut, Meta(description="The move in words.")]


class PlanAnswer(Struct, frozen=True, kw_only=True):
    """What to move, and how far it is proven that no plan is better."""

    moves: Annotated[list[ShiftMoveAnswer], Meta(max_length=MOST_ITEMS, description="Empty where nothing helps.")]
    mass_moved: Annotated[MassOut, Meta(description="Of all moves.")]
    proven: Annotated[bool, Meta(description="No plan is better, goal after goal.")]
    gap: Annotated[
        ShareOut,
        Meta(description="What may be missing at the goal where time ran out, as a share of what is left there."),
    ]
    stopped_at: Annotated[
        NameOut | None,
        Meta(description="The goal where time ran out: `pairs`, `limits`, `sides` or `effort`; new ones may come."),
    ]
    time_limit: Annotated[NumberOut, Meta(description="Seconds that the search was given.")]


class ShiftedLoadAnswer(LoadChangeAnswer, frozen=True, kw_only=True):
    """What the plan does to one wheel end, or to a trailer's coupling."""

    before: Annotated[MassOut | None, Meta(description="As weighed or known; null where it is not known.")]
    after: Annotated[MassOut | None, Meta(description="As predicted.")]


class StillBrokenAnswer(LimitNameAnswer, frozen=True, kw_only=True):
    """A limit that the plan does not mend."""

    excess: Annotated[
        MassOut, Meta(description="By how much its load, plus k u, stays beyond it; of a share the load that it means.")
    ]


class ComesOffItemAnswer(Struct, frozen=True, kw_only=True):
    """How much comes off one item."""

    item: Annotated[NameOut, Meta(description="As you call it.")]
    mass: Annotated[MassUpOut, Meta(description="How much of it, rounded up.")]


class MustComeOffAnswer(Struct, frozen=True, kw_only=True):
    """What has to come off the rig after the plan, the least mass of the items that does."""

    items: Annotated[list[ComesOffItemAnswer], Meta(max_length=MOST_ITEMS, description="What comes off.")]
    total: Annotated[MassUpOut, Meta(description="In all, rounded up.")]
    enough: Annotated[bool, Meta(description="Every limit on loads that can be judged is kept then.")]


class PlanShiftAnswer(CheckLoadsAnswer, frozen=True, kw_only=True):
    """A shift plan, and the loads that are to be expected after it."""

    plan: Annotated[PlanAnswer, Meta(description="What to move.")]
    load_changes: Annotated[
        list[ShiftedLoadAnswer], Meta(max_length=68, description="Every wheel end and coupling, before and after.")
    ]
    balance: Annotated[list[BalanceAnswer], Meta(max_length=4, description="Every vehicle, after the plan.")]
    cannot_meet: Annotated[
        list[StillBrokenAnswer],
        Meta(max_length=10_000, description="Limits that no plan found keeps, by the nearest plan."),
    ]
    in_the_way: Annotated[
        Annotated[list[LimitNameAnswer], Meta(max_length=10_000)] | None,
        Meta(
            description="Limits that a plan which mends more would break; null where nothing is left, or time ran out."
        ),
    ]
    not_as_they_belong: Annotated[
        list[Annotated[list[NameOut], Meta(max_length=2)]],
        Meta(
            max_length=4096, description="Pairs of items that the plan leaves apart, or together, against your groups."
        ),
    ]
    not_judged: Annotated[
        list[LimitNameAnswer],
        Meta(
            max_length=10_000,
            description="Limits that the plan touches and that cannot be judged: none counts as kept.",
        ),
    ]
    must_come_off: Annotated[
        MustComeOffAnswer | None,
        Meta(description="Where the plan leaves a load too high: what has to come off then; null where it does not."),
    ]
    assumptions: Annotated[
        list[AssumptionAnswer], Meta(max_length=96, description="What equilibrium does not settle, and what was taken.")
    ]
    basis: Annotated[list[WordsOut], Meta(max_length=16, description="What the plan rests on.")]


def plan_shift_answer(request: PlanShiftRequest, most_time_s: float = MOST_TIME_S) -> PlanShiftAnswer:
    """Return a shift plan within a time [s], in the request's units; raises as `computed_with`."""
    request, now = computed_with(request, shift_faults)
    weighed = now.assessment
    rig, estimates, k = weighed.rig, weighed.estimates, weighed.policy.coverage_factor
    statics = rig_statics(rig, estimates)
    held = _held(weighed)
    cargo = core_cargo(request, rig)
    sides = sides_of(cargo, rig, estimates, statics, k) if request.even_sides else Sides.none(len(cargo.options))
    time_s = min(request.time_limit, most_time_s)
    plan = shift_plan(cargo, held, sides, statics, k, time_s, monotonic)
    expected = forecast(weighed, plan.change)
    findings = worst_first([*expected.findings, *_findings(plan, sides, held)])
    answer = PlanShiftAnswer(
        units=now.units,
        policy=now.policy,
        summary=summary_answer(expected, findings),
        **rig_loads(expected),
        limits=limit_answers(expected),
        plan=_plan_answer(plan, time_s, now.units),
        load_changes=_load_answers(weighed, expected, plan.change),
        balance=balance_answers(expected),
        cannot_meet=[StillBrokenAnswer(**structs.asdict(_name(u.of)), excess=u.excess_kg) for u in plan.unmet],
        in_the_way=None if plan.in_the_way is None else [_name(each) for each in plan.in_the_way],
        not_as_they_belong=[list(pair) for pair in plan.disregarded],
        not_judged=[_name(check) for check in _touched(plan.change, held)],
        must_come_off=_must_come_off(plan, cargo, expected, statics),
        assumptions=assumption_answers(statics),
        findings=finding_answers(findings, now.units),
        basis=list(BASIS),
        cautions=now.cautions(PREDICTED, WHOLE, DEFERENCE, NOT_JUDGED),
        computed_by=now.by(expected),
    )
    return in_units(answer, now.units)


def _held(state: Assessment) -> HeldLimits:
    """Return what has to be kept once every tire holds the pressure that its load needs."""
    lasting = [check for check in state.limits if check.kind is not LimitKind.TIRE_AT_PRESSURE]
    return held_limits(state.rig, lasting, state.estimates)


def _plan_answer(plan: ShiftPlan, time_s: float, units: Units) -> PlanAnswer:
    return PlanAnswer(
        moves=[_move_answer(move, units) for move in plan.moves],
        mass_moved=plan.mass_moved_kg,
        proven=plan.proven,
        gap=plan.gap,
        stopped_at=None if plan.stopped_at is None else plan.stopped_at.value,
        time_limit=time_s,
    )


def _move_answer(move: Move, units: Units) -> ShiftMoveAnswer:
    assert move.comes_from is not None
    assert move.goes_to is not None
    unit = unit_of(units, "mass")
    assert unit is not None, "a rig has masses"
    here, there = move.comes_from.place.name, move.goes_to.place.name
    words = f"Move {move.what} ({spoken(move.mass_kg, unit)}) from {here} to {there}."
    return ShiftMoveAnswer(item=move.what, comes_from=here, goes_to=there, mass=move.mass_kg, words=words)


def _load_answers(weighed: Assessment, expected: Assessment, change: LoadChange) -> list[ShiftedLoadAnswer]:
    def load_kg(state: Assessment, name: str) -> float | None:
        load = state.estimates.known({name: 1.0})
        return load.value if isinstance(load, Estimate) else None

    return [
        ShiftedLoadAnswer(
            **structs.asdict(each), before=load_kg(weighed, each.name), after=load_kg(expected, each.name)
        )
        for each in load_change_answers(weighed.rig, weighed.estimates, change)
    ]


def _name(limit: LimitCheck | Spot) -> LimitNameAnswer:
    if isinstance(limit, Spot):
        return LimitNameAnswer(subject=limit.place.name, kind=PLACE_CAPACITY, bound="most")
    kind = GROUND_CONTACT if limit.basis == GROUND_CONTACT else limit.kind.value
    bound: Literal["most", "least"] = "most" if limit.bound is Bound.MOST else "least"
    return LimitNameAnswer(subject=limit.subject, kind=kind, bound=bound)


def _touched(change: LoadChange, held: HeldLimits) -> list[LimitCheck]:
    """Return the limits that cannot be judged and that a change does something to."""
    return [check for check, row in held.unjudged if abs(change.value(row)) + change.u(row) > NO_EFFECT]


def _must_come_off(
    plan: ShiftPlan, cargo: Cargo, expected: Assessment, statics: dict[str, Statics]
) -> MustComeOffAnswer | None:
    if not any(isinstance(each.of, LimitCheck) and each.of.bound is Bound.MOST for each in plan.unmet):
        return None
    spots = [cargo.bays[bay] for bay in plan.bays]
    items = [
        Removable(item.name, spot.place, statics[spot.vehicle], item.mass_kg)
        for item, spot in zip(cargo.items, spots, strict=True)
    ]
    off = relief(items, _held(expected), expected.policy.coverage_factor)
    return MustComeOffAnswer(
        items=[ComesOffItemAnswer(item=each.name, mass=each.mass_kg) for each in off.removals],
        total=off.total_kg,
        enough=not off.unmet,
    )


def _findings(plan: ShiftPlan, sides: Sides, held: HeldLimits) -> Iterator[Finding]:
    ways = _in_words(plan.in_the_way or ())
    for each in plan.unmet:
        facts: dict[str, Fact] = {"kind": _kind(each.of), "excess": mass(each.excess_kg)}
        if ways:
            yield Finding("shift_blocked", Severity.WARNING, _name(each.of).subject, {**facts, "limits": ways})
        else:
            yield Finding("shift_not_enough", Severity.WARNING, _name(each.of).subject, facts)
    for first, second in plan.disregarded:
        yield Finding("shift_group_not_kept", Severity.NOTICE, first, {"other": second})
    if plan.stopped_at is not None:
        yield Finding(
            "shift_not_proven", Severity.NOTICE, "plan", {"goal": plan.stopped_at.value, "gap": share(plan.gap)}
        )
    if plan.beyond_kg > 0.0:
        yield Finding("shift_sides_left", Severity.NOTICE, "plan", {"beyond": mass(plan.beyond_kg)})
    for name in sides.unjudged:
        yield Finding("shift_side_unknown", Severity.NOTICE, name, {})
    touched = _touched(plan.change, held)
    if touched:
        yield Finding("shift_touches_unjudged", Severity.NOTICE, "plan", {"limits": _in_words(touched)})


def _kind(limit: LimitCheck | Spot) -> str:
    if isinstance(limit, Spot):
        return "capacity of the place"
    return "stays on the ground" if limit.basis == GROUND_CONTACT else LIMIT_WORDS[limit.kind]


MOST_NAMED: Final = 6


def _in_words(limits: Sequence[LimitCheck | Spot] | Iterable[LimitCheck]) -> str:
    """Return the first few of some limits in words."""
    named = list(dict.fromkeys(f"{_name(each).subject} ({_kind(each)}, {_name(each).bound})" for each in limits))
    return ", ".join(named[:MOST_NAMED]) + (f" and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else "")
