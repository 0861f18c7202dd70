"""A session's readings to the joint estimate of all wheels, with its cross-checks.

Each part of the session that shares no wheel with the rest is solved and tested on its own, with the covariance
of its own readings: a slip in one part cannot bend the loads of another through an error that both share. The
covariance between parts is carried into every sum that spans them.
"""

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray
from scipy import special

from axlewright.core.estimates import IMPOSSIBLE_US, Columns, Estimate, LoadEstimates, Part, Solution
from axlewright.core.rig import Rig
from axlewright.core.sessions.adjustment import Adjustment, adjust
from axlewright.core.sessions.covariance import covariance_of
from axlewright.core.sessions.passes import WeighSession, wheel_end_of

Matrix = NDArray[np.float64]

EQUALLY_SUSPECT = 1e-6
"""Share by which Baarda's w of two readings may differ and still name them together."""


class ReadingCheck(Struct, frozen=True):
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
    columns = _columns(rig, session)
    design = np.array([columns.row(dict.fromkeys(reading.wheels, 1.0)) for reading in session.readings])
    readings = np.array([reading.value_kg for reading in session.readings])
    covariance = covariance_of(session, rig, columns, design)
    gain = np.zeros((len(columns.names), len(readings)))
    unobserved: list[Matrix] = []
    parts: list[Part] = []
    checks: list[PartCheck] = []
    for rows, own in independent_parts(design):
        part_design = design[np.ix_(rows, own)]
        part_covariance = covariance[np.ix_(rows, rows)]
        adjustment = adjust(part_design, readings[rows], part_covariance)
        gain[np.ix_(own, rows)] = adjustment.gain
        for direction in adjustment.unobserved.T:
            unobserved.append(np.zeros(len(columns.names)))
            unobserved[-1][own] = direction
        check = _part_check(adjustment, rows, readings, session.significance)
        alternatives = _leave_one_out(part_design, readings[rows], part_covariance) if check.failed else ()
        parts.append(Part(tuple(own), check.failed, alternatives=alternatives))
        checks.append(check)
    estimates = LoadEstimates(
        columns=columns,
        joint=Solution(gain @ readings, gain @ covariance @ gain.T),
        unobserved=np.array(unobserved).reshape(-1, len(columns.names)).T,
        unstated=np.zeros((len(columns.names), 0)),
        parts=tuple(parts),
    )
    return Reconciliation(with_impossible_parts(estimates), tuple(checks))


def with_impossible_parts(estimates: LoadEstimates) -> LoadEstimates:
    """Return the estimates with those parts marked whose readings would leave a wheel end lighter than nothing."""
    light: set[int] = set()
    for wheel_end, indices in estimates.columns.of.items():
        estimate = estimates.known({wheel_end: 1.0})
        if isinstance(estimate, Estimate) and estimate.value < -estimate.spread(IMPOSSIBLE_US):
            light.update(indices)
    parts = tuple(structs.replace(part, impossible=not light.isdisjoint(part.columns)) for part in estimates.parts)
    return structs.replace(estimates, parts=parts) if light else estimates


def independent_parts(design: Matrix) -> list[tuple[list[int], list[int]]]:
    """Return the rows and columns of each part of a design that shares no unknown with the rest.

    >>> independent_parts(np.array([[1.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]))
    [([0, 2], [0, 1]), ([1], [2])]
    """
    parts: list[tuple[list[int], set[int]]] = []
    for row, used in enumerate(design):
        columns = set(np.flatnonzero(used).tolist())
        rows = [row]
        apart = []
        for part in parts:
            if part[1].isdisjoint(columns):
                apart.append(part)
            else:
                rows.extend(part[0])
                columns |= part[1]
        parts = [*apart, (rows, columns)]
    return sorted((sorted(rows), sorted(columns)) for rows, columns in parts)


def _columns(rig: Rig, session: WeighSession) -> Columns:
    named = {wheel for reading in session.readings for wheel in reading.wheels}
    split = {wheel_end_of(wheel) for wheel in named if wheel_end_of(wheel) != wheel}
    return Columns.of_wheel_ends((wheel_end.name for _, _, wheel_end in rig.wheel_ends()), split)


def _part_check(adjustment: Adjustment, rows: list[int], readings: Matrix, significance: float) -> PartCheck:
    failed = adjustment.probability < significance
    critical_w = float(-special.ndtri(significance / 2))
    w = np.abs(adjustment.baarda_w)
    checked = np.isfinite(adjustment.slip_us)
    suspects = checked & (w >= w.max() * (1 - EQUALLY_SUSPECT)) & failed
    checks = []
    for place, row in enumerate(rows):
        known = bool(checked[place])
        checks.append(
            ReadingCheck(
                row=row,
                fitted_kg=float(readings[row] - adjustment.residuals[place]),
                by_others_kg=float(readings[row] - adjustment.slips[place]) if known else None,
                allowed_kg=float(critical_w * adjustment.slip_us[place]) if known else None,
                baarda_w=float(adjustment.baarda_w[place]) if known else None,
                suspect=bool(suspects[place]),
            )
        )
    return PartCheck(
        checks=tuple(checks),
        degrees_of_freedom=adjustment.degrees_of_freedom,
        statistic=adjustment.statistic,
        probability=adjustment.probability,
        failed=failed,
    )


def _leave_one_out(design: Matrix, readings: Matrix, covariance: Matrix) -> tuple[Solution, ...]:
    """Return the solutions of a part without one of its readings each, where they still see every unknown as well."""
    rank = np.linalg.matrix_rank(design)
    solutions = []
    for left_out in range(len(readings)):
        kept = np.delete(np.arange(len(readings)), left_out)
        if np.linalg.matrix_rank(design[kept]) < rank:
            continue
        kept_covariance = covariance[np.ix_(kept, kept)]
        adjustment = adjust(design[kept], readings[kept], kept_covariance)
        solutions.append(Solution(adjustment.solution, adjustment.gain @ kept_covariance @ adjustment.gain.T))
    return tuple(solutions)
