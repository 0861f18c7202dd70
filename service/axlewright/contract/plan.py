"""Plans of passes on the wire: the cheapest schedules, pass by pass, what they will tell, and what nothing can."""

from collections.abc import Iterator
from time import monotonic
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from axlewright.contract.computation import CORE, QuestionAnswer
from axlewright.contract.faults import refuse_contradictions
from axlewright.contract.output import (
    CountOut,
    LengthOut,
    MassOut,
    MeaningAnswer,
    NameOut,
    NumberOut,
    UnknownOut,
    WordsOut,
    meaning,
)
from axlewright.contract.plan_faults import core_site, plan_faults
from axlewright.contract.plan_request import PlanSessionRequest
from axlewright.contract.plan_words import (
    KINDS,
    REASONS,
    SETTLE_S,
    driver_text,
    hanging_side,
    instead_of,
    pass_name,
    read_names,
    scale_house_text,
)
from axlewright.contract.quantities import MOST_TIME_S
from axlewright.contract.rig import core_rig
from axlewright.contract.units import Units, chosen_units, in_si, in_units, spoken, unit_of
from axlewright.contract.words import DEFERENCE, LEGAL_FOR_TRADE
from axlewright.core.rig import CouplingKind, CouplingState, Rig
from axlewright.core.scales import ToleranceSteps
from axlewright.core.sessions.plan_question import PlanQuestion, Wanted, expected_by_rating, targets_of
from axlewright.core.sessions.plan_reach import Impossible
from axlewright.core.sessions.planning import PlannedLoad, Schedule, SessionPlan, session_plan
from axlewright.core.sessions.schedule import Goal
from axlewright.core.sessions.site import Site
from axlewright.core.sessions.standing import SIDES_ON, Standing, aside_m

MOST_PASSES: Final = 256
MOST_LOADS: Final = 128

BASIS: Final = (
    "Fewest passes cost least: all smaller numbers of passes were tried before a schedule is called proven",
    "Checkable: a slip in any one reading on which a wanted load rests would show (Baarda's denominator above 0)",
    "Moments between coupling states, which a reconciliation tests too, are not counted as a check",
    "Of schedules with the same number of passes that with the smallest largest doubt, among those compared",
    "Doubt as a reconciliation would give it for the loads expected, with the judgements that `policy` has by default",
    "Judgement: a tire touches the ground for 0.30 m and keeps 0.05 m from every edge",
    "Judgement: a single tire is 0.30 m wide, a dual 0.70 m; likely loads by default are 0.85 of ratings",
    "Common practice: 15 to 30 s until the figures stand",
    "Tongue weight: the towing vehicle's axles hitched without bars, less the same by itself; moments do not count",
    "Passes are chosen as if loads in different coupling states were unrelated: what ties them checks more when sent",
    "Judgement: what pulls a trailer takes 6 m ahead of its coupling, and 0.2 m behind a ball, 0.6 m behind a pin",
    "Judgement: a side hangs off only with 0.10 m of room across the way; all platforms lie about one middle line",
)
PADS_LEVEL: Final = (
    "Pads go under whole axles, never crosswise or under three wheels of four; unless every wheel end of a vehicle is "
    "weighed in the same pass, what a pad reads counts as raised (judgement: 2 % of it), boards under the others or not"
)
DEAR: Final = (
    "A further pass costs more than a first one: each is priced as a weigh of its own, which is cheaper; ask for it so"
)
BESIDE: Final = (
    "Wheels beside a platform must stand level with it and as firmly: ask whoever runs the scale, look before you "
    "drive, and leave the side out where there is a step."
)
NOT_THE_NOSE: Final = (
    "The rig is known by its axles only: whether its nose, tail, boxes or mirrors clear posts and rails shows on the "
    "spot."
)
WITH_BARS: Final = (
    "Loads with levelling bars are not in this plan. If the rig travels with bars, ask for `wanted.state` "
    "`hitched_levelled` too: the hitched passes driven once more with the bars tensioned, sent as `hitched_levelled`."
)
UNPRICED: Final = "`site.prices` was not given."


