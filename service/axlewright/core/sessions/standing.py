"""How a rig can stand on a site: which axle on which platform, where exactly, and what hangs off.

Plane geometry along and across the way, all platforms about one middle line. The half-length of a contact patch, the
margin to an edge, and the room for what pulls a trailer are judgement.
"""

from collections.abc import Iterator
from enum import StrEnum
from itertools import chain, combinations, pairwise
from math import comb, inf
from typing import Final

from msgspec import Struct

from axlewright.core.rig import CouplingKind, Side
from axlewright.core.sessions.passes import Platform
from axlewright.core.sessions.site import Rails, Site
from axlewright.core.sessions.train import Train, TrainAxle

PATCH_HALF_M: Final = 0.15
"""Half the length of a tire's contact patch [m]; judgement."""
MARGIN_M: Final = 0.05
"""Least distance of a tire from an edge [m]; judgement."""
GUARD_M: Final = 1e-9
"""Lengths that differ by less are the same."""
WINDOW_M: Final = 0.10
"""Least room across the way in all [m] to hang a side off; judgement."""
TOWING_LENGTH_M: Final = 6.0
"""Way ahead of a trailer's coupling [m] that what pulls it needs; judgement."""
COUPLING_MARGIN_M: Final = {CouplingKind.BALL: 0.2, CouplingKind.FIFTH_WHEEL: 0.6}
"""So far behind the coupling [m] an axle of what pulls a trailer may reach; judgement."""
MOST_PAD_CHOICES: Final = 100
"""Beyond so many choices of axles for the pads they are taken in turn, front to back."""

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


def standings(train: Train, site: Site, too_heavy: frozenset[str] = frozenset()) -> Iterator[Standing]:
    """Yield every way in which a train can stand on a site, each once for a set of readings.

    Parameters
    ----------
    too_heavy
        Wheel ends in their states that no pad can show: there are ways to stand without them too.
    """
    seen: set[tuple[frozenset[str], ...]] = set()
    for against in (False, True) if not site.one_way else (False,):
        met = site.against if against else site
        found = list(_on_platforms(train, met, against))
        yield from (each for each in found if not against or _structure(each) not in seen)
        seen |= {_structure(each) for each in found}
    yield from _on_pads(train, site, too_heavy)


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
        ends |= {end for last in range(len(spans)) for end in _pulled_bounds_m(train, last, met, spans)}
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
        low_m, high_m = _pulled_bounds_m(train, max(on), met, spans)
        if not low_m - GUARD_M <= first_m <= high_m + GUARD_M:
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


def _pulled_bounds_m(train: Train, last: int, met: Site, spans: list[tuple[float, float]]) -> tuple[float, float]:
    """Return between which places of the first axle [m] what pulls a trailer has room, and is on none of its platforms.

    ``last`` is the last platform on which the trailer stands.
    """
    if train.pulled_m is None or train.coupling is None:
        return -inf, inf
    clear_m = spans[last][1] + COUPLING_MARGIN_M[train.coupling]
    return clear_m - train.pulled_m, spans[-1][1] + met.after_m - TOWING_LENGTH_M - train.pulled_m


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
    low_m, high_m = _pulled_bounds_m(train, max(on), met, spans)
    lowest_m.append(low_m)
    highest_m.append(high_m)
    first_m = (max(above) + min(below)) / 2
    first_m = min([max([first_m, *lowest_m]), *highest_m])
    return first_m, tuple(
        Spot(place, _clearance_m(first_m - axle.behind_m, place, spans))
        for axle, place in zip(train.axles, on, strict=True)
    )


