"""What the contract describes and this version does not compute yet: refused by name, or carried and said so."""

from collections.abc import Iterator

from axlewright.contract.faults import Fault
from axlewright.contract.problems import NOT_YET_COMPUTED
from axlewright.contract.request import CoupledRigRequest, LoadedRigRequest
from axlewright.contract.rig_request import RigInput
from axlewright.contract.session_request import SessionInput


def pending_faults(request: LoadedRigRequest) -> Iterator[Fault]:
    """Yield a fault for every part of a request that would change the numbers and is not computed yet."""
    if request.rig.couplings and not isinstance(request, CoupledRigRequest):
        yield _pending(
            "/rig/couplings",
            "Coupled rigs are, but at /v1/loads/towing,",
            "weigh each vehicle on its own, and leave `couplings` out; or ask /v1/loads/towing",
        )
    if request.session is None:
        return
    for place, each in enumerate(request.session.passes):
        pointer = f"/session/passes/{place}"
        if each.state != "solo":
            yield _pending(f"{pointer}/state", "Passes made hitched are", "`solo`, with each vehicle weighed alone")
        if each.changes:
            yield _pending(
                f"{pointer}/changes",
                "Changes between passes are",
                "passes made in one state of load, without changes",
            )


def carried_names(rig: RigInput, session: SessionInput | None, *, speed_is_stated: bool) -> list[str]:
    """Return the names in a request that are checked and kept, but on which no figure of the answer rests yet."""
    names = []
    for vehicle in rig.vehicles:
        names += [
            f"{vehicle.name}.{name}" if len(rig.vehicles) > 1 else name
            for name in ("gcwr", "hitch", "groups", "tanks", "places")
            if getattr(vehicle, name)
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
