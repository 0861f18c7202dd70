"""Random requests to the inflation room's own questions: valid ones, in mixed units, some with contradictions."""

from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

from tests.rigs.quantities import si_of

UNITS = st.fixed_dictionaries(
    {
        "mass": st.sampled_from(["lb", "kg"]),
        "pressure": st.sampled_from(["psi", "kPa", "bar"]),
        "temperature": st.sampled_from(["degF", "degC"]),
        "altitude": st.sampled_from(["ft", "m"]),
    }
)


def numbers(unit: str, low_si: float, high_si: float) -> st.SearchStrategy[float]:
    """Return numbers in a unit that lie well within an SI range."""
    zero, one = si_of(unit, 0), si_of(unit, 1)
    low, high = ((bound - zero) / (one - zero) for bound in (low_si, high_si))
    return st.floats(low + 1e-6 * abs(low), high - 1e-6 * abs(high)).map(lambda number: float(f"{number:.5g}"))


@st.composite
def requests(draw: st.DrawFn, make: Any) -> Any:
    """Return a request that `make` writes, in units of its own."""
    units = draw(UNITS)

    def pressure(low: float = 60e3, high: float = 1_350e3) -> float:
        return draw(numbers(units["pressure"], low, high))

    def temperature(low: float = 215.0) -> float:
        return draw(numbers(units["temperature"], low, 370.0))

    def altitude() -> float:
        return draw(numbers(units["altitude"], -440.0, 5_900.0))

    return {"units": units, **make(draw, pressure, temperature, altitude, units)}


def maybe(draw: st.DrawFn, name: str, value: Any) -> Any:
    """Return a member, or nothing."""
    return {name: value()} if draw(st.booleans()) else {}


def bounds(draw: st.DrawFn, pressure: Any) -> Any:
    """Return an axle's pressures, mostly rising."""
    three = [pressure() for _ in range(3)]
    least, cold, most = sorted(three) if draw(st.integers(0, 9)) else three
    return {"least_cold_pressure": least, "cold_pressure": cold, "most_cold_pressure": most}


def state(temperature: Any, altitude: Any) -> Any:
    return {"tire_temperature": temperature(), "altitude": altitude()}


def translation(draw: st.DrawFn, pressure: Any, temperature: Any, altitude: Any, units: Any) -> Any:
    here = state(temperature, altitude)
    here |= maybe(draw, "pressure_uncertainty", lambda: draw(st.floats(0, 1.9)))
    here |= maybe(draw, "temperature_uncertainty", lambda: draw(st.floats(0, 49)))
    there = state(temperature, altitude)
    if draw(st.booleans()):
        return {"observed": here, "target": {"pressure": pressure(), **there}}
    observed = {"pressure": pressure(), **here}
    load = numbers(units["mass"], 41.0, 8_900.0)
    observed |= maybe(draw, "after_driving", lambda: {"max_load": draw(load)})
    if not draw(st.integers(0, 4)):
        del observed["tire_temperature"]
    return {"observed": observed, "target": there}


def itinerary(draw: st.DrawFn, pressure: Any, temperature: Any, altitude: Any, _: Any) -> Any:
    stops = []
    for place in range(draw(st.integers(1, 5))):
        coldest, hottest = sorted((temperature(), temperature()))
        stops.append(
            {
                "name": f"stop {place}",
                "altitude": altitude(),
                "coldest_temperature": coldest,
                "hottest_temperature": hottest,
            }
        )
    axles = [
        {"axle": f"a{place}", **bounds(draw, pressure), **maybe(draw, "present_pressure", pressure)}
        for place in range(draw(st.integers(1, 3)))
    ]
    fill = {**state(temperature, altitude), **maybe(draw, "ambient_temperature", temperature)}
    return {"fill": fill, "stops": stops, "axles": axles}


TELLTALE_TIRES = [
    "p_metric_standard_load",
    "p_metric_extra_load",
    "load_range_c",
    "load_range_d",
    "load_range_e",
]
KINDS = ["motorhome", "van", "tow_vehicle", "towed_car", "travel_trailer", "fifth_wheel", "trailer"]


def monitor(draw: st.DrawFn, pressure: Any, temperature: Any, altitude: Any, units: Any) -> Any:
    axles = [
        {
            "axle": f"a{place}",
            **bounds(draw, pressure),
            **maybe(draw, "label_pressure", pressure),
            **maybe(draw, "telltale_tire", lambda: draw(st.sampled_from(TELLTALE_TIRES))),
        }
        for place in range(draw(st.integers(1, 3)))
    ]
    conditions = {
        **maybe(draw, "fill", lambda: state(temperature, altitude)),
        **maybe(draw, "coldest", lambda: {"ambient_temperature": temperature(), "altitude": altitude()}),
    }
    places = [place["altitude"] for place in conditions.values()] if draw(st.integers(0, 9)) else []
    heights = sorted([altitude(), altitude(), *places])
    low, high = heights[0], heights[-1]
    vehicle = {
        "kind": draw(st.sampled_from(KINDS)),
        "gvwr": draw(numbers(units["mass"], 1_000.0, 20_000.0)),
        "dual_wheels": draw(st.booleans()),
        **maybe(draw, "built_since_september_2007", lambda: draw(st.booleans())),
    }
    policy = {
        **maybe(draw, "low_share", lambda: draw(st.floats(0.5, 0.99))),
        **maybe(draw, "high_share", lambda: draw(st.floats(1.01, 2))),
        **maybe(draw, "hot_temperature", lambda: temperature(323.0)),
    }
    return {
        "axles": axles,
        "conditions": conditions,
        **maybe(draw, "sealed", lambda: {"lowest_altitude": low, "highest_altitude": high}),
        **maybe(draw, "vehicle", lambda: vehicle),
        "policy": policy,
    }


WHEELS = ["a.left", "a.right", "b.left.inner", "b.left.outer", "b.right.inner", "b.right.outer", "v.left.left"]


def leaks(draw: st.DrawFn, pressure: Any, temperature: Any, altitude: Any, _: Any) -> Any:
    first = draw(st.dates(date(1, 1, 1), date(9_999, 11, 1)))
    tires = []
    for wheel in draw(st.lists(st.sampled_from(WHEELS), min_size=1, max_size=3, unique=True)):
        checks: list[Any] = []
        for place in range(draw(st.integers(1, 7))):
            check = {"pressure": pressure(), "altitude": altitude(), "refilled": not draw(st.integers(0, 6))}
            check[draw(st.sampled_from(["tire_temperature", "ambient_temperature"]))] = temperature()
            day, minute = divmod(place, 2) if draw(st.booleans()) else (place, 0)
            check["checked_on"] = (first + timedelta(7 * day)).isoformat()
            check["checked_at"] = f"12:{minute:02}"
            checks.append(check)
        order = {(check["checked_on"], check["checked_at"]): check for check in checks}
        checks = [order[key] for key in sorted(order)]
        tires.append({"wheel_end": wheel, "checks": checks, **maybe(draw, "least_cold_pressure", pressure)})
    return {"reference": state(temperature, altitude), "tires": tires}


QUESTIONS = {
    "translate_pressure": translation,
    "plan_itinerary": itinerary,
    "set_monitor": monitor,
    "find_leaks": leaks,
}
"""What writes a request to each operation, by its id."""
