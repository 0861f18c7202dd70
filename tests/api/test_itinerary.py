"""A trip over HTTP, against the gas law by hand and another library's atmosphere."""

import json
from typing import Any

import ambiance
import pytest

from axlewright.app import create_app
from axlewright.contract.examples import examples_of
from axlewright.settings import Settings
from tests.api.probe import Reply, send

APP = create_app(Settings())
PSI_PA = 6894.757293168361
FILL = {"tire_temperature": 68, "altitude": 400}
LAKE = {"name": "lake", "altitude": 3100, "coldest_temperature": 40, "hottest_temperature": 75}
AXLE = {"axle": "axle", "least_cold_pressure": 60, "cold_pressure": 65, "most_cold_pressure": 80}
PASS = {"name": "pass", "altitude": 9000, "coldest_temperature": 10, "hottest_temperature": 40}
PLAIN = {"name": "plain", "altitude": 200, "coldest_temperature": 70, "hottest_temperature": 128}


def posted(question: str, document: Any) -> Reply:
    body = json.dumps(document).encode()
    return send(APP, "POST", f"/v1/inflation/{question}", body, {"Content-Type": "application/json"})


def planned(stops: list[Any], *axles: Any, units: Any = "us", fill: Any = FILL, **more: Any) -> Any:
    reply = posted("itinerary", {"units": units, "fill": fill, "stops": stops, "axles": list(axles), **more})
    assert reply.status == 200, reply.body
    return reply.json


def around_psi(feet: float) -> float:
    """Return the air's pressure by another library."""
    return float(ambiance.Atmosphere(feet * 0.3048).pressure[0]) / PSI_PA


def set_psi(there_psi: float, there_f: float, there_feet: float, here_f: float = 68, here_feet: float = 400) -> float:
    """Return what must be set here: absolute pressure goes with absolute temperature."""
    return (there_psi + around_psi(there_feet)) * (here_f + 459.67) / (there_f + 459.67) - around_psi(here_feet)


def test_one_fill_by_hand() -> None:
    # Hand: at least what gives 60 psi at 40 degF by the lake, at most what gives 80 psi at 75 degF there; recommended
    # what gives 65 psi at 40 degF, 68.02 psi, rounded up to a whole one.
    [axle] = planned([LAKE], AXLE)["axles"]
    assert axle["outcome"] == "one_fill"
    assert axle["range"]["lowest"] == pytest.approx(set_psi(60, 40, 3100), abs=0.006)
    assert axle["range"]["highest"] == pytest.approx(set_psi(80, 75, 3100), abs=0.006)
    assert axle["range"]["recommended"] == pytest.approx(set_psi(65, 40, 3100), abs=0.006)
    assert (axle["range"]["lowest_set_by"], axle["range"]["highest_set_by"]) == ("lake", "lake")
    assert axle["one_fill"]["set_to"] == 69
    assert axle["one_fill"]["holds_cold_pressure"] is True
    assert axle["fills"] == [axle["one_fill"]]


def test_the_points_are_what_the_translation_says() -> None:
    [axle] = planned([LAKE, PASS], AXLE)["axles"]
    assert [point["stop"] for point in axle["points"]] == ["lake", "pass"]
    observed = {"pressure": axle["one_fill"]["set_to"], **FILL}
    for stop, point in zip((LAKE, PASS), axle["points"], strict=True):
        for soak in ("coldest", "hottest"):
            target = {"tire_temperature": stop[f"{soak}_temperature"], "altitude": stop["altitude"]}
            answer = posted("translate", {"units": "us", "observed": observed, "target": target}).json
            assert point[soak] == answer["target"]["pressure"]


def test_a_recommended_pressure_out_of_reach_gives_the_highest_step_that_serves_and_a_warning() -> None:
    # Hand: 77.42 psi is the highest that serves by the lake's 75 degF; 79 psi there at 40 degF would take 82.99.
    answer = planned([LAKE], {**AXLE, "cold_pressure": 79})
    one_fill = answer["axles"][0]["one_fill"]
    assert (one_fill["set_to"], one_fill["holds_cold_pressure"]) == (77, False)
    [finding] = answer["findings"]
    assert (finding["code"], finding["severity"]) == ("trip_below_recommended", "warning")
    assert "79.0 psi" in finding["message"]


