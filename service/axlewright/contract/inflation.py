"""Pressures of the core to the wire."""

from typing import Annotated

from msgspec import Meta, Struct

from axlewright.contract.output import (
    MassOut,
    NameOut,
    PressureOut,
    PressureUpOut,
    ShareOut,
    UnknownOut,
    WordsOut,
)
from axlewright.contract.words import BASES, NO_PRESSURE, NO_SETTING, UNKNOWN, pressure_basis
from axlewright.core.assessment import Assessment
from axlewright.core.estimates import UnknownBecause
from axlewright.core.inflation.capacity import Capacity, Ground
from axlewright.core.inflation.next_row import NextRow
from axlewright.core.inflation.pressure import AxlePressure, NoPressure


class RowAnswer(Struct, frozen=True, kw_only=True):
    """The published row, or the sidewall's own figures, on which the least cold pressure rests."""

    pressure: Annotated[PressureOut, Meta(description="Cold pressure of the row.")]
    load: Annotated[MassOut, Meta(description="What one tire carries at that pressure.")]
    source: Annotated[WordsOut, Meta(description="Whose row it is.")]
    edition: Annotated[WordsOut | None, Meta(description="Null where the row is the sidewall's own.")]


class NextRowAnswer(Struct, frozen=True, kw_only=True):
    """The next row of the table, or the sidewall's own maximum, above the pressure recommended."""

    pressure: Annotated[PressureOut, Meta(description="Cold pressure of the row.")]
    load: Annotated[MassOut, Meta(description="What one tire carries at that pressure.")]
    more_load: Annotated[MassOut | None, Meta(description="What it carries more; null where nothing supports that.")]
    reserve_share: Annotated[
        ShareOut, Meta(description="What would be left: that load over the load's upper bound, less 1.")
    ]
    allowed: Annotated[bool, Meta(description="Whether every tire and wheel of the axle may hold it.")]
    unknown_because: UnknownOut


class InflationAnswer(Struct, frozen=True, kw_only=True):
    """What the tires of one axle need; pressures are gauge pressures."""

    axle: Annotated[NameOut, Meta(description="Which axle.")]
    governing_wheel_end: Annotated[NameOut | None, Meta(description="The wheel end that needs the most.")]
    design_load_per_tire: Annotated[
        MassOut | None,
        Meta(description="Its load per tire at the upper bound, with the reserve asked for where that can be had."),
    ]
    least_cold_pressure: Annotated[
        PressureUpOut | None,
        Meta(description="Lowest row of the table that carries that load, or an estimate; before any floor."),
    ]
    cold_pressure: Annotated[
        PressureUpOut | None, Meta(description="Cold pressure to hold, in every tire of the axle.")
    ]
    set_now: Annotated[
        PressureUpOut | None,
        Meta(description="What the gauge must show at the filling, at the tires' temperature."),
    ]
    holds_when_coldest: Annotated[
        bool | None,
        Meta(
            description="Whether `set_now` holds `cold_pressure` at the coldest soak too; if not, the least one. "
            "Null where there is no `set_now`, or the coldest soak was not given."
        ),
    ]
    until_weighed: Annotated[
        PressureOut | None,
        Meta(
            description="What to hold while the wheel ends are not known: label or sidewall, and no less than the "
            "heavier end of half an axle split 55 to 45 needs. A floor, not known to be enough unless it is the "
            "sidewall's maximum. Null where they are known."
        ),
    ]
    label_pressure: Annotated[
        PressureOut | None, Meta(description="The vehicle label's, for comparison. Null where it was not given.")
    ]
    most_cold_pressure: Annotated[
        PressureOut, Meta(description="The ceiling: the lowest of sidewalls' and wheels' maxima.")
    ]
    provisional: Annotated[bool, Meta(description="The loads failed their cross-check, or came without doubt.")]
    capacity: Annotated[MassOut | None, Meta(description="What one tire carries at `cold_pressure`.")]
    reserve_share: Annotated[
        ShareOut | None, Meta(description="What is left: capacity over the load's upper bound, less 1.")
    ]
    next_row: Annotated[
        NextRowAnswer | None,
        Meta(
            description="What the next row above `cold_pressure` would give; null where there is none, or no pressure."
        ),
    ]
    row: Annotated[RowAnswer | None, Meta(description="Null where the pressure is an estimate.")]
    estimated: Annotated[
        bool | None, Meta(description="No published row stands behind it: read the tire maker's table.")
    ]
    basis: Annotated[WordsOut, Meta(description="What the least cold pressure rests on.")]
    unknown_because: UnknownOut
    set_now_unknown_because: UnknownOut


def inflation_answers(assessment: Assessment) -> list[InflationAnswer]:
    """Return the pressures of every axle, in SI."""
    return [_inflation_answer(pressure) for pressure in assessment.pressures]


def _inflation_answer(answer: AxlePressure) -> InflationAnswer:
    need = None if answer.unknown_because is NoPressure.WHEEL_ENDS_UNKNOWN else answer.need
    least = need.least if need else None
    by_load = answer.floor is None
    return InflationAnswer(
        axle=answer.axle,
        governing_wheel_end=need.wheel_end if need else None,
        design_load_per_tire=need.design_kg if need else None,
        least_cold_pressure=least.pressure_pa if least else None,
        cold_pressure=answer.cold_pa,
        set_now=answer.setting.gauge_pa,
        holds_when_coldest=answer.setting.holds_when_coldest,
        until_weighed=answer.until_weighed_pa,
        label_pressure=answer.label_pa,
        most_cold_pressure=answer.ceiling_pa,
        provisional=answer.provisional,
        capacity=answer.capacity.load_kg if answer.capacity else None,
        reserve_share=answer.reserve_share,
        next_row=_next_row_answer(answer.next_row) if answer.next_row else None,
        row=_row_answer(least) if least else None,
        estimated=least.estimated and by_load if least and answer.cold_pa is not None else None,
        basis=pressure_basis(answer),
        unknown_because=_unknown_because(answer),
        set_now_unknown_because=NO_SETTING[answer.setting.because] if answer.setting.because else None,
    )


def _next_row_answer(above: NextRow) -> NextRowAnswer | None:
    if above.row is None or above.reserve_share is None or above.allowed is None:
        return None
    return NextRowAnswer(
        pressure=above.row.pressure_pa,
        load=above.row.load_kg,
        more_load=above.more_load_kg,
        reserve_share=above.reserve_share,
        allowed=above.allowed,
        unknown_because=UNKNOWN[UnknownBecause.NO_CAPACITY] if above.more_load_kg is None else None,
    )


def _unknown_because(answer: AxlePressure) -> str | None:
    if answer.unknown_because:
        return NO_PRESSURE[answer.unknown_because]
    return UNKNOWN[UnknownBecause.NO_CAPACITY] if answer.capacity is None else None


def _row_answer(least: Capacity) -> RowAnswer | None:
    if least.ground is Ground.ESTIMATED:
        return None
    publication = least.publication
    return RowAnswer(
        pressure=least.pressure_pa,
        load=least.load_kg,
        source=publication.title if publication else BASES["sidewall"],
        edition=publication.edition if publication else None,
    )
