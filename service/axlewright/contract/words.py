"""What answers say in words: what figures rest on, why something is not known, cautions."""

from axlewright.core.estimates import UnknownBecause
from axlewright.core.inflation.capacity import Ground
from axlewright.core.inflation.pressure import AxlePressure, Floor, NoPressure
from axlewright.core.inflation.setting import NoSetting
from axlewright.core.loads.limits import LimitKind
from axlewright.core.loads.remarks import Remedy
from axlewright.core.loads.statics import AssumptionKind, Origin
from axlewright.core.rig import CouplingState
from axlewright.core.tires.plausibility import Slip
from axlewright.core.upkeep.walk_round import Damage, LegalHeight, Stem

UNKNOWN: dict[UnknownBecause, str] = {
    UnknownBecause.NOT_WEIGHED: "No reading covers every wheel of it.",
    UnknownBecause.NOT_SEPARATED: "The readings give it only together with other wheels.",
    UnknownBecause.IMPOSSIBLE: "The readings contradict each other: they would leave a wheel lighter than nothing.",
    UnknownBecause.WOULD_LIFT: "A wheel would lift, and then statics tell no load.",
    UnknownBecause.COUPLING_NOT_WEIGHED: "Part of a trailer rests on its coupling, and that was not weighed.",
    UnknownBecause.NOT_TOLD: "The passes made do not tell it.",
    UnknownBecause.NOT_WITHOUT_BARS: "It is judged hitched without levelling bars, and the passes do not tell it so.",
    UnknownBecause.WITHIN_DOUBT: "Hitching changes the front axle by no more than the doubt: a share would be noise.",
    UnknownBecause.NO_CAPACITY: "Nothing supports a capacity at the pressure that the tire holds.",
    UnknownBecause.NO_UNLOADED_WEIGHT: "The unloaded weight of the vehicle was not given: send `unloaded_weight`.",
    UnknownBecause.NO_HITCH_RATING: "The rating of this part of the hitch for this way of towing was not given.",
    UnknownBecause.NO_SPEED_SYMBOL: "The tire's speed symbol was not given: send `speed_symbol`.",
}
UNSTATED = "Nobody stated the standard uncertainty of a load beneath it."
PROVISIONAL = "The readings beneath it failed their cross-check."
ESTIMATED_LIMIT = "The limit itself is an estimate: how likely it is broken is not known."

STATE_WORDS: dict[CouplingState, str] = {
    CouplingState.SOLO: "each vehicle by itself",
    CouplingState.HITCHED: "hitched without levelling bars",
    CouplingState.HITCHED_LEVELLED: "hitched with levelling bars",
}

LIMIT_WORDS: dict[LimitKind, str] = {
    LimitKind.TIRE: "tire",
    LimitKind.TIRE_AT_PRESSURE: "tire at the pressure it holds",
    LimitKind.WHEEL: "wheel",
    LimitKind.WHEEL_END: "weakest part of the wheel end",
    LimitKind.AXLE_TIRES: "the axle's tires together",
    LimitKind.AXLE: "axle rating",
    LimitKind.AXLE_GROUP: "axle group rating",
    LimitKind.VEHICLE: "vehicle rating",
    LimitKind.PAYLOAD: "label's occupants and cargo",
    LimitKind.STEERING_SHARE: "share on the first axle",
    LimitKind.TONGUE_SHARE: "share on the tongue",
    LimitKind.PIN_SHARE: "share on the kingpin",
    LimitKind.HITCH_VERTICAL: "tongue or pin weight on the hitch",
    LimitKind.HITCH_TOWED: "weight towed by the hitch",
    LimitKind.COMBINATION: "combination rating",
    LimitKind.TIRE_SPEED: "speed that the tire is made for",
    LimitKind.INTERSTATE_AXLE: "single axle on the Interstate System",
    LimitKind.INTERSTATE_TANDEM: "tandem on the Interstate System",
    LimitKind.INTERSTATE_GROSS: "gross weight on the Interstate System",
    LimitKind.BRIDGE_FORMULA: "bridge formula for a group of axles on the Interstate System",
}

