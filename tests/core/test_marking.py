"""Reading sidewall markings.

Expected values: the figures are those printed in the marking itself; families by the grammars that vehicle
makers' owner manuals print (P, hard metric, LT, flotation, T) and by common practice (ST, C, CP, truck).
"""

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.tires.marking import (
    PASSENGER_DERATE,
    Ambiguity,
    Construction,
    Family,
    Marking,
    NotRead,
    ServiceDescription,
    is_passenger_car_tire,
    read_marking,
)


@dataclass(frozen=True)
class Expected:
    """What a marking must be read as; rim in inches."""

    designation: str
    family: str
    rim: float
    load_range: str | None = None
    load_indices: tuple[int, ...] | None = None
    speed_symbol: str | None = None
    construction: str = "radial"


def e(*arguments: object, **named: object) -> Expected:
    """Return what is expected, briefly."""
    return Expected(*arguments, **named)  # type: ignore[arg-type]


READABLE: dict[str, Expected] = {
    # P-metric
    "P215/65R15 95H": e("P215/65R15", "p_metric", 15, None, (95,), "H"),
    "P235/75R15": e("P235/75R15", "p_metric", 15),
    "p235/75r15 108s xl": e("P235/75R15", "p_metric", 15, None, (108,), "S"),
    "P 275 / 60 R 20 114 T": e("P275/60R20", "p_metric", 20, None, (114,), "T"),
    "P225/75D15": e("P225/75D15", "p_metric", 15, construction="bias"),
    "P225/75B15": e("P225/75B15", "p_metric", 15, construction="bias_belted"),
    "P245/40ZR18 93Y": e("P245/40ZR18", "p_metric", 18, None, (93,), "Y"),
    "P205/75R14 SL": e("P205/75R14", "p_metric", 14),
    "P185/80R13 LL 90S": e("P185/80R13", "p_metric", 13, None, (90,), "S"),
    # Hard metric
    "215/65R15 96H": e("215/65R15", "passenger_metric", 15, None, (96,), "H"),
    "215/65 R15 96 H": e("215/65R15", "passenger_metric", 15, None, (96,), "H"),
    "205/55R16 91V": e("205/55R16", "passenger_metric", 16, None, (91,), "V"),
    "235/60r18 107w extra load": e("235/60R18", "passenger_metric", 18, None, (107,), "W"),
    "255/40ZR18 (99Y)": e("255/40ZR18", "passenger_metric", 18, None, (99,), "Y"),
    "225/75R16": e("225/75R16", "passenger_metric", 16),
    "185/65-15 88T": e("185/65D15", "passenger_metric", 15, None, (88,), "T", "bias"),
    "195/70R15 97T RF": e("195/70R15", "passenger_metric", 15, None, (97,), "T"),
    "245/45R20 103": e("245/45R20", "passenger_metric", 20, None, (103,)),
    # LT-metric
    "LT235/85R16": e("LT235/85R16", "lt_radial", 16),
    "LT235/85R16 E 120/116R": e("LT235/85R16", "lt_radial", 16, "E", (120, 116), "R"),
    "lt235/85r16e 120/116r": e("LT235/85R16", "lt_radial", 16, "E", (120, 116), "R"),
    "LT235/85R16/E": e("LT235/85R16", "lt_radial", 16, "E"),
    "LT235/85R16 LRE": e("LT235/85R16", "lt_radial", 16, "E"),
    "LT235/85R16 LR E": e("LT235/85R16", "lt_radial", 16, "E"),
    "LT235/85R16 Load Range G": e("LT235/85R16", "lt_radial", 16, "G"),
    "LT235/85R16 10PR": e("LT235/85R16", "lt_radial", 16, "E"),
    "LT235/85R16 E 10 ply": e("LT235/85R16", "lt_radial", 16, "E"),
    "  LT 235 / 85 R 16  E  120 / 116 R  ": e("LT235/85R16", "lt_radial", 16, "E", (120, 116), "R"),
    "LT245/75R16 120/116S E": e("LT245/75R16", "lt_radial", 16, "E", (120, 116), "S"),
    "LT245/75R16 E 120/116 S": e("LT245/75R16", "lt_radial", 16, "E", (120, 116), "S"),
    "LT225/75R16 C": e("LT225/75R16", "lt_radial", 16, "C"),
    "LT225/75R16C": e("LT225/75R16", "lt_radial", 16, "C"),
    "LT275/70R18 125/122Q": e("LT275/70R18", "lt_radial", 18, None, (125, 122), "Q"),
    "LT215/85R16 115/112 R": e("LT215/85R16", "lt_radial", 16, None, (115, 112), "R"),
    "235/85R16LT": e("LT235/85R16", "lt_radial", 16),
    "LT235/85D16 E": e("LT235/85D16", "lt_bias", 16, "E", construction="bias"),
    "LT235/85-16": e("LT235/85D16", "lt_bias", 16, construction="bias"),
    "LT225/70R19.5 F": e("LT225/70R19.5", "lt_radial", 19.5, "F"),
    # Numeric LT
    "7.50R16LT": e("7.50R16LT", "lt_radial", 16),
    "7.50R16 LT E": e("7.50R16LT", "lt_radial", 16, "E"),
    "7.50-16LT": e("7.50-16LT", "lt_bias", 16, construction="bias"),
    "7.5-16lt d": e("7.50-16LT", "lt_bias", 16, "D", construction="bias"),
    "7,50-16 LT 10PR": e("7.50-16LT", "lt_bias", 16, "E", construction="bias"),
    "7.50\u201316LT": e("7.50-16LT", "lt_bias", 16, construction="bias"),
    "LT7.50R16": e("7.50R16LT", "lt_radial", 16),
    "8.75R16.5LT E 115/111R": e("8.75R16.5LT", "lt_radial", 16.5, "E", (115, 111), "R"),
    "8.00-16.5LT": e("8.00-16.5LT", "lt_bias", 16.5, construction="bias"),
    "7.00D15LT": e("7.00-15LT", "lt_bias", 15, construction="bias"),
    "LT8R19.5": e("8R19.5LT", "lt_radial", 19.5),
    # Flotation
    "31x10.50R15LT": e("31x10.50R15LT", "flotation", 15),
    "31X10.50R15LT C": e("31x10.50R15LT", "flotation", 15, "C"),
    "31\u00d710.50R15 LT 109Q": e("31x10.50R15LT", "flotation", 15, None, (109,), "Q"),
    "31x10.5R15": e("31x10.50R15LT", "flotation", 15),
    "LT31x10.50R15 C": e("31x10.50R15LT", "flotation", 15, "C"),
    "35 x 12.50 R 20 LT E 121R": e("35x12.50R20LT", "flotation", 20, "E", (121,), "R"),
    "33x12.50-15LT": e("33x12.50-15LT", "flotation", 15, construction="bias"),
    "33x12,50R15LT": e("33x12.50R15LT", "flotation", 15),
    "37x13.50R17LT D": e("37x13.50R17LT", "flotation", 17, "D"),
    # Special trailer
    "ST225/75R15": e("ST225/75R15", "special_trailer", 15),
    "ST225/75R15 D": e("ST225/75R15", "special_trailer", 15, "D"),
    "ST225/75R15D": e("ST225/75R15", "special_trailer", 15, "D"),
    "ST225/75R15 E 117/112M": e("ST225/75R15", "special_trailer", 15, "E", (117, 112), "M"),
    "st 205/75 r14 lr c": e("ST205/75R14", "special_trailer", 14, "C"),
    "ST225/75D15 C": e("ST225/75D15", "special_trailer", 15, "C", construction="bias"),
    "ST225/75-15": e("ST225/75D15", "special_trailer", 15, construction="bias"),
    "ST175/80R13 C 6PR": e("ST175/80R13", "special_trailer", 13, "C"),
    "ST235/80R16 E 123/119N": e("ST235/80R16", "special_trailer", 16, "E", (123, 119), "N"),
    "ST235/85R16 G 129/125L": e("ST235/85R16", "special_trailer", 16, "G", (129, 125), "L"),
    "ST215/75R17.5 H": e("ST215/75R17.5", "special_trailer", 17.5, "H"),
    # Commercial and camper
    "225/75R16C 121/120R": e("225/75R16C", "commercial", 16, None, (121, 120), "R"),
    "205/65R15C 102/100T": e("205/65R15C", "commercial", 15, None, (102, 100), "T"),
    "205/65R15C C": e("205/65R15C", "commercial", 15, "C"),
    "215/70r15c 109/107s": e("215/70R15C", "commercial", 15, None, (109, 107), "S"),
    "225/75R16C 10PR 121/120R": e("225/75R16C", "commercial", 16, "E", (121, 120), "R"),
    "225/75R16C 118/116R (116/114S)": e("225/75R16C", "commercial", 16, None, (118, 116), "R"),
    "7.00R16C 117/116L": e("7.00R16C", "commercial", 16, None, (117, 116), "L"),
    "6.50-16C": e("6.50-16C", "commercial", 16, construction="bias"),
    "225/75R16CP 118R": e("225/75R16CP", "camper", 16, None, (118,), "R"),
    "225/75 R16 CP 118 R LR E": e("225/75R16CP", "camper", 16, "E", (118,), "R"),
    "215/70R15CP 109Q": e("215/70R15CP", "camper", 15, None, (109,), "Q"),
    # Metric truck
    "225/70R19.5": e("225/70R19.5", "truck_radial", 19.5),
    "225/70R19.5 G 128/126L": e("225/70R19.5", "truck_radial", 19.5, "G", (128, 126), "L"),
    "225/70 R 19.5 G": e("225/70R19.5", "truck_radial", 19.5, "G"),
    "225/70R19,5G": e("225/70R19.5", "truck_radial", 19.5, "G"),
    "245/70R19.5 H 133/132M": e("245/70R19.5", "truck_radial", 19.5, "H", (133, 132), "M"),
    "275/70R22.5 148/145L": e("275/70R22.5", "truck_radial", 22.5, None, (148, 145), "L"),
    "295/80R22.5 154/149M": e("295/80R22.5", "truck_radial", 22.5, None, (154, 149), "M"),
    "295/75R22.5 LR H": e("295/75R22.5", "truck_radial", 22.5, "H"),
    "315/80R22.5 156/150L 154/150M": e("315/80R22.5", "truck_radial", 22.5, None, (156, 150), "L"),
    "215/75R17.5 J": e("215/75R17.5", "truck_radial", 17.5, "J"),
    "285/75R24.5 G": e("285/75R24.5", "truck_radial", 24.5, "G"),
    "225/70D19.5": e("225/70D19.5", "truck_bias", 19.5, construction="bias"),
    # Inch truck
    "11R22.5": e("11R22.5", "truck_radial", 22.5),
    "11R22.5 G": e("11R22.5", "truck_radial", 22.5, "G"),
    "11r22.5 h 146/143k": e("11R22.5", "truck_radial", 22.5, "H", (146, 143), "K"),
    "11 R 22.5 16PR": e("11R22.5", "truck_radial", 22.5, "H"),
    "11R22.5 C": e("11R22.5", "truck_radial", 22.5, "C"),
    "12R22.5 J": e("12R22.5", "truck_radial", 22.5, "J"),
    "8R19.5 F 124/122L": e("8R19.5", "truck_radial", 19.5, "F", (124, 122), "L"),
    "10.00R20 H": e("10.00R20", "truck_radial", 20, "H"),
    "9.00-20": e("9.00-20", "truck_bias", 20, construction="bias"),
    "8-19.5 D": e("8-19.5", "truck_bias", 19.5, "D", construction="bias"),
    # Temporary
    "T145/80D18 103M": e("T145/80D18", "temporary", 18, None, (103,), "M", "bias"),
    "T125/70R17 98M": e("T125/70R17", "temporary", 17, None, (98,), "M"),
    "t 155/90 d16": e("T155/90D16", "temporary", 16, construction="bias"),
}


