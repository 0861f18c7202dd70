"""Everything of one rig, by a number of queries that does not grow with the fleet."""

from msgspec import Struct

from axlewright.fleet import assessments
from axlewright.fleet.assessments import WholeAssessment
from axlewright.fleet.kept import KeptRow
from axlewright.fleet.kinds import RECORDED
from axlewright.fleet.recorded import RecordedRow
from axlewright.fleet.relisting import is_changed
from axlewright.fleet.rows import Held
from axlewright.fleet.stored import LAYOUTS, RIGS, SESSIONS, TIRES, vehicles_of_rig
from axlewright.fleet.timeline import last_of_kind
from axlewright.fleet.unit import Unit

MOST_TIRES = 64
MOST_LAYOUTS = 20
MOST_CHECKS = 5
MOST_EVENTS = 10
MOST_READINGS = 5


class RigPageRows(Struct, frozen=True, kw_only=True):
    """Everything of one rig, the newest of each kind first."""

    rig: KeptRow
    vehicles: list[KeptRow]
    last_session: RecordedRow | None
    last_assessment: WholeAssessment | None
    changed_since: bool
    tires: list[KeptRow]
    layouts: list[KeptRow]
    pressure_checks: list[RecordedRow]
    upkeep_events: list[RecordedRow]
    odometer_readings: list[RecordedRow]


def of(unit: Unit, rig_id: str) -> RigPageRows:
    """Return everything of a rig.

    Raises
    ------
    NoSuchThing
        If this operator has none of the id.
    """
    rig = RIGS.found(unit, rig_id)
    weigh = last_of_kind(unit, rig_id, "weigh")
    vehicles = vehicles_of_rig(unit, rig_id)
    last_assessment = None if weigh is None else assessments.newest_of_session(unit, weigh.entry_id)
    ids = [vehicle.id for vehicle in vehicles]
    return RigPageRows(
        rig=rig,
        vehicles=vehicles,
        last_session=None if weigh is None else SESSIONS.found(unit, weigh.entry_id),
        last_assessment=last_assessment,
        changed_since=last_assessment is not None
        and is_changed(last_assessment.input_text, rig.text, [vehicle.text for vehicle in vehicles]),
        tires=[tire for id_ in ids for tire in _tires(unit, id_)],
        layouts=LAYOUTS.newest(unit, {"rig_id": rig_id, "archived": 0}, MOST_LAYOUTS),
        pressure_checks=_records(unit, "pressure_checks", ids, MOST_CHECKS),
        upkeep_events=_records(unit, "upkeep_events", ids, MOST_EVENTS),
        odometer_readings=_records(unit, "odometer_readings", ids, MOST_READINGS),
    )


def _tires(unit: Unit, vehicle_id: str) -> list[KeptRow]:
    still_on: Held = {"vehicle_id": vehicle_id, "archived": 0, "taken_off_on": None}
    return TIRES.newest(unit, still_on, MOST_TIRES)


def _records(unit: Unit, kind: str, vehicle_ids: list[str], limit: int) -> list[RecordedRow]:
    """Return the newest records of each vehicle."""
    records = RECORDED[kind].records
    return [row for id_ in vehicle_ids for row in records.newest(unit, {"vehicle_id": id_}, limit)]
