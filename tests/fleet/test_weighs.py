"""Weighs: kept with what was weighed as it was then, and assessed as the service would without a store."""

from typing import Any

import pytest

from tests.api.probe import Reply
from tests.fleet.yard import (
    COUPLINGS,
    MADE_OF,
    MISSING_ID,
    Fleet,
    as_written,
    coach,
    coupled,
    document_of,
    kept_coach,
    must_be_refused,
    named_policy,
    pickup_and_camper,
    rig,
    stocked,
    van,
    weigh,
)

METRIC = {"mass": "kg", "pressure": "kPa", "length": "mm", "temperature": "degC", "volume": "L", "altitude": "m"}


def stored_counts(fleet: Fleet, rig_id: str) -> tuple[int, int, int, int]:
    return (
        len(fleet.ids("sessions", limit=100)),
        len(fleet.ids("assessments", limit=100)),
        len(fleet.ids("changes", limit=100)),
        len(fleet.get(f"rigs/{rig_id}/history", units="us").json["entries"]),
    )


def test_contradictory_tickets_are_refused_where_they_stand_and_store_nothing(fleet: Fleet) -> None:
    _, rig_id = kept_coach(fleet)
    before = stored_counts(fleet, rig_id)
    unknown, without_day, too_heavy, twice = (weigh(rig_id) for _ in range(4))
    unknown["session"]["passes"][0]["readings"][1]["wheel_ends"] = ["drive.right", "tag.right"]
    del without_day["session"]["weighed_on"]
    too_heavy["session"]["passes"][1]["readings"][0]["value"] = 400_000
    twice["session"]["passes"][2]["readings"][1]["wheel_ends"] = ["drive.left", "drive.left"]
    for pointer, wrong in (
        ("/session/passes/0/readings/1/wheel_ends/1", unknown),
        ("/session/weighed_on", without_day),
        ("/session/passes/1/readings/0/value", too_heavy),
        ("/session/passes/2/readings/1/wheel_ends/1", twice),
    ):
        reply = fleet.post("sessions", wrong, idempotency_key="wrong")
        assert (reply.status, reply.problem_type) == (422, "inconsistent"), reply.body
        assert pointer in [fault["pointer"] for fault in reply.json["errors"]], reply.body
    assert stored_counts(fleet, rig_id) == before


def test_a_weigh_is_of_a_rig_that_was_one_on_that_day(fleet: Fleet) -> None:
    vehicle_id, _ = kept_coach(fleet)
    rig_id = fleet.made("rigs", rig([vehicle_id], first_day="2026-05-10", last_day="2026-05-20"))["id"]
    must_be_refused(fleet.post("sessions", weigh(MISSING_ID)), 409, "/rig_id")
    for day in ("2026-05-09", "2026-05-21", "2020-01-01"):
        [fault] = must_be_refused(fleet.post("sessions", weigh(rig_id, day)), 409, "/session/weighed_on")
        assert (fault["given"], fault["allowed"]) == (f'"{day}"', "2026-05-10 to 2026-05-20")
    for day in ("2026-05-10", "2026-05-20"):
        assert fleet.made("sessions", weigh(rig_id, day))["document"]["session"]["weighed_on"] == day


def test_what_is_wrong_in_a_kept_document_is_told_at_the_name_it_was_taken_by(fleet: Fleet) -> None:
    pickup_id, camper_id = (fleet.made("vehicles", document)["id"] for document in pickup_and_camper())
    couplings = [{**COUPLINGS[0], "kind": "fifth_wheel"}]
    rig_id = fleet.made("rigs", rig([pickup_id, camper_id], couplings=couplings))["id"]
    fault, _ = must_be_refused(fleet.post("sessions", coupled(rig_id)), 422, "/rig_id", "/session/passes/0/state")
    assert "/rig/couplings/0/kind" in fault["message"]
    assert fleet.ids("sessions") == []


