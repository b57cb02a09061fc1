"""What the lead asks of a day, typed on its page and kept by the plan."""

from __future__ import annotations

from datetime import time
from typing import cast

import pytest
from django.http import HttpResponse
from django.urls import reverse

from scheduling import asking, planning, retiming
from scheduling.gathering import gather, people, timetable_problem
from scheduling.models import Absence, DayWish, RunSheet, StationHours
from tests.build import (
    make_absence,
    make_break,
    make_duty,
    make_enrolment,
    make_gap,
    make_hog,
    make_hours,
    make_stage,
    make_station,
    make_workshop,
)
from tests.cast import client_of, make_lead
from workshops.models import Break, Day, User, Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def course() -> Workshop:
    """One hog: an hour's scald and at once an hour's scrape, two hands each; the day from eight."""
    workshop = make_workshop(days=1)
    duties = [make_duty(make_station(workshop, name=name), hands=2) for name in ("Tub", "Bench")]
    scald, scrape = (
        make_stage(duty.station, duties=[duty], name=name, key=name.lower(), minutes=60)
        for duty, name in zip(duties, ("Scald", "Scrape"), strict=True)
    )
    make_gap(scald, scrape, most_min=0)
    make_hog(workshop)
    for name in ("Ada", "Bo"):
        make_enrolment(workshop, given_name=name)
    return workshop


@pytest.fixture
def lead(course: Workshop) -> User:
    return make_lead(course)


def day_of(course: Workshop) -> Day:
    day = course.days.get()
    day.workshop = course
    return day


def planned(course: Workshop) -> tuple[RunSheet, list[str]]:
    """The draft and when its steps start, at the farm."""
    (sheet,) = planning.plan_course(course, seconds=2)
    zone = course.zone
    return sheet, [f"{step.starts_at.astimezone(zone):%H:%M}" for step in sheet.steps.all()]


def send(user: User, course: Workshop, page: str, *ids: int, **typed: object) -> HttpResponse:
    url = reverse(page, args=[course.slug, 1, *ids])
    return cast("HttpResponse", client_of(user).post(url, typed))


# --- the plan keeps to it -----------------------------------------------------------------------


def test_a_meal_that_may_move_makes_way_for_hot_work(course: Workshop) -> None:
    """Two hours from eight meet a meal wished at nine: it waits until ten, and is drawn there."""
    pause = make_break(
        day_of(course), starts=time(9), earliest=time(9), latest=time(11), minutes=30
    )
    sheet, starts = planned(course)
    assert starts == ["08:00", "09:00"]
    moved = sheet.meal_starts[asking.meal_code(pause)]
    assert f"{moved.astimezone(course.zone):%H:%M}" == "10:00"
    assert [goal["name"] for goal in sheet.timetable["goals"]][-1] == "meals"
    assert retiming.times_broken(gather(course), sheet) == []


def test_a_meal_that_stands_fast_holds_the_hog_back(course: Workshop) -> None:
    """The same meal without a range: the two hours, which may not wait between, come after it."""
    make_break(day_of(course), starts=time(9), minutes=30)
    assert planned(course)[1] == ["09:30", "10:30"]


def test_nothing_is_planned_that_needs_whoever_is_away(course: Workshop) -> None:
    """Both hands are needed, and one is away from half past eight to ten."""
    seat = course.enrolments.all()[0]
    make_absence(day_of(course), enrolment=seat, leaves=time(8, 30), back=time(10))
    _, starts = planned(course)
    assert starts == ["10:00", "11:00"]
    method = gather(course)
    (who,) = (one for one in people(method, method.days) if one.id == f"a{seat.pk}")
    assert [(one.start, one.end) for one in who.present] == [(0, 510), (600, 1440)]


def test_a_station_is_used_in_its_hours_alone(course: Workshop) -> None:
    """Dry from noon: the scrape starts then, and the scald an hour before it."""
    make_hours(day_of(course), course.stations.get(name="Bench"), opens=time(12), closes=time(17))
    assert planned(course)[1] == ["11:00", "12:00"]


def test_two_stretches_of_dry_weather_are_two_windows(course: Workshop) -> None:
    """And a day without hours of its own is open from end to end."""
    bench = course.stations.get(name="Bench")
    make_hours(day_of(course), bench, opens=time(6), closes=time(7))
    make_hours(day_of(course), bench, opens=time(12), closes=time(17))
    problem = timetable_problem(gather(course))
    (spec,) = (one for one in problem.stations if one.id == str(bench.pk))
    assert [(one.start, one.end) for one in spec.windows] == [(360, 420), (720, 1020)]


def test_the_wished_finish_is_the_first_goal_and_even_hands_the_last(course: Workshop) -> None:
    """Over by half past nine cannot be: it is half an hour late, proved."""
    DayWish.objects.create(day=day_of(course), finish_by=time(9, 30), even_hands=True)
    sheet, _ = planned(course)
    goals = {goal["name"]: (goal["value"], goal["bound"]) for goal in sheet.timetable["goals"]}
    assert next(iter(goals)) == "late"
    assert goals["late"] == (30, 30)
    assert goals["hands"] == (2, 2)


