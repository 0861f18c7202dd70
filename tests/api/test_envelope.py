"""The worst of a trip, asked over the wire."""

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from axlewright.app import create_app
from axlewright.contract.finding_words import FINDINGS
from axlewright.core.loads.trip import OF_A_STATE
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.rigs.envelopes import ENVELOPES

APP = create_app(Settings())
TIRES = {"fitment": "single", "designation": "LT235/85R16", "load_range": "E", "max_load_single": 3042}
FRESH = {"name": "fresh", "fluid": "water", "capacity": 30, "aft": 50, "right": 0}
GREY = {"name": "grey", "fluid": "grey_water", "capacity": 30, "aft": 200, "right": 0}
GAS = {"name": "gas", "fluid": "propane", "capacity": 10, "aft": 75, "right": 0}
CANOE = {"what": "canoe", "mass": 300, "standard_uncertainty": 0, "place": "rack"}


def van(*, links: Any = None, loads: dict[str, float] | None = None, **varies: Any) -> dict[str, Any]:
    """Return a van of which every wheel end is known exactly, 150 in from axle to axle, in US units."""
    axles = [
        {"name": name, "aft": aft, "track": 68, "gawr": gawr, "tires": {**TIRES, "max_pressure": 80}}
        for name, aft, gawr in (("front", 0, 4400), ("rear", 150, 5300))
    ]
    loads = loads or {"front.left": 1900, "front.right": 1940, "rear.left": 2050, "rear.right": 2150}
    return {
        "units": "us",
        "rig": {
            "name": "Plover van",
            "vehicles": [
                {
                    "name": "van",
                    "kind": "van",
                    "gvwr": 9000,
                    "axles": axles,
                    "tanks": [FRESH, GREY, GAS],
                    "places": [
                        {"name": "galley", "aft": 75, "right": 0},
                        {"name": "rack", "aft": 225, "right": 0},
                    ],
                }
            ],
        },
        "loads": [{"wheel_ends": n.split("+"), "load": load, "standard_uncertainty": 0} for n, load in loads.items()],
        "varies": varies,
        **({} if links is None else {"links": links}),
    }


def tank(name: str, **more: Any) -> dict[str, Any]:
    """Return a varying tank, exactly known at the weigh."""
    return {"name": name, "weighed_level": 0.0, "standard_uncertainty": 0.0, **more}


def envelope(document: Any) -> Reply:
    return send(APP, "POST", "/v1/loads/envelope", json.dumps(document).encode(), {"content-type": "application/json"})


def answered(document: Any) -> Any:
    reply = envelope(document)
    assert reply.status == 200, reply.body
    return reply.json


def limit(answer: Any, subject: str, kind: str) -> Any:
    [found] = [each for each in answer["limits"] if (each["subject"], each["kind"]) == (subject, kind)]
    return found


def span(answer: Any, name: str) -> Any:
    [found] = [each for each in answer["wheel_ends"] if each["name"] == name]
    return found


def levels(state: Any) -> dict[str, Any]:
    return {each["name"]: each["level"] if each["aboard"] is None else each["aboard"] for each in state}


def checked(document: Any) -> dict[str, Any]:
    """Return the weighed loads of the same rig."""
    asked = {name: each for name, each in document.items() if name not in ("varies", "links", "conditions")}
    reply = send(APP, "POST", "/v1/loads/check", json.dumps(asked).encode(), {"content-type": "application/json"})
    assert reply.status == 200, reply.body
    return {each["name"]: each["load"] for each in reply.json["wheel_ends"]}


def faults(document: Any) -> list[tuple[str, str]]:
    reply = envelope(document)
    assert reply.status == 422, reply.body
    return [(error["code"], error["pointer"]) for error in reply.json["errors"]]


def codes(answer: Any) -> dict[tuple[str, str], Any]:
    return {(each["code"], each["subject"]): each for each in answer["findings"]}


