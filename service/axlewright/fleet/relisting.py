"""Puts a rig into the list by what is kept of it: its vehicles' labels, its last weigh, how it stood then."""

from collections.abc import Sequence
from typing import Any, Final

import msgspec
from msgspec import Raw, Struct

from axlewright.fleet.assessments import listing_of_session
from axlewright.fleet.listing import NOT_WEIGHED, Listed, list_again
from axlewright.fleet.schemas import leniently_read
from axlewright.fleet.stored import RIGS, vehicles_of_rig
from axlewright.fleet.tables import NEVER
from axlewright.fleet.timeline import last_of_kind
from axlewright.fleet.unit import WritingUnit


class _Named(Struct):
    """What a rig is shown by; whatever else its document has."""

    name: str
    first_day: str
    last_day: str | None = None


class VehicleTags(Struct):
    """What a vehicle is found by; whatever else its document has."""

    asset_number: str | None = None
    labels: list[str] = []


class _Assessed(Struct):
    """What of an assessment's input is kept elsewhere too, and may change there."""

    rig: Raw
    vehicles: list[Raw]


_NOT_ASSESSED: Final = {"name", "first_day", "last_day", "asset_number", "labels", "archived"}
"""What no assessment reads of a rig's or a vehicle's document."""


def is_changed(input_text: str, rig_text: str, vehicle_texts: Sequence[str]) -> bool:
    """Tell whether a rig or its vehicles are kept otherwise now, in what an assessment reads, than in its input."""
    then = msgspec.json.decode(input_text, type=_Assessed)
    now = [rig_text, *vehicle_texts]
    return [_read_of(bytes(raw)) for raw in (then.rig, *then.vehicles)] != [_read_of(text) for text in now]


def _read_of(text: str | bytes) -> dict[str, Any]:
    document: dict[str, Any] = msgspec.json.decode(text)
    return {name: value for name, value in document.items() if name not in _NOT_ASSESSED}


def relist(unit: WritingUnit, rig_id: str) -> None:
    """List a rig anew."""
    rig = RIGS.locked(unit, rig_id)
    named = leniently_read(rig.text, _Named, "/vehicles")
    vehicles = vehicles_of_rig(unit, rig_id)
    tags = [leniently_read(row.text, VehicleTags, "/vehicles") for row in vehicles]
    weigh = last_of_kind(unit, rig_id, "weigh")
    figures, changed_since = NOT_WEIGHED, False
    if weigh is not None:
        figures, input_text = listing_of_session(unit, weigh.entry_id)
        changed_since = is_changed(input_text, rig.text, [row.text for row in vehicles])
    labels = {label for vehicle in tags for label in vehicle.labels}
    list_again(
        unit,
        rig_id,
        Listed(
            name=named.name,
            first_day=named.first_day,
            last_day=named.last_day,
            archived=rig.archived,
            asset_number=tags[0].asset_number or "",
            labels=sorted(labels),
            weighed_on=NEVER if weigh is None else weigh.day,
            changed_since=changed_since,
            axles=figures,
        ),
    )
