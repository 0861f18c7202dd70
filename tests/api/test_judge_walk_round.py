"""A walk round judged over HTTP: 49 CFR 393.75 and common practice by hand, refusals, and what nobody noted."""

import json
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.contract.published import component, validator_of
from tests.rigs import walk_rounds

APP = create_app(Settings())
MAY = "2026-05-14"


def posted(document: dict[str, Any]) -> Reply:
    body = json.dumps(document).encode()
    return send(APP, "POST", "/v1/upkeep/walk-round", body, {"Content-Type": "application/json"})


def judged(units: Any = "us", **document: Any) -> Any:
    reply = posted({"units": units, "as_of": MAY, **document})
    assert reply.status == 200, reply.body
    return reply.json


def faults(units: Any = "us", **document: Any) -> list[tuple[str, str, str | None, str | None]]:
    reply = posted({"units": units, "as_of": MAY, **document})
    assert reply.status == 422, reply.body
    return [(each["code"], each["pointer"], each["given"], each["allowed"]) for each in reply.json["errors"]]


def told(answer: Any) -> list[tuple[str, str, str]]:
    return [
        (one["code"], one["severity"], one["subject"])
        for one in answer["findings"]
        if one["code"] not in ("not_noted", "within_legal_height", "above_legal_height")
    ]


def messages(answer: Any, code: str) -> list[str]:
    return [one["message"] for one in answer["findings"] if one["code"] == code]


# 49 CFR 393.75(b), (c): 4/32 in on front wheels, 2/32 in elsewhere; the notice within 1/32 in is judgement.
@pytest.mark.parametrize(
    ("steers", "depth", "expected"),
    [
        (False, 0.0624, [("tread_below_least", "critical")]),
        (False, 0.0625, [("tread_near_least", "notice")]),
        (False, 0.09375, []),
        (True, 0.0624, [("tread_below_least", "critical")]),
        (True, 0.1249, [("tread_below_least", "critical")]),
        (True, 0.125, [("tread_near_least", "notice")]),
        (True, 0.15625, []),
    ],
)
def test_the_shallowest_groove_is_judged_by_the_yardstick(
    steers: bool, depth: float, expected: list[tuple[str, str]]
) -> None:
    tire = {"name": "front.left", "steers": steers, "grooves": [{"depth": 0.4}, {"depth": depth}, {"depth": 0.3}]}
    found = told(judged(tires=[tire]))
    assert found == [(code, severity, "front.left") for code, severity in expected]


@pytest.mark.parametrize(
    ("units", "depth", "text"),
    [
        ("us", 0.0394, "0.0394 in deep at its least, below 0.0625 in"),
        ("metric", 1.0, "1.0 mm deep at its least, below 1.6 mm"),
        ({"length": "m", "pressure": "bar"}, 0.001, "0.0010 m deep at its least, below 0.0016 m"),
    ],
)
def test_treads_are_told_more_finely_than_places(units: Any, depth: float, text: str) -> None:
    answer = judged(units, tires=[{"name": "tag.left", "grooves": [{"depth": depth}]}])
    [message] = messages(answer, "tread_below_least")
    assert message == f"The tread of tag.left is {text}."


# Hand: 0.12499 in is under 4/32 in = 0.125 in and prints 0.1250; 1.56 mm is under 2/32 in = 1.5875 mm.
@pytest.mark.parametrize(
    ("units", "steers", "depth", "text"),
    [
        ("us", True, 0.12499, "0.12499 in deep at its least, below 0.12500 in"),
        ("metric", False, 1.56, "1.56 mm deep at its least, below 1.59 mm"),
    ],
)
def test_a_tread_just_under_its_least_is_not_printed_as_the_least(
    units: Any, steers: bool, depth: float, text: str
) -> None:
    answer = judged(units, tires=[{"name": "a.left", "steers": steers, "grooves": [{"depth": depth}]}])
    assert messages(answer, "tread_below_least") == [f"The tread of a.left is {text}."]
    [finding] = [one for one in answer["findings"] if one["code"] == "tread_below_least"]
    assert "binds commercial vehicles" in finding["action"]


