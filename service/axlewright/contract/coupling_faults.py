"""What contradicts itself in how the vehicles of a rig are coupled."""

from collections.abc import Iterator

from axlewright.contract.faults import Fault
from axlewright.contract.problems import NOT_YET_COMPUTED
from axlewright.contract.rig import unknown
from axlewright.contract.rig_request import CouplingInput, RigInput
from axlewright.core.rig import TRAILERS

KINDS: dict[str, frozenset[str]] = {
    "ball": frozenset({"travel_trailer", "trailer"}),
    "fifth_wheel": frozenset({"fifth_wheel", "trailer"}),
    "towbar": frozenset({"towed_car"}),
    "dolly": frozenset({"towed_car"}),
}
"""What each kind of coupling tows."""


def pair_faults(rig: RigInput, *, predicted: bool) -> Iterator[Fault]:
    """Yield what keeps a rig from being two vehicles with one coupling.

    Parameters
    ----------
    predicted
        Loads hitched are to be told by statics, not weighed: those with a dolly are not.
    """
    if len(rig.couplings) != 1 or len(rig.vehicles) != 2:
        yield Fault(
            NOT_YET_COMPUTED if len(rig.couplings) > 1 else "inconsistent_choice",
            "/rig/couplings",
            "Coupling states are told of a rig of two vehicles with one coupling; longer rigs are not computed yet.",
            None,
            "two vehicles, and one coupling between them",
        )
        return
    (coupling,) = rig.couplings
    yield from _coupling_faults(coupling, rig, predicted=predicted)


def _coupling_faults(coupling: CouplingInput, rig: RigInput, *, predicted: bool) -> Iterator[Fault]:
    pointer = "/rig/couplings/0"
    by_name = {vehicle.name: (place, vehicle) for place, vehicle in enumerate(rig.vehicles)}
    if not {coupling.tow, coupling.towed} <= by_name.keys():
        return
    place, tow = by_name[coupling.tow]
    towed = by_name[coupling.towed][1]
    if coupling.tow == coupling.towed or tow.kind in TRAILERS or tow.kind == "towed_car":
        yield from unknown(coupling.tow, _motor_vehicles(rig, coupling.towed), f"{pointer}/tow", "vehicle that can tow")
        return
    if towed.kind not in KINDS[coupling.kind]:
        allowed = sorted(kind for kind, towed_kinds in KINDS.items() if towed.kind in towed_kinds)
        yield Fault(
            "inconsistent_choice",
            f"{pointer}/kind",
            f"A {towed.kind.replace('_', ' ')} is not towed like this.",
            None,
            ", ".join(allowed) or "a trailer or a towed car as what is towed",
        )
    elif coupling.kind == "dolly" and predicted:
        yield Fault(
            NOT_YET_COMPUTED,
            f"{pointer}/kind",
            "What a car on a dolly does to the towing vehicle is not computed yet; nothing of it is guessed.",
            None,
            "`towbar`, or a trailer; or weigh it hitched, and ask /v1/sessions/reconcile or /v1/assess",
        )
    elif tow.hitch is None and coupling.kind in ("ball", "fifth_wheel"):
        yield Fault(
            "inconsistent_reference",
            f"/rig/vehicles/{place}/hitch",
            "Where the trailer is hitched is not known: the towing vehicle has no `hitch`.",
            None,
            "its hitch, with its place and ratings",
        )


def _motor_vehicles(rig: RigInput, towed: str) -> list[str]:
    return [
        each.name
        for each in rig.vehicles
        if each.name != towed and each.kind not in TRAILERS and each.kind != "towed_car"
    ]