def assess_body(fleet: Fleet, ids: dict[str, str], **more: Any) -> dict[str, Any]:
    """Return the question to the stateless operation that a weigh of the stocked coach is."""
    told = document_of("full")
    return {
        "units": told["units"],
        "rig": {"name": "Tern 7", "vehicles": [coach()["vehicle"]]},
        "session": weigh("")["session"],
        "policy": MADE_OF["policies"](ids)["policy"],
        "tire_tables": told["tire_tables"],
        **more,
    }


def result_of(assessment: Reply) -> bytes:
    """Return the bytes of the whole answer in an assessment, of which it is the last member."""
    return assessment.body.partition(b',"result":')[2].removesuffix(b"}")


def first_assessment(fleet: Fleet, session_id: str) -> Reply:
    return fleet.get(f"assessments/{fleet.ids('assessments', session_id=session_id)[0]}")


def test_a_weigh_is_assessed_as_the_stateless_service_would_by_policy_and_tables_of_the_rig(fleet: Fleet) -> None:
    ids = stocked(fleet)
    whole = fleet.post("/v1/assess", assess_body(fleet, ids))
    assert whole.status == 200
    assert result_of(first_assessment(fleet, ids["sessions"])) == whole.body
    assert whole.json["policy"]["reserve_share"] == 0.1
    bare = fleet.post("/v1/assess", assess_body(fleet, ids, policy={}, tire_tables=[]))
    assert bare.json["inflation"] != whole.json["inflation"]
    without = fleet.made("rigs", rig([ids["vehicles"]]))["id"]
    of_bare = fleet.made("sessions", weigh(without))["id"]
    assert result_of(first_assessment(fleet, of_bare)) == bare.body


def test_a_coupled_rig_is_assessed_as_the_stateless_service_would(fleet: Fleet) -> None:
    told = document_of("coupled")
    pickup_id, camper_id = (fleet.made("vehicles", document)["id"] for document in pickup_and_camper())
    rig_id = fleet.made("rigs", rig([pickup_id, camper_id], couplings=COUPLINGS, name=told["rig"]["name"]))["id"]
    session_id = fleet.made("sessions", coupled(rig_id))["id"]
    told["session"]["weighed_on"] = "2026-05-14"
    assert result_of(first_assessment(fleet, session_id)) == fleet.post("/v1/assess", told).body


def test_an_assessment_may_be_ordered_by_another_policy_under_other_conditions_in_other_units(fleet: Fleet) -> None:
    ids = stocked(fleet)
    conditions = {
        "fill": {"tire_temperature": 30, "altitude": 200},
        "coldest": {"ambient_temperature": -5, "altitude": 1500},
    }
    saved = {"units": METRIC, "name": "winter", "policy": {"reserve_pressure": 20}, "conditions": conditions}
    winter = fleet.made("policies", saved)["id"]
    order = {"session_id": ids["sessions"], "units": "us", "policy_id": winter}
    by_policy = fleet.post("assessments", order)
    assert by_policy.status == 201
    drive = by_policy.json["result"]["inflation"][1]
    assert drive["set_now"] is not None
    assert by_policy.json["result"]["policy"]["reserve_pressure"] == pytest.approx(20 / 6.894757, abs=0.01)
    own = fleet.post("assessments", {**order, "units": METRIC, "conditions": conditions})
    assert own.json["result"]["inflation"][1]["set_now"] == pytest.approx(drive["set_now"] * 6.894757, abs=10.0)
    plain = fleet.post("assessments", {"session_id": ids["sessions"], "units": "us"})
    assert plain.json["result"]["inflation"][1]["set_now"] is None
    must_be_refused(fleet.post("assessments", {**order, "policy_id": MISSING_ID}), 409, "/policy_id")
    must_be_refused(fleet.post("assessments", {**order, "session_id": ids["rigs"]}), 409, "/session_id")


