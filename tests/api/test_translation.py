"""A gauge reading translated over HTTP, against the gas law by hand and another library's atmosphere."""

import json
from typing import Any

import ambiance
import pytest

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send

APP = create_app(Settings())
PSI_PA = 6894.757293168361


def translated(units: Any, observed: tuple[float, float, float], target: tuple[float, float]) -> Reply:
    document = {
        "units": units,
        "observed": dict(zip(("pressure", "tire_temperature", "altitude"), observed, strict=True)),
        "target": dict(zip(("tire_temperature", "altitude"), target, strict=True)),
    }
    return send(
        APP, "POST", "/v1/inflation/translate", json.dumps(document).encode(), {"Content-Type": "application/json"}
    )


def test_the_gas_law_by_hand_at_one_altitude() -> None:
    # Hand: (80 psi + 14.696 psi) * 266.483 K / 294.261 K - 14.696 psi = 71.06 psi at sea level, 70 degF to 20 degF.
    answer = translated("us", (80, 70, 0), (20, 0)).json
    assert answer["target"] == {"pressure": 71.06, "tire_temperature": 20, "altitude": 0, "unknown_because": None}


def test_altitude_by_another_librarys_atmosphere() -> None:
    up = float(ambiance.Atmosphere(1524.0).pressure[0])
    sea = float(ambiance.Atmosphere(0.0).pressure[0])
    answer = translated("us", (100, 60, 0), (60, 5000)).json
    assert answer["target"]["pressure"] == pytest.approx(100 + (sea - up) / PSI_PA, abs=0.006)


def test_there_and_back_is_the_identity_but_for_rounding() -> None:
    there = translated("metric", (575.5, 31, 12), (-8, 1480)).json["target"]["pressure"]
    back = translated("metric", (there, -8, 1480), (31, 12)).json["target"]["pressure"]
    assert back == pytest.approx(575.5, abs=0.11)


def test_a_reading_below_ambient_is_no_figure() -> None:
    target = translated("metric", (50, 100, 0), (-60, 0)).json["target"]
    assert target["pressure"] is None
    assert "air around it" in target["unknown_because"]


def test_numbers_in_another_unit_are_refused_with_the_range() -> None:
    reply = translated("us", (550, 70, 0), (20, 0))
    [fault] = reply.json["errors"]
    assert (fault["code"], fault["pointer"], fault["given"]) == ("inconsistent_magnitude", "/observed/pressure", "550")
    assert fault["allowed"] == "7.252 to 203.1 psi"


UP_PSI = float(ambiance.Atmosphere(1524.0).pressure[0]) / PSI_PA
SEA_PSI = float(ambiance.Atmosphere(0.0).pressure[0]) / PSI_PA


def asked(document: Any) -> Reply:
    body = json.dumps(document).encode()
    return send(APP, "POST", "/v1/inflation/translate", body, {"Content-Type": "application/json"})


def back(units: Any = "us", **here: float) -> Any:
    target = {"pressure": 80, "tire_temperature": 20, "altitude": 5000}
    return {"units": units, "observed": {"tire_temperature": 70, "altitude": 0, **here}, "target": target}


def test_what_to_set_in_the_shop_by_hand_and_never_short_of_it() -> None:
    # Hand: the air around by another library; (80 psi + up) x 529.67 / 479.67 - sea = 87.15 psi, printed upwards.
    answer = asked(back()).json
    exact = (80 + UP_PSI) * 529.67 / 479.67 - SEA_PSI
    assert 0 <= answer["set_here"]["pressure"] - exact < 0.0101
    assert answer["target"] == {"pressure": 80, "tire_temperature": 20, "altitude": 5000, "unknown_because": None}
    assert translated("us", (80, 70, 0), (20, 0)).json["set_here"] is None


def test_what_cannot_be_set_is_no_figure() -> None:
    # Hand: 60 kPa wanted at 90 degC would be (60 + 101.3) x 213/363 - 101.3 = -6.7 kPa at -60 degC.
    observed, target = {"tire_temperature": -60, "altitude": 0}, {"pressure": 60, "tire_temperature": 90, "altitude": 0}
    answer = asked({"units": "metric", "observed": observed, "target": target}).json
    assert answer["set_here"]["pressure"] is None
    assert "air around it" in answer["set_here"]["unknown_because"]
    assert answer["target"]["pressure"] == 60


