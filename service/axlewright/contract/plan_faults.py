"""Contradictions in what is asked of a plan of passes, and the way of its site into the core."""

from collections.abc import Iterator

from axlewright.contract.coupling_faults import pair_faults
from axlewright.contract.faults import Fault, given_text
from axlewright.contract.plan_request import PlanSessionRequest, SiteInput, WantedInput
from axlewright.contract.rig import repeated, unknown
from axlewright.contract.rig_faults import rig_faults
from axlewright.contract.rig_request import CouplingInput, RigInput
from axlewright.core.rig import TRAILERS
from axlewright.core.scales import ACCURACY_CLASSES, OwnTolerance, Tolerance
from axlewright.core.sessions.site import Rails, Site, SitePlatform, pad_name

HITCHED_KINDS = frozenset({"ball", "fifth_wheel"})
"""Couplings through which a trailer loads what tows it."""
SHORTEST_DRAWBAR_M = 0.5
"""A trailer's axle nearer to its coupling is a slip: its place was measured from its first axle."""


def plan_faults(request: PlanSessionRequest) -> Iterator[Fault]:
    """Yield every contradiction of a question for passes."""
    yield from rig_faults(request.rig)
    if request.rig.couplings:
        yield from pair_faults(request.rig, predicted=False)
    yield from _trailer_faults(request.rig)
    yield from _site_faults(request.site)
    yield from _wanted_faults(request)
    yield from _expected_faults(request)


def _trailer_faults(rig: RigInput) -> Iterator[Fault]:
    for place, vehicle in enumerate(rig.vehicles):
        if vehicle.kind in TRAILERS and vehicle.axles[0].aft < SHORTEST_DRAWBAR_M:
            yield Fault(
                "inconsistent_order",
                f"/rig/vehicles/{place}/axles/0/aft",
                "A trailer's places are measured from its coupling point, and its axles lie well behind that.",
                None,
                "at least 0.5 m (20 in)",
            )
    for coupling in rig.couplings:
        yield from _overlap_faults(coupling, rig)


def _overlap_faults(coupling: CouplingInput, rig: RigInput) -> Iterator[Fault]:
    """Yield a fault for a trailer that would stand within what tows it."""
    places = {vehicle.name: place for place, vehicle in enumerate(rig.vehicles)}
    if coupling.kind not in HITCHED_KINDS or not {coupling.tow, coupling.towed} <= places.keys():
        return
    tow, towed = (rig.vehicles[places[name]] for name in (coupling.tow, coupling.towed))
    if tow.hitch is not None and tow.hitch.aft + towed.axles[0].aft <= tow.axles[-1].aft:
        yield Fault(
            "inconsistent_order",
            f"/rig/vehicles/{places[coupling.tow]}/hitch/aft",
            "Hitched there, the trailer's first axle would not lie behind the towing vehicle's last one.",
            None,
            "a hitch farther behind the first axle, or a trailer's axle farther behind its coupling",
        )


def _site_faults(site: SiteInput) -> Iterator[Fault]:
    if (site.accuracy_class is None) == (site.tolerance is None):
        yield Fault(
            "inconsistent_choice",
            "/site",
            "A scale needs either its accuracy class or your own tolerance, and not both.",
            None,
            "accuracy_class (public vehicle scales: III L), or tolerance",
        )
    if not site.platforms and site.pads is None:
        yield Fault(
            "inconsistent_site",
            "/site/platforms",
            "There is nothing to weigh on: neither platforms nor pads.",
            None,
            "a platform, or pads",
        )
    names = [platform.name for platform in site.platforms]
    pads = [pad_name(number) for number in range(site.pads.count)] if site.pads else []
    yield from repeated("platform", "/site/platforms/{}/name", names)
    for place, name in enumerate(names):
        if name in pads:
            yield Fault(
                "inconsistent_name",
                f"/site/platforms/{place}/name",
                "The pads are called so in the answer; a platform needs another name.",
                given_text(name),
                "a name that no pad has",
            )
    yield from _gap_faults(site)
    yield from _beside_faults(site)


def _gap_faults(site: SiteInput) -> Iterator[Fault]:
    for place, platform in enumerate(site.platforms):
        is_last = place == len(site.platforms) - 1
        if is_last and platform.gap_to_next is not None:
            yield Fault(
                "inconsistent_site",
                f"/site/platforms/{place}/gap_to_next",
                "The last platform has no next one.",
                None,
                "no gap here; what lies behind is `approach.after`",
            )
        if not is_last and platform.gap_to_next is None:
            yield Fault(
                "inconsistent_site",
                f"/site/platforms/{place}/gap_to_next",
                "How far the next platform is from this one is not known.",
                None,
                "the gap between them, 0 if they meet",
            )


