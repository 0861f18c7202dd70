"""A session's readings to the joint estimate of all wheels, with its cross-checks.

Each part of the session that shares no wheel with the rest is solved and tested on its own, with the covariance
of its own readings: a slip in one part cannot bend the loads of another through an error that both share. The
covariance between parts is carried into every sum that spans them.
"""

from collections.abc import Iterator
from math import isfinite, sqrt

import numpy as np
from msgspec import Struct, structs
from numpy.typing import NDArray
from scipy import special

from axlewright.core.estimates import IMPOSSIBLE_US, Estimate, LoadEstimates, Part, Solution
from axlewright.core.rig import Rig
from axlewright.core.sessions.adjustment import Adjustment, Inverse, adjust, checking_weights, inverse_of
from axlewright.core.sessions.covariance import covariance_of
from axlewright.core.sessions.layout import Layout, independent_parts, layout_of
from axlewright.core.sessions.pass_changes import correction_of
from axlewright.core.sessions.passes import LoadNames, WeighSession
from axlewright.core.sessions.ties import Tie, TieKind, tie_covariance, ties_of

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


class TieCheck(Struct, frozen=True, gc=False):
    """A tie between coupling states against the readings: what it comes to, which should be nothing.

    ``difference_kg`` is what the readings make of it; ``allowed_kg`` how far it may be from 0; None where nothing but
    the tie itself tells it.
    """

    tie: Tie
    difference_kg: float | None
    allowed_kg: float | None
    suspect: bool

    @property
    def fails(self) -> bool:
        """Whether the readings miss it by more than is allowed."""
        return (
            self.difference_kg is not None and self.allowed_kg is not None and abs(self.difference_kg) > self.allowed_kg
        )


class PartCheck(Struct, frozen=True):
    """The global test of one independent part: ``statistic`` against chi-squared with its degrees of freedom."""

    checks: tuple[ReadingCheck, ...]
    degrees_of_freedom: int
    statistic: float
    probability: float
    failed: bool
    ties: tuple[TieCheck, ...] = ()


class Posed(Struct, frozen=True):
    """A session as a least-squares problem.

    Attributes
    ----------
    layout
        The unknowns (m), the design A (n + t, m) with its parts.
    values
        The readings [kg] (n), less what changes put into them, and 0 for each tie (t).
    covariance
        Theirs [kg2] (n + t, n + t).
    put_in
        What changes put into the readings [kg] (n).
    ties
        The ties (t).
    """

    layout: Layout
    values: Matrix
    covariance: Matrix
    put_in: Matrix
    ties: tuple[Tie, ...] = ()


class Reconciliation(Struct, frozen=True):
    """The loads that a session gives, and how its readings agree.

    ``estimates`` holds the loads of each vehicle by itself, and those of coupling states under names of their own.
    """

    estimates: LoadEstimates
    parts: tuple[PartCheck, ...]


def layout_with_ties(rig: Rig, session: WeighSession, *, telling_only: bool = False) -> tuple[Layout, tuple[Tie, ...]]:
    """Return what was weighed together in a session, in all its coupling states, and the ties between these.

    Parameters
    ----------
    telling_only
        Leave out the moments, which check the readings and tell no load.
    """
    names = LoadNames.of(rig)
    ties = tuple(tie for tie in ties_of(rig, session) if not (telling_only and tie.kind is TieKind.MOMENT))
    coupled = [
        names.name(end.name, state)
        for state in sorted(session.states)
        for vehicle, _, end in rig.wheel_ends()
        if state in names.apart.get(vehicle.name, ())
    ]
    weighed = (names.names(reading.wheels, reading.state) for reading in session.readings)
    return layout_of(rig, weighed, coupled, (tie.weights for tie in ties)), ties