@pytest.mark.parametrize(("text", "expected"), READABLE.items())
def test_a_marking_is_read_for_what_it_says(text: str, expected: Expected) -> None:
    marking = read_marking(text)
    assert isinstance(marking, Marking), marking
    assert marking.designation == expected.designation
    assert marking.family == expected.family
    assert marking.rim_diameter_m == pytest.approx(expected.rim * 0.0254, rel=1e-12)
    assert marking.load_range == expected.load_range
    assert marking.load_indices == expected.load_indices
    assert marking.speed_symbol == expected.speed_symbol
    assert marking.construction == expected.construction


@pytest.mark.parametrize("expected", READABLE.values())
def test_a_normalised_designation_reads_as_itself(expected: Expected) -> None:
    again = read_marking(expected.designation)
    assert isinstance(again, Marking)
    assert (again.designation, again.family) == (expected.designation, expected.family)


# text -> the place where reading stops, from 0
MALFORMED: dict[str, int] = {
    "": 0,
    "   ": 0,
    "tire": 0,
    "E": 0,
    "235": 0,
    "235/85/16": 6,
    "LT235/85 16": 8,
    "LT235/R16": 6,
    "LT235/85R": 9,
    "LT235/85R16.25": 9,
    "LT235/85R160": 9,
    "LT2350/85R16": 2,
    "LT23/85R16": 2,
    "LT236/85R16": 2,
    "LT935/85R16": 2,
    "LT235/87R16": 6,
    "LT235/5R16": 6,
    "LT235/15R16": 6,
    "LT235/85R6": 9,
    "LT235/85R31": 9,
    "LT235/85R15.5": 9,
    "LT235/85X16": 8,
    "LT235/85R16 K": 12,
    "LT235/85R16 I": 12,
    "LT235/85R16 E E": 14,
    "LT235/85R16 E 8PR": 14,
    "LT235/85R16 9PR": 12,
    "LT235/85R16 120/123R": 12,
    "LT235/85R16 181R": 12,
    "LT235/85R16 120/116X": 19,
    "LT235/85R16 120/116O": 19,
    "LT235/85R16 120/116R 121/118Q 104/101S": 30,
    "LT235/85R16 (120/116R": 12,
    "LT235/85R16 120/": 15,
    "LT235/85R16 XL": 12,
    "LT235/85R16 120/116 E": 12,
    "LT235/85R16LT": 11,
    "LT235/85R16 EE": 12,
    "LT235/85R16 nearly new": 12,
    "LT235/85R16 E; 225/70R19.5 G": 13,
    "P215/65R15 E": 11,
    "P215/65R15 95/93H": 11,
    "P215/65R15C": 10,
    "P215/65R15LT": 10,
    "P215/65HR15": 7,
    "P225/70R19.5": 8,
    "235/85R16 E": 10,
    "235/85R16 120/116R": 10,
    "235/85R16 126R": 10,
    "215/65R15 LL": 10,
    "225/75R16 C": 10,
    "225/75R16 C 121/120R": 10,
    "215/75R17.5 C": 12,
    "225/75R16.5": 7,
    "ST225/75R15CP": 11,
    "ST225/75R15 113/108 D": 12,
    "T145/80D18 E": 11,
    "T145/80D18 XL": 11,
    "7.50-16": 5,
    "7.50R16 E": 5,
    "10-16.5": 3,
    "3.00-17LT": 0,
    "22R22.5": 0,
    "7.500R16LT": 0,
    "11R22.7": 3,
    "18.5x8.50-8": 10,
    "31x10.50R15C": 9,
    "14x10.50R15LT": 0,
    "31x10.50x15": 8,
    "31x10.500R15": 3,
    "x10.50R15": 0,
    "ST31x10.50R15": 0,
    "225/70R19.5 128/126 L": 12,
    "\u0662\u0663\u0665/85R16": 0,
    "LT235/85R16\x00": 11,
    "LT235/85R16 " + "E" * 80: 0,
}