def test_a_weigh_keeps_the_rig_as_it_was_and_is_assessed_as_it_was(fleet: Fleet) -> None:
    ids = stocked(fleet)
    session = fleet.get(f"sessions/{ids['sessions']}")
    order = {"session_id": ids["sessions"], "units": "us"}
    before = fleet.post("assessments", order)
    lighter = coach()
    lighter["vehicle"]["axles"][0]["gawr"] = 6000
    lighter["vehicle"]["name"] = "bus"
    assert fleet.put(f"vehicles/{ids['vehicles']}", lighter, "*").status == 200
    other_coach = fleet.made("vehicles", coach())["id"]
    must_be_refused(fleet.put(f"rigs/{ids['rigs']}", rig([other_coach]), "*"), 409, "/vehicles")
    assert fleet.put(f"rigs/{ids['rigs']}", rig([ids["vehicles"]], name="changed"), "*").status == 200
    assert fleet.get(f"sessions/{ids['sessions']}").body == session.body
    snapshot = session.json["snapshot"]
    assert (snapshot["rig"], snapshot["vehicles"]) == (MADE_OF["rigs"](ids), [MADE_OF["vehicles"](ids)])
    after = fleet.post("assessments", order)
    assert after.status == 201, after.body
    assert result_of(after) == result_of(before)
    assert after.json["input"] == before.json["input"]


def test_a_policy_that_changes_leaves_what_was_assessed_by_it(fleet: Fleet) -> None:
    ids = stocked(fleet)
    old = first_assessment(fleet, ids["sessions"])
    policy = MADE_OF["policies"](ids)
    assert fleet.put(f"policies/{ids['policies']}", {**policy, "policy": {"tight_share": 0.5}}, "*").status == 200
    assert first_assessment(fleet, ids["sessions"]).body == old.body
    anew = fleet.made("assessments", {"session_id": ids["sessions"], "units": "us"})
    assert (old.json["input"]["policy"]["policy"], anew["input"]["policy"]["policy"]) == (
        {"reserve_share": 0.1},
        {"tight_share": 0.5},
    )


def in_pounds(vehicle: dict[str, Any]) -> dict[str, Any]:
    """Return the van told in pounds, psi and inches in the units of the metric example, to the last digit."""
    factors = {"gvwr": 0.45359237, "gawr": 0.45359237, "max_load_single": 0.45359237, "max_load_dual": 0.45359237}
    factors |= {"max_pressure": 6.894757293168361, "pressure": 6.894757293168361, "track": 25.4, "aft": 25.4}

    def told(value: Any, name: str = "") -> Any:
        if isinstance(value, dict):
            return {key: told(each, key) for key, each in value.items()}
        if isinstance(value, list):
            return [told(each) for each in value]
        return value / factors[name] if name in factors else value

    changed: dict[str, Any] = told(vehicle)
    return changed


def test_a_vehicle_told_in_other_units_than_its_tickets_stands_the_same(fleet: Fleet) -> None:
    metric, pounds = van(), {"units": "us", "vehicle": in_pounds(van()["vehicle"])}
    tickets = {"kg": document_of("van_axles_only")["session"], "lb": document_of("van_axles_only")["session"]}
    tickets["lb"]["scale"]["division"] /= 0.45359237
    for reading in tickets["lb"]["passes"][0]["readings"]:
        reading["value"] /= 0.45359237
    told = []
    for vehicle in (metric, pounds):
        rig_id = fleet.made("rigs", rig([fleet.made("vehicles", vehicle)["id"]]))["id"]
        for name, units in (("kg", van()["units"]), ("lb", "us")):
            session = {**tickets[name], "weighed_on": "2026-05-14"}
            made = fleet.made("sessions", {"units": units, "rig_id": rig_id, "session": session})
            told.append(first_assessment(fleet, made["id"]).json["result"])
    loads = [
        [axle["load"] * (1 if result["units"]["mass"] == "kg" else 0.45359237) for axle in result["axles"]]
        for result in told
    ]
    for other_loads in loads:
        assert other_loads == pytest.approx([1690, 1980], abs=0.06)
    standings = [
        [(limit["subject"], limit["kind"], limit["standing"]) for limit in result["limits"]] for result in told
    ]
    assert all(each == standings[0] for each in standings)
    assert [result["units"]["mass"] for result in told] == ["kg", "lb", "kg", "lb"]


