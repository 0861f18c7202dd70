"""What the contract describes and this version does not compute yet: refused by name, or carried and said so."""

from collections.abc import Iterator

from axlewright.contract.faults import Fault
from axlewright.contract.pass_changes import is_hitched
from axlewright.contract.problems import NOT_YET_COMPUTED
from axlewright.contract.request import CoupledRigRequest, LoadedRigRequest
from axlewright.contract.rig_request import RigInput
from axlewright.contract.session_request import SessionInput


def pending_faults(request: LoadedRigRequest, *, takes_states: bool, loads_only: bool = False) -> Iterator[Fault]:
    """Yield a fault for every part of a request that would change the numbers and is not computed yet.

    Parameters
    ----------
    takes_states
        The question may be asked of a rig that was weighed hitched.
    loads_only
        The answer tells what was on the scale, and judges nothing: then it may have been each vehicle by itself.
    """
    if is_hitched(request.session):
        assert request.session is not None
        if not takes_states:
            place = next(n for n, each in enumerate(request.session.passes) if each.state != "solo")
            yield _pending(
                f"/session/passes/{place}/state",
                "Predictions from passes made hitched are",
                "`solo`, with each vehicle weighed alone; or ask /v1/assess or one of its rooms",
            )
    elif (
        any(coupling.kind != "towbar" for coupling in request.rig.couplings)
        and not isinstance(request, CoupledRigRequest)
        and not loads_only
    ):
        yield Fault(
            NOT_YET_COMPUTED,
            "/rig/couplings",
            "The rig is coupled, but each vehicle was weighed by itself: hitched, they carry otherwise, and that is "
            "told at /v1/loads/towing only.",
            None,
            "passes made hitched, with their `state`; or a rig without `couplings`, to judge each vehicle by itself; "
            "or /v1/loads/towing",
        )


def carried_names(rig: RigInput, session: SessionInput | None, *, speed_is_stated: bool) -> list[str]:
    """Return the names in a request that are checked and kept, but on which no figure of the answer rests yet."""
    names = []
    judged = {"gcwr", "hitch"} if is_hitched(session) else set()
    for vehicle in rig.vehicles:
        names += [
            f"{vehicle.name}.{name}" if len(rig.vehicles) > 1 else name
            for name in ("gcwr", "hitch", "groups", "tanks", "places")
            if name not in judged and getattr(vehicle, name)
        ]
    if not speed_is_stated and any(axle.tires.speed_symbol for vehicle in rig.vehicles for axle in vehicle.axles):
        names.append("speed_symbol")
    if session and session.carried:
        names.append("carried")
    return names


def _pending(pointer: str, what: str, instead: str) -> Fault:
    return Fault(
        NOT_YET_COMPUTED,
        pointer,
        f"{what} described in the contract but not computed yet; nothing of it is guessed.",
        None,
        instead,
    )
