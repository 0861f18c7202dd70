"""A coupled rig in each of its states: loads, limits of each vehicle, of the hitch and of the combination."""

from collections.abc import Iterator

from msgspec import Struct, structs

from axlewright.core.assessment import Assessment, Choices
from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.inflation.fitted import fitted_tires
from axlewright.core.loads.forecast import predicted
from axlewright.core.loads.limits import LimitCheck, LimitKind, check_limits, interstate_limits, judged, mass_limit
from axlewright.core.loads.towing import (
    Levelling,
    NoLevelling,
    Pair,
    coupled_estimates,
    hitching,
    levelling,
    moment_per_kg,
)
from axlewright.core.policy import Policy
from axlewright.core.rig import CouplingKind, CouplingState, HitchRating, Rig

WITHOUT_BARS = frozenset({LimitKind.VEHICLE, LimitKind.PAYLOAD, LimitKind.TONGUE_SHARE, LimitKind.PIN_SHARE})
"""Limits of whole vehicles: bars move load from one to the other, so they are judged without them in every state."""
INTERSTATE = frozenset(
    {LimitKind.INTERSTATE_AXLE, LimitKind.INTERSTATE_TANDEM, LimitKind.INTERSTATE_GROSS, LimitKind.BRIDGE_FORMULA}
)

OTHER_PARTS = {
    CouplingKind.BALL: frozenset({"kingpin", "fifth_wheel_hitch"}),
    CouplingKind.TOWBAR: frozenset({"kingpin", "fifth_wheel_hitch", "coupler"}),
    CouplingKind.FIFTH_WHEEL: frozenset({"receiver", "ball_mount"}),
    CouplingKind.DOLLY: frozenset({"kingpin", "fifth_wheel_hitch"}),
}
"""Parts of a hitch that a kind of coupling does not use."""


class CoupledRig(Struct, frozen=True):
    """A pair of vehicles in every coupling state that it can have; the first is each vehicle by itself.

    It stands alone where nobody knows what the coupling carries.
    """

    pair: Pair
    states: dict[CouplingState, Assessment]
    levelling: Levelling | NoLevelling


def coupled_rig(solo: Assessment, pair: Pair, restored_share: float) -> CoupledRig:
    """Return a rig in each coupling state.

    Parameters
    ----------
    solo
        The towing vehicle by itself; what it tows level, its coupling carrying the tongue or pin weight.
    restored_share
        Share of the front axle's lost load that levelling bars give back.

    Raises
    ------
    CoreError
        ``no_statics`` if a vehicle cannot stand by itself.
    """
    states = {CouplingState.SOLO: solo}
    if pair.hitch is None:
        states[CouplingState.HITCHED] = _state(solo, pair, CouplingState.HITCHED, solo.estimates, solo.estimates)
        return CoupledRig(pair, states, NoLevelling.NOT_ON_A_BALL)
    if isinstance(solo.estimates.known({pair.towed.coupling: 1.0}), UnknownBecause):
        return CoupledRig(pair, states, _no_levelling_unweighed(pair))
    own = hitching(pair, pair.hitch, solo.estimates)
    hitched = coupled_estimates(pair, own, solo.estimates, 0.0)
    states[CouplingState.HITCHED] = _state(solo, pair, CouplingState.HITCHED, hitched, hitched)
    level = levelling(pair, own, solo.estimates, restored_share)
    if isinstance(level, Levelling):
        moment_m = moment_per_kg(pair, own, solo.estimates.columns, restored_share)
        assert moment_m is not None, "there is a moment to level with"
        levelled = coupled_estimates(pair, own, solo.estimates, moment_m)
        state = CouplingState.HITCHED_LEVELLED
        states[state] = _state(solo, pair, state, levelled, hitched)
    return CoupledRig(pair, states, level)


def _no_levelling_unweighed(pair: Pair) -> NoLevelling:
    return NoLevelling.COUPLING_NOT_WEIGHED if pair.kind is CouplingKind.BALL else NoLevelling.NOT_ON_A_BALL


def _state(
    solo: Assessment, pair: Pair, state: CouplingState, coupled: LoadEstimates, without_bars: LoadEstimates
) -> Assessment:
    """Return the assessment of a coupling state, with the limits that coupling adds."""
    limits = state_limits(solo.rig, solo.choices, pair, state, coupled, without_bars)
    return without_split_lines(predicted(solo, coupled, limits), pair)


def without_split_lines(assessment: Assessment, pair: Pair) -> Assessment:
    """Return an assessment whose axles stand in one line, so that no vehicle was judged by Interstate rules alone."""
    if pair.hitch is None:
        return assessment
    findings = tuple(finding for finding in assessment.findings if finding.code != "interstate_each_vehicle")
    return structs.replace(assessment, findings=findings)


