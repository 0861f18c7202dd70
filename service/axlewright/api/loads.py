"""The loads room: how loads stand to limits."""

from litestar import post
from litestar.params import JSONBody

from axlewright.contract.request import LoadedRigRequest
from axlewright.contract.rooms import CheckLoadsAnswer, check_loads_answer


@post(
    "/v1/loads/check",
    operation_id="check_loads",
    tags=["loads"],
    summary="Check loads, weighed or known, against every limit",
    status_code=200,
    sync_to_thread=False,
)
def check_loads(data: JSONBody[LoadedRigRequest]) -> CheckLoadsAnswer:
    """How the load of every wheel end, axle and vehicle stands to tire, wheel, axle and vehicle ratings.

    A limit within the doubt of its load is unsettled, one that cannot be judged unknown; neither counts as kept.
    Stores nothing.
    """
    return check_loads_answer(data)
