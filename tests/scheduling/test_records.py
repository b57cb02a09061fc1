"""The record: what a hog went through, what a person practised, how the course went."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from scheduling.models import Mark, SheetStatus, Step
from stations.cloning import clone
from tests.build import (
    NOW,
    make_actual,
    make_chain_duty,
    make_day,
    make_dip,
    make_enrolment,
    make_entry,
    make_hog,
    make_link,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_trough,
)
from workshops.models import Enrolment, Workshop

pytestmark = pytest.mark.django_db
PLANNED_MIN, TOOK_MIN = 20, 27


@pytest.fixture
def edda(workshop: Workshop) -> Enrolment:
    """Somebody with a private link."""
    seat = make_enrolment(workshop, given_name="Edda")
    make_link(seat)
    return seat


@pytest.fixture
def scalds(workshop: Workshop, edda: Enrolment) -> list[Step]:
    """Three hogs scalded yesterday, Edda on the chains of two; each timed at 27 minutes of 20."""
    station = make_station(workshop, letter="T", name="Trough")
    make_trough(station)
    duty = make_chain_duty(station)
    stage = make_stage(station, name="Scald", minutes=PLANNED_MIN, duties=[duty])
    now = timezone.now()  # what has begun is asked of the real clock
    day = make_day(workshop, date=(now - timedelta(days=1)).date())
    sheet = make_run_sheet(day, SheetStatus.POSTED)
    steps = []
    for number in range(3):
        starts = now - timedelta(days=1, hours=6 - number)
        hog = make_hog(workshop, tag=f"{30 + number}")
        step = make_step(
            sheet, stage, animal=hog,
            starts_at=starts, ends_at=starts + timedelta(minutes=PLANNED_MIN),
        )  # fmt: skip
        make_actual(step, Mark.STARTED, at=starts)
        make_actual(step, Mark.FINISHED, at=starts + timedelta(minutes=TOOK_MIN))
        if number < 2:
            make_placement(step, duty, enrolment=edda, place="fore-left")
        steps.append(step)
    return steps


def page(client: Client, name: str, *args: object) -> str:
    """The page's words, its marks-up left in and its spaces made one."""
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_the_course_sets_what_was_timed_beside_what_was_planned(
    lead_client: Client, workshop: Workshop, scalds: list[Step]
) -> None:
    """Three timings of 27 min against 20, and the range they give for the next course."""
    text = page(lead_client, "record", workshop.slug)
    assert "27, 27, 27 min" in text
    assert "27, 27, 27 min" in text[text.index("From these") :]
    assert "3 of 3 steps were timed" in text


def test_what_was_timed_is_what_a_clone_plans_with(
    lead_client: Client, workshop: Workshop, scalds: list[Step]
) -> None:
    """Kept by a press; a clone's stage has the timed minutes, this course's own stays."""
    lead_client.post(reverse("keep-ranges", args=[workshop.slug]))
    first_day = (NOW + timedelta(days=365)).date()
    made = clone(workshop, "Next winter", first_day, now=NOW)
    stage = made.stages.get(name="Scald")
    assert (stage.least_min, stage.expected_min, stage.most_min) == (TOOK_MIN,) * 3
    assert workshop.stages.get(name="Scald").expected_min == PLANNED_MIN


def test_a_hogs_record_tells_its_way_and_its_dips(
    lead_client: Client, workshop: Workshop, scalds: list[Step]
) -> None:
    """Each step with its minutes, each dip with its readings."""
    hog = scalds[0].animal
    assert hog is not None
    dip = make_dip(scalds[0].station, animal=hog)
    make_entry(dip, water_c=64.0)
    text = page(lead_client, "record-hog", workshop.slug, hog.pk)
    assert "27 min, planned 20" in text
    assert "Hog 30" in text
    assert text.count("147") >= 1  # 64 degC on a course in Fahrenheit


def test_a_person_sees_what_they_practised_and_takes_a_certificate_home(
    client: Client, lead_client: Client, workshop: Workshop, edda: Enrolment, scalds: list[Step]
) -> None:
    """By card and by the lead alike; it says on which hogs, and that it is no licence."""
    by_lead = page(lead_client, "record-person", workshop.slug, edda.pk)
    by_card = page(client, "card-record", edda.link.word)
    for text in (by_lead, by_card):
        assert "2 times, hog 30, hog 31" in text
    paper = page(client, "card-certificate", edda.link.word)
    assert "2 times, hog 30, hog 31" in paper
    assert "It is no licence" in paper


def test_nobody_else_opens_a_persons_record(
    helper_client: Client, stranger_client: Client, workshop: Workshop, edda: Enrolment
) -> None:
    """A stranger learns nothing; a revoked link opens nothing."""
    url = reverse("record-person", args=[workshop.slug, edda.pk])
    assert stranger_client.get(url).status_code in {403, 404}
    edda.link.revoke(now=NOW)
    answer = helper_client.get(reverse("card-record", args=[edda.link.word]))
    assert answer.status_code == 404
