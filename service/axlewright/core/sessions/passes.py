"""A weigh session: what stood on which platform in each pass, and what was read there."""

from collections import defaultdict
from enum import StrEnum

from msgspec import Struct

from axlewright.core.rig import Rig, Side
from axlewright.core.scales import Placement, Tolerance


class PlatformKind(StrEnum):
    """A section level with its surroundings, or a pad that lifts the wheel that stands on it."""

    SECTION = "section"
    PAD = "pad"


class Platform(Struct, frozen=True, gc=False):
    """One independently read section of a scale, or one pad, with its division [kg]."""

    name: str
    division_kg: float
    kind: PlatformKind = PlatformKind.SECTION


class Reading(Struct, frozen=True, gc=False):
    """The number [kg] that a platform showed in a pass, for the wheels that stood on it.

    ``wheels`` names wheel ends, or single tires of a dual.
    """

    pass_name: str
    platform: Platform
    value_kg: float
    wheels: frozenset[str]


class WeighSession(Struct, frozen=True):
    """The readings of one weigh, pass by pass, with the tolerance of the scale and the session's judgements.

    ``significance`` is the probability that an independent part without a slip fails its global test.
    """

    readings: tuple[Reading, ...]
    tolerance: Tolerance
    placement: Placement = Placement()
    significance: float = 0.05


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
    """Return for each reading whether a pad lifted its wheels while other axles of the vehicle stood on the ground."""
    if all(reading.platform.kind is not PlatformKind.PAD for reading in session.readings):
        return [False] * len(session.readings)
    weighed: dict[tuple[str, str], set[str]] = defaultdict(set)
    for reading in session.readings:
        for wheel in reading.wheels:
            weighed[reading.pass_name, places[wheel].vehicle].add(places[wheel].axle)
    axle_count = {vehicle.name: len(vehicle.axles) for vehicle in rig.vehicles}
    return [
        reading.platform.kind is PlatformKind.PAD
        and any(
            len(weighed[reading.pass_name, vehicle]) < axle_count[vehicle]
            for vehicle in {places[wheel].vehicle for wheel in reading.wheels}
        )
        for reading in session.readings
    ]
