"""The chart: bars where the times are, one row a station or a hog, nothing on top of another."""

from __future__ import annotations

from datetime import time, timedelta

import pytest

from scheduling import charting
from scheduling.clocking import Times
from scheduling.lateness import standings
from scheduling.light import DayLight
from scheduling.models import RunSheet
from stations.trade.daylight import daylight
from tests.build import (
    make_break,
    make_day,
    make_hog,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
)

pytestmark = pytest.mark.django_db


def scene() -> RunSheet:
    """Two hogs through one station that holds both, from nine, an hour each, half overlapping."""
    sheet = make_run_sheet(make_day())
    workshop = sheet.day.workshop
    scrape = make_stage(make_station(workshop, capacity=2), minutes=60, name="Scrape")
    make_step(sheet, scrape, animal=make_hog(workshop), starts=time(9), slack_min=0)
    make_step(sheet, scrape, animal=make_hog(workshop), starts=time(9, 30), slack_min=25)
    make_break(sheet.day)
    return RunSheet.objects.with_steps().get(pk=sheet.pk)


def test_a_bar_starts_and_ends_at_its_times() -> None:
    """Nine o'clock is one hour after the day opens at eight; sixty minutes is sixty minutes."""
    sheet = scene()
    chart = charting.draw(sheet, rows=charting.Rows.STATION, now=sheet.day.midnight)
    first = chart.bars[0]
    assert first.x == 60 * charting.PER_MIN
    assert first.end == pytest.approx(120 * charting.PER_MIN, abs=1)


def test_bars_of_one_row_that_overlap_in_time_do_not_overlap_on_paper() -> None:
    """Two hogs at one station take a lane each."""
    chart = charting.draw(scene(), rows=charting.Rows.STATION, now=scene().day.midnight)
    one, two = chart.bars
    assert one.y + one.height <= two.y
    assert len(chart.rows) == 1


def test_by_hog_each_hog_has_its_row() -> None:
    """The same steps, two rows."""
    chart = charting.draw(scene(), rows=charting.Rows.HOG, now=scene().day.midnight)
    assert [row.label for row in chart.rows] == ["Hog 1", "Hog 2"]


def test_critical_steps_slack_and_now_are_marked() -> None:
    """No slack is critical; 25 min of slack is a line of 25 min; now stands in the day only."""
    sheet = scene()
    now = sheet.day.at(time(10))
    chart = charting.draw(sheet, rows=charting.Rows.STATION, now=now)
    assert [bar.critical for bar in chart.bars] == [True, False]
    assert [bar.slack_width for bar in chart.bars] == [0, 25 * charting.PER_MIN]
    assert chart.now_x == 120 * charting.PER_MIN
    assert "25 min of slack" in chart.bars[1].title
    later = charting.draw(sheet, rows=charting.Rows.STATION, now=now + timedelta(days=1))
    assert later.now_x is None


def test_dark_pins_and_what_happened_are_marked() -> None:
    """Dusk is drawn, a step out of doors after it says D, a pin says P, and the real time runs."""
    sheet = scene()
    late, early = sheet.steps.all()[1], sheet.steps.all()[0]
    early.pinned = True
    light = DayLight(
        light=daylight(
            latitude=40, longitude=-105, day=sheet.day.date, zone=sheet.day.workshop.zone
        ),
        in_the_dark=frozenset({late.code}),
    )
    now = sheet.day.at(time(10))
    times = {early.code: Times(started=sheet.day.at(time(9, 20)))}
    seen = charting.Seen(light=light, standings=standings([early, late], times, now=now))
    chart = charting.draw(sheet, rows=charting.Rows.STATION, now=now, seen=seen)
    one, two = chart.bars
    assert [sign.text for sign in one.signs] == ["!", "P"]
    assert [sign.text for sign in two.signs] == ["D"]
    assert one.real is not None
    assert (one.real.x, one.real.width) == (80 * charting.PER_MIN, 60 * charting.PER_MIN)
    assert one.late
    assert "running since 09:20, 20 min late" in one.title
    assert "in the dark" in two.title
    (dusk,) = chart.nights
    assert dusk.label == "dark from 17:25"


def test_on_paper_the_day_is_as_wide_as_the_sheet() -> None:
    """Names and chart together; an hour is an hour still."""
    sheet = scene()
    now = sheet.day.midnight
    chart = charting.draw(sheet, rows=charting.Rows.STATION, now=now, on_paper=True)
    assert chart.width + chart.names_width <= charting.PAPER_WIDTH + 10
    one, two = chart.bars
    assert two.x - one.x == pytest.approx((chart.hours[1].x - chart.hours[0].x) / 2)


def test_a_long_name_takes_two_lines_and_no_more() -> None:
    """The names' column is narrow."""
    row = charting.Row(label="S  Scraping bench by the barn door", y=36, height=60)
    assert [line.text for line in row.lines] == ["S Scraping", "bench by the"]


def test_the_break_is_drawn() -> None:
    """Half an hour from noon."""
    sheet = scene()
    (pause,) = charting.draw(sheet, rows=charting.Rows.STATION, now=sheet.day.midnight).breaks
    assert (pause.label, pause.width) == ("Dinner", 30 * charting.PER_MIN)


def test_a_label_longer_than_its_bar_is_cut_and_stays_whole_in_the_title() -> None:
    """A bar of five minutes shows no torn word outside its edge."""
    sheet = make_run_sheet(make_day())
    stage = make_stage(make_station(sheet.day.workshop), minutes=5, name="Rinse and look over")
    make_step(sheet, stage)
    loaded = RunSheet.objects.with_steps().get(pk=sheet.pk)
    (bar,) = charting.draw(loaded, rows=charting.Rows.STATION, now=sheet.day.midnight).bars
    assert len(bar.label) * charting.LETTER <= bar.width
    assert "Rinse and look over" in bar.title
