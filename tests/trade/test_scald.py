"""A hog in the water: order, limits, refusals."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.errors import OutOfRange
from stations.trade.evaporation import Stir
from stations.trade.hide import Hog, Layers, skin_uptake_j_m2_k, solid_temperature_c
from stations.trade.losses import Exposure
from stations.trade.scald import (
    Bucket,
    Dip,
    boiling_bucket,
    dip_band,
    dip_curve,
    hold_curve,
    strike_temperature_c,
)
from stations.trade.vessels import (
    FARM_VAT,
    Cover,
    Method,
    kettle,
    open_trough,
    tipped_barrel,
    water_needed_kg,
)
from stations.trade.water import Air

AIR = Air(temp_c=5.0, humidity=0.6, wind_m_s=1.0)
DIP = Dip(
    vessel=FARM_VAT,
    water_kg=250.0,
    exposure=Exposure(air=AIR, stir=Stir.DISTURBED),
    hog=Hog(live_kg=125.0),
)


@given(
    live_kg=st.floats(60.0, 200.0), water_kg=st.floats(150.0, 600.0), strike=st.floats(60.0, 75.0)
)
@settings(deadline=None, max_examples=20)
def test_the_water_only_falls_without_fire_or_bucket(live_kg, water_kg, strike):
    dip = replace(DIP, hog=Hog(live_kg=live_kg), water_kg=water_kg)
    curve = dip_curve(dip, strike_c=strike, seconds=300.0)
    assert curve.temps_c[0] < strike
    assert list(curve.temps_c) == sorted(curve.temps_c, reverse=True)
    assert curve.hog_j > 0.0


@given(live_kg=st.floats(40.0, 250.0), more=st.floats(10.0, 80.0))
@settings(deadline=None, max_examples=15)
def test_a_heavier_hog_pulls_the_water_further_down(live_kg, more):
    light = dip_curve(replace(DIP, hog=Hog(live_kg=live_kg)), strike_c=68.0, seconds=240.0)
    heavy = dip_curve(replace(DIP, hog=Hog(live_kg=live_kg + more)), strike_c=68.0, seconds=240.0)
    assert heavy.end.water_c < light.end.water_c


def test_more_water_holds_the_heat_better():
    ends = [
        dip_curve(replace(DIP, water_kg=kg), strike_c=68.0, seconds=300.0).end.water_c
        for kg in (150.0, 250.0, 400.0)
    ]
    assert ends == sorted(ends)


def test_half_a_hog_in_the_water_takes_less():
    half = dip_curve(replace(DIP, cover=Cover.HALF), strike_c=68.0, seconds=300.0)
    whole = dip_curve(DIP, strike_c=68.0, seconds=300.0)
    assert half.hog_j == pytest.approx(whole.hog_j * 0.5**0.5, rel=0.02)


def test_the_step_is_short_enough():
    """Two dips of half the time and one of the whole agree where they overlap."""
    whole = dip_curve(DIP, strike_c=68.0, seconds=600.0)
    part = dip_curve(DIP, strike_c=68.0, seconds=300.0)
    assert part.end.water_c == whole.at(300.0)


@given(wanted=st.floats(58.0, 66.0), at_s=st.sampled_from([60.0, 120.0, 180.0, 300.0]))
@settings(deadline=None, max_examples=15)
def test_the_strike_gives_what_was_wanted(wanted, at_s):
    strike = strike_temperature_c(DIP, wanted_c=wanted, at_s=at_s)
    assert strike > wanted
    found = dip_curve(DIP, strike_c=strike, seconds=at_s).at(at_s)
    assert found == pytest.approx(wanted, abs=0.005)


def test_a_strike_past_the_limit_is_refused_with_what_can_be_reached():
    small = replace(DIP, water_kg=40.0)
    with pytest.raises(OutOfRange, match=r"the hottest strike that is allowed") as caught:
        strike_temperature_c(small, wanted_c=68.0, at_s=600.0)
    assert caught.value.high < 68.0


@pytest.mark.parametrize("strike", [10.0, 90.0, float("nan")])
def test_an_unheard_of_strike_is_refused(strike):
    with pytest.raises(OutOfRange, match="Strike temperature"):
        dip_curve(DIP, strike_c=strike, seconds=300.0)


def test_a_bucket_lifts_the_water_when_it_goes_in():
    bucket = replace(boiling_bucket(AIR), at_s=120.0)
    curve = dip_curve(DIP, strike_c=66.0, seconds=300.0, buckets=(bucket,))
    assert curve.buckets == (bucket,)
    assert curve.at(125.0) > curve.at(120.0) + 0.7
    assert curve.end.water_kg > 250.0


def test_buckets_given_out_of_order_go_in_in_order():
    two = (Bucket(kg=9.0, water_c=95.0, at_s=200.0), Bucket(kg=9.0, water_c=95.0, at_s=60.0))
    curve = dip_curve(DIP, strike_c=66.0, seconds=300.0, buckets=two)
    assert [bucket.at_s for bucket in curve.buckets] == [60.0, 200.0]


def test_holding_keeps_above_the_floor_until_the_vessel_is_full():
    kept = hold_curve(DIP, strike_c=66.0, seconds=600.0, hold_c=63.0, bucket=boiling_bucket(AIR))
    assert kept.buckets
    assert kept.lowest_c > 62.8
    assert kept.crosses_s(62.0) is None
    trough = open_trough(length_m=1.83, width_m=0.76, depth_m=0.3)
    full = replace(DIP, vessel=trough, water_kg=290.0)
    spilled = hold_curve(
        full, strike_c=64.0, seconds=600.0, hold_c=63.0, bucket=boiling_bucket(AIR)
    )
    assert spilled.lowest_c < 63.0
    assert len(spilled.buckets) == 0


def test_a_lukewarm_bucket_cannot_hold():
    with pytest.raises(OutOfRange, match="Temperature to hold"):
        hold_curve(
            DIP, strike_c=66.0, seconds=60.0, hold_c=63.0, bucket=Bucket(kg=9.0, water_c=60.0)
        )


def test_a_bucket_is_cooler_up_the_mountain():
    high = boiling_bucket(Air(temp_c=5.0, humidity=0.6, altitude_m=2000.0))
    assert high.water_c < boiling_bucket(AIR).water_c - 6.0


def test_the_band_holds_the_curve_and_widens():
    band = dip_band(DIP, strike_c=68.0, seconds=480.0)
    for low, mid, high in zip(band.low_c, band.curve.temps_c, band.high_c, strict=True):
        assert low <= mid <= high
    assert band.high_c[-1] - band.low_c[-1] > 1.0


def test_the_crossing_is_where_the_curve_says():
    curve = dip_curve(DIP, strike_c=66.0, seconds=600.0)
    crosses = curve.crosses_s(63.0)
    assert crosses is not None
    assert curve.at(crosses) == pytest.approx(63.0, abs=1e-6)
    assert curve.crosses_s(80.0) == 0.0
    with pytest.raises(OutOfRange, match="scald curve"):
        curve.at(700.0)


@given(seconds=st.floats(0.1, 3000.0), thick=st.floats(0.001, 0.01))
@settings(deadline=None, max_examples=40)
def test_uptake_grows_ever_more_slowly(seconds, thick):
    layers = Layers(skin_m=thick)
    first = skin_uptake_j_m2_k(seconds, layers=layers)
    second = skin_uptake_j_m2_k(2 * seconds, layers=layers)
    assert first < second < 2 * first


def test_deep_meat_knows_nothing_of_the_scald():
    found = solid_temperature_c(0.05, 390.0, start_c=38.0, surface_c=60.0, alpha_m2_s=1e-7)
    assert found == pytest.approx(38.0, abs=0.01)
    same = {"start_c": 30.0, "surface_c": 60.0, "alpha_m2_s": 1e-7}
    assert solid_temperature_c(0.01, 0.0, **same) == 30.0
    assert solid_temperature_c(0.0, 0.0, **same) == 60.0


@pytest.mark.parametrize("live_kg", [2.0, 500.0, float("nan")])
def test_a_hog_outside_the_formula_is_refused(live_kg):
    with pytest.raises(OutOfRange, match="Live weight"):
        Hog(live_kg=live_kg)


@given(live_kg=st.floats(60.0, 160.0))
@settings(deadline=None)
def test_a_bigger_hog_is_longer_thicker_and_needs_more_depth(live_kg):
    small, big = Hog(live_kg=live_kg), Hog(live_kg=live_kg + 10.0)
    assert big.length_m > small.length_m
    assert big.thickness_m > small.thickness_m


def test_covering_needs_more_water_than_half_covering():
    trough = open_trough(length_m=1.83, width_m=0.76, depth_m=0.6)
    hog = Hog(live_kg=125.0)
    whole = water_needed_kg(trough, hog, cover=Cover.WHOLE)
    assert whole > 2 * water_needed_kg(trough, hog, cover=Cover.HALF)


def test_a_hog_that_does_not_fit_is_refused_by_what_is_short():
    short = open_trough(length_m=1.2, width_m=0.76, depth_m=0.6)
    shallow = open_trough(length_m=1.83, width_m=0.76, depth_m=0.3)
    narrow = open_trough(length_m=1.83, width_m=0.3, depth_m=0.6)
    hog = Hog(live_kg=150.0)
    for vessel, short_of in (
        (short, "Hog length"),
        (shallow, "Water depth"),
        (narrow, "Hog thickness"),
        (kettle(), "Cover"),
    ):
        with pytest.raises(OutOfRange, match=short_of):
            water_needed_kg(vessel, hog, cover=Cover.WHOLE)


def test_a_barrel_tipped_further_holds_less():
    brims = [tipped_barrel(tilt_deg=tilt).brim_m3 for tilt in (0.0, 30.0, 45.0)]
    assert brims == sorted(brims, reverse=True)
    with pytest.raises(OutOfRange, match="Barrel tilt"):
        tipped_barrel(tilt_deg=70.0)
    assert tipped_barrel().method is Method.TIPPED_BARREL
