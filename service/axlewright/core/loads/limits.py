"""Every limit that a rig's loads must keep, and how each load stands to it.

The chassis rating (GVWR) is a limit of its own, never the sum of its axles' (49 CFR 571.3, from memory). That
the tires of an axle must together carry its load follows 49 CFR 571.110 and 571.120. The steering axle's least
share is common practice, no source.
"""

from collections.abc import Iterable, Iterator, Sequence
from enum import StrEnum
from typing import Final, Literal

from msgspec import Struct, structs

from axlewright.core.estimates import Estimate, LoadEstimates, UnknownBecause
from axlewright.core.inflation.fitted import FittedTire
from axlewright.core.loads.interstate import PlacedAxle, interstate_limits_of
from axlewright.core.loads.standings import Bound, Judgement, Standing, judge
from axlewright.core.policy import Policy
from axlewright.core.rig import Axle, CouplingKind, Rig, Tires, Vehicle, VehicleKind, WheelEnd
from axlewright.core.tires.crosscheck import SPEED_TOLERANCE_M_PER_S, service_allows
from axlewright.core.tires.family import PASSENGER_DERATE, Family
from axlewright.core.tires.load_index import load_kg
from axlewright.core.tires.speed_symbol import SPECIAL_TRAILER_SPEED_M_PER_S
from axlewright.core.tires.speed_symbol import speed_m_per_s as symbol_speed
from axlewright.core.units import RELATIVE_GUARD, exceeds

UNWEIGHED: Final = (UnknownBecause.NOT_WEIGHED, UnknownBecause.NOT_SEPARATED)
"""Why a load is not known where the readings leave it open."""


class LimitKind(StrEnum):
    """What is limited."""

    TIRE = "tire"
    TIRE_AT_PRESSURE = "tire_at_pressure"
    WHEEL = "wheel"
    WHEEL_END = "wheel_end"
    AXLE_TIRES = "axle_tires"
    AXLE = "axle"
    AXLE_GROUP = "axle_group"
    VEHICLE = "vehicle"
    PAYLOAD = "payload"
    STEERING_SHARE = "steering_share"
    TONGUE_SHARE = "tongue_share"
    PIN_SHARE = "pin_share"
    TIRE_SPEED = "tire_speed"
    HITCH_VERTICAL = "hitch_vertical"
    HITCH_TOWED = "hitch_towed"
    COMBINATION = "combination"
    INTERSTATE_AXLE = "interstate_axle"
    INTERSTATE_TANDEM = "interstate_tandem"
    INTERSTATE_GROSS = "interstate_gross"
    BRIDGE_FORMULA = "bridge_formula"

    @property
    def quantity(self) -> Literal["mass", "share", "speed"]:
        """The kind of quantity of its figures."""
        if self in (LimitKind.STEERING_SHARE, LimitKind.TONGUE_SHARE, LimitKind.PIN_SHARE):
            return "share"
        return "speed" if self is LimitKind.TIRE_SPEED else "mass"


class LimitCheck(Struct, frozen=True, gc=False):
    """One limit against one load [kg], one share, or the speed of the rig [m/s].

    ``level`` is the wheel end, axle or vehicle that the limit counts for; exactly one limit of a level governs,
    where any is judged. ``value`` and ``limit`` tell why where they are not known. ``basis`` says what the limit
    rests on. ``surely_broken_above`` is given where the limit itself is a cautious figure, and the true one may be
    as high; for a speed, as tables in mph round it. ``of`` is the sum of loads that is limited, and ``whole`` the sum
    that a share is taken of; a speed has neither.
    """

    subject: str
    level: str
    kind: LimitKind
    bound: Bound
    value: Estimate | UnknownBecause
    limit: float | UnknownBecause
    basis: str
    surely_broken_above: float | None = None
    of: dict[str, float] = {}
    whole: dict[str, float] | None = None
    judgement: Judgement | None = None
    governs: bool = False

    @property
    def relative_margin(self) -> float | None:
        """What is surely left, as a share of the limit; None where it was not judged."""
        return None if self.judgement is None else self.judgement.relative_margin

    @property
    def value_is_provisional(self) -> bool:
        """Whether the load's readings failed their cross-check."""
        return isinstance(self.value, Estimate) and self.value.provisional

    @property
    def unknown_because(self) -> UnknownBecause | None:
        """Why the limit could not be judged."""
        for side in (self.value, self.limit):
            if isinstance(side, UnknownBecause):
                return side
        return None


