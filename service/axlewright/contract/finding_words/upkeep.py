"""A walk round the rig."""

from axlewright.contract.finding_words.words import Words
from axlewright.contract.words import CALLER, COMMON_PRACTICE
from axlewright.core.findings import Severity

FINDINGS: dict[str, Words] = {
    "height_does_not_pass": Words(
        "The rig is as high as a height that it is meant to pass, or higher.",
        "The rig is {value} high and leaves nothing under {name} of {limit}: to pass, it would have to be more than "
        "{difference} lower.",
        "Take another way, or lower what stands highest and measure again.",
        CALLER,
        (Severity.CRITICAL,),
        ("upkeep",),
    ),
    "height_passes_tightly": Words(
        "The clearance left under a height is less than wanted.",
        "The rig, {value} high, has {difference} left under {name} of {limit}: less than the {least} wanted.",
        "Measure again as loaded, with the suspension at travel height; pass at walking pace with someone watching, or "
        "take another way.",
        f"{CALLER}; the clearance wanted is judgement",
        (Severity.WARNING,),
        ("upkeep",),
    ),
    "height_passes": Words(
        "The rig passes a height with the clearance wanted.",
        "The rig, {value} high, passes {name} of {limit} with {difference} left.",
        "Measure again when something is added on the roof.",
        f"{CALLER}; the clearance wanted is judgement",
        (Severity.INFO,),
        ("upkeep",),
    ),
    "height_not_measured": Words(
        "Heights to pass were given, and the rig's own was not.",
        "The rig's overall height was not given: nothing can be said of {name}.",
        "Measure the highest point as loaded, and send it.",
        CALLER,
        (Severity.WARNING,),
        ("upkeep",),
    ),
    "above_legal_height": Words(
        "The rig is higher than a usual legal limit.",
        "The rig is {value} high, {difference} above the limit of {limit} ({name}).",
        "Where that limit holds, do not drive without a permit; look up the law of the way.",
        "Directive 96/53/EC, annex I, for the European Union; state law in the United States, from memory",
        (Severity.NOTICE,),
        ("upkeep",),
    ),
    "within_legal_height": Words(
        "The rig keeps a usual legal limit of height.",
        "The rig is {value} high and keeps the limit of {limit} with {difference} to spare ({name}).",
        "Signs along the way and local law come first.",
        "Directive 96/53/EC, annex I, for the European Union; state law in the United States, from memory",
        (Severity.INFO,),
        ("upkeep",),
    ),
    "tread_below_least": Words(
        "A tire's tread is shallower than the least depth of the yardstick.",
        "The tread of {subject} is {value} deep at its least, below {limit}.",
        "Replace the tire before a trip. The yardstick binds commercial vehicles; others do well to keep it, and local "
        "law may ask for more or less.",
        "49 CFR 393.75(b), (c), 4/32 in on the front wheels of a motor vehicle, 2/32 in elsewhere: it binds commercial "
        "vehicles, and is a yardstick for others",
        (Severity.CRITICAL,),
        ("upkeep",),
    ),
    "tread_near_least": Words(
        "A tire's tread is little deeper than the least depth of the yardstick.",
        "The tread of {subject} is {value} deep at its least; the least allowed is {limit}.",
        "Plan its replacement, and measure again before a long trip.",
        "49 CFR 393.75(b), (c), 4/32 in on the front wheels of a motor vehicle, 2/32 in elsewhere: it binds commercial "
        "vehicles, and is a yardstick for others; the margin is judgement",
        (Severity.NOTICE,),
        ("upkeep",),
    ),
    "tire_unfit": Words(
        "A tire is damaged so that it is not driven on.",
        "{subject} is not fit to drive on: {damage}.",
        "Do not drive on it. Have it replaced where it stands.",
        "49 CFR 393.75(a): it binds commercial vehicles, and is a yardstick for others; a bulge as the sign of a "
        "separation is common practice",
        (Severity.CRITICAL,),
        ("upkeep",),
    ),
    "tire_damaged": Words(
        "A tire has damage that wants looking at.",
        "{subject} shows damage: {damage}.",
        "Have a tire dealer look at it before a trip; uneven wear comes from pressure, load or alignment.",
        COMMON_PRACTICE,
        (Severity.WARNING, Severity.NOTICE),
        ("upkeep",),
    ),
    "tire_past_age": Words(
        "A tire has reached the age at which it is replaced whatever it looks like.",
        "{subject}, dated to the week of {made_on}, is {years} years old: it has reached the age of replacement.",
        "Replace it. If its maker or the vehicle's names another age, the earlier counts.",
        f"{COMMON_PRACTICE}; makers' published advice names six to ten years",
        (Severity.WARNING,),
        ("upkeep",),
    ),
    "tire_ages": Words(
        "A tire has reached the age from which it is inspected every year.",
        "{subject}, dated to the week of {made_on}, is {years} years old: have it inspected every year.",
        "Have it inspected inside and out by a tire dealer, at least yearly; some vehicle makers replace at six years.",
        f"{COMMON_PRACTICE}; makers' published advice",
        (Severity.NOTICE,),
        ("upkeep",),
    ),
    "tire_age_open": Words(
        "The decade in which a tire was made is not marked: its age is known as a span only.",
        "{subject} was made from {first} to {last}, for the year of its number has one digit: it is {least} to {most} "
        "years old.",
        "Replace it, unless papers show that it has not reached the age of replacement.",
        "49 CFR 574.5, one digit for the year until July 2000 (from memory); the age of replacement is common practice",
        (Severity.WARNING, Severity.NOTICE),
        ("upkeep",),
    ),
    "tire_date_of_retreading": Words(
        "A tire is retreaded: its number dates the retreading.",
        "{subject} is retreaded: its number dates the retreading, and its casing is older.",
        "Ask the retreader for the age of the casing; until then take no age here for that of the tire.",
        "49 CFR 574.5(a)(2): the number that a retreader marks",
        (Severity.NOTICE,),
        ("upkeep",),
    ),
    "tire_date_ambiguous": Words(
        "A tire's number can be read in more than one way, and so its age.",
        "The number of {subject} can be read in more than one way: its date is not sure, nor whether it is that of the "
        "casing. Its `doubts` among `ages` say how.",
        "Look at the gaps in the number, and at the other side of the tire; send the number with its gaps.",
        "49 CFR 574.5 and its former versions; the former layout from memory",
        (Severity.NOTICE,),
        ("upkeep",),
    ),
    "tire_date_on_other_side": Words(
        "The number read of a tire has no date: that is on its other side.",
        "The number of {subject} has no date: nothing is said of its age.",
        "Read the full number, with the date, on the other side of the tire.",
        "49 CFR 571.139 S5.5.1, full number on one side, full or partial on the other (from memory)",
        (Severity.INFO,),
        ("upkeep",),
    ),
    "valve_stem_unsound": Words(
        "A valve stem is cracked, loose or leaking.",
        "The valve stem of {subject} is {stem}.",
        "Have it replaced; do not drive on a tire that loses air.",
        "49 CFR 393.75(a)(3) for an audible leak; common practice",
        (Severity.CRITICAL, Severity.WARNING),
        ("upkeep",),
    ),
    "valve_cap_missing": Words(
        "A valve has no cap.",
        "The valve of {subject} has no cap.",
        "Fit a sealing cap: it keeps dirt out and is the second seal.",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
        ("upkeep",),
    ),
    "mates_differ_in_designation": Words(
        "The two tires of a dual are of different designations.",
        "The tires of {subject} are {inner} inside and {outer} outside: the larger one carries more than its share.",
        "Fit two alike in size, construction and load range.",
        COMMON_PRACTICE,
        (Severity.WARNING,),
        ("upkeep",),
    ),
    "mates_differ_in_tread": Words(
        "The treads of the two tires of a dual differ too much.",
        "The treads of {subject} are {inner} inside and {outer} outside: {difference} apart, more than {most}.",
        "Match them with tires worn alike: the deeper one carries more than its share.",
        COMMON_PRACTICE,
        (Severity.WARNING,),
        ("upkeep",),
    ),
    "mates_differ_in_diameter": Words(
        "The diameters of the two tires of a dual differ too much.",
        "The tires of {subject} measure {inner} inside and {outer} outside: {difference} apart, more than {most}.",
        "Match them: the larger one carries more than its share and drags the other.",
        COMMON_PRACTICE,
        (Severity.WARNING,),
        ("upkeep",),
    ),
    "mates_differ_in_pressure": Words(
        "The pressures of the two tires of a dual differ too much.",
        "The tires of {subject} hold {inner} inside and {outer} outside: {difference} apart, more than {most}.",
        "Look for a leak in the softer one, then set both alike, cold. One that holds a fifth less than its mate is "
        "taken for run flat: have it looked at inside before driving on.",
        COMMON_PRACTICE,
        (Severity.CRITICAL, Severity.WARNING),
        ("upkeep",),
    ),
    "mates_not_compared": Words(
        "Something was noted of one tire of a dual only.",
        "The tires of {subject} were not compared: of one of them nobody noted {what}.",
        "Note both, the inner one too.",
        CALLER,
        (Severity.NOTICE,),
        ("upkeep",),
    ),
    "not_noted": Words(
        "Something that a walk round looks at was not noted.",
        "Nobody noted the {what} of {tires}: nothing is said of it.",
        "Look, and note it.",
        CALLER,
        (Severity.INFO,),
        ("upkeep",),
    ),
}
