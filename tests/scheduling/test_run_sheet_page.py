"""The run-sheet page: who may press what, what comes back, what it says on the day."""

from __future__ import annotations

import uuid
from datetime import time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from scheduling.charting import Rows
from scheduling.day_page import day_page
from scheduling.models import Actual, Mark, RunSheet, SheetStatus, Step
from tests.build import (
    make_actual,
    make_duty,
    make_enrolment,
    make_hog,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_workshop,
)
from tests.cast import client_of, make_helper, make_lead
from workshops.models import Job, User, Workshop

pytestmark = pytest.mark.django_db

DAY_ACTS = ["replan-day", "mark-as-planned"]
STEP_ACTS = [
    "move-step",
    "pin-step",
    "unpin-step",
    "plan-from-step",
    "step-started",
    "step-finished",
    "step-back",
]
HELPERS_TOO = {"step-started", "step-finished", "step-back"}


@pytest.fixture
def today(db: None) -> Workshop:
    """A workshop whose first day is today at the farm."""
    zone_now = timezone.now().astimezone(make_workshop(days=0).zone)
    return make_workshop(slug="today", first_day=zone_now.date())


def posted(workshop: Workshop, *, hogs: int = 1, people: int = 1) -> RunSheet:
    """Posted: each hog is killed for a minute just after midnight, which is past at any hour."""
    sheet = make_run_sheet(workshop.days.all()[0], SheetStatus.POSTED)
    duty = make_duty(
        make_station(workshop, capacity=20, outdoors=True), hands_least=0, hands_most=60
    )
    stage = make_stage(duty.station, duties=[duty], name="Kill", key="kill", minutes=1)
    seats = [make_enrolment(workshop) for _ in range(people)]
    for number in range(hogs):
        step = make_step(
            sheet, stage, animal=make_hog(workshop), starts=time(0, 1), code=f"kill-{number}"
        )
        for seat in seats:
            make_placement(step, duty, enrolment=seat)
    return sheet


def address(name: str, workshop: Workshop) -> str:
    step = [] if name in DAY_ACTS else ["kill-0"]
    return reverse(name, args=[workshop.slug, 1, *step])


def page(workshop: Workshop) -> str:
    return reverse("run-sheet", args=[workshop.slug, 1])


def press(client: Client, name: str, workshop: Workshop, **typed: str) -> Any:  # a test response
    return client.post(address(name, workshop), {"client_id": str(uuid.uuid4())} | typed)


# --- who --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*DAY_ACTS, *STEP_ACTS])
def test_nobody_and_strangers_press_nothing(workshop: Workshop, stranger: User, name: str) -> None:
    """Sign in first; another course's lead learns nothing."""
    posted(workshop)
    assert Client().post(address(name, workshop)).status_code == 302
    assert client_of(stranger).post(address(name, workshop)).status_code == 404
    assert not Actual.objects.exists()
    assert not RunSheet.objects.drafts().exists()


@pytest.mark.parametrize("name", [*DAY_ACTS, *STEP_ACTS])
def test_a_helper_marks_and_does_not_plan(workshop: Workshop, helper: User, name: str) -> None:
    """Hands at the trough press started; times and pins are the lead's."""
    posted(workshop)
    answer = press(client_of(helper), name, workshop, at="00:01")
    assert (answer.status_code == 403) == (name not in HELPERS_TOO)


def test_get_does_nothing(workshop: Workshop, lead: User) -> None:
    """A link that is followed by a robot changes nothing."""
    posted(workshop)
    for name in [*DAY_ACTS, *STEP_ACTS]:
        assert client_of(lead).get(address(name, workshop)).status_code == 405


# --- on the day -------------------------------------------------------------------------------


def test_a_step_is_marked_from_the_top_of_the_page(today: Workshop) -> None:
    """Due: a button "Started"; then "Finished"; then it is done and can be taken back."""
    posted(today)
    client = client_of(make_helper(today))
    assert "not marked as started" in client.get(page(today)).content.decode()
    press(client, "step-started", today, at="00:01")
    shown = client.get(page(today)).content.decode()
    assert "running since 00:01" in shown
    press(client, "step-finished", today, at="00:02")
    assert "done, 00:01 to 00:02" in client.get(page(today)).content.decode()
    press(client, "step-back", today)
    assert "running since 00:01" in client.get(page(today)).content.decode()
    assert Actual.objects.count() == 3


def test_a_press_without_a_time_is_now(today: Workshop) -> None:
    """The wet hand types nothing."""
    posted(today)
    press(client_of(make_helper(today)), "step-started", today)
    (row,) = Actual.objects.all()
    assert row.at is not None
    assert abs(timezone.now() - row.at) < timedelta(minutes=1)
    assert row.by is not None


def test_a_time_ahead_of_the_clock_comes_back_with_what_was_typed(workshop: Workshop) -> None:
    """On a day that is still to come every time is ahead; nothing is kept, the panel is open."""
    posted(workshop)
    client = client_of(make_lead(workshop))
    answer = press(client, "step-started", workshop, at="09:07")
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert "cannot have started at 09:07" in shown
    assert 'class="step-panel is-open"' in shown
    assert not Actual.objects.exists()


