"""Whether the marks on a tire agree with each other, and with its wheel, its axle and its speed."""

from typing import Annotated, Literal

from msgspec import Meta, Struct

from axlewright.contract.closed import Input
from axlewright.contract.findings import fact_in_words
from axlewright.contract.output import AsStatedOut, NameOut, UnknownOut, WordsOut
from axlewright.contract.quantities import AxleLoad, Pressure, Speed, TireLoad
from axlewright.contract.rig_request import LoadRange, SpeedSymbol, WheelInput
from axlewright.contract.tire_reading_words import CHECK_WORDS, NOT_CHECKED, WHY_NOT_CHECKED
from axlewright.contract.units import Units
from axlewright.core.findings import Quantity
from axlewright.core.rig import Fitment, Wheel
from axlewright.core.tires.crosscheck import Check, Stated


class StatedInput(Input, frozen=True, kw_only=True):
    """What you read or know beside the designation, to be held against it."""

    fitment: Annotated[Literal["single", "dual"], Meta(description="How the tire is fitted.")] = "single"
    on_passenger_car: Annotated[
        bool,
        Meta(description="Whether the vehicle is a passenger car; on any other a passenger-car tire carries less."),
    ] = False
    load_range: Annotated[LoadRange | None, Meta(description="Load range letter as marked.")] = None
    speed_symbol: Annotated[SpeedSymbol | None, Meta(description="Speed symbol as marked.")] = None
    max_load_single: Annotated[TireLoad | None, Meta(description="Marked maximum load, fitted single.")] = None
    max_load_dual: Annotated[TireLoad | None, Meta(description="Marked maximum load of one tire, fitted dual.")] = None
    max_pressure: Annotated[Pressure | None, Meta(description="Cold pressure marked with the maximum load.")] = None
    wheel: Annotated[WheelInput | None, Meta(description="The wheel's maxima.")] = None
    gawr: Annotated[AxleLoad | None, Meta(description="Rating of the axle that carries such tires on both sides.")] = (
        None
    )
    speed: Annotated[Speed | None, Meta(description="Highest speed that you drive.")] = None


class FigureAnswer(Struct, frozen=True, kw_only=True):
    """A figure of a check."""

    name: Annotated[NameOut, Meta(description="Of what.")]
    quantity: Annotated[
        Literal["mass", "pressure", "speed", "share", "number"], Meta(description="Which kind of quantity it is.")
    ]
    value: Annotated[AsStatedOut, Meta(description="The figure.")]


class CheckAnswer(Struct, frozen=True, kw_only=True):
    """One thing held against another."""

    kind: Annotated[NameOut, Meta(description="What is held against what. New ones may come.")]
    verdict: Annotated[
        Literal["agrees", "unusual", "contradicts", "limits", "not_known"],
        Meta(
            description="`unusual`: possible, look again. `contradicts`: both cannot hold. `limits`: the lower "
            "governs. `not_known`: something needed is missing."
        ),
    ]
    code: Annotated[NameOut, Meta(description="Stable; new ones may come.")]
    message: Annotated[WordsOut, Meta(description="In words.")]
    figures: Annotated[list[FigureAnswer], Meta(max_length=8, description="The figures in it.")]
    unknown_because: UnknownOut


def core_stated(stated: StatedInput) -> Stated:
    """Return for the core what is known beside the designation; the request is in SI."""
    wheel = stated.wheel or WheelInput()
    return Stated(
        fitment=Fitment(stated.fitment),
        load_range=stated.load_range,
        speed_symbol=stated.speed_symbol,
        max_load_single_kg=stated.max_load_single,
        max_load_dual_kg=stated.max_load_dual,
        max_pressure_pa=stated.max_pressure,
        wheel=Wheel(wheel.max_load, wheel.max_pressure),
        gawr_kg=stated.gawr,
        speed_m_per_s=stated.speed,
        passenger_car=stated.on_passenger_car,
    )


def check_answer(check: Check, units: Units) -> CheckAnswer:
    """Return one check in words, its figures still in SI."""
    told = {name: fact_in_words(fact, units) for name, fact in check.facts.items()}
    because = check.unknown_because
    return CheckAnswer(
        kind=check.kind.value,
        verdict=check.verdict.value,
        code=check.code,
        message=CHECK_WORDS.get(check.code, NOT_CHECKED).format(**told),
        figures=[_figure(name, fact) for name, fact in check.facts.items() if not isinstance(fact, str)],
        unknown_because=None if because is None else WHY_NOT_CHECKED[check.kind, because],
    )


def _figure(name: str, fact: Quantity | int) -> FigureAnswer:
    if isinstance(fact, int):
        return FigureAnswer(name=name, quantity="number", value=float(fact))
    return FigureAnswer(name=name, quantity=fact.kind, value=fact.value)  # type: ignore[arg-type]
