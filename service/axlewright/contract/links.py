"""Where an answer leads: the operations that go on from it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

REQUEST_BODY = "$request.body"
"""Runtime expression (OpenAPI 3.1, section 4.8.20.4) for the document that was sent."""
_ID = {"id": "$response.body#/id"}
_FIRST_ID = {"id": "$response.body#/items/0/id"}
_IN_US_UNITS = {"units": "us"}
_TAG = {"If-Match": "$response.header.ETag"}


@dataclass(frozen=True)
class Link:
    """An operation to go on to, with parameters and a body from the question or its answer."""

    operation_id: str
    description: str
    parameters: Mapping[str, str] = field(default_factory=dict)
    body: Any = None
    """Runtime expressions may stand anywhere in it; names that they cannot give are left out."""


Links = dict[str, tuple[Link, ...]]

_CHECK = Link("check_loads", "The same document checks the loads against every limit.", body=REQUEST_BODY)
_BALANCE = Link("assess_balance", "The same document tells where the load sits.", body=REQUEST_BODY)
_RECOMMEND = Link("recommend_inflation", "The same document gives each axle's cold pressure.", body=REQUEST_BODY)
_ASSESS = Link("assess", "The same document gets the whole assessment.", body=REQUEST_BODY)

_OF_ROOMS: Links = {
    "reconcile_session": (_CHECK, _BALANCE, _RECOMMEND, _ASSESS),
    "assess_balance": (_CHECK, _RECOMMEND, _ASSESS),
    "check_loads": (_RECOMMEND, _ASSESS),
    "recommend_inflation": (_ASSESS,),
    "list_tire_tables": (
        Link(
            "get_tire_table",
            "The rows of the first table, in metric units.",
            {"table_id": "$response.body#/tables/0/id", "units": "metric"},
        ),
        Link("list_tire_tables", "The next page.", {"cursor": "$response.body#/next_cursor"}),
    ),
    "get_tire_table": (
        Link("list_tire_tables", "All tables of this size.", {"designation": "$response.body#/designation"}),
    ),
    "read_tire": (
        Link(
            "list_tire_tables", "Published tables of this size.", {"designation": "$response.body#/marking/designation"}
        ),
    ),
    "list_upkeep_due": (
        Link("write_upkeep_calendar", "The same document gets it as a calendar file.", body=REQUEST_BODY),
    ),
    "write_upkeep_calendar": (
        Link("list_upkeep_due", "The same document gets it with every rule and reason.", body=REQUEST_BODY),
    ),
}

_KEPT = {
    "vehicle": "vehicles",
    "rig": "rigs",
    "tire": "tires",
    "layout": "layouts",
    "inflation_table": "inflation_tables",
    "policy": "policies",
}
_RECORDED = {
    "session": "sessions",
    "pressure_check": "pressure_checks",
    "upkeep_event": "upkeep_events",
    "odometer_reading": "odometer_readings",
}
_ONES = {**_KEPT, **_RECORDED, "assessment": "assessments"}
_FILTERS = {
    **dict.fromkeys(_KEPT.values(), ("archived",)),
    **dict.fromkeys(_RECORDED.values(), ("vehicle_id",)),
    "vehicles": ("asset_number", "archived"),
    "rigs": (
        "standing",
        "label",
        "axle",
        "asset_number",
        "weighed_before",
        "side_difference_above",
        "sort",
        "archived",
    ),
    "sessions": ("rig_id", "ticket"),
    "assessments": ("rig_id", "session_id"),
    "changes": ("resource_id",),
}
"""What a list is filtered by: its next page is asked for with the same filters."""
_HISTORIES = ("get_rig_history", "get_vehicle_history", "get_wheel_end_history")

_RIG_PAGE = Link("get_rig_page", "Everything of the rig.", _ID)
_RIG_HISTORY = Link("get_rig_history", "Its history.", {**_ID, **_IN_US_UNITS})
_VEHICLE_HISTORY = Link("get_vehicle_history", "Its history.", {**_ID, **_IN_US_UNITS})
_ASSESS_AGAIN = Link(
    "make_assessment",
    "The same weigh, assessed again.",
    body={"session_id": "$response.body#/id", "units": "$response.body#/document/units"},
)
_FROM_ONE: Links = {
    "vehicle": (
        _VEHICLE_HISTORY,
        Link(
            "get_wheel_end_history",
            "The history of the left end of its first axle.",
            {**_ID, "wheel_end": "{$response.body#/document/vehicle/axles/0/name}.left", **_IN_US_UNITS},
        ),
        Link(
            "keep_rig",
            "The vehicle by itself as a rig.",
            body={
                "name": "$response.body#/document/vehicle/name",
                "first_day": "2026-01-01",
                "vehicles": ["$response.body#/id"],
            },
        ),
        Link("list_pressure_checks", "Its rounds with the gauge.", {"vehicle_id": "$response.body#/id"}),
    ),
    "rig": (
        _RIG_PAGE,
        _RIG_HISTORY,
        Link("record_session", "A weigh of it: beside its tickets.", body={"rig_id": "$response.body#/id"}),
        Link("list_sessions", "Its weighs.", {"rig_id": "$response.body#/id"}),
    ),
    "session": (
        _ASSESS_AGAIN,
        Link("list_assessments", "Its assessments.", {"session_id": "$response.body#/id"}),
        Link("get_rig_page", "The rig that was weighed.", {"id": "$response.body#/document/rig_id"}),
    ),
    "assessment": (Link("get_session", "The weigh that it is of.", {"id": "$response.body#/session_id"}),),
}
"""From one thing to what there is of it, whether it was made, changed or read."""


def _of_vehicle(kind: str) -> tuple[Link, ...]:
    vehicle_id = "$response.body#/document/vehicle_id"
    return (
        Link(f"list_{kind}", "All of the vehicle.", {"vehicle_id": vehicle_id}),
        Link("get_vehicle_history", "The vehicle's history.", {"id": vehicle_id, **_IN_US_UNITS}),
    )


def _of_list(one: str, kind: str) -> tuple[Link, ...]:
    page = {"rig": (Link("get_rig_page", "Everything of the first.", _FIRST_ID),)}
    return (Link(f"get_{one}", "The first.", _FIRST_ID), *page.get(one, ()), _next_of_list(kind))


def _next_of_list(kind: str) -> Link:
    asked = {name: f"$request.query.{name}" for name in _FILTERS[kind]}
    return Link(f"list_{kind}", "The next page.", {**asked, "cursor": "$response.body#/next_cursor"})


def _next_of_history(operation_id: str) -> Link:
    wheel_end = {"wheel_end": "$request.path.wheel_end"} if operation_id == "get_wheel_end_history" else {}
    asked = {"id": "$request.path.id", **wheel_end, "units": "$request.query.units"}
    return Link(operation_id, "The next page.", {**asked, "cursor": "$response.body#/next_cursor"})


def _of_fleet() -> Links:
    links: Links = {}
    for one, kind in _ONES.items():
        more = _FROM_ONE.get(one) or (_of_vehicle(kind) if one in _RECORDED else ())
        made = {**dict.fromkeys(_KEPT, "keep"), **dict.fromkeys(_RECORDED, "record")}.get(one, "make")
        read = Link(f"get_{one}", "As it is kept.", _ID)
        links[f"list_{kind}"] = _of_list(one, kind)
        if one in _KEPT:
            change = Link(f"change_{one}", "Its next revision.", {**_ID, **_TAG}, "$response.body#/document")
            links |= {f"{made}_{one}": (read, change, *more), f"change_{one}": (read, change, *more)}
            links[f"get_{one}"] = (change, *more)
        else:
            links |= {f"{made}_{one}": (read, *more), f"get_{one}": more}
    links |= {operation_id: (_next_of_history(operation_id),) for operation_id in _HISTORIES}
    return links | {"list_changes": (_next_of_list("changes"),)}


LINKS: Mapping[str, Sequence[Link]] = _OF_ROOMS | _of_fleet()
"""From each operation to those that take what it took, or what it gave."""
