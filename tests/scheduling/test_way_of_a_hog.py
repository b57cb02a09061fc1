"""The way of a hog as the lead changes it, and the plan that keeps to it."""

from __future__ import annotations

from datetime import time
from itertools import pairwise
from typing import cast

import pytest
from django.http import HttpResponse
from django.urls import reverse

from scheduling import planning, retiming
from scheduling.gathering import gather, timetable_problem
from scheduling.models import RunSheet
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.timetable import solve
from stations import cloning, twinning
from stations.heating import HANDLING_MIN, reheat_minutes
from stations.models import KitHold, Stage, StageGap, Station
from tests.build import (
    make_duty,
    make_enrolment,
    make_equipment,
    make_gap,
    make_handling,
    make_hog,
    make_hold,
    make_note,
    make_stage,
    make_station,
    make_trough,
    make_workshop,
)
from tests.cast import client_of, make_lead
from workshops.models import User, Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def course() -> Workshop:
    """Two hogs through an hour's scald in the tub and two hours' scrape on the bench."""
    workshop = make_workshop(days=1)
    make_gap(*(stage(workshop, name, minutes) for name, minutes in (("Tub", 60), ("Bench", 120))))
    for _ in range(2):
        make_hog(workshop)
    return workshop


@pytest.fixture
def lead(course: Workshop) -> User:
    return make_lead(course)


def stage(workshop: Workshop, name: str, minutes: int) -> Stage:
    station = make_station(workshop, name=name)
    return make_stage(station, name=f"{name} work", key=name.lower(), minutes=minutes)


def station(course: Workshop, name: str) -> Station:
    return course.stations.get(name=name)


def solved(course: Workshop) -> dict[str, tuple[str, str]]:
    """Each step's start at the farm and its station, by stage and place of the hog: "tub 1"."""
    method = gather(course)
    problem = timetable_problem(method)
    answer = solve(problem, seconds=5)
    assert check_timetable(problem, answer.starts, answer.places) == ()
    hogs = {str(hog.pk): n for n, hog in enumerate(method.animals, start=1)}
    names = {str(one.pk): one.name for one in method.stations}
    found = {}
    for code, start in answer.starts.items():
        hog, stage_key = code.split(":")
        at = method.clock.moment(start).astimezone(course.zone)
        found[f"{stage_key} {hogs[hog[3:]]}"] = (f"{at:%H:%M}", names[answer.places[code]])
    return found


def starts(course: Workshop) -> dict[str, str]:
    return {name: at for name, (at, _) in solved(course).items()}


def send(user: User, course: Workshop, page: str, *ids: int, **typed: object) -> HttpResponse:
    url = reverse(page, args=[course.slug, *ids])
    return cast("HttpResponse", client_of(user).post(url, typed))


# --- the plan keeps to it -----------------------------------------------------------------------


def test_a_carcass_that_keeps_its_place_blocks_it(course: Workshop) -> None:
    """The second hog could be scalded at nine; but the first lies in the tub until ten."""
    stage(course, "Rail", 15)
    make_gap(course.stages.get(key="bench"), course.stages.get(key="rail"), most_min=0)
    # The rail is open from noon, so the first hog leaves the bench then and not before.
    rail, bench = course.stages.get(key="rail"), course.stages.get(key="bench")
    Stage.objects.filter(pk=rail.pk).update(not_before=time(12))
    StageGap.objects.filter(after=bench).update(keeps_place=True)
    found = starts(course)
    assert found["bench 1"] == "10:00"
    assert found["tub 2"] >= "10:00"


def test_a_second_tub_and_bench_end_the_day_at_the_same_time_for_both(course: Workshop) -> None:
    """One more of each is made like the first, and the planner chooses."""
    assert starts(course)["bench 2"] == "11:00"
    for name in ("Tub", "Bench"):
        twinning.twin(station(course, name), seen=course.stations.count())
    found = solved(course)
    assert {found["tub 1"], found["tub 2"]} == {("08:00", "Tub"), ("08:00", "Tub 2")}
    assert {at for at, _ in found.values()} == {"08:00", "09:00"}


