"""Questions for passes as they are asked over the wire, and how they are asked."""

import json
from typing import Any

from axlewright.app import create_app
from axlewright.settings import Settings
from tests.api.probe import Reply, send

APP = create_app(Settings())
TIRES = {"fitment": "single", "designation": "225/70R19.5 G", "max_load_single": 3970, "max_pressure": 110}
DUALS = {**TIRES, "fitment": "dual", "max_load_dual": 3750}
PATH = "/v1/sessions/plan"
LENGTHS = {"aft", "track", "before", "after", "length", "width", "gap_to_next"}
JSON = {"content-type": "application/json"}


def axle(name: str, aft: float, gawr: float, **more: Any) -> dict[str, Any]:
    return {"name": name, "aft": aft, "track": 78, "gawr": gawr, "tires": TIRES, **more}


def platforms(*lengths: float, gap: float = 4, width: float = 132) -> list[dict[str, Any]]:
    found = [
        {"name": name, "length": length, "width": width, "gap_to_next": gap}
        for name, length in zip("ABCDEFGH", lengths, strict=False)
    ]
    if found:
        del found[-1]["gap_to_next"]
    return found


def site(*lengths: float, **more: Any) -> dict[str, Any]:
    """Return a site in inches and pounds, with much free way."""
    return {
        "division": 20,
        "accuracy_class": "III L",
        "guard_rails": "none",
        "approach": {"before": 1200, "after": 1200},
        "platforms": platforms(*(lengths or (144, 480, 600))),
        "prices": {"first": 14.5, "further": 4},
        **more,
    }


def motorhome(*wanted: str, **more: Any) -> dict[str, Any]:
    """Return a motorhome, 212 in from axle to axle, with what is wanted of it."""
    axles = [axle("steer", 0, 7000), axle("drive", 212, 12000, tires=DUALS, track=74)]
    return {
        "units": "us",
        "rig": {
            "name": "Tern 7",
            "vehicles": [{"name": "coach", "kind": "motorhome", "gvwr": 18000, "axles": axles}],
        },
        "site": site(),
        "wanted": {"loads": list(wanted or ("axles",))},
        **more,
    }


def pair(*wanted: str, **more: Any) -> dict[str, Any]:
    """Return a pickup with a travel trailer on a ball 190 in behind its front axle."""
    hitch = {"aft": 190, "up": 18, "max_vertical": 1000, "max_towed": 10000}
    tow_axles = [axle("front", 0, 5000), axle("rear", 140, 7000)]
    towed_axles = [axle("one", 180, 5000), axle("two", 214, 5000)]
    vehicles = [
        {"name": "truck", "kind": "tow_vehicle", "gvwr": 11000, "axles": tow_axles, "hitch": hitch},
        {"name": "trailer", "kind": "travel_trailer", "gvwr": 9000, "axles": towed_axles},
    ]
    return {
        **motorhome(*wanted),
        "rig": {
            "name": "Knot",
            "vehicles": vehicles,
            "couplings": [{"tow": "truck", "towed": "trailer", "kind": "ball"}],
        },
        **more,
    }


def toad(**wanted: Any) -> dict[str, Any]:
    """Return a motorhome with a car on a tow bar, both wanted hitched, on four platforms."""
    document = motorhome(site=site(144, 300, 100, 300), wanted={"loads": ["axles"], "state": "hitched", **wanted})
    car = {"name": "car", "kind": "towed_car", "gvwr": 4200, "axles": [axle("front", 0, 2500), axle("rear", 100, 2500)]}
    document["rig"]["vehicles"].append(car)
    document["rig"]["couplings"] = [{"tow": "coach", "towed": "car", "kind": "towbar"}]
    return document


def in_meters(value: Any, name: str = "") -> Any:
    """Return a document in inches with its lengths in metres."""
    if isinstance(value, dict):
        return {each: {"mass": "lb", "pressure": "psi", "length": "m"} if each == "units" else in_meters(found, each)
                for each, found in value.items()}  # fmt: skip
    if isinstance(value, list):
        return [in_meters(each) for each in value]
    return value * 0.0254 if name in LENGTHS and value is not None else value


def ask(document: dict[str, Any], app: Any = APP) -> Reply:
    return send(app, "POST", PATH, json.dumps(document).encode(), JSON)


def answered(document: dict[str, Any]) -> dict[str, Any]:
    reply = ask(document)
    assert reply.status == 200, reply.body
    answer: dict[str, Any] = reply.json
    return answer


def faults(document: dict[str, Any]) -> list[tuple[str, str]]:
    reply = ask(document)
    assert reply.status == 422, reply.body
    return [(error["code"], error["pointer"]) for error in reply.json["errors"]]
