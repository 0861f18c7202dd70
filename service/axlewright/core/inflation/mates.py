"""Which tire of an axle loses notably more than its mates."""

from collections.abc import Mapping, Sequence
from enum import StrEnum
from math import inf, sqrt
from statistics import fmean, median
from typing import Final

from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.leaks import Check, CheckDoubt, LossRate, NormalisedCheck, normalised, since_refill
from axlewright.core.inflation.translation import TireState
from axlewright.core.inflation.trend import FEWEST_READINGS, trend
from axlewright.core.units import PSI_PA, exceeds

NOTABLE_PA_PER_DAY: Final = PSI_PA / 30.0
"""Loss beyond that of the mates [Pa/day] that is worth a look: 1 psi a month, as much as a sound tire is commonly
said to lose; common practice, no source."""


class AmongMates(StrEnum):
    """How a tire's loss compares with that of the other tires of its axle.

    ``loses_more``: the 95 % interval of what it loses beyond its mates' median lies above 0, and that is at least
    the notable rate. ``alike``: not so. ``too_few_common_days``: fewer than five days since the last refill of
    any of them on which all were checked.
    """

    LOSES_MORE = "loses_more"
    ALIKE = "alike"
    TOO_FEW_COMMON_DAYS = "too_few_common_days"
    NO_MATES = "no_mates"


class Comparison(Struct, frozen=True):
    """What a tire loses beyond the median of its mates [Pa/day], with its 95 % interval; None where not known."""

    verdict: AmongMates
    excess: LossRate | None = None


def compared(
    checks: Mapping[str, Sequence[Check]],
    reference: TireState,
    doubt: CheckDoubt,
    notable_pa_per_day: float = NOTABLE_PA_PER_DAY,
) -> dict[str, Comparison]:
    """Return for every tire of an axle whether it loses notably more than its mates.

    What all tires share, weather and a wrong air temperature above all, falls out of the differences, so a slow leak
    shows here before it shows in the tire's own series.

    Parameters
    ----------
    checks
        Each tire's checks in the order of time.
    reference, doubt
        As for ``leak``.
    notable_pa_per_day
        Excess [Pa/day] worth a look, not negative.

    Raises
    ------
    OutOfRange
        As ``leak`` does, and for a negative rate.
    """
    if not 0 <= notable_pa_per_day < inf:
        raise OutOfRange(
            "notable_rate_out_of_range",
            "notable_pa_per_day",
            f"A rate of {notable_pa_per_day} Pa a day: it must be at least 0 and finite.",
        )
    runs = {
        tire: {check.day: check for check in since_refill(normalised(of_tire, reference, doubt))}
        for tire, of_tire in checks.items()
    }
    if len(runs) < 2:
        return {tire: Comparison(AmongMates.NO_MATES) for tire in runs}
    days = sorted(set.intersection(*(set(run) for run in runs.values())))
    if len(days) < FEWEST_READINGS:
        return {tire: Comparison(AmongMates.TOO_FEW_COMMON_DAYS) for tire in runs}
    return {tire: _comparison(tire, runs, days, notable_pa_per_day) for tire in runs}


def _comparison(
    tire: str,
    runs: Mapping[str, Mapping[float, NormalisedCheck]],
    days: Sequence[float],
    notable_pa_per_day: float,
) -> Comparison:
    mates = [run for mate, run in runs.items() if mate != tire]
    behind_pa = [median(mate[day].gauge_pa for mate in mates) - runs[tire][day].gauge_pa for day in days]
    u_pa = sqrt(fmean(runs[tire][day].u_pa ** 2 + max(mate[day].u_pa for mate in mates) ** 2 for day in days))
    line = trend(days, behind_pa, u_pa)
    loses_more = line.low > 0 and not exceeds(notable_pa_per_day, line.slope)
    verdict = AmongMates.LOSES_MORE if loses_more else AmongMates.ALIKE
    return Comparison(verdict, LossRate(line.slope, line.low, line.high))
