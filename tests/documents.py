"""One request with everything that a request can hold, invented and consistent; the base that tests change."""

import json
from typing import Any

_TIRES = {
    "designation": "225/70R19.5",
    "load_range": "G",
    "speed_symbol": "L",
    "max_load_single": 3970,
    "max_load_dual": 3750,
    "max_pressure": 110,
    "pressure": 100,
}
_WHEEL = {"max_load": 4080, "max_pressure": 120}

_RIG: dict[str, Any] = {
    "name": "Whimbrel 31",
    "vehicles": [
        {
            "name": "coach",
            "kind": "motorhome",
            "gvwr": 22000,
            "gcwr": 27000,
            "axles": [
                {
                    "name": "steer",
                    "aft": 0,
                    "track": 78,
                    "gawr": 7500,
                    "wheel": _WHEEL,
                    "tires": {"fitment": "single", **_TIRES},
                    "wheel_ends": [
                        {"side": "left", "tires": {"fitment": "single", **_TIRES}, "wheel": _WHEEL, "max_load": 4000}
                    ],
                },
                {"name": "drive", "aft": 212, "track": 74, "gawr": 13500, "tires": {"fitment": "dual", **_TIRES}},
                {"name": "tag", "aft": 260, "track": 78, "gawr": 6500, "tires": {"fitment": "single", **_TIRES}},
            ],
            "label_pressures": [{"axle": "steer", "pressure": 95}, {"axle": "drive", "pressure": 90}],
            "groups": [{"axles": ["drive", "tag"], "suspension": "shared_air", "split": [0.67, 0.33]}],
            "hitch": {"aft": 330, "up": 20, "max_vertical": 500, "max_vertical_levelled": 600, "max_towed": 5000},
            "tanks": [
                {"name": "fresh", "fluid": "water", "capacity": 60, "aft": 190, "right": -20, "up": 24},
                {"name": "fuel", "fluid": "diesel", "capacity": 55, "aft": 40, "right": 25},
            ],
            "places": [
                {"name": "driver_seat", "aft": -10, "right": -20, "up": 50, "capacity": 300},
                {"name": "bay_1", "aft": 120, "right": -36},
            ],
        }
    ],
}
_SESSION: dict[str, Any] = {
    "weighed_on": "2026-05-14",
    "ticket": "A-2207",
    "scale": {
        "division": 20,
        "accuracy_class": "III L",
        "identity": "serial 40-1175",
        "sealed_on": "2025-09-03",
        "platforms": [{"name": "A", "division": 20, "kind": "section"}, {"name": "B", "kind": "section"}],
    },
    "carried": {
        "people": [{"mass": 160, "place": "driver_seat"}],
        "cargo": [{"mass": 90, "place": "bay_1"}],
        "tanks": [{"name": "fresh", "level": 1}, {"name": "fuel", "level": 0.5}],
        "note": "as it leaves the yard",
    },
    "passes": [
        {
            "name": "right wheels",
            "ticket": "A-2207-1",
            "time": "08:05",
            "zero_seen": True,
            "total": {"value": 11720, "independent": False},
            "state": "solo",
            "readings": [
                {"platform": "A", "value": 3240, "wheel_ends": ["steer.right"]},
                {"platform": "B", "value": 8480, "wheel_ends": ["drive.right", "tag.right"]},
            ],
        },
        {
            "name": "axles",
            "readings": [
                {"platform": "A", "value": 6380, "wheel_ends": ["steer.left", "steer.right"]},
                {
                    "platform": "B",
                    "value": 16820,
                    "wheel_ends": ["drive.left", "drive.right", "tag.left", "tag.right"],
                },
            ],
        },
    ],
}
_LOADS: list[dict[str, Any]] = [
    {"wheel_ends": ["steer.right"], "load": 3240, "standard_uncertainty": 12},
    {"wheel_ends": ["steer.left"], "load": 3140, "standard_uncertainty": 12},
    {"wheel_ends": ["drive.left.inner"], "load": 2700, "standard_uncertainty": 10},
    {"wheel_ends": ["drive.left.outer"], "load": 2500},
    {"wheel_ends": ["drive.right"], "load": 5600, "standard_uncertainty": 0},
    {"wheel_ends": ["tag.left", "tag.right"], "load": 6100, "standard_uncertainty": 30},
]
_REST: dict[str, Any] = {
    "conditions": {
        "fill": {"tire_temperature": 84, "altitude": 600, "ambient_temperature": 72},
        "coldest": {"ambient_temperature": 41, "altitude": 5200},
    },
    "policy": {
        "reserve_share": 0.02,
        "rounding_step": 5,
        "coverage_factor": 2,
        "tight_share": 0.05,
        "label_floor": "light_and_trailers",
        "least_steering_share": 0.2,
        "significance": 0.05,
        "whole_axle_share": 0.001,
        "hanging_side_share": 0.0025,
        "raised_pad_share": 0.02,
    },
    "tire_tables": [
        {
            "designation": "225/70R19.5",
            "load_range": "G",
            "fitment": "dual",
            "rows": [{"pressure": 80, "load": 2880}, {"pressure": 95, "load": 3300}, {"pressure": 110, "load": 3750}],
            "source": "the maker's sheet",
            "edition": "2025",
        }
    ],
}


def _copied(document: dict[str, Any]) -> dict[str, Any]:
    """Return a copy in which nothing stands for two places at once."""
    copied: dict[str, Any] = json.loads(json.dumps(document))
    return copied


def weighed() -> dict[str, Any]:
    """Return the whole request with its weigh tickets."""
    return _copied({"units": "us", "rig": _RIG, "session": _SESSION, **_REST})


def known() -> dict[str, Any]:
    """Return the whole request with loads that the caller knows."""
    return _copied({"units": "us", "rig": _RIG, "loads": _LOADS, **_REST})
