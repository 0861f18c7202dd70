"""How much more may go where before the first limit, and what has to come off where something is over."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import erfc, sqrt
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct, structs

from axlewright.contract.aboard import AssumptionAnswer, assumption_answers
from axlewright.contract.computation import computed_with
from axlewright.contract.findings import finding_answers
from axlewright.contract.headroom_faults import headroom_faults
from axlewright.contract.headroom_request import MOST_PLACES, MOST_POINTS, MOST_REMOVABLE, FindHeadroomRequest
from axlewright.contract.loads import LimitAnswer, limit_answers
from axlewright.contract.output import MassOut, NameOut, ProbabilityOut, UnknownOut, WordsOut
from axlewright.contract.removable import Offered, aboard_by_place, asked_spots, offered, unplaced_cargo
from axlewright.contract.rooms import RoomAnswer
from axlewright.contract.units import Units, in_units, unit_of
from axlewright.contract.words import BASES, DEFERENCE, NOT_JUDGED, ONE_ROOM, STATE_OF_LOAD, UNKNOWN
from axlewright.core.assessment import worst_first
from axlewright.core.findings import Fact, Finding, Severity, mass
from axlewright.core.loads.aboard import Spot
from axlewright.core.loads.headroom import GROUND_CONTACT, Headroom, HeldLimits, headroom, held_limits
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.relief import Relief, relief
from axlewright.core.loads.statics import rig_statics
from axlewright.core.rig import Place
from axlewright.core.units import rounded_up

PLACE_CAPACITY: Final = "place_capacity"
BASIS = (
    "Equilibrium of forces and moments: what a mass adds to each load follows from its place",
    "Every limit is kept while its load plus k u lies within it, u with the doubt of the place (JCGM 100:2008, 5.1.2)",
    "Confidence: one side of a normal distribution, at k standard uncertainties",
    "A mass to be added or taken off counts as it really weighs: weigh it",
    "What comes off is the least in all, but for a tenth of a pound or kilogram, in few pieces",
    "Nothing comes off for what a tire carries at its present pressure: air mends that",
)
WEIGH_AGAIN = (
    "Headroom and relief are predicted from loads and places, not measured: weigh again once the rig is loaded, or "
    "lightened, before you rely on them."
)
ALONE = "Each headroom holds for that place by itself: what goes to one place is missing from the others."
UNBOUNDED = "No limit that is known is reached by a mass there."
NOTHING_OFFERED = "Nothing was told that may come off: send `removable`, or declare cargo and tank levels as `carried`."
NOT_ALL_JUDGED = "No limit that can be judged is broken, but not all can be judged."


class LimitNameAnswer(Struct, frozen=True, kw_only=True):
    """Which limit."""

    subject: Annotated[WordsOut, Meta(description="What it limits: as in `limits`, or a place.")]
    kind: Annotated[
        NameOut,
        Meta(
            description="As in `limits`; `ground_contact`, where a wheel end would lift; `place_capacity`. "
            "New kinds may come."
        ),
    ]
    bound: Annotated[Literal["most", "least"], Meta(description="Whether it is a most or a least.")]


class LimitedByAnswer(LimitNameAnswer, frozen=True, kw_only=True):
    """The limit that allows no more."""

    broken: Annotated[bool, Meta(description="It is not surely kept already, before anything is added.")]
    basis: Annotated[WordsOut, Meta(description="What the limit rests on.")]


class HeadroomAnswer(Struct, frozen=True, kw_only=True):
    """What may still go to one place."""

    place: Annotated[NameOut, Meta(description="The place, or `point` with its number in the list.")]
    vehicle: Annotated[NameOut, Meta(description="Of which vehicle.")]
    most: Annotated[
        MassOut | None, Meta(description="The most that may be added there, as it really weighs; rounded down.")
    ]
    at_least: Annotated[
        MassOut,
        Meta(description="The least that has to be added there to mend a limit that is broken now; 0 where none is."),
    ]
    limited_by: Annotated[
        LimitedByAnswer | None, Meta(description="The first limit that a mass there reaches; null where none is known.")
    ]
    already_broken: Annotated[
        list[LimitNameAnswer],
        Meta(max_length=10_000, description="Not surely kept now, and not mended by any mass there; worst first."),
    ]
    by_known_limits: Annotated[
        MassOut | None,
        Meta(description="What the limits that can be judged allow: where `most` is null, it is not more than this."),
    ]
    unjudged: Annotated[
        list[LimitNameAnswer],
        Meta(max_length=10_000, description="Limits that a mass there may break and that cannot be judged."),
    ]
    capacity: Annotated[MassOut | None, Meta(description="Of the place; null where it has none.")]
    aboard: Annotated[
        MassOut | None,
        Meta(
            description="What the session declares to be there; null where it declares nothing: the place counts whole."
        ),
    ]
    unknown_because: UnknownOut


class RemovalAnswer(Struct, frozen=True, kw_only=True):
    """What comes off one thing."""

    name: Annotated[NameOut, Meta(description="As you call it, or as the session declares it.")]
    place: Annotated[NameOut | None, Meta(description="The place or tank where it is; null at a point.")]
    mass: Annotated[MassOut, Meta(description="How much comes off, rounded up.")]


class UnmetAnswer(LimitNameAnswer, frozen=True, kw_only=True):
    """A limit that stays broken whatever may come off."""

    excess: Annotated[
        MassOut, Meta(description="By how much its load, plus k u, stays beyond it; of a share the load that it means.")
    ]


class ReliefAnswer(Struct, frozen=True, kw_only=True):
    """What has to come off so that every limit that can be judged is kept."""

    needed: Annotated[bool | None, Meta(description="Some limit is not surely kept; null where that is not known.")]
    total: Annotated[MassOut | None, Meta(description="The mass that comes off in all, the least that does.")]
    items: Annotated[
        list[RemovalAnswer],
        Meta(max_length=MOST_REMOVABLE, description="What comes off; where not all can be kept, what comes nearest."),
    ]
    feasible: Annotated[bool | None, Meta(description="Every limit that can be judged is kept then.")]
    cannot_meet: Annotated[
        list[UnmetAnswer], Meta(max_length=10_000, description="Limits that stay broken, none by more than now.")
    ]
    unjudged: Annotated[
        list[LimitNameAnswer],
        Meta(max_length=10_000, description="Limits that do not count here: none can judge them."),
    ]
    unknown_because: UnknownOut


class FindHeadroomAnswer(RoomAnswer, frozen=True, kw_only=True):
    """What may still go where, and what has to come off."""

    headroom: Annotated[
        list[HeadroomAnswer], Meta(max_length=MOST_PLACES + MOST_POINTS, description="Places, then points.")
    ]
    confidence: Annotated[
        ProbabilityOut | None,
        Meta(
            description="Probability at which each limit is kept after `most`, by the coverage factor; null where part "
            "of the doubt was not stated, or a cross-check failed."
        ),
    ]
    relief: Annotated[ReliefAnswer, Meta(description="What has to come off.")]
    limits: Annotated[list[LimitAnswer], Meta(max_length=10_000, description="Every limit as it stands now.")]
    assumptions: Annotated[
        list[AssumptionAnswer], Meta(max_length=96, description="What equilibrium does not settle, and what was taken.")
    ]
    basis: Annotated[list[WordsOut], Meta(max_length=16, description="What headroom and relief rest on.")]


def find_headroom_answer(request: FindHeadroomRequest) -> FindHeadroomAnswer:
    """Return what may still go where, and what has to come off, in the request's units; raises as `computed_with`."""
    request, now = computed_with(request, headroom_faults)
    assessment, k = now.assessment, now.assessment.policy.coverage_factor
    rig, statics = assessment.rig, rig_statics(assessment.rig, assessment.estimates)
    held = held_limits(rig, assessment.limits, assessment.estimates)
    aboard = aboard_by_place(request)
    spots = asked_spots(request, rig)
    rooms = [
        headroom(spot.place, statics[spot.vehicle], held, k, (aboard or {}).get(spot.place.name, 0.0)) for spot in spots
    ]
    things, lasting = offered(request, rig, statics), _without_air(held)
    off = relief([each.item for each in things], lasting, k)
    findings = [
        *(finding for finding in now.findings if finding.code != "declared_not_judged"),
        *_findings(rooms, off, lasting, is_declared=aboard is not None),
        *(
            Finding("cargo_place_unknown", Severity.NOTICE, name, {})
            for name in (unplaced_cargo(request, rig) if request.removable is None else ())
        ),
    ]
    answer = FindHeadroomAnswer(
        units=now.units,
        policy=now.policy,
        headroom=[_headroom_answer(*each, aboard, now.units) for each in zip(spots, rooms, strict=True)],
        confidence=_confidence(held, k),
        relief=_relief_answer(off, things, lasting, now.units),
        limits=limit_answers(assessment),
        assumptions=assumption_answers(statics),
        findings=finding_answers(worst_first(findings), now.units, "loads"),
        basis=list(BASIS),
        cautions=now.cautions(WEIGH_AGAIN, ALONE, ONE_ROOM, DEFERENCE, STATE_OF_LOAD, NOT_JUDGED),
        computed_by=now.by(),
    )
    return in_units(answer, now.units)


