"""Alarms of the live day: what rises, what it says, when it is over, who has seen it."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from uuid import uuid4

import pytest

from scheduling import alarming, tasks
from scheduling.alarming import Ringing
from scheduling.models import Alarm, Mark, RunSheet, SheetStatus
from stations.dipping import Hand
from stations.models import ChillPlan, ChillReading, EntryKind, Station
from stations.trade.alarms import AlarmKind
from tests.build import (
    make_actual,
    make_dip,
    make_enrolment,
    make_entry,
    make_gap,
    make_hog,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_trough,
)
from workshops.models import Enrolment, User, Workshop
from workshops.pulse import counts_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(workshop: Workshop) -> RunSheet:
    """Today's, posted, with nothing on it yet."""
    return make_run_sheet(workshop.days.all()[0], SheetStatus.POSTED)


def rings(workshop: Workshop, now: datetime) -> list[Ringing]:
    return alarming.ringing(alarming.live_day(workshop, now=now))


def at(sheet: RunSheet, hour: int, minute: int) -> datetime:
    return sheet.day.at(time(hour, minute))


def trough_with_dip(workshop: Workshop, sheet: RunSheet) -> Station:
    """A hog in 69 degC since nine, Edda at the thermometer."""
    station = make_trough(make_station(workshop, name="Trough")).station
    hog = make_hog(workshop, tag="12")
    step = make_step(sheet, make_stage(station, name="Scald"), animal=hog)
    make_placement(step, enrolment=make_enrolment(workshop, given_name="Edda"))
    make_dip(station, hog, water_in_at=at(sheet, 9, 0))
    return station


def test_water_under_the_floor_names_the_hog_the_heat_and_who_stands_there(
    workshop: Workshop, sheet: RunSheet
) -> None:
    """What to do comes with it; a bucket that did not help makes a new alarm."""
    trough_with_dip(workshop, sheet)
    dip = workshop.dips.get()
    for seconds in (30, 60, 90):
        make_entry(dip, seconds=seconds, water_c=57.0)
    (first,) = rings(workshop, at(sheet, 9, 2))
    assert first.kind == AlarmKind.WATER_LOW
    assert "12" in first.what
    assert "floor" in first.what
    assert (first.who, first.is_seen) == ("Edda", False)
    assert first.to_do.startswith("Hot buckets in now")
    make_entry(dip, EntryKind.POUR, seconds=100, water_c=70.0, water_kg=1.0)
    make_entry(dip, seconds=110, water_c=57.0)
    assert [one.key for one in rings(workshop, at(sheet, 9, 2))] != [first.key]


def test_a_dip_past_the_longest_soak_rings_and_a_hog_that_is_out_does_not(
    workshop: Workshop, sheet: RunSheet
) -> None:
    """The clock of the dip stands in the words."""
    trough_with_dip(workshop, sheet)
    assert rings(workshop, at(sheet, 9, 1)) == []
    found = [one for one in rings(workshop, at(sheet, 9, 20)) if one.kind == AlarmKind.DIP_LONG]
    assert "20:00 in the water" in found[0].what
    make_entry(workshop.dips.get(), EntryKind.OUT, seconds=1200)
    assert rings(workshop, at(sheet, 9, 21)) == []


@pytest.mark.parametrize(
    ("key", "kind"), [("scrape", AlarmKind.WAITING), ("eviscerate", AlarmKind.BELLY)]
)
def test_a_carcass_that_waits_too_long_rings_until_its_step_begins(
    workshop: Workshop, sheet: RunSheet, key: str, kind: AlarmKind
) -> None:
    """Five minutes at most after the step before; the belly has words of its own."""
    station, hog = make_station(workshop), make_hog(workshop)
    before = make_stage(station, name="Scald", key="scald")
    after = make_stage(station, name="Next", key=key)
    make_gap(before, after, most_min=5)
    first = make_step(sheet, before, animal=hog)
    second = make_step(sheet, after, animal=hog, starts=time(10))
    make_actual(first, Mark.STARTED, at=at(sheet, 9, 0))
    make_actual(first, Mark.FINISHED, at=at(sheet, 9, 10))
    assert rings(workshop, at(sheet, 9, 15)) == []
    (found,) = rings(workshop, at(sheet, 9, 16))
    assert found.kind == kind
    assert "6 min after Scald; at most 5" in found.what
    make_actual(second, Mark.STARTED, at=at(sheet, 9, 17))
    assert rings(workshop, at(sheet, 9, 18)) == []


