"""The main job: one rig through all rooms."""

from litestar import post
from litestar.params import JSONBody

from axlewright.contract.assessment import AssessAnswer, assess_answer
from axlewright.contract.request import AssessRequest


@post(
    "/v1/assess",
    operation_id="assess",
    tags=["assessment"],
    summary="Assess a rig from its weigh tickets or known loads",
    status_code=200,
    sync_to_thread=False,
)
def assess(data: JSONBody[AssessRequest]) -> AssessAnswer:
    """Loads of every wheel end with their doubt, limits, balance and cold pressures.

    Sends back what is measured, what is estimated and what cannot be known from these readings. Stores nothing:
    the same request gives the same answer, byte for byte.
    """
    return assess_answer(data)