def _without_air(held: HeldLimits) -> HeldLimits:
    """Return what has to be kept once every tire holds the pressure that its load needs."""
    return structs.replace(
        held,
        rows=tuple(row for row in held.rows if row.check.kind is not LimitKind.TIRE_AT_PRESSURE),
        unjudged=tuple(each for each in held.unjudged if each[0].kind is not LimitKind.TIRE_AT_PRESSURE),
    )


def _confidence(held: HeldLimits, coverage_factor: float) -> float | None:
    if any(row.present.u is None or row.present.provisional for row in held.rows):
        return None
    return erfc(-coverage_factor / sqrt(2)) / 2


def _findings(rooms: Sequence[Headroom], off: Relief, lasting: HeldLimits, *, is_declared: bool) -> Iterator[Finding]:
    short_of_air = [room.limited_by for room in rooms if isinstance(room.limited_by, LimitCheck)]
    for subject in dict.fromkeys(c.subject for c in short_of_air if c.kind is LimitKind.TIRE_AT_PRESSURE):
        yield Finding("air_limits_headroom", Severity.NOTICE, subject, {})
    for room in rooms:
        if room.at_least_kg > 0.0:
            span = {"least": mass(room.at_least_kg), "most": mass(room.by_known_kg or 0.0)}
            yield Finding("mended_by_adding", Severity.NOTICE, room.place.name, span)
        if isinstance(room.limited_by, Place) and not is_declared:
            yield Finding("capacity_counts_whole", Severity.NOTICE, room.place.name, {})
    if off.removals:
        for each in off.unmet:
            facts: dict[str, Fact] = {"kind": each.check.kind, "excess": mass(each.excess_kg)}
            yield Finding("relief_not_enough", Severity.WARNING, each.check.subject, facts)
    if off.needed and lasting.unjudged:
        yield Finding("relief_of_known_limits", Severity.NOTICE, "relief", {"count": len(lasting.unjudged)})


