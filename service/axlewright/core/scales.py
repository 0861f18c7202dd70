"""What a reading of a scale can be wrong by.

Sources: NIST Handbook 44 (2024 edition), section 2.20, table 6, maintenance tolerances, the rows quoted from
memory; Directive 2014/31/EU, annex I, table 3 (as OIML R 76-1:2006, table 6), doubled for scales in service.
The placement shares are judgement: no published source gives them.
"""

from math import sqrt

from msgspec import Struct

from axlewright.core.errors import CoreError
from axlewright.core.units import RELATIVE_GUARD


class ToleranceSteps(Struct, frozen=True):
    """A tolerance that grows in steps with the load, both counted in divisions.

    ``steps`` holds (load up to and including, tolerance) in rising order; the last load is the most that a
    scale of the class may indicate.
    """

    name: str
    steps: tuple[tuple[float, float], ...]
    source: str

    def tolerance_kg(self, value_kg: float, division_kg: float) -> float:
        """Return the tolerance [kg] at a reading, both signs.

        >>> ACCURACY_CLASSES["III L"].tolerance_kg(10_020.0, 20.0)
        40.0
        """
        return self._step(value_kg, division_kg)[1] * division_kg

    def slope(self, largest_kg: float, division_kg: float) -> float:
        """Return tolerance over load at the top of the step in which a platform's largest reading lies."""
        load, tolerance = self._step(largest_kg, division_kg)
        return tolerance / load

    def _step(self, value_kg: float, division_kg: float) -> tuple[float, float]:
        divisions = value_kg / division_kg * (1 - RELATIVE_GUARD)
        for step in self.steps:
            if divisions <= step[0]:
                return step
        raise CoreError(
            "beyond_class",
            "value",
            f"a scale of class {self.name} indicates at most {self.steps[-1][0]:,.0f} divisions",
        )


class OwnTolerance(Struct, frozen=True):
    """The caller's tolerance: a share of the reading, but never less than a fixed mass [kg]."""

    share: float
    least_kg: float

    def tolerance_kg(self, value_kg: float, division_kg: float) -> float:  # noqa: ARG002 - one face with the steps
        """Return the tolerance [kg] at a reading, both signs."""
        return max(self.least_kg, self.share * value_kg)

    def slope(self, largest_kg: float, division_kg: float) -> float:  # noqa: ARG002
        """Return the share of the reading that a span error may reach."""
        return self.share


Tolerance = ToleranceSteps | OwnTolerance

HANDBOOK_44 = "NIST Handbook 44 (2024), section 2.20, table 6, maintenance tolerance"
OIML_R76_IN_SERVICE = "OIML R 76-1 (2006), table 6, in service: twice the initial error"

ACCURACY_CLASSES: dict[str, ToleranceSteps] = {
    steps.name: steps
    for steps in (
        ToleranceSteps("III L", tuple((500.0 * k, float(k)) for k in range(1, 21)), HANDBOOK_44),
        ToleranceSteps("III", ((500, 1), (2_000, 2), (4_000, 3), (10_000, 5)), HANDBOOK_44),
        ToleranceSteps("IIII", ((50, 1), (200, 2), (400, 3), (1_200, 5)), HANDBOOK_44),
        ToleranceSteps("OIML III", ((500, 1), (2_000, 2), (10_000, 3)), OIML_R76_IN_SERVICE),
        ToleranceSteps("OIML IIII", ((50, 1), (200, 2), (1_000, 3)), OIML_R76_IN_SERVICE),
    )
}


class Placement(Struct, frozen=True):
    """What standing on the platform otherwise than on level ground does to a load; standard uncertainties, judgement.

    ``whole_axle_share`` of each reading, at least half a division; ``hanging_side_share`` of the axle's load
    where one side stands on the plate and the other beside it; ``raised_pad_share`` of the reading where a pad
    lifts some axles of a vehicle and the others stand on the ground.
    """

    whole_axle_share: float = 0.001
    hanging_side_share: float = 0.0025
    raised_pad_share: float = 0.02


class ReadingError(Struct, frozen=True, gc=False):
    """The parts of one reading's error [kg].

    ``independent_u`` is a standard uncertainty of this reading alone (rounding and placement); ``span_half_width``
    is common to all readings of a platform; ``rest_half_width`` common to its readings of the same wheels.
    """

    independent_u: float
    span_half_width: float
    rest_half_width: float


def reading_error(
    value_kg: float, division_kg: float, tolerance: Tolerance, span_slope: float, placement: Placement
) -> ReadingError:
    """Return what one reading can be wrong by, apart from what its session makes common.

    Parameters
    ----------
    value_kg
        The reading as printed [kg], above 0.
    division_kg
        The platform's division d [kg]: rounding is rectangular with half-width d/2 (JCGM 100:2008, F.2.2.1).
    tolerance
        The accuracy class, or the caller's own.
    span_slope
        Share of the reading that the platform's span error may reach.
    placement
        Shares by judgement.
    """
    tolerance_kg = tolerance.tolerance_kg(value_kg, division_kg)
    span = span_slope * value_kg
    rest = sqrt(max(tolerance_kg**2 - span**2, 0.0))
    placement_u = max(division_kg / 2, placement.whole_axle_share * value_kg)
    return ReadingError(sqrt(division_kg**2 / 12 + placement_u**2), span, rest)


def is_on_division(value_kg: float, division_kg: float) -> bool:
    """Return whether a reading is a multiple of its platform's division, as every printed reading is."""
    divisions = value_kg / division_kg
    return abs(divisions - round(divisions)) <= RELATIVE_GUARD * max(divisions, 1.0)
