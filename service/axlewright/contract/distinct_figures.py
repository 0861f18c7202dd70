"""Figures of a finding, printed finely enough to be told apart."""

from itertools import combinations

from msgspec import structs

from axlewright.contract.units import SPOKEN_DECIMALS, Units, unit_of
from axlewright.core.findings import Finding, Quantity
from axlewright.core.units import RELATIVE_GUARD

MOST_MORE_DECIMALS = 9
"""By then figures that the guard of comparisons holds apart differ in print."""


def told_apart(finding: Finding, units: Units) -> Finding:
    """Return a finding in which no two figures look alike that are not, and none that is something looks like nothing.

    Where the usual decimals do not do, all its figures are printed with as many more as it takes.
    """
    figures = {name: fact for name, fact in finding.facts.items() if isinstance(fact, Quantity)}
    for more in range(MOST_MORE_DECIMALS + 1):
        printed = {name: _printed(figure.value, figure.kind, units, more) for name, figure in figures.items()}
        if _are_distinct(figures, printed, units, more):
            return structs.replace(finding, facts={**finding.facts, **printed}) if more else finding
    return finding


def _are_distinct(figures: dict[str, Quantity], printed: dict[str, str], units: Units, more: int) -> bool:
    """Return whether figures of one kind, and nothing beside them, differ in print where they differ by the guard."""
    guard = RELATIVE_GUARD * max((abs(figure.value) for figure in figures.values()), default=0.0)
    told = [(figure.kind, figure.value, printed[name]) for name, figure in figures.items()]
    nothing = [(kind, 0.0, _printed(0.0, kind, units, more)) for kind in {kind for kind, _, _ in told}]
    return not any(
        kind == other_kind and abs(value - other) > guard and text == other_text
        for (kind, value, text), (other_kind, other, other_text) in combinations([*told, *nothing], 2)
    )


def _printed(value: float, kind: str, units: Units, more: int) -> str:
    unit = unit_of(units, kind)
    assert unit is not None
    decimals = SPOKEN_DECIMALS.get(unit.sign, unit.decimals) + more
    return f"{unit.from_si(value):z,.{decimals}f} {unit.sign}"
