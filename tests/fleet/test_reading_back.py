"""Reading the fleet back: the list of rigs by every filter and order, one rig whole, lists of one thing."""

from collections.abc import Sequence
from typing import Any

import pytest

from tests.fleet.databases import Database
from tests.fleet.yard import (
    COUPLINGS,
    MADE_OF,
    MISSING_ID,
    Fleet,
    coach,
    coupled,
    kept_coach,
    named_policy,
    new_operator,
    other,
    pickup_and_camper,
    rig,
    stocked,
    van,
    van_weigh,
    weigh,
)

US = "us"


def weak_coach(**more: Any) -> dict[str, Any]:
    """Return a coach whose steering axle carries 6,340 lb and is rated for 6,000."""
    document = coach(**more)
    document["vehicle"]["axles"][0]["gawr"] = 6000
    return document


def strong_coach(**more: Any) -> dict[str, Any]:
    """Return a coach of which every rating is at least a quarter above its load."""
    document = coach(**more)
    vehicle = document["vehicle"]
    vehicle |= {"gvwr": 26_000, "gcwr": 40_000}
    for name in ("unloaded_weight", "cargo_capacity"):
        del vehicle[name]
    for axle, gawr in zip(vehicle["axles"], (9000, 15_000), strict=True):
        axle |= {"gawr": gawr, "wheel": {"max_load": 5000, "max_pressure": 130}}
        axle.pop("wheel_ends", None)
        tires = axle["tires"]
        tires |= {"designation": "255/70R22.5", "load_range": "H", "max_load_single": 5510, "max_load_dual": 5070}
        tires |= {"max_pressure": 120}
        del tires["pressure"]
    return document


def level_weigh(rig_id: str, weighed_on: str) -> dict[str, Any]:
    """Return a weigh whose sides read the same: 3,180 and 5,620 lb."""
    document = weigh(rig_id, weighed_on)
    for place in (0, 1):
        for reading, value in zip(document["session"]["passes"][place]["readings"], (3180, 5620), strict=True):
            reading["value"] = value
        document["session"]["passes"][place]["total"]["value"] = 8800
    del document["session"]["passes"][2]["changes"]
    return document


@pytest.fixture(scope="module")
def yard(service: Fleet, shared_database: Database) -> Fleet:
    """Seven rigs, one of them archived; by hand from the tickets and ratings:

    ======= ===== ============ ========== =========== ======================= ==================
    name    asset labels       weighed    standing    axles                   drive side by side
    ======= ===== ============ ========== =========== ======================= ==================
    alder   B-2   north diesel 2026-05-14 unsettled   steer tight             880/11,300 = 0.078
    birch   A-1   south        2026-03-02 over        steer over              880/11,300 = 0.078
    cedar   C-3   north        2026-04-01 unknown     front, rear unknown     unknown
    dogwood none  none         never      none        none                    unknown
    elm     E-5   north        2026-05-14 clear       steer, drive clear      0
    fir     F-6   north        2026-05-14 over        archived                880/11,300 = 0.078
    gorse   G-7   yard, long   2026-05-20 unknown     front, rear, one, two   unknown
    ======= ===== ============ ========== =========== ======================= ==================
    """
    fleet = other(service, shared_database.url, new_operator())

    def kept(name: str, *vehicles: dict[str, Any], **more: Any) -> str:
        ids = [fleet.made("vehicles", vehicle)["id"] for vehicle in vehicles]
        return str(fleet.made("rigs", rig(ids, name=name, **more))["id"])

    pickup, camper = pickup_and_camper()
    weighs = [
        weigh(kept("alder", coach("B-2", ["north", "diesel"]))),
        weigh(kept("birch", weak_coach(asset_number="A-1", labels=["south"])), "2026-03-02"),
        van_weigh(kept("cedar", {**van(), "asset_number": "C-3", "labels": ["north"]}), "2026-04-01"),
    ]
    kept("dogwood", coach())
    weighs.append(level_weigh(kept("elm", strong_coach(asset_number="E-5", labels=["north"])), "2026-05-14"))
    weighs.append(weigh(fir := kept("fir", weak_coach(asset_number="F-6", labels=["north"]))))
    pickup |= {"asset_number": "G-7", "labels": ["yard"]}
    camper |= {"asset_number": "H-8", "labels": ["long", "yard"]}
    weighs.append(coupled(kept("gorse", pickup, camper, couplings=COUPLINGS), "2026-05-20"))
    for document in weighs:
        fleet.made("sessions", document)
    archived = {**fleet.get(f"rigs/{fir}").json["document"], "archived": True}
    assert fleet.put(f"rigs/{fir}", archived, "*").status == 200
    return fleet


