"""The balance room: where the load sits."""

from litestar import post
from litestar.params import JSONBody

from axlewright.contract.request import LoadedRigRequest
from axlewright.contract.rooms import AssessBalanceAnswer, assess_balance_answer


@post(
    "/v1/balance/assess",
    operation_id="assess_balance",
    tags=["balance"],
    summary="Assess the balance of a rig from side to side and end to end",
    status_code=200,
    sync_to_thread=False,
)
def assess_balance(data: JSONBody[LoadedRigRequest]) -> AssessBalanceAnswer:
    """Centre of gravity in plan, side differences, end shares and twist of every vehicle, each with its doubt.

    Bands of side difference are common practice and information, no limit. Stores nothing.
    """
    return assess_balance_answer(data)
