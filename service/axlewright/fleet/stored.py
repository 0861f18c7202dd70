"""The kept documents by kind, and the stored ones that a computation is made of."""

from collections.abc import Sequence

from sqlalchemy import bindparam, select

from axlewright.contract.faults import Fault
from axlewright.contract.fleet.documents import RigDocument, VehicleDocument
from axlewright.fleet import tables
from axlewright.fleet.kept import KeptDocuments, KeptRow
from axlewright.fleet.recorded import Records, no_such_reference
from axlewright.fleet.refusals import Conflicting
from axlewright.fleet.schemas import strictly_read
from axlewright.fleet.unit import Unit

VEHICLES = KeptDocuments("vehicles", tables.VEHICLES)
RIGS = KeptDocuments("rigs", tables.RIGS)
TIRES = KeptDocuments("tires", tables.FITTED_TIRES)
LAYOUTS = KeptDocuments("layouts", tables.LAYOUTS)
INFLATION_TABLES = KeptDocuments("inflation_tables", tables.INFLATION_TABLES)
POLICIES = KeptDocuments("policies", tables.POLICIES)
SESSIONS = Records("sessions", tables.SESSIONS, "rig_id", "snapshot", "day")


def required(unit: Unit, documents: KeptDocuments, id_: str, pointer: str) -> KeptRow:
    """Return the document of an id that another document names.

    Raises
    ------
    Conflicting
        If it is not there.
    """
    found = documents.of_ids(unit, [id_])
    if not found:
        raise Conflicting(no_such_reference(pointer, documents.kind))
    return found[id_]


def require_in_use(row: KeptRow, pointer: str) -> None:
    """Refuse to name a document that is archived.

    Raises
    ------
    Conflicting
        If it is.
    """
    if row.archived:
        raise Conflicting(Fault("inconsistent_reference", pointer, "It is archived: out of use."))


def of_ids(unit: Unit, documents: KeptDocuments, ids: Sequence[str], pointer: str) -> list[KeptRow]:
    """Return the documents of ids, in their order.

    Raises
    ------
    Conflicting
        If one of them is not there.
    """
    found = documents.of_ids(unit, ids)
    for place, id_ in enumerate(ids):
        if id_ not in found:
            raise Conflicting(no_such_reference(f"{pointer}/{place}", documents.kind))
    return [found[id_] for id_ in ids]


_RV, _V = tables.RIG_VEHICLES.c, tables.VEHICLES.c
_VEHICLES_OF_RIG = (
    select(*VEHICLES.columns)
    .select_from(tables.RIG_VEHICLES)
    .join(tables.VEHICLES, (_V.operator_id == _RV.operator_id) & (_V.id == _RV.vehicle_id))
    .where(_RV.operator_id == bindparam("operator_id"), _RV.rig_id == bindparam("rig_id"))
    .order_by(_RV.position)
)


def vehicles_of_rig(unit: Unit, rig_id: str) -> list[KeptRow]:
    """Return the vehicles of a kept rig, in its order."""
    whose = {"operator_id": unit.operator_id, "rig_id": rig_id}
    return [VEHICLES.read(row) for row in unit.connection.execute(_VEHICLES_OF_RIG, whose)]


def vehicles_of(unit: Unit, rig: RigDocument, pointer: str) -> list[VehicleDocument]:
    """Return the vehicles of a rig, in its order.

    Raises
    ------
    Conflicting
        If one of them is not there, or refused by today's contract.
    """
    rows = of_ids(unit, VEHICLES, rig.vehicles, pointer)
    return [strictly_read(row.text, VehicleDocument, f"{pointer}/{i}") for i, row in enumerate(rows)]
