"""Whether what is marked on a tire agrees with itself, with its wheel, its axle and the speed it is driven at.

Every check is told, also where it agrees or where something needed for it is not known. Where two figures of one
thing differ the lower governs, as in `axlewright.core.tires.rating`.
"""

from collections.abc import Iterator, Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from axlewright.core.findings import Fact, Quantity, mass, pressure, share
from axlewright.core.rig import Fitment, Wheel
from axlewright.core.tires.family import Family
from axlewright.core.tires.load_index import LARGEST_INDEX, load_kg
from axlewright.core.tires.marking import Marking, ServiceDescription
from axlewright.core.tires.rating import MARKING_STEP_KG, index_load_kg, rating_as_fitted
from axlewright.core.tires.speed_symbol import SPECIAL_TRAILER_SPEED_M_PER_S, speed_m_per_s
from axlewright.core.units import MILE_PER_HOUR_M_PER_S, PSI_PA, exceeds

LEAST_DUAL_SHARE: Final = 0.78
MOST_DUAL_SHARE: Final = 0.98
"""Usual span [1] of the dual rating as a share of the single one.

Load index pairs in product information sheets under Regulation (EU) 2020/740 run from 158/150 (0.788) to 121/120
(0.966); load tables for bias tires give 0.88, for light-truck radials 0.91, for truck radials 0.92.
"""
PRESSURE_TOLERANCE_PA: Final = 2 * PSI_PA
"""Pressures so close to a usual one are the same, marked in other units; judgement."""
SPEED_TOLERANCE_M_PER_S: Final = MILE_PER_HOUR_M_PER_S / 2
"""United States tables print the speeds of symbols rounded to 1 mph."""
WHEEL_ENDS_OF_AN_AXLE: Final = 2

_LIGHT_TRUCK: Final = {"B": (35, 35), "C": (35, 55), "D": (50, 65), "E": (65, 80), "F": (80, 95), "G": (105, 110)}
_TRUCK: Final = {
    "D": (65, 80),
    "E": (75, 95),
    "F": (85, 110),
    "G": (100, 115),
    "H": (100, 125),
    "J": (115, 135),
    "L": (120, 135),
}
_TRAILER: Final = {
    "B": (35, 35),
    "C": (50, 50),
    "D": (65, 65),
    "E": (80, 80),
    "F": (95, 95),
    "G": (110, 110),
    "H": (110, 125),
}
_COMMERCIAL: Final = {"B": (36, 45), "C": (45, 55), "D": (54, 70), "E": (65, 84)}
USUAL_PRESSURES_PSI: Final[Mapping[Family, Mapping[str, tuple[int, int]]]] = MappingProxyType(
    {
        Family.LT_RADIAL: _LIGHT_TRUCK,
        Family.LT_BIAS: _LIGHT_TRUCK,
        Family.FLOTATION: _LIGHT_TRUCK,
        Family.TRUCK_RADIAL: _TRUCK,
        Family.TRUCK_BIAS: _TRUCK,
        Family.SPECIAL_TRAILER: _TRAILER,
        Family.COMMERCIAL: _COMMERCIAL,
        Family.CAMPER: _COMMERCIAL,
    }
)
"""Least and most cold pressure [psi] usually marked for each load range, by family.

No law ties a letter to a pressure: a letter outside its span is unusual, no more. Light truck and trailer, B to F: a
retail chart, and a page that quotes the Tire and Rim Association (2010), C at 35 or 55, D at 50 or 65, E at 65 or 80
psi. Truck: a truck-tire maker's catalogue and a tire engineer's answers. Trailer G and H, commercial, truck bias from
memory.
"""


class CheckKind(StrEnum):
    """What is held against what."""

    INDEX_AND_SINGLE_LOAD = "index_and_single_load"
    INDEX_AND_DUAL_LOAD = "index_and_dual_load"
    DUAL_AND_SINGLE = "dual_and_single"
    LOAD_RANGE = "load_range"
    LOAD_RANGE_AND_PRESSURE = "load_range_and_pressure"
    SPEED_SYMBOL = "speed_symbol"
    WHEEL_LOAD = "wheel_load"
    WHEEL_PRESSURE = "wheel_pressure"
    AXLE = "axle"
    SPEED = "speed"


