"""A walk round the rig, judged: findings in words, what was judged, and what nobody noted."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Annotated

from msgspec import Meta, Struct, structs

from axlewright.contract.computation import CORE, QuestionAnswer
from axlewright.contract.distinct_figures import told_apart
from axlewright.contract.faults import refuse_contradictions
from axlewright.contract.findings import FindingAnswer, finding_answers
from axlewright.contract.output import (
    CountOut,
    FineLengthOut,
    LengthOut,
    MeaningAnswer,
    NameOut,
    PressureOut,
    UnknownOut,
    WordsOut,
    meaning,
)
from axlewright.contract.tire_reading_words import DATE_UNKNOWN, DOUBTS, IDENTIFICATION_BASIS, LAYOUTS
from axlewright.contract.units import Units, chosen_units, in_si, in_units
from axlewright.contract.walk_round_faults import TextsRead, texts_read, walk_round_faults
from axlewright.contract.walk_round_request import HeightInput, JudgeWalkRoundRequest, TireSeenInput
from axlewright.contract.words import CALLER, COLD, COMMON_PRACTICE, DEFERENCE
from axlewright.core.assessment import worst_first
from axlewright.core.tires.age import Age, age_on, completed_years
from axlewright.core.tires.identification import DateUnknown, Identification, Layout
from axlewright.core.tires.marking import Marking
from axlewright.core.upkeep.events import RIG, wheel_end_of
from axlewright.core.upkeep.remarks import walk_round_findings
from axlewright.core.upkeep.walk_round import Damage, HeightToPass, Stem, TireSeen, WalkRound, WalkRoundPolicy

NO_UNIT = "`units` names no unit for it, and nothing that was sent is judged by it."
NO_HEIGHT = "`overall_height` was not sent."
NOT_NOTED = "Not noted."
NOT_NOTED_OF_BOTH = "Not noted of both tires of the dual."
NOTHING_TO_COMPARE = (
    "A single tire has no mate to compare its pressure with; whether it is enough for the load is not judged here."
)
NO_DATE = "Neither `made_on` nor `identification` was sent."

BASIS = (
    "Tread and damage: 49 CFR 393.75, which binds commercial vehicles and is a yardstick for others",
    "Usual legal heights: Directive 96/53/EC, annex I; state law in the United States, from memory",
    f"Differences within a dual, ages, stems and caps: {COMMON_PRACTICE[:1].lower()}{COMMON_PRACTICE[1:]}",
    f"{CALLER}: what was seen, measured and read",
)
ONLY_WHAT_SHOWS = (
    "A walk round finds what shows from outside. It is no inspection by a specialist, and says nothing of brakes, "
    "bearings, hitch or frame."
)
ONLY_BETWEEN_MATES = (
    "Pressures, diameters and sizes are compared between the two tires of a dual; whether a pressure is enough for "
    "the load is not judged here."
)

TIRE_TOPICS = {
    "tread": "Least depth of tread.",
    "age": "Age.",
    "damage": "Damage.",
    "valve_stem": "Valve stem.",
    "valve_cap": "Valve cap.",
}
DUAL_TOPICS = {
    "dual_designation": "Whether the two tires of a dual are of one size.",
    "dual_tread": "Difference of tread within a dual.",
    "dual_diameter": "Difference of diameter within a dual.",
    "dual_pressure": "Difference of pressure within a dual.",
}


class TireAgeAnswer(Struct, frozen=True, kw_only=True):
    """How old a tire is."""

    name: Annotated[NameOut, Meta(description="The tire.")]
    first_day: Annotated[date | None, Meta(description="First day on which it can have been made.")]
    last_day: Annotated[date | None, Meta(description="Last day on which it can have been made.")]
    least_years: Annotated[CountOut | None, Meta(description="Completed years if made on the last possible day.")]
    most_years: Annotated[CountOut | None, Meta(description="Completed years if made on the first possible day.")]
    doubts: Annotated[list[MeaningAnswer], Meta(max_length=8, description="What its number leaves open.")]
    unknown_because: UnknownOut


class ClearanceAnswer(Struct, frozen=True, kw_only=True):
    """What is left under a height."""

    name: Annotated[NameOut, Meta(description="As sent.")]
    height: Annotated[FineLengthOut, Meta(description="As sent.")]
    clearance: Annotated[FineLengthOut | None, Meta(description="Left above the rig; negative where it does not pass.")]
    unknown_because: UnknownOut


class JudgedAnswer(Struct, frozen=True, kw_only=True):
    """One thing that a walk round looks at: of what it was judged, and of what not."""

    what: Annotated[NameOut, Meta(description="Stable; new ones may come.")]
    meaning: Annotated[WordsOut, Meta(description="In words.")]
    judged: Annotated[list[NameOut], Meta(max_length=64, description="Tires, wheel ends or `rig`.")]
    not_judged: Annotated[list[NameOut], Meta(max_length=64, description="Tires, wheel ends or `rig`.")]
    unknown_because: UnknownOut


class WalkRoundPolicyAnswer(Struct, frozen=True, kw_only=True):
    """The choices by which it was judged."""

    least_clearance: Annotated[LengthOut | None, Meta(description="To be left under a height.")]
    tread_notice: Annotated[FineLengthOut | None, Meta(description="Tread above the least depth that is worth a word.")]
    most_tread_difference: Annotated[FineLengthOut | None, Meta(description="Within a dual.")]
    most_diameter_difference: Annotated[FineLengthOut | None, Meta(description="Within a dual.")]
    most_pressure_difference: Annotated[PressureOut | None, Meta(description="Within a dual.")]
    tire_inspection_from_months: Annotated[CountOut, Meta(description="Age of yearly inspection.")]
    tire_replacement_months: Annotated[CountOut, Meta(description="Age of replacement.")]
    unknown_because: UnknownOut


class JudgeWalkRoundAnswer(QuestionAnswer, frozen=True, kw_only=True):
    """What a walk round gives to know."""

    as_of: Annotated[date, Meta(description="Day of the walk round.")]
    findings: Annotated[list[FindingAnswer], Meta(max_length=2000, description="Worst first.")]
    judged: Annotated[list[JudgedAnswer], Meta(max_length=32, description="What was judged, and what was not.")]
    ages: Annotated[list[TireAgeAnswer], Meta(max_length=64, description="Every tire.")]
    clearances: Annotated[list[ClearanceAnswer], Meta(max_length=32, description="Every height to pass.")]
    policy: Annotated[WalkRoundPolicyAnswer, Meta(description="By which it was judged, defaults included.")]


def judge_walk_round_answer(request: JudgeWalkRoundRequest) -> JudgeWalkRoundAnswer:
    """Return what a walk round gives to know, in the request's units.

    Raises
    ------
    CrossFieldFaults
        With everything that contradicts itself or cannot be read, numbers that are not plausible or have no unit.
    """
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    texts = [texts_read(tire, request.as_of) for tire in request.tires]
    faults += walk_round_faults(request, texts)
    refuse_contradictions(faults, as_sent)
    return in_units(_answer(request, texts, units), units)


def _answer(request: JudgeWalkRoundRequest, texts: list[TextsRead], units: Units) -> JudgeWalkRoundAnswer:
    policy = WalkRoundPolicy(
        **{_core_name(name): value for name, value in structs.asdict(request.policy).items() if value is not None}
    )
    sizes = _sizes(request.tires, texts)
    tires = tuple(
        _tire_seen(tire, read, sizes.get(tire.name), request.as_of)
        for tire, read in zip(request.tires, texts, strict=True)
    )
    heights = tuple(HeightToPass(each.name, each.height) for each in request.heights)
    seen = WalkRound(request.as_of, tires, request.overall_height, heights)
    findings = [told_apart(finding, units) for finding in walk_round_findings(seen, policy)]
    return JudgeWalkRoundAnswer(
        units=units,
        as_of=request.as_of,
        findings=finding_answers(worst_first(findings), units),
        judged=list(_judged(seen)),
        ages=[_age_answer(tire, read, seen.on) for tire, read in zip(request.tires, texts, strict=True)],
        clearances=[_clearance_answer(height, request.overall_height) for height in request.heights],
        policy=_policy_answer(policy, units),
        basis=[*BASIS, *(IDENTIFICATION_BASIS if any(read.identification for read in texts) else ())],
        cautions=[DEFERENCE, COLD, ONLY_WHAT_SHOWS, ONLY_BETWEEN_MATES],
        computed_by=CORE,
    )


def _core_name(name: str) -> str:
    """Return the core's name of a choice, which carries its unit."""
    if name.endswith("_months"):
        return name
    return f"{name}_pa" if "pressure" in name else f"{name}_m"


