"""Roll shares and stiffnesses from two weighs, asked over the wire."""

import json
from typing import Any

import pytest
from hypothesis import given, settings

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.rigs.calibrations import REQUESTS

APP = create_app(Settings())
TIRES = {"fitment": "single", "designation": "LT235/85R16", "load_range": "E", "max_load_single": 3042}
BEFORE = {"front.left": 1900, "front.right": 1940, "rear.left": 2050, "rear.right": 2150}
# By hand: 400 lb midway, 30 in to the right: 100 lb to each wheel end, and of the moment of 12,000 lb in the front
# takes 0.4 on a track of 60 in, 80 lb from left to right, the rear 0.6 on 80 in, 90 lb.
AFTER = {"front.left": 1920, "front.right": 2120, "rear.left": 2060, "rear.right": 2340}
BALLAST = {"what": "ballast", "mass": 400, "standard_uncertainty": 0, "goes_to": {"aft": 75, "right": 30}}


def loads(of: dict[str, float], u: float | None = 4) -> dict[str, Any]:
    doubt = {} if u is None else {"standard_uncertainty": u}
    return {"loads": [{"wheel_ends": [name], "load": load, **doubt} for name, load in of.items()]}


def session(of: dict[str, float]) -> dict[str, Any]:
    readings = [{"platform": name, "value": load, "wheel_ends": [name]} for name, load in of.items()]
    scale = {"division": 10, "accuracy_class": "III L"}
    return {"session": {"scale": scale, "passes": [{"name": "pads", "readings": readings}]}}


def van(**changed: Any) -> dict[str, Any]:
    """Return a van weighed before and after ballast, in US units."""
    axles = [
        {"name": name, "aft": aft, "track": track, "gawr": gawr, "tires": {**TIRES, "max_pressure": 80}}
        for name, aft, track, gawr in (("front", 0, 60, 4400), ("rear", 150, 80, 5300))
    ]
    vehicle = {"name": "van", "kind": "van", "gvwr": 9000, "axles": axles}
    body = {"units": "us", "rig": {"name": "Plover van", "vehicles": [vehicle]}}
    return {**body, "before": loads(BEFORE), "after": loads(AFTER), "moved": [BALLAST], **changed}


def calibrate(document: dict[str, Any]) -> Reply:
    return send(APP, "POST", "/v1/loads/calibrate", json.dumps(document).encode(), {"content-type": "application/json"})


def answered(document: dict[str, Any]) -> dict[str, Any]:
    reply = calibrate(document)
    assert reply.status == 200, reply.body
    answer: dict[str, Any] = reply.json
    return answer


def test_the_shares_of_the_roll_moment_are_told_with_their_doubt() -> None:
    answer = answered(van())
    assert answer["vehicle"] == "van"
    front, rear = answer["roll_shares"]
    assert (front["axle"], front["share"], rear["axle"], rear["share"]) == ("front", 0.4, "rear", 0.6)
    # By hand: u of a change 4 sqrt(2) lb, of half the difference of two 4 lb; 4 x 60 x 80 / 100 / 12,000 = 0.016.
    assert front["standard_uncertainty"] == pytest.approx(0.016, abs=2e-4)
    assert front["low"] == pytest.approx(0.4 - 2 * 0.016, abs=4e-4)
    assert front["high"] == pytest.approx(0.4 + 2 * 0.016, abs=4e-4)
    assert answer["roll_shares_unknown_because"] is None
    assert answer["agreement"]["agrees"] is True
    assert (answer["agreement"]["statistic"], answer["agreement"]["degrees_of_freedom"]) == (0.0, 3)
    assert answer["findings"] == []


def test_two_axles_need_no_stiffness() -> None:
    answer = answered(van())
    assert answer["stiffnesses"] is None
    assert answer["stiffnesses_unknown_because"].startswith("Equilibrium alone settles")


def test_the_coverage_factor_widens_the_bounds_which_end_at_nothing_and_all() -> None:
    front = answered(van(policy={"coverage_factor": 5}))["roll_shares"][0]
    assert front["high"] == pytest.approx(0.4 + 5 * 0.016, abs=1e-3)
    lean = {name: AFTER[name] for name in AFTER}
    # By hand: the front takes 0.03 of 12,000 lb in: 6 lb on 60 in; the rear 11,640 / 80 = 145.5 lb.
    lean |= {"front.left": 1994, "front.right": 2046, "rear.left": 2004.5, "rear.right": 2395.5}
    front, rear = answered(van(after=loads(lean), policy={"coverage_factor": 5}))["roll_shares"]
    assert (front["share"], front["low"], rear["high"]) == (0.03, 0.0, 1.0)


