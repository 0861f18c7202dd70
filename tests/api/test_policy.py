"""The caller's choices in the request, and the whole of them in the answer."""

from typing import Any

import pytest

from tests.api.test_assess import assessed
from tests.documents import known, weighed


def with_policy(**choices: Any) -> dict[str, Any]:
    document = known()
    document["policy"] = choices
    return document


def test_the_answer_tells_every_choice_with_the_defaults_of_those_left_out() -> None:
    policy = assessed(with_policy(coverage_factor=3, reserve_pressure=5)).json["policy"]
    assert policy == {
        "reserve_share": 0.0,
        "reserve_pressure": 5.0,
        "rounding_step": 5.0,
        "coverage_factor": 3.0,
        # NIST/SEMATECH e-Handbook, standard normal table: area below z = 3 is 0.99865.
        "upper_bound_confidence": 0.9987,
        "tight_share": 0.05,
        "label_floor": "light_and_trailers",
        "least_steering_share": 0.2,
        "least_tongue_share": 0.1,
        "most_tongue_share": 0.15,
        "least_pin_share": 0.15,
        "most_pin_share": 0.25,
        "speed": None,
        "interstate_limits": False,
        "significance": 0.05,
        "whole_axle_share": 0.001,
        "hanging_side_share": 0.0025,
        "raised_pad_share": 0.02,
    }


def test_the_default_bound_is_kept_with_the_probability_of_two_standard_deviations() -> None:
    # NIST/SEMATECH e-Handbook, standard normal table: area below z = 2 is 0.97725.
    assert assessed(weighed() | {"policy": {}}).json["policy"]["upper_bound_confidence"] == pytest.approx(
        0.97725, abs=1e-4
    )


@pytest.mark.parametrize(("units", "step"), [("psi", 5.0), ("kPa", 10.0), ("bar", 0.1)])
def test_the_default_step_goes_with_the_unit_of_pressure(units: str, step: float) -> None:
    document = {
        "units": {"mass": "kg", "pressure": units, "length": "m"},
        "rig": {
            "name": "Dunlin",
            "vehicles": [
                {
                    "name": "trailer",
                    "kind": "trailer",
                    "gvwr": 1300,
                    "axles": [
                        {
                            "name": "axle",
                            "aft": 3,
                            "track": 1.6,
                            "gawr": 1350,
                            "tires": {
                                "fitment": "single",
                                "designation": "195/70R14C",
                                "max_load_single": 750,
                                "max_pressure": {"psi": 65, "kPa": 450, "bar": 4.5}[units],
                            },
                        }
                    ],
                }
            ],
        },
        "loads": [{"wheel_ends": ["axle.left"], "load": 500}],
    }
    assert assessed(document).json["policy"]["rounding_step"] == step


def speed_limits(document: dict[str, Any]) -> list[dict[str, Any]]:
    return [limit for limit in assessed(document).json["limits"] if limit["kind"] == "tire_speed"]


def test_no_speed_is_judged_where_none_was_stated() -> None:
    assert speed_limits(with_policy()) == []


@pytest.mark.parametrize(
    ("speed", "standing"), [(62, "clear"), (73, "tight"), (74.5, "tight"), (75, "tight"), (76, "over")]
)
def test_a_stated_speed_stands_to_the_tires_symbol(speed: float, standing: str) -> None:
    # UN Regulation No. 54: L is 120 km/h, 74.56 mph; United States tables print 75.
    limits = speed_limits(with_policy(speed=speed))
    assert limits
    for limit in limits:
        assert (limit["quantity"], limit["limit"], limit["value"]) == ("speed", 74.6, speed)
        assert limit["standing"] == standing
        assert "No. 54" in limit["basis"]


def test_a_speed_above_the_symbol_is_a_critical_finding_in_words() -> None:
    findings = [each for each in assessed(with_policy(speed=80)).json["findings"] if each["code"] == "speed_over"]
    assert findings
    assert findings[0]["severity"] == "critical"
    assert "80.0 mph; its tires are made for 74.6 mph" in findings[0]["message"]


def test_special_trailer_tires_without_a_symbol_are_made_for_65_mph_and_others_for_what_is_not_known() -> None:
    document = with_policy(speed=70)
    tires = document["rig"]["vehicles"][0]["axles"][0]["tires"]
    del tires["speed_symbol"]
    tires["designation"] = "225/70R19.5"
    subjects = {limit["subject"]: limit for limit in speed_limits(document)}
    assert subjects["steer.right"]["standing"] == "unknown"
    assert "speed_symbol" in subjects["steer.right"]["unknown_because"]
    tires["designation"], tires["load_range"] = "ST235/80R16", "G"
    subjects = {limit["subject"]: limit for limit in speed_limits(document)}
    assert (subjects["steer.right"]["standing"], subjects["steer.right"]["limit"]) == ("over", 65.0)
    told = {each["subject"]: each for each in assessed(document).json["findings"] if "speed_over" in each["code"]}
    assert told["steer.right"]["code"] == "special_trailer_speed_over"
    assert "Tire and Rim Association" in told["steer.right"]["basis"]
