"""Worlds in which readings go wrong, drawn without the core's code.

Class III L maintenance tolerance: one division for each 500 divisions or part of them (NIST Handbook 44, section
2.20, table 6, from memory). Placement: the larger of half a division and 0.1 % of the reading as a standard
uncertainty, and 0.25 % of the axle's load where one side hangs (judgement of the service, stated with its answers).
"""

from collections import defaultdict
from collections.abc import Callable, Hashable
from math import ceil, sqrt

import numpy as np
from numpy.typing import NDArray

from tests.simulation.weighs import Weigh
from tests.yard import LB

Matrix = NDArray[np.float64]
World = Callable[[Weigh, np.random.Generator, int], Matrix]


def normal_errors(weigh: Weigh, random: np.random.Generator, draws: int) -> Matrix:
    """Return readings [kg] (draws, n) with normal errors of the covariance that the core states."""
    errors = random.standard_normal((draws, len(weigh.plan))) @ np.linalg.cholesky(weigh.covariance).T
    return weigh.true_readings_kg + errors


def real_shapes(
    weigh: Weigh,
    random: np.random.Generator,
    draws: int,
    *,
    common: bool = True,
    whole_axle_share: float = 0.001,
    hanging_side_share: float = 0.0025,
    placement_times: float = 1.0,
) -> Matrix:
    """Return readings [kg] with rectangular errors, common parts common, rounded to the division.

    Parameters
    ----------
    common
        False draws what should be common to several readings for each of them anew.
    placement_times
        Multiplies all that comes from where and how the wheels stand.
    """
    true_lb = weigh.true_readings_kg / LB
    division_lb = weigh.division_lb
    rows = range(len(true_lb))
    platforms = [platform for _, platform, _ in weigh.plan]
    wheels = [frozenset(names) for _, _, names in weigh.plan]
    tolerance_lb = np.array([ceil(value / division_lb / 500) * division_lb for value in true_lb])
    span_lb = 0.002 * true_lb
    rest_lb = np.sqrt(np.maximum(tolerance_lb**2 - span_lb**2, 0.0))
    placement_u_lb = placement_times * np.maximum(division_lb / 2, whole_axle_share * true_lb)
    hanging_u_lb = placement_times * hanging_side_share * np.array(_half_weighed_lb(weigh))

    def rectangular(keys: list[Hashable], half_widths_lb: Matrix) -> Matrix:
        """Return one rectangular error for each key, common to all its rows."""
        keys = keys if common else list(rows)
        of_key: dict[Hashable, Matrix] = {key: random.uniform(-1.0, 1.0, draws) for key in dict.fromkeys(keys)}
        return np.column_stack([of_key[key] * half_width for key, half_width in zip(keys, half_widths_lb, strict=True)])

    shown_lb = (
        true_lb
        + rectangular(list(platforms), span_lb)
        + rectangular(list(zip(platforms, wheels, strict=True)), rest_lb)
        + rectangular(list(rows), sqrt(3) * placement_u_lb)
        + rectangular(["hanging"] * len(true_lb), sqrt(3) * hanging_u_lb)
    )
    return np.asarray(np.round(shown_lb / division_lb) * division_lb * LB)


def independent_errors(weigh: Weigh, random: np.random.Generator, draws: int) -> Matrix:
    """Return readings whose errors have the real shapes but nothing in common."""
    return real_shapes(weigh, random, draws, common=False)


def doubled_placement(weigh: Weigh, random: np.random.Generator, draws: int) -> Matrix:
    """Return readings of wheels that stand twice as badly as supposed."""
    return real_shapes(weigh, random, draws, placement_times=2.0)


def no_hanging_side_error(weigh: Weigh, random: np.random.Generator, draws: int) -> Matrix:
    """Return readings of a platform level with the ground beside it."""
    return real_shapes(weigh, random, draws, hanging_side_share=0.0)


def _half_weighed_lb(weigh: Weigh) -> list[float]:
    """Return for each row the load [lb] of the axles with one side only on the scale in that pass."""
    sides: dict[tuple[str, str], set[str]] = defaultdict(set)
    for pass_name, _, names in weigh.plan:
        for name in names:
            axle, side = name.rsplit(".", 1)
            sides[pass_name, axle].add(side)
    return [
        sum(
            weigh.truth_lb[f"{axle}.left"] + weigh.truth_lb[f"{axle}.right"]
            for axle in {name.rsplit(".", 1)[0] for name in names}
            if len(sides[pass_name, axle]) == 1
        )
        for pass_name, _, names in weigh.plan
    ]