def test_a_canoe_behind_the_rear_axle_is_worst_aboard_for_it_and_worst_left_behind_for_the_front() -> None:
    """Hand: 300 lb at 225 in of 150: rear + 450, front - 150; 4,200 + 450 = 4,650 lb; front 3,840 without it."""
    answer = answered(van(cargo=[CANOE]))
    rear, front = limit(answer, "rear", "axle"), limit(answer, "front", "axle")
    assert (rear["value"], levels(rear["state"])) == (4650, {"canoe (cargo 1)": True})
    assert (front["value"], levels(front["state"])) == (3840, {"canoe (cargo 1)": False})
    assert (rear["standing"], front["standing"]) == ("clear", "clear")
    share = limit(answer, "van", "steering_share")
    assert share["value"] == pytest.approx(3690 / 8340, abs=5e-5)
    assert levels(share["state"]) == {"canoe (cargo 1)": True}


def test_every_wheel_end_has_its_highest_and_its_lowest_load() -> None:
    answer = answered(van(cargo=[CANOE]))
    found = span(answer, "rear.right")
    assert (found["highest"]["load"], found["lowest"]["load"]) == (2150 + 225, 2150)
    assert levels(found["lowest"]["state"]) == {"canoe (cargo 1)": False}
    # Hand: its place in doubt by 1 in, 300 lb x 1/150 on the axle, half of that on either wheel; across 300 x 1/68 lb
    # by the rear's share of the roll stiffness, 5,300/9,700, which itself matters not to what lies in the middle.
    expected = ((300 / 150 / 2) ** 2 + (300 / 68 * 5300 / 9700) ** 2) ** 0.5
    assert found["highest"]["standard_uncertainty"] == pytest.approx(expected, abs=0.06)
    assert found["lowest"]["standard_uncertainty"] == found["highest"]["standard_uncertainty"]


def test_a_state_that_breaks_a_limit_is_told_with_what_brings_it_about() -> None:
    heavy = {**CANOE, "mass": 900}
    answer = answered(van(cargo=[heavy], people=[{"mass": 150, "place": "galley", "aboard_when_weighed": True}]))
    # Hand: rear 4,200 + 900 x 1.5 = 5,550 lb over 5,300, the one aboard at the weigh staying.
    over = codes(answer)["limit_over_on_trip", "rear"]
    assert over["severity"] == "critical"
    assert over["message"].startswith(
        "With people 1 aboard, canoe (cargo 1) aboard, rear carries 5,550 lb, 250 lb over"
    )
    assert answer["summary"]["standing"] == "over"
    assert not any(code == "limit_over" for code, _ in codes(answer))


def test_unlinked_grey_fills_while_fresh_stays_full_and_linked_it_does_not() -> None:
    tanks = [tank("fresh", weighed_level=1.0), tank("grey")]
    apart, linked = answered(van(tanks=tanks)), answered(van(tanks=tanks, links=[{"tanks": ["fresh", "grey"]}]))
    fresh_lb, grey_lb = (each["mass"] for each in apart["varies"])
    # Hand: fresh, at a third of the wheelbase, loads the rear by 1/3 of it, grey at 4/3 of it by 4/3.
    rear = limit(apart, "rear", "axle")
    assert rear["value"] == pytest.approx(4200 + grey_lb * 4 / 3, abs=0.15)
    assert levels(rear["state"]) == {"fresh": 1.0, "grey": 1.0}
    rear = limit(linked, "rear", "axle")
    assert rear["value"] == pytest.approx(4200 + grey_lb * 4 / 3 - fresh_lb / 3, abs=0.15)
    assert levels(rear["state"]) == {"fresh": 0.0, "grey": 1.0}


