"""Which loads a site can give at all, and what stands in the way of the others."""

from collections.abc import Collection, Iterable, Sequence
from enum import StrEnum
from typing import Final

import numpy as np
from msgspec import Struct, structs

from axlewright.core.errors import CoreError
from axlewright.core.sessions.passes import Platform
from axlewright.core.sessions.plan_question import PlanQuestion, Target
from axlewright.core.sessions.schedule import reached
from axlewright.core.sessions.site import Rails, Site
from axlewright.core.sessions.standing import Standing, standings
from axlewright.core.sessions.train import Train, out_of_state

LONG_WAY_M: Final = 200.0
"""A way [m] that is long enough, or wide enough, for any rig."""


class Reason(StrEnum):
    """What stands in the way of a load."""

    GUARD_RAILS = "guard_rails"
    WHOLE_AXLES_ONLY = "whole_axles_only"
    ONE_WAY = "one_way"
    APPROACH_TOO_SHORT = "approach_too_short"
    PLATFORM_TOO_NARROW = "platform_too_narrow"
    BEYOND_SCALE = "beyond_scale"
    PULLED_BY_UNKNOWN = "pulled_by_unknown"
    NO_PLATFORM_FITS = "no_platform_fits"
    AXLES_NOT_SEPARATED = "axles_not_separated"


class Impossible(Struct, frozen=True):
    """A load that no schedule gives, all that stands in the way, and the finest reading around it (none: empty)."""

    target: Target
    reasons: tuple[Reason, ...]
    coarser: frozenset[str]


LOOSENED_IN_TURN: Final = (
    Reason.PULLED_BY_UNKNOWN,
    Reason.BEYOND_SCALE,
    Reason.ONE_WAY,
    Reason.APPROACH_TOO_SHORT,
    Reason.WHOLE_AXLES_ONLY,
    Reason.GUARD_RAILS,
    Reason.PLATFORM_TOO_NARROW,
)
"""What a site, or what stands on it, may be freed of; of two that would do alike the later one is told."""


def ways_to_stand(question: PlanQuestion, trains: Iterable[Train], without: Collection[Reason] = ()) -> list[Standing]:
    """Return every way to stand whose readings the scale can print.

    Parameters
    ----------
    without
        Reasons that are taken not to stand in the way.
    """
    site = _loosened(question.site, without)
    if Reason.PULLED_BY_UNKNOWN in without:
        trains = [structs.replace(train, pulled_m=None) for train in trains]
    return [
        way
        for train in trains
        for way in standings(train, site, _too_heavy(question, train))
        if Reason.BEYOND_SCALE in without or not overloaded(question, way)
    ]


def _loosened(site: Site, without: Collection[Reason]) -> Site:
    if Reason.GUARD_RAILS in without:
        site = structs.replace(site, rails=Rails.NONE)
    if Reason.WHOLE_AXLES_ONLY in without:
        site = structs.replace(site, whole_axles_only=False)
    if Reason.ONE_WAY in without:
        site = structs.replace(site, one_way=False)
    if Reason.APPROACH_TOO_SHORT in without:
        site = structs.replace(site, before_m=LONG_WAY_M, after_m=LONG_WAY_M)
    if Reason.PLATFORM_TOO_NARROW in without:
        wide = tuple(structs.replace(each, width_m=LONG_WAY_M) for each in site.platforms)
        site = structs.replace(site, platforms=wide)
    return site


def expected_readings(question: PlanQuestion, way: Standing) -> tuple[float, ...]:
    """Return what each platform is expected to read [kg]."""
    return tuple(sum(question.expected_kg[out_of_state(wheel)] for wheel in sorted(wheels)) for _, wheels in way.rows)


def _too_heavy(question: PlanQuestion, train: Train) -> frozenset[str]:
    """Return the wheel ends of a train that no pad can show."""
    site = question.site
    return frozenset(
        wheel
        for wheel in train.wheels
        if site.pads and not _is_shown(site, question.expected_kg[out_of_state(wheel)], site.pad_division_kg)
    )


def overloaded(question: PlanQuestion, way: Standing) -> list[Platform]:
    """Return the platforms that are expected to carry more than they can show."""
    expected_kg = expected_readings(question, way)
    return [
        platform
        for (platform, _), value_kg in zip(way.rows, expected_kg, strict=True)
        if not _is_shown(question.site, value_kg, platform.division_kg)
    ]


def _is_shown(site: Site, value_kg: float, division_kg: float) -> bool:
    try:
        site.tolerance.tolerance_kg(value_kg, division_kg)
    except CoreError:
        return False
    return True


def are_given(targets: Sequence[Target], ways: Iterable[Standing]) -> list[bool]:
    """Return of wanted loads which all ways to stand together make known."""
    readings = sorted({wheels for way in ways for _, wheels in way.rows}, key=sorted)
    place = {wheel: number for number, wheel in enumerate(sorted(frozenset().union(*readings)))}
    if not readings:
        return [False] * len(targets)
    design = np.zeros((len(readings), len(place)))
    for row, wheels in enumerate(readings):
        design[row, [place[wheel] for wheel in wheels]] = 1.0
    touched = [target.terms.keys() <= place.keys() for target in targets]
    wanted = np.zeros((len(targets), len(place)))
    for row, (target, is_touched) in enumerate(zip(targets, touched, strict=True)):
        if is_touched:
            wanted[row, [place[wheel] for wheel in target.terms]] = list(target.terms.values())
    return [both and seen for both, seen in zip(touched, reached(design, wanted).tolist(), strict=True)]


def impossible_of(question: PlanQuestion, trains: Sequence[Train], ways: Sequence[Standing]) -> tuple[Impossible, ...]:
    """Return the wanted loads that no ways to stand give, with what stands in the way."""
    given = are_given(question.targets, ways)
    missing = [target for target, is_given in zip(question.targets, given, strict=True) if not is_given]
    if not missing:
        return ()
    known: dict[frozenset[Reason], list[bool]] = {}

    def gives(without: frozenset[Reason], number: int) -> bool:
        if without not in known:
            known[without] = are_given(missing, ways_to_stand(question, trains, without))
        return known[without][number]

    freed = ways_to_stand(question, trains, LOOSENED_IN_TURN)
    stood = frozenset(wheel for way in freed for _, wheels in way.rows for wheel in wheels)
    found = []
    for number, target in enumerate(missing):
        without = frozenset(LOOSENED_IN_TURN)
        if gives(without, number):
            for reason in LOOSENED_IN_TURN:
                if gives(without - {reason}, number):
                    without -= {reason}
            reasons = tuple(reason for reason in Reason if reason in without)
        else:
            stands = target.terms.keys() <= stood
            reasons = (Reason.AXLES_NOT_SEPARATED if stands else Reason.NO_PLATFORM_FITS,)
        found.append(Impossible(target, reasons, _coarser(target, ways)))
    return tuple(found)


def _coarser(target: Target, ways: Iterable[Standing]) -> frozenset[str]:
    """Return the wheel ends of the reading with the fewest that holds a whole wanted load."""
    around = [wheels for way in ways for _, wheels in way.rows if target.terms.keys() <= wheels]
    least = min(around, key=lambda wheels: (len(wheels), sorted(wheels)), default=frozenset())
    return frozenset(out_of_state(wheel) for wheel in least)
