"""Documents that the contract shows and the tests send: a table from operation id to its examples.

The rigs are invented. The answers are what the service makes of the requests.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

import msgspec

from axlewright.contract.assessment import assess_answer
from axlewright.contract.decoding import decode
from axlewright.contract.request import AssessRequest


@dataclass(frozen=True)
class Example:
    """One document, as JSON values, and what it shows."""

    summary: str
    value: Any


@dataclass(frozen=True)
class OperationExamples:
    """The examples of an operation by name; a request and the answer to it have the same name."""

    requests: Mapping[str, Example] = field(default_factory=dict)
    answers: Mapping[str, Example] = field(default_factory=dict)


ASSESSMENTS = {
    "motorhome_three_passes": "A motorhome weighed in three passes: right wheels, left wheels, whole axles.",
    "van_axles_only": "A van of which only the axles were weighed: what cannot be known is said.",
    "trailer_known_loads": "A trailer on special-trailer tires, its wheel ends weighed before.",
}
"""Requests for an assessment by name of their document, and what each shows."""


def document(name: str) -> bytes:
    """Return the text of an example document."""
    return (files("axlewright.contract") / "documents" / f"{name}.json").read_bytes()


@cache
def examples_of(operation_id: str) -> OperationExamples:
    """Return the examples of an operation."""
    if operation_id != "assess":
        return _SERVICE_EXAMPLES.get(operation_id, OperationExamples())
    requests = {name: document(name) for name in ASSESSMENTS}
    return OperationExamples(
        {name: Example(ASSESSMENTS[name], msgspec.json.decode(body)) for name, body in requests.items()},
        {
            name: Example(ASSESSMENTS[name], msgspec.to_builtins(assess_answer(decode(body, AssessRequest))))
            for name, body in requests.items()
        },
    )


_SERVICE_EXAMPLES = {
    "healthz": OperationExamples(answers={"alive": Example("The process lives.", {"alive": True})}),
    "readyz": OperationExamples(answers={"ready": Example("The service can compute.", {"ready": True})}),
}
