"""What the balance gives the user to know."""

from collections.abc import Iterable, Iterator
from typing import Final

from axlewright.core.balance.distribution import Band, VehicleBalance
from axlewright.core.estimates import Estimate
from axlewright.core.findings import Finding, Severity, mass

GRAVITY_OF: Final = {Band.LOOK: Severity.NOTICE, Band.ACT: Severity.WARNING}


def balance_findings(balances: Iterable[VehicleBalance]) -> Iterator[Finding]:
    """Yield a finding for every axle whose side difference calls for a look or for action."""
    for balance in balances:
        for axle, side in balance.side_by_axle.items():
            if side.band in GRAVITY_OF and side.heavy_side and isinstance(side.difference, Estimate):
                yield Finding(
                    f"side_difference_{side.band}",
                    GRAVITY_OF[side.band],
                    axle,
                    {
                        "heavy_side": side.heavy_side,
                        "light_side": "left" if side.heavy_side == "right" else "right",
                        "difference": mass(abs(side.difference.value)),
                    },
                )