@pytest.mark.parametrize(("text", "place"), MALFORMED.items())
def test_a_marking_that_cannot_be_read_says_where_and_what_was_expected(text: str, place: int) -> None:
    refusal = read_marking(text)
    assert isinstance(refusal, NotRead), refusal
    assert refusal.position == place
    assert refusal.text == text
    assert refusal.reason.endswith(".")
    assert refusal.expected


def test_a_refusal_names_what_belongs_in_the_place() -> None:
    """The place is that of the second slash, where the construction stands."""
    assert read_marking("235/85/16") == NotRead(
        "235/85/16", 6, "The construction cannot be read.", "R, ZR, D or B, or a dash"
    )


@pytest.mark.parametrize(
    ("text", "ambiguities"),
    [
        ("235/85R16", (Ambiguity.METRIC_WITHOUT_PREFIX,)),
        ("185/65-15", (Ambiguity.METRIC_WITHOUT_PREFIX, Ambiguity.DASH_READ_AS_BIAS)),
        ("ST225/75-15", (Ambiguity.DASH_READ_AS_BIAS,)),
        ("31x10.50R15", (Ambiguity.FLOTATION_WITHOUT_LT,)),
        ("ST225/75D15", ()),
        ("7.50-16LT", ()),
        ("LT235/85R16", ()),
        ("225/70R19.5", ()),
        ("225/75R16C", ()),
    ],
)
def test_what_a_marking_leaves_open_is_reported(text: str, ambiguities: tuple[Ambiguity, ...]) -> None:
    marking = read_marking(text)
    assert isinstance(marking, Marking)
    assert marking.ambiguities == ambiguities