REMEDY_WORDS: dict[Remedy, str] = {
    Remedy.TAKE_OFF: "Take load off (moving it helps wheel ends and axles only)",
    Remedy.MOVE_FORWARD: "Move load forward",
    Remedy.TRAILER_BACK: "Move load in the trailer back, behind its axles",
    Remedy.TRAILER_FORWARD: "Move load in the trailer forward, before its axles",
    Remedy.LIGHTEN_COUPLING: "Make the coupling lighter, or tow with a hitch, or bars, that are rated for it",
    Remedy.TOW_LESS: "Take load off, or tow less",
}

NO_PRESSURE: dict[NoPressure, str] = {
    NoPressure.WHEEL_ENDS_UNKNOWN: "The load of each wheel end of the axle is needed, and not all are known. "
    "`until_weighed` is a floor: unless it is the sidewall's maximum, nobody knows whether it is enough.",
    NoPressure.BEYOND_TABLE: "The load is more than the tire carries at any pressure: lighten the wheel end.",
    NoPressure.ABOVE_CEILING: "The load needs more pressure than a tire or wheel of the axle may hold.",
    NoPressure.NO_ROW_BELOW_CEILING: "No known row serves the load below the ceiling: send the tire maker's table.",
    NoPressure.FLOOR_ABOVE_CEILING: "The label's pressure is more than a tire or wheel of the axle may hold.",
}

NO_SETTING: dict[NoSetting, str] = {
    NoSetting.NO_PRESSURE: "There is no cold pressure to set.",
    NoSetting.NO_CONDITIONS: "`conditions.fill` was not given.",
    NoSetting.WARM_WITHOUT_AMBIENT: "The tires are warm: `conditions.fill.ambient_temperature` or `coldest` is needed.",
    NoSetting.NO_FILL_SERVES: "No one filling holds enough when coldest and not too much elsewhere.",
}

CALLER = "Your own input"
COMMON_PRACTICE = "Common practice, no published source"
INTERSTATE = "Federal baseline, where States may differ (23 USC 127(a), 23 CFR 658.17)"

BASES: dict[str, str] = {
    "sidewall": f"{CALLER}: maximum load marked on the tire as fitted",
    "load_index": "Load index of the service description (ISO 4000-1, ISO 4209-1), below the marked maximum load",
    "built_in_table": "Published load/inflation table, below the maximum load marked for its pressure",
    "additional_service": "Additional service description on the tire, for its own load (UN Regulation No. 54)",
    "passenger_derate": "49 CFR 571.110 and 571.120 S5.1.2: a passenger-car tire here counts as its rating over 1.10",
    "wheel_rating": f"{CALLER}: the wheel's maximum load",
    "wheel_end_rating": f"{CALLER}: the wheel end's rating by its maker",
    "tires_together": "49 CFR 571.110 and 571.120: the tires of an axle together carry its load",
    "axle_rating": f"{CALLER}: gross axle weight rating (GAWR) from the label",
    "vehicle_rating": f"{CALLER}: gross vehicle weight rating (GVWR) from the label, a limit of its own",
    "hitch_carrying": f"{CALLER}: the part's rating for towing without levelling bars",
    "hitch_levelling": f"{CALLER}: the part's rating with a weight-distributing hitch; the load counts without bars",
    "combination_rating": f"{CALLER}: gross combination weight rating (GCWR) from the tow vehicle's maker",
    "group_rating": f"{CALLER}: the axle group's rating by its maker",
    "cargo_capacity": f"{CALLER}: occupants and cargo that the label allows, beyond the unloaded weight",
    "tongue_share": f"{COMMON_PRACTICE}: makers' manuals ask for 10 to 15 % of a loaded trailer on the ball",
    "pin_share": f"{COMMON_PRACTICE}: makers' manuals ask for 15 to 25 % of a loaded fifth wheel on the kingpin",
    "steering_share": f"{COMMON_PRACTICE}: the first axle of a motor vehicle keeps this share",
    "speed_symbol": "Speed symbol of the service description (UN Regulations No. 30 and No. 54)",
    "special_trailer_speed": "Special-trailer tires without a speed symbol: 65 mph (Tire and Rim Association, quoted)",
    "ground_contact": "A wheel end stays on the ground while its load, less k u, is 0 or more: no wheel pulls",
    "place_capacity": f"{CALLER}: the most that may go to the place, less what was declared to be there",
    "interstate_axle": f"{INTERSTATE}: 20,000 lb on a single axle; axles within 40 in are one",
    "interstate_tandem": f"{INTERSTATE}: 34,000 lb on a tandem, axles more than 40 in and within 96 in",
    "interstate_gross": f"{INTERSTATE}: 80,000 lb gross",
    "bridge_formula": f"{INTERSTATE}: 500 (L N/(N - 1) + 12 N + 36) lb on N consecutive axles, the outer ones L ft "
    "apart, to the nearest foot and 500 lb; two tandems 36 ft long or more carry 34,000 lb each",
    "callers_table": f"{CALLER}: the tire maker's table",
    "published_row": "Published load/inflation row",
    "interpolated": "Between two rows of a load/inflation table, linear",
    "estimated": "Estimate from the tire's marked maximum; read the tire maker's table",
    "capacity_at_pressure": "Capacity at the pressure that the tire holds",
}

