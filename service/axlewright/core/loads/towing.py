"""What hitching a trailer does to the loads, without levelling bars and with them.

Sources: equilibrium of forces and moments (statics). A weight-distributing hitch puts a moment between the two
vehicles: it turns the towing vehicle's nose down and loads the trailer's axles. With the wheelbase L, the overhang e of
the ball behind the rear axle, the ball's distance D before the trailer's axles and the tongue weight T, on two axles:
front axle -T e/L without bars, (M - T' e)/L with them, T' = T - M/D.

Limits, and the tongue's share, are judged on the tongue weight without bars; the share of the front axle's load that
the bars give back by default is common practice (makers ask for 50 to 100 %).
"""

from enum import StrEnum
from math import hypot
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.estimates import Columns, Estimate, LoadEstimates
from axlewright.core.loads.aboard import PLACE_DOUBT_M
from axlewright.core.loads.changes import LoadChange, changed_estimates
from axlewright.core.loads.statics import vehicle_statics
from axlewright.core.rig import Coupling, CouplingKind, Hitch, Rig, Vehicle
from axlewright.core.units import STANDARD_GRAVITY_M_PER_S2

Matrix = NDArray[np.float64]

RESTORED_SHARE: Final = 0.5
"""Share of the front axle's lost load that levelling gives back; common practice, as one maker's guide asks for."""


class NoLevelling(StrEnum):
    """Why there is no levelling moment to tell."""

    NOT_ON_A_BALL = "not_on_a_ball"
    COUPLING_NOT_WEIGHED = "coupling_not_weighed"
    FRONT_AXLE_LOSES_NOTHING = "front_axle_loses_nothing"


class Levelling(Struct, frozen=True):
    """The bars' moment for a share of the front axle's load, and what it does.

    Attributes
    ----------
    moment_n_m
        Moment between the vehicles [N m].
    moment_u_n_m
        Its standard uncertainty [N m], from what the coupling carries, the ball's place and what statics assumed; None
        where nobody stated the first.
    lost_kg, given_back_kg
        What hitching takes off the front axle, and what the bars give back to it [kg].
    to_trailer_kg
        What the bars put on the trailer's axles [kg].
    """

    moment_n_m: float
    moment_u_n_m: float | None
    lost_kg: float
    given_back_kg: float
    to_trailer_kg: float


class Pair(Struct, frozen=True):
    """A towing vehicle, what it tows, and how; ``hitch`` is None for a tow bar, which passes no weight."""

    tow: Vehicle
    towed: Vehicle
    kind: CouplingKind
    hitch: Hitch | None


class Hitching(Struct, frozen=True):
    """What 1 kg on a coupling does to all loads (m), and what a levelling moment of 1 kg m does.

    ``effects`` hold both for one standard uncertainty of each assumption and of the ball's place, by name.
    """

    per_kg: Matrix
    per_moment: Matrix
    effects: dict[str, tuple[Matrix, Matrix]]


def pair_of(rig: Rig, coupling: Coupling) -> Pair:
    """Return the two vehicles of a coupling."""
    by_name = {vehicle.name: vehicle for vehicle in rig.vehicles}
    tow, towed = by_name[coupling.tow], by_name[coupling.towed]
    return Pair(tow, towed, coupling.kind, None if coupling.kind is CouplingKind.TOWBAR else tow.hitch)


def hitching(pair: Pair, hitch: Hitch, estimates: LoadEstimates) -> Hitching:
    """Return what the coupling of a pair passes on to the towing vehicle, and its bars to both; raises as statics.

    The bars turn the towing vehicle's nose down, load the trailer's axles, and so relieve the coupling.
    """
    columns = estimates.columns
    tow, towed = (vehicle_statics(each, columns, estimates) for each in (pair.tow, pair.towed))
    coupling = columns.of[pair.towed.coupling][0]
    ball = np.array([1.0, hitch.aft_m, 0.0])
    per_kg, relieved = tow.per_mass @ ball, towed.per_mass[coupling, 1]
    moved_ball = PLACE_DOUBT_M * tow.per_mass[:, 1]
    effects = {"ball: aft": (moved_ball, moved_ball * relieved)}
    for name in sorted(tow.effects.keys() | towed.effects.keys()):
        nothing = np.zeros_like(tow.per_mass)
        of_tow, of_towed = tow.effects.get(name, nothing), towed.effects.get(name, nothing)
        own = of_tow @ ball
        effects[name] = (own, of_towed[:, 1] - of_tow[:, 1] + own * relieved + per_kg * of_towed[coupling, 1])
    return Hitching(per_kg, towed.per_mass[:, 1] - tow.per_mass[:, 1] + per_kg * relieved, effects)


