"""Drafts: one a day, written whole, never over a newer hand."""

from __future__ import annotations

import pytest
from django.db import IntegrityError

from scheduling import drafting, placing
from scheduling.models import Placement, RunSheet, SheetStatus, Turnout
from scheduling.planner.problem import Placed
from tests.build import (
    make_attendance,
    make_day,
    make_enrolment,
    make_placement,
    make_run_sheet,
    make_step,
)
from workshops.models import Limit

pytestmark = pytest.mark.django_db


def test_a_draft_is_a_copy_of_what_is_posted() -> None:
    """Steps, people and locks come along; the posted version stays as it is."""
    posted = make_run_sheet(status=SheetStatus.POSTED)
    row = make_placement(make_step(posted), locked=True)
    draft = drafting.draft_for(posted.day, by=None)
    (step,) = draft.steps.all()
    (copy,) = step.placements.all()
    assert (draft.version, draft.status) == (2, SheetStatus.DRAFT)
    assert (step.code, copy.enrolment, copy.duty, copy.locked) == (
        row.step.code,
        row.enrolment,
        row.duty,
        True,
    )
    assert Placement.objects.filter(step__run_sheet=posted).count() == 1


def test_a_day_has_one_draft() -> None:
    """Asking again gives the same one, and the database refuses a second."""
    day = make_day()
    assert drafting.draft_for(day, by=None) == drafting.draft_for(day, by=None)
    with pytest.raises(IntegrityError):
        make_run_sheet(day)


def test_a_slow_planner_does_not_overwrite_a_newer_hand() -> None:
    """The lead locked someone while the planner was thinking; its answer is refused whole."""
    sheet = make_run_sheet()
    row = make_placement(make_step(sheet))
    as_the_planner_read_it = RunSheet.objects.get(pk=sheet.pk)
    placing.set_lock(sheet, row, locked=True)
    with pytest.raises(drafting.DraftMovedError, match="changed by someone else"):
        drafting.write_crews(as_the_planner_read_it, [], {})
    assert Placement.objects.get() == row


def test_locks_live_through_a_new_placing() -> None:
    """A person who was locked and is placed there again is still locked; others are not."""
    sheet = make_run_sheet()
    locked = make_placement(make_step(sheet), locked=True)
    other = make_enrolment(sheet.day.workshop)
    step, duty = locked.step.code, str(locked.duty_id)
    drafting.write_crews(
        sheet,
        [
            Placed(step=step, duty=duty, person=f"a{locked.enrolment_id}"),
            Placed(step=step, duty=duty, person=f"a{other.pk}"),
        ],
        {"status": "proved_best"},
    )
    assert set(Placement.objects.values_list("enrolment", "locked")) == {
        (locked.enrolment_id, True),
        (other.pk, False),
    }


def test_a_posted_sheet_is_never_written() -> None:
    """Only a draft takes a turn."""
    with pytest.raises(drafting.DraftMovedError):
        drafting.take_turn(make_run_sheet(status=SheetStatus.POSTED))


def test_two_people_at_one_step_change_places() -> None:
    """Giving a place to someone who is already there swaps the two and locks the one given."""
    step = make_step()
    one = make_placement(step, place="left")
    two = make_placement(step, one.duty, place="right")
    one_seat, two_seat = one.enrolment, two.enrolment
    assert two_seat is not None
    placing.give_place(step.run_sheet, one, two_seat)
    assert set(Placement.objects.values_list("place", "enrolment", "locked")) == {
        ("left", two_seat.pk, True),
        ("right", one_seat.pk if one_seat else None, False),
    }


def test_giving_a_place_to_its_holder_changes_nothing() -> None:
    """The same person stays, unlocked as before."""
    row = make_placement()
    assert row.enrolment is not None
    placing.give_place(row.step.run_sheet, row, row.enrolment)
    row.refresh_from_db()
    assert not row.locked


def test_the_morning_s_ticks_replace_those_before() -> None:
    """A limit unticked is gone, one ticked is there; the other day is untouched."""
    day = make_day()
    seat = make_enrolment(day.workshop)
    make_attendance(day, seat, limits=[Limit.NO_KNIVES])
    morning = placing.Morning(turnout=Turnout.AWAY, hurts=frozenset({Limit.NO_LIFTING}))
    placing.write_attendance(day, {seat: morning})
    row = day.attendance.get()
    assert (row.turnout, [today.limit for today in row.limits.all()]) == (
        "away",
        [Limit.NO_LIFTING],
    )
