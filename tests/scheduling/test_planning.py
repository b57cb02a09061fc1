"""The planners on rows: a course comes out planned, or says in words why it cannot be."""

from __future__ import annotations

from datetime import time

import pytest

from scheduling import planning
from scheduling.models import RunSheet, Turnout
from stations.models import Subject
from tests.build import (
    make_attendance,
    make_duty,
    make_enrolment,
    make_gap,
    make_hog,
    make_stage,
    make_station,
    make_workshop,
)
from workshops.models import Workshop

pytestmark = pytest.mark.django_db


def course() -> Workshop:
    """Two hogs through a kill and a scald that each take two hands."""
    workshop = make_workshop(days=2)
    duties = [make_duty(make_station(workshop), hands=2) for _ in range(2)]
    kill, scald = (make_stage(duty.station, duties=[duty]) for duty in duties)
    make_gap(kill, scald, most_min=10)
    for _ in range(2):
        make_hog(workshop)
    for name in ("Ada", "Bo", "Cy", "Di", "Eve"):
        make_enrolment(workshop, given_name=name)
    return workshop


def test_a_course_is_timed_and_every_place_is_filled() -> None:
    """Four steps, two hands at each, and how good it is stands beside it."""
    first, second = planning.plan_course(course(), seconds=4)
    crews = [list(step.placements.all()) for step in first.steps.all()]
    assert [len(crew) for crew in crews] == [2, 2, 2, 2]
    assert first.timetable["goals"]
    assert first.rotation["refusals"] == []
    assert not second.steps.exists()


def test_a_course_without_days_is_refused_in_words() -> None:
    """Nothing to plan on."""
    with pytest.raises(planning.NoPlanError, match="needs days and stages"):
        planning.plan_course(make_workshop(days=0))


def test_hours_that_leave_no_time_are_refused_in_words() -> None:
    """Not before six in the evening, on a day that closes at five."""
    workshop = course()
    make_stage(make_station(workshop), subject=Subject.ONCE, not_before=time(18))
    with pytest.raises(planning.NoPlanError, match="window"):
        planning.plan_course(workshop)
    assert not any(sheet.steps.exists() for sheet in RunSheet.objects.all())


def test_someone_away_is_replaced_and_the_rest_stay() -> None:
    """Ada is away: whoever had no part in her steps keeps the same places."""
    workshop = course()
    sheet = planning.plan_course(workshop, seconds=4)[0]
    ada = workshop.enrolments.get(attendee__given_name="Ada")
    make_attendance(sheet.day, ada, Turnout.AWAY)
    again = planning.place_day(sheet.day, seconds=4)
    names = [row.person_name for step in again.steps.all() for row in step.placements.all()]
    assert "Ada" not in names
    assert len(names) == 8


def test_a_day_that_cannot_be_done_says_what_clashes_and_what_would_free_it() -> None:
    """Three hours for two hogs of two hours at one bench: an hour more was tried, and is enough."""
    workshop = make_workshop(days=1)
    pen, duty = make_station(workshop), make_duty(make_station(workshop, name="Bench"), hands=1)
    make_stage(pen, name="Kill", order=1)
    make_stage(
        duty.station, duties=[duty], name="Scrape", order=2, minutes=120,
        not_before=time(9), done_by=time(12),
    )  # fmt: skip
    for _ in range(2):
        make_hog(workshop)
    make_enrolment(workshop)
    make_enrolment(workshop)
    with pytest.raises(planning.NoPlanError) as refused:
        planning.plan_course(workshop, seconds=4)
    said = str(refused.value)
    assert "cannot all be kept; free any one of them" in said
    assert "Bench holds one step at a time" in said
    assert "Tried: with hours 60 min longer there is a plan." in said
    assert "Tried: with 1 more of it there is a plan." in said
