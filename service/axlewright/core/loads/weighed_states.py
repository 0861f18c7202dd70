"""A coupled rig as it was weighed: the loads of each coupling state, judged."""

from collections.abc import Iterator, Mapping, Sequence
from math import hypot
from typing import Final

from msgspec import structs

from axlewright.core.assessment import Assessment, Choices, assessment_of, worst_first
from axlewright.core.balance.distribution import VehicleBalance, vehicle_balance
from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.findings import Fact, Finding, Severity, mass, pressure, share
from axlewright.core.loads.coupled import state_limits, without_split_lines
from axlewright.core.loads.given import GivenLoad, with_coupling_loads
from axlewright.core.loads.limits import LimitCheck, LimitKind
from axlewright.core.loads.remarks import limit_findings
from axlewright.core.loads.standings import Bound, Standing, judge
from axlewright.core.loads.towing import Pair, coupled_estimates, hitching, pair_of
from axlewright.core.rig import CouplingKind, CouplingState, Rig, Vehicle
from axlewright.core.sessions.coupling import CoupledWeigh, Found, coupled_weigh
from axlewright.core.sessions.passes import WeighSession
from axlewright.core.sessions.reconcile import reconcile
from axlewright.core.sessions.remarks import session_findings
from axlewright.core.units import exceeds

BROKEN: Final = ("limit_over", "limit_short", "limit_probably_over", "limit_probably_short", "limit_unsettled")
"""Findings that say that a limit is broken, or may be: of another state that was weighed they are told too."""


def assess_coupled(
    rig: Rig, session: WeighSession, choices: Choices, coupling_loads: Sequence[GivenLoad] = ()
) -> Assessment:
    """Return the assessment of a rig that was weighed hitched, in the state that it travels in.

    Whole vehicles, hitch and tongue share are judged on the load without levelling bars. What another state that was
    weighed breaks, or needs more pressure for, is a finding.

    Parameters
    ----------
    coupling_loads
        Tongue or pin weights that the caller knows; they count where the passes do not tell them.

    Raises
    ------
    CoreError
        ``no_statics`` if a vehicle of a pair that loads each other cannot stand by itself.
    """
    reconciliation = reconcile(rig, session)
    weigh = coupled_weigh(rig, session, reconciliation.estimates)
    pair = _pair(rig)
    factor = choices.policy.coverage_factor
    if any(_less_than_nothing(weigh, factor)):
        weigh = _not_counted_on(weigh)
    evidence = (*session_findings(session, reconciliation), *_coupling_findings(weigh, pair, coupling_loads, factor))
    believed = [load for load in coupling_loads if not _is_too_low(weigh, load, factor)]
    # What is known of the coupling is known without bars.
    known = {
        state: each if state is CouplingState.HITCHED_LEVELLED else _with_known(each, believed)
        for state, each in weigh.states.items()
    }
    weigh = structs.replace(weigh, states=known, by_itself=_with_known(weigh.by_itself, believed))
    without_bars = _with_known(_without_bars(pair, weigh), believed)
    judged = {state: _judged(rig, choices, pair, state, weigh, without_bars, evidence) for state in weigh.states}
    travelled = judged[weigh.travelled]
    findings = worst_first([*travelled.findings, *_findings_of_others(weigh, judged)])
    return structs.replace(
        travelled,
        findings=findings,
        evidence_findings=evidence,
        reconciliation=reconciliation,
        coupled=weigh,
    )


def _pair(rig: Rig) -> Pair:
    """Return the two vehicles; a dolly's load on the hitch is no load of a coupling that a trailer would have."""
    pair = pair_of(rig, rig.couplings[0])
    return structs.replace(pair, hitch=None) if pair.kind is CouplingKind.DOLLY else pair


def _with_known(estimates: LoadEstimates, given: Sequence[GivenLoad]) -> LoadEstimates:
    unknown = [load for load in given if isinstance(estimates.known(dict.fromkeys(load.wheels, 1.0)), UnknownBecause)]
    return with_coupling_loads(estimates, unknown)


