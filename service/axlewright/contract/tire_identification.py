"""What a tire identification number says, how old the tire is, and what is advised at that age."""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta, Struct

from axlewright.contract.output import CountOut, MeaningAnswer, NameOut, UnknownOut, WordsOut, meaning
from axlewright.contract.quantities import END
from axlewright.contract.tire_reading_words import ADVICE_WORDS, AGE_UNKNOWN, DATE_UNKNOWN, DOUBTS, LAYOUTS
from axlewright.core.tires.age import AgeUnknown, advice_at, age_on
from axlewright.core.tires.identification import LONGEST_TEXT, Identification

NO_IDENTIFICATION = "`identification` was not sent."
NO_DAY = "`as_of` was not sent: an age is counted to a day."

IdentificationText = Annotated[
    str,
    Meta(
        pattern=rf"^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]{{1,{LONGEST_TEXT}}}{END}",
        description="With or without DOT; a triangle raised behind three digits, which marks the 1990s, as ◁, ◀, ◄, △ "
        "or ▲.",
    ),
]


class WeekAnswer(Struct, frozen=True, kw_only=True):
    """A week that a date code may stand for."""

    week: Annotated[CountOut, Meta(description="Its number.")]
    year: Annotated[CountOut, Meta(description="Its year.")]
    week_begins: Annotated[
        date | None, Meta(description="Its Sunday by 49 CFR 574.5; null where the year has this week only by ISO 8601.")
    ]
    first_day: Annotated[date, Meta(description="First day by either count.")]
    last_day: Annotated[date, Meta(description="Last day by either count.")]


class IdentificationAnswer(Struct, frozen=True, kw_only=True):
    """What an identification number says."""

    symbols: Annotated[NameOut, Meta(description="The number without DOT and gaps.")]
    layout: Annotated[MeaningAnswer, Meta(description="How it is laid out.")]
    plant_code: Annotated[NameOut | None, Meta(description="The plant's; null where its length is not known.")]
    weeks: Annotated[
        list[WeekAnswer], Meta(max_length=4, description="Rising; more than one where the decade is not marked.")
    ]
    first_day: Annotated[date | None, Meta(description="First day on which the tire can have been made.")]
    last_day: Annotated[date | None, Meta(description="Last day on which the tire can have been made.")]
    doubts: Annotated[list[MeaningAnswer], Meta(max_length=8, description="What it leaves open.")]
    unknown_because: UnknownOut


class AdviceAnswer(Struct, frozen=True, kw_only=True):
    """One piece of advice whose age the tire has reached, or may have reached."""

    code: Annotated[NameOut, Meta(description="Stable; new ones may come.")]
    advice: Annotated[WordsOut, Meta(description="What is advised.")]
    from_years: Annotated[CountOut, Meta(description="Age from which it holds [years].")]
    source: Annotated[WordsOut, Meta(description="Who says so.")]
    confidence: Annotated[
        Literal["published", "from_memory", "common_practice"], Meta(description="How sure the source is.")
    ]
    certain: Annotated[bool, Meta(description="False where only the oldest possible age reaches it.")]


class AgeAnswer(Struct, frozen=True, kw_only=True):
    """How old the tire is, and what is said at that age."""

    as_of: Annotated[date | None, Meta(description="The day, as sent.")]
    least_years: Annotated[CountOut | None, Meta(description="Completed years if made on the last possible day.")]
    most_years: Annotated[CountOut | None, Meta(description="Completed years if made on the first possible day.")]
    advice: Annotated[list[AdviceAnswer], Meta(max_length=16, description="Rising by age.")]
    unknown_because: UnknownOut


def identification_answer(read: Identification) -> IdentificationAnswer:
    """Return what an identification number says."""
    because = read.date_unknown_because
    return IdentificationAnswer(
        symbols=read.symbols,
        layout=meaning(read.layout, LAYOUTS),
        plant_code=read.plant_code,
        weeks=[
            WeekAnswer(
                week=each.week,
                year=each.year,
                week_begins=each.week_begins,
                first_day=each.first_day,
                last_day=each.last_day,
            )
            for each in read.dates
        ],
        first_day=read.first_day,
        last_day=read.last_day,
        doubts=[meaning(each, DOUBTS) for each in read.doubts],
        unknown_because=None if because is None else DATE_UNKNOWN[because],
    )


def age_answer(identification: Identification | None, on: date | None) -> AgeAnswer:
    """Return the age on a day with what is advised at it, or why there is none."""
    if identification is None or on is None:
        return _no_age(on, NO_IDENTIFICATION if identification is None else NO_DAY)
    age = age_on(identification, on)
    if isinstance(age, AgeUnknown):
        return _no_age(on, AGE_UNKNOWN[age])
    return AgeAnswer(
        as_of=on,
        least_years=age.least_years,
        most_years=age.most_years,
        advice=[
            AdviceAnswer(
                code=reached.advice.code.value,
                advice=ADVICE_WORDS[reached.advice.code],
                from_years=reached.advice.from_years,
                source=f"{reached.advice.source[:1].upper()}{reached.advice.source[1:]}",
                confidence=reached.advice.confidence,
                certain=reached.certain,
            )
            for reached in advice_at(age)
        ],
        unknown_because=None,
    )


def _no_age(on: date | None, because: str) -> AgeAnswer:
    return AgeAnswer(as_of=on, least_years=None, most_years=None, advice=[], unknown_because=because)
