"""The stable codes that answers carry beside shape faults, with what each means."""

from dataclasses import dataclass

from axlewright.contract.finding_words import FINDINGS, Room
from axlewright.contract.problems import NOT_YET_COMPUTED


@dataclass(frozen=True)
class Code:
    """A code and its meaning; of a finding's code its severities, worst first, and the rooms that tell it."""

    code: str
    meaning: str
    severity: str | None = None
    rooms: tuple[Room, ...] = ()


CROSS_FIELD_CODES: tuple[Code, ...] = (
    Code(NOT_YET_COMPUTED, "The document is valid, but this version does not compute what it asks for."),
    Code("inconsistent_choice", "Exactly one of several names is needed, and none or more than one was given."),
    Code("inconsistent_conditions", "A lowest temperature or altitude lies above the highest, or a place beyond them."),
    Code("inconsistent_dates", "Checks of a tire are not listed in the order of time."),
    Code("inconsistent_day", "A day is no likely one, or lies after the day that it cannot follow."),
    Code("inconsistent_event", "An event has a field that belongs to another kind of event."),
    Code("inconsistent_fitment", "Single and dual tires, or their ratings, do not go together."),
    Code("inconsistent_group", "An axle is in more than one group, or a split does not add up to 1."),
    Code("inconsistent_identification", "A tire identification number cannot be read, or names a week yet to come."),
    Code("inconsistent_interval", "Distances after which something is due do not rise."),
    Code("inconsistent_levels", "Levels of a tank do not rise, or linked tanks hold more than there is."),
    Code("inconsistent_link", "A tank cannot be linked: it does not vary, holds no water, or is linked already."),
    Code("inconsistent_loads_overlap", "One of the given loads follows from the others."),
    Code("inconsistent_magnitude", "A number is implausible in the unit that `units` gives it."),
    Code("inconsistent_marking", "A tire's designation and its fields say different things."),
    Code("inconsistent_name", "Two things of one kind have the same name."),
    Code("inconsistent_naming", "Some tires are named with their vehicle, others without one."),
    Code("inconsistent_odometer", "An odometer goes backwards, or faster than anything drives."),
    Code("inconsistent_order", "Axles are not listed front to back from the vehicle's origin."),
    Code("inconsistent_pressures", "Least, recommended and most pressure do not rise in this order."),
    Code("inconsistent_rating", "A rating is higher than another that bounds it."),
    Code("inconsistent_reading", "A reading has more divisions than a scale of the stated class can show."),
    Code("inconsistent_reference", "A name refers to nothing in the request, or an id to nothing in the fleet."),
    Code("inconsistent_repeat", "A wheel stands on two platforms at one time, or a weigh or a name is there twice."),
    Code("inconsistent_share", "Shares of one whole do not add up to it."),
    Code("inconsistent_site", "Platforms, gaps, pads and what stands beside them do not make a place to weigh."),
    Code("inconsistent_size", "A question has more choices, or readings, than are computed at once."),
    Code("inconsistent_statics", "A vehicle stands on too few axles for its loads to be told."),
    Code(
        "inconsistent_table",
        "A tire table does not rise, is told in another unit, or stands beside one that says otherwise.",
    ),
    Code("inconsistent_units", "A kind of quantity is used that `units` does not name."),
)
"""Codes of faults between fields; those of contradictions begin with `inconsistent_`."""

FINDING_CODES: tuple[Code, ...] = tuple(
    Code(code, words.meaning, " or ".join(words.severities), words.rooms) for code, words in FINDINGS.items()
)
"""Codes of findings, each with its severity."""
