"""Rest after heavy work, cold and heat."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stations.trade.errors import OutOfRange
from stations.trade.frequency import DurationClass
from stations.trade.rest import (
    hold_endurance_s,
    hold_limit_s,
    recovery_min,
    recovery_source,
    rest_after_heavy_min,
    screen_hold,
    screen_rest,
)
from stations.trade.verdicts import Grade
from stations.trade.weather import (
    Effort,
    Sky,
    screen_cold,
    screen_heat,
    table_degf,
    wind_chill_degc,
    wind_chill_degf,
    work_rest,
)


@given(st.floats(min_value=0, max_value=1), st.floats(min_value=0, max_value=1))
def test_a_heavier_hold_is_never_allowed_longer(one, other):
    """Property: the limit falls as the fraction grows and never passes a minute."""
    light, heavy = sorted((one, other))
    assert hold_limit_s(fraction=heavy) <= hold_limit_s(fraction=light) <= 60.0


@given(
    st.floats(min_value=0, max_value=1),
    st.floats(min_value=0, max_value=0.5),
    st.floats(min_value=0, max_value=600),
)
def test_adding_load_never_improves_a_hold(fraction, more, held_s):
    """Property."""
    heavier = min(1.0, fraction + more)
    light = screen_hold(fraction=fraction, held_s=held_s)
    assert screen_hold(fraction=heavier, held_s=held_s).grade.rank >= light.grade.rank


def test_a_hold_over_a_minute_asks_the_lead_until_it_must_fail():
    """At 0.3 the curve gives 152 s."""
    got = [screen_hold(fraction=0.3, held_s=held_s).grade for held_s in (60, 61, 153)]
    assert got == [Grade.WITHIN, Grade.ASK_LEAD, Grade.NEEDS_AID]


def test_rest_after_heavy_work():
    """Half an hour, or 1.2 times the lifting where that is longer; the factor is from memory."""
    assert rest_after_heavy_min(worked_min=25) == 30
    assert rest_after_heavy_min(worked_min=50) == 60
    assert recovery_min(worked_min=100, duration=DurationClass.MODERATE) == pytest.approx(30)
    assert not recovery_source(duration=DurationClass.SHORT).trust.may_decide
    assert recovery_source(duration=DurationClass.MODERATE).trust.may_decide
    assert screen_rest(worked_min=10, rested_min=30).grade is Grade.WITHIN


def test_cold_grades():
    """-30 degC of wind chill freezes skin; -5 asks the lead; 2 is within this screen."""
    got = [screen_cold(air_degc=t, wind_kmh=30).grade for t in (-18, 0, 8)]
    assert got == [Grade.NEEDS_AID, Grade.ASK_LEAD, Grade.WITHIN]


@given(
    st.floats(min_value=-45, max_value=10),
    st.floats(min_value=0, max_value=20),
    st.floats(min_value=4.8, max_value=177),
)
def test_colder_never_improves_the_verdict(air, drop, wind):
    """Property."""
    colder = max(-45.0, air - drop)
    mild = screen_cold(air_degc=air, wind_kmh=wind)
    assert screen_cold(air_degc=colder, wind_kmh=wind).grade.rank >= mild.grade.rank


@given(
    st.floats(min_value=-20, max_value=50),
    st.floats(min_value=0, max_value=5),
    st.sampled_from(Sky),
    st.floats(min_value=0, max_value=1),
    st.sampled_from(Effort),
)
def test_hotter_never_improves_the_verdict(air, more, sky, humidity, effort):
    """Property."""
    mild = screen_heat(air_degc=air, sky=sky, humidity=humidity, effort=effort)
    hot = screen_heat(air_degc=air + more, sky=sky, humidity=humidity, effort=effort)
    assert hot.grade.rank >= mild.grade.rank


def test_heat_grades():
    """Cool morning, warm noon, hot and too hot for scraping."""
    got = [
        screen_heat(air_degc=t, sky=Sky.NO_SUN, humidity=0.3, effort=Effort.HEAVY).grade
        for t in (15, 28, 37, 42)
    ]
    assert got == [Grade.WITHIN, Grade.ASK_LEAD, Grade.ASK_LEAD, Grade.NEEDS_AID]


def test_dry_air_from_memory_cannot_lift_a_caution():
    """The adjustment would take 8 degF off; the air itself still counts."""
    dry = screen_heat(air_degc=38, sky=Sky.NO_SUN, humidity=0.1, effort=Effort.HEAVY)
    plain = screen_heat(air_degc=38, sky=Sky.NO_SUN, humidity=0.3, effort=Effort.HEAVY)
    assert dry == plain


def test_damper_than_the_table_asks_the_lead():
    """Light work in 25 degC and 80 % has no row, so nothing is certified."""
    damp = screen_heat(air_degc=25, sky=Sky.NO_SUN, humidity=0.8, effort=Effort.LIGHT)
    assert damp.grade is Grade.ASK_LEAD
    cool = screen_heat(air_degc=10, sky=Sky.NO_SUN, humidity=0.8, effort=Effort.HEAVY)
    assert cool.grade is Grade.WITHIN


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: hold_endurance_s(fraction=0.19),
        lambda: hold_limit_s(fraction=1.01),
        lambda: recovery_min(worked_min=10, duration=DurationClass.LONG),
        lambda: recovery_min(worked_min=61, duration=DurationClass.SHORT),
        lambda: wind_chill_degf(air_degf=51, wind_mph=10),
        lambda: wind_chill_degf(air_degf=20, wind_mph=2),
        lambda: wind_chill_degc(air_degc=11, wind_kmh=20),
        lambda: work_rest(table_degf=89.9, effort=Effort.LIGHT),
        lambda: work_rest(table_degf=112.1, effort=Effort.LIGHT),
        lambda: table_degf(air_degc=30, sky=Sky.NO_SUN, humidity=0.61),
    ],
)
def test_outside_its_table_each_refuses(wrong):
    """Nothing is clamped in silence."""
    with pytest.raises(OutOfRange):
        wrong()