def moment_per_kg(pair: Pair, own: Hitching, columns: Columns, restored_share: float) -> float | None:
    """Return the moment [kg m] for each kg on the coupling that gives so much back to the front axle.

    None where hitching takes nothing off it.
    """
    front = columns.row(pair.tow.axles[0].sum_of)
    lost, regained = -float(front @ own.per_kg), float(front @ own.per_moment)
    if lost <= 0.0 or regained <= 0.0:
        return None
    return restored_share * lost / regained


def _moment_doubt(pair: Pair, own: Hitching, columns: Columns, restored_share: float) -> float:
    """Return the standard uncertainty of that moment [kg m], from the ball's place and what statics assumed."""
    front = columns.row(pair.tow.axles[0].sum_of)
    lost, regained = -float(front @ own.per_kg), float(front @ own.per_moment)
    slopes = [
        -float(front @ per_kg) / regained - lost * float(front @ per_moment) / regained**2
        for per_kg, per_moment in own.effects.values()
    ]
    return restored_share * hypot(*slopes)


def coupled_estimates(pair: Pair, own: Hitching, estimates: LoadEstimates, moment_m: float) -> LoadEstimates:
    """Return the loads of a hitched pair.

    Parameters
    ----------
    estimates
        The towing vehicle by itself; the trailer level on its coupling, which carries its tongue or pin weight.
    moment_m
        Moment of the bars [kg m] for each kg on the coupling; 0 without bars.

    Notes
    -----
    The moment is taken as exact: bars are set by weighing, not by a figure.
    """
    columns = estimates.columns
    coupling = columns.of[pair.towed.coupling][0]
    passed_on = np.eye(len(columns.names))
    passed_on[:, coupling] += own.per_kg + moment_m * own.per_moment
    weight = estimates.known({pair.towed.coupling: 1.0})
    on_coupling_kg = weight.value if isinstance(weight, Estimate) else 0.0
    effects = {
        name: on_coupling_kg * (per_kg + moment_m * per_moment) for name, (per_kg, per_moment) in own.effects.items()
    }
    return changed_estimates(estimates, LoadChange(np.zeros(len(columns.names)), effects), passed_on)


def levelling(pair: Pair, own: Hitching, estimates: LoadEstimates, restored_share: float) -> Levelling | NoLevelling:
    """Return the bars' moment that gives a share of the front axle's lost load back, and what it does.

    What the coupling carries is known.
    """
    if pair.kind is not CouplingKind.BALL:
        return NoLevelling.NOT_ON_A_BALL
    moment_m = moment_per_kg(pair, own, estimates.columns, restored_share)
    if moment_m is None:
        return NoLevelling.FRONT_AXLE_LOSES_NOTHING
    front = estimates.columns.row(pair.tow.axles[0].sum_of)
    trailer = estimates.columns.row(pair.towed.sum_of)
    weight = estimates.known({pair.towed.coupling: 1.0})
    assert isinstance(weight, Estimate), "what the coupling carries is known"
    moment_u = None
    if weight.u is not None:
        moment_u = hypot(
            moment_m * weight.u, weight.value * _moment_doubt(pair, own, estimates.columns, restored_share)
        )
    return Levelling(
        moment_n_m=STANDARD_GRAVITY_M_PER_S2 * moment_m * weight.value,
        moment_u_n_m=None if moment_u is None else STANDARD_GRAVITY_M_PER_S2 * moment_u,
        lost_kg=-float(front @ own.per_kg) * weight.value,
        given_back_kg=moment_m * float(front @ own.per_moment) * weight.value,
        to_trailer_kg=moment_m * float(trailer @ own.per_moment) * weight.value,
    )