def check_limits(
    rig: Rig, estimates: LoadEstimates, fitted: dict[str, FittedTire], policy: Policy
) -> tuple[LimitCheck, ...]:
    """Return every limit of a rig, judged, with the governing one of each level marked.

    Parameters
    ----------
    rig, estimates
        Ratings and loads.
    fitted
        Each wheel end's tire with its rated load and capacity curve.
    policy
        Coverage factor, share that counts as tight, least steering share.
    """
    return judged(_limits(rig, estimates, fitted, policy), policy)


def judged(limits: Iterable[LimitCheck], policy: Policy) -> tuple[LimitCheck, ...]:
    """Return limits with their standings, the governing one of each level marked."""
    checks = [_judged(check, policy) for check in limits]
    governing: dict[str, int] = {}
    for place, check in enumerate(checks):
        margin = check.relative_margin
        if margin is None:
            continue
        best = governing.get(check.level)
        if best is None or (checks[best].relative_margin or 0.0) - margin > RELATIVE_GUARD:
            governing[check.level] = place
    for place in governing.values():
        checks[place] = structs.replace(checks[place], governs=True)
    return tuple(checks)


def _judged(check: LimitCheck, policy: Policy) -> LimitCheck:
    if isinstance(check.value, UnknownBecause) or isinstance(check.limit, UnknownBecause):
        return check
    judgement = judge(check.value, check.limit, check.bound, policy.coverage_factor, policy.tight_share)
    above = check.surely_broken_above
    if above is not None and judgement.standing is Standing.OVER:
        kindest = judge(check.value, above, check.bound, policy.coverage_factor, policy.tight_share)
        if check.kind is LimitKind.TIRE_SPEED:
            judgement = kindest
        elif kindest.standing is not Standing.OVER:
            judgement = Judgement(Standing.UNSETTLED, None, judgement.relative_margin)
    return structs.replace(check, judgement=judgement)


def _limits(rig: Rig, estimates: LoadEstimates, fitted: dict[str, FittedTire], policy: Policy) -> Iterator[LimitCheck]:
    for vehicle in rig.vehicles:
        for axle in vehicle.axles:
            for wheel_end in axle.wheel_ends:
                yield from _wheel_end_limits(wheel_end, estimates, _at_speed(fitted[wheel_end.name], wheel_end, policy))
                if policy.speed_m_per_s is not None:
                    yield _speed_limit(wheel_end, policy.speed_m_per_s)
            yield from _axle_limits(axle, estimates, fitted)
        yield from _vehicle_limits(vehicle, estimates, policy, _is_on_kingpin(vehicle, rig))
        if policy.interstate:
            yield from interstate_limits([(axle.name, axle.aft_m, axle.sum_of) for axle in vehicle.axles], estimates)


def _wheel_end_limits(wheel_end: WheelEnd, estimates: LoadEstimates, tire: FittedTire) -> Iterator[LimitCheck]:
    name = wheel_end.name
    for subject, of in load_per_tire(wheel_end, estimates).items():
        yield mass_limit(subject, name, LimitKind.TIRE, of, estimates, tire.rated_load_kg, tire.rating_basis)
        if wheel_end.tires.pressure_pa is not None:
            capacity = tire.curve.at(wheel_end.tires.pressure_pa)
            yield mass_limit(
                subject,
                name,
                LimitKind.TIRE_AT_PRESSURE,
                of,
                estimates,
                UnknownBecause.NO_CAPACITY if capacity is None else capacity.load_kg,
                "capacity_at_pressure" if capacity is None else capacity.ground,
                None if capacity is None else capacity.at_most_kg,
            )
        if wheel_end.wheel.max_load_kg is not None:
            yield mass_limit(subject, name, LimitKind.WHEEL, of, estimates, wheel_end.wheel.max_load_kg, "wheel_rating")
    yield mass_limit(name, name, LimitKind.WHEEL_END, {name: 1.0}, estimates, *_weakest_part(wheel_end, tire))


def mass_limit(
    subject: str,
    level: str,
    kind: LimitKind,
    of: dict[str, float],
    estimates: LoadEstimates,
    limit_kg: float | UnknownBecause,
    basis: str,
    surely_broken_above: float | None = None,
) -> LimitCheck:
    """Return a most [kg] of a sum of loads, not judged yet."""
    load = estimates.known(of)
    return LimitCheck(subject, level, kind, Bound.MOST, load, limit_kg, basis, surely_broken_above, of)


