"""What the decoder refuses, the collector explains; what it accepts, the collector leaves alone."""

import copy
import datetime
import enum
import json
from typing import Annotated, Any, Literal

import msgspec
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec import Meta

from axlewright.contract.decoding import decode, faults_of
from axlewright.contract.faults import CrossFieldFaults, Fault, NotJson, ShapeFaults, pointer_of

Name = Annotated[str, Meta(pattern=r"^[a-z][a-z0-9_-]{0,31}(?![\s\S])")]
Mass = Annotated[float, Meta(gt=0, le=1e6, extra_json_schema={"x-quantity": "mass"})]


class Side(enum.Enum):
    LEFT = "left"
    RIGHT = "right"


class Units(msgspec.Struct, forbid_unknown_fields=True):
    mass: Literal["lb", "kg"]
    length: Literal["in", "m"] | None = None


class Wheel(msgspec.Struct, forbid_unknown_fields=True):
    side: Side
    load: Mass
    share: Annotated[float, Meta(ge=0, lt=1)] | None = None


class Axle(msgspec.Struct, forbid_unknown_fields=True):
    name: Name
    wheels: Annotated[list[Wheel], Meta(min_length=1, max_length=4)]
    dual: bool = False
    note: Annotated[str, Meta(min_length=1, max_length=8)] | None = None
    lifted_axle: str = msgspec.field(default="no", name="lifted/axle")


class Document(msgspec.Struct, forbid_unknown_fields=True):
    units: Literal["us", "metric"] | Units
    axles: Annotated[list[Axle], Meta(min_length=1, max_length=3)]
    weighed_on: datetime.date | None = None
    best: Axle | None = None
    pressures: Annotated[dict[Name, Annotated[float, Meta(ge=-5)]], Meta(max_length=2)] = {}
    count: Annotated[int, Meta(ge=0, le=9)] = 0
    split: Annotated[tuple[Annotated[float, Meta(ge=0)], ...], Meta(min_length=2)] | None = None


VALID: dict[str, Any] = {
    "units": {"mass": "lb", "length": "in"},
    "axles": [
        {
            "name": "steer",
            "wheels": [{"side": "left", "load": 3240, "share": 0.5}, {"side": "right", "load": 3185.5}],
            "dual": False,
            "note": "Größe 😀",
            "lifted/axle": "yes",
        },
        {"name": "drive", "wheels": [{"side": "left", "load": 5180}]},
    ],
    "weighed_on": "2026-05-14",
    "best": {"name": "tag", "wheels": [{"side": "right", "load": 1.0}], "note": None},
    "pressures": {"steer": 95, "drive": -4.5},
    "count": 3,
    "split": [0.62, 0.38],
}


def changed(**changes: Any) -> dict[str, Any]:
    return {**copy.deepcopy(VALID), **changes}


def faults(document: Any) -> list[Fault]:
    body = document if isinstance(document, bytes) else json.dumps(document).encode()
    with pytest.raises(ShapeFaults) as refusal:
        decode(body, Document)
    return refusal.value.faults


def only_fault(document: Any) -> Fault:
    found = faults(document)
    assert len(found) == 1, found
    return found[0]


def test_a_valid_document_is_decoded_to_its_struct() -> None:
    document = decode(json.dumps(VALID).encode(), Document)
    assert document.axles[0].wheels[1] == Wheel(side=Side.RIGHT, load=3185.5)
    assert document.weighed_on == datetime.date(2026, 5, 14)
    assert document.units == Units(mass="lb", length="in")


