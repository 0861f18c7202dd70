"""Changes between the passes of a coupled rig, and what is refused of one, over the wire; figures by hand."""

from typing import Any

import pytest

from tests.api.test_coupled_weigh import FRONT, REAR, answered, axle, loads, one_pass, post, refused, rig, triple


def test_the_driver_outside_is_put_back() -> None:
    """Hand: 160 lb at 40 of 160 in: 120 lb on the front axle, 40 lb on the rear."""
    document = triple()
    outside = one_pass("solo", A=(3280, FRONT), B=(3160, REAR))
    document["session"]["passes"][0] = {
        **outside,
        "changes": [{"mass": -160, "place": "driver_seat", "why": "driver at the call button"}],
    }
    answer = answered(document)
    solo = next(each for each in answer["coupling"]["states"] if each["state"] == "solo")
    assert loads(solo["axles"]) == {"van.front": 3400.0, "van.rear": 3200.0, "camper.axle": 5800.0}
    assert answer["coupling"]["coupling_load"]["value"] == 800.0
    # The fit is that of the reading as printed, the driver outside.
    assert [each["fitted"] for each in answer["reconciliation"]["readings"][:2]] == [3280.0, 3160.0]


def test_a_point_of_a_vehicle_is_as_good_as_a_place() -> None:
    named, pointed = triple(), triple()
    for document, where in ((named, {"place": "driver_seat"}), (pointed, {"vehicle": "van", "aft": 40, "right": -20})):
        document["session"]["passes"][0]["changes"] = [{"mass": -20, **where}]
    assert answered(pointed)["coupling"] == answered(named)["coupling"]


def test_one_thing_told_alike_in_two_passes_has_one_error() -> None:
    """Hand, lb: the van whole, solo 6,440 and hitched 7,240: own 266.667; spans (0.002 x 800)^2/3 = 0.853; rests
    15.3006 and 13.7960, common too: 0.755; together 268.275, u 16.4. Two things, each 8 lb of mass, add 128: u 19.9.
    """
    told = []
    for other in ("driver", "passenger"):
        document = triple("solo", "hitched")
        whole = [*FRONT, *REAR]
        document["session"]["passes"] = [
            {
                "name": state,
                "state": state,
                "changes": [{"mass": -160, "place": "driver_seat", "why": why}],
                "readings": [{"platform": "A", "value": value, "wheel_ends": whole}],
            }
            for state, value, why in (("solo", 6440, "driver"), ("hitched", 7240, other))
        ]
        tongue = answered(document)["coupling"]["coupling_load"]
        told.append((tongue["value"], tongue["standard_uncertainty"]))
    assert told == [(800.0, 16.4), (800.0, 19.9)]


def test_two_people_of_one_weight_at_two_places_have_errors_of_their_own() -> None:
    """Hand, as above: the driver stands outside solo, somebody else of 160 lb hitched; nobody said why: u 19.9 lb."""
    document = triple("solo", "hitched")
    document["rig"]["vehicles"][0]["places"].append({"name": "passenger_seat", "aft": 40, "right": 20})
    whole = [*FRONT, *REAR]
    document["session"]["passes"] = [
        {
            "name": state,
            "state": state,
            "changes": [{"mass": -160, "place": place}],
            "readings": [{"platform": "A", "value": value, "wheel_ends": whole}],
        }
        for state, value, place in (("solo", 6440, "driver_seat"), ("hitched", 7240, "passenger_seat"))
    ]
    tongue = answered(document)["coupling"]["coupling_load"]
    assert (tongue["value"], tongue["standard_uncertainty"]) == (800.0, 19.9)


# What is refused.


@pytest.mark.parametrize("path", ["/v1/assess", "/v1/sessions/reconcile"])
def test_a_hitched_pass_needs_to_know_what_tows_what(path: str) -> None:
    document = triple()
    document["rig"]["couplings"] = []
    assert refused(document, path) == [("inconsistent_reference", "/session/passes/1/state")]


