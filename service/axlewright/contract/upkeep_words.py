"""What is said of something that falls due: what to do, when, what it rests on."""

from datetime import date
from math import ceil
from typing import Final

from axlewright.contract.calendar import EntryWords
from axlewright.contract.units import Unit
from axlewright.contract.words import CALLER, COMMON_PRACTICE, DEFERENCE
from axlewright.core.units import RELATIVE_GUARD
from axlewright.core.upkeep.due import Due, DueKind
from axlewright.core.upkeep.events import RIG, EventKind
from axlewright.core.upkeep.policy import UpkeepPolicy, Window
from axlewright.core.upkeep.projection import NotProjected
from axlewright.core.upkeep.rules import DueState, NotDated, Rule, RuleName, Unknown

TO_DO: dict[DueKind, str] = {
    DueKind.WHEEL_NUT_RETORQUE: "tighten the wheel nuts again",
    DueKind.PRESSURE_CHECK: "check the tire pressures, cold",
    DueKind.TIRE_INSPECTION: "have the tire inspected",
    DueKind.TIRE_REPLACEMENT: "replace the tire",
    DueKind.WEIGH: "weigh the rig",
}
ACTIONS: dict[DueKind, str] = {
    DueKind.WHEEL_NUT_RETORQUE: "Tighten to the torque that the vehicle's or wheel's maker states, with a torque "
    "wrench and in the maker's order, wheels cold. Nuts that turn far, or turn again next time, want a look at studs, "
    "wheel and hub before driving on.",
    DueKind.PRESSURE_CHECK: "Read every tire cold, both of a dual, and set it to the pressure chosen for the load.",
    DueKind.TIRE_INSPECTION: "Have a tire dealer look at it inside and out: tread, cuts, bulges, weather cracks, "
    "valve.",
    DueKind.TIRE_REPLACEMENT: "Replace it, however deep its tread is.",
    DueKind.WEIGH: "Weigh it wheel end by wheel end, loaded as for a trip, and choose the cold pressures anew.",
}
FIND_DATE_CODE: dict[DueKind, str] = {
    DueKind.TIRE_INSPECTION: "find the tire's date code: its age tells when to have it inspected",
    DueKind.TIRE_REPLACEMENT: "find the tire's date code: its age tells when to replace it",
}
"""What is to be done first of a tire whose age is not known."""
READ_DATE_CODE: Final = (
    "Read the full identification number after DOT, often on the inner sidewall: its last four digits are the week and "
    "year of manufacture. Record them with the fitting of the tire. Where they cannot be found, treat the tire as old."
)
EVENT_WORDS: dict[EventKind, str] = {
    EventKind.WHEEL_WORK: "wheel work",
    EventKind.RETORQUE: "a retorque",
    EventKind.PRESSURE_CHECK: "the pressure check",
    EventKind.TIRE_FITTED: "the fitting of the tire",
    EventKind.TIRE_INSPECTION: "the inspection",
    EventKind.WEIGH: "the weigh",
    EventKind.CHANGE: "the change",
}

RULE_WORDS: dict[RuleName, str] = {
    RuleName.RETORQUE_DISTANCE: f"{COMMON_PRACTICE}: wheel nuts settle after the wheel was off, and are tightened "
    "again to the maker's torque within the first 50 to 100 miles",
    RuleName.RETORQUE_DATE: f"{CALLER}: days after wheel work",
    RuleName.PRESSURE_INTERVAL: f"{COMMON_PRACTICE}: pressures are checked monthly, cold",
    RuleName.PRESSURE_BEFORE_TRIP: f"{COMMON_PRACTICE}: pressures are checked before each trip, cold",
    RuleName.TIRE_FIRST_INSPECTION: f"{COMMON_PRACTICE}: tires are inspected yearly from an age of five years on",
    RuleName.TIRE_NEXT_INSPECTION: f"{COMMON_PRACTICE}: yearly after the last inspection",
    RuleName.TIRE_AGE: f"{COMMON_PRACTICE}: a tire is replaced at ten years at the latest, whatever it looks like",
    RuleName.TIRE_MAKERS_ADVICE: f"{CALLER}: the age that the tire's or vehicle's maker advises",
    RuleName.WEIGH_INTERVAL: f"{COMMON_PRACTICE}: a rig is weighed yearly",
    RuleName.WEIGH_DISTANCE: f"{CALLER}: distance between weighs",
    RuleName.WEIGH_AFTER_CHANGE: f"{COMMON_PRACTICE}: a rig is weighed after a change of what it is or carries",
}
DUE_UNKNOWN: dict[Unknown, str] = {
    NotProjected.TOO_FEW_READINGS: "Fewer than two odometer readings on different days: distance has no date.",
    NotProjected.NOT_DRIVEN: "The odometer readings show no driving: distance has no date.",
    NotProjected.BEYOND_HORIZON: "At the rate of driving it lies more than ten years ahead.",
    NotProjected.ODOMETER_AT_EVENT_UNKNOWN: "Nobody noted the odometer at the event, and no earlier reading tells.",
    NotDated.NEVER_RECORDED: "No such event was recorded for every tire: do it, or record when it was done.",
    NotDated.NO_TIRE_RECORDED: "No fitting of this tire was recorded: read its date code, and record it.",
    NotDated.LONG_PAST: "The work lies so far back that tightening them again was due long ago, and nobody recorded "
    "it: record it if it was done; if nobody knows, check the nuts now.",
    NotDated.DATE_CODE_NOT_READ: "The date code was not read: it is on one sidewall, often the inner one.",
}

