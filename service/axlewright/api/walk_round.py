"""The upkeep room: what a walk round the rig shows."""

from litestar import post
from litestar.params import JSONBody

from axlewright.contract.walk_round import JudgeWalkRoundAnswer, judge_walk_round_answer
from axlewright.contract.walk_round_request import JudgeWalkRoundRequest


@post(
    "/v1/upkeep/walk-round",
    operation_id="judge_walk_round",
    tags=["upkeep"],
    summary="Judge what a walk round the rig shows",
    status_code=200,
    sync_to_thread=False,
)
def judge_walk_round(data: JSONBody[JudgeWalkRoundRequest]) -> JudgeWalkRoundAnswer:
    """Height against the heights to pass, and each tire's tread, damage, age, valve and mate.

    What nobody noted is told as such, never as good. Stores nothing.
    """
    return judge_walk_round_answer(data)
