"""How loads, and a stated speed, stand to limits."""

from axlewright.contract.finding_words.words import TIRE_ROOMS, Words
from axlewright.core.findings import Severity

FINDINGS: dict[str, Words] = {
    "limit_over": Words(
        "A most is surely exceeded.",
        "{subject} carries {value}, {difference} over the limit of {limit} ({kind}).",
        "Do not drive like this. Take load off (moving it helps wheel ends and axles only), and weigh again.",
        "The limit's own basis; JCGM 106:2012",
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "limit_short": Words(
        "A least is surely not reached.",
        "{subject} has {value}, {difference} short of the least of {limit} ({kind}).",
        "Do not drive like this. Move load forward, and weigh again.",
        "The limit's own basis; JCGM 106:2012",
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "limit_probably_over": Words(
        "A most lies within the doubt and is probably exceeded.",
        "{subject} is probably over the limit of {limit} ({kind}): it carries {value}, probability {probability}.",
        "Treat it as over: take load off (moving it helps wheel ends and axles only), and weigh again.",
        "The limit's own basis; JCGM 106:2012",
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "limit_probably_short": Words(
        "A least lies within the doubt and is probably not reached.",
        "{subject} is probably short of the least of {limit} ({kind}): it has {value}, probability {probability}.",
        "Treat it as short: move load forward, and weigh again.",
        "The limit's own basis; JCGM 106:2012",
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "limit_unsettled": Words(
        "A limit lies within the doubt of the load, or its cross-check failed.",
        "{subject} has {value} against the limit of {limit} ({kind}): the readings cannot settle it (probability of "
        "breaking it: {probability}).",
        "Weigh again, more finely, or take load off until it is settled.",
        "The limit's own basis; JCGM 106:2012",
        (Severity.WARNING,),
        ("loads",),
    ),
    "speed_over": Words(
        "The rig is driven faster than its tires are made for.",
        "{subject} is driven at up to {value}; its tires are made for {limit}.",
        "Drive slower, or fit tires for the speed; more pressure or less load gives no leave to drive faster here.",
        "Speed symbol; UN Regulations No. 30 and No. 54",
        (Severity.CRITICAL,),
        TIRE_ROOMS,
    ),
    "special_trailer_speed_over": Words(
        "The rig is driven faster than special-trailer tires without a speed symbol are made for.",
        "{subject} is driven at up to {value}; its special-trailer tires without a speed symbol are made for {limit}.",
        "Drive slower, or fit tires with a speed symbol for the speed.",
        "Tire and Rim Association, special-trailer tires, as tire makers quote it",
        (Severity.CRITICAL,),
        TIRE_ROOMS,
    ),
    "limit_tight": Words(
        "A limit is kept with little left.",
        "{subject} has {value} against the limit of {limit} ({kind}): kept, with little left.",
        "Add nothing here without weighing again.",
        "Share of the limit left, judgement",
        (Severity.NOTICE,),
        ("loads",),
    ),
    "axles_alone_over": Words(
        "A trailer's axles alone carry more than its rating.",
        "The axles of {subject} alone carry {value}, over its rating of {limit}, whatever its coupling carries.",
        "Do not tow it like this. Take load off, and weigh again.",
        "Gross vehicle weight rating from the label",
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "axles_alone_unsettled": Words(
        "A trailer's axles alone may carry more than its rating.",
        "The axles of {subject} alone carry {value}, within the doubt of its rating of {limit}; its coupling adds to "
        "it.",
        "Treat it as over: take load off, and weigh again.",
        "Gross vehicle weight rating from the label",
        (Severity.WARNING,),
        ("loads",),
    ),
    "limit_unknown": Words(
        "A limit could not be judged.",
        "The limit of {subject} ({kind}) could not be judged. {because}",
        "Do not take it as kept.",
        "The limit's own basis",
        (Severity.WARNING,),
        ("loads",),
    ),
    "would_lift": Words(
        "A wheel end or coupling would carry less than nothing.",
        "{subject} would carry {load}: it would lift, and what is told of the other loads does not hold either.",
        "Do not load it like this.",
        "Equilibrium of forces and moments",
        (Severity.CRITICAL,),
        ("loads",),
    ),
}
