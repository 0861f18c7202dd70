"""Gauge readings at other temperatures and altitudes: worked figures and the laws of the ideal gas."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.atmosphere import pressure_pa
from axlewright.core.inflation.gas import gauge_at

PSI_PA = 6894.757293168361

gauges_pa = st.floats(50_000.0, 1_000_000.0)
temperatures_k = st.floats(230.0, 370.0)
altitudes_m = st.floats(-400.0, 5_000.0)


def psi_at(psi: float, fahrenheit: float, feet: float, to_fahrenheit: float, to_feet: float) -> float:
    """Return the gauge reading [psi] after a change of temperature [degF] and altitude [ft]."""
    return (
        gauge_at(
            psi * PSI_PA,
            (fahrenheit + 459.67) / 1.8,
            feet * 0.3048,
            (to_fahrenheit + 459.67) / 1.8,
            to_feet * 0.3048,
        )
        / PSI_PA
    )


# Hand: (p + 14.6959) (t2 + 459.67)/(t1 + 459.67) - 14.6959, temperatures in degF.
#   80 at 70 -> 20:   94.6959 x 479.67/529.67 - 14.6959 = 71.0609
#   35 at 70 -> 20:   49.6959 x 479.67/529.67 - 14.6959 = 30.3088
#   110 at 70 -> 20: 124.6959 x 479.67/529.67 - 14.6959 = 98.2289
#   80 at 70 -> 150:  94.6959 x 609.67/529.67 - 14.6959 = 94.3026
#   110 at 60 -> 140: 124.6959 x 599.67/519.67 - 14.6959 = 129.1962
#   65 at 70 -> 110:  79.6959 x 569.67/529.67 - 14.6959 = 71.0185
#   80 at 70 -> 60:   94.6959 x 519.67/529.67 - 14.6959 = 78.2122, 1.79 less
@pytest.mark.parametrize(
    ("psi", "fahrenheit", "to_fahrenheit", "worked_psi"),
    [
        (80, 70, 20, 71.0609),
        (35, 70, 20, 30.3088),
        (110, 70, 20, 98.2289),
        (80, 70, 150, 94.3026),
        (110, 60, 140, 129.1962),
        (65, 70, 110, 71.0185),
        (80, 70, 60, 78.2122),
    ],
)
def test_gauge_follows_absolute_temperature(
    psi: float, fahrenheit: float, to_fahrenheit: float, worked_psi: float
) -> None:
    assert psi_at(psi, fahrenheit, 0, to_fahrenheit, 0) == pytest.approx(worked_psi, abs=0.0002)


# Hand: p + ambient here - ambient there; ambient of the U.S. Standard Atmosphere, 1976: 14.6959 psia at sea
# level, 12.2283 at 5000 ft, 10.1084 at 10 000 ft.
#   80 to 5000 ft:    80 + 14.6959 - 12.2283 = 82.4676
#   80 to 10 000 ft:  80 + 14.6959 - 10.1084 = 84.5875
#   80 at 5000 ft down to sea level: 80 + 12.2283 - 14.6959 = 77.5324
@pytest.mark.parametrize(
    ("feet", "to_feet", "worked_psi"), [(0, 5000, 82.4676), (0, 10000, 84.5875), (5000, 0, 77.5324)]
)
def test_gauge_rises_by_what_the_ambient_pressure_falls(feet: float, to_feet: float, worked_psi: float) -> None:
    assert psi_at(80, 70, feet, 70, to_feet) == pytest.approx(worked_psi, abs=0.0002)


# Hand, in bar with 1.01325 bar ambient: (2.5 + 1.01325) x 273.15/293.15 - 1.01325 = 2.26031;
# (4.5 + 1.01325) x 268.15/293.15 - 1.01325 = 4.02983; (5.5 + 1.01325) x 313.15/293.15 - 1.01325 = 5.94436.
@pytest.mark.parametrize(
    ("bar", "to_celsius", "worked_bar"), [(2.5, 0, 2.26031), (4.5, -5, 4.02983), (5.5, 40, 5.94436)]
)
def test_gauge_in_bar_and_celsius(bar: float, to_celsius: float, worked_bar: float) -> None:
    translated_pa = gauge_at(bar * 1e5, 293.15, 0.0, to_celsius + 273.15, 0.0)
    assert translated_pa / 1e5 == pytest.approx(worked_bar, abs=0.000011)


def test_a_warm_yard_and_a_cold_pass_work_together() -> None:
    """Hand: 95 psi at 95 degF, 600 ft to 41 degF, 5200 ft; p = 14.6959 (1 - 6.8754e-6 h)^5.2559.

    600 ft: 14.6959 x 0.995875^5.2559 = 14.38005; 5200 ft: 14.6959 x 0.964248^5.2559 = 12.13650;
    (95 + 14.38005) x 500.67/554.67 - 12.13650 = 98.73134 - 12.13650 = 86.5948.
    """
    assert psi_at(95, 95, 600, 41, 5200) == pytest.approx(86.5948, abs=0.001)


@given(gauges_pa, temperatures_k, altitudes_m, temperatures_k, altitudes_m)
def test_translating_there_and_back_is_the_identity(
    gauge_pa: float, here_k: float, here_m: float, there_k: float, there_m: float
) -> None:
    there_pa = gauge_at(gauge_pa, here_k, here_m, there_k, there_m)
    assert gauge_at(there_pa, there_k, there_m, here_k, here_m) == pytest.approx(gauge_pa, rel=1e-9)


@given(gauges_pa, temperatures_k, altitudes_m, temperatures_k, altitudes_m, temperatures_k, altitudes_m)
def test_translating_by_way_of_a_third_place_changes_nothing(
    gauge_pa: float, here_k: float, here_m: float, way_k: float, way_m: float, there_k: float, there_m: float
) -> None:
    direct_pa = gauge_at(gauge_pa, here_k, here_m, there_k, there_m)
    on_the_way_pa = gauge_at(gauge_pa, here_k, here_m, way_k, way_m)
    assert gauge_at(on_the_way_pa, way_k, way_m, there_k, there_m) == pytest.approx(direct_pa, rel=1e-9, abs=1e-3)


@given(gauges_pa, temperatures_k, altitudes_m, st.lists(temperatures_k, min_size=2, max_size=2).map(sorted))
def test_colder_never_reads_higher_at_one_altitude(
    gauge_pa: float, here_k: float, here_m: float, colder_and_warmer_k: list[float]
) -> None:
    colder_k, warmer_k = colder_and_warmer_k
    colder_pa = gauge_at(gauge_pa, here_k, here_m, colder_k, here_m)
    assert colder_pa <= gauge_at(gauge_pa, here_k, here_m, warmer_k, here_m)


@given(gauges_pa, temperatures_k, st.lists(altitudes_m, min_size=2, max_size=2).map(sorted))
def test_higher_never_reads_lower_at_one_temperature(
    gauge_pa: float, here_k: float, lower_and_higher_m: list[float]
) -> None:
    lower_m, higher_m = lower_and_higher_m
    assert gauge_at(gauge_pa, here_k, lower_m, here_k, higher_m) >= gauge_pa * (1 - 1e-12)


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        ((500_000.0, 0.0, 0.0, 290.0, 0.0), "temperature_k"),
        ((500_000.0, -5.0, 0.0, 290.0, 0.0), "temperature_k"),
        ((500_000.0, nan, 0.0, 290.0, 0.0), "temperature_k"),
        ((500_000.0, 290.0, 0.0, 0.0, 0.0), "to_temperature_k"),
        ((500_000.0, 290.0, 0.0, inf, 0.0), "to_temperature_k"),
        ((-101_325.0, 290.0, 0.0, 280.0, 0.0), "gauge_pa"),
        ((nan, 290.0, 0.0, 280.0, 0.0), "gauge_pa"),
        ((inf, 290.0, 0.0, 280.0, 0.0), "gauge_pa"),
        ((500_000.0, 290.0, 12_000.0, 280.0, 0.0), "altitude_m"),
        ((500_000.0, 290.0, 0.0, 280.0, -3_000.0), "altitude_m"),
    ],
)
def test_what_no_gas_can_be_is_refused(arguments: tuple[float, float, float, float, float], field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        gauge_at(*arguments)
    assert refusal.value.field == field


def test_a_gauge_just_above_vacuum_is_still_a_gas() -> None:
    """Identity: at the same temperature and place nothing changes."""
    assert gauge_at(-101_000.0, 290.0, 0.0, 290.0, 0.0) == pytest.approx(-101_000.0, abs=1e-6)
    assert pressure_pa(0.0) - 101_000.0 == pytest.approx(325.0)
