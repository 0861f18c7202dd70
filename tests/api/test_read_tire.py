"""A sidewall read over HTTP: what is marked by published tables, what it leaves open, and refusals with the place.

Loads and speeds: ISO 4000-1 load indices (113: 1150 kg, 121: 1450 kg, 118: 1320 kg, 128: 1800 kg, 126: 1700 kg) and
UN Regulation No. 54 speed symbols (L: 120 km/h, N: 140 km/h, R: 170 km/h).
"""

import json
import re
from typing import Any

import pytest
from hypothesis import given, settings

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.contract.published import component, validator_of
from tests.rigs import markings

APP = create_app(Settings())
LB = 0.45359237
MPH = 1.609344
METRIC = markings.METRIC


def posted(document: dict[str, Any]) -> Reply:
    return send(APP, "POST", "/v1/tires/read", json.dumps(document).encode(), {"Content-Type": "application/json"})


def read(**document: Any) -> Any:
    reply = posted({"units": METRIC, **document})
    assert reply.status == 200, reply.body
    return reply.json


def faults(**document: Any) -> list[dict[str, Any]]:
    reply = posted({"units": METRIC, **document})
    assert reply.status == 422, reply.body
    return list(reply.json["errors"])


def checks(designation: str, **stated: Any) -> dict[str, dict[str, Any]]:
    return {check["kind"]: check for check in read(designation=designation, stated=stated)["checks"]}


def test_a_light_truck_designation_says_what_stands_in_it() -> None:
    marking = read(designation="lt 245/75 r17 e 121/118R")["marking"]
    assert marking["designation"] == "LT245/75R17"
    assert marking["family"]["code"] == "lt_radial"
    assert (marking["construction"], marking["section_width"], marking["aspect_ratio"]) == ("radial", 245, 0.75)
    assert (marking["rim_diameter_code"], marking["overall_diameter"], marking["load_version"]) == (17, None, None)
    # Ply rating of load range E: Tire and Rim Association series. Usual pressures: 65 and 80 psi, 448.2 and 551.6 kPa.
    assert marking["load_range"] == {
        "letter": "E",
        "ply_rating": 10,
        "least_usual_pressure": 448.2,
        "most_usual_pressure": 551.6,
        "unknown_because": None,
    }
    assert marking["services"] == [
        {
            "loads": [
                {"fitment": "single", "load_index": 121, "load": 1450},
                {"fitment": "dual", "load_index": 118, "load": 1320},
            ],
            "speed_symbol": "R",
            "speed": 170,
            "unknown_because": None,
        }
    ]
    assert marking["ambiguities"] == []


def test_rim_diameters_are_in_inches_as_marked_whatever_the_units() -> None:
    document = {"designation": "225/70R19.5 128/126N"}
    metric, us = read(**document)["marking"], posted({"units": "us", **document}).json["marking"]
    assert metric["rim_diameter_code"] == us["rim_diameter_code"] == 19.5
    assert (metric["section_width"], us["section_width"]) == (225, 8.9)
    # Hand: 1800 kg / 0.45359237 = 3968.3 lb; 140 km/h / 1.609344 = 87.0 mph.
    [service] = us["services"]
    assert (service["loads"][0]["load"], service["speed"]) == (3968.3, 87.0)


def test_a_flotation_size_states_its_overall_diameter() -> None:
    # Hand: 31 in are 787.4 mm, 10.5 in are 266.7 mm.
    marking = read(designation="31x10.50R15LT C")["marking"]
    assert (marking["overall_diameter"], marking["section_width"], marking["aspect_ratio"]) == (787, 267, None)


def test_an_additional_service_description_is_told_beside_the_main_one() -> None:
    services = read(designation="225/75R16C 121/120R (118N)")["marking"]["services"]
    assert [(each["loads"][0]["load"], each["speed"]) for each in services] == [(1450, 170), (1320, 140)]


@pytest.mark.parametrize(
    ("designation", "family", "ambiguity"),
    [
        ("235/85R16", "passenger_metric", "metric_without_prefix"),
        ("7.50-16LT", "lt_bias", None),
        ("ST205/75-15", "special_trailer", "dash_read_as_bias"),
        ("31x10.50R15", "flotation", "flotation_without_lt"),
    ],
)
def test_what_a_marking_leaves_open_is_told_and_not_guessed(
    designation: str, family: str, ambiguity: str | None
) -> None:
    marking = read(designation=designation)["marking"]
    assert marking["family"]["code"] == family
    assert [each["code"] for each in marking["ambiguities"]] == [ambiguity] * (ambiguity is not None)
    assert all(each["meaning"].endswith(".") for each in marking["ambiguities"])


