"""Consistent documents for the fleet: what they name are the ids of the published examples, or what is made for them.

A document of a weigh names a rig of its own: `NEEDED` has what must be kept before the document can be sent.
"""

import hashlib
import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from hypothesis import strategies as st

from axlewright.contract.fleet.example_bodies import COACH, CORRECTED, LEAST, MOST, TRAILER, example_id
from tests.rigs.coupled import coupled_requests
from tests.rigs.quantities import CHOICES, Json, between, mass, pressure, written
from tests.rigs.requests import requests, unit_choices
from tests.rigs.vehicles import TIRES

COACH_ID, TRAILER_ID = example_id("vehicles", COACH), example_id("vehicles", TRAILER)
POSITIONS = {
    COACH_ID: [
        *("steer.left", "steer.right"),
        *(f"drive.{side}.{tire}" for side in ("left", "right") for tire in ("inner", "outer")),
    ],
    TRAILER_ID: ["axle.left", "axle.right"],
}
SUBJECTS = {
    COACH_ID: ["vehicle", "steer", "drive", "steer.right", "drive.left", "drive.left.inner"],
    TRAILER_ID: ["vehicle", "axle", "axle.left"],
}
SUPERSEDES = example_id("pressure_checks", 99)
"""Stands for a record that was made just before, to be corrected."""
COUPLED_SHARE = 4
EVENTS = ("wheel_work", "retorque", "pressure_check", "tire_fitted", "tire_inspection", "weigh", "change")


@dataclass(frozen=True)
class Needed:
    """The documents of a rig of its own."""

    vehicles: list[Json]
    rig: Json


NEEDED: dict[str, Needed] = {}
"""By the id that a drawn weigh names, the rig that it is of."""

TEXTS = st.text(
    st.characters(exclude_categories=["Cc", "Cs"], exclude_characters="\u2028\u2029"), min_size=1, max_size=80
)
NOTES = TEXTS.map(lambda text: text * 6)
DAYS = st.dates(max_value=date(2026, 5, 1)).map(date.isoformat)
LABELS = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9 _.:/-]{0,39}", fullmatch=True)
SHARES = st.integers(0, 100).map(lambda percent: percent / 100)


def some(optional: dict[str, st.SearchStrategy[Any]], **always: Any) -> st.SearchStrategy[dict[str, Any]]:
    """Return documents with some of the names that may be left out."""
    constants = {
        name: value if isinstance(value, st.SearchStrategy) else st.just(value) for name, value in always.items()
    }
    return st.fixed_dictionaries(constants, optional=optional)


@st.composite
def in_units(draw: st.DrawFn, draft: st.SearchStrategy[Any]) -> Json:
    """Draw a document told in units that it names."""
    asked, units = draw(unit_choices())
    return {"units": asked, **written(draw(draft), {"distance": "mi", **units})}


def vehicles() -> st.SearchStrategy[Json]:
    """Return vehicles with whatever they may have."""
    numbers = st.builds(lambda text, number: f"{text[:50]}{number}", TEXTS, st.integers(0, 2**64))
    tags = some(
        {"asset_number": numbers, "labels": st.lists(LABELS, max_size=16, unique=True), "archived": st.booleans()}
    )
    return st.builds(
        lambda request, pick, more: {
            "units": request["units"],
            "vehicle": request["rig"]["vehicles"][pick % len(request["rig"]["vehicles"])],
            **more,
        },
        requests(),
        st.integers(0, 2),
        tags,
    )


@st.composite
def rigs(draw: st.DrawFn) -> Json:
    """Draw a rig of the vehicles of the examples."""
    first_day, last_day = sorted(draw(st.tuples(DAYS, DAYS)))
    policies = [example_id("policies", number) for number in (TRAILER, COACH)]
    tables = [example_id("inflation_tables", number) for number in (TRAILER, COACH)]
    optional = {
        "last_day": st.just(last_day),
        "policy_id": st.sampled_from([None, *policies]),
        "inflation_table_ids": st.lists(st.sampled_from(tables), unique=True),
        "couplings": st.just([]),
        "archived": st.booleans(),
    }
    together = st.sampled_from([[COACH_ID], [TRAILER_ID], [COACH_ID, TRAILER_ID]])
    return draw(some(optional, name=TEXTS, first_day=first_day, vehicles=together))


@st.composite
def tires(draw: st.DrawFn) -> Json:
    """Draw a tire that came off on the day it came on: no two can be in one place at a time."""
    vehicle_id = draw(st.sampled_from(sorted(POSITIONS)))
    day = draw(DAYS)
    optional = {
        "identification_number": st.from_regex(r"[A-Z0-9 -]{4,20}", fullmatch=True),
        "designation": TEXTS,
        "note": NOTES,
        "archived": st.booleans(),
    }
    position = st.sampled_from(POSITIONS[vehicle_id])
    return draw(some(optional, vehicle_id=vehicle_id, position=position, fitted_on=day, taken_off_on=day))


def layouts() -> st.SearchStrategy[Json]:
    """Return ways of loading the rigs of the examples."""
    names = st.from_regex(r"[a-z][a-z0-9_-]{0,31}", fullmatch=True)
    aboard = st.lists(st.fixed_dictionaries({"mass": between(1, 300).map(mass), "place": names}), max_size=3)
    tanks = st.lists(st.fixed_dictionaries({"name": names, "level": SHARES}), max_size=3)
    carried = some({"people": aboard, "pets": aboard, "cargo": aboard, "tanks": tanks, "note": NOTES})
    rig = st.sampled_from([example_id("rigs", number) for number in (TRAILER, COACH)])
    return in_units(some({"archived": st.booleans()}, rig_id=rig, name=TEXTS, carried=carried))


