"""The units on the wire, and the one place where documents pass into SI and back.

Every number of the contract that has a unit carries ``x-quantity`` in its schema; the plans below are read from
there, so that no field is converted by hand.
"""

from collections.abc import Callable, Hashable, Iterator
from functools import cache, lru_cache
from math import inf, isfinite
from typing import Annotated, Any, Literal, TypeVar

import msgspec
from msgspec import Meta, Struct, structs
from msgspec.inspect import ListType, Metadata, StructType, Type, UnionType

from axlewright.contract.faults import Fault, pointer_of
from axlewright.core import units as si

T = TypeVar("T", bound=Struct)
Path = tuple[str | int, ...]
Converter = Callable[[float], float]
Step = tuple[str, Callable[[Any], Any]]
"""A field, and what turns its value into that of the converted document."""


class Units(Struct, frozen=True, forbid_unknown_fields=True):
    """A unit for each kind of quantity. A request names every kind that it uses."""

    mass: Annotated[Literal["lb", "kg"] | None, Meta(description="Loads and masses.")] = None
    pressure: Annotated[Literal["psi", "kPa", "bar"] | None, Meta(description="Gauge pressures.")] = None
    length: Annotated[Literal["in", "mm", "m"] | None, Meta(description="Places, tracks, heights, treads.")] = None
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
    ("fine_length", "in"): Unit(si.INCH_M, 4, "in"),
    ("fine_length", "mm"): Unit(0.001, 1, "mm"),
    ("fine_length", "m"): Unit(1.0, 4, "m"),
    ("temperature", "degF"): Unit(si.RANKINE_K, 1, "°F", si.FAHRENHEIT_ZERO_R),
    ("temperature", "degC"): Unit(1.0, 1, "°C", si.CELSIUS_ZERO_K),
    ("temperature_difference", "degF"): Unit(si.RANKINE_K, 1, "°F"),
    ("temperature_difference", "degC"): Unit(1.0, 1, "°C"),
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

NAMED_WITH = {"temperature_difference": "temperature", "fine_length": "length"}
"""Kinds of quantity whose unit is that of another kind."""

SHARE = Unit(1.0, 4, "")
"""Shares, probabilities and pure numbers: no unit, four decimals."""

AS_STATED = "as_stated"
"""Kind of a number whose document says, in its `quantity`, what it is."""

CLOSE_TO_TIE = 1e-6
MOST_SCALED = 1e9
"""Nearer to a tie than the one, and above the other, the rounding of a product could decide; there `round` does.

Elsewhere the nearest whole number over a power of ten is the double that `round` gives, for half the time.
"""

LEAST_SHARE_SPOKEN = 0.0005
"""A smaller share would be spoken as nothing."""

SPOKEN_DECIMALS = {"lb": 0, "kg": 0, "psi": 1, "kPa": 0, "bar": 2}
"""Decimals of a figure within a sentence, where fewer than in print are worth reading."""

ROUNDING_STEPS_PA = {"psi": 5 * si.PSI_PA, "kPa": 10 * si.KILOPASCAL_PA, "bar": 0.1 * si.BAR_PA}
"""Default step to which an estimated pressure is rounded up, by the unit in which it is asked for."""


def unit_of(units: Units, quantity: str) -> Unit | None:
    """Return the unit chosen for a kind of quantity; None where none was."""
    if quantity in ("share", "number"):
        return SHARE
    name = getattr(units, NAMED_WITH.get(quantity, quantity))
    return None if name is None else UNITS[quantity, name]


def chosen_units(units: Literal["us", "metric"] | Units) -> Units:
    """Return the whole object of units that a request means."""
    return PRESETS[units] if isinstance(units, str) else units