@pytest.mark.parametrize(
    ("designation", "character", "allowed"),
    [
        ("235/85/16", "at character 7:", "R, ZR, D or B, or a dash"),
        ("LT235/85R16 Q", "at character 13:", "A B C D E F G H J L M N"),
        ("LT235/85R", "at its end:", "a rim diameter in inches, whole or ending in .5"),
        ("round and black", "at character 1:", "a size such as LT235/85R16"),
    ],
)
def test_a_designation_that_cannot_be_read_is_refused_with_the_place(
    designation: str, character: str, allowed: str
) -> None:
    [fault] = faults(designation=designation)
    assert (fault["code"], fault["pointer"]) == ("inconsistent_marking", "/designation")
    assert (fault["given"], fault["allowed"]) == (json.dumps(designation), allowed)
    assert f"cannot be read {character}" in fault["message"]


def test_a_number_that_cannot_be_read_is_refused_with_the_place() -> None:
    # 49 CFR 574.5: O is not used; 53 is no week of 2019 by either count.
    [letter], [week] = faults(identification="DOT AB CO 2519"), faults(identification="AB CD 5319")
    assert (letter["code"], letter["pointer"]) == ("inconsistent_identification", "/identification")
    assert letter["message"].endswith("at character 9: O is not used in identification numbers; it may be a 0.")
    assert letter["allowed"] == "a digit or a letter, none of G, I, O, Q, S and Z"
    assert "at character 7: There is no week 53" in week["message"]


def test_both_texts_are_refused_at_once() -> None:
    found = faults(designation="235/85/16", identification="AB CD 5319")
    assert [fault["pointer"] for fault in found] == ["/designation", "/identification"]


def test_a_number_gives_plant_and_week_and_an_age_on_a_day() -> None:
    # Hand: week 25 of 2019 by 49 CFR 574.5 begins on Sunday 23 June, 24 weeks after the first Sunday, 6 January; by
    # ISO 8601 on Monday 17 June.
    answer = read(identification="DOT 1AB 2C 3D4E 2519", as_of="2026-06-20")
    number = answer["identification"]
    assert (number["symbols"], number["layout"]["code"], number["plant_code"]) == ("1AB2C3D4E2519", "current", "1AB")
    assert number["weeks"] == [
        {
            "week": 25,
            "year": 2019,
            "week_begins": "2019-06-23",
            "first_day": "2019-06-17",
            "last_day": "2019-06-29",
        }
    ]
    # Seven years are complete since 17 June, and not yet since 29 June.
    age = answer["age"]
    assert (age["as_of"], age["least_years"], age["most_years"]) == ("2026-06-20", 6, 7)
    assert [(each["code"], each["from_years"], each["certain"]) for each in age["advice"]] == [
        ("age_alone_decides_nothing", 0, True),
        ("inspect_yearly", 5, True),
        ("replace_by_vehicle_maker", 6, True),
        ("plan_replacement", 7, False),
    ]
    assert age["advice"][-1]["confidence"] == "common_practice"


def test_a_year_of_one_digit_leaves_the_decade_open() -> None:
    # Published: owner's manual of a van maker (2006), page 197: 031 is the third week of 1981 or 1991.
    answer = read(identification="031", as_of="2026-05-14")
    assert [(each["week"], each["year"]) for each in answer["identification"]["weeks"]] == [(3, 1981), (3, 1991)]
    assert [each["code"] for each in answer["identification"]["doubts"]] == ["decade_open"]
    assert (answer["age"]["least_years"], answer["age"]["most_years"]) == (35, 45)


@pytest.mark.parametrize(
    ("document", "because"),
    [
        ({"identification": "2519"}, "`as_of` was not sent"),
        ({"identification": "1AB2C3D4E", "as_of": "2026-05-14"}, "on the other side of the tire"),
        ({"identification": "2519", "as_of": "2019-06-16"}, "has not begun on `as_of`"),
        ({"designation": "LT235/85R16", "as_of": "2026-05-14"}, "`identification` was not sent"),
    ],
)
def test_an_age_that_is_not_known_says_why(document: dict[str, Any], because: str) -> None:
    age = read(**document)["age"]
    assert (age["least_years"], age["most_years"], age["advice"]) == (None, None, [])
    assert because in age["unknown_because"]


