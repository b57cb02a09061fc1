"""Times changed by hand, pinned, and pushed back when the day runs late."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from decimal import Decimal

import pytest

from scheduling import (
    clocking,
    comparing,
    drafting,
    odds,
    planning,
    posting,
    replanning,
    retiming,
)
from scheduling.gathering import gather
from scheduling.models import Actual, Mark, RunSheet, SheetStatus, Step
from scheduling.odds_plot import plot
from scheduling.retiming import MoveRefusedError
from stations.models import StageGap
from tests.build import (
    make_actual,
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


@pytest.fixture
def course() -> Workshop:
    """Two hogs: kill, scald within 30 min, scrape within 5; planned and posted, one day."""
    workshop = make_workshop(days=1, latitude=Decimal("40"), longitude=Decimal("-105"))
    for _ in range(6):
        make_enrolment(workshop)
    before = None
    for number, (name, minutes, most) in enumerate(
        (("Kill", 10, None), ("Scald", 10, 30), ("Scrape", 60, 5))
    ):
        duty = make_duty(make_station(workshop, name=f"{name} place"), hands=1)
        stage = make_stage(
            duty.station, duties=[duty], name=name, key=name.lower(), order=number + 1,
            least_min=minutes - 4, expected_min=minutes, most_min=2 * minutes,
        )  # fmt: skip
        if before:
            make_gap(before, stage, most_min=most)
        before = stage
    make_hog(workshop)
    make_hog(workshop)
    planning.plan_course(workshop, seconds=5)
    RunSheet.objects.update(status=SheetStatus.POSTED)
    return workshop


def posted(course: Workshop) -> RunSheet:
    return RunSheet.objects.posted().with_steps().get(day__workshop=course)


def drafted(course: Workshop) -> RunSheet:
    return RunSheet.objects.drafts().with_steps().get(day__workshop=course)


def steps(sheet: RunSheet) -> dict[str, Step]:
    """By stage and place of the hog: "Kill 1"."""
    hogs = {hog.pk: n for n, hog in enumerate(sheet.day.workshop.animals.all(), start=1)}
    return {f"{step.stage.name} {hogs[step.animal_id or 0]}": step for step in sheet.steps.all()}


def clock(course: Workshop, moment: datetime) -> str:
    return f"{moment.astimezone(course.zone):%H:%M}"


def test_a_planned_day_comes_with_its_odds_and_reasons(course: Workshop) -> None:
    """Kept beside the times, read back as sentences and a picture."""
    sheet = posted(course)
    end = odds.end_of_day(sheet)
    assert end is not None
    assert end.planned < end.promise
    assert end.curve[0][1] == 0.0
    assert end.curve[-1][1] == 1.0
    assert "Promise" in end.sentences[0]
    assert any("by dark at 17:25" in sentence for sentence in end.sentences)
    assert any(sentence.startswith("Watch scrape") for sentence in end.sentences)
    drawn = plot(end)
    assert {mark.word for mark in drawn.uprights} == {"planned", "promise", "close", "dark"}
    why = sheet.timetable["why"]
    assert why[steps(sheet)["Scald 1"].code] == "It follows kill, Hog 1 at once."


def test_a_step_moves_where_every_rule_still_holds_and_is_pinned(course: Workshop) -> None:
    """The last scrape may start 3 min later: its longest gap is five."""
    before = steps(posted(course))["Scrape 2"]
    to = before.starts_at + timedelta(minutes=3)
    retiming.move(posted(course).day, before.code, to=to, by=None)
    draft = drafted(course)
    after = steps(draft)["Scrape 2"]
    assert (after.starts_at, after.pinned, after.minutes) == (to, True, before.minutes)
    assert draft.timetable["by_hand"] is True
    assert draft.timetable["why"][after.code] == "The lead pinned it to this time."
    assert steps(posted(course))["Scrape 2"].starts_at == before.starts_at
    assert [change.sentence for change in comparing.changes(posted(course), draft)] == [
        f"Scrape, Hog 2 moves from {clock(course, before.starts_at)} to {clock(course, to)}."
    ]


def test_a_move_that_breaks_a_rule_is_refused_in_words_and_leaves_nothing(
    course: Workshop,
) -> None:
    """Ten minutes later is longer than a scalded hog may wait; not even a draft is made."""
    before = steps(posted(course))["Scrape 2"]
    with pytest.raises(MoveRefusedError, match="at most 5 min are allowed"):
        retiming.move(
            posted(course).day, before.code, to=before.starts_at + timedelta(minutes=10), by=None
        )
    assert not RunSheet.objects.drafts().exists()


def test_a_refusal_speaks_in_clock_times(course: Workshop) -> None:
    """The checker counts minutes; a person reads a clock."""
    sentence = retiming.in_clock_time("Kill starts at 490, outside its windows.", gather(course))
    assert sentence == "Kill starts at 08:10, outside its windows."
    early = "A starts -60 min after B ends; at least 0 min are asked for."
    said = "A starts 60 min before B ends; it may start only after that."
    assert retiming.in_clock_time(early, gather(course)) == said
    whole = "A starts 5 min after B ends; at least 10 min are asked for."
    assert retiming.in_clock_time(whole, gather(course)) == whole


def test_a_pin_keeps_its_time_at_the_next_planning(course: Workshop) -> None:
    """The second kill is pinned half an hour later; everything of that hog follows."""
    kill = steps(posted(course))["Kill 2"]
    to = kill.starts_at + timedelta(minutes=30)
    planning.plan_course(course, seconds=5, pins={kill.code: to})
    again = steps(drafted(course))
    assert (again["Kill 2"].starts_at, again["Kill 2"].pinned) == (to, True)
    assert again["Scald 2"].starts_at >= to + timedelta(minutes=10)
    planning.plan_course(course, seconds=5)
    assert steps(drafted(course))["Kill 2"].starts_at == to
    retiming.set_pin(posted(course).day, kill.code, pinned=False, by=None)
    planning.plan_course(course, seconds=5)
    assert steps(drafted(course))["Kill 2"].starts_at == kill.starts_at


def test_running_late_moves_only_what_must_and_nobody_is_told_yet(course: Workshop) -> None:
    """Hog 1's scrape starts 40 min late and is still under way."""
    now_steps = steps(posted(course))
    for name in ("Kill 1", "Scald 1"):
        for mark in Mark:
            make_actual(now_steps[name], mark)
    scrape = now_steps["Scrape 1"]
    begun = scrape.starts_at + timedelta(minutes=40)
    make_actual(scrape, at=begun)
    draft = replanning.replan_day(posted(course).day, now=begun + timedelta(minutes=5))
    moved = steps(draft)
    assert moved["Kill 1"].starts_at == now_steps["Kill 1"].starts_at
    assert moved["Scrape 1"].starts_at == begun
    assert moved["Scrape 1"].ends_at == begun + timedelta(minutes=60)
    # The bench holds one: hog 2 waits for it, and its kill is held back so that it need not wait.
    assert moved["Scrape 2"].starts_at >= moved["Scrape 1"].ends_at
    wait = moved["Scrape 2"].starts_at - moved["Scald 2"].ends_at
    assert wait <= timedelta(minutes=5)
    assert draft.status == SheetStatus.DRAFT
    assert steps(posted(course))["Scrape 2"].starts_at == now_steps["Scrape 2"].starts_at
    assert comparing.changes(posted(course), draft)
    # Who has begun stays where they are.
    assert all(row.locked for row in moved["Scrape 1"].placements.all())
    assert not any(row.locked for row in moved["Scrape 2"].placements.all())


