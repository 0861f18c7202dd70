"""Which axles, wheel ends and tires a kept vehicle has, read from its document whatever else stands there."""

from typing import Literal

from msgspec import Struct

from axlewright.contract.faults import Fault
from axlewright.fleet.kept import KeptRow
from axlewright.fleet.refusals import Conflicting
from axlewright.fleet.schemas import leniently_read

_TAILS = {"single": ("",), "dual": (".inner", ".outer")}


class _Tires(Struct):
    fitment: Literal["single", "dual"]


class _Axle(Struct):
    name: str
    tires: _Tires


class _Vehicle(Struct):
    axles: list[_Axle]


class _Document(Struct):
    vehicle: _Vehicle


def require_tire(row: KeptRow, position: str, pointer: str) -> None:
    """Refuse a tire that a vehicle does not have.

    Raises
    ------
    Conflicting
        With the tires that it has.
    """
    _require(_tires(row), position, pointer)


def require_part(row: KeptRow, subject: str, pointer: str) -> None:
    """Refuse what is neither the vehicle nor an axle, wheel end or tire of it.

    Raises
    ------
    Conflicting
        With what there is.
    """
    parts = dict.fromkeys(".".join(tire.split(".")[:depth]) for tire in _tires(row) for depth in (1, 2, 3))
    _require(["vehicle", *parts], subject, pointer)


def _tires(row: KeptRow) -> list[str]:
    axles = leniently_read(row.text, _Document, "/vehicle_id").vehicle.axles
    ends = [(f"{axle.name}.{side}", axle.tires.fitment) for axle in axles for side in ("left", "right")]
    return [f"{end}{tail}" for end, fitment in ends for tail in _TAILS[fitment]]


def _require(names: list[str], name: str, pointer: str) -> None:
    if name not in names:
        message = "The vehicle has nothing of this name."
        raise Conflicting(Fault("inconsistent_reference", pointer, message, f'"{name}"', ", ".join(names)))
