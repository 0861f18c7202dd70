"""What a plan of passes says in words: to the driver, to the scale house, and why something cannot be had."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import ceil, floor
from typing import Final

from axlewright.contract.units import Units
from axlewright.core.rig import TRAILERS, Axle, CouplingKind, CouplingState, Rig, Side, VehicleKind
from axlewright.core.sessions.plan_question import PlanQuestion, Wanted
from axlewright.core.sessions.plan_reach import Impossible, Reason
from axlewright.core.sessions.site import Site
from axlewright.core.sessions.standing import AFTER, BEFORE, GUARD_M, SIDES_ON, Lateral, Standing, inside_m, room_m
from axlewright.core.sessions.train import Train, TrainAxle, out_of_state
from axlewright.core.units import INCH_M

CENTIMETER_M: Final = 0.01
SETTLE_S: Final = (15.0, 30.0)
"""How long to stand still before the figures are read [s]; common practice."""

REASONS: Final[dict[Reason, str]] = {
    Reason.GUARD_RAILS: "Guard rails leave no room beside the platforms for the wheels that are not to be weighed.",
    Reason.WHOLE_AXLES_ONLY: "Only whole axles may be weighed here.",
    Reason.ONE_WAY: "It would have to be driven over the other way round.",
    Reason.APPROACH_TOO_SHORT: "The level way before or after the platforms is too short for the other axles, or for "
    "what pulls the trailer.",
    Reason.PLATFORM_TOO_NARROW: "The platforms are too narrow for the axle.",
    Reason.BEYOND_SCALE: "It is likely heavier than a scale of this class and division can show.",
    Reason.PULLED_BY_UNKNOWN: "What pulls the trailer would stand on the same platform, and nobody tells where its "
    "axles are: send it as the rig's towing vehicle, with `couplings`.",
    Reason.NO_PLATFORM_FITS: "No platform is long enough for it to stand on with the other axles clear of edges and "
    "gaps.",
    Reason.AXLES_NOT_SEPARATED: "Nothing here weighs it apart from other wheels.",
}
ELSEWHERE: Final[dict[Reason, str]] = {
    Reason.ONE_WAY: "A scale that may be driven over both ways gives it: ask whoever runs this one.",
    Reason.APPROACH_TOO_SHORT: "A longer `site.approach` gives it: look whether there is more level way than you sent, "
    "or take a scale that has more.",
    Reason.PLATFORM_TOO_NARROW: "A scale with wider platforms gives it.",
    Reason.BEYOND_SCALE: "A scale with a coarser division (public vehicle scales: 20 lb or 10 kg) gives it.",
    Reason.NO_PLATFORM_FITS: "A scale with longer platforms gives it.",
    Reason.AXLES_NOT_SEPARATED: "A scale whose platforms end between these wheels gives it.",
}
KINDS: Final[dict[Wanted, str]] = {
    Wanted.WHEEL_ENDS: "wheel_end",
    Wanted.AXLES: "axle",
    Wanted.TONGUE_WEIGHT: "tongue_weight",
}
WEIGHED: Final[dict[Lateral, str]] = {
    Lateral.CENTRED: "whole axles",
    Lateral.RIGHT: "right wheels",
    Lateral.LEFT: "left wheels",
    Lateral.PADS: "wheel ends on pads",
}
STILL: Final = (
    "Once still, where the ground is level and nobody gets out: neutral, brakes released, a foot ready at the pedal, "
    "so that nothing is braced; elsewhere the parking brake stays set. Wait 15 to 30 s until the figures stand. Set "
    "the parking brake before anybody leaves the seat{0}; if the driver has to get out to the call button, send that "
    "weight as `changes` of this pass."
)
SLIDES: Final = frozenset({VehicleKind.MOTORHOME, VehicleKind.TRAVEL_TRAILER, VehicleKind.FIFTH_WHEEL})
JACKS: Final = SLIDES | TRAILERS
TAG: Final = "tag"
MOST_WITHOUT_TAG: Final = 2
TOGETHER: Final[dict[tuple[CouplingKind | None, CouplingState], str]] = {
    (CouplingKind.BALL, CouplingState.HITCHED): ", trailer level, levelling bars off",
    (CouplingKind.BALL, CouplingState.HITCHED_LEVELLED): ", levelling bars tensioned as for the road",
    (CouplingKind.FIFTH_WHEEL, CouplingState.HITCHED): ", trailer level",
    (CouplingKind.TOWBAR, CouplingState.HITCHED): " on the tow bar",
}


def hanging_side(way: Standing) -> Side | None:
    """Return the side whose wheels stand beside the platforms."""
    return {Lateral.RIGHT: Side.LEFT, Lateral.LEFT: Side.RIGHT}.get(way.lateral)


def pass_name(way: Standing, number: int) -> str:
    """Return what a pass is called: its number from 1, and what it weighs."""
    return f"{number} {WEIGHED[way.lateral]}"


def driver_text(way: Standing, number: int, count: int, question: PlanQuestion, units: Units) -> str:
    """Return what the driver has to do for one pass."""
    is_on_pads = way.first_axle_m is None
    steps = _pad_steps(way) if is_on_pads else _platform_steps(way, question.site, units)
    return (
        f"Pass {number} of {count}, {WEIGHED[way.lateral]}: {_coupled_text(way.train, question.rig)} {' '.join(steps)} "
        f"{_as_travelling(way.train, question.rig)} {STILL.format(' or goes near a pad' if is_on_pads else '')}"
    )


def _coupled_text(train: Train, rig: Rig) -> str:
    """Return how it is coupled, and what comes off first."""
    names = " and ".join(train.vehicles)
    if train.state is not CouplingState.SOLO:
        return f"{names} hitched together{TOGETHER[train.coupling, train.state]}."
    (vehicle,) = (vehicle for vehicle in rig.vehicles if vehicle.name == names)
    if train.pulled_m is not None:
        bars = "" if vehicle.kind is VehicleKind.FIFTH_WHEEL else ", levelling bars off"
        return f"{names} level on its coupling{bars}; what pulls it stands clear of the platforms under the trailer."
    if vehicle.kind is VehicleKind.TOWED_CAR:
        return (
            f"{names} by itself, unhitched. Whoever drives it on is not in it on the road: send that weight as "
            "`changes` of this pass."
        )
    towed = next((each.towed for each in rig.couplings if each.tow == names), "anything that it tows")
    return f"{names} by itself: first chock {towed}, unhitch it and leave it parked off the scale."


def _as_travelling(train: Train, rig: Rig) -> str:
    vehicles = [vehicle for vehicle in rig.vehicles if vehicle.name in train.vehicles]
    kinds = {vehicle.kind for vehicle in vehicles}
    has_tag = any(
        not vehicle.is_trailer
        and (
            len(vehicle.axles) > MOST_WITHOUT_TAG or any(_own_name(axle, vehicle.name) == TAG for axle in vehicle.axles)
        )
        for vehicle in vehicles
    )
    done = [
        what
        for what, is_so in (("slides in", kinds & SLIDES), ("jacks up", kinds & JACKS), ("tag axle down", has_tag))
        if is_so
    ]
    return f"Everyone stays aboard as when travelling{'; ' if done else ''}{', '.join(done)}."


def _platform_steps(way: Standing, site: Site, units: Units) -> Iterator[str]:
    met = site.against if way.against else site
    first = _platform(met.platforms[0].name)
    yield f"Drive on from the other end, over {first} first." if way.against else f"Drive over {first} first."
    yield f"Stop with the {_stop(way, met, units)}: {_who_stands_where(way, met)}."
    if (side := hanging_side(way)) is not None:
        kept = "left" if side is Side.LEFT else "right"
        yield (
            f"Keep so far to the {kept} that only the {SIDES_ON[way.lateral][0]} wheels are on the platforms and every "
            f"{kept} wheel stands beside them on level ground, clear of the edge{_inside(way, met, kept, units)}; "
            "somebody who does not travel with you watches from outside."
        )


def _inside(way: Standing, met: Site, kept: str, units: Units) -> str:
    """Return how far the weighed wheels have to be from the edge over which the others hang, as one can see."""
    axle, *room = inside_m(way, met)
    step_m = INCH_M if units.length == "in" else CENTIMETER_M
    low, high = ceil(room[0] / step_m - GUARD_M), floor(room[1] / step_m + GUARD_M)
    return (
        f": the {SIDES_ON[way.lateral][0]} wheels of the {_axles_text([axle], way.train)} with their inner side "
        f"{_paced(low, step_m)} to {_paced(high, step_m)} from the platform's {kept} edge"
    )


def _stop(way: Standing, met: Site, units: Units) -> str:
    """Return where to stop, by the axle that is nearest to an edge, with the room that all axles leave it."""
    assert way.first_axle_m is not None, "it stands on platforms"
    stands = zip(way.train.axles, way.spots, strict=True)
    axle, spot = min(stands, key=lambda stand: round(stand[1].clearance_m / GUARD_M))
    first, last = met.platforms[0].name, met.platforms[-1].name
    start_m, end_m = met.spans_m[spot.place] if spot.place >= 0 else (met.spans_m[-1][1], 0.0)
    at_m = way.first_axle_m - axle.behind_m
    is_past = spot.place == AFTER or (spot.place >= 0 and at_m - start_m <= end_m - at_m + GUARD_M)
    name = _platform({BEFORE: first, AFTER: last}.get(spot.place) or met.platforms[spot.place].name)
    if is_past:
        edge, edge_m, sign = f"past the {'end' if spot.place == AFTER else 'start'} of {name}", start_m, 1.0
    else:
        edge, edge_m, sign = f"before the {'start' if spot.place == BEFORE else 'end'} of {name}", end_m, -1.0
    room = sorted(sign * (first_m - axle.behind_m - edge_m) for first_m in room_m(way, met))
    return f"{_axles_text([axle], way.train)} {_distance(sign * (at_m - edge_m), room, units)} {edge}"


def _distance(at_m: float, room: Sequence[float], units: Units) -> str:
    """Return a distance as people pace it, with its bounds rounded inwards."""
    step_m = INCH_M if units.length == "in" else CENTIMETER_M
    low, high = ceil(room[0] / step_m - GUARD_M), floor(room[1] / step_m + GUARD_M)
    if low >= high:
        return f"{_paced(round(at_m / step_m), step_m)} (measure it: there is no room either way)"
    at = min(max(round(at_m / step_m), low), high)
    return f"about {_paced(at, step_m)} (to the middle of its wheels; {_paced(low, step_m)} to {_paced(high, step_m)})"


def _paced(steps: int, step_m: float) -> str:
    """Return whole inches as feet and inches, or whole centimetres as metres.

    >>> _paced(52, INCH_M), _paced(235, CENTIMETER_M)
    ('4 ft 4 in', '2.35 m')
    """
    if step_m == CENTIMETER_M:
        return f"{steps / 100:.2f} m" if steps >= 100 else f"{steps} cm"
    feet, inches = divmod(steps, 12)
    return " ".join([*([f"{feet} ft"] if feet else []), *([f"{inches} in"] if inches or not feet else [])])


def _who_stands_where(way: Standing, met: Site) -> str:
    places = {BEFORE: "before the scale", AFTER: "past the scale"}
    return ", ".join(
        f"{_axles_text([axle for axle, _ in group], way.train)} "
        f"{places.get(place) or f'on {_platform(met.platforms[place].name)}'}"
        for (place, _), group in groupby(
            zip(way.train.axles, way.spots, strict=True), key=lambda each: (each[1].place, each[0].vehicle)
        )
    )


def _axles_text(axles: Sequence[TrainAxle], train: Train) -> str:
    """Return axles of one vehicle in words, with the vehicle where another one drives on with it."""
    *others, last = (_own_name(axle, axle.vehicle).replace("_", " ") for axle in axles)
    named = f"{', '.join(others)} and {last}" if others else last
    noun = "" if "axle" in last else " axles" if others else " axle"
    return f"{named}{noun}{f' of {axles[0].vehicle}' if len(train.vehicles) > 1 else ''}"


def _own_name(axle: Axle | TrainAxle, vehicle: str) -> str:
    return axle.name.removeprefix(f"{vehicle}.")


def _platform(name: str) -> str:
    return name if "platform" in name.lower() else f"platform {name}"


def _pad_steps(way: Standing) -> Iterator[str]:
    axles = {axle.name: axle for axle in way.train.axles}
    ends = ((platform.name, *out_of_state(wheel).rsplit(".", 1)) for platform, (wheel,) in way.rows)
    stands = ", ".join(
        f"{pad} under the {side} of the {_axles_text([axles[axle]], way.train)}" for pad, axle, side in ends
    )
    vehicles = {axles[out_of_state(wheel).rpartition(".")[0]].vehicle for _, (wheel,) in way.rows}
    is_whole = len(way.rows) == sum(
        len(SIDES_ON[Lateral.CENTRED]) for axle in axles.values() if axle.vehicle in vehicles
    )
    others = "" if is_whole else "; the vehicle's other wheels level with these, on boards as thick as a pad"
    yield f"On level ground: {stands}{others}."


def scale_house_text(way: Standing, number: int, count: int, platforms: int) -> str | None:
    """Return what to tell the person in the scale house; None on pads.

    Parameters
    ----------
    number, count
        Of the passes over the scale.
    platforms
        How many the scale has.
    """
    if way.first_axle_m is None:
        return None
    ask = "weigh each platform separately and print each weight" if platforms > 1 else "print the weight"
    parts = [f"Weigh {number} of {count}: please {ask}."]
    if (side := hanging_side(way)) is not None:
        parts.append(
            f"The {side} wheels stand beside the platforms on purpose: please weigh the {SIDES_ON[way.lateral][0]} "
            "wheels alone."
        )
    if way.against:
        parts.append("We need to come from the other end for this one: please tell us when the way is free.")
    if number == 1 < count:
        parts.append(f"We come over the scale {count} times: what does each further weigh cost?")
    parts.append("That is the last one." if number == count else "We will be back for a further weigh.")
    return " ".join(parts)


def instead_of(each: Impossible, has_pads: bool, wheel_ends: int) -> list[str]:
    """Return what can be had in place of a load that no schedule gives."""
    offers = []
    if each.coarser:
        known = " + ".join(sorted(each.coarser))
        is_axle = each.target.axle is not None and len(each.coarser) == 2
        offers.append(
            f"{each.target.axle} can be weighed whole: ask for `axles`."
            if is_axle
            else f"{known} can be weighed together."
        )
    if not has_pads:
        offers.append(f"Portable pads under the wheel ends give it, up to {wheel_ends} in one go: send `site.pads`.")
    if set(each.reasons) & {Reason.GUARD_RAILS, Reason.WHOLE_AXLES_ONLY}:
        offers.append("A scale with a free level side, whose operator allows it, gives it too.")
    offers += [words for reason, words in ELSEWHERE.items() if reason in each.reasons]
    return offers


def read_names(wheels: Sequence[str]) -> list[str]:
    """Return wheel ends by their names, without their coupling state."""
    return [out_of_state(wheel) for wheel in wheels]
