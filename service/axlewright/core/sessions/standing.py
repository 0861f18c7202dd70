"""How a rig can stand on a site: which axle on which platform, where exactly, and what hangs off.

Plane geometry along and across the way. The half-length of a contact patch, the widths of tires and the margin to
an edge are judgement.
"""

from collections.abc import Iterator
from enum import StrEnum
from itertools import combinations, pairwise
from math import comb
from typing import Final

from msgspec import Struct

from axlewright.core.rig import CouplingKind, CouplingState, Fitment, Rig, Side, Vehicle
from axlewright.core.sessions.passes import Platform
from axlewright.core.sessions.site import Rails, Site, SitePlatform

PATCH_HALF_M: Final = 0.15
"""Half the length of a tire's contact patch [m]; judgement."""
MARGIN_M: Final = 0.05
"""Least distance of a tire from an edge [m]; judgement."""
TIRE_WIDTH_M: Final = {Fitment.SINGLE: 0.30, Fitment.DUAL: 0.70}
"""Across one wheel end [m]: a tire, or two with the gap between them; judgement."""
GUARD_M: Final = 1e-9
"""Lengths that differ by less are the same."""
MOST_PAD_CHOICES: Final = 64
"""Beyond so many choices of wheel ends for the pads they are taken in turn, front to back."""

BEFORE: Final = -1
AFTER: Final = -2


class Lateral(StrEnum):
    """Which wheels of the axles on the scale are weighed, or that pads are used."""

    CENTRED = "centred"
    RIGHT = "right_side"
    LEFT = "left_side"
    PADS = "pads"


SIDES_ON = {Lateral.CENTRED: tuple(Side), Lateral.RIGHT: (Side.RIGHT,), Lateral.LEFT: (Side.LEFT,)}
RAIL_AGAINST = {Lateral.RIGHT: Rails.LEFT, Lateral.LEFT: Rails.RIGHT}
"""What hangs off on one side needs that side free."""


class TrainAxle(Struct, frozen=True):
    """An axle of what drives in one piece: how far behind its first axle, and how wide between and across tires [m]."""

    name: str
    vehicle: str
    behind_m: float
    inner_m: float
    outer_m: float


class Train(Struct, frozen=True):
    """What drives onto the scale in one piece, in a coupling state.

    ``pulled_m`` is how far ahead of the first axle [m] a trailer is coupled to what the rig does not tell of.
    """

    state: CouplingState
    vehicles: tuple[str, ...]
    axles: tuple[TrainAxle, ...]
    pulled_m: float | None = None

    @property
    def wheels(self) -> frozenset[str]:
        """All its wheel ends as unknowns of its state."""
        return frozenset(self.wheel(axle, side) for axle in self.axles for side in Side)

    def wheel(self, axle: TrainAxle, side: Side) -> str:
        """Return the unknown that a wheel end is in this state."""
        return in_state(self.state, f"{axle.name}.{side}")


class Spot(Struct, frozen=True):
    """Where an axle stands: the platform's place in the order met, or off the scale; how far from the next edge [m]."""

    place: int
    clearance_m: float


class Standing(Struct, frozen=True):
    """One way to stand.

    Attributes
    ----------
    against
        Driven over against the order listed.
    first_axle_m
        The first axle behind the edge that is met first [m]; None on pads.
    spots
        Of each axle; none on pads.
    rows
        What each platform reads, in the order met: its wheels as unknowns of their state.
    """

    train: Train
    lateral: Lateral
    against: bool
    first_axle_m: float | None
    spots: tuple[Spot, ...]
    rows: tuple[tuple[Platform, frozenset[str]], ...]

    @property
    def clearance_m(self) -> float:
        """The least of all axles [m]."""
        return min((spot.clearance_m for spot in self.spots), default=0.0)


def in_state(state: CouplingState, name: str) -> str:
    """Return the name of a wheel end, axle or vehicle in a coupling state.

    >>> in_state(CouplingState.SOLO, "steer.left")
    'solo/steer.left'
    """
    return f"{state}/{name}"


def out_of_state(name: str) -> str:
    """Return the name without its coupling state."""
    return name.partition("/")[2]


def trains_of(rig: Rig) -> list[Train]:
    """Return what can drive onto a scale: each vehicle by itself, and what is coupled at a known place.

    A trailer that nothing of the rig tows is pulled by what nobody tells of. A car on a tow bar drives by itself.
    """
    vehicles = {vehicle.name: vehicle for vehicle in rig.vehicles}
    pairs = [
        (vehicles[each.tow], vehicles[each.towed])
        for each in rig.couplings
        if each.kind in (CouplingKind.BALL, CouplingKind.FIFTH_WHEEL)
    ]
    hitched = {towed.name for _, towed in pairs}
    alone = [
        Train(
            CouplingState.SOLO,
            (vehicle.name,),
            tuple(_axles(vehicle, -vehicle.axles[0].aft_m)),
            vehicle.axles[0].aft_m if vehicle.is_trailer else None,
        )
        for vehicle in rig.vehicles
        if vehicle.name not in hitched
    ]
    return alone + [_pair(tow, towed) for tow, towed in pairs]


