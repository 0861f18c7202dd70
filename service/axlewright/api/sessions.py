"""The sessions room: what weigh tickets say."""

from litestar import post
from litestar.params import JSONBody

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