def test_a_coarser_step_fills_higher_but_not_above_what_serves() -> None:
    # Hand: 68.02 psi by fives is 70; by steps of 29 it would be 87, above the 77.42 psi that serve.
    assert planned([LAKE], AXLE, rounding_step=5)["axles"][0]["one_fill"]["set_to"] == 70
    assert planned([LAKE], AXLE, rounding_step=29)["axles"][0]["one_fill"]["set_to"] == pytest.approx(
        set_psi(65, 40, 3100), abs=0.006
    )


def test_a_present_filling_that_serves_is_left_alone() -> None:
    answer = planned([LAKE], {**AXLE, "present_pressure": 70})
    [axle] = answer["axles"]
    assert (axle["outcome"], axle["fills"]) == ("present_serves", [])
    assert axle["present"]["serves"] is True
    assert axle["points"] == axle["present"]["points"]
    assert answer["findings"] == []


def test_a_present_filling_that_serves_with_less_than_recommended_is_told() -> None:
    # Hand: from 62.74 psi here on it serves, from 68.02 on it holds 65 psi on the lake's cold morning.
    answer = planned([LAKE], {**AXLE, "present_pressure": 67.9})
    assert answer["axles"][0]["outcome"] == "present_serves"
    [finding] = answer["findings"]
    assert (finding["code"], finding["severity"]) == ("present_below_recommended", "warning")
    assert "at lake" in finding["message"]
    assert planned([LAKE], {**AXLE, "present_pressure": 68.1})["findings"] == []


def test_a_present_filling_that_falls_short_says_where() -> None:
    # Hand: below 62.74 psi here the lake's cold morning leaves less than 60 psi.
    answer = planned([LAKE], {**AXLE, "present_pressure": 62.7})
    assert [point["below_least"] for point in answer["axles"][0]["present"]["points"]] == [True]
    [finding] = answer["findings"]
    assert (finding["code"], finding["subject"]) == ("present_below_least", "axle")
    assert "at lake" in finding["message"]
    assert "60.0 psi" in finding["message"]


def test_a_present_filling_above_the_most_says_where() -> None:
    answer = planned([LAKE], {**AXLE, "present_pressure": 78})
    assert {finding["code"] for finding in answer["findings"]} == {"present_above_most"}
    assert [point["above_most"] for point in answer["axles"][0]["present"]["points"]] == [True]


@pytest.mark.parametrize(
    ("present", "code", "words"),
    [(55, "pressure_too_low", "needs 60.0 psi"), (81, "pressure_above_maximum", "more than the 80.0 psi")],
)
def test_a_present_filling_that_is_out_of_bounds_where_it_stands_is_as_grave_as_in_every_room(
    present: float, code: str, words: str
) -> None:
    [finding] = planned([LAKE], {**AXLE, "present_pressure": present})["findings"]
    assert (finding["code"], finding["severity"]) == (code, "critical")
    assert words in finding["message"]


NARROW = {"axle": "axle", "least_cold_pressure": 68, "cold_pressure": 70, "most_cold_pressure": 80}
FOOT = {"name": "foot", "altitude": 4000, "coldest_temperature": 50, "hottest_temperature": 80}


def test_a_wide_trip_is_served_by_the_fewest_corrections_told_where() -> None:
    # Hand: the pass asks for at least 76.95 psi at the filling, the plain for at most 72.05: no one fill.
    answer = planned([PASS, FOOT, PLAIN], NARROW)
    [axle] = answer["axles"]
    assert axle["range"]["lowest"] == pytest.approx(set_psi(68, 10, 9000), abs=0.006)
    assert axle["range"]["highest"] == pytest.approx(set_psi(80, 128, 200), abs=0.006)
    assert (axle["outcome"], axle["one_fill"], axle["range"]["serves"]) == ("corrections", None, False)
    assert [(fill["before_leaving"], fill["serves_through"]) for fill in axle["fills"]] == [
        (None, "foot"),
        ("foot", "plain"),
    ]
    assert not any(point["below_least"] or point["above_most"] for point in axle["points"])
    assert axle["unknown_because"] is None
    # Hand: 70 psi at the foot's 50 degF would be above the 69.34 that are 80 psi at the plain's 128 degF.
    assert [fill["set_to"] for fill in axle["fills"]] == [76, 69]
    below, needed = answer["findings"]
    assert (below["code"], needed["code"]) == ("trip_below_recommended", "trip_needs_corrections")
    assert "At foot" in below["message"]
    assert "the filling place, foot" in needed["message"]


