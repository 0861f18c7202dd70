"""The rig as the core sees it: vehicles, axles, wheel ends, tires and their ratings.

Names are qualified once, where a rig enters the core: ``axle.side``, or ``vehicle.axle.side`` when the
rig has more than one vehicle.
"""

from collections.abc import Iterator
from enum import StrEnum

from msgspec import Struct

from axlewright.core.tires.marking import Marking


class Side(StrEnum):
    """A side of a vehicle, as seen facing forward."""

    LEFT = "left"
    RIGHT = "right"


class Fitment(StrEnum):
    """How many tires one wheel end carries."""

    SINGLE = "single"
    DUAL = "dual"


class VehicleKind(StrEnum):
    """What a vehicle is; the trade's own words."""

    MOTORHOME = "motorhome"
    VAN = "van"
    TOW_VEHICLE = "tow_vehicle"
    TOWED_CAR = "towed_car"
    TRAVEL_TRAILER = "travel_trailer"
    FIFTH_WHEEL = "fifth_wheel"
    TRAILER = "trailer"


TRAILERS = frozenset({VehicleKind.TRAVEL_TRAILER, VehicleKind.FIFTH_WHEEL, VehicleKind.TRAILER})
"""Vehicles whose load rests partly on what tows them."""


class Wheel(Struct, frozen=True):
    """The rim's own maxima: load [kg] and cold gauge pressure [Pa]; None where its maker's figure is not known."""

    max_load_kg: float | None = None
    max_pressure_pa: float | None = None


class Tires(Struct, frozen=True):
    """The tires of one wheel end, all alike.

    Loads are per tire [kg] as marked on the sidewall, pressures gauge and cold [Pa]. ``pressure_pa`` is what
    the tires hold today, if it is known. ``marking`` is None where the designation could not be read.
    """

    fitment: Fitment
    designation: str
    marking: Marking | None
    load_range: str | None
    speed_symbol: str | None
    max_load_single_kg: float
    max_load_dual_kg: float | None
    max_pressure_pa: float
    pressure_pa: float | None = None

    @property
    def count(self) -> int:
        """Tires at the wheel end."""
        return 2 if self.fitment is Fitment.DUAL else 1

    @property
    def max_load_kg(self) -> float:
        """Marked maximum load of one tire as fitted [kg]."""
        if self.fitment is Fitment.SINGLE:
            return self.max_load_single_kg
        assert self.max_load_dual_kg is not None
        return self.max_load_dual_kg


class WheelEnd(Struct, frozen=True):
    """One side of one axle: its tires, its wheel, and the rating [kg] that its maker gives it, if any."""

    name: str
    side: Side
    tires: Tires
    wheel: Wheel = Wheel()
    max_load_kg: float | None = None


class Axle(Struct, frozen=True):
    """An axle: place [m] rearwards in its vehicle, track [m] (between dual centres), rating [kg] (GAWR)."""

    name: str
    aft_m: float
    track_m: float
    gawr_kg: float
    left: WheelEnd
    right: WheelEnd

    @property
    def wheel_ends(self) -> tuple[WheelEnd, WheelEnd]:
        """Left, then right."""
        return self.left, self.right

    @property
    def sum_of(self) -> dict[str, float]:
        """The axle's load as a sum of wheel ends."""
        return {self.left.name: 1.0, self.right.name: 1.0}


class Suspension(StrEnum):
    """How the axles of a group share what they carry together."""

    SHARED_AIR = "shared_air"
    EQUALISED = "equalised"
    INDEPENDENT = "independent"


class AxleGroup(Struct, frozen=True):
    """Axles that carry load together: their names front to back, the split (adding up to 1) where it is stated.

    ``max_load_kg`` is what the group's maker rates it for, if anything.
    """

    axles: tuple[str, ...]
    suspension: Suspension
    split: tuple[float, ...] | None = None
    max_load_kg: float | None = None


class Stated(Struct, frozen=True):
    """A figure of an axle that somebody states, with its standard uncertainty (0 where it counts as exact)."""

    value: float
    u: float = 0.0


class HitchRating(Struct, frozen=True):
    """What a hitch, or one part of it, may carry and tow [kg]: without bars, and with levelling bars tensioned."""

    part: str
    max_vertical_kg: float | None = None
    max_towed_kg: float | None = None
    max_vertical_levelled_kg: float | None = None
    max_towed_levelled_kg: float | None = None


