"""What falls due, over HTTP, as a document and as a calendar: by hand, and read back by an independent library."""

import json
from datetime import UTC, date, datetime
from typing import Any

import pytest
import vobject
from hypothesis import given, settings

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.contract.published import component, validator_of
from tests.rigs import histories

APP = create_app(Settings())
ANSWER = validator_of(component("ListUpkeepDueAnswer"))
REQUEST = validator_of(component("UpkeepRequest"))
TIRES = histories.TIRES
MILE_KM = 1.609344  # NIST SP 811 (2008), appendix B.8.


def document(**changes: Any) -> dict[str, Any]:
    """Return a request of an invented coach that nothing was recorded of, with some names changed."""
    return {"units": "us", "rig": {"id": "R-7", "tires": TIRES}, "as_of": "2026-05-14", **changes}


def posted(path: str, body: Any) -> Reply:
    return send(APP, "POST", path, json.dumps(body).encode(), {"Content-Type": "application/json"})


def due(**changes: Any) -> Any:
    """Return the answer to a request that is taken."""
    reply = posted("/v1/upkeep/due", document(**changes))
    assert reply.status == 200, reply.body
    ANSWER.validate(reply.json)
    return reply.json


def faults(**changes: Any) -> list[Any]:
    """Return the faults of a request that keeps to the schema and contradicts itself; both operations tell them."""
    body = document(**changes)
    REQUEST.validate(body)
    refused, other = posted("/v1/upkeep/due", body), posted("/v1/upkeep/calendar", body)
    assert refused.status == other.status == 422, refused.body
    assert refused.problem_type == other.problem_type == "inconsistent"
    assert refused.body == other.body
    errors: list[Any] = refused.json["errors"]
    return errors


def calendar(**changes: Any) -> bytes:
    """Return the calendar of a request that is taken."""
    reply = posted("/v1/upkeep/calendar", document(**changes))
    assert reply.status == 200, reply.body
    assert reply.headers["content-type"] == "text/calendar; charset=utf-8"
    return reply.body


def entries(text: bytes) -> list[Any]:
    """Return events and to-dos of a calendar as an independent library reads them."""
    contents = vobject.readOne(text.decode()).contents
    return [*contents.get("vevent", []), *contents.get("vtodo", [])]


def only(answer: Any, kind: str, subject: str = "rig", part: int = 1) -> Any:
    """Return the one item of a kind, subject and part."""
    wanted = (kind, subject, part)
    (item,) = [each for each in answer["items"] if (each["kind"], each["subject"], each["part"]) == wanted]
    return item


def work(done_on: str = "2026-05-14", odometer: float | None = 12_100, subject: str = "drive.left") -> dict[str, Any]:
    return {"kind": "wheel_work", "done_on": done_on, "subject": subject, "odometer": odometer}


# 2,100 mi in 70 days are 30 a day, once evenly and once not.
UNEVEN = [
    {"read_on": "2026-03-05", "reading": 10_000},
    {"read_on": "2026-04-14", "reading": 11_000},
    {"read_on": "2026-05-14", "reading": 12_100},
]


def test_a_retorque_is_projected_with_its_doubt_by_hand() -> None:
    """Hand: stretches of 1,000 mi in 40 days and 1,100 in 30, 2,100 in 70: 30 mi a day, 10,950 a year.

    Residuals -200 and 200 mi: spread of a day 200^2/40 + 200^2/30 = 2,333.3 mi^2; rate's doubt
    365 sqrt(2333.3 / 70) = 2,107.3 mi a year. 50 mi take 1.67 days, 100 mi 3.33; doubt of the first
    sqrt(2333.3 (1.667 + 1.667^2 / 70)) / 30 = 2.1 days.
    """
    answer = due(events=[work()], odometer=UNEVEN)
    projection = answer["projection"]
    assert (projection["distance_per_year"], projection["standard_uncertainty"]) == (10_950.0, 2_107.3)
    assert (projection["first_read_on"], projection["last_read_on"]) == ("2026-03-05", "2026-05-14")
    assert (projection["readings"], projection["last_reading"]) == (3, 12_100.0)
    item = only(answer, "wheel_nut_retorque", "drive.left")
    (rule,) = item["rules"]
    assert (rule["due_on"], rule["latest_on"]) == ("2026-05-15", "2026-05-17")
    assert (rule["due_at"], rule["latest_at"]) == (12_150.0, 12_200.0)
    assert (rule["projected"], rule["standard_uncertainty_days"], rule["state"]) == (True, 3, "later")
    assert (item["due_on"], item["due_at"], item["governed_by"]) == ("2026-05-15", 12_150.0, "retorque_distance")
    assert item["counts_from"] == {
        "kind": "wheel_work",
        "done_on": "2026-05-14",
        "subject": "drive.left",
        "odometer": 12_100.0,
    }
    assert item["message"] == (
        "drive.left: tighten the wheel nuts again. Due on 2026-05-15, projected, give or take 3 days; overdue after "
        "2026-05-17."
    )


