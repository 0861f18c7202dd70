"""Histories of rigs, vehicles and wheel ends: what happened, as numbers and as series, in the units asked for."""

from typing import Any

import pytest

from tests.fleet.yard import (
    COUPLINGS,
    MADE_OF,
    Fleet,
    coupled,
    kept_coach,
    pickup_and_camper,
    rig,
    stocked,
    van,
    van_weigh,
    weigh,
)

US, METRIC = "us", "metric"


def facts(fleet: Fleet, path: str, units: str, **query: Any) -> list[tuple[Any, ...]]:
    reply = fleet.get(f"{path}/history", units=units, **query)
    assert reply.status == 200, reply.body
    return [
        (each["day"], each["kind"], each["word"], each["quantity"], each["value"], each["standard_uncertainty"])
        for each in reply.json["entries"]
    ]


def test_the_history_of_a_wheel_end_tells_loads_pressures_tires_and_upkeep(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    ids = {"vehicles": vehicle_id}
    tire = {"vehicle_id": vehicle_id, "position": "steer.left", "fitted_on": "2026-02-01", "designation": "225/70R19.5"}
    fleet.made("tires", {**tire, "taken_off_on": "2026-05-30", "identification_number": "0425"})
    fleet.made("sessions", weigh(rig_id, "2026-05-14"))
    fleet.made("pressure_checks", MADE_OF["pressure_checks"](ids))
    refilled = {"position": "steer.left", "pressure": 100, "refilled": True}
    fleet.made("pressure_checks", {**MADE_OF["pressure_checks"](ids), "checked_on": "2026-05-25", "tires": [refilled]})
    fleet.made("upkeep_events", MADE_OF["upkeep_events"](ids))
    fleet.made("upkeep_events", {**MADE_OF["upkeep_events"](ids), "subject": "steer", "kind": "wheel_work"})
    path = f"vehicles/{vehicle_id}/wheel_ends/steer.left"
    told = facts(fleet, path, US)
    assert told == [
        ("2026-05-30", "tire_taken_off", "0425", None, None, None),
        ("2026-05-25", "pressure", "refilled", "pressure", 100.0, None),
        ("2026-05-21", "upkeep", "wheel_work", None, None, None),
        ("2026-05-21", "upkeep", "retorque", None, None, None),
        ("2026-05-20", "pressure", None, "pressure", 92.0, None),
        ("2026-05-14", "load", None, "mass", pytest.approx(3120, abs=15), pytest.approx(13.6, abs=3)),
        ("2026-02-01", "tire_fitted", "0425", None, None, None),
    ]
    reply = fleet.get(f"{path}/history", units=US).json
    load, doubt = told[5][4:]
    assert reply["series"] == [
        {
            "kind": "load",
            "quantity": "mass",
            "days": ["2026-05-14"],
            "values": [load],
            "standard_uncertainties": [doubt],
        },
        {
            "kind": "pressure",
            "quantity": "pressure",
            "days": ["2026-05-20", "2026-05-25"],
            "values": [92.0, 100.0],
            "standard_uncertainties": [None, None],
        },
    ]
    assert (reply["units"]["mass"], reply["units"]["pressure"]) == ("lb", "psi")
    metric = facts(fleet, path, METRIC)
    assert [each[:4] for each in metric] == [each[:4] for each in told]
    assert metric[1][4] == 689.5  # 100 psi of 6.894757 kPa
    assert metric[4][4] == 634.3  # 92 psi
    assert metric[5][4] == pytest.approx(load * 0.45359237, abs=0.06)
    assert [each[1] for each in facts(fleet, f"vehicles/{vehicle_id}/wheel_ends/steer.right", US)] == ["upkeep", "load"]


def test_the_tires_of_a_dual_are_told_apart_in_its_history(fleet: Fleet) -> None:
    vehicle_id, _ = kept_coach(fleet)
    tires = [
        {"position": f"drive.left.{which}", "pressure": pressure} for which, pressure in (("inner", 88), ("outer", 93))
    ]
    fleet.made("pressure_checks", {**MADE_OF["pressure_checks"]({"vehicles": vehicle_id}), "tires": tires})
    assert facts(fleet, f"vehicles/{vehicle_id}/wheel_ends/drive.left", US) == [
        ("2026-05-20", "pressure_outer", None, "pressure", 93.0, None),
        ("2026-05-20", "pressure_inner", None, "pressure", 88.0, None),
    ]
    assert facts(fleet, f"vehicles/{vehicle_id}/wheel_ends/drive.right", US) == []
    assert facts(fleet, f"vehicles/{vehicle_id}", US) == [("2026-05-20", "pressure_check", None, None, None, None)]


def test_a_replaced_odometer_is_told_with_what_the_old_one_showed(fleet: Fleet) -> None:
    vehicle_id, _ = kept_coach(fleet)
    miles = {"units": {"distance": "mi"}, "vehicle_id": vehicle_id}
    fleet.made("odometer_readings", {**miles, "read_on": "2026-05-20", "reading": 25_070})
    replaced = {**miles, "read_on": "2026-05-24", "reading": 3, "old_reading": 25_412}
    first = fleet.made("odometer_readings", replaced)["id"]
    assert facts(fleet, f"vehicles/{vehicle_id}", US) == [
        ("2026-05-24", "odometer", "replaced", "distance", 3.0, None),
        ("2026-05-24", "former_odometer", None, "distance", 25_412.0, None),
        ("2026-05-20", "odometer", None, "distance", 25_070.0, None),
    ]
    page = fleet.get(f"vehicles/{vehicle_id}/history", units=US, limit=1).json
    rest = fleet.get(f"vehicles/{vehicle_id}/history", units=US, cursor=page["next_cursor"]).json["entries"]
    assert [entry["kind"] for entry in rest] == ["former_odometer", "odometer"]
    fleet.made("odometer_readings", {**replaced, "old_reading": 25_421, "supersedes": first})
    told = facts(fleet, f"vehicles/{vehicle_id}", US)
    assert [(kind, value) for _, kind, _, _, value, _ in told] == [
        ("odometer", 3.0),
        ("former_odometer", 25_421.0),
        ("odometer", 25_070.0),
    ]


def test_the_history_of_a_vehicle_tells_its_odometer_upkeep_checks_and_weighs(fleet: Fleet) -> None:
    ids = stocked(fleet)
    kilometres = {
        "units": {"distance": "km"},
        "vehicle_id": ids["vehicles"],
        "read_on": "2026-05-23",
        "reading": 66_400,
    }
    fleet.made("odometer_readings", kilometres)
    whole = {**MADE_OF["upkeep_events"](ids), "subject": "vehicle", "kind": "change", "done_on": "2026-05-24"}
    fleet.made("upkeep_events", whole)
    path = f"vehicles/{ids['vehicles']}"
    assert facts(fleet, path, US) == [
        ("2026-05-24", "upkeep", "change", None, None, None),
        ("2026-05-23", "odometer", None, "distance", 41_259.0, None),  # 66,400 km / 1.609344
        ("2026-05-22", "odometer", None, "distance", 41_250.0, None),
        ("2026-05-21", "upkeep", "retorque", None, None, None),
        ("2026-05-20", "pressure_check", None, None, None, None),
        ("2026-05-14", "weigh", None, "mass", pytest.approx(17_640, abs=20), pytest.approx(30, abs=6)),
    ]
    metric = fleet.get(f"{path}/history", units=METRIC).json
    series, weighs = metric["series"]
    assert (weighs["kind"], weighs["days"]) == ("weigh", ["2026-05-14"])
    assert (series["days"], series["values"]) == (["2026-05-22", "2026-05-23"], [66_385.4, 66_400.0])
    assert metric["units"]["distance"] == "km"


def test_the_history_of_a_rig_tells_its_gross_load_and_standings(fleet: Fleet) -> None:
    _, rig_id = kept_coach(fleet)
    for day in ("2026-05-14", "2026-04-01"):
        fleet.made("sessions", weigh(rig_id, day))
    told = facts(fleet, f"rigs/{rig_id}", METRIC)
    gross = pytest.approx(17_640 * 0.45359237, abs=10)
    doubt = pytest.approx(13.8, abs=3)
    assert told == [
        ("2026-05-14", "assessment", "unsettled", None, None, None),
        ("2026-05-14", "weigh", None, "mass", gross, doubt),
        ("2026-04-01", "assessment", "unsettled", None, None, None),
        ("2026-04-01", "weigh", None, "mass", gross, doubt),
    ]
    [series] = fleet.get(f"rigs/{rig_id}/history", units=METRIC).json["series"]
    assert (series["kind"], series["days"]) == ("weigh", ["2026-04-01", "2026-05-14"])


def test_wheel_ends_that_no_weigh_tells_have_no_load_in_their_history(fleet: Fleet) -> None:
    vehicle_id = fleet.made("vehicles", van())["id"]
    rig_id = fleet.made("rigs", rig([vehicle_id]))["id"]
    fleet.made("sessions", van_weigh(rig_id, "2026-05-14"))
    assert facts(fleet, f"vehicles/{vehicle_id}/wheel_ends/front.left", METRIC) == []
    assert facts(fleet, f"rigs/{rig_id}", METRIC)[1][4] == 3670.0


def test_hitched_and_solo_weighs_of_a_vehicle_are_no_points_of_one_series(fleet: Fleet) -> None:
    pickup_id, camper_id = (fleet.made("vehicles", document)["id"] for document in pickup_and_camper())
    pair = fleet.made("rigs", rig([pickup_id, camper_id], couplings=COUPLINGS))["id"]
    alone = fleet.made("rigs", rig([pickup_id], name="pickup alone"))["id"]
    fleet.made("sessions", coupled(pair, "2026-05-14"))
    solo = coupled(alone, "2026-05-20")
    solo["session"]["passes"] = solo["session"]["passes"][2:]
    for reading in solo["session"]["passes"][0]["readings"]:
        reading["wheel_ends"] = [name.removeprefix("pickup.") for name in reading["wheel_ends"]]
    fleet.made("sessions", solo)
    assert [(day, kind, value) for day, kind, _, _, value, _ in facts(fleet, f"vehicles/{pickup_id}", US)] == [
        ("2026-05-20", "weigh", 3560 + 2620),
        ("2026-05-14", "weigh_hitched_levelled", pytest.approx(3440 + 3500, abs=25)),
    ]
    series = fleet.get(f"vehicles/{pickup_id}/history", units=US).json["series"]
    assert [(each["kind"], each["quantity"], each["days"]) for each in series] == [
        ("weigh", "mass", ["2026-05-20"]),
        ("weigh_hitched_levelled", "mass", ["2026-05-14"]),
    ]
    assert [kind for _, kind, *_ in facts(fleet, f"rigs/{pair}", US)] == ["assessment", "weigh"]
    assert [item["weighed_on"] for item in fleet.get("rigs", sort="weighed_on").json["items"]] == [
        "2026-05-14",
        "2026-05-20",
    ]


def test_loads_whose_readings_failed_their_cross_check_are_told_as_provisional_and_without_a_doubt(
    fleet: Fleet,
) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    misread = weigh(rig_id, "2026-05-14")
    left = misread["session"]["passes"][1]["readings"]
    left[1]["value"] += 800
    fleet.made("sessions", misread)
    fleet.made("sessions", weigh(rig_id, "2026-05-15"))
    wheel_end = f"vehicles/{vehicle_id}/wheel_ends/drive.left"
    for path in (wheel_end, f"vehicles/{vehicle_id}", f"rigs/{rig_id}"):
        loads = [fact for fact in facts(fleet, path, US) if fact[3] == "mass"]
        assert [(day, word, doubt is None) for day, _, word, _, _, doubt in loads] == [
            ("2026-05-15", None, False),
            ("2026-05-14", "provisional", True),
        ]
        assert loads[1][4] > loads[0][4] + 90
    (series,) = fleet.get(f"{wheel_end}/history", units=US).json["series"]
    assert [doubt is None for doubt in series["standard_uncertainties"]] == [True, False]


def test_a_rig_is_not_listed_by_sides_whose_readings_failed_their_cross_check(fleet: Fleet) -> None:
    _, rig_id = kept_coach(fleet)
    misread = weigh(rig_id, "2026-05-14")
    misread["session"]["passes"][1]["readings"][1]["value"] += 800
    fleet.made("sessions", misread)
    (listed,) = fleet.get("rigs").json["items"]
    assert (listed["standing"], listed["side_difference_share"]) == ("over", None)
    assert fleet.get("rigs", side_difference_above=0.001).json["items"] == []
    (drive,) = fleet.get("rigs", axle="drive").json["items"]
    assert drive["side_difference_share"] is None
    fleet.made("sessions", weigh(rig_id, "2026-05-15"))
    (listed,) = fleet.get("rigs").json["items"]
    assert listed["side_difference_share"] == pytest.approx(880 / 11_300, rel=0.01)


@pytest.mark.parametrize("query", [{}, {"units": ""}, {"units": "imperial"}, {"units": US, "limit": 0}], ids=str)
def test_a_history_wants_its_units_named(fleet: Fleet, query: dict[str, Any]) -> None:
    _, rig_id = kept_coach(fleet)
    assert fleet.get(f"rigs/{rig_id}/history", **query).status == 400


@pytest.mark.parametrize(
    "wheel_end", ["steer", "coach.steer.left", "drive.left.inner", "steer.middle", "\0.left", "a b.left"]
)
def test_a_name_that_is_no_wheel_end_s_leads_nowhere(fleet: Fleet, wheel_end: str) -> None:
    vehicle_id, _ = kept_coach(fleet)
    assert fleet.get(f"vehicles/{vehicle_id}/wheel_ends/{wheel_end}/history", units=US).status == 404


@pytest.mark.parametrize(
    ("kind", "path"),
    [
        ("sessions", "rigs/{rigs}"),
        ("sessions", "vehicles/{vehicles}"),
        ("sessions", "vehicles/{vehicles}/wheel_ends/steer.left"),
        ("pressure_checks", "vehicles/{vehicles}"),
        ("pressure_checks", "vehicles/{vehicles}/wheel_ends/steer.left"),
        ("upkeep_events", "vehicles/{vehicles}"),
        ("upkeep_events", "vehicles/{vehicles}/wheel_ends/steer.left"),
        ("odometer_readings", "vehicles/{vehicles}"),
    ],
)
def test_what_is_corrected_leaves_histories_and_pages_but_stays_readable(fleet: Fleet, kind: str, path: str) -> None:
    ids = stocked(fleet)
    path = path.format(**ids)
    assessments = fleet.ids("assessments", session_id=ids["sessions"])
    corrected = fleet.made(kind, {**MADE_OF[kind](ids), "supersedes": ids[kind]})["id"]
    entries = fleet.get(f"{path}/history", units=US).json["entries"]
    told = {entry["id"] for entry in entries}
    gone = {ids[kind], *(assessments if kind == "sessions" else ())}
    assert corrected in told
    assert told.isdisjoint(gone), [entry for entry in entries if entry["id"] in gone]
    page = fleet.get(f"rigs/{ids['rigs']}/page").json
    shown = [page["last_session"]] if kind == "sessions" else page[kind]
    assert [each["id"] for each in shown] == [corrected]
    assert fleet.get(f"{kind}/{ids[kind]}").json["superseded_by"] == corrected
    for assessment_id in assessments:
        assert fleet.get(f"assessments/{assessment_id}").status == 200
