"""Numbers and texts of answers, each with its kind of quantity; None stands for what is not known."""

from collections.abc import Mapping
from typing import Annotated, TypeVar

from msgspec import Meta, Struct

Code = TypeVar("Code", bound=str)

MassOut = Annotated[float, Meta(ge=-1e7, le=1e7, extra_json_schema={"x-quantity": "mass"})]
MassUpOut = Annotated[float, Meta(ge=-1e7, le=1e7, extra_json_schema={"x-quantity": "mass", "x-rounded": "up"})]
PressureOut = Annotated[float, Meta(ge=-1e5, le=1e5, extra_json_schema={"x-quantity": "pressure"})]
PressureUpOut = Annotated[float, Meta(ge=-1e5, le=1e5, extra_json_schema={"x-quantity": "pressure", "x-rounded": "up"})]
PressureRateOut = Annotated[float, Meta(ge=-1e10, le=1e10, extra_json_schema={"x-quantity": "pressure"})]
LengthOut = Annotated[float, Meta(ge=-1e6, le=1e6, extra_json_schema={"x-quantity": "length"})]
FineLengthOut = Annotated[float, Meta(ge=-1e5, le=1e5, extra_json_schema={"x-quantity": "fine_length"})]
TemperatureOut = Annotated[float, Meta(ge=-500, le=1e4, extra_json_schema={"x-quantity": "temperature"})]
AltitudeOut = Annotated[float, Meta(ge=-1e5, le=1e5, extra_json_schema={"x-quantity": "altitude"})]
SpeedOut = Annotated[float, Meta(ge=0, le=1e4, extra_json_schema={"x-quantity": "speed"})]
DistanceOut = Annotated[float, Meta(ge=-1e10, le=1e10, extra_json_schema={"x-quantity": "distance"})]
TorqueOut = Annotated[float, Meta(ge=-1e7, le=1e7, extra_json_schema={"x-quantity": "torque"})]
ShareOut = Annotated[float, Meta(ge=-1e6, le=1e6, extra_json_schema={"x-quantity": "share"})]
ProbabilityOut = Annotated[float, Meta(ge=0, le=1, extra_json_schema={"x-quantity": "share"})]
CountOut = Annotated[int, Meta(ge=0, le=10_000, extra_json_schema={"x-quantity": "count"})]
NumberOut = Annotated[float, Meta(ge=-1e12, le=1e12, extra_json_schema={"x-quantity": "number"})]
AsStatedOut = Annotated[float, Meta(ge=-1e7, le=1e7, extra_json_schema={"x-quantity": "as_stated"})]
NameOut = Annotated[str, Meta(max_length=100)]
ReadingNameOut = Annotated[str, Meta(max_length=190, description="A reading: `pass / platform`.")]
WordsOut = Annotated[str, Meta(max_length=4000)]
ProseOut = Annotated[str, Meta(max_length=2_000_000)]
"""Words that name wheels or readings, of which a request may have many."""
UnknownOut = Annotated[
    WordsOut | None, Meta(description="Why figures here are null; null where all that belong here are known.")
]


class LoadAnswer(Struct, frozen=True, kw_only=True):
    """A load with its doubt."""

    name: Annotated[NameOut, Meta(description="Of what.")]
    load: Annotated[MassOut | None, Meta(description="Best estimate.")]
    standard_uncertainty: Annotated[MassOut | None, Meta(description="u; null where nobody stated it.")]
    low: Annotated[MassOut | None, Meta(description="Load less k u.")]
    high: Annotated[MassOut | None, Meta(description="Load plus k u.")]
    provisional: Annotated[bool, Meta(description="The readings beneath it failed their cross-check.")]
    unknown_because: UnknownOut


class MeaningAnswer(Struct, frozen=True, kw_only=True):
    """A code and what it means."""

    code: Annotated[NameOut, Meta(description="Stable; new ones may come.")]
    meaning: Annotated[WordsOut, Meta(description="In words.")]


def meaning(code: Code, words: Mapping[Code, str]) -> MeaningAnswer:
    """Return a code of the core with its words."""
    return MeaningAnswer(code=str(code), meaning=words[code])
