"""The tickets of a request, already in SI, to a session of the core; and its reconciliation back to the wire."""

from collections.abc import Iterator
from typing import Annotated

from msgspec import Meta, Struct

from axlewright.contract.faults import Fault, given_text
from axlewright.contract.output import (
    CountOut,
    MassOut,
    NameOut,
    NumberOut,
    ProbabilityOut,
    ProseOut,
    ReadingNameOut,
    UnknownOut,
)
from axlewright.contract.request import CouplingLoadInput, LoadInput, PolicyInput
from axlewright.contract.rig import names_of, repeated, unknown, wheel_names
from axlewright.contract.rig_request import RigInput
from axlewright.contract.session_request import ReadingInput, ScaleInput, SessionInput
from axlewright.contract.units import SHARE, Units, spoken, unit_of
from axlewright.core.assessment import Assessment
from axlewright.core.errors import CoreError
from axlewright.core.loads.given import GivenLoad
from axlewright.core.rig import TRAILERS, Rig
from axlewright.core.scales import ACCURACY_CLASSES, OwnTolerance, Placement, Tolerance
from axlewright.core.sessions.passes import Platform, PlatformKind, Reading, WeighSession
from axlewright.core.sessions.reconcile import PartCheck, ReadingCheck


class ReadingAnswer(Struct, frozen=True, kw_only=True):
    """One reading beside what the solution and the other readings make of it."""

    pass_name: Annotated[NameOut, Meta(description="As in the request.")]
    platform: Annotated[NameOut, Meta(description="As in the request.")]
    value: Annotated[MassOut, Meta(description="As printed.")]
    fitted: Annotated[MassOut, Meta(description="What the solution makes of it.")]
    residual: Annotated[MassOut, Meta(description="Value less fitted.")]
    by_others: Annotated[MassOut | None, Meta(description="What the other readings alone make of it.")]
    difference: Annotated[MassOut | None, Meta(description="Value less what the others make of it.")]
    allowed: Annotated[
        MassOut | None,
        Meta(description="How far the two may differ, either way, at the session's significance."),
    ]
    baarda_w: Annotated[NumberOut | None, Meta(description="Difference over its standard uncertainty.")]
    suspect: Annotated[
        bool,
        Meta(description="Among the likeliest to be wrong, after its part failed; equal suspects together."),
    ]
    unknown_because: UnknownOut


class PartAnswer(Struct, frozen=True, kw_only=True):
    """The global test of readings that share wheels among them, but none with the rest of the session."""

    wheel_ends: Annotated[list[NameOut], Meta(max_length=128, description="The wheels that its readings cover.")]
    degrees_of_freedom: Annotated[CountOut, Meta(description="Readings beyond those that are needed.")]
    statistic: Annotated[NumberOut, Meta(description="v' C^-1 v, against chi-squared.")]
    probability: Annotated[
        ProbabilityOut | None, Meta(description="Chance of a statistic so large when every reading is good.")
    ]
    agrees: Annotated[bool | None, Meta(description="Null where no reading checks another.")]
    agreement: Annotated[ProseOut, Meta(description="The same in words and numbers.")]
    unknown_because: UnknownOut


class ReconciliationAnswer(Struct, frozen=True, kw_only=True):
    """How the readings of the session agree; null in an answer to given loads."""

    agreement: Annotated[ProseOut, Meta(description="All parts in words and numbers.")]
    parts: Annotated[list[PartAnswer], Meta(max_length=128, description="Each independent part's global test.")]
    readings: Annotated[list[ReadingAnswer], Meta(max_length=1024, description="In the order of the request.")]
    suspects: Annotated[list[ReadingNameOut], Meta(max_length=1024, description="The readings likeliest to be wrong.")]


def session_faults(session: SessionInput, rig: RigInput) -> Iterator[Fault]:
    """Yield every contradiction within a session, and between it and the rig."""
    scale_faults = list(_scale_faults(session.scale))
    yield from scale_faults
    yield from repeated("pass", "/session/passes/{}/name", [each.name for each in session.passes])
    platforms = [platform.name for platform in session.scale.platforms]
    wheels = wheel_names(rig)
    for place, each in enumerate(session.passes):
        pointer = f"/session/passes/{place}/readings"
        used = [reading.platform for reading in each.readings]
        yield from repeated("reading on this platform in this pass", pointer + "/{}/platform", used)
        if platforms:
            for position, platform in enumerate(used):
                yield from unknown(platform, platforms, f"{pointer}/{position}/platform", "platform of the scale")
        named = [reading.wheel_ends for reading in each.readings]
        yield from _wheel_faults(named, pointer, wheels)
        if scale_faults:
            continue
        for position, reading in enumerate(each.readings):
            yield from _class_faults(session.scale, reading, f"{pointer}/{position}/value")
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


