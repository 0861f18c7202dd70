"""Requests that read a large fleet back: of each kind some thirty, to rigs and pages taken at random."""

import random
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from tests.benchmarks.fleet_rows import DEPOTS
from tests.fleet.yard import FLEET, Fleet

BLOCK = 30
"""So many requests of a kind follow each other."""


def targets_of(fleet: Fleet) -> dict[str, list[str]]:
    """Return the targets of each kind of request, always the same ones for the same fleet."""
    chance = random.Random(7)
    cursors, rigs = _walk(fleet)
    chosen = chance.sample(rigs, BLOCK)
    pages = [fleet.get(f"rigs/{rig}/page").json for rig in chosen]
    ends = [(page["vehicles"][0]["id"], page["vehicles"][0]["document"]["vehicle"]["axles"]) for page in pages]

    def listed(**query: Any) -> str:
        return f"{FLEET}/rigs?{urlencode({'limit': 20, **query})}"

    def depot() -> str:
        return f"depot-{chance.randrange(DEPOTS)}"

    def day() -> str:
        return f"2026-{chance.randrange(2, 9):02d}-15"

    def many(target: Callable[[], str]) -> list[str]:
        return [target() for _ in range(BLOCK)]

    sorts = ("asset_number", "weighed_on", "standing", "side_difference_share")
    return {
        "first page of rigs": many(listed),
        "page of rigs, half way down": many(lambda: listed(cursor=chance.choice(cursors))),
        "by label": many(lambda: listed(label=depot())),
        "by standing": many(lambda: listed(standing=chance.choice(["tight", "clear", "unsettled", "over"]))),
        "by axle": many(lambda: listed(axle=chance.choice(["steer", "front", "rear"]))),
        "weighed before a day": many(lambda: listed(weighed_before=day())),
        "side difference above a share": many(lambda: listed(side_difference_above=0.05)),
        "by label and standing, by last weigh": many(lambda: listed(label=depot(), standing="clear", sort=sorts[1])),
        **{f"sorted by {sort}": many(lambda sort=sort: listed(sort=sort)) for sort in sorts[1:]},  # type: ignore[misc]
        "page of a rig": [f"{FLEET}/rigs/{rig}/page" for rig in chosen],
        "history of a rig": [f"{FLEET}/rigs/{rig}/history?units=us" for rig in chosen],
        "history of a wheel end": [
            f"{FLEET}/vehicles/{vehicle}/wheel_ends/{axles[0]['name']}.left/history?units=us" for vehicle, axles in ends
        ],
    }


def _walk(fleet: Fleet) -> tuple[list[str], list[str]]:
    """Go down the list of rigs; return the cursors around the middle, and the ids of all rigs."""
    cursors: list[str] = []
    ids: list[str] = []
    page = fleet.get("rigs", limit=100).json
    while page["next_cursor"] is not None:
        cursors.append(page["next_cursor"])
        ids += [item["id"] for item in page["items"]]
        page = fleet.get("rigs", limit=100, cursor=cursors[-1]).json
    quarter = len(cursors) // 4
    return cursors[quarter : len(cursors) - quarter], ids
