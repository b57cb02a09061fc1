"""Every row of the lethality, trichinae and cooling tables, retyped here from the sources."""

import pytest

from stations.trade.cooking import Product, chart_findings, hold_finding
from stations.trade.cooling import Cooling, cooling_findings, rapid_findings
from stations.trade.fermenting import degree_hour_limit, hours_allowed
from stations.trade.findings import Standing
from stations.trade.holding import Held, danger_zone_finding, holding_findings
from stations.trade.lethality import MINCED_HOLDS, ROAST_HOLDS, Reduction
from stations.trade.measures import celsius
from stations.trade.temperature_log import log_of
from stations.trade.trichinae import (
    CENTRE_FREEZES,
    HEAT_HOLDS,
    ROOM_FREEZES,
    Piece,
    heating_findings,
    room_finding,
)

HOUR = 3600.0

# Copy of FSIS Appendix A, 1999: degF, degC as printed, 6.5-log s, 7-log s.
APPENDIX_A = """
130 54.4 6720 7260 | 131 55.0 5340 5820 | 132 55.6 4260 4620 | 133 56.1 3360 3720
134 56.7 2700 2820 | 135 57.2 2160 2220 | 136 57.8 1680 1920 | 137 58.4 1380 1440
138 58.9 1080 1140 | 139 59.5 900 900   | 140 60.0 720 720   | 141 60.6 540 600
142 61.1 480 480   | 143 61.7 360 360   | 144 62.2 300 300   | 145 62.8 240 240
146 63.3 169 182   | 147 63.9 134 144   | 148 64.4 107 115   | 149 65.0 85 91
150 65.6 67 72     | 151 66.1 54 58     | 152 66.7 43 46     | 153 67.2 34 37
154 67.8 27 29     | 155 68.3 22 23     | 156 68.9 17 19     | 157 69.4 14 15
158 70.0 0 0
"""
ROWS = [row.split() for line in APPENDIX_A.strip().splitlines() for row in line.split("|")]
# WAC 246-215-03400 table 3-2 repeats these of them with the same times.
FOOD_CODE_F = {130, 131, 133, 135, 136, 138, 140, 142, 144, 145, 147, 149, 151, 153, 155, 157, 158}


def test_every_row_of_appendix_a():
    assert len(ROWS) == 29
    assert [f"{h.temp_f}" for h in ROAST_HOLDS[Reduction.LOG_6_5]] == [row[0] for row in ROWS]
    for at, (f, c, a, b) in enumerate(ROWS):
        low, high = (ROAST_HOLDS[r][at] for r in (Reduction.LOG_6_5, Reduction.LOG_7))
        assert (low.hold_s, high.hold_s) == (float(a), float(b))
        # 137 and 139 F are printed 58.4 and 59.5, a tenth above the exact conversion
        assert celsius(fahrenheit=float(f)) == pytest.approx(float(c), abs=0.1)


@pytest.mark.parametrize("row", [row for row in ROWS if int(row[0]) in FOOD_CODE_F])
def test_a_roast_just_held_is_within_and_a_second_short_is_not(row):
    """Food Code table 3-2, the same times as the 6.5-log column."""
    temp, hold_s = celsius(fahrenheit=float(row[0])), float(row[2])
    held = hold_finding(Product.WHOLE_PORK, log_of((0.0, 20.0), (9.0, temp), (10 + hold_s, temp)))
    assert held is not None
    assert held.standing is Standing.WITHIN
    if hold_s:
        short = hold_finding(Product.WHOLE_PORK, log_of((0.0, temp), (hold_s - 1, temp)))
        assert short is not None
        assert short.standing is Standing.OUTSIDE


@pytest.mark.parametrize(("f", "seconds"), [(145, 180), (150, 60), (155, 17), (158, 0)])
def test_minced_rows_of_the_food_code(f, seconds):
    """WAC 246-215-03400 table 3-1; the 158 F row (<1 s) from the 2021 text."""
    assert next(h.hold_s for h in MINCED_HOLDS if h.temp_f == f) == seconds


@pytest.mark.parametrize(
    ("product", "f"),
    [
        (Product.WHOLE_PORK, 145),
        (Product.MINCED_PORK, 160),
        (Product.STUFFED_OR_LEFTOVER, 165),
        (Product.HAM_FROM_HERE, 165),
        (Product.POULTRY, 165),
    ],
)
def test_the_consumer_chart(product, f):
    """USDA chart; whole pork since 2011 145 F with 3 min rest."""
    temp = celsius(fahrenheit=f)
    at, below = (chart_findings(product, log_of((0.0, t), (180.0, t))) for t in (temp, temp - 0.01))
    assert {one.standing for one in at} == {Standing.WITHIN}
    assert below[0].standing is Standing.OUTSIDE


TRICHINAE_HEAT_MIN = {
    120: 21 * 60,
    122: 9.5 * 60,
    124: 4.5 * 60,
    126: 120,
    128: 60,
    130: 30,
    132: 15,
    134: 6,
    136: 3,
    138: 2,
    140: 1,
    142: 1,
    144: 0,
}


def test_every_heating_row_for_trichinae():
    """Former 9 CFR 318.10(c)(1)."""
    assert {h.temp_f: h.hold_s / 60 for h in HEAT_HOLDS} == TRICHINAE_HEAT_MIN