def weigh_session(session: SessionInput, policy: PolicyInput) -> WeighSession:
    """Return the session of the core; request and session have no faults."""
    return WeighSession(
        readings=tuple(
            Reading(each.name, _platform(session.scale, reading), reading.value, frozenset(reading.wheel_ends))
            for each in session.passes
            for reading in each.readings
        ),
        tolerance=_tolerance(session.scale),
        placement=Placement(policy.whole_axle_share, policy.hanging_side_share, policy.raised_pad_share),
        significance=policy.significance,
    )


def given_loads(loads: list[LoadInput]) -> tuple[GivenLoad, ...]:
    """Return the loads of the core."""
    return tuple(GivenLoad(frozenset(load.wheel_ends), load.load, load.standard_uncertainty) for load in loads)


def reconciliation_answer(
    session: WeighSession | None, assessment: Assessment, units: Units
) -> ReconciliationAnswer | None:
    """Return how the readings agree, in SI; None where the loads were given."""
    if session is None or assessment.reconciliation is None:
        return None
    reconciled = assessment.reconciliation.parts
    parts = [_part_answer(session, part, units) for part in reconciled]
    checks = sorted((check for part in reconciled for check in part.checks), key=lambda each: each.row)
    readings = [_reading_answer(session.readings[check.row], check) for check in checks]
    return ReconciliationAnswer(
        agreement=" ".join(part.agreement for part in parts),
        parts=parts,
        readings=readings,
        suspects=[f"{each.pass_name} / {each.platform}" for each in readings if each.suspect],
    )


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


def _reading_answer(reading: Reading, check: ReadingCheck) -> ReadingAnswer:
    by_others = check.by_others_kg
    return ReadingAnswer(
        pass_name=reading.pass_name,
        platform=reading.platform.name,
        value=reading.value_kg,
        fitted=check.fitted_kg,
        residual=reading.value_kg - check.fitted_kg,
        by_others=by_others,
        difference=None if by_others is None else reading.value_kg - by_others,
        allowed=check.allowed_kg,
        baarda_w=check.baarda_w,
        suspect=check.suspect,
        unknown_because="No other reading of the session checks this one." if by_others is None else None,
    )


def _part_answer(session: WeighSession, part: PartCheck, units: Units) -> PartAnswer:
    wheels = sorted({wheel for check in part.checks for wheel in session.readings[check.row].wheels})
    checked = part.degrees_of_freedom > 0
    return PartAnswer(
        wheel_ends=wheels,
        degrees_of_freedom=part.degrees_of_freedom,
        statistic=part.statistic,
        probability=part.probability if checked else None,
        agrees=not part.failed if checked else None,
        agreement=" ".join(_agreement(session, part, units)),
        unknown_because=None if checked else "No reading of this part checks another.",
    )


def _agreement(session: WeighSession, part: PartCheck, units: Units) -> Iterator[str]:
    """Yield the plain comparison of the readings with the most wheels against all others, then the part's verdict."""
    checked = [check for check in part.checks if check.by_others_kg is not None]
    if not checked:
        wheels = ", ".join(sorted({w for check in part.checks for w in session.readings[check.row].wheels}))
        yield f"{wheels}: nothing checks these readings; a misread ticket would not show."
        return
    most = max(len(session.readings[check.row].wheels) for check in checked)
    widest = [check for check in checked if len(session.readings[check.row].wheels) == most]
    for check in widest if part.degrees_of_freedom > 1 else widest[:1]:
        yield _comparison(session.readings[check.row], check, units)
    chance = spoken(part.probability, SHARE)
    yield (
        f"These readings do not agree: all good, they would differ so much with a chance of {chance} only."
        if part.failed
        else "These readings agree."
    )


def _comparison(reading: Reading, check: ReadingCheck, units: Units) -> str:
    unit = unit_of(units, "mass")
    assert unit is not None
    assert check.by_others_kg is not None
    assert check.allowed_kg is not None
    wheels = " + ".join(sorted(reading.wheels))
    difference_kg = abs(reading.value_kg - check.by_others_kg)
    return (
        f"{wheels}: by the other readings {spoken(check.by_others_kg, unit)}, "
        f"pass {reading.pass_name} read {spoken(reading.value_kg, unit)}, they differ by "
        f"{spoken(difference_kg, unit)}, the scale allows {spoken(check.allowed_kg, unit)}."
    )