@st.composite
def inflation_tables(draw: st.DrawFn) -> Json:
    """Draw a table whose rows rise."""
    count = draw(st.integers(1, 6))
    tire = draw(st.sampled_from(TIRES[:-1]))
    rows = [
        {"pressure": pressure(tire.pressure_pa * share), "load": mass(tire.single_kg * share)}
        for share in [(10 - count + place) / 10 for place in range(count)]
    ]
    optional = {"edition": TEXTS, "load_range": st.just(tire.load_range)}
    table = some(optional, designation=tire.designation.split()[0], fitment="single", rows=rows, source=TEXTS)
    return draw(in_units(some({"archived": st.booleans()}, table=table)))


def policies() -> st.SearchStrategy[Json]:
    """Return choices under a name."""
    taken = ("units", "policy", "conditions")
    return st.builds(
        lambda request, more: {**{name: request[name] for name in taken if name in request}, **more},
        requests(),
        some({"archived": st.booleans()}, name=TEXTS),
    )


def weighs() -> st.SearchStrategy[Json]:
    """Return weighs of rigs of their own; one in so many was weighed hitched."""
    whole = requests().filter(lambda request: "session" in request)
    request = st.integers(0, COUPLED_SHARE - 1).flatmap(
        lambda pick: coupled_requests().filter(lambda each: "session" in each) if pick == COUPLED_SHARE - 1 else whole
    )
    return st.builds(_weigh, request, st.dates(date(2020, 1, 1), date(2026, 5, 1)).map(date.isoformat), st.booleans())


def _weigh(request: Json, day: str, is_corrected: bool) -> Json:
    vehicles = [{"units": request["units"], "vehicle": vehicle} for vehicle in request["rig"]["vehicles"]]
    couplings = request["rig"].get("couplings", [])
    rig = {"name": request["rig"]["name"], "first_day": "2020-01-01", "couplings": couplings}
    digest = hashlib.sha256(json.dumps([vehicles, rig]).encode()).hexdigest()
    rig_id = f"{digest[:8]}-{digest[8:12]}-7{digest[13:16]}-8{digest[17:20]}-{digest[20:32]}"
    NEEDED[rig_id] = Needed(vehicles, rig)
    told = {name: request[name] for name in ("units", "coupling_loads") if name in request}
    session = {"weighed_on": day, **request["session"]}
    return {**told, "rig_id": rig_id, "session": session, **({"supersedes": SUPERSEDES} if is_corrected else {})}


def orders() -> st.SearchStrategy[Json]:
    """Return orders of further assessments of the weighs of the examples."""
    sessions = st.sampled_from([example_id("sessions", number) for number in (LEAST, CORRECTED, MOST)])
    policy = st.sampled_from([None, *(example_id("policies", number) for number in (TRAILER, COACH))])
    units = st.one_of(st.sampled_from(["us", "metric"]), st.fixed_dictionaries({**_WHOLE_UNITS}))
    return some({"policy_id": policy}, session_id=sessions, units=units)


_WHOLE_UNITS = {
    **{kind: st.sampled_from(names) for kind, names in CHOICES.items()},
    "distance": st.sampled_from(["mi", "km"]),
    "torque": st.sampled_from(["lbf_ft", "N_m"]),
    "speed": st.sampled_from(["mph", "km_h"]),
}


@st.composite
def pressure_checks(draw: st.DrawFn) -> Json:
    """Draw a round with the gauge."""
    vehicle_id = draw(st.sampled_from(sorted(POSITIONS)))
    positions = draw(st.lists(st.sampled_from(POSITIONS[vehicle_id]), min_size=1, unique=True))
    tires = [
        draw(some({"refilled": st.booleans()}, position=position, pressure=between(1e5, 8e5).map(pressure)))
        for position in positions
    ]
    optional = {"checked_at": st.times().map(lambda time: time.strftime("%H:%M:%S")), **_CORRECTS}
    return draw(in_units(some(optional, vehicle_id=vehicle_id, checked_on=DAYS, tires=tires)))


@st.composite
def upkeep_events(draw: st.DrawFn) -> Json:
    """Draw something that was done."""
    vehicle_id = draw(st.sampled_from(sorted(SUBJECTS)))
    subject = st.sampled_from(SUBJECTS[vehicle_id])
    optional = {"odometer": st.integers(0, 999_999), "note": NOTES, **_CORRECTS}
    always = some(
        optional, units="us", vehicle_id=vehicle_id, kind=st.sampled_from(EVENTS), done_on=DAYS, subject=subject
    )
    return draw(always)


def odometer_readings() -> st.SearchStrategy[Json]:
    """Return readings."""
    optional = {"old_reading": st.integers(0, 999_999), **_CORRECTS}
    vehicle = st.sampled_from(sorted(POSITIONS))
    units = st.sampled_from(["us", "metric"])
    return some(optional, units=units, vehicle_id=vehicle, read_on=DAYS, reading=st.integers(0, 999_999))


_CORRECTS = {"supersedes": st.just(SUPERSEDES)}

BODIES = {
    "vehicle": vehicles(),
    "rig": rigs(),
    "tire": tires(),
    "layout": layouts(),
    "inflation_table": inflation_tables(),
    "policy": policies(),
    "session": weighs(),
    "assessment": orders(),
    "pressure_check": pressure_checks(),
    "upkeep_event": upkeep_events(),
    "odometer_reading": odometer_readings(),
}
"""By the name in their operations."""
