"""The inflation room: cold pressures, and what a gauge shows elsewhere."""

from litestar import post
from litestar.params import JSONBody

from axlewright.contract.request import AssessRequest
from axlewright.contract.rooms import RecommendInflationAnswer, recommend_inflation_answer
from axlewright.contract.translation import (
    TranslatePressureAnswer,
    TranslatePressureRequest,
    translate_pressure_answer,
)


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
    """What the gauge shows there and then for what it shows here and now, the same air in the tire. Stores nothing."""
    return translate_pressure_answer(data)
