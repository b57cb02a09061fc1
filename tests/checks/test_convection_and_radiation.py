"""Natural convection and radiation over a 1.83 x 0.76 m trough against the ht package."""

import ht
import pytest

from stations.trade.losses import (
    Exposure,
    dry_surface_w_m2,
    losses_at,
    natural_convection_w_m2_k,
    radiation_w_m2,
    wind_convection_w_m2_k,
)
from stations.trade.vessels import open_trough
from stations.trade.water import Air

CALM = Air(temp_c=10.0, humidity=0.6)
WINDY = Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)
PLATE_M = 1.83 * 0.76 / (2 * (1.83 + 0.76))


def test_natural_convection_agrees_with_mcadams():
    """Ra 8.241e7, Nu 65.28, h 6.586 W/m2K, 347.7 W/m2 with L = 0.2685 m, film 36.4 degC."""
    assert pytest.approx(0.2685, abs=5e-5) == PLATE_M
    found = natural_convection_w_m2_k(62.8, CALM, plate_m=PLATE_M)
    assert found == pytest.approx(6.586, rel=5e-3)
    assert 52.8 * found == pytest.approx(347.7, rel=5e-3)
    nusselt = ht.Nu_horizontal_plate_McAdams(0.7056, 8.241e7 / 0.7056, buoyancy=True)
    assert nusselt == pytest.approx(65.28, abs=0.01)
    assert found * PLATE_M / 0.02709 == pytest.approx(nusselt, rel=5e-3)


def test_radiation_agrees():
    """339.91 W/m2; the package holds an older Stefan-Boltzmann constant, 1.3e-6 smaller."""
    assert radiation_w_m2(62.8, surroundings_c=10.0) == pytest.approx(339.91, abs=0.01)
    second = ht.q_rad(0.95, 335.95, 283.15)  # type: ignore[arg-type]  # its stub says int
    assert radiation_w_m2(62.8, surroundings_c=10.0) == pytest.approx(second, rel=2e-6)


def test_sensible_heat_agrees_with_the_rounded_bowen_ratio():
    """0.665e-3 p (from memory, everyday temperatures) gives 873.1 W/m2 at 2 m/s."""
    found = 52.8 * wind_convection_w_m2_k(62.8, WINDY)
    assert found == pytest.approx(873.1, rel=0.05)


def test_the_open_surface_loses_about_nine_kilowatts_in_wind():
    """6 x 2.5 ft, 2 m/s: 9.20 kW from surface alone (computed), the sides on top of it."""
    trough = open_trough(length_m=1.829, width_m=0.762, depth_m=0.6)
    loss = losses_at(trough, Exposure(air=WINDY), 62.8)
    sides = trough.side_m2 * dry_surface_w_m2(62.8, WINDY, plate_m=trough.plate_m)
    assert loss.total_w - sides == pytest.approx(9200.0, rel=0.01)