def test_what_is_told_may_be_stated_in_the_rig() -> None:
    document = van()
    told = answered(document)["roll_shares"]
    shares = [{name: each[name] for name in ("axle", "share", "standard_uncertainty")} for each in told]
    document["rig"]["vehicles"][0]["roll_shares"] = shares
    # Stated shares are not used to find them.
    assert answered(document)["roll_shares"] == told
    forecast = (
        {name: document[name] for name in ("units", "rig")} | loads(BEFORE, 0) | {"changes": {"cargo": [BALLAST]}}
    )
    reply = send(APP, "POST", "/v1/loads/forecast", json.dumps(forecast).encode(), {"content-type": "application/json"})
    assert reply.status == 200, reply.body
    assert {end["name"]: end["load"] for end in reply.json["wheel_ends"]} == AFTER


def test_sessions_tell_it_too_and_known_loads_may_stand_beside_them() -> None:
    for pair in ((session(BEFORE), session(AFTER)), (session(BEFORE), loads(AFTER))):
        answer = answered(van(before=pair[0], after=pair[1]))
        assert [each["share"] for each in answer["roll_shares"]] == pytest.approx([0.4, 0.6], abs=5e-3)
        assert any("legal-for-trade" in caution for caution in answer["cautions"])
    assert not any("legal-for-trade" in caution for caution in answered(van())["cautions"])


def test_both_weighs_count_as_independent_and_that_is_said() -> None:
    assert any(caution.startswith("Both weighs count as independent") for caution in answered(van())["cautions"])


def trailer(**changed: Any) -> dict[str, Any]:
    """Return a trailer of two axles, of which the second takes 1.5 times as much a lever and stiffness of the first."""
    document = van()
    (vehicle,) = document["rig"]["vehicles"]
    vehicle |= {"name": "trailer", "kind": "travel_trailer"}
    for axle, aft in zip(vehicle["axles"], (100, 150), strict=True):
        axle |= {"aft": aft, "track": 60}
    # By hand: axles take 120 and 270 lb: 120 / 100 against 270 / 150 is 1 to 1.5; each has half of 4,200 lb in on
    # 60 in.
    after = {"front.left": 1925, "front.right": 2035, "rear.left": 2150, "rear.right": 2320}
    bay = {"mass": 350, "standard_uncertainty": 0, "goes_to": {"aft": 150, "right": 12}}
    return {**document, "after": loads(after, 2), "before": loads(BEFORE, 2), "moved": [bay], **changed}


def test_a_trailers_stiffnesses_are_told_against_the_first() -> None:
    answer = answered(trailer())
    front, rear = answer["stiffnesses"]
    assert (front["stiffness"], front["standard_uncertainty"]) == (1.0, 0.0)
    assert rear["stiffness"] == pytest.approx(1.5, abs=1e-4)
    # By hand: u of an axle's change is 2 sqrt(2) sqrt(2) = 4 lb: hypot(4 / 120, 4 / 270) = 3.65 % of 1.5 at most.
    assert 0.03 < rear["standard_uncertainty"] < 0.0365 * 1.5 + 1e-4
    assert rear["low"] == pytest.approx(1.5 - 2 * rear["standard_uncertainty"], abs=2e-4)
    assert [each["share"] for each in answer["roll_shares"]] == pytest.approx([0.5, 0.5], abs=1e-4)


def test_of_several_vehicles_the_one_named_is_calibrated_by_its_own_names() -> None:
    document = van(vehicle="van")
    car = {**document["rig"]["vehicles"][0], "name": "car"}
    document["rig"]["vehicles"].append(car)
    document["before"] = loads({f"van.{name}": load for name, load in BEFORE.items()})
    document["after"] = loads({f"van.{name}": load for name, load in AFTER.items()})
    document["moved"] = [{**BALLAST, "goes_to": {"vehicle": "van", "aft": 75, "right": 30}}]
    assert [(each["axle"], each["share"]) for each in answered(document)["roll_shares"]] == [
        ("front", 0.4),
        ("rear", 0.6),
    ]
    del document["vehicle"]
    errors = calibrate(document).json["errors"]
    assert [(error["code"], error["pointer"]) for error in errors] == [("inconsistent_reference", "/vehicle")]


UNTOLD: dict[str, tuple[dict[str, Any], str]] = {
    "on the centre line": ({"moved": [{**BALLAST, "goes_to": {"aft": 75, "right": 0}}]}, "no moment"),
    "too little": ({"before": loads(BEFORE, 60), "after": loads(AFTER, 60)}, "too small against the doubts"),
    "doubt unstated": ({"before": loads(BEFORE, None)}, "Nobody stated"),
    "a wheel end not weighed": ({"after": loads({n: AFTER[n] for n in [*AFTER][:3]})}, "Every wheel end"),
    "contradiction": ({"moved": [{**BALLAST, "mass": 200}]}, "contradict"),
}


@pytest.mark.parametrize("case", UNTOLD)
def test_what_is_not_shown_is_not_told_and_why_is(case: str) -> None:
    changed, because = UNTOLD[case]
    if case == "on the centre line":
        middle = {name: BEFORE[name] + 100 for name in BEFORE}
        changed = {**changed, "after": loads(middle)}
    answer = answered(van(**changed))
    assert answer["roll_shares"] is None
    assert because in answer["roll_shares_unknown_because"]
    code = "calibration_disagrees" if case == "contradiction" else "calibration_not_determined"
    assert [(each["code"], each["subject"]) for each in answer["findings"]] == [(code, "van")]