SLIPS: dict[Slip, str] = {
    Slip.KILOPASCALS_TAKEN_FOR_PSI: "it looks like kPa, told as psi",
    Slip.PSI_TAKEN_FOR_KILOPASCALS: "it looks like psi, told as kPa",
    Slip.PSI_TAKEN_FOR_BAR: "it looks like psi, told as bar",
    Slip.BAR_TAKEN_FOR_PSI: "it looks like bar, told as psi",
    Slip.KILOPASCALS_TAKEN_FOR_BAR: "it looks like kPa, told as bar",
    Slip.BAR_TAKEN_FOR_KILOPASCALS: "it looks like bar, told as kPa",
    Slip.POUNDS_TAKEN_FOR_KILOGRAMS: "it looks like pounds, told as kilograms",
    Slip.KILOGRAMS_TAKEN_FOR_POUNDS: "it looks like kilograms, told as pounds",
    Slip.TWO_TIRES_TAKEN_FOR_ONE: "it looks like the load of two tires",
    Slip.FOUR_TIRES_TAKEN_FOR_ONE: "it looks like the load of four tires",
    Slip.ONE_TIRE_TAKEN_FOR_TWO: "it looks like half of a tire's load",
}

ASSUMPTION_WORDS: dict[tuple[AssumptionKind, Origin], str] = {
    (AssumptionKind.ROLL_STIFFNESS, Origin.STATED): "Its share of the roll moment is the one that you stated.",
    (AssumptionKind.ROLL_STIFFNESS, Origin.USUAL): "Its share of the roll moment goes by rating times track squared "
    "(judgement); `roll_shares` tells it.",
    (AssumptionKind.STIFFNESS, Origin.STATED): "Its stiffness against the other axles is the one that you stated.",
    (AssumptionKind.STIFFNESS, Origin.USUAL): "More supports than equilibrium settles: stiffness goes by rating "
    "(judgement); `stiffnesses` or `groups` tell.",
    (AssumptionKind.GROUP_SPLIT, Origin.STATED): "Its share of the group is the one that you stated.",
    (AssumptionKind.GROUP_SPLIT, Origin.MEASURED): "Its share of the group is the one measured, with the doubt of its "
    "loads; `split` states it.",
    (AssumptionKind.GROUP_SPLIT, Origin.USUAL): "Its share of the group is even where the suspension equalises, else "
    "by rating (judgement); `split` tells it.",
}

