"""Lists a page at a time: every item once, in order, from cursors that lead nowhere else."""

from typing import Any
from urllib.parse import parse_qsl

import pytest

from tests.api.probe import Reply
from tests.fleet.databases import Database
from tests.fleet.matrix import Call, calls
from tests.fleet.yard import KEPT_KINDS, MADE_OF, Fleet, coach, kept_coach, new_operator, other, rig, stocked, weigh

LISTS = [call for call in calls() if "cursor" in call.queries]
IN_ORDER_OF_MAKING = [call for call in LISTS if "newest_first" in call.queries]


@pytest.fixture(scope="module")
def large(service: Fleet, shared_database: Database) -> tuple[Fleet, dict[str, str]]:
    """A fleet with five things of each kind, and the ids of some, which have most to tell."""
    fleet = other(service, shared_database.url, new_operator())
    ids, *_ = [stocked(fleet) for _ in range(5)]
    for day in range(4):
        fleet.made("sessions", weigh(ids["rigs"], f"2026-06-0{day + 1}"))
    return fleet, ids


def items_of(reply: Reply) -> list[Any]:
    assert reply.status == 200, reply.body
    return list(reply.json["entries" if "entries" in reply.json else "items"])


def follow(fleet: Fleet, link: str) -> Reply:
    assert link.startswith("<")
    assert link.endswith('>; rel="next"')
    path, _, query = link.removeprefix("<").removesuffix('>; rel="next"').partition("?")
    return fleet.get(path, **dict(parse_qsl(query)))


@pytest.mark.parametrize("call", LISTS, ids=lambda call: call.operation_id)
def test_pages_hold_every_item_once_in_the_list_s_order(large: tuple[Fleet, dict[str, str]], call: Call) -> None:
    fleet, ids = large
    whole = items_of(call.send(fleet, ids, limit=100))
    assert len(whole) >= 5
    page = call.send(fleet, ids, limit=2)
    paged = items_of(page)
    while (cursor := page.json["next_cursor"]) is not None:
        linked = follow(fleet, page.headers["link"])
        page = call.send(fleet, ids, limit=2, cursor=cursor)
        assert (linked.status, linked.body) == (200, page.body)
        assert 1 <= len(items_of(page)) <= 2
        paged += items_of(page)
    assert "link" not in page.headers
    assert paged == whole
    assert fleet_page_of(call, whole) == len(whole)


@pytest.mark.parametrize("call", IN_ORDER_OF_MAKING, ids=lambda call: call.operation_id)
def test_the_newest_come_first_where_that_is_asked_for(large: tuple[Fleet, dict[str, str]], call: Call) -> None:
    fleet, ids = large
    page = call.send(fleet, ids, newest_first="true", limit=2)
    paged = items_of(page)
    while (cursor := page.json["next_cursor"]) is not None:
        linked = follow(fleet, page.headers["link"])
        page = call.send(fleet, ids, newest_first="true", limit=2, cursor=cursor)
        assert (linked.status, linked.body) == (200, page.body)
        assert call.send(fleet, ids, limit=2, cursor=cursor).status == 400, "a cursor of the other direction"
        paged += items_of(page)
    assert paged == items_of(call.send(fleet, ids, limit=100))[::-1]
    assert paged == sorted(paged, key=lambda item: item["made_at"], reverse=True)


def test_every_list_but_rigs_and_histories_can_be_turned_round() -> None:
    others = {call.operation_id for call in LISTS} - {call.operation_id for call in IN_ORDER_OF_MAKING}
    assert others == {"list_rigs", "get_rig_history", "get_vehicle_history", "get_wheel_end_history"}


def fleet_page_of(call: Call, items: list[Any]) -> int:
    """Return how many different items there are; an entry of a history is told from others by its kind as well."""
    return len({(item["id"], item.get("kind")) for item in items})


@pytest.mark.parametrize("call", LISTS, ids=lambda call: call.operation_id)
def test_a_page_that_holds_the_rest_is_the_last(large: tuple[Fleet, dict[str, str]], call: Call) -> None:
    fleet, ids = large
    count = len(items_of(call.send(fleet, ids, limit=100)))
    exact = call.send(fleet, ids, limit=count)
    assert exact.json["next_cursor"] is None
    assert "link" not in exact.headers
    assert call.send(fleet, ids, limit=count - 1).json["next_cursor"] is not None


@pytest.mark.parametrize("call", LISTS, ids=lambda call: call.operation_id)
def test_a_page_has_1_to_100_items(large: tuple[Fleet, dict[str, str]], call: Call) -> None:
    fleet, ids = large
    for limit in (0, -1, 101, 10**20, "1.5", "x", "", "1e1"):
        refused = call.send(fleet, ids, limit=limit)
        assert (refused.status, refused.problem_type) == (400, "invalid-query"), limit
        assert refused.json["errors"][0]["pointer"] == "/limit"
    assert len(items_of(call.send(fleet, ids, limit=1))) == 1


@pytest.mark.parametrize("call", LISTS, ids=lambda call: call.operation_id)
def test_a_cursor_that_was_tampered_with_or_is_of_another_list_is_refused(
    large: tuple[Fleet, dict[str, str]], call: Call
) -> None:
    fleet, ids = large
    cursor = call.send(fleet, ids, limit=1).json["next_cursor"]
    of_others = [
        reply.json["next_cursor"] for reply in (each.send(fleet, ids, limit=1) for each in LISTS if each is not call)
    ]
    changed = [
        cursor[:place] + ("A" if cursor[place] != "A" else "B") + cursor[place + 1 :]
        for place in range(0, len(cursor), 7)
    ]
    for wrong in (*of_others, *changed, cursor[:-1], cursor + "A", "A", "x" * 600, "e30", "W10", "bnVsbA"):
        refused = call.send(fleet, ids, cursor=wrong)
        assert (refused.status, refused.problem_type) == (400, "invalid-query"), wrong
        assert refused.json["errors"][0]["pointer"] == "/cursor"


