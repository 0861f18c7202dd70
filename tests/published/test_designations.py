"""Designations as published lists print them, and malformed ones refused at the right place.

``data/designations.csv`` holds the figures that stand in each designation, and the document that prints it; where
a product information sheet or size sheet gives load indices, load range and speed symbol in columns of their own,
the text puts them behind the size as on a sidewall. Rows without such a document say "from memory".
``data/malformed_designations.csv`` is invented: slips of the pen in such sizes, a bar marking the place at fault.
"""

import csv
from collections import Counter
from pathlib import Path

import pytest

from axlewright.core.tires.marking import Family, Marking, NotRead, ServiceDescription, read_marking

DATA = Path(__file__).parent / "data"
METERS = {"mm": 0.001, "in": 0.0254}


def records(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


PUBLISHED = records("designations.csv")
MALFORMED = records("malformed_designations.csv")


@pytest.mark.parametrize("record", PUBLISHED, ids=lambda record: record["text"])
def test_a_published_designation_is_read_for_what_it_says(record: dict[str, str]) -> None:
    marking = read_marking(record["text"])
    assert isinstance(marking, Marking), marking
    width, unit = record["width"].split()
    indices = tuple(int(index) for index in record["load_indices"].split("/")) if record["load_indices"] else None
    aspect = float(record["aspect_percent"]) / 100 if record["aspect_percent"] else None
    assert (marking.designation, marking.family, marking.construction) == (
        record["designation"],
        record["family"],
        record["construction"],
    )
    assert marking.section_width_m == pytest.approx(float(width) * METERS[unit], rel=1e-12)
    assert marking.aspect_share == (None if aspect is None else pytest.approx(aspect, rel=1e-12))
    assert marking.rim_diameter_m == pytest.approx(float(record["rim_in"]) * 0.0254, rel=1e-12)
    assert (marking.load_range, marking.load_indices, marking.speed_symbol) == (
        record["load_range"] or None,
        indices,
        record["speed_symbol"] or None,
    )


@pytest.mark.parametrize("designation", sorted({record["designation"] for record in PUBLISHED}))
def test_a_normalised_published_designation_reads_as_itself(designation: str) -> None:
    again = read_marking(designation)
    assert isinstance(again, Marking), again
    assert again.designation == designation


def test_two_hundred_designations_of_every_family_are_published_and_read() -> None:
    from_documents = [record for record in PUBLISHED if record["source"] != "from memory"]
    assert len(from_documents) >= 195
    assert len({record["text"] for record in PUBLISHED}) >= 220
    families = Counter(record["family"] for record in PUBLISHED)
    assert set(families) == set(Family)
    assert min(families.values()) >= 2


@pytest.mark.parametrize("record", MALFORMED, ids=lambda record: record["text_with_place"])
def test_a_malformed_designation_is_refused_where_it_goes_wrong(record: dict[str, str]) -> None:
    marked = record["text_with_place"]
    text = marked.replace("|", "")
    refusal = read_marking(text)
    assert isinstance(refusal, NotRead), refusal
    assert (refusal.text, refusal.position) == (text, marked.index("|"))
    assert record["expected"] in refusal.expected
    assert refusal.reason.endswith(".")


def test_a_hundred_malformed_designations_are_refused() -> None:
    assert len({record["text_with_place"] for record in MALFORMED}) >= 100


def test_a_second_service_description_of_a_sheet_is_kept() -> None:
    """Published: EPREL 530340, 315/80R22.5 with 156/150 L and the additional 154/150 M."""
    marking = read_marking("315/80R22.5 156/150L 154/150M")
    assert isinstance(marking, Marking)
    assert marking.second_service == ServiceDescription((154, 150), "M")


def test_hl_before_a_size_is_a_load_version() -> None:
    """Trade page on the HL marking: HL 245/40R19 carries index 101, XL of the same size 98."""
    high, extra = read_marking("HL245/40R19 101Y"), read_marking("245/40R19 98Y XL")
    assert isinstance(high, Marking)
    assert isinstance(extra, Marking)
    assert (high.load_version, extra.load_version) == ("high", "extra")
    assert high.ambiguities == ()


@pytest.mark.parametrize("mark", ["TL", "TUBELESS", "TT", "tube type", "M+S", "m / s", "M&S"])
def test_marks_that_say_nothing_of_loads_are_passed_over(mark: str) -> None:
    plain, marked = read_marking("LT235/85R16 E 120/116R"), read_marking(f"LT235/85R16 {mark} E 120/116R {mark}")
    assert isinstance(plain, Marking)
    assert marked == plain
