"""Who may open what, what each page says, and what it costs."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from scheduling.models import Attendance, RunSheet, SheetStatus
from tests.build import (
    make_duty,
    make_enrolment,
    make_link,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
)
from tests.cast import client_of
from workshops.models import Enrolment, Job, Limit, User, Workshop

pytestmark = pytest.mark.django_db

PAGES: dict[str, list[str | int]] = {
    "run-sheet": ["winter", 1],
    "morning": ["winter", 1],
    "history": ["winter", 1],
    "board": ["winter"],
    "print-room": ["winter"],
}
ACTS: dict[str, list[str | int]] = {
    "plan-course": ["winter"],
    "post-day": ["winter", 1],
    "keep-attendance": ["winter", 1],
    "place-crews": ["winter", 1],
    "start-draft": ["winter", 1],
    "print-day": ["winter", 1],
    "post-again": ["winter", 1, 1],
    "told": ["winter", 1, 1],
}
HELPERS_TOO = {"run-sheet", "board"}


def planned(workshop: Workshop, people: int = 2, steps: int = 2) -> RunSheet:
    """A posted day on which everyone stands at every step."""
    sheet = make_run_sheet(workshop.days.all()[0], SheetStatus.POSTED)
    duty = make_duty(make_station(workshop), hands_least=1, hands_most=60)
    stage = make_stage(duty.station, duties=[duty])
    seats = [make_enrolment(workshop) for _ in range(people)]
    for number in range(steps):
        step = make_step(sheet, stage, code=f"step-{number}")
        for seat in seats:
            make_placement(step, duty, enrolment=seat)
    return sheet


@pytest.mark.parametrize("name", [*PAGES, *ACTS])
def test_nobody_is_sent_to_sign_in(workshop: Workshop, name: str) -> None:
    """Every page and act of the staff asks who you are."""
    url = reverse(name, args=(PAGES | ACTS)[name])
    client = Client()
    answer = client.get(url) if name in PAGES else client.post(url)
    assert answer.status_code == 302
    assert answer["Location"].startswith(reverse("sign-in"))


@pytest.mark.parametrize("name", [*PAGES, *ACTS])
def test_a_stranger_learns_nothing(workshop: Workshop, stranger: User, name: str) -> None:
    """The lead of another course is told that there is no such page."""
    url = reverse(name, args=(PAGES | ACTS)[name])
    client = client_of(stranger)
    answer = client.get(url) if name in PAGES else client.post(url)
    assert answer.status_code == 404


@pytest.mark.parametrize("name", [*PAGES, *ACTS])
def test_a_helper_looks_and_does_not_plan(workshop: Workshop, helper: User, name: str) -> None:
    """The run sheet and the board are for helpers too; planning, placing and posting are not."""
    url = reverse(name, args=(PAGES | ACTS)[name])
    client = client_of(helper)
    answer = client.get(url) if name in PAGES else client.post(url)
    assert answer.status_code == (200 if name in HELPERS_TOO else 403)


@pytest.mark.parametrize("name", PAGES)
def test_the_lead_opens_every_page_before_anything_is_planned(
    workshop: Workshop, lead: User, name: str
) -> None:
    """An empty course has pages that say what to do next."""
    answer = client_of(lead).get(reverse(name, args=PAGES[name]))
    assert answer.status_code == 200
    assert b"empty-title" in answer.content or b"Nothing is posted" in answer.content


@pytest.mark.parametrize("name", PAGES)
def test_a_page_costs_the_same_queries_whatever_the_numbers(
    workshop: Workshop, lead: User, name: str
) -> None:
    """Two people at two steps, or ten at eight."""
    client, url = client_of(lead), reverse(name, args=PAGES[name])
    planned(workshop)
    client.get(url)
    with CaptureQueriesContext(connection) as few:
        client.get(url)
    RunSheet.objects.all().delete()
    planned(workshop, people=10, steps=8)
    with CaptureQueriesContext(connection) as many:
        client.get(url)
    assert len(few) == len(many)


def test_the_morning_keeps_ticks(workshop: Workshop, lead: User, attendee: Enrolment) -> None:
    """Away, and no knives today; the page shows it again."""
    prefix = f"seat{attendee.pk}"
    url = reverse("keep-attendance", args=["winter", 1])
    data = {f"{prefix}-turnout": "away", f"{prefix}-hurts": [Limit.NO_KNIVES]}
    answer = client_of(lead).post(url, data)
    assert answer.status_code == 302
    row = Attendance.objects.get()
    assert (row.turnout, [today.limit for today in row.limits.all()]) == ("away", ["no_knives"])


def test_a_tick_that_is_no_tick_is_refused_and_nothing_is_kept(
    workshop: Workshop, lead: User, attendee: Enrolment
) -> None:
    """The page comes back with the word that was wrong; no row is written."""
    url = reverse("keep-attendance", args=["winter", 1])
    answer = client_of(lead).post(url, {f"seat{attendee.pk}-turnout": "asleep"})
    assert answer.status_code == 422
    assert b"asleep is not one of the available choices" in answer.content
    assert not Attendance.objects.exists()


def test_placing_crews_is_a_job_and_pressing_twice_is_one(
    workshop: Workshop, lead: User, attendee: Enrolment
) -> None:
    """The page answers at once; the row says what is to be done."""
    url, client = reverse("place-crews", args=["winter", 1]), client_of(lead)
    for _ in range(2):
        client.post(url, {f"seat{attendee.pk}-turnout": "here"})
    job = Job.objects.get()
    assert (job.task, job.is_running) == ("scheduling.tasks.place_crews", True)
    shown = client.get(reverse("morning", args=["winter", 1])).content
    assert reverse("job", args=[job.pk]).encode() in shown


def test_a_draft_that_breaks_a_rule_is_not_posted(workshop: Workshop, lead: User) -> None:
    """A duty for two with one person: refused, with the numbers, and still a draft."""
    duty = make_duty(make_station(workshop), name="Buckets", hands=2)
    stage = make_stage(duty.station, duties=[duty], name="Scald")
    sheet = make_run_sheet(workshop.days.all()[0])
    make_placement(make_step(sheet, stage), duty)
    answer = client_of(lead).post(reverse("post-day", args=["winter", 1]), follow=True)
    assert b"Not posted. Buckets at Scald has 1" in answer.content
    assert RunSheet.objects.get().status == SheetStatus.DRAFT


def test_a_sound_draft_is_posted_and_the_one_before_retires(workshop: Workshop, lead: User) -> None:
    """Everyone sees the new version; the old one is history; the posting says who."""
    old = planned(workshop, steps=1)
    client_of(lead).post(reverse("start-draft", args=["winter", 1]))
    client_of(lead).post(reverse("post-day", args=["winter", 1]))
    posted = RunSheet.objects.posted().get()
    old.refresh_from_db()
    assert (posted.version, old.status) == (2, SheetStatus.PAST)
    assert posted.posting.posted_by == lead


def test_a_card_shows_its_owner_and_no_one_s_health_or_limits(
    workshop: Workshop, attendee: Enrolment
) -> None:
    """Names beside you, yes; their limits, notes and telephone, no."""
    sheet = planned(workshop)
    other = make_enrolment(
        workshop, given_name="Bo", health_note="Bad heart", limits=[Limit.NO_LIFTING]
    )
    step = sheet.steps.all()[0]
    for seat in (attendee, other):
        make_placement(step, step.stage.duties.get(), enrolment=seat)
    answer = Client().get(attendee.link.path)
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "Bo" in text
    for secret in ("Bad heart", "no lifting", other.attendee.household.phone, "wheeze"):
        assert secret not in text
    assert answer["Cache-Control"] == "private, no-cache"
    assert answer["Referrer-Policy"] == "same-origin"


@pytest.mark.parametrize("way", ["unknown", "revoked", "withdrawn", "renewed"])
def test_a_link_that_is_not_live_opens_nothing(workshop: Workshop, way: str) -> None:
    """Guessed, ended, of someone who withdrew, or replaced: all answer alike."""
    link = make_link(make_enrolment(workshop))
    path = link.path
    match way:
        case "unknown":
            path = reverse("card", args=["A" * 22])
        case "revoked":
            link.revoke(now=timezone.now() - timedelta(minutes=1))
        case "withdrawn":
            Enrolment.objects.update(status="withdrawn")
        case "renewed":
            link.renew()
    assert Client().get(path).status_code == 404


def test_the_card_s_board_needs_the_same_link(attendee: Enrolment) -> None:
    """With the link the board opens; without it, nothing."""
    word = attendee.link.word
    assert Client().get(reverse("card-board", args=[word])).status_code == 200
    assert Client().get(reverse("card-board", args=["A" * 22])).status_code == 404


def test_a_day_that_is_not_there_is_not_found(workshop: Workshop, lead: User) -> None:
    """Day 9 of three."""
    assert client_of(lead).get(reverse("morning", args=["winter", 9])).status_code == 404
