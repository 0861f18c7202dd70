"""What the reading of a sidewall says in words: families, versions, layouts, doubts, advice, and every cross-check."""

from axlewright.core.tires.age import AdviceCode, AgeUnknown
from axlewright.core.tires.crosscheck import CheckKind, NotChecked
from axlewright.core.tires.family import Family
from axlewright.core.tires.identification import DateUnknown, Doubt, Layout
from axlewright.core.tires.marking import Ambiguity, LoadVersion

FAMILIES: dict[Family, str] = {
    Family.P_METRIC: "Passenger-car tire to United States standards: P before the width.",
    Family.PASSENGER_METRIC: "Passenger-car tire, metric: no letters before the width but HL, and none behind the rim.",
    Family.LT_RADIAL: "Light-truck tire, radial: LT before the width or behind the rim.",
    Family.LT_BIAS: "Light-truck tire, bias: LT before the width or behind the rim.",
    Family.FLOTATION: "Light-truck tire in a flotation size: overall diameter by section width, in inches.",
    Family.SPECIAL_TRAILER: "Special-trailer tire, for trailers only: ST before the width.",
    Family.COMMERCIAL: "Commercial tire of vans and light trucks: C behind the rim.",
    Family.CAMPER: "Camper tire, made for motor caravans: CP behind the rim.",
    Family.TRUCK_RADIAL: "Truck and bus tire, radial.",
    Family.TRUCK_BIAS: "Truck and bus tire, bias.",
    Family.TEMPORARY: "Temporary spare tire: T before the width. It is not for trips.",
}
LOAD_VERSIONS: dict[LoadVersion, str] = {
    "light": "Light load (LL).",
    "standard": "Standard load (SL).",
    "extra": "Extra load, also called reinforced (XL, RF).",
    "high": "High load (HL before the size).",
}
AMBIGUITIES: dict[Ambiguity, str] = {
    Ambiguity.METRIC_WITHOUT_PREFIX: "No letters stand before the width: read as a passenger-car tire. A light-truck, "
    "trailer or commercial tire looks alike where LT, ST or C was left out; look at the sidewall.",
    Ambiguity.DASH_READ_AS_BIAS: "A dash stands before the rim: read as a bias tire. A dash is also written where an R "
    "was left out; look whether the sidewall says RADIAL.",
    Ambiguity.FLOTATION_WITHOUT_LT: "LT is missing behind the rim: read as a light-truck tire all the same.",
}
LAYOUTS: dict[Layout, str] = {
    Layout.CURRENT: "Thirteen symbols: three for the plant, six of the maker's own, four for the date.",
    Layout.FORMER: "The former layout: two symbols for the plant, the length not fixed, the date at the end.",
    Layout.RETREAD: "A retreaded tire: three symbols for the retreader, and the date of retreading, not of the casing.",
    Layout.DATE_ONLY: "The date code alone.",
    Layout.WITHOUT_DATE: "The partial number of one side of the tire, without the date.",
}
DOUBTS: dict[Doubt, str] = {
    Doubt.DECADE_OPEN: "The year has one digit, so the tire was made before July 2000, and in which decade is not "
    "marked: every year that fits is given.",
    Doubt.THREE_DIGITS_POSSIBLE: "Written without a gap before the date: the last three digits alone might be the date "
    "of a tire made before July 2000. Look at the gaps on the sidewall.",
    Doubt.PARTIAL_POSSIBLE: "So short a number without gaps may also be the partial number of one side, which happens "
    "to end in digits. Look at the other side of the tire.",
    Doubt.RETREAD_POSSIBLE: "Seven symbols may be a retreader's number: then the date is that of retreading.",
    Doubt.YEAR_TO_COME: "The week is yet to come, or may be meant for one of the last century: two digits for the year "
    "stand for 2000 and later, and a tire made before July 2000 has one. Read the number again.",
}
DATE_UNKNOWN: dict[DateUnknown, str] = {
    DateUnknown.ON_OTHER_SIDE: "This number has no date: the full one, with the date, is on the other side of the tire."
}
AGE_UNKNOWN: dict[AgeUnknown, str] = {
    AgeUnknown.ON_OTHER_SIDE: DATE_UNKNOWN[DateUnknown.ON_OTHER_SIDE],
    AgeUnknown.IN_THE_FUTURE: "The week of the number has not begun on `as_of`: read one or the other again.",
}
ADVICE_WORDS: dict[AdviceCode, str] = {
    AdviceCode.AGE_ALONE_DECIDES_NOTHING: "By this source age alone decides nothing: storage, heat, load and pressure "
    "do as much.",
    AdviceCode.INSPECT_YEARLY: "Have it inspected every year, inside and out, by a tire specialist.",
    AdviceCode.REPLACE_BY_VEHICLE_MAKER: "This vehicle maker has tires replaced by now; ask what the maker of yours "
    "says.",
    AdviceCode.PLAN_REPLACEMENT: "Plan the replacement.",
    AdviceCode.REMOVE_FROM_SERVICE: "Take it out of service, whatever it looks like.",
}

