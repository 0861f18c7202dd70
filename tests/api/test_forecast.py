"""Loads before they happen, asked over the wire."""

import json
from typing import Any

import pytest

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send

APP = create_app(Settings())
TIRES = {"fitment": "single", "designation": "LT235/85R16", "load_range": "E", "max_load_single": 3042}


def van(**changes: Any) -> dict[str, Any]:
    """Return a van of which every wheel end is known exactly, 150 in from axle to axle, in US units."""
    axles = [
        {"name": name, "aft": aft, "track": 68, "gawr": gawr, "tires": {**TIRES, "max_pressure": 80}}
        for name, aft, gawr in (("front", 0, 4400), ("rear", 150, 5300))
    ]
    loads = {"front.left": 1900, "front.right": 1940, "rear.left": 2050, "rear.right": 2150}
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
                    "tanks": [
                        {"name": "fresh", "fluid": "water", "capacity": 30, "aft": 75, "right": 0},
                        {"name": "gas", "fluid": "propane", "capacity": 10, "aft": 75, "right": 0},
                    ],
                    "places": [
                        {"name": "galley", "aft": 75, "right": 0},
                        {"name": "rack", "aft": 225, "right": 0, "length": 24, "width": 60},
                    ],
                }
            ],
        },
        "loads": [{"wheel_ends": [n], "load": load, "standard_uncertainty": 0} for n, load in loads.items()],
        "changes": changes,
    }


def forecast(document: dict[str, Any]) -> Reply:
    return send(APP, "POST", "/v1/loads/forecast", json.dumps(document).encode(), {"content-type": "application/json"})


def answered(document: dict[str, Any]) -> dict[str, Any]:
    reply = forecast(document)
    assert reply.status == 200, reply.body
    answer: dict[str, Any] = reply.json
    return answer


def axle_loads(answer: dict[str, Any]) -> dict[str, float]:
    return {axle["name"]: axle["load"] for axle in answer["axles"]}


def test_a_mass_between_the_axles_is_shared_by_the_lever_rule() -> None:
    # By hand: 90 lb at 75 of 150 in are 45 lb on each axle; behind, at 225 in, -0.5 and 1.5 of it.
    answer = answered(van(cargo=[{"mass": 90, "standard_uncertainty": 0, "goes_to": "galley"}]))
    assert axle_loads(answer) == {"front": 3885.0, "rear": 4245.0}
    answer = answered(van(cargo=[{"mass": 90, "standard_uncertainty": 0, "goes_to": {"aft": 225, "right": 0}}]))
    assert axle_loads(answer) == {"front": 3795.0, "rear": 4335.0}
    assert answer["vehicles"][0]["load"] == 8130.0


def test_what_leaves_comes_off_and_what_moves_keeps_the_whole() -> None:
    answer = answered(van(people=[{"mass": 90, "comes_from": "galley"}]))
    assert axle_loads(answer) == {"front": 3795.0, "rear": 4155.0}
    answer = answered(van(cargo=[{"mass": 90, "comes_from": "galley", "goes_to": "rack"}]))
    # By hand: 90 lb x (225 - 75) / 150 in go from the front axle to the rear.
    assert axle_loads(answer) == {"front": 3750.0, "rear": 4290.0}
    assert answer["rig"]["load"] == 8040.0
    assert answer["changes"] == [{"what": "cargo 1", "mass": 90.0, "standard_uncertainty": 4.5}]


def test_a_full_water_tank_weighs_what_its_volume_holds() -> None:
    # Water at 60 degF has 999.02 kg/m3 (CoolProp): 30 gal hold 250.1 lb.
    answer = answered(van(tanks=[{"name": "fresh", "level": 1, "weighed_level": 0, "standard_uncertainty": 0}]))
    assert answer["changes"][0]["mass"] == pytest.approx(250.1, abs=0.3)
    assert axle_loads(answer)["front"] == pytest.approx(3840 + 125.05, abs=0.3)


def test_a_propane_tank_is_full_at_eighty_per_cent() -> None:
    # 80 % of 10 gal of commercial propane at 4.20 lb/gal and 60 degF (NFPA 58; property tables): 33.6 lb.
    answer = answered(van(tanks=[{"name": "gas", "level": 1, "weighed_level": 0, "standard_uncertainty": 0}]))
    assert answer["changes"][0]["mass"] == pytest.approx(33.6, abs=0.1)