def posed(rig: Rig, session: WeighSession) -> Posed:
    """Return the readings of a session as a least-squares problem; raises as `correction_of`."""
    layout, ties = layout_with_ties(rig, session)
    count = len(session.readings)
    design = layout.design[:count]
    put_in = np.zeros(count)
    covariance = covariance_of(session, rig, layout.columns, design)
    if session.changes:
        correction = correction_of(rig, session, layout.columns)
        put_in = correction.readings
        for effect in correction.effects.values():
            covariance += np.outer(effect, effect)
    values = np.array([reading.value_kg for reading in session.readings]) - put_in
    if not ties:
        return Posed(layout, values, covariance, put_in)
    first = inverse_of(design, covariance)
    own = tie_covariance(rig, ties, layout.columns, first, values, sqrt(covariance.diagonal().max()))
    return Posed(
        layout,
        np.append(values, np.zeros(len(ties))),
        np.block([[covariance, np.zeros((count, len(ties)))], [np.zeros((len(ties), count)), own]]),
        put_in,
        ties,
    )


def reconcile(rig: Rig, session: WeighSession) -> Reconciliation:
    """Return wheel loads with covariance from any passes, and the tests of each independent part.

    Parameters
    ----------
    rig
        Gives the wheel ends.
    session
        Its readings; every wheel that they name exists in the rig.

    Raises
    ------
    CoreError
        ``no_statics`` if mass came or left between passes of a vehicle that cannot stand by itself.
    """
    problem = posed(rig, session)
    columns, design = problem.layout.columns, problem.layout.design
    readings, covariance = problem.values, problem.covariance
    gain = np.zeros((len(columns.names), len(readings)))
    unobserved: list[Matrix] = []
    tested = []
    for rows, own in problem.layout.parts:
        adjustment = adjust(design[rows][:, own], readings[rows], covariance[rows][:, rows])
        tested.append((rows, own, adjustment, _part_check(adjustment, rows, problem, session.significance)))
        for solved_rows, solved, inverse in _solved(problem, rows, own, adjustment):
            gain[np.array(solved)[:, np.newaxis], solved_rows] = inverse.gain
            for direction in inverse.unobserved.T:
                unobserved.append(np.zeros(len(columns.names)))
                unobserved[-1][solved] = direction
    doubtful = _doubtful(session)
    estimates = LoadEstimates(
        columns=columns,
        joint=solution_of(gain, readings, covariance),
        unobserved=[direction.tolist() for direction in unobserved],
        unstated=[],
        parts=tuple(
            Part(
                tuple(own),
                check.failed or not doubtful.keys().isdisjoint(rows),
                alternatives=(
                    *(_leave_one_out(problem, gain, rows, own, adjustment) if check.failed else ()),
                    *_as_totals_have_it(gain, readings, covariance, {row: doubtful.get(row) for row in rows}),
                ),
            )
            for rows, own, adjustment, check in tested
        ),
        weighed=problem.layout.weighed,
    )
    return Reconciliation(with_impossible_parts(estimates), tuple(check for *_, check in tested))


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


def _part_check(adjustment: Adjustment, rows: list[int], problem: Posed, significance: float) -> PartCheck:
    failed = adjustment.probability < significance
    critical_w = float(-special.ndtri(significance / 2))
    fitted = (problem.values[rows] - adjustment.residuals).tolist()
    slips, slip_us = adjustment.slips.tolist(), adjustment.slip_us.tolist()
    w = adjustment.baarda_w.tolist()
    least_suspect_w = max(abs(each) for each in w) * (1 - EQUALLY_SUSPECT)
    count = len(problem.put_in)
    checks = []
    ties = []
    for place, row in enumerate(rows):
        known = isfinite(slip_us[place])
        suspect = failed and known and abs(w[place]) >= least_suspect_w
        allowed_kg = critical_w * slip_us[place] if known else None
        if row >= count:
            ties.append(TieCheck(problem.ties[row - count], -slips[place] if known else None, allowed_kg, suspect))
            continue
        put_in = float(problem.put_in[row])
        checks.append(
            ReadingCheck(
                row=row,
                fitted_kg=fitted[place] + put_in,
                by_others_kg=float(problem.values[row]) - slips[place] + put_in if known else None,
                allowed_kg=allowed_kg,
                baarda_w=w[place] if known else None,
                suspect=suspect,
            )
        )
    return PartCheck(
        checks=tuple(checks),
        degrees_of_freedom=adjustment.degrees_of_freedom,
        statistic=adjustment.statistic,
        probability=adjustment.probability,
        failed=failed,
        ties=tuple(ties),
    )


