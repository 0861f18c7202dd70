"""What is asked of a shift plan: a weighed or known state, what may be moved, and where it may go."""

from typing import Annotated, Final

from msgspec import Meta

from axlewright.contract.closed import Input
from axlewright.contract.quantities import Mass, MassOrNone, PlaceName, Text, TimeLimit
from axlewright.contract.request import LoadedRigRequest

MOST_ITEMS: Final = 64
MOST_CHOICES: Final = 1_500
"""Items times the places of each, all together."""


class ItemInput(Input, frozen=True, kw_only=True):
    """Something aboard that may be moved, whole."""

    name: Annotated[Text, Meta(description="What you call it; no other has its name.")]
    mass: Annotated[Mass, Meta(description="How heavy.")]
    standard_uncertainty: Annotated[
        MassOrNone | None, Meta(description="Of the mass; 5 % of it if left out, 0 only if it is exact.")
    ] = None
    place: Annotated[PlaceName, Meta(description="Where it was at the weigh.")]
    may_go_to: Annotated[
        Annotated[list[PlaceName], Meta(max_length=64)] | None,
        Meta(description="Places that it may go to; if left out, every place of the vehicle that it is in."),
    ] = None
    fixed: Annotated[bool, Meta(description="Whether it stays where it is.")] = False


Group = Annotated[list[Text], Meta(min_length=2, max_length=16)]


class PlanShiftRequest(LoadedRigRequest, frozen=True, kw_only=True):
    """A rig with its weigh tickets or its known loads, and what may be moved aboard."""

    items: Annotated[
        list[ItemInput], Meta(min_length=1, max_length=MOST_ITEMS, description="What may be moved, and what may not.")
    ]
    together: Annotated[
        list[Group], Meta(max_length=32, description="Items, by name, that belong in one place together.")
    ] = []
    apart: Annotated[
        list[Group], Meta(max_length=32, description="Items, by name, of which no two belong in one place.")
    ] = []
    even_sides: Annotated[
        bool,
        Meta(description="Whether side differences beyond what common practice looks at are evened out too."),
    ] = True
    time_limit: TimeLimit = 2.0
