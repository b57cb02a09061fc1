"""What the weather typed for the trough means for people at work."""

from __future__ import annotations

import pytest

from stations.models import Station, Trough
from stations.outdoors import Outdoors, weather_at


def at(air_c: float, wind_m_s: float = 2.0, humidity: float = 0.5) -> Outdoors:
    station = Station(name="Trough", letter="T")
    trough = Trough(station=station, air_c=air_c, wind_m_s=wind_m_s, humidity=humidity)
    return weather_at(trough, "us")


def test_a_mild_day_says_nothing() -> None:
    """54 F, a breeze: neither cold nor hot."""
    assert at(12.0).notes == ()


def test_a_raw_day_asks_for_dry_hands() -> None:
    """30 F and 4.5 mph: chill below freezing, in the workshop's units, with its source."""
    found = at(-1.1)
    assert "Ask the lead: wind chill is 25 °F against 32 °F." in found.notes[0].text
    assert "National Weather Service" in found.notes[0].source_line
    assert "No turn at wet work is published for this chill; at -18 °F" in found.notes[1].text
    assert found.wet_cap_min is None


def test_at_frostbite_chill_wet_turns_are_capped_at_thirty_minutes() -> None:
    """-22 F in a fresh wind. Source: US National Weather Service, -18 degF of wind chill."""
    found = at(-30.0, wind_m_s=6.0)
    assert found.wet_cap_min == 30
    assert found.notes[0].signal_word == "WARNING"
    assert "in turns of at most 30 minutes" in found.notes[1].text


def test_a_calm_frost_counts_by_the_air_itself() -> None:
    """Under 3 mph the formula has not begun; the frost is told all the same."""
    found = at(-5.0, wind_m_s=0.5)
    assert found.notes[0].text.startswith("Calm, and the air is 23 °F.")


@pytest.mark.parametrize("air_c", [30.0, 36.0, 45.0])
def test_heat_brings_the_work_and_rest_table_and_the_signs_to_stop(air_c: float) -> None:
    """Heavy work at 86 F and more. Source: NIOSH 2016-106; OSHA Technical Manual III:4."""
    found = at(air_c)
    assert (
        "Air temperature with sun" in found.notes[0].text
        or "air temperature" in found.notes[0].text
    )
    assert "Stop someone who shows any of" in found.notes[1].text


def test_what_is_expected_is_said_in_the_workshops_units() -> None:
    """As it was typed."""
    assert at(-1.1, wind_m_s=1.5, humidity=0.7).expected == "30 °F, wind 3 mph, 70% damp"
