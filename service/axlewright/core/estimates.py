"""What is known of a rig's loads: one joint estimate, from which every load and every doubt is read."""

from collections.abc import Container, Iterable, Mapping
from enum import StrEnum
from math import sqrt

import numpy as np
from msgspec import Struct, field, structs
from numpy.typing import NDArray

Matrix = NDArray[np.float64]
Terms = list[tuple[int, float]]

VISIBLE = 1e-9
"""Coefficient, against the 0 or 1 with which a wheel enters a sum, that is more than rounding."""
IMPOSSIBLE_US = 3.0
"""A wheel lighter than nothing by so many standard uncertainties shows readings that cannot all be right."""


class UnknownBecause(StrEnum):
    """Why a figure is not known."""

    NOT_WEIGHED = "not_weighed"
    NOT_SEPARATED = "not_separated"
    IMPOSSIBLE = "impossible"
    WOULD_LIFT = "would_lift"
    COUPLING_NOT_WEIGHED = "coupling_not_weighed"
    NOT_TOLD = "not_told"
    NOT_WITHOUT_BARS = "not_without_bars"
    WITHIN_DOUBT = "within_doubt"
    NO_CAPACITY = "no_capacity"
    NO_SPEED_SYMBOL = "no_speed_symbol"
    NO_UNLOADED_WEIGHT = "no_unloaded_weight"
    NO_HITCH_RATING = "no_hitch_rating"


class Estimate(Struct, frozen=True, gc=False):
    """A known load [kg] or share with its doubt.

    Attributes
    ----------
    value, u
        Best estimate and standard uncertainty; u is None where part of it was not stated.
    provisional
        The readings beneath it failed their cross-check.
    stated_u
        Standard uncertainty of what was stated, where not all was: the doubt is at least this.
    drop, rise
        How far the solutions without one of the readings lie below and above, where the cross-check failed.
    widest_u
        The largest standard uncertainty of those solutions.
    """

    value: float
    u: float | None
    provisional: bool = False
    stated_u: float = 0.0
    drop: float = 0.0
    rise: float = 0.0
    widest_u: float = 0.0

    def spread(self, coverage_factor: float) -> float:
        """Return k times what is stated of the standard uncertainty."""
        return coverage_factor * max(self.stated_u if self.u is None else self.u, self.widest_u)

    def low(self, coverage_factor: float) -> float:
        """Return L - k u; after a failed cross-check of the lowest solution without one reading."""
        return self.value - self.drop - self.spread(coverage_factor)

    def high(self, coverage_factor: float) -> float:
        """Return L + k u; after a failed cross-check of the highest solution without one reading."""
        return self.value + self.rise + self.spread(coverage_factor)


class Columns(Struct, frozen=True):
    """The unknowns: every wheel end, but both tires of a dual where one of them was weighed alone.

    ``names`` holds them in order (m); ``of`` gives each wheel end its own.
    """

    names: tuple[str, ...]
    of: dict[str, tuple[int, ...]]

    @classmethod
    def of_wheel_ends(cls, wheel_ends: Iterable[str], split: Container[str]) -> "Columns":
        """Return the unknowns of some wheel ends, of which some are split into tires.

        >>> Columns.of_wheel_ends(["steer.left", "drive.left"], {"drive.left"}).names
        ('steer.left', 'drive.left.inner', 'drive.left.outer')
        """
        names: list[str] = []
        of: dict[str, tuple[int, ...]] = {}
        for wheel_end in wheel_ends:
            own = [f"{wheel_end}.inner", f"{wheel_end}.outer"] if wheel_end in split else [wheel_end]
            of[wheel_end] = tuple(range(len(names), len(names) + len(own)))
            names.extend(own)
        return cls(tuple(names), of)

    def terms(self, sum_of: Mapping[str, float]) -> Terms:
        """Return place and weight of every unknown in a weighted sum of wheel ends or single tires."""
        return [
            (column, weight)
            for name, weight in sum_of.items()
            for column in (self.of.get(name) or (self.names.index(name),))
            if weight
        ]

    def row(self, sum_of: Mapping[str, float]) -> Matrix:
        """Return the coefficients (m) of a weighted sum of wheel ends or single tires."""
        row = np.zeros(len(self.names))
        for column, weight in self.terms(sum_of):
            row[column] += weight
        return row

    def tires_of(self, wheel_end: str) -> tuple[str, ...]:
        """Return the columns of a wheel end: its own, or its two tires where they are apart."""
        return tuple(self.names[column] for column in self.of[wheel_end])


