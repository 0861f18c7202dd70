"""Puts a rig into the list by what is kept of it: its vehicles' labels, its last weigh, how it stood then."""

from msgspec import Struct

from axlewright.fleet.assessments import figures_of_session
from axlewright.fleet.listing import NOT_WEIGHED, Listed, list_again
from axlewright.fleet.schemas import leniently_read
from axlewright.fleet.stored import RIGS, vehicles_of_rig
from axlewright.fleet.tables import NEVER
from axlewright.fleet.timeline import last_of_kind
from axlewright.fleet.unit import Unit, WritingUnit


class _Named(Struct):
    """What a rig is shown by; whatever else its document has."""

    name: str
    first_day: str
    last_day: str | None = None


class VehicleTags(Struct):
    """What a vehicle is found by; whatever else its document has."""

    asset_number: str | None = None
    labels: list[str] = []


def relist(unit: WritingUnit, rig_id: str) -> None:
    """List a rig anew."""
    rig = RIGS.locked(unit, rig_id)
    named = leniently_read(rig.text, _Named, "/vehicles")
    tags = _tags(unit, rig_id)
    weigh = last_of_kind(unit, rig_id, "weigh")
    figures = None if weigh is None else figures_of_session(unit, weigh.entry_id)
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
            axles=NOT_WEIGHED if figures is None else figures,
        ),
    )


def _tags(unit: Unit, rig_id: str) -> list[VehicleTags]:
    return [leniently_read(row.text, VehicleTags, "/vehicles") for row in vehicles_of_rig(unit, rig_id)]
