"""What really happened: marks are added, never changed; impossible times are refused in words."""

from __future__ import annotations

import uuid
from datetime import datetime, time, timedelta

import pytest

from scheduling import clocking
from scheduling.clocking import MarkRefusedError, Seen, Times
from scheduling.lateness import Phase, latest, standings
from scheduling.models import Actual, Mark, RunSheet, SheetStatus, Step
from tests.build import make_actual, make_hog, make_run_sheet, make_stage, make_station, make_step
from workshops.models import Day, Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(workshop: Workshop) -> RunSheet:
    """Posted: hog 1 is killed at 9:00, scalded at 9:20, 10 min each; the yard is swept at 10:00."""
    made = make_run_sheet(workshop.days.all()[0], SheetStatus.POSTED)
    station, hog = make_station(workshop), make_hog(workshop)
    for number, name in enumerate(("Kill", "Scald")):
        stage = make_stage(station, minutes=10, name=name, key=name.lower())
        make_step(made, stage, animal=hog, starts=time(9, 20 * number), code=name.lower())
    sweep = make_stage(station, minutes=10, name="Sweep", key="sweep")
    make_step(made, sweep, starts=time(10), code="sweep")
    return RunSheet.objects.with_steps().get(pk=made.pk)


def seen(day: Day, hour: int, minute: int, mark: Mark = Mark.STARTED) -> Seen:
    return Seen(mark=mark, at=day.at(time(hour, minute)), by=None, client_id=uuid.uuid4())


def at(sheet: RunSheet, hour: int, minute: int) -> datetime:
    return sheet.day.at(time(hour, minute))


def test_a_second_arrival_of_a_press_changes_nothing(sheet: RunSheet) -> None:
    """The phone sends it again; the answer is the row of the first."""
    press, now = seen(sheet.day, 9, 5), at(sheet, 9, 6)
    first = clocking.mark(sheet.day, "kill", press, now=now)
    assert clocking.mark(sheet.day, "kill", press, now=now) == first
    assert Actual.objects.count() == 1


def test_a_correction_is_a_new_row_and_the_newest_counts(sheet: RunSheet) -> None:
    """Marked at 9:05, corrected to 9:02: both rows stay."""
    now = at(sheet, 9, 10)
    clocking.mark(sheet.day, "kill", seen(sheet.day, 9, 5), now=now)
    clocking.mark(sheet.day, "kill", seen(sheet.day, 9, 2), now=now)
    assert clocking.times_of(sheet.day) == {"kill": Times(started=at(sheet, 9, 2))}
    assert Actual.objects.count() == 2


def test_a_mark_is_taken_back_the_newest_first(sheet: RunSheet) -> None:
    """Finished goes, then started; then there is nothing left to take back."""
    step = sheet.steps.get(code="kill")
    for mark in (Mark.STARTED, Mark.FINISHED):
        make_actual(step, mark)
    press = uuid.uuid4()
    clocking.take_back(sheet.day, "kill", by=None, client_id=press)
    assert clocking.times_of(sheet.day)["kill"].finished is None
    clocking.take_back(sheet.day, "kill", by=None, client_id=press)  # the same press again
    assert clocking.times_of(sheet.day)["kill"].started is not None
    clocking.take_back(sheet.day, "kill", by=None, client_id=uuid.uuid4())
    assert clocking.times_of(sheet.day)["kill"] == Times()
    with pytest.raises(MarkRefusedError, match="no time to take back"):
        clocking.take_back(sheet.day, "kill", by=None, client_id=uuid.uuid4())
    assert Actual.objects.count() == 4


@pytest.mark.parametrize(
    ("code", "mark", "clock", "words"),
    [
        ("kill", Mark.STARTED, (9, 40), "cannot have started at 09:40: it is 09:30"),
        ("kill", Mark.FINISHED, (9, 0), "started at 09:05 and cannot have finished at 09:00"),
        ("scald", Mark.STARTED, (9, 29), "finished at 09:28 and cannot have started at 09:29"),
        ("bake", Mark.STARTED, (9, 0), "not on the posted run sheet"),
    ],
)
def test_a_time_that_cannot_be_right_is_refused_and_nothing_is_kept(
    sheet: RunSheet, code: str, mark: Mark, clock: tuple[int, int], words: str
) -> None:
    """Ahead of the clock, before the start, after the finish, of a step that nobody posted."""
    make_actual(sheet.steps.get(code="kill"), at=at(sheet, 9, 5))
    make_actual(sheet.steps.get(code="scald"), Mark.FINISHED, at=at(sheet, 9, 28))
    with pytest.raises(MarkRefusedError, match=words):
        clocking.mark(sheet.day, code, seen(sheet.day, *clock, mark), now=at(sheet, 9, 30))
    assert Actual.objects.count() == 2


def stood(sheet: RunSheet, hour: int, minute: int) -> dict[str, tuple[Phase, int]]:
    steps, now = list(sheet.steps.all()), at(sheet, hour, minute)
    found = standings(steps, clocking.times_of(sheet.day), now=now)
    return {code: (one.phase, one.late_min) for code, one in found.items()}