CHECK_WORDS: dict[str, str] = {
    "index_and_load_agree": "Load index {index} stands for {index_load}; {marked_load} is marked: they agree.",
    "marked_load_below_index": "Load index {index} stands for {index_load}, and only {marked_load} is marked: read "
    "both again. The lower one counts.",
    "marked_load_above_index": "Load index {index} stands for {index_load}, and {marked_load} is marked: read both "
    "again. The lower one counts.",
    "dual_above_single": "The load for dual fitting, {dual}, is above the one for single, {single}: that cannot be.",
    "dual_share_unusual": "{dual} for dual fitting is {share} of {single} for single: unusual, read both again.",
    "dual_share_usual": "{dual} for dual fitting is {share} of {single} for single: usual.",
    "load_range_marked_once": "The load range is told in one place (designation: {marked}; stated: {stated}).",
    "load_range_marked_alike": "Designation and statement tell the same load range, {marked}.",
    "load_range_marked_differently": "The designation tells load range {marked}, the statement {stated}: read it "
    "again.",
    "speed_symbol_marked_once": "The speed symbol is told in one place (designation: {marked}; stated: {stated}).",
    "speed_symbol_marked_alike": "Designation and statement tell the same speed symbol, {marked}.",
    "speed_symbol_marked_differently": "The designation tells speed symbol {marked}, the statement {stated}: read it "
    "again.",
    "pressure_unusual_for_load_range": "{marked} is unusual for load range {load_range}, whose tires of this family "
    "are mostly marked {least} to {most}: read both again.",
    "pressure_usual_for_load_range": "{marked} is usual for load range {load_range}: {least} to {most} in this family.",
    "wheel_carries_less_than_tire": "The wheel carries {wheel}, less than the {tire} of the tire: the wheel limits.",
    "wheel_carries_the_tire": "The wheel carries {wheel}, the tire {tire}: the wheel does not limit.",
    "wheel_holds_less_than_tire": "The wheel may hold {wheel}, less than the {tire} of the tire: the wheel limits the "
    "pressure, and so the load.",
    "wheel_holds_the_pressure": "The wheel may hold {wheel}, the tire {tire}: the wheel does not limit.",
    "tires_below_axle_rating": "{tires} tires of {rating} carry {sum}, less than the axle's rating of {gawr}: these "
    "tires do not belong on this axle.",
    "tires_carry_axle_rating": "{tires} tires of {rating} carry {sum}, at least the axle's rating of {gawr}.",
    "speed_within": "Driven at {driven} at most; the tire allows {most} (speed symbol: {symbol}).",
    "second_service_applies": "{driven} is above the {most} of speed symbol {symbol}; the additional service "
    "description allows it at {second_load} a tire.",
    "speed_above_special_trailer": "A special-trailer tire without a speed symbol is for {most} at most; driven at "
    "{driven}.",
    "speed_above_symbol": "Speed symbol {symbol} allows {most}; driven at {driven}.",
    "fitted_dual_without_dual_rating": "Fitted dual, and no load for dual fitting is marked or stated: such a tire may "
    "not be made for dual fitting.",
}
"""What each check says; one that was not made says only so, and why."""
NOT_CHECKED = "Not checked."