@pytest.mark.parametrize(
    ("text", "width_m", "aspect_share", "overall_m"),
    [
        ("LT235/85R16", 0.235, 0.85, None),  # hand: 235 mm, 85 %
        ("225/70R19.5", 0.225, 0.70, None),
        ("31x10.50R15LT", 0.2667, None, 0.7874),  # hand: 10.5 x 25.4 mm, 31 x 25.4 mm
        ("7.50-16LT", 0.1905, None, None),  # hand: 7.5 x 25.4 mm
        ("11R22.5", 0.2794, None, None),  # hand: 11 x 25.4 mm
    ],
)
def test_nominal_dimensions_are_those_marked(
    text: str, width_m: float, aspect_share: float | None, overall_m: float | None
) -> None:
    marking = read_marking(text)
    assert isinstance(marking, Marking)
    assert marking.section_width_m == pytest.approx(width_m, rel=1e-12)
    assert marking.aspect_share == (None if aspect_share is None else pytest.approx(aspect_share))
    assert marking.overall_diameter_m == (None if overall_m is None else pytest.approx(overall_m))


def test_a_second_service_description_is_kept_beside_the_first() -> None:
    marking = read_marking("225/75R16C 118/116R (116/114S)")
    assert isinstance(marking, Marking)
    assert marking.second_service == ServiceDescription((116, 114), "S")
    single = read_marking("225/75R16C 118/116R")
    assert isinstance(single, Marking)
    assert single.second_service is None


