"""What follows from a change of a vehicle or a rig: both go together, with the rig's weighs, and into the list."""

from collections.abc import Mapping
from typing import Any

from msgspec import Struct
from sqlalchemy import func, select

from axlewright.contract.faults import CrossFieldFaults, Fault
from axlewright.contract.fleet import documents as sent
from axlewright.contract.fleet.composition import rig_document_faults
from axlewright.fleet import tables
from axlewright.fleet.kept import KeptRow
from axlewright.fleet.listing import put_vehicles, rigs_of_vehicle
from axlewright.fleet.refusals import Conflicting
from axlewright.fleet.relisting import relist
from axlewright.fleet.schemas import leniently_read, strictly_read
from axlewright.fleet.stored import (
    INFLATION_TABLES,
    POLICIES,
    RIGS,
    SESSIONS,
    VEHICLES,
    of_ids,
    require_in_use,
    required,
    vehicles_of,
    vehicles_of_rig,
)
from axlewright.fleet.unit import Unit, WritingUnit

Columns = Mapping[str, Any]


def vehicle_columns(_: Unit, document: sent.VehicleDocument) -> Columns:
    """Return what a vehicle is found by."""
    return {"asset_number": document.asset_number}


def settle_vehicle(unit: WritingUnit, row: KeptRow, _: sent.VehicleDocument, before: KeptRow | None) -> None:
    """See that the rigs of a changed vehicle still hold together, and list them anew.

    Raises
    ------
    Conflicting
        If one of them does not.
    """
    for rig_id in [] if before is None else rigs_of_vehicle(unit, row.id):
        _refuse_broken(unit, rig_id)
        relist(unit, rig_id)


def _refuse_broken(unit: WritingUnit, rig_id: str) -> None:
    """Refuse a vehicle that does not go any more with the others of a rig in use."""
    rig = RIGS.locked(unit, rig_id)
    if rig.archived:
        return
    document = strictly_read(rig.text, sent.RigDocument, "/vehicle")
    if document.last_day is not None and document.last_day.isoformat() < unit.moment[:10]:
        return
    try:
        rig_document_faults(document, vehicles_of(unit, document, "/vehicle"))
    except CrossFieldFaults as refusal:
        message = f"The rig {document.name} does not hold together with that: {refusal.faults[0].message}"
        raise Conflicting(Fault("inconsistent_reference", "/vehicle", message)) from None


def rig_columns(unit: Unit, document: sent.RigDocument) -> Columns:
    """Refuse a rig that names what is not there or does not go together; there are no columns of its own.

    Raises
    ------
    Conflicting, CrossFieldFaults
        With what is wrong.
    """
    rig_document_faults(document, vehicles_of(unit, document, "/vehicles"))
    if document.policy_id is not None:
        required(unit, POLICIES, document.policy_id, "/policy_id")
    of_ids(unit, INFLATION_TABLES, document.inflation_table_ids, "/inflation_table_ids")
    return {}


def settle_rig(unit: WritingUnit, row: KeptRow, document: sent.RigDocument, before: KeptRow | None) -> None:
    """See that a rig goes with its weighs and newly names nothing archived, and list it.

    Raises
    ------
    Conflicting
        If it does not.
    """
    present = [] if before is None else [vehicle.id for vehicle in vehicles_of_rig(unit, row.id)]
    if before is not None and present != document.vehicles and SESSIONS.newest(unit, {"rig_id": row.id}, 1):
        message = "This rig was weighed with its vehicles: end it by `last_day`, and make another one of these."
        raise Conflicting(Fault("inconsistent_reference", "/vehicles", message))
    if before is not None:
        _refuse_other_days(unit, row.id, document)
    _refuse_archived(unit, document, before)
    for vehicle_id in sorted({*document.vehicles} - {*present}):
        VEHICLES.locked(unit, vehicle_id)  # one that changes now does not see this rig, so it must have changed before
    put_vehicles(unit, row.id, document.vehicles)
    relist(unit, row.id)


class _Named(Struct):
    """What a rig names to be assessed by; whatever else its document has."""

    policy_id: str | None = None
    inflation_table_ids: list[str] = []


def _refuse_archived(unit: Unit, document: sent.RigDocument, before: KeptRow | None) -> None:
    """Refuse to name a policy or table that is archived, if the rig did not name it before."""
    named = _Named() if before is None else leniently_read(before.text, _Named, "")
    if document.policy_id not in (None, named.policy_id):
        require_in_use(POLICIES.found(unit, document.policy_id), "/policy_id")
    tables_named = INFLATION_TABLES.of_ids(unit, document.inflation_table_ids)
    for place, id_ in enumerate(document.inflation_table_ids):
        if id_ not in named.inflation_table_ids:
            require_in_use(tables_named[id_], f"/inflation_table_ids/{place}")


def _refuse_other_days(unit: Unit, rig_id: str, document: sent.RigDocument) -> None:
    """Refuse days of a rig without one on which it was weighed."""
    c = tables.SESSIONS.c
    weighed = select(func.min(c.day), func.max(c.day)).where(
        c.operator_id == unit.operator_id, c.rig_id == rig_id, c.superseded_by.is_(None)
    )
    first, last = unit.connection.execute(weighed).one()
    if first is not None and first < document.first_day.isoformat():
        message = "The rig was weighed before that day."
        raise Conflicting(Fault("inconsistent_day", "/first_day", message, None, f"{first} or earlier"))
    if last is not None and document.last_day is not None and last > document.last_day.isoformat():
        message = "The rig was weighed after that day."
        raise Conflicting(Fault("inconsistent_day", "/last_day", message, None, f"{last} or later"))