def test_the_doubt_grows_with_what_is_estimated() -> None:
    exact = answered(van(cargo=[{"mass": 90, "standard_uncertainty": 0, "goes_to": {"aft": 75, "right": 0}}]))
    told = answered(van(cargo=[{"mass": 90, "goes_to": {"aft": 75, "right": 0}}]))
    spread = answered(van(cargo=[{"mass": 90, "goes_to": "rack"}]))
    doubts = [answer["axles"][1]["standard_uncertainty"] for answer in (exact, told, spread)]
    # By hand: 1 in of doubt in the place moves 90 / 150 lb from axle to axle; 5 % of 90 lb, halved, are 2.25 lb; a rack
    # of 24 in adds 24 / sqrt(12) = 6.93 in: hypot(1.5 x 4.5, 0.6 x hypot(1, 6.93)) = 7.95 lb.
    assert doubts == [pytest.approx(0.6, abs=0.05), pytest.approx(2.33, abs=0.05), pytest.approx(7.95, abs=0.06)]
    assert {each["kind"] for each in told["assumptions"]} == {"roll_stiffness"}


def test_the_places_that_a_mass_goes_from_and_to_are_in_doubt_each_by_itself() -> None:
    """Hand: 90 lb, moved 150 in of 150, where 1 in of doubt at either end is 90/150 lb: 0.6 x sqrt(2) = 0.85 lb."""
    points = {"comes_from": {"aft": 75, "right": 0}, "goes_to": {"aft": 225, "right": 0}}
    front, rear = answered(van(cargo=[{"mass": 90, "standard_uncertainty": 0, **points}]))["axles"]
    assert (front["load"], rear["load"]) == (3750.0, 4290.0)
    assert (front["standard_uncertainty"], rear["standard_uncertainty"]) == (0.8, 0.8)
    nowhere = {"comes_from": points["goes_to"], "goes_to": points["goes_to"]}
    stayed = answered(van(cargo=[{"mass": 90, "standard_uncertainty": 0, **nowhere}]))["axles"]
    assert [axle["standard_uncertainty"] for axle in stayed] == [0.0, 0.0]


def test_more_load_asks_for_more_pressure_and_is_judged() -> None:
    light = answered(van(cargo=[{"mass": 1, "goes_to": "rack"}]))
    heavy = answered(van(cargo=[{"mass": 300, "goes_to": "rack"}]))
    # Michelin load/inflation table in a 1990 motorhome manual, LT235/85R16 E single: 2,205 lb at 50 psi, 2,485 at 60.
    rears = [answer["inflation"][1] for answer in (light, heavy)]
    assert [rear["design_load_per_tire"] for rear in rears] == [2151.0, 2462.7]
    assert [rear["cold_pressure"] for rear in rears] == [50.0, 60.0]
    # By hand: 4,200 + 1.5 x 300 = 4,650 lb against a GAWR of 5,300 lb.
    (rear,) = [limit for limit in heavy["limits"] if (limit["subject"], limit["kind"]) == ("rear", "axle")]
    assert (rear["value"], rear["margin"]) == (4650.0, 650.0)
    over = answered(van(cargo=[{"mass": 1300, "goes_to": "rack"}]))
    assert ("limit_over", "van") in {(each["code"], each["subject"]) for each in over["findings"]}
    assert over["summary"]["standing"] == "over"


def test_where_an_axle_would_lift_no_load_is_told_and_no_limit_kept() -> None:
    answer = answered(van(cargo=[{"mass": 4000, "goes_to": {"aft": 400, "right": 0}}]))
    lifted = {each["subject"] for each in answer["findings"] if each["code"] == "would_lift"}
    assert lifted == {"front.left", "front.right"}
    assert {each["load"] for each in (*answer["wheel_ends"], *answer["axles"], answer["rig"])} == {None}
    assert {limit["standing"] for limit in answer["limits"]} == {"unknown"}
    assert all("lift" in limit["unknown_because"] for limit in answer["limits"])
    assert {each["cold_pressure"] for each in answer["inflation"]} == {None}


