"""What may vary on a trip, as variables of an envelope: tank levels, and who or what may or may not be aboard.

Where a fluid may be light or heavy, the whole range of its density is part of the doubt: at k = 2 a rectangular range
(JCGM 100:2008, 4.3.7) is covered beyond its ends, whichever of them is the worse.
"""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from axlewright.core.loads.aboard import MASS_DOUBT_SHARE, Spot, mass_change
from axlewright.core.loads.changes import LoadChange, added
from axlewright.core.loads.envelope import Envelope, Link, Variable
from axlewright.core.loads.fluids import contents
from axlewright.core.loads.statics import Statics
from axlewright.core.rig import Place, Stated, Tank


class VaryingTank(Struct, frozen=True):
    """A tank of a vehicle with its level at the weigh and its doubt, and the levels between which it may be.

    ``start`` is its level when the trip begins: linked tanks never hold more together than then.
    """

    vehicle: str
    tank: Tank
    weighed: Stated
    least: float
    most: float
    start: float
    temperature_k: float

    @property
    def whole_kg(self) -> Stated:
        """What it holds when full, with its doubt [kg]."""
        full = contents(self.tank, 1.0, 0.0, self.temperature_k)
        return Stated(full.mass_kg, full.u_kg)

    def variable(self, statics: Mapping[str, Statics]) -> Variable:
        """Return it as a variable, by what the full tank does to the loads."""
        full = self.whole_kg
        place = Place(self.tank.name, self.tank.aft_m, self.tank.right_m)
        whole = mass_change(self.tank.name, full.value, full.u, place, statics[self.vehicle])
        return Variable(self.tank.name, whole, self.weighed.value, self.least, self.most)

    def weighed_doubt(self, statics: Mapping[str, Statics]) -> LoadChange:
        """Return what the doubt of its level at the weigh does to every state, though it changes no load."""
        u_kg = self.whole_kg.value * self.weighed.u
        what = f"{self.tank.name} as weighed"
        return statics[self.vehicle].change(what, 0.0, self.tank.aft_m, self.tank.right_m, (u_kg, 0.0, 0.0), what)


class MayBeAboard(Struct, frozen=True):
    """A mass [kg] with its doubt (None where nobody stated it) that may or may not be aboard, at one place."""

    what: str
    mass_kg: float
    u_kg: float | None
    spot: Spot
    aboard_when_weighed: bool

    @property
    def whole_kg(self) -> Stated:
        """Its mass, with its doubt as it is reckoned with [kg]."""
        return Stated(self.mass_kg, MASS_DOUBT_SHARE * self.mass_kg if self.u_kg is None else self.u_kg)

    def variable(self, statics: Mapping[str, Statics]) -> Variable:
        """Return it as a variable."""
        whole = mass_change(self.what, self.mass_kg, self.u_kg, self.spot.place, statics[self.spot.vehicle])
        return Variable(self.what, whole, float(self.aboard_when_weighed))


def trip_envelope(
    tanks: Sequence[VaryingTank],
    others: Sequence[MayBeAboard],
    links: Sequence[Sequence[str]],
    statics: Mapping[str, Statics],
    count: int,
) -> Envelope:
    """Return all states of a trip.

    Parameters
    ----------
    links
        Names of tanks that pass on what they hold; none is in two.
    count
        How many loads there are.
    """
    by_name = {each.tank.name: each for each in tanks}
    linked = []
    for names in links:
        wholes = {name: by_name[name].tank.capacity_m3 for name in names}
        linked.append(Link(wholes, sum(whole * by_name[name].start for name, whole in wholes.items())))
    variables = [*(each.variable(statics) for each in tanks), *(each.variable(statics) for each in others)]
    return Envelope(tuple(variables), count, tuple(linked))


def weighed_doubts(tanks: Sequence[VaryingTank], statics: Mapping[str, Statics], count: int) -> LoadChange:
    """Return what the doubts of the tanks' levels at the weigh do to every state."""
    return added((each.weighed_doubt(statics) for each in tanks), count)
