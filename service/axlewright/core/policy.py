"""The caller's choices, with common-practice defaults; every number here is judgement unless it says otherwise."""

from enum import StrEnum

from msgspec import Struct


class LabelFloor(StrEnum):
    """For which vehicles the label's pressure is a floor.

    ``light_and_trailers``: trailers, and vehicles of up to 10,000 lb GVWR, for which 49 CFR 571.110 has the label
    state the pressure to use; a heavier vehicle's label stands for full axle ratings (49 CFR 571.120).
    """

    LIGHT_AND_TRAILERS = "light_and_trailers"
    ALWAYS = "always"
    NEVER = "never"


class Policy(Struct, frozen=True):
    """How loads are judged and pressures chosen.

    Attributes
    ----------
    coverage_factor
        k: loads are judged at L +- k u.
    tight_share
        What must be left of a limit for a load to be clear, as a share of the limit.
    reserve_share
        Load added before a pressure is chosen, as a share of it.
    reserve_pressure_pa
        Pressure [Pa] added to the least one for the load.
    rounding_step_pa
        Step [Pa] to which an estimated pressure is rounded up.
    label_floor
        For which vehicles the label's pressure is a floor.
    least_steering_share
        Least share of a motor vehicle's load on its first axle; common practice.
    tongue_shares, pin_shares
        Least and most share of a trailer's weight on its coupling: on a ball, on a kingpin; common practice, as makers'
        manuals have it.
    speed_m_per_s
        Most speed [m/s] at which the rig is driven, against the tires' speed symbols; None where it was not stated.
    interstate
        Whether the Federal limits of weight on the United States' Interstate System are judged too.
    """

    rounding_step_pa: float
    coverage_factor: float = 2.0
    tight_share: float = 0.05
    reserve_share: float = 0.0
    reserve_pressure_pa: float = 0.0
    label_floor: LabelFloor = LabelFloor.LIGHT_AND_TRAILERS
    least_steering_share: float = 0.20
    tongue_shares: tuple[float, float] = (0.10, 0.15)
    pin_shares: tuple[float, float] = (0.15, 0.25)
    speed_m_per_s: float | None = None
    interstate: bool = False


class Fill(Struct, frozen=True):
    """Where and when the tires are filled: the tire's temperature [K], the place's altitude [m].

    ``ambient_temperature_k`` is given where the tire is warm from running: its cold equivalent is then compared.
    """

    tire_temperature_k: float
    altitude_m: float
    ambient_temperature_k: float | None = None

    @property
    def cold_temperature_k(self) -> float:
        """The temperature [K] at which the filled tire counts as cold: its own, unless the air is colder."""
        if self.ambient_temperature_k is None:
            return self.tire_temperature_k
        return min(self.tire_temperature_k, self.ambient_temperature_k)


class Soak(Struct, frozen=True):
    """The coldest state before driving off: ambient temperature [K] after a night, altitude [m]."""

    ambient_temperature_k: float
    altitude_m: float


class Conditions(Struct, frozen=True):
    """Where the tires are filled, and the coldest place from then on; None where it was not given."""

    fill: Fill | None = None
    coldest: Soak | None = None
