"""Logs judged at once: no finding improves when a reading worsens; what is not seen stays open."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.trade.cooking import Product, chart_findings, hold_finding, reheat_findings
from stations.trade.cooling import Cooling, cooling_findings, rapid_findings
from stations.trade.errors import OutOfRange
from stations.trade.fermenting import degree_hours_finding, hours_allowed
from stations.trade.findings import Finding, Rule, Sense, Standing, shown, worst
from stations.trade.holding import Held, holding_findings
from stations.trade.sources import Source, Trust
from stations.trade.temperature_log import TemperatureLog, log_of
from stations.trade.trichinae import Piece, centre_finding, heating_findings, piece_of, room_finding

MIN, HOUR, DAY = 60.0, 3600.0, 86400.0


def spaced(temps: list[float], every_s: float) -> TemperatureLog:
    return log_of(*((n * every_s, temp) for n, temp in enumerate(temps)))


def ranks(findings: tuple[Finding | None, ...]) -> list[int]:
    return [one.standing.rank for one in findings if one is not None]


def cooked(log: TemperatureLog) -> tuple[Finding | None, ...]:
    return (
        *(one for product in Product for one in chart_findings(product, log)),
        *(hold_finding(product, log) for product in Product),
        *reheat_findings(log),
        *heating_findings(log),
    )


def cooled(log: TemperatureLog) -> tuple[Finding | None, ...]:
    return tuple(one for way in Cooling for one in cooling_findings(way, log, started_s=0.0))


def kept_cold(log: TemperatureLog) -> tuple[Finding | None, ...]:
    return holding_findings(Held.COLD, log)


def kept_hot(log: TemperatureLog) -> tuple[Finding | None, ...]:
    return (*holding_findings(Held.HOT, log), *holding_findings(Held.HOT_ROAST, log))


def kept_frozen(log: TemperatureLog) -> tuple[Finding | None, ...]:
    return (*(room_finding(piece, log) for piece in Piece), centre_finding(log))


def fermented(log: TemperatureLog) -> tuple[Finding | None, ...]:
    return (degree_hours_finding(log, sour_at_s=None),)


@pytest.mark.parametrize(
    ("judge", "low", "high", "every_s", "worse"),
    [
        (cooked, 40.0, 80.0, 4 * MIN, -1),
        (cooled, 0.0, 90.0, 50 * MIN, 1),
        (kept_cold, 0.0, 12.0, HOUR, 1),
        (kept_hot, 45.0, 75.0, HOUR, -1),
        (kept_frozen, -40.0, 0.0, 5 * DAY, 1),
        (fermented, 16.0, 44.0, 9 * HOUR, 1),
    ],
)
@given(data=st.data())
@settings(deadline=None, max_examples=60)
def test_no_finding_improves_when_a_reading_worsens(judge, low, high, every_s, worse, data):
    temps = data.draw(st.lists(st.floats(low, high), min_size=2, max_size=9))
    which = data.draw(st.integers(0, len(temps) - 1))
    by = data.draw(st.floats(0.0, 6.0))
    changed = [t + worse * by if n == which else t for n, t in enumerate(temps)]
    before, after = (ranks(judge(spaced(row, every_s))) for row in (temps, changed))
    assert all(a <= b for a, b in zip(before, after, strict=True))


def test_a_dip_between_readings_breaks_the_hold():
    """4 min at 145 F, once in a row and once in two parts."""
    whole = log_of((0.0, 63.0), (240.0, 63.0))
    broken = log_of((0.0, 63.0), (120.0, 63.0), (130.0, 60.5), (140.0, 63.0), (260.0, 63.0))
    found = [hold_finding(Product.WHOLE_PORK, log) for log in (whole, broken)]
    assert [one.standing for one in found if one] == [Standing.WITHIN, Standing.OUTSIDE]


def test_what_is_still_in_the_heat_stays_open():
    log = log_of((0.0, 50.0), (600.0, 58.0))
    assert chart_findings(Product.MINCED_PORK, log, cooking=True)[0].standing is Standing.OPEN
    assert chart_findings(Product.MINCED_PORK, log)[0].standing is Standing.OUTSIDE


def test_158_f_counts_once_seen_and_needs_a_reading():
    assert hold_finding(Product.MINCED_PORK, log_of((0.0, 70.0))).standing is Standing.WITHIN
    cold = hold_finding(Product.MINCED_PORK, log_of((0.0, 20.0)))
    assert cold.standing is Standing.OUTSIDE
    assert "Keep cooking" in cold.sentence()


def test_a_log_that_begins_cool_cannot_show_its_first_stage():
    found = cooling_findings(Cooling.TWO_STAGE, log_of((0.0, 30.0), (600.0, 4.0)))
    assert {one.standing for one in found} == {Standing.OPEN}
    assert "does not show it at 135 F" in found[0].sentence()


def test_food_that_warms_again_counts_as_warm():
    log = log_of((0.0, 60.0), (HOUR, 20.0), (2 * HOUR, 25.0), (3 * HOUR, 20.0), (5 * HOUR, 4.0))
    assert cooling_findings(Cooling.TWO_STAGE, log)[0].standing is Standing.OUTSIDE


def test_a_batch_still_cooling_turns_outside_when_its_hours_pass():
    short = log_of((0.0, 60.0), (1.5 * HOUR, 40.0))
    long = log_of((0.0, 60.0), (2.5 * HOUR, 40.0))
    standings = [cooling_findings(Cooling.TWO_STAGE, log)[0].standing for log in (short, long)]
    assert standings == [Standing.OPEN, Standing.OUTSIDE]


def test_a_start_after_the_last_reading_is_refused():
    with pytest.raises(OutOfRange, match="Start of cooling"):
        cooling_findings(Cooling.TWO_STAGE, log_of((0.0, 60.0)), started_s=10.0)


def test_a_value_from_memory_never_passes_alone():
    rule = Rule(
        name="a limit",
        limit=2.0,
        sense=Sense.AT_MOST,
        unit="h",
        source=Source(title="somewhere", trust=Trust.MEMORY),
        remedy="Ask",
    )
    assert rule.held_against(1.0).standing is Standing.OPEN
    assert rule.held_against(1.0).holds
    assert rule.held_against(3.0).standing is Standing.OUTSIDE


@given(value=st.floats(-50.0, 5000.0))
def test_a_shown_value_is_never_nearer_to_a_pass(value):
    assert float(shown(value, Sense.AT_MOST)) >= value - 1e-6
    assert float(shown(value, Sense.AT_LEAST)) <= value + 1e-6


def test_nothing_judged_is_open():
    assert worst(()) is Standing.OPEN
    assert worst(cooling_findings(Cooling.TWO_STAGE, log_of((0.0, 60.0)))) is Standing.OPEN


def test_no_word_calls_food_safe():
    for standing in Standing:
        assert "safe" not in standing.words


def test_thickness_and_chamber_outside_the_tables_are_refused():
    with pytest.raises(OutOfRange, match="Thickness"):
        piece_of(0.9)
    with pytest.raises(OutOfRange, match="Thickness"):
        rapid_findings(thick_m=0.0, intact=True, air_c=3.0)
    with pytest.raises(OutOfRange, match="Chamber"):
        hours_allowed(60)


def test_exactly_six_inches_is_the_first_group():
    assert piece_of(6 * 0.0254) is Piece.TO_6_IN
    assert piece_of(6.01 * 0.0254) is Piece.TO_27_IN