def test_come_up_longer_than_two_hours_is_outside():
    """60 to 120 F in at most 2 h unless cured or fermented, former 318.10(c)(1)."""
    slow = log_of((0.0, 15.0), (2.1 * HOUR, 49.0), (2.2 * HOUR, 63.0))
    assert [one.standing.value for one in heating_findings(slow)] == ["within", "outside"]


def test_every_freezing_row_for_trichinae():
    """Former 9 CFR 318.10(c)(2), tables 1 (days) and 2 (hours at the centre)."""
    days = {p: {r.temp_f: r.hold_s / 86400 for r in rows} for p, rows in ROOM_FREEZES.items()}
    assert days == {
        Piece.TO_6_IN: {5: 20, -10: 10, -20: 6},
        Piece.TO_27_IN: {5: 30, -10: 20, -20: 12},
    }
    assert {r.temp_f: r.hold_s / HOUR for r in CENTRE_FREEZES} == {
        0: 106,
        -5: 82,
        -10: 63,
        -15: 48,
        -20: 35,
        -25: 22,
        -30: 8,
        -35: 0.5,
    }


def test_a_home_freezer_at_0_f_keeps_the_5_f_row():
    """20 days for pieces up to 6 in (derived)."""
    zero_f = celsius(fahrenheit=0.0)
    log = log_of((0.0, zero_f), (20 * 86400.0, zero_f))
    assert room_finding(Piece.TO_6_IN, log).standing is Standing.WITHIN
    assert room_finding(Piece.TO_27_IN, log).standing is Standing.OUTSIDE


@pytest.mark.parametrize(
    ("way", "stages"),
    [
        (Cooling.TWO_STAGE, [(135, 70, 2), (135, 41, 6)]),  # Food Code 3-501.14
        (Cooling.FROM_AMBIENT, [(212, 41, 4)]),  # the same; its start is no temperature
        (Cooling.STABILISE_ANY, [(130, 80, 1.5), (80, 40, 5)]),  # Appendix B option 1
        (Cooling.STABILISE_SLOW, [(120, 80, 1), (120, 55, 6)]),  # option 2
        (Cooling.STABILISE_CURED, [(130, 80, 5), (80, 40, 10)]),  # option 3, 40 F the stricter
    ],
)
def test_cooling_stages(way, stages):
    assert [(s.from_f, s.to_f, s.limit_h) for s in way.stages] == stages


def test_a_fast_first_stage_lends_time_to_the_second():
    """135 to 41 F in 6 h total: 1 h then 5 h is within (WAC 246-215-03515)."""
    log = log_of((0.0, 57.3), (HOUR, 21.0), (6 * HOUR, 5.0))
    assert {one.standing for one in cooling_findings(Cooling.TWO_STAGE, log)} == {Standing.WITHIN}


def test_two_hours_and_a_minute_is_late():
    log = log_of((0.0, 57.3), (2 * HOUR + 60, 21.0), (5 * HOUR, 4.0))
    first, second = cooling_findings(Cooling.TWO_STAGE, log)
    assert (first.standing, second.standing) == (Standing.OUTSIDE, Standing.WITHIN)
    assert "do not serve it" in first.sentence()


def test_rapid_cooling_depths():
    """WAC 246-215-03515: 2 in of food, 4 in of intact meat, air at most 41 F."""
    inch = 0.0254
    assert rapid_findings(thick_m=2 * inch, intact=False, air_c=5.0)[0].standing is Standing.WITHIN
    assert rapid_findings(thick_m=4 * inch, intact=True, air_c=5.0)[0].standing is Standing.WITHIN
    deep = rapid_findings(thick_m=4 * inch, intact=False, air_c=5.1)
    assert [one.standing for one in deep] == [Standing.OUTSIDE, Standing.OUTSIDE]


@pytest.mark.parametrize(
    ("held", "f", "good", "bad"),
    [(Held.HOT, 135, 0, -1), (Held.HOT_ROAST, 130, 0, -1), (Held.COLD, 41, 0, 1)],
)
def test_holding_limits(held, f, good, bad):
    """Food Code 3-501.16 (WAC 246-215-03525)."""
    for step, standing in ((good, Standing.WITHIN), (bad, Standing.OUTSIDE)):
        temp = celsius(fahrenheit=f) + 0.01 * step
        assert holding_findings(held, log_of((0.0, temp)))[0].standing is standing


def test_danger_zone_hours():
    """USDA/FSIS statement 2016: 2 h, 1 h in air above 90 F."""
    log = log_of((0.0, 20.0), (1.5 * HOUR, 20.0))
    assert danger_zone_finding(log, air_c=32.0).standing is Standing.WITHIN
    assert danger_zone_finding(log, air_c=32.5).standing is Standing.OUTSIDE


@pytest.mark.parametrize(
    ("f", "hours"),
    [(75, 80), (80, 60), (85, 48), (90, 33), (95, 28), (100, 25), (105, 20), (110, 18)],
)
def test_fermentation_hours(f, hours):
    """UW-Madison fermentation log, 2012: its hours are cut, 33.3 to 33 and 28.6 to 28."""
    assert hours_allowed(f) == hours
    assert degree_hour_limit(f) in (1200.0, 1000.0, 900.0)