def test_a_wheel_that_is_nearly_nothing_may_lift() -> None:
    # By hand: 3,780 lb at 300 in take as much off the front axle, which has 3,840 lb; a doubt of 5 % is 189 lb.
    answer = answered(van(cargo=[{"mass": 3780, "goes_to": {"aft": 300, "right": 0}}]))
    lifting = {each["subject"] for each in answer["findings"] if each["code"] == "may_lift"}
    assert lifting == {"front.left", "front.right"}
    assert "would_lift" not in {each["code"] for each in answer["findings"]}


def test_a_place_that_would_hold_too_much_or_lose_what_it_had_not_is_told() -> None:
    document = van(cargo=[{"mass": 90, "goes_to": "galley"}, {"mass": 30, "comes_from": "rack"}])
    document["rig"]["vehicles"][0]["places"][0]["capacity"] = 100
    assert {"place_over_capacity", "more_leaves_than_declared"}.isdisjoint(
        each["code"] for each in answered(document)["findings"]
    )
    weigh_again(document)
    document["session"]["carried"] = {
        "cargo": [{"mass": 20, "place": "galley"}, {"mass": 10, "place": "rack"}],
    }
    found = {each["code"]: each["message"] for each in answered(document)["findings"]}
    assert "110 lb" in found["place_over_capacity"]
    assert "30 lb would leave rack, where the session declares 10 lb" in found["more_leaves_than_declared"]


def test_what_the_weigh_does_not_tell_is_not_told_after_it() -> None:
    document = van(cargo=[{"mass": 90, "standard_uncertainty": 0, "goes_to": "galley"}])
    document["loads"] = [
        {"wheel_ends": [f"{axle}.left", f"{axle}.right"], "load": load, "standard_uncertainty": 0}
        for axle, load in (("front", 3840), ("rear", 4200))
    ]
    answer = answered(document)
    assert axle_loads(answer) == {"front": 3885.0, "rear": 4245.0}
    assert all(end["load"] is None and end["unknown_because"] for end in answer["wheel_ends"])
    assert answer["inflation"][0]["cold_pressure"] is None


def test_a_trailers_coupling_takes_its_part() -> None:
    document = van(cargo=[{"mass": 100, "standard_uncertainty": 0, "goes_to": {"aft": 200, "right": 0}}])
    (trailer,) = document["rig"]["vehicles"]
    document["rig"]["vehicles"][0] = {
        "name": "trailer",
        "kind": "travel_trailer",
        "gvwr": 4000,
        "axles": [{**trailer["axles"][0], "name": "axle", "aft": 160, "gawr": 3500}],
    }
    document["loads"] = [
        {"wheel_ends": ["axle.left"], "load": 1500, "standard_uncertainty": 0},
        {"wheel_ends": ["axle.right"], "load": 1500, "standard_uncertainty": 0},
    ]
    document["coupling_loads"] = [{"load": 350, "standard_uncertainty": 0}]
    answer = answered(document)
    # By hand: 100 lb at 200 in, the axle at 160 in: 125 lb on the axle, 25 lb off the coupling, 325 of 3,450 lb.
    assert axle_loads(answer) == {"axle": 3125.0}
    assert answer["load_changes"][2] == {"name": "coupling", "change": -25.0, "standard_uncertainty": 0.6}
    assert answer["vehicles"][0]["load"] == 3450.0
    shares = {limit["bound"]: limit for limit in answer["limits"] if limit["kind"] == "tongue_share"}
    assert shares["least"]["value"] == pytest.approx(325 / 3450, abs=1e-4)
    assert shares["least"]["standing"] == "short"
    assert shares["most"]["standing"] == "clear"


