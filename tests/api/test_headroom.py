"""Headroom and relief, asked over the wire."""

import json
from math import erf, sqrt
from typing import Any

import pytest

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send

APP = create_app(Settings())
TIRES = {"fitment": "single", "designation": "LT235/85R16", "load_range": "E", "max_load_single": 3042}
LOADS = {"front.left": 1900, "front.right": 1900, "rear.left": 2100, "rear.right": 2100}


def van(loads: dict[str, float] | None = None, /, u: float = 0, **asked: Any) -> dict[str, Any]:
    """Return a van, 150 in from axle to axle, with wheel ends known as well as told, in US units."""
    axles = [
        {"name": name, "aft": aft, "track": 68, "gawr": gawr, "tires": {**TIRES, "max_pressure": 80}}
        for name, aft, gawr in (("front", 0, 4400), ("rear", 150, 5300))
    ]
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
                    "tanks": [{"name": "fresh", "fluid": "water", "capacity": 30, "aft": 75, "right": 0}],
                    "places": [
                        {"name": "galley", "aft": 75, "right": 0, "capacity": 300},
                        {"name": "rack", "aft": 225, "right": 0, "length": 24, "width": 60},
                    ],
                }
            ],
        },
        "loads": [
            {"wheel_ends": [name], "load": load, "standard_uncertainty": u} for name, load in (loads or LOADS).items()
        ],
        **asked,
    }


def trailer(tongue: float | None = 350, **asked: Any) -> dict[str, Any]:
    """Return a trailer of 3,000 lb on its axle, 160 in behind the ball, its tongue weight known or not."""
    document = van({"axle.left": 1500, "axle.right": 1500}, **asked)
    (vehicle,) = document["rig"]["vehicles"]
    axle = {**vehicle["axles"][0], "name": "axle", "aft": 160, "gawr": 3500}
    document["rig"]["vehicles"] = [{"name": "trailer", "kind": "travel_trailer", "gvwr": 4000, "axles": [axle]}]
    if tongue is not None:
        document["coupling_loads"] = [{"load": tongue, "standard_uncertainty": 0}]
    return document


def weighed(carried: dict[str, Any] | None, rear: float = 2700, **asked: Any) -> dict[str, Any]:
    """Return the van weighed pad by pad, too heavy behind, with what its session declares."""
    document = van(**asked)
    document.pop("loads")
    loads = {**LOADS, "rear.left": rear, "rear.right": rear}
    readings = [{"platform": name, "value": load, "wheel_ends": [name]} for name, load in loads.items()]
    document["session"] = {
        "scale": {"division": 5, "accuracy_class": "III"},
        "passes": [{"name": "pads", "readings": readings}],
    }
    if carried is not None:
        document["session"]["carried"] = carried
    return document


def ask(document: dict[str, Any]) -> Reply:
    return send(APP, "POST", "/v1/loads/headroom", json.dumps(document).encode(), {"content-type": "application/json"})


def answered(document: dict[str, Any]) -> dict[str, Any]:
    reply = ask(document)
    assert reply.status == 200, reply.body
    answer: dict[str, Any] = reply.json
    return answer


