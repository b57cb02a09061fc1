"""Boiling point by altitude: US Standard Atmosphere 1976 with IF97, and two printed tables."""

import pytest
from fluids import ATMOSPHERE_1976
from iapws import IAPWS97  # type: ignore[import-untyped]  # ships no type stubs

from stations.trade.measures import M_PER_FT, fahrenheit
from stations.trade.water import boiling_point_c, pressure_at_altitude_pa


@pytest.mark.parametrize(
    ("feet", "boils_f"),
    [
        (0, 211.95),
        (1000, 210.13),
        (2000, 208.31),
        (3000, 206.48),
        (5000, 202.83),
        (6000, 201.00),
        (7500, 198.25),
        (8000, 197.34),
        (10000, 193.67),
    ],
)
def test_boiling_point_agrees_with_the_standard_atmosphere_and_if97(feet, boils_f):
    assert fahrenheit(celsius=boiling_point_c(feet * M_PER_FT)) == pytest.approx(boils_f, abs=0.02)
    pressure = ATMOSPHERE_1976(feet * M_PER_FT).P
    assert (
        pytest.approx(boiling_point_c(feet * M_PER_FT), abs=0.01)
        == IAPWS97(P=pressure / 1e6, x=0).T - 273.15
    )


@pytest.mark.parametrize(
    ("feet", "boils_f"), [(0, 212), (2000, 208), (5000, 203), (7500, 198), (10000, 194)]
)
def test_boiling_point_rounds_to_the_kitchen_table(feet, boils_f):
    """smartkitchen.com, rounded to 1 F (its USDA origin is from memory)."""
    assert fahrenheit(celsius=boiling_point_c(feet * M_PER_FT)) == pytest.approx(boils_f, abs=0.6)


@pytest.mark.parametrize(
    ("metres", "boils_c"), [(300, 99.1), (600, 98.1), (1000, 96.8), (2000, 93.3), (4000, 87.3)]
)
def test_boiling_point_agrees_with_the_metric_table(metres, boils_c):
    """resourcenepal.com prints one decimal; at 4,000 m it is 0.6 K above the standard air."""
    assert boiling_point_c(metres) == pytest.approx(boils_c, abs=0.7)


def test_standard_pressure_agrees_with_a_second_library():
    """fluids and PsychroLib differ by about 4 Pa at 5,000 ft (geopotential height)."""
    assert pressure_at_altitude_pa(1524.0) == pytest.approx(ATMOSPHERE_1976(1524.0).P, abs=5.0)