def test_what_is_set_here_shows_there_what_was_wanted() -> None:
    set_psi = asked(back()).json["set_here"]["pressure"]
    there = translated("us", (set_psi, 70, 0), (20, 5000)).json["target"]["pressure"]
    assert there == pytest.approx(80, abs=0.011)


def test_the_change_is_told_by_its_causes() -> None:
    # Hand: altitude adds what the air around lacks; the rest is the temperature's.
    for change, total in (
        (asked(back()).json["change"], 80 - ((80 + UP_PSI) * 529.67 / 479.67 - SEA_PSI)),
        (translated("us", (100, 60, 0), (60, 5000)).json["change"], SEA_PSI - UP_PSI),
    ):
        assert change["by_altitude"] == pytest.approx(SEA_PSI - UP_PSI, abs=0.006)
        assert change["by_temperature"] == pytest.approx(total - (SEA_PSI - UP_PSI), abs=0.011)


def test_the_uncertainty_of_gauge_and_thermometer_reaches_the_pressure_there() -> None:
    # Hand: from 70 to 20 degF one psi here is r = 479.67/529.67 there; one degF is r (p + sea)/529.67, with what is
    # set, p = 87.1494 psi: 0.90560 x 101.845/529.67 = 0.174130 psi. So 0.5 psi and 3 degF give
    # sqrt(0.452800^2 + 0.522389^2) = 0.6913 psi, and the gauge alone 0.4528 psi.
    both = asked(back(pressure_uncertainty=0.5, temperature_uncertainty=3)).json
    assert both["uncertainty"] == {
        "standard_uncertainty": 0.69,
        "covers": ["gauge", "thermometer"],
        "unknown_because": None,
    }
    gauge = asked(back(pressure_uncertainty=0.5)).json["uncertainty"]
    assert (gauge["standard_uncertainty"], gauge["covers"]) == (0.45, ["gauge"])
    neither = asked(back(temperature_uncertainty=3)).json["uncertainty"]
    assert (neither["standard_uncertainty"], neither["covers"]) == (None, [])
    assert "pressure_uncertainty" in neither["unknown_because"]
    assert any("uncertainties" in each for each in both["basis"])
    assert not any("uncertainties" in each for each in asked(back()).json["basis"])


def test_a_difference_of_temperature_has_no_zero_of_its_own() -> None:
    # Hand: 9 degF are 5 K; 500 kPa at 300 K, both at sea level: 601.325 kPa / 300 K x 5 K = 10.02 kPa, exact gauge.
    observed = {"pressure": 500, "tire_temperature": 26.85, "altitude": 0, "pressure_uncertainty": 0}
    target = {"tire_temperature": 26.85, "altitude": 0}
    metric = asked({"units": "metric", "observed": {**observed, "temperature_uncertainty": 5}, "target": target}).json
    mixed = asked(
        {
            "units": {"pressure": "kPa", "temperature": "degF", "altitude": "m"},
            "observed": {**observed, "tire_temperature": 80.33, "temperature_uncertainty": 9},
            "target": {"tire_temperature": 80.33, "altitude": 0},
        }
    ).json
    assert metric["uncertainty"]["standard_uncertainty"] == 10.0
    assert mixed["uncertainty"]["standard_uncertainty"] == 10.0


def test_nitrogen_or_air_is_answered_with_a_figure() -> None:
    # Published: coefficients of tests/published/test_translation.py. Hand, nitrogen from 294.26 to 266.48 K:
    # -6.284 - -12.403 = 6.119 cm3/mol, at 652.9 kPa absolute 266.9 mol/m3: a share of 0.001633 of 85.76 psi there,
    # 0.140 psi to first order; air's is 0.143.
    gas = translated("us", (80, 70, 0), (20, 0)).json["gas"]
    assert (gas["nitrogen_differs_by"], gas["ideal_gas_differs_by"]) == (0.0, 0.14)
    assert "alike" in gas["reason"]
    same = translated("us", (80, 70, 0), (70, 5000)).json["gas"]
    assert (same["nitrogen_differs_by"], same["ideal_gas_differs_by"]) == (0.0, 0.0)
    beyond = translated("us", (80, 70, 0), (-40, 0)).json["gas"]
    assert (beyond["nitrogen_differs_by"], beyond["ideal_gas_differs_by"]) == (None, None)
    assert "outside" in beyond["unknown_because"]


