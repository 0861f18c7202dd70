"""What the worst states of a trip give to know."""

from msgspec import structs

from axlewright.contract.finding_words import loads
from axlewright.contract.finding_words.words import Words
from axlewright.core.findings import Severity

LIMIT = "The limit's own basis; JCGM 106:2012; the worst of all states"
STATICS = "Equilibrium of forces and moments; the worst of all states"

FINDINGS: dict[str, Words] = {
    "limit_over_on_trip": Words(
        "A state of the trip surely exceeds a most.",
        "With {state}, {subject} carries {value}, {difference} over the limit of {limit} ({kind}).",
        "Do not drive in that state. {remedy}, or keep out of the state, and ask again.",
        LIMIT,
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "limit_short_on_trip": Words(
        "A state of the trip surely does not reach a least.",
        "With {state}, {subject} has {value}, {difference} short of the least of {limit} ({kind}).",
        "Do not drive in that state. {remedy}, or keep out of the state, and ask again.",
        LIMIT,
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "limit_probably_over_on_trip": Words(
        "In a state of the trip a most lies within the doubt and is probably exceeded.",
        "With {state}, {subject} is probably over the limit of {limit} ({kind}): it carries {value}, probability "
        "{probability}.",
        "Treat it as over: do not drive in that state.",
        LIMIT,
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "limit_probably_short_on_trip": Words(
        "In a state of the trip a least lies within the doubt and is probably not reached.",
        "With {state}, {subject} is probably short of the least of {limit} ({kind}): it has {value}, probability "
        "{probability}.",
        "Treat it as short: do not drive in that state.",
        LIMIT,
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "limit_unsettled_on_trip": Words(
        "In a state of the trip a limit lies within the doubt of the load, or its cross-check failed.",
        "With {state}, {subject} has {value} against the limit of {limit} ({kind}): that cannot be settled "
        "(probability of breaking it: {probability}).",
        "Weigh in that state, or keep out of it.",
        LIMIT,
        (Severity.WARNING,),
        ("loads",),
    ),
    "limit_tight_on_trip": Words(
        "A limit is kept in every state of the trip, with little left.",
        "With {state}, {subject} has {value} against the limit of {limit} ({kind}): kept, with little left.",
        "Add nothing here that was not told without asking again.",
        "Share of the limit left, judgement",
        (Severity.NOTICE,),
        ("loads",),
    ),
    "axles_alone_over_on_trip": Words(
        "In a state of the trip a trailer's axles alone carry more than its rating.",
        "With {state}, the axles of {subject} alone carry {value}, over its rating of {limit}, whatever its coupling "
        "carries.",
        "Do not tow it in that state.",
        STATICS,
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "axles_alone_unsettled_on_trip": Words(
        "In a state of the trip a trailer's axles alone may carry more than its rating.",
        "With {state}, the axles of {subject} alone carry {value}, within the doubt of its rating of {limit}; its "
        "coupling adds to it.",
        "Treat it as over: do not tow it in that state.",
        STATICS,
        (Severity.WARNING,),
        ("loads",),
    ),
    "would_lift_on_trip": Words(
        "In a state of the trip a wheel end or coupling would carry less than nothing.",
        "With {state}, {subject} would carry {load}: it would lift, and what is told of the other loads in that state "
        "does not hold either.",
        "Do not load it like this.",
        STATICS,
        (Severity.CRITICAL,),
        ("loads",),
    ),
    **{
        f"{code}_on_trip": structs.replace(
            loads.FINDINGS[code],
            meaning=f"In a state of the trip: {loads.FINDINGS[code].meaning}",
            message=f"With {{state}}, {loads.FINDINGS[code].message}",
        )
        for code in ("may_lift", "coupling_would_pull_up")
    },
    "no_pressure_on_trip": Words(
        "No pressure that tires and wheels may hold serves a state of the trip.",
        "With {state}, a tire of {subject} carries up to {load}, and no known pressure up to the {ceiling} that its "
        "tires and wheels may hold serves that.",
        "Keep out of that state, or fit tires and wheels that serve it; where only rows are missing, send the tire "
        "maker's table as `tire_tables`.",
        "Maxima of sidewall and wheel; the tire's table; the worst of all states",
        (Severity.CRITICAL, Severity.WARNING),
        ("inflation",),
    ),
    "pressure_too_low_on_trip": Words(
        "A tire holds less than the load in a state of the trip needs.",
        "{subject} holds {present}; with {state}, the load on its axle needs {at_least}{needed} cold.",
        "Inflate to the cold pressure told here before the trip.",
        "Least cold pressure for the load; the worst of all states",
        (Severity.CRITICAL,),
        ("inflation",),
    ),
}