def test_even_hands_take_turns_where_the_day_does_not_end_later() -> None:
    """A kitchen job runs beside hog work or beside nothing: it goes where fewest are busy."""
    workshop = make_workshop(days=1)
    for name, hands, minutes in (("Long", 2, 120), ("Short", 3, 60), ("Other", 1, 60)):
        duty = make_duty(make_station(workshop, name=name), hands=hands)
        make_stage(duty.station, duties=[duty], name=name, subject="once", minutes=minutes)
    for _ in range(6):
        make_enrolment(workshop)
    DayWish.objects.create(day=workshop.days.get(), even_hands=True)
    sheet, _ = planned(workshop)
    short, other = (sheet.steps.get(stage__name=name) for name in ("Short", "Other"))
    assert short.ends_at <= other.starts_at or other.ends_at <= short.starts_at
    assert sheet.timetable["goals"][-1]["value"] == 5


# --- the page -----------------------------------------------------------------------------------


def test_the_lead_asks_on_the_page_and_reads_it_there(course: Workshop, lead: User) -> None:
    """Every kind of row, typed, listed, told where the run sheet is."""
    bench, seat = course.stations.get(name="Bench"), course.enrolments.all()[0]
    send(lead, course, "day-asked", finish_by="15:30", even_hands="on")
    send(lead, course, "break-add", name="Dinner", starts="12:00", minutes=45,
         earliest="11:30", latest="13:00")  # fmt: skip
    send(lead, course, "absence-add", who=f"a{seat.pk}", leaves="09:00", back="10:15")
    send(lead, course, "hours-add", station=bench.pk, opens="08:00", closes="14:00", why="Rain.")
    text = client_of(lead).get(reverse("day-asked", args=[course.slug, 1])).content.decode()
    for said in (
        'value="15:30"',
        "12:00 for 45 min; may start from 11:30 to 13:00",
        f"{seat.attendee} away 09:00 to 10:15",
        "Bench from 08:00 until 14:00",
        "Rain.",
    ):
        assert said in text
    assert DayWish.objects.get().even_hands


def test_what_was_asked_is_changed_and_taken_off(course: Workshop, lead: User) -> None:
    """One press each; a wish that is emptied is no wish."""
    day = day_of(course)
    pause, away = make_break(day), make_absence(day)
    hours = make_hours(day, course.stations.all()[0])
    DayWish.objects.create(day=day, finish_by=time(15), even_hands=True)
    send(lead, course, "day-asked", finish_by="")
    send(lead, course, "break-change", pause.pk, name="Tea", starts="15:00", minutes=15)
    assert str(Break.objects.get()) == "Tea 15:00"
    send(lead, course, "break-remove", pause.pk)
    send(lead, course, "absence-remove", away.pk)
    send(lead, course, "hours-remove", hours.pk)
    wish = DayWish.objects.get()
    assert (wish.finish_by, wish.even_hands) == (None, False)
    assert not [model for model in (Break, Absence, StationHours) if model.objects.exists()]


REFUSED = [
    ("day-asked", {"finish_by": "06:00"}, "06:00 is before the day begins"),
    ("break-add", {"name": "Tea", "starts": "12:15", "minutes": 15}, "It could run into Dinner"),
    ("break-add", {"name": "Tea", "starts": "15:00", "minutes": 2}, "5"),
    (
        "break-add",
        {"name": "Tea", "starts": "15:00", "minutes": 15, "earliest": "15:30", "latest": "16:00"},
        "needs both an earliest and a latest start",
    ),
    ("absence-add", {"who": "a999999", "leaves": "09:00", "back": "10:00"}, "not on this course"),
    ("absence-add", {"who": "", "leaves": "09:00", "back": "10:00"}, "It is needed"),
    ("hours-add", {"opens": "09:00", "closes": "08:00"}, "until a time after it opens"),
    ("hours-add", {"opens": "nine", "closes": "08:00"}, "such as 09:30"),
]


@pytest.mark.parametrize(("page", "typed", "said"), REFUSED)
def test_what_cannot_be_meant_is_refused_and_kept_as_typed(
    course: Workshop, lead: User, page: str, typed: dict[str, object], said: str
) -> None:
    """The rule, the value and what would do; nothing is written."""
    make_break(day_of(course))
    answer = send(lead, course, page, **typed)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert said in text
    for value in typed.values():
        assert f'value="{value}"' in text or page == "absence-add"  # no such person to choose
    assert Break.objects.count() == 1
    assert not Absence.objects.exists()


def test_one_person_is_not_away_twice_at_once(course: Workshop, lead: User) -> None:
    """The two would count as two people."""
    make_absence(day_of(course), enrolment=(seat := course.enrolments.all()[0]))
    answer = send(lead, course, "absence-add", who=f"a{seat.pk}", leaves="10:30", back="12:00")
    assert f"{seat.attendee} away 10:00 to 11:00 already" in answer.content.decode()
    assert Absence.objects.count() == 1
