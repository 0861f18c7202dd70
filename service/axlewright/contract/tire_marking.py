"""What a tire's designation says, and the refusal of a text on a tire that cannot be read."""

from typing import Annotated, Literal

from msgspec import Meta, Struct

from axlewright.contract.faults import Fault, given_text
from axlewright.contract.output import (
    CountOut,
    LengthOut,
    MassOut,
    MeaningAnswer,
    NameOut,
    NumberOut,
    PressureOut,
    ShareOut,
    SpeedOut,
    UnknownOut,
    meaning,
)
from axlewright.contract.tire_reading_words import AMBIGUITIES, FAMILIES, LOAD_VERSIONS
from axlewright.core.rig import Fitment
from axlewright.core.tires.crosscheck import USUAL_PRESSURES_PSI
from axlewright.core.tires.load_index import load_kg
from axlewright.core.tires.load_range import ply_rating
from axlewright.core.tires.marking import Marking, ServiceDescription
from axlewright.core.tires.size import NotRead
from axlewright.core.tires.speed_symbol import speed_m_per_s
from axlewright.core.units import INCH_M, PSI_PA

NO_SYMBOL = "No speed symbol is marked with it."
NO_USUAL_PRESSURE = "No usual pressure of this load range is known for this family."


class IndexLoadAnswer(Struct, frozen=True, kw_only=True):
    """A load index and the load that it stands for."""

    fitment: Annotated[Literal["single", "dual"], Meta(description="For which fitment.")]
    load_index: Annotated[CountOut, Meta(description="As marked.")]
    load: Annotated[MassOut, Meta(description="Most load of one tire.")]


class ServiceAnswer(Struct, frozen=True, kw_only=True):
    """A service description: load index and speed symbol."""

    loads: Annotated[list[IndexLoadAnswer], Meta(max_length=2, description="Single, then dual if marked.")]
    speed_symbol: Annotated[NameOut | None, Meta(description="As marked; null where none is.")]
    speed: Annotated[SpeedOut | None, Meta(description="Most speed that the symbol stands for.")]
    unknown_because: UnknownOut


class LoadRangeAnswer(Struct, frozen=True, kw_only=True):
    """A load range and what usually goes with it."""

    letter: Annotated[NameOut, Meta(description="As marked, or of the marked ply rating.")]
    ply_rating: Annotated[CountOut, Meta(description="Ply rating of the letter.")]
    least_usual_pressure: Annotated[
        PressureOut | None, Meta(description="Least cold pressure usually marked with it in this family.")
    ]
    most_usual_pressure: Annotated[
        PressureOut | None, Meta(description="Most cold pressure usually marked with it in this family.")
    ]
    unknown_because: UnknownOut


class MarkingAnswer(Struct, frozen=True, kw_only=True):
    """What a designation says."""

    designation: Annotated[NameOut, Meta(description="The size, spelled one way.")]
    family: Annotated[MeaningAnswer, Meta(description="Which kind of tire it is.")]
    construction: Annotated[Literal["radial", "bias", "bias_belted"], Meta(description="How the plies run.")]
    section_width: Annotated[LengthOut, Meta(description="Nominal.")]
    aspect_ratio: Annotated[
        ShareOut | None, Meta(description="Height of the section as a share of its width; null where none is marked.")
    ]
    rim_diameter_code: Annotated[
        NumberOut, Meta(description="As marked: nominal inches whatever `units` says, for rims are ordered by it.")
    ]
    overall_diameter: Annotated[
        LengthOut | None, Meta(description="Nominal; null where the size does not state it, as most do not.")
    ]
    load_range: Annotated[LoadRangeAnswer | None, Meta(description="Null where none is marked.")]
    load_version: Annotated[MeaningAnswer | None, Meta(description="Null where none is marked.")]
    services: Annotated[
        list[ServiceAnswer],
        Meta(max_length=2, description="Service descriptions: the main one, then an additional one. Empty: none."),
    ]
    ambiguities: Annotated[list[MeaningAnswer], Meta(max_length=8, description="What it leaves open.")]


def not_read(name: str, code: str, pointer: str, refusal: NotRead) -> Fault:
    """Return the fault of a text that could not be read: the place in it, the reason, and what was expected there."""
    place = min(refusal.position, len(refusal.text))
    where = f"at character {place + 1}" if place < len(refusal.text) else "at its end"
    message = f"`{name}` cannot be read {where}: {refusal.reason}"
    return Fault(code, pointer, message, given_text(refusal.text), refusal.expected)


def marking_answer(marking: Marking) -> MarkingAnswer:
    """Return what a designation says, in SI."""
    version = marking.load_version
    main = ServiceDescription(marking.load_indices, marking.speed_symbol) if marking.load_indices else None
    return MarkingAnswer(
        designation=marking.designation,
        family=meaning(marking.family, FAMILIES),
        construction=marking.construction.value,
        section_width=marking.section_width_m,
        aspect_ratio=marking.aspect_share,
        rim_diameter_code=round(2 * marking.rim_diameter_m / INCH_M) / 2,
        overall_diameter=marking.overall_diameter_m,
        load_range=_load_range_answer(marking),
        load_version=None if version is None else meaning(version, LOAD_VERSIONS),
        services=[_service_answer(each) for each in (main, marking.second_service) if each is not None],
        ambiguities=[meaning(each, AMBIGUITIES) for each in marking.ambiguities],
    )


def _load_range_answer(marking: Marking) -> LoadRangeAnswer | None:
    letter = marking.load_range
    if letter is None:
        return None
    usual = USUAL_PRESSURES_PSI.get(marking.family, {}).get(letter)
    return LoadRangeAnswer(
        letter=letter,
        ply_rating=ply_rating(letter),
        least_usual_pressure=None if usual is None else usual[0] * PSI_PA,
        most_usual_pressure=None if usual is None else usual[1] * PSI_PA,
        unknown_because=NO_USUAL_PRESSURE if usual is None else None,
    )


def _service_answer(service: ServiceDescription) -> ServiceAnswer:
    symbol = service.speed_symbol
    return ServiceAnswer(
        loads=[
            IndexLoadAnswer(fitment=fitment.value, load_index=index, load=load_kg(index))
            for fitment, index in zip(Fitment, service.load_indices, strict=False)
        ],
        speed_symbol=symbol,
        speed=None if symbol is None else speed_m_per_s(symbol),
        unknown_because=NO_SYMBOL if symbol is None else None,
    )