def test_a_hog_stays_on_its_track(course: Workshop) -> None:
    """Two tracks of a tub and a bench."""
    for name in ("Tub", "Bench"):
        twinning.twin(station(course, name), seen=course.stations.count())
    course.stations.filter(name__endswith="2").update(track="south")
    course.stations.exclude(name__endswith="2").update(track="north")
    found = solved(course)
    for hog in "12":
        places = {where.endswith("2") for step, (_, where) in found.items() if step[-1] == hog}
        assert len(places) == 1


def test_kit_that_is_held_makes_the_next_hog_wait(course: Workshop) -> None:
    """One gambrel, taken at the bench: two hogs never lie there at once, even on two benches."""
    twinning.twin(station(course, "Bench"), seen=course.stations.count())
    stage(course, "Rail", 30)
    make_gap(course.stages.get(key="bench"), course.stages.get(key="rail"))
    gambrels = make_equipment(course, name="Gambrels", count=2)
    hold = make_hold(course.stages.get(key="bench"), gambrels, until=course.stages.get(key="rail"))
    assert starts(course)["bench 2"] == "10:00"
    gambrels.count = 1
    gambrels.save()
    assert str(hold) == "1 of Gambrels to the end of rail work"
    assert starts(course)["bench 2"] == "11:30"


def test_the_water_is_heated_again_for_the_hog_that_comes_next() -> None:
    """A light hog, a heavy one: the minutes of each pair count, not the longest of the day."""
    course = make_workshop(days=1)
    scald = stage(course, "Tub", 10)
    make_trough(scald.station)
    for kg in (160, 70, 160):
        make_hog(course, live_kg=kg)
    minutes = reheat_minutes(scald.station.trough, course.animals.all())
    first, second, third = (hog.pk for hog in course.animals.all())
    pairs = minutes[first, second], minutes[second, third]
    assert pairs[0] != pairs[1]
    (tub,) = timetable_problem(gather(course)).stations
    assert tub.set_up(f"hog{second}:tub", f"hog{third}:tub") == pairs[1] + HANDLING_MIN
    found = [int(at[:2]) * 60 + int(at[3:]) for at in starts(course).values()]
    waits = [later - earlier - 10 for earlier, later in pairwise(found)]
    assert waits == [pair + HANDLING_MIN for pair in pairs]


def test_what_the_planner_chose_is_what_is_posted_and_checked(course: Workshop) -> None:
    """The step stands at the station that was chosen, and posting finds nothing amiss."""
    twinning.twin(station(course, "Tub"), seen=2)
    make_enrolment(course)
    (sheet,) = planning.plan_course(course, seconds=2)
    again = RunSheet.objects.with_steps().get(pk=sheet.pk)
    assert {step.station.name for step in again.steps.all()} == {"Tub", "Tub 2", "Bench"}
    assert retiming.times_broken(gather(course), again) == []


# --- the pages ----------------------------------------------------------------------------------


def test_the_lead_changes_a_wait_with_its_source(course: Workshop, lead: User) -> None:
    """Typed, read on the page, kept by the plan: half an hour at least."""
    gap = StageGap.objects.get()
    typed = {"least_min": 30, "most_min": 45, "source": "Our own days", "trust": "practice"}
    send(lead, course, "gap-change", gap.pk, keeps_place="on", **typed)
    text = client_of(lead).get(reverse("method", args=[course.slug])).content.decode()
    assert "30 to 45 min; it keeps its place meanwhile" in text
    assert "Our own days (common practice" in text
    assert starts(course)["bench 1"] == "09:30"


def test_the_lead_changes_a_stage(course: Workshop, lead: User) -> None:
    """Minutes, hours and where else."""
    tub = course.stages.get(key="tub")
    send(
        lead, course, "stage-change", tub.pk, least_min=20, expected_min=30, most_min=40,
        not_before="09:00", done_by="16:00", or_at=[station(course, "Bench").pk],
        source="Our own days", trust="practice",
    )  # fmt: skip
    tub.refresh_from_db()
    assert (tub.expected_min, tub.hours_words) == (30, "from 09:00, done by 16:00")
    assert [str(place) for place in tub.or_at.all()] == ["Bench"]
    assert starts(course)["tub 1"] == "09:00"


