"""Roll shares and stiffnesses of a vehicle from two weighs with a known shift between them."""

from collections.abc import Callable, Iterator
from typing import Annotated, Final, TypeVar

from msgspec import Meta, Struct, structs

from axlewright.contract.aboard import core_move, move_faults, statics_faults
from axlewright.contract.calibrate_request import CalibrateLoadsRequest, WeighedInput
from axlewright.contract.computation import CORE, QuestionAnswer
from axlewright.contract.faults import CrossFieldFaults, Fault, refuse_contradictions
from axlewright.contract.findings import FindingAnswer, finding_answers
from axlewright.contract.output import CountOut, NameOut, NumberOut, ProbabilityOut, ShareOut, UnknownOut, WordsOut
from axlewright.contract.pending import pending_faults
from axlewright.contract.policy import policy_faults
from axlewright.contract.request import LoadedRigRequest, PolicyInput
from axlewright.contract.rig import core_rig, unknown
from axlewright.contract.rig_faults import rig_faults
from axlewright.contract.rig_request import RigInput
from axlewright.contract.sessions import given_loads, load_faults, session_faults, weigh_session
from axlewright.contract.units import SHARE, Units, chosen_units, in_si, in_units, spoken
from axlewright.contract.words import CALLER, DEFERENCE, SESSION_CAUTIONS
from axlewright.core.assessment import worst_first
from axlewright.core.errors import CoreError
from axlewright.core.estimates import LoadEstimates
from axlewright.core.findings import Finding, Severity, share
from axlewright.core.loads.calibration import Calibration, NotDetermined, calibrate
from axlewright.core.loads.given import estimates_from_loads
from axlewright.core.loads.shift_fit import Agreement
from axlewright.core.rig import Rig, Stated, Vehicle
from axlewright.core.sessions.reconcile import reconcile

WEIGHS: Final = ("before", "after")
BASIS = (
    "Equilibrium of forces and moments; of more supports than that settles, a rigid body on springs (judgement)",
    "Generalised least squares with the doubts of both weighs and of what was moved; chi-squared test of the residuals",
    f"{CALLER}: masses and places of what was moved",
)
INDEPENDENT = (
    "Both weighs count as independent: how far they share an error, as of one scale's span, is not known here. A "
    "common offset drops out of the difference; then the doubt told is too large rather than too small."
)
ALL_MOVED = (
    "All that came, left, moved or flowed between the weighs must stand in `moved`; what sessions declare as carried "
    "is not compared."
)
TOGETHER = (
    "Roll shares add up to 1, so that their errors go together; so do those of stiffnesses, all against the first. Put "
    "back into the rig, each counts by itself: of two axles that is the same, of more it is an approximation."
)

AGREES = (
    "The loads changed as what was moved would change them; stated rightly, they differ more with a chance of {chance}."
)
DISAGREES = (
    "The loads did not change as what was moved would change them: stated rightly, they would differ so much with a "
    "chance of {chance} only."
)

NOT_DETERMINED: dict[NotDetermined, str] = {
    NotDetermined.WHEEL_ENDS_UNKNOWN: "Every wheel end of the vehicle must be known in both weighs, and not all are.",
    NotDetermined.DOUBT_UNSTATED: "Nobody stated the standard uncertainty of a load of the vehicle.",
    NotDetermined.CROSS_CHECK_FAILED: "The readings beneath a load of the vehicle failed their cross-check.",
    NotDetermined.NO_SHIFT: "Nothing that was moved comes from this vehicle or goes to it.",
    NotDetermined.NO_ROLL_MOMENT: "What was moved gives no moment about the centre line: nothing shows how axles share "
    "one.",
    NotDetermined.NOT_SEPARATED: "One shift does not tell these stiffnesses apart: on three or more supports a motor "
    "vehicle has more of them than there are equations, and of a trailer the load on its axles must change.",
    NotDetermined.TOO_DOUBTFUL: "The shift is too small against the doubts: the default would be as good. Move more "
    "mass, or farther.",
    NotDetermined.BEYOND_RANGE: "The best fit would leave an axle with nothing of what it shares, or less.",
    NotDetermined.DISAGREES: "The loads and what was moved contradict each other.",
    NotDetermined.NOT_NEEDED: "Equilibrium alone settles what each axle carries: no stiffness matters.",
}

StatisticOut = Annotated[float, Meta(ge=0, le=1e30, extra_json_schema={"x-quantity": "number"})]