def test_every_check_is_told_also_where_it_was_not_made() -> None:
    found = checks("LT235/85R16")
    assert len(found) == 10
    assert {check["verdict"] for check in found.values()} == {"not_known"}
    assert all(check["unknown_because"] and check["message"] == "Not checked." for check in found.values())
    assert found["speed"]["unknown_because"] == "`stated.speed` was not given."


def test_the_checks_hold_marks_against_what_is_stated() -> None:
    found = checks(
        "225/70R19.5 G 128/126N",
        fitment="dual",
        load_range="F",
        speed_symbol="N",
        max_load_single=1800,
        max_load_dual=1500,
        max_pressure=300,
        wheel={"max_load": 1400, "max_pressure": 290},
        gawr=6100,
        speed=150,
    )
    assert {kind: (check["verdict"], check["code"]) for kind, check in found.items()} == {
        "index_and_single_load": ("agrees", "index_and_load_agree"),
        "index_and_dual_load": ("contradicts", "marked_load_below_index"),
        "dual_and_single": ("agrees", "dual_share_usual"),
        "load_range": ("contradicts", "load_range_marked_differently"),
        "load_range_and_pressure": ("unusual", "pressure_unusual_for_load_range"),
        "speed_symbol": ("agrees", "speed_symbol_marked_alike"),
        "wheel_load": ("limits", "wheel_carries_less_than_tire"),
        "wheel_pressure": ("limits", "wheel_holds_less_than_tire"),
        "axle": ("contradicts", "tires_below_axle_rating"),
        "speed": ("contradicts", "speed_above_symbol"),
    }
    # Hand: four tires of 1500 kg carry 6000 kg, less than 6100 kg.
    assert found["axle"]["figures"] == [
        {"name": "tires", "quantity": "number", "value": 4},
        {"name": "rating", "quantity": "mass", "value": 1500},
        {"name": "sum", "quantity": "mass", "value": 6000},
        {"name": "gawr", "quantity": "mass", "value": 6100},
    ]
    assert found["axle"]["message"].startswith("4 tires of 1,500 kg carry 6,000 kg, less than the axle's rating")
    assert found["speed"]["message"] == "Speed symbol N allows 140.0 km/h; driven at 150.0 km/h."


def test_a_passenger_car_tire_carries_less_on_any_other_vehicle() -> None:
    # 49 CFR 571.110 and 571.120 S5.1.2: 1100 kg / 1.10 = 1000 kg on anything but a passenger car.
    for on_passenger_car, rating in ((False, 1000), (True, 1100)):
        check = checks("P235/75R15", max_load_single=1100, gawr=1900, on_passenger_car=on_passenger_car)["axle"]
        assert check["figures"][1] == {"name": "rating", "quantity": "mass", "value": rating}


def test_a_special_trailer_tire_without_symbol_is_for_65_mph() -> None:
    # Tire and Rim Association, table ST-M1: 65 mph, which are 104.6 km/h.
    check = checks("ST225/75R15", speed=115)["speed"]
    assert (check["verdict"], check["code"]) == ("contradicts", "speed_above_special_trailer")
    assert check["figures"][0] == {"name": "most", "quantity": "speed", "value": 104.6}


def test_there_must_be_something_to_read_and_to_hold_the_statement_against() -> None:
    [nothing] = faults(as_of="2026-05-14")
    assert (nothing["code"], nothing["pointer"]) == ("inconsistent_choice", "")
    assert nothing["allowed"] == "designation, identification, or both"
    [stated] = faults(identification="2519", stated={"speed": 100})
    assert (stated["code"], stated["pointer"]) == ("inconsistent_choice", "/stated")


def test_a_day_that_is_none_is_refused() -> None:
    [fault] = faults(identification="2519", as_of="9999-12-31")
    assert (fault["code"], fault["pointer"]) == ("inconsistent_day", "/as_of")
    assert (fault["given"], fault["allowed"]) == ('"9999-12-31"', "1900-01-01 to 2200-12-31")


def test_a_designation_needs_the_units_of_its_answer_and_a_number_needs_none() -> None:
    found = posted({"units": {"mass": "kg", "length": "mm"}, "designation": "LT235/85R16"}).json["errors"]
    assert [(fault["code"], fault["pointer"]) for fault in found] == [
        ("inconsistent_units", "/units/pressure"),
        ("inconsistent_units", "/units/speed"),
    ]
    assert posted({"units": {}, "identification": "2519"}).status == 200


