"""Contradictions in what is asked of a shift plan, and the way of its items into the core."""

from collections.abc import Iterator

from axlewright.contract.aboard import core_spot, full_name, one_of_name, statics_faults
from axlewright.contract.faults import Fault, given_text
from axlewright.contract.rig import names_of, repeated, unknown
from axlewright.contract.rig_request import RigInput
from axlewright.contract.shift_request import MOST_CHOICES, ItemInput, PlanShiftRequest
from axlewright.core.balance.shift_problem import Cargo, Item
from axlewright.core.loads.aboard import Spot
from axlewright.core.rig import Rig


def shift_faults(request: PlanShiftRequest) -> Iterator[Fault]:
    """Yield every contradiction of items and groups, and between them and the rig."""
    yield from statics_faults(request.rig)
    yield from repeated("item", "/items/{}/name", [item.name for item in request.items])
    for place, item in enumerate(request.items):
        yield from _item_faults(item, request.rig, f"/items/{place}")
    for kind in ("together", "apart"):
        yield from _group_faults(getattr(request, kind), request.items, kind)
    yield from _pair_faults(request)
    choices = sum(len(_targets(item, request.rig)) for item in request.items)
    if choices > MOST_CHOICES:
        yield Fault(
            "inconsistent_size",
            "/items",
            "There are too many choices: the places that each item may be in, counted over all items.",
            str(choices),
            f"{MOST_CHOICES} at most; `may_go_to` and `fixed` leave fewer",
        )


def _item_faults(item: ItemInput, rig: RigInput, pointer: str) -> Iterator[Fault]:
    places = names_of(rig, "places")
    yield from one_of_name(item.place, places, f"{pointer}/place", "place")
    targets = item.may_go_to or []
    for place, name in enumerate(targets):
        yield from one_of_name(name, places, f"{pointer}/may_go_to/{place}", "place")
    yield from repeated(
        "place", f"{pointer}/may_go_to/{{}}", [full_name(name, rig, "places") or name for name in targets]
    )
    if item.fixed and targets:
        yield Fault(
            "inconsistent_choice",
            f"{pointer}/fixed",
            "It stays where it is and may go elsewhere: only one of the two can be.",
            "true",
            "false, or nothing in may_go_to",
        )


def _group_faults(groups: list[list[str]], items: list[ItemInput], kind: str) -> Iterator[Fault]:
    names = {item.name for item in items}
    for place, group in enumerate(groups):
        pointer = f"/{kind}/{place}/{{}}"
        yield from repeated("item of the group", pointer, group)
        for number, name in enumerate(group):
            yield from unknown(name, names, pointer.format(number), "item")


def _pair_faults(request: PlanShiftRequest) -> Iterator[Fault]:
    """Yield a fault for every group apart that has two items which belong together, be it through others."""
    head = _heads(request.together)
    for place, group in enumerate(request.apart):
        heads = [head.get(name, name) for name in group]
        for number, name in enumerate(group):
            if heads[number] in heads[:number] and name not in group[:number]:
                other = group[heads.index(heads[number])]
                yield Fault(
                    "inconsistent_choice",
                    f"/apart/{place}/{number}",
                    f"It cannot be apart from {other!r}, with which it belongs together.",
                    given_text(name),
                    "an item that does not belong with the others of the group",
                )


def _heads(together: list[list[str]]) -> dict[str, str]:
    """Return of every item in a group one that stands for all that belong together with it."""
    head: dict[str, str] = {}
    for group in together:
        joined = {head.get(name, name) for name in group}
        for name in [*group, *(name for name, its in head.items() if its in joined)]:
            head[name] = group[0]
    return head


def _targets(item: ItemInput, rig: RigInput) -> dict[str, None]:
    """Return the full names of the places that an item may be in, its own first; what could mean two is left out."""
    own = full_name(item.place, rig, "places")
    if item.fixed or own is None:
        return {} if own is None else {own: None}
    if item.may_go_to is not None:
        full = [full_name(name, rig, "places") for name in item.may_go_to]
    elif len(rig.vehicles) == 1:
        full = [place.name for place in rig.vehicles[0].places]
    else:
        vehicle, _, _ = own.partition(".")
        full = [f"{each.name}.{place.name}" for each in rig.vehicles if each.name == vehicle for place in each.places]
    return dict.fromkeys([own, *(name for name in full if name is not None)])


def core_cargo(request: PlanShiftRequest, rig: Rig) -> Cargo:
    """Return the items with the places that they may be in; the request has no faults."""
    targets = [_targets(item, request.rig) for item in request.items]
    bays = list(dict.fromkeys(name for each in targets for name in each))
    number = {name: place for place, name in enumerate(bays)}
    items = tuple(
        Item(
            item.name,
            item.mass,
            item.standard_uncertainty,
            number[next(iter(may_be))],
            tuple(number[name] for name in may_be)[1:],
        )
        for item, may_be in zip(request.items, targets, strict=True)
    )
    spots: tuple[Spot, ...] = tuple(core_spot(name, rig) for name in bays)
    return Cargo(items, spots, tuple(map(tuple, request.together)), tuple(map(tuple, request.apart)))
