"""Checks over time."""

from axlewright.contract.finding_words.words import Words
from axlewright.core.findings import Severity

FINDINGS: dict[str, Words] = {
    "tire_below_least": Words(
        "A tire holds less than its least pressure.",
        "{subject} showed {shown} at its last check, brought to the reference; its least is {least}.",
        "Do not drive on it: fill it cold, and have it looked at if it lost the air within days.",
        "Your own input; gas law",
        (Severity.CRITICAL,),
        ("inflation",),
    ),
    "line_at_least": Words(
        "The line through a tire's checks is at its least pressure already, though the last check shows more.",
        "{subject} showed {shown} at its last check, brought to the reference, but the line through its checks is at "
        "the least of {least} already.",
        "Check it again, cold, and fill it before driving.",
        "Your own input; gas law; Theil-Sen line",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "sudden_loss": Words(
        "A tire fell from one check to the next by more than its line, or a sound tire, explains.",
        "{subject} fell suddenly, from {before} to {after} within {span}, brought to the reference.",
        "Check it again at once. Unless air was let out or a check was misread, do not drive on it before it was "
        "looked at: valve, valve core, bead, tread and sidewalls.",
        "1.5 psi (10.3 kPa) and two standard uncertainties beyond what was to be expected; critical from 5 psi "
        "(34.5 kPa) a week, or at the least pressure; judgement",
        (Severity.CRITICAL, Severity.WARNING),
        ("inflation",),
    ),
    "tire_losing_fast": Words(
        "A tire loses 5 psi (34.5 kPa) a week or more, beyond what the readings' noise can feign.",
        "{subject} loses air fast: from {before} to {after} within {span}, over {checks} checks, brought to the "
        "reference.",
        "Do not drive on it before it was looked at: valve, valve core, bead, tread and sidewalls.",
        "Theil-Sen slope with Sen's interval; the threshold is judgement",
        (Severity.CRITICAL,),
        ("inflation",),
    ),
    "keeps_being_refilled": Words(
        "A tire lost more than a sound one does before it was filled up again.",
        "{subject} lost {loss} in {span} of checks before {refills} (standard uncertainty {doubt}).",
        "Filling up mends no leak: look at valve, valve core, bead and tread.",
        "Differences between checks; from 1.5 psi (10.3 kPa) beyond what a sound tire may lose in the time, judgement",
        (Severity.WARNING,),
        ("inflation",),
    ),
    "tire_losing": Words(
        "A tire loses pressure, beyond what the readings' noise can feign.",
        "{subject} loses {loss} in 30 days (95 %: {low} to {high}).",
        "Look at valve, valve core, bead and tread; a sound tire is commonly said to lose 1 to 1.5 psi (7 to 10 kPa) a "
        "month.",
        "Theil-Sen slope with Sen's interval",
        (Severity.WARNING, Severity.INFO),
        ("inflation",),
    ),
    "tire_gaining": Words(
        "A tire gains pressure, which none does by itself.",
        "{subject} gains pressure, from {before} to {after} within {span}, over {checks} checks: a refill was not "
        "marked, or it was checked warmer than stated.",
        "Mark refills with `refilled`, and measure the tire's own temperature.",
        "Theil-Sen slope with Sen's interval",
        (Severity.NOTICE,),
        ("inflation",),
    ),
    "loses_more_than_mates": Words(
        "A tire loses notably more than the others of its axle.",
        "{subject} loses {excess} in 30 days more than the median of the other tires of its axle (95 %: {low} to "
        "{high}).",
        "Look at valve, valve core, bead and tread of this tire.",
        "Theil-Sen slope of the difference with Sen's interval; from 1 psi (7 kPa) in 30 days, common practice",
        (Severity.WARNING,),
        ("inflation",),
    ),
}
