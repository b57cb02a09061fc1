"""Now and next, at a station and for one person; who has done what."""

from __future__ import annotations

from datetime import time

import pytest

from scheduling import access, coverage, live_day
from scheduling.models import SheetStatus
from tests.build import (
    make_duty,
    make_enrolment,
    make_note,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_workshop,
)
from workshops.models import Enrolment, Limit, Workshop

pytestmark = pytest.mark.django_db


def scene() -> tuple[Workshop, Enrolment]:
    """Ada scrapes at nine with Bo, and reads the thermometer at ten."""
    workshop = make_workshop()
    sheet = make_run_sheet(workshop.days.all()[0], SheetStatus.POSTED)
    scraper = make_duty(make_station(workshop, name="Scrape"), name="Scraper")
    reader = make_duty(make_station(workshop, name="Scald"), name="Thermometer")
    ada, bo = (make_enrolment(workshop, given_name=name) for name in ("Ada", "Bo"))
    scrape = make_step(sheet, make_stage(scraper.station, duties=[scraper], name="Scrape"))
    scald = make_step(
        sheet, make_stage(reader.station, duties=[reader], name="Scald"), starts=time(10)
    )
    make_placement(scrape, scraper, enrolment=ada)
    make_placement(scrape, scraper, enrolment=bo)
    make_placement(scald, reader, enrolment=ada)
    make_note(scraper.station, text="Wet floor.", signal="caution")
    make_note(scraper.station, text="Hot skin.", signal="danger", duty=scraper)
    return workshop, ada


def test_the_board_shows_now_and_next_at_each_station() -> None:
    """At 09:10 scraping runs; the scald is next; at 12:00 nothing is left."""
    workshop, _ = scene()
    (sheet,) = access.posted_days(workshop)
    at = sheet.day.at
    scrape, scald = live_day.board(sheet, now=at(time(9, 10)))
    assert [str(step) for step in scrape.now] == ["Scrape"]
    assert (scald.now, str(scald.next)) == ((), "Scald")
    assert all(not row.now and row.next is None for row in live_day.board(sheet, now=at(time(12))))


def test_a_card_knows_now_next_company_and_the_cautions_of_the_duty_worst_first() -> None:
    """Ada is with Bo; the danger comes before the caution."""
    workshop, ada = scene()
    sheets = list(access.posted_days(workshop))
    places = live_day.places_of(ada, sheets)
    current, coming = live_day.now_and_next(places, now=sheets[0].day.at(time(9, 10)))
    assert current is not None
    assert coming is not None
    assert current.company == ("Bo",)
    assert [note.text for note in current.notes] == ["Hot skin.", "Wet floor."]
    assert coming.placement.duty.name == "Thermometer"
    assert coming.with_whom == "on your own"


def test_coverage_tells_done_from_to_come_and_from_ruled_out() -> None:
    """Scraping has begun; the thermometer is to come; a duty against a limit is said to be so."""
    workshop, ada = scene()
    knife = make_duty(make_station(workshop), name="Cutter", sharp=True)
    make_stage(knife.station, duties=[knife])
    ada.limits.create(limit=Limit.NO_KNIVES)
    sheets = list(access.posted_days(workshop))
    covered = coverage.of_attendee(ada, sheets, now=sheets[0].day.at(time(9, 30)))
    assert {item.duty.name: item.word for item in covered} == {
        "Scraper": "done",
        "Thermometer": "to come",
        "Cutter": "not for you",
    }


def test_the_board_shows_today_or_the_next_day_or_the_last() -> None:
    """Before the course the first day, between days the next, after it the last."""
    workshop = make_workshop(days=3)
    days = list(workshop.days.all())
    for day in (days[0], days[2]):
        make_run_sheet(day, SheetStatus.POSTED)
    sheets = list(access.posted_days(workshop))
    noon = time(12)
    shown = [live_day.sheet_for(sheets, now=day.at(noon)) for day in days]
    assert [sheet.day for sheet in shown if sheet] == [days[0], days[2], days[2]]
    assert live_day.sheet_for([], now=days[0].at(noon)) is None
