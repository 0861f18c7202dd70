"""A name that stands twice in an object is refused, however it is written and whatever stands around it."""

import json
from typing import Annotated

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.contract.decoding import decode
from axlewright.contract.faults import ShapeFaults


class Note(msgspec.Struct, forbid_unknown_fields=True):
    """A document with texts in which anything may stand."""

    text: Annotated[str, msgspec.Meta(max_length=1000)]
    notes: Annotated[list["Note"], msgspec.Meta(max_length=10)] = []


TWICE = [
    '{"text": "a", "text": "a"}',
    '{"text": "a", "text": ":"}',
    '{"text": ":", "text": "a"}',
    '{"text": "a:b", "notes": [{"text": "c", "text": "d:e:f"}]}',
    '{"text": "a", "te\\u0078t": "b"}',
    '{"text": "a", "text": "\\u003a"}',
    '{"text": "a", "text": "\\u003a\\u003a\\u003a"}',
    '{"text": "\\\\", "text": "a"}',
    '{"text": "é", "text": "ü:"}',
    '{"notes": [{"text": "::::"}], "text": "a", "notes": []}',
]
ONCE = [
    '{"text": "a"}',
    '{"text": ":::"}',
    '{"text": "\\u003a:"}',
    '{"text": "\\"text\\": 1, \\"text\\": 2"}',
    '{"te\\u0078t": "text:text"}',
    '{"text": "a", "notes": [{"text": "a:"}, {"text": "é:", "notes": []}]}',
]


@pytest.mark.parametrize("text", TWICE)
def test_a_repeated_name_is_refused(text: str) -> None:
    with pytest.raises(ShapeFaults) as refused:
        decode(text.encode(), Note)
    assert [fault.code for fault in refused.value.faults] == ["repeated_name"]


@pytest.mark.parametrize("text", ONCE)
def test_a_document_without_repeated_names_is_taken(text: str) -> None:
    """Library: msgspec's own decoder, which takes either."""
    assert decode(text.encode(), Note) == msgspec.json.decode(text, type=Note)


@given(st.text(max_size=20), st.text(max_size=20), st.booleans())
def test_no_text_hides_a_repeated_name(first: str, second: str, in_ascii: bool) -> None:
    """Identity: the last of two members is what a decoder keeps, so that nothing but a count can tell."""
    written = [json.dumps(each, ensure_ascii=in_ascii) for each in (first, second)]
    with pytest.raises(ShapeFaults):
        decode(f'{{"text": {written[0]}, "text": {written[1]}}}'.encode(), Note)
