"""What is asked of a rig that tows."""

from typing import Annotated

from msgspec import Meta

from axlewright.contract.request import CoupledRigRequest
from axlewright.core.loads.towing import RESTORED_SHARE


class JudgeTowingRequest(CoupledRigRequest, frozen=True, kw_only=True):
    """A towing vehicle, loaded, by itself, and what it tows, its coupling held level without bars; one coupling."""

    restored_share: Annotated[
        float,
        Meta(
            ge=0,
            le=1,
            description="Share of the load that hitching takes off the front axle, to be given back by levelling bars.",
            extra_json_schema={"x-quantity": "share"},
        ),
    ] = RESTORED_SHARE