def test_a_stop_that_no_filling_before_it_serves_is_corrected_there() -> None:
    # Hand: 80 psi, the most, at the plain's 128 degF is (80 + 14.59) 469.67/587.67 - 10.5 = 65 psi on the pass: not 68.
    answer = planned([{**PLAIN, "coldest_temperature": 127}, PASS], NARROW)
    [axle] = answer["axles"]
    assert (axle["outcome"], axle["out_of_reach"]) == ("corrections", None)
    assert [(each["before_leaving"], each["serves_through"]) for each in axle["fills"]] == [
        (None, "plain"),
        ("pass", "pass"),
    ]
    assert [point["below_least"] for point in axle["points"]] == [False, True]
    codes = {finding["code"]: finding for finding in answer["findings"]}
    assert codes["trip_stop_corrected_there"]["severity"] == "warning"
    assert "arrival at pass" in codes["trip_stop_corrected_there"]["message"]


def test_a_stop_that_nothing_serves_is_named_with_the_reason() -> None:
    # Hand: 78 to 80 psi cannot hold from 10 to 40 degF: the gas alone moves by 6 %.
    tight = {**AXLE, "least_cold_pressure": 78, "cold_pressure": 79}
    answer = planned([LAKE, PASS], tight)
    [axle] = answer["axles"]
    assert (axle["outcome"], axle["fills"], axle["points"]) == ("none", None, None)
    assert axle["out_of_reach"] == "lake"
    assert "At lake" in axle["unknown_because"]
    [finding] = answer["findings"]
    assert finding["code"] == "trip_out_of_reach"
    assert [point["stop"] for point in axle["held_cold"]["points"]] == ["lake", "pass"]


def test_the_cold_pressure_simply_held_shows_where_it_fails() -> None:
    # Hand: 65 psi at 68 degF and 400 ft shows at the lake's 40 degF what the gas law gives the other way round.
    [axle] = planned([LAKE], AXLE)["axles"]
    held = axle["held_cold"]
    assert held["cold_pressure"] == 65
    [point] = held["points"]
    assert point["coldest"] == pytest.approx(set_psi(65, 68, 400, 40, 3100), abs=0.006)


def test_a_warm_tire_is_set_higher_and_judged_by_its_cold_self() -> None:
    warm = planned([LAKE], AXLE, fill={**FILL, "tire_temperature": 105, "ambient_temperature": 68})["axles"][0]
    assert warm["range"]["recommended"] == pytest.approx(set_psi(65, 40, 3100, 105), abs=0.006)
    assert warm["held_cold"]["cold_pressure"] == 65


def test_every_axle_has_its_own_trip() -> None:
    answer = planned([PASS, FOOT, PLAIN], {**AXLE, "axle": "steer"}, {**NARROW, "axle": "drive"})
    assert [(axle["axle"], axle["outcome"]) for axle in answer["axles"]] == [
        ("steer", "one_fill"),
        ("drive", "corrections"),
    ]


def test_metric_and_us_units_plan_the_same_trip() -> None:
    def kpa(psi: float) -> float:
        return psi * PSI_PA / 1000

    def celsius(fahrenheit: float) -> float:
        return (fahrenheit - 32) / 1.8

    stops = [
        {
            "name": stop["name"],
            "altitude": stop["altitude"] * 0.3048,
            "coldest_temperature": celsius(stop["coldest_temperature"]),
            "hottest_temperature": celsius(stop["hottest_temperature"]),
        }
        for stop in (PASS, FOOT, PLAIN)
    ]
    axle = {name: value if name == "axle" else kpa(value) for name, value in NARROW.items()}
    fill = {"tire_temperature": celsius(68), "altitude": 400 * 0.3048}
    metric = planned(stops, axle, units="metric", fill=fill, rounding_step=kpa(1))["axles"][0]
    us = planned([PASS, FOOT, PLAIN], NARROW)["axles"][0]
    assert metric["outcome"] == us["outcome"]
    for here, there in zip(metric["fills"], us["fills"], strict=True):
        assert here["set_to"] == pytest.approx(kpa(there["set_to"]), abs=0.09)
    for here, there in zip(metric["points"], us["points"], strict=True):
        assert here["coldest"] == pytest.approx(kpa(there["coldest"]), abs=0.09)