def test_waits_and_kit_are_added_and_taken_off(course: Workshop, lead: User) -> None:
    """One press each."""
    tub, bench = course.stages.all()
    gap, thing = StageGap.objects.get(), make_equipment(course, name="Gambrels")
    send(lead, course, "gap-remove", gap.pk)
    assert not StageGap.objects.exists()
    send(lead, course, "gap-add", before=tub.pk, after=bench.pk, least_min=5, source="A book",
         trust="published")  # fmt: skip
    assert StageGap.objects.get().sentence == "5 min or more"
    send(lead, course, "kit-hold-add", stage=tub.pk, until=bench.pk, equipment=thing.pk, each=1)
    text = client_of(lead).get(reverse("method", args=[course.slug])).content.decode()
    assert "takes 1 of Gambrels to the end of bench work (2 here)" in text
    send(lead, course, "kit-hold-remove", KitHold.objects.get().pk)
    assert not KitHold.objects.exists()


def test_what_cannot_be_meant_is_refused_in_words(course: Workshop, lead: User) -> None:
    """The rule, the value, what would do; nothing is written."""
    tub, bench = course.stages.all()
    gap, thing = StageGap.objects.get(), make_equipment(course, name="Gambrels", count=2)
    minutes = {"least_min": 5, "expected_min": 5, "most_min": 5, "source": "-", "trust": "memory"}
    wait = {"least_min": 5, "source": "-", "trust": "memory"}
    held = {"stage": tub.pk, "equipment": thing.pk, "each": 1}
    for page, ids, typed, said in (
        ("stage-change", [tub.pk], minutes | {"most_min": 4}, "least to expected to most"),
        ("stage-change", [tub.pk], minutes | {"source": ""}, "Say where they come from"),
        ("stage-change", [tub.pk], minutes | {"not_before": "10:00", "done_by": "09:00"},
         "Done by a time after 10:00"),
        ("gap-change", [gap.pk], wait | {"most_min": 4}, "cannot be shorter than the least"),
        ("gap-add", [], wait | {"before": bench.pk, "after": tub.pk}, "comes after"),
        ("gap-add", [], wait | {"before": tub.pk, "after": bench.pk}, "already exists"),
        ("kit-hold-add", [], held | {"each": 3}, "There are 2 of Gambrels"),
        ("kit-hold-add", [], held | {"stage": bench.pk, "until": tub.pk}, "choose a later stage"),
        ("station-change", [tub.station_id], {"capacity": 2, "set_up_min": 10}, "capacity of 1"),
    ):  # fmt: skip
        answer = send(lead, course, page, *ids, **typed)
        assert answer.status_code == 422, (page, typed)
        assert said in answer.content.decode(), (page, typed)
    assert course.stages.get(key="tub").expected_min == 60
    assert StageGap.objects.count() == 1
    assert not KitHold.objects.exists()


def test_one_more_station_is_made_by_one_press_alone(course: Workshop, lead: User) -> None:
    """Its trough, how a hog is moved and its notes come along; a second press makes no other."""
    tub = station(course, "Tub")
    make_trough(tub)
    make_handling(tub)
    make_note(tub)
    make_note(tub, duty=make_duty(tub))
    for _ in range(2):
        send(lead, course, "station-twin", tub.pk, seen=2)
    made = station(course, "Tub 2")
    assert course.stations.count() == 3
    assert (made.letter not in {tub.letter, "B"}, made.trough.kettle_l) == (True, 40.0)
    assert made.notes.count() == 1
    assert [one.key for one in made.stages_too.all()] == ["tub"]
    send(lead, course, "station-change", made.pk, capacity=1, set_up_min=0, track="south")
    assert station(course, "Tub 2").track == "south"


def test_a_clone_takes_choices_and_kit_along(course: Workshop) -> None:
    """They point at the copies."""
    twinning.twin(station(course, "Tub"), seen=2)
    tub, bench = course.stages.all()
    make_hold(tub, make_equipment(course, name="Gambrels"), until=bench)
    day = course.days.get()
    made = cloning.clone(course, "Again", day.date, now=day.midnight)
    hold = KitHold.objects.get(stage__workshop=made)
    assert (hold.until.workshop, hold.equipment.workshop) == (made, made)
    assert [one.workshop for one in hold.stage.or_at.all()] == [made]
