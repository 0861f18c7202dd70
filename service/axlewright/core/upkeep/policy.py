"""The intervals of upkeep: the caller's choices, with common-practice defaults."""

from collections.abc import Iterator
from math import inf
from typing import Final

from msgspec import Struct

from axlewright.core.errors import OutOfRange
from axlewright.core.units import MILE_M

MOST_MONTHS: Final = 1_200
"""No interval is longer than a century: beyond it, dates leave the calendar."""
MOST_DAYS: Final = 3_653
"""Ten years."""


class Window(Struct, frozen=True):
    """A distance [m] from which something is due, and the one at which it is overdue."""

    from_m: float
    by_m: float


class UpkeepPolicy(Struct, frozen=True):
    """Intervals after which something falls due; None where a rule is not wanted.

    Every default is common practice without a binding source. Makers of cars and tires differ on age: yearly
    inspection from five years and removal at ten whatever the look (tire makers), replacement at six (some car makers).

    Attributes
    ----------
    retorque
        Distances after wheel work at which wheel nuts are tightened again; trailers often have three.
    retorque_days
        Days after wheel work by which they are tightened again, where distance is not enough.
    pressure_check_months
        Time between checks of pressure.
    pressure_check_before_trip_days
        How fresh a check must be when a trip starts [days].
    tire_inspection_from_months, tire_inspection_every_months
        Age from which tires are inspected, and how often from then on.
    tire_replacement_months
        Age at which a tire is replaced at the latest, whatever it looks like.
    weigh_months, weigh_after_m
        Time and distance between weighs; a change of the rig asks for one at once.
    weigh_after_change
        Whether a change of the rig asks for a new weigh.
    """

    retorque: tuple[Window, ...] = (Window(50 * MILE_M, 100 * MILE_M),)
    retorque_days: int | None = None
    pressure_check_months: int | None = 1
    pressure_check_before_trip_days: int | None = 1
    tire_inspection_from_months: int = 60
    tire_inspection_every_months: int = 12
    tire_replacement_months: int | None = 120
    weigh_months: int | None = 12
    weigh_after_m: float | None = None
    weigh_after_change: bool = True

    def require_sound(self) -> None:
        """Raise OutOfRange for an interval that is no interval."""
        for name, months in self._months():
            if months is not None and not 1 <= months <= MOST_MONTHS:
                raise OutOfRange(
                    "interval_out_of_range", name, f"{name} is {months}: it must be 1 to {MOST_MONTHS} months."
                )
        for name, days in (
            ("retorque_days", self.retorque_days),
            ("pressure_check_before_trip_days", self.pressure_check_before_trip_days),
        ):
            if days is not None and not 0 <= days <= MOST_DAYS:
                raise OutOfRange("interval_out_of_range", name, f"{name} is {days}: it must be 0 to {MOST_DAYS} days.")
        if self.weigh_after_m is not None and not 0 < self.weigh_after_m < inf:
            raise OutOfRange(
                "interval_out_of_range",
                "weigh_after_m",
                f"weigh_after_m is {self.weigh_after_m}: it must be above 0 and finite.",
            )
        least_m = 0.0
        for window in self.retorque:
            if not least_m < window.from_m <= window.by_m < inf:
                raise OutOfRange(
                    "interval_out_of_range",
                    "retorque",
                    f"A retorque from {window.from_m} m by {window.by_m} m: each must start above 0 and after the one "
                    "before it, and end at or after its start.",
                )
            least_m = window.from_m

    def _months(self) -> Iterator[tuple[str, int | None]]:
        yield "pressure_check_months", self.pressure_check_months
        yield "tire_inspection_from_months", self.tire_inspection_from_months
        yield "tire_inspection_every_months", self.tire_inspection_every_months
        yield "tire_replacement_months", self.tire_replacement_months
        yield "weigh_months", self.weigh_months
