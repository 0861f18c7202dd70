"""What may vary on a trip, as variables of an envelope: tank levels, and who or what may or may not be aboard.

Linked tanks have as much to pass on as they held at the start. Where one held more at the weigh than was told, every
state has gained so much less there, and a state to which it flows so much more elsewhere: that is one error.

Where a fluid may be light or heavy, the whole range of its density is part of the doubt: at k = 2 a rectangular range
(JCGM 100:2008, 4.3.7) is covered beyond its ends, whichever of them is the worse.
"""

from collections.abc import Mapping, Sequence
from math import hypot

from msgspec import Struct

from axlewright.core.loads.aboard import MASS_DOUBT_SHARE, Spot, content_change, full_errors_kg, mass_change
from axlewright.core.loads.changes import LoadChange, added
from axlewright.core.loads.envelope import Envelope, Link, Variable
from axlewright.core.loads.fluids import contents, level_doubt
from axlewright.core.loads.statics import Statics
from axlewright.core.rig import Stated, Tank


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
        full_kg = contents(self.tank, 1.0, 0.0, self.temperature_k).mass_kg
        return Stated(full_kg, hypot(*full_errors_kg(self.tank, self.temperature_k).values()))

    def variable(self, statics: Mapping[str, Statics]) -> Variable:
        """Return it as a variable, by what the full tank does to the loads."""
        errors_kg = full_errors_kg(self.tank, self.temperature_k)
        whole = content_change(self.tank, self.whole_kg.value, errors_kg, statics[self.vehicle])
        return Variable(self.tank.name, whole, self.weighed.value, self.least, self.most)

    def weighed_doubt(self, statics: Mapping[str, Statics]) -> LoadChange:
        """Return what the doubt of its level at the weigh does to every state, though it changes no load."""
        more_kg = self.whole_kg.value * self.weighed.u
        return content_change(self.tank, 0.0, {self._weighed_error: -more_kg}, statics[self.vehicle])

    @property
    def start_m3(self) -> float:
        """What it holds when the trip begins [m3]."""
        return self.tank.capacity_m3 * self.start

    @property
    def start_doubts_m3(self) -> dict[str, float]:
        """What one standard uncertainty of each error adds to it [m3]; a level that was not weighed has its own."""
        is_as_weighed = self.start == self.weighed.value
        name = self._weighed_error if is_as_weighed else f"{self.tank.name} at the start"
        level_u = self.weighed.u if is_as_weighed else level_doubt(self.start)
        capacity_u = contents(self.tank, 1.0, 0.0, self.temperature_k).capacity_u_kg / self.whole_kg.value
        return {name: self.tank.capacity_m3 * level_u, f"{self.tank.name}: capacity": capacity_u * self.start_m3}

    @property
    def _weighed_error(self) -> str:
        return f"{self.tank.name} as weighed"


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
        own = [by_name[name] for name in names]
        wholes = {each.tank.name: each.tank.capacity_m3 for each in own}
        doubts = {error: u_m3 for each in own for error, u_m3 in each.start_doubts_m3.items()}
        linked.append(Link(wholes, sum(each.start_m3 for each in own), doubts))
    variables = [*(each.variable(statics) for each in tanks), *(each.variable(statics) for each in others)]
    return Envelope(tuple(variables), count, tuple(linked))


def weighed_doubts(tanks: Sequence[VaryingTank], statics: Mapping[str, Statics], count: int) -> LoadChange:
    """Return what the doubts of the tanks' levels at the weigh do to every state."""
    return added((each.weighed_doubt(statics) for each in tanks), count)