@pytest.mark.parametrize(
    ("document", "code", "pointer", "given", "allowed"),
    [
        ([], "wrong_type", "", "[]", "an object with units, axles"),
        (changed(units="imperial"), "not_allowed", "/units", '"imperial"', 'one of "metric", "us"'),
        (changed(units=3), "wrong_type", "/units", "3", 'one of "metric", "us" or an object with mass'),
        (changed(units={"mass": "st"}), "not_allowed", "/units/mass", '"st"', 'one of "kg", "lb"'),
        (changed(units={"mass": None}), "wrong_type", "/units/mass", "null", 'one of "kg", "lb"'),
        (changed(axles=[]), "too_few", "/axles", "[]", "at least 1 and at most 3 entries"),
        (changed(axles=None), "wrong_type", "/axles", "null", "a list"),
        (changed(count="3"), "wrong_type", "/count", '"3"', "a number"),
        (changed(count=True), "wrong_type", "/count", "true", "a number"),
        (changed(count=3.5), "wrong_type", "/count", "3.5", "a whole number"),
        (changed(count=-1), "below_minimum", "/count", "-1", "at least 0 and at most 9"),
        (changed(count=10), "above_maximum", "/count", "10", "at least 0 and at most 9"),
        (
            changed(weighed_on="2026-02-30"),
            "wrong_form",
            "/weighed_on",
            '"2026-02-30"',
            "a calendar date written YYYY-MM-DD",
        ),
        (
            changed(weighed_on="20260514"),
            "wrong_form",
            "/weighed_on",
            '"20260514"',
            "a calendar date written YYYY-MM-DD",
        ),
        (
            changed(best={"name": "a", "wheels": [{"side": "left", "load": 1, "share": 1}]}),
            "above_maximum",
            "/best/wheels/0/share",
            "1",
            "at least 0 and less than 1",
        ),
        (changed(split=[1]), "too_few", "/split", "[1]", "at least 2 entries"),
        (changed(split=[1, -0.5]), "below_minimum", "/split/1", "-0.5", "at least 0"),
        (changed(pressures={"a": 1, "b": 1, "c": 1}), "too_many", "/pressures", None, "at most 2 entries"),
        (
            changed(pressures={"A/b~": 1}),
            "wrong_form",
            "/pressures/A~1b~0",
            '"A/b~"',
            "text that matches ^[a-z][a-z0-9_-]{0,31}$",
        ),
    ],
)
def test_each_fault_has_its_code_place_value_and_what_is_allowed(
    document: Any, code: str, pointer: str, given: str | None, allowed: str
) -> None:
    fault = only_fault(document)
    assert (fault.code, fault.pointer, fault.allowed) == (code, pointer, allowed)
    assert given is None or fault.given == given


def test_a_message_names_the_field_the_value_and_what_is_allowed() -> None:
    document = changed()
    document["axles"][0]["wheels"][1]["load"] = -5
    fault = only_fault(document)
    assert fault.pointer == "/axles/0/wheels/1/load"
    assert fault.message == "load must be more than 0 and at most 1000000; given is -5."


def test_all_faults_are_told_at_once() -> None:
    document = changed(count="x", wieghed_on="2026-05-14")
    del document["units"], document["axles"][1]["name"]
    document["axles"][0]["lifted/axle"] = 1
    assert {(fault.code, fault.pointer) for fault in faults(document)} == {
        ("missing", "/units"),
        ("missing", "/axles/1/name"),
        ("wrong_type", "/axles/0/lifted~1axle"),
        ("wrong_type", "/count"),
        ("unknown_name", "/wieghed_on"),
    }


def test_an_unknown_name_brings_the_nearest_known_one() -> None:
    fault = only_fault(changed(wieghed_on="2026-05-14"))
    assert fault.message == (
        "wieghed_on is not a known name here (did you mean 'weighed_on'?); given is \"2026-05-14\"."
    )


def test_a_repeated_name_is_a_fault_even_when_both_values_are_valid() -> None:
    body = json.dumps(VALID)[:-1].encode() + b', "count": 4}'
    fault = only_fault(body)
    assert (fault.code, fault.pointer, fault.given) == ("repeated_name", "/count", "4")


def test_a_repeated_name_deep_inside_has_its_pointer() -> None:
    body = json.dumps(VALID).replace('"load": 5180', '"load": 5180, "load": 5180').encode()
    assert only_fault(body).pointer == "/axles/1/wheels/0/load"


def test_a_hundred_faults_are_listed_and_the_rest_counted() -> None:
    document = changed(**{f"unknown_{number}": 1 for number in range(150)})
    with pytest.raises(ShapeFaults) as refusal:
        decode(json.dumps(document).encode(), Document)
    assert (len(refusal.value.faults), refusal.value.omitted) == (100, 50)


