"""How much more may go to a place before the first limit, and which limit that is.

The more goes there, the more a sum of loads changes, and its doubt with it: value and upper bound after a mass m
follow from equilibrium (`statics`) and from the propagation of uncertainty (JCGM 100:2008, 5.1.2), so that every
limit is kept while

    c + a m + sqrt(U^2 + (A m)^2) <= 0

c is what the row of the limit is above it now, a its change per kg, U and A are k times its doubt now and that of its
change per kg. The left side is convex in m: what each limit allows is an interval, whose ends solve a quadratic.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from math import inf, sqrt
from typing import Final

import numpy as np
from msgspec import Struct

from axlewright.core.estimates import LoadEstimates, UnknownBecause
from axlewright.core.loads.aboard import mass_change
from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.limit_rows import LimitRow, Matrix, limit_rows
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.standings import Bound
from axlewright.core.loads.statics import NO_EFFECT, Statics
from axlewright.core.rig import Place, Rig

GROUND_CONTACT: Final = "ground_contact"
"""Basis of the limit that a wheel end stays on the ground: no wheel pulls."""

UNREACHED_KG: Final = 100_000.0
"""A limit that no smaller mass reaches is not reached, and one that no smaller mass mends not mended; judgement."""

Masses = tuple[float, float]
"""The least and the most [kg] that keeps something; the most may be infinite."""


class HeldLimits(Struct, frozen=True, dict=True):
    """What has to be kept, over so many loads (m).

    ``rows`` are the limits that can be judged; the ``unjudged`` come with their coefficients (m).
    """

    load_count: int
    rows: tuple[LimitRow, ...]
    unjudged: tuple[tuple[LimitCheck, Matrix], ...]

    def broken(self, coverage_factor: float) -> list[LimitRow]:
        """Return the rows that are not surely kept as the rig stands, the worst first."""
        excesses = [(over + coverage_factor * u, row) for (over, u), row in zip(self.now_kg, self.rows, strict=True)]
        found = [(excess / row.tolerance_kg, row) for excess, row in excesses if excess > row.tolerance_kg]
        return [row for _, row in sorted(found, key=lambda each: -each[0])]

    @cached_property
    def now_kg(self) -> list[tuple[float, float]]:
        """What each row is above its limit now, negative where it is below, and the standard uncertainty of that."""
        return [(over := excess_now_kg(row, 0.0), excess_now_kg(row, 1.0) - over) for row in self.rows]

    @cached_property
    def weights(self) -> Matrix:
        """The coefficients of all rows (r, m)."""
        return _stacked([row.row for row in self.rows], self.load_count)

    @cached_property
    def unjudged_weights(self) -> Matrix:
        """The same of the limits that cannot be judged."""
        return _stacked([row for _, row in self.unjudged], self.load_count)


class Headroom(Struct, frozen=True):
    """What may still go to a place.

    Attributes
    ----------
    most_kg
        The most [kg], as it really weighs; None where that is unknown, or where nothing limits it.
    at_least_kg
        The least [kg] that has to go there so that a limit that is broken now is kept; 0 where none is.
    limited_by
        The limit, or the place with its capacity, that allows no more; None where nothing does.
    broken
        What is not surely kept already, and stays so whatever goes there; the worst first.
    unjudged
        Limits that a mass there may break and that cannot be judged: they leave ``most_kg`` unknown.
    by_known_kg
        What the other limits allow at most [kg]; None where they allow any.
    """

    place: Place
    most_kg: float | None
    at_least_kg: float
    limited_by: LimitCheck | Place | None
    broken: tuple[LimitCheck, ...]
    unjudged: tuple[LimitCheck, ...]
    by_known_kg: float | None

    @property
    def unknown_because(self) -> UnknownBecause | None:
        """Why the most is not known."""
        return self.unjudged[0].unknown_because if self.unjudged else None


def held_limits(rig: Rig, checks: Iterable[LimitCheck], estimates: LoadEstimates) -> HeldLimits:
    """Return every limit on loads that a rig has to keep, and that each of its wheel ends stays on the ground."""
    held = [*(check for check in checks if check.of), *_ground_contacts(rig, estimates)]
    return HeldLimits(
        len(estimates.columns.names),
        tuple(limit_rows(held, estimates)),
        tuple((check, _unjudged_row(check, estimates)) for check in held if check.unknown_because is not None),
    )


def headroom(
    place: Place, statics: Statics, held: HeldLimits, coverage_factor: float, aboard_kg: float = 0.0
) -> Headroom:
    """Return how much more may go to a place.

    Parameters
    ----------
    place
        Where, in its vehicle.
    statics
        Of that vehicle.
    held
        What has to be kept; by limits that the place does not touch nothing may be added while they are broken.
    coverage_factor
        k: a limit is kept while L + k u lies within it.
    aboard_kg
        What counts against the place's capacity already [kg].
    """
    per_kg = mass_change(place.name, 1.0, 0.0, place, statics)
    kept = _kept_by_limit(held, per_kg, coverage_factor)
    least_kg = max((least for least, _ in kept), default=0.0)
    most_kg = min((most for _, most in kept), default=inf)
    stop: LimitCheck | Place | None = None
    if most_kg < inf:
        stop = next(row.check for row, (_, most) in zip(held.rows, kept, strict=True) if most == most_kg)
    free_kg = inf if place.capacity_kg is None else max(place.capacity_kg - aboard_kg, 0.0)
    if free_kg < most_kg:
        most_kg, stop = free_kg, place
    broken = held.broken(coverage_factor) if least_kg > most_kg else []
    if broken:
        least_kg, most_kg, stop = 0.0, 0.0, broken[0].check
    known_kg = None if most_kg == inf else most_kg
    unjudged = () if most_kg == 0.0 else tuple(_endangered(held, per_kg, coverage_factor))
    return Headroom(
        place,
        None if unjudged else known_kg,
        least_kg,
        stop,
        tuple(row.check for row in broken),
        unjudged,
        known_kg,
    )


def excess_now_kg(row: LimitRow, coverage_factor: float) -> float:
    """Return by how much a limit is broken, at the upper bound, as the rig stands [kg]; negative where it is kept."""
    return row.excess_kg(LoadChange(0.0 * row.row), coverage_factor)


def kept_masses(now: float, per_kg: float, spread_now: float, spread_per_kg: float) -> Masses | None:
    """Return the masses m >= 0 with now + per_kg m + sqrt(spread_now^2 + (spread_per_kg m)^2) <= 0; None for none.

    Parameters
    ----------
    now, per_kg
        What the row of a limit is above it [kg], and its change per kg.
    spread_now, spread_per_kg
        k times the doubt of both, at least 0.

    Notes
    -----
    The roots of (a^2 - A^2) m^2 + 2 a c m + c^2 - U^2, in the form that does not take alike figures from each other.

    >>> kept_masses(-300.0, 0.5, 0.0, 0.0), kept_masses(-50.0, 1.0, 30.0, 0.0)
    ((0.0, 600.0), (0.0, 20.0))
    """
    c, a, big_u, big_a = now, per_kg, spread_now, spread_per_kg
    square = big_a**2 * (c - big_u) * (c + big_u) + (a * big_u) ** 2
    if c + big_u > 0.0:
        return _mending_masses(c, a, big_u, big_a, square)
    return 0.0, _last_mass(c, a, big_u, big_a, sqrt(max(square, 0.0)))


def _last_mass(c: float, a: float, big_u: float, big_a: float, root: float) -> float:
    """Return the most that keeps a limit which is kept now."""
    if a + big_a <= 0.0:
        return inf
    if c + big_u == 0.0 and a >= 0.0:
        return 0.0
    if a > 0.0:
        return (c - big_u) * (c + big_u) / (root - a * c)
    return (root + a * c) / ((big_a - a) * (big_a + a))


def _mending_masses(c: float, a: float, big_u: float, big_a: float, square: float) -> Masses | None:
    """Return the masses that keep a limit which is broken now."""
    falls_for_good = a + big_a < 0.0
    if a >= 0.0 or square < 0.0 or (c >= 0.0 and not falls_for_good):
        return None
    root = sqrt(square)
    least = (root - a * c) / ((a - big_a) * (a + big_a)) if c >= 0.0 else (c - big_u) * (c + big_u) / (-a * c - root)
    return least, _last_mass(c, a, big_u, big_a, root)


def _kept_by_limit(held: HeldLimits, per_kg: LoadChange, coverage_factor: float) -> list[Masses]:
    """Return the masses that keep each limit; none keeps one whose least is above its most."""
    changes, spreads = _per_kg(held.weights, per_kg, coverage_factor)
    found = []
    for row, (now_kg, u_kg), change, spread in zip(held.rows, held.now_kg, changes, spreads, strict=True):
        spread_now_kg = coverage_factor * u_kg
        is_just_kept = 0.0 < now_kg + spread_now_kg <= row.tolerance_kg
        kept = kept_masses(-spread_now_kg if is_just_kept else now_kg, change, spread_now_kg, spread)
        if kept is None or kept[0] > UNREACHED_KG:
            kept = inf, 0.0
        found.append((kept[0], inf if kept[1] > UNREACHED_KG else kept[1]))
    return found


def _per_kg(weights: Matrix, per_kg: LoadChange, coverage_factor: float) -> tuple[list[float], list[float]]:
    """Return how many kg each row (r) changes per kg, and k times the doubt of that; rounding is no change."""
    effects = _stacked(list(per_kg.effects.values()), weights.shape[1])
    changes, doubts = weights @ per_kg.loads, np.linalg.norm(weights @ effects.T, axis=1)
    visible = [np.where(np.abs(each) < NO_EFFECT, 0.0, each) for each in (changes, doubts)]
    return visible[0].tolist(), (coverage_factor * visible[1]).tolist()


def _stacked(rows: Sequence[Matrix], count: int) -> Matrix:
    return np.array(rows).reshape(-1, count)


def _endangered(held: HeldLimits, per_kg: LoadChange, coverage_factor: float) -> Iterator[LimitCheck]:
    """Yield the limits that a mass may break, however the load stands to them now."""
    changes, spreads = _per_kg(held.unjudged_weights, per_kg, coverage_factor)
    for (check, _), change, spread in zip(held.unjudged, changes, spreads, strict=True):
        if change + spread > NO_EFFECT:
            yield check


def _ground_contacts(rig: Rig, estimates: LoadEstimates) -> Iterator[LimitCheck]:
    for _, _, end in rig.wheel_ends():
        of = {end.name: 1.0}
        load = estimates.known(of)
        yield LimitCheck(end.name, end.name, LimitKind.WHEEL_END, Bound.LEAST, load, 0.0, GROUND_CONTACT, of=of)


def _unjudged_row(check: LimitCheck, estimates: LoadEstimates) -> Matrix:
    row = estimates.columns.row(check.of)
    if check.whole is not None and isinstance(check.limit, float):
        row = row - check.limit * estimates.columns.row(check.whole)
    return row if check.bound is Bound.MOST else -row