FLOORS: dict[Floor, str] = {
    Floor.LABEL: "The vehicle's label, below which nothing is recommended here (49 CFR 571.110, 571.120)",
    Floor.SPECIAL_TRAILER: f"{COMMON_PRACTICE}: special-trailer tires keep the label's or sidewall's pressure",
    Floor.HEAVIEST_OF_TRAILER: f"{COMMON_PRACTICE}: what the heaviest axle of the trailer needs, with the reserve "
    "asked for; its special-trailer tires all hold the same",
    Floor.NOT_FOR_VEHICLE: "Label's or sidewall's pressure: tires that are not made for this vehicle are not lowered "
    "by load",
    Floor.CAMPER: "Label, else 5.5 bar: single CP tires on a motor caravan's rear axle (second hand, quoting ETRTO)",
}

DAMAGE_WORDS: dict[Damage, str] = {
    Damage.PLY_EXPOSED: "ply or belt shows",
    Damage.SEPARATION: "tread or sidewall separates",
    Damage.FLAT_OR_LEAKING: "flat, or air leaks audibly",
    Damage.CUT_TO_PLY: "a cut lays ply or belt open",
    Damage.BULGE: "a bulge",
    Damage.CUT: "a cut that does not reach the plies",
    Damage.WEATHER_CRACKS: "cracks from weather and age",
    Damage.OBJECT_IN_TREAD: "something sticks in the tread",
    Damage.UNEVEN_WEAR: "worn unevenly",
}
STEM_WORDS: dict[Stem, str] = {
    Stem.SOUND: "sound",
    Stem.CRACKED: "cracked",
    Stem.LOOSE: "loose",
    Stem.LEAKING: "leaking",
}
LEGAL_HEIGHT_WORDS: dict[LegalHeight, str] = {
    LegalHeight.EUROPEAN_UNION: "European Union, Directive 96/53/EC, for buses and goods vehicles; national law has it "
    "for others too",
    LegalHeight.MANY_UNITED_STATES: "13 ft 6 in, many of the United States",
    LegalHeight.SOME_WESTERN_STATES: "14 ft, some western States",
}

LEGAL_FOR_TRADE = (
    "The sum of separate drafts is not a legal-for-trade weight (NIST Handbook 44, section 2.20, UR.3.3, single-draft "
    "weighing, from memory): these figures are for engineering, not for commerce."
)
DEFERENCE = (
    "These figures support judgement and do not replace it: the vehicle's label, the tire maker's load/inflation "
    "table, local codes and licensed practice come first."
)
STATE_OF_LOAD = (
    "The loads hold for the state in which the rig was weighed; people, cargo, water, fuel and a trailer change them."
)
PREDICTED = (
    "These loads are predicted from those weighed and from what you said would change: they are not measured. Weigh "
    "again in the new state before you rely on them."
)
COLD = (
    "Pressures are cold pressures: tires at outside temperature, parked for three hours or driven less than a mile. "
    "Never let air out of a tire that is hot from running."
)
NOT_JUDGED = "A load at rest on level ground says nothing of tires that are aged, damaged, mismatched or run too fast."

ONE_ROOM = (
    "Of the other rooms only critical findings are told here; the whole assessment judges every limit, balance and "
    "pressure."
)

CAUTIONS = (DEFERENCE, STATE_OF_LOAD, COLD, NOT_JUDGED)
SESSION_CAUTIONS = (LEGAL_FOR_TRADE,)


def pressure_basis(answer: AxlePressure) -> str:
    """Return in words what a cold pressure rests on, with its publication."""
    if answer.cold_pa is None or answer.need is None or answer.need.least is None:
        return "No pressure by load"
    if answer.floor is not None:
        return FLOORS[answer.floor]
    least = answer.need.least
    basis = "Maximum load and pressure marked on the tire" if least.ground is Ground.SIDEWALL else BASES[least.ground]
    if least.publication is None:
        return basis
    return f"{basis}: {least.publication.title}, {least.publication.edition}"