def _judged(
    rig: Rig,
    choices: Choices,
    pair: Pair,
    state: CouplingState,
    weigh: CoupledWeigh,
    without_bars: LoadEstimates,
    evidence: tuple[Finding, ...],
) -> Assessment:
    estimates = weigh.states[state]
    if state is CouplingState.SOLO:
        return assessment_of(rig, estimates, choices, evidence)
    limits = state_limits(rig, choices, pair, state, estimates, without_bars)
    assessment = without_split_lines(assessment_of(rig, estimates, choices, evidence, limits=limits), pair)
    balances = [
        _where_weight_acts(vehicle, balance, weigh.by_itself, choices.policy.coverage_factor)
        for vehicle, balance in zip(rig.vehicles, assessment.balances, strict=True)
    ]
    return structs.replace(assessment, balances=tuple(balances))


def _where_weight_acts(
    vehicle: Vehicle, balance: VehicleBalance, by_itself: LoadEstimates, coverage_factor: float
) -> VehicleBalance:
    """Return a balance whose centre of gravity is that of the vehicle by itself: hitched, coupling and bars load it."""
    own = vehicle_balance(vehicle, by_itself, coverage_factor)
    return structs.replace(balance, aft=own.aft, right=own.right)


def _without_bars(pair: Pair, weigh: CoupledWeigh) -> LoadEstimates:
    """Return the loads hitched without bars: as weighed, else from each vehicle by itself and the coupling's load."""
    hitched, solo = weigh.states.get(CouplingState.HITCHED), weigh.states.get(CouplingState.SOLO)
    if hitched is not None and isinstance(hitched.known(pair.tow.sum_of), Estimate):
        return hitched
    if (
        solo is not None
        and pair.hitch is not None
        and isinstance(solo.known({pair.towed.coupling: 1.0}), Estimate)
        and isinstance(solo.known(pair.tow.sum_of), Estimate)
    ):
        return coupled_estimates(pair, hitching(pair, pair.hitch, solo), solo, 0.0)
    if hitched is not None:
        return hitched
    return structs.replace(weigh.states[weigh.travelled], parts=(), weighed=frozenset(), answered={})


def _coupling_findings(weigh: CoupledWeigh, pair: Pair, given: Sequence[GivenLoad], factor: float) -> Iterator[Finding]:
    """Yield what the passes tell of the coupling that the user should know."""
    yield Finding("told_of_state", Severity.INFO, "session", {"state": weigh.travelled})
    if weigh.pair is None:
        return
    coupling = weigh.pair.towed.coupling
    for what in _less_than_nothing(weigh, factor):
        yield Finding("coupling_states_doubtful", Severity.CRITICAL, what, {})
    told = weigh.coupling_load.value if weigh.coupling_load else UnknownBecause.NOT_WEIGHED
    with_bars = _with_bars(weigh)
    for load in given:
        if coupling not in load.wheels:
            continue
        if isinstance(told, Estimate) and _differ(told, load, factor):
            facts = {"load": mass(told.value), "given": mass(load.load_kg)}
            yield Finding("coupling_load_differs", Severity.WARNING, coupling, facts)
        elif with_bars is not None and _is_too_low(weigh, load, factor):
            facts = {"load": mass(with_bars.value), "given": mass(load.load_kg)}
            yield Finding("coupling_load_too_low", Severity.WARNING, coupling, facts)
    if isinstance(told, UnknownBecause) and with_bars is not None:
        yield from _over_with_bars(pair, with_bars, factor)
    restored = weigh.restored_share
    if restored is not None and isinstance(restored.value, Estimate) and restored.value.low(factor) > 1.0:
        yield Finding(
            "front_axle_over_restored",
            Severity.WARNING,
            weigh.pair.tow.axles[0].name,
            {"restored_share": share(restored.value.value)},
        )


def _less_than_nothing(weigh: CoupledWeigh, factor: float) -> Iterator[str]:
    """Yield what of a coupling is surely negative: passes whose states were exchanged look like that."""
    figures = {"tongue or pin weight": weigh.coupling_load, "moment of the levelling bars": weigh.bars_moment}
    for what, found in figures.items():
        if found is not None and isinstance(known := found.value, Estimate):
            u = known.stated_u if known.u is None else known.u
            if known.value + factor * u < 0.0:
                yield what


