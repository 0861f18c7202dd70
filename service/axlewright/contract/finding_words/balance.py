"""Where the load sits."""

from axlewright.contract.finding_words.words import Words
from axlewright.contract.words import COMMON_PRACTICE
from axlewright.core.findings import Severity

FINDINGS: dict[str, Words] = {
    "side_difference_look": Words(
        "An axle's side difference calls for a look.",
        "{subject} carries {difference} more on its {heavy_side} side.",
        "Look into the bays on the {heavy_side}: what could move to the {light_side}?",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
        ("balance",),
    ),
    "side_difference_act": Words(
        "An axle's side difference calls for action.",
        "{subject} carries {difference} more on its {heavy_side} side.",
        "Move load from the {heavy_side} to the {light_side}, and weigh again.",
        COMMON_PRACTICE,
        (Severity.WARNING,),
        ("balance",),
    ),
}