def test_heights_just_passed_and_just_touched_are_told_without_contradiction() -> None:
    """Hand: 150 in under 150.01 in leave 0.01 in; under 155.99 in 5.99 in, which is less than 6 in."""
    heights = [{"name": "arch", "height": 150}, {"name": "sill", "height": 150.01}, {"name": "door", "height": 155.99}]
    answer = judged(overall_height=150, heights=heights)
    [touching] = messages(answer, "height_does_not_pass")
    assert touching.startswith("The rig is 150.0 in high and leaves nothing under arch of 150.0 in: to pass, it would")
    assert messages(answer, "height_passes_tightly") == [
        "The rig, 150.00 in high, has 0.01 in left under sill of 150.01 in: less than the 6.00 in wanted.",
        "The rig, 150.00 in high, has 5.99 in left under door of 155.99 in: less than the 6.00 in wanted.",
    ]
    assert [(each["height"], each["clearance"]) for each in answer["clearances"]] == [
        (150.0, 0.0),
        (150.01, 0.01),
        (155.99, 5.99),
    ]
    # Hand: 13 ft 6 in are 162 in.
    at_the_limit = messages(judged(overall_height=162), "within_legal_height")[0]
    assert at_the_limit.startswith("The rig is 162.0 in high and keeps the limit of 162.0 in with 0.0 in to spare (13")


def test_the_policy_is_told_with_its_defaults() -> None:
    # Hand: 6 in are 152.4 mm, 1/32 in 0.79 mm, 4/32 in 3.18 mm, 1/4 in 6.35 mm, 5 psi 34.5 kPa.
    assert judged("metric", overall_height=3500)["policy"] == {
        "least_clearance": 152,
        "tread_notice": 0.8,
        "most_tread_difference": 3.2,
        "most_diameter_difference": 6.3,
        "most_pressure_difference": 34.5,
        "tire_inspection_from_months": 60,
        "tire_replacement_months": 120,
        "unknown_because": None,
    }


def test_a_kind_of_quantity_that_nothing_is_of_needs_no_unit() -> None:
    answer = judged({"length": "m"}, overall_height=3.5)
    assert (answer["policy"]["least_clearance"], answer["policy"]["most_pressure_difference"]) == (0.152, None)
    assert "no unit" in answer["policy"]["unknown_because"]
    looked = judged({}, tires=[{"name": "a.left", "damages": ["bulge"]}])
    assert told(looked) == [("tire_unfit", "critical", "a.left")]
    assert looked["policy"]["tread_notice"] is None


def test_a_policy_of_the_callers_decides() -> None:
    def tires(depth: float) -> list[dict[str, Any]]:
        return [
            {"name": "drive.left.inner", "grooves": [{"depth": 0.25}], "pressure": 100, "outer_diameter": 30},
            {"name": "drive.left.outer", "grooves": [{"depth": depth}], "pressure": 104, "outer_diameter": 30.2},
        ]

    strict = {"most_tread_difference": 0.05, "most_pressure_difference": 3, "most_diameter_difference": 0.1}
    assert told(judged(tires=tires(0.35))) == []
    assert [code for code, _, _ in told(judged(tires=tires(0.35), policy=strict))] == [
        "mates_differ_in_tread",
        "mates_differ_in_diameter",
        "mates_differ_in_pressure",
    ]
    months = {"tire_inspection_from_months": 12, "tire_replacement_months": 24}
    old = [{"name": "tag.left", "made_on": "2024-05-13"}]
    assert told(judged(tires=old)) == []
    assert told(judged(tires=old, policy=months)) == [("tire_past_age", "warning", "tag.left")]
    height = {"overall_height": 150, "heights": [{"name": "gate", "height": 160}]}
    assert told(judged(**height, policy={"least_clearance": 12})) == [("height_passes_tightly", "warning", "rig")]
    near = [{"name": "tag.left", "grooves": [{"depth": 0.2}]}]
    assert told(judged(tires=near, policy={"tread_notice": 0.2})) == [("tread_near_least", "notice", "tag.left")]


def test_heights_are_passed_or_not_with_what_is_left() -> None:
    answer = judged(
        "metric",
        overall_height=3850,
        heights=[{"name": "arch", "height": 3800}, {"name": "deck", "height": 3950}, {"name": "door", "height": 4400}],
    )
    assert [(each["name"], each["clearance"]) for each in answer["clearances"]] == [
        ("arch", -50),
        ("deck", 100),
        ("door", 550),
    ]
    assert told(answer) == [
        ("height_does_not_pass", "critical", "rig"),
        ("height_passes_tightly", "warning", "rig"),
        ("height_passes", "info", "rig"),
    ]
    # Directive 96/53/EC, annex I, 1.3: 4.00 m.
    assert messages(answer, "within_legal_height")[0].startswith(
        "The rig is 3,850 mm high and keeps the limit of 4,000 mm with 150 mm to spare (European Union"
    )
    assert messages(answer, "within_legal_height")[1].endswith(
        "4,115 mm with 265 mm to spare (13 ft 6 in, many of the United States)."
    )