BASIS: Final = (
    f"Intervals: {CALLER.lower()}, else common practice without a published source; `policy` tells all of them",
    "By date or by distance, whichever comes first; months are counted on the calendar, from the day of the event",
)
PROJECTION_BASIS: Final = (
    "Judgement: the way over the time between the readings of the year up to the last one; its doubt from how "
    "unevenly they lie"
)
MAKERS_FIRST: Final = (
    "Makers of the vehicle, its wheels and its tires state intervals and torques of their own: theirs come first, and "
    "the earlier one counts."
)
RECORDED_ONLY: Final = "Only what was sent is known: work that nobody recorded, and a spare, are not in it."
ESTIMATED: Final = "estimated from odometer readings of other days"
PROJECTED: Final = "Days of distances are projections: they move with every odometer reading."
CAUTIONS: Final = (DEFERENCE, MAKERS_FIRST, RECORDED_ONLY, PROJECTED)

_CHOSEN_BY: dict[RuleName, str] = {
    RuleName.RETORQUE_DISTANCE: "retorque",
    RuleName.PRESSURE_INTERVAL: "pressure_check_months",
    RuleName.PRESSURE_BEFORE_TRIP: "pressure_check_before_trip_days",
    RuleName.TIRE_FIRST_INSPECTION: "tire_inspection_from_months",
    RuleName.TIRE_NEXT_INSPECTION: "tire_inspection_every_months",
    RuleName.TIRE_AGE: "tire_replacement_months",
    RuleName.WEIGH_INTERVAL: "weigh_months",
}
"""Which interval of the policy a rule of common practice goes by."""


def rule_basis(rule: RuleName, policy: UpkeepPolicy) -> str:
    """Return what a rule rests on; where the caller chose another interval than the usual one, on that first."""
    chosen_by = _CHOSEN_BY.get(rule)
    if chosen_by is None or getattr(policy, chosen_by) == getattr(UpkeepPolicy(), chosen_by):
        return RULE_WORDS[rule]
    return f"{CALLER}: the interval. {RULE_WORDS[rule]}"


def unknown_words(item: Due) -> str | None:
    """Return why rules of an item have no date; None where all have one."""
    return " ".join(dict.fromkeys(DUE_UNKNOWN[because] for because in item.unknown_because)) or None


def item_message(item: Due, as_of: date, policy: UpkeepPolicy) -> str:
    """Return in a sentence or two what is to be done, to what, and how it stands."""
    to_do = _to_do(item, policy)
    about = to_do.capitalize() if item.subject == RIG else f"{item.subject}: {to_do}"
    return " ".join([f"{about}. {_standing(item, as_of)}", unknown_words(item) or ""]).rstrip()


def action_words(item: Due) -> str:
    """Return how an item is done: of a tire of unknown age, first how its age is found."""
    return READ_DATE_CODE if _needs_date_code(item) else ACTIONS[item.kind]


def whole_days(u_days: float | None) -> int | None:
    """Return a doubt [days] in whole days, rounded up."""
    return None if u_days is None else ceil(u_days * (1 - RELATIVE_GUARD))