def in_si(document: T, units: Units) -> tuple[T, list[Fault]]:
    """Return a request document with every quantity in SI, and what of it lies outside its physical range.

    The range is the field's ``x-si-range``: no schema can state it, for it does not know the unit.
    """
    try:
        return _into_si(units).converted(document), []
    except _FaultyError:
        unnamed: dict[str, Path] = {}
        beyond: list[Fault] = []
        converted = _with_faults(document, units, (), unnamed, beyond)
        return converted, [*(_no_unit(quantity, path) for quantity, path in unnamed.items()), *beyond]


def in_units(document: T, units: Units) -> T:
    """Return an answer document with every SI quantity in the caller's units, rounded for print.

    What must not be less is rounded up, everything else to the nearest.

    Raises
    ------
    ValueError
        If a value is not finite: such a figure must never reach an answer.
    """
    return _out_of_si(units).converted(document)


def rounded(number: float, decimals: int) -> float:
    """Return a number rounded to decimals, never -0.

    Raises
    ------
    ValueError
        If it is not finite.
    """
    if not isfinite(number):
        raise ValueError(f"a figure that is not finite cannot be answered: {number}")
    return round(number, decimals) + 0.0


def spoken(value: float, unit: Unit) -> str:
    """Return an SI value as people read it: grouped digits, no more decimals than it is worth, with its unit."""
    if unit is SHARE:
        return "under 0.1 %" if 0 < value < LEAST_SHARE_SPOKEN else f"{100 * value:.1f} %"
    decimals = SPOKEN_DECIMALS.get(unit.sign, unit.decimals)
    return f"{unit.from_si(value):z,.{decimals}f} {unit.sign}"


class Quantified(Struct, frozen=True):
    """What a field's schema says of its number."""

    quantity: str
    si_range: tuple[float, float] | None
    rounded_up: bool


class _FaultyError(Exception):
    """A quantity of a request has no unit, or lies outside its physical range."""


class _Conversion:
    """Converts every quantity of a document, by steps that are compiled once for each struct."""

    def __init__(self, converter: Callable[[Quantified, str], Converter | None]) -> None:
        """Take what gives the converter of a field's numbers by their kind of quantity, None where they stay."""
        self._converter = converter
        self._steps: dict[Hashable, list[Step]] = {}

    def converted(self, document: T) -> T:
        """Return the document with every quantity converted."""
        steps = self._steps.get(type(document))
        if steps is None:
            steps = self._new_steps(document)
        changes = {}
        for name, convert in steps:
            value = getattr(document, name)
            if value is not None:
                changes[name] = convert(value)
        return structs.replace(document, **changes) if changes else document

    def _new_steps(self, document: Struct) -> list[Step]:
        type_ = type(document)
        if not _states_quantity(type_):
            steps = self._steps[type_] = self._compiled(type_, "")
            return steps
        key = type_, document.quantity  # type: ignore[attr-defined]
        if key not in self._steps:
            self._steps[key] = self._compiled(*key)
        return self._steps[key]

    def _compiled(self, type_: type[Struct], stated: str) -> list[Step]:
        steps = (
            (name, self._within if field is None else self._converter(field, _kind(field, stated)))
            for name, field in _plan(type_)
        )
        return [(name, convert) for name, convert in steps if convert is not None]

    def _within(self, value: Any) -> Any:
        if isinstance(value, list):
            return [self.converted(item) for item in value]
        return self.converted(value) if isinstance(value, Struct) else value


@lru_cache(maxsize=64)
def _into_si(units: Units) -> _Conversion:
    return _Conversion(lambda field, quantity: _reader(field, unit_of(units, quantity)))


@lru_cache(maxsize=64)
def _out_of_si(units: Units) -> _Conversion:
    return _Conversion(lambda field, quantity: _printer(unit_of(units, quantity), up=field.rounded_up))


def _reader(field: Quantified, unit: Unit | None) -> Converter | None:
    if unit is SHARE and field.si_range is None:
        return None
    lowest, highest = field.si_range or (-inf, inf)

    def read(number: float) -> float:
        if unit is None:
            raise _FaultyError
        value = unit.to_si(number)
        if not lowest <= value <= highest:
            raise _FaultyError
        return value

    return read


