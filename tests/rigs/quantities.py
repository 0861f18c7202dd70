"""Numbers of a request: drawn in SI, written out in units last, so that one rig can be told in any units."""

from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

Json = Any

US = {"mass": "lb", "pressure": "psi", "length": "in", "temperature": "degF", "volume": "gal", "altitude": "ft"}
METRIC = {"mass": "kg", "pressure": "kPa", "length": "mm", "temperature": "degC", "volume": "L", "altitude": "m"}
CHOICES = {
    "mass": ("lb", "kg"),
    "pressure": ("psi", "kPa", "bar"),
    "length": ("in", "mm", "m"),
    "temperature": ("degF", "degC"),
    "volume": ("gal", "L"),
    "altitude": ("ft", "m"),
}

# NIST SP 811 (2008), appendix B.8: size of each unit in SI, and what is added to a number before that.
UNIT_SIZES: dict[str, tuple[float, float]] = {
    "lb": (0.45359237, 0),
    "kg": (1, 0),
    "psi": (4.4482216152605 / 0.0254**2, 0),
    "kPa": (1e3, 0),
    "bar": (1e5, 0),
    "in": (0.0254, 0),
    "mm": (1e-3, 0),
    "m": (1, 0),
    "ft": (0.3048, 0),
    "degF": (5 / 9, 459.67),
    "degC": (1, 273.15),
    "gal": (3.785411784e-3, 0),
    "L": (1e-3, 0),
}
DIGITS_WRITTEN = 12
"""Fewer would move a number by more than the share of 1e-9 by which figures count as equal."""


@dataclass(frozen=True)
class Quantity:
    """A number of a request in SI, before its unit is chosen."""

    kind: str
    si: float


def number_in(unit: str, si: float) -> float:
    """Return the number in a unit of an SI value."""
    size, offset = UNIT_SIZES[unit]
    return si / size - offset


def si_of(unit: str, number: float) -> float:
    """Return the SI value of a number in a unit."""
    size, offset = UNIT_SIZES[unit]
    return (number + offset) * size


def written(draft: Any, units: dict[str, str]) -> Json:
    """Return a draft as JSON values in the given units; names without a value are left out."""
    if isinstance(draft, Quantity):
        number = float(f"{number_in(units[draft.kind], draft.si):.{DIGITS_WRITTEN}g}")
        return int(number) if number.is_integer() else number
    if isinstance(draft, dict):
        return {name: written(value, units) for name, value in draft.items() if value is not None}
    return [written(value, units) for value in draft] if isinstance(draft, list) else draft


def kinds_in(draft: Any) -> set[str]:
    """Return the kinds of quantity that a draft uses."""
    if isinstance(draft, Quantity):
        return {draft.kind}
    values = draft.values() if isinstance(draft, dict) else draft if isinstance(draft, list) else ()
    return {kind for value in values for kind in kinds_in(value)}


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Return numbers between two, in a thousand steps; they shrink to the low one."""
    return st.integers(0, 1000).map(lambda step: low + (high - low) * step / 1000)


def mass(si: float) -> Quantity:
    """Return a mass [kg]."""
    return Quantity("mass", si)


def pressure(si: float) -> Quantity:
    """Return a pressure [Pa]."""
    return Quantity("pressure", si)


def length(si: float) -> Quantity:
    """Return a length [m]."""
    return Quantity("length", si)