def test_given_is_cut_to_eighty_characters() -> None:
    given = only_fault(changed(count="x" * 500)).given
    assert given == '"' + "x" * 78 + "…"


def test_a_trailing_line_feed_does_not_slip_through_a_pattern() -> None:
    document = changed()
    document["axles"][0]["name"] = "steer\n"
    assert only_fault(document).code == "wrong_form"


@pytest.mark.parametrize("escape", [r"\ud800", r"\udc00", r"\ud800a", r"\ud800\ud800"])
def test_half_a_surrogate_pair_is_a_fault_that_can_be_written_as_utf_8(escape: str) -> None:
    document = changed()
    document["axles"][0]["note"] = "HALF"
    fault = only_fault(json.dumps(document).replace("HALF", escape).encode())
    assert (fault.code, fault.pointer) == ("not_unicode", "/axles/0/note")
    assert rb"\\ud" in msgspec.json.encode(fault)


def test_half_a_surrogate_pair_in_a_name_is_a_fault_too() -> None:
    fault = only_fault(json.dumps(VALID)[:-1].encode() + rb', "\ud800": 1}')
    assert (fault.code, fault.pointer) == ("unknown_name", r"/\ud800")
    assert msgspec.json.encode(fault)


@pytest.mark.parametrize("number", ["1e400", "-1e400", "9" * 400, "9" * 5000, "-" + "1" * 100_000])
def test_a_number_beyond_a_double_is_out_of_range(number: str) -> None:
    body = json.dumps(VALID).replace("5180", number).encode()
    fault = only_fault(body)
    assert (fault.code, fault.pointer) == ("out_of_range", "/axles/1/wheels/0/load")
    assert str(fault.given)[:79] == number[:79]


def test_a_number_below_the_least_double_is_zero_and_judged_as_such() -> None:
    assert only_fault(json.dumps(VALID).replace("5180", "1e-400").encode()).code == "below_minimum"


@pytest.mark.parametrize("text", ["3.0", "3e0", "0.3e1"])
def test_an_integer_may_be_written_with_a_fraction_of_zero(text: str) -> None:
    document = decode(json.dumps(VALID).replace('"count": 3', f'"count": {text}').encode(), Document)
    assert document.count == 3
    assert isinstance(document.count, int)


@pytest.mark.parametrize("opening", [b"[", b'{"units":', b'{"units":"us","x":[', b'{"axles":[{"wheels":['])
def test_deep_nesting_is_refused_as_a_fault(opening: bytes) -> None:
    body = opening * 100_000 if len(opening) == 1 else opening + b"[" * 100_000
    with pytest.raises(ShapeFaults) as refusal:
        decode(body, Document)
    assert [fault.code for fault in refusal.value.faults] == ["too_deep"]


class Open(msgspec.Struct):
    load: float


@pytest.mark.parametrize("body", [b'{"load":1,"x":' + b"[" * 100_000, b'{"x":' + b'{"x":' * 50_000 + b'1,"load":1}'])
def test_deep_nesting_in_what_a_struct_leaves_open_is_refused_too(body: bytes) -> None:
    with pytest.raises((ShapeFaults, NotJson)):
        decode(body, Open)


def test_entries_beyond_the_greatest_number_are_one_fault_together() -> None:
    found = faults(changed(axles=[{}] * 1000))
    assert [fault.code for fault in found] == ["too_many"] + ["missing"] * 6


@pytest.mark.parametrize(
    ("body", "offset"),
    [
        (b'{"units": "\xff"}', 11),
        (b"\xef\xbb\xbf{}", 0),
        (b'{"units": "us"', 14),
        (b'{"units": "us"} x', 16),
        ('{"units": "ü" x'.encode(), 15),
        (b'{"count": NaN}', 10),
        (b'{"count": -Infinity}', 11),
        (b'{"note": "a\x01"}', 11),
        (b"{'units': 1}", 1),
        (b"", None),
        (b" \n", None),
        (b'{"count": 01}', 11),
    ],
)
def test_what_is_not_json_says_where(body: bytes, offset: int | None) -> None:
    with pytest.raises(NotJson) as refusal:
        decode(body, Document)
    assert refusal.value.offset == offset


