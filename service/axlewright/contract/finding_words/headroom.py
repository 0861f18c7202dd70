"""What headroom and relief give to know."""

from axlewright.contract.finding_words.words import Words
from axlewright.core.findings import Severity

STATICS = "Equilibrium of forces and moments; limits at k standard uncertainties"

FINDINGS: dict[str, Words] = {
    "air_limits_headroom": Words(
        "The pressure that a tire holds, not what it could hold, leaves no more room.",
        "What {subject} carries at its present pressure limits the headroom.",
        "Inflate to the pressure recommended for the load. Ask again with that `pressure`, or without any, for the "
        "headroom then.",
        "The tire's capacity at the pressure given",
        (Severity.NOTICE,),
        ("loads",),
    ),
    "mended_by_adding": Words(
        "A mass in a place would mend a limit that is broken now.",
        "From {least} to {most} added at {subject} every limit that can be judged is kept; now one is not.",
        "Rather move load there than add to it, and weigh again.",
        STATICS,
        (Severity.NOTICE,),
        ("loads",),
    ),
    "capacity_counts_whole": Words(
        "Nobody declared what is in a place, so that its whole capacity counts as free.",
        "What is at {subject} already was not declared: its whole capacity counts as free.",
        "Take what is there off the headroom, or declare it as `carried`.",
        "Your own input",
        (Severity.NOTICE,),
        ("loads",),
    ),
    "cargo_place_unknown": Words(
        "Declared cargo is in a place that the rig does not have.",
        "Cargo was declared at {subject}, which is no place of the rig, or of more than one: it does not count as "
        "something that may come off.",
        "Add the place to the rig, or send `removable` with a point.",
        "Your own input",
        (Severity.NOTICE,),
        ("loads",),
    ),
    "relief_not_enough": Words(
        "Whatever may come off, a limit stays broken.",
        "Nothing that may come off clears {subject} ({kind}): {excess} beyond it is left, with the doubt of the load.",
        "Offer more that may come off, or move load: what is too light is not mended by taking off.",
        STATICS,
        (Severity.WARNING,),
        ("loads",),
    ),
    "relief_of_known_limits": Words(
        "What has to come off clears only limits that can be judged.",
        "{count} limits cannot be judged: what has to come off may not be enough for them.",
        "Weigh what they rest on; `limits` tells why each is unknown.",
        STATICS,
        (Severity.NOTICE,),
        ("loads",),
    ),
}