def state_limits(
    rig: Rig,
    choices: Choices,
    pair: Pair,
    state: CouplingState,
    coupled: LoadEstimates,
    without_bars: LoadEstimates,
) -> tuple[LimitCheck, ...]:
    """Return every limit in a coupling state, judged, those that coupling adds among them.

    Parameters
    ----------
    coupled, without_bars
        The loads in this state, and hitched without levelling bars.
    """
    fitted = fitted_tires(rig, choices.callers_tables)
    policy = choices.policy
    # How far behind a tow bar the axles stand is not told: there each vehicle keeps the limits of its own line.
    one_line = INTERSTATE if pair.hitch is not None else frozenset()
    in_state = check_limits(rig, coupled, fitted, policy)
    bare = [check for check in check_limits(rig, without_bars, fitted, policy) if check.kind in WITHOUT_BARS]
    # Bars leave a trailer's whole weight alone: it may be told with them where it is not told without.
    of_towed = {(each.kind, each.bound): each for each in in_state if each.level == pair.towed.name}
    bare = [
        of_towed.get((check.kind, check.bound), check)
        if check.of == pair.towed.whole and isinstance(check.value, UnknownBecause)
        else _not_without_bars(check, coupled)
        for check in bare
    ]
    own = [
        structs.replace(check, governs=False)
        for check in (*(each for each in in_state if each.kind not in WITHOUT_BARS), *bare)
        if check.kind not in one_line
    ]
    added = [
        *_hitch_limits(pair, coupled, without_bars, state),
        *_combination_limits(rig, pair, coupled, without_bars, policy),
    ]
    return judged([*own, *added], policy)


def _not_without_bars(check: LimitCheck, coupled: LoadEstimates) -> LimitCheck:
    """Return a limit that is not known because what it limits was weighed with bars only, with that reason."""
    if check.value in (UnknownBecause.NOT_WEIGHED, UnknownBecause.NOT_SEPARATED) and isinstance(
        coupled.known(check.of), Estimate
    ):
        return structs.replace(check, value=UnknownBecause.NOT_WITHOUT_BARS)
    return check


def _telling(of: dict[str, float], *each_estimates: LoadEstimates) -> LoadEstimates:
    """Return the first estimates that tell a sum which bars leave alone; the first of all where none does."""
    told = (each for each in each_estimates if isinstance(each.known(of), Estimate))
    return next(told, each_estimates[0])


def _hitch_limits(
    pair: Pair, coupled: LoadEstimates, without_bars: LoadEstimates, state: CouplingState
) -> Iterator[LimitCheck]:
    """Yield the tongue or pin weight, and the weight towed, against every part of the hitch."""
    ratings = (HitchRating("hitch"),) if pair.tow.hitch is None else pair.tow.hitch.ratings
    ratings = tuple(rating for rating in ratings if rating.part not in OTHER_PARTS[pair.kind])
    is_levelled = state is CouplingState.HITCHED_LEVELLED
    basis = "hitch_levelling" if is_levelled else "hitch_carrying"
    for rating in ratings:
        subject = f"{pair.tow.name} {rating.part}"
        vertical_kg = rating.max_vertical_levelled_kg if is_levelled else rating.max_vertical_kg
        towed_kg = rating.max_towed_levelled_kg if is_levelled else rating.max_towed_kg
        if pair.hitch is not None:
            yield _hitch_limit(
                subject, LimitKind.HITCH_VERTICAL, {pair.towed.coupling: 1.0}, without_bars, vertical_kg, basis
            )
        towed = pair.towed.whole
        telling = _telling(towed, without_bars, coupled)
        yield _hitch_limit(subject, LimitKind.HITCH_TOWED, towed, telling, towed_kg, basis)


def _hitch_limit(
    subject: str, kind: LimitKind, of: dict[str, float], without_bars: LoadEstimates, limit_kg: float | None, basis: str
) -> LimitCheck:
    limit = UnknownBecause.NO_HITCH_RATING if limit_kg is None else limit_kg
    return mass_limit(subject, subject, kind, of, without_bars, limit, basis)


def _combination_limits(
    rig: Rig, pair: Pair, coupled: LoadEstimates, without_bars: LoadEstimates, policy: Policy
) -> Iterator[LimitCheck]:
    """Yield the combination's rating, and on request the Interstate limits of all its axles in one line."""
    everything = {**pair.tow.sum_of, **pair.towed.sum_of}
    if pair.tow.gcwr_kg is not None:
        yield mass_limit(
            rig.name,
            f"{rig.name} combination",
            LimitKind.COMBINATION,
            everything,
            _telling(everything, coupled, without_bars),
            pair.tow.gcwr_kg,
            "combination_rating",
        )
    if policy.interstate and pair.hitch is not None:
        line = [(axle.name, axle.aft_m, axle.sum_of) for axle in pair.tow.axles]
        line += [(axle.name, pair.hitch.aft_m + axle.aft_m, axle.sum_of) for axle in pair.towed.axles]
        yield from interstate_limits(sorted(line, key=lambda each: each[1]), coupled)
