"""What a weigh ticket carries besides readings: echoed, judged, and refused where it contradicts itself."""

import json
import math
from typing import Any

import pytest

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import send
from tests.api.test_assess import assessed, faults
from tests.api.test_contradictions import Change, add, drop, put
from tests.documents import weighed

PASSES = "/session/passes"
SIDE, AXLES = f"{PASSES}/0", f"{PASSES}/1"
READING = f"{SIDE}/readings/0"
SCALE = "/session/scale"


def changed(*changes: Change) -> dict[str, Any]:
    """Return the whole request without anything beside its readings, changed."""
    document = weighed()
    for name in ("identity", "sealed_on"):
        document["session"]["scale"].pop(name, None)
    for each in document["session"]["passes"]:
        for name in ("ticket", "time", "zero_seen", "total"):
            each.pop(name, None)
    for change in changes:
        change(document)
    return document


def answered(*changes: Change) -> Any:
    """Return the answer to the changed request."""
    reply = assessed(changed(*changes))
    assert reply.status == 200, reply.body
    return reply.json


def found(answer: Any, code: str) -> list[tuple[str, str]]:
    """Return severity and subject of the findings of a code."""
    return [(each["severity"], each["subject"]) for each in answer["findings"] if each["code"] == code]


def total(value: float, *, independent: bool = False) -> dict[str, Any]:
    return {"value": value, "independent": independent}


def test_the_record_is_told_as_it_was_sent() -> None:
    answer = answered(
        put(f"{SCALE}/identity", "serial 40-1175"),
        put(f"{SCALE}/sealed_on", "2025-09-03"),
        put(f"{SIDE}/ticket", "A-2207-1"),
        put(f"{SIDE}/time", "08:05"),
        put(f"{SIDE}/zero_seen", value=True),
        put(f"{SIDE}/total", total(11720)),
    )
    record = answer["reconciliation"]["record"]
    assert {name: value for name, value in record.items() if name != "passes"} == {
        "weighed_on": "2026-05-14",
        "ticket": "A-2207",
        "scale_identity": "serial 40-1175",
        "sealed_on": "2025-09-03",
        "unknown_because": None,
    }
    assert record["passes"][0] == {
        "name": "right wheels",
        "ticket": "A-2207-1",
        "time": "08:05",
        "zero_seen": True,
        "state": "solo",
        "total": 11720.0,
        "total_independent": False,
        "sum_of_readings": 11720.0,
        "total_agrees": True,
        "unknown_because": None,
    }


def test_what_was_not_sent_is_null_and_named() -> None:
    record = answered(drop("/session/weighed_on"), drop("/session/ticket"))["reconciliation"]["record"]
    assert record["unknown_because"] == "Not sent: weighed_on, ticket, scale_identity, sealed_on."
    assert [record[name] for name in ("weighed_on", "ticket", "scale_identity", "sealed_on")] == [None] * 4
    assert [each["unknown_because"] for each in record["passes"]] == ["Not sent: ticket, time, zero_seen, total."] * 2
    assert [each["sum_of_readings"] for each in record["passes"]] == [11720.0, 23200.0]
    assert [each["total_agrees"] for each in record["passes"]] == [None, None]


@pytest.mark.parametrize(
    ("printed", "severities", "agrees"),
    [
        (23200, [], True),
        (23220, ["info"], True),  # 1 d; two sections and their total, rounded apart, differ by up to 1.5 d
        (23180, ["info"], True),
        (23240, ["warning"], False),
        (23020, ["warning"], False),  # two digits swapped
    ],
)
def test_a_total_that_copies_the_readings_is_held_against_their_sum(
    printed: float, severities: list[str], agrees: bool
) -> None:
    answer = answered(put(f"{AXLES}/total", total(printed)))
    assert found(answer, "total_differs") == [(each, "axles") for each in severities]
    assert answer["reconciliation"]["record"]["passes"][1]["total_agrees"] is agrees
    assert [each["platform"] for each in answer["reconciliation"]["readings"]] == ["A", "B", "A", "B"]