class Verdict(StrEnum):
    """What a check came to.

    ``unusual``: possible, but look at the sidewall again. ``contradicts``: both cannot hold. ``limits``: both hold,
    and the lower governs. ``not_known``: something needed for the check is missing.
    """

    AGREES = "agrees"
    UNUSUAL = "unusual"
    CONTRADICTS = "contradicts"
    LIMITS = "limits"
    NOT_KNOWN = "not_known"


class NotChecked(StrEnum):
    """Why a check could not be made."""

    NOT_MARKED = "not_marked"
    NOT_STATED = "not_stated"
    NOT_FOR_THIS_FAMILY = "not_for_this_family"
    NO_USUAL_FIGURE = "no_usual_figure"


class Stated(Struct, frozen=True):
    """What is known of a tire beside its marking; None where it is not.

    Loads [kg] are per tire as marked, pressures [Pa] cold gauge ones, the speed [m/s] the highest it is driven at.
    ``gawr_kg`` is the rating of the axle that carries two such wheel ends; ``passenger_car`` says what the vehicle is.
    """

    fitment: Fitment = Fitment.SINGLE
    load_range: str | None = None
    speed_symbol: str | None = None
    max_load_single_kg: float | None = None
    max_load_dual_kg: float | None = None
    max_pressure_pa: float | None = None
    wheel: Wheel = Wheel()
    gawr_kg: float | None = None
    speed_m_per_s: float | None = None
    passenger_car: bool = False


class Check(Struct, frozen=True):
    """One check: what was compared, the verdict, a code that names it, and the figures."""

    kind: CheckKind
    verdict: Verdict
    code: str
    facts: Mapping[str, Fact]
    unknown_because: NotChecked | None = None


def cross_checks(marking: Marking, stated: Stated) -> tuple[Check, ...]:
    """Return every check of a tire, one of each kind, in a fixed order.

    Parameters
    ----------
    marking : Marking
        The designation as read.
    stated : Stated
        What else is known: the sidewall's maximum load and pressure, wheel, axle and speed.

    Notes
    -----
    Axle: 49 CFR 571.120 S5.1.2 and 571.110 S4.2.2 ask that the ratings of an axle's tires add up to its rating.

    Examples
    --------
    >>> from axlewright.core.tires.marking import read_marking
    >>> checks = cross_checks(read_marking("ST225/75R15 D"), Stated(max_pressure_pa=550_000.0, speed_m_per_s=32.0))
    >>> [check.code for check in checks if check.verdict is not Verdict.NOT_KNOWN]
    ['load_range_marked_once', 'pressure_unusual_for_load_range', 'speed_above_special_trailer']

    """
    return tuple(_checks(marking, stated))


def _checks(marking: Marking, stated: Stated) -> Iterator[Check]:
    yield _index_and_load(CheckKind.INDEX_AND_SINGLE_LOAD, _index(marking, 0), stated.max_load_single_kg)
    yield _index_and_load(CheckKind.INDEX_AND_DUAL_LOAD, _index(marking, 1), stated.max_load_dual_kg)
    yield _dual_and_single(marking, stated)
    yield _marked_twice(CheckKind.LOAD_RANGE, marking.load_range, stated.load_range)
    yield load_range_and_pressure(marking, stated)
    yield _marked_twice(CheckKind.SPEED_SYMBOL, marking.speed_symbol, stated.speed_symbol)
    yield _wheel_load(marking, stated)
    yield _wheel_pressure(stated)
    yield _axle(marking, stated)
    yield _speed(marking, stated)


def _not_known(kind: CheckKind, because: NotChecked) -> Check:
    return Check(kind, Verdict.NOT_KNOWN, f"{kind}_not_known", {}, because)


def _index(marking: Marking, place: int) -> int | None:
    indices = marking.load_indices or ()
    return indices[place] if place < len(indices) else None


