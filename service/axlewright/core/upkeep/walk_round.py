"""What a careful weigher also writes down on a walk round the rig, and by what it is judged."""

from datetime import date
from enum import StrEnum
from math import inf
from typing import Final

from msgspec import Struct

from axlewright.core.errors import CoreError, OutOfRange
from axlewright.core.tires.identification import Identification
from axlewright.core.units import FOOT_M, INCH_M, PSI_PA
from axlewright.core.upkeep.policy import MOST_MONTHS

LEAST_STEERING_TREAD_M: Final = 4 / 32 * INCH_M
"""49 CFR 393.75(b): tires on the front wheels of a bus, truck or truck tractor."""
LEAST_TREAD_M: Final = 2 / 32 * INCH_M
"""49 CFR 393.75(c): every other tire."""
FLAT_SHARE: Final = 0.8
"""A tire of a dual that holds no more than this share of its mate's pressure counts as run flat. Common practice."""
LEAST_LENGTH_M: Final = 0.1
"""No rig is lower and no tire smaller: less is a slip."""


class LegalHeight(StrEnum):
    """A usual legal limit of overall height."""

    EUROPEAN_UNION = "european_union"
    MANY_UNITED_STATES = "many_united_states"
    SOME_WESTERN_STATES = "some_western_states"


LEGAL_HEIGHTS_M: Final = {
    LegalHeight.EUROPEAN_UNION: 4.0,
    LegalHeight.MANY_UNITED_STATES: 13.5 * FOOT_M,
    LegalHeight.SOME_WESTERN_STATES: 14 * FOOT_M,
}
"""Directive 96/53/EC, annex I, 1.3: 4.00 m (written for buses and goods vehicles; national law has it for others too).
United States: state law, commonly 13 ft 6 in, in some states 14 ft, from memory."""


class Damage(StrEnum):
    """What may be wrong with a tire; the first five are those of 49 CFR 393.75(a), or a sign of one."""

    PLY_EXPOSED = "ply_exposed"
    SEPARATION = "separation"
    FLAT_OR_LEAKING = "flat_or_leaking"
    CUT_TO_PLY = "cut_to_ply"
    BULGE = "bulge"
    CUT = "cut"
    WEATHER_CRACKS = "weather_cracks"
    OBJECT_IN_TREAD = "object_in_tread"
    UNEVEN_WEAR = "uneven_wear"


UNFIT: Final = frozenset(
    {Damage.PLY_EXPOSED, Damage.SEPARATION, Damage.FLAT_OR_LEAKING, Damage.CUT_TO_PLY, Damage.BULGE}
)
"""Damage with which a tire is not driven on: 49 CFR 393.75(a), and a bulge as the sign of a separation."""


class Stem(StrEnum):
    """How a valve stem is."""

    SOUND = "sound"
    CRACKED = "cracked"
    LOOSE = "loose"
    LEAKING = "leaking"


class TireSeen(Struct, frozen=True):
    """What was seen of one tire; None or nothing where nobody looked.

    Attributes
    ----------
    name
        ``steer.left``, or ``drive.left.inner`` and ``drive.left.outer`` of a dual.
    steers
        Whether it is on the steering axle of a motor vehicle.
    tread_depths_m
        Depths of major tread grooves [m]; the least counts.
    outer_diameter_m
        Diameter over the tread [m].
    pressure_pa
        Cold gauge pressure [Pa].
    made_on
        First day of the week in which it was made, or may have been made.
    made_by
        Last day on which it can have been made, where its number leaves the decade open; None where the week is known.
    number
        Its identification number, from which these days are, or which has no date; None where the days are stated.
    """

    name: str
    steers: bool = False
    designation: str | None = None
    tread_depths_m: tuple[float, ...] = ()
    outer_diameter_m: float | None = None
    pressure_pa: float | None = None
    made_on: date | None = None
    made_by: date | None = None
    number: Identification | None = None
    damages: tuple[Damage, ...] | None = None
    stem: Stem | None = None
    has_valve_cap: bool | None = None

    @property
    def tread_m(self) -> float | None:
        """The least depth of tread [m]."""
        return min(self.tread_depths_m, default=None)


