"""The worst that a trip can bring: every load, limit and pressure over all states of an envelope.

A share is a ratio of two sums; the worst one is found by solving for sums until the ratio stays (W. Dinkelbach,
Management Science 13, 1967, 492, from memory). Its doubt is bounded by that at the lowest and highest share, as the
variance is convex in the share, over the least of the whole.
"""

from collections.abc import Iterable, Sequence
from math import hypot
from typing import Final

import numpy as np
from msgspec import Struct, structs

from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.inflation.fitted import FittedTire
from axlewright.core.inflation.pressure import AxlePressure, axle_pressures
from axlewright.core.loads.changes import LoadChange, changed_estimates
from axlewright.core.loads.envelope import Envelope, Matrix, State
from axlewright.core.loads.limits import LimitCheck, judged, load_per_tire
from axlewright.core.loads.standings import BROKEN, Bound
from axlewright.core.policy import Conditions, Policy
from axlewright.core.rig import Axle, Rig

SAME_SHARE: Final = 1e-12
"""A share that is better by no more is the same, but for rounding."""


class Extreme(Struct, frozen=True):
    """The highest or lowest value with the largest doubt that any state gives it, and the state of that value.

    ``there`` is the value with its doubt in that state.
    """

    load: Estimate
    there: Estimate
    state: State


class LoadSpan(Struct, frozen=True):
    """Between what a load [kg] lies in all states."""

    lowest: Extreme
    highest: Extreme


class WorstCase(Struct, frozen=True):
    """A limit as it stands in its worst state.

    The check's doubt is the largest of any state; where the limit is surely broken in the worst state, it is the doubt
    there. ``state`` holds what matters to the limit; it is empty where nothing does, or where the value is not known.
    """

    check: LimitCheck
    state: State


class CoveringPressure(Struct, frozen=True):
    """The pressure of an axle that serves every state, with the state that asks for it, or that nothing serves."""

    pressure: AxlePressure
    state: State


def load_span(sum_of: dict[str, float], estimates: LoadEstimates, envelope: Envelope) -> LoadSpan | UnknownBecause:
    """Return between what a sum of known loads can lie, or why it is not known."""
    known = estimates.known(sum_of)
    if isinstance(known, UnknownBecause):
        return known
    row = estimates.columns.row(sum_of)
    lowest, highest = (_extreme(known, row, toward, envelope) for toward in (-1.0, 1.0))
    return LoadSpan(lowest, highest)


def worst_cases(
    checks: Iterable[LimitCheck], estimates: LoadEstimates, envelope: Envelope, policy: Policy
) -> tuple[WorstCase, ...]:
    """Return every limit in its worst state, judged, with the governing one of each level marked.

    Parameters
    ----------
    checks
        The limits at the known loads.
    estimates
        The known loads.

    Notes
    -----
    A limit that is only unsettled in the state of its worst value may be surely broken in another, whose value is
    better and less in doubt: it then comes back unsettled.
    """
    checks = list(checks)
    worst = [_worst_value(check, estimates, envelope) for check in checks]
    there = judged(
        [
            structs.replace(check, value=value.there if isinstance(value, Extreme) else value)
            for check, value in zip(checks, worst, strict=True)
        ],
        policy,
    )
    chosen = [
        check
        if isinstance(value, UnknownBecause) or (check.judgement and check.judgement.standing in BROKEN)
        else structs.replace(check, value=value.load)
        for check, value in zip(there, worst, strict=True)
    ]
    states = [value.state if isinstance(value, Extreme) else {} for value in worst]
    fresh = (structs.replace(check, judgement=None, governs=False) for check in chosen)
    return tuple(WorstCase(*case) for case in zip(judged(fresh, policy), states, strict=True))


def _worst_value(check: LimitCheck, estimates: LoadEstimates, envelope: Envelope) -> Extreme | UnknownBecause:
    if isinstance(check.value, UnknownBecause):
        return check.value
    if not check.of:
        return Extreme(check.value, check.value, {})
    toward = 1.0 if check.bound is Bound.MOST else -1.0
    if check.whole is not None:
        return _extreme_share(check.of, check.whole, toward, estimates, envelope)
    return _extreme(check.value, estimates.columns.row(check.of), toward, envelope)


def _extreme(known: Estimate, row: Matrix, toward: float, envelope: Envelope) -> Extreme:
    """Return the highest value of a sum, or with ``toward`` -1 the lowest."""
    levels = envelope.highest(toward * row)
    moved = structs.replace(known, value=known.value + envelope.moved(row, levels))
    there_u = envelope.u(row, levels)
    return Extreme(
        _with_doubt(moved, envelope.largest_u(row)), _with_doubt(moved, there_u), envelope.state(row, levels)
    )


def _with_doubt(estimate: Estimate, u: float) -> Estimate:
    """Return an estimate with an independent doubt more."""
    return structs.replace(
        estimate,
        u=None if estimate.u is None else hypot(estimate.u, u),
        stated_u=estimate.stated_u if estimate.u is not None else hypot(estimate.stated_u, u),
        widest_u=hypot(estimate.widest_u, u) if estimate.provisional else 0.0,
    )