def test_on_time_a_replan_changes_nothing(course: Workshop) -> None:
    """Before anything has begun."""
    sheet = posted(course)
    draft = replanning.replan_day(sheet.day, now=sheet.day.at(time(6)))
    assert comparing.changes(sheet, draft) == []


def test_nothing_posted_cannot_be_replanned(course: Workshop) -> None:
    """Say so."""
    RunSheet.objects.update(status=SheetStatus.DRAFT)
    with pytest.raises(planning.NoPlanError, match="Nothing is posted"):
        replanning.replan_day(course.days.all()[0], now=course.days.all()[0].at(time(9)))


def test_a_forgotten_start_is_taken_as_planned_length(course: Workshop) -> None:
    """Finished at a time, never started: it lasted as planned."""
    sheet = posted(course)
    kill = steps(sheet)["Kill 1"]
    Actual.objects.create(
        day=sheet.day, code=kill.code, mark=Mark.FINISHED, at=kill.ends_at + timedelta(minutes=7)
    )
    method = gather(course)
    found = replanning.seen_by_minutes(method, sheet, clocking.times_of(sheet.day))
    begun = method.clock.minute(kill.starts_at) + 7
    assert found[kill.code] == (begun, begun + 10)


def test_a_draft_whose_times_break_a_rule_is_not_posted(course: Workshop) -> None:
    """Checked again before posting: a scald an hour after its kill may wait 30 min at most."""
    sheet = posted(course)
    draft = drafting.draft_for(sheet.day, by=None)
    late = steps(draft)["Scald 1"]
    draft.steps.filter(pk=late.pk).update(
        starts_at=late.starts_at + timedelta(hours=3), ends_at=late.ends_at + timedelta(hours=3)
    )
    again = RunSheet.objects.with_steps().get(pk=draft.pk)
    with pytest.raises(posting.PostRefusedError, match="at most 30 min are allowed"):
        posting.post(again, by=None, now=sheet.day.at(time(6)))
    assert posted(course).version == sheet.version


def test_what_is_posted_already_does_not_stand_in_the_way_of_new_crews(course: Workshop) -> None:
    """The longest gap was made shorter after posting; the times are as they were told."""
    sheet = posted(course)
    StageGap.objects.filter(before__workshop=course).update(least_min=0, most_min=0)
    draft = RunSheet.objects.with_steps().get(pk=drafting.draft_for(sheet.day, by=None).pk)
    posting.post(draft, by=None, now=sheet.day.at(time(6)))
    assert posted(course).version == draft.version