def interstate_limits(axles: Sequence[PlacedAxle], estimates: LoadEstimates) -> Iterator[LimitCheck]:
    """Yield the Interstate limits on axles that stand in one line, front to back, not judged yet.

    Each has a level of its own beside those of the ratings.
    """
    for limit in interstate_limits_of(axles):
        subject, kind = limit.subject, LimitKind(limit.rule)
        yield mass_limit(subject, f"{subject} interstate", kind, limit.of, estimates, limit.most_kg, kind.value)


def share_limit(
    subject: str,
    kind: LimitKind,
    bound: Bound,
    of: dict[str, float],
    whole: dict[str, float],
    estimates: LoadEstimates,
    limit: float,
) -> LimitCheck:
    """Return a bound of the share that a sum of loads has in another, not judged yet."""
    value = share_of(of, whole, estimates)
    return LimitCheck(subject, subject, kind, bound, value, limit, kind.value, of=of, whole=whole)


def _speed_limit(wheel_end: WheelEnd, speed_m_per_s: float) -> LimitCheck:
    """Return the tire's speed symbol, or what special-trailer tires without one are made for, against the speed."""
    tires, basis = wheel_end.tires, "speed_symbol"
    limit: float | UnknownBecause = UnknownBecause.NO_SPEED_SYMBOL
    if tires.speed_symbol is not None:
        limit = symbol_speed(tires.speed_symbol)
        second = _second_service(tires, speed_m_per_s)
        if second is not None:
            limit, basis = symbol_speed(second[0]), "additional_service"
    elif tires.marking is not None and tires.marking.family is Family.SPECIAL_TRAILER:
        limit, basis = SPECIAL_TRAILER_SPEED_M_PER_S, "special_trailer_speed"
    level = f"{wheel_end.name} speed"
    above = None if isinstance(limit, UnknownBecause) else limit + SPEED_TOLERANCE_M_PER_S
    driven = Estimate(speed_m_per_s, 0.0)
    return LimitCheck(wheel_end.name, level, LimitKind.TIRE_SPEED, Bound.MOST, driven, limit, basis, above)


def _second_service(tires: Tires, speed_m_per_s: float) -> tuple[str, float] | None:
    """Return symbol and load [kg] of an additional service description, where only that allows a speed.

    It counts for a fitment only where it states a load index for it.
    """
    second = None if tires.marking is None else tires.marking.second_service
    if second is None or second.speed_symbol is None or tires.speed_symbol is None:
        return None
    first_allows = not exceeds(speed_m_per_s, symbol_speed(tires.speed_symbol) + SPEED_TOLERANCE_M_PER_S)
    if first_allows or not service_allows(second, speed_m_per_s) or len(second.load_indices) < tires.count:
        return None
    return second.speed_symbol, load_kg(second.load_indices[tires.count - 1])


def _at_speed(tire: FittedTire, wheel_end: WheelEnd, policy: Policy) -> FittedTire:
    """Return a tire rated as its additional service description has it, where the speed calls for that one."""
    if policy.speed_m_per_s is None:
        return tire
    second = _second_service(wheel_end.tires, policy.speed_m_per_s)
    if second is None:
        return tire
    rated_kg = second[1] / (PASSENGER_DERATE if tire.rating_basis == "passenger_derate" else 1.0)
    if not exceeds(tire.rated_load_kg, rated_kg):
        return tire
    return structs.replace(tire, rated_load_kg=rated_kg, rating_basis="additional_service")


def load_per_tire(wheel_end: WheelEnd, estimates: LoadEstimates) -> dict[str, dict[str, float]]:
    """Return what to sum for the load of each tire of a wheel end: its own weighing, else an equal share."""
    tires = estimates.columns.tires_of(wheel_end.name)
    if len(tires) > 1:
        return {tire: {tire: 1.0} for tire in tires}
    return {wheel_end.name: {wheel_end.name: 1.0 / wheel_end.tires.count}}


def _weakest_part(wheel_end: WheelEnd, tire: FittedTire) -> tuple[float, str]:
    count = wheel_end.tires.count
    ratings = [(count * tire.rated_load_kg, tire.rating_basis)]
    if wheel_end.wheel.max_load_kg is not None:
        ratings.append((count * wheel_end.wheel.max_load_kg, "wheel_rating"))
    if wheel_end.max_load_kg is not None:
        ratings.append((wheel_end.max_load_kg, "wheel_end_rating"))
    return min(ratings)


def _axle_limits(axle: Axle, estimates: LoadEstimates, fitted: dict[str, FittedTire]) -> Iterator[LimitCheck]:
    name, of = axle.name, axle.sum_of
    tires_kg = sum(end.tires.count * fitted[end.name].rated_load_kg for end in axle.wheel_ends)
    yield mass_limit(name, name, LimitKind.AXLE_TIRES, of, estimates, tires_kg, "tires_together")
    yield mass_limit(name, name, LimitKind.AXLE, of, estimates, axle.gawr_kg, "axle_rating")