def test_a_cursor_is_for_the_query_that_it_was_given_for(large: tuple[Fleet, dict[str, str]]) -> None:
    fleet, ids = large
    query = {"label": "north", "sort": "standing", "limit": 1}
    cursor = fleet.get("rigs", **query).json["next_cursor"]
    assert fleet.get("rigs", **{**query, "limit": 3}, cursor=cursor).status == 200
    for changed in ({"label": "south"}, {"sort": "weighed_on"}, {"axle": "steer"}, {"archived": "true"}):
        assert fleet.get("rigs", **{**query, **changed}, cursor=cursor).status == 400
    history = f"rigs/{ids['rigs']}/history"
    cursor = fleet.get(history, units="us", limit=1).json["next_cursor"]
    assert fleet.get(history, units="metric", limit=1, cursor=cursor).status == 400


def test_a_link_keeps_filters_of_every_kind(large: tuple[Fleet, dict[str, str]]) -> None:
    fleet, _ = large
    for query in (
        {"label": "north", "axle": "steer", "side_difference_above": 0.001},
        {"weighed_before": "2027-01-01", "sort": "weighed_on", "standing": "tight"},
        {"archived": "false", "sort": "standing"},
    ):
        first = fleet.get("rigs", limit=2, **query)
        second = follow(fleet, first.headers["link"])
        assert second.body == fleet.get("rigs", limit=2, **query, cursor=first.json["next_cursor"]).body


def test_a_cursor_takes_the_longest_asset_number(fleet: Fleet) -> None:
    for number in ("\U0001f69a" * 79 + "1", "\U0001f69a" * 79 + "2", "\\\"&?=#% ;'<>1", "\\\"&?=#% ;'<>2"):
        fleet.made("rigs", rig([fleet.made("vehicles", coach(number))["id"]]))
    page, numbers = fleet.get("rigs", limit=1), []
    while True:
        numbers += [item["asset_number"] for item in page.json["items"]]
        if page.json["next_cursor"] is None:
            break
        page = follow(fleet, page.headers["link"])
        assert page.status == 200, page.body
    assert numbers == sorted(numbers)
    assert len(numbers) == 4


def test_what_changes_between_two_pages_is_neither_told_twice_nor_left_out(fleet: Fleet) -> None:
    made = [fleet.made("vehicles", coach(f"{number}"))["id"] for number in range(6)]
    first = fleet.get("vehicles", limit=2)
    assert fleet.put(f"vehicles/{made[0]}", coach("changed"), "*").status == 200
    assert fleet.put(f"vehicles/{made[1]}", {**coach("1"), "archived": True}, "*").status == 200
    assert fleet.put(f"vehicles/{made[3]}", {**coach("3"), "archived": True}, "*").status == 200
    last = fleet.made("vehicles", coach("late"))["id"]
    rest = [item["id"] for item in follow(fleet, first.headers["link"]).json["items"]]
    rest += fleet.ids(
        "vehicles", cursor=fleet.get("vehicles", limit=2, cursor=first.json["next_cursor"]).json["next_cursor"]
    )
    assert rest == [made[2], made[4], made[5], last]


@pytest.mark.parametrize("kind", KEPT_KINDS)
def test_archived_things_stand_in_a_list_of_their_own(fleet: Fleet, kind: str) -> None:
    ids = stocked(fleet)
    path = f"{kind}/{ids[kind]}"
    assert (fleet.ids(kind), fleet.ids(kind, archived="true")) == ([ids[kind]], [])
    assert fleet.put(path, {**MADE_OF[kind](ids), "archived": True}, "*").status == 200
    assert (fleet.ids(kind, archived="false"), fleet.ids(kind, archived="true")) == ([], [ids[kind]])
    assert fleet.get(path).status == 200


def test_tires_of_one_vehicle_and_layouts_of_one_rig_are_listed(fleet: Fleet) -> None:
    (first_vehicle, first_rig), (second_vehicle, second_rig) = kept_coach(fleet), kept_coach(fleet)
    first, second = {"vehicles": first_vehicle, "rigs": first_rig}, {"vehicles": second_vehicle, "rigs": second_rig}
    off = {"fitted_on": "2026-01-02", "taken_off_on": "2026-02-01"}
    tires = [
        fleet.made("tires", {**MADE_OF["tires"](of), **more})["id"]
        for of, more in ((first, off), (second, {}), (first, {}))
    ]
    assert fleet.ids("tires", vehicle_id=first_vehicle) == [tires[0], tires[2]]
    assert fleet.ids("tires", vehicle_id=first_vehicle, newest_first="true") == [tires[2], tires[0]]
    assert fleet.ids("tires", vehicle_id=second_vehicle) == [tires[1]]
    assert fleet.ids("tires", vehicle_id=first_vehicle, archived="true") == []
    layouts = [fleet.made("layouts", MADE_OF["layouts"](of))["id"] for of in (first, second, second)]
    assert fleet.ids("layouts", rig_id=second_rig) == layouts[1:]
    assert fleet.ids("layouts", rig_id=first_rig) == layouts[:1]
    page = fleet.get("layouts", rig_id=second_rig, limit=1)
    assert f"rig_id={second_rig}" in page.headers["link"]
    assert [item["id"] for item in follow(fleet, page.headers["link"]).json["items"]] == layouts[2:]