def rooms(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {room["place"]: room for room in answered(document)["headroom"]}


def limit_of(room: dict[str, Any]) -> tuple[str, str, str]:
    named = room["limited_by"]
    return named["subject"], named["kind"], named["bound"]


def codes(answer: dict[str, Any]) -> set[tuple[str, str]]:
    return {(finding["code"], finding["subject"]) for finding in answer["findings"]}


def test_every_place_of_the_rig_is_told_unless_some_are_named() -> None:
    assert list(rooms(van())) == ["galley", "rack"]
    assert list(rooms(van(places=["rack"]))) == ["rack"]
    assert list(rooms(van(places=[], points=[{"aft": 75, "right": 0}]))) == ["point 1"]
    assert list(rooms(van(points=[{"aft": 75, "right": 0}, {"vehicle": "van", "aft": 0, "right": 0}]))) == [
        "galley",
        "rack",
        "point 1",
        "point 2",
    ]


def test_the_lever_rule_tells_what_may_still_go_where() -> None:
    # By hand: on the front axle 4,400 - 3,800 = 600 lb are left, and at the axle all of it goes there; at k = 1 an inch
    # of doubt in the place moves m/150: m (1 + 1/150 at the upper bound) = 600, so 596.0 lb.
    point = {"aft": 0, "right": 0}
    answer = answered(van(places=[], points=[point], policy={"coverage_factor": 1}))
    (room,) = answer["headroom"]
    assert room["most"] == pytest.approx(600 / (1 + 1 / 150), abs=0.1)
    assert limit_of(room) == ("front", "axle", "most")
    assert answer["confidence"] == pytest.approx((1 + erf(1 / sqrt(2))) / 2, abs=1e-4)
    # Behind the rear axle, at 225 in, it takes 1.5 of each: 1,100/1.5 = 733.3 lb without the doubt of the place.
    (room,) = answered(van(places=[], points=[{"aft": 225, "right": 0}]))["headroom"]
    assert room["most"] == pytest.approx(1100 / (1.5 + 2 / 150), abs=0.1)
    assert limit_of(room) == ("rear", "axle", "most")


def test_after_the_most_nothing_is_broken_and_after_little_more_the_limit_named_is() -> None:
    """Asked at another door: the forecast of the same mass, weighed exactly, at the same place."""
    (room,) = answered(van(u=15, places=["rack"]))["headroom"]
    subject, kind, _ = limit_of(room)
    for extra, standings in ((0.0, {"clear", "tight"}), (0.01, {"unsettled"})):
        mass = room["most"] * (1 + extra)
        changes = {"cargo": [{"mass": mass, "standard_uncertainty": 0, "goes_to": "rack"}]}
        body = json.dumps(van(u=15, changes=changes)).encode()
        reply = send(APP, "POST", "/v1/loads/forecast", body, {"content-type": "application/json"})
        [limit] = [each for each in reply.json["limits"] if (each["subject"], each["kind"]) == (subject, kind)]
        assert limit["standing"] in standings
        if not extra:
            assert {each["standing"] for each in reply.json["limits"]} <= {"clear", "tight"}


def test_a_place_takes_no_more_than_its_capacity_less_what_is_declared_there() -> None:
    room = rooms(van())["galley"]
    assert (room["most"], limit_of(room)) == (300.0, ("galley", "place_capacity", "most"))
    assert (room["capacity"], room["aboard"]) == (300.0, None)
    assert ("capacity_counts_whole", "galley") in codes(answered(van()))
    document = weighed({"people": [{"mass": 100, "place": "galley"}], "cargo": [{"mass": 80, "place": "galley"}]})
    document["rig"]["vehicles"][0]["axles"][1]["gawr"] = 6000
    document["rig"]["vehicles"][0]["gvwr"] = 12_000
    answer = answered(document)
    (room,) = [each for each in answer["headroom"] if each["place"] == "galley"]
    assert (room["most"], room["aboard"], limit_of(room)[1]) == (120.0, 180.0, "place_capacity")
    assert ("capacity_counts_whole", "galley") not in codes(answer)


def test_what_is_over_already_takes_nothing_and_is_named() -> None:
    room = rooms(van({**LOADS, "rear.left": 2800, "rear.right": 2700}))["rack"]
    assert (room["most"], room["at_least"], room["by_known_limits"]) == (0.0, 0.0, 0.0)
    assert room["limited_by"]["broken"] is True
    named = [(each["subject"], each["kind"]) for each in room["already_broken"]]
    assert named[0] == limit_of(room)[:2]
    assert set(named) == {("rear", "axle"), ("van", "vehicle")}


def test_a_trailer_refuses_300_lb_behind_for_its_tongue_goes_light() -> None:
    # By hand: 350 of 3,350 lb; at 240 in each lb lifts the ball by 0.5: 350 - 0.5 m = 0.1 (3,350 + m), m = 25 lb, and
    # a little less for the inch of doubt in the place: 0.6 m + 2 m/160 = 15.
    (room,) = answered(trailer(points=[{"aft": 240, "right": 0}]))["headroom"]
    assert room["most"] == pytest.approx(15 / (0.6 + 2 / 160), abs=0.1)
    assert limit_of(room) == ("trailer", "tongue_share", "least")


def test_a_light_tongue_is_mended_in_front() -> None:
    # By hand: 300 of 3,300 lb; at 16 in 0.9 of each lb is on the ball: 300 + 0.9 m = 0.1 (3,300 + m), m = 37.5 lb.
    answer = answered(trailer(300, points=[{"aft": 16, "right": 0}]))
    (room,) = answer["headroom"]
    assert room["at_least"] == pytest.approx(30 / (0.8 - 2 / 160), abs=0.1)
    assert room["most"] > room["at_least"]
    assert room["already_broken"] == []
    assert ("mended_by_adding", "point 1") in codes(answer)


def test_what_cannot_be_judged_leaves_the_most_unknown() -> None:
    answer = answered(trailer(None, points=[{"aft": 200, "right": 0}]))
    (room,) = answer["headroom"]
    assert room["most"] is None
    assert room["unknown_because"] == "Part of a trailer rests on its coupling, and that was not weighed."
    assert {(each["kind"], each["bound"]) for each in room["unjudged"]} == {
        ("vehicle", "most"),
        ("tongue_share", "least"),
    }
    # By hand: the axle has 500 lb left and takes 1.25 of each.
    assert room["by_known_limits"] == pytest.approx(500 / (1.25 + 2 / 160), abs=0.1)
    assert answer["relief"]["needed"] is None
    assert (answer["relief"]["total"], answer["relief"]["feasible"]) == (None, None)
    assert answer["relief"]["unknown_because"]


def test_a_doubt_that_nobody_stated_leaves_no_confidence() -> None:
    document = van()
    document["loads"][0].pop("standard_uncertainty")
    assert answered(document)["confidence"] is None
    assert answered(van(u=10))["confidence"] == pytest.approx(0.9772, abs=1e-4)


def test_where_nothing_is_over_nothing_has_to_come_off() -> None:
    assert answered(van())["relief"] == {
        "needed": False,
        "total": 0.0,
        "items": [],
        "feasible": True,
        "cannot_meet": [],
        "unjudged": [],
        "unknown_because": None,
    }


def test_without_anything_that_may_come_off_the_relief_is_not_told() -> None:
    relief = answered(van({**LOADS, "rear.left": 2900, "rear.right": 2900}))["relief"]
    assert (relief["needed"], relief["total"], relief["feasible"]) == (True, None, None)
    assert "removable" in relief["unknown_because"]


def test_the_least_mass_comes_off_where_its_lever_is_longest() -> None:
    # By hand: 5,600 - 5,300 = 300 lb over behind, 9,400 - 9,000 = 400 lb in all, so 400 lb come off; the rack gives 1.5
    # of each: with 100 lb there 150 come off the axle, the galley gives half: 100 lb need 300 from it.
    document = van(
        {**LOADS, "rear.left": 2800, "rear.right": 2800},
        removable=[{"name": "canoe", "place": "rack", "most": 240}, {"name": "stores", "place": "galley"}],
    )
    relief = answered(document)["relief"]
    assert (relief["needed"], relief["feasible"]) == (True, True)
    masses = {item["name"]: item["mass"] for item in relief["items"]}
    # Both pieces are rounded up to a tenth.
    assert 400.0 <= relief["total"] <= 400.2
    assert sum(masses.values()) == pytest.approx(relief["total"])
    assert {item["name"]: item["place"] for item in relief["items"]} == {"canoe": "rack", "stores": "galley"}
    # By hand: x off the rack with 1.5 x + 0.5 (400 - x) >= 300 needs x >= 100; its doubt, 24 in long, asks for more.
    assert masses["canoe"] >= 100.0


def test_what_comes_off_clears_the_limits_by_the_forecast() -> None:
    """Asked at another door: the same masses leave, weighed exactly."""
    loads = {**LOADS, "rear.left": 2850, "rear.right": 2750}
    removable = [{"name": "canoe", "place": "rack"}, {"name": "jug", "place": {"aft": 20, "right": 10}, "most": 300}]
    relief = answered(van(loads, u=10, removable=removable))["relief"]
    assert relief["feasible"] is True
    spots = {"canoe": "rack", "jug": {"aft": 20, "right": 10}}
    cargo = [
        {"mass": item["mass"], "standard_uncertainty": 0, "comes_from": spots[item["name"]]} for item in relief["items"]
    ]
    body = json.dumps(van(loads, u=10, changes={"cargo": cargo})).encode()
    reply = send(APP, "POST", "/v1/loads/forecast", body, {"content-type": "application/json"})
    assert {each["standing"] for each in reply.json["limits"]} <= {"clear", "tight"}


def test_declared_cargo_and_tanks_are_what_may_come_off() -> None:
    carried = {
        "cargo": [{"mass": 300, "place": "rack"}, {"mass": 60, "place": "rack"}, {"mass": 40, "place": "attic"}],
        "tanks": [{"name": "fresh", "level": 0.5}],
    }
    answer = answered(weighed(carried))
    masses = {item["name"]: item["mass"] for item in answer["relief"]["items"]}
    assert set(masses) <= {"cargo in rack", "contents of fresh"}
    assert 0 < masses["cargo in rack"] <= 360.0
    # Half of 30 gal of water at 60 degF (999.02 kg/m3, CoolProp) are 125.05 lb.
    assert masses.get("contents of fresh", 0) <= 125.1
    assert ("cargo_place_unknown", "attic") in codes(answer)
    assert answer["relief"]["feasible"] is True


def test_a_tank_has_what_the_session_declares_else_what_it_holds() -> None:
    drain = [{"name": "water", "tank": "fresh"}]
    half = answered(weighed({"tanks": [{"name": "fresh", "level": 0.5}]}, 3000, removable=drain))["relief"]
    full = answered(weighed(None, 3000, removable=drain))["relief"]
    assert [item["place"] for item in half["items"]] == ["fresh"]
    assert half["total"] == pytest.approx(125.05, abs=0.3)
    assert full["total"] == pytest.approx(250.1, abs=0.5)


def test_what_cannot_be_cleared_is_named() -> None:
    # By hand: the axle is over by 300 lb; 100 lb off the galley give 50 lb, so 250 lb stay.
    loads = {**LOADS, "rear.left": 2800, "rear.right": 2800}
    removable = [{"name": "stores", "place": "galley", "most": 100}]
    answer = answered(van(loads, removable=removable))
    relief = answer["relief"]
    assert (relief["feasible"], relief["total"]) == (False, 100.0)
    excess = {(each["subject"], each["kind"], each["bound"]): each["excess"] for each in relief["cannot_meet"]}
    assert excess[("rear", "axle", "most")] == pytest.approx(250 + 2 * 100 / 150, abs=0.1)
    assert excess[("van", "vehicle", "most")] == pytest.approx(300, abs=0.1)
    assert {("relief_not_enough", "rear"), ("relief_not_enough", "van")} <= codes(answer)


def test_air_mends_what_a_tire_carries_at_its_pressure() -> None:
    """Present pressure leaves no room, and yet nothing has to come off for it."""
    document = van(removable=[{"name": "stores", "place": "galley"}])
    for axle in document["rig"]["vehicles"][0]["axles"]:
        axle["tires"] = {**axle["tires"], "pressure": 36}
    answer = answered(document)
    assert {room["limited_by"]["kind"] for room in answer["headroom"]} == {"tire_at_pressure"}
    assert {room["most"] for room in answer["headroom"]} == {0.0}
    assert (answer["relief"]["needed"], answer["relief"]["items"]) == (False, [])
    assert any(code == "air_limits_headroom" for code, _ in codes(answer))


def test_the_same_rig_in_kilograms_has_the_same_headroom() -> None:
    pounds = rooms(van(u=10))["rack"]["most"]
    document = van(u=10)
    document["units"] = {"mass": "kg", "pressure": "psi", "length": "in", "volume": "gal"}

    def in_kg(value: Any, key: str = "") -> Any:
        if isinstance(value, dict):
            return {name: in_kg(each, name) for name, each in value.items()}
        if isinstance(value, list):
            return [in_kg(each, key) for each in value]
        if key in {"gvwr", "gawr", "max_load_single", "load", "standard_uncertainty"} or (
            key == "capacity" and value == 300
        ):
            return value * 0.45359237
        return value

    kilograms = rooms(in_kg(document))["rack"]["most"]
    assert kilograms == pytest.approx(pounds * 0.45359237, abs=0.1)
    assert kilograms <= pounds * 0.45359237 + 0.05


BAD = {
    "no place at all": ({"places": []}, ("inconsistent_choice", "/places")),
    "no such place": ({"places": ["attic"]}, ("inconsistent_reference", "/places/0")),
    "a place twice": ({"places": ["rack", "rack"]}, ("inconsistent_name", "/places/1")),
    "no such vehicle": (
        {"points": [{"vehicle": "car", "aft": 1, "right": 0}]},
        ("inconsistent_reference", "/points/0/vehicle"),
    ),
    "in no place": ({"removable": [{"name": "canoe"}]}, ("inconsistent_choice", "/removable/0")),
    "in a place and a tank": (
        {"removable": [{"name": "canoe", "place": "rack", "tank": "fresh"}]},
        ("inconsistent_choice", "/removable/0"),
    ),
    "no such tank": (
        {"removable": [{"name": "water", "tank": "sump"}]},
        ("inconsistent_reference", "/removable/0/tank"),
    ),
    "no such place to take from": (
        {"removable": [{"name": "canoe", "place": "attic"}]},
        ("inconsistent_reference", "/removable/0/place"),
    ),
    "a name twice": (
        {"removable": [{"name": "canoe", "place": place} for place in ("rack", "galley")]},
        ("inconsistent_name", "/removable/1/name"),
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_a_contradiction_is_told_at_its_place(case: str) -> None:
    asked, expected = BAD[case]
    reply = ask(van(**asked))
    assert (reply.status, reply.problem_type) == (422, "inconsistent")
    assert [(error["code"], error["pointer"]) for error in reply.json["errors"]] == [expected]


def test_a_rig_without_places_needs_a_point() -> None:
    reply = ask(trailer())
    assert [(error["code"], error["pointer"]) for error in reply.json["errors"]] == [("inconsistent_choice", "/points")]
    assert reply.json["errors"][0]["allowed"] == "a point, or a place of the rig"


def test_a_vehicle_that_cannot_stand_is_refused_at_its_axles() -> None:
    document = van()
    document["rig"]["vehicles"][0]["groups"] = [{"axles": ["front", "rear"], "suspension": "shared_air"}]
    errors = ask(document).json["errors"]
    assert [(error["code"], error["pointer"]) for error in errors] == [
        ("inconsistent_statics", "/rig/vehicles/0/axles")
    ]


def test_two_vehicles_have_places_of_their_own_names() -> None:
    document = van()
    (first,) = document["rig"]["vehicles"]
    document["rig"]["vehicles"].append({**first, "name": "second"})
    document["loads"] = [
        {**load, "wheel_ends": [f"{name}.{end}" for end in load["wheel_ends"]]}
        for name in ("van", "second")
        for load in document["loads"]
    ]
    found = rooms(document)
    assert [(name, room["vehicle"]) for name, room in found.items()] == [
        ("van.galley", "van"),
        ("van.rack", "van"),
        ("second.galley", "second"),
        ("second.rack", "second"),
    ]
    assert found["van.rack"]["most"] == found["second.rack"]["most"] == rooms(van())["rack"]["most"]
    assert list(rooms({**document, "places": ["second.rack"]})) == ["second.rack"]
    reply = ask({**document, "places": ["rack"]})
    assert reply.json["errors"][0]["pointer"] == "/places/0"