class FittedShareAnswer(Struct, frozen=True, kw_only=True):
    """An axle's share of the roll moment; `roll_shares` of the rig take axle, share and standard uncertainty."""

    axle: Annotated[NameOut, Meta(description="Its name in the vehicle.")]
    share: Annotated[ShareOut, Meta(description="Best estimate; those of all axles add up to 1.")]
    standard_uncertainty: Annotated[ShareOut, Meta(description="u of the share.")]
    low: Annotated[ShareOut, Meta(description="Share less k u, not below 0.")]
    high: Annotated[ShareOut, Meta(description="Share plus k u, not above 1.")]


class FittedStiffnessAnswer(Struct, frozen=True, kw_only=True):
    """An axle's stiffness; `stiffnesses` of the rig take axle, stiffness and standard uncertainty."""

    axle: Annotated[NameOut, Meta(description="Its name in the vehicle.")]
    stiffness: Annotated[NumberOut, Meta(description="Against that of the first axle, which is 1.")]
    standard_uncertainty: Annotated[NumberOut, Meta(description="u of it; 0 of the first, against which all are told.")]
    low: Annotated[NumberOut, Meta(description="Stiffness less k u, not below 0.")]
    high: Annotated[NumberOut, Meta(description="Stiffness plus k u.")]


class CalibrationAgreementAnswer(Struct, frozen=True, kw_only=True):
    """The global test: whether the loads changed as what was moved would change them."""

    statistic: Annotated[StatisticOut, Meta(description="v' C^-1 v, against chi-squared.")]
    degrees_of_freedom: Annotated[CountOut, Meta(description="Wheel ends less what was fitted.")]
    probability: Annotated[
        ProbabilityOut, Meta(description="Chance of a statistic so large when all is stated rightly.")
    ]
    agrees: Annotated[bool, Meta(description="The probability is no less than `policy.significance`.")]
    words: Annotated[WordsOut, Meta(description="The same in words.")]


class CalibrateLoadsAnswer(QuestionAnswer, frozen=True, kw_only=True):
    """What two weighs tell of how a vehicle's axles share what they carry."""

    vehicle: Annotated[NameOut, Meta(description="Which vehicle.")]
    roll_shares: Annotated[
        Annotated[list[FittedShareAnswer], Meta(max_length=8)] | None,
        Meta(description="Every axle; null where they are not determined."),
    ]
    roll_shares_unknown_because: UnknownOut
    stiffnesses: Annotated[
        Annotated[list[FittedStiffnessAnswer], Meta(max_length=8)] | None,
        Meta(description="Every axle; null where they are not determined, or matter to nothing."),
    ]
    stiffnesses_unknown_because: UnknownOut
    agreement: Annotated[
        CalibrationAgreementAnswer | None, Meta(description="How all fits together; null where nothing was fitted.")
    ]
    findings: Annotated[list[FindingAnswer], Meta(max_length=2, description="Worst first.")]


def calibrate_loads_answer(request: CalibrateLoadsRequest) -> CalibrateLoadsAnswer:
    """Return the roll shares and stiffnesses that two weighs show.

    Raises
    ------
    CrossFieldFaults
        With everything in the request that contradicts itself, or is not computed yet.
    """
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    refuse_contradictions([*faults, *_faults(request)], as_sent)
    rig = core_rig(request.rig)
    vehicle = next(each for each in rig.vehicles if request.vehicle in {None, each.name})
    before, after = (_estimates(rig, getattr(request, name), request.policy, name) for name in WEIGHS)
    moves = [core_move(f"moved {place}", move, rig) for place, move in enumerate(request.moved, 1)]
    found = calibrate(vehicle, before, after, moves, request.policy.significance)
    findings = worst_first(_findings(vehicle, found))
    tickets = request.before.session or request.after.session
    answer = CalibrateLoadsAnswer(
        units=units,
        vehicle=vehicle.name,
        roll_shares=_told(found.roll_shares, rig, vehicle, _share_answer, request.policy.coverage_factor),
        roll_shares_unknown_because=_reason(found.roll_shares),
        stiffnesses=_told(found.stiffnesses, rig, vehicle, _stiffness_answer, request.policy.coverage_factor),
        stiffnesses_unknown_because=_reason(found.stiffnesses),
        agreement=_agreement_answer(found.agreement, request.policy.significance),
        findings=finding_answers(findings, units),
        basis=[*BASIS],
        cautions=[INDEPENDENT, ALL_MOVED, TOGETHER, DEFERENCE, *(SESSION_CAUTIONS if tickets else ())],
        computed_by=CORE,
    )
    return in_units(answer, units)