def _untold(value: float) -> float:
    """Refuse a figure of a kind that the request named no unit for: it never comes, as its input would need one."""
    raise ValueError(f"a figure has no unit to be told in: {value}")


def _printer(unit: Unit | None, *, up: bool) -> Converter:
    if unit is None:
        return _untold
    factor, offset, decimals = unit.factor, unit.offset, unit.decimals
    scale = 10.0**decimals

    def printed_up(value: float) -> float:
        return rounded(si.rounded_up(value / factor - offset, 10.0**-decimals), decimals)

    def printed(value: float) -> float:
        number = value / factor - offset
        halves_up = number * scale + 0.5
        whole = halves_up // 1.0
        if CLOSE_TO_TIE < halves_up - whole < 1.0 - CLOSE_TO_TIE and -MOST_SCALED < whole < MOST_SCALED:
            return whole / scale
        return rounded(number, decimals)

    return printed_up if up else printed


def _with_faults(document: T, units: Units, path: Path, unnamed: dict[str, Path], beyond: list[Fault]) -> T:
    """Return a request document in SI as far as it can be, and note what is wrong with its quantities.

    That is where a quantity first stands whose unit was not named, and every fault of a number beyond its range.
    """
    changes: dict[str, Any] = {}
    for name, field in _plan(type(document)):
        value, place = getattr(document, name), (*path, name)
        if value is None:
            continue
        if field is not None:
            unit = unit_of(units, field.quantity)
            if unit is None:
                unnamed.setdefault(field.quantity, place)
                continue
            changes[name] = unit.to_si(value)
            if field.si_range and _is_beyond(changes[name], field.si_range):
                beyond.append(_beyond_range(value, field.si_range, unit, place))
        elif isinstance(value, list):
            changes[name] = [_with_faults(item, units, (*place, at), unnamed, beyond) for at, item in enumerate(value)]
        elif isinstance(value, Struct):
            changes[name] = _with_faults(value, units, place, unnamed, beyond)
    return structs.replace(document, **changes) if changes else document


def _is_beyond(value: float, si_range: tuple[float, float]) -> bool:
    return si.exceeds(si_range[0], value) or si.exceeds(value, si_range[1])


def _kind(field: Quantified, stated: str) -> str:
    return stated if field.quantity == AS_STATED else field.quantity


@cache
def _states_quantity(type_: type[Struct]) -> bool:
    """Return whether the struct says itself, in its `quantity`, what some of its figures are."""
    return any(field is not None and field.quantity == AS_STATED for _, field in _plan(type_))


@cache
def _plan(type_: type[Struct]) -> tuple[tuple[str, Quantified | None], ...]:
    """Return the fields of a struct that hold quantities, or (None) documents that do."""
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
    elif isinstance(type_, ListType):
        yield from (step for step in _steps(type_.item_type, None) if step is None)
    elif isinstance(type_, StructType):
        if _plan(type_.cls):
            yield None
    elif outer is not None and not isinstance(type_, msgspec.inspect.NoneType):
        yield outer


def _quantified(schema: dict[str, Any]) -> Quantified | None:
    if schema.get("x-quantity", "count") == "count":
        return None
    si_range = schema.get("x-si-range")
    return Quantified(schema["x-quantity"], tuple(si_range) if si_range else None, schema.get("x-rounded") == "up")


def _no_unit(quantity: str, path: Path) -> Fault:
    quantity = NAMED_WITH.get(quantity, quantity)
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
        f"{_plain(low)} to {_plain(high)} {unit.sign}",
    )


def _plain(number: float) -> str:
    """Return a number to four significant digits, as people write it.

    >>> _plain(220462.26), _plain(-62.137), _plain(0.22046)
    ('220500', '-62.14', '0.2205')
    """
    rounded = float(f"{number:.4g}")
    return f"{rounded:.0f}" if abs(rounded) >= 1000 else f"{rounded:g}"