class StandAnswer(Struct, frozen=True, kw_only=True):
    """Where one axle stands in a pass."""

    axle: Annotated[NameOut, Meta(description="Which axle.")]
    platform: Annotated[NameOut | None, Meta(description="On which platform; null where it stands off the scale.")]
    weighed: Annotated[list[NameOut], Meta(max_length=2, description="Its wheel ends on the platform.")]
    clearance: Annotated[
        LengthOut, Meta(description="From where its tires touch to the nearer edge of the platform, or to the scale.")
    ]


class PlannedReadingAnswer(Struct, frozen=True, kw_only=True):
    """What one platform or pad weighs in a pass."""

    platform: Annotated[NameOut, Meta(description="A platform as in the request, or a pad by its number.")]
    wheel_ends: Annotated[list[NameOut], Meta(max_length=32, description="Every wheel end on it.")]
    expected: Annotated[MassOut, Meta(description="What it is likely to show.")]


class PlannedPassAnswer(Struct, frozen=True, kw_only=True):
    """One stop to make."""

    name: Annotated[NameOut, Meta(description="Its number and what it weighs; it may name the pass of a session.")]
    state: Annotated[Literal["solo", "hitched", "hitched_levelled"], Meta(description="How the rig is coupled.")]
    vehicles: Annotated[list[NameOut], Meta(max_length=4, description="What drives on.")]
    weighs: Annotated[NameOut, Meta(description="`centred`, `right_side`, `left_side` or `pads`; new ones may come.")]
    against_order: Annotated[bool, Meta(description="Driven over against the order listed.")]
    first_axle_past_edge: Annotated[
        LengthOut | None,
        Meta(description="From the edge that is met first to the first axle; negative short of it, null on pads."),
    ]
    stands: Annotated[list[StandAnswer], Meta(max_length=32, description="Every axle, front to back; none on pads.")]
    hanging_side: Annotated[
        Literal["left", "right"] | None, Meta(description="The side whose wheels stand beside the platforms.")
    ]
    readings: Annotated[list[PlannedReadingAnswer], Meta(max_length=16, description="What is read.")]
    least_aside: Annotated[
        LengthOut | None,
        Meta(
            description="From the middle of the platforms to that of the rig, towards the hanging side, at least; null "
            "where no side hangs."
        ),
    ]
    most_aside: Annotated[LengthOut | None, Meta(description="The same at most.")]
    least_settling: Annotated[NumberOut, Meta(description="Seconds to stand still at least.")]
    most_settling: Annotated[NumberOut, Meta(description="Seconds that are enough.")]
    driver: Annotated[WordsOut, Meta(description="For the driver.")]
    scale_house: Annotated[WordsOut | None, Meta(description="For who runs the scale; null on pads.")]


class PlannedLoadAnswer(Struct, frozen=True, kw_only=True):
    """What a schedule will tell of a wanted load."""

    name: Annotated[NameOut, Meta(description="A wheel end, an axle, or a trailer's coupling.")]
    kind: Annotated[NameOut, Meta(description="`wheel_end`, `axle` or `tongue_weight`; new ones may come.")]
    state: Annotated[Literal["solo", "hitched", "hitched_levelled"], Meta(description="For which coupling state.")]
    expected: Annotated[MassOut | None, Meta(description="What it is likely to be; of a tongue weight nothing tells.")]
    standard_uncertainty: Annotated[MassOut, Meta(description="That it will have.")]
    checked: Annotated[bool, Meta(description="A slip in any one reading on which it rests would show.")]


class ScheduleAnswer(Struct, frozen=True, kw_only=True):
    """Passes that reach a goal, in the order driven."""

    passes: Annotated[list[PlannedPassAnswer], Meta(max_length=MOST_PASSES, description="What to do.")]
    price: Annotated[NumberOut | None, Meta(description="Of all passes, in your currency.")]
    proven: Annotated[
        bool,
        Meta(
            description="No schedule with fewer passes, and so none that is cheaper, does it; moments between coupling "
            "states, which a reconciliation also tests, are not counted as a check. Where it is false the time ran out "
            "or counting could not prove it: the same request may then be answered otherwise when the service is busy."
        ),
    ]
    least_passes: Annotated[CountOut, Meta(description="So many are proven to be needed.")]
    least_price: Annotated[NumberOut | None, Meta(description="Of so many.")]
    loads: Annotated[list[PlannedLoadAnswer], Meta(max_length=MOST_LOADS, description="What will be known.")]
    unknown_because: UnknownOut