def test_a_step_waits_is_due_runs_and_is_over(sheet: RunSheet) -> None:
    """Nobody marks until 9:12; killed from 9:12 to 9:25."""
    assert stood(sheet, 8, 55)["kill"] == (Phase.WAITING, 0)
    assert stood(sheet, 9, 12)["kill"] == (Phase.DUE, 12)
    make_actual(sheet.steps.get(code="kill"), at=at(sheet, 9, 12))
    assert stood(sheet, 9, 13)["kill"] == (Phase.RUNNING, 12)
    assert stood(sheet, 9, 30)["kill"] == (Phase.RUNNING, 20)
    make_actual(sheet.steps.get(code="kill"), Mark.FINISHED, at=at(sheet, 9, 25))
    assert stood(sheet, 9, 30)["kill"] == (Phase.OVER, 15)


def test_what_is_late_is_said_in_words_and_the_latest_first(sheet: RunSheet) -> None:
    """The kill ran 18 min instead of 10; the scald is due since 9:20."""
    make_actual(sheet.steps.get(code="kill"), at=at(sheet, 9, 12))
    found = standings(list(sheet.steps.all()), clocking.times_of(sheet.day), now=at(sheet, 9, 30))
    words = "running since 09:12, 8 min longer than planned, 20 min late"
    assert found["kill"].sentence == words
    assert found["scald"].sentence == "not marked as started, 10 min late"
    worst = latest(found)
    assert worst is not None
    assert worst.step.code == "kill"


def test_what_a_hog_has_passed_is_taken_as_done(sheet: RunSheet) -> None:
    """Nobody marked the kill; the scald has begun, so the kill is over. The sweep is no hog's."""
    make_actual(sheet.steps.get(code="scald"), at=at(sheet, 9, 20))
    found = stood(sheet, 10, 5)
    assert found["kill"][0] == Phase.PASSED
    assert found["sweep"][0] == Phase.DUE


def test_the_rest_went_as_posted(sheet: RunSheet) -> None:
    """At 9:25 the kill is over and the scald runs, by the plan; pressing twice adds nothing."""
    assert clocking.mark_as_planned(sheet.day, by=None, now=at(sheet, 9, 25)) == 2
    assert clocking.mark_as_planned(sheet.day, by=None, now=at(sheet, 9, 25)) == 0
    times = clocking.times_of(sheet.day)
    assert times["kill"] == Times(started=at(sheet, 9, 0), finished=at(sheet, 9, 10))
    assert times["scald"] == Times(started=at(sheet, 9, 20))


def test_what_comes_after_a_late_step_is_not_taken_as_posted(sheet: RunSheet) -> None:
    """Killed half an hour late: the scald cannot have been on time. The sweep was."""
    kill: Step = sheet.steps.get(code="kill")
    make_actual(kill, at=kill.starts_at + timedelta(minutes=30))
    clocking.mark_as_planned(sheet.day, by=None, now=at(sheet, 11, 0))
    assert set(clocking.times_of(sheet.day)) == {"kill", "sweep"}


def test_a_step_is_paused_and_goes_on_and_the_pause_is_not_counted(sheet: RunSheet) -> None:
    """Started 9:00, paused 9:04 to 9:10: ten minutes of work end at 9:16, and nothing is over."""
    day = sheet.day
    for mark, minute in ((Mark.STARTED, 0), (Mark.PAUSED, 4), (Mark.RESUMED, 10)):
        clocking.mark(day, "kill", seen(day, 9, minute, mark), now=at(sheet, 9, 20))
    found = standings(sheet.steps.all(), clocking.times_of(day), now=at(sheet, 9, 15))["kill"]
    assert (found.phase, found.ends_at) == (Phase.RUNNING, at(sheet, 9, 16))
    assert "longer than planned" not in found.sentence
    later = standings(sheet.steps.all(), clocking.times_of(day), now=at(sheet, 9, 19))["kill"]
    assert "3 min longer than planned" in later.sentence


def test_a_step_that_stands_still_says_since_when(sheet: RunSheet) -> None:
    """And may go on or be finished, not paused again."""
    day = sheet.day
    clocking.mark(day, "kill", seen(day, 9, 0), now=at(sheet, 9, 6))
    clocking.mark(day, "kill", seen(day, 9, 5, Mark.PAUSED), now=at(sheet, 9, 6))
    found = standings(sheet.steps.all(), clocking.times_of(day), now=at(sheet, 9, 7))["kill"]
    assert (found.phase, found.may_go_on, found.may_finish) == (Phase.PAUSED, True, True)
    assert found.sentence.startswith("paused since 09:05")
    clocking.take_back(day, "kill", by=None, client_id=uuid.uuid4())
    assert clocking.times_of(day)["kill"] == Times(started=at(sheet, 9, 0))


@pytest.mark.parametrize(
    ("before", "press", "words"),
    [
        ([], (1, Mark.PAUSED), "not running, so it has no pause"),
        ([(0, Mark.STARTED)], (1, Mark.RESUMED), "is not paused"),
        ([(0, Mark.STARTED), (2, Mark.PAUSED)], (3, Mark.PAUSED), "paused since 09:02"),
        ([(5, Mark.STARTED)], (4, Mark.PAUSED), "before what was marked at 09:05"),
    ],
)
def test_a_pause_that_cannot_be_is_refused(
    sheet: RunSheet, before: list[tuple[int, Mark]], press: tuple[int, Mark], words: str
) -> None:
    """It lies inside a step that runs, one after the other."""
    day, now = sheet.day, at(sheet, 9, 10)
    for minute, mark in before:
        clocking.mark(day, "kill", seen(day, 9, minute, mark), now=now)
    with pytest.raises(MarkRefusedError, match=words):
        clocking.mark(day, "kill", seen(day, 9, *press), now=now)
    assert Actual.objects.count() == len(before)
