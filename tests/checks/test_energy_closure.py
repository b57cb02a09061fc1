"""The integrator against closed forms, and every joule booked: to 1e-6."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.evaporation import Stir
from stations.trade.fuels import Fuel, fire_of
from stations.trade.heat import Bath, advance, coast_down, heat_up, pour, stored_j
from stations.trade.hide import Hog
from stations.trade.losses import Exposure, LossCurve, dry_surface_w_m2, loss_curve
from stations.trade.scald import Bucket, Dip, dip_curve
from stations.trade.vessels import FARM_VAT, PLANK_TROUGH
from stations.trade.water import Air, enthalpy_j_kg

HEAT_J_KG_K = 4185.0


def _newton_curve(loss_w_k, air_c):
    """A vessel that loses in proportion to its excess over the air, and evaporates nothing."""
    rows = tuple(
        (loss_w_k * (t - air_c), 0.0, 0.0, HEAT_J_KG_K * t, HEAT_J_KG_K)
        for t in (0.5 * i for i in range(201))
    )
    return LossCurve(low=0.0, step=0.5, rows=rows)


@given(
    start=st.floats(5.0, 95.0),
    air=st.floats(0.0, 40.0),
    loss=st.floats(5.0, 400.0),
    power=st.floats(0.0, 5000.0),
    mass=st.floats(50.0, 500.0),
)
@settings(deadline=None, max_examples=60)
def test_newtons_cooling_agrees_with_its_closed_form(start, air, loss, power, mass):
    """T = Te + (T0 - Te) exp(-U t/C), Te = Ta + P/U (any text on heat transfer)."""
    even = air + power / loss
    if even > 99.0:
        return
    capacity = mass * HEAT_J_KG_K + 20_000.0
    curve, bath = _newton_curve(loss, air), Bath(water_c=start, water_kg=mass)
    for _ in range(60):
        bath = advance(bath, seconds=30.0, power_w=power, curve=curve, wall_j_k=20_000.0)
    closed = even + (start - even) * math.exp(-loss * 1800.0 / capacity)
    assert bath.water_c == pytest.approx(closed, rel=1e-6)
    stored = capacity * (bath.water_c - start)
    booked = bath.added_j - bath.dry_j
    scale = capacity * max(1.0, abs(start - even))
    assert abs(stored - booked) < 1e-6 * scale


@given(
    water=st.floats(20.0, 90.0),
    air=st.floats(-10.0, 35.0),
    humidity=st.floats(0.0, 1.0),
    wind=st.floats(0.0, 5.0),
    power=st.floats(0.0, 20_000.0),
)
@settings(deadline=None, max_examples=25)
def test_every_joule_of_a_real_vessel_is_booked(water, air, humidity, wind, power):
    """Stored heat changes by fire less dry losses less the vapour's whole enthalpy."""
    exposure = Exposure(air=Air(temp_c=air, humidity=humidity, wind_m_s=wind))
    start = Bath(water_c=water, water_kg=300.0)
    end = coast_down(FARM_VAT, bath=start, exposure=exposure, seconds=900.0, power_w=power)
    wall = FARM_VAT.wall_j_k
    stored = stored_j(end, wall_j_k=wall) - stored_j(start, wall_j_k=wall)
    moved = end.added_j + end.vapour_j + abs(end.dry_j) + 1e6
    assert abs(stored - (end.added_j - end.dry_j - end.vapour_j)) < 1e-6 * moved


def test_a_heat_up_closes():
    exposure = Exposure(air=Air(temp_c=10.0, humidity=0.6, wind_m_s=1.0))
    fire = fire_of(Fuel.PROPANE, rated_w=80_000.0)
    done = heat_up(
        PLANK_TROUGH, water_kg=400.0, start_c=15.0, target_c=70.0, exposure=exposure, fire=fire
    )
    wall = PLANK_TROUGH.wall_j_k
    before = stored_j(Bath(water_c=15.0, water_kg=400.0), wall_j_k=wall)
    stored = stored_j(done.end, wall_j_k=wall) - before
    left = done.end.added_j - done.end.dry_j - done.end.vapour_j
    assert stored == pytest.approx(left, rel=1e-6)
    assert done.heat_j == pytest.approx(fire.useful_w * done.seconds, rel=1e-9)


def test_a_dip_closes_with_hog_film_and_buckets():
    air = Air(temp_c=5.0, humidity=0.6, wind_m_s=1.0)
    hog = Hog(live_kg=125.0)
    dip = Dip(
        vessel=FARM_VAT,
        water_kg=250.0,
        exposure=Exposure(air=air, stir=Stir.DISTURBED),
        hog=hog,
        power_w=3000.0,
    )
    bucket = Bucket(kg=10.0, water_c=95.0, at_s=200.0)
    curve = dip_curve(dip, strike_c=68.0, seconds=480.0, buckets=(bucket,))
    wall = FARM_VAT.wall_j_k
    before = stored_j(Bath(water_c=68.0, water_kg=250.0), wall_j_k=wall)
    stored = stored_j(curve.end, wall_j_k=wall) - before
    brought = hog.film_kg * enthalpy_j_kg(hog.film_c) + 10.0 * enthalpy_j_kg(95.0)
    added = brought + 3000.0 * 480.0 - curve.hog_j
    assert curve.end.added_j == pytest.approx(added, rel=1e-9)
    assert stored == pytest.approx(added - curve.end.dry_j - curve.end.vapour_j, rel=1e-6)


def test_mixing_agrees_with_the_closed_form():
    """Equal heat capacities: the weighted mean, to the small bend of the enthalpy."""
    mixed = pour(Bath(water_c=60.0, water_kg=150.0), water_kg=50.0, water_c=80.0, wall_j_k=0.0)
    assert mixed.water_c == pytest.approx(65.0, abs=0.02)
    left = 150.0 * enthalpy_j_kg(60.0) + 50.0 * enthalpy_j_kg(80.0)
    assert stored_j(mixed, wall_j_k=0.0) == pytest.approx(left, rel=1e-9)


@pytest.mark.parametrize(("wind", "kelvin_a_minute"), [(2.0, 0.44), (0.0, 0.17)])
def test_coast_down_of_a_bare_surface(wind, kelvin_a_minute):
    """300 kg, 6 x 2.5 ft, walls ignored: 0.44 and 0.17 K/min (computed)."""
    curve = loss_curve(FARM_VAT, Exposure(air=Air(temp_c=10.0, humidity=0.6, wind_m_s=wind)))
    air = Air(temp_c=10.0, humidity=0.6, wind_m_s=wind)
    sides = FARM_VAT.side_m2 * dry_surface_w_m2(62.8, air, plate_m=FARM_VAT.plate_m)
    surface = (curve.at(62.8).total_w - sides) * 1.394 / FARM_VAT.surface_m2
    assert 60 * surface / (300.0 * 4185.0) == pytest.approx(kelvin_a_minute, abs=0.01)
