"""Histories of a rig's upkeep that do not contradict themselves."""

from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

TIRES = ["steer.left", "steer.right", "drive.left.inner", "drive.left.outer", "drive.right.inner", "drive.right.outer"]
RIGS = (
    ["axle.left"],
    TIRES,
    ["coach.front.left", "coach.front.right", "car.rear.left", "car.rear.right"],
)
KINDS = ("wheel_work", "retorque", "pressure_check", "tire_fitted", "tire_inspection", "weigh", "change", "reading")
UNITS: tuple[Any, ...] = ("us", "metric", {"distance": "km"}, {"distance": "mi", "mass": "kg"})
months = st.none() | st.integers(1, 1_200)
days = st.none() | st.integers(0, 3_653)
policies = st.fixed_dictionaries(
    {},
    optional={
        "retorque": st.lists(st.integers(1, 300), max_size=6, unique=True).map(
            lambda starts: [{"due_after": start, "overdue_after": start + 7} for start in sorted(starts)]
        ),
        "retorque_days": days,
        "pressure_check_months": months,
        "pressure_check_before_trip_days": days,
        "tire_inspection_from_months": st.integers(1, 1_200),
        "tire_inspection_every_months": st.integers(1, 1_200),
        "tire_replacement_months": months,
        "weigh_months": months,
        "weigh_after": st.none() | st.floats(100, 600_000),
        "weigh_after_change": st.booleans(),
    },
)


@st.composite
def histories(draw: st.DrawFn) -> dict[str, Any]:
    """Draw a request that does not contradict itself: way and time run on, whatever odometer shows them."""
    tires = draw(st.sampled_from(RIGS))
    subjects = ["rig", *tires, *{tire.partition(".")[0] for tire in tires}]
    day, way = draw(st.dates(date(1990, 1, 1), date(2180, 1, 1))), draw(st.floats(0, 400_000))
    events: list[Any] = []
    odometer: list[Any] = []
    for kind in draw(st.lists(st.sampled_from(KINDS), max_size=12)):
        changes_odometer = kind == "reading" and draw(st.booleans())
        day += timedelta(days=draw(st.integers(int(changes_odometer), 500)))
        way += draw(st.sampled_from([0.0, 0.0001, 30.0]) | st.floats(0, 1_800))
        if changes_odometer:
            shown = draw(st.floats(0, 1_000))
            odometer.append({"read_on": str(day), "reading": shown, "old_reading": way})
            way = shown
        elif kind == "reading":
            odometer.append({"read_on": str(day), "reading": way})
        else:
            event = {"kind": kind, "done_on": str(day), "subject": draw(st.sampled_from(subjects))}
            if draw(st.booleans()):
                event["odometer"] = way
            if kind == "tire_fitted" and draw(st.booleans()):
                event["tire_made_on"] = str(day - timedelta(days=draw(st.integers(0, 5_000))))
                event["tire_life_months"] = draw(months)
            events.append(event)
    return {
        "units": draw(st.sampled_from(UNITS)),
        "rig": {"id": draw(st.text("abcR-/:7", min_size=1, max_size=20)), "tires": tires},
        "as_of": str(day + timedelta(days=draw(st.integers(0, 900)))),
        "events": draw(st.permutations(events)) if len({each["done_on"] for each in events}) == len(events) else events,
        "odometer": draw(st.permutations(odometer)),
        "trips": [str(each) for each in draw(st.lists(st.dates(date(1990, 1, 1), date(2200, 1, 1)), max_size=3))],
        "policy": draw(policies),
    }
