"""Wind chill chart, heat tables and endurance against their published figures."""

from __future__ import annotations

import pytest

from stations.trade.rest import hold_endurance_s
from stations.trade.weather import (
    CAUTION,
    NORMAL,
    Acclimatised,
    Effort,
    HeatBand,
    Sky,
    WorkRest,
    exposure_limit_degc,
    heat_index_band,
    table_degf,
    wet_bulb_globe_degc,
    wind_chill_degc,
    wind_chill_degf,
    work_rest,
)

# US National Weather Service chart (published): degF, mph, printed; formula to two decimals.
CHART = [
    (40, 5, 36, 36.47),
    (35, 10, 27, 27.45),
    (30, 20, 17, 17.36),
    (25, 30, 8, 8.09),
    (20, 10, 9, 8.85),
    (10, 25, -11, -10.72),
    (0, 15, -19, -19.40),
    (0, 60, -33, -33.09),
    (-5, 40, -36, -35.73),
    (-20, 10, -41, -40.72),
    (-40, 60, -91, -90.87),
    (-45, 60, -98, -98.10),
]


@pytest.mark.parametrize(("air", "wind", "printed", "formula"), CHART)
def test_wind_chill_chart(air, wind, printed, formula):
    """Every checked cell rounds to the printed whole degree."""
    got = wind_chill_degf(air_degf=air, wind_mph=wind)
    assert got == pytest.approx(formula, abs=0.006)
    assert round(got) == printed


def test_the_mislabelled_row_of_one_stored_copy():
    """One copy prints -28 at 5 mph beside -10 degF; that is the row of -15 degF."""
    assert round(wind_chill_degf(air_degf=-10, wind_mph=5)) == -22
    assert round(wind_chill_degf(air_degf=-15, wind_mph=5)) == -28


@pytest.mark.parametrize(
    ("air", "wind", "got"), [(-10, 30, -19.5), (0, 20, -5.2), (-20, 40, -34.1)]
)
def test_wind_chill_in_metric(air, wind, got):
    """Computed from the metric form."""
    assert round(wind_chill_degc(air_degc=air, wind_kmh=wind), 1) == got


# NIOSH 2016-106 (published): degF; minutes of work an hour, N normal, C caution.
HEAT = """
90 N N N
94 N N N
95 N N 45
96 N N 45
97 N N 40
98 N N 35
99 N N 35
100 N 45 30
101 N 40 30
102 N 35 25
103 N 30 20
104 N 30 20
105 N 25 15
106 45 20 C
107 40 15 C
108 35 C C
109 30 C C
110 15 C C
111 C C C
112 C C C
"""


@pytest.mark.parametrize("row", HEAT.strip().splitlines())
def test_heat_rows(row):
    """Every row of the table, light, moderate and heavy."""
    degf, *cells = row.split()
    for effort, cell in zip(Effort, cells, strict=True):
        if cell == "N":
            wanted = NORMAL
        elif cell == "C":
            wanted = CAUTION
        else:
            wanted = WorkRest(work_min=int(cell), rest_min=60 - int(cell))
        assert work_rest(table_degf=float(degf), effort=effort) == wanted


@pytest.mark.parametrize(
    ("sky", "humidity", "added"),
    [
        (Sky.FULL_SUN, 0.3, 13),
        (Sky.PART_CLOUD, 0.3, 7),
        (Sky.NO_SUN, 0.1, -8),
        (Sky.NO_SUN, 0.2, -4),
        (Sky.NO_SUN, 0.4, 3),
        (Sky.NO_SUN, 0.5, 6),
        (Sky.NO_SUN, 0.6, 9),
    ],
)
def test_heat_adjustments_from_memory(sky, humidity, added):
    """From memory: the reverse side of NIOSH 2016-106."""
    assert table_degf(air_degc=30, sky=sky, humidity=humidity) == pytest.approx(86 + added)


@pytest.mark.parametrize(
    ("index", "band"),
    [
        (90, HeatBand.LOWER),
        (91, HeatBand.MODERATE),
        (104, HeatBand.HIGH),
        (116, HeatBand.EXTREME),
    ],
)
def test_heat_index_bands(index, band):
    """OSHA, Using the Heat Index (published)."""
    assert heat_index_band(index_degf=index) is band


@pytest.mark.parametrize(
    ("watts", "used", "not_used"),
    [(180, 30.76, 28.10), (300, 28.21, 24.97), (415, 26.59, 22.99), (520, 25.47, 21.60)],
)
def test_exposure_limits_from_memory(watts, used, not_used):
    """From memory: the formulas; the values computed from them."""
    got = exposure_limit_degc(metabolic_w=watts, used=Acclimatised.YES)
    assert got == pytest.approx(used, abs=0.006)
    assert exposure_limit_degc(metabolic_w=watts) == pytest.approx(not_used, abs=0.006)


def test_wet_bulb_globe_from_memory():
    """From memory: 25, 40 and 32 degC make 28.7."""
    got = wet_bulb_globe_degc(wet_degc=25, globe_degc=40, air_degc=32)
    assert got == pytest.approx(28.7)


@pytest.mark.parametrize(
    ("fraction", "minutes"),
    [
        (1.0, 0.10),
        (0.75, 0.47),
        (0.5, 1.10),
        (0.4, 1.56),
        (0.3, 2.54),
        (0.25, 3.70),
        (0.2, 6.50),
    ],
)
def test_endurance(fraction, minutes):
    """Rohmert's curve in Bernard 2006 (published), values computed."""
    assert hold_endurance_s(fraction=fraction) / 60 == pytest.approx(minutes, abs=0.006)