def test_heights_without_the_rigs_own_are_not_judged_and_said_so() -> None:
    answer = judged(heights=[{"name": "arch", "height": 150}])
    assert told(answer) == [("height_not_measured", "warning", "rig")]
    [clearance] = answer["clearances"]
    assert (clearance["clearance"], clearance["unknown_because"]) == (None, "`overall_height` was not sent.")
    [topic] = answer["judged"]
    assert (topic["what"], topic["judged"], topic["not_judged"]) == ("overall_height", [], ["rig"])


def test_an_identification_number_gives_the_age() -> None:
    # Week 25 of 2019 begins on 17 June by ISO 8601 and on 23 June by 49 CFR 574.5: six completed years on 14 May 2026.
    answer = judged(tires=[{"name": "tag.left", "identification": "DOT 1AB 2C 3D4E 2519"}])
    assert told(answer) == [("tire_ages", "notice", "tag.left")]
    [age] = answer["ages"]
    assert age == {
        "name": "tag.left",
        "first_day": "2019-06-17",
        "last_day": "2019-06-29",
        "least_years": 6,
        "most_years": 6,
        "doubts": [],
        "unknown_because": None,
    }


def test_an_open_decade_is_a_span_of_ages_and_no_guess() -> None:
    answer = judged(tires=[{"name": "tag.left", "identification": "AB CD EF1 031"}])
    assert told(answer) == [("tire_age_open", "warning", "tag.left")]
    [message] = messages(answer, "tire_age_open")
    # Published: owner's manual of a van maker (2006), page 197: 031 is the third week of 1981 or 1991.
    assert message.startswith("tag.left was made from 1981-01-12 to 1991-01-26")
    assert message.endswith("it is 35 to 45 years old.")
    assert [each["code"] for each in answer["ages"][0]["doubts"]] == ["decade_open"]


def test_a_partial_number_gives_no_age_and_says_where_the_date_is() -> None:
    answer = judged(tires=[{"name": "tag.left", "identification": "1AB2C3D4E"}])
    assert answer["ages"][0]["least_years"] is None
    assert "other side of the tire" in answer["ages"][0]["unknown_because"]
    assert told(answer) == [("tire_date_on_other_side", "info", "tag.left")]
    assert not [one for one in answer["findings"] if one["code"] == "not_noted" and "the age of" in one["message"]]


def test_a_number_whose_four_digits_are_yet_to_come_is_read_with_three() -> None:
    # Hand: week 10 of 2031 is yet to come; 031 is the third week of 1981 or 1991.
    answer = judged(tires=[{"name": "tag.left", "identification": "AB CD EF1031"}])
    assert told(answer) == [("tire_age_open", "warning", "tag.left")]
    assert (answer["ages"][0]["least_years"], answer["ages"][0]["most_years"]) == (35, 45)


def test_the_date_of_a_retread_is_not_told_as_that_of_the_casing() -> None:
    answer = judged(tires=[{"name": "tag.left", "identification": "R ABC 2525"}])
    assert told(answer) == [("tire_date_of_retreading", "notice", "tag.left")]
    assert [each["code"] for each in answer["ages"][0]["doubts"]] == ["retread"]
    without_gaps = judged(tires=[{"name": "tag.left", "identification": "ABC0119"}])
    assert [code for code, _, _ in told(without_gaps)] == ["tire_ages", "tire_date_ambiguous"]


def test_a_tire_of_a_leap_day_has_one_age() -> None:
    tires = [{"name": "tag.left", "made_on": "2016-02-29"}]
    answer = posted({"units": "us", "as_of": "2026-02-28", "tires": tires}).json
    assert messages(answer, "tire_past_age")[0].startswith("tag.left, dated to the week of 2016-02-29, is 10 years old")
    assert (answer["ages"][0]["least_years"], answer["ages"][0]["most_years"]) == (10, 10)


def test_the_pressure_of_a_single_tire_is_not_judged_and_said_so() -> None:
    tires = [{"name": "a.left", "pressure": 20}, {"name": "a.right"}]
    [topic] = [each for each in judged(tires=tires)["judged"] if each["what"] == "single_pressure"]
    assert (topic["judged"], topic["not_judged"]) == ([], ["a.left"])
    assert topic["unknown_because"].startswith("A single tire has no mate to compare its pressure with")