def test_the_same_history_in_kilometers_falls_due_on_the_same_days() -> None:
    kilometers = [{**each, "reading": each["reading"] * MILE_KM} for each in UNEVEN]
    in_miles = due(events=[work()], odometer=UNEVEN)
    in_km = due(units={"distance": "km"}, events=[work(odometer=12_100 * MILE_KM)], odometer=kilometers)
    assert [(each["uid"], each["due_on"], each["state"]) for each in in_km["items"]] == [
        (each["uid"], each["due_on"], each["state"]) for each in in_miles["items"]
    ]
    assert only(in_km, "wheel_nut_retorque", "drive.left")["due_at"] == pytest.approx(12_150 * MILE_KM, abs=0.051)
    assert in_km["projection"]["distance_per_year"] == pytest.approx(10_950 * MILE_KM, abs=0.051)
    assert in_km["policy"]["retorque"] == [{"due_after": 80.5, "overdue_after": 160.9}]
    assert in_miles["policy"]["retorque"] == [{"due_after": 50.0, "overdue_after": 100.0}]


def test_after_a_change_of_the_odometer_what_was_due_before_it_lies_below_zero() -> None:
    """Hand: work at 30,100 mi; the odometer gave way at 30,200 to one at 5, which is 30,195 less: due at -45, by 5.

    50 of 100 mi in three days from the 5th: on the 6th.
    """
    odometer = [
        {"read_on": "2026-05-01", "reading": 30_000},
        {"read_on": "2026-05-08", "reading": 5, "old_reading": 30_200},
    ]
    item = only(due(events=[work("2026-05-05", 30_100)], odometer=odometer), "wheel_nut_retorque", "drive.left")
    (rule,) = item["rules"]
    assert (rule["due_at"], rule["latest_at"], item["due_at"]) == (-45.0, 5.0, -45.0)
    assert (rule["due_on"], rule["latest_on"], rule["state"]) == ("2026-05-06", "2026-05-08", "overdue")
    assert rule["projected"] is False


def test_items_stand_in_the_order_of_urgency() -> None:
    """Hand: weighed 14 months ago and checked 13 days ago; the trip starts today; tires are not recorded."""
    answer = due(
        events=[
            {"kind": "weigh", "done_on": "2025-03-14", "subject": "rig"},
            {"kind": "pressure_check", "done_on": "2026-05-01", "subject": "rig"},
            {"kind": "tire_fitted", "done_on": "2026-01-05", "subject": "steer", "tire_made_on": "2025-12-01"},
            {"kind": "retorque", "done_on": "2026-01-09", "subject": "steer"},
        ],
        trips=["2026-05-14", "2026-05-02", "2026-07-01"],
    )
    told = [(each["state"], each["kind"], each["due_on"]) for each in answer["items"]]
    assert told[:2] == [("overdue", "weigh", "2026-03-14"), ("due", "pressure_check", "2026-05-14")]
    assert [state for state, _, _ in told[2:]] == ["unknown"] * 8 + ["later"] * 4
    assert told[-4:] == [
        ("later", "tire_inspection", "2030-12-01"),
        ("later", "tire_inspection", "2030-12-01"),
        ("later", "tire_replacement", "2035-12-01"),
        ("later", "tire_replacement", "2035-12-01"),
    ]
    assert only(answer, "pressure_check")["message"] == "Check the tire pressures, cold. Due today."
    assert only(answer, "pressure_check")["governed_by"] == "pressure_check_before_trip"


def test_what_has_no_date_says_why() -> None:
    answer = due(events=[work(odometer=None)])
    assert "Fewer than two odometer readings" in answer["projection"]["unknown_because"]
    assert answer["projection"]["distance_per_year"] is None
    item = only(answer, "wheel_nut_retorque", "drive.left")
    assert (item["state"], item["due_on"], item["governed_by"]) == ("unknown", None, None)
    assert item["unknown_because"] == "Nobody noted the odometer at the event, and no earlier reading tells."
    assert "No such event was recorded" in only(answer, "weigh")["unknown_because"]
    assert "read its date code" in only(answer, "tire_replacement", "steer.left")["unknown_because"]
    assert only(answer, "weigh")["counts_from"] is None