class _Share(Struct, frozen=True):
    """A share of loads in others: the two sums, with their rows (m) and known values [kg]."""

    of: dict[str, float]
    whole: dict[str, float]
    top: Matrix
    bottom: Matrix
    top_kg: float
    bottom_kg: float

    def whole_at(self, levels: Matrix, envelope: Envelope) -> float:
        """Return the whole in a state [kg]."""
        return self.bottom_kg + envelope.moved(self.bottom, levels)

    def at(self, levels: Matrix, envelope: Envelope) -> float:
        """Return the share in a state."""
        return (self.top_kg + envelope.moved(self.top, levels)) / self.whole_at(levels, envelope)

    def extreme(self, toward: float, envelope: Envelope) -> Matrix:
        """Return the state (n) of the highest share, or with ``toward`` -1 of the lowest."""
        levels = envelope.highest(toward * self.top)
        while True:
            share = self.at(levels, envelope)
            further = envelope.highest(toward * self.row(share))
            if toward * (self.at(further, envelope) - share) <= SAME_SHARE:
                return levels
            levels = further

    def row(self, share: float) -> Matrix:
        """Return the row (m) whose doubt, over the whole, is that of a share (JCGM 100:2008, 5.1.2)."""
        return self.top - share * self.bottom

    def doubt(self, share: float, change_u: float, whole_kg: float, estimates: LoadEstimates) -> Estimate:
        """Return a share with the doubt of the known loads and that of a change [kg]."""
        names = {**self.whole, **self.of}
        known = estimates.known({n: self.of.get(n, 0.0) - share * self.whole.get(n, 0.0) for n in names})
        assert isinstance(known, Estimate), "a share that was judged rests on known loads"
        part = _with_doubt(known, change_u)
        return Estimate(
            share,
            None if part.u is None else part.u / whole_kg,
            part.provisional,
            part.stated_u / whole_kg,
            part.drop / whole_kg,
            part.rise / whole_kg,
            part.widest_u / whole_kg,
        )


def _extreme_share(
    of: dict[str, float], whole: dict[str, float], toward: float, estimates: LoadEstimates, envelope: Envelope
) -> Extreme | UnknownBecause:
    sums = [estimates.known(each) for each in (of, whole)]
    top_kg, bottom_kg = (each.value for each in sums if isinstance(each, Estimate))
    asked = _Share(of, whole, estimates.columns.row(of), estimates.columns.row(whole), top_kg, bottom_kg)
    least_kg = asked.whole_at(envelope.highest(-asked.bottom), envelope)
    if least_kg <= 0.0:
        return UnknownBecause.IMPOSSIBLE
    levels, other = (asked.extreme(way, envelope) for way in (toward, -toward))
    share = asked.at(levels, envelope)
    row = asked.row(share)
    bounds = [
        asked.doubt(end, envelope.largest_u(asked.row(end)), least_kg, estimates)
        for end in (share, asked.at(other, envelope))
    ]
    there_u = envelope.u(row, levels)
    there = asked.doubt(share, there_u, asked.whole_at(levels, envelope), estimates)
    return Extreme(_widest(bounds), there, envelope.state(row, levels))


def _widest(bounds: Sequence[Estimate]) -> Estimate:
    """Return the first of some estimates with the largest of their doubts."""
    us = [each.u for each in bounds if each.u is not None]
    return Estimate(
        bounds[0].value,
        max(us) if len(us) == len(bounds) else None,
        bounds[0].provisional,
        max(each.stated_u for each in bounds),
        max(each.drop for each in bounds),
        max(each.rise for each in bounds),
        max(each.widest_u for each in bounds),
    )


def covering_pressures(
    rig: Rig,
    estimates: LoadEstimates,
    fitted: dict[str, FittedTire],
    envelope: Envelope,
    policy: Policy,
    conditions: Conditions,
) -> tuple[CoveringPressure, ...]:
    """Return the pressure of every axle that serves all states.

    Every wheel end is taken as in its own worst state, at the largest doubt of any state: as an axle's pressure follows
    its heaviest wheel end, that is the highest of the pressures of all states. Of an axle whose wheel ends are not
    known, the state of its own highest load counts.
    """
    rows = {axle.name: _covering_rows(axle, estimates) for _, axle in rig.axles()}
    loads = np.zeros(len(estimates.columns.names))
    for by_column in rows.values():
        for column, row in by_column.items():
            single = estimates.columns.row({estimates.columns.names[column]: 1.0})
            loads[column] = envelope.moved(single, envelope.highest(row))
    effects = {str(place): effect for place, effect in enumerate(envelope.largest_effects.T)}
    covering = changed_estimates(estimates, LoadChange(loads, effects))
    pressures = axle_pressures(rig, covering, fitted, policy, conditions)
    axles = (axle for _, axle in rig.axles())
    return tuple(
        CoveringPressure(pressure, _asking_state(pressure, axle, estimates, envelope))
        for pressure, axle in zip(pressures, axles, strict=True)
    )


def _covering_rows(axle: Axle, estimates: LoadEstimates) -> dict[int, Matrix]:
    """Return by column the sum (m) in whose highest state it is taken: its own, or its axle's where that is all."""
    columns = estimates.columns
    ends_known = any(
        all(isinstance(estimates.known(of), Estimate) for of in load_per_tire(end, estimates).values())
        for end in axle.wheel_ends
    )
    whole = columns.row(axle.sum_of)
    return {
        column: columns.row({columns.names[column]: 1.0}) if ends_known else whole
        for end in axle.wheel_ends
        for column in columns.of[end.name]
    }


def _asking_state(pressure: AxlePressure, axle: Axle, estimates: LoadEstimates, envelope: Envelope) -> State:
    if pressure.need is None:
        return {}
    name = pressure.need.wheel_end
    row = estimates.columns.row(axle.sum_of if name == axle.name else {name: 1.0})
    return envelope.state(row, envelope.highest(row))
