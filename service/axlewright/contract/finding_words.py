"""Findings in words, by code: the one table of what they mean, say, advise and rest on."""

from typing import Literal, TypeAlias

from msgspec import Struct

from axlewright.contract.words import CALLER, COMMON_PRACTICE
from axlewright.core.findings import Severity

Room: TypeAlias = Literal["sessions", "loads", "balance", "inflation"]

EVERY_ROOM: tuple[Room, ...] = ("sessions", "loads", "balance", "inflation")
TIRE_ROOMS: tuple[Room, ...] = ("loads", "inflation")


class Words(Struct, frozen=True):
    """A finding's meaning, its text with places for facts, what to do, what it rests on, how grave it can be.

    ``rooms`` tell it; a critical one every room tells.
    """

    meaning: str
    message: str
    action: str
    basis: str
    severities: tuple[Severity, ...]
    rooms: tuple[Room, ...]


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
    "designation_not_read": Words(
        "A tire's designation could not be read.",
        "The designation “{designation}” on {subject} could not be read: no table and no estimate can be found for it.",
        "Send the size as marked on the sidewall, or the tire maker's table.",
        "Usual grammars of tire designations",
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "dash_read_as_bias": Words(
        "A dash in a designation was read as bias construction.",
        "The dash in “{designation}” on {subject} was read as bias construction; estimates take the more cautious "
        "radial law.",
        "Send the size with R if the tire is radial.",
        "Usual grammars of tire designations",
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "passenger_tire_derated": Words(
        "A passenger-car tire counts as less on this vehicle.",
        "“{designation}” on {subject} reads as a passenger-car tire: its rating is divided by 1.10 on this vehicle.",
        "Check that the tire is meant for this vehicle.",
        "49 CFR 571.110 and 571.120 S5.1.2",
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "load_index_governs": Words(
        "A tire's load index gives less than its marked load.",
        "The load index in “{designation}” on {subject} gives less than the maximum load that was entered; it governs.",
        "Compare the entry with the sidewall.",
        "ISO 4000-1, ISO 4209-1",
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
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
    "pressure_beyond_table": Words(
        "No pressure lets the tire carry its load.",
        "At its upper bound a tire of {subject} carries {load}, more than it may at any pressure.",
        "Do not drive like this. Take load off the heavy wheel end, or fit tires that may carry it.",
        "The tire's marked maximum and its table",
        (Severity.CRITICAL, Severity.WARNING),
        ("inflation",),
    ),
    "pressure_above_ceiling": Words(
        "The load needs more pressure than tire or wheel may hold.",
        "{subject} needs, for {load} on a tire, more than the {ceiling} that its tires and wheels may hold.",
        "Do not drive like this. Take load off, or fit wheels and tires that may hold the pressure.",
        "Maxima of sidewall and wheel",
        (Severity.CRITICAL, Severity.WARNING),
        ("inflation",),
    ),
    "pressure_no_row_below_ceiling": Words(
        "No known row serves the load below the ceiling.",
        "For {load} on a tire of {subject} no known row of a table lies below the {ceiling} that its tires and wheels "
        "may hold: what it needs is not known.",
        "Read the tire maker's load/inflation table, and send it as `tire_tables`.",
        "Maxima of sidewall and wheel; published rows",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "pressure_floor_above_ceiling": Words(
        "The label's pressure is more than tire or wheel may hold.",
        "The pressure that {subject} must hold by its label is above the {ceiling} that its tires and wheels may hold.",
        "Compare label, tires and wheels: they do not belong together.",
        "Label; maxima of sidewall and wheel",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "pressure_provisional": Words(
        "A pressure rests on doubtful loads.",
        "The pressure of {subject} is provisional: its loads failed their cross-check, or their uncertainty was not "
        "stated.",
        "Weigh again, then ask again.",
        "Highest of the solutions without one reading, where the cross-check failed",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "pressure_above_maximum": Words(
        "A tire holds more than it may.",
        "{subject} holds {present}, more than the {ceiling} that its tire and wheel may hold cold.",
        "If the tires are cold, let air out down to the cold pressure; if not, check again when they are.",
        "Maxima of sidewall and wheel",
        (Severity.CRITICAL,),
        ("inflation",),
    ),
    "pressure_too_low": Words(
        "A tire holds less than its load needs.",
        "{subject} holds {present}; the load on its axle needs {needed} cold.",
        "Inflate before driving.",
        "Least cold pressure for the load",
        (Severity.CRITICAL,),
        ("inflation",),
    ),
    "pressure_below_recommended": Words(
        "A tire holds enough for its load, but less than is recommended.",
        "{subject} holds {present}, less than the {recommended} recommended.",
        "Inflate to the recommended pressure, cold.",
        "Label, sidewall or habit, as the pressure's basis says",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "reserve_not_met": Words(
        "The reserve asked for cannot be had.",
        "The load on {subject} can be carried, but not with the reserve asked for: the pressure is the most there is.",
        "Take load off, or ask for less reserve.",
        CALLER,
        (Severity.WARNING,),
        ("inflation",),
    ),
    "special_trailer_pressure_kept": Words(
        "Special-trailer tires keep their pressure at any load.",
        "{subject} is on special-trailer tires: they keep {cold}, the label's or sidewall's pressure. By load alone "
        "the least would be {least}; that is information.",
        "Do not lower it by load.",
        COMMON_PRACTICE,
        (Severity.INFO,),
        ("inflation",),
    ),
    "special_trailer_speed": Words(
        "Special-trailer tires without a speed symbol are made for 65 mph (105 km/h).",
        "The tires of {subject} have no speed symbol: special-trailer tires are then made for 65 mph (105 km/h).",
        "Do not drive faster.",
        "Tire and Rim Association, special-trailer tires, as tire makers quote it",
        (Severity.INFO,),
        ("inflation",),
    ),
    "trailer_pressures_differ": Words(
        "The axles of a trailer cannot hold one pressure.",
        "No one pressure suits all special-trailer tires of {subject}: each axle keeps its own.",
        "Compare labels and tires; a trailer's tires should be alike.",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "camper_pressure_kept": Words(
        "Single CP tires on a motor caravan's rear axle keep their pressure at any load.",
        "{subject} is on single CP tires: they keep {cold}. By load alone the least would be {least}; that is "
        "information.",
        "Do not lower it by load; the tire maker's sheet comes first.",
        "Maker's sheet quoting the ETRTO Standards Manual, second hand",
        (Severity.INFO,),
        ("inflation",),
    ),
    "tires_differ": Words(
        "The tires of an axle differ.",
        "The tires left and right on {subject} differ in size, load range or rating.",
        "Fit tires of one kind on an axle.",
        COMMON_PRACTICE,
        (Severity.NOTICE,),
        TIRE_ROOMS,
    ),
    "table_no_such_tire": Words(
        "A table that was sent belongs to no tire of the rig.",
        "The table for {subject} was not used: no tire of the rig has that designation, fitment and load range.",
        "Compare designation, fitment and load range of table and tires.",
        CALLER,
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "table_contradicts_sidewall": Words(
        "A table that was sent contradicts the sidewall.",
        "The table for {subject} was not used: it reaches the marked load well below the marked pressure.",
        "Compare the table's units and size with the sidewall.",
        CALLER,
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "table_doubtful": Words(
        "A table that was sent does not look like one of its tire.",
        "The table sent for {subject} does not look like one of this tire: its loads jump between rows, are those of "
        "the other fitment, or end above the load marked on the sidewall.",
        "Compare the rows with the tire maker's table.",
        "Comparison with the sidewall; judgement",
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "table_below_sidewall": Words(
        "A table that was sent ends below the sidewall's load at its pressure.",
        "The table for {subject} gives less than the sidewall at the marked pressure; the lower counts.",
        "Compare the table with the sidewall.",
        CALLER,
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "pressure_estimated": Words(
        "A pressure is an estimate.",
        "No published row supports {cold} for the tires of {subject}: it is an estimate from the sidewall's maximum.",
        "Read the tire maker's load/inflation table, and send it as `tire_tables`.",
        "0.97 of the law of the tire's family",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "pressure_at_sidewall": Words(
        "Only the sidewall's own maximum supports a pressure.",
        "Nothing but the sidewall supports a pressure for the load on {subject}: {cold} is its maximum.",
        "Read the tire maker's load/inflation table, and send it as `tire_tables`.",
        "Maximum load and pressure marked on the tire",
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "single_rows_only": Words(
        "Only single rows of a table are published; the next one up was taken.",
        "Of the table for the tires of {subject} only single rows are built in; the next one up, {row}, was taken. An "
        "estimate would be {estimate}.",
        "Read the tire maker's load/inflation table, and send it as `tire_tables`.",
        "Published rows",
        (Severity.INFO,),
        ("inflation",),
    ),
    "wheel_maximum_unknown": Words(
        "The wheels' maximum pressure was not given.",
        "A wheel's maximum pressure on {subject} was not given: the ceiling of {ceiling} leaves it out.",
        "Read it on the wheel or ask its maker, and send `wheel.max_pressure`.",
        CALLER,
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "label_pressure_missing": Words(
        "The label's pressure, a floor here, was not given.",
        "The label's pressure for {subject} was not given; for this vehicle it is a floor.",
        "Read it on the vehicle's label, send `label_pressures`, and do not go below it.",
        "49 CFR 571.110, 571.120",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "label_below_need": Words(
        "The label's pressure does not carry the load.",
        "The label says {label} for {subject}; the load needs {needed}.",
        "Hold the recommended pressure, or take load off: the label does not cover this load.",
        "Least cold pressure for the load",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "label_above_recommended": Words(
        "The load needs less than the label's pressure.",
        "The label says {label} for {subject}; for this load {cold} is enough, {difference} below it.",
        "Where in doubt, keep to the label.",
        "49 CFR 571.120; common practice",
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "label_above_ceiling": Words(
        "The label's pressure is more than tire or wheel may hold.",
        "The label says {label} for {subject}; its tires and wheels may hold {ceiling}.",
        "Compare label, tires and wheels: they do not belong together.",
        "Label; maxima of sidewall and wheel",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "no_fill_serves": Words(
        "No one filling serves everywhere.",
        "No one filling of {subject} holds enough at the coldest soak and stays below {ceiling} everywhere.",
        "Let the tires cool, fill to the cold pressure, and correct it cold at the coldest place before driving off.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "warm_without_ambient": Words(
        "The tires are warm, and the temperature to which they cool was not given.",
        "The tires of {subject} are warm: what they will hold cold cannot be told without the air's temperature.",
        "Send `conditions.fill.ambient_temperature`, or `conditions.coldest`.",
        "Gas law",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "top_up_when_coldest": Words(
        "The filling holds the least pressure when coldest, but not the recommended one.",
        "Filled now, {subject} will hold its least pressure at the coldest soak, but not {cold}.",
        "Correct it cold at the coldest place before driving off.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "coldest_not_given": Words(
        "The coldest soak was not given.",
        "The setting for {subject} holds here; the coldest soak of the trip was not given.",
        "Send `conditions.coldest`, or check again cold where it is colder.",
        CALLER,
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "declared_not_judged": Words(
        "Parts of the request were checked and kept, but no figure rests on them yet.",
        "Checked and kept, but no figure of this answer rests on it: {names}.",
        "Do not take limits that belong to them as kept.",
        CALLER,
        (Severity.INFO,),
        EVERY_ROOM,
    ),
}
