"""What is known of a rig's loads: one joint estimate, from which every load and every doubt is read."""

from collections.abc import Container, Iterable, Mapping
from enum import StrEnum
from math import sqrt

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Matrix = NDArray[np.float64]

VISIBLE = 1e-9
"""Coefficient, against the 0 or 1 with which a wheel enters a sum, that is more than rounding."""
IMPOSSIBLE_US = 3.0
"""A wheel end lighter than nothing by so many standard uncertainties shows readings that cannot all be right."""


class UnknownBecause(StrEnum):
    """Why a load is not known."""

    NOT_WEIGHED = "not_weighed"
    NOT_SEPARATED = "not_separated"
    IMPOSSIBLE = "impossible"
    COUPLING_NOT_WEIGHED = "coupling_not_weighed"
    NO_CAPACITY = "no_capacity"


class Estimate(Struct, frozen=True):
    """A known load or share: value, standard uncertainty (None where nobody stated it), whether it is provisional.

    Provisional means that the readings beneath it failed their cross-check.
    """

    value: float
    u: float | None
    provisional: bool = False

    def spread(self, coverage_factor: float) -> float:
        """Return k u, 0 where u is not stated."""
        return coverage_factor * (self.u or 0.0)


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

    def row(self, sum_of: Mapping[str, float]) -> Matrix:
        """Return the coefficients (m) of a weighted sum of wheel ends or single tires."""
        row = np.zeros(len(self.names))
        for name, weight in sum_of.items():
            indices = self.of.get(name) or (self.names.index(name),)
            row[list(indices)] += weight
        return row

    def tires_of(self, wheel_end: str) -> tuple[str, ...]:
        """Return the columns of a wheel end: its own, or its two tires where they are apart."""
        return tuple(self.names[column] for column in self.of[wheel_end])


class Solution(Struct, frozen=True):
    """Loads (m) [kg] of a part's columns with their covariance (m, m) [kg2]."""

    loads: Matrix
    covariance: Matrix


class Part(Struct, frozen=True):
    """Columns that the readings tie together, solved on their own.

    ``alternatives`` are the solutions without one of the readings each, kept where the cross-check failed.
    """

    columns: tuple[int, ...]
    failed: bool = False
    impossible: bool = False
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
        Directions (m, k) that no reading sees.
    unstated
        Gains (m, j) of the given loads whose uncertainty nobody stated.
    parts
        The independent parts.
    """

    columns: Columns
    joint: Solution
    unobserved: Matrix
    unstated: Matrix
    parts: tuple[Part, ...]

    def known(self, sum_of: Mapping[str, float]) -> Estimate | UnknownBecause:
        """Return the estimate of a weighted sum of wheel ends, or why there is none.

        Parameters
        ----------
        sum_of
            Weight of each wheel end, or of a single tire's column.
        """
        row = self.columns.row(sum_of)
        weighed = {column for part in self.parts for column in part.columns}
        used = np.flatnonzero(row).tolist()
        if not weighed.issuperset(used):
            return UnknownBecause.NOT_WEIGHED
        if np.any(np.abs(row @ self.unobserved) > VISIBLE):
            return UnknownBecause.NOT_SEPARATED
        touched = [part for part in self.parts if not set(part.columns).isdisjoint(used)]
        if any(part.impossible for part in touched):
            return UnknownBecause.IMPOSSIBLE
        stated = not np.any(np.abs(row @ self.unstated) > VISIBLE)
        value, u = _value_and_u(row, self.joint)
        return Estimate(value, u if stated else None, any(part.failed for part in touched))

    def upper_bound(self, sum_of: Mapping[str, float], coverage_factor: float) -> float:
        """Return L + k u [kg] of a known sum; after a failed cross-check, of the highest solution without a reading."""
        row = self.columns.row(sum_of)
        touched = [part for part in self.parts if np.any(row[list(part.columns)])]
        if not any(part.failed for part in touched):
            value, u = _value_and_u(row, self.joint)
            return value + coverage_factor * u
        total = 0.0
        for part in touched:
            columns = list(part.columns)
            own = Solution(self.joint.loads[columns], self.joint.covariance[np.ix_(columns, columns)])
            candidates = (_value_and_u(row[columns], each) for each in (own, *part.alternatives))
            total += max(value + coverage_factor * u for value, u in candidates)
        return total

    def covariance(self, first: Mapping[str, float], second: Mapping[str, float]) -> float:
        """Return the covariance [kg2] of two sums of wheel ends."""
        return float(self.columns.row(first) @ self.joint.covariance @ self.columns.row(second))


def _value_and_u(row: Matrix, solution: Solution) -> tuple[float, float]:
    variance = float(row @ solution.covariance @ row)
    return float(row @ solution.loads), sqrt(max(variance, 0.0))