def test_faults_between_fields_are_told_apart_from_faults_of_shape() -> None:
    refusal = CrossFieldFaults([Fault("inconsistent_axle", "/axles/0", "…")])
    assert isinstance(refusal, ShapeFaults)
    assert refusal.omitted == 0


def test_a_pointer_escapes_tilde_and_slash() -> None:
    # RFC 6901, section 5: the members "a/b" and "m~n" are "/a~1b" and "/m~0n".
    assert pointer_of(("a/b",)) == "/a~1b"
    assert pointer_of(("m~n",)) == "/m~0n"
    assert pointer_of(()) == ""


SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.integers(-2, 12),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from([0.0, -0.0, 1.0, 1e6, 1000000.0001, 5e-324, 1.5]),
    st.text(max_size=10),
    st.sampled_from(["us", "lb", "left", "steer", "steer\n", "", "2026-05-14", "2026-13-01", "0000-01-01", "3"]),
    st.sampled_from(["\ud800", "a\udfffb", "2026-5-14", "2026-W20-4", "２026-05-14", "9999-12-31", " 2026-05-14"]),
    st.dates().map(str),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4),
    max_leaves=6,
)
NAMES = st.sampled_from(["units", "axles", "name", "wheels", "side", "load", "mass", "Name", "\ud800", "x/y"])


def places(node: Any) -> list[tuple[Any, Any]]:
    steps = list(node) if isinstance(node, dict) else list(range(len(node))) if isinstance(node, list) else []
    return [(node, step) for step in steps] + [place for step in steps for place in places(node[step])]


@st.composite
def mutated(draw: st.DrawFn) -> str:
    document = copy.deepcopy(VALID)
    for _ in range(draw(st.integers(0, 4))):
        container, step = draw(st.sampled_from(places(document) or [(document, "units")]))
        match draw(st.sampled_from(["replace", "replace", "remove", "add", "copy", "move"])):
            case "replace":
                container[step] = draw(VALUES)
            case "remove":
                container.pop(step, None) if isinstance(container, dict) else container.pop(step)
            case "add" if isinstance(container, dict):
                container[draw(NAMES)] = draw(VALUES)
            case "copy" if isinstance(container, list):
                container.extend([copy.deepcopy(container[step])] * draw(st.integers(1, 4)))
            case _:
                other, place = draw(st.sampled_from(places(document)))
                other[place] = copy.deepcopy(container[step])
        if not isinstance(document, dict):
            break
    return json.dumps(document, ensure_ascii=draw(st.booleans()) or not _is_unicode(document))


def _is_unicode(document: Any) -> bool:
    try:
        json.dumps(document, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        return False
    return True


def decoder_refuses(text: str) -> bool:
    """Tell by the library alone, with a JSON Schema integer such as 3.0 written as 3."""
    tree = json.loads(text, parse_float=lambda digits: _integer_if_whole(float(digits)))
    try:
        msgspec.json.decode(json.dumps(tree).encode(), type=Document, strict=True)
    except msgspec.DecodeError:
        return True
    return False


def _integer_if_whole(number: float) -> float | int:
    return int(number) if number.is_integer() else number


@settings(max_examples=1500, deadline=None)
@given(mutated())
@example(json.dumps(VALID))
@example(json.dumps(changed(count=1e300)))
def test_the_collector_finds_a_fault_exactly_where_the_decoder_refuses(text: str) -> None:
    found = faults_of(text, Document).faults
    assert bool(found) == decoder_refuses(text), found
    if found:
        assert faults(text.encode()) == found
        assert "not_valid" not in {fault.code for fault in found}
        assert msgspec.json.encode(found)
    else:
        decode(text.encode(), Document)


@settings(max_examples=500, deadline=None)
@given(st.binary(max_size=60) | st.text(alphabet='{}[]":,01.e-\\u \ud7ff', max_size=40).map(str.encode))
def test_any_bytes_at_all_are_decoded_or_refused_but_never_fail(body: bytes) -> None:
    with pytest.raises((NotJson, ShapeFaults)):
        decode(body, Document)
