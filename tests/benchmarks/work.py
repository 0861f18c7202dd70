"""The requests that are sent, and the answer to each, made beforehand."""

from math import ceil

import msgspec
from hypothesis import HealthCheck, Phase, given, seed, settings

from axlewright.contract.assessment import AssessAnswer, assess_answer
from axlewright.contract.decoding import decode
from axlewright.contract.examples import examples_of
from axlewright.contract.request import AssessRequest
from tests.rigs.quantities import Json
from tests.rigs.requests import requests

SEED = 3
GENERATED = 100
_DRAWN_FOR_ONE = 1.5
"""The strategy repeats itself now and then."""


def request_bodies(generated: int = GENERATED) -> list[bytes]:
    """Return the contract's examples and generated requests, always the same ones and each different."""
    drawn: dict[bytes, None] = {}

    @seed(SEED)
    @settings(
        max_examples=ceil(generated * _DRAWN_FOR_ONE),
        phases=[Phase.generate],
        database=None,
        deadline=None,
        suppress_health_check=[*HealthCheck],
    )
    @given(requests())
    def draw(request: Json) -> None:
        drawn[msgspec.json.encode(request)] = None

    draw()
    assert len(drawn) >= generated
    examples = [msgspec.json.encode(example.value) for example in examples_of("assess").requests.values()]
    return [*examples, *list(drawn)[:generated]]


def answer_to(body: bytes) -> AssessAnswer:
    """Return the service's answer; a request that it refuses is no work and raises."""
    return assess_answer(decode(body, AssessRequest))


def written(answers: list[AssessAnswer]) -> bytes:
    """Return the answers as one JSON text, in the order of their requests, for a peer to read."""
    return msgspec.json.encode(answers)
