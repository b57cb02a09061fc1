"""The open vessel: what it refuses, and what must be so whatever the weather."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.errors import OutOfRange
from stations.trade.fuels import Fire, Fuel, fire_of, fuel_kg
from stations.trade.heat import (
    Bath,
    coast_down,
    heat_up,
    hottest_c,
    pour,
    water_to_reach_kg,
)
from stations.trade.losses import Exposure, Lid
from stations.trade.vessels import FARM_VAT, PLANK_TROUGH
from stations.trade.water import Air

AIR = Air(temp_c=10.0, humidity=0.6, wind_m_s=1.0)
OPEN = Exposure(air=AIR)
FIRE = fire_of(Fuel.PROPANE, rated_w=60_000.0)


def _up(**changes):
    given_: dict[str, Any] = {  # each test changes the one it names
        "water_kg": 300.0,
        "start_c": 15.0,
        "target_c": 65.0,
        "exposure": OPEN,
        "fire": FIRE,
    }
    return heat_up(FARM_VAT, **(given_ | changes))


def test_a_heat_up_lands_on_its_target():
    done = _up()
    assert done.end.water_c == pytest.approx(65.0, abs=1e-6)
    assert done.temps_c[0] == 15.0
    assert list(done.temps_c) == sorted(done.temps_c)
    assert done.seconds == done.times_s[-1]


def test_without_losses_it_would_be_quicker_and_not_by_more_than_the_losses():
    ideal = 300.0 * 4184.0 * 50.0 / FIRE.useful_w
    assert ideal < _up().seconds < 1.6 * ideal


def test_water_already_hot_needs_no_time():
    done = _up(start_c=65.0)
    assert done.seconds == 0.0
    assert done.fuel_kg == 0.0


def test_a_small_fire_names_how_far_it_reaches():
    with pytest.raises(OutOfRange, match="what this fire reaches against these losses") as caught:
        _up(fire=Fire(fuel=Fuel.WOOD, rated_w=40_000.0, efficiency=0.12))
    reach = hottest_c(FARM_VAT, exposure=OPEN, power_w=4_800.0)
    assert caught.value.high == pytest.approx(reach)
    assert reach < 65.0


def test_a_fire_that_cannot_hold_cold_water_is_refused():
    dry = Exposure(air=Air(temp_c=-20.0, humidity=0.2, wind_m_s=8.0))
    with pytest.raises(OutOfRange, match="Fire"):
        hottest_c(FARM_VAT, exposure=dry, power_w=100.0)


def test_water_is_not_heated_past_the_boil_of_the_place():
    high = Exposure(air=Air(temp_c=10.0, humidity=0.6, altitude_m=3000.0))
    with pytest.raises(OutOfRange, match="Target temperature 95"):
        _up(target_c=95.0, exposure=high, fire=fire_of(Fuel.PROPANE, rated_w=300_000.0))


def test_a_lid_saves_time_and_fuel_and_a_wind_costs_them():
    lidded, calm = Exposure(air=AIR, lid=Lid()), Exposure(air=Air(temp_c=10.0, humidity=0.6))
    assert _up(exposure=lidded).fuel_kg < _up().fuel_kg
    assert _up(exposure=calm).seconds < _up().seconds


@given(
    water=st.floats(30.0, 90.0), wind=st.floats(0.0, 5.0), humidity=st.floats(0.0, 1.0),
    covers=st.floats(0.1, 1.0),
)  # fmt: skip
@settings(deadline=None, max_examples=25)
def test_water_cools_towards_the_air_and_a_lid_slows_it(water, wind, humidity, covers):
    air = Air(temp_c=10.0, humidity=humidity, wind_m_s=wind)
    bath = Bath(water_c=water, water_kg=200.0)
    bare = coast_down(FARM_VAT, bath=bath, exposure=Exposure(air=air), seconds=600.0)
    lid = Exposure(air=air, lid=Lid(covers=covers))
    lidded = coast_down(FARM_VAT, bath=bath, exposure=lid, seconds=600.0)
    assert 0.0 < bare.water_c < lidded.water_c < water
    assert bare.water_kg < lidded.water_kg <= 200.0


@given(
    start=st.floats(50.0, 70.0), rise=st.floats(0.0, 10.0), kg=st.floats(50.0, 500.0),
    wall=st.floats(0.0, 1e5),
)  # fmt: skip
@settings(deadline=None)
def test_the_water_to_reach_a_heat_reaches_it(start, rise, kg, wall):
    bath = Bath(water_c=start, water_kg=kg)
    hot = water_to_reach_kg(bath, wanted_c=start + rise, poured_c=95.0, wall_j_k=wall)
    assert pour(bath, water_kg=hot, water_c=95.0, wall_j_k=wall).water_c == pytest.approx(
        start + rise, abs=1e-6
    )


def test_cold_water_trims_down():
    bath = Bath(water_c=68.0, water_kg=200.0)
    cold = water_to_reach_kg(bath, wanted_c=65.0, poured_c=12.0, wall_j_k=0.0)
    assert pour(bath, water_kg=cold, water_c=12.0, wall_j_k=0.0).water_c == pytest.approx(65.0)


@pytest.mark.parametrize("wanted", [59.0, 95.5, 95.0])
def test_a_heat_the_poured_water_cannot_give_is_refused(wanted):
    with pytest.raises(OutOfRange, match="Wanted temperature"):
        water_to_reach_kg(
            Bath(water_c=60.0, water_kg=100.0), wanted_c=wanted, poured_c=95.0, wall_j_k=0.0
        )


def test_wood_needs_more_kilograms_than_propane():
    propane = fuel_kg(Fuel.PROPANE, water_heat_j=1e8, efficiency=0.4)
    assert fuel_kg(Fuel.WOOD, water_heat_j=1e8, efficiency=0.12) > 5 * propane


@pytest.mark.parametrize("efficiency", [0.0, 0.95, float("nan")])
def test_an_impossible_efficiency_is_refused(efficiency):
    with pytest.raises(OutOfRange, match="Efficiency"):
        Fire(fuel=Fuel.PROPANE, rated_w=30_000.0, efficiency=efficiency)


def test_a_plank_trough_loses_less_through_its_sides():
    bath = Bath(water_c=65.0, water_kg=300.0)
    steel = coast_down(FARM_VAT, bath=bath, exposure=OPEN, seconds=600.0)
    wood = coast_down(PLANK_TROUGH, bath=bath, exposure=OPEN, seconds=600.0)
    per_m2_steel = steel.dry_j / FARM_VAT.surface_m2
    assert wood.dry_j / PLANK_TROUGH.surface_m2 < per_m2_steel
