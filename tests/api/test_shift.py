"""Shift plans, asked over the wire."""

import asyncio
import json
import threading
from math import ceil
from typing import Any

import pytest

from axlewright.api import balance
from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send

APP = create_app(Settings())
TIRES = {"fitment": "single", "designation": "LT235/85R16", "load_range": "E", "max_load_single": 3042}
LOADS = {"front.left": 1900, "front.right": 1900, "rear.left": 2550, "rear.right": 2550}
PATH = "/v1/balance/shift"
JSON = {"content-type": "application/json"}


def van(*items: dict[str, Any], rear_rating: float = 5000, u: float = 0, **asked: Any) -> dict[str, Any]:
    """Return a van, 190 in from axle to axle, whose rear axle carries 5,100 lb, with what may be moved, in US units."""
    axles = [
        {"name": name, "aft": aft, "track": 68, "gawr": gawr, "tires": {**TIRES, "max_pressure": 80}}
        for name, aft, gawr in (("front", 0, 4400), ("rear", 190, rear_rating))
    ]
    places = [
        {"name": "front_shelf", "aft": 30, "right": 0},
        {"name": "middle_bay", "aft": 95, "right": 0, "capacity": 500},
        {"name": "rear_bay", "aft": 220, "right": 0},
    ]
    vehicle = {"name": "van", "kind": "van", "gvwr": 9500, "axles": axles, "places": places}
    return {
        "units": "us",
        "rig": {"name": "Plover van", "vehicles": [vehicle]},
        "loads": [{"wheel_ends": [name], "load": load, "standard_uncertainty": u} for name, load in LOADS.items()],
        "items": [{"standard_uncertainty": 0, **item} for item in items],
        **asked,
    }


def trailer(*items: dict[str, Any], tongue: float | None = 330) -> dict[str, Any]:
    """Return a trailer of 3,000 lb, 160 in from the ball to its axle, with a small bay in front and a rear rack."""
    document = van(*items)
    (vehicle,) = document["rig"]["vehicles"]
    axle = {**vehicle["axles"][0], "name": "axle", "aft": 160, "gawr": 3500}
    places = [{"name": "nose", "aft": 40, "right": 0, "capacity": 200}, {"name": "rack", "aft": 240, "right": 0}]
    vehicle |= {"kind": "travel_trailer", "gvwr": 4000, "axles": [axle], "places": places}
    document["loads"] = [
        {"wheel_ends": [f"axle.{side}"], "load": (3000 - (tongue or 330)) / 2, "standard_uncertainty": 0}
        for side in ("left", "right")
    ]
    if tongue is not None:
        document["coupling_loads"] = [{"load": tongue, "standard_uncertainty": 0}]
    return document


def ask(document: dict[str, Any], app: Any = APP) -> Reply:
    return send(app, "POST", PATH, json.dumps(document).encode(), JSON)


def answered(document: dict[str, Any]) -> dict[str, Any]:
    reply = ask(document)
    assert reply.status == 200, reply.body
    answer: dict[str, Any] = reply.json
    return answer


def faults(document: dict[str, Any]) -> list[tuple[str, str]]:
    reply = ask(document)
    assert reply.status == 422, reply.body
    return [(error["code"], error["pointer"]) for error in reply.json["errors"]]


def moved(answer: dict[str, Any]) -> list[tuple[str, str, str]]:
    return [(move["item"], move["comes_from"], move["goes_to"]) for move in answer["plan"]["moves"]]