def _pair(tow: Vehicle, towed: Vehicle) -> Train:
    assert tow.hitch is not None, "the request was refused"
    first_m = tow.axles[0].aft_m
    axles = (*_axles(tow, -first_m), *_axles(towed, tow.hitch.aft_m - first_m))
    return Train(CouplingState.HITCHED, (tow.name, towed.name), axles)


def _axles(vehicle: Vehicle, shift_m: float) -> Iterator[TrainAxle]:
    for axle in vehicle.axles:
        tire_m = max(TIRE_WIDTH_M[end.tires.fitment] for end in axle.wheel_ends)
        yield TrainAxle(axle.name, vehicle.name, axle.aft_m + shift_m, axle.track_m - tire_m, axle.track_m + tire_m)


def standings(train: Train, site: Site) -> Iterator[Standing]:
    """Yield every way in which a train can stand on a site, each once for a set of readings."""
    seen: set[tuple[frozenset[str], ...]] = set()
    for against in (False, True) if not site.one_way else (False,):
        met = site.against if against else site
        found = list(_on_platforms(train, met, against))
        yield from (each for each in found if not against or _structure(each) not in seen)
        seen |= {_structure(each) for each in found}
    yield from _on_pads(train, site)


def _structure(standing: Standing) -> tuple[frozenset[str], ...]:
    return tuple(sorted((wheels for _, wheels in standing.rows), key=sorted))


def _on_platforms(train: Train, met: Site, against: bool) -> Iterator[Standing]:
    laterals = [Lateral.CENTRED]
    if not met.whole_axles_only:
        laterals += [each for each, rail in RAIL_AGAINST.items() if met.rails not in (rail, Rails.BOTH)]
    for first_m, spots in _stops(train, met):
        for lateral in laterals:
            if _has_width(train, met, spots, lateral):
                yield Standing(train, lateral, against, first_m, spots, _rows(train, met, spots, lateral))


def _rows(
    train: Train, met: Site, spots: tuple[Spot, ...], lateral: Lateral
) -> tuple[tuple[Platform, frozenset[str]], ...]:
    on: dict[int, set[str]] = {}
    for axle, spot in zip(train.axles, spots, strict=True):
        if spot.place >= 0:
            on.setdefault(spot.place, set()).update(train.wheel(axle, side) for side in SIDES_ON[lateral])
    return tuple((met.platforms[place].platform, frozenset(wheels)) for place, wheels in sorted(on.items()))


def _stops(train: Train, met: Site) -> Iterator[tuple[float, tuple[Spot, ...]]]:
    """Yield for every way to spread the axles over platforms and approaches the place with the most clearance.

    Each axle stands wholly on one platform, or wholly off the scale on level ground. The places of the first axle
    where it does are intervals; between their ends nothing changes.
    """
    if not met.platforms:
        return
    spans = met.spans_m
    allowed = [_allowed(axle.behind_m, met, spans) for axle in train.axles]
    ends = {end for each in allowed for low, high, _ in each for end in (low, high)}
    if train.pulled_m is not None:
        ends |= {end - train.pulled_m for _, end in spans}
    points = sorted(ends)
    points = sorted([*points, *((one + other) / 2 for one, other in pairwise(points))])
    seen: set[tuple[int, ...]] = set()
    for first_m in points:
        places = tuple(
            next((place for low, high, place in each if low - GUARD_M <= first_m <= high + GUARD_M), None)
            for each in allowed
        )
        on = tuple(place for place in places if place is not None)
        if len(on) < len(places) or max(on) < 0 or on in seen:
            continue
        if train.pulled_m is not None and _pulled_short_m(train.pulled_m, first_m, on, spans) > GUARD_M:
            continue
        seen.add(on)
        yield _roomiest(train, on, met, spans)


def _allowed(behind_m: float, met: Site, spans: list[tuple[float, float]]) -> list[tuple[float, float, int]]:
    """Return where the first axle [m] may be for an axle behind it to stand on each platform, before and after."""
    edge_m = PATCH_HALF_M + MARGIN_M
    whole_m = spans[-1][1]
    intervals = [(start + edge_m, end - edge_m, place) for place, (start, end) in enumerate(spans)]
    intervals.append((PATCH_HALF_M - met.before_m, -edge_m, BEFORE))
    intervals.append((whole_m + edge_m, whole_m + met.after_m - PATCH_HALF_M, AFTER))
    return [(low + behind_m, high + behind_m, place) for low, high, place in intervals if high - low > -GUARD_M]


