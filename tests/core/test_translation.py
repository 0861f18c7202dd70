"""What must hold of every translation."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.errors import OutOfRange
from axlewright.core.inflation.translation import TireState, translated

gauges_pa = st.floats(50_000.0, 1_000_000.0)
states = st.builds(TireState, st.floats(230.0, 370.0), st.floats(-400.0, 5_000.0))


@given(gauges_pa, states, states)
def test_there_and_back_is_the_identity(gauge_pa: float, here: TireState, there: TireState) -> None:
    back = translated(translated(gauge_pa, here, there).gauge_pa, there, here)
    assert back.gauge_pa == pytest.approx(gauge_pa, rel=1e-12, abs=1e-6)


@given(gauges_pa, states, states)
def test_the_parts_add_up_to_the_change(gauge_pa: float, here: TireState, there: TireState) -> None:
    answer = translated(gauge_pa, here, there)
    assert gauge_pa + answer.by_temperature_pa + answer.by_altitude_pa == pytest.approx(answer.gauge_pa, abs=1e-6)
    assert (answer.by_temperature_pa < -1e-6) <= (there.tire_temperature_k < here.tire_temperature_k)
    assert (answer.by_altitude_pa < -1e-6) <= (there.altitude_m < here.altitude_m)


@given(gauges_pa, states, states, st.floats(100.0, 5_000.0), st.floats(0.0, 5.0))
def test_the_doubt_is_that_of_a_slightly_different_reading(
    gauge_pa: float, here: TireState, there: TireState, gauge_u_pa: float, temperature_u_k: float
) -> None:
    """Identity: to first order, the two changes at right angles."""
    answer = translated(gauge_pa, here, there, gauge_u_pa=gauge_u_pa, temperature_u_k=temperature_u_k)
    by_gauge_pa = translated(gauge_pa + gauge_u_pa, here, there).gauge_pa - answer.gauge_pa
    step_k = 1e-3
    warmer = TireState(here.tire_temperature_k + step_k, here.altitude_m)
    per_kelvin_pa = (translated(gauge_pa, warmer, there).gauge_pa - answer.gauge_pa) / step_k
    assert answer.u_pa == pytest.approx((by_gauge_pa**2 + (per_kelvin_pa * temperature_u_k) ** 2) ** 0.5, rel=1e-4)


@pytest.mark.parametrize(
    ("gauge_u_pa", "temperature_u_k", "field"),
    [
        (-1.0, 0.0, "gauge_u_pa"),
        (inf, 0.0, "gauge_u_pa"),
        (1.0, -0.5, "temperature_u_k"),
        (1.0, nan, "temperature_u_k"),
    ],
)
def test_an_impossible_doubt_is_refused(gauge_u_pa: float, temperature_u_k: float, field: str) -> None:
    state = TireState(290.0, 0.0)
    with pytest.raises(OutOfRange) as refusal:
        translated(500e3, state, state, gauge_u_pa=gauge_u_pa, temperature_u_k=temperature_u_k)
    assert refusal.value.field == field
