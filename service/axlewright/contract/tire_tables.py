"""The built-in load/inflation tables, as resources."""

from functools import cache
from typing import Annotated, Literal

from msgspec import Meta, Struct, structs

from axlewright.contract.computation import TableEdition
from axlewright.contract.faults import CrossFieldFaults, Fault, given_text
from axlewright.contract.output import CountOut, MassOut, NameOut, PressureOut, WordsOut
from axlewright.contract.quantities import END, Text
from axlewright.contract.rig_request import LoadRange
from axlewright.contract.units import PRESETS, Units, in_units
from axlewright.contract.words import DEFERENCE
from axlewright.core.tires.marking import Marking, read_marking
from axlewright.core.tires.tables import Row, Table, built_in_tables

TableId = Annotated[
    str, Meta(pattern=rf"^[a-z0-9][a-z0-9.-]{{0,63}}{END}", description="Made of size, load range and fitment.")
]
"""An id as paths and cursors carry it."""


class ListedTable(Struct, frozen=True, kw_only=True):
    """One table, without its rows."""

    id: Annotated[NameOut, Meta(description="Its name in the path of its own operation.")]
    designation: Annotated[NameOut, Meta(description="The size that it is for.")]
    load_range: Annotated[NameOut | None, Meta(description="The load range that it is for; null where none is stated.")]
    fitment: Annotated[Literal["single", "dual"], Meta(description="Single or dual loads.")]
    complete: Annotated[
        bool,
        Meta(
            description="A maker's full curve, between whose rows one may interpolate; else single published rows, "
            "and nothing is known between them."
        ),
    ]
    row_count: Annotated[CountOut, Meta(description="How many rows it has.")]
    sources: Annotated[list[TableEdition], Meta(max_length=16, description="Where its rows were published.")]


class ListTireTablesAnswer(Struct, frozen=True, kw_only=True):
    """One page of the tables that were asked for, ordered by id."""

    tables: Annotated[list[ListedTable], Meta(max_length=100, description="The tables.")]
    next_cursor: Annotated[
        NameOut | None, Meta(description="`cursor` of the next page, also in `Link`; null on the last one.")
    ]


class TableRowAnswer(Struct, frozen=True, kw_only=True):
    """One published row."""

    pressure: Annotated[PressureOut, Meta(description="Cold pressure.")]
    load: Annotated[MassOut, Meta(description="Most load of one tire at that pressure.")]
    source: Annotated[WordsOut, Meta(description="Where it was published.")]
    edition: Annotated[WordsOut, Meta(description="Edition or year.")]
    sources_agreeing: Annotated[CountOut, Meta(description="How many sources print it alike.")]


class GetTireTableAnswer(ListedTable, frozen=True, kw_only=True):
    """One table with its rows."""

    units: Annotated[Units, Meta(description="Units of the rows.")]
    rows: Annotated[list[TableRowAnswer], Meta(max_length=100, description="Rising in pressure and load.")]
    cautions: Annotated[list[WordsOut], Meta(max_length=16, description="To be shown with the figures.")]


class NoSuchTableError(LookupError):
    """There is no built-in table of this id."""


def list_tire_tables_answer(
    designation: Text | None, load_range: LoadRange | None, fitment: Literal["single", "dual"] | None,
    limit: int, cursor: TableId | None,
) -> ListTireTablesAnswer:  # fmt: skip
    """Return the page of tables after a cursor that keep to the filters.

    Raises
    ------
    CrossFieldFaults
        If the designation cannot be read.
    """
    marking = None if designation is None else _marking(designation)
    marked_range = None if marking is None else marking.load_range
    found = [
        (id_, table)
        for id_, table in _by_id().items()
        if (marking is None or table.designation == marking.designation)
        and {load_range, marked_range} <= {None, table.load_range}
        and fitment in (None, table.service)
        and (cursor is None or id_ > cursor)
    ]
    page = found[:limit]
    return ListTireTablesAnswer(
        tables=[_listed(id_, table) for id_, table in page],
        next_cursor=page[-1][0] if len(found) > limit else None,
    )


def get_tire_table_answer(table_id: str, units: Literal["us", "metric"]) -> GetTireTableAnswer:
    """Return one table with its rows in the units asked for.

    Raises
    ------
    NoSuchTableError
        If there is none of this id.
    """
    table = _by_id().get(table_id)
    if table is None:
        raise NoSuchTableError(table_id)
    answer = GetTireTableAnswer(
        **structs.asdict(_listed(table_id, table)),
        units=PRESETS[units],
        rows=[_row_answer(row) for row in table.rows],
        cautions=[DEFERENCE],
    )
    return in_units(answer, PRESETS[units])


@cache
def _by_id() -> dict[str, Table]:
    return dict(sorted((_id(table), table) for table in built_in_tables()))


def _id(table: Table) -> str:
    parts = (table.designation, table.load_range, table.service)
    return "-".join(part for part in parts if part).lower().replace("/", "-")


def _marking(designation: str) -> Marking:
    marking = read_marking(designation)
    if isinstance(marking, Marking):
        return marking
    fault = Fault(
        "inconsistent_marking",
        "/designation",
        f"`designation` could not be read: {marking.reason}",
        given_text(designation),
        "a size as marked, such as 225/70R19.5, LT235/85R16, ST225/75R15 or 11R22.5",
    )
    raise CrossFieldFaults([fault])


def _listed(id_: str, table: Table) -> ListedTable:
    sources = [TableEdition(title=each.title, edition=each.edition) for each in table.publications]
    return ListedTable(
        id=id_,
        designation=table.designation,
        load_range=table.load_range or None,
        fitment=table.service,
        complete=table.complete,
        row_count=len(table.rows),
        sources=sources,
    )


def _row_answer(row: Row) -> TableRowAnswer:
    assert row.publication is not None
    return TableRowAnswer(
        pressure=row.pressure_pa,
        load=row.load_kg,
        source=row.publication.title,
        edition=row.publication.edition,
        sources_agreeing=row.sources_agreeing,
    )
