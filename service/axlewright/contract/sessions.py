"""The tickets of a request, already in SI, to a session of the core; and its reconciliation back to the wire."""

from collections.abc import Iterator

from axlewright.contract.faults import Fault, given_text
from axlewright.contract.pass_changes import core_pass_changes, coupling_state_faults, pass_change_faults
from axlewright.contract.request import CouplingLoadInput, LoadInput, PolicyInput
from axlewright.contract.rig import names_of, repeated, unknown, wheel_names
from axlewright.contract.rig_request import RigInput
from axlewright.contract.session_record import TOTAL, record_faults, session_record
from axlewright.contract.session_request import PassInput, ReadingInput, ScaleInput, SessionInput
from axlewright.contract.units import Units
from axlewright.core.errors import CoreError
from axlewright.core.loads.given import GivenLoad
from axlewright.core.rig import TRAILERS, CouplingState, Rig
from axlewright.core.scales import ACCURACY_CLASSES, OwnTolerance, Placement, Tolerance
from axlewright.core.sessions.passes import Platform, PlatformKind, Reading, WeighSession


def session_faults(session: SessionInput, rig: RigInput, units: Units) -> Iterator[Fault]:
    """Yield every contradiction within a session, and between it and the rig."""
    scale_faults = list(_scale_faults(session.scale))
    yield from scale_faults
    yield from repeated("pass", "/session/passes/{}/name", [each.name for each in session.passes])
    platforms = [platform.name for platform in session.scale.platforms]
    wheels = wheel_names(rig)
    for place, each in enumerate(session.passes):
        pointer = f"/session/passes/{place}/readings"
        used = [reading.platform for reading in each.readings]
        yield from _platform_faults(used, pointer)
        if platforms:
            for position, platform in enumerate(used):
                yield from unknown(platform, platforms, f"{pointer}/{position}/platform", "platform of the scale")
        named = [reading.wheel_ends for reading in each.readings]
        yield from _wheel_faults(named, pointer, wheels)
        if scale_faults:
            continue
        for position, reading in enumerate(each.readings):
            yield from _class_faults(session.scale, reading, f"{pointer}/{position}/value")
        if each.total is not None and each.total.independent:
            total = ReadingInput(TOTAL, each.total.value, [])
            yield from _class_faults(session.scale, total, f"/session/passes/{place}/total/value")
    yield from record_faults(session)
    yield from coupling_state_faults(session, rig, units)
    yield from pass_change_faults(session, rig)
    yield from _carried_faults(session, rig)


def load_faults(loads: list[LoadInput], rig: RigInput) -> Iterator[Fault]:
    """Yield every wheel end of given loads that the rig does not have, or that stands twice in one load."""
    wheels = wheel_names(rig)
    for place, load in enumerate(loads):
        yield from _wheel_faults([load.wheel_ends], "/loads", wheels, place)


def coupling_load_faults(loads: list[CouplingLoadInput], rig: RigInput) -> Iterator[Fault]:
    """Yield every load of a coupling that is not clearly that of one trailer of the rig."""
    trailers = [vehicle.name for vehicle in rig.vehicles if vehicle.kind in TRAILERS]
    for place, load in enumerate(loads):
        if load.vehicle is not None:
            yield from unknown(load.vehicle, trailers, f"/coupling_loads/{place}/vehicle", "trailer of the rig")
        elif len(trailers) != 1:
            yield Fault(
                "inconsistent_reference",
                f"/coupling_loads/{place}/vehicle",
                f"The rig has {'no trailer' if not trailers else 'several trailers'}: whose coupling carries it?",
                None,
                f"one of {', '.join(trailers)}" if trailers else "no coupling load without a trailer in the rig",
            )
    named = [load.vehicle or next(iter(trailers), "") for load in loads]
    yield from repeated("coupling load of this trailer", "/coupling_loads/{}/vehicle", named)


def given_coupling_loads(loads: list[CouplingLoadInput], rig: Rig) -> tuple[GivenLoad, ...]:
    """Return the loads of trailers' couplings; the request has no faults."""
    couplings = {vehicle.name: vehicle.coupling for vehicle in rig.vehicles if vehicle.is_trailer}
    return tuple(
        GivenLoad(frozenset({couplings[load.vehicle or next(iter(couplings))]}), load.load, load.standard_uncertainty)
        for load in loads
    )


