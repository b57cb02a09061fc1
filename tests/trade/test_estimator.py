"""The live estimator: what readings, gaps, wild values and buckets do to the belief."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.errors import OutOfRange
from stations.trade.estimator import (
    LiveDip,
    Reading,
    begin,
    carry_forward,
    observe,
    pour_bucket,
    replay,
)
from stations.trade.evaporation import Stir
from stations.trade.hide import Hog
from stations.trade.losses import Exposure
from stations.trade.scald import Bucket, Dip, boiling_bucket, dip_curve
from stations.trade.thermometers import UNCHECKED_K, Thermometer
from stations.trade.trough_forecast import forecast
from stations.trade.vessels import Cover, open_trough
from stations.trade.water import Air, boiling_point_c

AIR = Air(temp_c=5.0, humidity=0.6, wind_m_s=1.0)
DIP = Dip(
    vessel=open_trough(length_m=1.83, width_m=0.76, depth_m=0.6),
    water_kg=230.0,
    exposure=Exposure(air=AIR, stir=Stir.DISTURBED),
    hog=Hog(live_kg=125.0),
    cover=Cover.HALF,
)
LIVE = LiveDip(
    dip=DIP,
    strike_read_c=70.0,
    thermometer=Thermometer(ice_read_c=0.0, boil_read_c=AIR.boils_at_c),
    floor_c=62.8,
    bucket=boiling_bucket(AIR),
)


def _true_readings(dip=DIP, strike=70.0, until=300):
    curve = dip_curve(dip, strike_c=strike, seconds=900.0)
    return curve, [Reading(at_s=float(t), water_c=curve.at(t)) for t in range(30, until, 30)]


def test_without_readings_the_belief_is_the_model():
    curve, _ = _true_readings()
    ahead = carry_forward(LIVE, begin(LIVE), to_s=300.0)
    assert ahead.water_c == pytest.approx(curve.at(300.0), abs=0.1)


def test_true_readings_leave_the_factors_near_one_and_narrow_the_spread():
    _, readings = _true_readings()
    belief = replay(LIVE, readings)
    assert belief.loss_factor == pytest.approx(1.0, abs=0.1)
    assert belief.hog_factor == pytest.approx(1.0, abs=0.1)
    assert belief.water_sd_k < 0.2
    assert belief.odd == ()
    assert belief.used == len(readings)


def test_a_trough_that_loses_more_is_found_out():
    windy = replace(DIP, exposure=replace(DIP.exposure, factor=1.8))
    curve, readings = _true_readings(windy, until=420)
    belief = replay(LIVE, readings)
    assert belief.loss_factor > 1.3
    ahead = forecast(LIVE, belief)
    assert ahead.temps_c[18] == pytest.approx(curve.at(ahead.times_s[18]), abs=0.4)


@given(wild=st.one_of(st.floats(3.0, 35.0), st.floats(-60.0, -3.0)), place=st.integers(2, 7))
@settings(deadline=None, max_examples=25)
def test_one_wild_reading_is_questioned_and_moves_nothing(wild, place):
    _, readings = _true_readings()
    plain = replay(LIVE, readings)
    at = readings[place]
    readings[place] = replace(at, water_c=at.water_c + wild)
    belief = replay(LIVE, readings)
    assert belief.odd == (readings[place],)
    assert belief.water_c == pytest.approx(plain.water_c, abs=0.15)


def test_two_readings_that_agree_move_the_estimate():
    """Somebody poured a bucket and told nobody."""
    _, readings = _true_readings(until=200)
    belief = replay(LIVE, readings)
    up = belief.water_c + 4.0
    belief = observe(LIVE, belief, Reading(at_s=210.0, water_c=up))
    assert belief.water_c < up - 3.0
    assert belief.waiting is not None
    belief = observe(LIVE, belief, Reading(at_s=230.0, water_c=up - 0.2))
    assert belief.water_c == pytest.approx(up - 0.2, abs=0.3)
    assert belief.waiting is None


def test_a_good_reading_clears_the_odd_one():
    curve, readings = _true_readings(until=200)
    belief = replay(LIVE, [*readings, Reading(at_s=205.0, water_c=80.0)])
    assert belief.waiting is not None
    belief = observe(LIVE, belief, Reading(at_s=220.0, water_c=curve.at(220.0)))
    assert belief.waiting is None
    assert len(belief.odd) == 1


@pytest.mark.parametrize("water_c", [1470.0, -5.0, float("nan")])
def test_an_impossible_reading_is_refused_for_asking_again(water_c):
    with pytest.raises(OutOfRange, match="Reading"):
        Reading(at_s=60.0, water_c=water_c)


def test_a_reading_from_the_past_needs_a_replay():
    _, readings = _true_readings()
    belief = replay(LIVE, readings)
    late = Reading(at_s=45.0, water_c=68.0)
    with pytest.raises(OutOfRange, match="live dip goes forward"):
        observe(LIVE, belief, late)
    assert replay(LIVE, [*readings, late]).used == belief.used + 1


def test_readings_from_two_phones_give_one_belief_in_any_order():
    _, readings = _true_readings()
    bucket = replace(boiling_bucket(AIR), at_s=295.0)
    assert replay(LIVE, [bucket, *reversed(readings)]) == replay(LIVE, [*readings, bucket])


def test_a_bucket_lifts_the_belief_and_widens_it():
    before = carry_forward(LIVE, begin(LIVE), to_s=120.0)
    after = pour_bucket(LIVE, before, Bucket(kg=9.0, water_c=95.0, at_s=120.0))
    assert after.water_c > before.water_c + 0.8
    assert after.water_kg == pytest.approx(before.water_kg + 9.0)


def test_the_forecast_crosses_the_floor_early_edge_first_and_buckets_prevent_it():
    _, readings = _true_readings()
    belief = replay(LIVE, readings)
    ahead = forecast(LIVE, belief)
    assert ahead.crosses_s is not None
    assert ahead.crosses_early_s is not None
    assert ahead.crosses_early_s < ahead.crosses_s
    count = ahead.buckets_now
    assert count
    for _ in range(count):
        belief = pour_bucket(LIVE, belief, replace(LIVE.bucket, at_s=belief.now_s))
    assert min(forecast(LIVE, belief).temps_c) >= LIVE.floor_c - 0.02


def test_one_bucket_fewer_would_not_do():
    _, readings = _true_readings()
    belief = replay(LIVE, readings)
    count = forecast(LIVE, belief).buckets_now
    assert count is not None
    for _ in range(count - 1):
        belief = pour_bucket(LIVE, belief, replace(LIVE.bucket, at_s=belief.now_s))
    assert min(forecast(LIVE, belief).temps_c) < LIVE.floor_c


def test_no_number_of_buckets_fits_a_full_or_hopeless_trough():
    shallow = open_trough(length_m=1.83, width_m=0.76, depth_m=0.22)
    full = replace(LIVE, dip=replace(DIP, vessel=shallow), floor_c=66.0)
    assert forecast(full, begin(full)).buckets_now is None
    cold = replace(LIVE, bucket=Bucket(kg=9.0, water_c=20.0), floor_c=66.0)
    assert forecast(cold, begin(cold)).buckets_now is None


def test_the_band_widens_with_time_and_with_an_unchecked_thermometer():
    belief = replay(LIVE, _true_readings()[1])
    checked = forecast(LIVE, belief)
    unchecked = forecast(replace(LIVE, thermometer=Thermometer()), belief)
    widths = [high - low for low, high in zip(checked.low_c, checked.high_c, strict=True)]
    assert widths == sorted(widths)
    assert unchecked.high_c[0] - unchecked.low_c[0] > widths[0]


def test_the_offset_of_the_check_is_taken_out():
    high = Thermometer(ice_read_c=1.0, boil_read_c=AIR.boils_at_c + 1.0)
    live = replace(LIVE, thermometer=high, strike_read_c=71.0)
    assert begin(live).water_c == pytest.approx(begin(LIVE).water_c)
    read = observe(live, begin(live), Reading(at_s=60.0, water_c=69.0))
    plain = observe(LIVE, begin(LIVE), Reading(at_s=60.0, water_c=68.0))
    assert read.water_c == pytest.approx(plain.water_c)


def test_the_boil_is_checked_at_the_altitude_of_the_farm():
    boils = boiling_point_c(1524.0)
    good = Thermometer(boil_read_c=boils, altitude_m=1524.0)
    assert good.offset_c(60.0) == pytest.approx(0.0)
    with pytest.raises(OutOfRange, match="a thermometer further off is replaced"):
        Thermometer(boil_read_c=100.0, altitude_m=1524.0)
    with pytest.raises(OutOfRange, match="Ice reading"):
        Thermometer(ice_read_c=5.0)


def test_an_old_or_one_sided_check_is_worth_less():
    both = {"ice_read_c": 0.2, "boil_read_c": 99.9}
    fresh, old = Thermometer(**both), Thermometer(**both, age_days=20.0)
    ancient = Thermometer(**both, age_days=400.0)
    assert fresh.spread_k < old.spread_k < ancient.spread_k == UNCHECKED_K
    assert Thermometer(ice_read_c=0.2).spread_k > fresh.spread_k - 0.1
    assert Thermometer(ice_read_c=0.2).offset_c(60.0) == pytest.approx(0.2)
    assert Thermometer().spread_k == UNCHECKED_K
    assert Thermometer().offset_c(60.0) == 0.0
