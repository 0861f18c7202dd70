"""Contradictions in what is asked of headroom."""

from collections.abc import Iterator

from axlewright.contract.aboard import full_name, one_of_name, spot_faults, statics_faults
from axlewright.contract.faults import Fault
from axlewright.contract.headroom_request import FindHeadroomRequest, RemovableInput
from axlewright.contract.rig import names_of, repeated
from axlewright.contract.rig_request import RigInput


def headroom_faults(request: FindHeadroomRequest) -> Iterator[Fault]:
    """Yield every contradiction of places, points and what may come off, and between them and the rig."""
    rig = request.rig
    yield from statics_faults(rig)
    for place, name in enumerate(request.places or []):
        yield from one_of_name(name, names_of(rig, "places"), f"/places/{place}", "place")
    full = [full_name(name, rig, "places") or name for name in request.places or []]
    yield from repeated("place", "/places/{}", full)
    for place, point in enumerate(request.points):
        yield from spot_faults(point, rig, f"/points/{place}")
    if not request.points and not (names_of(rig, "places") if request.places is None else request.places):
        yield Fault(
            "inconsistent_choice",
            "/points" if request.places is None else "/places",
            "There is no place to ask about: the rig has none, or none of it is named.",
            None,
            "a point, or a place of the rig",
        )
    yield from repeated("removable thing", "/removable/{}/name", [each.name for each in request.removable or []])
    for place, each in enumerate(request.removable or []):
        yield from _removable_faults(each, rig, f"/removable/{place}")


def _removable_faults(removable: RemovableInput, rig: RigInput, pointer: str) -> Iterator[Fault]:
    if (removable.place is None) == (removable.tank is None):
        yield Fault(
            "inconsistent_choice",
            pointer,
            "It is in a place, or in a tank: exactly one of the two.",
            None,
            "place, or tank",
        )
    elif removable.place is not None:
        yield from spot_faults(removable.place, rig, f"{pointer}/place")
    elif removable.tank is not None:
        yield from one_of_name(removable.tank, names_of(rig, "tanks"), f"{pointer}/tank", "tank")
