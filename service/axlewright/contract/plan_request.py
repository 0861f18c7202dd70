"""What is asked of a plan of passes: a rig, a place to weigh, and which loads have to become known."""

from typing import Annotated, Final, Literal

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import Division, Mass, Name, Text, TimeLimit, WheelName
from axlewright.contract.request import RigField, UnitsField
from axlewright.contract.session_request import AccuracyClassField, ToleranceInput

MOST_PLATFORMS: Final = 8
MOST_PADS: Final = 16

PlatformLength = Annotated[
    float,
    Meta(gt=0, le=50_000, extra_json_schema={"x-quantity": "length", "x-si-range": [0.2, 50]}),
]
PlatformWidth = Annotated[
    float,
    Meta(gt=0, le=10_000, extra_json_schema={"x-quantity": "length", "x-si-range": [0.2, 10]}),
]
FreeLength = Annotated[
    float,
    Meta(ge=0, le=200_000, extra_json_schema={"x-quantity": "length", "x-si-range": [0, 200]}),
]
TowedBehind = Annotated[
    float,
    Meta(gt=0, le=15_000, extra_json_schema={"x-quantity": "length", "x-si-range": [0.5, 15]}),
]
Price = Annotated[float, Meta(ge=0, le=1_000_000, extra_json_schema={"x-quantity": "number"})]


class SitePlatformInput(Input, frozen=True, kw_only=True):
    """One independently read platform of the scale."""

    name: Annotated[Text, Meta(description="What you call it; no other has its name.")]
    length: Annotated[PlatformLength, Meta(description="Along the way that vehicles drive.")]
    width: Annotated[PlatformWidth, Meta(description="Across it.")]
    gap_to_next: Annotated[
        FreeLength | None, Meta(description="From its far edge to the next platform; the last one has none.")
    ] = None
    division: Annotated[Division | None, Meta(description="Its own division, if not the site's.")] = None


class ApproachInput(Input, frozen=True):
    """Free way, level with the platforms, on which wheels may stand that are not weighed, and what pulls a trailer."""

    before: Annotated[FreeLength, Meta(description="Before the first platform.")]
    after: Annotated[FreeLength, Meta(description="After the last one.")]


class PadsInput(Input, frozen=True):
    """Portable pads at hand, each for one wheel end, with the tolerance of the site."""

    count: Annotated[
        int,
        Meta(ge=1, le=MOST_PADS, description="How many.", extra_json_schema={"x-quantity": "count"}),
    ]
    division: Annotated[Division | None, Meta(description="Their own division, if not the site's.")] = None


class PricesInput(Input, frozen=True):
    """What a weigh costs, in one currency."""

    first: Annotated[Price, Meta(description="The first pass.")]
    further: Annotated[Price, Meta(description="Each further pass of the same weigh; `first` counts if it is less.")]


class SiteInput(Input, frozen=True, kw_only=True):
    """A place to weigh: the platforms in the order driven over, pads at hand, or both."""

    division: Annotated[Division, Meta(description="The step in which it reads, d.")]
    accuracy_class: AccuracyClassField = None
    tolerance: Annotated[ToleranceInput | None, Meta(description="Your own, instead of a class.")] = None
    platforms: Annotated[
        list[SitePlatformInput], Meta(max_length=MOST_PLATFORMS, description="In the order driven over.")
    ] = []
    guard_rails: Annotated[
        Literal["none", "left", "right", "both"] | None,
        Meta(
            description="Where rails or a step keep wheels from standing beside the platforms, as seen driving over "
            "them in the order listed; needed with platforms."
        ),
    ] = None
    approach: Annotated[ApproachInput | None, Meta(description="Needed with platforms.")] = None
    whole_axles_only: Annotated[
        bool, Meta(description="Whether the operator refuses to weigh one side with the other beside the platform.")
    ] = False
    one_way: Annotated[
        bool, Meta(description="Whether nobody may drive over the platforms against the order listed.")
    ] = False
    pads: Annotated[PadsInput | None, Meta(description="Portable pads, if there are any.")] = None
    prices: Annotated[PricesInput | None, Meta(description="What a weigh costs.")] = None


class WantedInput(Input, frozen=True, kw_only=True):
    """Which loads have to become known."""

    loads: Annotated[
        list[Literal["wheel_ends", "axles", "tongue_weight"]],
        Meta(
            min_length=1,
            max_length=3,
            description="`tongue_weight` is what a ball or fifth wheel carries without levelling bars.",
        ),
    ]
    vehicles: Annotated[
        Annotated[list[Name], Meta(min_length=1, max_length=4)] | None,
        Meta(description="Of which vehicles; of all, if left out."),
    ] = None
    state: Annotated[
        Literal["solo", "hitched", "hitched_levelled"],
        Meta(
            description="In which coupling state wheel ends and axles are wanted: `hitched` is without levelling bars, "
            "`hitched_levelled` with them. A trailer's are the same `solo` and `hitched`."
        ),
    ] = "solo"
    towed_behind: Annotated[
        TowedBehind | None,
        Meta(
            description="For `hitched` on a tow bar: from the towing vehicle's last axle to the first one of what it "
            "tows, as they stand hitched."
        ),
    ] = None


class ExpectedLoadInput(Input, frozen=True):
    """What a wheel end is likely to carry: the doubt is worked out for that."""

    wheel_end: Annotated[WheelName, Meta(description="A whole wheel end.")]
    load: Annotated[Mass, Meta(description="About so much.")]


class PlanSessionRequest(Input, frozen=True, kw_only=True):
    """A rig, a place to weigh, and which loads have to become known."""

    units: UnitsField
    rig: RigField
    site: Annotated[SiteInput, Meta(description="The place to weigh.")]
    wanted: Annotated[WantedInput, Meta(description="Which loads.")]
    expected: Annotated[
        list[ExpectedLoadInput],
        Meta(max_length=64, description="Likely loads; half of 0.85 of the axle's rating where left out."),
    ] = []
    time_limit: TimeLimit = 2.0
