"""The only writer of drafts: make one, time it, fill it with crews, all or nothing.

Two people, or a person and the worker, may hold the same draft. Every write names the revision it
read; a write on an older one is refused, never merged.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import F, Max

from scheduling.models import Placement, RunSheet, SheetStatus, Step
from scheduling.planner.problem import Placed
from stations.models import Stage
from workshops.models import Animal, Day, Enrolment, User


class DraftMovedError(Exception):
    """Someone else changed the draft between the read and the write."""

    def __init__(self) -> None:
        super().__init__(
            "The draft was changed by someone else meanwhile. Look at it again, then repeat."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class NewHand:
    """One place of a step, who leaves it and who takes it."""

    step_code: str
    duty_id: int
    place: str
    leaves: Enrolment
    takes: Enrolment


@dataclass(frozen=True, slots=True, kw_only=True)
class StepTimes:
    """One step's place in time, ready to be written."""

    code: str
    stage: Stage
    animal: Animal | None
    starts_at: datetime
    ends_at: datetime
    slack_min: int | None
    station_id: int
    pinned: bool = False


def take_turn(sheet: RunSheet) -> None:
    """Claim the next revision of a draft inside a transaction, or refuse."""
    won = RunSheet.objects.filter(
        pk=sheet.pk, status=SheetStatus.DRAFT, revision=sheet.revision
    ).update(revision=F("revision") + 1)
    if not won:
        raise DraftMovedError
    sheet.revision += 1


def next_version(day: Day) -> int:
    """The number after the newest; ask with the day locked, since two may ask at once."""
    newest: int | None = day.run_sheets.aggregate(newest=Max("version"))["newest"]
    return (newest or 0) + 1


@transaction.atomic
def draft_for(day: Day, *, by: User | None) -> RunSheet:
    """The day's draft; made as a copy of the posted sheet, or empty, if there is none."""
    # Lock the day: two leads may open the morning at once, and only one draft may be made.
    Day.objects.select_for_update().get(pk=day.pk)
    draft = RunSheet.objects.drafts().with_steps().filter(day=day).first()
    if draft:
        return draft
    posted = RunSheet.objects.posted().with_steps().filter(day=day).first()
    made = RunSheet.objects.create(
        day=day,
        version=next_version(day),
        made_by=by,
        timetable=posted.timetable if posted else {},
        rotation=posted.rotation if posted else {},
    )
    if posted:
        copy_steps(posted, made)
    return RunSheet.objects.with_steps().get(pk=made.pk)


@transaction.atomic
def fresh_draft(day: Day, *, by: User | None) -> RunSheet:
    """A draft that is a copy of what is posted; a draft that was there is thrown away."""
    Day.objects.select_for_update().get(pk=day.pk)
    RunSheet.objects.drafts().filter(day=day).delete()
    return draft_for(day, by=by)


@transaction.atomic
def shift(sheet: RunSheet, times: Mapping[str, tuple[datetime, datetime]]) -> None:
    """Give the draft's steps new times, by code; crews stay with their steps."""
    take_turn(sheet)
    moved = [step for step in sheet.steps.all() if step.code in times]
    for step in moved:
        step.starts_at, step.ends_at = times[step.code]
    Step.objects.bulk_update(moved, ["starts_at", "ends_at"])


@transaction.atomic
def change_hands(day: Day, hands: Iterable[NewHand]) -> bool:
    """What was changed in the posted plan, in the day's draft too; whether the draft agrees now.

    A draft that has other people at those places is the lead's own work and is left alone.
    """
    draft = RunSheet.objects.drafts().filter(day=day).first()
    if draft is None:
        return True
    moves, rows = tuple(hands), list[Placement]()
    for move in moves:
        rows += Placement.objects.filter(
            step__run_sheet=draft,
            step__code=move.step_code,
            duty_id=move.duty_id,
            place=move.place,
            enrolment=move.leaves,
        )
    if len(rows) != len(moves) or _is_there_already(rows, moves):
        return False
    take_turn(draft)
    # The database allows a person one place a step, so both rows go before both are written.
    Placement.objects.filter(pk__in=[row.pk for row in rows]).delete()
    for row, move in zip(rows, moves, strict=True):
        row.pk, row.enrolment, row.locked = None, move.takes, False
    Placement.objects.bulk_create(rows)
    return True


