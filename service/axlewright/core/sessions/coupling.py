"""What the passes of a weigh tell of a coupled rig: loads in each state, the coupling's load, what levelling bars do.

Sources: equilibrium of forces and moments (statics). The coupling's load is what hitching without bars adds to the
towing vehicle. With bars tensioned it adds less, by the moment over the trailer's length: that difference is never
taken for it. The share of the front axle's load that bars give back is what towing guides ask for (common practice).
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import hypot
from typing import Final

import numpy as np
from msgspec import Struct, structs

from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.loads.aboard import PLACE_DOUBT_M
from axlewright.core.loads.changes import LoadChange, changed_estimates
from axlewright.core.rig import CouplingState, Rig, Vehicle
from axlewright.core.sessions.passes import LoadNames, Reading, WeighSession
from axlewright.core.sessions.reconcile import layout_with_ties
from axlewright.core.sessions.ties import HITCHED, LEVELLED, SOLO, HitchedPair, hitched_pair

SETTLED_US: Final = 3.0
"""A change of the front axle's load within so many standard uncertainties of nothing has no share."""


class StatePass(Struct, frozen=True):
    """A stop on the scale that would settle what is not known: which wheels, of which vehicle, in which state.

    ``axle`` is None for all wheels of the vehicle together.
    """

    vehicle: str
    state: CouplingState
    axle: str | None = None


class Found(Struct, frozen=True):
    """A quantity of a coupled rig, or why it is not known, with a pass that would settle it, if one does."""

    value: Estimate | UnknownBecause
    settled_by: StatePass | None = None


class CoupledWeigh(Struct, frozen=True):
    """What a session tells of a coupled rig.

    Attributes
    ----------
    states
        Loads of every wheel end in each state that was weighed; of the coupling too, where they are known.
    travelled
        The state of them that comes closest to the road: with bars, else hitched, else each vehicle by itself.
    by_itself
        Loads of each vehicle by itself, as far as they are known.
    pair
        The vehicles, if the coupling carries load.
    coupling_load
        Tongue or pin weight, level and without bars [kg].
    bars_moment
        Moment that the bars put between the vehicles [kg m].
    to_trailer
        What the bars put on the trailer's axles [kg].
    restored_share
        Share of the front axle's lost load that the bars give back.
    """

    states: dict[CouplingState, LoadEstimates]
    travelled: CouplingState
    by_itself: LoadEstimates
    pair: HitchedPair | None
    coupling_load: Found | None = None
    bars_moment: Found | None = None
    to_trailer: Found | None = None
    restored_share: Found | None = None


def coupled_weigh(rig: Rig, session: WeighSession, estimates: LoadEstimates) -> CoupledWeigh:
    """Return what a session tells of a coupled rig.

    Parameters
    ----------
    estimates
        The joint estimate of the session's readings, with the loads of coupling states under their own names.
    """
    names = LoadNames.of(rig)
    pair = hitched_pair(rig)
    weighed = [state for state in CouplingState if state in session.states]
    sums = None if pair is None else Sums(pair, names)
    states = {
        state: _in_state(rig, estimates, names, state, () if sums is None else sums.on_coupling(state))
        for state in CouplingState
        if state in weighed or state is SOLO
    }
    by_itself = states[SOLO]
    states = {state: states[state] for state in weighed}
    if sums is None:
        return CoupledWeigh(states, weighed[-1], by_itself, None)
    look = Look(rig, session, estimates)
    found = CoupledWeigh(
        states,
        weighed[-1],
        by_itself,
        pair,
        coupling_load=look.found([*sums.coupling_loads()], sums.coupling_passes()),
    )
    if LEVELLED not in session.states:
        return found
    return structs.replace(
        found,
        bars_moment=_moment(look, sums),
        to_trailer=look.found([sums.to_trailer()], sums.moment_passes()),
        restored_share=_restored(look, sums),
    )


