"""Invented places to weigh, and what is asked of them."""

from msgspec import structs

from axlewright.core.rig import Coupling, CouplingKind, CouplingState, Hitch, Rig, VehicleKind
from axlewright.core.scales import ACCURACY_CLASSES
from axlewright.core.sessions.plan_question import PlanQuestion, Wanted, expected_by_rating, targets_of
from axlewright.core.sessions.planning import Schedule, SessionPlan, session_plan
from axlewright.core.sessions.schedule import Goal
from axlewright.core.sessions.site import Rails, Site, SitePlatform
from axlewright.core.sessions.standing import Lateral
from tests.yard import INCH, LB, axle, named, vehicle

HIGHWAY = (3.6, 12.0, 15.0)
"""Three platforms [m], the last two long."""


def never() -> float:
    """Return the time of a clock that stands still: no search ends for want of time."""
    return 0.0


def site(
    lengths_m: tuple[float, ...] = HIGHWAY,
    *,
    gap_m: float = 0.1,
    rails: Rails = Rails.NONE,
    before_m: float = 30.0,
    after_m: float = 30.0,
    width_m: float = 3.3,
    one_way: bool = False,
    whole_axles_only: bool = False,
    pads: int = 0,
) -> Site:
    """Return a site of class III L that prints 20 lb, and costs 14.50 and 4 for each further pass."""
    platforms = tuple(
        SitePlatform(name, length_m, width_m, 20 * LB) for name, length_m in zip("ABCDEFGH", lengths_m, strict=False)
    )
    return Site(
        platforms,
        (gap_m,) * max(len(platforms) - 1, 0),
        rails,
        before_m,
        after_m,
        14.5,
        4.0,
        ACCURACY_CLASSES["III L"],
        whole_axles_only=whole_axles_only,
        one_way=one_way,
        pads=pads,
        pad_division_kg=10 * LB,
    )


def question(
    rig: Rig, place: Site, *wanted: Wanted, state: CouplingState = CouplingState.SOLO, only: str | None = None
) -> PlanQuestion:
    vehicles = [only] if only else [each.name for each in rig.vehicles]
    return PlanQuestion(rig, place, targets_of(rig, wanted, vehicles, state), expected_by_rating(rig))


def planned(rig: Rig, place: Site, *wanted: Wanted, state: CouplingState = CouplingState.SOLO) -> SessionPlan:
    return session_plan(question(rig, place, *wanted, state=state), 2.0, never)


def schedule(plan: SessionPlan, goal: Goal) -> Schedule:
    found = plan.schedules[goal]
    assert found is not None
    return found


def travel_rig() -> Rig:
    """Return a pickup, 140 in from axle to axle, and a trailer with a tandem 180 and 214 in behind the ball."""
    tow = structs.replace(
        vehicle(
            named("truck", axle("front", gawr_lb=5_000, track_in=68)),
            named("truck", axle("rear", gawr_lb=7_000, aft_in=140, track_in=68)),
            gvwr_lb=11_000,
            kind=VehicleKind.TOW_VEHICLE,
            name="truck",
        ),
        hitch=Hitch(190 * INCH, 0.5, ()),
    )
    towed = structs.replace(
        vehicle(
            named("trailer", axle("one", gawr_lb=5_000, aft_in=180)),
            named("trailer", axle("two", gawr_lb=5_000, aft_in=214)),
            gvwr_lb=9_000,
            kind=VehicleKind.TRAVEL_TRAILER,
            name="trailer",
        ),
        coupling="trailer.coupling",
    )
    return Rig("travel", (tow, towed), (Coupling("truck", "trailer", CouplingKind.BALL),))


def counts(plan: SessionPlan) -> tuple[int, int]:
    """Return the numbers of passes to know, and to know and check; each is proven."""
    found = [schedule(plan, goal) for goal in (Goal.KNOWN, Goal.CHECKABLE)]
    assert all(each.proven for each in found)
    return len(found[0].passes), len(found[1].passes)


def weighed(found: Schedule) -> list[tuple[Lateral, dict[str, set[str]]]]:
    """Return what every pass weighs on each platform, without coupling states."""
    return [
        (way.lateral, {platform.name: {each.partition("/")[2] for each in wheels} for platform, wheels in way.rows})
        for way in found.passes
    ]
