"""Where tires are filled, and where they are coldest, from a request in SI to the core."""

from axlewright.contract.request import ConditionsInput, FillInput
from axlewright.core.policy import Conditions, Fill, Soak


def core_conditions(conditions: ConditionsInput | None) -> Conditions:
    """Return the conditions of the core; what was not given is None there too."""
    if conditions is None:
        return Conditions()
    coldest = conditions.coldest
    return Conditions(
        fill=core_fill(conditions.fill) if conditions.fill else None,
        coldest=Soak(coldest.ambient_temperature, coldest.altitude) if coldest else None,
    )


def core_fill(fill: FillInput) -> Fill:
    """Return the filling of the core."""
    return Fill(fill.tire_temperature, fill.altitude, fill.ambient_temperature)
