"""A rig that tows, asked over the wire."""

import json
from typing import Any

import pytest

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send

APP = create_app(Settings())
TIRES = {"fitment": "single", "designation": "LT245/75R17", "load_range": "E", "max_load_single": 3195}


def axle(name: str, aft: float, gawr: float) -> dict[str, Any]:
    return {"name": name, "aft": aft, "track": 68, "gawr": gawr, "tires": {**TIRES, "max_pressure": 80}}


def pickup_and_trailer() -> dict[str, Any]:
    """Return a pickup of 6,000 lb and a trailer of 5,000 lb on its axle, with 600 lb on the ball, all exact."""
    loads = {
        "pickup.front.left": 1700,
        "pickup.front.right": 1700,
        "pickup.rear.left": 1300,
        "pickup.rear.right": 1300,
        "trailer.axle.left": 2500,
        "trailer.axle.right": 2500,
    }
    return {
        "units": "us",
        "rig": {
            "name": "Godwit pair",
            "vehicles": [
                {
                    "name": "pickup",
                    "kind": "tow_vehicle",
                    "gvwr": 7600,
                    "gcwr": 12500,
                    "axles": [axle("front", 0, 3900), axle("rear", 140, 4800)],
                    "hitch": {
                        "aft": 190,
                        "up": 20,
                        "max_vertical": 550,
                        "max_vertical_levelled": 1000,
                        "max_towed": 7000,
                    },
                },
                {
                    "name": "trailer",
                    "kind": "travel_trailer",
                    "gvwr": 6200,
                    "axles": [axle("axle", 200, 6000)],
                },
            ],
            "couplings": [{"tow": "pickup", "towed": "trailer", "kind": "ball"}],
        },
        "loads": [{"wheel_ends": [n], "load": load, "standard_uncertainty": 0} for n, load in loads.items()],
        "coupling_loads": [{"load": 600, "standard_uncertainty": 0}],
    }


def judged(document: dict[str, Any]) -> Reply:
    return send(APP, "POST", "/v1/loads/towing", json.dumps(document).encode(), {"content-type": "application/json"})


def answered(document: dict[str, Any]) -> dict[str, Any]:
    reply = judged(document)
    assert reply.status == 200, reply.body
    answer: dict[str, Any] = reply.json
    return answer


def axle_loads(answer: dict[str, Any]) -> list[dict[str, float]]:
    return [
        {axle["name"]: axle["load"] for axle in state["loads"]["axles"]} for state in answer["states"] if state["loads"]
    ]


def test_every_state_is_told_with_its_loads() -> None:
    # By hand: 600 x 50 / 140 = 214.3 lb off the front axle; half of it, 107.1 lb, given back; M = 0.5 x 600 x 50 / 1.25
    # = 12,000 lb in = 1,000 lb ft, of which 12,000 / 200 = 60 lb go to the trailer's axle. An inch of the ball's place:
    # 0.5 x 600 / 1.25^2 = 192 lb in = 16 lb ft.
    answer = answered(pickup_and_trailer())
    assert [state["state"] for state in answer["states"]] == ["solo", "hitched", "hitched_levelled"]
    assert axle_loads(answer) == [
        {"pickup.front": 3400.0, "pickup.rear": 2600.0, "trailer.axle": 5000.0},
        {"pickup.front": 3185.7, "pickup.rear": 3414.3, "trailer.axle": 5000.0},
        {"pickup.front": 3292.9, "pickup.rear": 3247.1, "trailer.axle": 5060.0},
    ]
    assert answer["levelling"] == {
        "moment": 1000.0,
        "moment_standard_uncertainty": 16.0,
        "taken_off_front_axle": 214.3,
        "given_back_to_front_axle": 107.1,
        "put_on_trailer_axles": 60.0,
    }
    assert answer["coupling_load"]["load"] == 600.0


def test_a_hitch_over_its_rating_without_bars_is_said_so_and_not_with_them() -> None:
    answer = answered(pickup_and_trailer())
    standings = [
        {(each["subject"], each["kind"]): each["standing"] for each in state["loads"]["limits"]}
        for state in answer["states"]
    ]
    assert standings[1]["pickup hitch", "hitch_vertical"] == "over"
    assert standings[2]["pickup hitch", "hitch_vertical"] == "clear"
    assert standings[2]["pickup hitch", "hitch_towed"] == "unknown"
    assert standings[1]["Godwit pair", "combination"] == "clear"
    assert ("pickup hitch", "hitch_vertical") not in standings[0]
    codes = {(each["code"], each["subject"]) for each in answer["states"][1]["loads"]["findings"]}
    assert ("limit_over", "pickup hitch") in codes