class Solution(Struct, frozen=True):
    """Loads (m) [kg] of all columns with their covariance (m, m) [kg2]; lists, as the sums over them are short."""

    loads: list[float]
    covariance: list[list[float]]

    def value(self, terms: Terms) -> float:
        """Return a weighted sum of the loads [kg]."""
        value = 0.0
        for column, weight in terms:
            value += weight * self.loads[column]
        return value

    def variance(self, terms: Terms) -> float:
        """Return the variance [kg2] of a weighted sum."""
        variance = 0.0
        for place, (column, weight) in enumerate(terms):
            row = self.covariance[column]
            shared = 0.0
            for other, its_weight in terms[:place]:
                shared += its_weight * row[other]
            variance += weight * (weight * row[column] + 2 * shared)
        return variance


class Part(Struct, frozen=True, gc=False):
    """Columns that the readings tie together, solved on their own.

    ``alternatives`` are the joint solutions without one of its readings each, kept where the cross-check failed.
    ``lifts`` tells of a predicted state in which a wheel would lift: there statics tell no load.
    """

    columns: tuple[int, ...]
    failed: bool = False
    impossible: bool = False
    lifts: bool = False
    alternatives: tuple[Solution, ...] = ()


class LoadEstimates(Struct, frozen=True):
    """The joint estimate of all wheels of a rig.

    Attributes
    ----------
    columns
        The unknowns (m).
    joint
        Loads and covariance of all columns.
    unobserved
        Directions (k, m) that no reading sees.
    unstated
        Effects (j, m) of the given loads whose uncertainty nobody stated.
    parts
        The independent parts.
    weighed
        The columns of all parts.
    answered
        The sums that were asked for so far, with their answers: every room asks for the same few.
    """

    columns: Columns
    joint: Solution
    unobserved: list[list[float]]
    unstated: list[list[float]]
    parts: tuple[Part, ...]
    weighed: frozenset[int]
    answered: dict[tuple[tuple[str, float], ...], Estimate | UnknownBecause] = field(default_factory=dict)

    def known(self, sum_of: Mapping[str, float]) -> Estimate | UnknownBecause:
        """Return the estimate of a weighted sum of wheel ends, or why there is none.

        Parameters
        ----------
        sum_of
            Weight of each wheel end, or of a single tire's column.
        """
        asked = tuple(sum_of.items())
        known = self.answered.get(asked)
        if known is None:
            known = self.answered[asked] = self._known(self.columns.terms(sum_of))
        return known

    def _known(self, terms: Terms) -> Estimate | UnknownBecause:
        used = {column for column, _ in terms}
        if not used <= self.weighed:
            return UnknownBecause.NOT_WEIGHED
        if _sees(self.unobserved, terms):
            return UnknownBecause.NOT_SEPARATED
        value = self.joint.value(terms)
        u = sqrt(max(self.joint.variance(terms), 0.0))
        doubtful = [part for part in self.parts if part.failed or part.impossible or part.lifts]
        if doubtful:
            touched = [part for part in doubtful if not used.isdisjoint(part.columns)]
            if any(part.impossible for part in touched):
                return UnknownBecause.IMPOSSIBLE
            if any(part.lifts for part in touched):
                return UnknownBecause.WOULD_LIFT
            if touched:
                return _provisional(value, u, terms, touched)
        return Estimate(value, None, stated_u=u) if _sees(self.unstated, terms) else Estimate(value, u)

    def to_first_order(self, value: float, slopes: Mapping[str, float]) -> Estimate | UnknownBecause:
        """Return the value of a function of the loads with the doubt that its slopes give it (JCGM 100:2008, 5.2.2).

        Parameters
        ----------
        slopes
            Derivative with respect to the load of each wheel end, per kg.
        """
        change = self._known(self.columns.terms(slopes))
        return change if isinstance(change, UnknownBecause) else structs.replace(change, value=value)


def _sees(directions: list[list[float]], terms: Terms) -> bool:
    for direction in directions:
        seen = 0.0
        for column, weight in terms:
            seen += weight * direction[column]
        if abs(seen) > VISIBLE:
            return True
    return False


def _provisional(value: float, u: float, terms: Terms, failed: list[Part]) -> Estimate:
    """Return an estimate with the reach of the solutions without one reading, added up over the failed parts."""
    drop = rise = 0.0
    widest_u = u
    for part in failed:
        shifts = [each.value(terms) - value for each in part.alternatives]
        drop += max([0.0, *(-shift for shift in shifts)])
        rise += max([0.0, *shifts])
        widest_u = max([widest_u, *(sqrt(max(each.variance(terms), 0.0)) for each in part.alternatives)])
    return Estimate(value, u, True, drop=drop, rise=rise, widest_u=widest_u)
