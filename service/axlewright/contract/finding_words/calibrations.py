"""What two weighs with a shift between them give to know."""

from axlewright.contract.finding_words.words import Words
from axlewright.core.findings import Severity

BASIS = "Generalised least squares; chi-squared test of the residuals"

FINDINGS: dict[str, Words] = {
    "calibration_disagrees": Words(
        "Two weighs and the shift stated between them contradict each other.",
        "The loads of {subject} did not change as what was moved would change them: stated rightly, they would differ "
        "so much with a chance of {probability} only.",
        "Check masses and places in `moved`, whether anything else came, left or flowed between the weighs, and each "
        "weigh by itself.",
        BASIS,
        (Severity.WARNING,),
        ("loads",),
    ),
    "calibration_not_determined": Words(
        "Two weighs do not tell how a vehicle's axles share the roll moment.",
        "The roll shares of {subject} are not told. {reason}",
        "Weigh every wheel end before and after moving as much mass as you safely can from one side to the other.",
        BASIS,
        (Severity.NOTICE,),
        ("loads",),
    ),
}
