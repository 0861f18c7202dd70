"""A weigh session: what stood on which platform in each pass, and what was read there."""

from collections import defaultdict
from collections.abc import Iterable
from enum import StrEnum

from msgspec import Struct

from axlewright.core.rig import CouplingKind, CouplingState, Place, Rig, Side
from axlewright.core.scales import Placement, Tolerance
from axlewright.core.sessions.record import SessionRecord


class PlatformKind(StrEnum):
    """A section level with its surroundings, or a pad that lifts the wheel that stands on it."""

    SECTION = "section"
    PAD = "pad"


class Platform(Struct, frozen=True, gc=False):
    """One independently read section of a scale, or one pad, with its division [kg].

    Where a session is made of several weighs, ``tolerance`` is that of its scale, and ``one_with`` the name that the
    same platform has in the first of them: what is common to its readings is common to all.
    """

    name: str
    division_kg: float
    kind: PlatformKind = PlatformKind.SECTION
    tolerance: Tolerance | None = None
    one_with: str = ""

    @property
    def errors_of(self) -> str:
        """The name under which its errors are known."""
        return self.one_with or self.name


class Reading(Struct, frozen=True, gc=False):
    """The number [kg] that a platform showed in a pass, for the wheels that stood on it in a coupling state.

    ``wheels`` names wheel ends, or single tires of a dual; ``scale`` the scale, where a session is made of weighs on
    several.
    """

    pass_name: str
    platform: Platform
    value_kg: float
    wheels: frozenset[str]
    state: CouplingState = CouplingState.SOLO
    scale: str = ""


class PassChange(Struct, frozen=True):
    """A mass [kg] that came before a pass (negative: that left), with its doubt (None where nobody stated it).

    The same ``what`` of the same mass at the same place is one thing, in whichever passes it is named.
    """

    pass_name: str
    what: str
    mass_kg: float
    u_kg: float | None
    vehicle: str
    place: Place


class WeighSession(Struct, frozen=True):
    """The readings of one weigh, pass by pass, with the tolerance of the scale and the session's judgements.

    Attributes
    ----------
    changes
        What was otherwise in some passes than in the state of load for which the loads are told.
    significance
        Probability that an independent part without a slip fails its global test.
    record
        What the tickets carry besides readings.
    """

    readings: tuple[Reading, ...]
    tolerance: Tolerance
    placement: Placement = Placement()
    significance: float = 0.05
    changes: tuple[PassChange, ...] = ()
    record: SessionRecord = SessionRecord()

    def tolerance_of(self, platform: Platform) -> Tolerance:
        """Return what a platform can be wrong by."""
        return self.tolerance if platform.tolerance is None else platform.tolerance

    @property
    def states(self) -> frozenset[CouplingState]:
        """The coupling states in which something was read."""
        return frozenset(reading.state for reading in self.readings)


class Spot(Struct, frozen=True, gc=False):
    """Where a wheel sits: its vehicle, its axle (qualified), its side."""

    vehicle: str
    axle: str
    side: Side


def spots(rig: Rig, wheels: frozenset[str]) -> dict[str, Spot]:
    """Return the spot of each named wheel end or tire of a dual."""
    by_wheel_end = {
        wheel_end.name: Spot(vehicle.name, axle.name, wheel_end.side) for vehicle, axle, wheel_end in rig.wheel_ends()
    }
    return {wheel: by_wheel_end[wheel_end_of(wheel)] for wheel in wheels}


def wheel_end_of(wheel: str) -> str:
    """Return the wheel end that a wheel end's or a tire's name belongs to.

    >>> wheel_end_of("drive.left.inner"), wheel_end_of("drive.left")
    ('drive.left', 'drive.left')
    """
    return wheel.removesuffix(".inner").removesuffix(".outer")


def states_apart(rig: Rig) -> dict[str, frozenset[CouplingState]]:
    """Return by vehicle the coupling states in which it loads the ground otherwise than by itself.

    A trailer by itself stands level on its coupling, as it does hitched without bars; a tow bar passes no weight.
    """
    apart: dict[str, frozenset[CouplingState]] = {}
    for coupling in rig.couplings:
        if coupling.kind is not CouplingKind.TOWBAR:
            apart[coupling.tow] = frozenset({CouplingState.HITCHED, CouplingState.HITCHED_LEVELLED})
            apart[coupling.towed] = frozenset(
                {CouplingState.HITCHED if coupling.kind is CouplingKind.DOLLY else CouplingState.HITCHED_LEVELLED}
            )
    return apart


class LoadNames(Struct, frozen=True):
    """What the loads of wheels are called in each coupling state: by the wheel alone where the vehicle is as by itself.

    ``vehicles`` holds the vehicle of each wheel end, ``apart`` is that of `states_apart`.
    """

    vehicles: dict[str, str]
    apart: dict[str, frozenset[CouplingState]]

    @classmethod
    def of(cls, rig: Rig) -> "LoadNames":
        """Return the names of a rig's loads."""
        return cls({end.name: vehicle.name for vehicle, _, end in rig.wheel_ends()}, states_apart(rig))

    def name(self, wheel: str, state: CouplingState) -> str:
        """Return what the load of a wheel end, or of a tire of a dual, is called in a state."""
        vehicle = self.vehicles[wheel_end_of(wheel)]
        return f"{state} {wheel}" if state in self.apart.get(vehicle, ()) else wheel

    def names(self, wheels: Iterable[str], state: CouplingState) -> frozenset[str]:
        """Return the same of several."""
        return frozenset(self.name(wheel, state) for wheel in wheels)


def half_weighed_axles(session: WeighSession, places: dict[str, Spot]) -> list[frozenset[str]]:
    """Return for each reading the axles that it has on one side only, the other side standing on no platform.

    Such a reading is a side reading: the hanging side stands higher or lower than the plate.
    """
    sides: dict[tuple[str, str], set[Side]] = defaultdict(set)
    for reading in session.readings:
        for wheel in reading.wheels:
            sides[reading.pass_name, places[wheel].axle].add(places[wheel].side)
    return [
        frozenset(
            places[wheel].axle for wheel in reading.wheels if len(sides[reading.pass_name, places[wheel].axle]) == 1
        )
        for reading in session.readings
    ]


def is_raised(session: WeighSession, rig: Rig, places: dict[str, Spot]) -> list[bool]:
    """Return for each reading whether a pad lifted its wheels while others of the vehicle stood on the ground.

    Wheels lifted at one end, at one side or crosswise twist or tilt the vehicle, and carry more.
    """
    if all(reading.platform.kind is not PlatformKind.PAD for reading in session.readings):
        return [False] * len(session.readings)
    weighed: dict[tuple[str, str], set[str]] = defaultdict(set)
    for reading in session.readings:
        for wheel in reading.wheels:
            weighed[reading.pass_name, places[wheel].vehicle].add(wheel_end_of(wheel))
    ends = {vehicle.name: set(vehicle.sum_of) for vehicle in rig.vehicles}
    return [
        reading.platform.kind is PlatformKind.PAD
        and any(
            weighed[reading.pass_name, vehicle] != ends[vehicle]
            for vehicle in {places[wheel].vehicle for wheel in reading.wheels}
        )
        for reading in session.readings
    ]
