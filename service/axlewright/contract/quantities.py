"""Numbers of the contract: each says which kind of quantity it is and in which SI range it is plausible."""

from typing import Annotated, Final

from msgspec import Meta

Mass = Annotated[
    float,
    Meta(gt=0, le=500_000, extra_json_schema={"x-quantity": "mass", "x-si-range": [0.1, 100_000]}),
]
SignedMass = Annotated[
    float,
    Meta(ge=-50_000, le=50_000, extra_json_schema={"x-quantity": "mass", "x-si-range": [-20_000, 20_000]}),
]
MassOrNone = Annotated[
    float,
    Meta(ge=0, le=500_000, extra_json_schema={"x-quantity": "mass", "x-si-range": [0, 100_000]}),
]
TireLoad = Annotated[
    float,
    Meta(gt=0, le=20_000, extra_json_schema={"x-quantity": "mass", "x-si-range": [40, 9_000]}),
]
AxleLoad = Annotated[
    float,
    Meta(gt=0, le=100_000, extra_json_schema={"x-quantity": "mass", "x-si-range": [100, 20_000]}),
]
Division = Annotated[
    float,
    Meta(gt=0, le=1_000, extra_json_schema={"x-quantity": "mass", "x-si-range": [0.001, 200]}),
]
Pressure = Annotated[
    float,
    Meta(gt=0, le=1_500, extra_json_schema={"x-quantity": "pressure", "x-si-range": [50_000, 1_400_000]}),
]
PressureReserve = Annotated[
    float,
    Meta(ge=0, le=300, extra_json_schema={"x-quantity": "pressure", "x-si-range": [0, 300_000]}),
]
PressureDoubt = Annotated[
    float,
    Meta(ge=0, le=200, extra_json_schema={"x-quantity": "pressure", "x-si-range": [0, 200_000]}),
]
PressureStep = Annotated[
    float,
    Meta(gt=0, le=200, extra_json_schema={"x-quantity": "pressure", "x-si-range": [100, 200_000]}),
]
Length = Annotated[
    float,
    Meta(ge=-40_000, le=40_000, extra_json_schema={"x-quantity": "length", "x-si-range": [-30, 30]}),
]
Across = Annotated[
    float,
    Meta(ge=-2_500, le=2_500, extra_json_schema={"x-quantity": "length", "x-si-range": [-2.5, 2.5]}),
]
Track = Annotated[
    float,
    Meta(gt=0, le=4_000, extra_json_schema={"x-quantity": "length", "x-si-range": [0.6, 3.5]}),
]
Extent = Annotated[
    float,
    Meta(gt=0, le=20_000, extra_json_schema={"x-quantity": "length", "x-si-range": [0.01, 15]}),
]
Height = Annotated[
    float,
    Meta(ge=0, le=6_000, extra_json_schema={"x-quantity": "length", "x-si-range": [0, 5]}),
]
Speed = Annotated[
    float,
    Meta(gt=0, le=400, extra_json_schema={"x-quantity": "speed", "x-si-range": [1, 90]}),
]
OverallHeight = Annotated[
    float,
    Meta(gt=0, le=6_000, extra_json_schema={"x-quantity": "length", "x-si-range": [0.5, 6]}),
]
HeightToPass = Annotated[
    float,
    Meta(gt=0, le=20_000, extra_json_schema={"x-quantity": "length", "x-si-range": [1, 20]}),
]
Clearance = Annotated[
    float,
    Meta(ge=0, le=2_000, extra_json_schema={"x-quantity": "length", "x-si-range": [0, 2]}),
]
TreadDepth = Annotated[
    float,
    Meta(ge=0, le=50, extra_json_schema={"x-quantity": "fine_length", "x-si-range": [0, 0.05]}),
]
TireDiameter = Annotated[
    float,
    Meta(gt=0, le=1_600, extra_json_schema={"x-quantity": "fine_length", "x-si-range": [0.3, 1.6]}),
]
DiameterDifference = Annotated[
    float,
    Meta(ge=0, le=100, extra_json_schema={"x-quantity": "fine_length", "x-si-range": [0, 0.1]}),
]
Temperature = Annotated[
    float,
    Meta(ge=-80, le=250, extra_json_schema={"x-quantity": "temperature", "x-si-range": [213.15, 373.15]}),
]
FluidTemperature = Annotated[
    float,
    Meta(ge=0, le=125, extra_json_schema={"x-quantity": "temperature", "x-si-range": [273.15, 323.15]}),
]
TemperatureDoubt = Annotated[
    float,
    Meta(ge=0, le=90, extra_json_schema={"x-quantity": "temperature_difference", "x-si-range": [0, 50]}),
]
Altitude = Annotated[
    float,
    Meta(ge=-1_500, le=20_000, extra_json_schema={"x-quantity": "altitude", "x-si-range": [-450, 6_000]}),
]
Volume = Annotated[
    float,
    Meta(gt=0, le=10_000, extra_json_schema={"x-quantity": "volume", "x-si-range": [0.0005, 10]}),
]
Share = Annotated[float, Meta(ge=0, le=1, extra_json_schema={"x-quantity": "share"})]
ShareBound = Annotated[float, Meta(gt=0, lt=1, extra_json_schema={"x-quantity": "share"})]

NAME_PATTERN = r"[a-z][a-z0-9_-]{0,31}"
END = r"(?![\s\S])"
"""End of the text: Python's ``$`` would let a line break through."""

Name = Annotated[str, Meta(pattern=f"^{NAME_PATTERN}{END}", description="A name of your own.")]
AxleName = Annotated[
    str,
    Meta(
        pattern=f"^{NAME_PATTERN}{END}",
        description="An axle: `steer`, `drive`, `tag`, `front`, `rear` or what you call it.",
    ),
]
PlaceName = Annotated[
    str,
    Meta(
        pattern=rf"^(?:{NAME_PATTERN}\.)?{NAME_PATTERN}{END}",
        description="A place or tank of the rig; `vehicle.place` where two vehicles have one of that name.",
    ),
]
WheelName = Annotated[
    str,
    Meta(
        pattern=rf"^(?:{NAME_PATTERN}\.){{1,2}}(?:left|right)(?:\.(?:inner|outer))?{END}",
        description="A wheel end, `axle.left` or `vehicle.axle.right` (the vehicle exactly where the rig has "
        "more than one), or a single tire of a dual, `axle.left.inner`.",
    ),
]
Text = Annotated[
    str,
    Meta(
        pattern=r"^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]{1,80}" + END,
        description="Text without control characters.",
    ),
]
LongText = Annotated[
    str,
    Meta(
        pattern=r"^[^\u0000-\u001f\u007f-\u009f\u2028\u2029]{1,500}" + END,
        description="Text without control characters.",
    ),
]

OdometerDistance = Annotated[
    float,
    Meta(ge=0, le=5_000_000, extra_json_schema={"x-quantity": "distance", "x-si-range": [0, 5e9]}),
]
RetorqueDistance = Annotated[
    float,
    Meta(gt=0, le=10_000, extra_json_schema={"x-quantity": "distance", "x-si-range": [500, 1e7]}),
]
WeighDistance = Annotated[
    float,
    Meta(gt=0, le=1_000_000, extra_json_schema={"x-quantity": "distance", "x-si-range": [1e5, 1e9]}),
]
MOST_TIME_S: Final = 10.0
TimeLimit = Annotated[
    float,
    Meta(
        ge=0.1,
        le=MOST_TIME_S,
        description="Seconds that the search may take; the service may hold it to fewer.",
        extra_json_schema={"x-quantity": "number"},
    ),
]
