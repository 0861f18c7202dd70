"""The units on the wire, and the one place where documents pass into SI and back.

Every number of the contract that has a unit carries ``x-quantity`` in its schema; the plans below are read from
there, so that no field is converted by hand.
"""

from collections.abc import Callable, Iterator
from functools import cache
from math import isfinite
from typing import Annotated, Any, Literal, TypeVar

import msgspec
from msgspec import Meta, Struct, structs
from msgspec.inspect import ListType, Metadata, StructType, Type, UnionType

from axlewright.contract.faults import Fault, pointer_of
from axlewright.core import units as si

T = TypeVar("T", bound=Struct)
Path = tuple[str | int, ...]


class Units(Struct, frozen=True, forbid_unknown_fields=True):
    """A unit for each kind of quantity. A request names every kind that it uses."""

    mass: Annotated[Literal["lb", "kg"] | None, Meta(description="Loads and masses.")] = None
    pressure: Annotated[Literal["psi", "kPa", "bar"] | None, Meta(description="Gauge pressures.")] = None
    length: Annotated[Literal["in", "mm", "m"] | None, Meta(description="Places, tracks.")] = None
    temperature: Annotated[Literal["degF", "degC"] | None, Meta(description="Temperatures.")] = None
    volume: Annotated[Literal["gal", "L"] | None, Meta(description="Tank capacities; `gal` is the US gallon.")] = None
    distance: Annotated[Literal["mi", "km"] | None, Meta(description="Distances on the road.")] = None
    altitude: Annotated[Literal["ft", "m"] | None, Meta(description="Altitudes above sea level.")] = None
    torque: Annotated[Literal["lbf_ft", "N_m"] | None, Meta(description="Tightening torques.")] = None
    speed: Annotated[Literal["mph", "km_h"] | None, Meta(description="Speeds.")] = None


PRESETS = {
    "us": Units("lb", "psi", "in", "degF", "gal", "mi", "ft", "lbf_ft", "mph"),
    "metric": Units("kg", "kPa", "mm", "degC", "L", "km", "m", "N_m", "km_h"),
}


class Unit(Struct, frozen=True):
    """One unit: SI value = (number + offset) * factor; printed to so many decimals, with this sign for people."""

    factor: float
    decimals: int
    sign: str
    offset: float = 0.0

    def to_si(self, number: float) -> float:
        """Return the SI value of a number in this unit."""
        return (number + self.offset) * self.factor

    def from_si(self, value: float) -> float:
        """Return the number in this unit of an SI value."""
        return value / self.factor - self.offset


UNITS: dict[tuple[str, str], Unit] = {
    ("mass", "lb"): Unit(si.POUND_KG, 1, "lb"),
    ("mass", "kg"): Unit(1.0, 1, "kg"),
    ("pressure", "psi"): Unit(si.PSI_PA, 2, "psi"),
    ("pressure", "kPa"): Unit(si.KILOPASCAL_PA, 1, "kPa"),
    ("pressure", "bar"): Unit(si.BAR_PA, 3, "bar"),
    ("length", "in"): Unit(si.INCH_M, 1, "in"),
    ("length", "mm"): Unit(0.001, 0, "mm"),
    ("length", "m"): Unit(1.0, 3, "m"),
    ("temperature", "degF"): Unit(si.RANKINE_K, 1, "°F", si.FAHRENHEIT_ZERO_R),
    ("temperature", "degC"): Unit(1.0, 1, "°C", si.CELSIUS_ZERO_K),
    ("volume", "gal"): Unit(si.GALLON_M3, 1, "gal"),
    ("volume", "L"): Unit(si.LITER_M3, 1, "L"),
    ("distance", "mi"): Unit(si.MILE_M, 1, "mi"),
    ("distance", "km"): Unit(1000.0, 1, "km"),
    ("altitude", "ft"): Unit(si.FOOT_M, 0, "ft"),
    ("altitude", "m"): Unit(1.0, 0, "m"),
    ("torque", "lbf_ft"): Unit(si.POUND_FORCE_FOOT_N_M, 1, "lbf·ft"),
    ("torque", "N_m"): Unit(1.0, 1, "N·m"),
    ("speed", "mph"): Unit(si.MILE_PER_HOUR_M_PER_S, 1, "mph"),
    ("speed", "km_h"): Unit(si.KILOMETER_PER_HOUR_M_PER_S, 1, "km/h"),
}

SHARE = Unit(1.0, 4, "")
"""Shares, probabilities and pure numbers: no unit, four decimals."""

LEAST_SHARE_SPOKEN = 0.0005
"""A smaller share would be spoken as nothing."""

ROUNDING_STEPS_PA = {"psi": 5 * si.PSI_PA, "kPa": 10 * si.KILOPASCAL_PA, "bar": 0.1 * si.BAR_PA}
"""Default step to which an estimated pressure is rounded up, by the unit in which it is asked for."""


def unit_of(units: Units, quantity: str) -> Unit | None:
    """Return the unit chosen for a kind of quantity; None where none was."""
    if quantity in ("share", "number"):
        return SHARE
    name = getattr(units, quantity)
    return None if name is None else UNITS[quantity, name]


def chosen_units(units: Literal["us", "metric"] | Units) -> Units:
    """Return the whole object of units that a request means."""
    return PRESETS[units] if isinstance(units, str) else units


