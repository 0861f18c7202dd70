"""Interstate limits and contradicting labels over HTTP: when they are told, in the caller's units, with their basis."""

import json
from typing import Any

import pytest

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.documents import known, weighed

APP = create_app(Settings())
KINDS = {"interstate_axle", "interstate_tandem", "interstate_gross", "bridge_formula"}


def posted(document: Any, path: str = "/v1/loads/check") -> Reply:
    return send(APP, "POST", path, json.dumps(document).encode(), {"Content-Type": "application/json"})


def checked(document: dict[str, Any], path: str = "/v1/loads/check") -> Any:
    """Return the answer to a document."""
    reply = posted({name: value for name, value in document.items() if name != "conditions"}, path)
    assert reply.status == 200, reply.body
    return reply.json


def asking(document: dict[str, Any]) -> dict[str, Any]:
    """Return a document that asks for the limits."""
    document["policy"]["interstate_limits"] = True
    return document


def limits(answer: Any) -> dict[tuple[str, str], Any]:
    """Return the Interstate limits by kind and subject."""
    return {(each["kind"], each["subject"]): each for each in answer["limits"] if each["kind"] in KINDS}


def coded(answer: Any, start: str) -> dict[tuple[str, str], Any]:
    """Return the findings whose codes begin so, by code and subject."""
    return {(each["code"], each["subject"]): each for each in answer["findings"] if each["code"].startswith(start)}


def test_they_are_judged_only_when_asked_for() -> None:
    answer = checked(weighed())
    assert answer["policy"]["interstate_limits"] is False
    assert limits(answer) == {}
    assert coded(answer, "interstate") == {}


def test_the_limits_of_the_coach_are_told_in_pounds() -> None:
    """Hand: axles at 0, 212 and 260 in. 212 in: 18 ft, 48,000 lb; 260 in: 22 ft and 3 axles, 52,500 lb."""
    answer = checked(asking(weighed()))
    assert answer["policy"]["interstate_limits"] is True
    assert {key: each["limit"] for key, each in limits(answer).items()} == {
        ("interstate_axle", "steer"): 20_000.0,
        ("interstate_axle", "drive"): 20_000.0,
        ("interstate_axle", "tag"): 20_000.0,
        ("interstate_tandem", "drive + tag"): 34_000.0,
        ("interstate_gross", "steer to tag"): 80_000.0,
        ("bridge_formula", "steer + drive"): 48_000.0,
        ("bridge_formula", "steer to tag"): 52_500.0,
    }
    tandem = limits(answer)["interstate_tandem", "drive + tag"]
    assert (tandem["quantity"], tandem["bound"], tandem["standing"], tandem["governs"]) == (
        "mass",
        "most",
        "clear",
        True,
    )
    assert tandem["value"] == pytest.approx(16_860, abs=60)
    assert tandem["margin"] == pytest.approx(34_000 - tandem["value"])
    assert "23 USC 127(a)" in tandem["basis"]
    assert "Federal baseline" in tandem["basis"]
    assert "N/(N - 1)" in limits(answer)["bridge_formula", "steer to tag"]["basis"]


def tandem_trailer(tires: dict[str, Any], gvwr_kg: float, gawr_kg: float, load_kg: float) -> dict[str, Any]:
    """Return a trailer whose two axles stand 1.1 m apart, 43.3 in, and were weighed together."""
    axles = [
        {"name": name, "aft": aft, "track": 1_900, "gawr": gawr_kg, "tires": tires}
        for name, aft in (("front", 4_300), ("rear", 5_400))
    ]
    ends = [f"{axle['name']}.{side}" for axle in axles for side in ("left", "right")]
    return {
        "units": {"mass": "kg", "pressure": "kPa", "length": "mm"},
        "rig": {
            "name": "Sanderling",
            "vehicles": [{"name": "trailer", "kind": "travel_trailer", "gvwr": gvwr_kg, "axles": axles}],
        },
        "loads": [{"wheel_ends": ends, "load": load_kg, "standard_uncertainty": 0}],
        "policy": {},
    }


@pytest.mark.parametrize(("load_kg", "standing"), [(15_422.0, "tight"), (15_422.3, "over")])
def test_they_are_the_same_in_kilograms(load_kg: float, standing: str) -> None:
    """Hand: 34,000 lb of 0.45359237 kg (NIST SP 811) are 15,422.14 kg."""
    tires = {"fitment": "dual", "designation": "11R22.5", "max_load_single": 3_000, "max_load_dual": 2_725}
    document = asking(tandem_trailer({**tires, "max_pressure": 830}, 21_000, 10_000, load_kg))
    tandem = limits(checked(document))["interstate_tandem", "front + rear"]
    assert (tandem["limit"], tandem["value"], tandem["standing"]) == (15_422.1, load_kg, standing)


def test_what_they_leave_open_is_a_finding_of_the_loads_room_alone() -> None:
    document = asking(weighed())
    answer = checked(document)
    [(_, told)] = coded(answer, "interstate").items()
    assert (told["code"], told["severity"]) == ("interstate_baseline", "info")
    for words in ("Federal baseline", "Many States", "special permit", "recreational vehicles"):
        assert words in told["message"]
    assert "23 CFR 658.5 and 658.17" in told["basis"]
    assert coded(checked(document, "/v1/balance/assess"), "interstate") == {}


