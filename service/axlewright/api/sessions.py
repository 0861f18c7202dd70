"""The sessions room: what weigh tickets say."""

from litestar import post
from litestar.datastructures import State
from litestar.params import JSONBody

from axlewright.api.solving import SOLVERS, SOLVES, Solvers
from axlewright.contract.merge import MergeSessionsAnswer, merge_sessions_answer
from axlewright.contract.merge_request import MergeSessionsRequest
from axlewright.contract.plan import PlanSessionAnswer, plan_session_answer
from axlewright.contract.plan_request import PlanSessionRequest
from axlewright.contract.request import ReconcileSessionRequest
from axlewright.contract.rooms import ReconcileSessionAnswer, reconcile_session_answer


@post(
    "/v1/sessions/reconcile",
    operation_id="reconcile_session",
    tags=["sessions"],
    summary="Reconcile the tickets of a weigh session",
    status_code=200,
    sync_to_thread=False,
)
def reconcile_session(data: JSONBody[ReconcileSessionRequest]) -> ReconcileSessionAnswer:
    """How the readings agree, and the load of every wheel end with its doubt.

    A load that the readings do not give is said to be unknown, with the sums that are known. Stores nothing.
    """
    return reconcile_session_answer(data)


@post(
    "/v1/sessions/plan",
    operation_id="plan_session",
    tags=["sessions"],
    summary="Plan the passes that make loads known at the least price",
    status_code=200,
    opt={SOLVES: True},
)
async def plan_session(data: JSONBody[PlanSessionRequest], state: State) -> PlanSessionAnswer:
    """The cheapest passes on a site that make wanted loads known, and those with which a slip would show too.

    Each pass with where every axle stands, and texts for the driver and the scale house; the doubt that every load
    will have. What no pass on the site gives is named, with what stands in the way. Stores nothing.
    """
    solvers: Solvers = state[SOLVERS]
    return await solvers.run(lambda: plan_session_answer(data, solvers.limit_s))


@post(
    "/v1/sessions/merge",
    operation_id="merge_sessions",
    tags=["sessions"],
    summary="Reconcile several weighs of one rig as one, if its state of load was the same",
    status_code=200,
    sync_to_thread=False,
)
def merge_sessions(data: JSONBody[MergeSessionsRequest]) -> MergeSessionsAnswer:
    """One adjustment of all readings of weighs, on one scale or several, that were made in one state of load.

    In different states, or in states that nobody declared, the weighs are not one: what differs is told, and no load.
    Stores nothing.
    """
    return merge_sessions_answer(data)
