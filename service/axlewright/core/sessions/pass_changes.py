"""What was otherwise in some passes than in the state of load that is told: what it put into the readings.

Source: statics as in `axlewright.core.loads.statics`. A mass on a hitched trailer also loads the towing vehicle,
through the coupling; the levelling bars are taken to hold their moment.
"""

from collections import defaultdict

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from axlewright.core.estimates import Columns
from axlewright.core.loads.aboard import mass_change
from axlewright.core.loads.statics import Statics, vehicle_statics
from axlewright.core.rig import CouplingKind, CouplingState, Rig
from axlewright.core.sessions.passes import PassChange, WeighSession

Matrix = NDArray[np.float64]


class Correction(Struct, frozen=True):
    """What the changes put into the readings (n) [kg], and one standard uncertainty of each error in it, by name."""

    readings: Matrix
    effects: dict[str, Matrix]


def correction_of(rig: Rig, session: WeighSession, columns: Columns) -> Correction:
    """Return what the changes of a session put into its readings.

    Parameters
    ----------
    columns
        The unknowns (m), those of each vehicle by itself among them.

    Raises
    ------
    CoreError
        ``no_statics`` if a vehicle that changed cannot stand by itself.
    """
    correction = np.zeros(len(session.readings))
    effects: dict[str, Matrix] = defaultdict(lambda: np.zeros(len(session.readings)))
    statics = {
        vehicle.name: vehicle_statics(vehicle, columns)
        for vehicle in rig.vehicles
        if any(change.vehicle in _affected_by(rig, vehicle.name) for change in session.changes)
    }
    for change in session.changes:
        for row, reading in enumerate(session.readings):
            if reading.pass_name == change.pass_name:
                wheels = columns.row(dict.fromkeys(reading.wheels, 1.0))
                own, own_effects = _on_loads(rig, change, reading.state, statics, columns)
                correction[row] += wheels @ own
                for name, effect in own_effects.items():
                    effects[name][row] += wheels @ effect
    return Correction(correction, dict(effects))


def _affected_by(rig: Rig, vehicle: str) -> set[str]:
    """Return the vehicles whose masses may load a vehicle: itself, and what it tows."""
    return {vehicle, *(coupling.towed for coupling in rig.couplings if coupling.tow == vehicle)}


def _on_loads(
    rig: Rig, change: PassChange, state: CouplingState, statics: dict[str, Statics], columns: Columns
) -> tuple[Matrix, dict[str, Matrix]]:
    """Return what a change does to the loads (m) of its own vehicle, and hitched of the vehicle that tows it."""
    thing = f"{change.what}, {change.mass_kg!r} kg at {change.vehicle} {change.place.name}"
    own = mass_change(thing, change.mass_kg, change.u_kg, change.place, statics[change.vehicle])
    coupling = next((each for each in rig.couplings if each.towed == change.vehicle), None)
    if coupling is None or state is CouplingState.SOLO or coupling.kind is CouplingKind.TOWBAR:
        return own.loads, own.effects
    tow = next(vehicle for vehicle in rig.vehicles if vehicle.name == coupling.tow)
    towed = next(vehicle for vehicle in rig.vehicles if vehicle.name == coupling.towed)
    if tow.hitch is None or not towed.is_trailer:
        return own.loads, own.effects
    carried = columns.of[towed.coupling][0]
    per_kg = statics[tow.name].per_mass @ np.array([1.0, tow.hitch.aft_m, 0.0])
    on_hitch = {name: effect + per_kg * effect[carried] for name, effect in own.effects.items()}
    for name, effect in statics[tow.name].effects.items():
        passed_on = own.loads[carried] * (effect @ np.array([1.0, tow.hitch.aft_m, 0.0]))
        on_hitch[name] = on_hitch.get(name, 0.0) + passed_on
    return own.loads + per_kg * own.loads[carried], on_hitch