def test_the_start_of_the_trip_says_how_much_water_there_is() -> None:
    tanks = [tank("fresh", weighed_level=0.5, start_level=1.0), tank("grey")]
    started = answered(van(tanks=tanks, links=[{"tanks": ["fresh", "grey"]}]))
    tanks[0].pop("start_level")
    as_weighed = answered(van(tanks=tanks, links=[{"tanks": ["fresh", "grey"]}]))
    assert levels(limit(started, "rear", "axle")["state"]) == {"fresh": 0.0, "grey": 1.0}
    assert levels(limit(as_weighed, "rear", "axle")["state"]) == {"fresh": 0.0, "grey": 0.5}


def test_a_level_in_doubt_at_the_weigh_is_in_doubt_in_every_state() -> None:
    answer = answered(van(tanks=[tank("fresh", weighed_level=0.5, standard_uncertainty=0.1)]))
    mass_lb = answer["varies"][0]["mass"]
    gross = limit(answer, "van", "vehicle")
    assert gross["standard_uncertainty"] >= 0.1 * mass_lb - 0.1
    assert gross["value"] == pytest.approx(8040 + 0.5 * mass_lb, abs=0.15)


def test_the_pressure_serves_the_heaviest_state_of_each_wheel_end() -> None:
    """Published: a Michelin table of 1990 has 2,205 lb at 50 psi for this tire, 2,485 at 60, between them 2,335 at 55.

    Hand: 2,150 lb are served by the first; 2,375, with twice their doubt of 2.6, only by that at 60.
    """
    with_canoe = answered(van(cargo=[CANOE]))["inflation"][1]
    without = answered(van(cargo=[{**CANOE, "mass": 1}]))["inflation"][1]
    assert (with_canoe["governing_wheel_end"], levels(with_canoe["state"])) == ("rear.right", {"canoe (cargo 1)": True})
    assert with_canoe["design_load_per_tire"] == pytest.approx(2375 + 2 * 2.6, abs=0.1)
    assert [(each["row"]["pressure"], each["row"]["load"]) for each in (without, with_canoe)] == [
        (50, 2205),
        (60, 2485),
    ]
    assert [each["cold_pressure"] for each in (without, with_canoe)] == [50, 60]


def test_a_state_that_no_pressure_serves_is_told() -> None:
    answer = answered(van(cargo=[{**CANOE, "mass": 1500}]))
    rear = answer["inflation"][1]
    assert rear["cold_pressure"] is None
    assert levels(rear["state"]) == {"canoe (cargo 1)": True}
    told = codes(answer)["no_pressure_on_trip", "rear"]
    assert told["severity"] == "critical"
    assert "With canoe (cargo 1) aboard, a tire of rear carries up to" in told["message"]


def test_a_tire_that_holds_too_little_is_told_with_the_state_that_is_worst_for_it() -> None:
    """Published: 2,205 lb at 50 psi (Michelin, 1990). Hand: with the canoe the rear carries 2,275 left and 2,375 right.

    A mass beside the front axle loads that side's rear tire by rolling the van, and takes as much off the other.
    """
    sides = [
        {"what": side, "mass": 300, "place": {"aft": 0, "right": right}} for side, right in (("a", -30), ("b", 30))
    ]
    document = van(cargo=[CANOE, *sides])
    document["rig"]["vehicles"][0]["axles"][1]["tires"]["pressure"] = 50
    told = codes(answered(document))
    for end, here, there in (("rear.left", "a (cargo 2)", "b (cargo 3)"), ("rear.right", "b (cargo 3)", "a (cargo 2)")):
        message = told["pressure_too_low_on_trip", end]["message"]
        assert f"{here} aboard" in message
        assert f"{there} not aboard" in message