def entry_words(item: Due, as_of: date, policy: UpkeepPolicy, rig_name: str, unit: Unit) -> EntryWords:
    """Return what a calendar shows of an item."""
    about = rig_name if item.subject == RIG else f"{rig_name}, {item.subject}"
    mark = "Overdue – " if item.state is DueState.OVERDUE else ""
    stretch = _stretch(item, policy)
    rules = [f"{_rule_words(rule, stretch, unit)} {rule_basis(rule.name, policy)}." for rule in item.rules]
    origin = [] if item.origin is None else [_origin_words(item, unit)]
    lines = [
        f"{_standing(item, as_of)} Seen from {as_of}.",
        *origin,
        *rules,
        action_words(item),
        MAKERS_FIRST,
        DEFERENCE,
    ]
    return EntryWords(f"{mark}{about}: {_to_do(item, policy)}", "\n".join(lines))


def _needs_date_code(item: Due) -> bool:
    return item.kind in FIND_DATE_CODE and item.governing is None


def _to_do(item: Due, policy: UpkeepPolicy) -> str:
    if _needs_date_code(item):
        return FIND_DATE_CODE[item.kind]
    times = len(policy.retorque)
    is_one_of_several = item.kind is DueKind.WHEEL_NUT_RETORQUE and times > 1
    return f"{TO_DO[item.kind]} ({item.part} of {times})" if is_one_of_several else TO_DO[item.kind]


def _standing(item: Due, as_of: date) -> str:
    governing = item.governing
    if NotDated.LONG_PAST in item.unknown_because:
        return "Not recorded."
    if governing is None or governing.due_on is None:
        return "Nobody can say when it is due."
    day = f"{governing.due_on}{_sureness(governing)}"
    if governing.latest_on is not None and governing.latest_on > governing.due_on:
        latest = f"; overdue after {governing.latest_on}"
    else:
        latest = ""
    match item.state:
        case DueState.OVERDUE:
            return f"Overdue: it fell due on {day}."
        case DueState.DUE:
            return f"Due today{latest}." if governing.due_on == as_of else f"Due since {day}{latest}."
        case DueState.UNKNOWN:
            return f"Due on {day}{latest}, perhaps earlier."
        case DueState.LATER:
            return f"Due on {day}{latest}."


def _stretch(item: Due, policy: UpkeepPolicy) -> Window | None:
    """Return the distances after its event at which an item is due and overdue, if it goes by distance."""
    if item.kind is DueKind.WHEEL_NUT_RETORQUE:
        return policy.retorque[item.part - 1]
    return None if policy.weigh_after_m is None else Window(policy.weigh_after_m, policy.weigh_after_m)


def _rule_words(rule: Rule, stretch: Window | None, unit: Unit) -> str:
    if stretch is None or rule.due_at_m is None or rule.latest_at_m is None:
        return DUE_UNKNOWN[rule.unknown_because] if rule.unknown_because else f"On {rule.due_on}."
    day = ("" if rule.due_on is None else f", on {rule.due_on}") + _sureness(rule)
    words = f"From {_distance_words(stretch.from_m, unit)} after it{_odometer_words(rule.due_at_m, unit)}{day}"
    if stretch.by_m > stretch.from_m:
        words += f"; overdue beyond {_distance_words(stretch.by_m, unit)}{_odometer_words(rule.latest_at_m, unit)}"
        words += "" if rule.latest_on is None else f", after {rule.latest_on}"
    return f"{words}. {DUE_UNKNOWN[rule.unknown_because]}" if rule.unknown_because else f"{words}."


def _sureness(rule: Rule) -> str:
    """Return what is to be said of a day, or of a distance, that nobody read."""
    days, words = whole_days(rule.u_days), ""
    if rule.is_projected:
        words += ", projected"
        words += "" if days is None else f", give or take {days} day{'' if days == 1 else 's'}"
    return f"{words}, {ESTIMATED}" if rule.is_estimated else words


def _origin_words(item: Due, unit: Unit) -> str:
    assert item.origin is not None
    words = f"Counts from {EVENT_WORDS[item.origin.kind]} on {item.origin.on}"
    if item.origin.odometer_m is not None:
        words += f" at {_distance_words(item.origin.odometer_m, unit)}"
    return f"{words}."


def _odometer_words(way_m: float, unit: Unit) -> str:
    return "" if way_m < 0 else f" ({_distance_words(way_m, unit)} on the odometer)"


def _distance_words(distance_m: float, unit: Unit) -> str:
    return f"{round(unit.from_si(distance_m)):,} {unit.sign}"
