"""Chilling: order, limits, correction by probes, odds, refusals."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.chill_probes import probed_forecast
from stations.trade.chill_rules import chill_forecast_findings, chill_log_findings
from stations.trade.chilling import (
    AirTooShort,
    Ham,
    HourlyAir,
    Hung,
    chill_curve,
    needed_air_c,
    steady_air,
)
from stations.trade.cold_night import night_odds
from stations.trade.errors import OutOfRange, TradeError
from stations.trade.findings import Standing
from stations.trade.temperature_log import EmptyLog, ReadingsAtOneTime, TemperatureLog, log_of

HOUR = 3600.0
HAM = Ham(carcass_kg=90.0)


@given(kg=st.floats(40.0, 150.0), more=st.floats(5.0, 60.0), air_c=st.floats(-5.0, 3.0))
@settings(deadline=None, max_examples=20)
def test_a_heavier_carcass_is_warmer_at_every_hour(kg, more, air_c):
    air = steady_air(air_c, hours=30.0)
    light, heavy = (chill_curve(Ham(carcass_kg=w), air).centre_c for w in (kg, kg + more))
    assert all(a <= b + 0.01 for a, b in zip(light, heavy, strict=True))


@given(air_c=st.floats(-8.0, 8.0), warmer=st.floats(0.5, 5.0))
@settings(deadline=None, max_examples=20)
def test_no_forecast_finding_in_time_improves_in_warmer_air(air_c, warmer):
    first, second = (
        chill_forecast_findings(chill_curve(HAM, steady_air(a, hours=36.0)))[0].standing.rank
        for a in (air_c, air_c + warmer)
    )
    assert first <= second


def test_the_centre_never_leaves_the_span_of_start_and_air():
    air = HourlyAir(points=((0.0, 8.0), (6 * HOUR, -4.0), (20 * HOUR, 10.0), (40 * HOUR, 1.0)))
    curve = chill_curve(HAM, air)
    assert max(curve.centre_c) <= HAM.start_c + 1e-6
    assert min(curve.centre_c) >= -4.0
    assert all(s < c for s, c in zip(curve.surface_c[1:40], curve.centre_c[1:40], strict=True))


def test_ice_and_fan_chill_quicker_than_still_air():
    air = steady_air(1.0, hours=30.0)
    times = [chill_curve(replace(HAM, hung=hung), air).reaches_s() for hung in Hung]
    assert times == sorted(times, reverse=True)
    assert not Hung.FAN.source.trust.may_decide


def test_needed_air_does_what_it_says():
    needed = needed_air_c(Ham(carcass_kg=120.0), within_s=24 * HOUR)
    curve = chill_curve(Ham(carcass_kg=120.0), steady_air(needed, hours=24.0))
    assert curve.centre_c[-1] == pytest.approx(40 / 9, abs=1e-3)


def test_needed_air_for_an_impossible_hour_is_refused():
    with pytest.raises(OutOfRange, match="Time to chill"):
        needed_air_c(Ham(carcass_kg=200.0), within_s=HOUR)


def test_a_hard_frost_is_called_out():
    curve = chill_curve(Ham(carcass_kg=60.0), steady_air(-15.0, hours=24.0))
    _, _, cold, skin = chill_forecast_findings(curve)
    assert cold.standing is skin.standing is Standing.OUTSIDE
    assert "toughens" in skin.sentence()


def test_hours_before_hanging_count():
    curve = chill_curve(HAM, steady_air(2.0, hours=30.0))
    assert chill_forecast_findings(curve)[0].standing is Standing.OPEN
    late = chill_forecast_findings(curve, delay_s=5 * HOUR)[0]
    assert late.standing is Standing.OUTSIDE
    assert "The lead decides" in late.sentence()


def test_readings_pull_the_forecast_towards_them_and_narrow_it():
    air = steady_air(1.0, hours=48.0)
    truth = chill_curve(replace(HAM, slower=1.25), air)
    log = log_of(*((h * HOUR, truth.centre_at(h * HOUR)) for h in (4, 7, 10, 13)))
    before, after = probed_forecast(HAM, air), probed_forecast(HAM, air, log)
    assert before.likely.ham.slower == pytest.approx(1.0, abs=0.01)
    assert after.likely.ham.slower == pytest.approx(1.25, abs=0.05)
    widths = [f.slow.ham.slower - f.quick.ham.slower for f in (before, after)]
    assert widths[1] < widths[0] / 2
    times = [at for at in after.reaches_s if at is not None]
    assert len(times) == 3
    assert times == sorted(times)


def test_a_reading_beyond_the_air_is_refused():
    with pytest.raises(AirTooShort, match="Add a temperature for a later hour"):
        probed_forecast(HAM, steady_air(1.0, hours=5.0), log_of((6 * HOUR, 20.0)))


def test_the_odds_fall_as_the_night_warms_and_repeat_with_the_seed():
    def odds(temp_c):
        return night_odds(HAM, steady_air(temp_c, hours=24.0))

    in_time = [odds(t).in_time for t in (-3.0, 1.0, 3.0, 6.0)]
    assert in_time == sorted(in_time, reverse=True)
    assert in_time[0] > 0.95 > 0.05 > in_time[-1]
    assert odds(1.0) == odds(1.0)
    assert 0 < odds(1.0).doubt < 0.02
    assert "The lead decides" in odds(1.0).sentence
    assert "Fewer than 1" in odds(9.0).sentence


def test_the_odds_settle_on_the_likely_curve():
    """The median of the runs is the curve without errors, within the doubt of the draw."""
    likely = (chill_curve(HAM, steady_air(0.0, hours=48.0)).reaches_s() or 0.0) / HOUR
    odds = night_odds(HAM, steady_air(0.0, hours=48.0), runs=4000)
    assert odds.likely_h == pytest.approx(likely, rel=0.02)
    assert odds.quick_h < odds.likely_h < odds.slow_h


@given(
    temps=st.lists(st.floats(-1.0, 30.0), min_size=3, max_size=6),
    which=st.integers(0, 5),
    worse=st.floats(0.1, 10.0),
)
@settings(deadline=None, max_examples=80)
def test_no_chill_finding_improves_when_a_reading_worsens(temps, which, worse):
    hotter = list(temps)
    hotter[which % len(temps)] += worse
    hours = [5.0 * n for n in range(len(temps))]
    for one, other in zip(
        *(
            chill_log_findings(log_of(*((h * HOUR, t) for h, t in zip(hours, row, strict=True))))
            for row in (temps, hotter)
        ),
        strict=True,
    ):
        assert one.standing.rank <= other.standing.rank


def test_the_chill_alarm_sounds_when_the_day_is_over():
    still = log_of((0.0, 39.0), (20 * HOUR, 7.0))
    running, now = chill_log_findings(still)
    assert running.standing is Standing.OPEN
    assert now.standing is Standing.OUTSIDE
    over = chill_log_findings(log_of((0.0, 39.0), (24.2 * HOUR, 5.0)))[0]
    assert over.standing is Standing.OUTSIDE


def test_a_rewarmed_ham_counts_from_when_it_is_cold_again():
    log = log_of((0.0, 39.0), (20 * HOUR, 4.0), (22 * HOUR, 6.0), (26 * HOUR, 4.2))
    assert chill_log_findings(log)[0].standing is Standing.OUTSIDE


def test_4_45_is_not_shown_as_4_4():
    finding = chill_log_findings(log_of((0.0, 39.0), (20 * HOUR, 4.45)))[1]
    assert finding.standing is Standing.OUTSIDE
    assert "is 4.5 degC" in finding.sentence()


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (((0.0, 3.0), (0.0, 4.0)), "in order"),
        (((5.0, 3.0), (9.0, 4.0)), "from the hour of hanging"),
        (((0.0, 3.0), (9.0, 60.0)), "Air 60 degC is outside"),
        (((0.0, 3.0),), "Air temperatures"),
    ],
)
def test_air_that_cannot_be_is_refused(points, words):
    with pytest.raises(TradeError, match=words):
        HourlyAir(points=points)


def test_logs_that_cannot_be_are_refused():
    with pytest.raises(EmptyLog, match="no reading yet"):
        TemperatureLog(readings=())
    with pytest.raises(ReadingsAtOneTime, match="Keep one"):
        log_of((5.0, 3.0), (5.0, 4.0))