def codes(answer: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {finding["code"]: finding for finding in answer["findings"]}


BATTERIES = {"name": "batteries", "mass": 200, "place": "rear_bay"}
TOOLS = {"name": "tools", "mass": 80, "place": "rear_bay"}


def test_the_least_mass_that_mends_an_overload_is_moved() -> None:
    # By hand: from 220 in to 95 in the tools take 80 x 125 / 190 = 52.6 lb off the rear axle, to 30 in exactly 80.0;
    # the batteries 200 x 125 / 190 = 131.6 lb. Only the batteries take off the 100 lb that are too much.
    answer = answered(van(BATTERIES, TOOLS))
    assert [(item, start) for item, start, _ in moved(answer)] == [("batteries", "rear_bay")]
    assert answer["plan"]["mass_moved"] == 200.0
    assert (answer["plan"]["proven"], answer["plan"]["gap"], answer["plan"]["stopped_at"]) == (True, 0.0, None)
    assert answer["cannot_meet"] == []
    assert (answer["in_the_way"], answer["must_come_off"]) == (None, None)
    rear = next(limit for limit in answer["limits"] if (limit["subject"], limit["kind"]) == ("rear", "axle"))
    assert rear["standing"] in {"clear", "tight"}


def test_what_a_move_does_to_every_wheel_end_is_told_before_and_after() -> None:
    # By hand: 200 lb x (220 - 95) / 190 = 131.58 lb go forward, half to each side.
    answer = answered(van({**BATTERIES, "may_go_to": ["middle_bay"]}))
    assert [(each["name"], each["before"], each["after"], each["change"]) for each in answer["load_changes"]] == [
        ("front.left", 1900.0, 1965.8, 65.8),
        ("front.right", 1900.0, 1965.8, 65.8),
        ("rear.left", 2550.0, 2484.2, -65.8),
        ("rear.right", 2550.0, 2484.2, -65.8),
    ]
    assert answer["plan"]["moves"][0]["words"] == "Move batteries (200 lb) from rear_bay to middle_bay."
    assert [axle["load"] for axle in answer["axles"]] == [3931.6, 4968.4]
    assert answer["summary"]["counts"]["over"] == 0
    assert any("not measured" in caution for caution in answer["cautions"])


def test_where_nothing_is_wrong_nothing_is_moved() -> None:
    answer = answered(van(BATTERIES, TOOLS, rear_rating=5300))
    assert moved(answer) == []
    assert answer["plan"]["proven"]
    assert {each["change"] for each in answer["load_changes"]} == {0.0}


def test_an_overload_that_no_shift_can_cure_is_named_with_the_nearest_plan_and_what_must_come_off() -> None:
    # By hand: the tools in front take 80 lb off the rear axle, of the 100 lb that are too much; with the doubt of both
    # places, an inch each, 20 + 2 x 80 x 2^0.5 / 190 = 21.2 lb are left. From there, at 30 in, all of the tools taken
    # off are 80 x 30 / 190 = 12.6 lb less on the rear axle: not enough.
    answer = answered(van(TOOLS))
    assert moved(answer) == [("tools", "rear_bay", "front_shelf")]
    unmet = {(each["subject"], each["kind"]): each for each in answer["cannot_meet"]}
    assert unmet[("rear", "axle")] == {"subject": "rear", "kind": "axle", "bound": "most", "excess": 21.2}
    assert answer["in_the_way"] == []
    assert answer["must_come_off"] == {"items": [{"item": "tools", "mass": 80.0}], "total": 80.0, "enough": False}
    assert codes(answer)["shift_not_enough"]["message"].startswith("rear (")
    assert codes(answer)["limit_over"]["subject"] == "rear"


def test_a_move_that_would_make_the_tongue_too_light_is_not_planned_and_the_tongue_is_the_reason() -> None:
    # By hand: 300 lb from 40 in to 240 in take 300 x 200 / 160 = 375 lb off a tongue of 330 lb.
    answer = answered(trailer({"name": "generator", "mass": 300, "place": "nose"}))
    assert moved(answer) == []
    assert answer["cannot_meet"] == [{"subject": "nose", "kind": "place_capacity", "bound": "most", "excess": 100.0}]
    assert {"subject": "van", "kind": "tongue_share", "bound": "least"} in answer["in_the_way"]
    assert "van" in codes(answer)["shift_blocked"]["message"]


def test_a_limit_that_cannot_be_judged_is_not_counted_as_kept() -> None:
    answer = answered(trailer({"name": "generator", "mass": 300, "place": "nose"}, tongue=None))
    assert moved(answer) == [("generator", "nose", "rack")]
    assert "tongue_share" in {each["kind"] for each in answer["not_judged"]}
    assert codes(answer)["shift_touches_unjudged"]["severity"] == "notice"


def test_items_stay_together_apart_and_where_they_are_fixed() -> None:
    both = answered(van(BATTERIES, TOOLS, together=[["batteries", "tools"]]))
    assert {target for _, _, target in moved(both)} in ({"middle_bay"}, {"front_shelf"})
    assert both["plan"]["mass_moved"] == 280.0
    fixed = answered(van({**BATTERIES, "fixed": True}, TOOLS))
    assert moved(fixed) == [("tools", "rear_bay", "front_shelf")]
    split = answered(van(BATTERIES, TOOLS, apart=[["batteries", "tools"]], rear_rating=5300))
    assert moved(split)[0][0] == "tools"
    held = [{**item, "may_go_to": []} for item in (BATTERIES, TOOLS)]
    stuck = answered(van(*held, apart=[["batteries", "tools"]], rear_rating=5300))
    assert stuck["not_as_they_belong"] == [["batteries", "tools"]]
    assert "shift_group_not_kept" in codes(stuck)


def test_sides_are_evened_out_unless_that_is_not_wanted() -> None:
    # By hand: rear 2,850 lb to 2,250 lb is 600 lb, beyond 8 % of 5,100 lb, which is 408 lb.
    document = van({"name": "batteries", "mass": 200, "place": "left"}, rear_rating=5400)
    document["rig"]["vehicles"][0]["places"] = [
        {"name": side, "aft": 190, "right": right} for side, right in (("left", -30), ("right", 30))
    ]
    for load, lb in zip(document["loads"], (1900, 1900, 2850, 2250), strict=True):
        load["load"] = lb
    assert moved(answered(document)) == [("batteries", "left", "right")]
    assert moved(answered({**document, "even_sides": False})) == []


def test_contradictions_are_refused_together_by_their_pointers() -> None:
    document = van(
        {**BATTERIES, "place": "attic"},
        {**BATTERIES, "may_go_to": ["cellar", "rear_bay", "rear_bay"]},
        {**TOOLS, "fixed": True, "may_go_to": ["rear_bay"]},
        together=[["batteries", "tools"], ["tools", "tools"]],
        apart=[["tools", "batteries"], ["tools", "kayak"]],
    )
    assert faults(document) == [
        ("inconsistent_name", "/items/1/name"),
        ("inconsistent_reference", "/items/0/place"),
        ("inconsistent_reference", "/items/1/may_go_to/0"),
        ("inconsistent_name", "/items/1/may_go_to/2"),
        ("inconsistent_choice", "/items/2/fixed"),
        ("inconsistent_name", "/together/1/1"),
        ("inconsistent_reference", "/apart/1/1"),
        ("inconsistent_choice", "/apart/0/1"),
    ]


def test_more_choices_than_are_searched_are_refused() -> None:
    document = van(*({**TOOLS, "name": f"box {n}"} for n in range(60)))
    places = [{"name": f"shelf_{n}", "aft": 5 * n, "right": 0} for n in range(30)]
    document["rig"]["vehicles"][0]["places"] += places
    assert faults(document) == [("inconsistent_size", "/items")]


@pytest.mark.parametrize("seconds", [0, 0.05, 10.5])
def test_a_time_limit_out_of_range_is_refused(seconds: float) -> None:
    assert [pointer for _, pointer in faults(van(TOOLS, time_limit=seconds))] == ["/time_limit"]


def test_no_search_takes_longer_than_the_operator_allows() -> None:
    app = create_app(Settings(solver_limit_s=0.5))
    assert ask(van(TOOLS, time_limit=8), app).json["plan"]["time_limit"] == 0.5
    assert ask(van(TOOLS, time_limit=8)).json["plan"]["time_limit"] == 8.0
    assert ask(van(TOOLS)).json["plan"]["time_limit"] == 2.0


def test_one_search_too_many_is_turned_away_and_told_when_to_come_again(monkeypatch: pytest.MonkeyPatch) -> None:
    may_end, begun = threading.Event(), threading.Event()
    real = balance.plan_shift_answer

    def held_up(*asked: Any) -> Any:
        begun.set()
        assert may_end.wait(20)
        return real(*asked)

    monkeypatch.setattr(balance, "plan_shift_answer", held_up)
    app = create_app(Settings(solvers_at_once=1, solver_limit_s=2.5))
    first: list[Reply] = []
    caller = threading.Thread(target=lambda: first.append(ask(van(TOOLS), app)))
    caller.start()
    try:
        assert begun.wait(20)
        turned_away = ask(van(TOOLS), app)
    finally:
        may_end.set()
        caller.join()
    assert turned_away.status == 503
    assert turned_away.json["type"] == "/problems/busy"
    assert turned_away.headers["retry-after"] == str(ceil(2.5))
    assert first[0].status == 200
    assert ask(van(TOOLS), app).status == 200


def test_a_search_that_fails_frees_its_place() -> None:
    app = create_app(Settings(solvers_at_once=1))
    for _ in range(3):
        assert ask(van({**TOOLS, "place": "attic"}), app).status == 422
    assert ask(van(TOOLS), app).status == 200


def test_who_leaves_before_the_end_does_not_free_the_place_of_a_search_that_runs() -> None:
    solvers = create_app(Settings(solvers_at_once=1)).state["solvers"]
    may_end = threading.Event()

    async def leaves() -> None:
        task = asyncio.create_task(solvers.run(lambda: may_end.wait(20)))
        await asyncio.sleep(0.05)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task
        with pytest.raises(Exception, match="busy"):
            await solvers.run(lambda: None)
        may_end.set()

    asyncio.run(leaves())
