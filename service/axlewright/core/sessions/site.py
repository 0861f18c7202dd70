"""Where a rig can be weighed: platforms in the order driven over, what stands beside them, what a weigh costs."""

from enum import StrEnum
from itertools import accumulate

from msgspec import Struct, structs

from axlewright.core.scales import Tolerance
from axlewright.core.sessions.passes import Platform, PlatformKind


class Rails(StrEnum):
    """Where guard rails stand beside the platforms, as seen by who drives over them in the order listed."""

    NONE = "none"
    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


MIRRORED = {Rails.LEFT: Rails.RIGHT, Rails.RIGHT: Rails.LEFT}


class SitePlatform(Struct, frozen=True):
    """A platform with its length along the way, its width across [m], and its division [kg]."""

    name: str
    length_m: float
    width_m: float
    division_kg: float

    @property
    def platform(self) -> Platform:
        """What a reading names."""
        return Platform(self.name, self.division_kg)


class Site(Struct, frozen=True):
    """A place to weigh.

    Attributes
    ----------
    platforms, gaps_m
        In the order driven over, with the gap [m] from each to the next: one fewer than platforms.
    before_m, after_m
        Free level way before the first and after the last platform [m].
    whole_axles_only, one_way
        What the operator asks for: nobody hangs a side off, nobody drives against the order.
    first_price, further_price
        Of the first pass and of each further one, in one currency. Where a further one costs more than a first, each
        pass is a weigh of its own.
    tolerance
        Of the scale, and of the pads.
    pads, pad_division_kg
        Portable pads at hand, and what they read in [kg].
    """

    platforms: tuple[SitePlatform, ...]
    gaps_m: tuple[float, ...]
    rails: Rails
    before_m: float
    after_m: float
    first_price: float
    further_price: float
    tolerance: Tolerance
    whole_axles_only: bool = False
    one_way: bool = False
    pads: int = 0
    pad_division_kg: float = 1.0

    @property
    def spans_m(self) -> list[tuple[float, float]]:
        """Where each platform begins and ends [m] behind the edge that is met first."""
        starts = accumulate(
            (platform.length_m + gap_m for platform, gap_m in zip(self.platforms, self.gaps_m, strict=False)),
            initial=0.0,
        )
        return [(start, start + each.length_m) for start, each in zip(starts, self.platforms, strict=False)]

    @property
    def against(self) -> "Site":
        """The same place as met by who drives over it the other way."""
        return structs.replace(
            self,
            platforms=self.platforms[::-1],
            gaps_m=self.gaps_m[::-1],
            before_m=self.after_m,
            after_m=self.before_m,
            rails=MIRRORED.get(self.rails, self.rails),
        )

    def pad(self, number: int) -> Platform:
        """Return a pad by its number from 0."""
        return Platform(pad_name(number), self.pad_division_kg, PlatformKind.PAD)

    def price(self, passes: int) -> float:
        """Return what so many passes cost."""
        return self.first_price + min(self.first_price, self.further_price) * (passes - 1) if passes else 0.0


def pad_name(number: int) -> str:
    """Return what a pad is called, by its number from 0.

    >>> pad_name(0)
    'pad 1'
    """
    return f"pad {number + 1}"