def _doubtful(session: WeighSession) -> dict[int, float | None]:
    """Return the rows of readings not to be counted on, with what the pass's total says more [kg]; None if none."""
    more_kg = {
        each.name: each.total.value_kg - each.sum_kg if each.total is not None and each.total_agrees is False else None
        for each in session.record.doubtful
    }
    return {row: more_kg[each.pass_name] for row, each in enumerate(session.readings) if each.pass_name in more_kg}


def _as_totals_have_it(
    gain: Matrix, readings: Matrix, covariance: Matrix, more_kg: dict[int, float | None]
) -> Iterator[Solution]:
    """Yield the solution with each reading as it would be if it alone were why its pass's total differs."""
    for row, more in more_kg.items():
        if more is not None:
            as_total = readings.copy()
            as_total[row] += more
            yield solution_of(gain, as_total, covariance)


def _solved(
    problem: Posed, rows: list[int], own: list[int], adjustment: Adjustment
) -> Iterator[tuple[list[int], list[int], Adjustment | Inverse]]:
    """Yield what solves a part, by rows and columns: moments check it, and tell no load."""
    count = len(problem.put_in)
    moments = {row for row in rows if row >= count and problem.ties[row - count].kind is TieKind.MOMENT}
    if not moments:
        yield rows, own, adjustment
        return
    kept = [row for row in rows if row not in moments]
    for its, columns in independent_parts(problem.layout.design[kept]):
        solved_rows = [kept[place] for place in its]
        block = np.ix_(solved_rows, solved_rows)
        design = problem.layout.design[np.ix_(solved_rows, columns)]
        yield solved_rows, columns, inverse_of(design, problem.covariance[block])


def _leave_one_out(
    problem: Posed, gain: Matrix, rows: list[int], own: list[int], adjustment: Adjustment
) -> tuple[Solution, ...]:
    """Return the joint solutions without one reading, or tie, of a part each, where the others see as much as all did.

    Without reading i the loads are x - g_i s_i, with g_i what a change of it makes of them, and s_i the slip that
    would make it agree best; their covariance is Q + g_i g_i' / P_ii (a slip taken for one more unknown). The other
    parts stay as they are solved.
    """
    design, covariance = problem.layout.design[np.ix_(rows, own)], problem.covariance[np.ix_(rows, rows)]
    weights = checking_weights(design, covariance, adjustment.gain)
    others = gain.copy()
    others[own] = 0.0
    spread = problem.covariance @ others.T
    joint = others @ spread
    loads = others @ problem.values
    loads[own] = adjustment.solution
    joint[np.ix_(own, own)] = adjustment.gain @ covariance @ adjustment.gain.T
    joint[own] += adjustment.gain @ spread[rows]
    joint[:, own] += (adjustment.gain @ spread[rows]).T
    solutions = []
    for place in range(len(rows)):
        if not isfinite(adjustment.slip_us[place]):
            continue
        made = np.zeros(len(loads))
        made[own] = adjustment.gain[:, place]
        power = weights[place, place]
        # What the slip has in common with the other parts, through errors that all readings share.
        shared = np.outer(made, (weights[place] / power) @ spread[rows])
        solutions.append(
            Solution(
                (loads - adjustment.slips[place] * made).tolist(),
                (joint + np.outer(made, made) / power - shared - shared.T).tolist(),
            )
        )
    return tuple(solutions)
