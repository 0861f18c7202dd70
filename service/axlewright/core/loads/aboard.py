"""What comes aboard, leaves or moves, as changes of the loads; the doubts of what was told are judgement."""

from collections.abc import Mapping
from math import hypot, sqrt
from typing import Final

import numpy as np
from msgspec import Struct

from axlewright.core.loads.changes import LoadChange, added, scaled
from axlewright.core.loads.fluids import contents
from axlewright.core.loads.statics import Statics
from axlewright.core.rig import Place, Stated, Tank
from axlewright.core.units import INCH_M

MASS_DOUBT_SHARE: Final = 0.05
"""Standard uncertainty of a mass whose doubt nobody stated, as a share of it; judgement."""
PLACE_DOUBT_M: Final = INCH_M
"""Standard uncertainty [m] of a length told; judgement."""


def mass_change(what: str, mass_kg: float, u_kg: float | None, place: Place, statics: Statics) -> LoadChange:
    """Return what a mass at a place does to the loads.

    Parameters
    ----------
    what
        Name of the mass; its errors are its own.
    mass_kg
        Negative where it leaves.
    u_kg
        Its standard uncertainty [kg]; None where nobody stated it.
    place
        Where: anywhere within its length and width, alike (rectangular: JCGM 100:2008, 4.3.7).
    """
    mass_u = MASS_DOUBT_SHARE * abs(mass_kg) if u_kg is None else u_kg
    aft_u, right_u = (hypot(PLACE_DOUBT_M, extent_m / sqrt(12)) for extent_m in (place.length_m, place.width_m))
    return statics.change(what, mass_kg, place.aft_m, place.right_m, (mass_u, aft_u, right_u), place.name)


def content_change(tank: Tank, mass_kg: float, errors_kg: Mapping[str, float], statics: Statics) -> LoadChange:
    """Return what a mass in a tank does to the loads.

    Parameters
    ----------
    mass_kg
        Negative where it flows out.
    errors_kg
        What one standard uncertainty of each independent error adds to it [kg], by the error's name.
    """
    change = mass_change(tank.name, mass_kg, 0.0, Place(tank.name, tank.aft_m, tank.right_m), statics)
    per_kg = statics.per_mass @ np.array([1.0, tank.aft_m, tank.right_m])
    return LoadChange(change.loads, change.effects | {name: u_kg * per_kg for name, u_kg in errors_kg.items() if u_kg})


def full_errors_kg(tank: Tank, temperature_k: float) -> dict[str, float]:
    """Return the errors of what a full tank holds [kg]: of its fluid's density, one for all tanks; of its capacity."""
    full = contents(tank, 1.0, 0.0, temperature_k)
    return {f"density {tank.fluid}": full.u_kg, f"{tank.name}: capacity": full.capacity_u_kg}


class Spot(Struct, frozen=True):
    """A place in one vehicle of a rig."""

    vehicle: str
    place: Place


class Move(Struct, frozen=True):
    """A mass [kg] with its doubt (None where nobody stated it) that comes, leaves or goes elsewhere.

    It comes aboard where ``comes_from`` is None, and leaves where ``goes_to`` is None.
    """

    what: str
    mass_kg: float
    u_kg: float | None
    comes_from: Spot | None
    goes_to: Spot | None

    @property
    def mass_u_kg(self) -> float:
        """Its standard uncertainty as it is reckoned with [kg]."""
        return MASS_DOUBT_SHARE * self.mass_kg if self.u_kg is None else self.u_kg

    def change(self, statics: Mapping[str, Statics]) -> LoadChange:
        """Return what it does to the loads: its mass has one error, its places one each."""
        parts = []
        for spot, factor in ((self.comes_from, -1.0), (self.goes_to, 1.0)):
            if spot is not None:
                own = mass_change(self.what, self.mass_kg, self.u_kg, spot.place, statics[spot.vehicle])
                parts.append(scaled(own, factor))
        return added(parts, len(parts[0].loads))


class LevelChange(Struct, frozen=True):
    """A tank of a vehicle that held one share of its capacity at the weigh and will hold another, with their doubts."""

    vehicle: str
    tank: Tank
    weighed: Stated
    level: Stated
    temperature_k: float

    @property
    def mass_kg(self) -> Stated:
        """What comes in, negative what goes out, with its doubt [kg]."""
        full_kg = contents(self.tank, 1.0, 0.0, self.temperature_k).mass_kg
        return Stated(full_kg * (self.level.value - self.weighed.value), hypot(*self._errors_kg().values()))

    def change(self, statics: Mapping[str, Statics]) -> LoadChange:
        """Return what it does to the loads: the error of a density is one for all tanks of the fluid."""
        return content_change(self.tank, self.mass_kg.value, self._errors_kg(), statics[self.vehicle])

    def _errors_kg(self) -> dict[str, float]:
        full_kg = contents(self.tank, 1.0, 0.0, self.temperature_k).mass_kg
        difference = self.level.value - self.weighed.value
        errors_kg = {name: u_kg * difference for name, u_kg in full_errors_kg(self.tank, self.temperature_k).items()}
        levels = {f"{self.tank.name}: level": self.level.u, f"{self.tank.name} as weighed": self.weighed.u}
        return errors_kg | {name: full_kg * u for name, u in levels.items()}