def test_of_a_tire_of_unknown_age_the_date_code_is_to_be_found_first() -> None:
    answer = due(events=[{"kind": "tire_fitted", "done_on": "2024-05-01", "subject": "steer"}])
    replacement = only(answer, "tire_replacement", "steer.left")
    assert replacement["message"].startswith(
        "steer.left: find the tire's date code: its age tells when to replace it. Nobody can say when it is due."
    )
    assert replacement["action"].startswith("Read the full identification number after DOT, often on the inner")
    inspection = only(answer, "tire_inspection", "steer.left")
    assert "find the tire's date code: its age tells when to have it inspected." in inspection["message"]
    # Hand: fitted 11 years ago it is too old whenever it was made.
    old = due(events=[{"kind": "tire_fitted", "done_on": "2015-05-01", "subject": "steer"}])
    assert only(old, "tire_replacement", "steer.left")["action"] == "Replace it, however deep its tread is."


def test_an_odometer_between_readings_is_told_as_an_estimate() -> None:
    """Hand: 10,000 mi on 4 May and 10,100 on 14 May: 10,020 on 6 May, due at 10,070, in the course of 11 May."""
    readings = [{"read_on": "2026-05-04", "reading": 10_000}, {"read_on": "2026-05-14", "reading": 10_100}]
    item = only(due(events=[work("2026-05-06", None)], odometer=readings), "wheel_nut_retorque", "drive.left")
    [rule] = item["rules"]
    assert (rule["due_at"], rule["due_on"], rule["projected"], rule["estimated"]) == (
        10_070.0,
        "2026-05-11",
        False,
        True,
    )
    assert "Due since 2026-05-11, estimated from odometer readings of other days" in item["message"]


def test_a_tire_recorded_for_its_age_does_not_ask_for_a_retorque_for_ever() -> None:
    fitted = {"kind": "tire_fitted", "done_on": "2021-03-10", "subject": "steer.left", "odometer": 9_000}
    answer = due(events=[fitted], odometer=[{"read_on": "2026-05-01", "reading": 47_000}])
    item = only(answer, "wheel_nut_retorque", "steer.left")
    assert (item["state"], item["due_on"]) == ("unknown", None)
    assert item["message"] == (
        "steer.left: tighten the wheel nuts again. Not recorded. The work lies so far back that tightening them again "
        "was due long ago, and nobody recorded it: record it if it was done; if nobody knows, check the nuts now."
    )


DEFAULTS = {
    "retorque": [{"due_after": 50.0, "overdue_after": 100.0}],
    "retorque_days": None,
    "pressure_check_months": 1,
    "pressure_check_before_trip_days": 1,
    "tire_inspection_from_months": 60,
    "tire_inspection_every_months": 12,
    "tire_replacement_months": 120,
    "weigh_months": 12,
    "weigh_after": None,
    "weigh_after_change": True,
}
"""Common practice, no source."""


def test_the_intervals_used_are_told_and_are_those_of_common_practice_if_none_are_sent() -> None:
    assert due()["policy"] == DEFAULTS
    assert due(policy=DEFAULTS)["policy"] == DEFAULTS
    others = {
        "retorque": [{"due_after": 10, "overdue_after": 20}, {"due_after": 25, "overdue_after": 25}],
        "retorque_days": 7,
        "pressure_check_months": 2,
        "pressure_check_before_trip_days": 0,
        "tire_inspection_from_months": 48,
        "tire_inspection_every_months": 6,
        "tire_replacement_months": 72,
        "weigh_months": 24,
        "weigh_after": 5000,
        "weigh_after_change": False,
    }
    assert due(policy=others)["policy"] == others


def test_a_rule_that_is_not_wanted_asks_for_nothing() -> None:
    unwanted = {
        "retorque": [],
        "pressure_check_months": None,
        "pressure_check_before_trip_days": None,
        "tire_replacement_months": None,
        "weigh_months": None,
        "weigh_after_change": False,
    }
    assert {each["kind"] for each in due(events=[work()], policy=unwanted)["items"]} == {"tire_inspection"}


