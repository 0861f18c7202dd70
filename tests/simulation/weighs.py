"""Three invented weighs with known true loads, and the core's answer to many draws of their readings at once."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import sqrt

import numpy as np
from msgspec import structs
from numpy.typing import NDArray
from scipy import special

from axlewright.core.estimates import Columns
from axlewright.core.rig import Rig
from axlewright.core.sessions.adjustment import Adjustment, adjust
from axlewright.core.sessions.covariance import covariance_of
from axlewright.core.sessions.layout import independent_parts
from axlewright.core.sessions.passes import Reading, WeighSession
from tests.yard import LB, axle, motorhome, reading, rig, session, tires, vehicle

Matrix = NDArray[np.float64]


@dataclass(frozen=True)
class Weigh:
    """A rig, the true loads of its wheel ends [lb], and which wheels stood where in each pass."""

    name: str
    rig: Rig
    truth_lb: Mapping[str, float]
    plan: tuple[tuple[str, str, tuple[str, ...]], ...]
    division_lb: float = 20.0

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """The readings of a scale without any error."""
        return tuple(
            reading(
                pass_name,
                platform,
                sum(self.truth_lb[wheel] for wheel in wheels),
                *wheels,
                division_lb=self.division_lb,
            )
            for pass_name, platform, wheels in self.plan
        )

    @cached_property
    def true_readings_kg(self) -> Matrix:
        """What each platform truly carries [kg] (n)."""
        return np.array([each.value_kg for each in self.readings])

    @cached_property
    def columns(self) -> Columns:
        """The wheel ends."""
        return Columns.of_wheel_ends((end.name for _, _, end in self.rig.wheel_ends()), ())

    @cached_property
    def design(self) -> Matrix:
        """A (n, m)."""
        return np.array([self.columns.row(dict.fromkeys(each.wheels, 1.0)) for each in self.readings])

    @cached_property
    def covariance(self) -> Matrix:
        """The core's covariance [kg2] (n, n) of the readings, at their true values."""
        return covariance_of(session(*self.readings), self.rig, self.columns, self.design)

    @cached_property
    def parts(self) -> list[tuple[list[int], list[int], Adjustment]]:
        """Rows, columns and solution of each independent part, at the true readings."""
        return [
            (
                rows,
                own,
                adjust(
                    self.design[np.ix_(rows, own)],
                    self.true_readings_kg[rows],
                    self.covariance[np.ix_(rows, rows)],
                ),
            )
            for rows, own in independent_parts(self.design)
        ]

    @cached_property
    def gain(self) -> Matrix:
        """G (m, n), so that loads = G readings."""
        gain = np.zeros(self.design.T.shape)
        for rows, own, adjustment in self.parts:
            gain[np.ix_(own, rows)] = adjustment.gain
        return gain

    def sums(self) -> dict[str, dict[str, float]]:
        """Return what the simulation watches: each wheel end, the side difference, the gross."""
        names = self.columns.names
        watched = {name: {name: 1.0} for name in names}
        watched["side difference"] = {name: 1.0 if name.endswith("right") else -1.0 for name in names}
        watched["gross"] = dict.fromkeys(names, 1.0)
        return watched

    def true_sum_kg(self, sum_of: Mapping[str, float]) -> float:
        """Return the true value [kg] of a weighted sum of wheel ends."""
        return sum(weight * self.truth_lb[name] * LB for name, weight in sum_of.items())

    def u_kg(self, sum_of: Mapping[str, float]) -> float:
        """Return the standard uncertainty [kg] that the core states for a sum."""
        row = self.columns.row(sum_of) @ self.gain
        return sqrt(float(row @ self.covariance @ row))

    def estimates_kg(self, sum_of: Mapping[str, float], readings_kg: Matrix) -> Matrix:
        """Return the estimates [kg] of a sum for many draws (draws, n) of the readings."""
        return np.asarray(readings_kg @ (self.columns.row(sum_of) @ self.gain))

    def probabilities(self, readings_kg: Matrix) -> Matrix:
        """Return the global test's probability of each draw in each part (draws, parts)."""
        columns = []
        for rows, own, adjustment in self.parts:
            design = self.design[np.ix_(rows, own)]
            residuals = readings_kg[:, rows] @ (np.eye(len(rows)) - design @ adjustment.gain).T
            weight = np.linalg.inv(self.covariance[np.ix_(rows, rows)])
            statistic = np.einsum("ij,jk,ik->i", residuals, weight, residuals)
            columns.append(special.chdtrc(adjustment.degrees_of_freedom, statistic))
        return np.column_stack(columns)

    def sessions(self, readings_kg: Matrix) -> Iterator[WeighSession]:
        """Yield the session of each draw, as the service would receive it."""
        plain = session(*self.readings)
        for draw in readings_kg:
            yield structs.replace(
                plain,
                readings=tuple(
                    structs.replace(each, value_kg=float(value))
                    for each, value in zip(self.readings, draw, strict=True)
                ),
            )


def _sides(name: str) -> tuple[str, str]:
    return f"{name}.left", f"{name}.right"


def _three_passes(*platforms: tuple[str, str]) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    return (
        *(("right wheels", platform, (f"{name}.right",)) for platform, name in platforms),
        *(("left wheels", platform, (f"{name}.left",)) for platform, name in platforms),
        *(("axles", platform, _sides(name)) for platform, name in platforms),
    )


MOTORHOME = Weigh(
    "motorhome, three passes",
    motorhome(),
    {"steer.left": 3_104.6, "steer.right": 3_237.3, "drive.left": 5_577.1, "drive.right": 5_183.9},
    _three_passes(("A", "steer"), ("B", "drive")),
)

COACH = Weigh(
    "coach with tag, three passes",
    rig(
        vehicle(
            axle("steer", gawr_lb=16_000, fitted=tires("315/80R22.5", single_lb=9_090, dual_lb=8_270, max_psi=130)),
            axle(
                "drive",
                gawr_lb=22_000,
                aft_in=280,
                fitted=tires("315/80R22.5", dual=True, single_lb=9_090, dual_lb=8_270, max_psi=130),
            ),
            axle(
                "tag",
                gawr_lb=12_000,
                aft_in=330,
                fitted=tires("315/80R22.5", single_lb=9_090, dual_lb=8_270, max_psi=130),
            ),
            gvwr_lb=50_000,
        )
    ),
    {
        "steer.left": 6_911.4,
        "steer.right": 6_633.8,
        "drive.left": 8_921.7,
        "drive.right": 9_412.2,
        "tag.left": 4_287.5,
        "tag.right": 4_498.6,
    },
    _three_passes(("A", "steer"), ("B", "drive"), ("C", "tag")),
)

ONE_PLATFORM = Weigh(
    "motorhome, one platform axle by axle",
    motorhome(),
    {"steer.left": 2_713.2, "steer.right": 2_561.9, "drive.left": 4_288.3, "drive.right": 4_633.1},
    (
        ("steer on", "A", _sides("steer")),
        ("all on", "A", (*_sides("steer"), *_sides("drive"))),
        ("drive on", "A", _sides("drive")),
        ("right steer", "A", ("steer.right",)),
        ("right side", "A", ("steer.right", "drive.right")),
        ("left steer", "A", ("steer.left",)),
        ("left side", "A", ("steer.left", "drive.left")),
    ),
)

WEIGHS = (MOTORHOME, COACH, ONE_PLATFORM)