def two_vehicles(name: str = "car") -> dict[str, Any]:
    """Return the known coach with a car whose axles were not weighed."""
    document = asking(known())
    coach = document["rig"]["vehicles"][0]
    for load in document["loads"]:
        load["wheel_ends"] = [f"{coach['name']}.{end}" for end in load["wheel_ends"]]
    tires = {"fitment": "single", "designation": "215/70R16", "max_load_single": 1_650, "max_pressure": 44}
    axles = [
        {"name": axle, "aft": aft, "track": 62, "gawr": 2_400, "tires": tires}
        for axle, aft in (("front", 0), ("rear", 105))
    ]
    document["rig"]["vehicles"].append({"name": name, "kind": "towed_car", "gvwr": 4_200, "axles": axles})
    return document


def test_of_several_vehicles_each_is_judged_by_itself_and_that_is_said() -> None:
    """Hand: the car's axles stand 105 in apart, 8.75 ft, to 9: 500 (18 + 24 + 36) = 39,000 lb."""
    answer = checked(two_vehicles())
    found = limits(answer)
    assert found["bridge_formula", "car.front + car.rear"]["limit"] == 39_000.0
    assert found["bridge_formula", "car.front + car.rear"]["standing"] == "unknown"
    assert found["interstate_axle", "coach.tag"]["standing"] == "clear"
    assert not any("coach" in subject and "car" in subject for _, subject in found)
    assert ("interstate_each_vehicle", "Whimbrel 31") in coded(answer, "interstate")


def test_axles_of_the_longest_names_are_told_whole() -> None:
    long = "c" * 32
    document = two_vehicles(long)
    for axle, name in zip(document["rig"]["vehicles"][1]["axles"], ("f" * 32, "r" * 32), strict=True):
        axle["name"] = name
    assert ("bridge_formula", f"{long}.{'f' * 32} + {long}.{'r' * 32}") in limits(checked(document))


@pytest.mark.parametrize("asked", ["true", 1, None, []])
def test_nothing_but_true_or_false_asks_for_them(asked: Any) -> None:
    document = weighed()
    document["policy"]["interstate_limits"] = asked
    reply = posted(document, "/v1/assess")
    assert reply.status == 422
    assert [error["pointer"] for error in reply.json["errors"]] == ["/policy/interstate_limits"]


def test_a_label_that_its_tires_and_axles_contradict_is_told_in_the_callers_unit() -> None:
    """Hand: steer tires 2 x 3,970 = 7,940 of 8,100; axles 8,100 + 13,500 + 6,500 = 28,100 of 28,500 lb."""
    document = weighed()
    coach = document["rig"]["vehicles"][0]
    coach["axles"][0]["gawr"], coach["gvwr"], coach["gcwr"] = 8_100, 28_500, 34_000
    answer = checked(document)
    told = coded(answer, "label")
    assert set(told) == {("label_tires_below_axle_rating", "steer"), ("label_rating_above_axle_ratings", "coach")}
    assert {each["severity"] for each in told.values()} == {"warning"}
    below = told["label_tires_below_axle_rating", "steer"]
    assert "together rated for 7,940 lb, less than the axle's rating of 8,100 lb" in below["message"]
    assert "77-3.29" in below["basis"]
    above = told["label_rating_above_axle_ratings", "coach"]["message"]
    assert "coach is rated for 28,500 lb, more than its axles together, 28,100 lb" in above
    assert set(coded(checked(document, "/v1/inflation/recommend"), "label")) == {
        ("label_tires_below_axle_rating", "steer")
    }


def test_a_trailers_contradiction_tells_what_rests_on_its_axles() -> None:
    """Hand: 4,000 kg, at most 15 % on the ball, leave 3,400 on axles of 2 x 1,500 = 3,000 kg."""
    tires = {"fitment": "single", "designation": "ST225/75R15", "max_load_single": 1_150, "max_pressure": 450}
    [(key, told)] = coded(checked(tandem_trailer(tires, 4_000, 1_500, 2_600)), "label").items()
    assert key == ("label_trailer_rating_above_axle_ratings", "trailer")
    assert "Even with 15.0 % of it on the coupling, 3,400 kg rests on axles" in told["message"]


def test_ratings_above_all_tires_are_told_of_motor_vehicles_and_trailers() -> None:
    """Hand: tires 7,940 + 15,000 + 7,940 = 30,880 of 31,000 lb; 0.85 x 6,000 = 5,100 of 4 x 1,150 = 4,600 kg."""
    document = weighed()
    coach = document["rig"]["vehicles"][0]
    coach["gvwr"], coach["gcwr"] = 31_000, 36_000
    for axle, gawr_lb in zip(coach["axles"], (8_000, 15_100, 8_000), strict=True):
        axle["gawr"] = gawr_lb
    message = coded(checked(document), "label")["label_rating_above_tires", "coach"]["message"]
    assert "coach is rated for 31,000 lb, more than all its tires together, 30,880 lb" in message
    tires = {"fitment": "single", "designation": "ST225/75R15", "max_load_single": 1_150, "max_pressure": 450}
    told = coded(checked(tandem_trailer(tires, 6_000, 2_600, 2_600)), "label")
    message = told["label_trailer_rating_above_tires", "trailer"]["message"]
    assert "5,100 kg rests on tires that are together rated for 4,600 kg" in message


def test_the_documents_of_these_tests_have_labels_that_agree() -> None:
    assert coded(checked(weighed()), "label") == {}
    assert coded(checked(known()), "label") == {}