class HeightToPass(Struct, frozen=True):
    """A bridge, roof or ferry that the caller means to pass: its height [m]."""

    name: str
    height_m: float


class WalkRound(Struct, frozen=True):
    """What a walk round a rig gave; the overall height [m] is that of its highest vehicle, as loaded."""

    on: date
    tires: tuple[TireSeen, ...] = ()
    overall_height_m: float | None = None
    heights: tuple[HeightToPass, ...] = ()

    def require_sound(self) -> None:
        """Raise CoreError for a tire named twice or made after the day, and for impossible figures."""
        names = [tire.name for tire in self.tires]
        for tire in self.tires:
            if names.count(tire.name) > 1:
                raise CoreError(
                    "name_twice", "tires.name", f"{tire.name!r} is there more than once: name each tire once."
                )
            for made in (tire.made_on, tire.made_by):
                if made is not None and made > self.on:
                    raise CoreError(
                        "tire_made_after_walk_round",
                        "tires.made_on",
                        f"{tire.name} cannot have been made on {made}, after {self.on}: read its date again.",
                    )
            for depth_m in tire.tread_depths_m:
                _require_figure("tires.tread_depths_m", depth_m, 0.0)
            _require_figure("tires.pressure_pa", tire.pressure_pa, 0.0)
            _require_figure("tires.outer_diameter_m", tire.outer_diameter_m, LEAST_LENGTH_M)
        _require_figure("overall_height_m", self.overall_height_m, LEAST_LENGTH_M)
        for height in self.heights:
            _require_figure("heights.height_m", height.height_m, LEAST_LENGTH_M)


class WalkRoundPolicy(Struct, frozen=True):
    """How a walk-round is judged; every default is common practice or judgement.

    Attributes
    ----------
    least_clearance_m
        What is to be left under a height: 6 in, for the road's unevenness and a doubtful measure. Judgement.
    tread_notice_m
        Tread that is to be left above its least before it is worth a word. Judgement.
    most_tread_difference_m, most_diameter_difference_m, most_pressure_difference_pa
        By which the two tires of a dual may differ: 4/32 in, 1/4 in, 5 psi.
    tire_inspection_from_months, tire_replacement_months
        Age of yearly inspection and of replacement.
    """

    least_clearance_m: float = 6 * INCH_M
    tread_notice_m: float = 1 / 32 * INCH_M
    most_tread_difference_m: float = 4 / 32 * INCH_M
    most_diameter_difference_m: float = INCH_M / 4
    most_pressure_difference_pa: float = 5 * PSI_PA
    tire_inspection_from_months: int = 60
    tire_replacement_months: int = 120

    def require_sound(self) -> None:
        """Raise OutOfRange for a margin or an age that is none."""
        for field, value in (
            ("least_clearance_m", self.least_clearance_m),
            ("tread_notice_m", self.tread_notice_m),
            ("most_tread_difference_m", self.most_tread_difference_m),
            ("most_diameter_difference_m", self.most_diameter_difference_m),
            ("most_pressure_difference_pa", self.most_pressure_difference_pa),
        ):
            _require_figure(field, value, 0.0)
        for field, months in (
            ("tire_inspection_from_months", self.tire_inspection_from_months),
            ("tire_replacement_months", self.tire_replacement_months),
        ):
            if not 1 <= months <= MOST_MONTHS:
                raise OutOfRange(
                    "interval_out_of_range", field, f"{field} is {months}: it must be 1 to {MOST_MONTHS} months."
                )


def _require_figure(field: str, value: float | None, least: float) -> None:
    if value is not None and not least <= value < inf:
        raise OutOfRange("figure_out_of_range", field, f"{field} is {value}: it must be {least} or more and finite.")
