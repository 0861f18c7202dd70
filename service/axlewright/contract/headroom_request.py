"""What is asked of headroom: a weighed or known state, the places asked about, and what may come off."""

from typing import Annotated

from msgspec import Meta

from axlewright.contract.aboard_request import PointInput, SpotField
from axlewright.contract.closed import Input
from axlewright.contract.quantities import FluidTemperature, Mass, PlaceName, Text
from axlewright.contract.request import LoadedRigRequest

MOST_PLACES = 256
MOST_POINTS = 64
MOST_REMOVABLE = 16


class RemovableInput(Input, frozen=True, kw_only=True):
    """Something that may come off: exactly one of `place` and `tank` says where it is."""

    name: Annotated[Text, Meta(description="What you call it; no other has its name.")]
    place: Annotated[SpotField | None, Meta(description="Where it is.")] = None
    tank: Annotated[PlaceName | None, Meta(description="The tank that may be drained.")] = None
    most: Annotated[
        Mass | None,
        Meta(
            description="How much of it there is. If left out, a tank has what the session declares, else what it "
            "holds when full; a place has its capacity, and without one what the vehicle is rated for."
        ),
    ] = None


class FindHeadroomRequest(LoadedRigRequest, frozen=True, kw_only=True):
    """A rig with its weigh tickets or its known loads, where more may go, and what may come off."""

    places: Annotated[
        Annotated[list[PlaceName], Meta(max_length=MOST_PLACES)] | None,
        Meta(description="The places asked about; every place of the rig if left out."),
    ] = None
    points: Annotated[
        list[PointInput], Meta(max_length=MOST_POINTS, description="Points asked about, besides the places.")
    ] = []
    removable: Annotated[
        Annotated[list[RemovableInput], Meta(max_length=MOST_REMOVABLE)] | None,
        Meta(
            description="What may come off. If left out: the cargo and the tanks' contents that the session declares, "
            f"by place, the heaviest {MOST_REMOVABLE}."
        ),
    ] = None
    fluid_temperature: Annotated[
        FluidTemperature | None, Meta(description="Of what the tanks hold, for its density; 60 °F if left out.")
    ] = None