def test_a_unit_that_is_missing_is_told_once() -> None:
    document = {"units": {"mass": "kg", "length": "mm", "pressure": "bar"}, "designation": "LT235/85R16"}
    found = posted({**document, "stated": {"speed": 100}}).json["errors"]
    assert [fault["pointer"] for fault in found] == ["/units/speed"]


def test_a_number_in_another_unit_is_refused_with_the_range() -> None:
    [fault] = faults(designation="LT235/85R16", stated={"speed": 0.9})
    # Hand: 1 m/s are 3.6 km/h, 90 m/s are 324 km/h.
    assert (fault["code"], fault["pointer"], fault["allowed"]) == (
        "inconsistent_magnitude",
        "/stated/speed",
        "3.6 to 324 km/h",
    )


def test_us_metric_and_mixed_units_agree() -> None:
    def stated(mass: float, pressure: float, speed: float) -> dict[str, Any]:
        return {
            "max_load_single": 1800 / mass,
            "max_pressure": 760e3 / pressure,
            "wheel": {"max_load": 1900 / mass, "max_pressure": 800e3 / pressure},
            "gawr": 3500 / mass,
            "speed": 110 / speed,
        }

    answers = [
        posted({"units": units, "designation": "225/70R19.5 G 128/126N", "stated": stated(*sizes)}).json
        for units, sizes in (
            ("metric", (1, 1e3, 1)),
            ("us", (LB, LB * 9.80665 / 0.0254**2, MPH)),
            ({"mass": "lb", "pressure": "bar", "length": "m", "speed": "km_h"}, (LB, 1e5, 1)),
        )
    ]
    codes = [[(check["kind"], check["code"]) for check in answer["checks"]] for answer in answers]
    assert codes[0] == codes[1] == codes[2]
    loads = [answer["marking"]["services"][0]["loads"][0]["load"] for answer in answers]
    assert loads == [1800, pytest.approx(1800 / LB, abs=0.06), pytest.approx(1800 / LB, abs=0.06)]


def test_an_answer_says_what_it_rests_on_and_cautions() -> None:
    both = read(designation="LT235/85R16", identification="2519", as_of="2026-05-14")
    alone = read(identification="2519")
    assert any("574.5" in text for text in both["basis"])
    assert any("ISO 4000-1" in text for text in both["basis"])
    assert not any("ISO 4000-1" in text for text in alone["basis"])
    assert "designation` was not sent" in alone["unknown_because"]
    assert both["unknown_because"] is None
    assert any("says nothing of its state" in text for text in both["cautions"])


ANSWER = validator_of(component("ReadTireAnswer"))
REFUSALS = re.compile("inconsistent_(marking|identification)")


@settings(max_examples=300, deadline=None)
@given(markings.REQUESTS)
def test_any_request_is_answered_by_the_schema_or_refused_as_unreadable(document: dict[str, Any]) -> None:
    reply = posted(document)
    if reply.status == 422:
        assert all(REFUSALS.fullmatch(fault["code"]) for fault in reply.json["errors"])
        return
    assert reply.status == 200
    ANSWER.validate(reply.json)
    assert len(reply.json["checks"]) == 10
    assert all("{" not in check["message"] for check in reply.json["checks"])


def test_a_week_to_come_is_read_anew_where_a_day_is_given_and_doubted_where_none_is() -> None:
    # Hand: week 10 of 2031 is yet to come in 2026; published, owner's manual of a van maker (2006): 031 is the third
    # week of 1981 or 1991.
    dated = read(identification="AB CD EF1031", as_of="2026-05-14")
    assert [each["year"] for each in dated["identification"]["weeks"]] == [1981, 1991]
    assert (dated["age"]["least_years"], dated["age"]["most_years"]) == (35, 45)
    undated = read(identification="0198")
    assert [each["year"] for each in undated["identification"]["weeks"]] == [2098]
    assert [each["code"] for each in undated["identification"]["doubts"]] == ["year_to_come"]


def test_a_triangle_behind_the_date_settles_the_decade() -> None:
    marked = read(identification="AB CD EF 237◁", as_of="2026-05-14")["identification"]
    assert ([each["year"] for each in marked["weeks"]], marked["doubts"]) == ([1997], [])


@pytest.mark.parametrize(("mark", "what"), [("8PR", "ply rating"), ("LR D", "load range letter")])
def test_what_a_passenger_car_tire_has_not_is_called_as_it_was_written(mark: str, what: str) -> None:
    [fault] = faults(designation=f"225/75R15 {mark}")
    assert f"A passenger-car tire has no {what};" in fault["message"]
    assert fault["allowed"].startswith("LT or ST before the size")