BAD = {
    "no such place": (
        {"cargo": [{"mass": 9, "goes_to": "attic"}]},
        ("inconsistent_reference", "/changes/cargo/0/goes_to"),
    ),
    "neither comes nor leaves": ({"people": [{"mass": 9}]}, ("inconsistent_choice", "/changes/people/0")),
    "no such vehicle": (
        {"cargo": [{"mass": 9, "goes_to": {"vehicle": "car", "aft": 1, "right": 0}}]},
        ("inconsistent_reference", "/changes/cargo/0/goes_to/vehicle"),
    ),
    "no level at the weigh": (
        {"tanks": [{"name": "fresh", "level": 1}]},
        ("inconsistent_reference", "/changes/tanks/0/weighed_level"),
    ),
    "no such tank": (
        {"tanks": [{"name": "sump", "level": 1, "weighed_level": 0}]},
        ("inconsistent_reference", "/changes/tanks/0/name"),
    ),
    "a tank twice": (
        {"tanks": [{"name": "gas", "level": level, "weighed_level": 0} for level in (0, 1)]},
        ("inconsistent_name", "/changes/tanks/1/name"),
    ),
    "nothing": ({}, ("inconsistent_choice", "/changes")),
    "beside the vehicle": (
        {"cargo": [{"mass": 9, "goes_to": {"aft": 75, "right": 120}}]},
        ("inconsistent_magnitude", "/changes/cargo/0/goes_to/right"),
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_a_contradiction_is_told_at_its_place(case: str) -> None:
    changes, expected = BAD[case]
    reply = forecast(van(**changes))
    assert (reply.status, reply.problem_type) == (422, "inconsistent")
    assert [(error["code"], error["pointer"]) for error in reply.json["errors"]] == [expected]


def test_a_vehicle_that_cannot_stand_is_refused_at_its_axles() -> None:
    document = van(cargo=[{"mass": 9, "goes_to": "rack"}])
    (vehicle,) = document["rig"]["vehicles"]
    vehicle["groups"] = [{"axles": ["front", "rear"], "suspension": "shared_air"}]
    errors = forecast(document).json["errors"]
    assert [(error["code"], error["pointer"]) for error in errors] == [
        ("inconsistent_statics", "/rig/vehicles/0/axles")
    ]


def weigh_again(document: dict[str, Any]) -> None:
    """Put the document's loads into a session on pads."""
    loads = document.pop("loads")
    document["session"] = {
        "scale": {"division": 20, "accuracy_class": "III L"},
        "passes": [
            {
                "name": "pads",
                "readings": [
                    {"platform": f"{place}", "value": load["load"], "wheel_ends": load["wheel_ends"]}
                    for place, load in enumerate(loads)
                ],
            }
        ],
    }


def test_a_declared_level_is_where_a_change_starts_and_is_not_told_otherwise() -> None:
    document = van(tanks=[{"name": "fresh", "level": 0, "standard_uncertainty": 0}])
    weigh_again(document)
    document["session"]["carried"] = {"tanks": [{"name": "fresh", "level": 0.5}]}
    answer = answered(document)
    assert answer["changes"][0]["mass"] == pytest.approx(-125.05, abs=0.2)
    document["changes"]["tanks"][0]["weighed_level"] = 0.25
    errors = forecast(document).json["errors"]
    assert [(error["code"], error["pointer"]) for error in errors] == [
        ("inconsistent_levels", "/changes/tanks/0/weighed_level")
    ]
    assert errors[0]["allowed"].startswith("0.5 ")


def test_a_slip_in_the_tickets_is_told_of_what_is_predicted_from_them() -> None:
    document = van(cargo=[{"mass": 90, "goes_to": "galley"}])
    del document["loads"]
    values = {"right": (1940, 2160), "left": (1900, 2040), "axles": (3840, 5200)}
    sides = {"right": ["right"], "left": ["left"], "axles": ["left", "right"]}
    document["session"] = {
        "scale": {"division": 20, "accuracy_class": "III L"},
        "passes": [
            {
                "name": name,
                "readings": [
                    {"platform": axle, "value": value, "wheel_ends": [f"{axle}.{side}" for side in sides[name]]}
                    for axle, value in zip(("front", "rear"), both, strict=True)
                ],
            }
            for name, both in values.items()
        ],
    }
    answer = answered(document)
    codes = {finding["code"] for finding in answer["findings"]}
    assert {"cross_check_failed", "state_of_load_unknown"} <= codes
    rear = next(end for end in answer["wheel_ends"] if end["name"] == "rear.left")
    assert rear["provisional"]
    rears = {each["kind"]: each["standing"] for each in answer["limits"] if each["subject"] == "rear"}
    assert rears["axle"] in {"unsettled", "over"}