def test_tickets_may_name_no_unit_but_that_of_their_readings(fleet: Fleet) -> None:
    ids = stocked(fleet)
    plain = weigh(ids["rigs"])
    del plain["session"]["passes"][2]["changes"]
    whole = fleet.made("sessions", plain)["id"]
    in_pounds_only = fleet.made("sessions", {**plain, "units": {"mass": "lb"}})["id"]
    assert result_of(first_assessment(fleet, in_pounds_only)) == result_of(first_assessment(fleet, whole))
    order = {"session_id": in_pounds_only, "units": {"mass": "kg", "pressure": "bar"}}
    ordered = fleet.made("assessments", order)["result"]
    assert (ordered["units"]["mass"], ordered["units"]["pressure"], ordered["units"]["length"]) == ("kg", "bar", "in")
    assert ordered["rig"]["load"] == pytest.approx(17_640 * 0.45359237, abs=15)
    needs_length = {**weigh(ids["rigs"]), "units": {"mass": "lb"}}
    must_be_refused(fleet.post("sessions", needs_length), 422, "/units/length")
    conditions = document_of("full")["conditions"]
    reply = fleet.post("assessments", {**order, "conditions": conditions})
    must_be_refused(reply, 422, "/units/temperature", "/units/altitude")


def test_a_vehicle_that_no_longer_fits_its_rig_is_refused(fleet: Fleet) -> None:
    pickup, camper = pickup_and_camper()
    pickup_id, camper_id = (fleet.made("vehicles", document)["id"] for document in (pickup, camper))
    ended = rig([pickup_id, camper_id], couplings=COUPLINGS, last_day="2026-02-01", name="ended")
    fleet.made("rigs", ended)
    document = rig([pickup_id, camper_id], couplings=COUPLINGS, first_day="2026-02-02", name="in use")
    rig_id = fleet.made("rigs", document)["id"]
    renamed = {**pickup, "vehicle": {**pickup["vehicle"], "name": "truck"}}
    [fault] = must_be_refused(fleet.put(f"vehicles/{pickup_id}", renamed, "*"), 409, "/vehicle")
    assert fault["message"].startswith("The rig in use does not hold together with that: ")
    assert fleet.get(f"vehicles/{pickup_id}").json["revision"] == 1
    assert fleet.put(f"rigs/{rig_id}", {**document, "couplings": []}, "*").status == 200
    assert fleet.put(f"vehicles/{pickup_id}", renamed, "*").status == 200
    must_be_refused(fleet.put(f"rigs/{rig_id}", document, "*"), 422, "/couplings/0/tow")
    coupled_again = {**document, "couplings": [{**COUPLINGS[0], "tow": "truck"}]}
    assert fleet.put(f"rigs/{rig_id}", coupled_again, "*").status == 200