def names(fleet: Fleet, **query: Any) -> str:
    reply = fleet.get("rigs", **query)
    assert reply.status == 200, reply.body
    return " ".join(item["name"] for item in reply.json["items"])


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({}, "dogwood birch alder cedar elm gorse"),
        ({"sort": "asset_number"}, "dogwood birch alder cedar elm gorse"),
        ({"sort": "weighed_on"}, "dogwood birch cedar alder elm gorse"),
        ({"sort": "standing"}, "birch alder cedar gorse dogwood elm"),
        ({"sort": "side_difference_share"}, "birch alder elm gorse dogwood cedar"),
        ({"archived": "true"}, "fir"),
        ({"archived": "true", "standing": "over", "label": "north", "axle": "steer"}, "fir"),
        ({"archived": "true", "standing": "clear"}, ""),
        ({"standing": "over"}, "birch"),
        ({"standing": "unsettled"}, "alder"),
        ({"standing": "unknown"}, "cedar gorse"),
        ({"standing": "clear"}, "elm"),
        ({"standing": "tight"}, ""),
        ({"standing": "short"}, ""),
        ({"standing": "unknown", "sort": "weighed_on"}, "cedar gorse"),
        ({"label": "north"}, "alder cedar elm"),
        ({"label": "north", "sort": "standing"}, "alder cedar elm"),
        ({"label": "diesel"}, "alder"),
        ({"label": "long"}, "gorse"),
        ({"label": "yard"}, "gorse"),
        ({"label": "North"}, ""),
        ({"label": "nor"}, ""),
        ({"axle": "steer"}, "birch alder elm"),
        ({"axle": "steer", "standing": "over"}, "birch"),
        ({"axle": "steer", "standing": "tight"}, "alder"),
        ({"axle": "drive", "standing": "over"}, ""),
        ({"axle": "drive", "standing": "unsettled"}, "birch alder"),
        ({"axle": "rear"}, "cedar gorse"),
        ({"axle": "one"}, "gorse"),
        ({"axle": "tag"}, ""),
        ({"axle": "steer", "label": "north", "sort": "standing"}, "alder elm"),
        ({"asset_number": "B-2"}, "alder"),
        ({"asset_number": "B-2", "standing": "over"}, ""),
        ({"asset_number": "B-2", "label": "diesel", "axle": "drive", "standing": "unsettled"}, "alder"),
        ({"asset_number": "b-2"}, ""),
        ({"asset_number": "F-6"}, ""),
        ({"asset_number": "H-8"}, ""),
        ({"weighed_before": "2026-03-02"}, "dogwood"),
        ({"weighed_before": "2026-03-03"}, "dogwood birch"),
        ({"weighed_before": "2026-05-14"}, "dogwood birch cedar"),
        ({"weighed_before": "2026-05-15"}, "dogwood birch cedar alder elm"),
        ({"weighed_before": "2026-05-15", "sort": "weighed_on", "label": "north"}, "cedar alder elm"),
        ({"weighed_before": "2026-05-15", "standing": "over"}, "birch"),
        ({"weighed_before": "2026-05-15", "axle": "drive"}, "birch alder elm"),
        ({"side_difference_above": 0.05}, "birch alder"),
        ({"side_difference_above": "7.7e-2"}, "birch alder"),
        ({"side_difference_above": 0.079}, ""),
        ({"side_difference_above": 1}, ""),
        ({"side_difference_above": 0.01, "axle": "steer"}, "birch alder"),
        ({"side_difference_above": 0.05, "axle": "steer"}, ""),
        ({"side_difference_above": 0.05, "label": "south"}, "birch"),
        ({"side_difference_above": 0.05, "sort": "side_difference_share", "standing": "unsettled"}, "alder"),
    ],
    ids=str,
)
def test_rigs_are_found_and_ordered_by_how_they_stand(yard: Fleet, query: dict[str, Any], expected: str) -> None:
    assert names(yard, **query) == expected
    one_by_one, page = [], yard.get("rigs", limit=1, **query)
    while True:
        one_by_one += [item["name"] for item in page.json["items"]]
        if (cursor := page.json["next_cursor"]) is None:
            break
        page = yard.get("rigs", limit=1, cursor=cursor, **query)
        assert page.status == 200, page.body
    assert " ".join(one_by_one) == expected


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({"weighed_before": "2026-05-15", "side_difference_above": 0.1}, "/sort"),
        ({"weighed_before": "2026-05-15", "sort": "standing"}, "/sort"),
        ({"side_difference_above": 0.1, "sort": "weighed_on"}, "/sort"),
        ({"asset_number": "B-2", "sort": "standing"}, "/sort"),
        ({"asset_number": "B-2", "weighed_before": "2026-05-15"}, "/sort"),
        ({"sort": "name"}, "/sort"),
        ({"standing": "bad"}, "/standing"),
        ({"label": ""}, "/label"),
        ({"axle": "coach.steer"}, "/axle"),
        ({"weighed_before": "14.5.2026"}, "/weighed_before"),
        ({"weighed_before": "2026-13-01"}, "/weighed_before"),
        ({"side_difference_above": "nan"}, "/side_difference_above"),
        ({"side_difference_above": "-0.1"}, "/side_difference_above"),
        ({"side_difference_above": "1e99"}, "/side_difference_above"),
        ({"archived": "yes"}, "/archived"),
        ({"archived": "True"}, "/archived"),
        ({"colour": "red"}, "/colour"),
    ],
    ids=str,
)
def test_a_question_that_cannot_be_answered_is_refused_by_the_parameter(
    yard: Fleet, query: dict[str, Any], pointer: str
) -> None:
    refused = yard.get("rigs", **query)
    assert (refused.status, refused.problem_type) == (400, "invalid-query")
    assert [fault["pointer"] for fault in refused.json["errors"]] == [pointer]