def test_a_contradiction_is_told_with_its_chance() -> None:
    answer = answered(van(moved=[{**BALLAST, "mass": 300}]))
    agreement = answer["agreement"]
    assert agreement["agrees"] is False
    assert agreement["probability"] < 0.05
    # By hand: 100 lb too many over a sum of four changes of 4 sqrt(2) lb each: (100 / 11.31)^2 = 78.1, and the moment's
    # 3,000 lb in over hypot(400 lb x 1 in of place x 0.75, 4 x 100) = 500: 36. Together 114.1.
    assert agreement["statistic"] == pytest.approx(114.1, abs=0.5)
    assert "chance of" in agreement["words"]


def failed(value: int) -> dict[str, Any]:
    """Return a session whose whole axle does not agree with its sides."""
    weigh = session(BEFORE)
    reading = {"platform": "whole", "value": value, "wheel_ends": ["front.left", "front.right"]}
    weigh["session"]["passes"].append({"name": "axle", "readings": [reading]})
    return weigh


def test_a_weigh_that_failed_its_cross_check_tells_nothing() -> None:
    answer = answered(van(before=failed(4600)))
    assert "failed their cross-check" in answer["roll_shares_unknown_because"]
    assert answered(van(before=failed(3840)))["roll_shares"] is not None


BAD: dict[str, tuple[dict[str, Any], list[tuple[str, str]]]] = {
    "no evidence": ({"before": {}}, [("inconsistent_choice", "/before")]),
    "evidence twice": ({"after": {**loads(AFTER), **session(AFTER)}}, [("inconsistent_choice", "/after")]),
    "no such wheel": (
        {"after": loads({"middle.left": 900})},
        [("inconsistent_reference", "/after/loads/0/wheel_ends/0")],
    ),
    "no such wheel on a ticket": (
        {"before": session({"middle.left": 900})},
        [("inconsistent_reference", "/before/session/passes/0/readings/0/wheel_ends/0")],
    ),
    "both": (
        {"before": loads({"axle.left": 900}), "after": session({"axle.left": 900})},
        [
            ("inconsistent_reference", "/before/loads/0/wheel_ends/0"),
            ("inconsistent_reference", "/after/session/passes/0/readings/0/wheel_ends/0"),
        ],
    ),
    "no such place": (
        {"moved": [BALLAST, {"mass": 9, "goes_to": "attic"}]},
        [("inconsistent_reference", "/moved/1/goes_to")],
    ),
    "neither comes nor leaves": ({"moved": [{"mass": 9}]}, [("inconsistent_choice", "/moved/0")]),
    "no such vehicle": ({"vehicle": "car"}, [("inconsistent_reference", "/vehicle")]),
    "policy": (
        {"policy": {"least_tongue_share": 0.2}},
        [("inconsistent_order", "/policy/least_tongue_share")],
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_a_contradiction_is_refused_at_its_place(case: str) -> None:
    changed, expected = BAD[case]
    reply = calibrate(van(**changed))
    assert (reply.status, reply.problem_type) == (422, "inconsistent")
    assert [(error["code"], error["pointer"]) for error in reply.json["errors"]] == expected


def test_loads_that_follow_from_each_other_are_refused_at_their_weigh() -> None:
    document = van()
    whole = {"wheel_ends": ["front.left", "front.right"], "load": 4040, "standard_uncertainty": 1}
    document["after"]["loads"].append(whole)
    errors = calibrate(document).json["errors"]
    assert [(error["code"], error["pointer"]) for error in errors] == [("inconsistent_loads_overlap", "/after/loads")]


def test_what_is_not_computed_yet_is_refused_once_and_by_its_place() -> None:
    document = van(before=session(BEFORE))
    document["before"]["session"]["passes"][0]["state"] = "hitched"
    document["rig"]["couplings"] = [{"tow": "van", "towed": "van", "kind": "ball"}]
    errors = calibrate(document).json["errors"]
    told = sorted(error["pointer"] for error in errors if error["code"] == "not_yet_computed")
    assert told == ["/before/session/passes/0/state", "/rig/couplings"]


def test_nothing_moved_is_refused() -> None:
    errors = calibrate(van(moved=[])).json["errors"]
    assert [(error["code"], error["pointer"]) for error in errors] == [("too_few", "/moved")]


@settings(max_examples=40, deadline=None)
@given(REQUESTS)
def test_every_consistent_question_is_answered_whole(document: dict[str, Any]) -> None:
    answer = answered(document)
    assert (answer["roll_shares"] is None) == (answer["roll_shares_unknown_because"] is not None)
    assert (answer["stiffnesses"] is None) == (answer["stiffnesses_unknown_because"] is not None)
    if answer["roll_shares"] is not None:
        assert sum(each["share"] for each in answer["roll_shares"]) == pytest.approx(1.0, abs=1e-3)
        assert all(each["low"] <= each["share"] <= each["high"] for each in answer["roll_shares"])
