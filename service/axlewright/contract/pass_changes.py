"""What changed between passes, and how the rig was coupled in each: contradictions, and the way into the core."""

from collections.abc import Iterator

from axlewright.contract.aboard import core_spot, one_of_name, spot_faults, statics_faults
from axlewright.contract.aboard_request import PointInput
from axlewright.contract.coupling_faults import pair_faults
from axlewright.contract.faults import Fault, given_text
from axlewright.contract.needed_units import unit_faults
from axlewright.contract.rig import names_of
from axlewright.contract.rig_request import RigInput
from axlewright.contract.session_request import ChangeInput, SessionInput
from axlewright.contract.units import Units
from axlewright.core.loads.aboard import Spot
from axlewright.core.rig import Place, Rig
from axlewright.core.sessions.passes import PassChange


def is_hitched(session: SessionInput | None) -> bool:
    """Return whether any pass of a session was made hitched."""
    return session is not None and any(each.state != "solo" for each in session.passes)


def coupling_state_faults(session: SessionInput, rig: RigInput, units: Units) -> Iterator[Fault]:
    """Yield every contradiction between the coupling states of a session's passes and the rig."""
    hitched = [place for place, each in enumerate(session.passes) if each.state != "solo"]
    levelled = [place for place, each in enumerate(session.passes) if each.state == "hitched_levelled"]
    if not hitched:
        return
    if not rig.couplings:
        yield Fault(
            "inconsistent_reference",
            f"/session/passes/{hitched[0]}/state",
            "This pass was made hitched, but the rig does not say what tows what.",
            given_text(session.passes[hitched[0]].state),
            "`solo`; or the rig with its `couplings`",
        )
        return
    yield from pair_faults(rig, predicted=False)
    if any(coupling.kind in ("ball", "fifth_wheel") for coupling in rig.couplings):
        yield from statics_faults(rig)
    if levelled and all(coupling.kind != "ball" for coupling in rig.couplings):
        yield Fault(
            "inconsistent_choice",
            f"/session/passes/{levelled[0]}/state",
            "Levelling bars go with a ball; this rig is coupled otherwise.",
            given_text("hitched_levelled"),
            "solo, hitched",
        )
    elif levelled:
        yield from unit_faults(units, ("torque",))


def pass_change_faults(session: SessionInput, rig: RigInput) -> Iterator[Fault]:
    """Yield every contradiction in what changed between passes, and between it and the rig."""
    if any(each.changes for each in session.passes):
        yield from statics_faults(rig)
    for place, each in enumerate(session.passes):
        for position, change in enumerate(each.changes):
            yield from _change_faults(change, rig, f"/session/passes/{place}/changes/{position}")


def _change_faults(change: ChangeInput, rig: RigInput, pointer: str) -> Iterator[Fault]:
    points = [change.aft is not None, change.right is not None]
    if change.place is not None:
        yield from one_of_name(change.place, names_of(rig, "places"), f"{pointer}/place", "place")
        if any(points) or change.vehicle is not None:
            yield Fault(
                "inconsistent_choice",
                pointer,
                "A mass is at a place of the rig or at a point of a vehicle, not both.",
                None,
                "place alone; or aft and right, with the vehicle where there are several",
            )
    elif not all(points):
        yield Fault(
            "inconsistent_choice",
            pointer,
            "Where the mass was is not told.",
            None,
            "place; or aft and right",
        )
    else:
        assert change.aft is not None, "both are told"
        assert change.right is not None, "both are told"
        yield from spot_faults(PointInput(vehicle=change.vehicle, aft=change.aft, right=change.right), rig, pointer)
    if change.mass == 0:
        yield Fault("inconsistent_magnitude", f"{pointer}/mass", "Nothing came or left.", given_text(0), "other than 0")


def core_pass_changes(session: SessionInput, rig: Rig) -> tuple[PassChange, ...]:
    """Return what was otherwise in some passes; the request has no faults."""
    return tuple(_core_change(each.name, change, rig) for each in session.passes for change in each.changes)


def _core_change(pass_name: str, change: ChangeInput, rig: Rig) -> PassChange:
    spot = _spot(change, rig)
    return PassChange(
        pass_name, change.why or "change", change.mass, change.standard_uncertainty, spot.vehicle, spot.place
    )


def _spot(change: ChangeInput, rig: Rig) -> Spot:
    if change.place is not None:
        return core_spot(change.place, rig)
    assert change.aft is not None, "a change without a place has a point"
    assert change.right is not None, "a change without a place has a point"
    vehicle = change.vehicle or rig.vehicles[0].name
    return Spot(vehicle, Place(f"{vehicle} {change.aft!r} {change.right!r}", change.aft, change.right))
