"""Stored documents into one question to the core: a rig of its vehicles, weighed, judged by a saved policy."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import asdict, replace

from axlewright.contract.assessment import AssessAnswer, answer_of
from axlewright.contract.computation import computed_in_si
from axlewright.contract.faults import CrossFieldFaults, Fault, given_text, refuse_contradictions
from axlewright.contract.fleet.documents import (
    AssessmentOrder,
    InflationTableDocument,
    PolicyDocument,
    PressureCheckDocument,
    RigDocument,
    SessionDocument,
    TireDocument,
    VehicleDocument,
)
from axlewright.contract.policy import policy_faults
from axlewright.contract.request import AssessRequest, PolicyInput
from axlewright.contract.rig_faults import rig_faults, table_faults
from axlewright.contract.rig_request import RigInput, VehicleInput
from axlewright.contract.units import Units, chosen_units, in_si
from axlewright.core.tires.identification import Identification, read_identification

T = TypeVar("T", bound=Struct)


class AssessmentDocuments(Struct, frozen=True, kw_only=True):
    """All stored documents that an assessment is computed from; `order` is None for the one made with the weigh."""

    rig: RigDocument
    vehicles: list[VehicleDocument]
    session: SessionDocument
    policy: PolicyDocument | None
    inflation_tables: list[InflationTableDocument]
    order: AssessmentOrder | None


def assessment_of(documents: AssessmentDocuments) -> AssessAnswer:
    """Return the whole assessment of stored documents, each read in its own units.

    Raises
    ------
    CrossFieldFaults
        With all contradictions. Those in stored documents point at what names them.
    """
    session, order = documents.session, documents.order
    units = _units_of_answer(documents)
    as_sent = _request(documents)
    faults: list[Fault] = []
    in_si_documents = AssessmentDocuments(
        rig=documents.rig,
        vehicles=_each_in_si(documents.vehicles, "/rig/vehicles", "/vehicle", faults),
        session=_in_si(session, faults),
        policy=None if documents.policy is None else _in_si(documents.policy, faults),
        inflation_tables=_each_in_si(documents.inflation_tables, "/tire_tables", "/table", faults),
        order=None if order is None else _in_si(order, faults),
    )
    try:
        return answer_of(
            computed_in_si(_request(in_si_documents), units, faults, lambda _: (), takes_states=True, as_sent=as_sent)
        )
    except CrossFieldFaults as refusal:
        names = [document.vehicle.name for document in documents.vehicles]
        told = [_of_stored(fault, names, is_ordered=order is not None) for fault in refusal.faults]
        raise CrossFieldFaults(told, refusal.omitted) from None


def vehicle_faults(document: VehicleDocument) -> None:
    """Refuse a vehicle that contradicts itself."""

    def found(document_si: VehicleDocument) -> Iterator[Fault]:
        for fault in rig_faults(RigInput(name="vehicle", vehicles=[document_si.vehicle])):
            yield _moved(fault, "/rig/vehicles/0", "/vehicle")
        yield from _repeated(document.labels, "/labels", "label")

    _refuse(document, found)


def rig_document_faults(document: RigDocument, vehicles: Sequence[VehicleDocument]) -> None:
    """Refuse a rig whose vehicles do not go together.

    Raises
    ------
    CrossFieldFaults
        With all contradictions, where they stand in the document.
    """
    faults: list[Fault] = _repeated(document.vehicles, "/vehicles", "vehicle")
    if document.last_day is not None and document.last_day < document.first_day:
        faults.append(
            Fault("inconsistent_day", "/last_day", "The last day is before the first.", None, "first_day or later")
        )
    vehicles_si = [_in_si(each, []).vehicle for each in vehicles]
    for fault in rig_faults(_rig(document, vehicles_si)):
        pointer = fault.pointer.removeprefix("/rig")
        head = "/".join(pointer.split("/")[:3])
        faults.append(replace(fault, pointer=head if head.startswith("/vehicles") else pointer))
    refuse_contradictions(faults, document)


def policy_document_faults(document: PolicyDocument) -> None:
    """Refuse a saved policy that contradicts itself."""
    _refuse(document, lambda document_si: policy_faults(document_si.policy))


def table_document_faults(document: InflationTableDocument) -> None:
    """Refuse an inflation table that contradicts itself."""

    def found(document_si: InflationTableDocument) -> Iterator[Fault]:
        for fault in table_faults([document_si.table], RigInput(name="none", vehicles=[])):
            yield _moved(fault, "/tire_tables/0", "/table")

    _refuse(document, found)


def tire_document_faults(document: TireDocument) -> None:
    """Refuse a fitted tire that came off before it came on, or was made after that."""

    def found(_: TireDocument) -> Iterator[Fault]:
        number, day = document.identification_number, document.fitted_on
        read = None if number is None else read_identification(number, day)
        if isinstance(read, Identification) and read.first_day is not None and read.first_day > day:
            message = f"A tire fitted on {day} cannot have been made in a week that begins on {read.first_day}."
            allowed = "a number whose week had begun by then"
            yield Fault("inconsistent_identification", "/identification_number", message, given_text(number), allowed)
        if document.taken_off_on is not None and document.taken_off_on < document.fitted_on:
            message = "The tire came off before it came on."
            yield Fault("inconsistent_day", "/taken_off_on", message, None, "fitted_on or later")

    _refuse(document, found)


def check_document_faults(document: PressureCheckDocument) -> None:
    """Refuse a round with the gauge that tells a tire twice."""

    def found(_: PressureCheckDocument) -> Iterator[Fault]:
        for fault in _repeated([tire.position for tire in document.tires], "/tires", "tire"):
            yield replace(fault, pointer=f"{fault.pointer}/position")

    _refuse(document, found)


def document_faults(document: Struct) -> None:
    """Refuse a document for what any is refused for: a quantity beyond its range, or in a unit that was not named."""
    _refuse(document, lambda _: ())


def _refuse(document: T, found: Callable[[T], Iterable[Fault]]) -> None:
    """Refuse a document for its quantities and for what is found in it, in SI.

    Raises
    ------
    CrossFieldFaults
        With all contradictions, where they stand in the document.
    """
    faults: list[Fault] = []
    document_si = _in_si(document, faults)
    refuse_contradictions([*faults, *found(document_si)], document)


def _units_of_answer(documents: AssessmentDocuments) -> Units:
    """Return the units of the order, else of the tickets; kinds that they do not name as the vehicles name them."""
    others = (documents.policy, *documents.inflation_tables)
    named = [each for each in (documents.order, documents.session, *documents.vehicles, *others) if each is not None]
    first, *rest = (chosen_units(document.units) for document in named)
    for units in rest:
        missing = {kind: unit for kind, unit in asdict(units).items() if getattr(first, kind) is None}
        first = replace(first, **missing)
    return first


def _request(documents: AssessmentDocuments) -> AssessRequest:
    policy, order = documents.policy, documents.order
    ordered = None if order is None else order.conditions
    saved = None if policy is None else policy.conditions
    return AssessRequest(
        units=documents.session.units if order is None else order.units,
        rig=_rig(documents.rig, [document.vehicle for document in documents.vehicles]),
        session=documents.session.session,
        coupling_loads=documents.session.coupling_loads,
        policy=PolicyInput() if policy is None else policy.policy,
        tire_tables=[document.table for document in documents.inflation_tables],
        conditions=saved if ordered is None else ordered,
    )


def _rig(document: RigDocument, vehicles: list[VehicleInput]) -> RigInput:
    return RigInput(name=document.name, vehicles=vehicles, couplings=document.couplings)


def _in_si(document: T, faults: list[Fault]) -> T:
    units = getattr(document, "units", None)
    if units is None:
        return document
    document_si, found = in_si(document, chosen_units(units))
    faults += found
    return document_si


def _each_in_si(documents: Iterable[T], place: str, inside: str, faults: list[Fault]) -> list[T]:
    converted: list[T] = []
    for i, document in enumerate(documents):
        found: list[Fault] = []
        converted.append(_in_si(document, found))
        faults += [_moved(fault, inside, f"{place}/{i}") for fault in found]
    return converted


def _of_stored(fault: Fault, vehicle_names: Sequence[str], *, is_ordered: bool) -> Fault:
    """Return a fault at the name in what was sent by which its stored document was taken."""
    first, *rest = fault.pointer.split("/")[1:] or [""]
    if first in ("session", "coupling_loads") and not is_ordered:
        return fault
    if first == "units" or (first == "conditions" and is_ordered):
        return fault
    stored = {"tire_tables": "an inflation table", "policy": "the saved policy", "conditions": "the saved policy"}
    is_vehicle = first == "rig" and rest[:1] == ["vehicles"] and len(rest) > 1
    where = f"the vehicle {vehicle_names[int(rest[1])]}" if is_vehicle else stored.get(first, "the rig")
    if first in ("session", "coupling_loads"):
        where = "the weigh"
    pointer = "/session_id" if is_ordered else "/rig_id"
    message = f"In {where} as it is kept, at {fault.pointer}: {fault.message}"
    return replace(fault, pointer=pointer, message=message)


def _moved(fault: Fault, from_: str, to: str) -> Fault:
    return replace(fault, pointer=to + fault.pointer.removeprefix(from_))


def _repeated(values: Sequence[str], place: str, what: str) -> list[Fault]:
    return [
        Fault("inconsistent_repeat", f"{place}/{i}", f"Each {what} stands here once.")
        for i, value in enumerate(values)
        if value in values[:i]
    ]
