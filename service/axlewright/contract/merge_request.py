"""What a client sends of several weighs of one rig."""

from typing import Annotated

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.request import (
    CouplingLoadsField,
    PolicyField,
    PolicyInput,
    RigField,
    TablesField,
    UnitsField,
)
from axlewright.contract.session_request import SessionInput


class MergeSessionsRequest(Input, frozen=True):
    """A rig with the tickets of several weighs, each with the state of load that it was made in."""

    units: UnitsField
    rig: RigField
    sessions: Annotated[
        list[SessionInput],
        Meta(
            min_length=2, max_length=8, description="The weighs; `carried` of each tells whether they belong together."
        ),
    ]
    coupling_loads: CouplingLoadsField = []
    policy: PolicyField = PolicyInput()
    tire_tables: TablesField = []