def test_a_differing_total_says_by_how_much() -> None:
    (finding,) = (
        each for each in answered(put(f"{AXLES}/total", total(23240)))["findings"] if each["code"] == "total_differs"
    )
    assert finding["message"] == (
        "Pass axles: its readings add up to 23,200 lb, its total is 23,240 lb. They differ by 40 lb; rounding apart "
        "explains up to 30 lb."
    )
    assert finding["action"].startswith("Compare readings and total with the ticket")


def test_the_total_of_one_reading_is_that_reading() -> None:
    document = changed()
    document["session"]["passes"][0]["readings"].pop()
    document["session"]["passes"][0]["total"] = total(3260)
    answer = assessed(document).json
    assert found(answer, "total_differs") == [("warning", "right wheels")]
    document["session"]["passes"][0]["total"] = total(3240)
    assert found(assessed(document).json, "total_differs") == []


def test_an_independent_total_is_one_more_reading() -> None:
    without, answer = answered(), answered(put(f"{AXLES}/total", total(23500, independent=True)))
    assert [each["degrees_of_freedom"] for each in without["reconciliation"]["parts"]] == [0, 0]
    (part,) = answer["reconciliation"]["parts"]
    assert part["degrees_of_freedom"] == 1
    names = [f"{each['pass_name']} / {each['platform']}" for each in answer["reconciliation"]["readings"]]
    assert names == ["right wheels / A", "right wheels / B", "axles / A", "axles / B", "axles / total"]
    # hand: 300 lb against the variances d^2/12 + placement^2 + tolerance^2/3 of 6,380, 16,820 and 23,500 lb, d = 20 lb
    variance = (
        (20**2 / 12 + 10**2 + 20**2 / 3) + (20**2 / 12 + 16.82**2 + 40**2 / 3) + (20**2 / 12 + 23.5**2 + 60**2 / 3)
    )
    assert part["statistic"] == pytest.approx(300**2 / variance, rel=1e-4)
    assert part["agrees"] is False
    assert "axles / total" in answer["reconciliation"]["suspects"]
    assert found(answer, "total_differs") == []
    record = answer["reconciliation"]["record"]["passes"][1]
    assert (record["total"], record["sum_of_readings"], record["total_agrees"]) == (23500.0, 23200.0, None)
    assert record["unknown_because"] == (
        "Not sent: ticket, time, zero_seen. An independent total is judged among the readings."
    )


def test_an_independent_total_that_agrees_makes_the_weight_surer() -> None:
    without, answer = answered(), answered(put(f"{AXLES}/total", total(23200, independent=True)))
    assert answer["reconciliation"]["parts"][0]["agrees"] is True
    assert answer["rig"]["load"] == pytest.approx(without["rig"]["load"], abs=0.1)
    assert answer["rig"]["standard_uncertainty"] < without["rig"]["standard_uncertainty"]


def test_an_independent_total_of_raised_pads_is_raised_too() -> None:
    """Hand: platform and total are each off by 2 % of 16,820 lb, so that they may differ by 1.96 sqrt(2) of that."""
    one_sum = {"platform": "A", "value": 16820, "wheel_ends": ["drive.left", "drive.right", "tag.left", "tag.right"]}
    pads = put(f"{SCALE}/platforms/0/kind", "pad")
    readings = put(f"{PASSES}", [{"name": "rear", "readings": [one_sum], "total": total(16820, independent=True)}])
    pad, whole = answered(pads, readings)["reconciliation"]["readings"]
    assert (pad["platform"], whole["platform"]) == ("A", "total")
    assert whole["allowed"] > 1.96 * math.sqrt(2) * 0.02 * 16820


