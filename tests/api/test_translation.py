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
