"""Whatever valid is asked of the inflation room gets an answer by the published schema, or contradictions told."""

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import send
from tests.contract.published import component, validator_of
from tests.rigs import inflation as made

APP = create_app(Settings())
QUESTIONS = {
    "translate": (made.translation, "TranslatePressureAnswer"),
    "itinerary": (made.itinerary, "PlanItineraryAnswer"),
    "monitor": (made.monitor, "SetMonitorAnswer"),
    "leaks": (made.leaks, "FindLeaksAnswer"),
}


@pytest.mark.parametrize("question", QUESTIONS)
@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_a_valid_request_is_answered_by_the_published_schema_or_told_what_contradicts_it(
    question: str, data: st.DataObject
) -> None:
    make, answer = QUESTIONS[question]
    document: Any = data.draw(made.requests(make))
    body = json.dumps(document).encode()
    reply = send(APP, "POST", f"/v1/inflation/{question}", body, {"Content-Type": "application/json"})
    if reply.status == 200:
        validator_of(component(answer)).validate(reply.json)
        return
    assert reply.status == 422, reply.body
    assert {fault["code"].partition("_")[0] for fault in reply.json["errors"]} == {"inconsistent"}, reply.body
