"""Daylight on a day, and what must be done before it, back from the run sheet."""

from __future__ import annotations

from datetime import time, timedelta
from decimal import Decimal

import pytest

from scheduling import backwards, light
from scheduling.models import RunSheet, SheetStatus
from tests.build import (
    make_hog,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_trough,
    make_workshop,
)
from workshops.models import Workshop

pytestmark = pytest.mark.django_db


def scene(workshop: Workshop, *, kills: tuple[time, ...] = (time(8), time(10))) -> RunSheet:
    """Two hogs killed and scalded half an hour later, and a supper at 18:00, in the yard."""
    sheet = make_run_sheet(workshop.days.all()[0], SheetStatus.POSTED)
    pen, trough = make_station(workshop, outdoors=True), make_station(workshop, name="Trough")
    make_trough(trough)
    kill, scald = make_stage(pen, name="Kill", minutes=10), make_stage(trough, name="Scald")
    for starts in kills:
        hog = make_hog(workshop)
        make_step(sheet, kill, animal=hog, starts=starts)
        make_step(sheet, scald, animal=hog, starts=time(starts.hour, 30))
    make_step(sheet, make_stage(pen, name="Supper", subject="once"), starts=time(18))
    return RunSheet.objects.with_steps().get(pk=sheet.pk)


def test_steps_out_of_doors_after_dark_are_flagged() -> None:
    """On 11 January near Boulder it is dark by 17:25: the supper is, the kills are not."""
    sheet = scene(make_workshop(latitude=Decimal(40), longitude=Decimal(-105)))
    seen = light.day_light(sheet.day, sheet.steps.all())
    supper = sheet.steps.get(stage__name="Supper")
    assert seen.in_the_dark == {supper.code}
    assert seen.sentence == "Sunrise 07:21, sunset 16:55, dark by 17:25."


def test_without_a_place_it_says_what_to_fill_in() -> None:
    """No latitude: no guess, no flag."""
    sheet = scene(make_workshop())
    seen = light.day_light(sheet.day, sheet.steps.all())
    assert seen.light is None
    assert seen.in_the_dark == frozenset()
    assert "no latitude and longitude" in seen.sentence


def test_everything_before_the_day_in_time_order_each_with_its_source() -> None:
    """Kills at 8 and 10, first scald at 8:30."""
    sheet = scene(make_workshop())
    found = backwards.before_the_day(sheet)
    whats = [item.what for item in found]
    times = [item.at for item in found]
    assert times == sorted(times)
    assert all(item.source for item in found)
    feed = found[whats.index("Take the feed from the hogs; leave the water")]
    day_before = sheet.day.midnight - timedelta(days=1)
    # 24 h before the last kill, 12 h before the first.
    assert feed.since == day_before + timedelta(hours=10)
    assert feed.at == day_before + timedelta(hours=20)
    assert "OMAFRA factsheet 05-065" in feed.source
    light_it = found[whats.index("Light the fire under the trough")]
    fill = next(item for item in found if item.what.startswith("Fill the trough with"))
    assert light_it.at is not None
    assert fill.at == light_it.at - timedelta(minutes=backwards.FILL_MIN)
    assert light_it.at < sheet.day.at(time(8))
    assert "computed from named inputs" in light_it.source
    assert any(what.startswith("Check each thermometer") for what in whats)
    assert any(what.startswith("Print the day's pack") for what in whats)
    assert any(what.startswith("Fetch the ice") for what in whats)
    assert "Light the kettle" in whats


def test_a_fire_too_weak_is_said_and_no_time_is_made_up() -> None:
    """Two kilowatts never bring that water to the scald."""
    sheet = scene(make_workshop())
    trough = sheet.day.workshop.stations.get(name="Trough").trough
    trough.fire_w = 2000
    trough.save()
    found = backwards.before_the_day(sheet)
    fire = next(item for item in found if item.what.startswith("Light the fire"))
    assert fire.at is None
    assert fire.why


def test_kills_too_far_apart_have_no_one_time_for_the_feed() -> None:
    """Seven in the morning and eight at night."""
    sheet = scene(make_workshop(), kills=(time(7), time(20)))
    feed = next(item for item in backwards.before_the_day(sheet) if "feed" in item.what)
    assert feed.at is None
    assert "pen the later hogs apart" in feed.why


def test_a_day_without_hogs_needs_no_feed_no_fire_and_no_ice() -> None:
    """Only paper and thermometers."""
    sheet = make_run_sheet(make_workshop().days.all()[1])
    make_step(sheet)
    loaded = RunSheet.objects.with_steps().get(pk=sheet.pk)
    assert len(backwards.before_the_day(loaded)) == 2


def test_the_board_shows_them_until_the_day_begins() -> None:
    """At seven still; at eight no more."""
    sheet = scene(make_workshop())
    assert backwards.still_ahead(sheet, now=sheet.day.at(time(7)))
    assert backwards.still_ahead(sheet, now=sheet.day.at(time(8))) == []