def _is_there_already(rows: list[Placement], moves: Iterable[NewHand]) -> bool:
    """Whether someone would hold two places of one step."""
    leaving = [row.pk for row in rows]
    return any(
        Placement.objects.filter(step=row.step_id, enrolment=move.takes)
        .exclude(pk__in=leaving)
        .exists()
        for row, move in zip(rows, moves, strict=True)
    )


def note(sheet: RunSheet, facts: Mapping[str, object]) -> None:
    """Keep more of what a planner said beside the draft's times; the times are as they were."""
    sheet.timetable = sheet.timetable | dict(facts)
    RunSheet.objects.filter(pk=sheet.pk).update(timetable=sheet.timetable)


def copy_steps(source: RunSheet, target: RunSheet) -> None:
    """Copy every step and placement of a loaded version into an empty one."""
    old = list(source.steps.all())
    new = Step.objects.bulk_create(
        Step(
            run_sheet=target,
            code=step.code,
            stage_id=step.stage_id,
            animal_id=step.animal_id,
            station_id=step.station_id,
            starts_at=step.starts_at,
            ends_at=step.ends_at,
            slack_min=step.slack_min,
            pinned=step.pinned,
        )
        for step in old
    )
    Placement.objects.bulk_create(
        Placement(
            step=copy,
            duty_id=row.duty_id,
            place=row.place,
            enrolment_id=row.enrolment_id,
            staff_id=row.staff_id,
            locked=row.locked,
        )
        for step, copy in zip(old, new, strict=True)
        for row in step.placements.all()
    )


@transaction.atomic
def write_times(sheet: RunSheet, times: Iterable[StepTimes], answer: Mapping[str, object]) -> None:
    """Replace the draft's steps; crews are dropped, since their times are gone."""
    take_turn(sheet)
    sheet.steps.all().delete()
    Step.objects.bulk_create(
        Step(
            run_sheet=sheet,
            code=time.code,
            stage=time.stage,
            animal=time.animal,
            station_id=time.station_id,
            starts_at=time.starts_at,
            ends_at=time.ends_at,
            slack_min=time.slack_min,
            pinned=time.pinned,
        )
        for time in times
    )
    RunSheet.objects.filter(pk=sheet.pk).update(timetable=dict(answer), rotation={})


@transaction.atomic
def write_crews(sheet: RunSheet, placed: Iterable[Placed], answer: Mapping[str, object]) -> None:
    """Replace the draft's placements by the planner's, keeping which were locked."""
    take_turn(sheet)
    locked = set(
        Placement.objects.filter(step__run_sheet=sheet, locked=True).values_list(
            "step__code", "duty_id", "place", "enrolment_id", "staff_id"
        )
    )
    Placement.objects.filter(step__run_sheet=sheet).delete()
    steps = dict(sheet.steps.values_list("code", "pk"))
    rows = [
        Placement(
            step_id=steps[item.step],
            duty_id=int(item.duty),
            place=item.place,
            enrolment_id=int(item.person[1:]) if item.person.startswith("a") else None,
            staff_id=int(item.person[1:]) if item.person.startswith("s") else None,
        )
        for item in placed
        if item.step in steps
    ]
    codes = {pk: code for code, pk in steps.items()}
    for row in rows:
        key = (codes[row.step_id], row.duty_id, row.place, row.enrolment_id, row.staff_id)
        row.locked = key in locked
    Placement.objects.bulk_create(rows)
    RunSheet.objects.filter(pk=sheet.pk).update(rotation=dict(answer))
