"""What is kept of each kind: as it was sent, and refused where it contradicts itself or what is kept."""

import json
from typing import Any

import pytest

from tests.fleet.yard import (
    COUPLINGS,
    MADE_OF,
    MISSING_ID,
    Fleet,
    another,
    as_written,
    coach,
    kept_coach,
    must_be_refused,
    named_policy,
    pickup_and_camper,
    rig,
    stocked,
)


@pytest.mark.parametrize("kind", [kind for kind in MADE_OF if kind != "assessments"])
def test_a_document_is_answered_to_the_byte_as_it_was_sent(fleet: Fleet, kind: str) -> None:
    ids = stocked(fleet)
    sent = as_written(another(kind, ids))
    made = fleet.send("POST", kind, sent)
    assert made.status == 201, made.body
    got = fleet.get(made.headers["location"])
    listed = [
        json.dumps(each["document"]) for each in fleet.get(kind, limit=100).json.get("items", []) if "document" in each
    ]
    assert b'"document":' + sent in made.body
    assert b'"document":' + sent in got.body
    assert kind == "rigs" or json.dumps(json.loads(sent)) in listed
    if b"e+0" in sent:
        assert json.loads(sent) == json.loads(json.dumps(another(kind, ids)))


# Vehicles.


def test_a_vehicle_that_contradicts_itself_is_refused_where_it_stands(fleet: Fleet) -> None:
    wrong = coach(labels=["north", "south", "north"])
    wrong["vehicle"]["axles"][1]["name"] = "steer"
    wrong["vehicle"]["label_pressures"][0]["axle"] = "tag"
    faults = fleet.post("vehicles", wrong)
    assert (faults.status, faults.problem_type) == (422, "inconsistent")
    pointers = [fault["pointer"] for fault in faults.json["errors"]]
    assert "/labels/2" in pointers
    assert "/vehicle/axles/1/name" in pointers
    assert "/vehicle/label_pressures/0/axle" in pointers
    assert fleet.ids("vehicles") == []


def test_a_vehicle_told_in_a_unit_that_was_not_named_is_refused(fleet: Fleet) -> None:
    wrong = {**coach(), "units": {"mass": "lb", "pressure": "psi"}}
    reply = fleet.post("vehicles", wrong)
    assert (reply.status, reply.problem_type) == (422, "inconsistent")
    assert all(fault["pointer"].startswith("/units") for fault in reply.json["errors"]), reply.body


def test_a_vehicle_told_in_the_wrong_unit_is_refused(fleet: Fleet) -> None:
    wrong = coach()
    wrong["vehicle"]["gvwr"] = 300_000
    must_be_refused(fleet.post("vehicles", wrong), 422, "/vehicle/gvwr")


def test_an_asset_number_is_one_vehicle_s(fleet: Fleet) -> None:
    first = fleet.made("vehicles", coach("A-1"))["id"]
    second = fleet.made("vehicles", coach("A-2"))["id"]
    must_be_refused(fleet.post("vehicles", coach("A-1")), 409, "/asset_number")
    must_be_refused(fleet.put(f"vehicles/{second}", coach("A-1"), "*"), 409, "/asset_number")
    assert fleet.put(f"vehicles/{first}", coach("A-1"), "*").status == 200
    assert fleet.put(f"vehicles/{first}", coach("A-3"), "*").status == 200
    assert fleet.put(f"vehicles/{second}", coach("A-1"), "*").status == 200
    assert (fleet.ids("vehicles", asset_number="A-1"), fleet.ids("vehicles", asset_number="A-2")) == ([second], [])
    assert [fleet.made("vehicles", coach())["document"]["asset_number"] for _ in range(2)] == [None, None]


# Rigs.


def test_a_rig_s_vehicles_policy_and_tables_must_be_there(fleet: Fleet) -> None:
    ids = stocked(fleet)
    vehicle = ids["vehicles"]
    for pointer, wrong in (
        ("/vehicles/0", rig([MISSING_ID])),
        ("/vehicles/1", rig([vehicle, ids["policies"]])),
        ("/policy_id", rig([vehicle], policy_id=ids["inflation_tables"])),
        ("/inflation_table_ids/1", rig([vehicle], inflation_table_ids=[ids["inflation_tables"], MISSING_ID])),
    ):
        must_be_refused(fleet.post("rigs", wrong), 409, pointer)
        must_be_refused(fleet.put(f"rigs/{ids['rigs']}", wrong, "*"), 409, pointer)
    assert fleet.ids("rigs") == [ids["rigs"]]
    assert fleet.get(f"rigs/{ids['rigs']}").json["revision"] == 1


def test_a_rig_whose_vehicles_do_not_go_together_is_refused(fleet: Fleet) -> None:
    pickup_id, camper_id = (fleet.made("vehicles", document)["id"] for document in pickup_and_camper())
    namesake = fleet.made("vehicles", pickup_and_camper()[0])["id"]
    both = [pickup_id, camper_id]
    for pointers, wrong in (
        (("/vehicles/1",), rig([pickup_id, namesake])),
        (("/vehicles/1", "/vehicles/1"), rig([pickup_id, pickup_id])),
        (("/couplings/0/towed",), rig(both, couplings=[{**COUPLINGS[0], "towed": "boat"}])),
        (("/couplings/0/tow",), rig([camper_id], couplings=COUPLINGS)),
        (("/last_day",), rig(both, last_day="2025-12-31")),
        (("/last_day", "/vehicles/1"), rig([pickup_id, namesake], last_day="2025-12-31")),
    ):
        must_be_refused(fleet.post("rigs", wrong), 422, *pointers)
    assert fleet.ids("rigs") == []
    fleet.made("rigs", rig(both, couplings=COUPLINGS, last_day="2026-01-01"))


