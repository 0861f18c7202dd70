"""The inflation room: cold pressures, what a gauge shows elsewhere and on a trip, monitors, leaks."""

from litestar import post
from litestar.params import JSONBody

from axlewright.contract.itinerary import PlanItineraryAnswer, plan_itinerary_answer
from axlewright.contract.itinerary_request import PlanItineraryRequest
from axlewright.contract.leaks import find_leaks_answer
from axlewright.contract.leaks_answer import FindLeaksAnswer
from axlewright.contract.leaks_request import FindLeaksRequest
from axlewright.contract.monitor import SetMonitorAnswer, set_monitor_answer
from axlewright.contract.monitor_request import SetMonitorRequest
from axlewright.contract.request import AssessRequest
from axlewright.contract.rooms import RecommendInflationAnswer, recommend_inflation_answer
from axlewright.contract.translation import TranslatePressureAnswer, translate_pressure_answer
from axlewright.contract.translation_request import TranslatePressureRequest


@post(
    "/v1/inflation/recommend",
    operation_id="recommend_inflation",
    tags=["inflation"],
    summary="Recommend the cold pressure of each axle's tires",
    status_code=200,
    sync_to_thread=False,
)
def recommend_inflation(data: JSONBody[AssessRequest]) -> RecommendInflationAnswer:
    """The cold pressure of each axle for its heaviest wheel end, and what the gauge must show here and now.

    A tire that no pressure can save gets none. What rests on no published row is marked as an estimate. Stores
    nothing.
    """
    return recommend_inflation_answer(data)


@post(
    "/v1/inflation/translate",
    operation_id="translate_pressure",
    tags=["inflation"],
    summary="Translate a gauge reading to another temperature and altitude",
    status_code=200,
    sync_to_thread=False,
)
def translate_pressure(data: JSONBody[TranslatePressureRequest]) -> TranslatePressureAnswer:
    """What the gauge shows there and then for what it shows here and now, the same air in the tire.

    And back: with `pressure` at the target in place of the observation, what to set here and now so that the gauge
    shows that there. Stores nothing.
    """
    return translate_pressure_answer(data)


@post(
    "/v1/inflation/itinerary",
    operation_id="plan_itinerary",
    tags=["inflation"],
    summary="Find the one fill that serves a whole trip, or where to correct",
    status_code=200,
    sync_to_thread=False,
)
def plan_itinerary(data: JSONBody[PlanItineraryRequest]) -> PlanItineraryAnswer:
    """What the gauge shows at each stop, coldest and hottest, and where that is too little or too much.

    For each axle the one fill that serves the trip; failing that, the fewest corrections; failing those, which stop
    nothing serves. The cold pressures are those that the recommendation answers. Stores nothing.
    """
    return plan_itinerary_answer(data)


@post(
    "/v1/inflation/monitor",
    operation_id="set_monitor",
    tags=["inflation"],
    summary="Give each axle's set points for a pressure monitor",
    status_code=200,
    sync_to_thread=False,
)
def set_monitor(data: JSONBody[SetMonitorRequest]) -> SetMonitorAnswer:
    """Low, high and hot set points of each axle by common practice, for vented sensors and for sealed ones.

    Whether the monitor stays quiet on the coldest morning, and the threshold of the vehicle's own telltale where the
    regulation asks for one. The cold pressures are those that the recommendation answers. Stores nothing.
    """
    return set_monitor_answer(data)


@post(
    "/v1/inflation/leaks",
    operation_id="find_leaks",
    tags=["inflation"],
    summary="Tell from pressure checks which tires lose air, and how fast",
    status_code=200,
    sync_to_thread=True,
)
def find_leaks(data: JSONBody[FindLeaksRequest]) -> FindLeaksAnswer:
    """How fast each tire loses pressure, compared with the others of its axle, and when it will hold too little.

    Every check is brought to one temperature and altitude first. A loss rate is told only from five checks since the
    last refill, with its interval, and is `unsettled` where the noise hides it; a sudden loss is told from two. The
    most checks of the most tires fit, written without spaces, in a body of 1 MiB; an operator may set another limit.
    Stores nothing.
    """
    return find_leaks_answer(data)
