"""A tank that goes by two names is one tank, however the request calls it."""

from typing import Any

import pytest

from tests.api.test_forecast import answered, forecast, van


def towing(*names: str) -> dict[str, Any]:
    """Return a van with a car behind it that has a tank of its own, and a level for each tank named."""
    document = van(tanks=[{"name": name, "level": 1, "weighed_level": 0, "standard_uncertainty": 0} for name in names])
    (own,) = document["rig"]["vehicles"]
    tank = {"name": "fuel", "fluid": "gasoline", "capacity": 12, "aft": 100, "right": 0}
    car = {**own, "name": "car", "kind": "towed_car", "places": [], "tanks": [tank]}
    document["rig"]["vehicles"].append(car)
    document["loads"] = [
        {**load, "wheel_ends": [f"{vehicle}.{name}" for name in load["wheel_ends"]]}
        for vehicle in ("van", "car")
        for load in document["loads"]
    ]
    return document


@pytest.mark.parametrize(
    "names", [("fresh", "van.fresh"), ("van.fresh", "fresh"), ("fresh", "fresh"), ("van.fresh", "van.fresh")]
)
def test_two_levels_of_one_tank_are_refused_by_whatever_names(names: tuple[str, str]) -> None:
    reply = forecast(towing(*names))
    assert (reply.status, reply.problem_type) == (422, "inconsistent")
    (error,) = reply.json["errors"]
    assert (error["code"], error["pointer"]) == ("inconsistent_name", "/changes/tanks/1/name")
    assert "van.fresh" in error["given"]


def test_tanks_of_two_vehicles_are_two_and_either_name_means_the_same() -> None:
    short, full = (answered(towing(*names)) for names in (("fresh", "fuel"), ("van.fresh", "car.fuel")))
    assert [each["what"] for each in short["changes"]] == ["van.fresh", "car.fuel"]
    assert short["changes"] == full["changes"]
    assert short["load_changes"] == full["load_changes"]
