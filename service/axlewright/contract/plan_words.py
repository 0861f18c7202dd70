"""What a plan of passes says in words: to the driver, to the scale house, and why something cannot be had."""

from collections.abc import Iterator, Sequence
from typing import Final

from axlewright.contract.units import Unit, Units, spoken, unit_of
from axlewright.core.rig import CouplingState, Side
from axlewright.core.sessions.plan_question import Wanted
from axlewright.core.sessions.plan_reach import Impossible, Reason
from axlewright.core.sessions.site import Site
from axlewright.core.sessions.standing import AFTER, BEFORE, SIDES_ON, Lateral, Standing, out_of_state

SETTLE_S: Final = (15.0, 30.0)
"""How long to stand still before the figures are read [s]; common practice."""

REASONS: Final[dict[Reason, str]] = {
    Reason.GUARD_RAILS: "Guard rails leave no room beside the platforms for the wheels that are not to be weighed.",
    Reason.WHOLE_AXLES_ONLY: "Only whole axles may be weighed here.",
    Reason.ONE_WAY: "It would have to be driven over the other way round.",
    Reason.APPROACH_TOO_SHORT: "The level way before or after the platforms is too short for the other axles.",
    Reason.PLATFORM_TOO_NARROW: "The platforms are too narrow for the axle.",
    Reason.BEYOND_SCALE: "It is likely heavier than a scale of this class and division can show.",
    Reason.PULLED_BY_UNKNOWN: "What pulls the trailer would stand on the same platform, and nobody tells where its "
    "axles are: send it as the rig's towing vehicle, with `couplings`.",
    Reason.NO_PLATFORM_FITS: "No platform is long enough for it to stand on with the other axles clear of edges and "
    "gaps.",
    Reason.AXLES_NOT_SEPARATED: "Nothing here weighs it apart from other wheels.",
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
AS_TRAVELLING: Final = (
    "Everyone stays aboard as when travelling; slides in, jacks up, tag axle down. Once still, neutral and brakes "
    "released, so that nothing is braced; leave it so for 15 to 30 s until the figures stand."
)
STATES: Final[dict[tuple[CouplingState, bool], str]] = {
    (CouplingState.SOLO, False): "{0} by itself, nothing hitched.",
    (CouplingState.SOLO, True): "{0} level on its coupling, levelling bars off; what pulls it stands clear of the "
    "platforms under the trailer.",
    (CouplingState.HITCHED, False): "{0} hitched together, trailer level, levelling bars off.",
}


def hanging_side(way: Standing) -> Side | None:
    """Return the side whose wheels stand beside the platforms."""
    return {Lateral.RIGHT: Side.LEFT, Lateral.LEFT: Side.RIGHT}.get(way.lateral)


def pass_name(way: Standing, number: int) -> str:
    """Return what a pass is called: its number from 1, and what it weighs."""
    return f"{number} {WEIGHED[way.lateral]}"


def driver_text(way: Standing, number: int, count: int, site: Site, units: Units) -> str:
    """Return what the driver has to do for one pass."""
    unit = unit_of(units, "length")
    assert unit is not None, "a rig has lengths"
    steps = _pad_steps(way) if way.first_axle_m is None else _platform_steps(way, site, unit)
    state = STATES[way.train.state, way.train.pulled_m is not None].format(" and ".join(way.train.vehicles))
    return f"Pass {number} of {count}, {WEIGHED[way.lateral]}: {state} {' '.join(steps)} {AS_TRAVELLING}"


def _platform_steps(way: Standing, site: Site, unit: Unit) -> Iterator[str]:
    met = site.against if way.against else site
    first = met.platforms[0].name
    assert way.first_axle_m is not None, "it stands on platforms"
    if way.against:
        yield f"Drive on from the other end, over {first} first."
    else:
        yield f"Drive over {first} first."
    yield (
        f"Stop with {way.train.axles[0].name} {_past(way.first_axle_m, unit)} the edge where {first} begins: "
        f"{_who_stands_where(way, met)}."
    )
    least = min(spot.clearance_m for spot in way.spots)
    yield f"From every edge at least {spoken(least, unit)} are left."
    if (side := hanging_side(way)) is not None:
        kept = "left" if side is Side.LEFT else "right"
        yield (
            f"Keep so far to the {kept} that only the {SIDES_ON[way.lateral][0]} wheels are on the platforms and every "
            f"{kept} wheel stands beside them on level ground, clear of the edge; somebody who does "
            "not travel with you watches from outside."
        )


def _past(first_m: float, unit: Unit) -> str:
    return f"{spoken(abs(first_m), unit)} {'past' if first_m >= 0 else 'short of'}"


def _who_stands_where(way: Standing, met: Site) -> str:
    places = {BEFORE: "before the scale", AFTER: "past the scale"}
    return ", ".join(
        f"{axle.name} {places.get(spot.place) or f'on {met.platforms[spot.place].name}'}"
        for axle, spot in zip(way.train.axles, way.spots, strict=True)
    )


def _pad_steps(way: Standing) -> Iterator[str]:
    stands = ", ".join(f"{platform.name} under {out_of_state(wheel)}" for platform, (wheel,) in way.rows)
    yield f"On level ground: {stands}; every other wheel on the ground, no pad under it."


def scale_house_text(way: Standing, number: int, count: int) -> str | None:
    """Return what to tell the person in the scale house; None on pads."""
    if way.first_axle_m is None:
        return None
    parts = [f"Pass {number} of {count} weighs each platform by itself; please print each platform's weight."]
    if (side := hanging_side(way)) is not None:
        parts.append(
            f"The {side} wheels stand beside the platforms on purpose: please weigh the {SIDES_ON[way.lateral][0]} "
            "wheels alone."
        )
    if way.against:
        parts.append("We need to come from the other end for this one: please tell us when the way is free.")
    parts.append("That is the last one." if number == count else "We will be back for a further pass.")
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
    return offers


def read_names(wheels: Sequence[str]) -> list[str]:
    """Return wheel ends by their names, without their coupling state."""
    return [out_of_state(wheel) for wheel in wheels]
