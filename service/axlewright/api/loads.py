"""The loads room: how loads stand to limits, and loads before they happen."""

from litestar import post
from litestar.params import JSONBody

from axlewright.contract.calibrate import CalibrateLoadsAnswer, calibrate_loads_answer
from axlewright.contract.calibrate_request import CalibrateLoadsRequest
from axlewright.contract.envelope import FindEnvelopeAnswer, find_envelope_answer
from axlewright.contract.envelope_request import FindEnvelopeRequest
from axlewright.contract.forecast import ForecastLoadsAnswer, forecast_loads_answer
from axlewright.contract.forecast_request import ForecastLoadsRequest
from axlewright.contract.headroom import FindHeadroomAnswer, find_headroom_answer
from axlewright.contract.headroom_request import FindHeadroomRequest
from axlewright.contract.request import LoadedRigRequest
from axlewright.contract.rooms import CheckLoadsAnswer, check_loads_answer
from axlewright.contract.towing import JudgeTowingAnswer, judge_towing_answer
from axlewright.contract.towing_request import JudgeTowingRequest


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


@post(
    "/v1/loads/forecast",
    operation_id="forecast_loads",
    tags=["loads"],
    summary="Predict loads, limits and pressures after people, cargo or tank levels change",
    status_code=200,
    sync_to_thread=False,
)
def forecast_loads(data: JSONBody[ForecastLoadsRequest]) -> ForecastLoadsAnswer:
    """The loads to be expected once what you name has come, left, moved or flowed, with a doubt that grows with it.

    A load that the weigh does not tell is not told here either. What equilibrium does not settle is assumed, and
    said. Only a new weigh measures the new state. Stores nothing.
    """
    return forecast_loads_answer(data)


@post(
    "/v1/loads/envelope",
    operation_id="find_envelope",
    tags=["loads"],
    summary="Find the worst that a trip can bring while tanks, people and cargo vary",
    status_code=200,
    sync_to_thread=False,
)
def find_envelope(data: JSONBody[FindEnvelopeRequest]) -> FindEnvelopeAnswer:
    """The worst case of every limit over all levels that tanks may have, and all who and what may be aboard or not.

    With each comes the state in which it happens; the pressures serve every state. What you link holds together no
    more than at the start. Stores nothing.
    """
    return find_envelope_answer(data)


@post(
    "/v1/loads/headroom",
    operation_id="find_headroom",
    tags=["loads"],
    summary="Find how much more may go where, and what has to come off where something is over",
    status_code=200,
    sync_to_thread=True,
)
def find_headroom(data: JSONBody[FindHeadroomRequest]) -> FindHeadroomAnswer:
    """The most that may be added at each place before the first limit, most or least, and which limit that is.

    Where a limit is broken already, the least mass that has to come off, and of what, so that all are kept; a tongue or
    steering axle is not made too light by it. What cannot be judged is said, never counted as kept. Stores nothing.
    """
    return find_headroom_answer(data)


@post(
    "/v1/loads/calibrate",
    operation_id="calibrate_loads",
    tags=["loads"],
    summary="Fit how a vehicle's axles share the roll moment to two weighs with a known shift between them",
    status_code=200,
    sync_to_thread=False,
)
def calibrate_loads(data: JSONBody[CalibrateLoadsRequest]) -> CalibrateLoadsAnswer:
    """Each axle's share of the roll moment, and a trailer's stiffnesses, with doubt, for the rig to state from then on.

    What the weighs do not show, or contradict, is not told, and why is. Stores nothing.
    """
    return calibrate_loads_answer(data)


@post(
    "/v1/loads/towing",
    operation_id="judge_towing",
    tags=["loads"],
    summary="Tell what hitching a trailer does, the levelling moment, and every limit in each coupling state",
    status_code=200,
    sync_to_thread=False,
)
def judge_towing(data: JSONBody[JudgeTowingRequest]) -> JudgeTowingAnswer:
    """Loads and limits of each vehicle by itself, hitched, and hitched with levelling bars tensioned.

    With the ratings of hitch, its parts and combination; limits and the share on the coupling are judged without bars.
    Stores nothing.
    """
    return judge_towing_answer(data)
