"""What was stays as it was: rigs that were weighed, tires that moved, days past, tickets that were corrected."""

from datetime import timedelta

from axlewright.fleet.clock import now
from tests.fleet.yard import Fleet, coach, kept_coach, must_be_refused, rig, weigh

TIRE = {"position": "steer.left", "fitted_on": "2026-01-02", "identification_number": "4T8X 0525"}


def kinds_of(fleet: Fleet, path: str) -> list[tuple[str, str]]:
    """Return day and kind of each entry of a history."""
    return [(entry["day"], entry["kind"]) for entry in fleet.get(path, units="us").json["entries"]]


def test_the_vehicles_of_a_rig_that_was_weighed_stay(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet, asset_number="A-1")
    other = fleet.made("vehicles", coach("A-2"))["id"]
    assert fleet.put(f"rigs/{rig_id}", rig([other]), "*").status == 200
    assert fleet.put(f"rigs/{rig_id}", rig([vehicle_id]), "*").status == 200
    fleet.made("sessions", weigh(rig_id))
    must_be_refused(fleet.put(f"rigs/{rig_id}", rig([other]), "*"), 409, "/vehicles")
    assert fleet.put(f"rigs/{rig_id}", rig([vehicle_id], last_day="2026-06-30"), "*").status == 200
    assert [item["asset_number"] for item in fleet.get("rigs").json["items"]] == ["A-1"]


def test_a_tire_stays_in_the_history_of_where_it_was(fleet: Fleet) -> None:
    vehicle_id, _ = kept_coach(fleet)
    tire = {**TIRE, "vehicle_id": vehicle_id}
    tire_id = fleet.made("tires", tire)["id"]
    moved = {**tire, "position": "steer.right"}
    must_be_refused(fleet.put(f"tires/{tire_id}", moved, "*"), 409, "/position")
    assert fleet.put(f"tires/{tire_id}", {**tire, "taken_off_on": "2026-03-01", "archived": True}, "*").status == 200
    told = [("2026-03-01", "tire_taken_off"), ("2026-01-02", "tire_fitted")]
    assert kinds_of(fleet, f"vehicles/{vehicle_id}/wheel_ends/steer.left/history") == told


def test_a_corrected_ticket_takes_the_place_of_the_one_that_it_corrects(fleet: Fleet) -> None:
    _, rig_id = kept_coach(fleet)
    morning = fleet.made("sessions", weigh(rig_id))["id"]
    evening = fleet.made("sessions", weigh(rig_id))["id"]
    again = fleet.made("sessions", weigh(rig_id, supersedes=morning))["id"]
    once_more = fleet.made("sessions", weigh(rig_id, supersedes=again))["id"]
    entries = fleet.get(f"rigs/{rig_id}/history", units="us").json["entries"]
    assert [entry["id"] for entry in entries if entry["kind"] == "weigh"] == [evening, once_more]
    assert fleet.get(f"rigs/{rig_id}/page").json["last_session"]["id"] == evening


def test_the_newest_records_of_a_page_are_those_of_the_last_days(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    reading = {"units": "us", "vehicle_id": vehicle_id}
    january = fleet.made("odometer_readings", {**reading, "read_on": "2026-01-05", "reading": 10_000})["id"]
    fleet.made("odometer_readings", {**reading, "read_on": "2026-06-05", "reading": 20_000})
    corrected = {**reading, "read_on": "2026-01-05", "reading": 10_001, "supersedes": january}
    fleet.made("odometer_readings", corrected)
    told = fleet.get(f"rigs/{rig_id}/page").json["odometer_readings"]
    assert [each["document"]["reading"] for each in told] == [20_000, 10_001]


def test_nothing_has_happened_on_a_day_still_to_come(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    later = (now() + timedelta(days=2)).date().isoformat()
    must_be_refused(fleet.post("sessions", weigh(rig_id, later)), 409, "/session/weighed_on")
    reading = {"units": "us", "vehicle_id": vehicle_id, "read_on": later, "reading": 10}
    must_be_refused(fleet.post("odometer_readings", reading), 409, "/read_on")
    tire = {**TIRE, "vehicle_id": vehicle_id, "fitted_on": later}
    must_be_refused(fleet.post("tires", tire), 409, "/fitted_on")
    past = {**TIRE, "vehicle_id": vehicle_id, "taken_off_on": later}
    must_be_refused(fleet.post("tires", past), 409, "/taken_off_on")
    assert fleet.ids("sessions") == fleet.ids("tires") == []


def test_an_archived_rig_is_weighed_no_more_and_an_archived_vehicle_gives_its_number_free(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet, asset_number="A-1")
    assert fleet.put(f"rigs/{rig_id}", rig([vehicle_id], archived=True), "*").status == 200
    must_be_refused(fleet.post("sessions", weigh(rig_id)), 409, "/rig_id")
    must_be_refused(fleet.post("vehicles", coach("A-1")), 409, "/asset_number")
    assert fleet.put(f"vehicles/{vehicle_id}", {**coach("A-1"), "archived": True}, "*").status == 200
    assert fleet.post("vehicles", coach("A-1")).status == 201
    must_be_refused(fleet.put(f"vehicles/{vehicle_id}", coach("A-1"), "*"), 409, "/asset_number")


def test_a_history_is_asked_of_what_it_is_of(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    fleet.made("sessions", weigh(rig_id))
    assert fleet.get(f"rigs/{vehicle_id}/history", units="us").status == 404
    assert fleet.get(f"vehicles/{rig_id}/history", units="us").status == 404
