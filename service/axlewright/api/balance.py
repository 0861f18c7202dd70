"""The balance room: where the load sits, and what to move so that it sits better."""

from litestar import post
from litestar.datastructures import State
from litestar.params import JSONBody

from axlewright.api.solving import SOLVERS, SOLVES, Solvers
from axlewright.contract.request import LoadedRigRequest
from axlewright.contract.rooms import AssessBalanceAnswer, assess_balance_answer
from axlewright.contract.shift import PlanShiftAnswer, plan_shift_answer
from axlewright.contract.shift_request import PlanShiftRequest


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


@post(
    "/v1/balance/shift",
    operation_id="plan_shift",
    tags=["balance"],
    summary="Plan what to move where so that limits are kept with the least effort",
    status_code=200,
    opt={SOLVES: True},
)
async def plan_shift(data: JSONBody[PlanShiftRequest], state: State) -> PlanShiftAnswer:
    """The moves that keep every limit, then even the sides, then move the least mass, with loads before and after.

    Proven, or with the gap that was left when time ran out. What no plan mends is named, with what stands in the way
    and what must come off. No plan makes a tongue or steering axle too light. Only a new weigh confirms it. Stores
    nothing.
    """
    solvers: Solvers = state[SOLVERS]
    return await solvers.run(lambda: plan_shift_answer(data, solvers.limit_s))
