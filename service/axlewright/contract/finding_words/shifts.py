"""What a shift plan gives to know."""

from axlewright.contract.finding_words.words import Words
from axlewright.core.findings import Severity

STATICS = "Equilibrium of forces and moments; limits at k standard uncertainties"
SEARCH = "Mixed-integer program, solved by branch and bound"

FINDINGS: dict[str, Words] = {
    "shift_blocked": Words(
        "A limit stays broken, as a plan that mends more would break another one.",
        "{subject} ({kind}) stays {excess} beyond its limit, with the doubt of the load: a plan that mends more would "
        "break {limits}.",
        "Offer other places or other items, or take something off; `must_come_off` tells how much where loads are too "
        "high.",
        STATICS,
        (Severity.WARNING,),
        ("balance",),
    ),
    "shift_not_enough": Words(
        "A limit stays broken whatever is moved.",
        "{subject} ({kind}) stays {excess} beyond its limit, with the doubt of the load, by the nearest plan.",
        "Offer other places or other items, or take something off; `must_come_off` tells how much where loads are too "
        "high.",
        STATICS,
        (Severity.WARNING,),
        ("balance",),
    ),
    "shift_group_not_kept": Words(
        "Two items stay otherwise than they belong.",
        "{subject} and {other} stay together, or apart, against what you asked for: no plan that was found has it.",
        "Allow them other places, or leave the group out.",
        "Your own input",
        (Severity.NOTICE,),
        ("balance",),
    ),
    "shift_not_proven": Words(
        "Time ran out before it was proven that no plan is better.",
        "The search stopped at the goal `{goal}`: up to {gap} of what is left there may be avoidable.",
        "Ask again with a longer `time_limit`, fewer items, or fewer places for each.",
        SEARCH,
        (Severity.NOTICE,),
        ("balance",),
    ),
    "shift_sides_left": Words(
        "Side differences stay beyond what common practice looks at.",
        "With the plan the side differences of axles stay {beyond} beyond what common practice looks at, together.",
        "Offer heavier items or places farther from the centre line.",
        "Common practice, no published source",
        (Severity.NOTICE,),
        ("balance",),
    ),
    "shift_side_unknown": Words(
        "The side difference of an axle is not known, or its doubt is not, so that the plan does not even it out.",
        "The sides of {subject} are not known well enough: the plan does not even them out.",
        "Weigh each side of the axle.",
        STATICS,
        (Severity.NOTICE,),
        ("balance",),
    ),
    "shift_touches_unjudged": Words(
        "The plan changes loads whose limits cannot be judged.",
        "The plan changes what these limits count, and they cannot be judged: {limits}. None counts as kept.",
        "Weigh what they rest on, before or after the plan; `limits` tells why each is unknown.",
        STATICS,
        (Severity.NOTICE,),
        ("balance",),
    ),
}
