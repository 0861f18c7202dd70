"""What the readings, and what was said beside them, give to know: everything rests on it."""

from axlewright.contract.finding_words.words import EVERY_ROOM, Words
from axlewright.contract.words import CALLER, COMMON_PRACTICE
from axlewright.core.findings import Severity

WEIGH_AGAIN = "Weigh again, or compare the entries with the ticket, before anything rests on these loads."

FINDINGS: dict[str, Words] = {
    "cross_check_failed": Words(
        "Readings of a session disagree by more than the scale allows.",
        "The readings over {subject} disagree by more than the scale allows (chance {probability} if all were good). "
        "Likeliest to be wrong: {suspects}.",
        WEIGH_AGAIN,
        "Global test against chi-squared, and Baarda's test of each reading (1968)",
        (Severity.CRITICAL,),
        EVERY_ROOM,
    ),
    "readings_impossible": Words(
        "Readings would leave a wheel end lighter than nothing.",
        "The readings over {subject} contradict each other: they would leave a wheel lighter than nothing.",
        WEIGH_AGAIN,
        "Statics",
        (Severity.CRITICAL,),
        EVERY_ROOM,
    ),
    "readings_unchecked": Words(
        "Some readings are checked by no other: a misread one would not show.",
        "No other reading checks {readings}: a misread ticket would not show there.",
        "Add a pass that covers the same wheels in another way, such as whole axles.",
        "Redundancy of the readings",
        (Severity.WARNING,),
        EVERY_ROOM,
    ),
    "reading_off_division": Words(
        "A reading is not a multiple of the scale's division.",
        "{subject} reads {reading}, which is not a multiple of the division {division}.",
        "Compare the entry and the division with the ticket.",
        "A scale shows multiples of its division",
        (Severity.WARNING,),
        EVERY_ROOM,
    ),
    "state_of_load_unknown": Words(
        "The session does not say what was aboard.",
        "The session does not say who and what was aboard: the loads hold for an unknown state.",
        "Send `session.carried`: people, cargo, and the level of each tank.",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
        EVERY_ROOM,
    ),
    "wheel_ends_unknown": Words(
        "The wheel ends of an axle are not known one by one.",
        "The loads of the wheel ends of {subject} are not known one by one. Known sums over them: {known}.",
        "Weigh one side of this axle by itself: the wheels of one side on the platform, the others beside it; "
        "or put a pad under each wheel.",
        "Null space of the readings",
        (Severity.WARNING,),
        EVERY_ROOM,
    ),
    "uncertainty_not_stated": Words(
        "A load came without its standard uncertainty.",
        "A load on {subject} came without its standard uncertainty: how sure its limits and pressure are is unknown.",
        "Send `standard_uncertainty` with each load; 0 only if it is exact.",
        CALLER,
        (Severity.NOTICE,),
        EVERY_ROOM,
    ),
    "declared_not_judged": Words(
        "Parts of the request were checked and kept, but no figure of the answer rests on them.",
        "Checked and kept, but no figure of this answer rests on it: {names}.",
        "Do not take limits that belong to them as kept: the questions about loads before they happen ask them.",
        CALLER,
        (Severity.INFO,),
        EVERY_ROOM,
    ),
}
