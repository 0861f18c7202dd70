"""The choices that an answer rests on, defaults filled in."""

from collections.abc import Iterator
from math import erfc, sqrt
from typing import Annotated, Literal

from msgspec import Meta, Struct, structs

from axlewright.contract.faults import Fault
from axlewright.contract.output import NumberOut, PressureOut, ProbabilityOut, ShareOut, SpeedOut
from axlewright.contract.request import PolicyInput
from axlewright.contract.units import ROUNDING_STEPS_PA, Units


class PolicyAnswer(Struct, frozen=True, kw_only=True):
    """Your choices as they were used, with the defaults of those that you left out."""

    reserve_share: Annotated[ShareOut, Meta(description="Load added before a pressure is chosen.")]
    reserve_pressure: Annotated[PressureOut, Meta(description="Pressure added to the least one for the load.")]
    rounding_step: Annotated[PressureOut, Meta(description="Step to which an estimated pressure is rounded up.")]
    coverage_factor: Annotated[NumberOut, Meta(description="k of the bounds at which loads are judged.")]
    upper_bound_confidence: Annotated[
        ProbabilityOut, Meta(description="Probability that a load keeps to its value plus k u, its error normal.")
    ]
    tight_share: Annotated[ShareOut, Meta(description="A limit with less than this share left is tight.")]
    label_floor: Annotated[
        Literal["light_and_trailers", "always", "never"],
        Meta(description="For which vehicles the label's pressure is a floor."),
    ]
    least_steering_share: Annotated[ShareOut, Meta(description="Least share of the load on the first axle.")]
    least_tongue_share: Annotated[ShareOut, Meta(description="Least share of a trailer's weight on the ball.")]
    most_tongue_share: Annotated[ShareOut, Meta(description="Most share of a trailer's weight on the ball.")]
    least_pin_share: Annotated[ShareOut, Meta(description="Least share of a fifth wheel's weight on the kingpin.")]
    most_pin_share: Annotated[ShareOut, Meta(description="Most share of a fifth wheel's weight on the kingpin.")]
    speed: Annotated[SpeedOut | None, Meta(description="Most speed; null where it was not given.")]
    interstate_limits: Annotated[bool, Meta(description="Whether the Federal Interstate limits were judged too.")]
    significance: Annotated[ShareOut, Meta(description="Of the cross-checks.")]
    whole_axle_share: Annotated[ShareOut, Meta(description="Placement error of a reading.")]
    hanging_side_share: Annotated[ShareOut, Meta(description="Error of a side reading.")]
    raised_pad_share: Annotated[ShareOut, Meta(description="Error of a pad under one axle.")]


def policy_faults(policy: PolicyInput) -> Iterator[Fault]:
    """Yield a fault for every least share that is not below its most."""
    for name in ("tongue", "pin"):
        if getattr(policy, f"least_{name}_share") >= getattr(policy, f"most_{name}_share"):
            yield Fault(
                "inconsistent_order",
                f"/policy/least_{name}_share",
                f"The least share lies below the most: `most_{name}_share` is its other bound.",
                None,
                f"less than `most_{name}_share`",
            )


def policy_answer(policy: PolicyInput, units: Units) -> PolicyAnswer:
    """Return a policy in SI, whole."""
    return PolicyAnswer(
        **structs.asdict(structs.replace(policy, rounding_step=rounding_step_pa(policy, units))),
        upper_bound_confidence=0.5 * erfc(-policy.coverage_factor / sqrt(2.0)),
    )


def rounding_step_pa(policy: PolicyInput, units: Units) -> float:
    """Return the step [Pa] to which estimates are rounded up: the caller's, or the usual one in the caller's unit."""
    assert units.pressure is not None
    return policy.rounding_step or ROUNDING_STEPS_PA[units.pressure]
