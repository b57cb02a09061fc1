"""Who may take a place, and what speaks against the others."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from scheduling import choosing
from scheduling.models import Placement, RunSheet, SheetStatus
from tests.build import (
    make_duty,
    make_enrolment,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
)
from tests.cast import client_of
from workshops.models import Enrolment, EnrolmentLimit, Limit, User, Workshop

pytestmark = pytest.mark.django_db


class Scene:
    """A scald with a bucket and a timer duty; Ines has the bucket and Tomas the timer."""

    def __init__(self, workshop: Workshop) -> None:
        station = make_station(workshop)
        bucket = make_duty(station, name="Bucket", hot=True)
        timer = make_duty(station, name="Timer")
        stage = make_stage(station, duties=[bucket, timer], name="Scald")
        self.ines = make_enrolment(workshop, given_name="Ines")
        self.tomas = make_enrolment(workshop, given_name="Tomas")
        step = make_step(make_run_sheet(workshop.days.all()[0], SheetStatus.DRAFT), stage)
        self.bucket: Placement = make_placement(step, bucket, enrolment=self.ines)
        make_placement(step, timer, enrolment=self.tomas)

    def said(self) -> dict[str, str]:
        """What stands beside each name, for the bucket."""
        sheet = RunSheet.objects.with_steps().get(pk=self.bucket.step.run_sheet_id)
        return {
            one.seat.attendee.given_name: one.sentence
            for one in choosing.choices(sheet, self.bucket)
        }


def test_each_name_says_whether_they_may_and_why_not(workshop: Workshop) -> None:
    """Free, changing places, or kept off by a limit; the holder is not listed."""
    scene = Scene(workshop)
    make_enrolment(workshop, given_name="Ada")
    dagny = make_enrolment(workshop, given_name="Dagny")
    EnrolmentLimit.objects.create(enrolment=dagny, limit=Limit.NO_HOT_WATER)
    assert scene.said() == {
        "Ada": "Is free.",
        "Tomas": "Changes places: was timer of this step.",
        "Dagny": "Dagny is on Bucket at Scald. "
        "Nobody takes a duty that one of their limits rules out.",
    }
    assert list(scene.said())[-1] == "Dagny"


def test_the_holders_new_place_counts_too(workshop: Workshop) -> None:
    """If the other's duty is closed to the holder, the change breaks a rule."""
    scene = Scene(workshop)
    EnrolmentLimit.objects.create(enrolment=scene.ines, limit=Limit.NO_LIFTING)
    scene.bucket.step.placements.get(enrolment=scene.tomas).duty.__class__.objects.filter(
        name="Timer"
    ).update(heavy=True)
    assert scene.said()["Tomas"].startswith("Ines is on Timer at Scald.")


def test_the_lead_puts_someone_there_from_the_page(workshop: Workshop, lead: User) -> None:
    """One tap, and they are locked."""
    scene = Scene(workshop)
    ada = make_enrolment(workshop, given_name="Ada")
    client, args = client_of(lead), ["winter", 1, scene.bucket.pk]
    page = client.get(reverse("choose-placement", args=args)).content.decode()
    assert "Who takes it from Ines?" in page
    client.post(reverse("give-placement", args=args), {"seat": ada.pk})
    row = Placement.objects.get(pk=scene.bucket.pk)
    assert (row.enrolment, row.locked) == (ada, True)


def test_the_page_costs_the_same_queries_whatever_the_numbers(
    workshop: Workshop, lead: User
) -> None:
    """Two people, or twelve."""
    scene = Scene(workshop)
    client = client_of(lead)
    url = reverse("choose-placement", args=["winter", 1, scene.bucket.pk])
    client.get(url)
    with CaptureQueriesContext(connection) as few:
        client.get(url)
    more: list[Enrolment] = [make_enrolment(workshop) for _ in range(10)]
    with CaptureQueriesContext(connection) as many:
        client.get(url)
    assert len(more) == 10
    assert len(few) == len(many)
