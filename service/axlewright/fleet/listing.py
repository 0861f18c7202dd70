"""The list of rigs: how each stood when it was weighed last, ready to be filtered and sorted at any size of fleet."""

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any, Literal

import msgspec
from msgspec import Raw, Struct
from sqlalchemy import Select, bindparam, select, tuple_

from axlewright.fleet.tables import NEVER, RIG_LISTING, RIG_VEHICLES
from axlewright.fleet.unit import Unit, WritingUnit

Sort = Literal["asset_number", "weighed_on", "standing", "side_difference_share"]
Value = str | int | float

ANY = ""
"""The label, or the axle, of the row that stands for the rig whatever its labels and axles."""
UNKNOWN_SHARE = -1.0
STANDINGS: tuple[str | None, ...] = ("over", "short", "unsettled", "unknown", None, "tight", "clear")
"""Worst first; a rig that was never weighed, None, stands after one of which it is not known."""
_LARGEST_FIRST = "side_difference_share"
_HEAD = ("operator_id", "label", "axle", "archived")
_SHOWN = (
    "rig_id",
    "name",
    "asset_number",
    "labels",
    "archived",
    "first_day",
    "last_day",
    "weighed_on",
    "standing",
    "side_difference_share",
    "changed_since",
)


class Figures(Struct, frozen=True):
    """How a rig or one of its axles stood."""

    standing: str | None
    side_difference_share: float | None


class Listed(Struct, frozen=True, kw_only=True):
    """What a rig is listed by; `axles` has the figures of each axle, and under `ANY` those of the whole rig."""

    name: str
    first_day: str
    last_day: str | None
    archived: bool
    asset_number: str
    labels: Sequence[str]
    weighed_on: str
    changed_since: bool
    axles: Mapping[str, Figures]


NOT_WEIGHED: Mapping[str, Figures] = {ANY: Figures(None, None)}


class ListedRow(Struct, frozen=True, kw_only=True):
    """A rig in a list, as the contract's `ListedRig`."""

    id: str
    name: str
    asset_number: str | None
    labels: Raw
    archived: bool
    first_day: str
    last_day: str | None
    weighed_on: str | None
    standing: str | None
    side_difference_share: float | None
    changed_since: bool

    def place(self, sort: Sort) -> tuple[Value, str]:
        """Return where the row stands in an order."""
        values: dict[str, Value] = {
            "asset_number": self.asset_number or "",
            "weighed_on": self.weighed_on or NEVER,
            "standing": STANDINGS.index(self.standing),
            "side_difference_share": UNKNOWN_SHARE
            if self.side_difference_share is None
            else self.side_difference_share,
        }
        return values[sort], self.id


class Wanted(Struct, frozen=True, kw_only=True):
    """Which rigs are asked for, in which order."""

    sort: Sort
    label: str = ANY
    axle: str = ANY
    archived: bool = False
    standing: str | None = None
    asset_number: str | None = None
    weighed_before: str | None = None
    side_difference_above: float | None = None


def list_again(unit: WritingUnit, rig_id: str, listed: Listed) -> None:
    """Put a rig into the list anew."""
    c = RIG_LISTING.c
    unit.connection.execute(RIG_LISTING.delete().where(c.operator_id == unit.operator_id, c.rig_id == rig_id))
    unit.connection.execute(RIG_LISTING.insert(), list(_rows(unit.operator_id, rig_id, listed)))


def listed_rigs(unit: Unit, wanted: Wanted, after: tuple[Value, str] | None, limit: int) -> list[ListedRow]:
    """Return so many rigs of those that are asked for, after a place in their order."""
    filters: dict[str, Value | None] = {
        "standing": None if wanted.standing is None else STANDINGS.index(wanted.standing),
        "asset_number": wanted.asset_number,
        "weighed_before": wanted.weighed_before,
        "side_difference_above": wanted.side_difference_above,
    }
    asked = {name: value for name, value in filters.items() if value is not None}
    statement = _statement(wanted.sort, frozenset(asked), is_continued=after is not None)
    place = {} if after is None else {f"after_{wanted.sort}": after[0], "after_rig_id": after[1]}
    head = {"label": wanted.label, "axle": wanted.axle, "archived": int(wanted.archived), "limit": limit}
    rows = unit.connection.execute(statement, {"operator_id": unit.operator_id, **head, **asked, **place})
    return [_listed(row) for row in rows]