class Sums(Struct, frozen=True):
    """The sums of loads, by their names, of which a coupled rig's quantities are made."""

    pair: HitchedPair
    names: LoadNames

    def of(self, vehicle: Vehicle, state: CouplingState, by_axle: Mapping[str, float]) -> dict[str, float]:
        """Return a weighted sum of a vehicle's axles in a state."""
        return {
            self.names.name(end.name, state): by_axle[axle.name]
            for axle in vehicle.axles
            if by_axle.get(axle.name)
            for end in axle.wheel_ends
        }

    def change(
        self, vehicle: Vehicle, before: CouplingState, after: CouplingState, by_axle: Mapping[str, float] | None = None
    ) -> dict[str, float]:
        """Return the change of such a sum, of all axles alike if no weights are given."""
        weights = {axle.name: 1.0 for axle in vehicle.axles} if by_axle is None else by_axle
        less = {name: -weight for name, weight in weights.items()}
        return {**self.of(vehicle, before, less), **self.of(vehicle, after, weights)}

    def coupling_loads(self) -> Iterator[dict[str, float]]:
        """Yield what the coupling carries without bars: what hitching adds, or with bars what the whole rig gains."""
        yield self.change(self.pair.tow, SOLO, HITCHED)
        yield {**self.change(self.pair.tow, SOLO, LEVELLED), **self.to_trailer()}

    def on_coupling(self, state: CouplingState) -> Iterator[dict[str, float]]:
        """Yield what the coupling carries in a state: with bars less, as they put some of it on the trailer's axles."""
        if state is not LEVELLED:
            yield from self.coupling_loads()
            return
        relieved = {name: -weight for name, weight in self.to_trailer().items()}
        yield self.change(self.pair.tow, SOLO, LEVELLED)
        yield {**self.change(self.pair.tow, SOLO, HITCHED), **relieved}

    def coupling_passes(self) -> Iterator[StatePass]:
        """Yield the passes that may settle it."""
        yield StatePass(self.pair.tow.name, SOLO)
        yield StatePass(self.pair.tow.name, HITCHED)
        yield from self.moment_passes()

    def to_trailer(self) -> dict[str, float]:
        """Return what the bars put on the trailer's axles."""
        return self.change(self.pair.towed, HITCHED, LEVELLED)

    def moments(self) -> Iterator[tuple[dict[str, float], list[dict[str, float]]]]:
        """Yield the bars' moment [kg m]: about the coupling on the trailer, about the hitch on the towing vehicle.

        With each the changes of load that have an arm in it.
        """
        behind = {axle.name: axle.aft_m for axle in self.pair.towed.axles}
        yield self.change(self.pair.towed, HITCHED, LEVELLED, behind), [self.to_trailer()]
        ahead = {axle.name: self.pair.hitch.aft_m - axle.aft_m for axle in self.pair.tow.axles}
        for before in (HITCHED, SOLO):
            singly = [self.change(self.pair.tow, before, LEVELLED, {axle.name: 1.0}) for axle in self.pair.tow.axles]
            yield self.change(self.pair.tow, before, LEVELLED, ahead), singly

    def moment_passes(self) -> Iterator[StatePass]:
        """Yield the passes that may settle what the bars do: of whole vehicles, else of single axles."""
        for vehicle in (self.pair.towed, self.pair.tow):
            yield from (StatePass(vehicle.name, state) for state in (HITCHED, LEVELLED))
        for vehicle in (self.pair.towed, self.pair.tow):
            for state in (HITCHED, LEVELLED, SOLO):
                yield from (StatePass(vehicle.name, state, axle.name) for axle in vehicle.axles)

    def front(self) -> dict[str, float]:
        """Return the towing vehicle's front axle, and nothing else."""
        return {self.pair.tow.axles[0].name: 1.0}

    def front_passes(self) -> Iterator[StatePass]:
        """Yield the passes that may settle how the front axle fares."""
        for state in (SOLO, HITCHED, LEVELLED):
            yield StatePass(self.pair.tow.name, state, self.pair.tow.axles[0].name)