def _sizes(tires: Sequence[TireSeenInput], texts: Iterable[TextsRead]) -> dict[str, str]:
    """Return each tire's size spelled one way, with its load range where both tires of a dual are marked with one."""
    markings = {
        tire.name: read.marking for tire, read in zip(tires, texts, strict=True) if isinstance(read.marking, Marking)
    }
    with_range = [wheel_end_of(name) for name, marking in markings.items() if marking.load_range]
    return {
        name: f"{marking.designation} {marking.load_range}"
        if with_range.count(wheel_end_of(name)) > 1
        else marking.designation
        for name, marking in markings.items()
    }


def _tire_seen(tire: TireSeenInput, read: TextsRead, size: str | None, as_of: date) -> TireSeen:
    number = read.identification
    made_on, made_by = _made(number, as_of) if isinstance(number, Identification) else (tire.made_on, None)
    return TireSeen(
        name=tire.name,
        steers=tire.steers,
        designation=size,
        tread_depths_m=tuple(groove.depth for groove in tire.grooves),
        outer_diameter_m=tire.outer_diameter,
        pressure_pa=tire.pressure,
        made_on=made_on,
        made_by=made_by,
        number=number if isinstance(number, Identification) else None,
        damages=None if tire.damages is None else tuple(Damage(each) for each in dict.fromkeys(tire.damages)),
        stem=None if tire.stem is None else Stem(tire.stem),
        has_valve_cap=tire.has_valve_cap,
    )