@pytest.mark.parametrize("independent", [False, True])
def test_no_platform_is_called_as_the_independent_totals_are(independent: bool) -> None:
    document = changed(
        add(f"{SCALE}/platforms", {"name": "total"}),
        put(f"{READING}/platform", "total"),
        put(f"{AXLES}/total", total(23200, independent=independent)),
    )
    if independent:
        assert faults(document) == {
            ("inconsistent_name", f"{SCALE}/platforms/2/name"),
            ("inconsistent_name", f"{READING}/platform"),
        }
    else:
        assert assessed(document).status == 200


def test_the_display_at_zero_is_told_for_each_pass() -> None:
    nobody = answered()
    assert found(nobody, "zero_not_stated") == [("notice", "session")]
    (message,) = (each["message"] for each in nobody["findings"] if each["code"] == "zero_not_stated")
    assert "right wheels; axles." in message
    off = answered(put(f"{SIDE}/zero_seen", value=False), put(f"{AXLES}/zero_seen", value=True))
    assert found(off, "zero_not_seen") == [("warning", "right wheels")]
    assert found(off, "zero_not_stated") == []


@pytest.mark.parametrize(
    ("accuracy_class", "value", "is_small"),
    [("III L", 980, True), ("III L", 1000, False), ("III", 380, True), ("III", 400, False), ("IIII", 180, True)],
)
def test_a_reading_of_few_divisions_is_told(accuracy_class: str, value: float, is_small: bool) -> None:
    rest = put(PASSES, [{"name": "hitch", "readings": [{"platform": "A", "value": value, "wheel_ends": ["tag.left"]}]}])
    answer = answered(rest, put(f"{SCALE}/accuracy_class", accuracy_class))
    assert found(answer, "reading_small") == [("notice", "session")] * is_small


def test_small_readings_are_named_together() -> None:
    answer = answered(put(f"{READING}/value", 900))
    (message,) = (each["message"] for each in answer["findings"] if each["code"] == "reading_small")
    assert message.endswith("right wheels / A (under 50 divisions).")


@pytest.mark.parametrize(
    ("sealed_on", "is_old"), [("2024-05-13", True), ("2024-05-14", False), ("2026-05-14", False), (None, False)]
)
def test_a_seal_older_than_two_years_is_told(sealed_on: str | None, is_old: bool) -> None:
    answer = answered(put(f"{SCALE}/sealed_on", sealed_on), put(f"{SCALE}/identity", "yard scale"))
    assert found(answer, "seal_old") == [("notice", "yard scale")] * is_old


def test_no_seal_is_old_where_nobody_told_the_day_of_the_weigh() -> None:
    answer = answered(put(f"{SCALE}/sealed_on", "1990-01-01"), drop("/session/weighed_on"))
    assert found(answer, "seal_old") == []


def test_separate_drafts_are_no_weight_for_commerce() -> None:
    assert any("separate drafts is not a legal-for-trade weight" in each for each in answered()["cautions"])


@pytest.mark.parametrize("time", ["00:00", "08:05", "23:59:59"])
def test_a_time_of_day_is_taken_as_the_ticket_prints_it(time: str) -> None:
    assert answered(put(f"{SIDE}/time", time))["reconciliation"]["record"]["passes"][0]["time"] == time