class Look(Struct, frozen=True):
    """What a session tells of sums of loads, and what one more pass would tell."""

    rig: Rig
    session: WeighSession
    estimates: LoadEstimates

    def found(self, sums: Sequence[dict[str, float]], passes: Iterator[StatePass]) -> Found:
        """Return the surest of several sums that are the same quantity, else why none is known, and what would tell."""
        told = [self.estimates.known(each) for each in sums if _tells(self.estimates, each)]
        surest = min((each for each in told if isinstance(each, Estimate)), key=_doubt_of, default=None)
        if surest is not None:
            return Found(surest)
        return Found(UnknownBecause.NOT_TOLD, self.settling([sums], passes))

    def settling(self, wanted: Sequence[Sequence[dict[str, float]]], passes: Iterator[StatePass]) -> StatePass | None:
        """Return the first pass with which one sum of each wanted quantity would be known."""
        return next((each for each in passes if all(self._would_tell(sums, each) for sums in wanted)), None)

    def reach(self, changes: Sequence[dict[str, float]]) -> float:
        """Return what an error of every arm alike, each by itself, weighs in a moment [kg]."""
        known = [self.estimates.known(each) for each in changes if _tells(self.estimates, each)]
        return hypot(*(each.value for each in known if isinstance(each, Estimate)))

    def _would_tell(self, sums: Sequence[dict[str, float]], more: StatePass) -> bool:
        """Return whether one of several sums would be known with a pass more."""
        session = structs.replace(self.session, readings=(*self.session.readings, self._as_reading(more)))
        layout, _ = layout_with_ties(self.rig, session, telling_only=True)
        rank = np.linalg.matrix_rank(layout.design)
        return any(
            sum_of.keys() <= layout.columns.of.keys()
            and np.linalg.matrix_rank(np.vstack([layout.design, layout.columns.row(sum_of)])) == rank
            for sum_of in sums
        )

    def _as_reading(self, each: StatePass) -> Reading:
        vehicle = next(one for one in self.rig.vehicles if one.name == each.vehicle)
        axles = [axle for axle in vehicle.axles if each.axle in (None, axle.name)]
        wheels = frozenset(end.name for axle in axles for end in axle.wheel_ends)
        return Reading("", self.session.readings[0].platform, 1.0, wheels, each.state)


def _doubt_of(estimate: Estimate) -> float:
    return estimate.stated_u if estimate.u is None else estimate.u


def _tells(estimates: LoadEstimates, sum_of: Mapping[str, float]) -> bool:
    named = sum_of.keys() <= estimates.columns.of.keys()
    return named and isinstance(estimates.known(sum_of), Estimate)


def _in_state(
    rig: Rig,
    estimates: LoadEstimates,
    names: LoadNames,
    state: CouplingState,
    on_coupling: Iterable[dict[str, float]],
) -> LoadEstimates:
    """Return the loads of a rig in a state, under the plain names of its wheel ends, with what its coupling carries.

    The first of several sums for the latter that is known is taken.
    """
    columns = estimates.columns
    taken = np.eye(len(columns.names))
    for _, _, end in rig.wheel_ends():
        own = names.name(end.name, state)
        for column, source in zip(columns.of[end.name], columns.of[own], strict=True):
            taken[column] = 0.0
            taken[column, source] = 1.0
    pair = hitched_pair(rig)
    told = next((each for each in on_coupling if _tells(estimates, each)), None)
    if pair is not None and told is not None:
        taken[columns.of[pair.towed.coupling][0]] = columns.row(told)
    return changed_estimates(estimates, LoadChange(np.zeros(len(columns.names))), taken)


def _moment(look: Look, sums: Sums) -> Found:
    """Return the bars' moment, the surest of those about coupling and hitch, with the doubt of its lengths."""
    told = [
        structs.replace(value, u=hypot(value.u, PLACE_DOUBT_M * look.reach(changes)))
        for moment, changes in sums.moments()
        if _tells(look.estimates, moment)
        and isinstance(value := look.estimates.known(moment), Estimate)
        and value.u is not None
    ]
    if told:
        return Found(min(told, key=_doubt_of))
    return look.found([moment for moment, _ in sums.moments()], sums.moment_passes())


def _restored(look: Look, sums: Sums) -> Found:
    """Return the share of the front axle's lost load that the bars give back, to first order in the loads."""
    front = sums.front()
    lost = sums.change(sums.pair.tow, HITCHED, SOLO, front)
    back = sums.change(sums.pair.tow, HITCHED, LEVELLED, front)
    lost_kg, back_kg = (look.found([each], iter(())).value for each in (lost, back))
    if not (isinstance(lost_kg, Estimate) and isinstance(back_kg, Estimate)):
        return Found(UnknownBecause.NOT_TOLD, look.settling([[lost], [back]], sums.front_passes()))
    if abs(lost_kg.value) <= lost_kg.spread(SETTLED_US) + max(lost_kg.drop, lost_kg.rise):
        return Found(UnknownBecause.WITHIN_DOUBT)
    share = back_kg.value / lost_kg.value
    slopes: dict[str, float] = defaultdict(float)
    for sum_of, slope in ((back, 1 / lost_kg.value), (lost, -share / lost_kg.value)):
        for name, weight in sum_of.items():
            slopes[name] += slope * weight
    return Found(look.estimates.to_first_order(share, slopes))