def running(pressure: float, max_load: float, **more: float) -> Any:
    observed = {"pressure": pressure, "altitude": 0, "after_driving": {"max_load": max_load}, **more}
    return asked({"units": "us", "observed": observed, "target": {"tire_temperature": 60, "altitude": 0}}).json


# Published: 49 CFR 393.75, table 1 (70 FR 48054, 2005): 5 psi for tires rated 4,000 lb or less, 15 psi for more.
@pytest.mark.parametrize(("max_load", "build_up"), [(3000, 5), (4000, 5), (4001, 15), (6005, 15)])
def test_a_tire_just_stopped_that_nobody_measured_gets_the_inspectors_figure_only(
    max_load: float, build_up: float
) -> None:
    answer = running(100, max_load)
    assert answer["roadside"]["cold_pressure"] == 100 - build_up
    assert answer["roadside"]["build_up"] == build_up
    assert "393.75" in answer["roadside"]["basis"]
    assert answer["target"]["pressure"] is None
    for part in ("target", "change", "uncertainty", "gas"):
        assert "measured" in answer[part]["unknown_because"], part


def test_a_measured_tire_temperature_comes_before_the_inspectors_figure() -> None:
    answer = running(100, 3000, tire_temperature=110)
    # Hand: (100 + 14.696) x 519.67/569.67 - 14.696 = 89.93 psi, not 95.
    assert answer["target"]["pressure"] == 89.93
    assert answer["roadside"]["cold_pressure"] == 95
    assert translated("us", (100, 110, 0), (60, 0)).json["roadside"] is None


def test_a_running_tire_with_no_more_than_the_build_up_is_flat() -> None:
    roadside = running(14, 6005)["roadside"]
    assert (roadside["cold_pressure"], roadside["build_up"]) == (None, None)
    assert "flat" in roadside["unknown_because"]


HERE, THERE = {"tire_temperature": 70, "altitude": 0}, {"tire_temperature": 20, "altitude": 0}
STOPPED = {"altitude": 0, "after_driving": {"max_load": 3000}}
ONE = "observed.pressure, or target.pressure"


@pytest.mark.parametrize(
    ("observed", "target", "pointer", "allowed"),
    [
        (HERE, THERE, "/observed/pressure", ONE),
        ({**HERE, "pressure": 80}, {**THERE, "pressure": 80}, "/target/pressure", ONE),
        ({"pressure": 80, "altitude": 0}, THERE, "/observed", "tire_temperature, or after_driving"),
        (
            STOPPED,
            {**THERE, "pressure": 80},
            "/observed/after_driving",
            "observed.pressure beside it, or neither",
        ),
        (
            {**STOPPED, "pressure": 80, "temperature_uncertainty": 2},
            THERE,
            "/observed/temperature_uncertainty",
            "tire_temperature beside it, or neither",
        ),
    ],
)
def test_a_request_leaves_exactly_one_pressure_open(observed: Any, target: Any, pointer: str, allowed: str) -> None:
    reply = asked({"units": "us", "observed": observed, "target": target})
    [fault] = reply.json["errors"]
    assert (reply.status, fault["code"]) == (422, "inconsistent_choice")
    assert (fault["pointer"], fault["allowed"]) == (pointer, allowed)


def test_a_unit_that_a_difference_needs_is_asked_for_by_the_name_that_it_has() -> None:
    units = {"pressure": "kPa", "altitude": "m"}
    observed = {"pressure": 500, "altitude": 0, "tire_temperature": 20, "temperature_uncertainty": 1}
    reply = asked({"units": units, "observed": observed, "target": {"tire_temperature": 0, "altitude": 0}})
    assert {fault["pointer"] for fault in reply.json["errors"]} == {"/units/temperature"}
