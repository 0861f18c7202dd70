"""What answers say in words: findings by code, what figures rest on, why something is not known, cautions."""

from msgspec import Struct

from axlewright.core.estimates import UnknownBecause
from axlewright.core.findings import Severity
from axlewright.core.inflation.capacity import Capacity, Ground
from axlewright.core.inflation.pressure import NoPressure

UNKNOWN: dict[UnknownBecause, str] = {
    UnknownBecause.NOT_WEIGHED: "No reading covers every wheel of it.",
    UnknownBecause.NOT_SEPARATED: "The readings give it only together with other wheels.",
    UnknownBecause.IMPOSSIBLE: "The readings contradict each other: they would leave a wheel lighter than nothing.",
    UnknownBecause.COUPLING_NOT_WEIGHED: "Part of a trailer rests on its coupling, and that was not weighed.",
    UnknownBecause.NO_CAPACITY: "Nothing supports a capacity at the pressure that the tire holds.",
}

NO_PRESSURE: dict[NoPressure, str] = {
    NoPressure.WHEEL_ENDS_UNKNOWN: "The load of each wheel end of the axle is needed, and not all are known.",
    NoPressure.BEYOND_TABLE: "The load is more than the tire carries at any pressure: lighten the wheel end.",
    NoPressure.ABOVE_CEILING: "The load needs more pressure than a tire or wheel of the axle may hold.",
    NoPressure.FLOOR_ABOVE_CEILING: "The label's pressure is more than a tire or wheel of the axle may hold.",
    NoPressure.NO_CONDITIONS: "`conditions.fill` was not given.",
    NoPressure.NO_FILL_SERVES: "No one filling holds enough when coldest and not too much elsewhere.",
}

CALLER = "Your own input"
COMMON_PRACTICE = "Common practice, no published source"

BASES: dict[str, str] = {
    "sidewall": f"{CALLER}: maximum load marked on the tire as fitted",
    "load_index": "Load index of the service description (ISO 4000-1, ISO 4209-1), below the marked maximum load",
    "passenger_derate": "49 CFR 571.110 and 571.120 S5.1.2: a passenger-car tire here counts as its rating over 1.10",
    "wheel_rating": f"{CALLER}: the wheel's maximum load",
    "wheel_end_rating": f"{CALLER}: the wheel end's rating by its maker",
    "tires_together": "49 CFR 571.110 and 571.120: the tires of an axle together carry its load",
    "axle_rating": f"{CALLER}: gross axle weight rating (GAWR) from the label",
    "vehicle_rating": f"{CALLER}: gross vehicle weight rating (GVWR) from the label, a limit of its own",
    "steering_share": f"{COMMON_PRACTICE}: the first axle of a motor vehicle keeps this share",
    "callers_table": f"{CALLER}: the tire maker's table",
    "published_row": "Published load/inflation row",
    "interpolated": "Between two rows of a load/inflation table, linear",
    "estimated": "Estimate from the tire's marked maximum; read the tire maker's table",
    "capacity_at_pressure": "Capacity at the pressure that the tire holds",
    "no_capacity": "No pressure by load",
}

LEGAL_FOR_TRADE = (
    "The sum of separate drafts is not a legal-for-trade weight (NIST Handbook 44, section 2.20, user requirements, "
    "from memory): these figures are for engineering, not for commerce."
)
DEFERENCE = (
    "These figures support judgement and do not replace it: the vehicle's label, the tire maker's load/inflation "
    "table, local codes and licensed practice come first."
)
STATE_OF_LOAD = (
    "The loads hold for the state in which the rig was weighed; people, cargo, water, fuel and a trailer change them."
)
COLD = (
    "Pressures are cold pressures: tires at outside temperature, parked for three hours or driven less than a mile. "
    "Never let air out of a tire that is hot from running."
)
NOT_JUDGED = "A load at rest on level ground says nothing of tires that are aged, damaged, mismatched or run too fast."

CAUTIONS = (DEFERENCE, STATE_OF_LOAD, COLD, NOT_JUDGED)
SESSION_CAUTIONS = (LEGAL_FOR_TRADE,)