def _index_and_load(kind: CheckKind, index: int | None, marked_kg: float | None) -> Check:
    """Compare an index with a load: loads marked in steps of their own may lie up to one index beside theirs."""
    if index is None:
        return _not_known(kind, NotChecked.NOT_MARKED)
    if marked_kg is None:
        return _not_known(kind, NotChecked.NOT_STATED)
    facts: dict[str, Fact] = {"index": index, "index_load": mass(load_kg(index)), "marked_load": mass(marked_kg)}
    if exceeds(load_kg(max(index - 1, 0)) - MARKING_STEP_KG, marked_kg):
        return Check(kind, Verdict.CONTRADICTS, "marked_load_below_index", facts)
    if exceeds(marked_kg, load_kg(min(index + 1, LARGEST_INDEX)) + MARKING_STEP_KG):
        return Check(kind, Verdict.CONTRADICTS, "marked_load_above_index", facts)
    return Check(kind, Verdict.AGREES, "index_and_load_agree", facts)


def _dual_and_single(marking: Marking, stated: Stated) -> Check:
    kind = CheckKind.DUAL_AND_SINGLE
    single_kg, dual_kg = stated.max_load_single_kg, stated.max_load_dual_kg
    if single_kg is None or dual_kg is None:
        single_kg, dual_kg = (index_load_kg(marking, each) for each in (Fitment.SINGLE, Fitment.DUAL))
    if single_kg is None or dual_kg is None:
        if stated.fitment is Fitment.DUAL:
            return Check(kind, Verdict.NOT_KNOWN, "fitted_dual_without_dual_rating", {}, NotChecked.NOT_STATED)
        return _not_known(kind, NotChecked.NOT_STATED)
    facts = {"single": mass(single_kg), "dual": mass(dual_kg), "share": share(dual_kg / single_kg)}
    if exceeds(dual_kg, single_kg):
        return Check(kind, Verdict.CONTRADICTS, "dual_above_single", facts)
    if exceeds(LEAST_DUAL_SHARE, dual_kg / single_kg) or exceeds(dual_kg / single_kg, MOST_DUAL_SHARE):
        return Check(kind, Verdict.UNUSUAL, "dual_share_unusual", facts)
    return Check(kind, Verdict.AGREES, "dual_share_usual", facts)


def _marked_twice(kind: CheckKind, marked: str | None, stated: str | None) -> Check:
    """Compare a letter in the designation with the same letter given apart."""
    if marked is None and stated is None:
        return _not_known(kind, NotChecked.NOT_MARKED)
    facts: dict[str, Fact] = {"marked": marked or "none", "stated": stated or "none"}
    if marked is None or stated is None:
        return Check(kind, Verdict.AGREES, f"{kind}_marked_once", facts)
    if marked == stated:
        return Check(kind, Verdict.AGREES, f"{kind}_marked_alike", facts)
    return Check(kind, Verdict.CONTRADICTS, f"{kind}_marked_differently", facts)


def load_range_and_pressure(marking: Marking, stated: Stated) -> Check:
    """Return whether the marked pressure is usual for the load range."""
    kind = CheckKind.LOAD_RANGE_AND_PRESSURE
    load_range = marking.load_range or stated.load_range
    if marking.family not in USUAL_PRESSURES_PSI:
        return _not_known(kind, NotChecked.NOT_FOR_THIS_FAMILY)
    if load_range is None:
        return _not_known(kind, NotChecked.NOT_MARKED)
    if stated.max_pressure_pa is None:
        return _not_known(kind, NotChecked.NOT_STATED)
    if load_range not in USUAL_PRESSURES_PSI[marking.family]:
        return _not_known(kind, NotChecked.NO_USUAL_FIGURE)
    least_pa, most_pa = (psi * PSI_PA for psi in USUAL_PRESSURES_PSI[marking.family][load_range])
    facts: dict[str, Fact] = {
        "load_range": load_range,
        "marked": pressure(stated.max_pressure_pa),
        "least": pressure(least_pa),
        "most": pressure(most_pa),
    }
    below = exceeds(least_pa - PRESSURE_TOLERANCE_PA, stated.max_pressure_pa)
    if below or exceeds(stated.max_pressure_pa, most_pa + PRESSURE_TOLERANCE_PA):
        return Check(kind, Verdict.UNUSUAL, "pressure_unusual_for_load_range", facts)
    return Check(kind, Verdict.AGREES, "pressure_usual_for_load_range", facts)


