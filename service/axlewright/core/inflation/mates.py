"""Which tire of an axle loses notably more than its mates."""

from collections.abc import Mapping, Sequence
from enum import StrEnum
from math import hypot, inf
from statistics import median
from typing import Final

from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.falls import NormalisedCheck, since_refill, sudden_fall
from axlewright.core.inflation.leaks import Check, CheckDoubt, LossRate, line_through, normalised
from axlewright.core.inflation.translation import TireState
from axlewright.core.units import PSI_PA, exceeds

NOTABLE_PA_PER_DAY: Final = PSI_PA / 30.0
"""Loss beyond that of the mates [Pa/day] that is worth a look: 1 psi a month, as much as a sound tire is commonly
said to lose; common practice, no source."""


class AmongMates(StrEnum):
    """How a tire's loss compares with that of the other tires of its axle.

    ``loses_more``: the 95 % interval of what it loses beyond its mates' median lies above 0, and that is at least
    the notable rate. ``fell_suddenly``: it fell as no line tells, see ``sudden_fall``, both by itself
    and against them. ``alike``: neither. ``too_few_common_days``: it did not fall suddenly, and there are fewer
    than five days since the last refill of any of them on which all were checked.
    """

    FELL_SUDDENLY = "fell_suddenly"

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
    return {tire: _comparison(tire, runs, days, notable_pa_per_day) for tire in runs}


def _comparison(
    tire: str,
    runs: Mapping[str, Mapping[float, NormalisedCheck]],
    days: Sequence[float],
    notable_pa_per_day: float,
) -> Comparison:
    mates = [run for mate, run in runs.items() if mate != tire]
    own = [runs[tire][day] for day in days]
    against = [
        NormalisedCheck(
            each.day,
            each.gauge_pa - median(mate[each.day].gauge_pa for mate in mates),
            hypot(each.u_pa, max(mate[each.day].u_pa for mate in mates)),
            each.refilled,
        )
        for each in own
    ]
    line = line_through(against)
    excess = None if line is None else LossRate(-line.slope, -line.high, -line.low)
    if sudden_fall(against, line) and sudden_fall(own, line_through(own)):
        return Comparison(AmongMates.FELL_SUDDENLY, excess)
    if excess is None:
        return Comparison(AmongMates.TOO_FEW_COMMON_DAYS)
    loses_more = excess.low_pa_per_day > 0 and not exceeds(notable_pa_per_day, excess.pa_per_day)
    return Comparison(AmongMates.LOSES_MORE if loses_more else AmongMates.ALIKE, excess)