def test_a_cold_pressure_printed_a_digit_above_the_most_counts_as_equal() -> None:
    # 110 psi is 758.42 kPa: the recommendation prints it upwards as 758.5 and the most, to the nearest, as 758.4.
    axle = {"axle": "axle", "least_cold_pressure": 700, "cold_pressure": 758.5, "most_cold_pressure": 758.4}
    stop = {"name": "yard", "altitude": 0, "coldest_temperature": 10, "hottest_temperature": 20}
    fill = {"tire_temperature": 15, "altitude": 0}
    assert planned([stop], axle, units="metric", fill=fill)["axles"][0]["held_cold"]["cold_pressure"] == 758.4
    more = {**axle, "cold_pressure": 758.6}
    reply = posted("itinerary", {"units": "metric", "fill": fill, "stops": [stop], "axles": [more]})
    assert [fault["code"] for fault in reply.json["errors"]] == ["inconsistent_pressures"]


def test_every_contradiction_is_told_at_once_with_what_is_allowed() -> None:
    reply = posted(
        "itinerary",
        {
            "units": "us",
            "fill": FILL,
            "stops": [LAKE, {**LAKE, "coldest_temperature": 76}],
            "axles": [{**AXLE, "cold_pressure": 59}, {**AXLE, "most_cold_pressure": 64.5}],
        },
    )
    assert reply.status == 422
    assert [tuple(fault[key] for key in ("code", "pointer", "given", "allowed")) for fault in reply.json["errors"]] == [
        ("inconsistent_name", "/stops/1/name", '"lake"', "a name that no other has"),
        ("inconsistent_conditions", "/stops/1/coldest_temperature", "76.0", "at most `hottest_temperature`"),
        ("inconsistent_name", "/axles/1/axle", '"axle"', "a name that no other has"),
        ("inconsistent_pressures", "/axles/0/cold_pressure", "59.0", "at least 60 psi"),
        ("inconsistent_pressures", "/axles/1/most_cold_pressure", "64.5", "at least 65 psi"),
    ]


@pytest.mark.parametrize("kind", ["pressure", "temperature", "altitude"])
def test_a_unit_that_is_not_named_is_asked_for(kind: str) -> None:
    units = {"pressure": "psi", "temperature": "degF", "altitude": "ft"}
    del units[kind]
    reply = posted("itinerary", {"units": units, "fill": FILL, "stops": [LAKE], "axles": [AXLE]})
    assert f"/units/{kind}" in {fault["pointer"] for fault in reply.json["errors"]}


BOUNDS = ("axle", "least_cold_pressure", "cold_pressure", "most_cold_pressure")


@pytest.mark.parametrize("name", ["full", "trailer_known_loads"])
def test_what_the_recommendation_answers_can_be_sent_on_as_it_is(name: str) -> None:
    recommended = examples_of("recommend_inflation").answers[name].value
    axles = [{key: axle[key] for key in BOUNDS} for axle in recommended["inflation"] if axle["cold_pressure"]]
    assert axles
    units = {kind: unit for kind, unit in recommended["units"].items() if unit}
    yard = {"name": "yard", "altitude": 0, "coldest_temperature": 20, "hottest_temperature": 25}
    trip = {"units": units, "fill": {"tire_temperature": 20, "altitude": 0}, "stops": [yard], "axles": axles}
    for question, document in (("itinerary", trip), ("monitor", {"units": units, "axles": axles})):
        reply = posted(question, document)
        assert reply.status == 200, reply.body
        assert [axle["axle"] for axle in reply.json["axles"]] == [axle["axle"] for axle in axles]


def test_the_setting_of_the_recommendation_is_the_fill_for_a_trip_to_its_coldest_soak() -> None:
    # Identity: one rule; the step of 0.02 psi and the last printed digit of what is sent on are between them.
    example = examples_of("recommend_inflation")
    conditions = example.requests["full"].value["conditions"]
    recommended = example.answers["full"].value
    axles = [{key: axle[key] for key in BOUNDS} for axle in recommended["inflation"] if axle["set_now"]]
    coldest, units = conditions["coldest"], {kind: unit for kind, unit in recommended["units"].items() if unit}
    assert units["pressure"] == "psi"
    soak = {
        "name": "soak",
        "altitude": coldest["altitude"],
        "coldest_temperature": coldest["ambient_temperature"],
        "hottest_temperature": coldest["ambient_temperature"],
    }
    trips = planned([soak], *axles, units=units, fill=conditions["fill"], rounding_step=0.02)["axles"]
    told = [axle for axle in recommended["inflation"] if axle["set_now"]]
    assert len(told) > 1
    for trip, axle in zip(trips, told, strict=True):
        assert trip["one_fill"]["set_to"] == pytest.approx(axle["set_now"], abs=0.05)
        assert trip["one_fill"]["holds_cold_pressure"] == axle["holds_when_coldest"]
