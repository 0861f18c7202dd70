"""The rows of one table, chosen by what their columns hold; each statement is made once, since that takes a while."""

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from msgspec import Struct
from sqlalchemy import FromClause, Row, Select, Table, bindparam, select

from axlewright.fleet.unit import Unit

Held = Mapping[str, str | int | None]
"""What columns hold, by their names; None is no value."""
_Order = Literal["any", "oldest first", "newest first", "newest by columns"]
_BEYOND_ALL = {"oldest first": "", "newest first": "g"}
"""Places from which a list begins: ids are of hexadecimal digits."""


class Part(Struct, frozen=True):
    """Which part of a list is wanted: so many, from beyond the id of a place, or from the beginning."""

    place: str | None
    limit: int
    newest_first: bool = False


class Rows:
    """Reads some columns of a table, by default from the table alone."""

    def __init__(
        self,
        table: Table,
        columns: Sequence[Any],
        joined: FromClause | None = None,
        newest_by: tuple[str, ...] = ("id",),
    ) -> None:
        """Read from a table, or from one that others are joined to; the newest are the greatest by some columns."""
        self._newest_by = newest_by
        self._table = table
        self._all = (
            select(*columns)
            .select_from(table if joined is None else joined)
            .where(table.c.operator_id == bindparam("operator_id"))
        )
        self._of_ids = self._all.where(table.c.id.in_(bindparam("ids", expanding=True)))
        self._made: dict[tuple[Any, ...], Select[Any]] = {}

    def one(self, unit: Unit, id_: str) -> Row[Any] | None:
        """Return the row of an id, None where this operator has none."""
        found = self._found(unit, "any", {"id": id_}, {"limit": 1})
        return found[0] if found else None

    def of_ids(self, unit: Unit, ids: Sequence[str]) -> Sequence[Row[Any]]:
        """Return the rows of ids, without those that are not there, in any order."""
        return unit.connection.execute(self._of_ids, {"operator_id": unit.operator_id, "ids": ids}).all() if ids else []

    def page(self, unit: Unit, held: Held, part: Part) -> Sequence[Row[Any]]:
        """Return a part of the rows in the order of their ids, the other way round if the newest come first."""
        order: _Order = "newest first" if part.newest_first else "oldest first"
        return self._found(unit, order, held, {"place": part.place or _BEYOND_ALL[order], "limit": part.limit})

    def newest(self, unit: Unit, held: Held, limit: int) -> Sequence[Row[Any]]:
        """Return so many rows, the newest first."""
        return self._found(unit, "newest by columns", held, {"limit": limit})

    def _found(self, unit: Unit, order: _Order, held: Held, more: dict[str, Any]) -> Sequence[Row[Any]]:
        form = (order, *((name, value is None) for name, value in held.items()))
        statement = self._made.get(form)
        if statement is None:
            statement = self._made[form] = self._statement(order, held)
        return unit.connection.execute(statement, {"operator_id": unit.operator_id, **held, **more}).all()

    def _statement(self, order: _Order, held: Held) -> Select[Any]:
        c = self._table.c
        query = self._all.limit(bindparam("limit"))
        for name, value in held.items():
            query = query.where(c[name].is_(None) if value is None else c[name] == bindparam(name))
        match order:
            case "oldest first":
                return query.where(c.id > bindparam("place")).order_by(c.id)
            case "newest first":
                return query.where(c.id < bindparam("place")).order_by(c.id.desc())
            case "newest by columns":
                return query.order_by(*(c[name].desc() for name in self._newest_by))
            case "any":
                return query