class Words(Struct, frozen=True):
    """A finding's meaning, its text with places for facts, what to do, what it rests on, how grave it can be."""

    meaning: str
    message: str
    action: str
    basis: str
    severities: tuple[Severity, ...]


WEIGH_AGAIN = "Weigh again, or compare the entries with the ticket, before anything rests on these loads."

FINDINGS: dict[str, Words] = {
    "cross_check_failed": Words(
        "Readings of a session disagree by more than the scale allows.",
        "The readings over {subject} disagree by more than the scale allows (chance {probability} if all were good). "
        "Likeliest to be wrong: {suspects}.",
        WEIGH_AGAIN,
        "Global test against chi-squared, and Baarda's test of each reading (1968)",
        (Severity.CRITICAL,),
    ),
    "readings_impossible": Words(
        "Readings would leave a wheel end lighter than nothing.",
        "The readings over {subject} contradict each other: they would leave a wheel lighter than nothing.",
        WEIGH_AGAIN,
        "Statics",
        (Severity.CRITICAL,),
    ),
    "readings_unchecked": Words(
        "No reading of the session checks another.",
        "No reading of this session checks another: a misread ticket would not show.",
        "Add a pass that covers the same wheels in another way, such as whole axles.",
        "Redundancy of the readings",
        (Severity.NOTICE,),
    ),
    "reading_off_division": Words(
        "A reading is not a multiple of the scale's division.",
        "{subject} reads {reading}, which is not a multiple of the division {division}.",
        "Compare the entry and the division with the ticket.",
        "A scale shows multiples of its division",
        (Severity.WARNING,),
    ),
    "state_of_load_unknown": Words(
        "The session does not say what was aboard.",
        "The session does not say who and what was aboard: the loads hold for an unknown state.",
        "Send `session.carried`: people, cargo, and the level of each tank.",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
    ),
    "wheel_ends_unknown": Words(
        "The wheel ends of an axle are not known one by one.",
        "The loads of the wheel ends of {subject} are not known one by one. Known sums over them: {known}.",
        "Weigh one side of this axle by itself: the wheels of one side on the platform, the others beside it; "
        "or put a pad under each wheel.",
        "Null space of the readings",
        (Severity.WARNING,),
    ),
    "uncertainty_not_stated": Words(
        "A load came without its standard uncertainty.",
        "A load on {subject} came without its standard uncertainty: how sure its limits and pressure are is unknown.",
        "Send `standard_uncertainty` with each load; 0 only if it is exact.",
        CALLER,
        (Severity.NOTICE,),
    ),
    "limit_over": Words(
        "A most is surely exceeded.",
        "{subject} carries {value}, {difference} over its {kind} limit of {limit}.",
        "Do not drive like this. Take load off (moving it helps wheel ends and axles only), and weigh again.",
        "The limit's own basis; JCGM 106:2012",
        (Severity.CRITICAL,),
    ),
    "limit_short": Words(
        "A least is surely not reached.",
        "{subject} has {value}, {difference} short of the least for its {kind}, {limit}.",
        "Do not drive like this. Move load forward, and weigh again.",
        "The limit's own basis; JCGM 106:2012",
        (Severity.CRITICAL,),
    ),
    "limit_probably_broken": Words(
        "A limit lies within the doubt and is probably broken.",
        "{subject} is probably over its {kind} limit: {value} against {limit}, probability {probability}.",
        "Treat it as over: take load off or move it, and weigh again.",
        "The limit's own basis; JCGM 106:2012",
        (Severity.CRITICAL,),
    ),
    "limit_unsettled": Words(
        "A limit lies within the doubt of the load, or its cross-check failed.",
        "{subject} has {value} against its {kind} limit of {limit}: the readings cannot settle it (probability of "
        "breaking it: {probability}).",
        "Weigh again, more finely, or take load off until it is settled.",
        "The limit's own basis; JCGM 106:2012",
        (Severity.WARNING,),
    ),
    "limit_tight": Words(
        "A limit is kept with little left.",
        "{subject} has {value} against its {kind} limit of {limit}: kept, with little left.",
        "Add nothing here without weighing again.",
        "Share of the limit left, judgement",
        (Severity.NOTICE,),
    ),
    "axles_alone_over": Words(
        "A trailer's axles alone carry more than its rating.",
        "The axles of {subject} alone carry {value}, over its rating of {limit}, whatever its coupling carries.",
        "Do not tow it like this. Take load off, and weigh again.",
        "Gross vehicle weight rating from the label",
        (Severity.CRITICAL,),
    ),
    "limit_unknown": Words(
        "A limit could not be judged.",
        "The {kind} limit of {subject} could not be judged ({because}).",
        "Do not take it as kept: send or weigh what is missing.",
        "The limit's own basis",
        (Severity.WARNING,),
    ),
    "designation_not_read": Words(
        "A tire's designation could not be read.",
        "The designation “{designation}” on {subject} could not be read: no table and no estimate can be found for it.",
        "Send the size as marked on the sidewall, or the tire maker's table.",
        "Usual grammars of tire designations",
        (Severity.NOTICE,),
    ),
    "passenger_tire_derated": Words(
        "A passenger-car tire counts as less on this vehicle.",
        "“{designation}” on {subject} reads as a passenger-car tire: its rating is divided by 1.10 on this vehicle.",
        "Check that the tire is meant for this vehicle.",
        "49 CFR 571.110 and 571.120 S5.1.2",
        (Severity.NOTICE,),
    ),
    "load_index_governs": Words(
        "A tire's load index gives less than its marked load.",
        "The load index in “{designation}” on {subject} gives less than the maximum load that was entered; it governs.",
        "Compare the entry with the sidewall.",
        "ISO 4000-1, ISO 4209-1",
        (Severity.NOTICE,),
    ),
    "side_difference_look": Words(
        "An axle's side difference calls for a look.",
        "{subject} carries {difference} more on its {heavy_side} side.",
        "Look into the bays on the {heavy_side}: what could move to the {light_side}?",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
    ),
    "side_difference_act": Words(
        "An axle's side difference calls for action.",
        "{subject} carries {difference} more on its {heavy_side} side.",
        "Move load from the {heavy_side} to the {light_side}, and weigh again.",
        COMMON_PRACTICE,
        (Severity.WARNING,),
    ),
    "pressure_beyond_table": Words(
        "No pressure lets the tire carry its load.",
        "A tire of {subject} must be able to carry {load}, more than it may at any pressure.",
        "Do not drive like this. Take load off the heavy wheel end, or fit tires that may carry it.",
        "The tire's marked maximum and its table",
        (Severity.CRITICAL,),
    ),
    "pressure_above_ceiling": Words(
        "The load needs more pressure than tire or wheel may hold.",
        "{subject} needs, for {load} on a tire, more than the {ceiling} that its tires and wheels may hold.",
        "Do not drive like this. Take load off, or fit wheels and tires that may hold the pressure.",
        "Maxima of sidewall and wheel",
        (Severity.CRITICAL,),
    ),
    "pressure_floor_above_ceiling": Words(
        "The label's pressure is more than tire or wheel may hold.",
        "The pressure that {subject} must hold by its label is above the {ceiling} that its tires and wheels may hold.",
        "Compare label, tires and wheels: they do not belong together.",
        "Label; maxima of sidewall and wheel",
        (Severity.WARNING,),
    ),
    "pressure_provisional": Words(
        "A pressure rests on doubtful loads.",
        "The pressure of {subject} is provisional: its loads failed their cross-check, or came without doubt.",
        "Weigh again, then ask again.",
        "Highest of all solutions without one reading",
        (Severity.WARNING,),
    ),
    "pressure_above_maximum": Words(
        "A tire holds more than it may.",
        "{subject} holds {present}, more than the {ceiling} that its tire and wheel may hold cold.",
        "If the tires are cold, let air out down to the cold pressure; if not, check again when they are.",
        "Maxima of sidewall and wheel",
        (Severity.CRITICAL,),
    ),
    "pressure_too_low": Words(
        "A tire holds less than its load needs.",
        "{subject} holds {present}; its axle needs {cold} cold.",
        "Inflate before driving.",
        "Least cold pressure for the load",
        (Severity.CRITICAL,),
    ),
    "special_trailer_pressure_kept": Words(
        "Special-trailer tires keep their pressure at any load.",
        "{subject} is on special-trailer tires: they keep the label's or sidewall's pressure. By load alone the least "
        "would be {least}; that is information.",
        "Do not lower it by load.",
        COMMON_PRACTICE,
        (Severity.INFO,),
    ),
    "pressure_estimated": Words(
        "A pressure is an estimate.",
        "No published row was found for the tires of {subject}: {cold} is an estimate from the sidewall's maximum.",
        "Read the tire maker's load/inflation table, and send it as `tire_tables`.",
        "0.97 of the law of the tire's family",
        (Severity.WARNING,),
    ),
    "pressure_at_sidewall": Words(
        "Only the sidewall's own maximum supports a pressure.",
        "Nothing but the sidewall supports a pressure for the load on {subject}: {cold} is its maximum.",
        "Read the tire maker's load/inflation table, and send it as `tire_tables`.",
        "Maximum load and pressure marked on the tire",
        (Severity.NOTICE,),
    ),
    "single_rows_only": Words(
        "Only single rows of a table are published; the next one up was taken.",
        "Of the table for the tires of {subject} only single rows are built in; the next one up, {row}, was taken. An "
        "estimate would be {estimate}.",
        "Read the tire maker's load/inflation table, and send it as `tire_tables`.",
        "Published rows",
        (Severity.INFO,),
    ),
    "wheel_maximum_unknown": Words(
        "The wheels' maximum pressure was not given.",
        "The wheels' maximum pressure on {subject} was not given: the ceiling of {ceiling} is the sidewall's alone.",
        "Read it on the wheel or ask its maker, and send `wheel.max_pressure`.",
        CALLER,
        (Severity.NOTICE,),
    ),
    "label_pressure_missing": Words(
        "The label's pressure, a floor here, was not given.",
        "The label's pressure for {subject} was not given; for this vehicle it is a floor.",
        "Read it on the vehicle's label, send `label_pressures`, and do not go below it.",
        "49 CFR 571.110",
        (Severity.WARNING,),
    ),
    "label_pressure_differs": Words(
        "The label's pressure beside the recommended one.",
        "The label says {label} for {subject}, for full axle ratings; the recommended {cold} is {difference} "
        "{direction} it.",
        "Where in doubt, keep to the label.",
        "49 CFR 571.120; common practice",
        (Severity.NOTICE, Severity.INFO),
    ),
    "no_fill_serves": Words(
        "No one filling serves everywhere.",
        "No one filling of {subject} holds enough at the coldest soak and stays below {ceiling} everywhere.",
        "Fill to the cold pressure here, and correct it cold at the coldest place before driving off.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.WARNING,),
    ),
    "top_up_when_coldest": Words(
        "The filling holds the least pressure when coldest, but not the recommended one.",
        "Filled now, {subject} will hold its least pressure at the coldest soak, but not {cold}.",
        "Correct it cold at the coldest place before driving off.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.NOTICE,),
    ),
    "coldest_not_given": Words(
        "The coldest soak was not given.",
        "The setting for {subject} holds here; the coldest soak of the trip was not given.",
        "Send `conditions.coldest`, or check again cold where it is colder.",
        CALLER,
        (Severity.NOTICE,),
    ),
    "declared_not_judged": Words(
        "Parts of the request were checked and kept, but no figure rests on them yet.",
        "Checked and kept, but no figure of this answer rests on it: {names}.",
        "Do not take limits that belong to them as kept.",
        CALLER,
        (Severity.INFO,),
    ),
}


def capacity_basis(capacity: Capacity) -> str:
    """Return in words what a capacity rests on, with its publication."""
    basis = (
        "Maximum load and pressure marked on the tire" if capacity.ground is Ground.SIDEWALL else BASES[capacity.ground]
    )
    if capacity.publication is None:
        return basis
    return f"{basis}: {capacity.publication.title}, {capacity.publication.edition}"