def test_a_rig_s_vehicles_keep_their_order_and_may_change(fleet: Fleet) -> None:
    pickup_id, camper_id = (fleet.made("vehicles", document)["id"] for document in pickup_and_camper())
    rig_id = fleet.made("rigs", rig([camper_id, pickup_id]))["id"]
    assert [each["id"] for each in fleet.get(f"rigs/{rig_id}/page").json["vehicles"]] == [camper_id, pickup_id]
    assert fleet.put(f"rigs/{rig_id}", rig([pickup_id]), "*").status == 200
    assert [each["id"] for each in fleet.get(f"rigs/{rig_id}/page").json["vehicles"]] == [pickup_id]


# Tires.


def test_a_tire_is_where_its_vehicle_has_one(fleet: Fleet) -> None:
    vehicle_id, _ = kept_coach(fleet)
    tire = {"vehicle_id": vehicle_id, "fitted_on": "2026-02-03"}
    for position in ("drive.left", "steer.left.inner", "tag.left"):
        [fault] = must_be_refused(fleet.post("tires", {**tire, "position": position}), 409, "/position")
        assert "drive.left.inner" in fault["allowed"]
    must_be_refused(
        fleet.post("tires", {**tire, "position": "steer.left", "vehicle_id": MISSING_ID}), 409, "/vehicle_id"
    )
    wrong_days = {**tire, "position": "steer.left", "taken_off_on": "2026-02-02"}
    must_be_refused(fleet.post("tires", wrong_days), 422, "/taken_off_on")
    assert fleet.ids("tires") == []


def test_two_tires_are_not_in_one_place_at_once(fleet: Fleet) -> None:
    vehicle_id, _ = kept_coach(fleet)

    def tire(fitted_on: str, taken_off_on: str | None = None, **more: Any) -> dict[str, Any]:
        days = {"fitted_on": fitted_on, "taken_off_on": taken_off_on}
        return {"vehicle_id": vehicle_id, "position": "drive.left.inner", **days, **more}

    second = fleet.made("tires", tire("2026-02-01", "2026-03-01"))["id"]
    for overlapping in (tire("2026-02-10"), tire("2026-01-01"), tire("2026-01-01", "2026-02-02"), tire("2026-02-01")):
        must_be_refused(fleet.post("tires", overlapping), 409, "/fitted_on")
    fleet.made("tires", tire("2026-01-01", "2026-02-01"))
    third = fleet.made("tires", tire("2026-03-01"))["id"]
    fleet.made("tires", tire("2026-02-10", position="drive.left.outer"))
    must_be_refused(fleet.put(f"tires/{second}", tire("2026-02-01", "2026-03-02"), "*"), 409, "/fitted_on")
    assert fleet.put(f"tires/{third}", tire("2026-03-01", archived=True), "*").status == 200
    assert fleet.put(f"tires/{second}", tire("2026-02-01"), "*").status == 200


# Records of a vehicle.


def test_a_record_is_of_what_its_vehicle_has(fleet: Fleet) -> None:
    ids = stocked(fleet)
    check, event = MADE_OF["pressure_checks"](ids), MADE_OF["upkeep_events"](ids)
    twice = {**check, "tires": [*check["tires"], {"position": "drive.left.outer", "pressure": 90}, *check["tires"]]}
    must_be_refused(fleet.post("pressure_checks", twice), 422, "/tires/2/position")
    elsewhere = {**check, "tires": [*check["tires"], {"position": "tag.left", "pressure": 90}]}
    must_be_refused(fleet.post("pressure_checks", elsewhere), 409, "/tires/1/position")
    must_be_refused(fleet.post("upkeep_events", {**event, "subject": "steer.left.inner"}), 409, "/subject")
    for subject in ("vehicle", "drive", "drive.left", "drive.left.outer", "steer.right"):
        fleet.made("upkeep_events", {**event, "subject": subject})
    beyond = {**check, "tires": [{"position": "steer.left", "pressure": 900}]}
    must_be_refused(fleet.post("pressure_checks", beyond), 422, "/tires/0/pressure")


def test_tables_and_policies_that_contradict_themselves_are_refused_where_they_stand(fleet: Fleet) -> None:
    table = MADE_OF["inflation_tables"]({})
    table["table"]["rows"].reverse()
    must_be_refused(fleet.post("inflation_tables", table), 422, "/table/rows/1", "/table/rows/2")
    policy = {**named_policy("odd"), "policy": {"least_tongue_share": 0.2, "most_tongue_share": 0.1}}
    reply = fleet.post("policies", policy)
    assert (reply.status, reply.problem_type) == (422, "inconsistent")
    assert all(fault["pointer"].startswith("/policy/") for fault in reply.json["errors"])


@pytest.mark.parametrize(
    ("number", "fitted_on", "status"),
    [
        ("3526", "2026-01-21", 422),
        ("4T8X 0426", "2026-01-18", 422),  # by ISO 8601 the week begins on Monday 19 January
        ("4T8X 0426", "2026-01-19", 201),
        ("4T8X", "2026-01-21", 201),
    ],
)
def test_a_tire_was_made_before_it_was_fitted(fleet: Fleet, number: str, fitted_on: str, status: int) -> None:
    vehicle_id, _ = kept_coach(fleet)
    tire = {"vehicle_id": vehicle_id, "position": "steer.left", "identification_number": number}
    reply = fleet.post("tires", {**tire, "fitted_on": fitted_on})
    assert reply.status == status, reply.body
    if status == 422:
        (fault,) = must_be_refused(reply, 422, "/identification_number")
        assert fault["code"] == "inconsistent_identification"
        assert fitted_on in fault["message"]