class CannotKnowAnswer(Struct, frozen=True, kw_only=True):
    """A wanted load that no schedule on this site gives."""

    name: Annotated[NameOut, Meta(description="A wheel end, an axle, or a trailer's coupling.")]
    kind: Annotated[NameOut, Meta(description="`wheel_end`, `axle` or `tongue_weight`; new ones may come.")]
    state: Annotated[Literal["solo", "hitched", "hitched_levelled"], Meta(description="For which coupling state.")]
    reasons: Annotated[list[MeaningAnswer], Meta(max_length=16, description="All that stands in the way together.")]
    instead: Annotated[list[WordsOut], Meta(max_length=8, description="What can be had.")]


class ExpectedLoadAnswer(Struct, frozen=True, kw_only=True):
    """The likely load of a wheel end with which the doubt was worked out."""

    wheel_end: Annotated[NameOut, Meta(description="Which one.")]
    load: Annotated[MassOut, Meta(description="About so much.")]
    assumed: Annotated[bool, Meta(description="Half of 0.85 of the axle's rating, as you did not tell it.")]


class PlanSessionAnswer(QuestionAnswer, frozen=True, kw_only=True):
    """The cheapest schedules of a weigh, and what no schedule gives."""

    checkable: Annotated[
        ScheduleAnswer | None,
        Meta(description="Makes all that can be known known; a slip in any reading that a load rests on would show."),
    ]
    known: Annotated[ScheduleAnswer | None, Meta(description="Makes it known, and a slip may go unseen.")]
    cannot_know: Annotated[
        list[CannotKnowAnswer], Meta(max_length=MOST_LOADS, description="Wanted loads that this site cannot give.")
    ]
    expected: Annotated[list[ExpectedLoadAnswer], Meta(max_length=64, description="Every wheel end of the rig.")]
    time_limit: Annotated[NumberOut, Meta(description="Seconds that the search was given.")]
    unknown_because: UnknownOut


def plan_session_answer(request: PlanSessionRequest, most_time_s: float = MOST_TIME_S) -> PlanSessionAnswer:
    """Return the cheapest schedules within a time [s], in the request's units.

    Raises
    ------
    CrossFieldFaults
        With everything that contradicts itself, numbers that are not plausible or have no unit.
    """
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    refuse_contradictions([*faults, *plan_faults(request)], as_sent)
    rig = core_rig(request.rig)
    told = {each.wheel_end: each.load for each in request.expected}
    wanted = [Wanted(each) for each in request.wanted.loads]
    vehicles = request.wanted.vehicles or [vehicle.name for vehicle in rig.vehicles]
    question = PlanQuestion(
        rig,
        core_site(request.site),
        targets_of(rig, wanted, vehicles, CouplingState(request.wanted.state)),
        expected_by_rating(rig) | told,
        request.wanted.towed_behind,
    )
    time_s = min(request.time_limit, most_time_s)
    plan = session_plan(question, time_s, monotonic)
    is_priced = request.site.prices is not None
    known = _schedule_answer(plan, Goal.KNOWN, question, units, is_priced)
    answer = PlanSessionAnswer(
        units=units,
        checkable=_schedule_answer(plan, Goal.CHECKABLE, question, units, is_priced),
        known=known,
        cannot_know=[_cannot_answer(each, question) for each in plan.impossible],
        expected=[
            ExpectedLoadAnswer(wheel_end=name, load=load_kg, assumed=name not in told)
            for name, load_kg in question.expected_kg.items()
        ],
        time_limit=time_s,
        unknown_because="Nothing that is wanted can be had here: `cannot_know` tells why." if known is None else None,
        basis=[
            *BASIS,
            *([PADS_LEVEL] if question.site.pads else []),
            *([DEAR] if question.site.further_price > question.site.first_price else []),
            *_caps(plan, question.site, units),
        ],
        cautions=[
            *([WITH_BARS] if _may_have_bars(question.rig) and request.wanted.state != "hitched_levelled" else []),
            *([BESIDE, NOT_THE_NOSE] if request.site.platforms else []),
            LEGAL_FOR_TRADE,
            DEFERENCE,
        ],
        computed_by=CORE,
    )
    return in_units(answer, units)


