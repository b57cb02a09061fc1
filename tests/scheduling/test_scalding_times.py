"""Counting back from the run sheet to the match; re-heats in the timetable; burns on cards."""

from __future__ import annotations

from datetime import time

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scheduling import gathering, live_day, scalding_times, sheets
from scheduling.models import RunSheet, SheetStatus
from stations import heating
from stations.models import Station
from tests.build import (
    make_chain_duty,
    make_duty,
    make_enrolment,
    make_hog,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_trough,
)
from tests.cast import client_of
from workshops.models import User, Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def station(workshop: Workshop) -> Station:
    """A trough where two hogs are scalded, struck hot, set up in 30 min as typed."""
    made = make_station(workshop, name="Trough", set_up_min=30)
    make_trough(made, water_kg=230.0, falling_scald=True)
    for _ in range(2):
        make_hog(workshop)
    return made


def scalded(station: Station, status: SheetStatus, *clocks: time) -> RunSheet:
    """A run sheet of the first day with a hog into the trough at each time, for 12 min."""
    workshop = station.workshop
    sheet = make_run_sheet(workshop.days.all()[0], status)
    stage = workshop.stages.first() or make_stage(station, minutes=12, name="Scald")
    for hog, clock in zip(workshop.animals.all(), clocks, strict=False):
        make_step(sheet, stage, animal=hog, starts=clock)
    return sheet


def clock_of(station: Station, **lengths: int | None) -> list[str]:
    """The times as the farm reads them."""
    known = {"heat_min": lengths.get("heat_min"), "boil_min": lengths.get("boil_min")}
    found = scalding_times.scald_times(scalding_times.scald_steps(station), **known)
    assert found is not None
    zone = station.workshop.zone
    return [f"{one.at.astimezone(zone):%H:%M} {one.what.split(':')[0]}" for one in found.moments]


def test_the_match_is_struck_the_heat_up_and_ten_minutes_before_the_first_hog(
    station: Station,
) -> None:
    """80 min to heat before 08:30 is 07:00; the kettle with 30 at 07:50; in the order of time."""
    scalded(station, SheetStatus.DRAFT, time(8, 30), time(9, 45))
    first, second = (str(hog) for hog in station.workshop.animals.all())
    assert clock_of(station, heat_min=80, boil_min=30) == [
        "07:00 Light the fire",
        "07:50 Light the kettle",
        f"08:30 {first} goes in",
        f"09:45 {second} goes in",
    ]
    assert clock_of(station)[0].startswith("08:30")


def test_what_is_posted_goes_before_a_draft_and_the_past_does_not_count(station: Station) -> None:
    """Everyone works by the posted times."""
    scalded(station, SheetStatus.PAST, time(7))
    scalded(station, SheetStatus.DRAFT, time(10))
    assert clock_of(station, heat_min=50)[0] == "09:00 Light the fire"
    scalded(station, SheetStatus.POSTED, time(9))
    assert clock_of(station, heat_min=50)[0] == "08:00 Light the fire"


def test_the_part_says_what_to_do_when_nothing_is_planned(
    lead_client: Client, station: Station
) -> None:
    """And answers as a page of its own to whoever follows the link."""
    url = reverse("scald-times", args=[station.workshop.slug, station.letter])
    page = lead_client.get(url, {"heat": "80"})
    assert b"Plan the course" in page.content
    assert b"<html" in page.content
    part = lead_client.get(url, {"heat": "eighty"}, headers={"HX-Request": "true"})
    assert part.status_code == 200
    assert b"<html" not in part.content


@pytest.mark.parametrize(
    ("role", "code"),
    [("organizer", 200), ("lead", 200), ("helper", 403), ("stranger", 404), ("nobody", 302)],
)
def test_each_role_gets_the_answer_it_should(
    request: pytest.FixtureRequest, station: Station, role: str, code: int
) -> None:
    """Times to light are for those who plan."""
    user: User | None = None if role == "nobody" else request.getfixturevalue(role)
    url = reverse("scald-times", args=[station.workshop.slug, station.letter])
    assert client_of(user).get(url).status_code == code


def test_the_part_costs_the_same_queries_for_one_hog_and_for_two(
    lead_client: Client, station: Station
) -> None:
    """Steps come with their hogs."""
    url = reverse("scald-times", args=[station.workshop.slug, station.letter])
    counts = []
    for clocks in ([time(9)], [time(9), time(11)]):
        RunSheet.objects.all().delete()
        scalded(station, SheetStatus.POSTED, *clocks)
        with CaptureQueriesContext(connection) as caught:
            lead_client.get(url)
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_the_timetable_takes_the_set_up_from_the_scald_plan(station: Station) -> None:
    """Not the 30 min that were typed, unless the plan refuses."""
    method = gathering.gather(station.workshop)
    longest = max(heating.reheat_minutes(station.trough, method.animals).values())
    (spec,) = gathering.timetable_problem(method).stations
    assert spec.set_up_min == longest + heating.HANDLING_MIN != 30
    station.trough.fire_w = 5000.0
    station.trough.save()
    (spec,) = gathering.timetable_problem(gathering.gather(station.workshop)).stations
    assert spec.set_up_min == 30


def test_the_run_sheet_says_where_the_set_up_comes_from(
    lead_client: Client, station: Station
) -> None:
    """As it was when the plan was made."""
    method = gathering.gather(station.workshop)
    said = heating.set_up_sentences(method.stations, method.animals)
    sheet = scalded(station, SheetStatus.POSTED, time(9))
    sheet.timetable = {"set_ups": said}
    sheet.save()
    page = lead_client.get(reverse("run-sheet", args=[station.workshop.slug, 1]))
    assert said[0] in page.content.decode()
    assert "The scald plan re-heats the water in" in said[0]


def test_who_works_at_the_hot_water_reads_what_it_does_and_who_stands_back_does_not(
    station: Station,
) -> None:
    """On the card and on the station's sheet, before the typed notes."""
    sheet = scalded(station, SheetStatus.POSTED, time(9))
    step = sheet.steps.get()
    chain = make_chain_duty(station)
    timer = make_duty(station, name="Timer")
    step.stage.duties.set([chain, timer])
    hot, cool = (make_enrolment(station.workshop) for _ in range(2))
    make_placement(step, chain, enrolment=hot, place="fore-left")
    make_placement(step, timer, enrolment=cool)
    loaded = RunSheet.objects.posted().with_steps().get()
    (at_water,), (at_clock,) = (live_day.places_of(seat, [loaded]) for seat in (hot, cool))
    assert "at 158 °F: serious burn in under 1 s" in at_water.notes[0].text
    assert at_clock.notes == ()
    (card,) = sheets.pack(loaded, number=1, root="http://192.0.2.7").cards
    assert card.notes == at_water.notes
