"""The invented yard of the fleet's examples: what is sent, with ids that the service would have given."""

import copy
from collections.abc import Mapping
from functools import cache
from typing import Any

import msgspec

from axlewright.contract.examples import document

Json = dict[str, Any]

MOMENT = "2026-05-14T09:30:00.000000Z"
WEIGHED_ON = "2026-05-14"
TRAILER, COACH = 1, 2
"""The numbers of what is kept: of each kind the least and the most that can be sent."""
LEAST, CORRECTED, MOST = 1, 2, 3
"""The numbers of the weighs: the trailer's, the coach's with a slip, and the coach's as it was."""
_KINDS = (
    "vehicles",
    "rigs",
    "tires",
    "layouts",
    "inflation_tables",
    "policies",
    "sessions",
    "assessments",
    "pressure_checks",
    "upkeep_events",
    "odometer_readings",
    "changes",
)
_SLIP = 3420
"""What was copied of the first reading, 3240: two digits changed places."""


def example_id(kind: str, number: int) -> str:
    """Return an id of the examples: of the first, second, ... thing of a kind."""
    return f"019e25d2-4dc0-7{_KINDS.index(kind) + 1:03x}-8000-{number:012x}"


@cache
def example_bodies() -> Mapping[str, Mapping[str, Json]]:
    """Return what is sent, by operation and name, in an order in which it can be sent."""
    own, least, most = (msgspec.json.decode(document(name)) for name in ("fleet", "minimal", "full"))
    units = {"units": most["units"]}
    session = most["session"]
    policy = {name: most[name] for name in ("policy", "conditions")}
    whole: dict[str, Mapping[str, Json]] = {
        "keep_vehicle": {
            "minimal": {"units": least["units"], "vehicle": least["rig"]["vehicles"][0]},
            "full": units | {"vehicle": most["rig"]["vehicles"][0]},
        },
        "keep_inflation_table": {"minimal": {}, "full": units | {"table": most["tire_tables"][0]}},
        "keep_policy": {"minimal": {}, "full": units | policy},
        "keep_rig": {"minimal": {}, "full": {}},
        "keep_tire": {"minimal": {}, "full": {}},
        "keep_layout": {"minimal": {}, "full": units},
        "record_session": {
            "minimal": {"units": least["units"], "session": {"weighed_on": WEIGHED_ON, **least["session"]}},
            "misread": units | {"session": _with_a_slip(session)},
            "full": units | {"session": session},
        },
        "make_assessment": {"minimal": {}, "full": units},
        "record_pressure_check": {"minimal": {}, "full": units},
        "record_upkeep_event": {"minimal": {}, "full": units},
        "record_odometer_reading": {"minimal": {}, "full": units},
    }
    return {
        operation_id: {name: body | own[operation_id].get(name, {}) for name, body in named.items()}
        for operation_id, named in whole.items()
    }


def _with_a_slip(session: Json) -> Json:
    slipped = copy.deepcopy(session)
    slipped["passes"][0]["readings"][0]["value"] = _SLIP
    return slipped