def _beside_faults(site: SiteInput) -> Iterator[Fault]:
    for name, what in (("guard_rails", "whether rails stand beside them"), ("approach", "how much level way there is")):
        if site.platforms and getattr(site, name) is None:
            yield Fault(
                "inconsistent_site",
                f"/site/{name}",
                f"Of platforms it has to be known {what}.",
                None,
                f"`{name}`, or no platforms",
            )


def _wanted_faults(request: PlanSessionRequest) -> Iterator[Fault]:
    wanted, rig = request.wanted, request.rig
    yield from repeated("wanted load", "/wanted/loads/{}", list(wanted.loads))
    vehicles = [vehicle.name for vehicle in rig.vehicles]
    yield from repeated("wanted vehicle", "/wanted/vehicles/{}", wanted.vehicles or [])
    for place, name in enumerate(wanted.vehicles or []):
        yield from unknown(name, vehicles, f"/wanted/vehicles/{place}", "vehicle of the rig")
    chosen = set(wanted.vehicles or vehicles)
    coupled = [each for each in rig.couplings if each.kind in HITCHED_KINDS]
    if "tongue_weight" in wanted.loads and not any({each.tow, each.towed} & chosen for each in coupled):
        yield Fault(
            "inconsistent_reference",
            f"/wanted/loads/{wanted.loads.index('tongue_weight')}",
            "No wanted vehicle tows, or is towed, on a ball or fifth wheel: nothing has a tongue weight.",
            given_text("tongue_weight"),
            "a coupling of the kind `ball` or `fifth_wheel` in `rig.couplings`",
        )
    yield from _state_faults(wanted, {each.kind for each in rig.couplings})


def _state_faults(wanted: WantedInput, kinds: set[str]) -> Iterator[Fault]:
    """Yield what keeps the rig from being weighed in the wanted state."""
    why = None
    if wanted.state == "hitched_levelled" and "ball" not in kinds:
        why = "Levelling bars go with a ball, and nothing of the rig is coupled by one.", "`solo` or `hitched`"
    elif wanted.state == "hitched" and not kinds:
        why = "The rig does not say what tows what.", "`solo`, or the rig with its `couplings`"
    elif wanted.state == "hitched" and kinds == {"dolly"}:
        why = (
            "A dolly's own axle would stand on the scale, and it is no part of the rig: it cannot be told apart.",
            "`solo`: unhitch the dolly and take the car off it; each vehicle is planned by itself",
        )
    if why is not None:
        yield Fault("inconsistent_reference", "/wanted/state", why[0], given_text(wanted.state), why[1])
    needs = wanted.state == "hitched" and "towbar" in kinds
    if needs and wanted.towed_behind is None:
        yield Fault(
            "inconsistent_choice",
            "/wanted/towed_behind",
            "How far behind the towing vehicle the axles on the tow bar stand is not known: they might be on the "
            "same platform.",
            None,
            "the distance between the two axles next to the tow bar; or `state` `solo`: unhitch, and weigh each alone",
        )
    if wanted.towed_behind is not None and not needs:
        yield Fault(
            "inconsistent_choice",
            "/wanted/towed_behind",
            "It is told only for what is wanted hitched on a tow bar.",
            None,
            "none, or `state` `hitched` with a coupling of the kind `towbar`",
        )


def _expected_faults(request: PlanSessionRequest) -> Iterator[Fault]:
    named = [each.wheel_end for each in request.expected]
    yield from repeated("expected load", "/expected/{}/wheel_end", named)
    alone = len(request.rig.vehicles) == 1
    ends = [
        f"{'' if alone else f'{vehicle.name}.'}{axle.name}.{side}"
        for vehicle in request.rig.vehicles
        for axle in vehicle.axles
        for side in ("left", "right")
    ]
    for place, name in enumerate(named):
        yield from unknown(name, ends, f"/expected/{place}/wheel_end", "wheel end of the rig")


def core_site(site: SiteInput) -> Site:
    """Return the site of the core; the request has no faults."""
    return Site(
        platforms=tuple(
            SitePlatform(each.name, each.length, each.width, each.division or site.division) for each in site.platforms
        ),
        gaps_m=tuple(each.gap_to_next or 0.0 for each in site.platforms[:-1]),
        rails=Rails(site.guard_rails or "none"),
        before_m=site.approach.before if site.approach else 0.0,
        after_m=site.approach.after if site.approach else 0.0,
        first_price=site.prices.first if site.prices else 0.0,
        further_price=site.prices.further if site.prices else 0.0,
        tolerance=_tolerance(site),
        whole_axles_only=site.whole_axles_only,
        one_way=site.one_way,
        pads=site.pads.count if site.pads else 0,
        pad_division_kg=(site.pads.division if site.pads else None) or site.division,
    )


def _tolerance(site: SiteInput) -> Tolerance:
    if site.tolerance is not None:
        return OwnTolerance(site.tolerance.share, site.tolerance.least)
    assert site.accuracy_class is not None, "the request was refused"
    return ACCURACY_CLASSES[site.accuracy_class]