def test_a_wheel_that_would_lift_is_told_and_then_no_load_limit_or_pressure() -> None:
    """Hand: 8,000 lb at 225 in of 150 take 4,000 lb off a front axle of 3,840."""
    answer = answered(van(cargo=[{**CANOE, "mass": 8000}]))
    told = codes(answer)["would_lift_on_trip", "front.left"]
    assert told["severity"] == "critical"
    assert told["message"].startswith("With canoe (cargo 1) aboard, front.left would carry -100 lb")
    for end in answer["wheel_ends"]:
        assert (end["lowest"]["load"], end["highest"]["load"]) == (None, None)
        assert "lift" in end["lowest"]["unknown_because"]
    assert {limit["standing"] for limit in answer["limits"]} == {"unknown"}
    assert {each["cold_pressure"] for each in answer["inflation"]} == {None}
    assert answer["summary"]["standing"] == "unknown"


def test_a_wheel_that_is_nearly_nothing_may_lift() -> None:
    """Hand: 7,540 lb at 225 in of 150 take 3,770 lb off the front, 1,885 of the left 1,900; their place is in doubt."""
    answer = answered(van(cargo=[{**CANOE, "mass": 7540}]))
    assert codes(answer)["may_lift_on_trip", "front.left"]["severity"] == "warning"
    assert span(answer, "front.left")["lowest"]["load"] == 15
    assert not any(code == "would_lift_on_trip" for code, _ in codes(answer))


def test_a_place_that_would_hold_too_much_with_all_aboard_is_told() -> None:
    full = van(cargo=[CANOE, {**CANOE, "what": "boards", "mass": 60}])
    rack = full["rig"]["vehicles"][0]["places"][1]
    rack["capacity"] = 350
    assert "360 lb" in codes(answered(full))["place_over_capacity", "rack"]["message"]
    rack["capacity"] = 360
    assert ("place_over_capacity", "rack") not in codes(answered(full))


def test_what_is_not_weighed_stays_unknown() -> None:
    answer = answered(van(loads={"front.left+front.right": 3840, "rear.left+rear.right": 4200}, cargo=[CANOE]))
    for extreme in (span(answer, "rear.left")["highest"], span(answer, "rear.left")["lowest"]):
        assert (extreme["load"], extreme["state"]) == (None, [])
        assert extreme["unknown_because"]
    assert limit(answer, "rear", "axle")["value"] == 4650
    assert limit(answer, "rear.left", "tire")["standing"] == "unknown"


def test_the_same_trip_in_metric_units_has_the_same_states() -> None:
    us = answered(van(cargo=[CANOE], tanks=[tank("fresh", weighed_level=1.0), tank("grey")]))
    document = van(cargo=[CANOE], tanks=[tank("fresh", weighed_level=1.0), tank("grey")])
    document["units"] = {"mass": "kg", "length": "in", "pressure": "psi", "volume": "gal"}
    text = json.dumps(document)
    scaled = json.loads(text)
    for holder, names in (
        *((vehicle, ["gvwr"]) for vehicle in scaled["rig"]["vehicles"]),
        *((axle, ["gawr"]) for axle in scaled["rig"]["vehicles"][0]["axles"]),
        *((axle["tires"], ["max_load_single"]) for axle in scaled["rig"]["vehicles"][0]["axles"]),
        *((load, ["load"]) for load in scaled["loads"]),
        *((each, ["mass"]) for each in scaled["varies"]["cargo"]),
    ):
        for name in names:
            holder[name] *= 0.45359237
    metric = answered(scaled)
    assert [each["state"] for each in metric["limits"]] == [each["state"] for each in us["limits"]]
    assert [each["standing"] for each in metric["limits"]] == [each["standing"] for each in us["limits"]]


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ({}, [("inconsistent_choice", "/varies")]),
        ({"tanks": [tank("soup")]}, [("inconsistent_reference", "/varies/tanks/0/name")]),
        ({"tanks": [{"name": "fresh"}]}, [("inconsistent_reference", "/varies/tanks/0/weighed_level")]),
        ({"tanks": [tank("fresh"), tank("fresh")]}, [("inconsistent_name", "/varies/tanks/1/name")]),
        ({"tanks": [tank("fresh", least=0.6, most=0.5)]}, [("inconsistent_levels", "/varies/tanks/0/least")]),
        (
            {"tanks": [tank("fresh", most=0.5, start_level=0.6)]},
            [("inconsistent_levels", "/varies/tanks/0/start_level")],
        ),
        ({"cargo": [{"mass": 1, "place": "cellar"}]}, [("inconsistent_reference", "/varies/cargo/0/place")]),
        (
            {"people": [{"mass": 150, "place": {"vehicle": "car", "aft": 0, "right": 0}}]},
            [("inconsistent_reference", "/varies/people/0/place/vehicle")],
        ),
        (
            {"tanks": [tank("fresh")], "links": [{"tanks": ["fresh", "grey"]}]},
            [("inconsistent_link", "/links/0/tanks/1")],
        ),
        (
            {"tanks": [tank("fresh"), tank("gas")], "links": [{"tanks": ["fresh", "gas"]}]},
            [("inconsistent_link", "/links/0/tanks/1")],
        ),
        (
            {
                "tanks": [tank("fresh"), tank("grey")],
                "links": [{"tanks": ["fresh", "grey"]}, {"tanks": ["grey", "fresh"]}],
            },
            [("inconsistent_link", "/links/1/tanks/0"), ("inconsistent_link", "/links/1/tanks/1")],
        ),
        (
            {
                "tanks": [tank("fresh", weighed_level=0.5), tank("grey", least=0.6)],
                "links": [{"tanks": ["fresh", "grey"]}],
            },
            [("inconsistent_levels", "/links/0/tanks")],
        ),
    ],
)
def test_contradictions_are_refused_where_they_stand(more: Any, expected: Any) -> None:
    assert faults(van(**more)) == expected


