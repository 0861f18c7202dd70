"""What a weigh ticket carries besides readings: what the display showed before, printed totals, the scale's seal."""

from datetime import date
from math import fsum

from msgspec import Struct

from axlewright.core.rig import CouplingState
from axlewright.core.units import RELATIVE_GUARD

SEAL_YEARS = 2
"""After so many years a seal is old; common practice: scales are inspected every year, or every second one."""


class PassTotal(Struct, frozen=True, gc=False):
    """The total [kg] printed for a pass, and the division [kg] in which it is printed.

    ``independent`` says that it was read by itself, and is no sum that somebody, or the scale, made of the readings.
    """

    value_kg: float
    division_kg: float
    independent: bool = False


class PassRecord(Struct, frozen=True, kw_only=True):
    """What was told of one pass: its readings [kg] with their divisions [kg], and what stands beside them.

    ``zero_seen`` is whether the empty platforms showed zero before it. None stands for what nobody told.
    """

    name: str
    readings_kg: tuple[float, ...]
    divisions_kg: tuple[float, ...]
    state: CouplingState = CouplingState.SOLO
    ticket: str | None = None
    time: str | None = None
    zero_seen: bool | None = None
    total: PassTotal | None = None

    @property
    def sum_kg(self) -> float:
        """What the readings add up to [kg]."""
        return fsum(self.readings_kg)

    @property
    def difference_kg(self) -> float | None:
        """How far a total [kg] that copies the readings lies from their sum; None without such a total."""
        if self.total is None or self.total.independent:
            return None
        difference_kg = abs(self.sum_kg - self.total.value_kg)
        return 0.0 if difference_kg <= RELATIVE_GUARD * max(self.sum_kg, self.total.value_kg) else difference_kg

    @property
    def rounding_kg(self) -> float:
        """How far a good total may lie from the sum [kg]: half a division of each, for they may be rounded apart.

        The total of one reading is that reading.

        >>> total = PassTotal(17660, 20)
        >>> axles = PassRecord(name="axles", readings_kg=(6340, 11300), divisions_kg=(20, 20), total=total)
        >>> axles.difference_kg, axles.rounding_kg, axles.total_agrees
        (20.0, 30.0, True)
        """
        if self.total is None or len(self.readings_kg) == 1:
            return 0.0
        return (fsum(self.divisions_kg) + self.total.division_kg) / 2

    @property
    def total_agrees(self) -> bool | None:
        """Whether rounding explains how far total and sum differ; None where no total copies the readings."""
        return None if self.difference_kg is None else self.difference_kg <= self.rounding_kg * (1 + RELATIVE_GUARD)


class SessionRecord(Struct, frozen=True, kw_only=True):
    """What was told of a weigh: its day and ticket, the scale's identity and the day of its seal, pass by pass."""

    passes: tuple[PassRecord, ...] = ()
    weighed_on: date | None = None
    ticket: str | None = None
    scale_identity: str | None = None
    sealed_on: date | None = None

    @property
    def doubtful(self) -> tuple[PassRecord, ...]:
        """The passes whose readings are not to be counted on: off zero, or at odds with their total."""
        return tuple(each for each in self.passes if each.zero_seen is False or each.total_agrees is False)

    @property
    def seal_is_old(self) -> bool:
        """Whether the scale was sealed more than `SEAL_YEARS` before the weigh, as far as both days are known.

        >>> SessionRecord(weighed_on=date(2026, 5, 14), sealed_on=date(2024, 5, 14)).seal_is_old
        False
        """
        if self.weighed_on is None or self.sealed_on is None:
            return False
        weighed, sealed = self.weighed_on, self.sealed_on
        return (sealed.year + SEAL_YEARS, sealed.month, sealed.day) < (weighed.year, weighed.month, weighed.day)
