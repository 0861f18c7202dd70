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
        f"{WEIGH_AGAIN} If somebody got out between passes, or a tank was drained, send it as `changes` of the pass.",
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
        "Some readings are checked by no other, or by none closely: a misread one would not show.",
        "No other reading checks {readings}, or none closely: a misread ticket would not show there.",
        "Add a pass that covers the same wheels in another way, such as whole axles.",
        "Redundancy of the readings; a slip of a quarter of a reading would have to show (judgement)",
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
    "reading_small": Words(
        "A reading is of so few divisions that its relative doubt is large.",
        "Of few divisions, so that the last one is a large part of them: {readings}.",
        "Weigh these wheels together with others, or on a scale of a smaller division.",
        "Least load, from memory: NIST Handbook 44, section 2.20, table 8 (50 divisions of class III L, 20 of III, 10 "
        "of IIII); OIML R 76-1 (20 of III, 10 of IIII)",
        (Severity.NOTICE,),
        EVERY_ROOM,
    ),
    "zero_not_seen": Words(
        "The empty scale did not show zero before a pass.",
        "Before pass {subject} the empty scale did not show zero: each reading of it may be off by what was shown.",
        "Have the scale set to zero while it is empty, and weigh this pass again.",
        COMMON_PRACTICE,
        (Severity.WARNING,),
        EVERY_ROOM,
    ),
    "zero_not_stated": Words(
        "The session does not say whether the empty scale showed zero.",
        "Whether the empty scale showed zero before the pass was not told of {passes}. A scale off zero shifts every "
        "reading.",
        "Ask who weighed, and send `zero_seen` with each pass.",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
        EVERY_ROOM,
    ),
    "total_differs": Words(
        "The total printed for a pass is not the sum of its readings; information only where rounding explains it.",
        "Pass {subject}: its readings add up to {sum}, its total is {total}. They differ by {difference}; rounding "
        "apart explains up to {rounding}.",
        "Compare readings and total with the ticket, and see that every section of the scale was entered.",
        "A total is the sum of its sections, half a division apart for each figure that is rounded by itself",
        (Severity.WARNING, Severity.INFO),
        EVERY_ROOM,
    ),
    "seal_old": Words(
        "The scale's seal is older than two years at the weigh.",
        "The seal of {subject} is of {sealed_on}, more than two years before the weigh on {weighed_on}: nobody says "
        "that it still keeps the tolerance of its class.",
        "Weigh on a scale that was inspected since, or ask for its latest inspection.",
        f"{COMMON_PRACTICE}: scales are inspected every year, or every second one",
        (Severity.NOTICE,),
        EVERY_ROOM,
    ),
    "carried_nowhere": Words(
        "The session declares something aboard at a place that the rig does not have.",
        "No place of the rig goes by these names: {places}. What was aboard there is not reckoned with when loads are "
        "predicted.",
        "Write the place as the rig has it, or add it to the rig's `places`.",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
        EVERY_ROOM,
    ),
    "tank_levels_unknown": Words(
        "The session says what was aboard, but not how full some tanks of the rig were.",
        "How full these tanks were at the weigh was not told: {tanks}. The loads hold for levels that nobody knows.",
        "Send the level of each with `carried.tanks`.",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
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