@given(document=ENVELOPES)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_every_consistent_trip_is_answered_and_holds_its_own_state_of_the_weigh(document: Any) -> None:
    """Identity: where what varies may stay as it was weighed, the weighed load lies within its span."""
    answer = answered(document)
    assert len(answer["wheel_ends"]) >= 2
    may_stay = all(each["least"] <= each["weighed"] <= each["most"] for each in answer["varies"])
    starts = [each["start_level"] for each in document["varies"].get("tanks", []) if "start_level" in each]
    weighed = checked(document)
    for each in answer["wheel_ends"]:
        low, high, known = each["lowest"]["load"], each["highest"]["load"], weighed.get(each["name"])
        if low is None or high is None:
            assert each["lowest"]["unknown_because"]
            continue
        assert low <= high
        if may_stay and not starts and known is not None:
            assert low - 0.11 <= known <= high + 0.11


def test_a_trailer_whose_axle_lies_at_its_coupling_has_no_statics() -> None:
    document = van(cargo=[CANOE])
    document["rig"]["vehicles"][0]["kind"] = "trailer"
    assert ("inconsistent_order", "/rig/vehicles/0/axles/0/aft") in faults(document)


def test_every_finding_that_a_state_brings_about_has_words_for_a_trip() -> None:
    assert {f"{code}_on_trip" for code in OF_A_STATE} | OF_A_STATE <= FINDINGS.keys()


def test_tanks_of_one_name_in_two_vehicles_need_their_vehicle() -> None:
    document = van(tanks=[tank("fresh")])
    twin = json.loads(json.dumps(document["rig"]["vehicles"][0])) | {"name": "car", "kind": "towed_car"}
    document["rig"]["vehicles"].append(twin)
    document["loads"] = [{"wheel_ends": ["van.front.left"], "load": 1900}]
    assert ("inconsistent_reference", "/varies/tanks/0/name") in faults(document)
    document["varies"] = {"tanks": [tank("car.fresh"), tank("van.fresh")]}
    answer = answered(document)
    assert [each["name"] for each in answer["varies"]] == ["car.fresh", "van.fresh"]
    assert levels(span(answer, "van.front.left")["highest"]["state"]) == {"van.fresh": 1.0}
