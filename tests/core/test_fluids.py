"""What must hold of every fluid aboard."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from axlewright.core.errors import OutOfRange
from axlewright.core.loads.fluids import COLDEST_K, HOTTEST_K, contents, density, level_doubt
from axlewright.core.rig import Fluid, Tank


@given(st.sampled_from(Fluid), st.floats(COLDEST_K + 4.1, HOTTEST_K - 1))
def test_above_the_densest_water_warmer_is_lighter(fluid: Fluid, temperature_k: float) -> None:
    assert density(fluid, temperature_k + 1).kg_per_m3 < density(fluid, temperature_k).kg_per_m3


@pytest.mark.parametrize("temperature_k", [COLDEST_K - 0.01, HOTTEST_K + 0.01])
def test_a_temperature_without_a_formula_is_refused(temperature_k: float) -> None:
    with pytest.raises(OutOfRange, match=r"273\.15 K to 323\.15 K"):
        density(Fluid.WATER, temperature_k)


def test_contents_carry_the_doubts_of_density_and_level() -> None:
    tank = Tank("fuel", Fluid.DIESEL, 0.2, 0.0, 0.0)
    # By hand at 15 degC: half of 200 l at 848 kg/m3 are 84.8 kg; 0.1 m3 x 56 / sqrt(12) = 1.617 kg of density and
    # 0.2 m3 x 848 x 0.05 = 8.48 kg of level make 8.633 kg.
    held = contents(tank, 0.5, 0.05, 288.15)
    assert (held.mass_kg, held.u_kg) == (pytest.approx(84.8), pytest.approx(8.633, abs=0.001))


@pytest.mark.parametrize(
    ("fluid", "mass_kg"),
    # By hand: 0.1 m3 of water at 4 degC; of propane 80 % of that volume is filled, at 522.9/506.7 of 503.27 kg/m3.
    [(Fluid.WATER, 99.997), (Fluid.PROPANE, 41.5)],
)
def test_a_capacity_is_doubtful_by_two_per_cent_of_what_is_held_beside_density_and_level(
    fluid: Fluid, mass_kg: float
) -> None:
    tank = Tank("tank", fluid, 0.1, 0.0, 0.0)
    full, half = (contents(tank, level, 0.0, 277.15) for level in (1.0, 0.5))
    assert full.mass_kg == pytest.approx(mass_kg, rel=0.002)
    assert full.capacity_u_kg == pytest.approx(0.02 * mass_kg, rel=0.002)
    assert half.capacity_u_kg == pytest.approx(full.capacity_u_kg / 2)
    assert half.u_kg == pytest.approx(0.05 * density(fluid, 277.15).u * (0.8 if fluid is Fluid.PROPANE else 1.0))


def test_a_level_told_by_eye_is_less_sure_than_full_or_empty() -> None:
    assert level_doubt(0.5) > level_doubt(1.0) == level_doubt(0.0) > 0.0
