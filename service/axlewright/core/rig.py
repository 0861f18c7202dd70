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


class Vehicle(Struct, frozen=True):
    """A powered unit or trailer with its rating [kg] (GVWR) and its label's cold pressures [Pa] by axle name."""

    name: str
    kind: VehicleKind
    gvwr_kg: float
    axles: tuple[Axle, ...]
    label_pressures_pa: dict[str, float]

    @property
    def is_trailer(self) -> bool:
        """Whether part of its load rests on a coupling."""
        return self.kind in TRAILERS

    @property
    def sum_of(self) -> dict[str, float]:
        """The load of all its axles as a sum of wheel ends."""
        return {end.name: 1.0 for axle in self.axles for end in axle.wheel_ends}


class Rig(Struct, frozen=True):
    """One vehicle, or a towing vehicle and what it tows."""

    name: str
    vehicles: tuple[Vehicle, ...]

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
