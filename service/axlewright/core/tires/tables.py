"""Published load/inflation rows that ship with the core.

One publication is one file of ``data/``, its rows as printed in psi and lb; ``data/publications.csv`` names
them. A `Table` gathers the rows of one designation, load range and service from all publications, because a
full curve and its maximum are often printed apart; every row names the publication that it comes from.
"""

import csv
from collections import defaultdict
from collections.abc import Iterator
from functools import cache, lru_cache
from importlib.resources import files
from typing import Literal, TypeAlias

from msgspec import Struct

from axlewright.core.units import POUND_KG, PSI_PA

Service: TypeAlias = Literal["single", "dual"]

_GroupKey: TypeAlias = tuple[str, str, Service]


class Publication(Struct, frozen=True):
    """Where rows were read: identifier, title, and edition or year (``edition not stated`` where none is)."""

    id: str
    title: str
    edition: str


class Row(Struct, frozen=True):
    """What one tire carries [kg] at a cold gauge pressure [Pa].

    ``publication`` is None for a caller's own row; ``sources_agreeing`` counts the sources that print it
    alike.
    """

    pressure_pa: float
    load_kg: float
    publication: Publication | None = None
    sources_agreeing: int = 1


class Table(Struct, frozen=True, cache_hash=True):
    """The rows of one designation, load range and service, rising in pressure and load.

    ``complete`` says whether the rows are a maker's full curve, between whose rows one may interpolate;
    where it is False they are single published anchors, and nothing is known between them. ``designation``
    is normalised as `axlewright.core.tires.marking.read_marking` does it.
    """

    designation: str
    load_range: str | None
    service: Service
    complete: bool
    rows: tuple[Row, ...]

    @property
    def publications(self) -> tuple[Publication, ...]:
        """Every publication that a row comes from, once, in order of the rows."""
        return tuple(dict.fromkeys(row.publication for row in self.rows if row.publication is not None))


@cache
def built_in_tables() -> tuple[Table, ...]:
    """Return every built-in table, ordered by designation, load range and service."""
    groups: dict[_GroupKey, list[tuple[Row, bool]]] = defaultdict(list)
    for publication in publications():
        for key, row, of_a_curve in _rows_of(publication):
            groups[key].append((row, of_a_curve))
    return tuple(_table(key, groups[key]) for key in sorted(groups))


@cache
def publications() -> tuple[Publication, ...]:
    """Return every publication that the built-in rows come from, ordered by identifier."""
    return tuple(
        Publication(record["publication"], record["title"], record["edition"])
        for record in _records("publications.csv")
    )


@lru_cache(maxsize=4096)
def tables_for(designation_normalised: str, load_range: str | None, service: Service) -> tuple[Table, ...]:
    """Return the built-in tables of a tire; empty where there is none.

    Parameters
    ----------
    designation_normalised : str
        Designation as `axlewright.core.tires.marking.read_marking` normalises it.
    load_range : str or None
        Load range letter; None asks for every load range of the designation.
    service : {"single", "dual"}
        How the tire is fitted: dual loads are published, never derived.

    Returns
    -------
    tuple of Table
        At most one table a load range.

    Examples
    --------
    >>> [table] = tables_for("LT235/85R16", "E", "single")
    >>> len(table.rows), table.complete, round(table.rows[-1].load_kg / 0.45359237)
    (10, True, 3042)

    """
    return tuple(
        table
        for table in built_in_tables()
        if table.designation == designation_normalised
        and table.service == service
        and load_range in (None, table.load_range)
    )


def _records(name: str) -> Iterator[dict[str, str]]:
    text = (files("axlewright.core.tires") / "data" / name).read_text(encoding="utf-8")
    yield from csv.DictReader(text.splitlines())


def _rows_of(publication: Publication) -> Iterator[tuple[_GroupKey, Row, bool]]:
    for record in _records(f"{publication.id}.csv"):
        service: Service = "dual" if record["service"] == "dual" else "single"
        row = Row(
            pressure_pa=float(record["cold_pressure_psi"]) * PSI_PA,
            load_kg=float(record["max_load_lb_per_tire"]) * POUND_KG,
            publication=publication,
            sources_agreeing=int(record["sources_agreeing"]),
        )
        yield (record["designation"], record["load_range"], service), row, record["kind"] == "curve"


def _table(key: _GroupKey, members: list[tuple[Row, bool]]) -> Table:
    rows = sorted((row for row, _ in members), key=lambda row: row.pressure_pa)
    return Table(*key, all(of_a_curve for _, of_a_curve in members), tuple(rows))