@cache
def _statement(sort: Sort, asked: frozenset[str], *, is_continued: bool) -> Select[Any]:
    """Return the statement of a list in an order, by filters, from the start or from a place."""
    c = RIG_LISTING.c
    filters = {
        "standing": c.standing == bindparam("standing"),
        "asset_number": c.asset_number == bindparam("asset_number"),
        "weighed_before": c.weighed_on < bindparam("weighed_before"),
        "side_difference_above": c.side_difference_share > bindparam("side_difference_above"),
    }
    head = [c[name] == bindparam(name) for name in _HEAD]
    query = select(*(c[name] for name in _SHOWN)).where(*head, *(filters[name] for name in sorted(asked)))
    by = [c.rig_id] if sort in asked else [c[sort], c.rig_id]  # what all have, SQLite cannot skip by
    place = [bindparam(f"after_{column.name}", type_=column.type) for column in by]
    if sort == _LARGEST_FIRST:
        query = query.order_by(*(column.desc() for column in by))
        beyond = tuple_(*by) < tuple_(*place)
    else:
        query = query.order_by(*by)
        beyond = tuple_(*by) > tuple_(*place)
    return (query.where(beyond) if is_continued else query).limit(bindparam("limit"))


def rigs_of_vehicle(unit: Unit, vehicle_id: str) -> list[str]:
    """Return the ids of all rigs in which a vehicle stands or stood."""
    c = RIG_VEHICLES.c
    query = select(c.rig_id).where(c.operator_id == unit.operator_id, c.vehicle_id == vehicle_id)
    return sorted(unit.connection.execute(query.distinct()).scalars())


def put_vehicles(unit: WritingUnit, rig_id: str, vehicle_ids: Sequence[str]) -> None:
    """Say which vehicles a rig has, in their order."""
    c = RIG_VEHICLES.c
    unit.connection.execute(RIG_VEHICLES.delete().where(c.operator_id == unit.operator_id, c.rig_id == rig_id))
    rows = [
        {"operator_id": unit.operator_id, "rig_id": rig_id, "position": position, "vehicle_id": vehicle_id}
        for position, vehicle_id in enumerate(vehicle_ids)
    ]
    unit.connection.execute(RIG_VEHICLES.insert(), rows)


def _rows(operator_id: int, rig_id: str, listed: Listed) -> Iterator[dict[str, Any]]:
    labels = msgspec.json.encode(listed.labels).decode()
    for label in (ANY, *listed.labels):
        for axle, figures in listed.axles.items():
            share = figures.side_difference_share
            yield {
                "operator_id": operator_id,
                "label": label,
                "axle": axle,
                "rig_id": rig_id,
                "archived": int(listed.archived),
                "standing": STANDINGS.index(figures.standing),
                "asset_number": listed.asset_number,
                "weighed_on": listed.weighed_on or NEVER,
                "side_difference_share": UNKNOWN_SHARE if share is None else share,
                "name": listed.name,
                "first_day": listed.first_day,
                "last_day": listed.last_day,
                "labels": labels,
                "changed_since": int(listed.changed_since),
            }


def _listed(row: Any) -> ListedRow:
    id_, name, asset_number, labels, archived, first_day, last_day, weighed_on, standing, share, changed_since = row
    return ListedRow(
        id=id_,
        name=name,
        asset_number=asset_number or None,
        labels=Raw(labels),
        archived=bool(archived),
        first_day=first_day,
        last_day=last_day,
        weighed_on=weighed_on or None,
        standing=STANDINGS[standing],
        side_difference_share=None if share == UNKNOWN_SHARE else share,
        changed_since=bool(changed_since),
    )
