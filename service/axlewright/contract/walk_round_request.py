"""What a client sends of a walk round a rig: what was seen of its tires, its height, and the heights to pass."""

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import (
    Clearance,
    DiameterDifference,
    HeightToPass,
    OverallHeight,
    Pressure,
    PressureDoubt,
    Text,
    TireDiameter,
    TreadDepth,
    WheelName,
)
from axlewright.contract.request import UnitsField
from axlewright.contract.tire_identification import IdentificationText
from axlewright.core.upkeep.policy import MOST_MONTHS

DamageName = Literal[
    "ply_exposed", "separation", "flat_or_leaking", "cut_to_ply", "bulge", "cut", "weather_cracks", "object_in_tread",
    "uneven_wear",
]  # fmt: skip

_MONTHS = {"x-quantity": "count"}


class GrooveInput(Input, frozen=True):
    """One measure of the tread."""

    depth: Annotated[
        TreadDepth, Meta(description="Depth of a major groove, away from wear bars; 2/32 in is 0.0625 in, or 1.6 mm.")
    ]


class TireSeenInput(Input, frozen=True, kw_only=True):
    """What was seen of one tire; leave out what nobody looked at."""

    name: WheelName
    steers: Annotated[
        bool, Meta(description="Whether it is on the front wheels of a motor vehicle: those need deeper tread.")
    ] = False
    designation: Annotated[Text | None, Meta(description="Size as marked; compared between the tires of a dual.")] = (
        None
    )
    grooves: Annotated[
        list[GrooveInput], Meta(max_length=16, description="Tread where it was measured; the shallowest counts.")
    ] = []
    outer_diameter: Annotated[
        TireDiameter | None, Meta(description="Diameter over the tread; compared between the tires of a dual.")
    ] = None
    pressure: Annotated[Pressure | None, Meta(description="Cold pressure; compared between the tires of a dual.")] = (
        None
    )
    made_on: Annotated[
        date | None, Meta(description="First day of the week in which it was made; not beside `identification`.")
    ] = None
    identification: Annotated[
        IdentificationText | None,
        Meta(description="Tire identification number, whole or partial, or its date code; gaps as on the tire."),
    ] = None
    damages: Annotated[
        Annotated[list[DamageName], Meta(max_length=16)] | None,
        Meta(description="What is wrong with it; an empty list says that somebody looked and found nothing."),
    ] = None
    stem: Annotated[
        Literal["sound", "cracked", "loose", "leaking"] | None, Meta(description="How its valve stem is.")
    ] = None
    has_valve_cap: Annotated[bool | None, Meta(description="Whether its valve has a cap.")] = None


class HeightInput(Input, frozen=True):
    """A bridge, roof, gate or ferry that you mean to pass."""

    name: Annotated[Text, Meta(description="What you call it.")]
    height: Annotated[HeightToPass, Meta(description="As signed or measured.")]


class WalkRoundPolicyInput(Input, frozen=True):
    """Your choices; each has a default of common practice or judgement."""

    least_clearance: Annotated[
        Clearance | None, Meta(description="To be left under a height; 6 in (152 mm) if left out.")
    ] = None
    tread_notice: Annotated[
        TreadDepth | None,
        Meta(description="Tread above the least depth below which it is worth a word; 1/32 in (0.8 mm) if left out."),
    ] = None
    most_tread_difference: Annotated[
        TreadDepth | None,
        Meta(description="By which the tires of a dual may differ in tread; 4/32 in (3.2 mm) if left out."),
    ] = None
    most_diameter_difference: Annotated[
        DiameterDifference | None,
        Meta(description="By which the tires of a dual may differ in diameter; 1/4 in (6.4 mm) if left out."),
    ] = None
    most_pressure_difference: Annotated[
        PressureDoubt | None,
        Meta(description="By which the tires of a dual may differ in pressure; 5 psi (34 kPa) if left out."),
    ] = None
    tire_inspection_from_months: Annotated[
        int, Meta(ge=1, le=MOST_MONTHS, description="Age of yearly inspection.", extra_json_schema=_MONTHS)
    ] = 60
    tire_replacement_months: Annotated[
        int,
        Meta(
            ge=1,
            le=MOST_MONTHS,
            description="Age at which a tire is replaced whatever it looks like.",
            extra_json_schema=_MONTHS,
        ),
    ] = 120


class JudgeWalkRoundRequest(Input, frozen=True):
    """What a walk round a rig gave: tires, its height, or both."""

    units: UnitsField
    as_of: Annotated[date, Meta(description="Day of the walk round.")]
    tires: Annotated[
        list[TireSeenInput], Meta(max_length=64, description="Tires that were looked at, or should have been.")
    ] = []
    overall_height: Annotated[
        OverallHeight | None, Meta(description="Highest point of the highest vehicle, as loaded.")
    ] = None
    heights: Annotated[list[HeightInput], Meta(max_length=32, description="What you mean to pass.")] = []
    policy: Annotated[WalkRoundPolicyInput, Meta(description="Your choices.")] = WalkRoundPolicyInput()
