"""Requests to read what stands on a sidewall: sizes and marks as they are molded, numbers as they are pressed in."""

from datetime import date

from hypothesis import strategies as st

METRIC = {"mass": "kg", "pressure": "kPa", "length": "mm", "speed": "km_h"}

MARKS = st.sampled_from(
    ["", " E", " LR G", " 10PR", " XL", " 121/118R", " 113L", " D 113/108L", " 121/120R (118N)", " Q", " 999", " TL"]
)
SIZES = st.sampled_from(
    [
        "LT235/85R16",
        "ST225/75R15",
        "P235/75R15",
        "235/85R16",
        "225/75R16C",
        "225/75R16CP",
        "195R14C",
        "11R22.5",
        "225/70R19.5",
        "31x10.50R15LT",
        "7.50-16LT",
        "HL255/45R19",
        "T145/80D16",
        "8.25R20",
        "ST205/75-15",
        "235/85/16",
    ]
)
NUMBERS = st.one_of(
    st.from_regex(r"(DOT )?[1-9A-F]{2,3} ?[A-F0-9]{2} ?[A-F0-9]{2,4} ?[0-5][0-9][0-9]{1,2}", fullmatch=True),
    st.text("ABC 0123456789-RDOT", min_size=1, max_size=20),
)
LOAD = st.floats(200, 5000)
STATED = st.fixed_dictionaries(
    {},
    optional={
        "fitment": st.sampled_from(["single", "dual"]),
        "on_passenger_car": st.booleans(),
        "load_range": st.sampled_from("ABCDEFGHJLMN"),
        "speed_symbol": st.sampled_from(["A8", "J", "L", "N", "R", "H", "Y"]),
        "max_load_single": LOAD,
        "max_load_dual": LOAD,
        "max_pressure": st.floats(200, 900),
        "wheel": st.fixed_dictionaries({}, optional={"max_load": LOAD, "max_pressure": st.floats(200, 900)}),
        "gawr": st.floats(500, 15000),
        "speed": st.floats(20, 200),
    },
)
REQUESTS = st.fixed_dictionaries(
    {"units": st.sampled_from(["metric", METRIC]), "designation": st.builds(str.__add__, SIZES, MARKS)},
    optional={
        "identification": NUMBERS,
        "as_of": st.dates(date(1900, 1, 1), date(2200, 12, 31)).map(date.isoformat),
        "stated": STATED,
    },
)
