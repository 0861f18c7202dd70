"""What is asked of a whole trip: a weighed or known state, and what may vary from then on."""

from typing import Annotated

from msgspec import Meta

from axlewright.contract.aboard_request import SpotField
from axlewright.contract.closed import Input
from axlewright.contract.quantities import FluidTemperature, Mass, MassOrNone, PlaceName, Share, Text
from axlewright.contract.request import AssessRequest

MOST_PEOPLE = 32
MOST_CARGO = 64
MOST_TANKS = 32


class VaryingTankInput(Input, frozen=True, kw_only=True):
    """A tank, and between which levels it may be: 0 empty, 1 full; propane is full at the 80 % that a fill stops at."""

    name: Annotated[PlaceName, Meta(description="Which tank.")]
    least: Annotated[Share, Meta(description="Its lowest level on the trip.")] = 0.0
    most: Annotated[Share, Meta(description="Its highest.")] = 1.0
    weighed_level: Annotated[
        Share | None, Meta(description="How full it was at the weigh; needed unless the session declares it.")
    ] = None
    standard_uncertainty: Annotated[
        Share | None,
        Meta(description="Of that; if left out that of a gauge read by eye, less for exactly full or empty."),
    ] = None
    start_level: Annotated[
        Share | None,
        Meta(
            description="How full when the trip begins, for `links`; as at the weigh if left out, else in the doubt of "
            "a gauge read by eye."
        ),
    ] = None


class MayBeAboardInput(Input, frozen=True, kw_only=True):
    """A person or a thing that may be aboard, or not."""

    what: Annotated[Text | None, Meta(description="What you call it.")] = None
    mass: Annotated[Mass, Meta(description="How heavy.")]
    standard_uncertainty: Annotated[
        MassOrNone | None, Meta(description="Of the mass; 5 % of it if left out, 0 only if it is exact.")
    ] = None
    place: Annotated[SpotField, Meta(description="Where, when it is aboard.")]
    aboard_when_weighed: Annotated[bool, Meta(description="Whether it was there at the weigh.")] = False


class VariesInput(Input, frozen=True):
    """What may vary on the trip, each by itself. All else stays as it was at the weigh."""

    people: Annotated[
        list[MayBeAboardInput], Meta(max_length=MOST_PEOPLE, description="Who may be aboard, or not.")
    ] = []
    cargo: Annotated[list[MayBeAboardInput], Meta(max_length=MOST_CARGO, description="What may be there, or not.")] = []
    tanks: Annotated[list[VaryingTankInput], Meta(max_length=MOST_TANKS, description="Tanks whose levels vary.")] = []
    fluid_temperature: Annotated[
        FluidTemperature | None, Meta(description="Of what the tanks hold, for its density; 60 °F if left out.")
    ] = None


class LinkInput(Input, frozen=True):
    """Tanks that pass on what they hold, fresh water to grey and black: together never more than at the start."""

    tanks: Annotated[
        list[PlaceName],
        Meta(min_length=2, max_length=MOST_TANKS, description="Tanks of water, each in `varies.tanks`."),
    ]


class FindEnvelopeRequest(AssessRequest, frozen=True, kw_only=True):
    """A rig with its weigh tickets or its known loads, and what may vary on a trip."""

    varies: Annotated[VariesInput, Meta(description="What may vary.")]
    links: Annotated[
        list[LinkInput],
        Meta(
            max_length=MOST_TANKS,
            description="Left out, every tank varies by itself: on a hook-up grey fills while fresh stays full.",
        ),
    ] = []
