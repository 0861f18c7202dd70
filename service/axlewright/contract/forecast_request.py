"""What is asked of loads before they happen: a weighed or known state, and what will be otherwise."""

from typing import Annotated

from msgspec import Meta

from axlewright.contract.aboard_request import ChangesInput
from axlewright.contract.request import AssessRequest


class ForecastLoadsRequest(AssessRequest, frozen=True, kw_only=True):
    """A rig with its weigh tickets or its known loads, and what will be otherwise than at the weigh."""

    changes: Annotated[ChangesInput, Meta(description="What comes aboard, leaves, moves or flows.")]