def test_a_dual_with_one_tire_as_good_as_flat_is_critical() -> None:
    tires = [{"name": "a.left.inner", "pressure": 60}, {"name": "a.left.outer", "pressure": 100}]
    assert told(judged(tires=tires)) == [("mates_differ_in_pressure", "critical", "a.left")]


def test_damage_stems_and_legal_heights_are_told_in_words() -> None:
    tire = {"name": "tag.left", "damages": ["bulge", "uneven_wear", "bulge"], "stem": "leaking", "has_valve_cap": False}
    answer = judged(tires=[tire], overall_height=165)
    assert told(answer) == [
        ("tire_unfit", "critical", "tag.left"),
        ("valve_stem_unsound", "critical", "tag.left"),
        ("tire_damaged", "notice", "tag.left"),
        ("valve_cap_missing", "notice", "tag.left"),
    ]
    assert messages(answer, "tire_unfit") == ["tag.left is not fit to drive on: a bulge."]
    assert messages(answer, "valve_stem_unsound") == ["The valve stem of tag.left is leaking."]
    assert "3.0 in above the limit of 162.0 in" in messages(answer, "above_legal_height")[1]


@pytest.mark.parametrize(
    ("inner", "outer", "expected"),
    [
        ("LT235/85R16 E", "lt 235/85 r16", []),
        ("LT235/85R16 E", "LT235/85R16 LR E", []),
        ("LT235/85R16 E", "LT235/85R16 F", ["mates_differ_in_designation"]),
        ("LT235/85R16", "LT225/75R16", ["mates_differ_in_designation"]),
    ],
)
def test_sizes_of_a_dual_are_compared_as_read_and_not_as_spelled(inner: str, outer: str, expected: list[str]) -> None:
    tires = [{"name": "drive.left.inner", "designation": inner}, {"name": "drive.left.outer", "designation": outer}]
    assert [code for code, _, _ in told(judged(tires=tires))] == expected


def test_what_was_judged_and_what_was_not_is_told() -> None:
    answer = judged(
        tires=[
            {"name": "drive.left.inner", "pressure": 90, "damages": [], "has_valve_cap": False},
            {"name": "drive.left.outer", "damages": None, "stem": "sound"},
        ]
    )
    topics = {each["what"]: (each["judged"], each["not_judged"]) for each in answer["judged"]}
    assert topics == {
        "overall_height": ([], ["rig"]),
        "tread": ([], ["drive.left.inner", "drive.left.outer"]),
        "age": ([], ["drive.left.inner", "drive.left.outer"]),
        "damage": (["drive.left.inner"], ["drive.left.outer"]),
        "valve_stem": (["drive.left.outer"], ["drive.left.inner"]),
        "valve_cap": (["drive.left.inner"], ["drive.left.outer"]),
        "dual_designation": ([], ["drive.left"]),
        "dual_tread": ([], ["drive.left"]),
        "dual_diameter": ([], ["drive.left"]),
        "dual_pressure": ([], ["drive.left"]),
    }
    assert ("mates_not_compared", "notice", "drive.left") in told(answer)


def test_findings_stand_worst_first() -> None:
    order = ["critical", "warning", "notice", "info"]
    tires = [{"name": "a.left", "stem": "cracked"}, {"name": "b.left", "damages": ["separation"]}]
    found = [one["severity"] for one in judged(tires=tires)["findings"]]
    assert found == sorted(found, key=order.index)
    assert found[:2] == ["critical", "warning"]


