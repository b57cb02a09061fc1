"""Daylight against the U.S. Naval Observatory's figures and against a second almanac library."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from astral import Depression, Observer
from astral import sun as astral_sun
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.daylight import Daylight, Sun, daylight

MINUTE = timedelta(minutes=1)


def clock(moment: datetime | None) -> str:
    assert moment is not None
    return f"{moment:%H:%M}"


def test_atlanta_as_the_naval_observatory_prints_it() -> None:
    """U.S. Naval Observatory, Atlanta (N 33.8, W 84.4), 6 September 2009, EDT, as quoted in the
    PyEphem manual, "Naval Observatory Risings and Settings": 6:50, 7:15, 1:36 p.m., 7:56, 8:21.
    """
    light = daylight(
        latitude=33.8, longitude=-84.4, day=date(2009, 9, 6), zone=ZoneInfo("America/New_York")
    )
    times = (light.dawn, light.sunrise, light.noon, light.sunset, light.dusk)
    assert [clock(moment) for moment in times] == ["06:50", "07:15", "13:36", "19:56", "20:21"]


PLACES = [
    # A farm, an hour or more off its zone's meridian, far south, near the line, far north.
    (41.9, -76.3, "America/New_York"),
    (42.9, -8.5, "Europe/Madrid"),
    (43.8, 87.6, "Asia/Shanghai"),
    (-45.0, 170.0, "Pacific/Auckland"),
    (0.5, 36.0, "Africa/Nairobi"),
    (59.9, 10.8, "Europe/Oslo"),
]


def differences(light: Daylight, place: Observer, day: date, zone: ZoneInfo) -> list[timedelta]:
    second = astral_sun.sun(place, date=day, tzinfo=zone, dawn_dusk_depression=Depression.CIVIL)
    pairs = [
        (light.dawn, second["dawn"]),
        (light.sunrise, second["sunrise"]),
        (light.sunset, second["sunset"]),
        (light.dusk, second["dusk"]),
    ]
    return [abs(ours - theirs) for ours, theirs in pairs if ours is not None]


@pytest.mark.parametrize(("latitude", "longitude", "name"), PLACES)
@pytest.mark.parametrize("month", [1, 3, 4, 9, 10, 12])
def test_a_second_almanac_agrees_to_two_minutes(
    latitude: float, longitude: float, name: str, month: int
) -> None:
    """Astral 3.2 (the method of the NOAA solar calculator), at six places through the year."""
    zone, day = ZoneInfo(name), date(2027, month, 15)
    light = daylight(latitude=latitude, longitude=longitude, day=day, zone=zone)
    apart = differences(light, Observer(latitude, longitude, 0), day, zone)
    assert len(apart) == 4
    assert max(apart) <= 2 * MINUTE


@settings(max_examples=60, deadline=None)
@given(st.floats(-55, 55), st.floats(-180, 180), st.dates(date(2020, 1, 1), date(2060, 12, 31)))
def test_any_farm_any_day(latitude: float, longitude: float, day: date) -> None:
    """In the sun's own time the day is whole: light in order about noon, and the same twice."""
    zone = ZoneInfo("UTC")
    light = daylight(latitude=latitude, longitude=longitude, day=day, zone=zone)
    assert light.sunrise is not None
    assert light.sunset is not None
    assert light.sun is Sun.RISES_AND_SETS
    times = (light.dawn, light.sunrise, light.noon, light.sunset, light.dusk)
    assert sorted(times) == list(times)
    assert abs(light.noon - datetime.combine(day, time(12), UTC)) <= timedelta(hours=12, minutes=1)
    morning, evening = light.noon - light.sunrise, light.sunset - light.noon
    assert abs(morning - evening) <= 5 * MINUTE


def test_tromso_has_no_sunrise_at_midwinter_and_no_sunset_at_midsummer() -> None:
    """The polar night there runs from late November to mid January (general knowledge)."""
    zone = ZoneInfo("Europe/Oslo")
    winter = daylight(latitude=69.65, longitude=18.96, day=date(2027, 12, 21), zone=zone)
    assert (winter.sun, winter.sunrise, winter.sunset) == (Sun.STAYS_DOWN, None, None)
    # There is twilight at noon: astral says civil dusk the same to a few minutes.
    second = astral_sun.dusk(
        Observer(69.65, 18.96, 0), date=date(2027, 12, 21), depression=6, tzinfo=zone
    )
    assert winter.dusk is not None
    assert abs(winter.dusk - second) <= 5 * MINUTE
    assert not winter.is_dark(winter.noon)
    assert winter.is_dark(winter.noon + timedelta(hours=4))
    summer = daylight(latitude=69.65, longitude=18.96, day=date(2027, 6, 21), zone=zone)
    assert (summer.sun, summer.sunset, summer.dusk) == (Sun.STAYS_UP, None, None)
    assert not summer.is_dark(summer.noon + timedelta(hours=12))
    assert summer.sentence() == "The sun does not set on this day."


def test_further_north_it_does_not_even_dawn() -> None:
    """At 82 degrees the midwinter sun stays lower than 6 degrees: dark all day."""
    light = daylight(latitude=82.5, longitude=-62.3, day=date(2027, 12, 21), zone=ZoneInfo("UTC"))
    assert light.never_light
    assert light.is_dark(light.noon)
    assert light.sentence() == "The sun does not rise on this day. It stays dark."


def test_where_it_does_not_get_dark_the_sentence_says_so() -> None:
    """At 62 degrees in June the sun sets, and it is never darker than civil twilight."""
    light = daylight(
        latitude=62.0, longitude=10.0, day=date(2027, 6, 21), zone=ZoneInfo("Europe/Oslo")
    )
    assert light.sun is Sun.RISES_AND_SETS
    assert light.dusk is None
    assert "does not get dark" in light.sentence()
    assert not light.is_dark(light.noon + timedelta(hours=12))


def test_a_place_that_is_none_is_refused() -> None:
    """Latitude 91."""
    with pytest.raises(ValueError, match="Latitude 91 degrees is outside -90 to 90 degrees"):
        daylight(latitude=91.0, longitude=0.0, day=date(2027, 1, 1), zone=ZoneInfo("UTC"))
