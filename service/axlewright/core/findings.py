"""One thing that the user should know: what was found, about what, how grave; the words come at the edge."""

from collections.abc import Mapping
from enum import StrEnum

from msgspec import Struct


class Severity(StrEnum):
    """How grave a finding is, worst first."""

    CRITICAL = "critical"
    WARNING = "warning"
    NOTICE = "notice"
    INFO = "info"


class Quantity(Struct, frozen=True, gc=False):
    """A figure in SI units with the kind that says how to print it: mass, pressure, length, temperature, share."""

    kind: str
    value: float


Fact = Quantity | str | int


class Finding(Struct, frozen=True, gc=False):
    """A finding by its code, with the subject that it concerns and the facts that its text needs."""

    code: str
    severity: Severity
    subject: str
    facts: Mapping[str, Fact]


def mass(value_kg: float) -> Quantity:
    """Return a mass [kg] as a fact."""
    return Quantity("mass", value_kg)


def pressure(value_pa: float) -> Quantity:
    """Return a gauge pressure [Pa] as a fact."""
    return Quantity("pressure", value_pa)


def share(value: float) -> Quantity:
    """Return a share or probability (0..1) as a fact."""
    return Quantity("share", value)
