"""Where an answer leads: the operations that go on from it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

REQUEST_BODY = "$request.body"
"""Runtime expression (OpenAPI 3.1, section 4.8.20.4) for the document that was sent."""


@dataclass(frozen=True)
class Link:
    """An operation to go on to, with its parameters from the answer, or else with the same body."""

    operation_id: str
    description: str
    parameters: Mapping[str, str] = field(default_factory=dict)


_CHECK = Link("check_loads", "The same document checks the loads against every limit.")
_BALANCE = Link("assess_balance", "The same document tells where the load sits.")
_RECOMMEND = Link("recommend_inflation", "The same document gives each axle's cold pressure.")
_ASSESS = Link("assess", "The same document gets the whole assessment.")

LINKS: Mapping[str, Sequence[Link]] = {
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
    "list_upkeep_due": (Link("write_upkeep_calendar", "The same document gets it as a calendar file."),),
    "write_upkeep_calendar": (Link("list_upkeep_due", "The same document gets it with every rule and reason."),),
}
"""From each operation to those that take what it took, or what it gave."""
