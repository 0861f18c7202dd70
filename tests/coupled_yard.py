"""An invented van and camper whose coupling states are worked by hand, in the units of the trade.

Hand: wheelbase 160 in, ball 240 in behind the front axle (80 in behind the rear), camper's axle 200 in behind the ball.
Tongue weight 800 lb without bars: front 800 x -80/160 = -400 lb, rear 800 x 240/160 = +1,200 lb. Bars of 32,000 lb in:
camper's axle 32,000/200 = +160 lb, so the ball carries 640 lb: front -640 x 80/160 + 32,000/160 = -120 lb, rear
640 x 240/160 - 32,000/160 = +760 lb. Share of the front axle given back: (400 - 120)/400 = 0.7.
"""

from collections.abc import Mapping

from msgspec import structs

from axlewright.core.rig import Coupling, CouplingKind, CouplingState, Hitch, Rig, VehicleKind
from axlewright.core.sessions.coupling import CoupledWeigh, coupled_weigh
from axlewright.core.sessions.passes import Reading, WeighSession
from axlewright.core.sessions.reconcile import Reconciliation, reconcile
from tests.yard import INCH, axle, named, reading, session, tires, vehicle

SOLO, HITCHED, LEVELLED = CouplingState

STRONG = tires("LT245/75R16 E", single_lb=3042.0, dual_lb=None, max_psi=80.0)
FRONT = ("van.front.left", "van.front.right")
REAR = ("van.rear.left", "van.rear.right")
CAMPER = ("camper.axle.left", "camper.axle.right")
WHEELS = {"front": FRONT, "rear": REAR, "camper": CAMPER, "van": (*FRONT, *REAR)}

TRUE_LB: dict[CouplingState, dict[str, float]] = {
    SOLO: {"front": 3400.0, "rear": 3200.0, "camper": 5800.0},
    HITCHED: {"front": 3000.0, "rear": 4400.0, "camper": 5800.0},
    LEVELLED: {"front": 3280.0, "rear": 3960.0, "camper": 5960.0},
}
"""By hand, as above."""


def coupled_rig(
    kind: CouplingKind = CouplingKind.BALL,
    *,
    wheelbase_in: float = 160.0,
    hitch_in: float = 240.0,
    camper_in: float = 200.0,
) -> Rig:
    """Return a van on two axles that tows a camper on one."""
    van = vehicle(
        named("van", axle("front", gawr_lb=4500, fitted=STRONG, track_in=66)),
        named("van", axle("rear", gawr_lb=6000, fitted=STRONG, track_in=66, aft_in=wheelbase_in)),
        gvwr_lb=9_000,
        kind=VehicleKind.TOW_VEHICLE,
        name="van",
    )
    camper = vehicle(
        named("camper", axle("axle", gawr_lb=7000, fitted=STRONG, track_in=80, aft_in=camper_in)),
        gvwr_lb=8_000,
        kind=VehicleKind.FIFTH_WHEEL if kind is CouplingKind.FIFTH_WHEEL else VehicleKind.TRAVEL_TRAILER,
        name="camper",
    )
    return Rig(
        "invented",
        (
            structs.replace(van, hitch=Hitch(hitch_in * INCH, 18 * INCH, ())),
            structs.replace(camper, coupling="camper.coupling"),
        ),
        (Coupling("van", "camper", kind),),
    )


def read(
    state: CouplingState, values_lb: Mapping[str, float], pass_name: str | None = None, platforms: str = "ABC"
) -> list[Reading]:
    """Return the readings of one pass, by what stood on each platform; the van's axles and the whole van share one."""
    places = {"front": 0, "van": 0, "rear": 1, "camper": 2}
    return [
        structs.replace(reading(pass_name or str(state), platforms[places[what]], value_lb, *WHEELS[what]), state=state)
        for what, value_lb in values_lb.items()
    ]


def true_readings(*, without: frozenset[tuple[CouplingState, str]] = frozenset()) -> list[Reading]:
    """Return the exact readings of the triple weigh, the camper by itself left out, and more where told so."""
    return [
        each
        for state, values_lb in TRUE_LB.items()
        for what, value_lb in values_lb.items()
        if (state, what) != (SOLO, "camper") and (state, what) not in without
        for each in read(state, {what: value_lb})
    ]


def weighed(rig: Rig, weigh: WeighSession) -> tuple[Reconciliation, CoupledWeigh]:
    """Return the reconciled readings with what they tell of the coupling."""
    reconciliation = reconcile(rig, weigh)
    return reconciliation, coupled_weigh(rig, weigh, reconciliation.estimates)


def told(readings: list[Reading], rig: Rig | None = None) -> CoupledWeigh:
    """Return what some readings tell of the coupling of the van and its camper, or of another rig."""
    return weighed(rig or coupled_rig(), session(*readings))[1]
