"""The cold pressures between which an axle's tires are kept, as the recommendation answers them."""

from collections.abc import Iterable, Iterator
from typing import Annotated

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.faults import Fault
from axlewright.contract.quantities import AxleName, Pressure
from axlewright.contract.rig import repeated
from axlewright.contract.units import Units, unit_of
from axlewright.core.inflation.fillings import Bounds
from axlewright.core.units import exceeds


class ColdBoundsInput(Input, frozen=True, kw_only=True):
    """An axle and its cold pressures, which rise in this order or are equal."""

    axle: AxleName
    least_cold_pressure: Annotated[
        Pressure, Meta(description="What its load needs: `least_cold_pressure` of the recommendation.")
    ]
    cold_pressure: Annotated[Pressure, Meta(description="What it is to hold: `cold_pressure` of the recommendation.")]
    most_cold_pressure: Annotated[
        Pressure,
        Meta(
            description="What tires and wheels may hold, cold: `most_cold_pressure` of the recommendation. "
            "`cold_pressure` may stand above it by the last printed digit, and then counts as equal."
        ),
    ]


def bounds_faults(axles: Iterable[ColdBoundsInput], units: Units) -> Iterator[Fault]:
    """Yield every axle, already in SI, that has a name twice or pressures that do not rise."""
    listed = list(axles)
    yield from repeated("axle", "/axles/{}/axle", [axle.axle for axle in listed])
    for place, axle in enumerate(listed):
        bounds = core_bounds(axle, units)
        for name, lower_pa, upper_pa in (
            ("cold_pressure", bounds.least_pa, bounds.cold_pa),
            ("most_cold_pressure", bounds.cold_pa, bounds.ceiling_pa),
        ):
            if lower_pa > upper_pa:
                yield Fault(
                    "inconsistent_pressures",
                    f"/axles/{place}/{name}",
                    "`least_cold_pressure`, `cold_pressure` and `most_cold_pressure` rise in this order or are equal.",
                    None,
                    f"at least {_number(lower_pa, units)}",
                )


def core_bounds(axle: ColdBoundsInput, units: Units) -> Bounds:
    """Return the bounds of an axle, already in SI.

    The recommendation rounds the cold pressure up for print and the most to the nearest: equal ones can come back
    crossed by a digit.
    """
    unit = unit_of(units, "pressure")
    step_pa = 0.0 if unit is None else unit.factor * 10.0**-unit.decimals
    least_pa, cold_pa, ceiling_pa = axle.least_cold_pressure, axle.cold_pressure, axle.most_cold_pressure
    if cold_pa > ceiling_pa and not exceeds(cold_pa, ceiling_pa + step_pa):
        cold_pa = ceiling_pa
    if least_pa > cold_pa and not exceeds(least_pa, cold_pa + step_pa):
        least_pa = cold_pa
    return Bounds(least_pa, cold_pa, ceiling_pa)


def _number(pressure_pa: float, units: Units) -> str:
    unit = unit_of(units, "pressure")
    return f"{pressure_pa:g}" if unit is None else f"{unit.from_si(pressure_pa):g} {unit.sign}"
