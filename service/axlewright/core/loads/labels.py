"""Labels and sidewalls that contradict each other: ratings that the parts beneath them do not bear.

The tires of an axle together bear its rating, without any allowance (49 CFR 571.110 and 571.120, S5.1.2; NHTSA
interpretation 77-3.29). The axles of a motor vehicle together bear its rating: not prohibited otherwise, but then the
label invites an overload (NHTSA interpretations aiam0613 and nht87-2.92 on 49 CFR 567.4(g)(3)). A trailer's rating may
exceed its axles' by what its coupling carries, not by more (NHTSA interpretations nht75-5.2 and nht76-3.20).
"""

from collections.abc import Iterator
from typing import Final

from axlewright.core.findings import Finding, Severity, mass, share
from axlewright.core.inflation.fitted import FittedTire
from axlewright.core.policy import Policy
from axlewright.core.rig import Axle, Rig, Vehicle, VehicleKind
from axlewright.core.units import exceeds

COPIED_TO_KG: Final = 0.5
"""Figures copied in whole kilograms are each wrong by up to so much [kg]; common practice, no source."""


def label_findings(rig: Rig, fitted: dict[str, FittedTire], policy: Policy) -> Iterator[Finding]:
    """Yield a finding for every rating on a label that its axles or its tires do not bear.

    Parameters
    ----------
    fitted
        Each wheel end's tire with its rated load.
    policy
        The most share of a trailer's weight that its coupling is to carry.
    """
    for vehicle in rig.vehicles:
        tires_kg = [_tires_kg(axle, fitted) for axle in vehicle.axles]
        for axle, (sum_kg, count) in zip(vehicle.axles, tires_kg, strict=True):
            if _contradicts(axle.gawr_kg, sum_kg, count):
                facts = {"rating": mass(axle.gawr_kg), "sum": mass(sum_kg)}
                yield Finding("label_tires_below_axle_rating", Severity.WARNING, axle.name, facts)
        axles = sum(axle.gawr_kg for axle in vehicle.axles), len(vehicle.axles)
        tires = sum(sum_kg for sum_kg, _ in tires_kg), sum(count for _, count in tires_kg)
        coupling_share = _most_coupling_share(vehicle, policy)
        for part, (sum_kg, count) in (("axle_ratings", axles), ("tires", tires)):
            if _contradicts(vehicle.gvwr_kg * (1 - coupling_share), sum_kg, count):
                yield _vehicle_finding(vehicle, part, sum_kg, coupling_share)


def _vehicle_finding(vehicle: Vehicle, part: str, sum_kg: float, coupling_share: float) -> Finding:
    facts = {"rating": mass(vehicle.gvwr_kg), "sum": mass(sum_kg)}
    if not vehicle.is_trailer:
        return Finding(f"label_rating_above_{part}", Severity.WARNING, vehicle.name, facts)
    facts |= {"share": share(coupling_share), "rest": mass(vehicle.gvwr_kg * (1 - coupling_share))}
    return Finding(f"label_trailer_rating_above_{part}", Severity.WARNING, vehicle.name, facts)


def _contradicts(rating_kg: float, sum_kg: float, count: int) -> bool:
    """Return whether a rating exceeds a sum of so many others by more than copying them may."""
    return exceeds(rating_kg, sum_kg + COPIED_TO_KG * (count + 1))


def _tires_kg(axle: Axle, fitted: dict[str, FittedTire]) -> tuple[float, int]:
    """Return what all tires of an axle are rated for together [kg], and how many they are."""
    counts = [end.tires.count for end in axle.wheel_ends]
    ratings_kg = [fitted[end.name].rated_load_kg for end in axle.wheel_ends]
    return sum(count * rating_kg for count, rating_kg in zip(counts, ratings_kg, strict=True)), sum(counts)


def _most_coupling_share(vehicle: Vehicle, policy: Policy) -> float:
    """Return the most share of a vehicle's weight that is to rest on its coupling; a trailer may be of either kind."""
    if not vehicle.is_trailer:
        return 0.0
    most = {
        VehicleKind.TRAVEL_TRAILER: policy.tongue_shares[1],
        VehicleKind.FIFTH_WHEEL: policy.pin_shares[1],
    }
    return most.get(vehicle.kind, max(policy.tongue_shares[1], policy.pin_shares[1]))
