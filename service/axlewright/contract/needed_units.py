"""Units that an answer needs whatever its request has numbers of."""

from collections.abc import Iterator

from axlewright.contract.faults import Fault
from axlewright.contract.units import Units


def unit_faults(units: Units, needed: tuple[str, ...]) -> Iterator[Fault]:
    """Yield a fault for every kind of quantity of the answer for which `units` names no unit."""
    for quantity in needed:
        if getattr(units, quantity) is None:
            yield Fault(
                "inconsistent_units",
                f"/units/{quantity}",
                f"`units` does not say in which unit a {quantity} is answered: name `{quantity}` there.",
                None,
                f"a unit of {quantity}",
            )