@pytest.mark.parametrize(
    ("kind", "towed"), [("fifth_wheel", "fifth_wheel"), ("towbar", "towed_car"), ("dolly", "towed_car")]
)
def test_levelling_bars_go_with_a_ball(kind: str, towed: str) -> None:
    document = triple()
    document["rig"] = rig(kind, towed)
    if towed == "towed_car":
        document["rig"]["vehicles"][1]["axles"] = [axle("axle", 0, 3000), axle("other", 90, 3000)]
    assert refused(document) == [("inconsistent_choice", "/session/passes/2/state")]


def changed(**change: Any) -> dict[str, Any]:
    document = triple()
    document["session"]["passes"][0]["changes"] = [{"mass": -160, **change}]
    return document


@pytest.mark.parametrize(
    ("change", "code", "pointer"),
    [
        ({}, "inconsistent_choice", ""),
        ({"aft": 40}, "inconsistent_choice", ""),
        ({"place": "driver_seat", "aft": 40, "right": 0}, "inconsistent_choice", ""),
        ({"place": "driver_seat", "vehicle": "van"}, "inconsistent_choice", ""),
        ({"aft": 40, "right": -20}, "inconsistent_reference", "/vehicle"),
    ],
)
def test_where_a_change_was_is_told_once(change: dict[str, Any], code: str, pointer: str) -> None:
    assert refused(changed(**change)) == [(code, f"/session/passes/0/changes/0{pointer}")]


@pytest.mark.parametrize(
    ("change", "pointer"), [({"place": "attic"}, "/place"), ({"vehicle": "boat", "aft": 4, "right": 0}, "/vehicle")]
)
def test_a_change_at_an_unknown_place_is_refused_with_what_there_is(change: dict[str, Any], pointer: str) -> None:
    reply = post("/v1/assess", changed(**change))
    assert reply.status == 422
    assert reply.problem_type
    (error,) = reply.json["errors"]
    assert error["pointer"] == f"/session/passes/0/changes/0{pointer}"
    assert ("driver_seat" if "place" in change else "van") in error["allowed"]
    assert ("attic" if "place" in change else "boat") in error["given"]


def test_a_change_of_nothing_is_refused() -> None:
    assert refused(changed(mass=0, place="driver_seat")) == [
        ("inconsistent_magnitude", "/session/passes/0/changes/0/mass")
    ]


def test_levelled_passes_need_a_unit_of_torque() -> None:
    document = triple()
    document["units"] = {"mass": "lb", "length": "in", "pressure": "psi"}
    assert refused(document) == [("inconsistent_units", "/units/torque")]
    document["units"]["torque"] = "N_m"
    # Hand: 2,666.67 lbf ft x 1.35582.
    assert answered(document)["coupling"]["bars_moment"]["value"] == 3615.5
    document["session"]["passes"].pop()
    del document["units"]["torque"]
    assert answered(document)["coupling"]["bars_moment"] is None


def test_predictions_of_hitched_passes_are_not_computed_yet() -> None:
    document = triple()
    document["changes"] = {"people": [{"mass": 10, "goes_to": "driver_seat"}]}
    reply = post("/v1/loads/forecast", document)
    assert reply.problem_type == "not-yet-computed"
    assert [(each["code"], each["pointer"]) for each in reply.json["errors"]] == [
        ("not_yet_computed", "/session/passes/1/state")
    ]


def test_no_edge_of_a_coupled_rig_is_a_crash() -> None:
    """Trailers on no behind, hitches anywhere, readings of nothing much: refused or answered, never 5xx."""
    for aft in (0, 1, 160, 600):
        for behind in (0, 1, 400):
            document = triple()
            document["rig"]["vehicles"][0]["hitch"]["aft"] = aft
            document["rig"]["vehicles"][1]["axles"][0]["aft"] = behind
            assert post("/v1/assess", document).status in (200, 422), (aft, behind)