def test_a_rule_says_whether_its_interval_is_the_callers_own() -> None:
    weighed = [{"kind": "weigh", "done_on": "2025-08-01", "subject": "rig"}]
    usual = only(due(events=weighed), "weigh")["rules"][0]
    own = only(due(events=weighed, policy={"weigh_months": 24}), "weigh")["rules"][0]
    assert usual["basis"] == "Common practice, no published source: a rig is weighed yearly"
    assert own["basis"] == f"Your own input: the interval. {usual['basis']}"
    assert (usual["due_on"], own["due_on"]) == ("2026-08-01", "2027-08-01")


# What contradicts itself, each at its entry.

FITTED = {"kind": "tire_fitted", "done_on": "2026-01-05", "subject": "steer"}
FAULTS: list[tuple[dict[str, Any], str, str, str | None, str]] = [
    ({"units": {"mass": "lb"}}, "inconsistent_units", "/units/distance", None, "a unit of distance"),
    (
        {"units": {"mass": "lb"}, "events": [work()]},
        "inconsistent_units",
        "/units/distance",
        None,
        '"mi" or "km"',
    ),
    (
        {"rig": {"id": "R", "tires": ["front.left", "front.left"]}},
        "inconsistent_name",
        "/rig/tires/1",
        '"front.left"',
        "each tire once",
    ),
    (
        {"rig": {"id": "R", "tires": ["rear.left.inner", "rear.left"]}},
        "inconsistent_fitment",
        "/rig/tires/0",
        '"rear.left.inner"',
        "rear.left, or rear.left.inner and rear.left.outer",
    ),
    (
        {"rig": {"id": "R", "tires": ["rear.left.outer"]}},
        "inconsistent_fitment",
        "/rig/tires/0",
        '"rear.left.outer"',
        "rear.left.inner beside it, or rear.left alone",
    ),
    (
        {"rig": {"id": "R", "tires": ["coach.rear.left", "rear.right"]}},
        "inconsistent_naming",
        "/rig/tires/1",
        '"rear.right"',
        "vehicle.rear.right, or no vehicle in any name",
    ),
    ({"as_of": "1899-12-31"}, "inconsistent_day", "/as_of", '"1899-12-31"', "1900-01-01 to 2200-12-31"),
    ({"trips": ["2026-06-01", "2201-01-01"]}, "inconsistent_day", "/trips/1", '"2201-01-01"', "1900-01-01 to 2200"),
    (
        {"events": [FITTED, work("2026-05-15")]},
        "inconsistent_day",
        "/events/1/done_on",
        '"2026-05-15"',
        "2026-05-14 or earlier",
    ),
    (
        {"odometer": [{"read_on": "2027-01-01", "reading": 1}]},
        "inconsistent_day",
        "/odometer/0/read_on",
        '"2027-01-01"',
        "2026-05-14 or earlier",
    ),
    (
        {"events": [{**FITTED, "tire_made_on": "2026-01-12"}]},
        "inconsistent_day",
        "/events/0/tire_made_on",
        '"2026-01-12"',
        "2026-01-05 or earlier",
    ),
    (
        {"events": [{**FITTED, "tire_made_on": "1026-01-12"}]},
        "inconsistent_day",
        "/events/0/tire_made_on",
        '"1026-01-12"',
        "1900-01-01 to 2200-12-31",
    ),
    (
        {"events": [work(subject="tag.left")]},
        "inconsistent_reference",
        "/events/0/subject",
        '"tag.left"',
        "rig, steer.left, steer.right, drive.left.inner",
    ),
    (
        {"events": [{**work(), "tire_life_months": 72}]},
        "inconsistent_event",
        "/events/0/tire_life_months",
        "72",
        "no `tire_life_months`, or kind `tire_fitted`",
    ),
    (
        {"events": [work("2026-05-10", 11_900.5)], "odometer": [{"read_on": "2026-05-01", "reading": 12_000}]},
        "inconsistent_odometer",
        "/events/0/odometer",
        "11900.5",
        "12,000.0 mi or more, or `old_reading` where the odometer changed",
    ),
    # Hand: 3,000 km (1,864.1 mi) a day at most; from one day to the next are two: 1,000 + 3,728.2 mi.
    (
        {"odometer": [{"read_on": "2026-05-01", "reading": 1_000}, {"read_on": "2026-05-02", "reading": 10_000}]},
        "inconsistent_odometer",
        "/odometer/1/reading",
        "10000.0",
        "4,728.2 mi or less",
    ),
    (
        {"policy": {"retorque": [{"due_after": 50, "overdue_after": 100}, {"due_after": 50, "overdue_after": 100}]}},
        "inconsistent_interval",
        "/policy/retorque/1/due_after",
        "50.0",
        "more than the one before",
    ),
    (
        {"policy": {"retorque": [{"due_after": 50, "overdue_after": 40}]}},
        "inconsistent_interval",
        "/policy/retorque/0/overdue_after",
        "40.0",
        "`due_after` or more",
    ),
    (
        {"policy": {"weigh_after": 10}},
        "inconsistent_magnitude",
        "/policy/weigh_after",
        "10",
        "62.14 to 621400 mi",
    ),
]


