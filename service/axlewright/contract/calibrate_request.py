"""What is asked of two weighs with a known shift between them."""

from typing import Annotated

from msgspec import Meta

from axlewright.contract.aboard_request import MoveInput
from axlewright.contract.closed import Input
from axlewright.contract.quantities import Name
from axlewright.contract.request import LoadInput, PolicyField, PolicyInput, RigField, UnitsField
from axlewright.contract.session_request import SessionInput


class WeighedInput(Input, frozen=True):
    """One weigh by its tickets or its known loads: exactly one of `session` and `loads`."""

    session: Annotated[SessionInput | None, Meta(description="The weigh tickets.")] = None
    loads: Annotated[
        Annotated[list[LoadInput], Meta(min_length=1, max_length=128)] | None,
        Meta(description="Loads that you know already."),
    ] = None


class CalibrateLoadsRequest(Input, frozen=True, kw_only=True):
    """A rig that was weighed twice, and all that came, left or moved between the weighs."""

    units: UnitsField
    rig: RigField
    vehicle: Annotated[Name | None, Meta(description="Which vehicle; not needed where the rig has one.")] = None
    before: Annotated[WeighedInput, Meta(description="The first weigh.")]
    after: Annotated[WeighedInput, Meta(description="The second weigh.")]
    moved: Annotated[
        list[MoveInput],
        Meta(
            min_length=1,
            max_length=64,
            description="All that came, left or moved between the two; what is not told here bends the answer.",
        ),
    ]
    policy: PolicyField = PolicyInput()
