"""Histories: what happened to a rig, a vehicle or a wheel end, as numbers and as series for a chart."""

from collections.abc import Sequence
from datetime import date
from typing import Annotated, Literal

from msgspec import Meta, Struct

from axlewright.contract.fleet.answers import NextCursor
from axlewright.contract.fleet.documents import Id
from axlewright.contract.output import AsStatedOut, NameOut
from axlewright.contract.units import Units, chosen_units, in_units

_HITCHED_STATES = ("_hitched", "_hitched_levelled")
"""What stands behind the kind of a load that was not weighed solo: it is no point of the same series."""
HistoryQuantity = Literal["mass", "pressure", "distance"]
_QUANTITIES: dict[str, HistoryQuantity] = {
    **dict.fromkeys((f"{kind}{state}" for kind in ("weigh", "load") for state in ("", *_HITCHED_STATES)), "mass"),
    "pressure": "pressure",
    "pressure_inner": "pressure",
    "pressure_outer": "pressure",
    "odometer": "distance",
    "former_odometer": "distance",
}
"""By the kind of an entry, what its figure is."""


class HistoryEntry(Struct, frozen=True, kw_only=True):
    """One thing on one day."""

    day: Annotated[date, Meta(description="The day.")]
    kind: Annotated[
        NameOut,
        Meta(
            description="`weigh` (of a rig the load on all wheels, of a vehicle its own), `load` of a wheel end; of "
            "vehicles weighed hitched `weigh_hitched`, `weigh_hitched_levelled`, `load_hitched`, "
            "`load_hitched_levelled`; `assessment`, `pressure`, of a dual `pressure_inner` and `pressure_outer`, "
            "`pressure_check`, `upkeep`, `odometer`, of a replaced one `former_odometer`, `tire_fitted`, "
            "`tire_taken_off`; new kinds may come."
        ),
    ]
    id: Annotated[Id, Meta(description="Of its record, assessment or tire.")]
    word: Annotated[
        NameOut | None,
        Meta(
            description="The standing, the kind of upkeep, the tire's marking, `refilled`, `replaced`; of a load "
            "`provisional` where the readings beneath it failed their cross-check; null where there is none."
        ),
    ]
    quantity: Annotated[HistoryQuantity | None, Meta(description="What the figure is; null where there is none.")]
    value: Annotated[AsStatedOut | None, Meta(description="The figure; null where there is none or it is unknown.")]
    standard_uncertainty: Annotated[
        AsStatedOut | None, Meta(description="u of the figure; null where unknown, as of what is provisional.")
    ]


class HistorySeries(Struct, frozen=True, kw_only=True):
    """The figures of one kind on this page, the oldest first, ready for a chart."""

    kind: Annotated[NameOut, Meta(description="As in `entries`.")]
    quantity: Annotated[HistoryQuantity, Meta(description="What the figures are.")]
    days: Annotated[list[date], Meta(max_length=100, description="The days.")]
    values: Annotated[list[AsStatedOut], Meta(max_length=100, description="The figures of the days.")]
    standard_uncertainties: Annotated[list[AsStatedOut | None], Meta(max_length=100, description="u of the figures.")]


class HistoryPage(Struct, frozen=True, kw_only=True):
    """One page of a history: the newest day first, within a day what was recorded last. Nothing superseded is in it."""

    units: Annotated[Units, Meta(description="Units of the figures.")]
    entries: Annotated[list[HistoryEntry], Meta(max_length=100, description="The newest first.")]
    series: Annotated[list[HistorySeries], Meta(max_length=8, description="The figures of the entries, by kind.")]
    next_cursor: NextCursor


class HistoryFact(Struct, frozen=True):
    """An entry as it is stored, in SI."""

    day: str
    kind: str
    entry_id: str
    word: str | None
    value: float | None
    standard_uncertainty: float | None
    order_id: str


def history_page(
    facts: Sequence[HistoryFact], units_name: Literal["us", "metric"], next_cursor: str | None
) -> HistoryPage:
    """Return a page of a history in the caller's units."""
    units = chosen_units(units_name)
    entries = [in_units(entry, units) if entry.quantity else entry for entry in map(_entry, facts)]
    return HistoryPage(units=units, entries=entries, series=_series(entries), next_cursor=next_cursor)


def _entry(fact: HistoryFact) -> HistoryEntry:
    return HistoryEntry(
        day=date.fromisoformat(fact.day),
        kind=fact.kind,
        id=fact.entry_id,
        word=fact.word,
        quantity=_QUANTITIES.get(fact.kind),
        value=fact.value,
        standard_uncertainty=fact.standard_uncertainty,
    )


def _series(entries: Sequence[HistoryEntry]) -> list[HistorySeries]:
    figures = [entry for entry in reversed(entries) if entry.value is not None]
    series: list[HistorySeries] = []
    for kind in sorted({entry.kind for entry in figures}):
        of_kind = [(entry.day, entry.value, entry.standard_uncertainty) for entry in figures if entry.kind == kind]
        series.append(
            HistorySeries(
                kind=kind,
                quantity=_QUANTITIES[kind],
                days=[day for day, _, _ in of_kind],
                values=[value for _, value, _ in of_kind if value is not None],
                standard_uncertainties=[doubt for _, _, doubt in of_kind],
            )
        )
    return series