def test_the_front_axle_gets_back_what_was_asked_for() -> None:
    answer = answered(pickup_and_trailer() | {"restored_share": 1})
    assert axle_loads(answer)[2]["pickup.front"] == 3400.0
    assert answer["levelling"]["moment"] == 2000.0


def test_without_the_tongue_weight_hitching_is_not_told() -> None:
    document = pickup_and_trailer()
    del document["coupling_loads"]
    answer = answered(document)
    assert [state["loads"] is None for state in answer["states"]] == [False, True, True]
    assert "not weighed" in answer["states"][1]["unknown_because"]
    assert (answer["coupling_load"]["load"], answer["levelling"]) == (None, None)


def test_a_car_on_a_tow_bar_adds_to_the_combination_and_takes_nothing_off_an_axle() -> None:
    document = pickup_and_trailer()
    car = document["rig"]["vehicles"][1]
    car |= {"name": "car", "kind": "towed_car", "axles": [axle("front", 0, 3000), axle("rear", 100, 3000)]}
    document["rig"]["couplings"] = [{"tow": "pickup", "towed": "car", "kind": "towbar"}]
    del document["coupling_loads"]
    for load in document["loads"]:
        load["wheel_ends"] = [name.replace("trailer.axle", "car.front") for name in load["wheel_ends"]]
    document["loads"].append(
        {"wheel_ends": ["car.rear.left", "car.rear.right"], "load": 1600, "standard_uncertainty": 0}
    )
    answer = answered(document)
    assert axle_loads(answer)[1] == axle_loads(answer)[0]
    limits = {(each["subject"], each["kind"]): each for each in answer["states"][1]["loads"]["limits"]}
    # By hand: 6,000 + 5,000 + 1,600 lb against a combination rating of 12,500 lb.
    assert (limits["Godwit pair", "combination"]["value"], limits["Godwit pair", "combination"]["standing"]) == (
        12600.0,
        "over",
    )
    assert limits["pickup hitch", "hitch_towed"]["value"] == 6600.0
    assert answer["states"][2]["loads"] is None


def with_coupling(**changes: Any) -> dict[str, Any]:
    document = pickup_and_trailer()
    document["rig"]["couplings"][0] |= changes
    return document


def without_hitch() -> dict[str, Any]:
    document = pickup_and_trailer()
    del document["rig"]["vehicles"][0]["hitch"]
    return document


def without_coupling() -> dict[str, Any]:
    document = pickup_and_trailer()
    document["rig"]["couplings"] = []
    return document


BAD = {
    "no coupling": (without_coupling(), ("inconsistent_choice", "/rig/couplings")),
    "a trailer that tows": (
        with_coupling(tow="trailer", towed="pickup"),
        ("inconsistent_reference", "/rig/couplings/0/tow"),
    ),
    "itself": (with_coupling(towed="pickup"), ("inconsistent_reference", "/rig/couplings/0/tow")),
    "a trailer on a tow bar": (with_coupling(kind="towbar"), ("inconsistent_choice", "/rig/couplings/0/kind")),
    "a travel trailer on a fifth wheel": (
        with_coupling(kind="fifth_wheel"),
        ("inconsistent_choice", "/rig/couplings/0/kind"),
    ),
    "no hitch": (without_hitch(), ("inconsistent_reference", "/rig/vehicles/0/hitch")),
    "no unit of torque": (
        pickup_and_trailer() | {"units": {"mass": "lb", "pressure": "psi", "length": "in"}},
        ("inconsistent_units", "/units/torque"),
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_a_contradiction_is_told_at_its_place(case: str) -> None:
    document, expected = BAD[case]
    reply = judged(document)
    assert (reply.status, reply.problem_type) == (422, "inconsistent")
    assert [(error["code"], error["pointer"]) for error in reply.json["errors"]] == [expected]


def test_what_is_not_computed_is_refused_by_name() -> None:
    document = pickup_and_trailer()
    document["rig"]["vehicles"][1] |= {"kind": "towed_car", "axles": [axle("axle", 0, 3000), axle("rear", 100, 3000)]}
    document["rig"]["couplings"][0]["kind"] = "dolly"
    del document["coupling_loads"]
    reply = judged(document)
    assert (reply.status, reply.problem_type) == (422, "not-yet-computed")
    assert [error["pointer"] for error in reply.json["errors"]] == ["/rig/couplings/0/kind"]


def test_other_questions_send_coupled_rigs_here() -> None:
    document = pickup_and_trailer()
    reply = send(APP, "POST", "/v1/assess", json.dumps(document).encode(), {"content-type": "application/json"})
    assert (reply.status, reply.problem_type) == (422, "not-yet-computed")
    assert "/v1/loads/towing" in reply.json["errors"][0]["allowed"]