def room_m(way: Standing, met: Site) -> tuple[float, float]:
    """Return between which places [m] the first axle may stop for every axle to keep its own.

    Parameters
    ----------
    way
        On platforms.
    met
        The site as met by who drives over it this way.
    """
    spans = met.spans_m
    rooms = [
        (low_m, high_m)
        for axle, spot in zip(way.train.axles, way.spots, strict=True)
        for low_m, high_m, place in _allowed(axle.behind_m, met, spans)
        if place == spot.place
    ]
    rooms.append(_pulled_bounds_m(way.train, max(spot.place for spot in way.spots), met, spans))
    return max(low_m for low_m, _ in rooms), min(high_m for _, high_m in rooms)


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
    if lateral is Lateral.CENTRED:
        return all(width_m + GUARD_M >= axle.outer_m + 2 * MARGIN_M for axle, width_m in _widths_m(train, met, spots))
    least_m, most_m = _aside_m(train, met, spots)
    return most_m - least_m >= WINDOW_M - GUARD_M


def aside_m(way: Standing, met: Site) -> tuple[float, float] | None:
    """Return how far at least and at most [m] the middle of what is weighed stands beside that of the platforms.

    Positive towards the side that hangs off; None where none does.

    Parameters
    ----------
    met
        The site as met by who drives over it this way.
    """
    return _aside_m(way.train, met, way.spots) if way.lateral in RAIL_AGAINST else None


def inside_m(way: Standing, met: Site) -> tuple[TrainAxle, float, float]:
    """Return the first axle on a platform, and how far [m] the inner sides of its weighed tires are from the edge.

    That is the edge over which the other side hangs.
    """
    axle, width_m = next(_widths_m(way.train, met, way.spots))
    least_m, most_m = _aside_m(way.train, met, way.spots)
    from_edge_m = (width_m + axle.inner_m) / 2
    return axle, from_edge_m - most_m, from_edge_m - least_m


def _widths_m(train: Train, met: Site, spots: tuple[Spot, ...]) -> Iterator[tuple[TrainAxle, float]]:
    """Yield the axles on platforms, each with the width [m] of its own."""
    for axle, spot in zip(train.axles, spots, strict=True):
        if spot.place >= 0:
            yield axle, met.platforms[spot.place].width_m


def _aside_m(train: Train, met: Site, spots: tuple[Spot, ...]) -> tuple[float, float]:
    """Return the window of `aside_m`; it is none where the first is greater."""
    on = list(_widths_m(train, met, spots))
    least_m = max(
        max((width_m - axle.inner_m) / 2 + MARGIN_M, (axle.outer_m - width_m) / 2 + MARGIN_M) for axle, width_m in on
    )
    return least_m, min((width_m + axle.inner_m) / 2 - MARGIN_M for axle, width_m in on)


def _on_pads(train: Train, site: Site, too_heavy: frozenset[str]) -> Iterator[Standing]:
    """Yield the choices of wheel ends for the pads, from all and from those that a pad can show."""
    ends = [tuple(train.wheel(axle, side) for side in Side) for axle in train.axles]
    shown = [tuple(wheel for wheel in each if wheel not in too_heavy) for each in ends]
    for chosen in dict.fromkeys(chain(_for_pads(ends, site.pads), _for_pads(shown, site.pads))):
        rows = tuple((site.pad(number), frozenset({wheel})) for number, wheel in enumerate(chosen))
        yield Standing(train, Lateral.PADS, False, None, (), rows)


def _for_pads(ends: list[tuple[str, ...]], pads: int) -> Iterator[tuple[str, ...]]:
    """Yield the most whole axles that there are pads for, of too many choices those in turn; other wheels one by one.

    Nothing is lifted crosswise, or on three of four wheels: that would twist the vehicle.
    """
    whole = [each for each in ends if len(each) == len(Side) <= pads]
    count = min(pads // len(Side), len(whole))
    around = [*whole, *whole]
    in_turn = (tuple(around[first : first + count]) for first in range(len(whole)))
    is_few = comb(len(whole), count) <= MOST_PAD_CHOICES
    if count:
        yield from (tuple(chain(*chosen)) for chosen in (combinations(whole, count) if is_few else in_turn))
    if pads:
        yield from ((wheel,) for each in ends if each not in whole for wheel in each)


def are_all_on_pads(train: Train, site: Site) -> bool:
    """Return whether every choice of axles for the pads is among the ways to stand."""
    count = min(site.pads // len(Side), len(train.axles))
    return comb(len(train.axles), count) <= MOST_PAD_CHOICES