def _may_have_bars(rig: Rig) -> bool:
    return any(each.kind is CouplingKind.BALL for each in rig.couplings)


def _caps(plan: SessionPlan, site: Site, units: Units) -> Iterator[str]:
    """Yield how much a scale's class can show, if that keeps wheels apart that would stand together."""
    unit = unit_of(units, "mass")
    if not plan.capped or not isinstance(site.tolerance, ToleranceSteps) or unit is None:
        return
    most = site.tolerance.steps[-1][0]
    names = ", ".join(f"{each.name} {spoken(most * each.division_kg, unit)}" for each in plan.capped)
    yield (
        f"Class {site.tolerance.name} shows at most {most:,.0f} divisions ({names}): wheels that together are likely "
        "heavier are planned apart"
    )


def _schedule_answer(
    plan: SessionPlan, goal: Goal, question: PlanQuestion, units: Units, is_priced: bool
) -> ScheduleAnswer | None:
    schedule = plan.schedules[goal]
    if schedule is None:
        return None
    site = question.site
    return ScheduleAnswer(
        passes=[_pass_answer(schedule, place, question, units) for place in range(len(schedule.passes))],
        price=schedule.price if is_priced else None,
        proven=schedule.proven,
        least_passes=schedule.least,
        least_price=site.price(schedule.least) if is_priced else None,
        loads=[_load_answer(each) for each in schedule.loads],
        unknown_because=None if is_priced else UNPRICED,
    )


def _pass_answer(schedule: Schedule, place: int, question: PlanQuestion, units: Units) -> PlannedPassAnswer:
    way, number, count = schedule.passes[place], place + 1, len(schedule.passes)
    over_scale = [each.first_axle_m is not None for each in schedule.passes]
    side = hanging_side(way)
    aside = aside_m(way, question.site.against if way.against else question.site) or (None, None)
    return PlannedPassAnswer(
        name=pass_name(way, number),
        state=way.train.state.value,
        vehicles=list(way.train.vehicles),
        weighs=way.lateral.value,
        against_order=way.against,
        first_axle_past_edge=way.first_axle_m,
        stands=_stand_answers(way, question.site),
        hanging_side=None if side is None else side.value,
        readings=[
            PlannedReadingAnswer(platform=platform.name, wheel_ends=read_names(sorted(wheels)), expected=expected_kg)
            for (platform, wheels), expected_kg in zip(way.rows, schedule.expected_kg[place], strict=True)
        ],
        least_aside=aside[0],
        most_aside=aside[1],
        least_settling=SETTLE_S[0],
        most_settling=SETTLE_S[1],
        driver=driver_text(way, number, count, question, units),
        scale_house=scale_house_text(way, sum(over_scale[:number]), sum(over_scale), len(question.site.platforms)),
    )


def _stand_answers(way: Standing, site: Site) -> list[StandAnswer]:
    met = site.against if way.against else site
    return [
        StandAnswer(
            axle=axle.name,
            platform=met.platforms[spot.place].name if spot.place >= 0 else None,
            weighed=[f"{axle.name}.{side}" for side in SIDES_ON[way.lateral]] if spot.place >= 0 else [],
            clearance=spot.clearance_m,
        )
        for axle, spot in zip(way.train.axles, way.spots, strict=False)
    ]


def _load_answer(load: PlannedLoad) -> PlannedLoadAnswer:
    return PlannedLoadAnswer(
        name=load.target.name,
        kind=KINDS[load.target.kind],
        state=load.target.state.value,
        expected=None if load.target.kind is Wanted.TONGUE_WEIGHT else load.expected_kg,
        standard_uncertainty=load.u_kg,
        checked=load.checked,
    )


def _cannot_answer(each: Impossible, question: PlanQuestion) -> CannotKnowAnswer:
    (vehicle,) = (vehicle for vehicle in question.rig.vehicles if vehicle.name == each.target.vehicle)
    return CannotKnowAnswer(
        name=each.target.name,
        kind=KINDS[each.target.kind],
        state=each.target.state.value,
        reasons=[meaning(reason, REASONS) for reason in each.reasons],
        instead=instead_of(each, question.site.pads > 0, 2 * len(vehicle.axles)),
    )
