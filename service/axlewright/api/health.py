"""Whether the process lives, and whether it can compute."""

from typing import Annotated

import msgspec
from litestar import get
from msgspec import Meta

from axlewright.api.fleet.asking import ASKS_STORE, MEMORY, FleetRequest
from axlewright.api.fleet.threads import in_thread
from axlewright.contract.assessment import assess_answer
from axlewright.contract.decoding import decode
from axlewright.contract.examples import document
from axlewright.contract.request import AssessRequest


class Liveness(msgspec.Struct, frozen=True):
    """The process answers."""

    alive: Annotated[bool, Meta(description="Always true: a process that cannot say so gives no answer.")]


class Readiness(msgspec.Struct, frozen=True):
    """The service can take work."""

    ready: Annotated[
        bool,
        Meta(
            description="True once the service can compute and its store answers; otherwise the status is 500 or 503. "
            "Each process tells for a minute of a store that refused its last change."
        ),
    ]


@get(
    "/healthz",
    operation_id="healthz",
    tags=["service"],
    summary="Does the process live?",
    sync_to_thread=False,
)
def healthz() -> Liveness:
    """Answer while the process lives, whatever else may be wrong."""
    return Liveness(alive=True)


@get(
    "/readyz",
    operation_id="readyz",
    tags=["service"],
    summary="Can the service compute and store?",
    opt={ASKS_STORE: True},
)
@in_thread
def readyz(request: FleetRequest) -> Readiness:
    """Answer once a whole small assessment succeeds and the store, if any, has all its tables and takes changes."""
    if request.app.state[MEMORY] is not None:
        request.memory.refuse_unready()
    assess_answer(decode(document("van_axles_only"), AssessRequest))
    return Readiness(ready=True)
