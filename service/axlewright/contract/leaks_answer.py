"""What is answered of pressure checks over time: structs only."""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta, Struct

from axlewright.contract.computation import QuestionAnswer
from axlewright.contract.findings import FindingAnswer
from axlewright.contract.leaks_request import MOST_CHECKS, MOST_TIRES
from axlewright.contract.output import (
    AltitudeOut,
    CountOut,
    NameOut,
    PressureOut,
    PressureRateOut,
    TemperatureOut,
    UnknownOut,
)


class CheckPointAnswer(Struct, frozen=True, kw_only=True):
    """What a check would have shown at the reference: a point of a chart."""

    checked_on: Annotated[date, Meta(description="Day of the check.")]
    checked_at: Annotated[NameOut, Meta(description="Time of that day.")]
    pressure: Annotated[
        PressureOut, Meta(description="At the reference; below 0 where it would hold less than the air around it.")
    ]
    standard_uncertainty: Annotated[PressureOut, Meta(description="u, by gauge and thermometer.")]
    refilled: Annotated[bool, Meta(description="As sent.")]
    counts: Annotated[bool, Meta(description="It is of the time since the last refill, on which the loss rests.")]


class LossAnswer(Struct, frozen=True, kw_only=True):
    """What is lost in 30 days; less than 0 for a gain."""

    in_30_days: Annotated[PressureRateOut, Meta(description="Best estimate.")]
    low: Annotated[PressureRateOut, Meta(description="Lower end of its 95 % interval.")]
    high: Annotated[PressureRateOut, Meta(description="Upper end of its 95 % interval.")]


class ReachesLeastAnswer(Struct, frozen=True, kw_only=True):
    """When the tire holds its least pressure only."""

    expected_on: Annotated[date | None, Meta(description="By the best estimate of the loss.")]
    soonest_on: Annotated[date | None, Meta(description="By the upper end of its interval.")]
    latest_on: Annotated[date | None, Meta(description="By the lower end of its interval.")]
    unknown_because: UnknownOut


class AmongMatesAnswer(Struct, frozen=True, kw_only=True):
    """How the tire compares with the others of its axle, day by day: weather and wrong temperatures fall out."""

    verdict: Annotated[
        Literal["fell_suddenly", "loses_more", "alike", "too_few_common_days", "no_mates"],
        Meta(
            description="`loses_more` only beyond the noise, and by 1 psi (6.9 kPa) in 30 days or more; "
            "`fell_suddenly` by itself and against the others, from two common days on."
        ),
    ]
    excess: Annotated[LossAnswer | None, Meta(description="What it loses beyond the median of the others.")]
    unknown_because: UnknownOut


class LeakAnswer(Struct, frozen=True, kw_only=True):
    """What the checks of one tire tell."""

    wheel_end: Annotated[NameOut, Meta(description="Which tire.")]
    axle: Annotated[NameOut, Meta(description="Of which axle, by its name.")]
    course: Annotated[
        Literal["losing", "gaining", "unsettled", "too_few_checks"],
        Meta(
            description="What the line through the checks since the last refill says; `unsettled` where it shows "
            "neither loss nor gain, or noise hides it. A sudden loss is told in the findings, whatever the course."
        ),
    ]
    checks_counted: Annotated[CountOut, Meta(description="How many there are since the last refill, it included.")]
    latest_pressure: Annotated[PressureOut, Meta(description="The last check, at the reference.")]
    change: Annotated[
        PressureOut | None, Meta(description="From the first of those checks to the last; null for a single one.")
    ]
    change_standard_uncertainty: Annotated[PressureOut | None, Meta(description="u of that.")]
    loss: Annotated[
        LossAnswer | None,
        Meta(
            description="Null with fewer than five checks since the last refill, and where 30 days would move more "
            "than the tire holds."
        ),
    ]
    least_cold_pressure: Annotated[PressureOut | None, Meta(description="As sent.")]
    reaches_least: Annotated[ReachesLeastAnswer, Meta(description="When it holds its least pressure only.")]
    among_mates: Annotated[AmongMatesAnswer, Meta(description="Against the other tires of its axle.")]
    points: Annotated[list[CheckPointAnswer], Meta(max_length=MOST_CHECKS, description="All checks, in order.")]
    unknown_because: UnknownOut


class ReferenceAnswer(Struct, frozen=True, kw_only=True):
    """The state to which all checks were brought."""

    tire_temperature: Annotated[TemperatureOut, Meta(description="As asked.")]
    altitude: Annotated[AltitudeOut, Meta(description="As asked.")]


class FindLeaksAnswer(QuestionAnswer, frozen=True, kw_only=True):
    """What the checks of every tire tell."""

    reference: Annotated[ReferenceAnswer, Meta(description="To which all pressures here were brought.")]
    tires: Annotated[list[LeakAnswer], Meta(max_length=MOST_TIRES, description="As sent, in order.")]
    findings: Annotated[list[FindingAnswer], Meta(max_length=400, description="Worst first.")]