WHY_NOT_CHECKED: dict[tuple[CheckKind, NotChecked], str] = {
    (CheckKind.INDEX_AND_SINGLE_LOAD, NotChecked.NOT_MARKED): "The designation has no load index.",
    (CheckKind.INDEX_AND_SINGLE_LOAD, NotChecked.NOT_STATED): "`stated.max_load_single` was not given.",
    (CheckKind.INDEX_AND_DUAL_LOAD, NotChecked.NOT_MARKED): "The designation has no load index for dual fitting.",
    (CheckKind.INDEX_AND_DUAL_LOAD, NotChecked.NOT_STATED): "`stated.max_load_dual` was not given.",
    (CheckKind.DUAL_AND_SINGLE, NotChecked.NOT_STATED): "Loads for single and dual fitting are not both marked or "
    "stated.",
    (CheckKind.LOAD_RANGE, NotChecked.NOT_MARKED): "No load range is marked or stated.",
    (CheckKind.LOAD_RANGE_AND_PRESSURE, NotChecked.NOT_FOR_THIS_FAMILY): "Tires of this family have no load range.",
    (CheckKind.LOAD_RANGE_AND_PRESSURE, NotChecked.NOT_MARKED): "No load range is marked or stated.",
    (CheckKind.LOAD_RANGE_AND_PRESSURE, NotChecked.NOT_STATED): "`stated.max_pressure` was not given.",
    (CheckKind.LOAD_RANGE_AND_PRESSURE, NotChecked.NO_USUAL_FIGURE): "No usual pressure of this load range is known "
    "for this family.",
    (CheckKind.SPEED_SYMBOL, NotChecked.NOT_MARKED): "No speed symbol is marked or stated.",
    (CheckKind.WHEEL_LOAD, NotChecked.NOT_STATED): "The wheel's maximum load, or the tire's for this fitment, is not "
    "known.",
    (CheckKind.WHEEL_PRESSURE, NotChecked.NOT_STATED): "The wheel's or the tire's maximum pressure was not given.",
    (CheckKind.AXLE, NotChecked.NOT_STATED): "`stated.gawr`, or the tire's load for this fitment, is not known.",
    (CheckKind.SPEED, NotChecked.NOT_STATED): "`stated.speed` was not given.",
    (CheckKind.SPEED, NotChecked.NOT_MARKED): "No speed symbol is marked or stated.",
}

_SIZES = (
    "Sizes: Tire and Rim Association, ISO 4000-1 and ISO 4223-1 designations as vehicle makers' owner manuals describe "
    "them; some from memory"
)
_LETTERS = (
    "Ply ratings and usual pressures of load ranges: tire makers' and trade charts, some from memory; no law ties a "
    "letter to a pressure"
)
_AXLES = (
    "Axle: 49 CFR 571.110 and 571.120 S5.1.2; a passenger-car tire on any other vehicle counts as its rating over 1.10"
)
_WEEKS = (
    "Identification number: 49 CFR 574.5, as amended by 80 FR 19553 (2015) and 64 FR 36807 (1999); the former layout "
    "and the counting of weeks from memory, with the days of a count by ISO 8601 allowed for"
)
MARKING_BASIS = (
    _SIZES,
    "Load indices: ISO 4000-1 and ISO 4209-1 (171 to 180 from memory); speed symbols: UN Regulations No. 30 and No. 54",
    _LETTERS,
    _AXLES,
    "Shares of dual loads, and what is called usual: common practice, no published source",
)
IDENTIFICATION_BASIS = (_WEEKS,)
AGE_BASIS = (
    "Age: from the first and from the last day on which the tire can have been made; each advice with its own source",
)
NOT_SEEN = (
    "What is marked on a tire says nothing of its state: wear, damage, repairs and storage were not seen. An age is "
    "no verdict by itself."
)