def test_a_rig_is_listed_by_its_worst_or_by_the_axle_asked_for(yard: Fleet) -> None:
    [alder] = yard.get("rigs", asset_number="B-2").json["items"]
    del alder["id"]
    share = alder.pop("side_difference_share")
    assert share == pytest.approx(880 / 11_300, abs=5e-4)
    assert alder == {
        "name": "alder",
        "asset_number": "B-2",
        "labels": ["diesel", "north"],
        "archived": False,
        "first_day": "2026-01-01",
        "last_day": None,
        "weighed_on": "2026-05-14",
        "standing": "unsettled",
        "changed_since": False,
    }
    [steer] = yard.get("rigs", asset_number="B-2", axle="steer").json["items"]
    assert steer["standing"] == "tight"
    assert steer["side_difference_share"] == pytest.approx(120 / 6340, abs=5e-4)
    [gorse] = yard.get("rigs", label="long").json["items"]
    assert (gorse["asset_number"], gorse["labels"]) == ("G-7", ["long", "yard"])
    [dogwood] = yard.get("rigs", limit=1).json["items"]
    assert (dogwood["asset_number"], dogwood["labels"], dogwood["weighed_on"]) == (None, [], None)
    assert (dogwood["standing"], dogwood["side_difference_share"]) == (None, None)


# What changes the list.


def listed(fleet: Fleet) -> tuple[str | None, str | None]:
    [item] = fleet.get("rigs").json["items"]
    return item["weighed_on"], item["standing"]