def _is_on_kingpin(vehicle: Vehicle, rig: Rig) -> bool:
    """Return whether a trailer hangs on a kingpin: by its kind, or by how it is coupled."""
    kingpins = [each.towed for each in rig.couplings if each.kind is CouplingKind.FIFTH_WHEEL]
    return vehicle.kind is VehicleKind.FIFTH_WHEEL or vehicle.name in kingpins


def _vehicle_limits(vehicle: Vehicle, estimates: LoadEstimates, policy: Policy, is_pin: bool) -> Iterator[LimitCheck]:
    name = vehicle.name
    for group in vehicle.groups:
        if group.max_load_kg is not None:
            of = {end: 1.0 for axle in vehicle.axles if axle.name in group.axles for end in axle.sum_of}
            subject = " + ".join(group.axles)
            yield mass_limit(subject, subject, LimitKind.AXLE_GROUP, of, estimates, group.max_load_kg, "group_rating")
    load = vehicle_load(vehicle, estimates)
    check = mass_limit(name, name, LimitKind.VEHICLE, vehicle.whole, estimates, vehicle.gvwr_kg, "vehicle_rating")
    yield structs.replace(check, value=load)
    if vehicle.cargo_capacity_kg is not None:
        yield _payload_limit(vehicle, load, vehicle.cargo_capacity_kg)
    if vehicle.is_trailer:
        yield from _coupling_share_limits(vehicle, estimates, policy, is_pin)
    elif vehicle.kind is not VehicleKind.TOWED_CAR:
        yield share_limit(
            name,
            LimitKind.STEERING_SHARE,
            Bound.LEAST,
            vehicle.axles[0].sum_of,
            vehicle.sum_of,
            estimates,
            policy.least_steering_share,
        )


def _payload_limit(vehicle: Vehicle, load: Estimate | UnknownBecause, capacity_kg: float) -> LimitCheck:
    """Return what the label lets a vehicle carry against its load beyond the unloaded weight."""
    carried: Estimate | UnknownBecause = load
    if vehicle.unloaded_kg is None:
        carried = UnknownBecause.NO_UNLOADED_WEIGHT
    elif isinstance(load, Estimate):
        carried = structs.replace(load, value=load.value - vehicle.unloaded_kg)
    name, of = vehicle.name, vehicle.whole
    return LimitCheck(name, name, LimitKind.PAYLOAD, Bound.MOST, carried, capacity_kg, "cargo_capacity", of=of)


def _coupling_share_limits(
    vehicle: Vehicle, estimates: LoadEstimates, policy: Policy, is_pin: bool
) -> Iterator[LimitCheck]:
    """Yield the least and the most share that a trailer's coupling carries."""
    kind = LimitKind.PIN_SHARE if is_pin else LimitKind.TONGUE_SHARE
    bounds = policy.pin_shares if is_pin else policy.tongue_shares
    of = {vehicle.coupling: 1.0}
    for bound, limit in zip((Bound.LEAST, Bound.MOST), bounds, strict=True):
        check = share_limit(vehicle.name, kind, bound, of, vehicle.whole, estimates, limit)
        is_open = estimates.known(of) in UNWEIGHED
        yield structs.replace(check, value=UnknownBecause.COUPLING_NOT_WEIGHED) if is_open else check


def vehicle_load(vehicle: Vehicle, estimates: LoadEstimates) -> Estimate | UnknownBecause:
    """Return the load [kg] of a whole vehicle: its wheels, and of a trailer what its coupling carries."""
    load = estimates.known(vehicle.whole)
    if vehicle.is_trailer and load in UNWEIGHED and estimates.known({vehicle.coupling: 1.0}) in UNWEIGHED:
        return UnknownBecause.COUPLING_NOT_WEIGHED
    return load


def share_of(part: dict[str, float], whole: dict[str, float], estimates: LoadEstimates) -> Estimate | UnknownBecause:
    """Return the share that a sum of wheel ends has in another that covers it."""
    top, bottom = estimates.known(part), estimates.known(whole)
    if isinstance(top, UnknownBecause):
        return top
    if isinstance(bottom, UnknownBecause):
        return bottom
    if bottom.value <= 0.0:
        return UnknownBecause.IMPOSSIBLE
    value = top.value / bottom.value
    slopes = {name: (part.get(name, 0.0) - value * weight) / bottom.value for name, weight in whole.items()}
    return estimates.to_first_order(value, slopes)