def weigh_session(session: SessionInput, policy: PolicyInput, rig: Rig) -> WeighSession:
    """Return the session of the core; request and session have no faults."""
    return WeighSession(
        readings=tuple(
            Reading(each.name, platform, value, frozenset(wheels), CouplingState(each.state))
            for each in session.passes
            for platform, value, wheels in _readings(each, session.scale)
        ),
        tolerance=_tolerance(session.scale),
        placement=Placement(policy.whole_axle_share, policy.hanging_side_share, policy.raised_pad_share),
        significance=policy.significance,
        changes=core_pass_changes(session, rig),
        record=session_record(session),
    )


def given_loads(loads: list[LoadInput]) -> tuple[GivenLoad, ...]:
    """Return the loads of the core."""
    return tuple(GivenLoad(frozenset(load.wheel_ends), load.load, load.standard_uncertainty) for load in loads)


def _scale_faults(scale: ScaleInput) -> Iterator[Fault]:
    yield from repeated("platform", "/session/scale/platforms/{}/name", [platform.name for platform in scale.platforms])
    if (scale.accuracy_class is None) == (scale.tolerance is None):
        yield Fault(
            "inconsistent_choice",
            "/session/scale",
            "A scale needs either its accuracy class or your own tolerance, and not both.",
            None,
            "accuracy_class (public vehicle scales: III L), or tolerance",
        )


def _platform_faults(used: list[str], pointer: str) -> Iterator[Fault]:
    for position, platform in enumerate(used):
        if platform in used[:position]:
            yield Fault(
                "inconsistent_name",
                f"{pointer}/{position}/platform",
                "A platform gives one reading in a pass; it is named here a second time.",
                given_text(platform),
                "each platform once in a pass; what it showed at another time is another pass",
            )


def _class_faults(scale: ScaleInput, reading: ReadingInput, pointer: str) -> Iterator[Fault]:
    """Yield a fault if a scale of the stated class cannot show a reading."""
    division_kg = _platform(scale, reading).division_kg
    if division_kg == 0:  # too small to be a number in SI; its own fault says so
        return
    try:
        _tolerance(scale).tolerance_kg(reading.value, division_kg)
    except CoreError as refused:
        yield Fault(
            "inconsistent_reading",
            pointer,
            f"This reading has more divisions than the scale can show: {refused.message}.",
            None,
            "a smaller reading, a larger division, or another class",
        )


def _readings(each: PassInput, scale: ScaleInput) -> Iterator[tuple[Platform, float, list[str]]]:
    """Yield what the platforms of a pass showed for which wheels; last its total for all, where that is one more."""
    kind = PlatformKind.SECTION
    for reading in each.readings:
        platform = _platform(scale, reading)
        kind = PlatformKind.PAD if platform.kind is PlatformKind.PAD else kind
        yield platform, reading.value, reading.wheel_ends
    if each.total is not None and each.total.independent:
        wheels = [name for reading in each.readings for name in reading.wheel_ends]
        yield Platform(TOTAL, scale.division, kind), each.total.value, wheels


def _platform(scale: ScaleInput, reading: ReadingInput) -> Platform:
    own = next((each for each in scale.platforms if each.name == reading.platform), None)
    if own is None:
        return Platform(reading.platform, scale.division)
    return Platform(own.name, own.division or scale.division, PlatformKind(own.kind))


def _wheel_faults(named: list[list[str]], pointer: str, wheels: set[str], first: int = 0) -> Iterator[Fault]:
    """Yield what is wrong with the wheels of readings that stood at one time."""
    standing: set[str] = set()
    for place, names in enumerate(named, first):
        for position, name in enumerate(names):
            at = f"{pointer}/{place}/wheel_ends/{position}"
            yield from unknown(name, wheels, at, "wheel end of the rig")
            tires = {name} if name.endswith(("inner", "outer")) else {f"{name}.inner", f"{name}.outer"}
            if tires & standing:
                yield Fault(
                    "inconsistent_repeat",
                    at,
                    "A wheel stands on one platform at a time; it is named here a second time.",
                    given_text(name),
                    "each wheel end once",
                )
            standing |= tires


def _carried_faults(session: SessionInput, rig: RigInput) -> Iterator[Fault]:
    if session.carried is None:
        return
    tanks = names_of(rig, "tanks")
    for place, tank in enumerate(session.carried.tanks):
        yield from unknown(tank.name, tanks, f"/session/carried/tanks/{place}/name", "tank of the rig")
    yield from repeated("tank level", "/session/carried/tanks/{}/name", [tank.name for tank in session.carried.tanks])


def _tolerance(scale: ScaleInput) -> Tolerance:
    if scale.tolerance is not None:
        return OwnTolerance(scale.tolerance.share, scale.tolerance.least)
    assert scale.accuracy_class is not None
    return ACCURACY_CLASSES[scale.accuracy_class]
