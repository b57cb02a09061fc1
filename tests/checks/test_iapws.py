"""Water and steam against a second formulation and program: IAPWS-IF97 as the iapws package.

Our values are IAPWS-95 through CoolProp; the two standards differ by about 0.05 %.
"""

import pytest
from iapws import IAPWS97  # type: ignore[import-untyped]  # ships no type stubs

from stations.trade import water

ATMOSPHERE_MPA = 0.101325


@pytest.mark.parametrize("temp_c", [5.0, 15.0, 20.0, 40.0, 60.0, 62.8, 65.6, 80.0, 95.0])
def test_liquid_water_agrees_with_iapws97(temp_c):
    other = IAPWS97(T=temp_c + 273.15, P=ATMOSPHERE_MPA)
    assert water.water().heat_j_kg_k.at(temp_c) == pytest.approx(1000 * other.cp, rel=1e-3)
    assert water.density_kg_m3(temp_c) == pytest.approx(other.rho, rel=2e-5)
    assert water.enthalpy_j_kg(temp_c) == pytest.approx(1000 * other.h, rel=1e-3)


@pytest.mark.parametrize(
    ("temp_c", "saturation_pa"),
    [
        (15.0, 1705.7),
        (20.0, 2339.2),
        (25.0, 3169.7),
        (60.0, 19945.8),
        (62.8, 22677.5),
        (65.6, 25720.8),
        (100.0, 101418.0),
    ],
)
def test_saturation_pressure_agrees_with_iapws97(temp_c, saturation_pa):
    assert water.saturation_pressure_pa(temp_c) == pytest.approx(saturation_pa, rel=2e-4)
    assert pytest.approx(saturation_pa, rel=1e-4) == 1e6 * IAPWS97(T=temp_c + 273.15, x=0).P


@pytest.mark.parametrize(
    ("temp_c", "latent_kj_kg"),
    [(15.0, 2465.38), (60.0, 2357.69), (62.8, 2350.84), (65.6, 2343.95), (100.0, 2256.47)],
)
def test_latent_heat_agrees_with_iapws97(temp_c, latent_kj_kg):
    assert water.latent_heat_j_kg(temp_c) / 1000 == pytest.approx(latent_kj_kg, rel=1e-4)


@pytest.mark.parametrize(
    ("temp_c", "kg_m3"), [(15.0, 999.101), (20.0, 998.206), (60.0, 983.211), (62.8, 981.747)]
)
def test_density_agrees_with_iapws97(temp_c, kg_m3):
    assert water.density_kg_m3(temp_c) == pytest.approx(kg_m3, rel=2e-5)


def test_cp_at_60_agrees_with_both_standards():
    """IF97 4.18276 and IAPWS-95 4.18495 kJ/kgK differ by 0.05 %."""
    found = water.water().heat_j_kg_k.at(60.0)
    assert found == pytest.approx(4184.95, rel=2e-5)
    assert found == pytest.approx(4182.76, rel=1e-3)
