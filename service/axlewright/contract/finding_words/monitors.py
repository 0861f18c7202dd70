"""Set points of a monitor, and the telltale."""

from axlewright.contract.finding_words.words import Words
from axlewright.core.findings import Severity

FINDINGS: dict[str, Words] = {
    "below_least_when_coldest": Words(
        "A tire holds less than its load needs when coldest.",
        "Filled to its cold pressure at the filling place, {subject} holds less than its load needs when coldest: "
        "{shown} against {least}.",
        "Fill it higher, as `set_now` of the recommendation or the itinerary says, or correct it cold at the coldest "
        "place before driving off.",
        "Gas law; ISO 2533 atmosphere; least cold pressure for the load",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "monitor_share_too_high": Words(
        "The low set point's share leaves no room for the cold.",
        "At the coldest soak a monitor shows {shown} for {subject}, too close to the low set point of {low}. More air "
        "does not help: it raises the set point by as much as the reading, or more.",
        "Choose a lower `policy.low_share`, but no set point below the least pressure, or correct the tires cold at "
        "the coldest place before driving off.",
        "Gas law; common practice, no published source",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "monitor_alarms_when_cold": Words(
        "A good tire comes too close to the monitor's low set point on a cold morning.",
        "At the coldest soak {subject} shows {shown}, too close to the low set point of {low}: the monitor may alarm.",
        "Raise the cold pressure to {raised}, which tires and wheels may hold.",
        "Gas law; common practice, no published source",
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "monitor_cannot_tell": Words(
        "No filling keeps a good tire clear of the monitor's low set point on a cold morning.",
        "At the coldest soak a monitor shows {shown} for {subject} against the low set point of {low}, and no cold "
        "pressure that tires and wheels may hold leaves enough of a gap.",
        "Correct the tires cold at the coldest place before driving off; do not lower the set point below the least "
        "pressure.",
        "Gas law; common practice, no published source",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "sealed_sensor_alarms_when_cold": Words(
        "A sealed sensor on a good tire comes too close to its low set point on a cold morning at altitude.",
        "At the coldest soak a sealed sensor on {subject} shows {shown} against its low set point of {low}: the "
        "monitor may alarm though the tire is good.",
        "Raise the cold pressure to {raised}, which tires and wheels may hold, or check with a gauge when it alarms; a "
        "lower set point would come too late at the foot of the mountains.",
        "Gas law; ISO 2533 atmosphere; common practice, no published source",
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "telltale_above_label": Words(
        "The vehicle's own telltale may light above the label's pressure.",
        "The table's minimum for the tires of {subject} has the vehicle's own telltale light at {threshold}, which is "
        "above the label's pressure.",
        "Check label and `telltale_tire`; if both are right, the telltale may light on tires filled to the label.",
        "49 CFR 571.138 S4.2(a) and table 1",
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "telltale_too_late": Words(
        "The vehicle's own telltale may light only below what the load needs.",
        "The vehicle's own telltale need not light on {subject} before {threshold}; its load needs {least}.",
        "Do not rely on it: check with a gauge, or fit a monitor with set points of your own.",
        "49 CFR 571.138 S4.2(a)",
        (Severity.WARNING,),
        ("inflation",),
    ),
}