def test_a_rig_is_listed_by_the_last_day_it_was_weighed_and_then_by_the_last_ticket(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    assert listed(fleet) == (None, None)
    fleet.made("sessions", weigh(rig_id, "2026-05-14"))
    assert listed(fleet) == ("2026-05-14", "unsettled")
    assert fleet.put(f"vehicles/{vehicle_id}", weak_coach(), "*").status == 200
    assert listed(fleet) == ("2026-05-14", "unsettled")
    fleet.made("sessions", weigh(rig_id, "2026-05-13"))
    assert listed(fleet) == ("2026-05-14", "unsettled")
    fleet.made("sessions", weigh(rig_id, "2026-05-14"))
    assert listed(fleet) == ("2026-05-14", "over")


def test_a_correction_takes_the_weigh_it_corrects_out_of_the_list(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    fleet.made("sessions", weigh(rig_id, "2026-04-01"))
    wrong_day = fleet.made("sessions", weigh(rig_id, "2026-06-14"))["id"]
    assert listed(fleet) == ("2026-06-14", "unsettled")
    right = fleet.made("sessions", weigh(rig_id, "2026-03-14", supersedes=wrong_day))["id"]
    assert listed(fleet) == ("2026-04-01", "unsettled")
    elsewhere = fleet.made("rigs", rig([vehicle_id], name="elsewhere"))["id"]
    fleet.made("sessions", weigh(elsewhere, "2026-03-14", supersedes=right))
    assert {item["name"]: item["weighed_on"] for item in fleet.get("rigs").json["items"]} == {
        "Tern 7": "2026-04-01",
        "elsewhere": "2026-03-14",
    }


def test_the_only_weigh_corrected_to_another_rig_leaves_the_first_never_weighed(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    wrong = fleet.made("sessions", weigh(rig_id))["id"]
    elsewhere = fleet.made("rigs", rig([vehicle_id], name="elsewhere"))["id"]
    fleet.made("sessions", weigh(elsewhere, supersedes=wrong))
    assert {item["id"]: item["standing"] for item in fleet.get("rigs").json["items"]} == {
        rig_id: None,
        elsewhere: "unsettled",
    }
    assert fleet.get(f"rigs/{rig_id}/history", units=US).json["entries"] == []
    assert fleet.get(f"rigs/{rig_id}/page").json["last_session"] is None


def test_the_newest_assessment_of_the_last_weigh_decides_but_no_trial_of_it_does(fleet: Fleet) -> None:
    _, rig_id = kept_coach(fleet)
    first = fleet.made("sessions", weigh(rig_id, "2026-05-13"))["id"]
    last = fleet.made("sessions", weigh(rig_id, "2026-05-14"))["id"]
    lax = {"units": US, "name": "lax", "policy": {"coverage_factor": 1, "tight_share": 0.0}}
    policy_id = fleet.made("policies", lax)["id"]
    order = {"units": US, "policy_id": policy_id}
    assert fleet.made("assessments", {**order, "session_id": last})["result"]["policy"]["tight_share"] == 0
    assert listed(fleet) == ("2026-05-14", "unsettled")
    fleet.made("assessments", {"units": US, "session_id": last})
    assert listed(fleet) == ("2026-05-14", "unsettled")
    strict = {"units": US, "name": "strict", "policy": {"least_steering_share": 0.5}}
    order["policy_id"] = fleet.made("policies", strict)["id"]
    assert fleet.made("assessments", {**order, "session_id": first})["standing"] == "short"
    assert listed(fleet) == ("2026-05-14", "unsettled")
    assert fleet.made("assessments", {**order, "session_id": last})["standing"] == "short"
    assert listed(fleet) == ("2026-05-14", "unsettled")
    fleet.made("sessions", weigh(rig_id, "2026-05-14", supersedes=last))
    assert listed(fleet) == ("2026-05-14", "unsettled")
    fleet.made("assessments", {**order, "session_id": last})
    assert listed(fleet) == ("2026-05-14", "unsettled")
    entries = fleet.get(f"rigs/{rig_id}/history", units=US).json["entries"]
    assert [(each["day"], each["kind"], each["word"]) for each in entries] == [
        ("2026-05-14", "assessment", "unsettled"),
        ("2026-05-14", "weigh", None),
        ("2026-05-13", "assessment", "unsettled"),
        ("2026-05-13", "weigh", None),
    ]
    made = fleet.get("assessments", rig_id=rig_id, limit=100).json["items"]
    assert [(each["session_id"] == last, each["standing"], each["trial"]) for each in made] == [
        (False, "unsettled", False),
        (True, "unsettled", False),
        (True, "unsettled", True),
        (True, "unsettled", False),
        (False, "short", True),
        (True, "short", True),
        (False, "unsettled", False),
        (True, "short", True),
    ]
    [corrected] = fleet.ids("sessions", rig_id=rig_id, newest_first="true", limit=1)
    assert {each["session_superseded_by"] for each in made if each["session_id"] == last} == {corrected}
    assert {each["session_superseded_by"] for each in made if each["session_id"] != last} == {None}


def with_rating(gvwr_lb: float, **more: Any) -> dict[str, Any]:
    """Return the coach with another rating."""
    document = coach(**more)
    document["vehicle"]["gvwr"] = gvwr_lb
    return document


def changed_since(fleet: Fleet, rig_id: str) -> bool:
    """Return whether list and page tell that a rig was changed since it was assessed, which they tell alike."""
    (item,) = [each for each in fleet.get("rigs").json["items"] if each["id"] == rig_id]
    page = fleet.get(f"rigs/{rig_id}/page").json
    assert page["changed_since"] is item["changed_since"]
    return bool(item["changed_since"])


def test_a_rating_that_changed_after_the_weigh_is_told_until_the_rig_is_assessed_as_it_is_kept(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    assert not changed_since(fleet, rig_id)
    session_id = fleet.made("sessions", weigh(rig_id))["id"]
    rated = coach()["vehicle"]["gvwr"]
    assert rated > 17_600 > 14_000
    assert not changed_since(fleet, rig_id)
    assert fleet.put(f"vehicles/{vehicle_id}", with_rating(14_000), "*").status == 200
    assert changed_since(fleet, rig_id)
    assert listed(fleet) == ("2026-05-14", "unsettled"), "by the weigh, as it was"
    as_weighed = fleet.made("assessments", {"units": US, "session_id": session_id})
    assert as_weighed["input"]["vehicles"][0]["vehicle"]["gvwr"] == rated
    assert changed_since(fleet, rig_id)
    as_kept = fleet.made("assessments", {"units": US, "session_id": session_id, "as_kept": True})
    assert (as_kept["standing"], as_kept["trial"]) == ("over", False)
    assert as_kept["input"]["vehicles"][0]["vehicle"]["gvwr"] == 14_000
    assert listed(fleet) == ("2026-05-14", "over")
    assert not changed_since(fleet, rig_id)
    assert fleet.put(f"vehicles/{vehicle_id}", with_rating(rated), "*").status == 200
    assert changed_since(fleet, rig_id)


def test_what_no_assessment_reads_is_no_change_since(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    fleet.made("sessions", weigh(rig_id))
    assert fleet.put(f"vehicles/{vehicle_id}", coach("A-9", ["south"]), "*").status == 200
    kept = fleet.get(f"rigs/{rig_id}").json["document"]
    renamed = {**kept, "name": "another name", "first_day": "2026-02-01", "last_day": "2026-12-31"}
    assert fleet.put(f"rigs/{rig_id}", renamed, "*").status == 200
    assert not changed_since(fleet, rig_id)
    policy_id = fleet.made("policies", named_policy("strict"))["id"]
    assert fleet.put(f"rigs/{rig_id}", {**kept, "policy_id": policy_id}, "*").status == 200
    assert changed_since(fleet, rig_id)


def test_a_rig_that_goes_with_its_weigh_no_more_is_not_assessed_as_it_is_kept(fleet: Fleet) -> None:
    vehicle_id = fleet.made("vehicles", van())["id"]
    rig_id = fleet.made("rigs", rig([vehicle_id]))["id"]
    session_id = fleet.made("sessions", van_weigh(rig_id, "2026-05-14"))["id"]
    renamed = van()
    renamed["vehicle"]["axles"][1]["name"] = renamed["vehicle"]["label_pressures"][1]["axle"] = "tag"
    assert fleet.put(f"vehicles/{vehicle_id}", renamed, "*").status == 200
    refused = fleet.post("assessments", {"units": US, "session_id": session_id, "as_kept": True})
    assert refused.status in (409, 422)
    assert {error["pointer"] for error in refused.json["errors"]} == {"/session_id"}
    assert changed_since(fleet, rig_id)


def test_what_a_vehicle_is_found_by_changes_the_list_of_every_rig_it_stands_in(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet, asset_number="A-1", labels=["north", "old"])
    second = fleet.made("rigs", rig([vehicle_id], first_day="2026-06-01"))["id"]
    assert fleet.ids("rigs", label="old") == [rig_id, second]
    assert fleet.put(f"vehicles/{vehicle_id}", coach("A-2", ["new", "north"]), "*").status == 200
    assert (fleet.ids("rigs", label="old"), fleet.ids("rigs", asset_number="A-1")) == ([], [])
    assert fleet.ids("rigs", label="new") == fleet.ids("rigs", asset_number="A-2") == [rig_id, second]
    other_coach = fleet.made("vehicles", coach("A-3", ["third"]))["id"]
    assert fleet.put(f"rigs/{second}", rig([other_coach]), "*").status == 200
    assert (fleet.ids("rigs", label="new"), fleet.ids("rigs", label="third")) == ([rig_id], [second])
    assert fleet.put(f"vehicles/{vehicle_id}", coach("A-2", ["newest"]), "*").status == 200
    assert fleet.ids("rigs", label="newest") == [rig_id]
    assert fleet.ids("rigs", label="third") == [second]


# One rig whole.


@pytest.mark.parametrize("tail", ["history", "page", "wheel_ends/steer.left/history"])
@pytest.mark.parametrize("id_", [MISSING_ID, "x", "\0", MISSING_ID.upper(), "0" * 300])
def test_nothing_is_told_of_what_is_not_there(yard: Fleet, id_: str, tail: str) -> None:
    kind = "vehicles" if tail.startswith("wheel") else "rigs"
    query = {} if tail == "page" else {"units": US}
    reply = yard.get(f"{kind}/{id_}/{tail}", **query)
    assert (reply.status, reply.problem_type) == (404, "not-found")


def test_a_page_tells_all_of_a_rig_as_it_is_read_one_by_one(fleet: Fleet) -> None:
    ids = stocked(fleet)
    stocked(fleet)
    page = fleet.get(f"rigs/{ids['rigs']}/page").json
    single = {kind: fleet.get(f"{kind}/{id_}").json for kind, id_ in ids.items()}
    made_with_weigh, trial = fleet.ids("assessments", session_id=ids["sessions"])
    assert trial == ids["assessments"]
    assert page == {
        "rig": single["rigs"],
        "vehicles": [single["vehicles"]],
        "last_session": single["sessions"],
        "last_assessment": fleet.get(f"assessments/{made_with_weigh}").json,
        "changed_since": False,
        "tires": [single["tires"]],
        "layouts": [single["layouts"]],
        "pressure_checks": [single["pressure_checks"]],
        "upkeep_events": [single["upkeep_events"]],
        "odometer_readings": [single["odometer_readings"]],
    }


def test_a_page_tells_the_newest_of_each_kind_and_what_is_in_use(fleet: Fleet) -> None:
    vehicle_id, rig_id = kept_coach(fleet)
    ids = {"vehicles": vehicle_id, "rigs": rig_id}

    def made(kind: str, count: int, **more: Any) -> Sequence[str]:
        return [fleet.made(kind, {**MADE_OF[kind](ids), **more})["id"] for _ in range(count)]

    checks, events, readings = made("pressure_checks", 7), made("upkeep_events", 12), made("odometer_readings", 7)
    made("layouts", 1, archived=True)
    layouts = made("layouts", 2)
    made("tires", 1, taken_off_on="2026-02-04")
    [on_now] = made("tires", 1, fitted_on="2026-02-04")
    made("tires", 1, fitted_on="2026-02-05", archived=True)
    page = fleet.get(f"rigs/{rig_id}/page").json
    assert [each["id"] for each in page["pressure_checks"]] == checks[:1:-1]
    assert [each["id"] for each in page["upkeep_events"]] == events[:1:-1]
    assert [each["id"] for each in page["odometer_readings"]] == readings[:1:-1]
    assert [each["id"] for each in page["layouts"]] == layouts[::-1]
    assert [each["id"] for each in page["tires"]] == [on_now]
    assert (page["last_session"], page["last_assessment"]) == (None, None)


def test_lists_of_records_weighs_and_assessments_are_of_what_was_asked_for(fleet: Fleet) -> None:
    first, second = stocked(fleet), stocked(fleet)
    for kind in ("pressure_checks", "upkeep_events", "odometer_readings"):
        assert fleet.ids(kind) == [first[kind], second[kind]]
        assert fleet.ids(kind, vehicle_id=second["vehicles"]) == [second[kind]]
    ticket = weigh(first["rigs"])
    ticket["session"]["ticket"] = "Wägeschein 7/3"
    third = fleet.made("sessions", ticket)["id"]
    assert fleet.ids("sessions", rig_id=first["rigs"]) == [first["sessions"], third]
    assert fleet.ids("sessions", ticket="Wägeschein 7/3") == [third]
    assert fleet.ids("sessions", ticket="0417") == [first["sessions"], second["sessions"]]
    assert fleet.ids("sessions", ticket="0417", rig_id=second["rigs"]) == [second["sessions"]]
    assert fleet.ids("sessions", ticket="417") == []
    assert len(fleet.ids("assessments")) == 5
    assert fleet.ids("assessments", session_id=first["sessions"])[1:] == [first["assessments"]]
    assert len(fleet.ids("assessments", rig_id=first["rigs"])) == 3
    assert fleet.ids("assessments", rig_id=first["rigs"], session_id=second["sessions"]) == []
    newest = fleet.get("assessments", session_id=second["sessions"]).json["items"][-1]
    whole = fleet.get(f"assessments/{newest['id']}").json
    assert newest == {name: whole[name] for name in newest}
    assert (newest["rig_id"], newest["weighed_on"]) == (second["rigs"], "2026-05-14")
    assert newest["standing"] == whole["result"]["summary"]["standing"]