def _pulled_short_m(pulled_m: float, first_m: float, on: tuple[int, ...], spans: list[tuple[float, float]]) -> float:
    """Return by how much [m] a trailer's coupling fails to clear the platforms on which the trailer stands."""
    return max(spans[place][1] for place in on if place >= 0) - (first_m + pulled_m)


def _roomiest(
    train: Train, on: tuple[int, ...], met: Site, spans: list[tuple[float, float]]
) -> tuple[float, tuple[Spot, ...]]:
    """Return the place of the first axle with the greatest least clearance, and every axle's spot there.

    Clearances rise or fall with the place at the same rate, so that the middle between the nearest bounds is best.
    """
    whole_m = spans[-1][1]
    above, below = [], []
    lowest_m, highest_m = [], []
    for axle, place in zip(train.axles, on, strict=True):
        start, end = {BEFORE: (None, 0.0), AFTER: (whole_m, None)}.get(place) or spans[place]
        if start is not None:
            above.append(axle.behind_m + start + PATCH_HALF_M)
        else:
            lowest_m.append(axle.behind_m + PATCH_HALF_M - met.before_m)
        if end is not None:
            below.append(axle.behind_m + end - PATCH_HALF_M)
        else:
            highest_m.append(axle.behind_m + whole_m + met.after_m - PATCH_HALF_M)
    if train.pulled_m is not None:
        lowest_m.append(max(spans[place][1] for place in on if place >= 0) - train.pulled_m)
    first_m = (max(above) + min(below)) / 2
    first_m = min([max([first_m, *lowest_m]), *highest_m])
    return first_m, tuple(
        Spot(place, _clearance_m(first_m - axle.behind_m, place, spans))
        for axle, place in zip(train.axles, on, strict=True)
    )


def _clearance_m(at_m: float, place: int, spans: list[tuple[float, float]]) -> float:
    """Return how far [m] a contact patch is from the nearer edge of its platform, or from the scale."""
    if place == BEFORE:
        return -at_m - PATCH_HALF_M
    if place == AFTER:
        return at_m - spans[-1][1] - PATCH_HALF_M
    start, end = spans[place]
    return min(at_m - start, end - at_m) - PATCH_HALF_M


def _has_width(train: Train, met: Site, spots: tuple[Spot, ...], lateral: Lateral) -> bool:
    """Return whether the platforms are wide enough for the wheels on them, the others beside."""
    on = [(axle, met.platforms[spot.place]) for axle, spot in zip(train.axles, spots, strict=True) if spot.place >= 0]
    if lateral is Lateral.CENTRED:
        return all(platform.width_m + GUARD_M >= axle.outer_m + 2 * MARGIN_M for axle, platform in on)
    # To the right of the middle of the platforms, where right wheels are weighed; the other side mirrors it.
    least_m = max(-platform.width_m / 2 + MARGIN_M - axle.inner_m / 2 for axle, platform in on)
    return least_m <= min(_most_aside_m(axle, platform) for axle, platform in on) + GUARD_M


def _most_aside_m(axle: TrainAxle, platform: SitePlatform) -> float:
    """Return how far to the right [m] the centre line may be with the right wheels on and the left ones beside."""
    half_m = platform.width_m / 2
    return min(-half_m - MARGIN_M + axle.inner_m / 2, half_m - MARGIN_M - axle.outer_m / 2)


def _on_pads(train: Train, site: Site) -> Iterator[Standing]:
    """Yield the choices of wheel ends of one vehicle for the pads; of too many choices those taken in turn."""
    if not site.pads:
        return
    for wheels in _wheels_by_vehicle(train):
        pads = min(site.pads, len(wheels))
        around = [*wheels, *wheels]
        in_turn = (tuple(around[first : first + pads]) for first in range(len(wheels)))
        is_few = comb(len(wheels), pads) <= MOST_PAD_CHOICES
        for chosen in combinations(wheels, pads) if is_few else in_turn:
            rows = tuple((site.pad(number), frozenset({wheel})) for number, wheel in enumerate(chosen))
            yield Standing(train, Lateral.PADS, False, None, (), rows)


def are_all_on_pads(train: Train, site: Site) -> bool:
    """Return whether every choice of wheel ends for the pads is among the ways to stand."""
    return all(comb(len(each), min(site.pads, len(each))) <= MOST_PAD_CHOICES for each in _wheels_by_vehicle(train))


def _wheels_by_vehicle(train: Train) -> list[list[str]]:
    return [
        [train.wheel(axle, side) for axle in train.axles if axle.vehicle == vehicle for side in Side]
        for vehicle in train.vehicles
    ]
