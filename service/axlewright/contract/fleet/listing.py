"""From an assessment's answer to the figures by which its rig is listed, and to what its history tells."""

from collections.abc import Iterator

from msgspec import Struct

from axlewright.contract.assessment import AssessAnswer
from axlewright.contract.output import LoadAnswer
from axlewright.contract.units import UNITS

_WORST_FIRST = ("over", "short", "unsettled", "unknown", "tight", "clear")


class AxleFigures(Struct, frozen=True):
    """How one axle stood: the worst of its limits, and its side difference as a share of its load."""

    standing: str
    side_difference_share: float | None


class Load(Struct, frozen=True):
    """A load in kg with its doubt, as far as they are known: that of a provisional load is not."""

    load_kg: float | None
    standard_uncertainty_kg: float | None
    provisional: bool


class WheelEndLoad(Struct, frozen=True):
    """The load of a wheel end; `vehicle` is its vehicle's place in the rig, and `name` stands without its name."""

    vehicle: int
    name: str
    load: Load


def axle_figures(answer: AssessAnswer) -> dict[str, AxleFigures]:
    """Return the figures of each axle by its name without the vehicle's; of two of one name the worse.

    What readings give that failed their cross-check is no figure to sort a fleet by.
    """
    loads = {axle.name: axle.load for axle in answer.axles}
    shares: dict[str, float | None] = dict.fromkeys(loads)
    for balance in answer.balance:
        for side in balance.axle_sides:
            load = loads.get(side.axle)
            if load and side.difference is not None and not side.provisional:
                shares[side.axle] = min(1.0, abs(side.difference) / load)
    figures: dict[str, AxleFigures] = {}
    for axle in loads:
        standings = [limit.standing for limit in answer.limits if f"{limit.subject}.".startswith(f"{axle}.")]
        own = AxleFigures(min(standings, key=_WORST_FIRST.index, default="unknown"), shares[axle])
        bare = _parted(axle, answer)[1]
        figures[bare] = _worse(figures.get(bare), own)
    return figures


def largest_share(figures: dict[str, AxleFigures]) -> float | None:
    """Return the largest side difference of all axles, None where no side is known."""
    known = [each.side_difference_share for each in figures.values() if each.side_difference_share is not None]
    return max(known, default=None)


def wheel_end_loads(answer: AssessAnswer) -> Iterator[WheelEndLoad]:
    """Yield the load of every wheel end that is known."""
    for each in answer.wheel_ends:
        if each.load is not None:
            vehicle, name = _parted(each.name, answer)
            yield WheelEndLoad(vehicle, name, _load(answer, each))


def gross_load(answer: AssessAnswer) -> Load:
    """Return the load on all wheels together."""
    return _load(answer, answer.rig)


def vehicle_loads(answer: AssessAnswer) -> list[Load]:
    """Return the load of each vehicle, in the rig's order."""
    return [_load(answer, each) for each in answer.vehicles]


def hitched_state(answer: AssessAnswer) -> str:
    """Return how the loads of vehicles and wheel ends were weighed, as a history's kinds end; empty for solo."""
    state = "solo" if answer.coupling is None else answer.coupling.state
    return "" if state == "solo" else f"_{state}"


def _load(answer: AssessAnswer, told: LoadAnswer) -> Load:
    doubt = None if told.provisional else told.standard_uncertainty
    return Load(_kg_or_none(answer, told.load), _kg_or_none(answer, doubt), told.provisional)


def _parted(name: str, answer: AssessAnswer) -> tuple[int, str]:
    """Return the vehicle's place and the rest of a name, in which the vehicle stands where there are several."""
    if len(answer.vehicles) == 1:
        return 0, name
    vehicle, _, rest = name.partition(".")
    return [each.name for each in answer.vehicles].index(vehicle), rest


def _worse(one: AxleFigures | None, other: AxleFigures) -> AxleFigures:
    if one is None:
        return other
    shares = [each.side_difference_share for each in (one, other) if each.side_difference_share is not None]
    return AxleFigures(min(one.standing, other.standing, key=_WORST_FIRST.index), max(shares, default=None))


def _kg_or_none(answer: AssessAnswer, load: float | None) -> float | None:
    return None if load is None else UNITS["mass", answer.units.mass or "kg"].to_si(load)