@pytest.mark.parametrize(("changes", "code", "pointer", "given_value", "allowed"), FAULTS)
def test_a_contradiction_is_told_at_its_entry(
    changes: dict[str, Any], code: str, pointer: str, given_value: str | None, allowed: str
) -> None:
    (fault,) = faults(**changes)
    assert (fault["code"], fault["pointer"], fault["given"]) == (code, pointer, given_value)
    assert fault["allowed"].startswith(allowed)


def test_all_contradictions_are_told_at_once() -> None:
    told = faults(
        units={"distance": "mi"},
        rig={"id": "R", "tires": ["front.left", "front.left", "rear.left.inner"]},
        events=[
            work("2026-05-20", 100, "tag"),
            {
                "kind": "weigh",
                "done_on": "2026-05-02",
                "subject": "front",
                "odometer": 90,
                "tire_made_on": "2026-05-03",
            },
        ],
        odometer=[
            {"read_on": "2026-04-01", "reading": 95},
            {"read_on": "2026-04-02", "reading": 94},
            {"read_on": "2026-04-03", "reading": 93},
        ],
        trips=["9999-12-31"],
        policy={"retorque": [{"due_after": 2, "overdue_after": 1}], "weigh_after": 10},
    )
    assert sorted((each["code"].removeprefix("inconsistent_"), each["pointer"]) for each in told) == [
        ("day", "/events/0/done_on"),
        ("day", "/events/1/tire_made_on"),
        ("day", "/trips/0"),
        ("event", "/events/1/tire_made_on"),
        ("fitment", "/rig/tires/2"),
        ("interval", "/policy/retorque/0/overdue_after"),
        ("magnitude", "/policy/weigh_after"),
        ("name", "/rig/tires/1"),
        ("odometer", "/events/1/odometer"),
        ("odometer", "/odometer/1/reading"),
        ("odometer", "/odometer/2/reading"),
        ("reference", "/events/0/subject"),
    ]


@pytest.mark.parametrize("name", ["rig.left", "rig.front.left", "rig.left.inner", "front", "Front.left", "a.b.c.left"])
def test_a_name_that_could_mean_the_whole_rig_or_no_tire_is_no_tire(name: str) -> None:
    body = document(rig={"id": "R", "tires": [name]})
    assert not REQUEST.is_valid(body)
    reply = posted("/v1/upkeep/due", body)
    assert (reply.status, reply.json["errors"][0]["code"]) == (422, "wrong_form")


def test_an_axle_may_be_called_rig_behind_the_name_of_its_vehicle() -> None:
    tires = ["coach.rig.left", "coach.rig.right", "car.front.left"]
    answer = due(rig={"id": "R", "tires": tires}, events=[work(subject="coach.rig")])
    retorques = [each["subject"] for each in answer["items"] if each["kind"] == "wheel_nut_retorque"]
    assert retorques == ["coach.rig.left", "coach.rig.right"]


# The calendar.

HISTORY: dict[str, Any] = {
    "events": [
        work(),
        {"kind": "weigh", "done_on": "2025-03-14", "subject": "rig"},
        {"kind": "pressure_check", "done_on": "2026-05-01", "subject": "rig"},
    ],
    "odometer": UNEVEN,
}


def test_the_calendar_has_every_item_on_its_day_under_its_identifier() -> None:
    items = due(**HISTORY)["items"]
    told = {
        each.uid.value: each.dtstart.value if hasattr(each, "dtstart") else None
        for each in entries(calendar(**HISTORY))
    }
    assert told == {each["uid"]: date.fromisoformat(each["due_on"]) if each["due_on"] else None for each in items}
    kinds = {each.uid.value: each.name for each in entries(calendar(**HISTORY))}
    assert all((kinds[each["uid"]] == "VEVENT") is (each["due_on"] is not None) for each in items)
    assert {each.dtstamp.value.astimezone(UTC) for each in entries(calendar(**HISTORY))} == {
        datetime(2026, 5, 14, tzinfo=UTC)
    }


