"""How old a tire is on a day, and what practice and published advice say at that age.

Nobody publishes an age at which a tire fails; the advice differs by source, and every piece of it is given with
its own. Ages count from the week of manufacture, whether the tire was in use or not.
"""

from datetime import date, timedelta
from enum import StrEnum
from typing import Final, Literal, TypeAlias

from msgspec import Struct

from axlewright.core.tires.identification import DateUnknown, Identification

Confidence: TypeAlias = Literal["published", "from_memory", "common_practice"]


class AgeUnknown(StrEnum):
    """Why an age is not known: no date was read, or every reading of it lies after the day."""

    ON_OTHER_SIDE = "on_other_side"
    IN_THE_FUTURE = "in_the_future"


class Age(Struct, frozen=True):
    """A tire's age on a day: between the last and the first possible day of manufacture.

    Days, and completed years; ``least_days`` is 0 where the week of manufacture has not ended yet.
    """

    least_days: int
    most_days: int
    least_years: int
    most_years: int


class AdviceCode(StrEnum):
    """What an adviser says from an age on."""

    INSPECT_YEARLY = "inspect_yearly"
    REPLACE_BY_VEHICLE_MAKER = "replace_by_vehicle_maker"
    PLAN_REPLACEMENT = "plan_replacement"
    REMOVE_FROM_SERVICE = "remove_from_service"
    AGE_ALONE_DECIDES_NOTHING = "age_alone_decides_nothing"


class Advice(Struct, frozen=True):
    """One piece of advice: from which age [years], who gives it, how sure that is.

    ``vehicle_maker`` advice holds for that maker's vehicles; ask for the one of the vehicle at hand.
    """

    code: AdviceCode
    from_years: int
    source: str
    confidence: Confidence


class AdviceReached(Struct, frozen=True):
    """Advice for an age; ``certain`` is False where only the oldest possible age reaches it."""

    advice: Advice
    certain: bool


ADVICE: Final = (
    Advice(
        AdviceCode.AGE_ALONE_DECIDES_NOTHING,
        0,
        "a tire maker's service bulletin No. 112, service life of passenger and light truck tires: "
        "no data set a least or greatest service life by calendar age",
        "published",
    ),
    Advice(
        AdviceCode.INSPECT_YEARLY,
        5,
        "a tire maker's bulletin of 9 February 2006, service life of passenger car and light truck tires, and a "
        "vehicle maker's owner's manual, tire service life: a specialist inspects yearly from five years on",
        "published",
    ),
    Advice(
        AdviceCode.REPLACE_BY_VEHICLE_MAKER,
        6,
        "a vehicle maker's owner information (2018): all tires, the spare too, at least every six years from "
        "manufacture; other vehicle makers say otherwise",
        "published",
    ),
    Advice(
        AdviceCode.PLAN_REPLACEMENT,
        7,
        "habit among owners of motorhomes and trailers, whose tires age sooner than they wear; no source",
        "common_practice",
    ),
    Advice(
        AdviceCode.REMOVE_FROM_SERVICE,
        10,
        "a vehicle maker's owner's manual, tire service life, and a tire maker's warranty booklet (2021): "
        "ten years from manufacture, whatever the look",
        "published",
    ),
)
"""What is said at which age, rising.

The road authority of the United States sets no limit of its own; its report to Congress on tire aging (DOT HS 810 799,
August 2007) tells of six and ten years as makers' advice (from memory).
"""


def age_on(identification: Identification, day: date) -> Age | AgeUnknown:
    """Return a tire's age on a day.

    Readings of an open decade that lie wholly after the day are left out.

    Parameters
    ----------
    identification : Identification
        The number as read.
    day : datetime.date
        The day to count to; the core has no clock.

    Examples
    --------
    >>> from axlewright.core.tires.identification import read_identification
    >>> age = age_on(read_identification("2519"), date(2026, 6, 1))
    >>> age.least_years, age.most_years, age.least_days
    (6, 6, 2529)

    """
    if identification.date_unknown_because is DateUnknown.ON_OTHER_SIDE:
        return AgeUnknown.ON_OTHER_SIDE
    possible = [reading for reading in identification.dates if reading.first_day <= day]
    if not possible:
        return AgeUnknown.IN_THE_FUTURE
    first, last = possible[0].first_day, min(possible[-1].last_day, day)
    return Age((day - last).days, (day - first).days, completed_years(last, day), completed_years(first, day))


def completed_years(since: date, day: date) -> int:
    """Return the whole years [1] from one day to another that is not before it.

    A year since 29 February is complete on the last of February, as months are counted (judgement: the safe side).

    >>> completed_years(date(2016, 2, 29), date(2026, 2, 28)), completed_years(date(2016, 6, 1), date(2026, 5, 31))
    (10, 9)
    """
    is_months_last = (day + timedelta(days=1)).month != day.month
    is_reached = (day.month, day.day) >= (since.month, since.day) or (day.month == since.month and is_months_last)
    return day.year - since.year - (not is_reached)


def advice_at(age: Age) -> tuple[AdviceReached, ...]:
    """Return every piece of advice whose age a tire has reached, or may have reached, rising by age.

    >>> [each.advice.code.value for each in advice_at(Age(1900, 1910, 5, 5))]
    ['age_alone_decides_nothing', 'inspect_yearly']
    """
    return tuple(
        AdviceReached(advice, age.least_years >= advice.from_years)
        for advice in ADVICE
        if age.most_years >= advice.from_years
    )
