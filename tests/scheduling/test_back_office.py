"""The back office opens every list and every row, shows no secret, and changes no log."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.contrib import admin
from django.db.models import Model
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries, Settings

from scheduling import demo, demo_after
from scheduling.models import Attendance, Notice, Override, Placement, Posting, RunSheet, Step
from stations.models import (
    ChillPlan,
    ChillReading,
    CureBatch,
    CureEntry,
    CutPlan,
    Dip,
    DipEntry,
    FoodEntry,
    FoodLog,
    Stage,
    ThermometerCheck,
    WeighIn,
)
from tests.build import (
    NOW,
    make_actual,
    make_check,
    make_dip,
    make_entry,
    make_local_check,
    make_override,
    make_thermometer,
)
from workshops.models import AnswerChange, CardLink, Job, User, Workshop

pytestmark = pytest.mark.django_db

OURS = ("workshops", "stations", "scheduling")
REGISTERED = [model for model in admin.site._registry if model._meta.app_label in OURS]
READ_ONLY: list[type[Model]] = [
    AnswerChange,
    RunSheet, Step, Placement, Posting, Notice, Override, Job, Dip, DipEntry, ThermometerCheck,
    ChillPlan, ChillReading, WeighIn, CutPlan, CureBatch, CureEntry, FoodLog, FoodEntry,
]  # fmt: skip
# Lists here show 2 to 64 rows; a join forgotten on any but the shortest goes past this.
MOST_QUERIES = 12


def url(model: type[Model], page: str, *args: object) -> str:
    """The address of one page of a model's office."""
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_{page}", args=args)


@pytest.fixture
def course(db: None) -> Workshop:
    """The demo course with a little of everything that planning writes."""
    workshop = demo.load(demo.COURSE)
    demo.make_card_links(workshop)
    day = workshop.days.all()[0]
    sheet = RunSheet.objects.create(day=day, version=1)
    stage = Stage.objects.get(workshop=workshop, key="scald")
    hog = workshop.animals.all()[0]
    seats = list(workshop.enrolments.all())
    for number in range(2):
        step = Step.objects.create(
            run_sheet=sheet,
            code=f"hog{number}:scald",
            stage=stage,
            station=stage.station,
            animal=hog,
            starts_at=day.at(day.opens),
            ends_at=day.at(day.closes),
        )
        duty = stage.duties.all()[number]
        Placement.objects.create(step=step, duty=duty, enrolment=seats[number])
        Attendance.objects.create(day=day, enrolment=seats[number])
    make_actual(step)
    posting = Posting.objects.create(run_sheet=sheet, posted_at=day.midnight)
    Notice.objects.create(posting=posting, enrolment=seats[0], sentences=["Scald moves."])
    make_override(step, duty, seats[0])
    dip = make_dip(stage.station, hog, thermometer=make_thermometer(workshop))
    make_entry(dip)
    make_check(dip.thermometer)
    Job.objects.create(workshop=workshop, task="x.y", title="Place crews", key="k")
    people_rows(workshop)
    demo_after.carry_on(workshop)
    return workshop


def people_rows(workshop: Workshop) -> None:
    """A little of what the organizer's months leave behind."""
    now, day = NOW, workshop.days.all()[0]
    make_local_check(workshop)
    for number in range(2):
        seat = workshop.enrolments.all()[number]
        household = seat.attendee.household
        workshop.ledger.create(
            household=household, kind="payment", cents=100, on=day.date, made_at=now
        )
        workshop.costs.create(name=f"Cost {number}", basis="once", cents=100)
        workshop.sign_ups.create(household=household, at=now)
        day.meals.create(name="Chowder")
        workshop.animals.all()[0].treatments.create(product="A", on=day.date, withdrawal_days=1)
        seat.letters.create(kind="link", made_at=now)
        seat.answer_changes.create(what=["diet"], at=now, by_seat=seat)


@pytest.fixture
def office(course: Workshop, tmp_path: Path, settings: Settings) -> Client:
    """The demo's organizer, signed in."""
    settings.VAR = tmp_path
    demo.make_sign_ins(course, demo.COURSE)
    client = Client()
    client.force_login(User.objects.get(username="organizer"))
    return client


def test_every_list_searches_and_every_row_opens(office: Client) -> None:
    """No page of the office fails on real rows."""
    assert len(REGISTERED) >= 20
    for model in REGISTERED:
        assert office.get(url(model, "changelist"), {"q": "a"}).status_code == 200, model
        row = model._default_manager.first()
        assert row is not None, model
        assert office.get(url(model, "change", row.pk)).status_code == 200, model


def test_plans_and_jobs_are_only_read(office: Client) -> None:
    """What a verb module owns is not written here."""
    for model in READ_ONLY:
        row = model._default_manager.first()
        assert row is not None, model
        assert office.get(url(model, "add")).status_code == 403, model
        assert office.post(url(model, "change", row.pk), {}).status_code == 403, model
        assert office.post(url(model, "delete", row.pk), {"post": "yes"}).status_code == 403, model


def test_a_link_is_listed_without_its_word(office: Client) -> None:
    """Neither the word, nor the seed it is made from, nor its digest."""
    link = CardLink.objects.all()[0]
    for page in (url(CardLink, "changelist"), url(CardLink, "change", link.pk)):
        words = office.get(page).content.decode()
        assert not any(secret in words for secret in (link.word, link.seed, link.digest))
    assert office.get(url(CardLink, "add")).status_code == 403


def test_a_list_asks_as_often_for_many_rows_as_for_few(
    office: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """Joins are declared: session, user, rights, counts, filters, and one query for the rows."""
    for model in REGISTERED:
        with django_assert_max_num_queries(MOST_QUERIES):
            office.get(url(model, "changelist"))


@pytest.mark.parametrize("username", ["lead", "helper"])
def test_only_the_organizer_comes_in(office: Client, username: str) -> None:
    """The office shows every workshop and every health note."""
    client = Client()
    client.force_login(User.objects.get(username=username))
    answer = client.get(reverse("admin:index"))
    assert answer.status_code == 302
    assert "login" in answer["Location"]
