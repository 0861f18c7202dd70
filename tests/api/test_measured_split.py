"""A split that an axle group keeps from its weighed loads is told as measured, with its doubt."""

from typing import Any

import pytest

from tests.api.test_forecast import answered, van


def told(u_lb: float | None, **group: Any) -> dict[str, dict[str, Any]]:
    """Return what is assumed of each axle's share of a van's rear tandem, whose axles carry 2,000 and 3,000 lb."""
    document = van(cargo=[{"mass": 90, "standard_uncertainty": 0, "goes_to": "galley"}])
    (own,) = document["rig"]["vehicles"]
    own["axles"].append({**own["axles"][1], "name": "tag", "aft": 190})
    own["groups"] = [{"axles": ["rear", "tag"], "suspension": "equalised", **group}]
    ends = {"front": 1900, "rear": 1000, "tag": 1500}
    document["loads"] = [
        {"wheel_ends": [f"{name}.{side}"], "load": load, "standard_uncertainty": u_lb}
        for name, load in ends.items()
        for side in ("left", "right")
    ]
    return {each["axle"]: each for each in answered(document)["assumptions"] if each["kind"] == "group_split"}


def test_a_measured_split_is_not_told_as_stated() -> None:
    found = told(20)
    assert set(found) == {"rear", "tag"}
    for each in found.values():
        assert not each["stated"]
        assert "measured" in each["words"]
        # By hand: 2,000 and 3,000 lb, each u = 20 sqrt(2) lb: share u = hypot(3,000, 2,000) x 28.28/5,000^2 = 0.00408,
        # as the error of two independent weights 0.00408/(0.4 x 0.6 x sqrt(2)) = 0.0120.
        assert each["relative_uncertainty"] == pytest.approx(0.0120, abs=0.0001)


def test_a_split_measured_by_loads_of_unstated_doubt_is_no_surer_than_a_default() -> None:
    # By hand: 0.03/(0.4 x 0.6 x sqrt(2)) = 0.0884.
    found = told(None).values()
    assert [each["relative_uncertainty"] for each in found] == [pytest.approx(0.0884, abs=0.0001)] * 2


def test_a_split_that_was_stated_is_exact_and_not_told() -> None:
    assert told(20, split=[0.5, 0.5]) == {}
