"""Labels and sidewalls that contradict each other, and what limits on the Interstate System leave open."""

from axlewright.contract.finding_words.words import TIRE_ROOMS, Words
from axlewright.core.findings import Severity

TRAILER_RATING = "49 CFR 567.4(g)(3); NHTSA interpretations nht75-5.2 and nht76-3.20; most share on the coupling"
INTERSTATE = "23 USC 127(a); 23 CFR 658.5 and 658.17"

FINDINGS: dict[str, Words] = {
    "label_tires_below_axle_rating": Words(
        "The tires of an axle are together rated below the axle.",
        "The tires on {subject} are together rated for {sum}, less than the axle's rating of {rating}: label and "
        "sidewalls contradict each other.",
        "Read the label and the sidewalls again. If they stand, the axle may carry no more than its tires; ask the "
        "maker which tires the rating was given for.",
        "49 CFR 571.110 and 571.120, S5.1.2, without any allowance (NHTSA interpretation 77-3.29)",
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "label_rating_above_axle_ratings": Words(
        "A motor vehicle is rated for more than its axles together.",
        "{subject} is rated for {rating}, more than its axles together, {sum}: at its rating an axle is over its own.",
        "Read the label again. If it stands, every axle keeps to its own rating: the vehicle's cannot be used up.",
        "49 CFR 567.4(g)(3); NHTSA interpretations aiam0613 and nht87-2.92",
        (Severity.WARNING,),
        ("loads",),
    ),
    "label_rating_above_tires": Words(
        "A motor vehicle is rated for more than all its tires together.",
        "{subject} is rated for {rating}, more than all its tires together, {sum}: at its rating a tire is over its "
        "own.",
        "Read the label and the sidewalls again. If they stand, the vehicle's rating cannot be used up on these tires.",
        "49 CFR 571.110 and 571.120, S5.1.2; NHTSA interpretations aiam0613 and nht87-2.92",
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "label_trailer_rating_above_axle_ratings": Words(
        "A trailer is rated for more than its coupling and its axles bear.",
        "{subject} is rated for {rating}. Even with {share} of it on the coupling, {rest} rests on axles that are "
        "together rated for {sum}.",
        "Read the label again. If it stands, every axle keeps to its own rating: the trailer's cannot be used up.",
        TRAILER_RATING,
        (Severity.WARNING,),
        ("loads",),
    ),
    "label_trailer_rating_above_tires": Words(
        "A trailer is rated for more than its coupling and its tires bear.",
        "{subject} is rated for {rating}. Even with {share} of it on the coupling, {rest} rests on tires that are "
        "together rated for {sum}.",
        "Read the label and the sidewalls again. If they stand, the trailer's rating cannot be used up on these tires.",
        f"49 CFR 571.110 and 571.120, S5.1.2; {TRAILER_RATING}",
        (Severity.WARNING,),
        TIRE_ROOMS,
    ),
    "interstate_baseline": Words(
        "Limits on the Interstate System were judged, as the Federal baseline.",
        "The limits of {subject} on the Interstate System are the Federal baseline. Many States have rights to more, a "
        "special permit may allow more, and other roads have limits of their own. The Federal rule leaves recreational "
        "vehicles under their own power out of its commercial motor vehicles; States may not.",
        "Ask the States on the way which limits hold for the rig.",
        INTERSTATE,
        (Severity.INFO,),
        ("loads",),
    ),
    "interstate_each_vehicle": Words(
        "Limits on the Interstate System were judged for each vehicle by itself.",
        "Each vehicle of {subject} was held against the Interstate limits by itself. Hitched, the gross limit and the "
        "bridge formula also hold for all axles of the combination: that was not judged.",
        "Do not take the gross limit and the bridge formula as kept for the combination.",
        INTERSTATE,
        (Severity.NOTICE,),
        ("loads",),
    ),
}