REFUSED: dict[str, tuple[Change, set[tuple[str, str]]]] = {
    "no pass": (put(PASSES, []), {("too_few", PASSES)}),
    "a pass without readings": (put(f"{SIDE}/readings", []), {("too_few", f"{SIDE}/readings")}),
    "a pass that names no readings": (drop(f"{SIDE}/readings"), {("missing", f"{SIDE}/readings")}),
    "a platform with no wheel on it": (put(f"{READING}/wheel_ends", []), {("too_few", f"{READING}/wheel_ends")}),
    "a platform that names no wheels": (drop(f"{READING}/wheel_ends"), {("missing", f"{READING}/wheel_ends")}),
    "two passes of one name": (put(f"{AXLES}/name", "right wheels"), {("inconsistent_name", f"{AXLES}/name")}),
    "a weight of nothing": (put(f"{READING}/value", 0), {("below_minimum", f"{READING}/value")}),
    "a negative weight": (put(f"{READING}/value", -20), {("below_minimum", f"{READING}/value")}),
    "a weight of a million tons": (put(f"{READING}/value", 1e9), {("above_maximum", f"{READING}/value")}),
    "a weight as text": (put(f"{READING}/value", "3240"), {("wrong_type", f"{READING}/value")}),
    "a weight of a reading in tons": (put(f"{READING}/value", 0.1), {("inconsistent_magnitude", f"{READING}/value")}),
    "a total of nothing": (put(f"{SIDE}/total", {"value": 0}), {("below_minimum", f"{SIDE}/total/value")}),
    "a total without its object": (put(f"{SIDE}/total", 11720), {("wrong_type", f"{SIDE}/total")}),
    "an independent total beyond the class": (
        put(f"{SIDE}/total", {"value": 210_000, "independent": True}),
        {("inconsistent_reading", f"{SIDE}/total/value")},
    ),
    "a time past midnight": (put(f"{SIDE}/time", "24:00"), {("wrong_form", f"{SIDE}/time")}),
    "a time without its zero": (put(f"{SIDE}/time", "8:05"), {("wrong_form", f"{SIDE}/time")}),
    "a time with a line feed": (put(f"{SIDE}/time", "08:05\n"), {("wrong_form", f"{SIDE}/time")}),
    "zero seen in words": (put(f"{SIDE}/zero_seen", "yes"), {("wrong_type", f"{SIDE}/zero_seen")}),
    "a day that no calendar has": (put(f"{SCALE}/sealed_on", "2026-02-30"), {("wrong_form", f"{SCALE}/sealed_on")}),
    "a seal after the weigh": (
        put(f"{SCALE}/sealed_on", "2026-05-15"),
        {("inconsistent_day", f"{SCALE}/sealed_on")},
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_malformed_session_is_refused_where_it_is_wrong(case: str) -> None:
    change, expected = REFUSED[case]
    assert faults(changed(change)) == expected


def test_a_platform_read_twice_in_a_pass_is_told_what_to_do() -> None:
    (fault,) = assessed(changed(put(f"{SIDE}/readings/1/platform", "A"))).json["errors"]
    assert fault["pointer"] == f"{SIDE}/readings/1/platform"
    assert fault["message"] == "A platform gives one reading in a pass; it is named here a second time."
    assert fault["allowed"] == "each platform once in a pass; what it showed at another time is another pass"


@pytest.mark.parametrize("literal", ["NaN", "Infinity"])
def test_a_weight_that_is_no_number_is_no_json(literal: str) -> None:
    body = json.dumps(changed(put(f"{READING}/value", 777777))).replace("777777", literal).encode()
    reply = send(create_app(Settings()), "POST", "/v1/assess", body, {"Content-Type": "application/json"})
    assert (reply.status, reply.problem_type) == (400, "not-json")
    assert reply.json["detail"] == f"{literal} is not a JSON number (at byte {body.index(literal.encode())})."


def test_a_listed_platform_that_nothing_stood_on_changes_nothing() -> None:
    assert answered(add(f"{SCALE}/platforms", {"name": "C"})) == answered()


def test_what_is_aboard_at_no_place_of_the_rig_is_told() -> None:
    def told(**carried: Any) -> dict[str, str]:
        document = changed()
        document["session"]["carried"] = carried
        return {each["code"]: each["message"] for each in assessed(document).json["findings"]}

    people = [{"mass": 160, "place": "driver_seat"}]
    tanks = [{"name": "fresh", "level": 1}, {"name": "fuel", "level": 0.5}]
    somewhere = told(people=people, cargo=[{"mass": 30, "place": "cellar"}], tanks=tanks)
    assert "these names: cellar." in somewhere["carried_nowhere"]
    assert "tank_levels_unknown" not in somewhere
    untold = told(people=people, tanks=tanks[:1])
    assert "carried_nowhere" not in untold
    assert "not told: fuel." in untold["tank_levels_unknown"]
