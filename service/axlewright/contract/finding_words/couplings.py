"""What the passes of a coupled rig show beyond the state that it travels in."""

from msgspec import structs

from axlewright.contract.finding_words import loads
from axlewright.contract.finding_words.words import EVERY_ROOM, TIRE_ROOMS, Words
from axlewright.core.findings import Severity
from axlewright.core.loads.weighed_states import BROKEN

FINDINGS: dict[str, Words] = {
    **{
        f"{code}_in_state": structs.replace(
            loads.FINDINGS[code],
            meaning=f"In another coupling state that was weighed: {loads.FINDINGS[code].meaning}",
            message=f"Weighed {{state}}: {loads.FINDINGS[code].message}",
            severities=(*loads.FINDINGS[code].severities, Severity.NOTICE),
        )
        for code in BROKEN
    },
    "more_pressure_in_state": Words(
        "Another coupling state that was weighed needs more pressure.",
        "Weighed {state}, axle {subject} carries more than as this answer has it, and needs {pressure} cold.",
        "Hold that pressure, if its tires and wheels allow it, whenever the rig is driven like that.",
        "The same tables, on the loads of that state",
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "coupling_states_doubtful": Words(
        "The passes would have the coupling pull up, or the levelling bars work backwards.",
        "By the passes the {subject} is less than nothing: a trailer that pulls up on its hitch, or bars that work "
        "backwards.",
        "See whether the states of two passes were exchanged. If not, do not tow it like this: move load in the "
        "trailer forward, and weigh again.",
        "Equilibrium of forces and moments (statics)",
        (Severity.CRITICAL,),
        ("sessions", "loads"),
    ),
    "front_axle_over_restored": Words(
        "The levelling bars put more on the front axle than it carries alone.",
        "Axle {subject} gets back {restored_share} of what hitching takes off it: more than it carried alone.",
        "Slacken the bars, and weigh again: the rear axle goes light, and braking and steering with it.",
        "Common practice: never beyond the load by itself",
        (Severity.WARNING,),
        ("sessions", "loads"),
    ),
    "coupling_load_differs": Words(
        "The passes tell another coupling load than was given.",
        "By the passes {subject} carries {load}; {given} was given. The passes count.",
        "Find out whether something was loaded between the two weighs.",
        "Equilibrium of forces (statics)",
        (Severity.WARNING,),
        ("sessions", "loads"),
    ),
    "coupling_load_too_low": Words(
        "A coupling load was given that is less than what the coupling carries with levelling bars.",
        "By the passes {subject} carries {load} with levelling bars, and so more without; {given} was given. It is not "
        "counted on.",
        "Weigh the towing vehicle hitched without bars, and by itself.",
        "Equilibrium of forces and moments (statics)",
        (Severity.WARNING,),
        ("sessions", "loads"),
    ),
    "hitch_over_with_bars": Words(
        "A part of the hitch is over its rating even by what the coupling carries with levelling bars.",
        "{subject} carries {value} with levelling bars, and so more without; its limit is {limit}.",
        "Do not tow it like this. Lighten the coupling, and weigh again without bars too.",
        "Your own input: the hitch's rating; equilibrium of forces and moments",
        (Severity.CRITICAL,),
        ("loads",),
    ),
    "told_of_state": Words(
        "The coupling state that the figures are of, where passes were made hitched.",
        "All figures hold for the rig {state}, if nothing else is said.",
        "Look into `coupling` for other states that were weighed; what was not weighed is not told.",
        "The passes themselves",
        (Severity.NOTICE, Severity.INFO),
        EVERY_ROOM,
    ),
}
