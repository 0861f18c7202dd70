"""The rows of one table, chosen by what their columns hold; each statement is made once, since that takes a while."""

from collections.abc import Mapping, Sequence
from typing import Any, Literal

from sqlalchemy import FromClause, Row, Select, Table, bindparam, select

from axlewright.fleet.unit import Unit

Held = Mapping[str, str | int | None]
"""What columns hold, by their names; None is no value."""


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

    def page(self, unit: Unit, held: Held, after: str, limit: int) -> Sequence[Row[Any]]:
        """Return so many rows in the order of their ids, after one."""
        return self._found(unit, "after", held, {"after": after, "limit": limit})

    def newest(self, unit: Unit, held: Held, limit: int) -> Sequence[Row[Any]]:
        """Return so many rows, the newest first."""
        return self._found(unit, "newest", held, {"limit": limit})

    def _found(
        self, unit: Unit, order: Literal["any", "after", "newest"], held: Held, more: dict[str, Any]
    ) -> Sequence[Row[Any]]:
        form = (order, *((name, value is None) for name, value in held.items()))
        statement = self._made.get(form)
        if statement is None:
            statement = self._made[form] = self._statement(order, held)
        return unit.connection.execute(statement, {"operator_id": unit.operator_id, **held, **more}).all()

    def _statement(self, order: Literal["any", "after", "newest"], held: Held) -> Select[Any]:
        c = self._table.c
        query = self._all.limit(bindparam("limit"))
        for name, value in held.items():
            query = query.where(c[name].is_(None) if value is None else c[name] == bindparam(name))
        match order:
            case "after":
                return query.where(c.id > bindparam("after")).order_by(c.id)
            case "newest":
                return query.order_by(*(c[name].desc() for name in self._newest_by))
            case "any":
                return query