def in_si(document: T, units: Units) -> tuple[T, list[Fault]]:
    """Return a request document with every quantity in SI, and what of it lies outside its physical range.

    The range is the field's ``x-si-range``: no schema can state it, for it does not know the unit.
    """
    faults: list[Fault] = []
    needed_at: dict[str, Path] = {}

    def convert(number: float, field: "Quantified", path: Path, _: Struct) -> float:
        unit = unit_of(units, field.quantity)
        if unit is None:
            needed_at.setdefault(field.quantity, path)
            return number
        value = unit.to_si(number)
        if field.si_range and (si.exceeds(field.si_range[0], value) or si.exceeds(value, field.si_range[1])):
            faults.append(_beyond_range(number, field.si_range, unit, path))
        return value

    converted = _converted(document, convert, ())
    return converted, [*(_no_unit(quantity, path) for quantity, path in needed_at.items()), *faults]


def in_units(document: T, units: Units) -> T:
    """Return an answer document with every SI quantity in the caller's units, rounded for print.

    A pressure that must not be less is rounded up, everything else to the nearest.
    """

    def convert(value: float, field: "Quantified", _: Path, owner: Struct) -> float:
        quantity = owner.quantity if field.quantity == "as_stated" else field.quantity  # type: ignore[attr-defined]
        unit = unit_of(units, quantity)
        assert unit is not None
        return printed(value, unit, up=field.rounded_up)

    return _converted(document, convert, ())


def printed(value: float, unit: Unit, *, up: bool = False) -> float:
    """Return the number of an SI value in a unit, rounded to its decimals.

    Raises
    ------
    ValueError
        If the value is not finite: such a figure must never reach an answer.
    """
    if not isfinite(value):
        raise ValueError(f"a figure that is not finite cannot be answered: {value}")
    step = 10.0**-unit.decimals
    number = unit.from_si(value)
    rounded = round(si.rounded_up(number, step) if up else number, unit.decimals)
    return rounded + 0.0


def spoken(value: float, unit: Unit) -> str:
    """Return an SI value as people read it: grouped digits, no more decimals than it is worth, with its unit."""
    decimals = {"lb": 0, "kg": 0, "psi": 1, "kPa": 0, "bar": 2}.get(unit.sign, unit.decimals)
    if unit is SHARE:
        return "under 0.1 %" if 0 < value < LEAST_SHARE_SPOKEN else f"{100 * value:.1f} %"
    text = f"{round(unit.from_si(value), decimals) + 0.0:,.{decimals}f}"
    return f"{text} {unit.sign}"


class Quantified(Struct, frozen=True):
    """What a field's schema says of its number."""

    quantity: str
    si_range: tuple[float, float] | None
    rounded_up: bool


Conversion = Callable[[float, Quantified, Path, Struct], float]


def _converted(document: T, convert: Conversion, path: Path) -> T:
    changes: dict[str, Any] = {}
    for name, step in _plan(type(document)):
        value = getattr(document, name)
        if value is None:
            continue
        if isinstance(step, Quantified):
            changes[name] = convert(value, step, (*path, name), document)
        elif isinstance(value, list | tuple):
            changes[name] = type(value)(
                _converted(item, convert, (*path, name, place)) if isinstance(item, Struct) else item
                for place, item in enumerate(value)
            )
        elif isinstance(value, Struct):
            changes[name] = _converted(value, convert, (*path, name))
    return structs.replace(document, **changes) if changes else document


@cache
def _plan(type_: type[Struct]) -> tuple[tuple[str, Quantified | None], ...]:
    """Return the fields of a struct that hold quantities, or documents that may."""
    info = msgspec.inspect.type_info(type_)
    assert isinstance(info, StructType)
    steps: list[tuple[str, Quantified | None]] = []
    for field in info.fields:
        found = list(_steps(field.type, None))
        if found:
            steps.append((field.name, found[0]))
    return tuple(steps)


def _steps(type_: Type, outer: Quantified | None) -> Iterator[Quantified | None]:
    if isinstance(type_, Metadata):
        yield from _steps(type_.type, _quantified(type_.extra_json_schema or {}) or outer)
    elif isinstance(type_, UnionType):
        for each in type_.types:
            yield from _steps(each, outer)
    elif isinstance(type_, ListType | StructType):
        yield None
    elif outer is not None and not isinstance(type_, msgspec.inspect.NoneType):
        yield outer


def _quantified(schema: dict[str, Any]) -> Quantified | None:
    if schema.get("x-quantity", "count") == "count":
        return None
    si_range = schema.get("x-si-range")
    return Quantified(schema["x-quantity"], tuple(si_range) if si_range else None, schema.get("x-rounded") == "up")


def _no_unit(quantity: str, path: Path) -> Fault:
    return Fault(
        "inconsistent_units",
        f"/units/{quantity}",
        f"`units` does not say in which unit {pointer_of(path)} is: name `{quantity}` there.",
        None,
        " or ".join(f'"{name}"' for kind, name in UNITS if kind == quantity),
    )


def _beyond_range(number: float, si_range: tuple[float, float], unit: Unit, path: Path) -> Fault:
    low, high = (unit.from_si(bound) for bound in si_range)
    return Fault(
        "inconsistent_magnitude",
        pointer_of(path),
        f"{number:g} {unit.sign} is not plausible here: is the unit right?",
        f"{number:g}",
        f"{low:.4g} to {high:.4g} {unit.sign}",
    )