def _rating_kg(marking: Marking, stated: Stated) -> float | None:
    """Return what one tire is rated to carry as fitted [kg]; None where neither load nor index is known."""
    single = stated.fitment is Fitment.SINGLE
    marked_kg = stated.max_load_single_kg if single else stated.max_load_dual_kg
    if marked_kg is None:
        marked_kg = index_load_kg(marking, stated.fitment)
    if marked_kg is None:
        return None
    return rating_as_fitted(marked_kg, marking, stated.fitment, stated.passenger_car)[0]


def _wheel_load(marking: Marking, stated: Stated) -> Check:
    kind, rating_kg = CheckKind.WHEEL_LOAD, _rating_kg(marking, stated)
    if rating_kg is None or stated.wheel.max_load_kg is None:
        return _not_known(kind, NotChecked.NOT_STATED)
    facts = {"tire": mass(rating_kg), "wheel": mass(stated.wheel.max_load_kg)}
    if exceeds(rating_kg - MARKING_STEP_KG, stated.wheel.max_load_kg):
        return Check(kind, Verdict.LIMITS, "wheel_carries_less_than_tire", facts)
    return Check(kind, Verdict.AGREES, "wheel_carries_the_tire", facts)


def _wheel_pressure(stated: Stated) -> Check:
    kind = CheckKind.WHEEL_PRESSURE
    if stated.max_pressure_pa is None or stated.wheel.max_pressure_pa is None:
        return _not_known(kind, NotChecked.NOT_STATED)
    facts = {"tire": pressure(stated.max_pressure_pa), "wheel": pressure(stated.wheel.max_pressure_pa)}
    if exceeds(stated.max_pressure_pa - PSI_PA / 2, stated.wheel.max_pressure_pa):
        return Check(kind, Verdict.LIMITS, "wheel_holds_less_than_tire", facts)
    return Check(kind, Verdict.AGREES, "wheel_holds_the_pressure", facts)


def _axle(marking: Marking, stated: Stated) -> Check:
    kind, rating_kg = CheckKind.AXLE, _rating_kg(marking, stated)
    if rating_kg is None or stated.gawr_kg is None:
        return _not_known(kind, NotChecked.NOT_STATED)
    tires = WHEEL_ENDS_OF_AN_AXLE * (2 if stated.fitment is Fitment.DUAL else 1)
    facts: dict[str, Fact] = {
        "tires": tires,
        "rating": mass(rating_kg),
        "sum": mass(tires * rating_kg),
        "gawr": mass(stated.gawr_kg),
    }
    if exceeds(stated.gawr_kg, tires * rating_kg):
        return Check(kind, Verdict.CONTRADICTS, "tires_below_axle_rating", facts)
    return Check(kind, Verdict.AGREES, "tires_carry_axle_rating", facts)


def _speed(marking: Marking, stated: Stated) -> Check:
    kind, driven = CheckKind.SPEED, stated.speed_m_per_s
    if driven is None:
        return _not_known(kind, NotChecked.NOT_STATED)
    symbol = min(filter(None, (marking.speed_symbol, stated.speed_symbol)), key=speed_m_per_s, default=None)
    if symbol is None and marking.family is not Family.SPECIAL_TRAILER:
        return _not_known(kind, NotChecked.NOT_MARKED)
    most = SPECIAL_TRAILER_SPEED_M_PER_S if symbol is None else speed_m_per_s(symbol)
    facts: dict[str, Fact] = {
        "symbol": symbol or "none",
        "most": Quantity("speed", most),
        "driven": Quantity("speed", driven),
    }
    if not exceeds(driven, most + SPEED_TOLERANCE_M_PER_S):
        return Check(kind, Verdict.AGREES, "speed_within", facts)
    second = marking.second_service
    if second is not None and service_allows(second, driven):
        facts["second_load"] = mass(load_kg(second.load_indices[0]))
        return Check(kind, Verdict.LIMITS, "second_service_applies", facts)
    code = "speed_above_special_trailer" if symbol is None else "speed_above_symbol"
    return Check(kind, Verdict.CONTRADICTS, code, facts)


def service_allows(service: ServiceDescription, driven_m_per_s: float) -> bool:
    """Return whether a service description's symbol allows a speed [m/s], as tables in mph round it."""
    if service.speed_symbol is None:
        return False
    return not exceeds(driven_m_per_s, speed_m_per_s(service.speed_symbol) + SPEED_TOLERANCE_M_PER_S)