def _made(read: Identification, as_of: date) -> tuple[date | None, date | None]:
    """Return the first day on which a tire can have been made, and the last one where its decade is open."""
    possible = [each for each in read.dates if each.first_day <= as_of]
    if not possible:
        return None, None
    return possible[0].first_day, min(possible[-1].last_day, as_of) if len(possible) > 1 else None


def _age_answer(tire: TireSeenInput, read: TextsRead, on: date) -> TireAgeAnswer:
    number = read.identification
    if not isinstance(number, Identification):
        made, because = tire.made_on, NO_DATE if tire.made_on is None else None
        years = None if made is None else completed_years(made, on)
        return _age(tire.name, (made, made), (years, years), [], because)
    doubts = [meaning(doubt, DOUBTS) for doubt in number.doubts]
    if number.layout is Layout.RETREAD:
        doubts.append(meaning(Layout.RETREAD, LAYOUTS))
    age = age_on(number, on)
    if not isinstance(age, Age):
        return _age(tire.name, (None, None), (None, None), doubts, DATE_UNKNOWN[DateUnknown.ON_OTHER_SIDE])
    first, last = _made(number, on)
    days = (first, last or min(number.dates[0].last_day, on))
    return _age(tire.name, days, (age.least_years, age.most_years), doubts, None)


def _age(
    name: str,
    days: tuple[date | None, date | None],
    years: tuple[int | None, int | None],
    doubts: list[MeaningAnswer],
    because: str | None,
) -> TireAgeAnswer:
    return TireAgeAnswer(
        name=name,
        first_day=days[0],
        last_day=days[1],
        least_years=years[0],
        most_years=years[1],
        doubts=doubts,
        unknown_because=because,
    )


def _clearance_answer(height: HeightInput, own_m: float | None) -> ClearanceAnswer:
    return ClearanceAnswer(
        name=height.name,
        height=height.height,
        clearance=None if own_m is None else height.height - own_m,
        unknown_because=NO_HEIGHT if own_m is None else None,
    )


def _judged(seen: WalkRound) -> Iterator[JudgedAnswer]:
    own = {RIG: seen.overall_height_m is not None}
    yield _judged_answer("overall_height", "Overall height.", own, NO_HEIGHT)
    for what, words in TIRE_TOPICS.items():
        noted = {tire.name: _is_noted(tire, what) for tire in seen.tires}
        if noted:
            yield _judged_answer(what, words, noted, NOT_NOTED)
    singles = [tire for tire in seen.tires if wheel_end_of(tire.name) == tire.name and tire.pressure_pa is not None]
    if singles:
        compared = {tire.name: False for tire in singles}
        yield _judged_answer("single_pressure", "Pressure of a single tire.", compared, NOTHING_TO_COMPARE)
    duals: dict[str, list[TireSeen]] = {}
    for tire in seen.tires:
        if wheel_end_of(tire.name) != tire.name:
            duals.setdefault(wheel_end_of(tire.name), []).append(tire)
    for what, words in DUAL_TOPICS.items():
        noted = {name: len(mates) > 1 and all(_is_noted(tire, what) for tire in mates) for name, mates in duals.items()}
        if noted:
            yield _judged_answer(what, words, noted, NOT_NOTED_OF_BOTH)


def _is_noted(tire: TireSeen, what: str) -> bool:
    """Return whether somebody looked at what a topic is of."""
    found = {
        "tread": tire.tread_m,
        "age": tire.made_on,
        "damage": tire.damages,
        "valve_stem": tire.stem,
        "valve_cap": tire.has_valve_cap,
        "dual_designation": tire.designation,
        "dual_tread": tire.tread_m,
        "dual_diameter": tire.outer_diameter_m,
        "dual_pressure": tire.pressure_pa,
    }
    return found[what] is not None


def _judged_answer(what: str, words: str, noted: dict[str, bool], because: str) -> JudgedAnswer:
    not_judged = [name for name, is_noted in noted.items() if not is_noted]
    return JudgedAnswer(
        what=what,
        meaning=words,
        judged=[name for name, is_noted in noted.items() if is_noted],
        not_judged=not_judged,
        unknown_because=because if not_judged else None,
    )


def _policy_answer(policy: WalkRoundPolicy, units: Units) -> WalkRoundPolicyAnswer:
    """Return the choices that were made; those of a kind without a unit judged nothing, and are not told."""
    has_length, has_pressure = units.length is not None, units.pressure is not None
    return WalkRoundPolicyAnswer(
        least_clearance=policy.least_clearance_m if has_length else None,
        tread_notice=policy.tread_notice_m if has_length else None,
        most_tread_difference=policy.most_tread_difference_m if has_length else None,
        most_diameter_difference=policy.most_diameter_difference_m if has_length else None,
        most_pressure_difference=policy.most_pressure_difference_pa if has_pressure else None,
        tire_inspection_from_months=policy.tire_inspection_from_months,
        tire_replacement_months=policy.tire_replacement_months,
        unknown_because=None if has_length and has_pressure else NO_UNIT,
    )