def test_the_days_of_a_rig_hold_its_weighs(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    first, last = (fleet.made("sessions", weigh(rig_id, day))["id"] for day in ("2026-05-14", "2026-06-02"))
    path = f"rigs/{rig_id}"

    def days(first_day: str, last_day: str | None) -> Reply:
        return fleet.put(path, rig([vehicle_id], first_day=first_day, last_day=last_day), "*")

    [fault] = must_be_refused(days("2026-05-15", None), 409, "/first_day")
    assert fault["allowed"] == "2026-05-14 or earlier"
    [fault] = must_be_refused(days("2026-01-01", "2026-06-01"), 409, "/last_day")
    assert fault["allowed"] == "2026-06-02 or later"
    assert days("2026-05-14", "2026-06-02").status == 200
    fleet.made("sessions", weigh(rig_id, "2026-06-01", supersedes=first))
    assert days("2026-06-01", "2026-06-02").status == 200, "a corrected weigh was on no such day"
    assert fleet.get(f"sessions/{last}").status == 200


def test_what_is_archived_is_named_by_nothing_new(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    policy, table = named_policy("strict"), MADE_OF["inflation_tables"]({})
    policy_id, table_id = (
        fleet.made(kind, sent)["id"] for kind, sent in (("policies", policy), ("inflation_tables", table))
    )
    named = {"policy_id": policy_id, "inflation_table_ids": [table_id]}
    assert fleet.put(f"rigs/{rig_id}", rig([vehicle_id], **named), "*").status == 200
    assert fleet.put(f"policies/{policy_id}", {**policy, "archived": True}, "*").status == 200
    assert fleet.put(f"inflation_tables/{table_id}", {**table, "archived": True}, "*").status == 200
    must_be_refused(fleet.post("rigs", rig([vehicle_id], policy_id=policy_id)), 409, "/policy_id")
    must_be_refused(
        fleet.post("rigs", rig([vehicle_id], inflation_table_ids=[table_id])), 409, "/inflation_table_ids/0"
    )
    session_id = fleet.made("sessions", weigh(rig_id))["id"]
    order = {"units": "us", "session_id": session_id, "policy_id": policy_id}
    must_be_refused(fleet.post("assessments", order), 409, "/policy_id")
    assert fleet.put(f"rigs/{rig_id}", rig([vehicle_id], **named, archived=True), "*").status == 200
    assert fleet.put(f"rigs/{rig_id}", rig([vehicle_id]), "*").status == 200
    must_be_refused(fleet.put(f"rigs/{rig_id}", rig([vehicle_id], policy_id=policy_id), "*"), 409, "/policy_id")


def test_a_trailer_that_changes_its_tow_vehicle_has_one_history_in_two_rigs(fleet: Fleet) -> None:
    pickup, camper = pickup_and_camper()
    first_tow, second_tow, camper_id = (fleet.made("vehicles", each)["id"] for each in (pickup, pickup, camper))
    rigs = [
        fleet.made("rigs", rig([first_tow, camper_id], couplings=COUPLINGS, last_day="2026-03-31"))["id"],
        fleet.made("rigs", rig([second_tow, camper_id], couplings=COUPLINGS, first_day="2026-04-01"))["id"],
    ]
    weighs = [
        fleet.made("sessions", coupled(rigs[0], "2026-03-01"))["id"],
        fleet.made("sessions", coupled(rigs[1], "2026-04-02"))["id"],
    ]
    must_be_refused(fleet.post("sessions", coupled(rigs[0], "2026-04-02")), 409, "/session/weighed_on")

    def weighed(vehicle_id: str) -> list[tuple[str, str]]:
        entries = fleet.get(f"vehicles/{vehicle_id}/history", units="us").json["entries"]
        return [(entry["day"], entry["id"]) for entry in entries if entry["kind"].startswith("weigh")]

    assert weighed(camper_id) == [("2026-04-02", weighs[1]), ("2026-03-01", weighs[0])]
    assert weighed(first_tow) == [("2026-03-01", weighs[0])]
    assert weighed(second_tow) == [("2026-04-02", weighs[1])]
    listed = {item["id"]: item["weighed_on"] for item in fleet.get("rigs").json["items"]}
    assert listed == {rigs[0]: "2026-03-01", rigs[1]: "2026-04-02"}


def test_an_order_of_an_assessment_is_kept_as_it_was_sent_with_all_it_was_computed_from(fleet: Fleet) -> None:
    ids = stocked(fleet)
    sent = as_written({"session_id": ids["sessions"], "units": "metric"})
    made = fleet.send("POST", "assessments", sent)
    assert b'"order":' + sent in made.body
    told = made.json["input"]
    for name, kind in (("session", "sessions"), ("rig", "rigs"), ("policy", "policies")):
        assert told[name] == fleet.get(f"{kind}/{ids[kind]}").json["document"]
    assert told["vehicles"] == [fleet.get(f"vehicles/{ids['vehicles']}").json["document"]]
    assert told["inflation_tables"] == [fleet.get(f"inflation_tables/{ids['inflation_tables']}").json["document"]]
    assert fleet.get(made.headers["location"]).body == made.body