def _headroom_answer(spot: Spot, room: Headroom, aboard: Mapping[str, float] | None, units: Units) -> HeadroomAnswer:
    unknown = UNBOUNDED if room.most_kg is None else None
    if room.unknown_because is not None:
        unknown = UNKNOWN[room.unknown_because]
    is_place = spot.place.capacity_kg is not None
    return HeadroomAnswer(
        place=spot.place.name,
        vehicle=spot.vehicle,
        most=_rounded_down(room.most_kg, units),
        at_least=-(_rounded_down(-room.at_least_kg, units) or 0.0),
        limited_by=_limited_by_answer(room),
        already_broken=_names(room.broken),
        by_known_limits=_rounded_down(room.by_known_kg, units),
        unjudged=_names(room.unjudged),
        capacity=spot.place.capacity_kg,
        aboard=None if aboard is None or not is_place else aboard.get(spot.place.name, 0.0),
        unknown_because=unknown,
    )


def _limited_by_answer(room: Headroom) -> LimitedByAnswer | None:
    check = room.limited_by
    if check is None:
        return None
    if isinstance(check, Place):
        basis = BASES[PLACE_CAPACITY]
        return LimitedByAnswer(subject=check.name, kind=PLACE_CAPACITY, bound="most", broken=False, basis=basis)
    [named] = _names([check])
    return LimitedByAnswer(**structs.asdict(named), broken=check in room.broken, basis=BASES[check.basis])


def _names(checks: Iterable[LimitCheck]) -> list[LimitNameAnswer]:
    return [
        LimitNameAnswer(
            subject=check.subject,
            kind=GROUND_CONTACT if check.basis == GROUND_CONTACT else check.kind.value,
            bound=check.bound.value,
        )
        for check in checks
    ]


def _relief_answer(off: Relief, things: Sequence[Offered], held: HeldLimits, units: Units) -> ReliefAnswer:
    unjudged = _names(check for check, _ in held.unjudged)
    needed = True if off.needed else None if unjudged else False
    if not off.needed or not things:
        return ReliefAnswer(
            needed=needed,
            total=0.0 if needed is False else None,
            items=[],
            feasible=True if needed is False else None,
            cannot_meet=[],
            unjudged=unjudged,
            unknown_because=None if needed is False else NOTHING_OFFERED if needed else NOT_ALL_JUDGED,
        )
    masses = {each.name: -(_rounded_down(-each.mass_kg, units) or 0.0) for each in off.removals}
    return ReliefAnswer(
        needed=True,
        total=sum(masses.values()),
        items=[
            RemovalAnswer(name=each.item.name, place=each.where, mass=masses[each.item.name])
            for each in things
            if each.item.name in masses
        ],
        feasible=not off.unmet,
        cannot_meet=[
            UnmetAnswer(**structs.asdict(name), excess=each.excess_kg)
            for name, each in zip(_names(each.check for each in off.unmet), off.unmet, strict=True)
        ],
        unjudged=unjudged,
        unknown_because=None,
    )


def _rounded_down(mass_kg: float | None, units: Units) -> float | None:
    """Return a mass [kg] that is no more than the one given, and stays itself when printed."""
    unit = unit_of(units, "mass")
    if mass_kg is None or unit is None:
        return mass_kg
    return unit.to_si(-rounded_up(-unit.from_si(mass_kg), 10.0**-unit.decimals))
