"""Fillings over a trip."""

from axlewright.contract.finding_words.words import Words
from axlewright.core.findings import Severity

FINDINGS: dict[str, Words] = {
    "trip_out_of_reach": Words(
        "No filling serves a stop of a trip.",
        "No filling of {subject} serves {stop}: not even one made there keeps it within its bounds from the coldest to "
        "the hottest soak.",
        "Lighten the axle so that it needs less, or travel in another season.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "trip_needs_corrections": Words(
        "No one filling serves the whole trip, but corrections on the way do.",
        "No one filling of {subject} serves the whole trip. Set it, cold, before leaving: {places}.",
        "Set the tires there as `fills` says, in the morning before driving off.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "trip_stop_corrected_there": Words(
        "No filling before a stop serves it: it must be corrected there.",
        "{subject} is out of its bounds on arrival at {stops}, whatever is filled before.",
        "Let the tires stand there until they are cold, and set them as `fills` says before driving off.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "trip_below_recommended": Words(
        "A filling of a trip holds what the load needs, but not the recommended pressure everywhere.",
        "At {places} the ceiling leaves no filling of {subject} that holds the recommended {cold} everywhere after it. "
        "What is set there holds what the load needs.",
        "Correct it, cold, where it holds less than is recommended, before driving off.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "present_below_recommended": Words(
        "The present filling holds enough for the load on the whole trip, but less than is recommended.",
        "As it is filled now, {subject} will show {shown} when coldest at {stop}, less than the {recommended} "
        "recommended.",
        "Inflate to the recommended pressure, cold: `one_fill` says what the gauge must show for it here.",
        "Gas law; ISO 2533 atmosphere; the recommendation",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "present_below_least": Words(
        "The present filling falls below the least pressure on the trip.",
        "As it is filled now, {subject} will show {shown} when coldest at {stop}; its load needs {least}.",
        "Set the tires as `fills` says.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "present_above_most": Words(
        "The present filling rises above what tire or wheel may hold on the trip.",
        "As it is filled now, {subject} will show {shown} when hottest at {stop}; its tires and wheels may "
        "hold {most}.",
        "Set the tires as `fills` says, once they are cold.",
        "Gas law; ISO 2533 atmosphere",
        (Severity.WARNING,),
        ("inflation",),
    ),
}
