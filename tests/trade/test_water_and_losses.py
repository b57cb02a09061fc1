"""Properties, evaporation and losses: order, limits and refusals."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade import water
from stations.trade.errors import OutOfRange
from stations.trade.evaporation import (
    Evaporation,
    Stir,
    evaporation_band_w_m2,
    evaporation_w_m2,
)
from stations.trade.losses import (
    Exposure,
    Lid,
    convection_w_m2,
    dry_surface_w_m2,
    loss_curve,
    losses_at,
    natural_convection_w_m2_k,
)
from stations.trade.sources import Trust
from stations.trade.vessels import FARM_VAT
from stations.trade.water import Air


@pytest.mark.parametrize("temp_c", [0.0, 101.5, -5.0, float("nan")])
@pytest.mark.parametrize(
    "ask",
    [
        water.saturation_pressure_pa,
        water.density_kg_m3,
        water.enthalpy_j_kg,
        water.latent_heat_j_kg,
    ],
)
def test_water_outside_its_range_is_refused(ask, temp_c):
    with pytest.raises(OutOfRange, match="Water temperature"):
        ask(temp_c)


@given(st.floats(0.5, 100.5))
@settings(deadline=None)
def test_hotter_water_has_more_pressure_and_heat_and_less_latent_heat(temp_c):
    more = temp_c + 0.5
    assert water.saturation_pressure_pa(more) > water.saturation_pressure_pa(temp_c)
    assert water.enthalpy_j_kg(more) > water.enthalpy_j_kg(temp_c)
    assert water.latent_heat_j_kg(more) < water.latent_heat_j_kg(temp_c)


@given(st.floats(-100.0, 3900.0))
@settings(deadline=None, max_examples=30)
def test_water_boils_cooler_higher_up(altitude_m):
    assert water.boiling_point_c(altitude_m + 100.0) < water.boiling_point_c(altitude_m)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("temp_c", 60.0),
        ("humidity", 60.0),
        ("wind_m_s", -1.0),
        ("altitude_m", 9000.0),
    ],
)
def test_impossible_air_is_refused(name, value):
    with pytest.raises(OutOfRange):
        Air(**({"temp_c": 10.0, "humidity": 0.6} | {name: value}))


@given(
    water_c=st.floats(20.0, 75.0), humidity=st.floats(0.0, 1.0), wind=st.floats(0.0, 8.0),
    formula=st.sampled_from(Evaporation),
)  # fmt: skip
@settings(deadline=None)
def test_more_wind_and_hotter_water_evaporate_more(water_c, humidity, wind, formula):
    air = Air(temp_c=10.0, humidity=humidity, wind_m_s=wind)
    windier = Air(temp_c=10.0, humidity=humidity, wind_m_s=wind + 1.0)
    now = evaporation_w_m2(water_c, air, formula=formula)
    assert evaporation_w_m2(water_c + 1.0, air, formula=formula) > now
    assert evaporation_w_m2(water_c, windier, formula=formula) > now
    low, high = evaporation_band_w_m2(water_c, air)
    assert low <= now <= high


def test_water_colder_than_the_dew_point_is_not_credited():
    assert evaporation_w_m2(5.0, Air(temp_c=30.0, humidity=0.9)) == 0.0


def test_formulas_that_run_away_near_the_boil_refuse():
    air = Air(temp_c=10.0, humidity=0.6)
    for formula in (Evaporation.DRYING, Evaporation.RYAN_HARLEMAN):
        with pytest.raises(OutOfRange, match="Vapour pressure"):
            evaporation_w_m2(95.0, air, formula=formula)
    assert evaporation_w_m2(95.0, air) > 0.0


def test_no_water_is_hotter_than_its_boil():
    with pytest.raises(OutOfRange, match="open vessel"):
        evaporation_w_m2(95.0, Air(temp_c=10.0, humidity=0.6, altitude_m=2000.0))


def test_the_formula_from_memory_says_so_and_is_not_the_default():
    assert Evaporation.RYAN_HARLEMAN.source.trust is Trust.MEMORY
    assert Exposure(air=Air(temp_c=10.0, humidity=0.6)).formula.source.trust is Trust.PUBLISHED


def test_no_draught_rises_from_cold_water():
    air = Air(temp_c=20.0, humidity=0.5)
    assert natural_convection_w_m2_k(15.0, air, plate_m=0.27) == 0.0
    assert convection_w_m2(15.0, air, plate_m=0.27) < 0.0
    assert dry_surface_w_m2(20.0, air, plate_m=0.27) == 0.0


def test_a_perfect_lid_stops_the_vapour_and_a_partial_one_most_of_it():
    air = Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)
    bare = losses_at(FARM_VAT, Exposure(air=air), 65.0)
    shut = losses_at(FARM_VAT, Exposure(air=air, lid=Lid(covers=1.0)), 65.0)
    most = losses_at(FARM_VAT, Exposure(air=air, lid=Lid(covers=0.9)), 65.0)
    assert shut.latent_w == 0.0
    assert most.latent_w == pytest.approx(0.1 * bare.latent_w)
    assert shut.total_w < most.total_w < 0.6 * bare.total_w


def test_evaporation_dominates_an_open_trough():
    air = Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)
    loss = losses_at(FARM_VAT, Exposure(air=air), 62.8)
    assert loss.latent_w > loss.dry_w


def test_a_disturbed_surface_evaporates_more_than_a_still_one():
    air = Air(temp_c=10.0, humidity=0.6)
    found = [losses_at(FARM_VAT, Exposure(air=air, stir=stir), 62.8).latent_w for stir in Stir]
    assert found == sorted(found)
    assert found[2] / found[0] == pytest.approx(1.26 / 0.74)


@given(st.floats(0.5, 80.0))
@settings(deadline=None, max_examples=40)
def test_the_curve_reads_as_the_losses_do(water_c):
    exposure = Exposure(air=Air(temp_c=10.0, humidity=0.6, wind_m_s=1.0))
    curve = loss_curve(FARM_VAT, exposure)
    exact = losses_at(FARM_VAT, exposure, water_c).total_w
    assert curve.at(water_c).total_w == pytest.approx(exact, rel=2e-3, abs=2.0)


def test_a_curve_ends_where_its_formula_does():
    exposure = Exposure(air=Air(temp_c=10.0, humidity=0.6), formula=Evaporation.DRYING)
    curve = loss_curve(FARM_VAT, exposure)
    assert 75.0 < curve.high < 85.0
    with pytest.raises(OutOfRange, match="open vessel"):
        curve.row(90.0)


@pytest.mark.parametrize("factor", [0.0, 6.0])
def test_an_absurd_factor_is_refused(factor):
    with pytest.raises(OutOfRange, match="Evaporation factor"):
        Exposure(air=Air(temp_c=10.0, humidity=0.6), factor=factor)
