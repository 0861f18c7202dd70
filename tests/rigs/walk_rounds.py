"""What somebody may note on a walk round a rig."""

from datetime import date
from typing import Any

from hypothesis import strategies as st


def days(first: int, last: int) -> st.SearchStrategy[str]:
    return st.dates(date(first, 1, 1), date(last, 1, 1)).map(date.isoformat)


MADE = st.one_of(
    st.just({}),
    st.fixed_dictionaries({"made_on": days(1950, 2010)}),
    st.fixed_dictionaries({"identification": st.from_regex(r"AB CD (EF )?[0-4][1-9]0?[0-9]", fullmatch=True)}),
)
SEEN = st.fixed_dictionaries(
    {},
    optional={
        "steers": st.booleans(),
        "designation": st.sampled_from(["LT235/85R16", "LT235/85R16 E", "225/70R19.5 G", "31x10.50R15LT"]),
        "grooves": st.lists(st.fixed_dictionaries({"depth": st.floats(0, 20)}), max_size=4),
        "outer_diameter": st.floats(400, 1200),
        "pressure": st.floats(100, 900),
        "damages": st.none() | st.lists(st.sampled_from(["bulge", "cut", "uneven_wear", "weather_cracks"]), max_size=4),
        "stem": st.sampled_from(["sound", "cracked", "loose", "leaking"]),
        "has_valve_cap": st.booleans(),
    },
)
MATES = st.sampled_from([("",), (".inner",), (".outer",), (".inner", ".outer")])


@st.composite
def tires(draw: st.DrawFn) -> list[dict[str, Any]]:
    """Return tires of some wheel ends, each a single one or a dual of which one may be left out."""
    ends = draw(st.sets(st.sampled_from(["steer.left", "steer.right", "drive.left", "drive.right"])))
    names = [f"{end}{mate}" for end in sorted(ends) for mate in draw(MATES)]
    return [{"name": name, **draw(SEEN), **draw(MADE)} for name in names]


HEIGHTS = st.lists(
    st.fixed_dictionaries({"name": st.sampled_from(["a", "b", "{c}"]), "height": st.floats(1500, 9000)}),
    max_size=3,
    unique_by=lambda height: height["name"],
)
POLICY = st.fixed_dictionaries(
    {},
    optional={
        "least_clearance": st.floats(0, 1000),
        "tread_notice": st.floats(0, 20),
        "tire_inspection_from_months": st.integers(1, 1200),
        "tire_replacement_months": st.integers(1, 1200),
    },
)
REQUESTS = st.fixed_dictionaries(
    {
        "units": st.sampled_from(["metric", {"length": "mm", "pressure": "kPa"}]),
        "as_of": days(2009, 2100),
        "tires": tires(),
    },
    optional={"overall_height": st.floats(1000, 5000), "heights": HEIGHTS, "policy": POLICY},
)
