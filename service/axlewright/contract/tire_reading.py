"""What is marked on a sidewall, read: the designation, the identification number, and whether marks agree."""

from collections.abc import Iterator
from datetime import date
from typing import Annotated

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.computation import CORE, QuestionAnswer
from axlewright.contract.faults import Fault, refuse_contradictions
from axlewright.contract.likely_days import unlikely_day
from axlewright.contract.needed_units import unit_faults
from axlewright.contract.output import UnknownOut
from axlewright.contract.quantities import Text
from axlewright.contract.request import UnitsField
from axlewright.contract.tire_checks import CheckAnswer, StatedInput, check_answer, core_stated
from axlewright.contract.tire_identification import (
    NO_IDENTIFICATION,
    AgeAnswer,
    IdentificationAnswer,
    IdentificationText,
    age_answer,
    identification_answer,
)
from axlewright.contract.tire_marking import MarkingAnswer, marking_answer, not_read
from axlewright.contract.tire_reading_words import AGE_BASIS, IDENTIFICATION_BASIS, MARKING_BASIS, NOT_SEEN
from axlewright.contract.units import Units, chosen_units, in_si, in_units
from axlewright.contract.words import COLD, DEFERENCE
from axlewright.core.tires.crosscheck import cross_checks
from axlewright.core.tires.identification import Identification, read_identification
from axlewright.core.tires.marking import Marking, read_marking
from axlewright.core.tires.size import NotRead

NEEDED_UNITS = ("mass", "pressure", "length", "speed")
"""Kinds of quantity that the answer to a designation has."""
NO_DESIGNATION = "`designation` was not sent: nothing is told of the size, and nothing was checked."


class ReadTireRequest(Input, frozen=True):
    """What stands on a sidewall: `designation`, `identification`, or both."""

    units: UnitsField
    designation: Annotated[
        Text | None, Meta(description="Size as marked, with or without load range and service description.")
    ] = None
    identification: Annotated[
        IdentificationText | None,
        Meta(description="Tire identification number, whole or partial, or its date code; gaps as on the tire."),
    ] = None
    as_of: Annotated[date | None, Meta(description="Day to which the age is counted; without it, no age.")] = None
    stated: Annotated[
        StatedInput | None, Meta(description="What you know besides; it needs `designation` to be held against.")
    ] = None


class ReadTireAnswer(QuestionAnswer, frozen=True, kw_only=True):
    """What the sidewall says, whether its marks agree, and how old the tire is."""

    marking: Annotated[MarkingAnswer | None, Meta(description="The designation; null where none was sent.")]
    identification: Annotated[
        IdentificationAnswer | None, Meta(description="The identification number; null where none was sent.")
    ]
    age: Annotated[AgeAnswer, Meta(description="Age on the day `as_of`.")]
    checks: Annotated[
        list[CheckAnswer], Meta(max_length=32, description="Every check, made or not; empty without a designation.")
    ]
    unknown_because: UnknownOut


def read_tire_answer(request: ReadTireRequest) -> ReadTireAnswer:
    """Return what a sidewall says, in the request's units.

    Raises
    ------
    CrossFieldFaults
        With what cannot be read, and where; with numbers that are not plausible, and units that are missing.
    """
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    marking = None if request.designation is None else read_marking(request.designation)
    number = request.identification
    identification = None if number is None else read_identification(number, request.as_of)
    faults += _own_faults(request)
    if isinstance(marking, NotRead):
        faults.append(not_read("designation", "inconsistent_marking", "/designation", marking))
    elif marking is not None:
        faults += unit_faults(units, NEEDED_UNITS)
    if isinstance(identification, NotRead):
        faults.append(not_read("identification", "inconsistent_identification", "/identification", identification))
    refuse_contradictions(faults, as_sent)
    assert not isinstance(marking, NotRead)
    assert not isinstance(identification, NotRead)
    return in_units(_answer(request, marking, identification, units), units)


def _own_faults(request: ReadTireRequest) -> Iterator[Fault]:
    if request.as_of is not None:
        yield from unlikely_day(request.as_of, "/as_of")
    if request.designation is None and request.identification is None:
        message = "There is nothing to read: send what stands on the sidewall."
        yield Fault("inconsistent_choice", "", message, None, "designation, identification, or both")
    elif request.stated is not None and request.designation is None:
        message = "There is nothing to hold `stated` against."
        yield Fault("inconsistent_choice", "/stated", message, None, "designation beside it, or no `stated`")


def _answer(
    request: ReadTireRequest, marking: Marking | None, identification: Identification | None, units: Units
) -> ReadTireAnswer:
    checks = () if marking is None else cross_checks(marking, core_stated(request.stated or StatedInput()))
    basis = [*MARKING_BASIS] if marking else []
    if identification is not None:
        basis += [*IDENTIFICATION_BASIS, *(AGE_BASIS if request.as_of else ())]
    missing = (None if marking else NO_DESIGNATION, None if identification else NO_IDENTIFICATION)
    return ReadTireAnswer(
        units=units,
        marking=None if marking is None else marking_answer(marking),
        identification=None if identification is None else identification_answer(identification),
        age=age_answer(identification, request.as_of),
        checks=[check_answer(check, units) for check in checks],
        unknown_because=" ".join(text for text in missing if text) or None,
        basis=basis,
        cautions=[DEFERENCE, *([COLD] if marking else []), NOT_SEEN],
        computed_by=CORE,
    )