def _faults(request: CalibrateLoadsRequest) -> Iterator[Fault]:
    yield from rig_faults(request.rig)
    yield from statics_faults(request.rig)
    yield from policy_faults(request.policy)
    names = [vehicle.name for vehicle in request.rig.vehicles]
    if request.vehicle is not None:
        yield from unknown(request.vehicle, names, "/vehicle", "vehicle of the rig")
    elif len(names) > 1:
        message = "The rig has several vehicles: which one is to be calibrated?"
        yield Fault("inconsistent_reference", "/vehicle", message, None, ", ".join(names))
    for name in WEIGHS:
        yield from _weigh_faults(request, getattr(request, name), f"/{name}")
    for place, move in enumerate(request.moved):
        yield from move_faults(move, request.rig, f"/moved/{place}")


def _weigh_faults(request: CalibrateLoadsRequest, weighed: WeighedInput, pointer: str) -> Iterator[Fault]:
    """Yield the faults of one weigh, at its place in the request."""
    if (weighed.session is None) == (weighed.loads is None):
        message = (
            "A weigh is told by `session`, its tickets, or by `loads`, those that you know: exactly one of the two."
        )
        yield Fault("inconsistent_choice", pointer, message, None, "session, or loads")
    whole = LoadedRigRequest(units=request.units, rig=request.rig, session=weighed.session, loads=weighed.loads)
    for fault in (
        *pending_faults(whole, takes_states=False),
        *_evidence_faults(weighed, request.rig, chosen_units(request.units)),
    ):
        is_of_rig = fault.pointer.startswith("/rig")
        yield fault if is_of_rig else structs.replace(fault, pointer=f"{pointer}{fault.pointer}")


def _evidence_faults(weighed: WeighedInput, rig: RigInput, units: Units) -> Iterator[Fault]:
    if weighed.session is not None:
        yield from session_faults(weighed.session, rig, units)
    if weighed.loads is not None:
        yield from load_faults(weighed.loads, rig)


def _estimates(rig: Rig, weighed: WeighedInput, policy: PolicyInput, name: str) -> LoadEstimates:
    """Return the loads of one weigh; the request has no faults that show without solving it."""
    if weighed.session is not None:
        return reconcile(rig, weigh_session(weighed.session, policy, rig)).estimates
    try:
        return estimates_from_loads(rig, given_loads(weighed.loads or []))
    except CoreError as refused:
        message = f"{refused.message[:1].upper()}{refused.message[1:]}."
        raise CrossFieldFaults([Fault(f"inconsistent_{refused.code}", f"/{name}/loads", message)]) from refused


def _findings(vehicle: Vehicle, found: Calibration) -> Iterator[Finding]:
    if found.roll_shares is NotDetermined.DISAGREES and found.agreement is not None:
        facts = {"probability": share(found.agreement.probability)}
        yield Finding("calibration_disagrees", Severity.WARNING, vehicle.name, facts)
    elif isinstance(found.roll_shares, NotDetermined):
        reason = {"reason": NOT_DETERMINED[found.roll_shares]}
        yield Finding("calibration_not_determined", Severity.NOTICE, vehicle.name, reason)


def _reason(told: dict[str, Stated] | NotDetermined) -> str | None:
    return NOT_DETERMINED[told] if isinstance(told, NotDetermined) else None


Told = TypeVar("Told")


def _told(
    told: dict[str, Stated] | NotDetermined,
    rig: Rig,
    vehicle: Vehicle,
    answer: Callable[[str, Stated, float], Told],
    coverage_factor: float,
) -> list[Told] | None:
    """Return an answer of each axle, by its name in the vehicle."""
    if isinstance(told, NotDetermined):
        return None
    prefix = f"{vehicle.name}." if len(rig.vehicles) > 1 else ""
    return [answer(name.removeprefix(prefix), each, coverage_factor) for name, each in told.items()]


def _share_answer(axle: str, told: Stated, coverage_factor: float) -> FittedShareAnswer:
    spread = coverage_factor * told.u
    return FittedShareAnswer(
        axle=axle,
        share=told.value,
        standard_uncertainty=told.u,
        low=max(told.value - spread, 0.0),
        high=min(told.value + spread, 1.0),
    )


def _stiffness_answer(axle: str, told: Stated, coverage_factor: float) -> FittedStiffnessAnswer:
    spread = coverage_factor * told.u
    return FittedStiffnessAnswer(
        axle=axle,
        stiffness=told.value,
        standard_uncertainty=told.u,
        low=max(told.value - spread, 0.0),
        high=told.value + spread,
    )


def _agreement_answer(agreement: Agreement | None, significance: float) -> CalibrationAgreementAnswer | None:
    if agreement is None:
        return None
    agrees = agreement.probability >= significance
    return CalibrationAgreementAnswer(
        statistic=agreement.statistic,
        degrees_of_freedom=agreement.degrees_of_freedom,
        probability=agreement.probability,
        agrees=agrees,
        words=(AGREES if agrees else DISAGREES).format(chance=spoken(agreement.probability, SHARE)),
    )
