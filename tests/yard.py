"""Invented rigs that the tests of the core weigh, in the units of the trade."""

from collections.abc import Mapping, Sequence

from msgspec import structs

from axlewright.core.loads.given import GivenLoad
from axlewright.core.rig import Axle, Fitment, Rig, Side, Tires, Vehicle, VehicleKind, Wheel, WheelEnd
from axlewright.core.scales import ACCURACY_CLASSES, Placement, Tolerance
from axlewright.core.sessions.passes import Platform, PlatformKind, Reading, WeighSession
from axlewright.core.tires.marking import NotRead, read_marking

LB = 0.45359237  # kg, exact: NIST SP 811, appendix B.8
INCH = 0.0254  # m, exact
PSI = LB * 9.80665 / INCH**2  # Pa, from exact factors
BAR = 100_000.0  # Pa, exact


def tires(
    designation: str = "225/70R19.5 G",
    *,
    dual: bool = False,
    single_lb: float = 3970.0,
    dual_lb: float | None = 3750.0,
    max_psi: float = 110.0,
    load_range: str | None = None,
    now_psi: float | None = None,
) -> Tires:
    """Return the tires of one wheel end, loads marked in lb and pressures in psi."""
    marking = read_marking(designation)
    assert not isinstance(marking, NotRead), marking
    return Tires(
        fitment=Fitment.DUAL if dual else Fitment.SINGLE,
        designation=designation,
        marking=marking,
        load_range=load_range or marking.load_range,
        speed_symbol=marking.speed_symbol,
        max_load_single_kg=single_lb * LB,
        max_load_dual_kg=None if dual_lb is None else dual_lb * LB,
        max_pressure_pa=max_psi * PSI,
        pressure_pa=None if now_psi is None else now_psi * PSI,
    )


def axle(
    name: str,
    *,
    gawr_lb: float,
    fitted: Tires | None = None,
    aft_in: float = 0.0,
    track_in: float = 78.0,
    wheel: Wheel | None = None,
    right: Tires | None = None,
) -> Axle:
    """Return an axle with the same tires on both sides, unless the right ones are given."""
    fitted = fitted or tires()
    wheel = wheel or Wheel()
    return Axle(
        name=name,
        aft_m=aft_in * INCH,
        track_m=track_in * INCH,
        gawr_kg=gawr_lb * LB,
        left=WheelEnd(f"{name}.left", Side.LEFT, fitted, wheel),
        right=WheelEnd(f"{name}.right", Side.RIGHT, right or fitted, wheel),
    )


def named(vehicle_name: str, own: Axle) -> Axle:
    """Return an axle with its vehicle's name before it."""
    full = f"{vehicle_name}.{own.name}"
    return structs.replace(
        own,
        name=full,
        left=structs.replace(own.left, name=f"{full}.left"),
        right=structs.replace(own.right, name=f"{full}.right"),
    )


def vehicle(
    *axles: Axle,
    gvwr_lb: float,
    kind: VehicleKind = VehicleKind.MOTORHOME,
    labels_psi: Mapping[str, float] | None = None,
    name: str = "coach",
) -> Vehicle:
    """Return a vehicle with its label's pressures in psi."""
    labels_pa = {axle_name: psi * PSI for axle_name, psi in (labels_psi or {}).items()}
    return Vehicle(name, kind, gvwr_lb * LB, axles, labels_pa)


def rig(*vehicles: Vehicle) -> Rig:
    """Return a rig of such vehicles."""
    return Rig("invented", vehicles)


def motorhome(
    *,
    gvwr_lb: float = 18_000.0,
    steer_lb: float = 7_000.0,
    drive_lb: float = 12_000.0,
    steer: Tires | None = None,
    drive: Tires | None = None,
    wheel: Wheel | None = None,
    labels_psi: Mapping[str, float] | None = None,
) -> Rig:
    """Return a two-axle motorhome, 212 in between the axles, duals behind."""
    return rig(
        vehicle(
            axle("steer", gawr_lb=steer_lb, fitted=steer or tires(), track_in=78.0, wheel=wheel),
            axle("drive", gawr_lb=drive_lb, fitted=drive or tires(dual=True), aft_in=212.0, track_in=74.0, wheel=wheel),
            gvwr_lb=gvwr_lb,
            labels_psi=labels_psi,
        )
    )


def plain_motorhome() -> Rig:
    """Return a two-axle motorhome whose ratings leave much room above axle loads of up to 20,000 lb."""
    strong = tires("315/80R22.5", single_lb=15_000.0, dual_lb=9_000.0, max_psi=130.0)
    pair = structs.replace(strong, fitment=Fitment.DUAL)
    return motorhome(gvwr_lb=60_000.0, steer_lb=30_000.0, drive_lb=30_000.0, steer=strong, drive=pair)


def reading(
    pass_name: str, platform: str, value_lb: float, *wheels: str, division_lb: float = 20.0, pad: bool = False
) -> Reading:
    """Return one reading in lb."""
    kind = PlatformKind.PAD if pad else PlatformKind.SECTION
    return Reading(pass_name, Platform(platform, division_lb * LB, kind), value_lb * LB, frozenset(wheels))


def session(
    *readings: Reading, tolerance: Tolerance = ACCURACY_CLASSES["III L"], placement: Placement | None = None
) -> WeighSession:
    """Return a session on a vehicle scale of class III L, unless told otherwise."""
    return WeighSession(readings, tolerance, placement or Placement())


def three_passes(axles: Mapping[str, tuple[float, float, float]], platforms: Sequence[str] = "ABCDEF") -> WeighSession:
    """Return the session of right wheels, left wheels and whole axles, each axle on a platform of its own.

    Parameters
    ----------
    axles
        Readings in lb of each axle: right side, left side, axle.
    """
    plan = [("right wheels", 0, ("right",)), ("left wheels", 1, ("left",)), ("axles", 2, ("left", "right"))]
    return session(
        *(
            reading(pass_name, platform, values[place], *(f"{name}.{side}" for side in sides))
            for pass_name, place, sides in plan
            for platform, (name, values) in zip(platforms, axles.items(), strict=False)
        )
    )


def known_loads(
    loads_lb: Mapping[str, float], u_lb: float | None = 0.0, u_of_lb: Mapping[str, float | None] | None = None
) -> list[GivenLoad]:
    """Return loads that the caller knows, by wheel ends joined by ``+``, exact unless told otherwise."""
    us_lb: dict[str, float | None] = dict.fromkeys(loads_lb, u_lb) | dict(u_of_lb or {})
    return [
        GivenLoad(frozenset(names.split("+")), load_lb * LB, None if (u := us_lb[names]) is None else u * LB)
        for names, load_lb in loads_lb.items()
    ]