def test_timing_the_rest_anew_is_a_job_and_pressing_twice_is_one(today: Workshop) -> None:
    """The page answers at once, and shows the job."""
    posted(today)
    client = client_of(make_lead(today))
    for _ in range(2):
        press(client, "replan-day", today)
    (job,) = Job.objects.all()
    assert job.task == "scheduling.tasks.replan_day"
    assert reverse("job", args=[job.pk]) in client.get(page(today)).content.decode()


def test_what_is_late_stands_on_top_with_the_way_out(today: Workshop) -> None:
    """Ten in the morning, and the step of one minute past midnight is not marked."""
    sheet = RunSheet.objects.with_steps().get(pk=posted(today).pk)
    at_ten = sheet.day.at(time(10))
    made = day_page(sheet.day, draft=None, posted=sheet, rows=Rows.STATION, now=at_ten)
    assert made is not None
    assert made.latest is not None
    assert made.latest.late_words == "9 h 59 min late"
    assert [line.step.code for line in made.at_hand] == ["kill-0"]
    assert made.unmarked == 1


def test_the_rest_went_as_posted_in_one_press(today: Workshop) -> None:
    """Three hogs, nobody marked anything."""
    posted(today, hogs=3)
    client = client_of(make_lead(today))
    press(client, "mark-as-planned", today)
    assert Actual.objects.filter(mark=Mark.STARTED).count() == 3
    assert "Marked as posted: 3 steps." in client.get(page(today)).content.decode()


# --- times by hand ----------------------------------------------------------------------------


def test_a_move_that_breaks_a_rule_comes_back_with_the_rule_and_the_time(
    workshop: Workshop, lead: User
) -> None:
    """The day opens at eight; three in the morning is outside, and 03:00 is still in the field."""
    sheet = posted(workshop)
    step = sheet.steps.get()
    step.code = f"hog{step.animal_id}:kill"  # the code the planner gives it
    step.save()
    url = reverse("move-step", args=["winter", 1, step.code])
    answer = client_of(lead).post(url, {"at": "03:00"})
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert "starts at 03:00, outside its windows" in shown
    assert 'value="03:00"' in shown
    assert not RunSheet.objects.drafts().exists()
    moved = client_of(lead).post(url, {"at": "09:30"}, follow=True).content.decode()
    assert "Moved and pinned in the draft" in moved
    draft = Step.objects.get(run_sheet__status=SheetStatus.DRAFT)
    assert (draft.starts_at, draft.pinned) == (sheet.day.at(time(9, 30)), True)
    assert "What the draft changes" in moved


def test_no_time_typed_is_said_at_the_field(workshop: Workshop, lead: User) -> None:
    """An example of what to type."""
    posted(workshop)
    for name in ("move-step", "plan-from-step"):
        answer = client_of(lead).post(address(name, workshop), {"at": "soon"})
        assert answer.status_code == 422
        assert b"Type a time of the day such as 09:30." in answer.content


def test_pin_and_unpin(workshop: Workshop, lead: User) -> None:
    """In a draft; what is posted stays."""
    sheet = posted(workshop)
    client = client_of(lead)
    client.post(address("pin-step", workshop))
    assert Step.objects.get(run_sheet__status=SheetStatus.DRAFT).pinned
    assert not sheet.steps.get().pinned
    assert b">Unpin<" in client.get(page(workshop)).content
    client.post(address("unpin-step", workshop))
    assert not Step.objects.get(run_sheet__status=SheetStatus.DRAFT).pinned


def test_pinning_and_planning_the_rest_is_a_job_with_the_time(
    workshop: Workshop, lead: User
) -> None:
    """The moment goes along in ISO 8601."""
    sheet = posted(workshop)
    client_of(lead).post(address("plan-from-step", workshop), {"at": "09:30"})
    (job,) = Job.objects.all()
    assert job.arguments == {"code": "kill-0", "at": sheet.day.at(time(9, 30)).isoformat()}


# --- what it says -----------------------------------------------------------------------------


def test_it_says_what_limits_the_day_how_good_it_is_and_what_comes_before(
    workshop: Workshop, lead: User
) -> None:
    """As the planner kept it; without odds it says how to get them."""
    sheet = posted(workshop)
    sheet.timetable = {
        "status": "within_bound",
        "goals": [
            {"name": "finish", "value": 102, "bound": 100, "sentence": "Within 2 % of the best."}
        ],
        "limits": [{"sentence": "The trough limits the day.", "saves_min": 55}],
    }
    sheet.save()
    shown = client_of(lead).get(page(workshop)).content.decode()
    for words in (
        "Finish: Within 2 % of the best.",
        "The trough limits the day.",
        "Plan the course again; then the odds stand here.",
        "Before the day",
        "Take the feed from the hogs",
        "no latitude and longitude",
    ):
        assert words in shown


def test_the_page_costs_the_same_queries_whatever_the_numbers_on_the_day(
    today: Workshop,
) -> None:
    """One hog and person, or five and eight, all marked, with a draft beside."""
    client, counts = client_of(make_lead(today)), []
    for hogs, people in ((1, 1), (5, 8)):
        RunSheet.objects.all().delete()
        Actual.objects.all().delete()
        today.stages.all().delete()
        sheet = posted(today, hogs=hogs, people=people)
        for step in sheet.steps.all():
            make_actual(step)
        client.post(address("pin-step", today))
        client.get(page(today))
        with CaptureQueriesContext(connection) as asked:
            assert client.get(page(today)).status_code == 200
        counts.append(len(asked))
    assert counts[0] == counts[1]