@pytest.mark.parametrize(
    ("text", "version"),
    [
        ("P235/75R15 XL", "extra"),
        ("P235/75R15 RF", "extra"),
        ("P235/75R15 extra load", "extra"),
        ("P235/75R15 SL", "standard"),
        ("P235/75R15 LL", "light"),
        ("P235/75R15", None),
    ],
)
def test_the_load_version_of_a_passenger_tire_is_read(text: str, version: str | None) -> None:
    marking = read_marking(text)
    assert isinstance(marking, Marking)
    assert marking.load_version == version


def test_passenger_car_tires_are_told_from_all_others() -> None:
    """Published: 49 CFR 571.120 S5.1.2 divides the rating of passenger-car tires by 1.10."""
    passenger = {family for family in Family if is_passenger_car_tire(family)}
    assert passenger == {Family.P_METRIC, Family.PASSENGER_METRIC, Family.TEMPORARY}
    # Published: letter of interpretation of 17 November 1976: 2,000 lb counts as 1,818.18 lb
    assert round(2000 / PASSENGER_DERATE, 2) == 1818.18


@given(st.text(max_size=100))
def test_any_text_is_read_or_refused_within_itself(text: str) -> None:
    answer = read_marking(text)
    assert isinstance(answer, Marking) or 0 <= answer.position <= len(text)


slips = st.tuples(
    st.sampled_from(sorted(READABLE)),
    st.integers(0, 30),
    st.integers(0, 2),
    st.sampled_from(["", *"PLTSC0123456789/RDBX.- EGH()"]),
)


@given(slips)
def test_whatever_is_read_after_a_slip_of_the_pen_reads_as_itself_once_normalised(
    slip: tuple[str, int, int, str],
) -> None:
    text, place, dropped, written = slip
    marking = read_marking(text[:place] + written + text[place + dropped :])
    if isinstance(marking, Marking):
        again = read_marking(marking.designation)
        assert isinstance(again, Marking)
        assert (again.designation, again.family) == (marking.designation, marking.family)


metric_sizes = st.builds(
    "{}{}/{}{}{}".format,
    st.sampled_from(["P", "LT", "ST", "T", ""]),
    st.sampled_from(range(125, 405, 10)),
    st.sampled_from(range(30, 95, 5)),
    st.sampled_from(["R", "D"]),
    st.sampled_from(range(13, 23)),
)


@given(metric_sizes, st.lists(st.booleans(), min_size=20, max_size=20), st.booleans())
def test_case_and_spaces_between_the_parts_of_a_size_do_not_matter(size: str, spaces: list[bool], lower: bool) -> None:
    compact = read_marking(size)
    spaced = "".join(
        f" {sign}" if space and not (sign.isdigit() and before.isdigit()) and sign != "T" else sign
        for before, sign, space in zip(f" {size}", size, spaces, strict=False)
    )
    spread = read_marking(spaced.lower() if lower else spaced)
    assert isinstance(compact, Marking)
    assert spread == compact


def test_the_construction_of_a_belted_bias_tire_is_its_own() -> None:
    marking = read_marking("P225/75B15")
    assert isinstance(marking, Marking)
    assert marking.construction is Construction.BIAS_BELTED
