"""Names of the enumerations that several fields share or that can be null: generators of clients make up theirs."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class NamedValues:
    """An enumeration with a component of its own."""

    name: str
    description: str
    values: tuple[str, ...]

    @property
    def schema(self) -> dict[str, Any]:
        """The component."""
        return {"title": self.name, "description": self.description, "type": "string", "enum": list(self.values)}


_NAMED = (
    NamedValues(
        "VehicleKind",
        "What a vehicle is.",
        ("fifth_wheel", "motorhome", "tow_vehicle", "towed_car", "trailer", "travel_trailer", "van"),
    ),
    NamedValues("ValveStem", "How a valve stem was found.", ("cracked", "leaking", "loose", "sound")),
    NamedValues(
        "TelltaleTire",
        "The tire's kind in the telltale's table of floors.",
        ("load_range_c", "load_range_d", "load_range_e", "p_metric_extra_load", "p_metric_standard_load"),
    ),
    NamedValues("UnitSystem", "A unit for every kind of quantity.", ("metric", "us")),
    NamedValues("MassUnit", "A unit of mass.", ("kg", "lb")),
    NamedValues("PressureUnit", "A unit of pressure.", ("bar", "kPa", "psi")),
    NamedValues("LengthUnit", "A unit of length.", ("in", "m", "mm")),
    NamedValues("TemperatureUnit", "A unit of temperature.", ("degC", "degF")),
    NamedValues("VolumeUnit", "A unit of volume; `gal` is the US gallon.", ("L", "gal")),
    NamedValues("DistanceUnit", "A unit of distance.", ("km", "mi")),
    NamedValues("AltitudeUnit", "A unit of altitude.", ("ft", "m")),
    NamedValues("TorqueUnit", "A unit of torque.", ("N_m", "lbf_ft")),
    NamedValues("SpeedUnit", "A unit of speed.", ("km_h", "mph")),
    NamedValues("AccuracyClass", "A class of scale.", ("III", "III L", "IIII", "OIML III", "OIML IIII")),
    NamedValues("CouplingState", "How a rig is coupled.", ("hitched", "hitched_levelled", "solo")),
    NamedValues("Bound", "Whether a limit is the most or the least.", ("least", "most")),
    NamedValues("LimitQuantity", "What the figures of a limit are.", ("mass", "share", "speed")),
    NamedValues("HistoryQuantity", "What a figure of a history is.", ("distance", "mass", "pressure")),
    NamedValues("Band", "What common practice says to a difference.", ("act", "look", "ordinary")),
    NamedValues(
        "UpkeepKind",
        "What was done.",
        ("change", "pressure_check", "retorque", "tire_fitted", "tire_inspection", "weigh", "wheel_work"),
    ),
    NamedValues("DueState", "How an upkeep item stands to the day.", ("due", "later", "overdue", "unknown")),
    NamedValues("Fitment", "One tire at a wheel end, or two side by side.", ("dual", "single")),
    NamedValues(
        "LabelFloor", "For which vehicles the label's pressure is a floor.", ("always", "light_and_trailers", "never")
    ),
    NamedValues("LoadRange", "A load range letter.", tuple("ABCDEFGHJLMN")),
    NamedValues("GuardRails", "Where guard rails stand beside a scale.", ("both", "left", "none", "right")),
    NamedValues("Side", "A side of the rig, as seen facing forward.", ("left", "right")),
    NamedValues(
        "SpeedSymbol",
        "A speed symbol.",
        (*(f"A{number}" for number in range(1, 9)), *"BCDEFGHJKLMNPQRSTUVWY"),
    ),
    NamedValues(
        "Standing", "How a load stands to a limit.", ("clear", "over", "short", "tight", "unknown", "unsettled")
    ),
)

NAMED_VALUES: Mapping[tuple[str, ...], NamedValues] = {named.values: named for named in _NAMED}
"""By their values, sorted."""
