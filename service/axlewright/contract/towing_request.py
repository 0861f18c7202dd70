"""What is asked of a rig that tows."""

from typing import Annotated

from msgspec import Meta

from axlewright.contract.request import CoupledRigRequest
from axlewright.core.loads.towing import RESTORED_SHARE


class JudgeTowingRequest(CoupledRigRequest, frozen=True, kw_only=True):
    """A towing vehicle and what it tows, with one coupling between them.

    The loads of the towing vehicle are those that it has by itself, with everything aboard but no trailer on it. Those
    of a trailer are with its coupling held level at the height at which it is towed, without levelling bars;
    `coupling_loads` says what the coupling carries then.
    """

    restored_share: Annotated[
        float,
        Meta(
            ge=0,
            le=1,
            description="Share of the load that hitching takes off the front axle, to be given back by levelling bars.",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = RESTORED_SHARE