@pytest.mark.parametrize(
    ("document", "expected"),
    [
        ({}, ("inconsistent_choice", "", None, "tires, overall_height, heights, or several of them")),
        (
            {"tires": [{"name": "a.left"}, {"name": "a.left"}]},
            ("inconsistent_name", "/tires/1/name", '"a.left"', "a name that no other has"),
        ),
        (
            {"tires": [{"name": "a.left"}, {"name": "a.left.inner"}]},
            (
                "inconsistent_fitment",
                "/tires/1/name",
                '"a.left.inner"',
                "a.left alone, or a.left.inner and a.left.outer",
            ),
        ),
        (
            {"heights": [{"name": "gate", "height": 150}, {"name": "gate", "height": 160}]},
            ("inconsistent_name", "/heights/1/name", '"gate"', "a name that no other has"),
        ),
        (
            {"tires": [{"name": "a.left", "designation": "235/85/16"}]},
            ("inconsistent_marking", "/tires/0/designation", '"235/85/16"', "R, ZR, D or B, or a dash"),
        ),
        (
            {"tires": [{"name": "a.left", "identification": "AB CO 2519"}]},
            (
                "inconsistent_identification",
                "/tires/0/identification",
                '"AB CO 2519"',
                "a digit or a letter, none of G, I, O, Q, S and Z",
            ),
        ),
        (
            {"tires": [{"name": "a.left", "identification": "AB CD 2526"}]},
            (
                "inconsistent_identification",
                "/tires/0/identification",
                '"AB CD 2526"',
                "a number whose week is not yet to come",
            ),
        ),
        (
            {"tires": [{"name": "a.left", "made_on": "2026-05-15"}]},
            ("inconsistent_day", "/tires/0/made_on", '"2026-05-15"', "2026-05-14 or earlier"),
        ),
        (
            {"tires": [{"name": "a.left", "made_on": "1066-10-14"}]},
            ("inconsistent_day", "/tires/0/made_on", '"1066-10-14"', "1900-01-01 to 2200-12-31"),
        ),
        (
            {"tires": [{"name": "a.left", "made_on": "2019-06-17", "identification": "2519"}]},
            ("inconsistent_choice", "/tires/0", None, "made_on, or identification"),
        ),
        (
            {"overall_height": 11.5},
            ("inconsistent_magnitude", "/overall_height", "11.5", "19.69 to 236.2 in"),
        ),
    ],
)
def test_what_contradicts_itself_is_refused(document: dict[str, Any], expected: tuple[Any, ...]) -> None:
    assert faults(**document) == [expected]


def test_a_day_that_is_none_is_refused() -> None:
    reply = posted({"units": "us", "as_of": "9999-12-31", "overall_height": 150})
    assert [each["pointer"] for each in reply.json["errors"]] == ["/as_of"]


def test_units_of_what_was_sent_are_needed_and_each_is_told_once() -> None:
    found = faults({}, tires=[{"name": "a.left", "grooves": [{"depth": 0.2}, {"depth": 0.3}], "pressure": 90}])
    assert [(code, pointer) for code, pointer, _, _ in found] == [
        ("inconsistent_units", "/units/length"),
        ("inconsistent_units", "/units/pressure"),
    ]


def test_us_and_metric_and_mixed_agree() -> None:
    def document(meter: float, pascal: float) -> dict[str, Any]:
        return {
            "tires": [
                {"name": "drive.left.inner", "grooves": [{"depth": 0.0015 / meter}], "pressure": 6e5 / pascal},
                {"name": "drive.left.outer", "grooves": [{"depth": 0.006 / meter}], "pressure": 6.8e5 / pascal},
            ],
            "overall_height": 3.9 / meter,
            "heights": [{"name": "arch", "height": 4.0 / meter}],
        }

    psi = 0.45359237 * 9.80665 / 0.0254**2
    found = [
        told(judged("us", **document(0.0254, psi))),
        told(judged("metric", **document(0.001, 1e3))),
        told(judged({"length": "m", "pressure": "psi"}, **document(1, psi))),
    ]
    assert found[0] == found[1] == found[2]
    assert [code for code, _, _ in found[0]] == [
        "tread_below_least",
        "height_passes_tightly",
        "mates_differ_in_tread",
        "mates_differ_in_pressure",
    ]


@settings(max_examples=60, deadline=None)
@given(st.floats(3.0, 4.0), st.floats(1e-7, 1e-2), st.sampled_from(["in", "mm", "m"]))
def test_what_just_passes_is_never_printed_as_touching(own_m: float, left_m: float, unit: str) -> None:
    factor = {"in": 0.0254, "mm": 0.001, "m": 1.0}[unit]
    heights = [{"name": "arch", "height": (own_m + left_m) / factor}]
    answer = judged({"length": unit}, overall_height=own_m / factor, heights=heights)
    [message] = messages(answer, "height_passes_tightly")
    own, left, height, least = (float(each.replace(",", "")) for each in re.findall(r"[0-9][0-9,]*\.?[0-9]*", message))
    assert own < height
    assert 0 < left < least


ANSWER = validator_of(component("JudgeWalkRoundAnswer"))


@settings(max_examples=300, deadline=None)
@given(walk_rounds.REQUESTS)
def test_any_request_is_answered_by_the_schema_or_refused_as_a_contradiction(document: dict[str, Any]) -> None:
    reply = posted(document)
    if reply.status == 422:
        assert all(fault["code"].startswith("inconsistent_") for fault in reply.json["errors"])
        return
    assert reply.status == 200
    ANSWER.validate(reply.json)