def test_a_rest_that_a_late_step_ate_up_rings_with_the_name(
    workshop: Workshop, sheet: RunSheet
) -> None:
    """Heavy until 9:50 instead of 9:20, heavy again at 10:00, half an hour asked for."""
    workshop.rest_after_heavy_min = 30
    workshop.save()
    station, seat = make_station(workshop), make_enrolment(workshop, given_name="Bo")
    stage = make_stage(station, name="Hoist")
    duty = stage.station.duties.create(name="Rope", order=1, heavy=True)
    stage.duties.add(duty)
    early = make_step(sheet, stage, code="early", starts=time(9))
    late = make_step(sheet, stage, code="late", starts=time(10))
    for step in (early, late):
        make_placement(step, duty, enrolment=seat)
    make_actual(early, Mark.STARTED, at=at(sheet, 9, 0))
    make_actual(early, Mark.FINISHED, at=at(sheet, 9, 50))
    (found,) = rings(workshop, at(sheet, 9, 55))
    assert found.kind == AlarmKind.REST
    assert found.what.startswith("Bo: 10 min of rest before Rope")
    assert "30 are needed" in found.what


def test_a_ham_that_is_not_known_to_be_cold_after_a_day_rings(
    workshop: Workshop, sheet: RunSheet
) -> None:
    """Until the probe in the middle of the ham says so."""
    hog, now = make_hog(workshop, tag="12"), at(sheet, 12, 0)
    killed = now - timedelta(hours=26)
    ChillPlan.objects.create(animal=hog, killed_at=killed, hung_at=killed, air=[[0, 2.0]])
    (found,) = rings(workshop, now)
    assert found.kind == AlarmKind.NOT_CHILLED
    assert "26 h after the kill, middle of the ham not read" in found.what
    ChillReading.objects.create(
        animal=hog, client_id=uuid4(), at=now, received_at=now, read_c=3.0, temp_c=3.0
    )
    assert rings(workshop, now) == []


def test_an_alarm_is_written_down_once_ends_and_is_told_to_the_pages(
    workshop: Workshop, sheet: RunSheet
) -> None:
    """Risen at one look, over at another; a look without news tells nobody."""
    trough_with_dip(workshop, sheet)
    now = at(sheet, 9, 20)
    alarming.note(workshop, now=now)
    alarming.note(workshop, now=now)
    row = Alarm.objects.get(kind="dip_long")
    assert (row.raised_at, row.over_at) == (now, None)
    assert row.source
    assert counts_of(workshop.pk) == {"alarm": 1}
    assert row.what in [one.what for one in alarming.standing(workshop)]
    make_entry(workshop.dips.get(), EntryKind.OUT, seconds=1201)
    alarming.note(workshop, now=at(sheet, 9, 22))
    row.refresh_from_db()
    assert row.over_at == at(sheet, 9, 22)
    assert (counts_of(workshop.pk), alarming.standing(workshop)) == ({"alarm": 2}, [])


def test_the_first_who_has_seen_an_alarm_counts(
    workshop: Workshop, sheet: RunSheet, attendee: Enrolment, lead: User
) -> None:
    """Even before the worker wrote it down; it stays on the pages, after those not yet seen."""
    trough_with_dip(workshop, sheet)
    now = at(sheet, 9, 20)
    key = rings(workshop, now)[0].key
    alarming.acknowledge(workshop, key, by=Hand(enrolment=attendee), now=now)
    alarming.acknowledge(workshop, key, by=Hand(user=lead), now=now + timedelta(minutes=1))
    (one,) = (one for one in rings(workshop, now) if one.key == key)
    assert (one.seen_by, one.seen_at) == ("Edda", now)
    assert alarming.acknowledge(workshop, "never rang", by=Hand(user=lead), now=now) is None


def test_the_worker_looks_at_courses_that_have_a_day_now(
    workshop: Workshop, sheet: RunSheet
) -> None:
    """The task looks at every one; a course with nothing posted and no hog in water is left."""
    trough_with_dip(workshop, sheet)
    alarming.note_all(now=at(sheet, 9, 20))
    assert Alarm.objects.filter(workshop=workshop, kind="dip_long").count() == 1
    tasks.note_alarms()
