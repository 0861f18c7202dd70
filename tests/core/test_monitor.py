"""What must hold of every set point."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.gas import gauge_at
from axlewright.core.inflation.monitor import (
    Gap,
    LowFrom,
    MonitorPolicy,
    SetPoints,
    sealed_points,
    sealed_reading_pa,
    sealed_shortfall_pa,
    set_points,
)
from axlewright.core.policy import Fill, Soak

pressures_pa = st.lists(st.floats(200e3, 900e3), min_size=3, max_size=3).map(sorted)
near_pa = st.tuples(st.floats(200e3, 600e3), st.floats(0.0, 100e3), st.floats(20e3, 400e3)).map(
    lambda each: [each[0], each[0] + each[1], each[0] + each[1] + each[2]]
)
fills = st.builds(Fill, st.floats(265.0, 330.0), st.floats(-100.0, 3_000.0), st.none() | st.floats(260.0, 310.0))
soaks = st.builds(Soak, st.floats(235.0, 300.0), st.floats(-100.0, 3_500.0))
altitudes_m = st.floats(-400.0, 5_000.0)


@given(pressures_pa, fills, soaks)
def test_the_low_set_point_never_lies_below_what_the_load_needs(
    rising_pa: list[float], fill: Fill, coldest: Soak
) -> None:
    least_pa, cold_pa, ceiling_pa = rising_pa
    points = set_points(cold_pa, least_pa, ceiling_pa, fill=fill, coldest=coldest)
    assert points.low_pa >= least_pa
    assert points.low_pa >= 0.9 * cold_pa
    assert points.low_pa in (least_pa, pytest.approx(0.9 * cold_pa))
    assert points.low_pa <= cold_pa < points.high_pa


@given(near_pa, fills, soaks)
def test_a_raised_fill_leaves_the_gap_and_a_lower_one_does_not(
    rising_pa: list[float], fill: Fill, coldest: Soak
) -> None:
    least_pa, cold_pa, ceiling_pa = rising_pa
    error_pa = MonitorPolicy().sensor_error_pa

    def gap_of(held_pa: float) -> float:
        shown = gauge_at(
            held_pa, fill.cold_temperature_k, fill.altitude_m, coldest.ambient_temperature_k, coldest.altitude_m
        )
        return shown - max(0.9 * held_pa, least_pa)

    points = set_points(cold_pa, least_pa, ceiling_pa, fill=fill, coldest=coldest)
    assert points.gap_pa == pytest.approx(gap_of(cold_pa), abs=1e-6)
    if points.gap is Gap.LEFT:
        assert gap_of(cold_pa) >= error_pa - 1e-2
    elif points.gap is Gap.RAISE_FILL:
        assert points.raise_to_pa is not None
        assert cold_pa * (1 - 1e-9) <= points.raise_to_pa <= ceiling_pa * (1 + 1e-8)
        assert gap_of(points.raise_to_pa) == pytest.approx(error_pa, abs=1e-2)
        assert gap_of(points.raise_to_pa - 10.0) < error_pa + 1e-2
    else:
        assert points.gap is Gap.NO_FILL
        assert all(gap_of(cold_pa + share * (ceiling_pa - cold_pa)) < error_pa + 1e-2 for share in (0.0, 0.5, 1.0))


@given(st.floats(100e3, 900e3), altitudes_m, altitudes_m)
def test_a_sealed_sensor_shows_too_little_only_above_its_reference(
    gauge_pa: float, altitude_m: float, reference_m: float
) -> None:
    shown = sealed_reading_pa(gauge_pa, altitude_m, reference_m)
    assert (shown < gauge_pa - 1e-6) <= (altitude_m > reference_m)
    assert (shown > gauge_pa + 1e-6) <= (altitude_m < reference_m)


@given(pressures_pa, st.lists(altitudes_m, min_size=3, max_size=3).map(sorted), altitudes_m)
def test_sealed_set_points_miss_nothing_between_the_altitudes(
    rising_pa: list[float], rising_m: list[float], reference_m: float
) -> None:
    least_pa, cold_pa, ceiling_pa = rising_pa
    lowest_m, between_m, highest_m = rising_m
    points = set_points(cold_pa, least_pa, ceiling_pa)
    sealed = sealed_points(points, lowest_m, highest_m, reference_altitude_m=reference_m)
    low_pa, high_pa = (
        shown - sealed_reading_pa(0.0, between_m, reference_m) for shown in (sealed.low_pa, sealed.high_pa)
    )
    assert low_pa >= points.low_pa - 1e-6
    assert high_pa <= points.high_pa + 1e-6
    assert sealed.low_pa - sealed_reading_pa(0.0, lowest_m, reference_m) == pytest.approx(points.low_pa)


def test_a_cold_morning_that_eats_the_gap_asks_for_more_air() -> None:
    """Hand, 293.15 K at sea level to 268.15 K: ratio 0.914719. 550 kPa shows 651.325 x 0.914719 - 101.325 = 494.455,
    under 495 = 0.9 x 550; with 6.894757 kPa for the sensor p (0.914719 - 0.9) = 6.894757 + 101.325 x 0.085281
    = 15.535852, p = 1055.5 kPa. With 5 K less cold, ratio 0.931775: p 0.031775 = 13.807663, p = 434.5 kPa: left.
    """
    fill, cold = Fill(293.15, 0.0), Soak(268.15, 0.0)
    points = set_points(550e3, 450e3, 690e3, fill=fill, coldest=cold)
    assert points.coldest_pa == pytest.approx(494_455, abs=1)
    assert points.gap_pa == pytest.approx(-545, abs=1)
    assert (points.gap, points.raise_to_pa) == (Gap.NO_FILL, None)
    roomy = set_points(550e3, 450e3, 1_100e3, fill=fill, coldest=cold)
    assert roomy.gap is Gap.RAISE_FILL
    assert roomy.raise_to_pa == pytest.approx(1_055_500, abs=200)
    assert set_points(550e3, 450e3, 690e3, fill=fill, coldest=Soak(273.15, 0.0)).gap is Gap.LEFT


def test_a_load_that_needs_nearly_all_of_it_sets_the_low_point() -> None:
    """Hand: 0.9 x 550 = 495 below 520 kPa. 293.15 to 283.15 K: ratio 0.965888; least that leaves 6.894757 kPa over
    520: (520 + 6.894757 + 101.325)/0.965888 - 101.325 = 549.081 kPa, so 550 leaves the gap and 545 does not.
    """
    fill, cold = Fill(293.15, 0.0), Soak(283.15, 0.0)
    points = set_points(550e3, 520e3, 690e3, fill=fill, coldest=cold)
    assert (points.low_pa, points.low_from, points.gap) == (520e3, LowFrom.LEAST_FOR_LOAD, Gap.LEFT)
    less = set_points(545e3, 520e3, 690e3, fill=fill, coldest=cold)
    assert less.raise_to_pa == pytest.approx(549_081, abs=2)


def test_a_cold_too_deep_for_the_share_may_still_leave_room_for_the_load() -> None:
    """Hand: 265 to 235 K and 0 to 2148 m (U.S. Standard Atmosphere: 78 048 Pa), ratio 0.886792: 200 kPa shows
    301.325 x 0.886792 - 78.048 = 189.164, 10.836 under the 200 that the load needs; (200 + 6.894757 + 78.048)/0.886792
    - 101.325 = 219.994 kPa shows 206.895, clear of 200 and of 0.9 x 219.994 = 197.995.
    """
    points = set_points(200e3, 200e3, 220e3, fill=Fill(265.0, 0.0), coldest=Soak(235.0, 2148.0))
    assert points.gap is Gap.RAISE_FILL
    assert points.raise_to_pa == pytest.approx(219_994, abs=20)
    assert set_points(200e3, 200e3, 219e3, fill=Fill(265.0, 0.0), coldest=Soak(235.0, 2148.0)).gap is Gap.NO_FILL


def test_common_practice_set_points_without_a_place() -> None:
    """Common practice, no source: 0.9 and 1.25 of the cold pressure, 70 degC."""
    assert set_points(600e3, 450e3, 690e3) == SetPoints(
        low_pa=540e3, low_from=LowFrom.SHARE_OF_COLD, high_pa=750e3, hot_k=343.15
    )


def test_what_is_left_of_the_gap_for_a_sealed_sensor_is_less_on_a_pass() -> None:
    """Published: U.S. Standard Atmosphere, 1976: 101 325 Pa at 0 m and 79 501 Pa at 2000 m, 21 824 Pa apart."""
    cold = Soak(283.15, 2000.0)
    points = set_points(600e3, 450e3, 690e3, fill=Fill(293.15, 0.0), coldest=cold)
    sealed = sealed_points(points, 0.0, 2000.0, coldest=cold)
    assert points.gap_pa is not None
    assert sealed.gap_pa == pytest.approx(points.gap_pa - 21_824, abs=1)
    assert sealed.low_pa == points.low_pa
    assert sealed.high_pa == pytest.approx(points.high_pa - 21_824, abs=1)
    assert sealed_points(points, 0.0, 2000.0).gap_pa is None


def test_a_sealed_sensors_shortfall_asks_for_more_air() -> None:
    """Hand: as above (500 + 6.894757 + 101.325) x 293.15/283.15 - 101.325 = 528.377 kPa leaves the gap over 500; on a
    pass at 2000 m (79.501 kPa of air) a sealed one needs (608.219757) x 1.035317 - 101.325: the same at any altitude.
    """
    fill, cold = Fill(293.15, 0.0), Soak(283.15, 2000.0)
    short_pa = sealed_shortfall_pa(0.0, 2000.0)
    sealed = set_points(510e3, 500e3, 690e3, fill=fill, coldest=cold, sealed_shortfall_pa=short_pa)
    assert sealed.raise_to_pa == pytest.approx(528_377, abs=5)
    vented = set_points(510e3, 500e3, 690e3, fill=fill, coldest=cold)
    assert vented.gap is Gap.LEFT
    at_ceiling = set_points(510e3, 500e3, 520e3, fill=fill, coldest=cold, sealed_shortfall_pa=short_pa)
    assert (at_ceiling.gap, at_ceiling.raise_to_pa) == (Gap.NO_FILL, None)
    assert at_ceiling.needed_pa == sealed.needed_pa


@pytest.mark.parametrize(
    ("rising_pa", "policy", "field"),
    [
        ((0.0, 500e3, 600e3), None, "cold_pa"),
        ((510e3, 500e3, 600e3), None, "cold_pa"),
        ((400e3, 610e3, 600e3), None, "cold_pa"),
        ((400e3, 500e3, inf), None, "cold_pa"),
        ((400e3, nan, 600e3), None, "cold_pa"),
        ((400e3, 500e3, 600e3), MonitorPolicy(low_share=1.0), "policy"),
        ((400e3, 500e3, 600e3), MonitorPolicy(high_share=1.0), "policy"),
        ((400e3, 500e3, 600e3), MonitorPolicy(hot_k=0.0), "policy"),
        ((400e3, 500e3, 600e3), MonitorPolicy(sensor_error_pa=-1.0), "policy"),
    ],
)
def test_impossible_set_points_are_refused(
    rising_pa: tuple[float, float, float], policy: MonitorPolicy | None, field: str
) -> None:
    least_pa, cold_pa, ceiling_pa = rising_pa
    with pytest.raises(OutOfRange) as refusal:
        set_points(cold_pa, least_pa, ceiling_pa, policy=policy)
    assert refusal.value.field == field


def test_crossed_altitudes_are_refused() -> None:
    with pytest.raises(OutOfRange, match="must not be above") as refusal:
        sealed_points(set_points(600e3, 450e3, 690e3), 1_000.0, 500.0)
    assert refusal.value.field == "lowest_altitude_m"