def test_an_entry_says_what_to_do_when_and_why() -> None:
    rig = {"id": "R-7", "name": "Tern 7", "tires": TIRES}
    by_title = {each.summary.value: each.description.value for each in entries(calendar(rig=rig, **HISTORY))}
    lines = by_title["Tern 7, drive.left: tighten the wheel nuts again"].split("\n")
    assert lines[:2] == [
        "Due on 2026-05-15, projected, give or take 3 days; overdue after 2026-05-17. Seen from 2026-05-14.",
        "Counts from wheel work on 2026-05-14 at 12,100 mi.",
    ]
    assert lines[2].startswith(
        "From 50 mi after it (12,150 mi on the odometer), on 2026-05-15, projected, give or take 3 days; overdue "
        "beyond 100 mi (12,200 mi on the odometer), after 2026-05-17. Common practice, no published source: "
    )
    assert lines[3].startswith("Tighten to the torque that the vehicle's or wheel's maker states")
    assert lines[-1].startswith("These figures support judgement and do not replace it")
    assert "Overdue: it fell due on 2026-03-14." in by_title["Overdue – Tern 7: weigh the rig"]
    assert "R-7: weigh the rig" in calendar(**HISTORY).decode()


def test_a_calendar_written_again_after_the_day_has_moved_keeps_its_identifiers() -> None:
    """Hand: of 300 mi in two days from the 14th on, the first 50 are driven on the 14th, a day before the projected."""
    more = [*UNEVEN, {"read_on": "2026-05-16", "reading": 12_400}]
    before = {each.uid.value: each for each in entries(calendar(**HISTORY))}
    after = {each.uid.value: each for each in entries(calendar(**{**HISTORY, "odometer": more, "as_of": "2026-05-20"}))}
    assert before.keys() == after.keys()
    uid = only(due(**HISTORY), "wheel_nut_retorque", "drive.left")["uid"]
    days_told = [
        {key: each.dtstart.value for key, each in read.items() if hasattr(each, "dtstart")} for read in (before, after)
    ]
    assert [key for key in days_told[0] if days_told[0][key] != days_told[1][key]] == [uid]
    assert (days_told[0][uid], days_told[1][uid]) == (date(2026, 5, 15), date(2026, 5, 14))


def test_another_name_changes_no_identifier_and_another_id_changes_all() -> None:
    def uids(**rig: Any) -> set[str]:
        return {each.uid.value for each in entries(calendar(rig={"tires": TIRES, **rig}, **HISTORY))}

    assert uids(id="R-7") == uids(id="R-7", name="Gull 3")
    assert not uids(id="R-7") & uids(id="R-8")


def test_the_same_request_gives_the_same_bytes() -> None:
    assert calendar(**HISTORY) == calendar(**HISTORY)
    assert posted("/v1/upkeep/due", document(**HISTORY)).body == posted("/v1/upkeep/due", document(**HISTORY)).body


def test_a_rig_of_which_nothing_was_recorded_gives_a_calendar_of_to_dos_without_a_day() -> None:
    read = entries(calendar())
    assert {each.name for each in read} == {"VTODO"}
    assert len(read) == len(due()["items"]) == 14


def test_a_faulty_request_for_a_calendar_is_a_problem_document() -> None:
    reply = posted("/v1/upkeep/calendar", {"units": "us"})
    assert (reply.status, reply.problem_type) == (422, "invalid")
    assert posted("/v1/upkeep/calendar", document(rig={"tires": TIRES})).status == 422


# Whatever is sent.


@settings(max_examples=150, deadline=None)
@given(histories.histories())
def test_every_history_that_holds_together_is_answered_by_the_published_schema(body: dict[str, Any]) -> None:
    REQUEST.validate(body)
    reply, file = posted("/v1/upkeep/due", body), posted("/v1/upkeep/calendar", body)
    assert (reply.status, file.status) == (200, 200), reply.body
    answer = reply.json
    ANSWER.validate(answer)
    assert {each.uid.value for each in entries(file.body)} == {each["uid"] for each in answer["items"]}
    assert len({each["uid"] for each in answer["items"]}) == len(answer["items"])
    for item in answer["items"]:
        days_told = [rule["due_on"] for rule in item["rules"] if rule["due_on"]]
        assert item["due_on"] == min(days_told, default=None)
        assert (item["unknown_because"] is None) is all(rule["unknown_because"] is None for rule in item["rules"])
        assert item["state"] != "later" or item["due_on"] > body["as_of"]