class Hitch(Struct, frozen=True):
    """Where a vehicle takes a trailer [m], and the ratings of the hitch and its parts."""

    aft_m: float
    up_m: float
    ratings: tuple[HitchRating, ...]


class Fluid(StrEnum):
    """What a tank holds."""

    WATER = "water"
    GREY_WATER = "grey_water"
    BLACK_WATER = "black_water"
    GASOLINE = "gasoline"
    DIESEL = "diesel"
    PROPANE = "propane"
    EXHAUST_FLUID = "exhaust_fluid"


class Tank(Struct, frozen=True):
    """A tank: what it holds, how much when full [m3] (of propane its water capacity), and where its middle is [m]."""

    name: str
    fluid: Fluid
    capacity_m3: float
    aft_m: float
    right_m: float


class Place(Struct, frozen=True):
    """A place for people or cargo: its middle [m], its length and width [m], and the most [kg] that may go there."""

    name: str
    aft_m: float
    right_m: float
    length_m: float = 0.0
    width_m: float = 0.0
    capacity_kg: float | None = None


class Vehicle(Struct, frozen=True):
    """A powered unit or trailer with its ratings and what its loads follow from.

    Attributes
    ----------
    gvwr_kg, gcwr_kg
        Gross vehicle and gross combination weight rating [kg]; the latter None where it was not given.
    label_pressures_pa
        Its label's cold pressures [Pa] by axle name.
    unloaded_kg, cargo_capacity_kg
        Unloaded weight, and what the label lets it carry beyond that [kg].
    groups, hitch
        Axles that share load; where it takes a trailer.
    roll_shares, stiffnesses
        Each axle's share of the roll moment, and its vertical stiffness against the others', by axle name, where
        they are known.
    tanks, places
        What it can hold, and where.
    coupling
        Name of what a trailer's coupling carries: its tongue or pin weight.
    """

    name: str
    kind: VehicleKind
    gvwr_kg: float
    axles: tuple[Axle, ...]
    label_pressures_pa: dict[str, float]
    gcwr_kg: float | None = None
    unloaded_kg: float | None = None
    cargo_capacity_kg: float | None = None
    groups: tuple[AxleGroup, ...] = ()
    hitch: Hitch | None = None
    roll_shares: dict[str, Stated] = {}
    stiffnesses: dict[str, Stated] = {}
    tanks: tuple[Tank, ...] = ()
    places: tuple[Place, ...] = ()
    coupling: str = "coupling"

    @property
    def is_trailer(self) -> bool:
        """Whether part of its load rests on a coupling."""
        return self.kind in TRAILERS

    @property
    def sum_of(self) -> dict[str, float]:
        """The load of all its axles as a sum of wheel ends."""
        return {end.name: 1.0 for axle in self.axles for end in axle.wheel_ends}

    @property
    def whole(self) -> dict[str, float]:
        """Its weight as a sum: all its wheel ends, and of a trailer what its coupling carries without bars."""
        return {**self.sum_of, self.coupling: 1.0} if self.is_trailer else self.sum_of


class CouplingKind(StrEnum):
    """How a towed vehicle is joined to the one before it."""

    BALL = "ball"
    FIFTH_WHEEL = "fifth_wheel"
    TOWBAR = "towbar"
    DOLLY = "dolly"


class CouplingState(StrEnum):
    """How a rig is coupled."""

    SOLO = "solo"
    HITCHED = "hitched"
    HITCHED_LEVELLED = "hitched_levelled"


class Coupling(Struct, frozen=True):
    """What tows what, by vehicle names."""

    tow: str
    towed: str
    kind: CouplingKind


class Rig(Struct, frozen=True):
    """One vehicle, or a towing vehicle and what it tows."""

    name: str
    vehicles: tuple[Vehicle, ...]
    couplings: tuple[Coupling, ...] = ()

    def axles(self) -> Iterator[tuple[Vehicle, Axle]]:
        """Yield every axle with its vehicle, front to back."""
        for vehicle in self.vehicles:
            for axle in vehicle.axles:
                yield vehicle, axle

    def wheel_ends(self) -> Iterator[tuple[Vehicle, Axle, WheelEnd]]:
        """Yield every wheel end with its axle and vehicle."""
        for vehicle, axle in self.axles():
            for wheel_end in axle.wheel_ends:
                yield vehicle, axle, wheel_end

    def load_names(self) -> Iterator[str]:
        """Yield the name of everything that carries load: every wheel end, and the coupling of every trailer."""
        for vehicle in self.vehicles:
            yield from vehicle.whole
