"""What is sent to the fleet is valid by the published schema exactly where the decoder takes it."""

import copy
import json
from typing import Any

import pytest

from axlewright.api.operations import operations_of
from axlewright.app import create_app
from axlewright.contract.decoding import decode
from axlewright.contract.faults import ShapeFaults
from axlewright.contract.fleet.example_bodies import example_bodies, example_id
from axlewright.settings import Settings
from tests.contract.published import component, inside, validator_of
from tests.contract.test_contract_equals_decoder import OTHER_VALUES, Path, places, value_at

TYPES = {
    each.operation_id: each.body
    for each in operations_of(create_app(Settings()))
    if each.scope is not None and each.body is not None and each.method == "POST"
}
ELSEWHERE = {"vehicle", "session", "policy", "conditions", "table", "carried", "units"}
"""Documents that what computes takes too, compared there."""
ID = example_id("vehicles", 1)
VALUES = [
    *OTHER_VALUES, ID, ID.upper(), ID.replace("-", ""), f"{ID}\n", f" {ID}", f"{{{ID}}}", f"urn:uuid:{ID}",
    ID.replace("-7", "-4"), ID.replace("-8", "-c"), ID[:-1], f"{ID}0", "A", "-A", "A" * 40, "A" * 41, "a:b/c.d_e-f g",
    "vehicle", "drive", "rig", "drive.left.outer", "left.left", "24:00", "23:59:59", "7:30", "XX2C 7RA 3524", "xx2c",
    "A12", "A" * 20, "A" * 21, [ID], [ID] * 4, [ID] * 5, [ID] * 16, [ID] * 17, ["A"] * 16, ["A"] * 17, 1e7, 1e9, -1,
    "wheel_work", "repair",
]  # fmt: skip


def is_taken(document: Any, type_: Any) -> bool:
    try:
        decode(json.dumps(document).encode(), type_)
    except ShapeFaults:
        return False
    return True


def own_places(body: Any) -> list[Path]:
    return [path for path in places(body) if path and not (path[0] in ELSEWHERE and len(path) > 1)]


@pytest.mark.parametrize("operation_id", TYPES)
def test_at_every_place_schema_and_decoder_agree_on_every_value(operation_id: str) -> None:
    type_, full = TYPES[operation_id], example_bodies()[operation_id]["full"]
    for path in own_places(full):
        schema: dict[str, Any] = component(type_.__name__)
        for step in path:
            schema = inside(schema, step)
        validator, document = validator_of(schema), copy.deepcopy(full)
        holder = value_at(document, path[:-1])
        for value in VALUES:
            holder[path[-1]] = value
            assert is_taken(document, type_) == validator.is_valid(value), (path, value)


@pytest.mark.parametrize("operation_id", TYPES)
def test_a_name_that_is_left_out_or_unknown_is_judged_alike(operation_id: str) -> None:
    type_, full = TYPES[operation_id], example_bodies()[operation_id]["full"]
    validator = validator_of(component(type_.__name__))
    for name in full:
        document = {key: value for key, value in full.items() if key != name}
        assert is_taken(document, type_) == validator.is_valid(document), name
    for document in (full | {"id": ID}, full | {"operator_id": 1}, full | {"": None}):
        assert not is_taken(document, type_)
        assert not validator.is_valid(document)
