"""The lists of rigs and the histories in the fleet's examples."""

from typing import Any

import msgspec

from axlewright.contract.fleet.example_answers import assessed
from axlewright.contract.fleet.example_bodies import COACH, MOST, TRAILER, WEIGHED_ON, Json, example_bodies, example_id
from axlewright.contract.fleet.history import HistoryFact, history_page
from axlewright.contract.fleet.listing import (
    Load,
    axle_figures,
    gross_load,
    largest_share,
    vehicle_loads,
    wheel_end_loads,
)
from axlewright.contract.units import UNITS

WHEEL_END = "drive.left"
AXLE = "drive"


def listed(rig: int, axle: str | None = None) -> Json:
    """Return what a list says of a rig, or of one axle of it."""
    name, order = ("minimal", "minimal") if rig == TRAILER else ("full", None)
    answer = assessed(name, order)
    figures = axle_figures(answer)
    sent, vehicle = (example_bodies()[operation][name] for operation in ("keep_rig", "keep_vehicle"))
    return {
        "id": example_id("rigs", rig),
        "name": sent["name"],
        "asset_number": vehicle.get("asset_number"),
        "labels": sorted(vehicle.get("labels", [])),
        "archived": False,
        "first_day": sent["first_day"],
        "last_day": sent.get("last_day"),
        "weighed_on": WEIGHED_ON,
        "standing": answer.summary.standing if axle is None else figures[axle].standing,
        "side_difference_share": largest_share(figures) if axle is None else figures[axle].side_difference_share,
        "changed_since": False,
    }


def history(facts: list[HistoryFact], *, first: int = 0, next_cursor: str | None = None) -> Json:
    """Return a page of a history, from a place on."""
    page: Json = msgspec.to_builtins(history_page(facts[first:], "us", next_cursor))
    return page


def rig_facts() -> list[HistoryFact]:
    """Return what happened to the coach's rig."""
    answer = assessed("full", None)
    return [
        _fact("assessment", WEIGHED_ON, "assessments", 3, answer.summary.standing),
        _fact("weigh", WEIGHED_ON, "sessions", MOST, load=gross_load(answer)),
    ]


def vehicle_facts() -> list[HistoryFact]:
    """Return what happened to the coach."""
    check, event, odometer = (_recorded(one) for one in ("pressure_check", "upkeep_event", "odometer_reading"))
    miles = UNITS["distance", "mi"]
    return [
        _fact("weigh", WEIGHED_ON, "sessions", MOST, load=vehicle_loads(assessed("full", None))[0]),
        *(
            _fact(kind, odometer["read_on"], "odometer_readings", 2, word, miles.to_si(odometer[name]))
            for kind, name, word in (("odometer", "reading", "replaced"), ("former_odometer", "old_reading", None))
        ),
        _fact("pressure_check", check["checked_on"], "pressure_checks", 2),
        _fact("upkeep", event["done_on"], "upkeep_events", 2, event["kind"]),
    ]


def wheel_end_facts() -> list[HistoryFact]:
    """Return what happened to a wheel end of the coach."""
    loads = {each.name: each.load for each in wheel_end_loads(assessed("full", None))}
    check, event = _recorded("pressure_check"), _recorded("upkeep_event")
    tire = example_bodies()["keep_tire"]["full"]
    marking = tire["identification_number"]
    return [
        _fact("load", WEIGHED_ON, "sessions", MOST, load=loads[WHEEL_END]),
        _fact(
            "pressure_inner",
            check["checked_on"],
            "pressure_checks",
            2,
            "refilled",
            UNITS["pressure", "psi"].to_si(check["tires"][0]["pressure"]),
        ),
        _fact("upkeep", event["done_on"], "upkeep_events", 2, event["kind"]),
        _fact("tire_taken_off", tire["taken_off_on"], "tires", COACH, marking),
        _fact("tire_fitted", tire["fitted_on"], "tires", COACH, marking),
    ]


def _fact(
    kind: str,
    day: str,
    of: str,
    number: int,
    word: str | None = None,
    value: float | None = None,
    load: Load | None = None,
) -> HistoryFact:
    if load is None:
        load = Load(value, None, provisional=False)
    id_ = example_id(of, number)
    return HistoryFact(day, kind, id_, word, load.load_kg, load.standard_uncertainty_kg, order_id=id_)


def _recorded(one: str) -> Any:
    return example_bodies()[f"record_{one}"]["full"]
