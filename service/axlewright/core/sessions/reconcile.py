"""A session's readings to the joint estimate of all wheels, with its cross-checks.

Each part of the session that shares no wheel with the rest is solved and tested on its own, with the covariance
of its own readings: a slip in one part cannot bend the loads of another through an error that both share. The
covariance between parts is carried into every sum that spans them.
"""

from math import isfinite

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray
from scipy import special

from axlewright.core.estimates import IMPOSSIBLE_US, Estimate, LoadEstimates, Part, Solution
from axlewright.core.rig import Rig
from axlewright.core.sessions.adjustment import Adjustment, adjust
from axlewright.core.sessions.covariance import covariance_of
from axlewright.core.sessions.layout import layout_of
from axlewright.core.sessions.passes import WeighSession

Matrix = NDArray[np.float64]

EQUALLY_SUSPECT = 1e-6
"""Share by which Baarda's w of two readings may differ and still name them together."""


class ReadingCheck(Struct, frozen=True, gc=False):
    """One reading against all others of its part.

    ``fitted_kg`` is what the solution makes of it. Where the others check it: ``by_others_kg`` is what they
    alone make of it, ``allowed_kg`` how far the two may differ at the session's significance, and ``baarda_w``
    the difference over its standard uncertainty; all None where nothing checks it.
    """

    row: int
    fitted_kg: float
    by_others_kg: float | None
    allowed_kg: float | None
    baarda_w: float | None
    suspect: bool


class PartCheck(Struct, frozen=True):
    """The global test of one independent part: ``statistic`` against chi-squared with its degrees of freedom."""

    checks: tuple[ReadingCheck, ...]
    degrees_of_freedom: int
    statistic: float
    probability: float
    failed: bool


class Reconciliation(Struct, frozen=True):
    """The loads that a session gives, and how its readings agree."""

    estimates: LoadEstimates
    parts: tuple[PartCheck, ...]


def reconcile(rig: Rig, session: WeighSession) -> Reconciliation:
    """Return wheel loads with covariance from any passes, and the tests of each independent part.

    Parameters
    ----------
    rig
        Gives the wheel ends.
    session
        Its readings; every wheel that they name exists in the rig.
    """
    layout = layout_of(rig, (reading.wheels for reading in session.readings))
    columns, design = layout.columns, layout.design
    readings = np.array([reading.value_kg for reading in session.readings])
    covariance = covariance_of(session, rig, columns, design)
    gain = np.zeros((len(columns.names), len(readings)))
    unobserved: list[Matrix] = []
    adjusted = []
    for rows, own in layout.parts:
        adjustment = adjust(design[rows][:, own], readings[rows], covariance[rows][:, rows])
        gain[np.array(own)[:, np.newaxis], rows] = adjustment.gain
        for direction in adjustment.unobserved.T:
            unobserved.append(np.zeros(len(columns.names)))
            unobserved[-1][own] = direction
        adjusted.append((rows, own, _part_check(adjustment, rows, readings, session.significance)))
    estimates = LoadEstimates(
        columns=columns,
        joint=solution_of(gain, readings, covariance),
        unobserved=[direction.tolist() for direction in unobserved],
        unstated=[],
        parts=tuple(
            Part(
                tuple(own),
                check.failed,
                alternatives=_leave_one_out(design, readings, covariance, gain, rows, own) if check.failed else (),
            )
            for rows, own, check in adjusted
        ),
        weighed=layout.weighed,
    )
    return Reconciliation(with_impossible_parts(estimates), tuple(check for _, _, check in adjusted))


def solution_of(gain: Matrix, readings: Matrix, covariance: Matrix) -> Solution:
    """Return x = G y with its covariance G C G'."""
    return Solution((gain @ readings).tolist(), (gain @ covariance @ gain.T).tolist())


def with_impossible_parts(estimates: LoadEstimates) -> LoadEstimates:
    """Return the estimates with those parts marked whose readings would leave a wheel lighter than nothing."""
    light: set[int] = set()
    for column, name in enumerate(estimates.columns.names):
        estimate = estimates.known({name: 1.0})
        if isinstance(estimate, Estimate) and estimate.value < -estimate.spread(IMPOSSIBLE_US):
            light.add(column)
    parts = tuple(structs.replace(part, impossible=not light.isdisjoint(part.columns)) for part in estimates.parts)
    return structs.replace(estimates, parts=parts, answered={}) if light else estimates


def _part_check(adjustment: Adjustment, rows: list[int], readings: Matrix, significance: float) -> PartCheck:
    failed = adjustment.probability < significance
    critical_w = float(-special.ndtri(significance / 2))
    values = readings[rows]
    fitted = (values - adjustment.residuals).tolist()
    by_others = (values - adjustment.slips).tolist()
    slip_us = adjustment.slip_us.tolist()
    w = adjustment.baarda_w.tolist()
    least_suspect_w = max(abs(each) for each in w) * (1 - EQUALLY_SUSPECT)
    checks = []
    for place, row in enumerate(rows):
        known = isfinite(slip_us[place])
        checks.append(
            ReadingCheck(
                row=row,
                fitted_kg=fitted[place],
                by_others_kg=by_others[place] if known else None,
                allowed_kg=critical_w * slip_us[place] if known else None,
                baarda_w=w[place] if known else None,
                suspect=failed and known and abs(w[place]) >= least_suspect_w,
            )
        )
    return PartCheck(
        checks=tuple(checks),
        degrees_of_freedom=adjustment.degrees_of_freedom,
        statistic=adjustment.statistic,
        probability=adjustment.probability,
        failed=failed,
    )


def _leave_one_out(
    design: Matrix, readings: Matrix, covariance: Matrix, gain: Matrix, rows: list[int], own: list[int]
) -> tuple[Solution, ...]:
    """Return the joint solutions without one reading of a part each, where the others see as much as all did."""
    rank = np.linalg.matrix_rank(design[np.ix_(rows, own)])
    solutions = []
    for left_out in rows:
        kept = [row for row in rows if row != left_out]
        kept_design = design[np.ix_(kept, own)]
        if np.linalg.matrix_rank(kept_design) < rank:
            continue
        adjustment = adjust(kept_design, readings[kept], covariance[np.ix_(kept, kept)])
        other_gain = gain.copy()
        other_gain[np.ix_(own, rows)] = 0.0
        other_gain[np.ix_(own, kept)] = adjustment.gain
        solutions.append(solution_of(other_gain, readings, covariance))
    return tuple(solutions)