def _not_counted_on(weigh: CoupledWeigh) -> CoupledWeigh:
    """Return a weigh of which nothing is to be counted on: at best it leaves a limit unsettled."""

    def doubted(estimates: LoadEstimates) -> LoadEstimates:
        parts = tuple(structs.replace(part, failed=True) for part in estimates.parts)
        return structs.replace(estimates, parts=parts, answered={})

    def provisional(found: Found | None) -> Found | None:
        if found is None or isinstance(found.value, UnknownBecause):
            return found
        return structs.replace(found, value=structs.replace(found.value, provisional=True))

    return structs.replace(
        weigh,
        states={state: doubted(each) for state, each in weigh.states.items()},
        by_itself=doubted(weigh.by_itself),
        coupling_load=provisional(weigh.coupling_load),
        bars_moment=provisional(weigh.bars_moment),
        to_trailer=provisional(weigh.to_trailer),
        restored_share=provisional(weigh.restored_share),
    )


def _with_bars(weigh: CoupledWeigh) -> Estimate | None:
    """Return what the coupling carries with bars tensioned, if it is known: less than without."""
    levelled = weigh.states.get(CouplingState.HITCHED_LEVELLED)
    if levelled is None or weigh.pair is None:
        return None
    load = levelled.known({weigh.pair.towed.coupling: 1.0})
    return load if isinstance(load, Estimate) else None


def _is_too_low(weigh: CoupledWeigh, load: GivenLoad, factor: float) -> bool:
    """Return whether the coupling carries surely more with bars than a given load says without."""
    with_bars = _with_bars(weigh)
    return with_bars is not None and with_bars.value > load.load_kg and _differ(with_bars, load, factor)


def _differ(told: Estimate, load: GivenLoad, factor: float) -> bool:
    """Return whether a load told by the passes and a given one differ beyond both their doubts."""
    reach = factor * hypot(told.stated_u if told.u is None else told.u, load.u or 0.0)
    return not told.value - told.drop - reach <= load.load_kg <= told.value + told.rise + reach


def _over_with_bars(pair: Pair, with_bars: Estimate, factor: float) -> Iterator[Finding]:
    """Yield a finding for each part of the hitch that is over its rating even by the coupling's load with bars."""
    for rating in pair.tow.hitch.ratings if pair.tow.hitch else ():
        limit_kg = rating.max_vertical_levelled_kg
        if limit_kg is not None and judge(with_bars, limit_kg, Bound.MOST, factor, 0.0).standing is Standing.OVER:
            facts = {"value": mass(with_bars.value), "limit": mass(limit_kg)}
            yield Finding("hitch_over_with_bars", Severity.CRITICAL, f"{pair.tow.name} {rating.part}", facts)


def _findings_of_others(weigh: CoupledWeigh, judged: Mapping[CouplingState, Assessment]) -> Iterator[Finding]:
    """Yield what is worse in another state that was weighed: limits that it breaks, or may, and pressure it needs.

    Hitched without bars a rig that has them stands on the scale, but is not driven: what it breaks there is a notice,
    if the state that it travels in was judged to keep it.
    """
    travelled = judged[weigh.travelled]
    kept = {_key(check) for check in travelled.limits if check.judgement is not None}
    told = {
        (finding.subject, finding.facts["kind"]): finding.severity
        for finding in limit_findings(travelled.limits)
        if finding.code in BROKEN
    }
    pressures = {each.axle: each.cold_pa for each in travelled.pressures}
    for state, assessment in judged.items():
        if state is weigh.travelled:
            continue
        is_driven = weigh.travelled is not CouplingState.HITCHED_LEVELLED or state is not CouplingState.HITCHED
        for finding in limit_findings(assessment.limits):
            if finding.code not in BROKEN:
                continue
            about = (finding.subject, finding.facts["kind"])
            if _grade(told.get(about)) <= _grade(finding.severity):
                continue
            is_grave = is_driven or about not in kept
            yield structs.replace(
                finding,
                code=f"{finding.code}_in_state",
                severity=finding.severity if is_grave else Severity.NOTICE,
                facts={**finding.facts, "state": state},
            )
        for each in assessment.pressures if is_driven else ():
            own = pressures[each.axle]
            if each.cold_pa is not None and (own is None or exceeds(each.cold_pa, own)):
                more: dict[str, Fact] = {"state": state, "pressure": pressure(each.cold_pa)}
                yield Finding("more_pressure_in_state", Severity.WARNING, each.axle, more)


def _key(check: LimitCheck) -> tuple[str, LimitKind]:
    return check.subject, check.kind


def _grade(severity: Severity | None) -> int:
    """Return how grave something is: less is worse; what was not told is least grave."""
    return len(Severity) if severity is None else list(Severity).index(severity)
